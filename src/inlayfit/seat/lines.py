"""Lines square to the wall that cover the whole plan of an outline.

Every point of the plan has a nearest point on the outline, so the lines from the wall out to the centres of the
largest discs cover the plan once. Extra lines of no width run along the bisectors of corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from inlayfit.outline.edges import Array, Edges, Flags, Index
from inlayfit.seat.pair import Pair
from inlayfit.seat.side import Side

TURN = np.radians(8.0)  # corners that turn less are taken for pieces of a curve
SPACING = 0.5  # greatest distance of neighbouring lines [mm]


@dataclass(frozen=True, kw_only=True)
class Lines:
    """n lines square to the wall, as they follow from an outline.

    foot (n, 2) [mm], normal (n, 2) to the inside; inside, outside (n): radii of the largest discs there [mm] (capped);
    width (n): the wall each stands for [mm] (of a fan's: angle [rad]; 0 on bisectors); corner (n): index of the edge at
    whose start a line of a corner stands, -1 elsewhere; bisector (n): True for lines along a corner's bisector;
    half_angle (n) of that corner's wedge [rad].
    """

    foot: Array
    normal: Array
    inside: Array
    outside: Array
    width: Array
    corner: Index
    bisector: Flags
    half_angle: Array

    @property
    def fan(self) -> Flags:
        """Lines round a corner of the base."""
        return (self.corner >= 0) & ~self.bisector

    def discs(self, side: Side) -> Array:
        """Radii of the largest discs on a cut's own side [mm]."""
        return self.inside if side.part == "pocket" else self.outside

    def bears(self, pair: Pair) -> Flags:
        """Which stand for walls that both bits cut, so that they bear."""
        within = [self.discs(side) > 1.05 * side.declared.flank_radius + 1e-6 for side in pair.sides]
        return np.logical_and.reduce([self.corner < 0, *within])

    def points(self, at: Array) -> Array:
        """Places (n, k, 2) at distances (n, k) along the lines [mm]."""
        return self.foot[:, None] + at[..., None] * self.normal[:, None]

    def from_outline(self, at: Array) -> Array:
        """Distance from the outline at distances (n, k) along the lines, inside positive [mm]."""
        return np.where(self.bisector[:, None], at * np.sin(self.half_angle)[:, None], at)


def _lines(parts: Sequence[Lines]) -> Lines:
    """Several lots as one."""
    return Lines(**{x.name: np.concatenate([getattr(part, x.name) for part in parts]) for x in fields(Lines)})


def _wall_feet(side: Edges, grain: float) -> tuple[Index, Array, Array]:
    """Edge, place along it and width of the rays on straight walls, closer together near corners."""
    graded = grain * 0.8 * 3.0 ** np.arange(4)
    turn_start, turn_end = np.abs(side.turn) > TURN, np.abs(side.turn[side.after]) > TURN
    half = side.length[:, None] / 2
    low = np.where(turn_start[:, None] & (graded < half), graded, 0.0)
    high = side.length[:, None] - np.where(turn_end[:, None] & (graded < half), graded, 0.0)
    inner0, inner1 = low.max(1), high.min(1)
    count = np.maximum(1, np.ceil((inner1 - inner0) / SPACING)).astype(int)
    edge = np.repeat(np.arange(len(count)), count + 1)
    number = np.arange(len(edge)) - np.repeat(np.cumsum(count + 1) - count - 1, count + 1)
    s = inner0[edge] + (inner1 - inner0)[edge] * number / count[edge]
    grid = np.broadcast_to(np.arange(len(count))[:, None], low.shape)
    edge = np.concatenate([edge, grid.ravel(), grid.ravel()])
    s = np.concatenate([s, low.ravel(), high.ravel()])
    edge = np.concatenate([edge, np.arange(len(count)), np.arange(len(count))])
    s = np.concatenate([s, np.zeros(len(count)), side.length])
    order = np.lexsort((s, edge))
    edge, s = edge[order], s[order]
    use = (np.diff(s) > 1e-9) & (np.diff(edge) == 0)
    return edge[:-1][use], ((s[1:] + s[:-1]) / 2)[use], np.diff(s)[use]


def lines_of_outline(pair: Pair, grain: float, inmost: float, outmost: float) -> Lines:
    """The lines of an outline; discs are at most `inmost` and `outmost` large [mm]."""
    side, boundary = pair.inside, pair.boundary
    edge, s, width = _wall_feet(side, grain)
    foot, normal = side.start[edge] + s[:, None] * side.along[edge], side.normal[edge]
    inside = boundary.discs(foot, normal, inmost)
    outside = boundary.discs(foot, -normal, outmost)
    straight = Lines(
        foot=foot, normal=normal, inside=inside, outside=outside, width=width, corner=np.full(len(edge), -1),
        bisector=np.zeros(len(edge), bool), half_angle=np.zeros(len(edge)),
    )  # fmt: skip
    return _lines([straight, _fans(pair, inmost), *_bisectors(pair, inmost, outmost)])


def _fans(pair: Pair, inmost: float) -> Lines:
    """Rays into the base's corners, which the pocket's wall goes round; their width is the angle they stand for."""
    side, boundary = pair.inside, pair.boundary
    corner = np.flatnonzero(side.turn < -TURN)
    steps = np.clip(np.ceil(-side.turn[corner] / 0.3), 1, 6).astype(int)
    at = np.repeat(corner, steps)
    number = np.arange(len(at)) - np.repeat(np.cumsum(steps) - steps, steps)
    parts = np.repeat(steps, steps)
    turn = side.turn[at]
    direction = np.arctan2(side.normal[at, 1], side.normal[at, 0]) - turn * (1 - (number + 0.5) / parts)
    normal = np.stack([np.cos(direction), np.sin(direction)], 1)
    foot = side.start[at]
    inside = boundary.discs(foot, normal, inmost)
    return Lines(
        foot=foot, normal=normal, inside=inside, outside=np.zeros(len(at)), width=-turn / parts, corner=at,
        bisector=np.zeros(len(at), bool), half_angle=(np.pi + turn) / 2,
    )  # fmt: skip


def _bisectors(pair: Pair, inmost: float, outmost: float) -> list[Lines]:
    """Lines along the bisectors of the inlay's corners, then of the base's."""
    side, boundary = pair.inside, pair.boundary
    out: list[Lines] = []
    for sign in (1, -1):
        corner = np.flatnonzero(sign * side.turn > TURN)
        middle = side.normal[corner] + side.normal[side.before[corner]]
        long = np.hypot(*middle.T)
        # a spike that turns right back has no middle of its normals; it has no width either
        corner, middle = corner[long > 1e-9], middle[long > 1e-9] / long[long > 1e-9, None]
        foot, half = side.start[corner], (np.pi - np.abs(side.turn[corner])) / 2
        zero = np.zeros(len(corner))
        inside = zero if sign > 0 else boundary.discs(foot, middle, inmost)
        outside = zero if sign < 0 else boundary.discs(foot, -middle, outmost)
        out.append(Lines(
            foot=foot, normal=middle, inside=inside, outside=outside, width=zero, corner=corner,
            bisector=np.ones(len(corner), bool), half_angle=half,
        ))  # fmt: skip
    return out
