"""The outline: the inlaid shape as seen on the finished face, and its offsets.

All lengths in mm, x to the right, y up. The only module that offsets.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from inlayfit.errors import InputError

FLATNESS: Final = 0.005
"""Largest distance in mm between a curve and the chords that stand for it."""
# facets plus the engine's own simplifying keep an offset within 0.07 % of its distance with 32
QUADRANT_SEGMENTS: Final = 32


@dataclass(frozen=True)
class Outline:
    """Regions that do not overlap, each a valid polygon with its holes; largest first.

    Rings run with the wood of the inlay on their left: outer rings anticlockwise, holes clockwise.
    """

    regions: tuple[Polygon, ...]
    notes: tuple[str, ...] = ()
    partner: Outline | None = None
    """The plug's own drawing as it is, where it has one."""

    @cached_property
    def area(self) -> MultiPolygon:
        """The regions as one geometry."""
        return MultiPolygon(self.regions)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Lowest x and y, highest x and y."""
        low_x, low_y, high_x, high_y = self.area.bounds
        return (float(low_x), float(low_y), float(high_x), float(high_y))

    @property
    def holes(self) -> int:
        """How many holes there are in all regions."""
        return sum(len(region.interiors) for region in self.regions)

    def rings(self) -> list[tuple[int, NDArray[np.float64]]]:
        """Region number and (n, 2) points of every ring, not closed, the inlay on the left."""
        found: list[tuple[int, NDArray[np.float64]]] = []
        for number, region in enumerate(self.regions):
            for ring in (region.exterior, *region.interiors):
                found.append((number, np.asarray(ring.coords, dtype=float)[:-1, :2]))
        return found


def outline_of(polygons: Iterable[Polygon], notes: Iterable[str] = ()) -> Outline:
    """An outline from valid polygons that do not overlap: rings turned, regions put in a fixed order.

    Raises :class:`InputError` where nothing is left.
    """
    regions = [shapely.geometry.polygon.orient(polygon) for polygon in polygons if polygon.area > 0]
    if not regions:
        raise InputError("the outline has no area, expected at least one closed shape", where=("outline",))
    regions.sort(key=lambda region: (-round(region.area, 6), region.bounds))
    return Outline(tuple(regions), tuple(notes))


def grown(area: BaseGeometry, distance: float) -> BaseGeometry:
    """``area`` grown by ``distance`` mm (shrunk where negative) with round corners.

    Facets lie inside the true arc, so the result is up to 0.07 % of the distance short of it: what is grown comes
    out a little small, what is shrunk a little large.
    """
    if distance == 0:
        return area
    return area.buffer(distance, quad_segs=QUADRANT_SEGMENTS)


def polygons_of(area: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons in a geometry of any type; empty where there are none."""
    parts: Any = getattr(area, "geoms", (area,))
    return tuple(part for part in parts if isinstance(part, Polygon) and not part.is_empty)


def arc_points(radius: float, flatness: float = FLATNESS) -> int:
    """How many chords a full circle needs to lie within ``flatness`` mm of it; a multiple of four."""
    half_step = math.acos(max(0.0, 1 - flatness / radius)) if radius > flatness else math.pi / 4
    return max(16, 4 * math.ceil(math.pi / half_step / 4))
