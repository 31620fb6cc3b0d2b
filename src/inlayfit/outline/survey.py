"""What is found out about an outline alone: widths of strokes and gaps along it, corners, sizes.

Widths come from the largest disc that touches the outline at a place: its diameter is the stroke's width there
(disc inside) or the gap's (disc outside). It is found by shrinking a large disc, held tangent at the place, until no
other part of the outline is inside it; each step asks for the outline's point nearest to the disc's centre and passes
the disc through it, so the result is exact for the polygon. Cost: n log n.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.regions import Outline

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Point = tuple[float, float]

SAMPLES: Final = 4000
"""About how many places are looked at along an outline, beside one for each of its edges."""
# vertices that turn less are taken for a flattened curve's, not for corners
SMOOTH_TURN: Final = math.radians(25)
# walls face each other when they are within 5 degrees of parallel: a stroke, not the taper of a leaf
FACING: Final = -math.cos(math.radians(5))
FAN_STEP: Final = math.radians(4)
"""Angle between the directions in which discs are held against a vertex that sticks into them."""
# a wedge is half as wide half-way to its tip; a stroke is not
RUN_OUT: Final = 0.6
CORNER_REACH: Final = 0.1
"""How far along the outline, in mm, a corner's angle is measured: smaller roundings do not blunt it."""
_CONVERGED: Final = 1e-7
_FIRST_POINTS: Final = 250


@dataclass(frozen=True, kw_only=True)
class Discs:
    """The largest tangent discs on one side of the outline, one for each place looked at."""

    place: Floats
    """(n, 2) places on the outline, mm."""
    normal: Floats
    """(n, 2) unit normals there, into the disc."""
    length: Floats
    """(n,) how much of the outline each place stands for, mm; 0 at a vertex that sticks into the disc."""
    region: Ints
    """(n,) which region the place belongs to."""
    radius: Floats
    """(n,) mm."""
    centre: Floats
    """(n, 2) mm."""
    stroke: NDArray[np.bool_]
    """(n,) whether the place lies on a stroke or gap between facing walls, not where it runs out into a corner."""

    def share(self, where: NDArray[np.bool_]) -> float:
        """Share of the outline's length for which ``where`` holds."""
        return float(self.length[where].sum() / self.length.sum())


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A value with its place: mm or degrees, and (x, y) in mm."""

    value: float
    at: Point


@dataclass(frozen=True, kw_only=True)
class Survey:
    """What is known of an outline; a function of the outline alone, shared by all variants of a job."""

    area: float
    perimeter: float
    bounds: tuple[float, float, float, float]
    regions: int
    holes: int
    region_width: Floats
    """(regions,) the larger side of each region's bounds, mm."""
    inside: Discs
    outside: Discs
    narrowest_stroke: Measured
    narrowest_gap: Measured | None
    sharpest_corner: Measured


@dataclass(frozen=True)
class _Edges:
    """All edges of an outline, ring after ring."""

    start: Floats
    run: Floats
    long: Floats
    ring: Ints
    region: Ints
    along: Floats
    """Distance of the edge's start along its ring."""
    ring_length: Floats
    heading: Floats
    """Direction of the edge, radians."""
    turn: Floats
    """Turn at the edge's start, radians; to the left positive, where the vertex sticks out of the inlay."""
    next: Ints
    """The following edge of the ring."""


@dataclass(frozen=True)
class _Places:
    side: float
    """1 inside, -1 outside."""
    owner: Ints
    """Edge that each place lies on."""
    place: Floats
    normal: Floats
    length: Floats


def survey(outline: Outline) -> Survey:
    """Survey an outline (mm)."""
    edges = _edges(outline)
    tree = shapely.STRtree(
        shapely.linestrings(np.stack([edges.start, edges.start + edges.run], axis=1)), node_capacity=4
    )
    low_x, low_y, high_x, high_y = outline.bounds
    largest = math.hypot(high_x - low_x, high_y - low_y)
    walls = _Walls(edges, Boundary(outline.area), tree)
    inside = walls.discs(_places(edges, 1.0), largest / 2)
    outside = walls.discs(_places(edges, -1.0), largest)
    return Survey(
        area=float(outline.area.area),
        perimeter=float(edges.long.sum()),
        bounds=outline.bounds,
        regions=len(outline.regions),
        holes=outline.holes,
        region_width=np.array(
            [max(b[2] - b[0], b[3] - b[1]) for b in (region.bounds for region in outline.regions)], dtype=float
        ),
        inside=inside,
        outside=outside,
        narrowest_stroke=_narrowest(inside) or _widest(outline),
        narrowest_gap=_narrowest(outside),
        sharpest_corner=_sharpest(outline),
    )


def _edges(outline: Outline) -> _Edges:
    columns: list[tuple[NDArray[Any], ...]] = []
    ring_lengths = []
    first = 0
    for number, (region, points) in enumerate(outline.rings()):
        run = np.roll(points, -1, axis=0) - points
        long = np.hypot(run[:, 0], run[:, 1])
        keep = long > 0
        points, run, long = points[keep], run[keep], long[keep]
        heading = np.arctan2(run[:, 1], run[:, 0])
        turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
        along = np.concatenate([[0.0], np.cumsum(long)[:-1]])
        count = len(long)
        following = first + (np.arange(count) + 1) % count
        columns.append(
            (points, run, long, np.full(count, number), np.full(count, region), along, heading, turn, following)
        )
        ring_lengths.append(long.sum())
        first += count
    start, run, long, ring, region_of, along, heading, turn, following = (
        np.concatenate(column) for column in zip(*columns, strict=True)
    )
    return _Edges(start, run, long, ring, region_of, along, np.array(ring_lengths), heading, turn, following)


def _places(edges: _Edges, side: float) -> _Places:
    """Places to hold discs against, inside (``side`` 1) or outside (-1), in order along each ring.

    Edges are divided evenly. Next to a smooth vertex no place comes nearer to it than half the neighbouring
    edge: closer up the chord's own end would pass for a narrow stroke. A vertex that sticks into the disc gets a
    fan of directions, which stand for no length.
    """
    before = np.empty_like(edges.long)
    before[edges.next] = edges.long
    smooth = np.abs(edges.turn) < SMOOTH_TURN
    step = np.full(len(edges.long), edges.long.sum() / SAMPLES)
    step = np.where(smooth, np.maximum(step, before), step)
    step = np.where(smooth[edges.next], np.maximum(step, edges.long[edges.next]), step)
    pieces = np.maximum(1, (edges.long / step).astype(np.int64))
    blades = np.where(edges.turn * side < -FAN_STEP, np.ceil(np.abs(edges.turn) / FAN_STEP), 0).astype(np.int64)
    both = pieces + blades
    owner = np.repeat(np.arange(len(both)), both)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(both) - both, both)
    in_fan = rank < blades[owner]
    fraction = np.where(in_fan, 0.0, (rank - blades[owner] + 0.5) / pieces[owner])
    # the fan turns from the edge before to this one, ends left out
    back = np.where(in_fan, 1 - (rank + 0.5) / np.maximum(blades[owner], 1), 0.0)
    heading = edges.heading[owner] - back * edges.turn[owner]
    return _Places(
        side=side,
        owner=owner,
        place=edges.start[owner] + fraction[:, None] * edges.run[owner],
        normal=side * np.stack([-np.sin(heading), np.cos(heading)], axis=1),
        length=np.where(in_fan, 0.0, edges.long[owner] / pieces[owner]),
    )


@dataclass(frozen=True)
class _Walls:
    edges: _Edges
    boundary: Boundary
    tree: shapely.STRtree
    """Of the edges, to tell which one a disc touches."""

    def discs(self, places: _Places, largest: float) -> Discs:
        """Largest discs tangent at each place, none larger than ``largest``."""
        place, normal = places.place, places.normal
        radius, touch = self.boundary.touching_discs(
            place, normal, np.minimum(largest, self._first_radius(place, normal))
        )
        touched = self.tree.nearest(shapely.points(touch))
        centre = place + radius[:, None] * normal
        stroke = (radius < largest) & self._strokes(places, radius, centre, touched, touch)
        return Discs(
            place=place,
            normal=normal,
            length=places.length,
            region=self.edges.region[places.owner],
            radius=radius,
            centre=centre,
            stroke=stroke,
        )

    def _first_radius(self, place: Floats, normal: Floats) -> Floats:
        """A first bound on each disc from some of the outline's points: saves most of the nearest-point queries."""
        some = self.edges.start[:: max(1, len(self.edges.start) // _FIRST_POINTS)]
        radius = np.full(len(place), np.inf)
        for part in np.array_split(np.arange(len(place)), max(1, len(place) * len(some) // 1_000_000)):
            dx = some[:, 0] - place[part, 0, None]
            dy = some[:, 1] - place[part, 1, None]
            ahead = dx * normal[part, 0, None] + dy * normal[part, 1, None]
            with np.errstate(divide="ignore", invalid="ignore"):
                bound = np.where(ahead > _CONVERGED, (dx * dx + dy * dy) / (2 * ahead), np.inf)
            radius[part] = bound.min(axis=1)
        # a little more than the bound, so that the query below finds the touching edge itself
        return radius * (1 + 1e-6) + 2 * _CONVERGED

    def _strokes(
        self, places: _Places, radius: Floats, centre: Floats, touched: Ints, touch: Floats
    ) -> NDArray[np.bool_]:
        """Places whose disc spans facing walls that do not run out into a tip on the way between them."""
        edges = self.edges
        here, there = places.place - centre, touch - centre
        facing = np.einsum("ij,ij->i", here, there) <= FACING * radius**2
        ring = edges.ring[places.owner]
        whole = edges.ring_length[ring]
        along = edges.along[places.owner] + np.hypot(*(places.place - edges.start[places.owner]).T)
        touch_along = edges.along[touched] + np.hypot(*(touch - edges.start[touched]).T)
        way = (touch_along - along + whole / 2) % whole - whole / 2
        # the radius along the rings, down to nothing at the corners that this side's discs cannot fill
        ring_start = np.concatenate([[0.0], np.cumsum(edges.ring_length)])
        corner = edges.turn * places.side > SMOOTH_TURN
        corner_ring = edges.ring[corner]
        at_corner = ring_start[corner_ring] + edges.along[corner]
        first = edges.along[corner] == 0
        at_corner = np.concatenate([at_corner, at_corner[first] + edges.ring_length[corner_ring[first]]])
        known_at = np.concatenate([ring_start[ring] + along, at_corner])
        order = np.argsort(known_at, kind="stable")
        known = np.concatenate([radius, np.zeros(len(at_corner))])[order]
        runs_out = np.zeros(len(radius), dtype=bool)
        for turn in (way, way - np.copysign(whole, way)):  # both ways round the ring
            on_the_way = (np.interp(ring_start[ring] + (along + part * turn) % whole, known_at[order], known)
                          for part in (0.25, 0.75))  # fmt: skip
            runs_out |= np.maximum(*on_the_way) <= RUN_OUT * radius
        return facing & ~((ring == edges.ring[touched]) & runs_out)


def _narrowest(discs: Discs) -> Measured | None:
    if not discs.stroke.any():
        return None
    index = int(np.where(discs.stroke, discs.radius, np.inf).argmin())
    x, y = discs.centre[index]
    return Measured(value=2 * float(discs.radius[index]), at=(float(x), float(y)))


def _widest(outline: Outline) -> Measured:
    """Stands for the narrowest stroke of a shape that has no facing walls, such as a triangle."""
    best = Measured(value=0.0, at=(0.0, 0.0))
    for region in outline.regions:
        low_x, low_y, high_x, high_y = region.bounds
        line = shapely.maximum_inscribed_circle(region, tolerance=1e-6 * max(high_x - low_x, high_y - low_y))
        if 2 * line.length > best.value:
            x, y = line.coords[0]
            best = Measured(value=2 * float(line.length), at=(float(x), float(y)))
    return best


def _sharpest(outline: Outline) -> Measured:
    """Least angle, inside or outside, between the walls that meet at a vertex; degrees."""
    best, where = math.inf, (0.0, 0.0)
    for _, points in outline.rings():
        closed = np.vstack([points, points[:1]])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
        whole = along[-1]
        reach = min(CORNER_REACH, whole / 8)
        arms = []
        for shift in (-reach, reach):
            at = (along[:-1] + shift) % whole
            arms.append(np.stack([np.interp(at, along, closed[:, axis]) for axis in (0, 1)], axis=1) - points)
        cross = arms[0][:, 0] * arms[1][:, 1] - arms[0][:, 1] * arms[1][:, 0]
        angle = np.degrees(np.abs(np.arctan2(cross, np.einsum("ij,ij->i", *arms))))
        index = int(angle.argmin())
        if angle[index] < best:
            best, where = float(angle[index]), (float(points[index, 0]), float(points[index, 1]))
    return Measured(value=best, at=where)
