"""Lines square to the wall that cover the whole plan of a joint, with the overlap of plug and base along them.

Every point of the plan has a nearest point on the outline, so the lines from the wall out to the centres of the
largest discs cover the plan once: their cells carry plan area. Extra lines of no width run along the bisectors of
corners, where the overlap is greatest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlayfit.cutters import Profile
from inlayfit.outline.analysis import Kept, raised
from inlayfit.outline.edges import Array, Edges, Flags, Index
from inlayfit.seat.as_cut import AsCutBit
from inlayfit.seat.overlap import Overlap

Columns = tuple[NDArray[Any], ...]
TURN = np.radians(8.0)  # corners that turn less are taken for pieces of a curve
SPACING = 0.5  # greatest distance of neighbouring rays [mm]


@dataclass(frozen=True, kw_only=True)
class Rays:
    """Rays of an outline and what was found along them; straight walls with room for both full depths share one ray.

    foot (n, 2) [mm], normal (n, 2) to the inside; inside, outside: radii of the largest discs there [mm] (capped);
    width: the wall each ray stands for [mm] (0 on bisectors); corner: index of the edge at whose start a ray of a
    corner stands, -1 elsewhere; bisector: True for rays along a corner's bisector; half_angle of that corner's
    wedge [rad]; at (n, k): signed distances of the nodes along the normal, inside positive, rising but on bisectors
    [mm]; area (n, k - 1): plan area between a node and the next [mm2]; overlap (n, k): m at the nodes [mm]; depth,
    below (n, k): depth of the pocket's cut under the base's face and of the plug's under its start plane, as if
    neither had an end [mm]; wall, top, lip (n): the nodes on the outline, at the plug's top and at the pocket's lip;
    grain: the size of the tips, by which rays stand closer together near corners [mm].
    """

    foot: Array
    normal: Array
    inside: Array
    outside: Array
    width: Array
    corner: Index
    bisector: Flags
    half_angle: Array
    at: Array
    area: Array
    overlap: Array
    depth: Array
    below: Array
    grain: float
    wall: Index
    top: Index
    lip: Index
    each: tuple[Array, Array, Array, Index]
    """Foot, normal and width of every single ray in order along the outline, and which of these rays tells its cuts."""

    def bearing(self, joint: Overlap) -> Flags:
        """Which rays stand for walls that both bits cut, so that they bear."""
        pocket, plug = joint.cut.pocket_bit.declared.flank_radius, joint.cut.plug_bit.declared.flank_radius
        return (self.corner < 0) & (self.inside > 1.05 * pocket + 1e-6) & (self.outside > 1.05 * plug + 1e-6)

    def over_other_floors(self, joint: Overlap) -> Rays:
        """The rays of the same V-cuts over other floors."""
        distance = _from_outline(self.at, self.bisector, self.half_angle)
        return replace(self, overlap=joint.from_cuts(self.depth, self.below, distance))

    @cached_property
    def every(self) -> Rays:
        """The rays with those that share one told singly."""
        foot, normal, width, which = self.each
        rows = {
            name: getattr(self, name)[which]
            for name in ("inside", "outside", "corner", "bisector", "half_angle", "at", "overlap", "depth", "below",
                         "wall", "top", "lip")
        }  # fmt: skip
        share = np.where(width > 0, width / np.where(width > 0, self.width[which], 1.0), 1.0)
        return replace(
            self, foot=foot, normal=normal, width=width, area=self.area[which] * share[:, None],
            each=(foot, normal, width, np.arange(len(which))), **rows,
        )  # fmt: skip


class RayShelf:
    """What of rays follows from the outline, by their grain and the largest discs inside and outside [mm]."""

    def __init__(self) -> None:
        self.columns: Kept[tuple[float, float, float], Columns] = Kept()
        self.room: Kept[tuple[float, float], Array] = Kept()
        """Radii of the largest discs inside, at the straight walls' feet, by grain and the largest asked for."""


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


def rays(joint: Overlap) -> Rays:
    """Rays over the whole outline with the overlap at their nodes; :attr:`Rays.every` tells them singly."""
    cut = joint.cut
    grain = raised(max(
        cut.pocket_bit.declared.flank_radius, cut.plug_bit.declared.flank_radius,
        cut.pocket_bit.actual.flank_radius, cut.plug_bit.actual.flank_radius, 0.02,
    ))  # fmt: skip
    inmost, outmost = raised(joint.pocket_full), raised(joint.plug_full)
    foot, normal, inside, outside, width, corner, bisector, half_angle = joint.analysis.shelf(RayShelf).columns.get(
        (grain, inmost, outmost), lambda: _rays_of_outline(joint, grain, inmost, outmost)
    )
    inside, outside = np.minimum(inside, joint.pocket_full), np.minimum(outside, joint.plug_full)
    each = foot, normal, width, np.arange(len(foot))
    alike = np.flatnonzero((corner < 0) & (inside >= joint.pocket_full) & (outside >= joint.plug_full))
    if len(alike):
        # the first tells the cuts of all, and stands for their whole width
        shared, own = width[alike].sum(), np.ones(len(foot), bool)
        own[alike[1:]] = False
        which = np.cumsum(own) - 1
        which[alike] = which[alike[0]]
        each = foot, normal, width, which
        foot, normal, inside, outside, width, corner, bisector, half_angle = (
            column[own] for column in (foot, normal, inside, outside, width, corner, bisector, half_angle)
        )
        width[which[alike[0]]] = shared
    at, area, named = _nodes(joint, grain, inside, outside, width, (corner >= 0) & ~bisector, bisector, half_angle)
    depth, below = _cuts(joint, foot, normal, inside, outside, half_angle, bisector, at, grain)
    distance = _from_outline(at, bisector, half_angle)
    return Rays(
        foot=foot, normal=normal, inside=inside, outside=outside, width=width, corner=corner, bisector=bisector,
        half_angle=half_angle, at=at, area=area, overlap=joint.from_cuts(depth, below, distance), depth=depth,
        below=below, grain=grain, wall=named[:, 0], top=named[:, 1], lip=named[:, 2], each=each,
    )  # fmt: skip


def _from_outline(at: Array, bisector: Flags, half_angle: Array) -> Array:
    """Distance of the nodes from the outline, inside positive [mm]."""
    return np.where(bisector[:, None], at * np.sin(half_angle)[:, None], at)


def _rays_of_outline(joint: Overlap, grain: float, inmost: float, outmost: float) -> Columns:
    """The columns of `Rays` that follow from the outline; discs are at most `inmost` and `outmost` large [mm]."""
    side, boundary = joint.inside, joint.boundary
    edge, s, width = _wall_feet(side, grain)
    foot, normal = side.start[edge] + s[:, None] * side.along[edge], side.normal[edge]
    inside = boundary.discs(foot, normal, inmost)
    outside = boundary.discs(foot, -normal, outmost)
    none = np.full(len(edge), -1)
    parts: list[Columns] = [
        (foot, normal, inside, outside, width, none, np.zeros(len(edge), bool), np.zeros(len(edge)))
    ]
    parts += _fans(joint, inmost)
    parts += _bisectors(joint, inmost, outmost)
    return tuple(np.concatenate(x) for x in zip(*parts, strict=True))


def _fans(joint: Overlap, inmost: float) -> list[Columns]:
    """Rays into the base's corners, which the pocket's wall goes round; their width is the angle they stand for."""
    side, boundary = joint.inside, joint.boundary
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
    half = (np.pi + turn) / 2
    return [(foot, normal, inside, np.zeros(len(at)), -turn / parts, at, np.zeros(len(at), bool), half)]


def _bisectors(joint: Overlap, inmost: float, outmost: float) -> list[Columns]:
    side, boundary = joint.inside, joint.boundary
    out: list[Columns] = []
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
        out.append((foot, middle, inside, outside, zero, corner, np.ones(len(corner), bool), half))
    return out


def _nodes(
    joint: Overlap, grain: float, inside: Array, outside: Array, width: Array, fan: Flags, bisector: Flags, half: Array
) -> tuple[Array, Array, Index]:
    """Distances of the nodes along each ray, the plan area from each to the next, and which are wall, top and lip."""
    cut = joint.cut

    def bounds(radius: Array, full: float, near: list[float], steps: list[float]) -> Array:
        graded = grain * np.array(near)
        near_axis = np.where((radius < full)[:, None], radius[:, None] - graded, radius[:, None] * (1 - graded / full))
        return np.sort(np.concatenate([np.maximum(near_axis, 0), radius[:, None] * np.array(steps)], 1), 1)

    edges_in = bounds(inside, joint.pocket_full, [0.0, 0.25, 0.6, 1.0, 1.7], [0.0, 0.3, 0.6, 0.85])
    edges_out = -bounds(outside, joint.plug_full, [0.0, 0.4, 1.0, 1.7], [0.0, 0.3, 0.7])
    # from the outer axis through the wall to the inner one
    line = np.concatenate([edges_out[:, ::-1], edges_in], 1)
    # the wall itself, both axes and the ends of the straight pieces of the overlap
    pocket, plug = cut.pocket_bit, cut.plug_bit
    deep = np.clip((inside - pocket.declared.flank_radius) / pocket.declared.slope, 0, cut.pocket_depth)
    low = np.clip((outside - plug.declared.flank_radius) / plug.declared.slope, 0, cut.depth_below_start)
    tip = pocket.declared.flank_radius + deep * pocket.declared.slope - pocket.actual.flank_start
    top = (cut.start_depth + low + cut.plug_v_error) * plug.actual.slope - low * plug.declared.slope
    top += plug.actual.flank_radius - plug.declared.flank_radius
    lip = (
        (pocket.declared.flank_radius - pocket.actual.flank_radius)
        + deep * (pocket.declared.slope - pocket.actual.slope)
        - cut.pocket_v_error * pocket.actual.slope
    )
    ends = [np.zeros(len(inside)), top, lip, inside, -outside, tip]
    steps = _steps(pocket, joint.pocket_depths, (0.0,) * len(joint.pocket_depths))
    steps += [-c for c in _steps(plug, joint.plug_depths, joint.plug_datum)]
    extra = np.stack([*ends, *(np.full(len(inside), c) for c in steps)], 1)
    at = np.concatenate([np.clip(extra, -outside[:, None], inside[:, None]), line], 1)
    order = np.argsort(at, 1, kind="stable")
    at = np.take_along_axis(at, order, 1)
    middle = (at[:, 1:] + at[:, :-1]) / 2
    area = np.diff(at, axis=1) * np.where(fan[:, None], np.abs(middle), 1.0) * width[:, None]
    named = np.argsort(order, 1)[:, :3]
    if bisector.any():
        at[bisector] = _bisector_nodes(joint, half[bisector], inside[bisector] == 0, at.shape[1])
    return at, area, named


def _steps(bit: AsCutBit, depths: tuple[float, ...], datum: tuple[float, ...]) -> list[float]:
    """Distances from the wall where an earlier pass's flat begins and where the next pass's flank has come down to it.

    A bit that is not as declared leaves a step in the wall at the end of each pass; ``datum`` is what a pass lies
    deeper than its depth says [mm].
    """
    if bit.actual == bit.declared:
        return []
    declared, actual = bit.declared, bit.actual
    passes = sorted(zip(depths, datum, strict=True))
    found = []
    for (depth, lower), (next_depth, next_lower) in pairwise(passes):
        drop = next_depth + next_lower - depth - lower
        edge = declared.flank_radius + depth * declared.slope - actual.flank_radius
        found += [edge, edge + (next_depth - depth) * declared.slope - drop * actual.slope]
    return found


def _bisector_nodes(joint: Overlap, half: Array, convex: Array, count: int) -> Array:
    """Places along a corner's bisector, from the vertex: round the first disc that fits, and spread along the rest."""
    cut = joint.cut
    bit = [cut.pocket_bit, cut.plug_bit]
    r = np.where(convex, *(b.declared.flank_radius for b in bit))
    a = np.where(convex, *(b.actual.flank_radius for b in bit))
    error = np.where(convex, cut.pocket_v_error * bit[0].actual.slope, cut.plug_v_error * bit[1].actual.slope)
    sine = np.maximum(np.sin(half), 0.01)
    first = r / sine
    spans = [
        0.0 * r,
        first - a,
        first - a - error,
        first - a + error,
        0.5 * first,
        first,
        1.5 * first + 0.05,
        -0.3 * first,
    ]
    spans += [-a, -np.abs(error), first - a - error / sine, -0.03 + 0 * r]
    near = 3 * np.maximum(r, 0.02)
    spans += [first + f * near for f in np.linspace(0.1, 1, count - len(spans))]
    return np.where(convex, 1.0, -1.0)[:, None] * np.stack(spans, 1)


def _own(cutter: Profile, depth: Array, away: Array, error: float) -> Array:
    return depth[:, None] + error - cutter.rise(np.abs(away))


def _cuts(
    joint: Overlap, foot: Array, normal: Array, inside: Array, outside: Array, half: Array, bisector: Flags, at: Array,
    grain: float,
) -> tuple[Array, Array]:  # fmt: skip
    """Depth of both cuts at the nodes: from the tip straight across, and from its neighbours where they can matter."""
    cut = joint.cut
    depth, below = np.full(at.shape, -np.inf), np.full(at.shape, -np.inf)
    for sign, radius, full, bit, depths, datum, error, out, removed, reach in (
        (1, inside, joint.pocket_full, cut.pocket_bit, joint.pocket_depths, (0.0,) * len(joint.pocket_depths),
         cut.pocket_v_error, depth, joint.pocket, joint.pocket_reach),
        (-1, outside, joint.plug_full, cut.plug_bit, joint.plug_depths, joint.plug_datum,
         cut.plug_v_error, below, joint.plug, joint.plug_reach),
    ):  # fmt: skip
        r, slope = bit.declared.flank_radius, bit.declared.slope
        wedge = (half > 0) & (radius == 0)
        fits = (radius >= r) & ~wedge
        # seen from a corner's blunt side, points of the bisector are nearest to its two edges
        away = np.where(bisector[:, None] & (at * sign < 0), at * np.sin(half)[:, None], at)
        for limit, lower in zip(depths, datum, strict=True):
            tip = np.minimum(limit, (radius[fits] - r) / slope)
            centre = sign * (r + tip * slope)
            own = _own(bit.actual, tip + lower, away[fits] - centre[:, None], error)
            out[fits] = np.maximum(out[fits], own)
        # between full-width places nothing but the tip straight across reaches the wall
        near = np.flatnonzero((radius < full) & (wedge | ~bisector))
        if not len(near):
            continue
        wedge = wedge[near]
        start = np.where(wedge, r / np.maximum(np.sin(half[near]), 0.02), radius[near])
        search = (
            1.5 * bit.actual.flank_start + 0.5 * grain + 0.1 + 1.5 * abs(bit.actual.slope / slope - 1) * radius[near]
        )
        middle = foot[near] + np.where(wedge, 0.0, sign * radius[near])[:, None] * normal[near]
        narrow = radius[near] < 1.5 * r
        search[narrow] = np.maximum(search[narrow], 1.5 * removed.distance(middle[narrow]) + 2 * grain)
        search = np.where(wedge, start + 4 * grain + 0.2, search)
        place = at[near]
        if sign < 0:
            # behind a gap too narrow for the bit the plug's height comes from tips further off; it rises no faster than
            # the cutter's flank, so further in its bound is taken from a place near the wall
            behind = (radius[near] < r) & ~wedge
            place = np.where(behind[:, None], np.minimum(place, 6 * grain), place)
            search[behind] = np.minimum(1.2 * removed.distance(middle[behind]) + 8 * grain, reach + 8 * grain)
        points = foot[near, None, :] + place[..., None] * normal[near, None, :]
        found = removed.depth(points, middle, search)
        out[near] = np.maximum(out[near], found - (at[near] - place) / bit.actual.slope)
    return depth, below
