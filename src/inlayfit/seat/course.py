"""Where a plan sends the V-bit's tip along the walls of an outline, pass by pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import Array, ToolPath, tool_path
from inlayfit.cutters import Profile
from inlayfit.outline.wall_discs import WallPieces
from inlayfit.seat.side import TipPass

Index = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Course:
    """Passes that all have their zero on the face, run by the declared cutter; ``number`` is each piece's pass."""

    path: ToolPath
    number: Index

    def removed_by(self, cutter: Profile, error: float, passes: tuple[TipPass, ...]) -> RemovedSolid:
        """What this cutter removes, run ``error`` too deep [mm] in these passes."""
        deeper = np.array([entry.lower for entry in passes]) + error
        return RemovedSolid(paths=(self.path.run_by(cutter, deeper[self.number]),))


def course(pieces: WallPieces, declared: Profile, depths: tuple[float, ...]) -> Course:
    """The course programmed for the `declared` cutter in passes of the given tip `depths`.

    The bit goes where a disc of the declared flank radius fits, `(radius - flank radius) / slope` deep and no deeper
    than the pass.
    """
    r, slope = declared.flank_radius, declared.slope
    n0 = np.stack([np.cos(pieces.direction0), np.sin(pieces.direction0)], 1)
    n1 = np.stack([np.cos(pieces.direction1), np.sin(pieces.direction1)], 1)
    parts, flattening = [], pieces.flattening
    for number, depth in enumerate(depths):
        limit = r + depth * slope
        for low, high in ((r, limit), (limit, np.inf)):
            a, b = _between(pieces.radius0, pieces.radius1, low - 1e-12, high)
            use = (b >= a) & ((b > a + 1e-9) | (pieces.radius0 == pieces.radius1))
            if high < np.inf:
                use &= ~flattening
            a, b = a[use, None], b[use, None]
            foot0, foot1, m0, m1 = pieces.foot0[use], pieces.foot1[use], n0[use], n1[use]
            rho0, rho1 = pieces.radius0[use, None], pieces.radius1[use, None]
            if high == np.inf:
                c0, c1 = foot0 + limit * m0, foot1 + limit * m1
                da = db = np.full((len(c0), 1), depth)
            else:
                c0, c1 = foot0 + rho0 * m0, foot1 + rho1 * m1
                da = np.clip((rho0 + a * (rho1 - rho0) - r) / slope, 0, depth)
                db = np.clip((rho0 + b * (rho1 - rho0) - r) / slope, 0, depth)
            ca, cb = c0 + a * (c1 - c0), c0 + b * (c1 - c0)
            parts.append((np.hstack([ca, da]), np.hstack([cb, db]), np.full(len(ca), number)))
    start, end, number_of = (np.concatenate(x) for x in zip(*parts, strict=True))
    return Course(path=tool_path(start, end, declared), number=number_of)


def _between(r0: Array, r1: Array, low: float, high: float) -> tuple[Array, Array]:
    """The stretch [a, b] of each piece, as shares of it, on which the radius lies between low and high."""
    change = r1 - r0
    with np.errstate(divide="ignore", invalid="ignore"):
        at_low, at_high = (low - r0) / change, (high - r0) / change
    inside = (r0 >= low) & (r0 < high)
    a = np.where(change == 0, np.where(inside, 0.0, 1.0), np.maximum(np.minimum(at_low, at_high), 0.0))
    b = np.where(change == 0, np.where(inside, 1.0, 0.0), np.minimum(np.maximum(at_low, at_high), 1.0))
    return a, b
