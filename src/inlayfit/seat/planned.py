"""The pair that a plan's passes leave: courses along the walls, and floors by their distance from the outline."""

from __future__ import annotations

from dataclasses import replace

import shapely

from inlayfit.cutters import Profile
from inlayfit.joint.fillet import Fillet
from inlayfit.outline.analysis import Kept, OutlineAnalysis
from inlayfit.outline.regions import grown, outline_of
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.course import Course, course
from inlayfit.seat.pair import Pair
from inlayfit.seat.side import Floor, OpenFloor, Rounded, Side, TipPass


class CourseShelf:
    """Courses of an outline, by side, declared bit and depths of the passes."""

    def __init__(self) -> None:
        self.courses: Kept[tuple[bool, Profile, tuple[float, ...]], Course] = Kept()


class PlannedPair(Pair):
    """Pocket and plug as a plan's passes cut them on one outline.

    ``analysis`` is the outline's own, for cuts that share it.
    """

    def __init__(self, cut: AsCut, analysis: OutlineAnalysis | None = None) -> None:
        analysis = analysis or OutlineAnalysis(outline_of(cut.outline.geoms))
        floors = [OpenFloor(0.0, cut.v_floor_lift, cut.ridges)]
        if cut.clearing:
            floors.insert(0, OpenFloor(cut.pocket_foot + cut.clearing[-1].flank_start, cut.floor_lift))
        self.cut = cut
        pocket, plug = _pocket(cut, analysis, floors[0].lift), _plug(cut, analysis)
        super().__init__(analysis, pocket, plug, start_depth=cut.start_depth, floors=tuple(floors))

    def recut(self, cut: AsCut) -> PlannedPair:
        """The pair that the same programmes leave with other bits and errors than declared."""
        return PlannedPair(cut, self.analysis)


def _pocket(cut: AsCut, analysis: OutlineAnalysis, floor_lift: float) -> Side:
    bit = cut.pocket_bit
    passes = tuple(TipPass(depth, 0.0) for depth in (cut.pocket_depth, *cut.pocket_passes))
    # a clearing bit's edge runs as far from the outline as the wall's foot, the V-bit's axis a tip's radius further
    tip = 0.0 if cut.clearing else bit.declared.flank_radius
    return Side(
        part="pocket",
        declared=bit.declared,
        actual=bit.actual,
        depth=cut.pocket_depth,
        error=cut.pocket_v_error,
        blank=0.0,
        removed=_course(analysis, bit.declared, passes).removed_by(bit.actual, cut.pocket_v_error, passes),
        floor=Floor(
            cut.pocket_foot + tip,
            cut.start_depth - floor_lift,
            _rounded(cut.pocket_fillet, cut.outline, -cut.pocket_foot),
        ),
        passes=passes,
    )


def _plug(cut: AsCut, analysis: OutlineAnalysis) -> Side:
    bit = cut.plug_bit
    # an earlier, higher pass lies above the start plane by what its own start depth falls short; of passes to the same
    # depth below their start the lowest cuts all that the others do
    lower = {below: start - cut.start_depth for start, below in sorted(cut.plug_passes)}
    lower[cut.depth_below_start] = 0.0
    passes = tuple(TipPass(depth, by) for depth, by in lower.items())
    foot = cut.depth_below_start * bit.declared.slope
    return Side(
        part="plug",
        declared=bit.declared,
        actual=bit.actual,
        depth=cut.depth_below_start,
        error=cut.plug_v_error,
        blank=cut.start_depth,
        removed=_course(analysis, bit.declared, passes, inside=False).removed_by(bit.actual, cut.plug_v_error, passes),
        floor=Floor(foot, cut.depth_below_start + cut.plug_floor_error, _rounded(cut.plug_fillet, cut.outline, foot)),
        passes=passes,
    )


def _rounded(fillet: Fillet, outline: shapely.MultiPolygon, foot: float) -> Rounded | None:
    """What bits with rounded corners leave of the floor that begins this far outside the outline (below 0: inside)."""
    bits = tuple(bit for bit in fillet.clearing if bit.rounding > 0)
    if not bits:
        return None
    # no ray looks so far outwards
    beyond = grown(outline, foot + fillet.allowance + 4 * max(bit.flank_start for bit in fillet.clearing))
    reached = []
    for bit in fillet.clearing:
        away = fillet.allowance + bit.flank_start
        axis = grown(outline, foot - away) if foot < 0 else beyond.difference(grown(outline, foot + away))
        shapely.prepare(axis)
        reached.append((bit, axis))
    return Rounded(replace(fillet, clearing=bits), tuple(reached))


def _course(
    analysis: OutlineAnalysis, declared: Profile, passes: tuple[TipPass, ...], *, inside: bool = True
) -> Course:
    """One side's course, along its pieces of wall for the deepest of the passes and some deeper ones."""
    depths = tuple(entry.depth for entry in passes)
    flank, largest = declared.flank_radius, declared.flank_radius + max(depths) * declared.slope
    return analysis.shelf(CourseShelf).courses.get(
        (inside, declared, depths),
        lambda: course(analysis.wall_pieces(inside=inside, smallest=flank, largest=largest), declared, depths),
    )
