"""The overlap of plug and base along lines that cover the whole plan of a joint, and the plan area of their cells."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from inlayfit.outline.analysis import Kept, raised
from inlayfit.outline.edges import Array, Index
from inlayfit.seat.lines import Lines, lines_of_outline
from inlayfit.seat.pair import Pair
from inlayfit.seat.side import Side

OF_EACH = ("foot", "normal", "width", "area", "grain", "each")  # what rays that share one do not share


class Singles(NamedTuple):
    """Every single ray in order along the outline: foot, normal, width, and which of the rays told tells its cuts."""

    foot: Array
    normal: Array
    width: Array
    which: Index


@dataclass(frozen=True, kw_only=True)
class Rays(Lines):
    """Lines of an outline and what was found along them; straight walls with room for both full depths share one.

    at (n, k): signed distances of the nodes along the normal, inside positive, rising but on bisectors [mm]; area
    (n, k - 1): plan area between a node and the next [mm2]; overlap (n, k): m at the nodes [mm]; depth, below (n, k):
    depth of the pocket's cut under the base's face and of the plug's under its start plane, as if neither had an end
    [mm]; wall, top, lip (n): the nodes on the outline, at the plug's top and at the pocket's lip; grain: the size of
    the tips, by which rays stand closer together near corners [mm]; each: the rays singly.
    """

    at: Array
    area: Array
    overlap: Array
    depth: Array
    below: Array
    grain: float
    wall: Index
    top: Index
    lip: Index
    each: Singles

    def over_other_floors(self, pair: Pair) -> Rays:
        """The rays of the same V-cuts over other floors."""
        distance, points = self.from_outline(self.at), self.points(self.at)
        return replace(self, overlap=pair.overlap(self.depth, self.below, distance, points))

    @cached_property
    def every(self) -> Rays:
        """The rays with those that share one told singly."""
        foot, normal, width, which = self.each
        rows = {x.name: getattr(self, x.name)[which] for x in fields(self) if x.name not in OF_EACH}
        share = np.where(width > 0, width / np.where(width > 0, self.width[which], 1.0), 1.0)
        each = Singles(foot, normal, width, np.arange(len(which)))
        area = self.area[which] * share[:, None]
        return replace(self, foot=foot, normal=normal, width=width, area=area, each=each, **rows)


class RayShelf:
    """What of rays follows from the outline, by their grain and the largest discs inside and outside [mm]."""

    def __init__(self) -> None:
        self.lines: Kept[tuple[float, float, float], Lines] = Kept()
        self.room: Kept[tuple[float, float], Array] = Kept()
        """Radii of the largest discs inside, at the straight walls' feet, by grain and the largest asked for."""


def rays_of(pair: Pair) -> Rays:
    """Rays over the whole outline with the overlap at their nodes; :attr:`Rays.every` tells them singly.

    A plan's straight walls share one; where pieces of path alone tell a cut, each has its own.
    """
    pocket, plug = pair.sides
    grain = raised(max(0.02, *(bit.flank_radius for side in pair.sides for bit in (side.declared, side.actual))))
    inmost, outmost = raised(pocket.span), raised(plug.span)
    every = pair.analysis.shelf(RayShelf).lines.get(
        (grain, inmost, outmost), lambda: lines_of_outline(pair, grain, inmost, outmost)
    )
    lines = replace(every, inside=np.minimum(every.inside, pocket.span), outside=np.minimum(every.outside, plug.span))
    which = np.arange(len(lines.foot))
    alike = np.flatnonzero((lines.corner < 0) & (lines.inside >= pocket.span) & (lines.outside >= plug.span))
    # only a plan's walls are alike by what they are; each of other cuts may be its own
    if len(alike) and pocket.passes and plug.passes:
        # the first tells the cuts of all, and stands for their whole width
        own = np.ones(len(lines.foot), bool)
        own[alike[1:]] = False
        which = np.cumsum(own) - 1
        which[alike] = which[alike[0]]
        lines = Lines(**{x.name: getattr(lines, x.name)[own] for x in fields(Lines)})
        lines.width[which[alike[0]]] = every.width[alike].sum()
    nodes = _nodes(pair, grain, lines)
    depth, below = (_depth_along(side, lines, nodes.at, grain) for side in pair.sides)
    return Rays(
        **{x.name: getattr(lines, x.name) for x in fields(Lines)},
        **nodes._asdict(),
        overlap=pair.overlap(depth, below, lines.from_outline(nodes.at), lines.points(nodes.at)),
        depth=depth,
        below=below,
        grain=grain,
        each=Singles(every.foot, every.normal, every.width, which),
    )


class _Nodes(NamedTuple):
    """The columns of `Rays` that tell where its nodes lie."""

    at: Array
    area: Array
    wall: Index
    top: Index
    lip: Index


def _nodes(pair: Pair, grain: float, lines: Lines) -> _Nodes:
    """Distances of the nodes along each line, the plan area from each to the next, and which are wall, top and lip."""
    pocket, plug = pair.sides
    inside, outside = lines.inside, lines.outside

    def bounds(radius: Array, full: float, near: list[float], steps: list[float]) -> Array:
        graded = grain * np.array(near)
        near_axis = np.where((radius < full)[:, None], radius[:, None] - graded, radius[:, None] * (1 - graded / full))
        return np.sort(np.concatenate([np.maximum(near_axis, 0), radius[:, None] * np.array(steps)], 1), 1)

    edges_in = bounds(inside, pocket.full, [0.0, 0.25, 0.6, 1.0, 1.7], [0.0, 0.3, 0.6, 0.85])
    edges_out = -bounds(outside, plug.full, [0.0, 0.4, 1.0, 1.7], [0.0, 0.3, 0.7])
    # from the outer axis through the wall to the inner one
    line = np.concatenate([edges_out[:, ::-1], edges_in], 1)
    # the wall itself, both axes and the ends of the straight pieces of the overlap
    deep, low = pocket.tip_depth(inside), plug.tip_depth(outside)
    tip = pocket.declared.flank_radius + deep * pocket.declared.slope - pocket.actual.flank_start
    top = (pair.start_depth + low + plug.error) * plug.actual.slope - low * plug.declared.slope
    top += plug.actual.flank_radius - plug.declared.flank_radius
    lip = (
        (pocket.declared.flank_radius - pocket.actual.flank_radius)
        + deep * (pocket.declared.slope - pocket.actual.slope)
        - pocket.error * pocket.actual.slope
    )
    ends = [np.zeros(len(inside)), top, lip, inside, -outside, tip]
    steps = [side.sign * place for side in pair.sides for place in _steps(side)]
    extra = np.stack([*ends, *(np.full(len(inside), place) for place in steps)], 1)
    at = np.concatenate([np.clip(extra, -outside[:, None], inside[:, None]), line], 1)
    order = np.argsort(at, 1, kind="stable")
    at = np.take_along_axis(at, order, 1)
    middle = (at[:, 1:] + at[:, :-1]) / 2
    area = np.diff(at, axis=1) * np.where(lines.fan[:, None], np.abs(middle), 1.0) * lines.width[:, None]
    named = np.argsort(order, 1)
    sharp = lines.bisector
    if sharp.any():
        at[sharp] = _bisector_nodes(pair, lines.half_angle[sharp], inside[sharp] == 0, at.shape[1])
    return _Nodes(at=at, area=area, wall=named[:, 0], top=named[:, 1], lip=named[:, 2])


def _steps(side: Side) -> list[float]:
    """Distances from the wall where an earlier pass's flat begins and where the next pass's flank has come down to it.

    A bit that is not as declared leaves a step in the wall at the end of each pass, a clearing bit with rounded corners
    a fillet beside its foot.
    """
    declared, actual, rounded = side.declared, side.actual, side.floor.rounded
    found = []
    if rounded is not None:
        # where the tip's flat ends, the fillet's crest, and its run down to the floor
        fillet = rounded.fillet
        foot = [declared.flank_radius + actual.flank_radius, *np.linspace(fillet.crest, fillet.end, 6)]
        found += [side.foot + place for place in foot]
    if side.actual == side.declared:
        return found
    for one, following in pairwise(sorted(side.passes)):
        drop = following.depth + following.lower - one.depth - one.lower
        edge = declared.flank_radius + one.depth * declared.slope - actual.flank_radius
        found += [edge, edge + (following.depth - one.depth) * declared.slope - drop * actual.slope]
    return found


def _bisector_nodes(pair: Pair, half: Array, convex: Array, count: int) -> Array:
    """Places along a corner's bisector, from the vertex: round the first disc that fits, and spread along the rest."""
    r = np.where(convex, *(side.declared.flank_radius for side in pair.sides))
    a = np.where(convex, *(side.actual.flank_radius for side in pair.sides))
    error = np.where(convex, *(side.error * side.actual.slope for side in pair.sides))
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


def _depth_along(side: Side, lines: Lines, at: Array, grain: float) -> Array:
    """Depth of one cut at the nodes (n, k), as if the part had no face.

    A plan's: from the tip straight across, and from its neighbours where they can matter. Of other cuts every piece in
    reach is looked at.
    """
    if not side.passes:
        points = lines.points(at)
        low, high = points.min(1), points.max(1)
        return side.removed.depth(points, (low + high) / 2, (high - low).max(1) / 2 + side.reach)
    sign, actual, removed, bisector = side.sign, side.actual, side.removed, lines.bisector
    radius, half = lines.discs(side), lines.half_angle
    r, slope = side.declared.flank_radius, side.declared.slope
    depth = np.full(at.shape, -np.inf)
    wedge = (half > 0) & (radius == 0)
    fits = (radius >= r) & ~wedge
    # seen from a corner's blunt side, points of the bisector are nearest to its two edges
    away = np.where(bisector[:, None] & (at * sign < 0), at * np.sin(half)[:, None], at)
    for entry in side.passes:
        tip = np.minimum(entry.depth, (radius[fits] - r) / slope)
        aside = np.abs(away[fits] - (sign * (r + tip * slope))[:, None])
        across = (tip + entry.lower)[:, None] + side.error - actual.rise(aside)
        depth[fits] = np.maximum(depth[fits], across)
    # between full-width places nothing but the tip straight across reaches the wall
    near = np.flatnonzero((radius < side.full) & (wedge | ~bisector))
    if not len(near):
        return depth
    wedge = wedge[near]
    start = np.where(wedge, r / np.maximum(np.sin(half[near]), 0.02), radius[near])
    search = 1.5 * actual.flank_start + 0.5 * grain + 0.1 + 1.5 * abs(actual.slope / slope - 1) * radius[near]
    middle = lines.foot[near] + np.where(wedge, 0.0, sign * radius[near])[:, None] * lines.normal[near]
    narrow = radius[near] < 1.5 * r
    search[narrow] = np.maximum(search[narrow], 1.5 * removed.distance(middle[narrow]) + 2 * grain)
    search = np.where(wedge, start + 4 * grain + 0.2, search)
    place = at[near]
    if side.part == "plug":
        # behind a gap too narrow for the bit the plug's height comes from tips further off; it rises no faster than
        # the cutter's flank, so further in its bound is taken from a place near the wall
        behind = (radius[near] < r) & ~wedge
        place = np.where(behind[:, None], np.minimum(place, 6 * grain), place)
        search[behind] = np.minimum(1.2 * removed.distance(middle[behind]) + 8 * grain, side.reach + 8 * grain)
    points = lines.foot[near, None, :] + place[..., None] * lines.normal[near, None, :]
    found = removed.depth(points, middle, search)
    depth[near] = np.maximum(depth[near], found - (at[near] - place) / actual.slope)
    return depth
