"""Hold-downs against the sweep of every step: clear by how much, or struck where and by which step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely
import shapely.affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Swept
from inlayfit.errors import InputError
from inlayfit.joint.job import HoldDownSource, Point, SetUp
from inlayfit.joint.schedule import Step
from inlayfit.outline.regions import grown
from inlayfit.shop.sweeps import Sweep


@dataclass(frozen=True, kw_only=True)
class HoldDown:
    """A clamp, screw or stop: what it covers, from the datum, and how far it stands up above the part's face, in mm.

    From there down it is taken as solid to the table, whether it lies on the board or stands beside it. ``height``
    below 0: it stays under the face.
    """

    set_up: SetUp
    footprint: BaseGeometry
    height: float


@dataclass(frozen=True, kw_only=True)
class Strike:
    """A step that runs into a hold-down."""

    step: Step
    bit: str
    by: Swept
    at: Point
    """A place inside what is struck."""


@dataclass(frozen=True, kw_only=True)
class Clearance:
    """How one hold-down fares in its set-up."""

    number: int
    """From 1, in the order given."""
    set_up: SetUp
    clear_by: float | None
    """Least distance to any sweep in mm, 0 where struck; None where nothing is cut in its set-up."""
    step: Step | None
    """The step that comes nearest, with its bit and what of it."""
    bit: str | None
    by: Swept | None
    strikes: tuple[Strike, ...]


def hold_down(source: HoldDownSource) -> HoldDown:
    """A hold-down of the sheet with its footprint. Raises :class:`InputError` for a polygon that is none."""
    if source.rectangle is not None:
        footprint = rectangle(*source.rectangle, at=source.at, turn=source.turn)
    elif source.circle is not None:
        footprint = circle(source.circle, at=source.at)
    else:
        footprint = polygon(source.polygon or (), at=source.at, turn=source.turn)
    return HoldDown(set_up=source.part, footprint=footprint, height=source.height)


def rectangle(width: float, height: float, *, at: Point = (0.0, 0.0), turn: float = 0.0) -> BaseGeometry:
    """Footprint of a bar or block: its middle ``at`` a place, turned by degrees anticlockwise."""
    x, y = at
    box = shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    return shapely.affinity.rotate(box, turn, origin=(x, y))


def circle(diameter: float, *, at: Point = (0.0, 0.0)) -> BaseGeometry:
    """Footprint of a knob or screw head; a hair larger, so that its facets lie outside the circle."""
    # 128 facets: their middles lie 0.03 % of the radius inside
    return grown(shapely.Point(*at), diameter / 2 * 1.0007)


def polygon(points: Iterable[Point], *, at: Point = (0.0, 0.0), turn: float = 0.0) -> BaseGeometry:
    """Footprint by its corners, shifted by ``at`` after turning about its own zero.

    Raises :class:`InputError` where sides cross or enclose nothing.
    """
    shape = Polygon(points)
    if shape.convex_hull.area == 0:
        raise InputError("found corners on one line, expected a polygon")
    if not shape.is_valid:
        raise InputError("found sides that cross or touch each other, expected a polygon that goes round once")
    return shapely.affinity.translate(shapely.affinity.rotate(shape, turn, origin=(0, 0)), *at)


def clearances(hold_downs: Iterable[HoldDown], sweeps: Iterable[Sweep]) -> tuple[Clearance, ...]:
    """Every hold-down against every sweep of its set-up."""
    sweeps = tuple(sweeps)
    # clamps come in sets of one height: their sweeps are worked out once
    swept: dict[tuple[int, float], tuple[tuple[Swept, BaseGeometry], ...]] = {}
    found = []
    for number, hold_down in enumerate(hold_downs, start=1):
        near: list[tuple[float, Sweep, Swept]] = []
        strikes = []
        for index, sweep in enumerate(sweeps):
            if sweep.set_up != hold_down.set_up:
                continue
            key = (index, hold_down.height)
            if key not in swept:
                swept[key] = sweep.at(hold_down.height)
                for _, area in swept[key]:
                    shapely.prepare(area)
            for by, area in swept[key]:
                if area.is_empty:
                    continue
                if area.intersects(hold_down.footprint):
                    place = area.intersection(hold_down.footprint).representative_point()
                    strikes.append(Strike(step=sweep.step, bit=sweep.bit, by=by, at=(place.x, place.y)))
                near.append((float(area.distance(hold_down.footprint)), sweep, by))
        least = min(near, key=lambda entry: entry[0], default=None)
        found.append(
            Clearance(
                number=number,
                set_up=hold_down.set_up,
                clear_by=None if least is None else least[0],
                step=None if least is None else least[1].step,
                bit=None if least is None else least[1].bit,
                by=None if least is None else least[2],
                strikes=tuple(strikes),
            )
        )
    return tuple(found)
