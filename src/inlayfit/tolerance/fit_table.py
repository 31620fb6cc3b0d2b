"""Fits over the real bit's angle and tip: what corners, strokes and passes add to what the walls alone do.

Five fits: with the bit as it is known to be, and at the four combinations of the ends of its spreads. Between them the
table goes in proportion. Touch-off errors shift the walls, and with them what stands on them; that they leave the
table's own values alone is part of its error, which tests/test_fit_table.py measures against fits at other places.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from inlayfit.joint.error_sources import Source
from inlayfit.joint.job import Job
from inlayfit.joint.limits import JOINT_LINE
from inlayfit.outline.analysis import Kept
from inlayfit.outline.edges import Array
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.fit import Fit
from inlayfit.seat.joint_line import openings
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.rays import rays_of
from inlayfit.tolerance.walls import WallClasses

NODES = ((0.0, 0.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0))
"""Places of the fits, as shares of the angle's and the cut's half-widths."""


Span = tuple[float, float, float]
"""Low end, what is known, high end."""


@dataclass(frozen=True, kw_only=True)
class FitTable:
    """What the fits say beyond the walls: lift and joint line in mm less those of the walls, at each node.

    ``angle`` and ``wider`` are the bits' errors that it spans, in degrees and in mm to each side; ``beyond`` has a row
    for each node, lift and joint line.
    """

    angle: Span
    wider: Span
    beyond: Array
    fits: int

    def at(self, angle: Array, wider: Array) -> Array:
        """Lift and joint line beyond the walls for bits off by this angle and cutting this much wider; (2, n)."""
        x, y = _share(angle, self.angle), _share(wider, self.wider)
        # the middle's own value, fading out towards the border
        fade = 1 - np.maximum(np.abs(x), np.abs(y))
        right, up = (x + 1) / 2, (y + 1) / 2
        corners = (1 - right) * (1 - up), (1 - right) * up, right * (1 - up), right * up
        return np.asarray(self.beyond.T @ np.stack([fade, *(corner - fade / 4 for corner in corners)]))


def _share(values: Array, span: Span) -> Array:
    """Where values lie on a span: -1 at its low end, 0 at what is known, 1 at its high end."""
    low, known, high = span
    below = np.minimum(0.0, values - known) / (known - low) if known > low else 0.0
    above = np.maximum(0.0, values - known) / (high - known) if high > known else 0.0
    return np.clip(below + above + np.zeros_like(values), -1, 1)


def _end(share: float, span: Span) -> float:
    low, known, high = span
    return known + share * ((high - known) if share > 0 else (known - low))


class TableShelf:
    """Rows of tables on an outline, by the cuts, the clamp's force, the strength, the level, and both spans."""

    def __init__(self) -> None:
        self.rows: Kept[tuple[AsCut, float, float, float, Span, Span], list[list[float]]] = Kept()


def fit_table(job: Job, fit: Fit, walls: WallClasses, found: tuple[Source, ...]) -> FitTable:
    """The table for a job's spreads, from the cuts of its fit run again with other bits."""
    by_name = {source.name: source for source in found}

    def span(*names: str, part: float = 1.0) -> Span:
        several = [by_name[name] for name in names if name in by_name]
        known = sum(source.spread.known for source in several)
        low, high = (sum(source.bounds[end] for source in several) for end in (0, 1))
        return part * (known + low), part * known, part * (known + high)

    # two bits are moved together: their spreads are alike, and what they add to the walls is small
    one = job.bits.one_v
    angle = span("angle" if one else "pocket_angle")
    cuts_wider = span("tip" if one else "pocket_tip", "runout", part=0.5)
    places = NODES if angle[0] < angle[2] or cuts_wider[0] < cuts_wider[2] else NODES[:1]
    rests_on = fit.pair.cut, fit.seat.clamp_force, fit.strength.across, job.joint.level_below
    rows = fit.pair.analysis.shelf(TableShelf).rows.get(
        (*rests_on, angle, cuts_wider),
        lambda: [_beyond(job, fit, walls, _end(x, angle), _end(y, cuts_wider)) for x, y in places],
    )
    beyond = np.array(rows if len(rows) > 1 else rows * len(NODES))
    return FitTable(angle=angle, wider=cuts_wider, beyond=beyond, fits=len(rows))


def _beyond(job: Job, fit: Fit, walls: WallClasses, angle: float, wider: float) -> list[float]:
    cut = off_bits(fit.pair.cut, angle, wider)
    pair = fit.pair.recut(cut)
    # the bit as it is known to be has made these cuts before
    as_known = (cut.pocket_bit, cut.plug_bit) == (fit.pair.cut.pocket_bit, fit.pair.cut.plug_bit)
    rays = fit.rays.over_other_floors(pair) if as_known else rays_of(pair)
    lift = overlap_areas(pair, rays).lift_under(fit.seat.clamp_force, fit.strength.across)
    level = job.joint.level_below
    lines = openings(pair, rays, level) if level else openings(pair, rays)
    if not len(lines.open):
        lines = openings(pair, rays)
    turned, widened, none = np.array([angle]), np.array([wider]), np.zeros(1)
    walls_alone = walls.at(
        pocket_angle=turned, plug_angle=turned, pocket_wider=widened, plug_wider=widened, share=clamped_share(fit)
    )
    largest = lines.at_lift(lift, job.limits[JOINT_LINE]).largest
    return [
        lift - float(walls_alone.lift(none)[0]),
        largest - float(walls_alone.line(np.array([lift]), none)[0]),
    ]


def clamped_share(fit: Fit) -> float:
    """Share of the walls' band that bears the clamp's force."""
    return fit.seat.clamp_force / fit.seat.wall_load.low


def off_bits(cut: AsCut, angle: float, wider: float) -> AsCut:
    """The cut with both real bits off by an angle [deg] and wider to each side [mm], the floor out of the way."""
    away = cut.pocket_depth
    return replace(
        cut,
        pocket_bit=replace(cut.pocket_bit, actual=cut.pocket_bit.actual.off_by(angle, wider)),
        plug_bit=replace(cut.plug_bit, actual=cut.plug_bit.actual.off_by(angle, wider)),
        pocket_floor_error=away,
        v_floor_error=away,
        ridges=None,
    )
