"""Where the plug's own drawing may lie on the pocket's: places to start from, and how it settles there.

Points of the plane are complex numbers, x + iy; lengths in mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from inlayfit.outline.boundary import Boundary

Complex = NDArray[np.complex128]

AGREE: Final = 0.05
"""Drawings nearer than this everywhere are the same drawing."""
BINS: Final = 720
"""Directions that a turn is first looked for in."""
PEAKS: Final = 12
ROUNDS: Final = 25
SURE_ROUNDS: Final = 8
SAMPLES: Final = 600
MOST_POINTS: Final = 20_000


@dataclass(frozen=True)
class Placement:
    """Plane motion z -> scale * turn * z + shift, of the drawing or of its mirror image; ``turn`` of length 1."""

    mirrored: bool
    scale: float
    turn: complex
    shift: complex

    def of(self, points: Complex) -> Complex:
        return self.scale * self.turn * (-points.conj() if self.mirrored else points) + self.shift


class Drawing:
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


class Placed:
    """A drawing in a placement, asked from outside: points are moved back to it, and the answer forth."""

    def __init__(self, drawing: Drawing, place: Placement) -> None:
        self.drawing, self.place = drawing, place

    def nearest(self, points: Complex) -> Complex:
        back = (points - self.place.shift) / (self.place.scale * self.place.turn)
        if self.place.mirrored:
            back = -back.conj()
        return self.place.of(self.drawing.nearest(back))


def starts(
    one: Drawing,
    other: Drawing,
    mirrored: bool,
    scale: float,
    mine: shapely.Geometry,
    theirs: shapely.Geometry,
    share: float,
) -> Iterator[tuple[float, Placement]]:
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
        start = Placement(mirrored, scale, turn, middles[0] - scale * turn * middle)
        moved = start.of(other.samples[::4])
        yield float(np.quantile(np.abs(moved - one.nearest(moved)), share)), start


def settled(one: Drawing, other: Drawing, start: Placement, share: float) -> Placement:
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
        place = Placement(
            place.mirrored, place.scale, step * place.turn, step * (place.shift - middle) + middle + shift
        )
        if abs(step - 1) * float(np.abs(a - middle).max()) + abs(shift) < 1e-9:
            break
    return place


def _around(area: shapely.Geometry) -> Complex:
    """Points along the edge of an area, evenly."""
    rings = [ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)]
    length = sum(ring.length for ring in rings)
    found = [_between(_complex(shapely.get_coordinates(ring)[:-1]), length / SAMPLES, only_even=True) for ring in rings]
    return np.concatenate(found)


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


def _complex(points: NDArray[np.float64]) -> Complex:
    return np.asarray(points[:, 0] + 1j * points[:, 1], dtype=np.complex128)
