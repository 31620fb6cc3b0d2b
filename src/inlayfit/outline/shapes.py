"""Inline shapes of a job sheet, drawn as polygons and put together in the order listed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import scale as scaled
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from inlayfit.errors import InputError
from inlayfit.outline.regions import FLATNESS, arc_points, polygons_of
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

Points = NDArray[np.float64]
Shape = Mapping[str, Any]

_NO_AREA: Final = 1e-12
"""Of a perimeter's square: what rounding leaves of the area of points in a line."""
LEAST_WIDTH: Final = 0.001
"""What is narrower on average than this, in mm at the final size, no shop can see or cut."""
_ROUNDING: Final = 1e-6
"""What is narrower than this, in mm, comes from adding and cutting, not from the maker."""
# the library's reasons for one ring without holes, "Self-intersection[15 15]"
_REASON: Final = re.compile(r"([\w -]+)\[(\S+) (\S+)\]")
_REASONS: Final = {"Self-intersection": "crosses itself", "Ring Self-intersection": "touches itself"}


def drawn(
    shapes: Sequence[Shape],
    *,
    width: float | None = None,
    height: float | None = None,
    scale: float | None = None,
    unit: LengthUnit = "mm",
) -> tuple[Polygon, ...]:
    """Polygons of the shapes, added and cut in the order listed, then scaled; mm.

    Each mapping holds one shape's key and value as in the sheet, and may hold ``at``, ``turn`` and ``hole``. At
    most one of ``width``, ``height`` and ``scale`` is given; ``unit`` is that of places in messages. Curves lie
    within :data:`FLATNESS` at the final size. Raises :class:`InputError` for a polygon that crosses itself or has no
    area or is under :data:`LEAST_WIDTH` wide, for an inner circle of a star that is not inside its outer one, for
    slivers that the shapes leave between them, and where nothing is left.
    """
    factor = scale or 1.0
    if width is not None or height is not None:
        low_x, low_y, high_x, high_y = _put_together(shapes, FLATNESS, 0.0, unit).bounds
        factor = width / (high_x - low_x) if width is not None else (height or 0.0) / (high_y - low_y)
    area = _put_together(shapes, FLATNESS / factor, LEAST_WIDTH / factor, unit)
    parts = polygons_of(scaled(area, factor, factor, origin=(0, 0)))
    return tuple(Polygon(part.exterior, _wide(part.interiors, unit)) for part in parts if _wide([part.exterior], unit))


def _wide(rings: Iterable[BaseGeometry], unit: LengthUnit) -> list[BaseGeometry]:
    """The rings that are no mere rounding; refuses what is wider, and still too narrow to see."""
    kept = []
    for ring in rings:
        width = 2 * Polygon(ring).area / ring.length
        if width < _ROUNDING:
            continue
        if width < LEAST_WIDTH:
            x, y = (value / MM_PER_UNIT[unit] for value in ring.coords[0])
            raise InputError(
                f"the shapes leave a sliver under {LEAST_WIDTH} mm wide at ({x:.6g}, {y:.6g}) {unit}: move one of them",
                where=("outline", "shapes"),
            )
        kept.append(ring)
    return kept


def _put_together(shapes: Sequence[Shape], flatness: float, least_width: float, unit: LengthUnit) -> BaseGeometry:
    area: BaseGeometry = MultiPolygon()
    for number, shape in enumerate(shapes, start=1):
        where = ("outline", "shapes", f"[{number}]")
        polygon = _polygon(_placed(_corners(shape, where, flatness), shape), where, least_width, unit)
        area = area.difference(polygon) if shape.get("hole") else area.union(polygon)
    if not polygons_of(area):
        raise InputError("the shapes leave no area, expected at least one that adds", where=("outline", "shapes"))
    return area


def _corners(shape: Shape, where: tuple[str, ...], flatness: float) -> Points:
    if "polygon" in shape:
        return np.array(shape["polygon"], dtype=float)
    if "rectangle" in shape:
        width, height = shape["rectangle"]
        return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (width / 2, height / 2)
    if "circle" in shape:
        return _around(shape["circle"] / 2, arc_points(shape["circle"] / 2, flatness))
    if "ellipse" in shape:
        width, height = shape["ellipse"]
        # a chord of the stretched unit circle lies off its arc by at most what it would on the larger circle
        count = arc_points(max(width, height) / 2, flatness)
        return _around(1.0, count) * (width / 2, height / 2)
    if "regular" in shape:
        regular = shape["regular"]
        sides = regular["sides"]
        if "across_corners" in regular:
            radius = regular["across_corners"] / 2
        else:
            radius = regular["across_flats"] / 2 / math.cos(math.pi / sides)
        return _around(radius, sides)
    star = shape["star"]
    if star["inner"] >= star["across"]:
        raise InputError("the inner circle is not inside the points' circle", where=(*where, "star", "inner"))
    points = star["points"]
    outer, inner = _around(star["across"] / 2, points), _around(star["inner"] / 2, 2 * points)[1::2]
    return np.stack([outer, inner], axis=1).reshape(-1, 2)


def _around(radius: float, count: int) -> Points:
    """``count`` points on a circle, anticlockwise, the first at the top."""
    angles = math.pi / 2 + 2 * math.pi * np.arange(count) / count
    return radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def _placed(corners: Points, shape: Shape) -> Points:
    turn = math.radians(shape.get("turn", 0.0))
    if turn:
        cos, sin = math.cos(turn), math.sin(turn)
        corners = corners @ np.array([[cos, sin], [-sin, cos]])
    return corners + np.array(shape.get("at", (0.0, 0.0)))


def _polygon(corners: Points, where: tuple[str, ...], least_width: float, unit: LengthUnit) -> Polygon:
    polygon = Polygon(corners)
    # a bow tie's two halves may take each other's area away, its hull's stays
    if polygon.convex_hull.area <= _NO_AREA * polygon.length**2:
        raise InputError("the polygon has no area", where=where)
    if not polygon.is_valid:
        raise InputError(f"the polygon {_fault(polygon, unit)}, expected a plain outline", where=where)
    if 2 * polygon.area < least_width * polygon.length:
        raise InputError(f"under {LEAST_WIDTH} mm wide at its final size, which nobody can see or cut", where=where)
    return polygon


def _fault(polygon: Polygon, unit: LengthUnit) -> str:
    """What is wrong with a polygon, in plain words with the place; it stands shifted and turned as it was asked for."""
    reason = explain_validity(polygon)
    match = _REASON.fullmatch(reason)
    if match is None or match[1] not in _REASONS:
        return f"is not plain: {reason[0].lower()}{reason[1:]}"
    x, y = (float(number) / MM_PER_UNIT[unit] for number in match.groups()[1:])
    return f"{_REASONS[match[1]]} at ({x:.6g}, {y:.6g}) {unit}"
