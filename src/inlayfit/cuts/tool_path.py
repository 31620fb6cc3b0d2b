"""A tool path: straight pieces in space, and the cutter that runs them. Depths in mm, positive downwards."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.cutters import Profile

Array = NDArray[np.float64]
POINT = 1e-9
"""A piece whose plan is shorter, in mm, goes straight down or up."""


@dataclass(frozen=True, kw_only=True)
class ToolPath:
    """n straight pieces of the tip's way, in any order; level, rising, falling or straight down.

    start (n, 2): where the tip's lowest point begins, in plan; along (n, 2): unit vectors of the way in plan; length
    (n): of the piece in plan, 0 where it goes straight down; depth (n): of the tip at the start (of a plunge: at its
    lowest); descent (n): how much deeper it gets for each unit of length. ``tree`` holds the pieces in plan.
    """

    start: Array
    along: Array
    length: Array
    depth: Array
    descent: Array
    cutter: Profile
    tree: shapely.STRtree = field(repr=False, compare=False)

    @property
    def deepest(self) -> float:
        """Depth of the tip's lowest place; -inf where there is no piece."""
        return float(np.maximum(self.depth, self.depth + self.descent * self.length).max(initial=-np.inf))

    def distance(self, points: Array) -> Array:
        """Distance of points (n, 2) from the nearest piece in plan; infinite if there is none."""
        found = np.full(len(points), np.inf)
        if len(points) and len(self.length):
            (row, _), far = self.tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
            found[row] = far
        return found

    def run_by(self, cutter: Profile, deeper: Array | float) -> ToolPath:
        """The same way run by another cutter, each piece deeper by ``deeper`` (n, or one for all)."""
        return replace(self, cutter=cutter, depth=self.depth + deeper)


def tool_path(start: Array, end: Array, cutter: Profile) -> ToolPath:
    """The path of pieces from ``start`` to ``end``, (n, 3) each: x, y and the depth of the tip."""
    here, there = np.ascontiguousarray(start[:, :2]), end[:, :2]
    away = there - here
    length = np.hypot(*away.T)
    point = length < POINT
    safe = np.where(point, 1.0, length)
    return ToolPath(
        start=here,
        along=np.where(point[:, None], [1.0, 0.0], away / safe[:, None]),
        length=np.where(point, 0.0, length),
        depth=np.where(point, np.maximum(start[:, 2], end[:, 2]), start[:, 2]),
        descent=np.where(point, 0.0, (end[:, 2] - start[:, 2]) / safe),
        cutter=cutter,
        tree=shapely.STRtree(shapely.linestrings(np.stack([here, there], 1))),
    )
