"""What is found out about an outline alone: widths of strokes and gaps along it, corners, sizes.

Widths come from the largest disc that touches the outline at a place: its diameter is the stroke's width there
(disc inside) or the gap's (disc outside). It is found by shrinking a large disc, held tangent at the place, until no
other part of the outline is inside it; each step asks for the outline's point nearest to the disc's centre and passes
the disc through it, so the result is exact for the polygon. Cost: n log n.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.edges import Array, Edges, Flags, Index
from inlayfit.outline.regions import Outline

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

    place: Array
    """(n, 2) places on the outline, mm."""
    normal: Array
    """(n, 2) unit normals there, into the disc."""
    length: Array
    """(n,) how much of the outline each place stands for, mm; 0 at a vertex that sticks into the disc."""
    region: Index
    """(n,) which region the place belongs to."""
    radius: Array
    """(n,) mm."""
    centre: Array
    """(n, 2) mm."""
    stroke: Flags
    """(n,) whether the place lies on a stroke or gap between facing walls, not where it runs out into a corner."""

    def width(self, disc: int) -> float:
        """How wide the stroke or gap is there, mm."""
        return 2 * float(self.radius[disc])

    def runs(self, disc: int) -> float:
        """Direction in which the wall runs there, degrees from 0 to 180."""
        x, y = self.normal[disc]
        return math.degrees(math.atan2(x, -y)) % 180

    def share(self, where: Flags) -> float:
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
    region_width: Array
    """(regions,) the larger side of each region's bounds, mm."""
    inside: Discs
    outside: Discs
    narrowest_stroke: Measured
    narrowest_gap: Measured | None
    sharpest_corner: Measured
    """Between straight edges as drawn; of a flattened curve, which has no corner, between two of its chords."""

    @property
    def corner(self) -> Measured | None:
        """The sharpest corner; None where all that turns is a curve's flattening."""
        return None if 180 - self.sharpest_corner.value < math.degrees(SMOOTH_TURN) else self.sharpest_corner


@dataclass(frozen=True)
class _Places:
    side: float
    """1 inside, -1 outside."""
    owner: Index
    """Edge that each place lies on."""
    place: Array
    normal: Array
    length: Array


def survey(boundary: Boundary) -> Survey:
    """Survey an outline (mm) by its line work."""
    outline, edges = boundary.outline, boundary.edges
    low_x, low_y, high_x, high_y = outline.bounds
    largest = math.hypot(high_x - low_x, high_y - low_y)
    inside = _discs(boundary, _places(edges, 1.0), largest / 2)
    outside = _discs(boundary, _places(edges, -1.0), largest)
    return Survey(
        area=float(outline.area.area),
        perimeter=float(edges.length.sum()),
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


def _places(edges: Edges, side: float) -> _Places:
    """Places to hold discs against, inside (``side`` 1) or outside (-1), in order along each ring.

    Edges are divided evenly. Next to a smooth vertex no place comes nearer to it than half the neighbouring
    edge: closer up the chord's own end would pass for a narrow stroke. A vertex that sticks into the disc gets a
    fan of directions, which stand for no length.
    """
    smooth = np.abs(edges.turn) < SMOOTH_TURN
    step = np.full(len(edges.length), edges.length.sum() / SAMPLES)
    step = np.where(smooth, np.maximum(step, edges.length[edges.before]), step)
    step = np.where(smooth[edges.after], np.maximum(step, edges.length[edges.after]), step)
    pieces = np.maximum(1, (edges.length / step).astype(np.int64))
    blades = np.where(edges.turn * side < -FAN_STEP, np.ceil(np.abs(edges.turn) / FAN_STEP), 0).astype(np.int64)
    both = pieces + blades
    owner = np.repeat(np.arange(len(both)), both)
    rank = np.arange(len(owner)) - np.repeat(np.cumsum(both) - both, both)
    in_fan = rank < blades[owner]
    fraction = np.where(in_fan, 0.0, (rank - blades[owner] + 0.5) / pieces[owner])
    # the fan turns from the edge before to this one, ends left out
    back = np.where(in_fan, 1 - (rank + 0.5) / np.maximum(blades[owner], 1), 0.0)
    along = edges.along[owner]
    heading = np.arctan2(along[:, 1], along[:, 0]) - back * edges.turn[owner]
    return _Places(
        side=side,
        owner=owner,
        place=edges.start[owner] + fraction[:, None] * (edges.end - edges.start)[owner],
        normal=side * np.stack([-np.sin(heading), np.cos(heading)], axis=1),
        length=np.where(in_fan, 0.0, edges.length[owner] / pieces[owner]),
    )


def _discs(boundary: Boundary, places: _Places, largest: float) -> Discs:
    """Largest discs tangent at each place, none larger than ``largest``."""
    edges = boundary.edges
    place, normal = places.place, places.normal
    radius, touch = boundary.touching_discs(place, normal, np.minimum(largest, _first_radius(edges, place, normal)))
    touched = boundary.nearest_edge(touch)[0]
    centre = place + radius[:, None] * normal
    stroke = (radius < largest) & _strokes(edges, places, radius, centre, touched, touch)
    return Discs(
        place=place,
        normal=normal,
        length=places.length,
        region=edges.region[places.owner],
        radius=radius,
        centre=centre,
        stroke=stroke,
    )


def _first_radius(edges: Edges, place: Array, normal: Array) -> Array:
    """A first bound on each disc from some of the outline's points: saves most of the nearest-point queries."""
    some = edges.start[:: max(1, len(edges.start) // _FIRST_POINTS)]
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


def _strokes(edges: Edges, places: _Places, radius: Array, centre: Array, touched: Index, touch: Array) -> Flags:
    """Places whose disc spans facing walls that do not run out into a tip on the way between them."""
    here, there = places.place - centre, touch - centre
    facing = np.einsum("ij,ij->i", here, there) <= FACING * radius**2
    ring = edges.ring[places.owner]
    whole = edges.ring_length[ring]
    along = edges.station[places.owner] + np.hypot(*(places.place - edges.start[places.owner]).T)
    touch_along = edges.station[touched] + np.hypot(*(touch - edges.start[touched]).T)
    way = (touch_along - along + whole / 2) % whole - whole / 2
    # the radius along the rings, down to nothing at the corners that this side's discs cannot fill
    ring_start = np.concatenate([[0.0], np.cumsum(edges.ring_length)])
    corner = edges.turn * places.side > SMOOTH_TURN
    corner_ring = edges.ring[corner]
    at_corner = ring_start[corner_ring] + edges.station[corner]
    first = edges.station[corner] == 0
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
