"""Outlines written as GeoJSON (RFC 7946): its polygons, with the place of every mistake."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from inlayfit.drawings.positions import Positions, RingedShape
from inlayfit.drawings.wkt import MAX_GEOMETRIES, MAX_NESTING
from inlayfit.errors import InputError

_POINTS = ("Point", "MultiPoint")
_LINES = ("LineString", "MultiLineString")
_READ = "Polygon, MultiPolygon, LineString, GeometryCollection, Feature or FeatureCollection"


def read_geojson(text: str) -> Positions:
    """The polygons and lines of a GeoJSON text, and the rest that lies beside them.

    Coordinates are plain x and y: no projection is applied, and further numbers of a position are dropped.
    Raises ``InputError``: for broken JSON with line and column, else with the path of the member.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"line {error.lineno}, column {error.colno}: not JSON: {error.msg.lower()}") from None
    except RecursionError:
        raise InputError("not GeoJSON: lists nested without end") from None
    except ValueError:  # a whole number of thousands of digits
        raise InputError("not GeoJSON: a number is out of range") from None
    found = Positions("LineString")
    shapes = found.polygons
    for kind, label, coordinates in _geometries(data, "", 0):
        if kind == "Polygon":
            shapes.append(RingedShape(label, coordinates))
        elif kind == "MultiPolygon":
            if not isinstance(coordinates, list) or not coordinates:
                raise InputError(f"{label}: empty, expected a list of polygons")
            shapes.extend(RingedShape(f"{label}[{i}]", rings) for i, rings in enumerate(coordinates))
        elif kind == "LineString":
            found.lines.append((label, coordinates))
        elif kind == "MultiLineString":
            if not isinstance(coordinates, list):
                raise InputError(f"{label}: found no list, expected a list of lines")
            found.lines.extend((f"{label}[{i}]", line) for i, line in enumerate(coordinates))
        else:
            found.left_out.append(kind)
        if len(shapes) > MAX_GEOMETRIES:
            raise InputError(f"over {MAX_GEOMETRIES:,} polygons: simplify the outline")
    return found


def _geometries(item: Any, label: str, depth: int) -> Iterator[tuple[str, str, Any]]:
    """Type, label and coordinates of every geometry in a GeoJSON object."""
    name = label or "the file"
    if depth > MAX_NESTING:
        raise InputError(f"{name}: collections nested over {MAX_NESTING} deep")
    if not isinstance(item, dict) or not isinstance(item.get("type"), str):
        raise InputError(f"{name}: not GeoJSON: expected an object with a type: {_READ}")
    kind, prefix = item["type"], f"{label}." if label else ""
    if kind in ("FeatureCollection", "GeometryCollection"):
        member = "features" if kind == "FeatureCollection" else "geometries"
        parts = item.get(member)
        if not isinstance(parts, list):
            raise InputError(f"{name}: {kind} without a list of {member}")
        for i, part in enumerate(parts):
            yield from _geometries(part, f"{prefix}{member}[{i}]", depth + 1)
    elif kind == "Feature":
        if item.get("geometry") is None:
            yield "feature without geometry", label, None
        else:
            yield from _geometries(item["geometry"], f"{prefix}geometry", depth + 1)
    elif kind in ("Polygon", "MultiPolygon", *_LINES):
        yield kind, f"{prefix}coordinates", item.get("coordinates")
    elif kind in _POINTS:
        yield kind, label, None
    else:
        raise InputError(f"{name}: found type '{kind[:40]}', expected {_READ}")
