"""The area that a stroke covers (SVG 2, 13.5): its segments, what fills its corners, and its ends."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.svg_drawn import Stroke
from inlayfit.drawings.svg_frame import Affine
from inlayfit.drawings.svg_path import PathOutline

Points = NDArray[np.float64]

_FINER: Final = 10
"""By how much a line is flattened finer than its stroke's edge may lie off, for curves narrower than the stroke."""
_SMOOTH: Final = 0.1
"""Turn in radians up to which a corner is one of a flattened curve's: filled out to its point, however little."""


def stroked_area(path: PathOutline, stroke: Stroke, matrix: Affine, tolerance: float) -> shapely.Geometry:
    """The area of a path's stroke after the matrix, within ``tolerance``; empty where it has no width."""
    linear = np.array([[matrix.a, matrix.c], [matrix.b, matrix.d]])
    stretch = float(np.linalg.norm(linear, 2))
    if not (stroke.width > 0 and stretch > 0):
        return shapely.MultiPolygon()
    own = tolerance / stretch
    pieces = [
        piece
        for points, closed in path.lines(Affine(), own / _FINER)
        for piece in _pieces(points, stroke, own, closed=closed)
    ]
    shift = np.array([matrix.e, matrix.f])
    return shapely.union_all([shapely.polygons(piece @ linear.T + shift) for piece in pieces])


def _pieces(points: Points, stroke: Stroke, tolerance: float, *, closed: bool) -> list[Points]:
    """Polygons that together are the stroke of one line, in its own units."""
    half = stroke.width / 2
    step = np.diff(points, axis=0)
    lengths = np.hypot(*step.T)
    points = np.vstack([points[:1], points[1:][lengths > 0]])
    step, lengths = step[lengths > 0], lengths[lengths > 0]
    if not len(step):
        return _dot(points[0], stroke, tolerance)
    along = step / lengths[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    start, end, side = points[:-1], points[1:], half * across
    found = list(np.stack([start + side, start - side, end - side, end + side], axis=1))
    corners = range(len(step) if closed else len(step) - 1)
    for number in corners:
        corner = _corner(end[number], across[number], across[(number + 1) % len(step)], stroke, tolerance)
        if corner is not None:
            found.append(corner)
    if not closed and stroke.cap == "round":
        found += [_disc(points[0], half, tolerance), _disc(points[-1], half, tolerance)]
    elif not closed and stroke.cap == "square":
        for at, out, wide in ((points[0], -along[0], side[0]), (points[-1], along[-1], side[-1])):
            found.append(np.array([at + wide, at - wide, at - wide + half * out, at + wide + half * out]))
    return found


def _corner(at: Points, before: Points, after: Points, stroke: Stroke, tolerance: float) -> Points | None:
    """What fills the outer side of a corner, given the directions across the segments before and after it."""
    half = stroke.width / 2
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
    if turn == 0:
        return None
    outwards = -math.copysign(half, turn)
    one, other = at + outwards * before, at + outwards * after
    if stroke.join == "round" and abs(turn) > _SMOOTH:
        start = math.atan2(outwards * before[1], outwards * before[0])
        angles = start + np.linspace(0, turn, _chords(abs(turn), half, tolerance) + 1)
        return np.vstack([at, at + half * np.column_stack([np.cos(angles), np.sin(angles)])])
    longer = 1 / max(math.cos(turn / 2), 1e-12)  # the corner's point from the line, over half the width
    if abs(turn) <= _SMOOTH or (stroke.join == "miter" and longer <= stroke.miter_limit):
        middle = before + after
        return np.array([at, one, at + outwards * longer * middle / np.hypot(*middle), other])
    return np.array([at, one, other])


def _dot(at: Points, stroke: Stroke, tolerance: float) -> list[Points]:
    """A line without length: nothing, or what its ends are."""
    half = stroke.width / 2
    if stroke.cap == "round":
        return [_disc(at, half, tolerance)]
    if stroke.cap == "square":
        return [at + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])]
    return []


def _disc(at: Points, radius: float, tolerance: float) -> Points:
    quarter = _chords(math.pi / 2, radius, tolerance)
    angles = np.arange(4 * quarter) * (math.pi / 2 / quarter)
    return at + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def _chords(angle: float, radius: float, tolerance: float) -> int:
    step = 4 * math.asin(math.sqrt(min(tolerance / radius, 0.25) / 2))
    return max(1, math.ceil(angle / step))
