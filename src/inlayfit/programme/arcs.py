"""Arcs: the centre from either way of giving it, how far they turn, and chords in their place."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from inlayfit.programme.moves import PLANE_AXES, Array, Index, Moves
from inlayfit.programme.words import Refused
from inlayfit.quantity import MM_PER_INCH

RADII_MM: Final = 0.0025
RADII_INCH: Final = 0.0001 * MM_PER_INCH
RADII_SHARE: Final = 0.001
"""An arc whose two radii differ by more than the length and by more than the share is no arc."""
SAME_PLACE: Final = 1e-6
"""Ends closer than this to their start are the start: what is left is rounding [mm]."""

Spot = tuple[float, float]


def turn_about(centre: Spot, start: Spot, end: Spot, *, clockwise: bool) -> float:
    """How far an arc turns [rad], anticlockwise positive, never 0: an arc that ends at its start goes round once."""
    if math.dist(start, end) <= SAME_PLACE:
        return -2 * math.pi if clockwise else 2 * math.pi
    from_angle = math.atan2(start[1] - centre[1], start[0] - centre[0])
    to_angle = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (to_angle - from_angle) % (2 * math.pi)
    return turn - 2 * math.pi if clockwise else turn or 2 * math.pi


def checked_centre(centre: Spot, start: Spot, end: Spot, *, allowed: float, unit: float, at: int | None) -> None:
    """The two radii must agree (3.5.3.2); `unit` [mm] is what the message's numbers are in."""
    first, last = math.dist(centre, start), math.dist(centre, end)
    if max(first, last) <= SAME_PLACE:
        raise Refused("the arc's centre is its start: it has no radius", at)
    off = abs(first - last)
    if off > allowed and off > RADII_SHARE * max(first, last):
        raise Refused(
            f"the arc's end is {last / unit:.4f} from its centre, its start {first / unit:.4f}: it is no arc; "
            "look whether I J K are meant from the start (G91.1) or from the zero (G90.1)", at,
        )  # fmt: skip


def centre_by_radius(start: Spot, end: Spot, radius: float, *, clockwise: bool, allowed: float, at: int) -> Spot:
    """Centre of an arc given by its radius, above 0 for up to half a turn, below 0 for more (3.5.3.1).

    With d from start to end, L its length and n = (-d2, d1) / L: middle + h n for G3 R+ and G2 R-, else middle - h n,
    h = sqrt(R2 - L2/4). A radius short of half the distance by no more than rounding makes a half circle.
    """
    across = math.dist(start, end)
    if across <= SAME_PLACE:
        raise Refused("an arc by its radius cannot end at its start: give the centre by I J K", at)
    if across / 2 - abs(radius) > allowed or radius == 0:
        raise Refused(f"the arc's end is further off than its radius R reaches: no circle of R{radius:g} joins "
                      "start and end", at)  # fmt: skip
    height = math.sqrt(max(0.0, radius * radius - across * across / 4))
    if (radius > 0) == clockwise:
        height = -height
    return (
        (start[0] + end[0]) / 2 - height * (end[1] - start[1]) / across,
        (start[1] + end[1]) / 2 + height * (end[0] - start[0]) / across,
    )


def chords(moves: Moves, within: float) -> tuple[Index, Array, Array]:
    """Every move as straight pieces in order: row of the move, start and end (m, 3) [mm].

    Each arc's pieces have their ends on the arc and leave it by at most `within` [mm]. Where the two radii differ a
    little, the radius goes evenly from one to the other, so that the arc ends where it says.
    """
    arcs = moves.arcs
    if not len(arcs.move):
        return np.arange(len(moves)), moves.start, moves.end
    axes = np.array(PLANE_AXES)[arcs.plane]
    start = np.take_along_axis(moves.start[arcs.move], axes, 1)
    end = np.take_along_axis(moves.end[arcs.move], axes, 1)
    from_centre, to_centre = start[:, :2] - arcs.centre, end[:, :2] - arcs.centre
    first, last = np.hypot(*from_centre.T), np.hypot(*to_centre.T)
    radius = np.maximum(np.maximum(first, last), 1e-9)
    # a chord over the angle a leaves its circle by r (1 - cos(a/2))
    widest = 2 * np.arccos(np.clip(1 - within / radius, 0.5, 1.0))
    count = np.maximum(np.ceil(np.abs(arcs.turn) / widest), 1).astype(np.int64)
    row = np.repeat(np.arange(len(count)), count)
    part = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    share = np.stack([part, part + 1], 1) / count[row, None]
    angle = np.arctan2(from_centre[:, 1], from_centre[:, 0])[row, None] + share * arcs.turn[row, None]
    away = first[row, None] + share * (last - first)[row, None]
    points = np.stack(
        [
            arcs.centre[row, None, 0] + away * np.cos(angle),
            arcs.centre[row, None, 1] + away * np.sin(angle),
            start[row, None, 2] + share * (end - start)[row, None, 2],
        ],
        2,
    )
    points[part == 0, 0], points[part == count[row] - 1, 1] = start, end
    inverse = np.argsort(axes, 1)
    points = np.take_along_axis(points, np.repeat(inverse[row, None], 2, 1), 2)
    pieces = np.ones(len(moves), np.int64)
    pieces[arcs.move] = count
    move = np.repeat(np.arange(len(moves)), pieces)
    begins, ends = moves.start[move].copy(), moves.end[move].copy()
    of_arc = np.repeat(np.isin(np.arange(len(moves)), arcs.move), pieces)
    begins[of_arc], ends[of_arc] = points[:, 0], points[:, 1]
    return move, begins, ends
