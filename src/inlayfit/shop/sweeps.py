"""What each step's cutter sweeps over, and how wide it is at any height above the work.

A sweep is told by where the tip may be when it is at least so deep below the face. The V-bit is let into every place
where it leaves the designed wall untouched, so that the sweep holds for any order in which a programme cuts. Moves
between cuts are not part of it: they pass above everything.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Cutter, Swept
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job, SetUp
from inlayfit.joint.schedule import Pass, Step
from inlayfit.outline.regions import grown
from inlayfit.shop.blanks import LevellingField
from inlayfit.shop.plug_border import THINNED, cut_out, far_offset, filled, ring

# offsets come out up to 0.07 % short; a sweep must rather be too wide
_SAFE_SIDE: Final = 1.0007
_SLIVER: Final = 0.02
# thinning the outline and its offsets moves them this much, six strides at most; tips are let so much nearer
_LOOSE: Final = 7 * THINNED


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """One step's sweep in one set-up, from the datum."""

    set_up: SetUp
    step: Step
    cutter: Cutter
    collet: float | None
    """Diameter of the spindle's collet nut; None: not known."""
    deepest: float
    """How deep the tip goes below the face."""
    levels: tuple[float, ...]
    """Depths that between them show the cutting part at its widest everywhere."""
    tips: Callable[[float], BaseGeometry]
    """Where the tip may be at least this deep below the face."""

    @property
    def bit(self) -> str:
        """Name of the bit."""
        return self.cutter.name

    def at(self, height: float) -> tuple[tuple[Swept, BaseGeometry], ...]:
        """What is swept at or below ``height`` above the face, by the cutting part and by what holds it.

        A height below 0 lies under the face.
        """
        found: list[tuple[Swept, BaseGeometry]] = []
        # under the face only those tips count that come down to the height
        if -height <= self.deepest:
            depths = {max(depth, -height) for depth in self.levels}
            pieces = [
                far_offset(self.tips(depth), self.cutter.radius_at(depth + height) * _SAFE_SIDE) for depth in depths
            ]
            found.append(("cutter", shapely.union_all(pieces)))
        for name, radius, lower in self.cutter.holders(self.collet):
            # a holder's lower end is this deep with the tip at depth lower - height
            if lower - height <= self.deepest:
                tips = self.tips(max(0.0, lower - height))
                found.append((name, far_offset(tips, radius * _SAFE_SIDE)))
        return tuple(found)

    def face(self) -> BaseGeometry:
        """What is cut away at the face."""
        return self.at(0.0)[0][1]


def sweeps(
    job: Job,
    depths: Depths,
    passes: tuple[Pass, ...],
    *,
    base: BaseGeometry | None = None,
    plug: BaseGeometry | None = None,
    field: LevellingField | None = None,
    collet: float | None = None,
) -> tuple[Sweep, ...]:
    """Sweeps of every step and bit, in working order.

    ``base`` and ``plug`` are the outline placed on each blank, the plug mirrored; a part left out has no sweeps.
    ``collet`` is the diameter of the spindle's collet nut.
    """
    if base is not None:
        base = shapely.simplify(base, THINNED)
    if plug is not None:
        plug = shapely.simplify(plug, THINNED)
    steps: dict[tuple[str, str, Cutter], list[Pass]] = {}
    for entry in passes:
        steps.setdefault((entry.part, entry.step, entry.cutter), []).append(entry)
    found = []
    for (part, step, cutter), entries in steps.items():
        if part == "pocket" and base is not None:
            found.append(_pocket(job, base, entries, collet))
        elif part == "plug" and step == "cut out" and plug is not None:
            line = cut_out(plug, job.plug.border, cutter.diameter).line
            found.append(_to_one_depth("plug", "cut out", line, entries, collet))
        elif part == "plug" and plug is not None:
            found.append(_plug(job, depths, plug, entries, collet))
        elif part == "base" and field is not None:
            found.append(_to_one_depth("level", "level", field.area, entries, collet))
    return tuple(found)


def _pocket(job: Job, area: BaseGeometry, entries: list[Pass], collet: float | None) -> Sweep:
    bit = entries[0].cutter
    totals = [entry.total_depth for entry in entries]
    if bit.tapers:
        shape = bit.shape

        def tips(depth: float) -> BaseGeometry:
            return far_offset(area, _LOOSE - shape.half_width_at(depth))

        # the cone's edge runs out furthest where the tip is at the face, at the very wall
        levels: tuple[float, ...] = (0.0,)
    else:
        slope = job.bits.pocket_v.shape.slope
        inside = job.joint.wall_allowance + bit.radius

        def tips(depth: float) -> BaseGeometry:
            shallowest = min(total for total in totals if total >= depth - 1e-9)
            return far_offset(area, _LOOSE - (shallowest * slope + inside))

        levels = _widest_at(bit, totals)
    return Sweep(
        set_up="base", step=entries[0].step, cutter=bit, collet=collet, deepest=totals[-1], levels=levels, tips=tips
    )


def _plug(job: Job, depths: Depths, area: BaseGeometry, entries: list[Pass], collet: float | None) -> Sweep:
    bit, border = entries[0].cutter, job.plug.border
    below, start, total = depths.depth_below_start, depths.start_depth, entries[-1].total_depth
    cleared = filled(far_offset(area, border))
    if bit.tapers:
        shape = bit.shape
        furthest = shape.half_width_at(below)
        if entries[0].step == "clear":
            rest = ring(area, furthest - _LOOSE, max(furthest, border - shape.flank_radius))
        else:
            rest = _left_by_clearing(job, depths, area, cleared)

        def tips(depth: float) -> BaseGeometry:
            nearest = shape.half_width_at(min(below, max(0.0, depth - start)))
            return shapely.union_all([ring(area, nearest - _LOOSE, furthest + _LOOSE), rest])

        # inwards the cone runs out furthest at the wall's upper end, outwards at its foot
        levels: tuple[float, ...] = (start, total)
    else:
        slope = job.bits.plug_v.shape.slope
        outside = job.joint.wall_allowance + bit.radius
        outer = max(below * slope + outside, border - bit.radius)

        def tips(depth: float) -> BaseGeometry:
            first = next(entry for entry in entries if entry.total_depth >= depth - 1e-9)
            return ring(area, (first.depth_below_start or 0.0) * slope + outside - _LOOSE, outer + _LOOSE)

        levels = _widest_at(bit, [entry.total_depth for entry in entries])
    return Sweep(
        set_up="plug", step=entries[0].step, cutter=bit, collet=collet, deepest=total, levels=levels, tips=tips
    )


def _widest_at(bit: Cutter, totals: list[float]) -> tuple[float, ...]:
    """Levels of passes that each run closer to the wall than the next; low on its rounding a bit is not yet widest."""
    return (totals[0],) if bit.shape.fillet_height <= totals[0] else tuple(totals)


def _left_by_clearing(job: Job, depths: Depths, area: BaseGeometry, cleared: BaseGeometry) -> BaseGeometry:
    """Where the plug's V-bit has to clean the floor that no clearing bit gets to, as tip positions."""
    if not job.bits.clearing:
        return shapely.Polygon()
    smallest = job.bits.clearing[-1].radius
    inner = depths.plug_clearing_offset + smallest
    reached = far_offset(ring(area, inner, max(inner, job.plug.border - smallest)), smallest)
    floor = cleared.difference(far_offset(area, job.bits.plug_v.shape.half_width_at(depths.depth_below_start)))
    # slivers along the border are the offsets' facets, not wood
    return grown(grown(floor.difference(reached), -_SLIVER), _SLIVER)


def _to_one_depth(set_up: SetUp, step: Step, tips: BaseGeometry, entries: list[Pass], collet: float | None) -> Sweep:
    """A step whose every pass runs along the same tips."""
    return Sweep(
        set_up=set_up,
        step=step,
        cutter=entries[0].cutter,
        collet=collet,
        deepest=entries[-1].total_depth,
        levels=(entries[-1].total_depth,),
        tips=lambda _: tips,
    )
