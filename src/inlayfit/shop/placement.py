"""Where the outline lies on base and plug blank, and what the cuts leave of each blank."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import shapely.affinity
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job, Point
from inlayfit.joint.schedule import Pass, Step
from inlayfit.outline.regions import Outline
from inlayfit.shop.blanks import Blank, LevellingField, Margin, levelling_field, margin, placed
from inlayfit.shop.sweeps import sweeps


@dataclass(frozen=True, kw_only=True)
class Placement:
    """The outline on one blank, in mm from its datum."""

    area: BaseGeometry
    blank: Blank | None
    """None where its size is not given."""
    middle: Point
    """Middle of the outline's bounds as drawn."""
    at: Point
    """Where that middle lies."""
    turn: float

    def from_datum(self, point: Point) -> Point:
        """A place of the outline as drawn, from the datum; for the base, which is not mirrored."""
        spot = shapely.affinity.rotate(Spot(*point), self.turn, origin=self.middle)
        return (spot.x + self.at[0] - self.middle[0], spot.y + self.at[1] - self.middle[1])


@dataclass(frozen=True, kw_only=True)
class BlankMargin:
    """What a part's cuts leave of its blank, and which of them comes nearest to an edge."""

    part: Literal["base", "plug"]
    margin: Margin
    step: Step
    bit: str


def base_placement(job: Job, outline: Outline) -> Placement | None:
    """The outline on the base; None where its place needs the board's size, and that is not given."""
    at = None if job.outline is None else job.outline.at
    return _placement(job, outline, job.base.blank, at, mirrored=False)


def plug_placement(job: Job, outline: Outline) -> Placement | None:
    """The outline, mirrored, on the plug's blank; None where its place needs the blank's size."""
    return _placement(job, outline, job.plug.blank, job.plug.at, mirrored=True)


def _placement(
    job: Job, outline: Outline, size: tuple[float, float] | None, at: Point | None, *, mirrored: bool
) -> Placement | None:
    datum, turn = job.datum or "centre", 0.0 if job.outline is None else job.outline.turn
    blank = None if size is None else Blank(width=size[0], height=size[1], datum=datum)
    if at is None and blank is not None:
        at = blank.middle
    elif at is None and datum == "centre":
        at = (0.0, 0.0)
    if at is None:
        return None
    low_x, low_y, high_x, high_y = outline.bounds
    return Placement(
        area=placed(outline.area, at, turn=turn, mirrored=mirrored),
        blank=blank,
        middle=((low_x + high_x) / 2, (low_y + high_y) / 2),
        at=at,
        turn=turn,
    )


def blank_margins(
    job: Job, depths: Depths, passes: tuple[Pass, ...], base: Placement | None, plug: Placement | None
) -> tuple[BlankMargin, ...]:
    """What is left of each blank whose size is given.

    At the face the pocket is the outline. Of the plug the outermost places count alone, so that its sweeps are worked
    out round its hull: an offset reaches as far from the hull as from the outline itself.
    """
    found = []
    if base is not None and base.blank is not None:
        walls = [entry for entry in passes if entry.part == "pocket"][-1]
        found.append(
            BlankMargin(part="base", margin=margin(base.blank, base.area), step=walls.step, bit=walls.bit)
        )
    if plug is not None and plug.blank is not None:
        blank = plug.blank
        swept = sweeps(job, depths, passes, plug=plug.area.convex_hull)
        margins = [
            BlankMargin(part="plug", margin=margin(blank, face), step=sweep.step, bit=sweep.bit)
            for sweep in swept
            if not (face := sweep.face()).is_empty
        ]
        found += [min(margins, key=lambda entry: entry.margin.least)]
    return tuple(found)


def field_on(job: Job, base: Placement | None) -> LevellingField | None:
    """The levelling field; None without a levelling bit, or where the board's size is not given."""
    if base is None or base.blank is None or job.bits.levelling is None:
        return None
    return levelling_field(base.blank.bounds, job.bits.levelling.diameter)


def field_on_plug(job: Job, base: Placement | None) -> LevellingField | None:
    """The field over the plug's back, the outline and its border; None without a levelling bit or a place."""
    if base is None or job.bits.levelling is None:
        return None
    low_x, low_y, high_x, high_y = base.area.bounds
    border = job.plug.border
    return levelling_field(
        (low_x - border, low_y - border, high_x + border, high_y + border), job.bits.levelling.diameter
    )


def rim_left_standing(job: Job, base: Placement | None, field: LevellingField | None) -> float:
    """How far the plug's border, glued in, reaches past what the levelling bit covers, in mm; 0 where it does not."""
    bit = job.bits.levelling
    if base is None or field is None or bit is None:
        return 0.0
    low_x, low_y, high_x, high_y = base.area.bounds
    left, lower, right, upper = field.bounds
    out = job.plug.border - bit.diameter / 2
    return max(0.0, left - low_x + out, lower - low_y + out, high_x - right + out, high_y - upper + out)
