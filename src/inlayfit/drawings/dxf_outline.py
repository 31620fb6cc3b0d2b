"""From the lines of a DXF drawing to polygons: loops joined, and loops within loops made holes."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.dxf_drawing import DxfDrawing
from inlayfit.drawings.dxf_lines import LayerLines, dxf_lines
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.openings import Joining, joining_of
from inlayfit.drawings.polygon_rings import nested_polygons
from inlayfit.drawings.positions import ClosedShape, Line
from inlayfit.drawings.size import Size
from inlayfit.errors import InputError

_COARSE = 1e9  # a tolerance that leaves every curve its fewest chords
_ROUGH = 1e-3
"""Flatness for the look at a drawing's extent, as a share of it."""


def dxf_polygons(
    drawing: DxfDrawing, size: Size, *, unit_mm: float | None, choice: Choice, flatness: float
) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons in mm, and notes.

    Layers that were chosen are read as one drawing; else each is read by itself, and layers that lie over one another
    are refused, since they may be the same outline drawn twice, or holes. ``unit_mm`` is what the file means by its
    unit, None where nobody says; ``flatness`` [mm] is how far a chord may lie from its curve at the final size.
    Raises ``InputError`` with the place for lines that do not close, that branch, or that cross.
    """
    if size.goes_by_extent or (unit_mm is None and not size.natural):
        mm = _scale(drawing, size, unit_mm)
        layers = dxf_lines(drawing.shapes, flatness / mm)
    else:
        layers = dxf_lines(drawing.shapes, flatness / ((unit_mm or 1.0) * (size.scale or 1.0)))
        mm = size.mm_per_unit(_points(layers), unit_mm)
    if choice.layers:
        one = LayerLines()
        for layer in layers.values():
            one.lines += layer.lines
            one.boundaries += layer.boundaries
            one.plain_hatches += layer.plain_hatches
            one.without_length += layer.without_length
            one.wide += layer.wide
            one.rise = max(one.rise, layer.rise)
        layers = {"": one}
    notes: list[str] = []
    read: dict[str, list[shapely.Polygon]] = {}
    for name, layer in layers.items():
        try:
            read[name], told = _layer_polygons(layer, mm, flatness, joining_of(choice))
        except InputError as error:
            if len(layers) == 1:
                raise
            others = ", ".join(sorted(layers))
            raise InputError(f"layer {name}: {error.problem}; or choose with outline.layer: {others}") from None
        notes += [f"layer {name}: {note}" if len(layers) > 1 else note for note in told]
    _refuse_overlapping(read)
    rise = max(layer.rise for layer in layers.values()) * mm
    if rise > flatness:
        notes.append(f"lines run up or down by as much as {rise:.4g} mm: read as seen from above")
    polygons = [polygon for found in read.values() for polygon in found]
    low_x, low_y, _, _ = shapely.total_bounds(polygons)
    return list(shapely.transform(polygons, lambda points: (points - (low_x, low_y)) * mm)), notes


def _scale(drawing: DxfDrawing, size: Size, unit_mm: float | None) -> float:
    """How long one of the drawing's units will be; by its extent, where that counts, to a part in a thousand."""
    tolerance = _COARSE
    for _ in range(2 if size.goes_by_extent else 1):
        points = _points(dxf_lines(drawing.shapes, tolerance))
        tolerance = _ROUGH * float(np.ptp(np.concatenate(points), axis=0).max()) or _COARSE
    return size.mm_per_unit(points, unit_mm)


def _points(layers: dict[str, LayerLines]) -> list[NDArray[np.float64]]:
    points = [line.points for layer in layers.values() for line in layer.all()]
    if not points:
        raise InputError("the lines of the drawing have no length: check the file")
    return points


def _layer_polygons(
    layer: LayerLines, mm: float, flatness: float, joining: Joining
) -> tuple[list[shapely.Polygon], list[str]]:
    lines, error = list(layer.lines), flatness / mm
    for boundary in layer.boundaries:
        loops, _ = loops_of(boundary, mm, curve_error=error, joining=joining)
        lines += [Line(loop.label, ring) for loop in loops for ring in loop.rings]
    over = 0
    for hatch in layer.plain_hatches:
        edges: list[ClosedShape] = []
        for boundary in hatch.boundaries:
            edges += loops_of(boundary, mm, curve_error=error, joining=joining)[0]
        shown = _not_filled_over(edges, hatch.deepest)
        over += len(edges) - len(shown)
        lines += [Line(loop.label, ring) for loop in shown for ring in loop.rings]
    # a contour may be drawn once by its lines and once more by the hatch that fills it
    loops, told_of_lines = loops_of(lines, mm, curve_error=error, joining=joining)
    polygons, notes = nested_polygons(loops, mm, curve_error=error)
    told = [f"inner boundaries that a hatch fills over by its style: {over}"] if over else []
    return polygons, layer.notes() + told + told_of_lines + notes


def _not_filled_over(loops: list[ClosedShape], deepest: int) -> list[ClosedShape]:
    """Those of a hatch's loops that do not lie within more than ``deepest`` others."""
    areas = shapely.polygons([shapely.linearrings(loop.rings[0]) for loop in loops])
    inner, outer = shapely.STRtree(areas).query(areas, predicate="covered_by")
    depth = np.bincount(inner[inner != outer], minlength=len(loops))
    return [loop for loop, deep in zip(loops, depth.tolist(), strict=True) if deep <= deepest]


def _refuse_overlapping(layers: dict[str, list[shapely.Polygon]]) -> None:
    if len(layers) == 1:
        return
    areas = {name: shapely.union_all(polygons) for name, polygons in layers.items()}
    whole = shapely.union_all(list(areas.values()))
    total = sum(area.area for area in areas.values())
    if total - whole.area <= 1e-9 * total:
        return
    counts = {name: f"{len(found)} region{'' if len(found) == 1 else 's'}" for name, found in sorted(layers.items())}
    listed = ", ".join(f"{name} ({count})" for name, count in counts.items())
    raise InputError(
        f"layers lie over one another: {listed}: choose with outline.layer; several are read as one drawing",
        where=("outline", "layer"),
    )
