"""The entities of a DXF drawing as lines of points: arcs, bulges, splines and hatches flattened."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.drawings.dxf_curves import arc, bulged, ellipse, spline
from inlayfit.drawings.dxf_drawing import DxfShape
from inlayfit.drawings.positions import MAX_VERTICES, Line, too_many_chords, too_many_vertices
from inlayfit.errors import InputError

Points = NDArray[np.float64]

_FRAME = 16  # flag of a vertex that belongs to a fitted curve's frame, not to the curve
_MAX_REACH = 1e12
_MAX_BULGE = 1e6  # of an arc that lacks a millionth of a full turn
_MAX_WIDE = 1e9  # of a curve, in tolerances; it would have tens of thousands of chords
_OUT_OF_RANGE = "a coordinate is not finite, or out of range: check the drawing's size and units"
_NEEDED: Final = {
    "LINE": ("start", "end"), "CIRCLE": ("center", "radius"), "ARC": ("center", "radius", "start_angle", "end_angle"),
    "ELLIPSE": ("center", "major_axis", "ratio"),
}  # fmt: skip
_IGNORES_INNER = 2  # style of a hatch that fills over all of its inner boundaries; that of 1 over those in holes
_NOT_YET: Final = Line("", np.zeros((0, 2)))


@dataclass(frozen=True)
class PlainHatch:
    """A hatch that does not fill by turns: boundaries deeper than ``deepest`` within others are filled over."""

    label: str
    boundaries: list[list[Line]]
    deepest: int


@dataclass
class LayerLines:
    """What is drawn on a layer: lines on their own, and hatches, each boundary of several lines by itself."""

    lines: list[Line] = field(default_factory=list)
    boundaries: list[list[Line]] = field(default_factory=list)
    rise: float = 0.0
    """How far up or down one of them runs at most; what is read is the view from above."""
    plain_hatches: list[PlainHatch] = field(default_factory=list)
    without_length: Counter[str] = field(default_factory=Counter)
    """Entities that come to no line, by kind."""
    wide: int = 0
    """Polylines that are drawn with a width, whose middle is read."""

    def drop_dots(self) -> None:
        """Leave out, and count, lines that end where they start and go nowhere between."""
        kept = []
        for line in self.lines:
            if len(line.points) == 2 and (line.points[0] == line.points[1]).all():
                self.without_length[line.label.partition(" ")[0]] += 1
            else:
                kept.append(line)
        self.lines = kept

    def notes(self) -> list[str]:
        """Lines on what of the layer does not count."""
        found = []
        if self.without_length:
            kinds = ", ".join(f"{count} {kind}" for kind, count in sorted(self.without_length.items()))
            found.append(f"left out what has no length: {kinds}")
        if self.wide:
            found.append(f"polylines drawn with a width, of which the middle is read: {self.wide}")
        return found

    def all(self) -> list[Line]:
        """Every line."""
        hatched = [boundary for hatch in self.plain_hatches for boundary in hatch.boundaries]
        return [*self.lines, *(line for boundary in (*self.boundaries, *hatched) for line in boundary)]


def dxf_lines(shapes: Iterable[DxfShape], tolerance: float) -> dict[str, LayerLines]:
    """The lines of shapes by layer, in the drawing's units.

    Chords lie within ``tolerance`` of their curves. Raises ``InputError`` with the entity for numbers out of
    range, and above the limit of vertices.
    """
    vertices = 0
    layers: dict[str, LayerLines] = {}
    straight: list[tuple[LayerLines, int, str]] = []  # where a LINE goes; their ends are looked at all together
    ends: list[tuple[float, ...]] = []
    for shape in shapes:
        layer = layers.setdefault(shape.layer, LayerLines())
        _refuse_incomplete(shape)
        if shape.entity.dxftype() == "LINE":
            start, end = shape.entity.dxf.start, shape.entity.dxf.end
            straight.append((layer, len(layer.lines), shape.label))
            ends.append((start.x, start.y, start.z, end.x, end.y, end.z))
            layer.lines.append(_NOT_YET)
            vertices += 1
        else:
            vertices += _add(layer, shape, tolerance)
        if vertices > MAX_VERTICES:
            raise too_many_vertices(vertices) if len(ends) > MAX_VERTICES / 2 else too_many_chords(vertices)
    points = np.array(ends, dtype=float).reshape(-1, 2, 3)
    unsound = np.flatnonzero(~(np.abs(points) < _MAX_REACH).all(axis=(1, 2)))
    if len(unsound):
        raise InputError(f"{straight[unsound[0]][2]}: {_OUT_OF_RANGE}")
    flat = np.ascontiguousarray(points[:, :, :2])
    rises = np.abs(points[:, 1, 2] - points[:, 0, 2])
    for (layer, place, label), rise, line in zip(straight, rises.tolist(), flat, strict=True):
        layer.lines[place] = Line(label, line)
        layer.rise = max(layer.rise, rise)
    for layer in layers.values():
        layer.drop_dots()
    return layers


def _refuse_incomplete(shape: DxfShape) -> None:
    """Refuse an entity that lacks what places it, which the library would take for 0 or 1."""
    dxf = shape.entity.dxf
    for name in _NEEDED.get(shape.entity.dxftype(), ()):
        if not dxf.hasattr(name):
            raise InputError(f"{shape.label}: its {name.replace('_', ' ')} is missing: redraw it, or export it again")


def _add(layer: LayerLines, shape: DxfShape, tolerance: float) -> int:
    """Add an entity's lines to its layer; how many vertices they have."""
    vertices = 0
    try:
        entity = shape.entity
        boundaries: list[list[Line]] = []
        for boundary in _boundaries(entity, tolerance):
            lines = []
            for points in boundary:
                if not (np.abs(points) < _MAX_REACH).all():  # what is no number is not below it either
                    raise InputError(_OUT_OF_RANGE)
                vertices += max(len(points) - 1, 0)
                if len(points) > 1:
                    layer.rise = max(layer.rise, float(np.ptp(points[:, 2])))
                    lines.append(Line(shape.label, points[:, :2]))
            if lines:
                boundaries.append(lines)
        kind = entity.dxftype()
        if not boundaries:
            layer.without_length[kind] += 1
        style = entity.dxf.get("hatch_style", 0) if kind in ("HATCH", "MPOLYGON") else 0
        if style and len(boundaries) > 1:
            layer.plain_hatches.append(PlainHatch(shape.label, boundaries, 0 if style == _IGNORES_INNER else 1))
        else:
            layer.boundaries += [lines for lines in boundaries if len(lines) > 1]
            layer.lines += [lines[0] for lines in boundaries if len(lines) == 1]
        if kind in ("LWPOLYLINE", "POLYLINE") and _is_wide(entity):
            layer.wide += 1
    except InputError as error:
        raise InputError(f"{shape.label}: {error.problem}") from None
    except (ArithmeticError, ValueError, TypeError, IndexError, RecursionError) as error:
        raise InputError(f"{shape.label} is not read: {error}: redraw it") from None
    return vertices


def _is_wide(polyline: Any) -> bool:
    if polyline.dxftype() == "LWPOLYLINE":
        wide = any(start or end for start, end in polyline.get_points("se"))
        return bool(polyline.dxf.get("const_width", 0)) or wide
    return bool(polyline.dxf.get("default_start_width", 0) or polyline.dxf.get("default_end_width", 0))


def _boundaries(entity: Any, tolerance: float) -> Iterator[Iterable[Points]]:
    """The paths of an entity, points of shape (n, 3) each: one, or of a hatch those of each of its boundaries."""
    kind = entity.dxftype()
    if kind in ("HATCH", "MPOLYGON"):
        for boundary in entity.paths:
            yield _hatch_boundary(entity, boundary, tolerance)
        return
    dxf = entity.dxf
    if kind == "CIRCLE":
        path = _raised(entity, _arc(dxf.center, dxf.radius, 0.0, math.tau, tolerance), dxf.center.z)
    elif kind == "ARC":
        angles = math.radians(dxf.start_angle), math.radians(dxf.end_angle)
        path = _raised(entity, _arc(dxf.center, dxf.radius, *angles, tolerance), dxf.center.z)
    elif kind == "ELLIPSE":
        tool = entity.construction_tool()
        _refuse_out_of_range([tool.center], tool.major_axis.magnitude, tolerance)
        axes = tuple(tool.major_axis), tuple(tool.minor_axis)
        path = ellipse(tuple(tool.center), *axes, dxf.start_param, dxf.end_param, tolerance)
    elif kind == "SPLINE":
        path = _spline(entity.construction_tool(), tolerance)
    elif kind == "POLYLINE":
        path = _old_polyline(entity, tolerance)
    elif kind == "LWPOLYLINE":
        vertices = _array(entity.get_points("xyb"), 3)
        path = _raised(entity, _bulged(vertices, tolerance, closed=entity.closed), dxf.get("elevation", 0.0))
    else:
        corners = _array(entity.wcs_vertices(close=True), 3)
        path = corners
    yield [path]


def _array(points: Iterable[Sequence[float]], wide: int) -> Points:
    found = [tuple(point) for point in points]
    if len(found) > MAX_VERTICES:
        raise too_many_vertices(len(found))
    return np.array(found, dtype=float).reshape(-1, wide)


def _raised(entity: Any, points: Points, height: float) -> Points:
    """Points in the plane of an entity, at its height, as points in space."""
    ocs = entity.ocs()
    placed = np.column_stack([points, np.full(len(points), height)])
    if not ocs.transform:
        return placed
    return _array((tuple(ocs.to_wcs(tuple(point))) for point in placed.tolist()), 3)


def _old_polyline(entity: Any, tolerance: float) -> Points:
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.flags & _FRAME]
    if not vertices:
        return np.zeros((0, 3))
    if entity.is_3d_polyline:
        points = _array((vertex.dxf.location for vertex in vertices), 3)
        return np.vstack([points, points[:1]]) if entity.is_closed else points
    if not entity.is_2d_polyline:
        raise InputError("POLYLINE that is a mesh is not read: draw its outline")
    height = entity.dxf.elevation.z if entity.dxf.hasattr("elevation") else vertices[0].dxf.location.z
    corners = _array((vertex.format("xyb") for vertex in vertices), 3)
    return _raised(entity, _bulged(corners, tolerance, closed=entity.is_closed), height)


def _bulged(vertices: Points, tolerance: float, *, closed: bool) -> Points:
    if not (np.abs(vertices[:, 2]) < _MAX_BULGE).all():
        raise InputError("a bulge is not finite, or out of range: redraw it")
    if vertices[:, 2].any():
        _refuse_out_of_range(vertices, 0.0, tolerance)
    return bulged(vertices, tolerance, closed=closed)


def _spline(tool: Any, tolerance: float) -> Points:
    _refuse_out_of_range(tool.control_points, 0.0, tolerance)
    if not all(map(math.isfinite, (*tool.knots(), *tool.weights()))):
        raise InputError("a knot or weight is not finite")
    return spline(_array(tool.control_points, 3), tool.knots(), tool.weights(), tool.degree, tolerance)


def _arc(centre: Any, radius: float, start: float, end: float, tolerance: float) -> Points:
    _refuse_out_of_range([centre], radius, tolerance)
    return arc((centre[0], centre[1]), radius, start, end, tolerance)


def _refuse_out_of_range(points: Iterable[Any], radius: float, tolerance: float) -> None:
    """Refuse what could be flattened for ever: sizes beyond all proportion, places where digits are lost."""
    found = np.array([(point[0], point[1]) for point in points], dtype=float).reshape(-1, 2)
    if not len(found):
        return
    far = float(np.abs(found).max())
    if not far < min(_MAX_REACH, _MAX_REACH * tolerance) or not (
        float(np.ptp(found, axis=0).max()) + radius < _MAX_WIDE * tolerance
    ):
        raise InputError(_OUT_OF_RANGE)


def _hatch_boundary(hatch: Any, boundary: Any, tolerance: float) -> Iterator[Points]:
    height = hatch.dxf.elevation.z
    if not hasattr(boundary, "edges"):
        yield _raised(hatch, _bulged(_array(boundary.vertices, 3), tolerance, closed=True), height)
        return
    for edge in boundary.edges:
        if edge.EDGE_TYPE == "LineEdge":
            flat = _array((edge.start, edge.end), 2)
        elif edge.EDGE_TYPE == "ArcEdge":
            angles = math.radians(edge.start_angle), math.radians(edge.end_angle)
            flat = _arc(edge.center, edge.radius, *angles, tolerance)
        elif edge.EDGE_TYPE == "EllipseEdge":
            tool = edge.construction_tool()
            _refuse_out_of_range([edge.center], edge.major_axis.magnitude, tolerance)
            angles = _parameter(edge.ratio, edge.start_angle), _parameter(edge.ratio, edge.end_angle)
            flat = ellipse(tuple(edge.center), tuple(edge.major_axis), tuple(tool.minor_axis)[:2], *angles, tolerance)
        else:
            flat = _spline(edge.construction_tool(), tolerance)[:, :2]
        yield _raised(hatch, flat, height)


def _parameter(ratio: float, degrees: float) -> float:
    """The parameter of an ellipse's point at an angle, in the same turn as the angle."""
    turns = math.floor((degrees + 180) / 360)
    angle = math.radians(degrees - 360 * turns)
    return math.atan2(math.sin(angle) / ratio, math.cos(angle)) + turns * math.tau
