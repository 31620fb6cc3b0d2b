"""Largest inscribed circles and areas of polygons against published values; a V-bit goes deepest there.

Sources:

- "Area, length of side, and inscribed and circumscribed radii of regular polygons", Machinery's Handbook, 31st ed.,
  p. 82, and worked examples p. 75 to 81
- centres and radii in the tests of a public geometry library (JTS, MaximumInscribedCircleTest)
- triangle: r = 2 A / P; the L shape's corner: r = w sqrt(2)/(1 + sqrt(2)), elementary

The survey holds discs against places along the outline, about a step P/4000 apart. A disc held a step beside the
best place is smaller, never larger, by at most the step times the slope of the disc's radius along the edge; tan of
half a corner's angle for a disc between two sides. So the largest disc found may be short by that, and the tolerances
below say so. Against a corner that sticks into the disc discs are held every 4 degrees.

Left out: the handbook's hexagon around a circle of 50 mm radius, printed with a side of 57.75 mm: its factor 1.155 is
rounded, 57.735 is right.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from outlines import survey
from shapely.geometry import Polygon

from inlayfit.cutters import Profile
from inlayfit.errors import InputError
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.outline.survey import SAMPLES, Survey


def largest(found: Survey) -> tuple[float, tuple[float, float]]:
    index = int(np.argmax(found.inside.radius))
    x, y = found.inside.centre[index]
    return float(found.inside.radius[index]), (float(x), float(y))


# sides, area over side squared, inradius over side, as printed
REGULAR = [
    (3, 0.4330, 0.2887), (4, 1.0000, 0.5000), (5, 1.7205, 0.6882), (6, 2.5981, 0.8660), (7, 3.6339, 1.0383),
    (8, 4.8284, 1.2071), (9, 6.1818, 1.3737), (10, 7.6942, 1.5388), (12, 11.196, 1.8660), (16, 20.109, 2.5137),
    (20, 31.569, 3.1569), (24, 45.575, 3.7979), (32, 81.225, 5.0766), (48, 183.08, 7.6285), (64, 325.69, 10.178),
]  # fmt: skip


def last_digit(value: float) -> float:
    """Half a unit of the last of five digits."""
    return 0.5 * 10.0 ** (math.floor(math.log10(value)) - 4) if value >= 1 else 5e-5


@pytest.mark.parametrize(("sides", "area", "inradius"), REGULAR, ids=[f"{row[0]} sides" for row in REGULAR])
def test_regular_polygons(sides: int, area: float, inradius: float) -> None:
    side = 40.0
    outline = outline_of(
        drawn([{"regular": {"sides": sides, "across_corners": side / math.sin(math.pi / sides)}}])
    )
    found = survey(outline)
    assert found.area / side**2 == pytest.approx(area, abs=last_digit(area))
    assert found.perimeter == pytest.approx(sides * side, rel=1e-9)
    radius = largest(found)[0] / side
    # half a step beside the middle of a side, the next side is nearer; smooth polygons are held at the very middle
    sampling = 0.5 * sides / SAMPLES / math.tan(math.pi / sides)
    assert inradius - last_digit(inradius) - sampling <= radius <= inradius + last_digit(inradius)


@pytest.mark.parametrize(
    ("sides", "inradius"), [(row[0], row[2]) for row in REGULAR], ids=lambda value: str(value)
)
def test_across_flats_is_twice_the_inradius(sides: int, inradius: float) -> None:
    outline = outline_of(drawn([{"regular": {"sides": sides, "across_flats": 2 * inradius * 40}}]))
    side = outline.area.length / sides
    # the printed inradius is good to half its last digit
    assert side == pytest.approx(40, rel=last_digit(inradius) / inradius)


def test_hexagon_of_the_handbook() -> None:
    # side 40 mm: r = 34.64 mm; its area is printed as 4156.8 from the factor 2.598 (exact 4156.92)
    hexagon = survey(outline_of(drawn([{"regular": {"sides": 6, "across_corners": 80}}])))
    assert largest(hexagon)[0] == pytest.approx(
        34.64, abs=0.005 + 40 * 0.5 * 6 / SAMPLES / math.tan(math.pi / 6)
    )
    assert hexagon.area == pytest.approx(4156.8, abs=0.05 + 4156.8 * 0.0001 / 2.598)


def test_square_of_the_handbook() -> None:
    # side 15: area 225, diagonal 21.21
    square = survey(outline_of(drawn([{"rectangle": (15, 15)}])))
    low_x, low_y, high_x, high_y = square.bounds
    assert square.area == pytest.approx(225, abs=1e-9)
    assert math.hypot(high_x - low_x, high_y - low_y) == pytest.approx(21.21, abs=0.005)


def polygon(points: str, *holes: str) -> Polygon:
    def ring(text: str) -> list[tuple[float, ...]]:
        return [tuple(map(float, point.split())) for point in text.split(",")]

    return Polygon(ring(points), [ring(hole) for hole in holes])


def steepest(outline: Outline) -> float:
    """The largest slope of a disc's radius along an edge: tan of half the bluntest convex corner.

    A point on a straight side is no corner.
    """
    slope = 0.0
    for _, points in outline.rings():
        ahead, behind = np.roll(points, -1, axis=0) - points, np.roll(points, 1, axis=0) - points
        cross = ahead[:, 0] * behind[:, 1] - ahead[:, 1] * behind[:, 0]
        dot = (ahead * behind).sum(axis=1)
        angle = np.arctan2(cross, dot)
        slope = max(slope, float(np.tan(angle[(angle > 0) & (angle < 3.1)] / 2).max(initial=0.0)))
    return slope


# polygons, printed centre and radius, printed tolerance (half the last digit of all-digit values)
CIRCLES = [
    pytest.param([polygon("1 1, 1 7, 9 1")], (3, 3), 2.0, 1e-9, id="triangle 6-8-10"),
    pytest.param(
        [polygon("1 1, 1 9, 2 2")],
        (1.4852813742385702, 2.17157287525381),
        0.4852813742385702,
        1e-9,
        id="thin triangle",
    ),
    pytest.param([polygon("100 200, 200 200, 200 100, 100 100")], (150, 150), 50, 1e-9, id="square"),
    pytest.param(
        [polygon("1 2, 9 3, 9 1, 1 1")],
        (8.06225774829855, 1.9377422517014502),
        0.93774225170145,
        1e-9,
        id="trapezium",
    ),
    pytest.param([polygon("150 250, 50 150, 150 50, 250 150")], (150, 150), 70.71, 0.005, id="diamond"),
    pytest.param(
        [polygon("100 0, 200 200, 300 200, 300 100")],
        (238.19660112501052, 138.19660112501052),
        61.803398874989476,
        1e-9,
        id="kite",
    ),
    pytest.param(
        [polygon("100 0, 200 200, 300 200, 300 100", "200 150, 200 100, 260 100")],
        (257.47, 157.47),
        42.529,
        0.02,
        id="kite with a hole",
    ),
    pytest.param([polygon("1 1, 6 9, 3.7 2.5, 9 1")], (2.82, 2.008), 1.008, 0.002, id="chevron"),
    pytest.param([polygon("1 1, 6 9, 5.9 5, 9 1")], (4.7545, 3.0809), 2.081, 0.002, id="fat chevron"),
    pytest.param(
        [polygon("1 5, 5 5, 9 5, 5 1")],
        (5, 3.34314575050762),
        1.6568542494923801,
        1e-9,
        id="triangle with a corner that is none",
    ),
    pytest.param(
        [polygon("150 200, 100 150, 150 100, 250 150"), polygon("400 250, 300 150, 400 50, 560 150")],
        (411.39, 149.97),
        78.75,
        0.1,
        id="two regions",
    ),
]


@pytest.mark.parametrize(("polygons", "centre", "radius", "printed"), CIRCLES)
def test_largest_inscribed_circles(
    polygons: list[Polygon], centre: tuple[float, float], radius: float, printed: float
) -> None:
    outline = outline_of(polygons)
    found = survey(outline)
    value, at = largest(found)
    short = found.perimeter / SAMPLES * steepest(outline)
    assert radius - printed - short <= value <= radius + printed
    # the centre moves along with the place, at most by the step both ways
    reach = 2 * found.perimeter / SAMPLES * max(1.0, steepest(outline)) + 10 * printed
    assert math.dist(at, centre) <= reach


def test_disc_of_eighty_sides() -> None:
    # printed 99.92 for r = 100; 100 cos(pi/80)
    disc = survey(outline_of(drawn([{"regular": {"sides": 80, "across_corners": 200}, "at": (100, 100)}])))
    radius, (x, y) = largest(disc)
    assert radius == pytest.approx(99.92, abs=0.005)
    assert (x, y) == (pytest.approx(100, abs=1e-6), pytest.approx(100, abs=1e-6))


def test_l_shape_is_widest_at_its_notch() -> None:
    w = 4.0
    found = survey(outline_of([polygon("0 0, 10 0, 10 4, 4 4, 4 10, 0 10")]))
    exact = w * math.sqrt(2) / (1 + math.sqrt(2))
    assert exact == pytest.approx(2.343146, abs=5e-7)
    value = largest(found)[0]
    assert exact - found.perimeter / SAMPLES <= value <= exact + 1e-6
    # printed depth of a 60 deg V there: 4.058
    assert Profile(angle=60).depth_in(value) == pytest.approx(
        4.058, abs=5e-4 + found.perimeter / SAMPLES * math.sqrt(3)
    )


@pytest.mark.parametrize("corners", [[(0, 0), (10, 0), (20, 0)], [(5, 5), (5, 5), (5, 5)]])
def test_rings_without_area_are_refused_and_do_not_hang(corners: list[tuple[float, float]]) -> None:
    with pytest.raises(InputError, match=r"no area|not a plain outline"):
        drawn([{"polygon": corners}])
    with pytest.raises(InputError, match="no area"):
        outline_of([Polygon(corners)])
