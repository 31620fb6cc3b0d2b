"""What tool paths remove from a part, told by its depth at points of the plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.cuts.envelope import cut_depth
from inlayfit.cuts.tool_path import Array, ToolPath

NEAR = 0.05
"""A first look takes in pieces this much further off than the cutter's flat, in mm."""
AT_ONCE = 20_000
"""Points looked at together, so that what lies near them fits into memory."""


@dataclass(frozen=True, kw_only=True)
class RemovedSolid:
    """The solid that several tool paths remove, each with its own cutter."""

    paths: tuple[ToolPath, ...]

    @property
    def deepest(self) -> float:
        """Depth of its lowest place; -inf where there is none."""
        return max((path.deepest for path in self.paths), default=-np.inf)

    def distance(self, points: Array) -> Array:
        """Distance of points (n, 2) from the nearest piece of path in plan; infinite if there is none."""
        found = [path.distance(points) for path in self.paths] or [np.full(len(points), np.inf)]
        return found[0] if len(found) == 1 else np.minimum.reduce(found)

    def depth(self, points: Array, centre: Array, within: Array) -> Array:
        """Depth at points (n, k, 2) from the pieces within ``within`` (n) of ``centre`` (n, 2); -inf where none is.

        The points of a row lie close together.
        """
        found = [cut_depth(path, points, centre, within) for path in self.paths] or [np.full(points.shape[:2], -np.inf)]
        return found[0] if len(found) == 1 else np.maximum.reduce(found)

    def depth_at(self, points: Array, *, below: float = 0.0) -> Array:
        """Depth at points (n, 2) from every piece that can matter; -inf where nothing came.

        Cuts that end above the depth ``below`` (0: the face) are not looked for, and may be left out.
        """
        if len(points) > AT_ONCE:
            parts = np.array_split(points, len(points) // AT_ONCE + 1)
            return np.concatenate([self.depth_at(part, below=below) for part in parts])
        best = np.full(len(points), -np.inf)
        for path in self.paths:
            cutter, deepest = path.cutter, path.deepest
            if not len(points) or deepest <= below:
                continue
            near = np.full(len(points), cutter.flank_start + NEAR)
            best = np.maximum(best, cut_depth(path, points[:, None], points, near)[:, 0])
            if not cutter.slope:
                continue
            # what is deeper than found here lies no further off than the flank comes on its way up
            far = cutter.flank_start + np.maximum(deepest - np.maximum(best, below), 0.0) * cutter.slope
            rest = np.flatnonzero(far > near)
            if len(rest):
                found = cut_depth(path, points[rest, None], points[rest], far[rest])[:, 0]
                best[rest] = np.maximum(best[rest], found)
        return best
