"""The area that the shapes of an SVG drawing make at a scale: their fills, chosen colours of them, or closed lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.fill_rule import RingedFill, filled_areas
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.openings import Joining, joining_of
from inlayfit.drawings.polygon_rings import nested_polygons
from inlayfit.drawings.positions import MAX_VERTICES, Line, too_many_chords
from inlayfit.drawings.specks import SPECK_AREA
from inlayfit.drawings.svg_colour import plain_colour
from inlayfit.drawings.svg_drawing import SvgDrawing
from inlayfit.drawings.svg_drawn import Clip, DrawnShape
from inlayfit.drawings.svg_frame import MM_PER_PX, Affine
from inlayfit.drawings.svg_strokes import stroked_area
from inlayfit.errors import InputError

Points = NDArray[np.float64]

_GRID = 1e-6  # mm; edges of neighbours that agree within it are one edge
_COLOURS_NAMED = 6
_MANY = 50  # areas of which it is worth while to ask first whether any two meet
_MOST_OVER = 0.01
"""Share of the area on which colours may overlap before it is asked which are meant."""
_LITTLE_OFF = 1e-4
"""Share of the area, and of the page's size, that may lie off the page unsaid."""
_RECTANGLE = 1e-6  # share of its bounds that a rectangle may be short of
_AREAS = ("Polygon", "MultiPolygon")
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
        whole, notes = _closed_lines(drawing, rings, joining_of(choice))
    else:
        areas = _clipped(shapes, rings.areas(shapes), rings)
        if choice.colours:
            whole, notes = _chosen(shapes, areas, choice.colours), []
        else:
            if choice.take != "all":
                _refuse_page(shapes, areas)
            whole, notes = _together(shapes, areas, everything=choice.take == "all")
    return _on_page(whole, notes, drawing, rings.mm_per_px, choice)


def _together(
    shapes: Sequence[DrawnShape], areas: Sequence[shapely.Geometry], *, everything: bool
) -> tuple[shapely.Geometry, list[str]]:
    """All areas as one; refused where colours lie over one another and nobody said what is to count."""
    groups: dict[str, list[shapely.Geometry]] = {}
    for shape, area in zip(shapes, areas, strict=True):
        groups.setdefault(shape.colour, []).append(area)
    by_colour = {colour: _united(found) for colour, found in groups.items()}
    if len(by_colour) == 1:
        return next(iter(by_colour.values())), []
    whole = _united(list(by_colour.values()))
    over = sum(area.area for area in by_colour.values()) - whole.area
    if over < max(SPECK_AREA, 1e-6 * whole.area):
        return whole, []
    named = _quoted(by_colour)
    if over > _MOST_OVER * whole.area and not everything:
        under = _most_covered(shapes, areas, by_colour)
        raise InputError(
            f"fills of different colours overlap on {_share(over / whole.area)} of the area, where a light shape on a "
            f"dark one may be meant as a hole: say in outline.colours which to take of {named} ('{under[:30]}' leaves "
            "holes where others lie over it), or set outline.take: all",
            where=("outline", "colours"),
        )
    return whole, [f"fills of different colours overlap ({named}): read as one area, without holes where they do"]


def _most_covered(
    shapes: Sequence[DrawnShape], areas: Sequence[shapely.Geometry], by_colour: Mapping[str, shapely.Geometry]
) -> str:
    """The colour of which others hide most."""
    largest = sorted(by_colour, key=lambda colour: -by_colour[colour].area)[:_COLOURS_NAMED]
    hidden = {colour: by_colour[colour].area - _chosen(shapes, areas, [colour]).area for colour in largest}
    return max(hidden, key=lambda colour: hidden[colour])


def _on_page(
    whole: shapely.Geometry, notes: list[str], drawing: SvgDrawing, mm_per_px: float, choice: Choice
) -> tuple[shapely.Geometry, list[str]]:
    """The area, cut to the page where that was asked for, and a note on what lies off it."""
    if whole.is_empty:
        return whole, notes
    if drawing.page_px is None:
        if choice.clip_page:
            raise InputError("found clip with a drawing that tells no page, expected a width and height, or a viewBox",
                             where=("outline", "page"))  # fmt: skip
        return whole, notes
    wide, high = (side * mm_per_px for side in drawing.page_px)
    page = shapely.box(0, -high, wide, 0)
    if shapely.covers(page, whole):
        return whole, notes
    on_page = _polygonal(shapely.intersection(whole, page))
    off = whole.area - on_page.area
    if choice.clip_page:
        if on_page.is_empty:
            raise InputError("all of the drawing lies off its page", where=("outline", "page"))
        if off < _LITTLE_OFF * whole.area:
            return on_page, notes
        return on_page, [*notes, f"cut off at the page: {_share(off / whole.area)} of the area"]
    low_x, low_y, high_x, high_y = shapely.total_bounds(whole)
    reach = max(-low_x, high_x - wide, high_y, -high - low_y)
    if off < _LITTLE_OFF * whole.area and reach < _LITTLE_OFF * max(wide, high):
        return whole, notes
    words = f"{_share(off / whole.area)} of the area lies off the page and is taken: outline.page: clip cuts it off"
    return whole, [*notes, words]


def _share(part: float) -> str:
    return f"{100 * part:.2g} %" if part < 0.995 else "all"


def to_mm(scale: float) -> Affine:
    """From px, y down, to mm, y up: without the turn, left and right would be swapped on the plug."""
    return Affine(a=MM_PER_PX * scale, d=-MM_PER_PX * scale)


class _Rings:
    """Flattens paths at a scale, and counts their vertices."""

    def __init__(self, scale: float, flatness: float) -> None:
        self.to_mm, self.flatness = to_mm(scale), flatness
        self.mm_per_px = MM_PER_PX * scale
        self.vertices = 0

    def of(self, placed: DrawnShape) -> list[Points]:
        rings = placed.path.rings(self.to_mm @ placed.to_px, self.flatness)
        self.vertices += sum(map(len, rings))
        if self.vertices > MAX_VERTICES:
            raise too_many_chords(self.vertices)
        return rings

    def areas(self, shapes: Sequence[DrawnShape]) -> list[shapely.Geometry]:
        """The area of each shape, clips left aside."""
        rings = [self.of(shape) for shape in shapes]
        fills = filled_areas([
            RingedFill([] if shape.stroke else found, shape.even_odd)
            for shape, found in zip(shapes, rings, strict=True)
        ])  # fmt: skip
        return [
            fill if shape.stroke is None
            else stroked_area(shape.path, shape.stroke, self.to_mm @ shape.to_px, self.flatness)
            for shape, fill in zip(shapes, fills, strict=True)
        ]  # fmt: skip


def _clipped(shapes: Sequence[DrawnShape], areas: list[shapely.Geometry], rings: _Rings) -> list[shapely.Geometry]:
    """The areas cut to what their clips show; each clip is put together once."""
    known: dict[Clip, shapely.Geometry] = {}
    found = []
    for shape, area in zip(shapes, areas, strict=True):
        for clip in shape.clips:
            shown = _shown(clip, known, rings)
            area = area if shapely.covers(shown, area) else _polygonal(shapely.intersection(area, shown))
        found.append(area)
    return found


def _shown(clip: Clip, known: dict[Clip, shapely.Geometry], rings: _Rings) -> shapely.Geometry:
    if clip not in known:
        shown: shapely.Geometry = shapely.MultiPolygon()
        areas = _clipped(clip.shapes, rings.areas(clip.shapes), rings)
        cutting = clip.cutting or [False] * len(areas)
        for cuts, run in groupby(zip(cutting, areas, strict=True), key=lambda entry: entry[0]):
            part = _united([area for _, area in run])
            shown = shapely.difference(shown, part) if cuts else shapely.union(shown, part)
        shapely.prepare(shown)
        known[clip] = shown
    return known[clip]


def _polygonal(area: shapely.Geometry) -> shapely.Geometry:
    """What of a geometry has area: a cut may leave a line or a point beside it."""
    if area.geom_type in _AREAS:
        return area
    return shapely.union_all([part for part in shapely.get_parts(area) if part.geom_type in _AREAS])


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
    return _polygonal(shapely.set_precision(whole, _GRID))


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


def _closed_lines(drawing: SvgDrawing, rings: _Rings, joining: Joining) -> tuple[shapely.Geometry, list[str]]:
    """The area within closed lines, loops within loops as holes; loose ends are joined."""
    unit, mm = ("mm", MM_PER_PX) if drawing.has_size and not drawing.in_px else ("px", 1.0)

    def told(text: str) -> str:
        """Words with the places in them in a unit that is known at the drawing."""
        if not _PLACE.search(text):
            return text
        placed = _PLACE.sub(
            lambda px: "({}, {})".format(*(f"{round(float(value) * mm, 2) + 0.0:.10g}" for value in px.groups())), text
        )
        return f"{placed} (places in {unit} from the drawing's upper left corner)"

    try:
        area, notes = _enclosed(drawing.shapes, rings, joining)
    except InputError as error:
        raise InputError(told(error.problem)) from error
    return area, [told(note) for note in notes]


def _enclosed(shapes: Sequence[DrawnShape], rings: _Rings, joining: Joining) -> tuple[shapely.Geometry, list[str]]:
    known: dict[Clip, shapely.Geometry] = {}
    lines: list[Line] = []
    for shape in shapes:
        for points in rings.of(shape):
            for clip in shape.clips:
                if not shapely.covers(_shown(clip, known, rings), shapely.LineString(points)):
                    raise InputError(f"{shape.label}: cut off by a clip path or its frame: trim the line itself")
            # places in messages are those of the drawing, in px and y down
            lines.append(Line(shape.label, points / (rings.mm_per_px, -rings.mm_per_px)))
    error = rings.flatness / rings.mm_per_px
    loops, notes = loops_of(lines, rings.mm_per_px, curve_error=error, joining=joining)
    if not loops:
        raise InputError("the lines of the drawing have no length: check the file")
    polygons, more = nested_polygons(loops, rings.mm_per_px, curve_error=error)
    area = shapely.MultiPolygon(polygons)
    told = [f"closed lines taken: {len(lines)} lines make {len(loops)} loop{'s' if len(loops) > 1 else ''}"]
    return shapely.transform(area, lambda points: points * (rings.mm_per_px, -rings.mm_per_px)), told + notes + more


def _united(areas: list[shapely.Geometry]) -> shapely.Geometry:
    """The union, on a grid fine enough for any shop, which closes the hairlines that rounding leaves."""
    if len(areas) == 1:
        return areas[0]
    if len(areas) > _MANY and shapely.STRtree(areas).query(areas, predicate="intersects").shape[1] == len(areas):
        return shapely.MultiPolygon([part for area in areas for part in shapely.get_parts(area)])
    return _polygonal(shapely.set_precision(shapely.union_all(areas), _GRID))
