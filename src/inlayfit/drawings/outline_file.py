"""Outline files: SVG drawings, well-known text and GeoJSON, read to polygons at their final size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.geojson import read_geojson
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.polygon_rings import checked_polygons, nested_polygons
from inlayfit.drawings.positions import Positions, left_out_note, point_text, read_lines, read_rings
from inlayfit.drawings.specks import simplified, without_specks
from inlayfit.drawings.svg_drawing import read_svg_drawing
from inlayfit.drawings.svg_outline import svg_polygons
from inlayfit.drawings.wkt import read_wkt
from inlayfit.errors import InputError
from inlayfit.joint.outline import FLATNESS

Points = NDArray[np.float64]

MAX_FILE_BYTES = 20_000_000
LEAST_ACROSS, MOST_ACROSS = 1e-3, 1e8
"""What an outline may measure [mm], so that its numbers can be reckoned with."""

_READ = "read are .svg, .wkt, .geojson and .json"


@dataclass(frozen=True, kw_only=True)
class Size:
    """The size an outline is to have: at most one of width, height [mm] and scale.

    ``unit_mm`` is how many mm a number means in formats without a unit (WKT, GeoJSON).
    """

    width: float | None = None
    height: float | None = None
    scale: float | None = None
    unit_mm: float | None = None

    def __post_init__(self) -> None:
        given = {name: getattr(self, name) for name in ("width", "height", "scale")}
        given = {name: value for name, value in given.items() if value is not None}
        if len(given) > 1:
            raise InputError(f"found {' and '.join(given)}, expected one of them", where=("outline",))
        if self.unit_mm is not None:
            given["unit_mm"] = self.unit_mm
        for name, value in given.items():
            if not (math.isfinite(value) and value > 0):
                raise InputError(f"{name}: found {value:g}, expected a number above 0", where=("outline",))


@dataclass(frozen=True, kw_only=True)
class OutlineFile:
    """What an outline file holds: valid polygons that do not overlap, in mm, x right and y up.

    The lower left of their bounds lies at (0, 0). ``notes`` are lines on what was left out and how it was
    read.
    """

    polygons: tuple[shapely.Polygon, ...]
    notes: tuple[str, ...]


def read_outline_file(data: bytes, name: str, *, size: Size, flatness: float = FLATNESS) -> OutlineFile:
    """Read the bytes of an outline file; the ending of ``name`` tells the format.

    ``flatness`` [mm] is how far a chord may lie from its curve at the final size (SVG). Raises
    ``InputError``, without the file's name, for what cannot be read or would make a wrong outline.
    """
    stem, dot, ending = name.replace("\\", "/").rpartition("/")[2].lower().rpartition(".")
    ending = ending if dot and stem else ""
    if ending == "dxf":
        raise InputError("DXF is not read yet: export SVG")
    if ending == "svgz":
        raise InputError("compressed SVG is not read: unpack it, or save as plain SVG")
    if ending not in ("svg", "wkt", "geojson", "json"):
        found = f"a file ending in .{ending[:20]}" if ending else "a file name without an ending"
        raise InputError(f"found {found}: {_READ}")
    if len(data) > MAX_FILE_BYTES:
        limit = MAX_FILE_BYTES // 1_000_000
        raise InputError(f"{len(data) / 1e6:.0f} MB, at most {limit} MB are read: simplify the drawing")
    if not data.strip():
        raise InputError("the file is empty")
    if ending == "svg":
        drawing = read_svg_drawing(data)
        polygons, notes = svg_polygons(
            drawing, width=size.width, height=size.height, scale=size.scale, flatness=flatness
        )
        notes = [*drawing.notes, *notes]
        specks: list[str] = []
    else:
        polygons, notes = _from_positions((read_wkt if ending == "wkt" else read_geojson)(_text(data)), size)
        polygons, specks = without_specks(shapely.MultiPolygon(polygons))
        if not polygons:
            raise InputError("the outline has no area: check its size and units")
        polygons = _fitted(polygons, size)
    polygons, detail = simplified(polygons)
    return OutlineFile(polygons=_placed(polygons), notes=(*notes, *specks, *detail))


def _from_positions(found: Positions, size: Size) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons at their final size; of a file without any its lines, joined to loops."""
    left_out = found.left_out
    if found.polygons:
        left_out = left_out + [found.line_word] * len(found.lines)
        shapes = read_rings(found.polygons)
        mm = _mm_per_unit([ring for shape in shapes for ring in shape.rings], size)
        polygons, notes = checked_polygons(shapes, mm)
    elif found.lines:
        lines = read_lines(found.lines)
        mm = _mm_per_unit([line.points for line in lines], size)
        loops, doubled = loops_of(lines, mm)
        polygons, notes = nested_polygons(loops, mm)
        notes = [f"lines joined to loops: {len(lines)} to {len(loops)}", *doubled, *notes]
    else:
        raise InputError(": ".join(["no polygons in the file", *left_out_note(left_out)]))
    low_x, low_y, _, _ = shapely.total_bounds(polygons)
    # from the corner, not from a far origin: map coordinates of millions would lose digits
    sized = shapely.transform(polygons, lambda points: (points - (low_x, low_y)) * mm)
    return list(sized), [*left_out_note(left_out), *notes]


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(f"line {line}: not UTF-8 text: save the file as UTF-8") from None


def _mm_per_unit(drawn: Sequence[Points], size: Size) -> float:
    """How long one of the file's units becomes, from all that is drawn in it."""
    points = np.concatenate(drawn)
    wide, high = np.ptp(points, axis=0).tolist()
    if not (wide > 0 and high > 0):
        raise InputError(f"no area at {point_text(*points[0])}: all points lie on a line")
    if size.width is not None:
        return float(size.width / wide)
    if size.height is not None:
        return float(size.height / high)
    if size.unit_mm is None:
        raise InputError("the file has no unit: give outline.width or outline.height")
    mm = size.unit_mm * (size.scale or 1.0)
    _refuse_beyond_reckoning(max(wide, high) * mm)
    return mm


def _refuse_beyond_reckoning(across: float) -> None:
    if not LEAST_ACROSS <= across <= MOST_ACROSS:
        raise InputError(f"the outline would be {across:.3g} mm across: check its size and units")


def _fitted(polygons: list[shapely.Polygon], size: Size) -> list[shapely.Polygon]:
    """The polygons at the width or height asked for, which what was left out has no part in."""
    low_x, low_y, high_x, high_y = shapely.total_bounds(polygons)
    if size.width is not None:
        factor = size.width / (high_x - low_x)
    elif size.height is not None:
        factor = size.height / (high_y - low_y)
    else:
        return polygons
    return list(shapely.transform(polygons, lambda points: points * factor))


def _placed(polygons: Sequence[shapely.Polygon]) -> tuple[shapely.Polygon, ...]:
    """Polygons with the lower left of their bounds at (0, 0), checked once more at their size."""
    low_x, low_y, high_x, high_y = shapely.total_bounds(polygons)
    across = max(high_x - low_x, high_y - low_y)
    _refuse_beyond_reckoning(across)
    placed = tuple(shapely.transform(polygons, lambda points: points - (low_x, low_y)))
    if not all(polygon.is_valid for polygon in placed):
        raise InputError(f"at {across:.3g} mm across the outline is lost in rounding: check its size")
    return placed
