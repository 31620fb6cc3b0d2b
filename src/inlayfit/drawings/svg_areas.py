"""The area that the shapes of an SVG drawing make at a scale: their fills, chosen colours of them, or closed lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import groupby

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.fill_rule import RingedFill, filled_areas
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.polygon_rings import nested_polygons
from inlayfit.drawings.positions import MAX_VERTICES, Line, too_many_vertices
from inlayfit.drawings.specks import SPECK_AREA
from inlayfit.drawings.svg_colour import plain_colour
from inlayfit.drawings.svg_drawing import Clip, DrawnShape, PlacedPath, SvgDrawing
from inlayfit.drawings.svg_frame import MM_PER_PX, Affine
from inlayfit.errors import InputError

Points = NDArray[np.float64]

_GRID = 1e-6  # mm; edges of neighbours that agree within it are one edge
_COLOURS_NAMED = 6
_RECTANGLE = 1e-6  # share of its bounds that a rectangle may be short of
_PLACE = re.compile(r"\((-?[\d.e+-]+), (-?[\d.e+-]+)\)")


def drawn_area(
    drawing: SvgDrawing, choice: Choice, scale: float, flatness: float
) -> tuple[shapely.Geometry, list[str]]:
    """One area in mm, y up, at a scale, and notes on how it was read.

    ``flatness`` [mm] is how far a chord may lie from its curve. Raises ``InputError`` for colours that are not in the
    drawing, for a page under all other fills, for closed lines that are open or cross, and above the limits.
    """
    shapes = drawing.shapes
    rings = _Rings(scale, flatness)
    if choice.take == "closed":
        return _closed_lines(drawing, rings)
    areas = _clipped(shapes, filled_areas([rings.fill(shape) for shape in shapes]), rings)
    if choice.colours:
        return _chosen(shapes, areas, choice.colours), []
    _refuse_page(shapes, areas)
    groups: dict[str, list[shapely.Geometry]] = {}
    for shape, area in zip(shapes, areas, strict=True):
        groups.setdefault(shape.colour, []).append(area)
    by_colour = {colour: _united(found) for colour, found in groups.items()}
    whole = _united(list(by_colour.values()))
    return whole, _colour_notes(by_colour, whole)


def to_mm(scale: float) -> Affine:
    """From px, y down, to mm, y up: without the turn, left and right would be swapped on the plug."""
    return Affine(a=MM_PER_PX * scale, d=-MM_PER_PX * scale)


class _Rings:
    """Flattens paths at a scale, and counts their vertices."""

    def __init__(self, scale: float, flatness: float) -> None:
        self.to_mm, self.flatness = to_mm(scale), flatness
        self.mm_per_px = MM_PER_PX * scale
        self.vertices = 0

    def of(self, placed: PlacedPath) -> list[Points]:
        rings = placed.path.rings(self.to_mm @ placed.to_px, self.flatness)
        self.vertices += sum(map(len, rings))
        if self.vertices > MAX_VERTICES:
            raise too_many_vertices(self.vertices)
        return rings

    def fill(self, placed: PlacedPath) -> RingedFill:
        return RingedFill(self.of(placed), placed.even_odd)


def _clipped(shapes: Sequence[DrawnShape], areas: list[shapely.Geometry], rings: _Rings) -> list[shapely.Geometry]:
    """The areas cut to what their clips show; each clip is put together once."""
    known: dict[int, shapely.Geometry] = {}
    found = []
    for shape, area in zip(shapes, areas, strict=True):
        for clip in shape.clips:
            shown = _shown(clip, known, rings)
            area = area if shapely.covers(shown, area) else shapely.intersection(area, shown)
        found.append(area)
    return found


def _shown(clip: Clip, known: dict[int, shapely.Geometry], rings: _Rings) -> shapely.Geometry:
    if id(clip) not in known:
        shown = _united(filled_areas([rings.fill(part) for part in clip])) if clip else shapely.MultiPolygon()
        shapely.prepare(shown)
        known[id(clip)] = shown
    return known[id(clip)]


def _chosen(
    shapes: Sequence[DrawnShape], areas: Sequence[shapely.Geometry], colours: Iterable[str]
) -> shapely.Geometry:
    """What shows of the chosen colours: a shape of another colour that lies over them hides what is under it."""
    wanted = {plain_colour(colour): colour for colour in colours}
    there = dict.fromkeys(shape.colour for shape in shapes)
    for plain, written in wanted.items():
        if plain not in there:
            raise InputError(f"found '{written}', which the drawing has not: it has {_quoted(there)}",
                             where=("outline", "colours"))  # fmt: skip
    whole: shapely.Geometry = shapely.MultiPolygon()
    for adds, run in groupby(zip(shapes, areas, strict=True), key=lambda entry: entry[0].colour in wanted):
        part = _united([area for _, area in run])
        whole = shapely.union(whole, part) if adds else shapely.difference(whole, part)
    return shapely.set_precision(whole, _GRID)


def _quoted(colours: Iterable[str]) -> str:
    return ", ".join(f"'{colour[:30]}'" for colour in list(colours)[: 2 * _COLOURS_NAMED])


def _refuse_page(shapes: Sequence[DrawnShape], areas: Sequence[shapely.Geometry]) -> None:
    """Refuse an upright rectangle that holds every other fill, some of another colour: the whole would be it alone.

    It may be the page, left out when the drawing is looked at, or a plate with the drawing cut from it.
    """
    colours = dict.fromkeys(shape.colour for shape, area in zip(shapes, areas, strict=True) if not area.is_empty)
    if len(colours) < 2:
        return
    low_x, low_y, high_x, high_y = shapely.total_bounds(areas)
    whole = float((high_x - low_x) * (high_y - low_y))
    for shape, area in zip(shapes, areas, strict=True):
        if area.area >= (1 - _RECTANGLE) * whole > 0:
            raise InputError(
                f"{shape.label}: a rectangle of '{shape.colour[:30]}' holds all other fills, as a page does: "
                f"say in outline.colours which to take of {_quoted(colours)}"
            )


def _closed_lines(drawing: SvgDrawing, rings: _Rings) -> tuple[shapely.Geometry, list[str]]:
    """The area within closed lines, loops within loops as holes; loose ends are joined."""
    try:
        return _enclosed(drawing.shapes, rings)
    except InputError as error:
        if not _PLACE.search(error.problem):
            raise
        unit, mm = ("mm", MM_PER_PX) if drawing.has_size and not drawing.in_px else ("px", 1.0)
        told = _PLACE.sub(
            lambda px: "({}, {})".format(*(f"{round(float(value) * mm, 2) + 0.0:.10g}" for value in px.groups())),
            error.problem,
        )
        raise InputError(f"{told} (places in {unit} from the drawing's upper left corner)") from error


def _enclosed(shapes: Sequence[DrawnShape], rings: _Rings) -> tuple[shapely.Geometry, list[str]]:
    known: dict[int, shapely.Geometry] = {}
    lines: list[Line] = []
    for shape in shapes:
        for points in rings.of(shape):
            for clip in shape.clips:
                if not shapely.covers(_shown(clip, known, rings), shapely.LineString(points)):
                    raise InputError(f"{shape.label}: cut off by a clip path or its frame: trim the line itself")
            # places in messages are those of the drawing, in px and y down
            lines.append(Line(shape.label, points / (rings.mm_per_px, -rings.mm_per_px)))
    loops, notes = loops_of(lines, rings.mm_per_px, curve_error=rings.flatness / rings.mm_per_px)
    if not loops:
        raise InputError("the lines of the drawing have no length: check the file")
    polygons, more = nested_polygons(loops, rings.mm_per_px)
    area = shapely.MultiPolygon(polygons)
    told = [f"closed lines taken: {len(lines)} lines make {len(loops)} loops"]
    return shapely.transform(area, lambda points: points * (rings.mm_per_px, -rings.mm_per_px)), told + notes + more


def _united(areas: list[shapely.Geometry]) -> shapely.Geometry:
    """The union, on a grid fine enough for any shop, which closes the hairlines that rounding leaves."""
    if len(areas) == 1:
        return areas[0]
    return shapely.set_precision(shapely.union_all(areas), _GRID)


def _colour_notes(by_colour: dict[str, shapely.Geometry], whole: shapely.Geometry) -> list[str]:
    """A note where colours lie over one another: the eye may then see another outline than their union."""
    total = sum(area.area for area in by_colour.values())
    if total - whole.area < max(SPECK_AREA, 1e-6 * total):
        return []
    colours = list(by_colour)
    named = ", ".join(colour[:30] for colour in colours[:_COLOURS_NAMED])
    more = f" and {len(colours) - _COLOURS_NAMED} more" if len(colours) > _COLOURS_NAMED else ""
    return [
        f"fills of different colours overlap ({named}{more}): read as one area, where a light shape on a "
        "dark one makes no hole; to take what shows of some, name them in outline.colours"
    ]
