"""How far the plug stands in the base at each point of the plan.

m(x) = p(x) - h(x): the plug's height above its start plane less the base's depth. At a lift L the plug overlaps the
base wherever m > L, so the greatest m is the lift at first touch.
"""

from __future__ import annotations

import numpy as np
import shapely

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cutters import Profile
from inlayfit.outline.analysis import Kept, OutlineAnalysis
from inlayfit.outline.edges import Array
from inlayfit.outline.regions import outline_of
from inlayfit.outline.wall_discs import WallPieces
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.course import Course, course

BEND = 0.025  # pieces of wall shorter than this mark a bend of the medial axis [mm]


class CourseShelf:
    """Courses of an outline, by side, declared bit and depths of the passes."""

    def __init__(self) -> None:
        self.courses: Kept[tuple[bool, Profile, tuple[float, ...]], Course] = Kept()


class Overlap:
    """The cuts of pocket and plug on one outline, and their overlap.

    ``analysis`` is the outline's own, for cuts that share it.
    """

    def __init__(self, cut: AsCut, analysis: OutlineAnalysis | None = None) -> None:
        self.cut = cut
        self.analysis = analysis or OutlineAnalysis(outline_of(cut.outline.geoms))
        self.boundary, self.inside = self.analysis.boundary, self.analysis.inside
        pocket, plug = cut.pocket_bit.declared, cut.plug_bit.declared
        self.pocket_full = cut.pocket_depth * pocket.slope + pocket.flank_radius
        self.plug_full = cut.depth_below_start * plug.slope + plug.flank_radius
        # an earlier, higher plug pass lies above the start plane by what its own start depth falls short; of passes to
        # the same depth below their start the lowest cuts all that the others do
        passes = {below: start - cut.start_depth for start, below in sorted(cut.plug_passes)}
        passes[cut.depth_below_start] = 0.0
        self.plug_depths, self.plug_datum = tuple(passes), tuple(passes.values())
        self.pocket_depths = (cut.pocket_depth, *cut.pocket_passes)
        self.walls = self._pieces(pocket, self.pocket_depths, inside=True)
        inside = self._course(pocket, self.pocket_depths, inside=True)
        outside = self._course(plug, self.plug_depths, inside=False)
        self.pocket: RemovedSolid = inside.removed_by(cut.pocket_bit.actual, cut.pocket_v_error)
        self.plug: RemovedSolid = outside.removed_by(cut.plug_bit.actual, cut.plug_v_error, self.plug_datum)
        # no tip further off than this cuts the base below its face, or the plug below its blank's face
        self.pocket_reach = _sideways(cut.pocket_bit.actual, cut.pocket_depth + cut.pocket_v_error)
        total = cut.start_depth + cut.depth_below_start
        self.plug_reach = _sideways(cut.plug_bit.actual, total + cut.plug_v_error)

    def _pieces(self, bit: Profile, depths: tuple[float, ...], *, inside: bool) -> WallPieces:
        """One side's pieces of wall, for the deepest of the passes and some deeper ones."""
        largest = bit.flank_radius + max(depths) * bit.slope
        return self.analysis.wall_pieces(inside=inside, smallest=bit.flank_radius, largest=largest)

    def _course(self, bit: Profile, depths: tuple[float, ...], *, inside: bool) -> Course:
        return self.analysis.shelf(CourseShelf).courses.get(
            (inside, bit, depths), lambda: course(self._pieces(bit, depths, inside=inside), bit, depths)
        )

    def recut(self, cut: AsCut) -> Overlap:
        """The pair that the same programmes leave with other bits and errors than declared."""
        return Overlap(cut, self.analysis)

    @property
    def open_floor_lift(self) -> float:
        """Lift at which the plug's face meets the floor away from the wall [mm]."""
        return self.cut.ridge_lift if self.cut.clearing_radius is None else self.cut.floor_lift

    def junctions(self) -> tuple[Array, Array]:
        """Places where branches of the medial axis meet or bend, (n, 2), and a bound of m there from tips near by [mm].

        The wall pieces are short where the axis bends, so their ends tell these places; the overlap may peak there.
        """
        walls = self.walls
        least = self.cut.pocket_bit.declared.flank_radius
        size = np.hypot(*(walls.foot1 - walls.foot0).T) + np.abs(walls.direction1 - walls.direction0) * walls.radius1
        bend = np.flatnonzero(
            (size < BEND) & ~walls.flattening & (walls.radius1 >= least) & (walls.radius1 < self.pocket_full)
        )
        normal = np.stack([np.cos(walls.direction1[bend]), np.sin(walls.direction1[bend])], 1)
        places = walls.foot1[bend] + walls.radius1[bend, None] * normal
        order = np.argsort(-walls.radius1[bend], kind="stable")
        cell = np.floor(places[order] / (4 * BEND)).astype(np.int64)
        # of many ends close together the one with the largest disc
        _, first = np.unique(cell[:, 0] * 2**32 + cell[:, 1], return_index=True)
        places = places[order[first]]
        grain = self.cut.pocket_bit.actual.flank_start + 0.05
        depth = self.pocket.depth(places[:, None], places, np.full(len(places), 2 * grain))[:, 0]
        far = np.minimum(self.plug.distance(places) * 1.02 + 0.1, self.plug_reach)
        below = self.plug.depth(places[:, None], places, far)[:, 0]
        return places, np.minimum(-below, self.cut.start_depth) - np.maximum(depth, 0.0)

    def at(self, points: Array) -> Array:
        """M at points (n, k, 2) that lie close together in each row, from every tip that can matter [mm]."""
        centre = (points.min(1) + points.max(1)) / 2
        spread = (points.max(1) - points.min(1)).max(1) / 2
        depth = self.pocket.depth(points, centre, spread + self.pocket_reach)
        below = self.plug.depth(points, centre, spread + self.plug_reach)
        return self.from_cuts(depth, below, self._distance(points, centre))

    def _distance(self, points: Array, centre: Array) -> Array:
        """Distance of points (n, k, 2) from the outline, positive inside, or their row's centre's where that will do.

        Which floor lies under a point is all that hangs on it: of rows that are clear of both floors' edges by more
        than their size, the centre tells.
        """
        distance = np.repeat(self._from_outline(centre)[:, None], points.shape[1], 1)
        size = np.hypot(*np.moveaxis(points - centre[:, None], 2, 0)).max(1)
        edge_in, edge_out = self.floor_edges
        near = (np.abs(distance[:, 0] - edge_in) <= size) | (np.abs(distance[:, 0] - edge_out) <= size)
        distance[near] = self._from_outline(points[near].reshape(-1, 2)).reshape(distance[near].shape)
        return distance

    def _from_outline(self, points: Array) -> Array:
        distance = np.hypot(*(points - self.boundary.nearest(points)).T)
        return np.where(shapely.contains_xy(self.cut.outline, points[:, 0], points[:, 1]), distance, -distance)

    @property
    def floor_edges(self) -> tuple[float, float]:
        """How far from the outline, positive inside, the pocket's floor begins and the plug's own ends [mm]."""
        cut = self.cut
        pocket, plug = cut.pocket_bit.declared, cut.plug_bit.declared
        # a clearing bit's edge runs as far from the outline as the wall's foot, the V-bit's axis a tip's radius further
        tip = pocket.flank_radius if cut.clearing_radius is None else 0.0
        return cut.pocket_depth * pocket.slope + tip, -cut.depth_below_start * plug.slope

    def from_cuts(self, depth: Array, below: Array, distance: Array) -> Array:
        """M from the V-cuts' depths and the distance from the outline, positive inside [mm]."""
        cut = self.cut
        edge_in, edge_out = self.floor_edges
        cleared = distance >= edge_in
        depth = np.maximum(depth, np.where(cleared, cut.start_depth - self.open_floor_lift, 0.0))
        web = distance <= edge_out
        below = np.maximum(below, np.where(web, cut.depth_below_start + cut.plug_floor_error, -cut.start_depth))
        return -below - depth


def _sideways(cutter: Profile, height: float) -> float:
    return cutter.flank_start + cutter.flank_radius + max(0.0, height) * cutter.slope + 1e-6
