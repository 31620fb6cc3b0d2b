"""Outline files: SVG and DXF drawings, well-known text and GeoJSON, read to polygons at their final size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import EVERYTHING, JOIN, Choice
from inlayfit.drawings.dxf_drawing import read_dxf_drawing
from inlayfit.drawings.dxf_outline import dxf_polygons
from inlayfit.drawings.geojson import read_geojson
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.openings import joining_of
from inlayfit.drawings.polygon_rings import checked_polygons, nested_polygons
from inlayfit.drawings.positions import Positions, left_out_note, read_lines, read_rings
from inlayfit.drawings.size import Size, refuse_beyond_reckoning
from inlayfit.drawings.specks import simplified, without_specks
from inlayfit.drawings.svg_drawing import read_svg_drawing
from inlayfit.drawings.svg_outline import svg_polygons
from inlayfit.drawings.svg_walk import Counted
from inlayfit.drawings.wkt import read_wkt
from inlayfit.errors import InputError
from inlayfit.outline.regions import FLATNESS

Points = NDArray[np.float64]

MAX_FILE_BYTES = 20_000_000

_LAST_DIGITS = 1e-10
"""Grid of an outline that does not bear to be moved, as a share of its size."""

_READ = "read are .svg, .dxf, .wkt, .geojson and .json"


@dataclass(frozen=True, kw_only=True)
class OutlineFile:
    """What an outline file holds: valid polygons that do not overlap, in mm, x right and y up.

    The lower left of their bounds lies at (0, 0). ``notes`` are lines on what was left out and how it was
    read.
    """

    polygons: tuple[shapely.Polygon, ...]
    notes: tuple[str, ...]


def read_outline_file(
    data: bytes, name: str, *, size: Size, choice: Choice = EVERYTHING, flatness: float = FLATNESS
) -> OutlineFile:
    """Read the bytes of an outline file; the ending of ``name`` tells the format.

    ``flatness`` [mm] is how far a chord may lie from its curve at the final size (SVG). Raises
    ``InputError``, without the file's name, for what cannot be read or would make a wrong outline.
    """
    stem, dot, ending = name.replace("\\", "/").rpartition("/")[2].lower().rpartition(".")
    ending = ending if dot and stem else ""
    if ending == "svgz":
        raise InputError("compressed SVG is not read: unpack it, or save as plain SVG")
    if ending not in ("svg", "dxf", "wkt", "geojson", "json"):
        found = f"a file ending in .{ending[:20]}" if ending else "a file name without an ending"
        raise InputError(f"found {found}: {_READ}")
    if len(data) > MAX_FILE_BYTES:
        limit = MAX_FILE_BYTES // 1_000_000
        raise InputError(f"{len(data) / 1e6:.0f} MB, at most {limit} MB are read: simplify the drawing")
    _refuse_other_choices(choice, ending)
    if not data.strip():
        raise InputError("the file is empty")
    if ending == "svg":
        counted: dict[str | None, Counted] = {"closed": "lines", "strokes": "strokes"}
        drawing = read_svg_drawing(data, counted.get(choice.take, "fills"))
        polygons, notes = svg_polygons(
            drawing,
            width=size.width,
            height=size.height,
            scale=size.scale,
            natural=size.natural,
            choice=choice,
            flatness=flatness,
        )
        notes = [*drawing.notes, *notes]
        specks: list[str] = []
    else:
        if ending == "dxf":
            polygons, notes = _from_dxf(data, size, choice, flatness)
        else:
            positions = (read_wkt if ending == "wkt" else read_geojson)(_text(data))
            polygons, notes = _from_positions(positions, size, choice)
        polygons, specks = without_specks(shapely.MultiPolygon(polygons))
        if not polygons:
            raise InputError("the outline has no area: check its size and units")
        polygons = size.fitted(polygons)
    polygons, detail = simplified(polygons)
    return OutlineFile(polygons=_placed(polygons), notes=(*notes, *specks, *detail))


def _refuse_other_choices(choice: Choice, ending: str) -> None:
    """Refuse a choice that means nothing for the format."""
    if choice.layers and ending != "dxf":
        raise InputError("found it with a drawing that has no layers, expected a .dxf", where=("outline", "layer"))
    if choice.colours and ending != "svg":
        raise InputError("found it with a drawing that has no fills, expected a .svg", where=("outline", "colours"))
    if choice.clip_page and ending != "svg":
        raise InputError("found it with a drawing that has no page, expected an .svg", where=("outline", "page"))
    if choice.join != JOIN and ending == "svg" and choice.take != "closed":
        raise InputError("found it with fills, which close by themselves, expected take: closed beside it",
                         where=("outline", "join"))  # fmt: skip
    if choice.take in ("strokes", "all") and ending != "svg":
        raise InputError(f"found {choice.take}, which is for an .svg", where=("outline", "take"))
    if choice.take == "closed" and ending not in ("svg", "dxf"):
        raise InputError("found closed, which is for lines in an .svg; others are read so", where=("outline", "take"))
    if choice.take in ("closed", "all") and choice.colours:
        raise InputError(f"found it with take: {choice.take}, expected one of them", where=("outline", "colours"))


def read_pair(
    pocket: tuple[bytes, str], plug: tuple[bytes, str], size: Size, choice: Choice = EVERYTHING
) -> tuple[OutlineFile, OutlineFile]:
    """Read two drawings, bytes and name each, at one scale: that which gives the pocket its size.

    Raises ``InputError`` as :func:`read_outline_file`; mistakes in the plug's drawing name its key.
    """
    one = read_outline_file(*pocket, size=size, choice=choice)
    shared = size
    if size.goes_by_extent:
        as_drawn = replace(size, width=None, height=None, scale=None, natural=True)
        drawn = read_outline_file(*pocket, size=as_drawn, choice=choice)
        across = [float(np.ptp(shapely.total_bounds(read.polygons)[[0, 2]])) for read in (one, drawn)]
        shared = replace(as_drawn, scale=across[0] / across[1])
    try:
        return one, read_outline_file(*plug, size=shared, choice=choice)
    except InputError as error:
        raise InputError(error.problem, where=("outline", "plug")) from error


def _from_dxf(data: bytes, size: Size, choice: Choice, flatness: float) -> tuple[list[shapely.Polygon], list[str]]:
    drawing = read_dxf_drawing(data, choice.layers)
    notes = list(drawing.notes)
    unit = size.unit_mm if size.unit_given else None
    if unit is not None and drawing.unit_mm not in (None, unit):
        notes.append(f"the file's own unit is {drawing.unit_mm:g} mm: outline.unit is not used")
    polygons, more = dxf_polygons(
        drawing, size, unit_mm=drawing.unit_mm or unit, choice=choice, flatness=flatness
    )
    return polygons, notes + more


def _from_positions(found: Positions, size: Size, choice: Choice) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons at their final size; of a file without any its lines, joined to loops."""
    left_out = found.left_out
    if found.polygons:
        left_out = left_out + [found.line_word] * len(found.lines)
        shapes = read_rings(found.polygons)
        mm = size.mm_per_unit([ring for shape in shapes for ring in shape.rings], size.unit_mm)
        polygons, notes = checked_polygons(shapes, mm)
    elif found.lines:
        lines = read_lines(found.lines)
        mm = size.mm_per_unit([line.points for line in lines], size.unit_mm)
        loops, doubled = loops_of(lines, mm, joining=joining_of(choice))
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


def _placed(polygons: Sequence[shapely.Polygon]) -> tuple[shapely.Polygon, ...]:
    """Polygons with the lower left of their bounds at (0, 0), checked once more at their size."""
    low_x, low_y, high_x, high_y = shapely.total_bounds(polygons)
    across = max(high_x - low_x, high_y - low_y)
    refuse_beyond_reckoning(across)
    placed = shapely.transform(polygons, lambda points: points - (low_x, low_y))
    if not shapely.is_valid(placed).all():
        # edges that pass a corner by less than a number's last digit may cross it once they are moved
        snapped = shapely.set_precision(shapely.MultiPolygon(polygons), across * _LAST_DIGITS)
        low_x, low_y, _, _ = snapped.bounds
        placed = shapely.get_parts(shapely.transform(snapped, lambda points: points - (low_x, low_y)))
    if not shapely.is_valid(placed).all():
        raise InputError(f"at {across:.3g} mm across the outline is lost in rounding: check its size")
    return tuple(placed)
