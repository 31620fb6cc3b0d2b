"""The plug's own drawing against the pocket's: the placement under which they agree, and what keeps them apart.

All lengths in mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Polygon

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.regions import Outline

Complex = NDArray[np.complex128]

AGREE: Final = 0.05
"""Drawings nearer than this everywhere are the same drawing."""
SAME_SIZE: Final = 2e-4
"""A difference in size under this share is flattening and rounding."""
NOT_TURNED: Final = 0.5
"""A drawing stretched one way is known as such where it is turned by less, in degrees."""
BINS: Final = 720
"""Directions that a turn is first looked for in."""
PEAKS: Final = 12
ROUNDS: Final = 25
SURE_ROUNDS: Final = 8
SAMPLES: Final = 600
MOST_POINTS: Final = 20_000
ANCHORS: Final = 5
"""Regions, the largest first, that a placement is tried by where the whole does not agree."""


@dataclass(frozen=True, kw_only=True)
class Lack:
    """A ring that one drawing has and the other lacks: a point of it in the pocket's frame, and how far it is off."""

    at: tuple[float, float]
    distance: float
    is_hole: bool


@dataclass(frozen=True, kw_only=True)
class Partner:
    """How the plug's drawing lies best on the pocket's.

    ``mirrored`` tells whether it has to be mirrored for that, left to right, as it should; ``turn`` how far it is then
    turned, in degrees anticlockwise; ``scale`` how large it is against the pocket's. ``largest`` is the largest
    distance then left between the two, and ``at`` where, in the pocket's frame.
    """

    mirrored: bool
    turn: float
    scale: float
    largest: float
    at: tuple[float, float]
    largest_mirrored: float
    """The largest distance where it may only be mirrored, turned and shifted."""
    at_mirrored: tuple[float, float]
    """Where that is, in the pocket's frame."""
    stretch: tuple[float, float] | None = None
    """How wide and how high it is against the pocket's, where it was stretched one way more than the other."""
    missing: tuple[Lack, ...] = ()
    """Rings of the pocket's that the plug's lacks."""
    extra: tuple[Lack, ...] = ()
    """Rings of the plug's that the pocket's lacks."""


@dataclass(frozen=True)
class _Placement:
    """Plane motion z -> scale * turn * z + shift, of the drawing or of its mirror image; ``turn`` of length 1."""

    mirrored: bool
    scale: float
    turn: complex
    shift: complex

    def of(self, points: Complex) -> Complex:
        return self.scale * self.turn * (-points.conj() if self.mirrored else points) + self.shift


class _Drawing:
    """Rings as points, and the nearest point on any of their edges."""

    def __init__(self, boundary: Boundary) -> None:
        outline = boundary.outline
        self.rings: list[Complex] = [_complex(ring) for _, ring in outline.rings()]
        self.is_hole = [number > 0 for region in outline.regions for number in range(1 + len(region.interiors))]
        length = sum(float(abs(np.roll(ring, -1) - ring).sum()) for ring in self.rings)
        dense = max(length / MOST_POINTS, AGREE)
        self.points = [_between(ring, dense * 4) for ring in self.rings]
        self.samples = np.concatenate([_between(ring, length / SAMPLES, only_even=True) for ring in self.rings])
        self.boundary = boundary
        self.anchors = [outline.area, *(Polygon(region.exterior) for region in outline.regions)]

    def nearest(self, points: Complex) -> Complex:
        """The point of the drawing that is nearest to each point."""
        return self.nearest_edge(points)[0]

    def nearest_edge(self, points: Complex) -> tuple[Complex, Complex]:
        """The nearest point of the drawing to each point, and the direction square to the edge it lies on."""
        edge, nearest = self.boundary.nearest_edge(np.stack([points.real, points.imag], axis=1))
        return _complex(nearest), _complex(self.boundary.edges.normal[edge])


def partner(pocket: Boundary, plug: Outline) -> Partner:
    """Compare two drawings: mirrored as they should be, else as they are, else at another size, else in part.

    Stretched one way is tried between size and part, for drawings that are not turned as well.
    """
    one, other = _Drawing(pocket), _Drawing(Boundary(plug))
    scale = math.sqrt(pocket.outline.area.area / plug.area.area)
    sizes = [1.0] if abs(scale - 1) < SAME_SIZE else [1.0, scale]
    whole = (one.anchors[0], other.anchors[0])
    best: Partner | None = None
    for size in sizes:
        for mirrored in (True, False):
            found = _best(one, other, mirrored, size, [whole])
            if best is None:  # the placement as it should be is what others are measured against
                best = found
            if found.largest <= AGREE:
                return _beside(found, best)
    assert best is not None
    stretch = _stretch(pocket.outline, plug)
    stretched = _Drawing(Boundary(_scaled(plug, 1 / stretch[0], 1 / stretch[1])))
    for mirrored in (True, False):
        found = _best(one, stretched, mirrored, 1.0, [(whole[0], stretched.anchors[0])])
        if found.largest <= AGREE and abs(found.turn) < NOT_TURNED:
            return replace(_beside(found, best), stretch=stretch)
    for mirrored in (True, False):
        found = _best(one, other, mirrored, 1.0, _pairs(one, other))
        lacks = len(found.missing) + len(found.extra)
        if lacks and (len(found.missing) < len(one.rings)) and (not found.missing or not found.extra):
            return _beside(found, best)
    return best


def _beside(found: Partner, as_it_should_be: Partner) -> Partner:
    return replace(found, largest_mirrored=as_it_should_be.largest, at_mirrored=as_it_should_be.at)


def _stretch(pocket: Outline, plug: Outline) -> tuple[float, float]:
    """How wide and how high the plug's drawing is against the pocket's."""
    (x0, y0, x1, y1), (u0, v0, u1, v1) = pocket.area.bounds, plug.area.bounds
    return (u1 - u0) / (x1 - x0), (v1 - v0) / (y1 - y0)


def _scaled(outline: Outline, wide: float, high: float) -> Outline:
    return Outline(tuple(affinity.scale(region, wide, high, origin=(0, 0)) for region in outline.regions))


def _pairs(one: _Drawing, other: _Drawing) -> list[tuple[shapely.Geometry, shapely.Geometry]]:
    """Regions without their holes that may be the same, by their area and the length of their edge."""
    pairs = []
    for mine in one.anchors[1 : 1 + ANCHORS]:
        for theirs in other.anchors[1 : 1 + 2 * ANCHORS]:
            if abs(theirs.area / mine.area - 1) < 0.01 and abs(theirs.length / mine.length - 1) < 0.01:
                pairs.append((mine, theirs))
    return pairs or [(one.anchors[0], other.anchors[0])]


def _best(
    one: _Drawing, other: _Drawing, mirrored: bool, scale: float, pairs: Sequence[tuple[shapely.Geometry, ...]]
) -> Partner:
    """The best placement of this kind: of those that agree the one turned least, else the one that agrees most."""
    found: list[tuple[float, Partner]] = []
    for mine, theirs in pairs:
        # where the drawings are not the same, most of one may have no like in the other
        share = 0.5 if mine is one.anchors[0] else 0.15
        starts = sorted(_starts(one, other, mirrored, scale, mine, theirs, share), key=lambda start: start[0])
        for _, start in starts[:4]:
            result, agreeing = _judged(one, other, _settled(one, other, start, share))
            if result.largest <= AGREE and abs(result.turn) < 0.01:
                return result
            found.append((agreeing, result))
    agreed = [result for _, result in found if result.largest <= AGREE]
    if agreed:
        return min(agreed, key=lambda result: abs(result.turn))
    return max(found, key=lambda entry: (round(entry[0], 3), -entry[1].largest))[1]


def _starts(
    one: _Drawing,
    other: _Drawing,
    mirrored: bool,
    scale: float,
    mine: shapely.Geometry,
    theirs: shapely.Geometry,
    share: float,
) -> Iterator[tuple[float, _Placement]]:
    """Placements to start from, middle on middle, at the turns where the reach of both agrees best; with a mark.

    The reach of a shape, the length of its edge times the distance from the middle, is summed up in bins of direction;
    turning is shifting the bins, and all shifts are compared at once by their Fourier transforms. The mark is the
    distance that ``share`` of the points keep to.
    """
    middles = [complex(area.centroid.x, area.centroid.y) for area in (mine, theirs)]
    ours, their_own = _around(mine) - middles[0], _around(theirs) - middles[1]
    spectra = []
    for points in (ours, -their_own.conj() if mirrored else their_own):
        bins = np.round(np.angle(points) / (2 * math.pi) * BINS).astype(int) % BINS
        reach = np.bincount(bins, weights=np.abs(points), minlength=BINS)
        smooth = np.exp(-0.5 * (np.minimum(np.arange(BINS), BINS - np.arange(BINS)) / 2.0) ** 2)
        spectra.append(np.fft.fft(reach) * np.fft.fft(smooth))
    likeness = np.fft.ifft(spectra[0] * spectra[1].conj()).real
    peaks = np.flatnonzero((likeness >= np.roll(likeness, 1)) & (likeness >= np.roll(likeness, -1)))
    peaks = peaks[np.argsort(-likeness[peaks], kind="stable")][:PEAKS]
    middle = -middles[1].conjugate() if mirrored else middles[1]
    for bin_ in sorted({0, *peaks.tolist()}):
        turn = cmath.exp(2j * math.pi * bin_ / BINS)
        start = _Placement(mirrored, scale, turn, middles[0] - scale * turn * middle)
        moved = start.of(other.samples[::4])
        yield float(np.quantile(np.abs(moved - one.nearest(moved)), share)), start


def _around(area: shapely.Geometry) -> Complex:
    """Points along the edge of an area, evenly."""
    rings = [ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)]
    length = sum(ring.length for ring in rings)
    found = [_between(_complex(shapely.get_coordinates(ring)[:-1]), length / SAMPLES, only_even=True) for ring in rings]
    return np.concatenate(found)


def _complex(points: NDArray[np.float64]) -> Complex:
    return np.asarray(points[:, 0] + 1j * points[:, 1], dtype=np.complex128)


def _settled(one: _Drawing, other: _Drawing, start: _Placement, share: float) -> _Placement:
    """The placement after moving nearer round by round, by the points that lie near already.

    First the nearest points are drawn onto one another, which is sure and slow, then the edges by the distance square
    to them, which slide along one another: least squares in turn and shift.
    """
    place = start
    for number in range(ROUNDS):
        moved = place.of(other.samples)
        target, normal = one.nearest_edge(moved)
        off = np.abs(moved - target)
        near = off <= max(3 * float(np.quantile(off, share)), 1e-9)
        a, b, n = moved[near], target[near], normal[near]
        middle = complex(a.mean())
        if number < SURE_ROUNDS:
            product = complex(((b - b.mean()) * (a - middle).conj()).sum())
            step = product / abs(product) if abs(product) > 0 else 1 + 0j
            shift = complex(b.mean()) - middle
        else:
            # n . (shift + turn x (a - middle)) = n . (b - a)
            lever = (n.conj() * 1j * (a - middle)).real
            matrix = np.column_stack([n.real, n.imag, lever])
            right = (n.conj() * (b - a)).real
            x, y, turn = np.linalg.lstsq(matrix, right, rcond=1e-9)[0].tolist()
            step, shift = cmath.exp(1j * turn), complex(x, y)
        place = _Placement(
            place.mirrored, place.scale, step * place.turn, step * (place.shift - middle) + middle + shift
        )
        if abs(step - 1) * float(np.abs(a - middle).max()) + abs(shift) < 1e-9:
            break
    return place


def _judged(one: _Drawing, other: _Drawing, place: _Placement) -> tuple[Partner, float]:
    """What is left between the drawings in a placement, and which share of the points agrees."""
    placed_tree = _Placed(other, place)
    ours = [np.abs(ring - placed_tree.nearest(ring)) for ring in one.points]
    placed = [place.of(ring) for ring in other.points]
    theirs = [np.abs(ring - one.nearest(ring)) for ring in placed]
    points, off = np.concatenate([*one.points, *placed]), np.concatenate([*ours, *theirs])
    worst = int(off.argmax())
    result = Partner(
        mirrored=place.mirrored,
        turn=math.degrees(cmath.phase(place.turn)),
        scale=1 / place.scale,
        largest=float(off[worst]),
        at=(float(points[worst].real), float(points[worst].imag)),
        largest_mirrored=float(off[worst]),
        at_mirrored=(float(points[worst].real), float(points[worst].imag)),
        missing=tuple(_lacks(one.points, ours, one.is_hole)),
        extra=tuple(_lacks(placed, theirs, other.is_hole)),
    )
    return result, float((off <= AGREE).mean())


class _Placed:
    """A drawing in a placement, asked from outside: points are moved back to it, and the answer forth."""

    def __init__(self, drawing: _Drawing, place: _Placement) -> None:
        self.drawing, self.place = drawing, place

    def nearest(self, points: Complex) -> Complex:
        back = (points - self.place.shift) / (self.place.scale * self.place.turn)
        if self.place.mirrored:
            back = -back.conj()
        return self.place.of(self.drawing.nearest(back))


def _lacks(rings: Sequence[Complex], off: Sequence[NDArray[np.float64]], holes: Sequence[bool]) -> Iterator[Lack]:
    """Rings of which hardly a point has its like."""
    for ring, distances, is_hole in zip(rings, off, holes, strict=True):
        if (distances > AGREE).mean() > 0.5:
            worst = int(distances.argmax())
            yield Lack(
                at=(float(ring[worst].real), float(ring[worst].imag)), distance=float(distances[worst]), is_hole=is_hole
            )


def _between(ring: Complex, step: float, *, only_even: bool = False) -> Complex:
    """Points along a closed ring not further apart than ``step``; with its corners, unless ``only_even``."""
    sides = abs(np.roll(ring, -1) - ring)
    if only_even:
        count = max(8, math.ceil(float(sides.sum()) / step))
        along = np.concatenate([[0.0], np.cumsum(sides)])
        at = np.linspace(0, along[-1], count, endpoint=False)
        closed = np.append(ring, ring[0])
        return np.interp(at, along, closed.real) + 1j * np.interp(at, along, closed.imag)
    counts = np.maximum(np.ceil(sides / step).astype(int), 1)
    index = np.repeat(np.arange(len(ring)), counts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[index]
    return np.asarray(ring[index] + share * (np.roll(ring, -1) - ring)[index])
