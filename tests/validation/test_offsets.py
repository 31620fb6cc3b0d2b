"""Areas of grown and shrunk outlines against published and closed-form values.

Sources:

- Steiner's formula for convex shapes, area A + P r + pi r^2 (any textbook of convex geometry)
- areas of polygons inset to all sides of an incircle, A (1 - d/r)^2, and of the L shape: elementary; the numbers
  below were worked out from them to the digits shown
- the user manual of the shapely library: areas of discs drawn as polygons, of five discs put together, of a triangle
  grown by 1
- relative error of a circle drawn with n chords, 1 - sin(2 pi/n)/(2 pi/n)

Insets of convex shapes have no arcs and are exact. Grown shapes have their corners rounded by chords inside the true
arc, so they may come out short, by up to 0.07 % of the distance; never long.
"""

from __future__ import annotations

import math

import pytest

from inlayfit.outline.regions import Outline, grown, outline_of
from inlayfit.outline.shapes import drawn

SHORT = 0.0007
"""Share of the distance by which a rounded corner may fall short."""


def rectangle() -> Outline:
    return outline_of(drawn([{"rectangle": (30, 20)}]))


def regular(sides: int, side: float = 40.0) -> Outline:
    return outline_of(
        drawn([{"regular": {"sides": sides, "across_corners": side / math.sin(math.pi / sides)}}])
    )


def ell() -> Outline:
    return outline_of(drawn([{"polygon": [(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)]}]))


GROWN = [
    pytest.param(rectangle(), 1, 703.141593, id="rectangle + 1"),
    pytest.param(rectangle(), 3, 928.274334, id="rectangle + 3"),
    pytest.param(rectangle(), 5, 1178.539816, id="rectangle + 5"),
    pytest.param(regular(3), 5, 1371.360139, id="triangle + 5"),
    pytest.param(regular(5), 5, 3831.303657, id="pentagon + 5"),
    pytest.param(regular(6), 5, 5435.461755, id="hexagon + 5"),
    pytest.param(regular(8), 5, 9404.023216, id="octagon + 5"),
    # 64 + 40 + 5 pi/4 - 1: five corners rounded, the notch filled square
    pytest.param(ell(), 1, 106.926991, id="L + 1"),
]


@pytest.mark.parametrize(("outline", "distance", "area"), GROWN)
def test_grown_area(outline: Outline, distance: float, area: float) -> None:
    found = grown(outline.area, distance).area
    corners = math.pi * distance**2
    assert area - SHORT * 2 * corners - 1e-6 <= found <= area + 1e-6


SHRUNK = [
    pytest.param(rectangle(), 1, 504, id="rectangle - 1"),
    pytest.param(rectangle(), 3, 336, id="rectangle - 3"),
    pytest.param(rectangle(), 5, 200, id="rectangle - 5"),
    pytest.param(regular(3), 5, 222.724134, id="triangle - 5"),
    pytest.param(regular(5), 5, 1843.581657, id="pentagon - 5"),
    pytest.param(regular(6), 5, 3043.524479, id="hexagon - 5"),
    pytest.param(regular(8), 5, 6208.326112, id="octagon - 5"),
]


@pytest.mark.parametrize(("outline", "distance", "area"), SHRUNK)
def test_shrunk_area_of_convex_shapes(outline: Outline, distance: float, area: float) -> None:
    assert grown(outline.area, -distance).area == pytest.approx(area, abs=5e-6)


def test_shrunk_l_keeps_a_rounded_notch() -> None:
    # 28 + 1 - pi/4; the notch's arc is cut by chords, so what is shrunk comes out a little large
    found = grown(ell().area, -1).area
    assert 28.214602 - 1e-6 <= found <= 28.214602 + SHORT * 2 * math.pi / 4


def test_grown_triangle_of_the_library_manual() -> None:
    # printed with 16 chords a quadrant: 6.5507620529190325; the exact value is P + pi = 6.555806
    triangle = outline_of(drawn([{"polygon": [(0, 0), (1, 1), (1, 0)]}]))
    assert triangle.area.area == pytest.approx(0.5, abs=1e-12)
    rim = grown(triangle.area, 1).difference(triangle.area).area
    assert 6.5507620529190325 < rim < 6.555806 + 5e-7
    assert rim == pytest.approx(6.555806, abs=SHORT * 2 * math.pi)


@pytest.mark.parametrize(
    ("sides", "radius", "printed"),
    [
        pytest.param(64, 10, 313.6548490545941, id="64 chords, r 10"),
        pytest.param(4, 10, 200.0, id="4 chords, r 10"),
        pytest.param(64, 1, 3.1365484905459398, id="64 chords, r 1"),
    ],
)
def test_discs_drawn_as_polygons(sides: int, radius: float, printed: float) -> None:
    disc = outline_of(drawn([{"regular": {"sides": sides, "across_corners": 2 * radius}}]))
    assert disc.area.area == pytest.approx(printed, rel=1e-12)
    short = 1 - math.sin(2 * math.pi / sides) / (2 * math.pi / sides)
    assert 1 - disc.area.area / (math.pi * radius**2) == pytest.approx(short, rel=1e-9)


def test_five_discs_put_together() -> None:
    disc = {"regular": {"sides": 64, "across_corners": 1.4}}
    discs = [{**disc, "at": (float(x), 0.0)} for x in range(5)]
    assert sum(outline_of(drawn([one])).area.area for one in discs) == pytest.approx(
        7.684543801837549, rel=1e-9
    )
    together = outline_of(drawn(discs))
    assert together.area.area == pytest.approx(6.610301355116799, rel=1e-9)
    assert len(together.regions) == 1


def test_circles_of_the_handbook() -> None:
    # Machinery's Handbook, 31st ed., p. 78: a circle of 2 3/4 in has 5.9396 square inches and 8.6394 in around it.
    # Chords lie within 0.005 mm of the arc: area and length fall short by less than that times P and times 2 pi.
    disc = outline_of(drawn([{"circle": 2.75 * 25.4}]))
    area, around = disc.area.area / 25.4**2, disc.area.length / 25.4
    assert 5.9396 - 5e-5 - 0.005 / 25.4 * 8.6394 < area < 5.9396 + 5e-5
    assert 8.6394 - 5e-5 - 0.005 / 25.4 * 2 * math.pi < around < 8.6394 + 5e-5


def test_ellipse_of_the_handbook() -> None:
    # Machinery's Handbook, 31st ed., p. 81: 200 x 150 mm has 23 562 mm2
    ellipse = outline_of(drawn([{"ellipse": (200, 150)}]))
    assert 23_562 - 0.5 - 0.005 * ellipse.area.length < ellipse.area.area < 23_562 + 0.5
