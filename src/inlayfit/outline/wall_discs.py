"""The largest discs that touch an outline's wall from one side, and the tip paths that follow from them.

A V-bit carves along the centres of these discs: where the disc's radius is less than the full-depth offset the
centre lies on the medial axis and the bit runs up into the corner or along the stroke, elsewhere it follows
the offset contour. Exact for polygons: straight pieces of the axis are represented by their ends, bent ones (about
concave corners) by chords within `CHORD` mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.edges import Array, Edges, Flags, Index

CHORD = 0.00025  # greatest distance of a bent piece of a tip path from its chord [mm]
SPACING = 0.5  # greatest distance of neighbouring discs before refinement [mm]
FLAT = np.tan(np.radians(86.0))  # corners that turn by less than 8 degrees are taken for a curve's flattening
RISE = 1e-6  # what differs by less is level [mm]
FINEST = 0.001  # shortest piece of wall that is divided further [mm]


@dataclass(frozen=True, kw_only=True)
class WallPieces:
    """Pieces of wall with the discs at both ends: feet (n, 2), normal directions [rad] and radii [mm].

    Between the ends foot, direction and radius go in proportion. `direction0` differs from `direction1` only at
    corners, where the foot stays and the disc rolls round it.
    """

    foot0: Array
    foot1: Array
    direction0: Array
    direction1: Array
    radius0: Array
    radius1: Array

    @property
    def flattening(self) -> Flags:
        """Pieces that run up into corners which only the flattening of a curve has made: no bit is sent there."""
        run = np.hypot(*(self.foot1 - self.foot0).T)
        return (run > 0) & (np.abs(self.radius1 - self.radius0) > FLAT * run)

    @property
    def largest_at_end(self) -> Flags:
        """Pieces at whose second end the disc is larger than at any other end of the pieces that meet there."""
        foot = np.concatenate([self.foot0, self.foot1])
        direction = np.concatenate([self.direction0, self.direction1])
        rises = np.concatenate([self.radius1 < self.radius0 - RISE, self.radius0 < self.radius1 - RISE])
        _, place = np.unique(_place_number(foot) + np.e * direction, return_inverse=True)
        return np.asarray((np.bincount(place, rises) == 2)[place[len(self.radius0) :]])


def wall_pieces(side: Edges, boundary: Boundary, smallest: float, largest: float) -> WallPieces:
    """Wall pieces of one side, fine enough that the discs' centres follow straight lines within `CHORD`.

    Where no disc of the `smallest` radius fits, the pieces are left coarse.
    """
    turn_end = side.turn[side.after]
    angle = np.arctan2(side.normal[:, 1], side.normal[:, 0])
    before_length, after_length = side.length[side.before], side.length[side.after]

    def knee(turn: Array, neighbour: Array) -> Array:
        # where the disc in a convex corner has grown to the largest asked for, or to a neighbour's end
        with np.errstate(divide="ignore", invalid="ignore"):
            s = largest * np.tan(np.maximum(turn, 0) / 2)
        return np.minimum(np.minimum(s, 0.5 * side.length), np.maximum(0.5 * neighbour, 0))

    k0 = knee(side.turn, before_length)
    k1 = side.length - knee(turn_end, after_length)
    inner = np.maximum(1, np.ceil((k1 - k0) / SPACING)).astype(int)
    edge = np.repeat(np.arange(len(k0)), inner + 1)
    number = np.arange(len(edge)) - np.repeat(np.cumsum(inner + 1) - inner - 1, inner + 1)
    s = k0[edge] + (k1 - k0)[edge] * number / inner[edge]
    ends = np.concatenate([np.zeros(len(k0)), side.length])
    edge = np.concatenate([edge, np.arange(len(k0)), np.arange(len(k0))])
    s = np.concatenate([s, ends])
    order = np.lexsort((s, edge))
    edge, s = edge[order], s[order]
    keep = np.concatenate([[True], (np.diff(s) > 1e-9) | (np.diff(edge) > 0)])
    edge, s = edge[keep], s[keep]
    first = np.concatenate([[True], np.diff(edge) > 0])
    last = np.concatenate([np.diff(edge) > 0, [True]])
    s[last] = side.length[edge[last]]
    foot = side.start[edge] + s[:, None] * side.along[edge]
    shut = (first & (side.turn[edge] > 1e-9)) | (last & (turn_end[edge] > 1e-9))
    radius = np.zeros(len(s))
    radius[~shut] = boundary.discs(foot[~shut], side.normal[edge[~shut]], largest)
    edge, s, radius = _with_ramps(side, boundary, largest, edge, s, radius)
    foot = side.start[edge] + s[:, None] * side.along[edge]
    i = np.flatnonzero(np.diff(edge) == 0)
    steady = _steady(s, radius, edge)
    straight = (foot[i], foot[i + 1], angle[edge[i]], angle[edge[i]], radius[i], radius[i + 1])
    corners = _corner_pieces(side, boundary, angle, largest)
    sure = tuple(a[steady[i]] for a in straight)
    unsure = tuple(np.concatenate([a[~steady[i]], b]) for a, b in zip(straight, corners, strict=True))
    return _with_tops(_refined(sure, unsure, boundary, smallest, largest))


def _with_tops(pieces: WallPieces) -> WallPieces:
    """The pieces with a point at every disc to which only the flattening of curves leads, as in a round hole's middle.

    No bit is sent up into the flattening, but to where its branches of the axis meet one is.
    """
    flat = pieces.flattening
    if not flat.any():
        return pieces
    up = pieces.radius1[flat] > pieces.radius0[flat]
    foot0, foot1 = pieces.foot0[flat], pieces.foot1[flat]
    top, low = np.where(up[:, None], foot1, foot0), np.where(up[:, None], foot0, foot1)
    direction = np.where(up, pieces.direction1[flat], pieces.direction0[flat])
    radius = np.maximum(pieces.radius0[flat], pieces.radius1[flat])
    passed = np.concatenate([low, pieces.foot0[~flat], pieces.foot1[~flat]])
    alone = ~np.isin(_place_number(top), _place_number(passed))
    _, first = np.unique(_place_number(top[alone]), return_index=True)
    top, direction, radius = (column[alone][first] for column in (top, direction, radius))
    return WallPieces(
        foot0=np.concatenate([pieces.foot0, top]), foot1=np.concatenate([pieces.foot1, top]),
        direction0=np.concatenate([pieces.direction0, direction]),
        direction1=np.concatenate([pieces.direction1, direction]),
        radius0=np.concatenate([pieces.radius0, radius]), radius1=np.concatenate([pieces.radius1, radius]),
    )  # fmt: skip


def _place_number(foot: Array) -> Array:
    """A number that tells feet (n, 2) apart: neighbours share their ends to the last digit."""
    return np.asarray(foot[:, 0] + np.pi * foot[:, 1])


def _with_ramps(
    side: Edges, boundary: Boundary, largest: float, edge: Index, s: Array, radius: Array
) -> tuple[Index, Array, Array]:
    """The places with those added where a disc beside a curve's flattened bend has grown to its neighbour's radius.

    From the bend to there it only fills the bend, and no bit is sent; from there on it follows the axis.
    """
    same = np.diff(edge) == 0
    length = side.length[edge]
    new_edge, new_s = [], []
    for turn, at_end in ((side.turn, False), (side.turn[side.after], True)):
        here, there = (slice(1, None), slice(None, -1)) if at_end else (slice(None, -1), slice(1, None))
        bend = turn[edge[here]]
        grown = radius[there] * np.tan(np.clip(bend, 0, 1) / 2)
        from_bend = np.abs(np.where(at_end, length[there], 0.0) - s[there])
        ramp = same & (radius[here] == 0) & (bend > 1e-9) & (np.tan(np.clip(bend, 0, 1) / 2) * FLAT < 1)
        ramp &= (radius[there] < largest) & (grown < from_bend - FINEST / 10)
        new_edge.append(edge[here][ramp])
        new_s.append((length[there] - grown if at_end else grown)[ramp])
    more_edge, more_s = np.concatenate(new_edge), np.concatenate(new_s)
    foot = side.start[more_edge] + more_s[:, None] * side.along[more_edge]
    edge, s = np.concatenate([edge, more_edge]), np.concatenate([s, more_s])
    radius = np.concatenate([radius, boundary.discs(foot, side.normal[more_edge], largest)])
    order = np.lexsort((s, edge))
    return edge[order], s[order], radius[order]


def _corner_pieces(side: Edges, boundary: Boundary, angle: Array, largest: float) -> tuple[Array, ...]:
    corner = np.flatnonzero(side.turn < -1e-9)
    steps = np.maximum(1, np.ceil(-side.turn[corner] / 0.4)).astype(int)
    at = np.repeat(corner, steps)
    number = np.arange(len(at)) - np.repeat(np.cumsum(steps) - steps, steps)
    parts = np.repeat(steps, steps)
    # the normal turns right, from the edge before to this one
    d0 = angle[at] - side.turn[at] * (1 - number / parts)
    d1 = angle[at] - side.turn[at] * (1 - (number + 1) / parts)
    foot = side.start[at]
    r0 = boundary.discs(foot, np.stack([np.cos(d0), np.sin(d0)], 1), largest)
    r1 = boundary.discs(foot, np.stack([np.cos(d1), np.sin(d1)], 1), largest)
    return foot, foot, d0, d1, r0, r1


def _steady(s: Array, radius: Array, edge: Index) -> Flags:
    """Whether the radius goes in proportion on the piece that follows each place, and on the pieces beside it."""
    slope = np.full(len(s), np.nan)
    same = edge[1:] == edge[:-1]
    slope[:-1][same] = np.diff(radius)[same] / np.diff(s)[same]
    reach = np.zeros(len(s))
    reach[:-1][same] = np.diff(s)[same]
    before, after = np.roll(slope, 1), np.roll(slope, -1)
    # a bend within a piece makes its mean slope differ from a neighbour's
    within = np.abs(slope - np.where(np.isnan(before), after, before)) * reach < CHORD
    within &= np.abs(slope - np.where(np.isnan(after), before, after)) * reach < CHORD
    return within


def _refined(
    sure: tuple[Array, ...], unsure: tuple[Array, ...], boundary: Boundary, smallest: float, largest: float
) -> WallPieces:
    foot0, foot1, d0, d1, r0, r1 = unsure
    done: list[tuple[Array, ...]] = [sure]
    for _ in range(14):
        size = np.hypot(*(foot1 - foot0).T) + np.abs(d1 - d0) * np.maximum(r0, r1)
        bend = (d1 - d0) ** 2 * np.maximum(r0, r1) / 8
        full = (r0 >= largest) & (r1 >= largest)
        flat = (d0 == d1) & (np.abs(r1 - r0) > FLAT * size) & (np.minimum(r0, r1) == 0)
        open_question = (size > FINEST) & ((~full) | (bend > CHORD)) & ~flat
        done.append(tuple(a[~open_question] for a in (foot0, foot1, d0, d1, r0, r1)))
        foot0, foot1, d0, d1, r0, r1 = (a[open_question] for a in (foot0, foot1, d0, d1, r0, r1))
        if not len(r0):
            break
        foot, d = (foot0 + foot1) / 2, (d0 + d1) / 2
        n = np.stack([np.cos(d), np.sin(d)], 1)
        r = boundary.discs(foot, n, largest, 1.1 * np.maximum(r0, r1) + 0.01)
        c0 = foot0 + r0[:, None] * np.stack([np.cos(d0), np.sin(d0)], 1)
        c1 = foot1 + r1[:, None] * np.stack([np.cos(d1), np.sin(d1)], 1)
        # the middle disc may lie anywhere along the chord: only its distance from it counts, and its radius there
        chord, middle = c1 - c0, foot + r[:, None] * n - c0
        square = (chord**2).sum(1)
        at = np.clip((middle * chord).sum(1) / np.maximum(square, 1e-18), 0, 1)
        off = np.maximum(np.hypot(*(middle - at[:, None] * chord).T), np.abs(r - (r0 + at * (r1 - r0))))
        halves = (
            np.concatenate([foot0, foot]), np.concatenate([foot, foot1]), np.concatenate([d0, d]),
            np.concatenate([d, d1]), np.concatenate([r0, r]), np.concatenate([r, r1]),
        )  # fmt: skip
        shut = np.maximum(np.maximum(r0, r1), r) < 0.8 * smallest
        again = np.tile((off > 2 * CHORD) & ~shut, 2)  # a half's own error is at most half as large
        done.append(tuple(a[~again] for a in halves))
        foot0, foot1, d0, d1, r0, r1 = (a[again] for a in halves)
    done.append((foot0, foot1, d0, d1, r0, r1))
    columns = (np.concatenate(column) for column in zip(*done, strict=True))
    return WallPieces(**dict(zip(WallPieces.__annotations__, columns, strict=True)))
