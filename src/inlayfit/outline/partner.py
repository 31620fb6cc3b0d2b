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

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.placement import AGREE, Complex, Drawing, Placed, Placement, settled, starts
from inlayfit.outline.regions import Outline

SAME_SIZE: Final = 2e-4
"""A difference in size under this share is flattening and rounding."""
NOT_TURNED: Final = 0.5
"""A drawing stretched one way is known as such where it is turned by less, in degrees."""
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


def partner(pocket: Boundary, plug: Outline) -> Partner:
    """Compare two drawings: mirrored as they should be, else as they are, else at another size, else in part.

    Stretched one way is tried between size and part, for drawings that are not turned as well.
    """
    one, other = Drawing(pocket), Drawing(Boundary(plug))
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
    stretched = Drawing(Boundary(_scaled(plug, 1 / stretch[0], 1 / stretch[1])))
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


def _pairs(one: Drawing, other: Drawing) -> list[tuple[shapely.Geometry, shapely.Geometry]]:
    """Regions without their holes that may be the same, by their area and the length of their edge."""
    pairs = []
    for mine in one.anchors[1 : 1 + ANCHORS]:
        for theirs in other.anchors[1 : 1 + 2 * ANCHORS]:
            if abs(theirs.area / mine.area - 1) < 0.01 and abs(theirs.length / mine.length - 1) < 0.01:
                pairs.append((mine, theirs))
    return pairs or [(one.anchors[0], other.anchors[0])]


def _best(
    one: Drawing, other: Drawing, mirrored: bool, scale: float, pairs: Sequence[tuple[shapely.Geometry, ...]]
) -> Partner:
    """The best placement of this kind: of those that agree the one turned least, else the one that agrees most."""
    found: list[tuple[float, Partner]] = []
    for mine, theirs in pairs:
        # where the drawings are not the same, most of one may have no like in the other
        share = 0.5 if mine is one.anchors[0] else 0.15
        tried = sorted(starts(one, other, mirrored, scale, mine, theirs, share), key=lambda start: start[0])
        for _, start in tried[:4]:
            result, agreeing = _judged(one, other, settled(one, other, start, share))
            if result.largest <= AGREE and abs(result.turn) < 0.01:
                return result
            found.append((agreeing, result))
    agreed = [result for _, result in found if result.largest <= AGREE]
    if agreed:
        return min(agreed, key=lambda result: abs(result.turn))
    return max(found, key=lambda entry: (round(entry[0], 3), -entry[1].largest))[1]


def _judged(one: Drawing, other: Drawing, place: Placement) -> tuple[Partner, float]:
    """What is left between the drawings in a placement, and which share of the points agrees."""
    placed_tree = Placed(other, place)
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


def _lacks(rings: Sequence[Complex], off: Sequence[NDArray[np.float64]], holes: Sequence[bool]) -> Iterator[Lack]:
    """Rings of which hardly a point has its like."""
    for ring, distances, is_hole in zip(rings, off, holes, strict=True):
        if (distances > AGREE).mean() > 0.5:
            worst = int(distances.argmax())
            yield Lack(
                at=(float(ring[worst].real), float(ring[worst].imag)), distance=float(distances[worst]), is_hole=is_hole
            )
