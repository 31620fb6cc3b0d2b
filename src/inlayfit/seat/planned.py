"""The pair that a plan's passes leave: courses along the walls, and floors by their distance from the outline."""

from __future__ import annotations

from inlayfit.cutters import Profile
from inlayfit.outline.analysis import Kept, OutlineAnalysis
from inlayfit.outline.regions import outline_of
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.course import Course, course
from inlayfit.seat.pair import Pair
from inlayfit.seat.side import Floor, OpenFloor, Side, TipPass


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
        floors = [OpenFloor(0.0, cut.ridge_lift)]
        if cut.clearing_radius is not None:
            floors.insert(0, OpenFloor(cut.pocket_foot + cut.clearing_radius, cut.floor_lift))
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
    tip = bit.declared.flank_radius if cut.clearing_radius is None else 0.0
    return Side(
        part="pocket",
        declared=bit.declared,
        actual=bit.actual,
        depth=cut.pocket_depth,
        error=cut.pocket_v_error,
        blank=0.0,
        removed=_course(analysis, bit.declared, passes).removed_by(bit.actual, cut.pocket_v_error, passes),
        floor=Floor(cut.pocket_foot + tip, cut.start_depth - floor_lift),
        passes=passes,
    )


def _plug(cut: AsCut, analysis: OutlineAnalysis) -> Side:
    bit = cut.plug_bit
    # an earlier, higher pass lies above the start plane by what its own start depth falls short; of passes to the same
    # depth below their start the lowest cuts all that the others do
    lower = {below: start - cut.start_depth for start, below in sorted(cut.plug_passes)}
    lower[cut.depth_below_start] = 0.0
    passes = tuple(TipPass(depth, by) for depth, by in lower.items())
    return Side(
        part="plug",
        declared=bit.declared,
        actual=bit.actual,
        depth=cut.depth_below_start,
        error=cut.plug_v_error,
        blank=cut.start_depth,
        removed=_course(analysis, bit.declared, passes, inside=False).removed_by(bit.actual, cut.plug_v_error, passes),
        floor=Floor(cut.depth_below_start * bit.declared.slope, cut.depth_below_start + cut.plug_floor_error),
        passes=passes,
    )


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
