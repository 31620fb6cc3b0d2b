"""Printed examples of the SVG 2 specification and what follows from them.

W3C, Scalable Vector Graphics (SVG) 2: chapter 9 (paths: example arcs01 and the figure of the four arc flags),
chapter 8 (coordinate systems: viewBox, 1 in = 96 px), appendix on arcs (radii out of range), chapter 10 (basic
shapes as paths). SVG 1.1, 7.6: the nested transforms of RotateScale/Skew and their printed matrix. CSS Values
(units): from memory. Areas are those of the shapes named, in px of 25.4/96 mm, with curves flattened so
finely that chords lose less than the tolerance.
"""

from __future__ import annotations

import math

import pytest
import shapely

from inlayfit.drawings.svg_drawing import read_svg_drawing
from inlayfit.drawings.svg_frame import Affine, length_px, transform_matrix, view_box, view_box_matrix
from inlayfit.drawings.svg_outline import svg_polygons

MM_PER_PX = 25.4 / 96


def drawn(body: str, head: str = 'width="1000" height="1000"') -> shapely.Geometry:
    """The drawing in px, y down as the standard has it."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'
    polygons, _ = svg_polygons(read_svg_drawing(svg.encode()), flatness=1e-5)
    return shapely.transform(shapely.MultiPolygon(polygons), lambda points: points * (1, -1) / MM_PER_PX)


def path(data: str) -> shapely.Geometry:
    return drawn(f'<path d="{data}"/>')


def test_arcs01_sectors() -> None:
    three_quarters = path("M300,200 h-150 a150,150 0 1,0 150,-150 z")
    assert three_quarters.area == pytest.approx(0.75 * math.pi * 150**2, rel=1e-5)
    assert three_quarters.bounds == pytest.approx((150, 50, 450, 350), abs=1e-3)
    quarter = path("M275,175 v-150 a150,150 0 0,0 -150,150 z")
    assert quarter.area == pytest.approx(0.25 * math.pi * 150**2, rel=1e-5)
    assert quarter.bounds == pytest.approx((125, 25, 275, 175), abs=1e-3)


@pytest.mark.parametrize(
    ("flags", "centre", "share"),
    [
        ("0,0", (225, 75), 0.25),
        ("0,1", (125, 125), 0.25),
        ("1,0", (125, 125), 0.75),
        ("1,1", (225, 75), 0.75),
    ],
)
def test_the_four_arc_flags(flags: str, centre: tuple[float, float], share: float) -> None:
    segment = path(f"M125,75 a100,50 0 {flags} 100,50 z")
    ellipse, triangle = math.pi * 100 * 50, 100 * 50 / 2
    expected = share * ellipse + (triangle if share > 0.5 else -triangle)
    assert segment.area == pytest.approx(expected, rel=1e-5)
    points = shapely.get_coordinates(segment)
    on_ellipse = ((points - centre) / (100, 50)) ** 2
    assert on_ellipse.sum(axis=1) == pytest.approx(1, abs=1e-9)


def test_radii_too_small_are_scaled_up() -> None:
    half = path("M0,0 A1,1 0 0 1 10,0 z")
    assert half.area == pytest.approx(math.pi * 5**2 / 2, rel=2e-5)
    assert half.bounds == pytest.approx((0, -5, 10, 0), abs=1e-3)


@pytest.mark.parametrize(
    ("data", "area"),
    [
        ("M0 0 A0 9 0 0 1 10 0 L10 10 z", 50),  # a radius of 0: a straight line
        ("M0 0 A-5 -5 0 0 1 10 0 z", math.pi * 5**2 / 2),  # negative radii count as positive
        ("M0 0 A7 7 0 1 1 0 0 L10 0 L10 10 z", 50),  # identical ends: the arc is left out
        ("M0 0a25 25 0 0110 10z", None),  # glued flags, the same as below
        ("M0 0 a 25 25 0 0 1 10 10 z", None),
    ],
)
def test_arc_rules(data: str, area: float | None) -> None:
    half_chord = math.hypot(10, 10) / 2
    segment = 25**2 * math.asin(half_chord / 25) - half_chord * math.sqrt(25**2 - half_chord**2)
    assert path(data).area == pytest.approx(segment if area is None else area, rel=1e-4)


@pytest.mark.parametrize(
    ("data", "corners"),
    [
        ("M 100-200 L 200-200 200-100z", [(100, -200), (200, -200), (200, -100)]),
        ("M 0.6.5 5 0.5 L5 7z", [(0.6, 0.5), (5, 0.5), (5, 7)]),
        ("m1 1 5 0 0 5z", [(1, 1), (6, 1), (6, 6)]),  # further pairs of m are l
        ("M1 1H6V6z", [(1, 1), (6, 1), (6, 6)]),
        ("M1. 1.h5.v5.e0z", [(1, 1), (6, 1), (6, 6)]),  # trailing dots, legal in SVG 1.1
        ("M.1e1+1 6 1 6 6 Z", [(1, 1), (6, 1), (6, 6)]),
    ],
)
def test_grammar_that_trips_parsers(data: str, corners: list[tuple[float, float]]) -> None:
    assert shapely.equals_exact(
        path(data).normalize(), shapely.MultiPolygon([shapely.Polygon(corners)]).normalize(), tolerance=1e-9
    )


def test_an_empty_path_draws_nothing() -> None:
    assert drawn('<path d=""/><path/><rect width="3" height="4"/>').area == pytest.approx(12)


@pytest.mark.parametrize(
    ("size", "align", "matrix"),
    [
        ((300, 200), "none", (0.2, 0.2, 0, 0)),  # printed in chapter 8
        ((150, 200), "none", (0.1, 0.2, 0, 0)),
        ((150, 200), "xMidYMid meet", (0.1, 0.1, 0, 50)),
        ((150, 200), "xMinYMax", (0.1, 0.1, 0, 100)),
        ((150, 200), "xMaxYMid slice", (0.2, 0.2, -150, 0)),
    ],
)
def test_view_box(size: tuple[float, float], align: str, matrix: tuple[float, ...]) -> None:
    found = view_box_matrix(view_box("0 0 1500 1000"), *size, align)
    assert (found.a, found.d, found.e, found.f) == pytest.approx(matrix)
    assert (found.b, found.c) == (0, 0)


def test_a_view_box_with_a_corner_of_its_own() -> None:
    square = drawn(
        '<rect x="10" y="-20" width="5" height="5"/>', 'width="40" height="20" viewBox="10,-20 20 10"'
    )
    assert square.bounds == pytest.approx((0, 0, 10, 10))


@pytest.mark.parametrize(
    ("text", "px"),
    [
        ("1in", 96), ("25.4mm", 96), ("2.54cm", 96), ("72pt", 96), ("6pc", 96), ("101.6Q", 96), ("7", 7), ("7px", 7),
        ("1mm", 3.7795275591), ("1cm", 37.795275591), ("1pt", 1.333333), ("1pc", 16), ("1Q", 0.9448818898),
        (" -.5IN ", -48), ("50%", 100),
    ],
)  # fmt: skip
def test_units(text: str, px: float) -> None:
    assert length_px(text, 200) == pytest.approx(px, rel=4e-7)


def test_printed_matrix_of_nested_transforms() -> None:
    found = transform_matrix("translate(50,90) rotate(-45) translate(130,160)")
    # Printed: .707 -.707 .707 .707 255.03 111.21; 255.03 comes from cos 45° cut to .707, exact is 255.061.
    linear = (found.a, found.b, found.c, found.d)
    assert linear == pytest.approx((0.707, -0.707, 0.707, 0.707), abs=5e-4)
    assert found.e == pytest.approx(50 + (130 + 160) * math.cos(math.pi / 4))
    assert found.e == pytest.approx(255.03, abs=0.05)
    assert found.f == pytest.approx(111.21, abs=5e-3)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("matrix(1 2 3 4 5 6)", Affine(1, 2, 3, 4, 5, 6)),
        ("translate(4-3)", Affine(e=4, f=-3)),
        ("translate(4)", Affine(e=4)),
        ("scale(2)", Affine(a=2, d=2)),
        ("scale(2 , 3)", Affine(a=2, d=3)),
        ("rotate(90)", Affine(0, 1, -1, 0)),
        ("rotate(90 5 0)", Affine(0, 1, -1, 0, 5, -5)),
        ("rotate(.25turn)", Affine(0, 1, -1, 0)),
        ("skewX(45)", Affine(c=1)),
        ("skewY(45)", Affine(b=1)),
        ("translate(1 2),scale(2)\n translateX(3px)", Affine(2, 0, 0, 2, 7, 2)),
        ("none", Affine()),
    ],
)
def test_transform_functions(text: str, expected: Affine) -> None:
    found = transform_matrix(text)
    for name in "abcdef":
        assert getattr(found, name) == pytest.approx(getattr(expected, name), abs=1e-12)


@pytest.mark.parametrize(
    ("shape", "area", "bounds"),
    [
        ('<rect x="1" y="2" width="8" height="6"/>', 48, (1, 2, 9, 8)),
        ('<rect width="20" height="10" rx="3"/>', 200 - (4 - math.pi) * 9, (0, 0, 20, 10)),
        ('<rect width="20" height="10" rx="3" ry="2"/>', 200 - (4 - math.pi) * 6, (0, 0, 20, 10)),
        (
            '<rect width="20" height="10" ry="50"/>',
            math.pi * 10 * 5,
            (0, 0, 20, 10),
        ),  # clamped to half of each side
        ('<rect width="20" height="10" rx="0" ry="4"/>', 200, (0, 0, 20, 10)),
        ('<circle cx="5" cy="6" r="4"/>', math.pi * 16, (1, 2, 9, 10)),
        ('<ellipse cx="5" cy="6" rx="4" ry="2"/>', math.pi * 8, (1, 4, 9, 8)),
        ('<ellipse cx="5" cy="6" ry="2"/>', math.pi * 4, (3, 4, 7, 8)),  # rx auto is ry
        ('<polygon points="1,1 6,1,6,6"/>', 12.5, (1, 1, 6, 6)),
        ('<polyline points="1,1 6,1,6,6"/>', 12.5, (1, 1, 6, 6)),
    ],
)
def test_basic_shapes(shape: str, area: float, bounds: tuple[float, ...]) -> None:
    found = drawn(shape)
    assert found.area == pytest.approx(area, rel=3e-5)
    assert found.bounds == pytest.approx(bounds, abs=1e-3)


def test_smooth_curves_mirror_only_their_own_kind() -> None:
    """After a curve of another kind, S and T start with the current point as control point (9.3.6, 9.3.7)."""
    assert path("M0 0 C0 5 5 5 9 0 T 20 0 z").area == pytest.approx(path("M0 0 C0 5 5 5 9 0 z").area)
    assert path("M0 0 Q5 9 9 0 S15 9 20 0 z").area == pytest.approx(
        path("M0 0 Q5 9 9 0 C9 0 15 9 20 0 z").area
    )
    assert path("M0 0 Q5 9 9 0 T20 0 z").area == pytest.approx(path("M0 0 Q5 9 9 0 Q13-9 20 0 z").area)
