"""Rings of coordinates to polygons: checked, refused with the place, never repaired."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.fill_rule import refuse_scribbles
from inlayfit.errors import InputError

Points = NDArray[np.float64]

MAX_VERTICES = 200_000

_REASON = re.compile(r"([A-Za-z -]+)\[(\S+) (\S+)\]")
_REASONS = {
    "self-intersection": "crosses itself",
    "ring self-intersection": "touches itself",
    "hole lies outside shell": "has a hole outside its outer ring",
    "holes are nested": "has a hole inside a hole",
    "interior is disconnected": "is cut in two by its holes",
    "duplicate rings": "has two equal rings",
}


@dataclass(frozen=True)
class RingedShape:
    """A polygon as a file gives it, unchecked: where it stands, its list of rings, the outer one first."""

    label: str
    rings: Any


def too_many_vertices(count: float) -> InputError:
    """The error for outlines above the limit, which all readers share."""
    return InputError(
        f"{count:,.0f} vertices, at most {MAX_VERTICES:,} are read: simplify the outline (0.01 mm is enough)"
    )


def point_text(x: float, y: float) -> str:
    """A place in the file's own coordinates, for messages."""
    return f"({x:.10g}, {y:.10g})"


def check_shapes(shapes: Sequence[RingedShape]) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons of the shapes, none overlapping another, and notes on what was done.

    Raises ``InputError`` with the place for rings that are open, empty, without area, not finite, that
    cross or touch themselves, for holes outside their shell, and for polygons that overlap. Polygons that
    share an edge are joined, and a note says so.
    """
    rings = [ring for shape in shapes if isinstance(shape.rings, list) for ring in shape.rings]
    count = sum(len(ring) for ring in rings if isinstance(ring, list))
    if count > MAX_VERTICES:
        raise too_many_vertices(count)
    coordinates = [_rings(shape) for shape in shapes]
    refuse_scribbles([ring for rings in coordinates for ring in rings])
    polygons = [_polygon(shape.label, rings) for shape, rings in zip(shapes, coordinates, strict=True)]
    if shapely.MultiPolygon(polygons).is_valid:
        return polygons, []
    whole = shapely.union_all(polygons)
    total = sum(polygon.area for polygon in polygons)
    if total - whole.area > 1e-9 * total:
        raise _overlap(shapes, polygons)
    joined = list(shapely.get_parts(whole))
    return joined, [f"{len(polygons)} polygons share edges: joined to {len(joined)}"]


def _rings(shape: RingedShape) -> list[Points]:
    if not isinstance(shape.rings, list) or not shape.rings:
        raise InputError(f"{shape.label}: empty, expected an outer ring")
    return [_coordinates(ring, _ring_label(shape.label, number)) for number, ring in enumerate(shape.rings)]


def _ring_label(label: str, number: int) -> str:
    return f"{label}, {f'hole {number}' if number else 'outer ring'}"


def _polygon(label: str, rings: list[Points]) -> shapely.Polygon:
    for number, ring in enumerate(rings):
        if shapely.LinearRing(ring).convex_hull.area == 0:
            place = point_text(*ring[0])
            raise InputError(f"{_ring_label(label, number)}: no area at {place}: redraw it or leave it out")
    polygon = shapely.Polygon(rings[0], rings[1:])
    if not polygon.is_valid:
        raise InputError(f"{label}: {_reason(polygon)}: redraw it so that no line meets another")
    return polygon


def _coordinates(positions: Any, label: str) -> Points:
    if not isinstance(positions, list):
        raise InputError(f"{label}: found {_shown(positions)}, expected a list of points")
    if not positions:
        raise InputError(f"{label}: empty, expected four points or more")
    for number, position in enumerate(positions, start=1):
        if not _is_position(position):
            raise InputError(f"{label}, point {number}: found {_shown(position)}, expected numbers x, y")
    first, last = positions[0][:2], positions[-1][:2]
    if list(first) != list(last):
        raise InputError(
            f"{label}: open: starts at {point_text(*first)}, ends at {point_text(*last)}; "
            "repeat the first point at the end"
        )
    if len(positions) < 4:
        raise InputError(f"{label}: {len(positions)} points, expected four or more, the last as the first")
    return np.array([position[:2] for position in positions], dtype=float)


def _is_position(position: Any) -> bool:
    return (
        isinstance(position, list)
        and len(position) >= 2
        and all(type(value) in (int, float) and _is_finite(value) for value in position)
    )


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # a whole number too large for a float
        return False


def _shown(found: Any) -> str:
    text = "nothing" if found is None else str(found)
    return text if len(text) <= 60 else text[:57] + "..."


def _reason(polygon: shapely.Polygon) -> str:
    """Why GEOS calls a polygon invalid, in words, with the place it names."""
    reason = str(shapely.is_valid_reason(polygon))
    match = _REASON.fullmatch(reason)
    if match is None:
        return reason
    words = _REASONS.get(match[1].lower(), match[1].lower())
    return f"{words} at {point_text(float(match[2]), float(match[3]))}"


def _overlap(shapes: Sequence[RingedShape], polygons: Sequence[shapely.Polygon]) -> InputError:
    # Of all pairs at least one holds its share of the area that was counted twice.
    total = sum(polygon.area for polygon in polygons)
    least = 1e-9 * total / len(polygons) ** 2
    first, second, common = next(found for found in _overlaps(polygons) if found[2].area >= least)
    place = shapely.get_coordinates(common.representative_point())[0]
    return InputError(
        f"{shapes[first].label} and {shapes[second].label} overlap at {point_text(*place)}: "
        "join them in the drawing program"
    )


def _overlaps(polygons: Sequence[shapely.Polygon]) -> Iterator[tuple[int, int, shapely.Geometry]]:
    tree = shapely.STRtree(polygons)
    for number, polygon in enumerate(polygons):
        for other in sorted(tree.query(polygon, predicate="intersects").tolist()):
            if other > number:
                yield number, other, polygon.intersection(polygons[other])
