"""How deep a tool path cut at any point of the plan.

The depth at a point is the greatest, over all places of the tip, of the tip's depth less the cutter's rise at that
distance (the cutter's envelope). For a straight piece with steady descent that maximum has a closed form; only where a
rounded flat falls or rises it is the root of one equation that is solved by halving.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.cuts.tool_path import Array, ToolPath
from inlayfit.cutters import Profile

Index = NDArray[np.int64]
Flags = NDArray[np.bool_]
CHUNK = 30_000  # point-path pairs worked at once, so that they stay in the processor's cache
FEW = 2  # so many points in a row are not worth a look at which pieces matter to them
HALVINGS = 52  # as many digits as a number has


def cut_depth(path: ToolPath, points: Array, centre: Array, half: Array) -> Array:
    """Depth cut at `points` (n, k, 2) by the path's pieces within `half` [mm] of `centre` (n, 2); -inf where none is.

    `half` (n) bounds the search: flank start + (deepest - depth found) * slope always suffices.
    """
    n, k = points.shape[:2]
    best = np.full((n, k), -np.inf)
    lo, hi = centre - half[:, None], centre + half[:, None]
    # rows come in order
    row, piece = path.tree.query(shapely.box(lo[:, 0], lo[:, 1], hi[:, 0], hi[:, 1]))
    if k > FEW and path.cutter.slope:
        row, piece = _deep_enough(path, points, row, piece)
    for part in _whole_rows(row, max(1, CHUNK // k)):
        value = _depth_by_piece(path, points[row[part]], piece[part])
        first = _firsts(row[part])
        best[row[part][first]] = np.maximum.reduceat(value, first, axis=0)
    return best


def _deep_enough(path: ToolPath, points: Array, row: Index, piece: Index) -> tuple[Index, Index]:
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


def _depth_by_piece(path: ToolPath, points: Array, piece: Index) -> Array:
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
    steep = np.abs(descent)[:, None]
    on_edge = np.sqrt(np.maximum(cutter.tip_radius**2 - aside**2, 0))
    # until the cutter's flank is as steep as the path; beside an upright one nothing is cut
    sine = steep * cutter.slope
    with np.errstate(divide="ignore", invalid="ignore"):
        ahead = aside * np.where(sine < 1, sine / np.sqrt(np.maximum(1 - sine**2, 0)), 1e9)
    if not cutter.rounding:
        return np.maximum(ahead, on_edge)
    if cutter.tip_radius:
        on_arc = _ahead_on_ring(cutter, steep, aside)
    else:
        on_arc = steep / np.sqrt(1 + steep**2) * np.sqrt(np.maximum(cutter.rounding**2 - aside**2, 0))
    return np.where(np.hypot(on_arc, aside) <= cutter.flank_start, on_arc, ahead)


def _ahead_on_ring(cutter: Profile, steep: Array, aside: Array) -> Array:
    """As `_ahead` where the arc lies round a flat: where the ring's slope along the path is as steep as the path.

    At the angle a round the arc the ring is f + c sin a wide and rises by tan a; along the path by tan a times
    u / (f + c sin a), u ahead of the foot, which grows with a. Infinite where only the flank is as steep.
    """
    flat, corner = cutter.tip_radius, cutter.rounding
    low = np.arcsin(np.clip((aside - flat) / corner, 0.0, 1.0))
    high = np.full(aside.shape, np.pi / 2 - np.radians(cutter.angle / 2))

    def flatter(angle: Array) -> Flags:
        wide = flat + corner * np.sin(angle)
        return np.asarray(np.tan(angle) * np.sqrt(np.maximum(wide**2 - aside**2, 0)) < steep * wide)

    on_flank = flatter(high)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        more = flatter(middle)
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.where(on_flank, np.inf, np.sqrt(np.maximum((flat + corner * np.sin(low)) ** 2 - aside**2, 0)))
