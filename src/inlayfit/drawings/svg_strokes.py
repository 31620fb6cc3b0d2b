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

_FINER: Final = 4
"""By how much a line is flattened finer than its stroke's edge may lie off, for curves narrower than the stroke."""
_SMOOTH: Final = 0.2
"""Turn in radians up to which a corner is one of a flattened curve's: filled out to its point, however little."""
_LONGEST_STRIP: Final = 64


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
    if not pieces:
        return shapely.MultiPolygon()
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
    following = np.roll(across, -1, axis=0)
    turns = np.arctan2(
        across[:, 0] * following[:, 1] - across[:, 1] * following[:, 0], (across * following).sum(axis=1)
    )
    smooth = np.abs(turns) <= _SMOOTH
    corners = len(step) if closed else len(step) - 1
    smooth[corners:] = False
    found = _strips(points, across, smooth, half, closed=closed)
    for number in np.flatnonzero(~smooth[:corners]).tolist():
        found.append(_corner(points[number + 1], across[number], following[number], stroke, tolerance))
    side = half * across
    if not closed and stroke.cap == "round":
        found += [_disc(points[0], half, tolerance), _disc(points[-1], half, tolerance)]
    elif not closed and stroke.cap == "square":
        for at, out, wide in ((points[0], -along[0], side[0]), (points[-1], along[-1], side[-1])):
            found.append(np.array([at + wide, at - wide, at - wide + half * out, at + wide + half * out]))
    return found


def _strips(
    points: Points, across: Points, smooth: NDArray[np.bool_], half: float, *, closed: bool
) -> list[Points]:
    """The segments' own areas, those of a smooth run in one piece where it does not fold.

    ``smooth`` tells for each segment whether the line runs on from it without a corner.
    """
    count = len(across)
    bent = across + np.roll(across, -1, axis=0)
    middle = bent / np.maximum(1 + (across * np.roll(across, -1, axis=0)).sum(axis=1), 1e-12)[:, None]
    at_end = np.where(smooth[:, None], middle, across)
    at_start = np.where(np.roll(smooth, 1)[:, None], np.roll(middle, 1, axis=0), across)
    # a loop in one piece would touch itself where it starts
    most = min(_LONGEST_STRIP, math.ceil(count / 2)) if closed else _LONGEST_STRIP
    firsts = [0]
    for number in range(1, count):
        if not smooth[number - 1] or number - firsts[-1] >= most:
            firsts.append(number)
    found: list[Points] = []
    for first, stop in zip(firsts, [*firsts[1:], count], strict=True):
        centre = points[first : stop + 1]
        out = half * np.vstack([at_start[first : first + 1], at_end[first:stop]])
        found.append(np.vstack([centre + out, (centre - out)[::-1]]))
    sound = _are_sound(found)
    kept = [strip for strip, fine in zip(found, sound, strict=True) if fine]
    for fine, first, stop in zip(sound, firsts, [*firsts[1:], count], strict=True):
        for number in () if fine else range(first, stop):
            start, end, side = points[number], points[number + 1], half * across[number]
            kept.append(np.array([start + side, start - side, end - side, end + side]))
            if number + 1 < stop or smooth[number]:
                tip = points[number + 1] + half * np.outer((1, -1), middle[number])
                following = half * across[(number + 1) % count]
                kept += [
                    np.array([points[number + 1], points[number + 1] + side, tip[0], points[number + 1] + following]),
                    np.array([points[number + 1], points[number + 1] - side, tip[1], points[number + 1] - following]),
                ]
    return [piece for piece, fine in zip(kept, _are_sound(kept), strict=True) if fine]


def _are_sound(pieces: list[Points]) -> list[bool]:
    """Which of some polygons, by their corners, do not fold; one without area is none."""
    made = np.array([shapely.Polygon(piece) for piece in pieces])
    return (shapely.is_valid(made) & (shapely.area(made) > 0)).tolist()


def _corner(at: Points, before: Points, after: Points, stroke: Stroke, tolerance: float) -> Points:
    """What fills the outer side of a corner, given the directions across the segments before and after it."""
    half = stroke.width / 2
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
    outwards = -math.copysign(half, turn)
    one, other = at + outwards * before, at + outwards * after
    if stroke.join == "round":
        start = math.atan2(outwards * before[1], outwards * before[0])
        angles = start + np.linspace(0, turn, _chords(abs(turn), half, tolerance) + 1)
        return np.vstack([at, at + half * np.column_stack([np.cos(angles), np.sin(angles)])])
    longer = 1 / max(math.cos(turn / 2), 1e-12)  # the corner's point from the line, over half the width
    if stroke.join == "miter" and longer <= stroke.miter_limit:
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
