"""Outlines that many tests share, made in the open so that their sizes are known.

Each is a function without arguments (or with defaults) that returns an Outline in mm. ``SHARED`` lists them all;
the constants beside a function are its exact sizes, for tests that know a closed form.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from shapely.geometry import LinearRing, Polygon

from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.survey import Survey

Corners = list[tuple[float, float]]


def survey(outline: Outline) -> Survey:
    return OutlineAnalysis(outline).survey


def polygon(corners: Corners, *holes: Corners) -> Outline:
    """One region from its corners."""
    return outline_of([Polygon(corners, holes)])


def square(side: float = 20.0) -> Outline:
    return polygon([(0, 0), (side, 0), (side, side), (0, side)])


def _circle(radius: float, count: int, at: tuple[float, float] = (0.0, 0.0)) -> Corners:
    angles = 2 * math.pi * np.arange(count) / count
    return [(at[0] + radius * math.cos(angle), at[1] + radius * math.sin(angle)) for angle in angles]


def circle(diameter: float = 24.0, count: int = 160) -> Outline:
    """A polygon of ``count`` corners on a circle."""
    return polygon(_circle(diameter / 2, count))


def star(points: int = 5, outer: float = 20.0, inner: float = 9.0) -> Outline:
    """A star by the radii of its points and of its notches; no two of its sides face each other."""
    corners = []
    for number in range(2 * points):
        radius, angle = (inner if number % 2 else outer), math.pi / 2 + math.pi * number / points
        corners.append((radius * math.cos(angle), radius * math.sin(angle)))
    return polygon(corners)


COMB_TOOTH, COMB_SLOT, COMB_BACK = 3.0, 2.0, 5.0


def comb(teeth: int = 6) -> Outline:
    """A back 5 mm high with teeth 3 mm wide and slots 2 mm wide, 12 mm long."""
    top, corners = COMB_BACK + 12.0, [(0.0, 0.0)]
    pitch = COMB_TOOTH + COMB_SLOT
    corners.append((pitch * teeth - COMB_SLOT, 0.0))
    for tooth in reversed(range(teeth)):
        left, right = pitch * tooth, pitch * tooth + COMB_TOOTH
        corners += [(right, top), (left, top)]
        if tooth:
            corners += [(left, COMB_BACK), (left - COMB_SLOT, COMB_BACK)]
    return polygon(corners)


PLUS_ARM = 7.0


def plus(across: float = 30.0) -> Outline:
    a, b = PLUS_ARM / 2, across / 2
    corners = []
    for _ in range(4):
        arm = [(b, -a), (b, a), (a, a)]
        corners += [_turned(corner, len(corners) // 3) for corner in arm]
    return polygon(corners)


def _turned(point: tuple[float, float], quarters: int) -> tuple[float, float]:
    x, y = point
    for _ in range(quarters):
        x, y = -y, x
    return (x, y)


RING_OUTER, RING_INNER, RING_COUNT = 15.0, 9.0, 180


def ring() -> Outline:
    """A band between two circles, of as many corners each, lying at the same angles."""
    return polygon(_circle(RING_OUTER, RING_COUNT), _circle(RING_INNER, RING_COUNT))


ISLAND_GAP = 1.5


def islands() -> Outline:
    """Four regions; the first two face each other 1.5 mm apart, the rest are further off. The last has a hole."""
    return outline_of(
        [
            Polygon([(0, 0), (20, 0), (20, 12), (0, 12)]),
            Polygon([(0, 12 + ISLAND_GAP), (14, 12 + ISLAND_GAP), (14, 20), (0, 20)]),
            Polygon(_circle(5.0, 90, (30.0, 5.0))),
            Polygon([(24, 14), (34, 14), (34, 22), (24, 22)], [[(27, 17), (31, 17), (31, 20), (27, 20)]]),
        ]
    )


SLIVER_LONG, SLIVER_WIDE = 40.0, 0.6


def sliver() -> Outline:
    """A thin right-angled triangle: a hairline that runs out to nothing."""
    return polygon([(0, 0), (SLIVER_LONG, 0), (0, SLIVER_WIDE)])


ELL_ARM = 4.0


def ell(size: float = 10.0) -> Outline:
    """An L with arms 4 mm wide."""
    return polygon([(0, 0), (size, 0), (size, ELL_ARM), (ELL_ARM, ELL_ARM), (ELL_ARM, size), (0, size)])


def lens(long: float = 30.0, wide: float = 9.0, count: int = 48) -> Outline:
    """Two equal arcs that meet in two sharp tips, like a leaf."""
    rise, half = wide / 2, long / 2
    radius = (half * half + rise * rise) / (2 * rise)
    sweep = math.asin(half / radius)
    across = np.linspace(-sweep, sweep, count + 1)
    upper = [(radius * math.sin(a), radius * math.cos(a) - radius + rise) for a in across]
    return polygon(upper[::-1] + [(x, -y) for x, y in upper[1:-1]])


SPIRAL_STROKE, SPIRAL_PITCH = 1.6, 4.0


def spiral_stroke(turns: float = 2.5, count: int = 300) -> Outline:
    """A stroke 1.6 mm wide along a spiral whose turns lie 4 mm apart; both sides are drawn point by point."""
    angle = np.linspace(1.5 * math.pi, 1.5 * math.pi + 2 * math.pi * turns, count)
    growth = SPIRAL_PITCH / (2 * math.pi)
    radius = growth * angle
    middle = np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
    along = np.stack(
        [growth * np.cos(angle) - radius * np.sin(angle), growth * np.sin(angle) + radius * np.cos(angle)],
        axis=1,
    )
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1) * (SPIRAL_STROKE / 2)
    return polygon([(float(x), float(y)) for x, y in np.vstack([middle + across, (middle - across)[::-1]])])


def noisy_lobed_ring(count: int = 420) -> Outline:
    """A seven-lobed band with an uneven edge, as a traced drawing has; the same on every run."""
    noise = np.random.default_rng(7)
    angles = 2 * math.pi * np.arange(count) / count
    outer = 18 + 2.5 * np.cos(7 * angles) + noise.normal(0, 0.03, count)
    inner = 10 + 1.5 * np.sin(5 * angles) + noise.normal(0, 0.03, count)
    rings = [
        [(float(r * math.cos(a)), float(r * math.sin(a))) for r, a in zip(radii, angles, strict=True)]
        for radii in (outer, inner)
    ]
    return polygon(rings[0], rings[1])


def near_degenerate() -> Outline:
    """A plate with what drawings bring along: points a hair apart, points in line, a slit and a whisker."""
    return polygon(
        [
            (0, 0),
            (5, 0),
            (5 + 1e-6, 0),
            (10, 0),
            (20, 0),
            (20, 4),
            (26, 4.005),
            (20, 4.01),
            (20, 10),
            (20 - 1e-7, 10 + 1e-7),
            (12.01, 10),
            (12.005, 3),
            (12, 10),
            (0, 10),
            (0, 5),
        ]
    )


SHARED: dict[str, Callable[[], Outline]] = {
    "square": square,
    "circle": circle,
    "star": star,
    "comb": comb,
    "plus": plus,
    "ring": ring,
    "islands": islands,
    "sliver": sliver,
    "ell": ell,
    "lens": lens,
    "spiral stroke": spiral_stroke,
    "noisy lobed ring": noisy_lobed_ring,
    "near-degenerate": near_degenerate,
}


def rings_of(outline: Outline) -> list[LinearRing]:
    """All rings as shapely rings, for distances worked out without the survey."""
    return [ring for region in outline.regions for ring in (region.exterior, *region.interiors)]
