"""DXF drawings: shapes of known area in every kind of entity, units, layers, blocks, versions, what is refused.

The drawings are written by ezdxf or by hand; the areas are closed forms.
"""

from __future__ import annotations

import io
import itertools
import math
import sys
import time
from collections.abc import Callable, Sequence
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.document import Drawing
from ezdxf.layouts import BaseLayout
from ezdxf.xclip import XClip

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.errors import InputError

Pairs = Sequence[tuple[float, float]]
MM, INCH = 4, 1
SQUARE = [(0, 0), (40, 0), (40, 40), (0, 40)]
CIRCLE = math.pi * 20**2


def drawing(draw: Callable[[BaseLayout], Any], units: int = MM, version: str = "R2010") -> Drawing:
    document = ezdxf.new(version, units=units)
    draw(document.modelspace())
    return document


def data(document: Drawing, binary: bool = False) -> bytes:
    if binary:
        stream = io.BytesIO()
        document.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode(document.output_encoding)


def read(source: Drawing | bytes, layers: tuple[str, ...] = (), **size: Any) -> OutlineFile:
    found = source if isinstance(source, bytes) else data(source)
    return read_outline_file(found, "a.dxf", size=Size(**size), choice=Choice(layers=layers))


def area(outline: OutlineFile) -> float:
    return sum(polygon.area for polygon in outline.polygons)


def bounds(outline: OutlineFile) -> list[float]:
    return [float(side) for side in shapely.total_bounds(outline.polygons)]


def problem(source: Drawing | bytes, layers: tuple[str, ...] = (), **size: Any) -> str:
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        read(source, layers, **size)
    assert time.process_time() - started < 30  # also what was made to take for ever
    (line,) = caught.value.lines()
    return line


def lines(space: BaseLayout, points: Pairs, **attributes: Any) -> None:
    for start, end in itertools.pairwise(points):
        space.add_line(start, end, dxfattribs=attributes)


def square(space: BaseLayout, side: float = 40, at: tuple[float, float] = (0, 0), **attributes: Any) -> None:
    points = [(at[0] + x * side / 40, at[1] + y * side / 40) for x, y in SQUARE]
    space.add_lwpolyline(points, close=True, dxfattribs=attributes)


def hatch(space: BaseLayout, edges: bool) -> None:
    filled = space.add_hatch()
    if edges:
        path = filled.paths.add_edge_path()
        path.add_arc((0, 0), 20, 0, 180)
        path.add_line((-20, 0), (-20, -10))
        path.add_line((-20, -10), (20, -10))
        path.add_line((20, -10), (20, 0))
    else:
        filled.paths.add_polyline_path([(20, 0, 1), (-20, 0, 0), (-20, -10, 0), (20, -10, 0)], is_closed=True)


def fitted(space: BaseLayout) -> None:
    """A polyline with the frame of its fitted curve among the vertices, as old programs wrote it."""
    line = space.add_polyline2d([(0, 0), (40, 0), (99, 99), (40, 40), (0, 40)], close=True)
    line.dxf.flags |= 4
    line.vertices[2].dxf.flags |= 16


HALF_AND_STRIP = CIRCLE / 2 + 40 * 10

ENTITIES: dict[str, tuple[Callable[[BaseLayout], Any], float]] = {
    "lines": (lambda space: lines(space, [*SQUARE, SQUARE[0]]), 1600),
    "circle": (lambda space: space.add_circle((5, 5), 20), CIRCLE),
    "two arcs": (lambda s: (s.add_arc((0, 0), 20, 0, 180), s.add_arc((0, 0), 20, 180, 360)), CIRCLE),
    "ellipse": (lambda space: space.add_ellipse((0, 0), (20, 20), 0.5), math.pi * 800 * 0.5),
    "half ellipse": (
        lambda s: (s.add_ellipse((0, 0), (20, 0), 0.5, 0, math.pi), s.add_line((-20, 0), (20, 0))),
        math.pi * 20 * 10 / 2,
    ),
    "lwpolyline": (square, 1600),
    "bulges": (lambda s: s.add_lwpolyline([(20, 0, 1), (-20, 0, 0), (-20, -10), (20, -10)], "xyb", close=True),
               HALF_AND_STRIP),
    "closed by its first point": (lambda space: space.add_lwpolyline([*SQUARE, SQUARE[0]]), 1600),
    "polyline": (lambda space: space.add_polyline2d(SQUARE, close=True), 1600),
    "old bulges": (lambda s: s.add_polyline2d([(20, 0, 1), (-20, 0, 1)], format="xyb", close=True), CIRCLE),
    "3d polyline": (lambda space: space.add_polyline3d([(*at, 7) for at in SQUARE], close=True), 1600),
    "fitted polyline": (fitted, 1600),
    "spline": (  # of the first degree: a square; the curve itself is tested below
        lambda space: space.add_spline(degree=1).set_open_uniform([*SQUARE, SQUARE[0]], degree=1),
        1600,
    ),
    "hatch": (lambda space: hatch(space, edges=False), HALF_AND_STRIP),
    "hatch of edges": (lambda space: hatch(space, edges=True), HALF_AND_STRIP),
    "hatch over its outline": (lambda s: (square(s), s.add_hatch().paths.add_polyline_path(SQUARE)), 1600),
    "solid": (lambda space: space.add_solid([(0, 0), (40, 0), (0, 40), (40, 40)]), 1600),
    "mirrored": (  # seen from below: x points to the left
        lambda space: space.add_lwpolyline([(20, 0, 1), (-20, 0), (-20, -10), (20, -10)], "xyb", close=True,
                                           dxfattribs={"extrusion": (0, 0, -1)}),
        HALF_AND_STRIP,
    ),
    "mirrored arc": (
        lambda s: (s.add_arc((0, 0), 20, 90, 270, dxfattribs={"extrusion": (0, 0, -1)}), s.add_line((0, 20), (0, -20))),
        CIRCLE / 2,
    ),
}  # fmt: skip


@pytest.mark.parametrize("binary", [False, True])
@pytest.mark.parametrize("name", ENTITIES)
def test_entities(name: str, binary: bool) -> None:
    draw, expected = ENTITIES[name]
    outline = read(data(drawing(draw), binary))
    assert area(outline) == pytest.approx(expected, rel=4e-4)
    assert area(outline) <= expected * (1 + 1e-9) or name == "hatch over its outline"
    assert len(outline.polygons) == 1
    told = ("left out 1 doubled line",) if name == "hatch over its outline" else ()
    assert outline.notes == told


@pytest.mark.parametrize("name", sorted(ENTITIES.keys() - {"hatch", "hatch of edges", "hatch over its outline"}))
def test_entities_of_the_oldest_version(name: str) -> None:
    draw, expected = ENTITIES[name]
    try:
        document = drawing(draw, version="R12")
    except ezdxf.DXFVersionError:
        pytest.skip("an entity that the old version has not")
    assert problem(document) == NO_UNIT
    assert area(read(document, unit_mm=1.0, unit_given=True)) == pytest.approx(expected, rel=4e-4)


def test_mirrored_extrusion_is_mirrored() -> None:
    points = [(0, 0), (40, 0), (0, 10)]
    outline = read(drawing(lambda s: s.add_lwpolyline(points, close=True, dxfattribs={"extrusion": (0, 0, -1)})))
    # the right angle is at the right end now
    assert shapely.intersects_xy(outline.polygons[0].buffer(1e-6), 40, 10)


@pytest.mark.parametrize("radius", [0.01, 1, 30, 4000])
def test_curves_keep_their_flatness(radius: float) -> None:
    def draw(space: BaseLayout) -> None:
        space.add_lwpolyline([(radius, 0, 1), (-radius, 0, 1)], "xyb", close=True)

    for document in (drawing(draw), drawing(lambda space: space.add_circle((0, 0), radius))):
        ring = shapely.get_coordinates(read(document).polygons[0]) - radius
        middles = (ring[1:] + ring[:-1]) / 2
        assert abs(shapely.distance(shapely.points(ring), shapely.Point(0, 0)) - radius).max() < 5e-4
        assert (radius - shapely.distance(shapely.points(middles), shapely.Point(0, 0))).max() <= 0.0055


def test_splines_by_their_own_formula() -> None:
    """A clamped cubic spline of one span is the Bezier curve of its points; its area is a sum of cross products."""
    points = [(0.0, 0.0), (10.0, 60.0), (50.0, 60.0), (60.0, 0.0)]
    document = drawing(lambda s: (s.add_open_spline(points), s.add_line(points[0], points[3])))
    weights = {(0, 1): 6, (0, 2): 3, (0, 3): 1, (1, 2): 3, (1, 3): 3, (2, 3): 6}  # twentieths, of cross products
    crossed = [points[a][0] * points[b][1] - points[a][1] * points[b][0] for a, b in weights]
    expected = abs(sum(weight * cross for weight, cross in zip(weights.values(), crossed)) / 20)
    assert area(read(document)) == pytest.approx(expected, rel=2e-4)


def test_splines_run_within_their_knots() -> None:
    """A closed uniform cubic spline, unclamped: by its basis, (1 4 1) / 6 at the knots."""
    around = [(30 * math.cos(a), 20 * math.sin(a)) for a in (number * math.tau / 9 for number in range(9))]
    controls = [*around, *around[:3]]
    outline = read(drawing(lambda s: s.add_spline().set_uniform(controls, degree=3)))
    samples = []
    for p0, p1, p2, p3 in zip(controls, controls[1:], controls[2:], controls[3:]):
        for t in (step / 200 for step in range(200)):
            basis = (1 - t) ** 3, 3 * t**3 - 6 * t**2 + 4, -3 * t**3 + 3 * t**2 + 3 * t + 1, t**3
            samples.append([sum(b * p[axis] for b, p in zip(basis, (p0, p1, p2, p3))) / 6 for axis in (0, 1)])
    curve = shapely.Polygon(samples)
    assert area(outline) == pytest.approx(curve.area, rel=3e-4)
    corner = np.array(curve.bounds[:2])
    placed = shapely.transform(outline.polygons[0], lambda points: points + corner)
    assert shapely.hausdorff_distance(placed.exterior, curve.exterior) < 0.02


def test_splines_that_are_none_are_refused() -> None:
    backwards = drawing(lambda s: (square(s), s.add_rational_spline([(0, 0), (5, 9), (9, 0)], [1, 1, 1], degree=2)))
    found = backwards.modelspace()[1]
    found.knots = [0, 0, 0, 1, 0.5, 1]
    assert problem(backwards) == "SPLINE on layer 0: its knots run backwards: redraw it"
    found.knots, found.weights = [0, 0, 0, 1, 1, 1], [1, 0, 1]
    assert problem(backwards) == "SPLINE on layer 0: a weight of the spline is missing or not above 0: redraw it"


def test_rational_splines_are_exact() -> None:
    """A full circle as a spline of the second degree with weights."""
    half = math.sqrt(0.5)
    around = [(20, 0), (20, 20), (0, 20), (-20, 20), (-20, 0), (-20, -20), (0, -20), (20, -20), (20, 0)]
    knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    document = drawing(lambda s: s.add_rational_spline(around, [1, half] * 4 + [1], degree=2, knots=knots))
    assert area(read(document)) == pytest.approx(CIRCLE, rel=4e-4)


US_INCH = 1000 / 39.37  # of the US survey, in mm: a metre was 39.37 of them
UNITS = [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (9, 0.0254), (21, 12 * US_INCH), (22, US_INCH),
         (23, 36 * US_INCH), (24, 63_360 * US_INCH)]  # fmt: skip


@pytest.mark.parametrize(("code", "mm"), UNITS)
@pytest.mark.parametrize("binary", [False, True])
def test_units_are_obeyed(code: int, mm: float, binary: bool) -> None:
    outline = read(data(drawing(square, units=code), binary))
    assert bounds(outline) == pytest.approx([0, 0, 40 * mm, 40 * mm])
    assert read(drawing(square, units=code), width=50).polygons[0].area == pytest.approx(2500)
    assert bounds(read(drawing(square, units=code), scale=0.5))[2] == pytest.approx(20 * mm)


NO_UNIT = "the file names no unit: give outline.unit, outline.width or outline.height"


def test_a_drawing_without_unit_asks_for_one() -> None:
    raw = HAND_WRITTEN.encode()
    for source in (drawing(square, units=0), raw):
        assert problem(source) == NO_UNIT
        assert problem(source, unit_mm=25.4) == NO_UNIT  # a mere default
        assert problem(source, scale=2) == NO_UNIT
        assert bounds(read(source, unit_mm=25.4, unit_given=True))[2] == pytest.approx(40 * 25.4)
        assert bounds(read(source, width=50))[2] == pytest.approx(50)
        assert bounds(read(source, height=50))[3] == pytest.approx(50)


def test_a_unit_against_the_files_own_is_not_used_and_told() -> None:
    outline = read(drawing(square, units=INCH), unit_mm=1.0, unit_given=True)
    assert bounds(outline)[2] == pytest.approx(40 * 25.4)
    assert outline.notes == ("the file's own unit is 25.4 mm: outline.unit is not used",)
    assert read(drawing(square), unit_mm=1.0, unit_given=True).notes == ()


# no header, no tables: what a simple program writes
HAND_WRITTEN = "0\nSECTION\n2\nENTITIES\n" + "".join(
    f"0\nLINE\n8\nCUT\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n"
    for (a, b), (c, d) in itertools.pairwise([*SQUARE, SQUARE[0]])
) + "0\nENDSEC\n0\nEOF\n"  # fmt: skip


def test_line_ends_and_encodings() -> None:
    for text in (HAND_WRITTEN, HAND_WRITTEN.replace("\n", "\r\n"), HAND_WRITTEN.replace("\n8\n", "\n  8\n")):
        assert area(read(text.encode(), width=40)) == pytest.approx(1600)
    named = HAND_WRITTEN.replace("CUT", "Blätter")
    assert area(read(named.encode("cp1252"), layers=("blätter",), width=40)) == pytest.approx(1600)
    document = drawing(lambda space: square(space, layer="Blätter"))
    assert area(read(document, layers=("Blätter",))) == pytest.approx(1600)


# --- values that a recovering reader would take for others, files cut short ------------------------------------------


@pytest.mark.parametrize(
    ("written", "cure"),
    [
        ("40,5", "export the drawing with decimal points"),
        ("40.5 mm", "repair the value, or export the drawing again"),
        ("4O.5", "repair the value, or export the drawing again"),
        ("40.5.6", "repair the value, or export the drawing again"),
        ("4_0.5", "repair the value, or export the drawing again"),
    ],
)
@pytest.mark.parametrize("oldest", [False, True])
def test_values_that_are_no_numbers_are_refused(written: str, cure: str, oldest: bool) -> None:
    plain = HAND_WRITTEN.replace("\n40\n", "\n40.5\n")
    whole = plain if oldest else data(drawing(lambda s: lines(s, [(0, 0), (40.5, 0), (0, 9), (0, 0)]))).decode()
    broken = whole.replace("\n40.5\n", f"\n{written}\n", 1)
    line = broken[: broken.index(f"\n{written}\n")].count("\n") + 2
    assert problem(broken.encode(), width=40) == f"line {line}: found '{written}', expected a number: {cure}"


def test_a_value_of_no_consequence_may_be_broken() -> None:
    """A view's height with a decimal comma, as another table's value, changes no line."""
    whole = data(drawing(square)).decode()
    start = whole.index("VPORT")
    broken = whole[:start] + whole[start:].replace("\n 40\n1000.0\n", "\n 40\n1000,0\n", 1)
    assert broken != whole
    assert area(read(broken.encode())) == 1600


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_files_cut_short_are_refused(version: str) -> None:
    """Wherever the file is cut, nothing but the whole of it is read, or the whole drawn part."""
    whole = data(drawing(lambda s: (s.add_polyline2d(SQUARE, close=True), s.add_circle((90, 9), 5)), version=version))
    sized = {"unit_mm": 1.0, "unit_given": True}
    expected = area(read(whole, **sized))
    start = whole.index(b"ENTITIES")
    end = whole.index(b"ENDSEC", start)
    for cut in range(start, end, 7):
        assert problem(whole[:cut], **sized).startswith(("the file ends too early, at line ", "line ", "not DXF"))
    assert area(read(whole[: whole.rindex(b"EOF") - 5].rstrip(b" 0"), **sized)) == expected
    binary = data(drawing(square), binary=True)
    assert problem(binary[:-20]).startswith("the file ends too early, after ")


def test_what_the_recovering_reader_takes_out_is_refused() -> None:
    """A spline without points beside a broken value elsewhere, which calls the recovering reader in."""
    whole = data(drawing(lambda s: (square(s), s.add_spline()))).decode()
    start = whole.index("VPORT")
    broken = whole[:start] + whole[start:].replace("\n 40\n1000.0\n", "\n 40\n1000,0\n", 1)
    assert "without any points" in problem(broken.encode())


# --- full turns and what has no length --------------------------------------------------------------------------------

TURNS = [(0, math.tau), (-math.pi, math.pi), (math.pi, 3 * math.pi), (0, 6.2832), (1, 1 - math.tau)]


@pytest.mark.parametrize("insert", [None, {}, {"rotation": 30}, {"xscale": 2, "yscale": 1}, {"xscale": -1}])
@pytest.mark.parametrize(("start", "end"), TURNS)
def test_full_ellipses_and_circles_however_they_are_written(
    start: float, end: float, insert: dict[str, float] | None
) -> None:
    for kind in ("ellipse", "arc"):
        document = ezdxf.new(units=MM)
        into: BaseLayout = document.modelspace() if insert is None else document.blocks.new("RING")
        if kind == "ellipse":
            into.add_ellipse((0, 0), (20, 0), 0.5, start, end)
        else:
            into.add_arc((0, 0), 20, math.degrees(start), math.degrees(end))
        if insert is not None:
            document.modelspace().add_blockref("RING", (0, 0), dxfattribs=insert)
        document.modelspace().add_circle((0, 0), 50)
        wide = abs((insert or {}).get("xscale", 1))
        own = CIRCLE * wide / (2 if kind == "ellipse" else 1)
        assert area(read(document)) == pytest.approx(math.pi * 2500 - own, rel=1e-3)


@pytest.mark.parametrize(("start", "end"), TURNS[:4])
def test_full_ellipses_of_hatches(start: float, end: float) -> None:
    def draw(space: BaseLayout) -> None:
        path = space.add_hatch().paths.add_edge_path()
        path.add_ellipse((0, 0), (20, 0), 0.5, math.degrees(start), math.degrees(end))
        path.edges[0].start_angle, path.edges[0].end_angle = math.degrees(start), math.degrees(end)

    assert area(read(drawing(draw))) == pytest.approx(CIRCLE / 2, rel=1e-3)


@pytest.mark.parametrize(
    ("draw", "line"),
    [
        (lambda s: s.add_arc((0, 0), 20, 90, 90), "ARC on layer 0: starts and ends at the same angle, 90 degrees: "),
        (lambda s: s.add_ellipse((0, 0), (9, 0), 0.5, 1, 1), "ELLIPSE on layer 0: starts and ends at the same angle, "),
        (lambda s: s.add_ellipse((0, 0), (9, 0), 0.5, 0, 7), "ELLIPSE on layer 0: runs over 401.07 degrees, more than"),
    ],
)
def test_curves_that_may_be_full_or_nothing_are_refused(draw: Callable[[BaseLayout], Any], line: str) -> None:
    assert problem(drawing(lambda space: (square(space), draw(space)))).startswith(line)


def test_what_has_no_length_is_counted() -> None:
    def draw(space: BaseLayout) -> None:
        square(space)
        space.add_circle((3, 3), 0)
        space.add_line((5, 5), (5, 5))
        space.add_lwpolyline([(9, 9)])

    assert read(drawing(draw)).notes == ("left out what has no length: 1 CIRCLE, 1 LINE, 1 LWPOLYLINE",)


def test_polylines_with_a_width_are_told() -> None:
    outline = read(drawing(lambda space: square(space, const_width=2)))
    assert outline.notes == ("polylines drawn with a width, of which the middle is read: 1",)


@pytest.mark.parametrize(("style", "filled"), [(0, 1600 - 900 + 400), (1, 1600 - 900), (2, 1600)])
def test_hatch_styles(style: int, filled: float) -> None:
    """Three squares in one another: filled by turns, the outermost area only, or all of it."""

    def draw(space: BaseLayout) -> None:
        hatched = space.add_hatch(dxfattribs={"hatch_style": style})
        for side in (40, 30, 20):
            low = (40 - side) / 2
            corners = [(low, low), (low + side, low), (low + side, low + side), (low, low + side)]
            hatched.paths.add_polyline_path(corners, is_closed=True)

    outline = read(drawing(draw))
    assert area(outline) == filled
    over = {0: (), 1: 1, 2: 2}[style]
    assert outline.notes == ((f"inner boundaries that a hatch fills over by its style: {over}",) if over else ())


# --- layers and blocks ------------------------------------------------------------------------------------------------


def on_layers(**layers: float) -> Drawing:
    document = ezdxf.new(units=MM)
    for name, side in layers.items():
        document.layers.add(name)
        square(document.modelspace(), side, ((40 - side) / 2, (40 - side) / 2), layer=name)
    return document


def test_layers_over_one_another_need_a_choice() -> None:
    document = on_layers(OUTER=40, INNER=20)
    assert problem(document) == (
        "outline.layer: layers lie over one another: INNER (1 region), OUTER (1 region): choose with outline.layer; "
        "several are read as one drawing"
    )
    assert area(read(document, layers=("outer",))) == 1600
    assert area(read(document, layers=("INNER",))) == 400
    assert read(document, layers=("INNER",)).notes == ("left out what is on other layers: OUTER",)
    both = read(document, layers=("INNER", "OUTER"))
    assert area(both) == 1200
    assert area(read(document, layers=("INNER, outer",))) == 1200
    document.layers.add("INNER, OUTER")
    assert problem(document, layers=("INNER, OUTER",)).startswith("outline.layer: nothing is drawn on a layer INNER, ")
    assert len(both.polygons[0].interiors) == 1
    assert problem(document, layers=("CUT",)) == (
        "outline.layer: nothing is drawn on a layer CUT: layers with lines: INNER, OUTER"
    )


def test_layers_beside_one_another_are_read_together() -> None:
    document = on_layers(LEFT=40)
    document.modelspace().add_circle((100, 0), 20, dxfattribs={"layer": "RIGHT"})
    outline = read(document)
    assert area(outline) == pytest.approx(1600 + CIRCLE, rel=1e-3)
    assert outline.notes == ()
    document.modelspace().add_line((50, 50), (60, 70), dxfattribs={"layer": "FOLD"})
    assert problem(document) == (
        "layer FOLD: the line does not close, open from (50, 50) to (60, 70), 22.4 mm: join the ends in the drawing "
        "program; or choose with outline.layer: FOLD, LEFT, RIGHT"
    )


@pytest.mark.parametrize("hide", ["off", "freeze", "no plot"])
def test_hidden_layers_are_left_out(hide: str) -> None:
    document = on_layers(CUT=40, NOTES=20)
    layer = document.layers.get("NOTES")
    if hide == "no plot":
        layer.dxf.plot = 0
    else:
        getattr(layer, hide)()
    outline = read(document)
    assert area(outline) == 1600
    which = "layers that do not plot" if hide == "no plot" else "hidden layers"
    assert outline.notes == (f"left out what is on {which}: NOTES",)
    assert area(read(document, layers=("NOTES",))) == 400  # asked for by name
    document.modelspace().delete_entity(document.modelspace()[0])
    assert problem(document) == (
        "everything is on layers that are hidden or do not plot (NOTES): name them in outline.layer"
    )


def block(document: Drawing, name: str = "LEAF") -> Any:
    found = document.blocks.new(name)
    square(found)
    return found


def test_hidden_by_the_outermost_insert() -> None:
    document = on_layers(CUT=80, GONE=1)
    document.modelspace().delete_entity(document.modelspace()[1])
    document.layers.get("GONE").off()
    block(document)
    outer = document.blocks.new("SPRIG")
    outer.add_blockref("LEAF", (0, 0), dxfattribs={"layer": "0"})
    document.modelspace().add_blockref("SPRIG", (500, 0), dxfattribs={"layer": "GONE"})
    outline = read(document)
    assert area(outline) == 6400
    assert outline.notes == ("left out what is on hidden layers: GONE",)
    document.layers.get("GONE").on()
    assert area(read(document)) == 6400 + 1600
    assert area(read(document, layers=("GONE",))) == 1600


def test_nested_turned_mirrored_and_array_inserts() -> None:
    document = ezdxf.new(units=MM)
    leaf = document.blocks.new("LEAF")
    leaf.add_lwpolyline([(20, 0, 1), (-20, 0), (-20, -10), (20, -10)], "xyb", close=True)
    sprig = document.blocks.new("SPRIG")
    sprig.add_blockref("LEAF", (0, 0), dxfattribs={"rotation": 30, "xscale": -2, "yscale": 2})
    sprig.add_blockref("LEAF", (100, 0), dxfattribs={"xscale": 2, "yscale": 0.5})
    one = 4 * HALF_AND_STRIP + HALF_AND_STRIP
    space = document.modelspace()
    space.add_blockref("SPRIG", (0, 0))
    assert area(read(document)) == pytest.approx(one, rel=1e-3)
    array = {"row_count": 3, "column_count": 4, "row_spacing": 300, "column_spacing": 400, "xscale": -1}
    space.add_blockref("SPRIG", (1000, 0), dxfattribs=array)
    outline = read(document)
    assert area(outline) == pytest.approx(13 * one, rel=1e-3)
    assert len(outline.polygons) == 26


def test_a_clipped_insert_is_refused() -> None:
    document = ezdxf.new(units=MM)
    block(document)
    insert = document.modelspace().add_blockref("LEAF", (0, 0))
    XClip(insert).set_block_clipping_path([(0, 0), (10, 10)])
    assert problem(document) == "the insert of block LEAF is clipped: explode it and trim its lines"


def test_a_block_from_outside_is_counted() -> None:
    document = drawing(square)
    document.blocks.new("HOUSE").block.dxf.flags |= 4
    document.modelspace().add_blockref("HOUSE", (0, 0))
    assert read(document).notes == ("left out 1 insert of HOUSE, which is not in the file",)


# --- what is left out or refused --------------------------------------------------------------------------------------


def test_what_is_no_line_is_counted() -> None:
    def draw(space: BaseLayout) -> None:
        square(space)
        space.add_text("Home")
        space.add_text("sweet")
        space.add_linear_dim(base=(0, 50), p1=(0, 0), p2=(40, 0)).render()
        space.add_point((3, 3))
        space.add_line((0, 0), (9, 9), dxfattribs={"invisible": 1})

    outline = read(drawing(draw))
    assert area(outline) == 1600
    assert outline.notes == (
        "left out 1 DIMENSION, 1 POINT, 2 TEXT, 1 invisible entity (convert text to lines)",
    )
    only = drawing(lambda space: space.add_text("Home"))
    assert problem(only) == "no lines in the drawing, only 1 TEXT"


def test_heights_are_told() -> None:
    corners = [(0, 0, 0), (40, 0, 3), (40, 40, 3), (0, 40, 0)]
    outline = read(drawing(lambda space: space.add_polyline3d(corners, close=True)))
    assert outline.notes == ("lines run up or down by as much as 3 mm: read as seen from above",)


def itself() -> Drawing:
    document = ezdxf.new(units=MM)
    for name, other in (("A", "B"), ("B", "A")):
        document.blocks.new(name).add_blockref(other, (1, 1))
    document.modelspace().add_blockref("A", (0, 0))
    return document


def tens() -> Drawing:
    document = ezdxf.new(units=MM)
    square(document.blocks.new("B0"))
    for number in range(1, 9):
        level = document.blocks.new(f"B{number}")
        for x in range(10):
            level.add_blockref(f"B{number - 1}", (x * 50 * 10**number, 0))
    document.modelspace().add_blockref("B8", (0, 0))
    return document


def paper() -> Drawing:
    document = ezdxf.new(units=MM)
    square(document.paperspace())
    return document


@pytest.mark.parametrize(
    ("source", "line"),
    [
        (lambda: drawing(lambda s: lines(s, SQUARE)), "3 lines do not close, open from (0, 0) to (0, 40), 40 mm: join"),
        (
            lambda: drawing(lambda s: lines(s, [*SQUARE, (0, 0.02)]), units=INCH),
            "4 lines do not close, open from (0, 0) to (0, 0.02), 0.508 mm: join the ends in the drawing program",
        ),
        (
            lambda: drawing(
                lambda s: s.add_lwpolyline([(0, 0), (4, 4), (4, 0), (0, 4)], close=True, dxfattribs={"layer": "C"})
            ),
            "LWPOLYLINE on layer C: crosses itself at (2, 2): redraw it so that no line meets another",
        ),
        (
            lambda: drawing(lambda s: (s.add_circle((0, 0), 5), s.add_circle((6, 0), 5))),
            "CIRCLE on layer 0 and CIRCLE on layer 0 cross at (",
        ),
        (
            lambda: drawing(lambda s: s.add_lwpolyline([(0, 0), (4, 4), (9, 9)], close=True)),
            "LWPOLYLINE on layer 0: no area at (0, 0): redraw it or leave it out",
        ),
        (lambda: drawing(lambda s: None), "the drawing is empty"),
        (paper, "nothing in the model space, only on layout pages: move the outline to the model space"),
        (itself, "blocks nested over 20 deep: explode them in the drawing program"),
        (tens, "over 20,000 entities in blocks are drawn: simplify the drawing"),
        (
            lambda: drawing(lambda s: [s.add_circle((3000 * x, 0), 1000) for x in range(3000)]),
            "its curves come to 2",
        ),
        (lambda: b"GIF89a", "not DXF: no sections in the file"),
        (lambda: b"AC1032\x00\x00", "not DXF but another format: export DXF from the drawing program"),
        (
            lambda: b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n",
            "the file ends too early, at line 7, in the section ENTITIES: it was cut short: copy or export it again",
        ),
        (lambda: b"<svg/>", "not DXF: no sections in the file"),
        (lambda: b"AutoCAD Binary DXF\r\n\x1a\x00\x01\x02\x03EOF\x00", "not DXF, or broken: "),
    ],
)  # fmt: skip
def test_drawings_that_are_refused(source: Callable[[], Drawing | bytes], line: str) -> None:
    assert problem(source()).startswith(line)


@pytest.mark.parametrize(
    "draw",
    [
        lambda s: s.add_circle((0, 0), math.nan),
        lambda s: s.add_circle((math.inf, 0), 3),
        lambda s: s.add_circle((0, 0), 1e13),
        lambda s: s.add_arc((0, 0), 1e14, 0, 9),
        lambda s: s.add_ellipse((0, math.nan), (3, 1)),
        lambda s: s.add_ellipse((0, 0), (1e300, 1)),
        lambda s: s.add_lwpolyline([(0, 0, 1e300), (1, 1, math.nan), (2, 1, 1)], format="xyb"),
        lambda s: s.add_open_spline([(0, 0), (math.nan, 3), (4, 4), (5, 6)]),
        lambda s: s.add_spline([(0, 0), (1e200, 3), (4, math.inf)]),
        lambda s: s.add_line((0, 0), (math.nan, 3)),
    ],
)
def test_numbers_out_of_range_end_in_time(draw: Callable[[BaseLayout], Any]) -> None:
    line = problem(drawing(lambda space: (draw(space), square(space))))
    assert " on layer 0" in line
    assert line.endswith((": a coordinate is not finite, or out of range: check the drawing's size and units",
                          ": redraw it"))  # fmt: skip


def test_the_extra_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    assert problem(HAND_WRITTEN.encode()) == (
        "reading DXF needs the package ezdxf: python -m pip install ezdxf"
    )
