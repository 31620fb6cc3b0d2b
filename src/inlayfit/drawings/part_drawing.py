"""A part's outline written as a drawing to cut from: SVG, GeoJSON or DXF, by the file's ending."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from typing import Any
from xml.sax.saxutils import escape

import shapely

from inlayfit.drawings.dxf_drawing import load_ezdxf
from inlayfit.errors import InputError
from inlayfit.outline.part_outline import PartOutline
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

DIGITS = 4  # of a mm, and two more of an inch
_DXF_UNITS = {"in": 1, "mm": 4}


def drawing_writer(name: str) -> Callable[[PartOutline, str, LengthUnit], str]:
    """What writes a file of this name. Raises ``InputError`` for an ending that is not written."""
    ending = name.rpartition(".")[2].lower() if "." in name else ""
    writer = {"svg": svg, "dxf": dxf, "geojson": geojson, "json": geojson}.get(ending)
    if writer is None:
        found = f"a file ending in .{ending[:20]}" if ending else "a file name without an ending"
        raise InputError(f"found {found}: written are .svg, .dxf, .geojson and .json", place=name)
    if writer is dxf:
        load_ezdxf("writing")
    return writer


def svg(drawn: PartOutline, title: str, unit: LengthUnit) -> str:
    """The drawing as SVG in mm: the outline filled, the border a line.

    ``unit`` plays no part, since SVG names its own.
    """
    width, height = drawn.size

    def data(polygons: tuple[shapely.Polygon, ...]) -> str:
        return " ".join(
            "M" + " ".join(f"{_number(x)},{_number(height - y)}" for x, y in ring[:-1]) + "z"
            for ring in _rings(polygons)
        )

    size = f'width="{_number(width)}mm" height="{_number(height)}mm" viewBox="0 0 {_number(width)} {_number(height)}"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}>',
        f"  <title>{escape(title)}: {drawn.part}</title>",
        f'  <path id="{drawn.part}" fill="#000000" fill-rule="evenodd" d="{data(drawn.outline.regions)}"/>',
    ]
    if drawn.border:
        line = f'fill="none" stroke="#000000" stroke-width="0.1" d="{data(drawn.border)}"'
        lines.append(f'  <path id="border" {line}/>')
    return "\n".join([*lines, "</svg>", ""])


def geojson(drawn: PartOutline, title: str, unit: LengthUnit) -> str:
    """The drawing as GeoJSON in ``unit``: the outline as polygons, the border as lines."""

    def feature(kind: str, coordinates: Any, part: str) -> dict[str, Any]:
        properties = {"title": title, "part": part, "unit": unit}
        return {
            "type": "Feature",
            "properties": properties,
            "geometry": {"type": kind, "coordinates": coordinates},
        }

    polygons = [list(_rings((region,), unit)) for region in drawn.outline.regions]
    features = [feature("MultiPolygon", polygons, drawn.part)]
    features += [feature("LineString", ring, "border") for ring in _rings(drawn.border, unit)]
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1) + "\n"


def dxf(drawn: PartOutline, title: str, unit: LengthUnit) -> str:
    """The drawing as DXF in ``unit``: closed polylines, the border on a layer that does not plot."""
    ezdxf = load_ezdxf("writing")
    document = ezdxf.new("R2000", units=_DXF_UNITS[unit])
    document.header["$MEASUREMENT"] = int(unit == "mm")
    document.header.custom_vars.append("Title", title)
    space = document.modelspace()
    for layer, polygons in ((drawn.part, drawn.outline.regions), ("border", drawn.border)):
        if polygons:
            document.layers.add(layer).dxf.plot = int(layer != "border")
        for ring in _rings(polygons, unit):
            space.add_lwpolyline(ring[:-1], close=True, dxfattribs={"layer": layer})
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def _rings(polygons: tuple[shapely.Polygon, ...], unit: LengthUnit = "mm") -> Iterator[list[tuple[float, float]]]:
    """Points of all rings, closed, outer ones anticlockwise, in ``unit``."""
    mm, digits = MM_PER_UNIT[unit], DIGITS + 2 * (unit == "in")
    for polygon in polygons:
        for ring in (polygon.exterior, *polygon.interiors):
            yield [(round(x / mm, digits) + 0.0, round(y / mm, digits) + 0.0) for x, y in ring.coords]


def _number(value: float) -> str:
    return f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
