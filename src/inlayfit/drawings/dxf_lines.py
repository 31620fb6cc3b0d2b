"""The entities of a DXF drawing as lines of points: arcs, bulges, splines and hatches flattened."""

from __future__ import annotations

import importlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlayfit.drawings.dxf_drawing import DxfShape
from inlayfit.drawings.positions import MAX_VERTICES, Line, too_many_vertices
from inlayfit.errors import InputError

Points = NDArray[np.float64]

_ARC_PIECES = 48  # for every bulge; a library's arc is made of cubic curves, three to a piece
_CURVE_PIECES = 8  # chords for each span of a curve at least, so that no bend slips through
_FRAME = 16  # flag of a vertex that belongs to a fitted curve's frame, not to the curve
_MAX_REACH = 1e12
_MAX_BULGE = 1e6  # of an arc that lacks a millionth of a full turn
_MAX_WIDE = 1e9  # of a curve, in tolerances; it would have tens of thousands of chords


@dataclass
class LayerLines:
    """What is drawn on a layer: lines on their own, and hatches, each boundary of several lines by itself."""

    lines: list[Line] = field(default_factory=list)
    boundaries: list[list[Line]] = field(default_factory=list)
    rise: float = 0.0
    """How far up or down one of them runs at most; what is read is the view from above."""

    def all(self) -> list[Line]:
        """Every line."""
        return [*self.lines, *(line for boundary in self.boundaries for line in boundary)]


def dxf_lines(shapes: Iterable[DxfShape], tolerance: float) -> dict[str, LayerLines]:
    """The lines of shapes by layer, in the drawing's units.

    Chords lie within ``tolerance`` of their curves. Raises ``InputError`` with the entity for numbers out of
    range, and above the limit of vertices.
    """
    vertices = 0
    layers: dict[str, LayerLines] = {}
    for shape in shapes:
        layer = layers.setdefault(shape.layer, LayerLines())
        try:
            for boundary in _boundaries(shape.entity, tolerance):
                lines = []
                for path in boundary:
                    points = _checked(path)
                    vertices += max(len(points) - 1, 0)
                    if vertices > MAX_VERTICES:
                        raise too_many_vertices(vertices)
                    if len(points) > 1:
                        layer.rise = max(layer.rise, float(np.ptp(points[:, 2])))
                        lines.append(Line(shape.label, points[:, :2]))
                if len(lines) > 1:
                    layer.boundaries.append(lines)
                else:
                    layer.lines += lines
        except InputError as error:
            raise InputError(f"{shape.label}: {error.problem}") from None
        except (ArithmeticError, ValueError, TypeError, IndexError, RecursionError) as error:
            raise InputError(f"{shape.label} is not read: {error}: redraw it") from None
    return layers


def _checked(path: Iterable[Any]) -> Points:
    found = list(islice(path, MAX_VERTICES + 1))
    if len(found) > MAX_VERTICES:
        raise too_many_vertices(len(found))
    points = np.array([(point.x, point.y, point.z) for point in found], dtype=float).reshape(-1, 3)
    if not (np.abs(points) < _MAX_REACH).all():  # what is no number is not below it either
        raise InputError("a coordinate is not finite, or out of range: check the drawing's size and units")
    return points


def _boundaries(entity: Any, tolerance: float) -> Iterator[Iterable[Iterable[Any]]]:
    """The paths of an entity: one, or of a hatch those of each of its boundaries."""
    kind = entity.dxftype()
    if kind in ("HATCH", "MPOLYGON"):
        for boundary in entity.paths:
            yield _hatch_boundary(entity, boundary, tolerance)
        return
    if kind == "LINE":
        path: Iterable[Any] = [entity.dxf.start, entity.dxf.end]
    elif kind == "ARC":
        path = _arc(entity, entity.dxf.center, entity.dxf.radius, tolerance)
    elif kind == "ELLIPSE":
        path = _ellipse(entity, entity.dxf.center, entity.dxf.major_axis, tolerance)
    elif kind == "SPLINE":
        path = _spline(entity.construction_tool(), tolerance)
    elif kind == "POLYLINE":
        path = _old_polyline(entity, tolerance)
    else:  # of a circle, too, since its bounds are exact so
        path = _flattened(entity, tolerance)
    yield [path]


def _old_polyline(entity: Any, tolerance: float) -> Iterable[Any]:
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.flags & _FRAME]
    if not vertices:
        return ()
    if entity.is_3d_polyline:
        points = [vertex.dxf.location for vertex in vertices]
        return points + points[:1] if entity.is_closed else points
    if not entity.is_2d_polyline:
        raise InputError("POLYLINE that is a mesh is not read: draw its outline")
    height = entity.dxf.elevation.z if entity.dxf.hasattr("elevation") else vertices[0].dxf.location.z
    bulged = [vertex.format("xyb") for vertex in vertices]
    return _bulged(bulged, entity.dxf.extrusion, height, tolerance, closed=entity.is_closed)


def _bulged(
    points: Iterable[Sequence[float]], extrusion: Any, height: float, tolerance: float, *, closed: bool
) -> Iterable[Any]:
    """Points of x, y and bulge as a path in world coordinates."""
    polyline = importlib.import_module("ezdxf.entities").LWPolyline
    line = polyline.new(dxfattribs={"extrusion": extrusion, "elevation": height})
    line.set_points([tuple(point) for point in points], format="xyb")
    line.closed = closed
    return _flattened(line, tolerance)


def _flattened(entity: Any, tolerance: float) -> Iterable[Any]:
    if entity.dxftype() == "CIRCLE":
        _refuse_out_of_range([entity.dxf.center], entity.dxf.radius, tolerance)
    elif entity.dxftype() == "LWPOLYLINE" and not all(abs(bulge) < _MAX_BULGE for (bulge,) in entity.get_points("b")):
        raise InputError("a bulge is not finite, or out of range: redraw it")
    path = importlib.import_module("ezdxf.path").make_path(entity, segments=_ARC_PIECES)
    _refuse_out_of_range(path.control_vertices(), 0.0, tolerance)
    return path.flattening(tolerance) if len(path) else ()


def _ellipse(ellipse: Any, centre: Any, axis: Any, tolerance: float) -> Iterable[Any]:
    _refuse_out_of_range([centre], axis.magnitude, tolerance)
    return ellipse.flattening(tolerance, segments=_CURVE_PIECES)


def _spline(tool: Any, tolerance: float) -> Iterable[Any]:
    _refuse_out_of_range(tool.control_points, 0.0, tolerance)
    if not all(map(math.isfinite, (*tool.knots(), *tool.weights()))):
        raise InputError("a knot or weight is not finite")
    return tool.flattening(tolerance, segments=_CURVE_PIECES)


def _arc(tool: Any, centre: Any, radius: float, tolerance: float) -> Iterable[Any]:
    _refuse_out_of_range([centre], radius, tolerance)
    return tool.flattening(min(tolerance, radius / 4)) if radius > 0 else ()


def _refuse_out_of_range(points: Iterable[Any], radius: float, tolerance: float) -> None:
    """Refuse what could be flattened for ever: sizes beyond all proportion, places where digits are lost."""
    found = np.array([(point[0], point[1]) for point in points], dtype=float).reshape(-1, 2)
    if not len(found):
        return
    far = float(np.abs(found).max())
    if not far < min(_MAX_REACH, _MAX_REACH * tolerance) or not (
        float(np.ptp(found, axis=0).max()) + radius < _MAX_WIDE * tolerance
    ):
        raise InputError("a coordinate is not finite, or out of range: check the drawing's size and units")


def _hatch_boundary(hatch: Any, boundary: Any, tolerance: float) -> Iterator[Iterable[Any]]:
    height = hatch.dxf.elevation.z
    if not hasattr(boundary, "edges"):
        yield _bulged(boundary.vertices, hatch.dxf.extrusion, height, tolerance, closed=True)
        return
    ocs = hatch.ocs()
    for edge in boundary.edges:
        if edge.EDGE_TYPE == "LineEdge":
            flat: Iterable[Any] = (edge.start, edge.end)
        elif edge.EDGE_TYPE == "ArcEdge":
            flat = _arc(edge.construction_tool(), edge.center, edge.radius, tolerance)
        elif edge.EDGE_TYPE == "EllipseEdge":
            flat = _ellipse(edge.construction_tool(), edge.center, edge.major_axis, tolerance)
        else:
            flat = _spline(edge.construction_tool(), tolerance)
        yield (ocs.to_wcs((point.x, point.y, height)) for point in flat)
