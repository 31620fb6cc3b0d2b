"""SVG drawings: against an independent renderer, against closed forms, and what is refused or noted.

The renderer is resvg, in another language and of other authors; it is used by the tests only.
"""

from __future__ import annotations

import io
import math
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.drawings.svg_drawing import read_svg_drawing
from inlayfit.drawings.svg_outline import svg_polygons
from inlayfit.drawings.svg_walk import Counted
from inlayfit.errors import InputError

DRAWINGS = sorted((Path(__file__).parent / "drawings").glob("*.svg"))
MM_PER_PX = 25.4 / 96
NAMESPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PAGE = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
SQUARE = '<rect width="10" height="10"/>'


def svg(body: str, head: str = PAGE) -> str:
    return f"<svg {NAMESPACES} {head}>{body}</svg>"


def read(text: str | bytes, **size: float) -> OutlineFile:
    data = text if isinstance(text, bytes) else text.encode()
    return read_outline_file(data, "a.svg", size=Size(**size))


def area(outline: OutlineFile) -> float:
    return sum(polygon.area for polygon in outline.polygons)


def bounds(outline: OutlineFile) -> list[float]:
    return [float(side) for side in shapely.total_bounds(outline.polygons)]


def problem(text: str | bytes, **size: float) -> str:
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        read(text, **size)
    assert time.process_time() - started < 10  # also what was made to take for ever
    (line,) = caught.value.lines()
    return line


def counted(path: Path) -> Counted:
    return "strokes" if path.stem == "strokes" else "fills"


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_against_a_renderer(path: Path) -> None:
    """Every pixel further than one from the outline is painted where it is inside, and only there."""
    drawing = path.read_bytes()
    if path.stem == "sign":  # the renderer does paint text and strokes
        drawing = drawing.replace(b"<text", b"<desc").replace(b"</text", b"</desc").replace(b"stroke=", b"title=")
    zoom = 2
    png = resvg_py.svg_to_bytes(svg_string=drawing.decode("latin-1"), zoom=zoom, dpi=96)
    with Image.open(io.BytesIO(png)) as image:
        alpha = np.asarray(image.convert("RGBA"))[:, :, 3]
    polygons, _ = svg_polygons(read_svg_drawing(drawing, counted(path)), flatness=0.005)
    pixel = MM_PER_PX / zoom
    rows, columns = alpha.shape
    x, y = np.meshgrid((np.arange(columns) + 0.5) * pixel, -(np.arange(rows) + 0.5) * pixel)
    whole = shapely.MultiPolygon(polygons)
    shapely.prepare(whole)
    differing = (alpha > 127) != shapely.contains_xy(whole, x, y)
    away = shapely.distance(whole.boundary, shapely.points(x[differing], y[differing]))
    assert (away < pixel).all()
    on_page = shapely.clip_by_rect(whole, 0, -rows * pixel, columns * pixel, 0).area
    assert on_page > 50
    assert alpha.sum() / 255 * pixel**2 == pytest.approx(on_page, rel=4e-3)


@pytest.mark.parametrize(
    ("name", "regions", "holes"),
    [
        ("beyond_page", 2, 0),
        ("clones", 9, 0),
        ("fern", 1, 0),
        ("fill_rules", 14, 4),
        ("frames", 10, 0),
        ("hidden", 4, 0),
        ("masks", 7, 0),
        ("old_export", 2, 0),
        ("path_commands", 17, 0),
        ("sign", 2, 1),
        ("skewed", 9, 0),
        ("strokes", 17, 2),
        ("styles", 6, 0),
        ("units", 5, 0),
    ],
)
def test_regions_and_holes(name: str, regions: int, holes: int) -> None:
    path = DRAWINGS[0].parent / f"{name}.svg"
    choice = Choice(take="strokes" if counted(path) == "strokes" else None)
    outline = read_outline_file(path.read_bytes(), "a.svg", size=Size(), choice=choice)
    assert len(outline.polygons) == regions
    assert sum(len(polygon.interiors) for polygon in outline.polygons) == holes
    assert all(polygon.is_valid for polygon in outline.polygons)


def test_every_drawing_has_its_count() -> None:
    counted = test_regions_and_holes.pytestmark[0].args[1]
    assert [path.stem for path in DRAWINGS] == [name for name, _, _ in counted]


@pytest.mark.parametrize(
    ("transform", "factor"),
    [
        ("scale(2 1) rotate(30)", 2),
        ("rotate(30) scale(2 1)", 2),
        ("skewX(30)", 1),
        ("matrix(2 1 1 1 0 0)", 1),
        ("matrix(3 1 1 1 0 0)", 2),
        ("scale(-1 1)", 1),
    ],
)
@pytest.mark.parametrize(
    ("shape", "own"),
    [
        ('<circle r="5"', math.pi * 25),
        ('<ellipse rx="6" ry="2"', math.pi * 12),
        ('<rect width="12" height="8" rx="3"', 12 * 8 - (4 - math.pi) * 9),
        ('<path d="M-5 0A5 5 0 0 1 5 0z"', math.pi * 25 / 2),
    ],
)
def test_arcs_under_any_transform(shape: str, own: float, transform: str, factor: float) -> None:
    """The area grows by the determinant, less what chords cut off."""
    polygons, _ = svg_polygons(read_svg_drawing(svg(f'{shape} transform="{transform}"/>').encode()), flatness=1e-4)
    assert sum(polygon.area for polygon in polygons) == pytest.approx(own * factor, rel=1e-4)


@pytest.mark.parametrize("size", [{}, {"width": 400.0}, {"height": 3.0}, {"scale": 25.0}])
@pytest.mark.parametrize("head", [PAGE, 'width="0.01mm" height="0.01mm" viewBox="0 0 100 100"'])
def test_flatness_holds_at_the_final_size(size: dict[str, float], head: str) -> None:
    """Chord ends lie on the circle, chord middles within 0.005 mm of it, and not much closer than that."""
    if head != PAGE and "width" not in size and "height" not in size:
        size = {"scale": 10_000.0}
    (polygon,) = read(svg('<circle cx="30" cy="40" r="20"/>', head), **size).polygons
    low_x, low_y, high_x, high_y = polygon.bounds
    radius = (high_x - low_x) / 2
    points = shapely.get_coordinates(polygon) - ((low_x + high_x) / 2, (low_y + high_y) / 2)
    assert np.hypot(*points.T) == pytest.approx(radius, abs=1e-6)
    sagitta = radius - np.hypot(*((points[1:] + points[:-1]) / 2).T)
    assert 0.0035 < sagitta.max() <= 0.005 + 1e-6
    if "scale" not in size:
        expected = size.get("width", size.get("height", 40.0))
        assert 2 * radius == pytest.approx(expected, rel=1e-12 if size else 1e-6)


def test_flatness_of_bezier_curves() -> None:
    """A quarter of a circle as the usual cubic (within 0.03 % of it), and a parabola."""
    k = 4 / 3 * math.tan(math.pi / 8)
    quarter = f"M0 0H40C40 {40 * k} {40 * k} 40 0 40z"
    assert area(read(svg(f'<path d="{quarter}"/>'))) == pytest.approx(math.pi * 40**2 / 4, rel=5e-4)
    (parabola,) = read(svg('<path d="M0 0Q30 60 60 0z"/>')).polygons
    assert parabola.area == pytest.approx(2 / 3 * 60 * 30, rel=5e-4)
    points = shapely.get_coordinates(parabola)
    x, y = points.T
    assert y == pytest.approx(30 * (x / 30 - 1) ** 2, abs=1e-9)
    step = np.diff(points, axis=0)
    curved = step[:, 1] != 0  # all but the line that closes it
    # half way along a chord a parabola lies y'' dx²/8 below it, and nearer than that across the slope
    across = (60 / 30**2) * step[curved, 0] ** 2 / 8 * np.abs(step[curved, 0]) / np.hypot(*step[curved].T)
    assert 0.0035 < across.max() <= 0.005 + 1e-9


def test_a_size_is_that_of_the_fills() -> None:
    """Unfilled shapes, spikes without area and far control points do not count."""
    body = (
        '<path d="M0 0H10V5H0z M0 0H90z" /><path fill="none" d="M0 50H99V60z"/>'
        '<path d="M2 5C2 -300 3 -300 3 5z" fill-opacity="0"/>'
    )
    outline = read(svg(body), width=60)
    assert bounds(outline) == pytest.approx([0, 0, 60, 30])
    curve = read(svg('<path d="M0 0C0 40 10 40 10 0z"/>'), height=60)
    assert bounds(curve) == pytest.approx([0, 0, 20, 60], rel=1e-3)


def test_moves_that_change_nothing_but_the_place() -> None:
    leaf = '<path d="M0,0 C4,-7 14,-8 20,-2 C13,1 5,3 0,0 Z"/>'
    first = read(svg(leaf))
    for moved in ("translate(31 17)", "translate(-500 3e3)", "translate(1 1) scale(1)"):
        other = read(svg(f'<g transform="{moved}">{leaf}</g>'))
        assert shapely.equals_exact(other.polygons[0], first.polygons[0], tolerance=1e-9)
    backwards = '<path d="M0,0 C5,3 13,1 20,-2 C14,-8 4,-7 0,0 Z"/>'
    assert area(read(svg(backwards))) == pytest.approx(area(first), rel=1e-12)
    inches = 'width="2in" height="1in" viewBox="0 0 50.8 25.4"'
    assert area(read(svg(leaf, inches))) == pytest.approx(area(first), rel=1e-12)


def test_y_points_up() -> None:
    """A flag with its cloth at the top of the page has it at the top of the outline."""
    (flag,) = read(svg('<path d="M0 0H20V5H2V30H0z"/>')).polygons
    assert shapely.intersects_xy(flag, 15, 28)
    assert not shapely.intersects_xy(flag, 15, 2)


def test_shapes_that_share_an_edge_become_one() -> None:
    sectors = "".join(
        f'<path d="M50 50L{50 + 40 * math.cos(a):.4f} {50 + 40 * math.sin(a):.4f}'
        f'A40 40 0 0 1 {50 + 40 * math.cos(a + math.pi / 6):.4f} {50 + 40 * math.sin(a + math.pi / 6):.4f}z"/>'
        for a in np.arange(12) * math.pi / 6
    )
    outline = read(svg(sectors))
    assert [len(polygon.interiors) for polygon in outline.polygons] == [0]
    assert area(outline) == pytest.approx(math.pi * 40**2, rel=1e-3)


def test_hairlines_along_a_shared_curve_are_filled_and_counted() -> None:
    """The same quarter circle as one arc and as two: their chords differ, and leave slivers."""
    body = '<path d="M50 0A50 50 0 0 1 25 43.30127A50 50 0 0 1 0 50L0 0z"/><path d="M0 50A50 50 0 0 0 50 0H60V60H0z"/>'
    outline = read(svg(body))
    assert [len(polygon.interiors) for polygon in outline.polygons] == [0]
    assert area(outline) == pytest.approx(3600, rel=1e-6)
    assert outline.notes[0].startswith("filled pinholes under 0.0001 mm2 or 0.01 mm wide: ")


@pytest.mark.parametrize("size", [{}, {"width": 60.0}])
def test_specks_are_left_out_and_do_not_count_for_the_size(size: dict[str, float]) -> None:
    speck = '<rect x="90" y="90" width=".005" height=".005"/>'
    outline = read(svg('<rect width="30" height="30"/>' + speck), **size)
    assert bounds(outline) == pytest.approx([0, 0] + 2 * [size.get("width", 30.0)])
    assert outline.notes == ("left out specks under 0.0001 mm2 or 0.01 mm wide: 1",)


@pytest.mark.parametrize(
    ("body", "notes"),
    [
        (SQUARE, ()),
        (SQUARE + '<circle cx="5" cy="5" r="3" fill="#000"/>', ()),
        (SQUARE + '<rect x="20" width="5" height="5" fill="red"/>', ()),
        (
            '<circle cx="10" cy="10" r="9" fill="#000"/><circle cx="10" cy="10" r="0.8" fill="white"/>',
            (
                "fills of different colours overlap ('#000000', '#ffffff'): read as one area, without holes where they "
                "do",
            ),
        ),
        (
            SQUARE + '<rect x="80" width="24" height="5"/>',
            ("9.1 % of the area lies off the page and is taken: outline.page: clip cuts it off",),
        ),
        (SQUARE + '<path d="M0 10h5v5" fill="url(#gone)"/>', (
            "left out 1 paint '#gone', which is not in the file",
            "left out 1 of 2 shapes, which have no fill: only fills are read",
        )),
        (SQUARE + '<rect y="10" width="5" height="5" fill="url(#gone) red"/>', ()),
        (
            f'<pattern id="p">{SQUARE}</pattern><rect width="9" height="9" fill="url(#p)"/>',
            ("painted with a pattern, taken as filled: 1 shape",),
        ),
        (
            '<linearGradient id="g"><stop stop-opacity="0"/><stop offset="1"/></linearGradient>'
            '<linearGradient id="h" href="#g"/><rect width="9" height="9" fill="url(#h)"/>',
            ("painted with a colour that fades out, taken as filled: 1 shape",),
        ),
        ('<marker id="m"/><g style="marker:url(#m)"><path d="M0 0h9v9z"/></g>', ("left out 3 markers",)),
        ('<g fill="red"><rect width="9" height="9" fill=""/></g>', ()),
        (
            f'<style media="print">rect {{ fill: none }}</style>{SQUARE}',
            ("left out style rules from outside the file, for print or within an @ block: check the fills",),
        ),
        (f'<style media="screen, print">circle {{ fill: none }}</style>{SQUARE}', ()),
        (
            f'<g mask="url(#gone)">{SQUARE}</g>',
            ("left out 1 mask of '#gone', which is not in the file",),
        ),
        (SQUARE + '<text x="1">Home,  sweet</text>', ("left out 1 text ('Home, sweet'): convert text to paths",)),
        (SQUARE + "<text/>" * 2, ("left out 2 texts: convert text to paths",)),
        (SQUARE + '<image href="leaf.png"/>' * 3, ("left out 3 images",)),
        (SQUARE + '<use href="#gone"/>', ("left out 1 use of '#gone', which is not in the file",)),
        (SQUARE + '<line x2="9" fill="none"/>', ("left out 1 of 2 shapes, which have no fill: only fills are read",)),
        (
            '<rect width="10" height="10" stroke="black"/>',
            ("1 filled shape also has a stroke: the outline is the edge of the fill",),
        ),
        ('<rect width="10" height="10" stroke="black" stroke-width="0"/>', ()),
        (f'<g filter="url(#glow)">{SQUARE}</g>', ("left out 1 filter",)),
        (
            f"<style>@media screen {{ rect {{ fill: none }} }}</style>{SQUARE}",
            ("left out style rules from outside the file, for print or within an @ block: check the fills",),
        ),
        (f'<g display="none"><text>no</text><image/></g><g visibility="hidden"><text>no</text></g>{SQUARE}', ()),
    ],
)
def test_notes(body: str, notes: tuple[str, ...]) -> None:
    assert read(svg(body)).notes == notes


def test_an_outside_style_sheet_is_noted() -> None:
    outline = read('<?xml-stylesheet href="house.css"?>' + svg(SQUARE))
    told = "left out style rules from outside the file, for print or within an @ block: check the fills"
    assert outline.notes == (told,)


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (5 * '<rect width="4" height="4" fill="none"/>', "5 shapes, all without fill; fill them, convert strokes"),
        ('<path d="M0 0H9" fill="none"/>', "1 shape, without fill; fill it, convert its stroke to a path"),
        ("<text>Home</text>", "no shapes, only 1 text ('Home'); convert text and images to filled paths"),
        ('<use href="#a"/>', "no shapes, only 1 use of '#a', which is not in the file"),
        ("", "no shapes in the drawing, expected filled ones"),
        ('<path d="M0 0L9 9z"/><line x2="9"/>', "the filled shapes have no area: draw them closed, or convert"),
        (f'<g transform="scale(0)">{SQUARE}</g>', "the filled shapes have no area"),
        (f'<g clip-path="circle(5px)">{SQUARE}</g>', "line 1: g: clip-path 'circle(5px)' is not read: cut the shapes"),
        (
            f'<clipPath id="c" clipPathUnits="objectBoundingBox"/><g clip-path="url(#c)">{SQUARE}</g>',
            "line 1: g: clip-path of this kind is not read: cut the shapes themselves",
        ),
        (
            f'<clipPath id="c"><text>A</text></clipPath><g clip-path="url(#c)">{SQUARE}</g>',
            "line 1: g: clip-path with a text is not read: cut the shapes themselves",
        ),
        (f'<clipPath id="c"/><g clip-path="url(#c)">{SQUARE}</g>', "the filled shapes have no area"),
        (
            f'<style>.m{{mask:url(#m)}}</style><mask id="m"><path d="M0 0h9v9z" fill="grey"/></mask>'
            f'<a class="m">{SQUARE}</a>',
            "line 1: a: mask is not read (it holds shades, not white and black alone): cut the shapes themselves",
        ),
        (
            f'<mask id="m"><g mask="url(#m)">{SQUARE}</g></mask><g mask="url(#m)">{SQUARE}</g>',
            "line 1: g: mask is not read (g: mask is not read (it refers to itself): cut the shapes",
        ),
        (f'<g systemLanguage="de">{SQUARE}</g>', "line 1: g: drawn for readers of one language only (systemLanguage)"),
        (
            f'<switch><g systemLanguage="de">{SQUARE}</g><g>{SQUARE}</g></switch>',
            "line 1: g: drawn for readers of one language only",
        ),
        ('<rect width="9" height="9" fill="blurple"/>', "line 1: rect: colour 'blurple' is not read: give the shape a"),
        ('<font><glyph d="M0 0h9v9z"/></font>', "a font, no drawing: set the letters in a drawing program"),
        (f'<symbol id="s">{SQUARE}</symbol>', "no shapes in the drawing, expected filled ones"),
        (f'<svg width="-5">{SQUARE}</svg>', "line 1: svg: its width or height is negative"),
        ('<symbol id="s"><use href="#s"/></symbol><use href="#s"/>', "line 1: use: refers to itself: unlink the clone"),
        ('<rect id="lid" width="4furlong"/>', "line 1: rect 'lid': unit of '4furlong' is not read: expected mm, cm"),
        ('<circle r="2em"/>', "line 1: circle: unit of '2em' is not read: expected mm, cm, in, px, pt or pc"),
        ('<circle r="wide"/>', "line 1: circle: length 'wide' is not read: expected a number with mm"),
        ('<circle r="7 mm"/>', "line 1: circle: length '7 mm' is not read: expected a number with mm"),
        ('<circle r="7mM"/>', "line 1: circle: unit of '7mM' is not read: write it in small letters"),
        (
            f'<clipPath id="c"><use href="p"/></clipPath><path id="p"/><g clip-path="url(#c)">{SQUARE}</g>',
            "line 1: g: clip-path with a use of 'p', which is not in the file",
        ),
        ('<circle r="-3"/>', "line 1: circle: r is -3: must not be negative"),
        ('<path id="leaf" d="M0 0L5 5 X 3"/>', "line 1: path 'leaf': path data is broken at character 5, 'L5 5 X 3'"),
        ('<path d="M0 0L5"/>', "line 1: path: path data is broken at character 5, 'L5': repair the path"),
        ('<path d="M0 0A5 5 0 2 1 9 9"/>', "line 1: path: path data is broken at character 5, 'A5 5 0 2 1 9 9'"),
        ('<path d="L0 0"/>', "line 1: path: path data starts with 'L0 0': expected M"),
        ('<path d="M0 0L1e999 0L1 1z"/>', "line 1: path: path data holds a number out of range"),
        ('<polygon points="0,0 5,5 3"/>', "line 1: polygon: points '0,0 5,5 3' are not read: expected pairs"),
        ('<rect width="5" height="5" transform="rotate(30"/>', "line 1: rect: transform 'rotate(30' is not read"),
        ('<rect width="5" height="5" transform="spin(3)"/>', "line 1: rect: transform 'spin(3)' is not read: write"),
        ('<rect width="5" height="5" transform="ROTATE(3)"/>', "line 1: rect: transform 'ROTATE(3)' is not read"),
        ('<rect width="5" height="5" transform="rotate(3 4)"/>', "line 1: rect: transform 'rotate(3 4)' is not read"),
        ('<rect width="5" height="5" transform="scale(1e99)"/>', "line 1: rect: transform 'scale(1e99)' is out of"),
        (
            '<rect width="5" transform="rotate(9)" style="transform-origin:center;transform-box:fill-box"/>',
            "line 1: rect: transform-box is not read: apply the transform in the drawing program",
        ),
        ('<rect width="5" height="5" style="rotate:9deg"/>', "line 1: rect: style property 'rotate' is not read"),
        ('<rect width="5" height="5" style="fill:var(--a)"/>', "line 1: rect: fill 'var(--a)' is not read: give"),
        (f"<style>rect:empty{{fill:none}}</style>{SQUARE}", "line 1: style rule 'rect:empty' is not read: put"),
        (
            f"<style>rect:not(g > .a){{fill:none}}</style>{SQUARE}",
            "line 1: style rule 'rect:not(g > .a)' is not read: put",
        ),
        (f'<g id="a"><use href="#a"/>{SQUARE}</g>', "line 1: use: refers to itself: unlink the clone"),
        (
            '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
            "line 1: use: refers to itself: unlink the clone in the drawing program",
        ),
    ],
)
def test_drawings_that_are_refused(body: str, line: str) -> None:
    assert problem(svg(body)).startswith(line)


@pytest.mark.parametrize(
    ("head", "line"),
    [
        ("", "the drawing has no width or height: give outline.width or outline.height"),
        ('viewBox="0 0 24 24"', "the drawing has no width or height: give outline.width"),
        ('width="100%" height="auto" viewBox="0 0 24 24"', "the drawing has no width or height"),
        ('width="1em" height="1em" viewBox="0 0 24 24"', "the drawing has no width or height"),
        ('width="0" height="5"', "line 1: svg: width of the drawing is 0: must be above 0"),
        ('width="5ells"', "line 1: svg: unit of '5ells' is not read"),
        ('width="5mm" height="5mm" viewBox="0 0 0 5"', "line 1: svg: viewBox '0 0 0 5': width and height must be"),
        ('width="5mm" height="5mm" viewBox="0 0 1_0 5"', "line 1: svg: viewBox '0 0 1_0 5' is not read: expected four"),
        ('width="5mm" height="5mm" viewBox="0 0 5"', "line 1: svg: viewBox '0 0 5' is not read: expected four"),
        ('width="5mm" height="5mm" viewBox="0 0 9 9" preserveAspectRatio="fit"', "line 1: svg: preserveAspectRatio"),
        ('width="5mm" height="5mm" transform="scale(2)"', "line 1: svg: transform on the page is not read"),
    ],
)
def test_pages_that_are_refused(head: str, line: str) -> None:
    assert problem(svg(SQUARE, head)).startswith(line)


def test_a_drawing_without_size_takes_the_one_given() -> None:
    icon = svg('<rect x="2" y="3" width="20" height="10"/>', 'viewBox="0 0 24 24"')
    assert bounds(read(icon, width=50)) == pytest.approx([0, 0, 50, 25])
    assert bounds(read(icon, height=50)) == pytest.approx([0, 0, 100, 50])
    assert problem(icon, scale=2).startswith("the drawing has no width or height")


@pytest.mark.parametrize(
    ("head", "side"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 10),
        ('width="50mm" viewBox="0 0 100 100"', 5),  # the other side follows from the viewBox
        ('height="50mm" viewBox="0 0 100 100"', 5),
        ('width="96" height="96"', 10 * MM_PER_PX),
        ('width="9mm" style="width:200mm" viewBox="0 0 100 100"', 20),
        ('x="3in" y="50%" width="100mm" height="100mm" viewBox="0 0 100 100"', 10),
    ],
)
def test_page_sizes(head: str, side: float) -> None:
    assert bounds(read(svg(SQUARE, head))) == pytest.approx([0, 0, side, side])
    assert bounds(read(svg(SQUARE, head), scale=3)) == pytest.approx([0, 0, 3 * side, 3 * side])


def test_no_place_is_lost_to_a_namespace_named_x() -> None:
    polygons, _ = svg_polygons(
        read_svg_drawing(svg(SQUARE, f'xmlns:x="http://example.org/1.0/" x="7" {PAGE}').encode()), flatness=0.005
    )
    assert polygons[0].bounds == pytest.approx((0, -10, 10, 0))


def test_percentages_of_an_unknown_page_are_refused() -> None:
    assert "share of an unknown size" in problem(svg('<circle r="10%"/>', ""), width=5)


def test_css_transforms_and_units() -> None:
    styled = '<rect width="40Q" height="1cm" style="transform: translate(10px, 0) rotate(90deg) scaleX(2)"/>'
    px = 'width="960" height="960"'
    assert bounds(read(svg(styled, px))) == pytest.approx([0, 0, 10, 20])


def test_a_strong_style_attribute_beats_a_strong_style_sheet() -> None:
    sheet = "<style>rect { fill: none !important }</style>"
    assert area(read(svg(sheet + '<rect width="3" height="3" style="fill:red !important"/>'))) == pytest.approx(9)
    assert problem(svg(sheet + '<rect width="3" height="3" style="fill:red"/>')).startswith("1 shape, without fill")


@pytest.mark.parametrize(
    ("selector", "matched"),
    [
        ("g > rect", True),
        ("svg > rect", False),
        ("svg rect", True),
        ("svg>g.frame>#box.leaf", True),
        ("svg > g > g rect", False),
        ("*", True),
        ("circle, rect", True),
        (".frame .leaf.off", False),
        ("g > svg rect", False),
        ("rect:not(.vein)", True),
        ("rect:not( .leaf )", False),
        ("g:not(.a, .frame) rect, circle", False),
        ("g:not(.a):not(#b) > .leaf", True),
        (":not(rect, svg, g)", False),
    ],
)
def test_selectors(selector: str, matched: bool) -> None:
    box = '<g class="frame"><rect id="box" class="leaf" width="4" height="4"/></g>'
    body = f"<style>{selector} {{ fill: none }}</style>{box}"
    if matched:
        assert problem(svg(body)).startswith("1 shape, without fill")
    else:
        assert area(read(svg(body))) == pytest.approx(16)


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b"\x1f\x8b\x08\x00", "compressed SVG is not read: unpack it, or save as plain SVG"),
        (b"<html><body/></html>", "not an SVG drawing: found html, expected svg"),
        (b'<a:b xmlns:a="http://example.org"/>', "not an SVG drawing: found another kind of XML, expected svg"),
        (b"<svg>\n <g></svg>", "line 2, column 7: not XML: mismatched tag"),
        (b"GIF89a", "line 1, column 1: not XML: "),
        (b'<?xml version="1.0" encoding="klingon"?><svg/>', "not XML: unknown encoding: klingon; save as UTF-8"),
        (b"<svg><text>&nbsp;</text></svg>", "line 1, column 12: not XML: undefined entity"),
        (b'<!DOCTYPE svg SYSTEM "a.dtd"><svg><text>&b;</text></svg>', "line 1: entity 'b' is not read: save as plain"),
        (b'<!DOCTYPE svg [<!ENTITY a SYSTEM "/etc/hosts">]><svg/>', "line 1: entity 'a' is not read: save as plain"),
        (b'<!DOCTYPE svg [<!ENTITY % a "b">]><svg/>', ""),
    ],
)
def test_files_that_are_no_drawing(data: bytes, line: str) -> None:
    assert problem(data).startswith(line)


def test_encodings() -> None:
    body = svg('<rect id="Bl\u00e4tter" width="-1"/>')
    for encoding in ("utf-16", "iso-8859-1", "utf-8-sig"):
        name = encoding.removesuffix("-sig")
        data = f'<?xml version="1.0" encoding="{name}"?>{body}'.encode(encoding)
        assert problem(data) == "line 1: rect 'Bl\u00e4tter': width is -1: must not be negative"


CLONES_OF_CLONES = "".join(f'<g id="l{i}">{10 * f"""<use href="#l{i - 1}"/>"""}</g>' for i in range(1, 9))
CHAIN_OF_CLONES = "".join(f'<g id="c{i}"><use href="#c{i + 1}"/></g>' for i in range(500))
ENTITIES = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            svg(f'<defs><g id="l0"/>{CLONES_OF_CLONES}</defs><use href="#l8"/>'),
            "line 1: g 'l0': over 20,000 elements are drawn: join shapes",
        ),
        (
            svg(f'<defs>{CHAIN_OF_CLONES}</defs><use href="#c0"/>'),
            "line 1: use: nested over 150 deep with its clones: ungroup the drawing",
        ),
        (svg("<g>" * 3000 + "</g>" * 3000), "line 1: elements nested over 150 deep: ungroup the drawing"),
        (svg("<g/>" * 200_001), "over 200,000 elements: simplify the drawing"),
        (ENTITIES + svg(SQUARE), "line 1: entity 'b' is not read: save as plain SVG"),
        (
            svg(f'<path d="M0 0L{"1 2 2 1 " * 100_001}"/>'),
            "line 1: path: 200,003 vertices, at most 200,000 are read: simplify the outline (0.01 mm is enough)",
        ),
        (
            svg(f'<path id="p" d="M0 0{"L1 2 2 1" * 30_000}z"/>' + 4 * '<use href="#p"/>'),
            "line 1: path 'p': 240,008 vertices, at most 200,000 are read: simplify the outline (0.01 mm is enough)",
        ),
        (
            svg("<style>" + "*{fill:red}" * 3000 + "</style>" + SQUARE * 500),
            "line 1: svg: too many style rules: put fill on the shapes themselves",
        ),
        (
            svg(f'<path d="M0 0A{"1" * 100_000} z"/>'),
            "line 1: path: path data is broken at character 5, 'A11111111111111111111111': repair the path",
        ),
        (
            svg(f'<path d="M0 0{"L9 9L0 0" * 20_000}z"/>'),
            "lines cross or cover each other many thousand times: draw the outline only, once",
        ),
    ],
    ids=[
        "clones",
        "chain",
        "depth",
        "elements",
        "entities",
        "vertices",
        "clones of paths",
        "styles",
        "digits",
        "scribble",
    ],
)
def test_nothing_grows_without_bound(text: str, line: str) -> None:
    assert problem(text) == line


def test_sizes_beyond_reckoning() -> None:
    circles = "".join(f'<circle cx="{3 * i}" r="1"/>' for i in range(2000))
    assert "chords at this size, at most 200,000 are read: leave some shapes out" in problem(svg(circles), width=3e5)
    assert problem(svg(SQUARE), width=1e9) == "the drawing would reach over 100,000 m: check its size and units"


def test_the_extra_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "svgelements", None)
    assert problem(svg(SQUARE)) == (
        "reading SVG needs the package svgelements: python -m pip install svgelements"
    )


# --- what counts: colours that show, closed lines ---------------------------------------------------------------------

LAYERED = (
    '<rect width="40" height="40" fill="white"/><circle cx="20" cy="20" r="15" fill="rgb(0, 0, 0)"/>'
    '<circle cx="20" cy="20" r="5" fill="#fff"/><rect x="19" y="19" width="2" height="2" fill="#000"/>'
)


def chosen(text: str, **choice: object) -> OutlineFile:
    return read_outline_file(text.encode(), "a.svg", size=Size(), choice=Choice(**choice))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("colours", "expected", "regions", "holes"),
    [
        (("black",), math.pi * (15**2 - 5**2) + 4, 2, 1),
        (("#000000",), math.pi * (15**2 - 5**2) + 4, 2, 1),
        (("White",), 1600 - math.pi * (15**2 - 5**2) - 4, 2, 2),
        (("#FFF", "rgb(0,0,0)"), 1600, 1, 0),
    ],
)
def test_what_shows_of_chosen_colours(colours: tuple[str, ...], expected: float, regions: int, holes: int) -> None:
    outline = chosen(svg(LAYERED), colours=colours)
    assert area(outline) == pytest.approx(expected, rel=1e-3)
    assert (len(outline.polygons), sum(len(part.interiors) for part in outline.polygons)) == (regions, holes)
    assert outline.notes == ()


def test_a_colour_that_is_not_there() -> None:
    with pytest.raises(InputError) as caught:
        chosen(svg(LAYERED), colours=("gold",))
    assert str(caught.value) == (
        "outline.colours: found 'gold', which the drawing has not: it has '#ffffff', '#000000'"
    )


PAPER = '<rect width="40" height="30" fill="white"/>'
LEAF = '<circle cx="20" cy="15" r="{}" fill="black"/>'


@pytest.mark.parametrize("body", [PAPER + LEAF.format(9), LEAF.format(9) + PAPER, PAPER + LEAF.format(15)])
def test_a_page_under_the_drawing_is_not_taken_for_the_inlay(body: str) -> None:
    with pytest.raises(InputError) as caught:
        read(svg(body))
    first, second = ("#000000", "#ffffff") if body.startswith("<circle") else ("#ffffff", "#000000")
    assert str(caught.value) == (
        "line 1: rect: a rectangle of '#ffffff' holds all other fills, as a page does: "
        f"say in outline.colours which to take of '{first}', '{second}'"
    )


@pytest.mark.parametrize("body", [PAPER, PAPER + LEAF.format(9).replace("black", "#fff")])
def test_a_rectangle_of_one_colour_is_no_page(body: str) -> None:
    assert area(read(svg(body))) >= 1200 - 1e-6


def test_places_of_a_drawing_in_px_are_in_px() -> None:
    drawing = '<svg xmlns="http://www.w3.org/2000/svg"><path fill="none" stroke="red" d="M5 5H20.125V10"/></svg>'
    with pytest.raises(InputError, match=r"open from \(5, 5\) to \(20\.1[23], 10\), .*\(places in px from"):
        read_outline_file(drawing.encode(), "a.svg", size=Size(width=30), choice=Choice(take="closed"))


LEAF_WITH_VEINS = (
    '<circle cx="20" cy="15" r="12" fill="green"/><path d="M8 14H32V16H8z" fill="#fff"/>'
    '<path d="M19 3h2v24h-2z" fill="#fff"/>'
)


def test_light_shapes_on_dark_ones_are_asked_about() -> None:
    """Veins that the eye sees as gaps: nothing is read until somebody says what counts."""
    leaf, veins = math.pi * 144, 2 * 2 * 24 - 4
    with pytest.raises(InputError) as caught:
        read(svg(LEAF_WITH_VEINS))
    assert str(caught.value) == (
        "outline.colours: fills of different colours overlap on 20 % of the area, where a light shape on a dark one "
        "may be meant as a hole: say in outline.colours which to take of '#008000', '#ffffff' ('#008000' leaves "
        "holes where others lie over it), or set outline.take: all"
    )
    assert area(chosen(svg(LEAF_WITH_VEINS), colours=("green",))) == pytest.approx(leaf - veins, rel=1e-2)
    together = chosen(svg(LEAF_WITH_VEINS), take="all")
    assert area(together) == pytest.approx(leaf, rel=1e-2)
    assert together.notes == (
        "fills of different colours overlap ('#008000', '#ffffff'): read as one area, without holes where they do",
    )
    assert area(chosen(svg(PAPER + LEAF.format(9)), take="all")) == pytest.approx(1200)
    plate = svg('<rect width="40" height="30" fill="black"/>' + LEAF.format(9).replace("black", "white"))
    assert area(chosen(plate, colours=("black",))) == pytest.approx(1200 - math.pi * 81, rel=1e-3)


OVER_THE_EDGE = '<rect x="90" y="20" width="20" height="10"/><circle cx="50" cy="50" r="20"/>'


def test_content_off_the_page() -> None:
    whole, on_page = 200 + math.pi * 400, 100 + math.pi * 400
    outline = read(svg(OVER_THE_EDGE))
    assert area(outline) == pytest.approx(whole, rel=1e-3)
    assert outline.notes == ("6.9 % of the area lies off the page and is taken: outline.page: clip cuts it off",)
    cut = chosen(svg(OVER_THE_EDGE), clip_page=True)
    assert area(cut) == pytest.approx(on_page, rel=1e-3)
    assert cut.notes == ("cut off at the page: 6.9 % of the area",)
    wide = read_outline_file(
        svg(OVER_THE_EDGE).encode(), "a.svg", size=Size(width=70), choice=Choice(clip_page=True)
    )
    assert bounds(wide)[2] == pytest.approx(70)
    assert len(wide.polygons) == 2
    beside = svg('<rect x="120" width="9" height="9"/>')
    assert read(beside).notes == ("all of the area lies off the page and is taken: outline.page: clip cuts it off",)
    with pytest.raises(InputError, match=r"outline\.page: all of the drawing lies off its page"):
        chosen(beside, clip_page=True)
    with pytest.raises(InputError, match=r"outline\.page: found clip with a drawing that tells no page"):
        read_outline_file(svg(SQUARE, "").encode(), "a.svg", size=Size(width=5), choice=Choice(clip_page=True))


@pytest.mark.parametrize("clip", ["M20 0v30h9z", "M0 20L9 30V50z", "M20 20l9 9v-3z"])
def test_a_clip_that_leaves_a_line_or_a_point(clip: str) -> None:
    body = f'<clipPath id="c"><path d="{clip}"/></clipPath><rect width="20" height="20" clip-path="url(#c)"/>'
    assert problem(svg(body)).startswith("the filled shapes have no area")
    assert area(read(svg(body + '<rect x="40" width="5" height="5"/>'))) == pytest.approx(25)
    with pytest.raises(InputError, match="have no area"):
        chosen(svg(body), colours=("black",))


EXTERNAL = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd" [<!ENTITY red "#f00">]>\n'


def test_entities_that_the_file_does_not_declare() -> None:
    """Within an attribute the XML parser passes them over, where the file names rules of its own elsewhere."""
    assert area(read(EXTERNAL + svg('<rect fill="&red;" width="9" height="9"/><!-- &gone; -->'))) == pytest.approx(81)
    assert area(read(EXTERNAL + svg('<rect id="a&amp;b&#65;" width="9" height="9"/>'))) == pytest.approx(81)
    broken = EXTERNAL + svg('<!--\n-->\n<rect fill="&none;" width="9" height="9"/>')
    for data in (broken, broken.encode("utf-16")):
        assert problem(data) == "line 4: entity 'none' is not read: save as plain SVG"


@pytest.mark.parametrize(
    ("body", "line"),
    [
        ('<path d="M0 0H9" stroke-dasharray="3 1"/>', "line 1: path: a dashed stroke is not read: convert it to paths"),
        ('<path d="M0 0H9" vector-effect="non-scaling-stroke"/>', "line 1: path: a stroke that does not scale is not"),
        ('<path d="M0 0H9" stroke-linejoin="arcs"/>', "line 1: path: a stroke 1 wide, butt, arcs is not read"),
        ('<rect width="5" height="5" stroke="none"/>', "1 shape without fill or stroke: nothing is to be seen"),
    ],
)
def test_strokes_that_are_refused(body: str, line: str) -> None:
    with pytest.raises(InputError) as caught:
        chosen(svg(STROKES.format(body)), take="strokes")
    assert str(caught.value).startswith(line)


def test_strokes_by_their_formulas() -> None:
    """A ring, and a leaf drawn black on white as in a colouring book, of which the lines are wanted."""
    ring = '<circle cx="20" cy="20" r="10" fill="none" stroke="#000" stroke-width="2"/>'
    assert area(chosen(svg(ring), take="strokes")) == pytest.approx(math.pi * (11**2 - 9**2), rel=1e-3)
    book = ring.replace('"none"', '"white"')
    with pytest.raises(InputError, match="fills of different colours overlap"):
        chosen(svg(book), take="strokes")
    assert area(chosen(svg(book), take="strokes", colours=("black",))) == pytest.approx(math.pi * 40, rel=1e-3)
    (wide,) = read_outline_file(
        svg(ring).encode(), "a.svg", size=Size(width=440), choice=Choice(take="strokes")
    ).polygons
    assert wide.area == pytest.approx(math.pi * 400 * (11**2 - 9**2), rel=1e-4)


STROKES = '<g fill="none" stroke="#000">{}</g>'


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<rect width="20" height="10"/>', 200),
        ('<rect width="20" height="10" fill="#fff"/><circle cx="5" cy="5" r="2"/>', 200 - math.pi * 4),
        ('<path d="M0 0H20V10H0"/><path d="M0 10V0"/>', 200),
        ('<line x2="20"/><line x1="20" x2="20" y2="10"/><polyline points="20 10 0 10 0 0"/>', 200),
        ('<path d="M0 0H20V10H0Z M5 2h4v4h-4z"/>', 200 - 16),
        ('<g transform="scale(2)"><path d="M0 5A5 5 0 0 1 10 5"/><path d="M10 5A5 5 0 0 1 0 5"/></g>', math.pi * 100),
    ],
)
def test_closed_lines(body: str, expected: float) -> None:
    drawing = svg(STROKES.format(body))
    outline = chosen(drawing, take="closed")
    assert area(outline) == pytest.approx(expected, rel=1e-3)
    assert outline.notes[0].startswith("closed lines taken: ")
    with pytest.raises(InputError, match=r"outline\.take to closed|have no area"):
        read(drawing.replace("#fff", "none"))


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (
            '<path d="M0 0H20V10H0"/>',
            "the line does not close, open from (0, 0) to (0, 10), 10 mm: join the ends in the drawing program "
            "(places in mm from the drawing's upper left corner)",
        ),
        ('<path d="M0 0L9 9V0L0 9z"/>', "line 1: path: crosses itself at (4.5, 4.5): redraw it"),
        (
            '<svg width="5" height="5"><rect x="2" width="9" height="3"/></svg>',
            "line 1: rect: cut off by a clip path or its frame: trim the line itself",
        ),
        ('<rect width="0" height="10"/>', "the lines of the drawing have no length: check the file"),
    ],
)
def test_lines_that_are_refused(body: str, line: str) -> None:
    with pytest.raises(InputError) as caught:
        chosen(svg(STROKES.format(body)), take="closed")
    assert str(caught.value).startswith(line)


@pytest.mark.parametrize(
    ("name", "choice", "line"),
    [
        ("a.dxf", {"colours": ("black",)}, "outline.colours: found it with a drawing that has no fills, expected"),
        ("a.wkt", {"take": "closed"}, "outline.take: found closed, which is for lines in an .svg; others are read so"),
        ("a.dxf", {"clip_page": True}, "outline.page: found it with a drawing that has no page, expected an .svg"),
        ("a.dxf", {"take": "strokes"}, "outline.take: found strokes, which is for an .svg"),
        ("a.svg", {"take": "closed", "colours": ("red",)}, "outline.colours: found it with take: closed, expected one"),
    ],
)
def test_choices_that_mean_nothing(name: str, choice: dict[str, object], line: str) -> None:
    with pytest.raises(InputError) as caught:
        read_outline_file(b"x", name, size=Size(), choice=Choice(**choice))  # type: ignore[arg-type]
    assert str(caught.value).startswith(line)
