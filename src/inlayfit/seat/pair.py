"""Pocket and plug on one outline, and how far the plug stands in the base at each point of the plan.

m(x) = p(x) - h(x): the plug's height above its start plane less the base's depth. At a lift L the plug overlaps the
base wherever m > L, so the greatest m is the lift at first touch.
"""

from __future__ import annotations

import numpy as np
import shapely

from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.edges import Array
from inlayfit.outline.wall_discs import WallPieces
from inlayfit.seat.side import OpenFloor, Side

BEND = 0.025  # pieces of wall shorter than this mark a bend of the medial axis [mm]


class Pair:
    """The outline, the cuts on both its sides, and their overlap m.

    start_depth: from the plug's face to its start plane [mm]; floors: the pocket's open floors, the one that needs most
    room first.
    """

    def __init__(
        self, analysis: OutlineAnalysis, pocket: Side, plug: Side, *, start_depth: float, floors: tuple[OpenFloor, ...]
    ) -> None:
        self.analysis = analysis
        self.boundary, self.inside = analysis.boundary, analysis.inside
        self.outline: shapely.MultiPolygon = analysis.outline.area
        self.pocket, self.plug = pocket, plug
        self.start_depth = start_depth
        self.floors = floors

    @property
    def sides(self) -> tuple[Side, Side]:
        """Pocket and plug."""
        return self.pocket, self.plug

    @property
    def open_floor_lift(self) -> float:
        """Lift at which the plug's face meets the floor away from the walls [mm]."""
        return self.floors[0].lift

    @property
    def walls(self) -> WallPieces:
        """The pocket's pieces of wall."""
        declared = self.pocket.declared
        return self.analysis.wall_pieces(inside=True, smallest=declared.flank_radius, largest=self.pocket.full)

    def junctions(self) -> tuple[Array, Array]:
        """Places where branches of the medial axis meet or bend, (n, 2), and a bound of m there from tips near by [mm].

        The wall pieces are short where the axis bends, so their ends tell these places; where straight branches meet,
        the disc is the largest. The overlap may peak there.
        """
        walls, pocket, plug = self.walls, self.pocket, self.plug
        least = pocket.declared.flank_radius
        size = np.hypot(*(walls.foot1 - walls.foot0).T) + np.abs(walls.direction1 - walls.direction0) * walls.radius1
        bend = np.flatnonzero(
            ((size < BEND) | walls.largest_at_end)
            & ~walls.flattening
            & (walls.radius1 >= least)
            & (walls.radius1 < pocket.full)
        )
        normal = np.stack([np.cos(walls.direction1[bend]), np.sin(walls.direction1[bend])], 1)
        places = walls.foot1[bend] + walls.radius1[bend, None] * normal
        order = np.argsort(-walls.radius1[bend], kind="stable")
        cell = np.floor(places[order] / (4 * BEND)).astype(np.int64)
        # of many ends close together the one with the largest disc
        _, first = np.unique(cell[:, 0] * 2**32 + cell[:, 1], return_index=True)
        places = places[order[first]]
        grain = pocket.actual.flank_start + 0.05
        depth = pocket.removed.depth(places[:, None], places, np.full(len(places), 2 * grain))[:, 0]
        far = np.minimum(plug.removed.distance(places) * 1.02 + 0.1, plug.reach)
        below = plug.removed.depth(places[:, None], places, far)[:, 0]
        return places, np.minimum(-below, self.start_depth) - np.maximum(depth, 0.0)

    def at(self, points: Array) -> Array:
        """M at points (n, k, 2) that lie close together in each row, from every tip that can matter [mm]."""
        centre = (points.min(1) + points.max(1)) / 2
        spread = (points.max(1) - points.min(1)).max(1) / 2
        depth, below = (side.removed.depth(points, centre, spread + side.reach) for side in self.sides)
        return self.overlap(depth, below, self._distance(points, centre), points)

    def overlap(self, depth: Array, below: Array, distance: Array, points: Array) -> Array:
        """M at points (..., 2) from the walls' depths and the distance from the outline, positive inside [mm]."""
        return -self.plug.with_floor(below, distance, points) - self.pocket.with_floor(depth, distance, points)

    def _distance(self, points: Array, centre: Array) -> Array:
        """Distance of points (n, k, 2) from the outline, positive inside, or their row's centre's where that will do.

        Which floor lies under a point is all that hangs on it: of rows that are clear of both floors' edges by more
        than their size, the centre tells.
        """
        distance = np.repeat(self._from_outline(centre)[:, None], points.shape[1], 1)
        size = np.hypot(*np.moveaxis(points - centre[:, None], 2, 0)).max(1)
        near = np.logical_or.reduce(
            [np.abs(distance[:, 0] - side.sign * side.floor.edge) <= size for side in self.sides]
        )
        distance[near] = self._from_outline(points[near].reshape(-1, 2)).reshape(distance[near].shape)
        return distance

    def _from_outline(self, points: Array) -> Array:
        distance = np.hypot(*(points - self.boundary.nearest(points)).T)
        return np.where(shapely.contains_xy(self.outline, points[:, 0], points[:, 1]), distance, -distance)
