"""Where the V-bit's tip ran, and how deep it therefore cut at any point of the plan.

The cut's depth at a point is the greatest, over all positions of the tip, of the tip's depth less the cutter's
rise at that distance (the cutter's envelope). For a straight piece of path with steady descent that maximum has a
closed form.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.cutters import Profile
from inlayfit.outline.wall_discs import WallPieces

Array = NDArray[np.float64]
Index = NDArray[np.int64]
CHUNK = 30_000  # point-path pairs worked at once, so that they stay in the processor's cache
FEW = 2  # so many points in a row are not worth a look at which pieces matter to them


@dataclass(frozen=True, kw_only=True)
class TipPath:
    """Straight pieces of tip path, and the cutter that ran them.

    `start` (n, 2) [mm], `along` unit vectors, `length` [mm], the tip's `depth` at the start [mm] and its `descent`
    for each unit of length.
    """

    start: Array
    along: Array
    length: Array
    depth: Array
    descent: Array
    cutter: Profile
    deepest: float
    tree: shapely.STRtree

    def distance(self, points: Array) -> Array:
        """Distance of points (n, 2) from the nearest piece of the path [mm]; infinite if there is none."""
        found = np.full(len(points), np.inf)
        if len(points) and len(self.length):
            (row, _), far = self.tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
            found[row] = far
        return found


@dataclass(frozen=True, kw_only=True)
class Course:
    """Where a programme sends the tip in passes that all have their zero on the face; `number` is each piece's pass.

    The other columns are those of a `TipPath`.
    """

    start: Array
    along: Array
    length: Array
    depth: Array
    descent: Array
    number: Index
    tree: shapely.STRtree


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
                ca, cb = c0 + a * (c1 - c0), c0 + b * (c1 - c0)
                da = db = np.full(len(ca), depth)
            else:
                c0, c1 = foot0 + rho0 * m0, foot1 + rho1 * m1
                ca, cb = c0 + a * (c1 - c0), c0 + b * (c1 - c0)
                da = np.clip(((rho0 + a * (rho1 - rho0))[:, 0] - r) / slope, 0, depth)
                db = np.clip(((rho0 + b * (rho1 - rho0))[:, 0] - r) / slope, 0, depth)
            parts.append((ca, cb, da, db, np.full(len(ca), number)))
    start, end, d0, d1, number_of = (np.concatenate(x) for x in zip(*parts, strict=True))
    length = np.hypot(*(end - start).T)
    point = length < 1e-9
    safe = np.where(point, 1.0, length)
    return Course(
        start=start, along=np.where(point[:, None], [1.0, 0.0], (end - start) / safe[:, None]),
        length=np.where(point, 0.0, length), depth=np.maximum(d0, d1) * point + d0 * ~point,
        descent=np.where(point, 0.0, (d1 - d0) / safe), number=number_of,
        tree=shapely.STRtree(shapely.linestrings(np.stack([start, end], 1))),
    )  # fmt: skip


def tip_path(
    programmed: Course, actual: Profile, error: float, depths: tuple[float, ...], datum: tuple[float, ...]
) -> TipPath:
    """The path of the `actual` cutter, run `error` too deep, each pass `datum` deeper than its depth says [mm].

    The datum is 0 for a pocket.
    """
    return TipPath(
        start=programmed.start, along=programmed.along, length=programmed.length,
        depth=programmed.depth + (np.array(datum) + error)[programmed.number],
        descent=programmed.descent, cutter=actual,
        deepest=max(d + lower for d, lower in zip(depths, datum, strict=True)) + error, tree=programmed.tree,
    )  # fmt: skip


def _between(r0: Array, r1: Array, low: float, high: float) -> tuple[Array, Array]:
    """The stretch [a, b] of each piece, as shares of it, on which the radius lies between low and high."""
    change = r1 - r0
    with np.errstate(divide="ignore", invalid="ignore"):
        at_low, at_high = (low - r0) / change, (high - r0) / change
    inside = (r0 >= low) & (r0 < high)
    a = np.where(change == 0, np.where(inside, 0.0, 1.0), np.maximum(np.minimum(at_low, at_high), 0.0))
    b = np.where(change == 0, np.where(inside, 1.0, 0.0), np.minimum(np.maximum(at_low, at_high), 1.0))
    return a, b


def cut_depth(path: TipPath, points: Array, centre: Array, half: Array) -> Array:
    """Depth cut at `points` (n, k, 2) by the path's pieces within `half` [mm] of `centre` (n, 2); -inf where none is.

    `half` bounds the search: r + (deepest - depth found) * slope always suffices.
    """
    n, k = points.shape[:2]
    best = np.full((n, k), -np.inf)
    lo, hi = centre - half[:, None], centre + half[:, None]
    # rows come in order
    row, piece = path.tree.query(shapely.box(lo[:, 0], lo[:, 1], hi[:, 0], hi[:, 1]))
    if k > FEW:
        row, piece = _deep_enough(path, points, row, piece)
    for part in _whole_rows(row, max(1, CHUNK // k)):
        value = _depth_by_piece(path, points[row[part]], piece[part])
        first = _firsts(row[part])
        best[row[part][first]] = np.maximum.reduceat(value, first, axis=0)
    return best


def _deep_enough(path: TipPath, points: Array, row: Index, piece: Index) -> tuple[Index, Index]:
    """The pieces that can be the deepest at any of their row's points.

    No cutter's edge is steeper than 1 / slope: what is lower by more at the middle of the points is lower at all.
    """
    low, high = points.min(1), points.max(1)
    middle, spread = ((low + high) / 2)[:, None], np.hypot(*(high - low).T) / 2
    margin = 2 * spread / path.cutter.slope + 1e-9
    kept = np.zeros(len(row), bool)
    for part in _whole_rows(row, CHUNK):
        value = _depth_by_piece(path, middle[row[part]], piece[part])[:, 0]
        first = _firsts(row[part])
        top = np.maximum.reduceat(value, first)
        kept[part] = value >= np.repeat(top, np.diff(np.append(first, len(value)))) - margin[row[part]]
    return row[kept], piece[kept]


def _whole_rows(row: Index, size: int) -> Iterator[slice]:
    """Slices of about `size` pairs that do not part a row, so that each row's maximum is taken at once."""
    if len(row) <= size:
        if len(row):
            yield slice(0, len(row))
        return
    ends = np.append(_firsts(row)[1:], len(row))
    at = 0
    while at < len(row):
        stop = int(ends[min(int(np.searchsorted(ends, at + size)), len(ends) - 1)])
        yield slice(at, stop)
        at = stop


def _firsts(row: Index) -> Index:
    """Where each row begins."""
    return np.concatenate([[0], np.flatnonzero(row[1:] != row[:-1]) + 1])


def _depth_by_piece(path: TipPath, points: Array, piece: Index) -> Array:
    """Depth cut at points (m, k, 2) by one piece of path each."""
    along_x, along_y = path.along[piece, 0, None], path.along[piece, 1, None]
    x = points[..., 0] - path.start[piece, 0, None]
    y = points[..., 1] - path.start[piece, 1, None]
    foot, aside = x * along_x + y * along_y, np.abs(y * along_x - x * along_y)
    descent, at = path.descent[piece], foot.copy()
    falls = np.flatnonzero(descent)
    at[falls] += np.sign(descent[falls])[:, None] * _ahead(path.cutter, descent[falls], aside[falls])
    at = np.minimum(np.maximum(at, 0.0), path.length[piece][:, None])
    above = path.cutter.rise(np.sqrt((foot - at) ** 2 + aside**2))
    return path.depth[piece][:, None] + descent[:, None] * at - above


def _ahead(cutter: Profile, descent: Array, aside: Array) -> Array:
    """How far downhill of a point's foot the tip cuts deepest there, on pieces (m) that fall, for points (m, k)."""
    steep = np.abs(descent) * cutter.slope
    # until the cutter's flank is as steep as the path
    with np.errstate(divide="ignore", invalid="ignore"):
        lean = np.where(steep < 1, steep / np.sqrt(np.maximum(1 - steep**2, 0)), 1e9)
    ahead = aside * lean[:, None]
    if cutter.rounding:
        b = cutter.rounding
        on_ball = (np.abs(descent) / np.sqrt(1 + descent**2))[:, None] * np.sqrt(np.maximum(b * b - aside**2, 0))
        return np.where(np.hypot(on_ball, aside) <= cutter.flank_start, on_ball, ahead)
    return np.maximum(ahead, np.sqrt(np.maximum(cutter.tip_radius**2 - aside**2, 0)))
