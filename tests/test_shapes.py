"""Inline shapes: what each draws, put together, scaled, refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from inlayfit.errors import InputError
from inlayfit.outline.regions import FLATNESS
from inlayfit.outline.shapes import drawn


def area(*shapes: dict[str, Any], **size: float) -> float:
    return sum(polygon.area for polygon in drawn(shapes, **size))


def bounds(*shapes: dict[str, Any], **size: float) -> tuple[float, float, float, float]:
    low_x, low_y, high_x, high_y = zip(*(polygon.bounds for polygon in drawn(shapes, **size)), strict=True)
    return (min(low_x), min(low_y), max(high_x), max(high_y))


def test_polygon() -> None:
    assert area({"polygon": ((0, 0), (8, 0), (0, 6))}) == 24
    assert bounds({"polygon": ((0, 0), (8, 0), (0, 6))}) == (0, 0, 8, 6)


def test_rectangle_lies_round_its_place() -> None:
    assert area({"rectangle": (30, 20)}) == 600
    assert bounds({"rectangle": (30, 20)}) == (-15, -10, 15, 10)
    assert bounds({"rectangle": (30, 20), "at": (15, 10)}) == (0, 0, 30, 20)


@pytest.mark.parametrize("diameter", [1.0, 20.0, 300.0])
def test_circle_lies_within_the_flatness(diameter: float) -> None:
    (polygon,) = drawn([{"circle": diameter}])
    corners = np.asarray(polygon.exterior.coords)
    assert np.hypot(*corners.T) == pytest.approx(np.full(len(corners), diameter / 2))
    middles = (corners[1:] + corners[:-1]) / 2
    assert diameter / 2 - np.hypot(*middles.T).min() <= FLATNESS


def test_ellipse_lies_within_the_flatness() -> None:
    (polygon,) = drawn([{"ellipse": (60, 10)}])
    corners = np.asarray(polygon.exterior.coords)
    assert (corners[:, 0] / 30) ** 2 + (corners[:, 1] / 5) ** 2 == pytest.approx(np.ones(len(corners)))
    assert polygon.bounds == pytest.approx((-30, -5, 30, 5))
    assert math.pi * 30 * 5 - FLATNESS * polygon.length <= polygon.area <= math.pi * 30 * 5


@pytest.mark.parametrize("sides", [3, 4, 6, 7])
def test_regular_polygon_across_corners_and_flats(sides: int) -> None:
    radius = 10.0
    by_corners = sides / 2 * radius**2 * math.sin(2 * math.pi / sides)
    assert area({"regular": {"sides": sides, "across_corners": 2 * radius}}) == pytest.approx(by_corners)
    by_flats = sides * radius**2 * math.tan(math.pi / sides)
    assert area({"regular": {"sides": sides, "across_flats": 2 * radius}}) == pytest.approx(by_flats)


def test_first_corner_is_at_the_top() -> None:
    for shape in (
        {"regular": {"sides": 3, "across_corners": 20}},
        {"star": {"points": 5, "across": 20, "inner": 8}},
    ):
        (polygon,) = drawn([shape])
        assert max(polygon.exterior.coords, key=lambda corner: corner[1]) == pytest.approx((0, 10), abs=1e-9)


@pytest.mark.parametrize("points", [3, 5, 8])
def test_star(points: int) -> None:
    (polygon,) = drawn([{"star": {"points": points, "across": 40, "inner": 16}}])
    assert len(polygon.exterior.coords) - 1 == 2 * points
    # each of 2 n triangles from the middle: half R r sin(pi/n)
    assert polygon.area == pytest.approx(points * 20 * 8 * math.sin(math.pi / points))
    radii = sorted(np.hypot(*np.asarray(polygon.exterior.coords)[:-1].T))
    assert radii == pytest.approx([8.0] * points + [20.0] * points)


def test_turn_is_anticlockwise() -> None:
    (polygon,) = drawn([{"polygon": ((0, 0), (10, 0), (10, 1), (0, 1)), "turn": 90}])
    assert polygon.bounds == pytest.approx((-1, 0, 0, 10))
    (moved,) = drawn([{"polygon": ((0, 0), (10, 0), (10, 1), (0, 1)), "turn": 90, "at": (5, 5)}])
    assert moved.bounds == pytest.approx((4, 5, 5, 15))


def test_shapes_add_and_cut_in_the_order_listed() -> None:
    plate, hole = {"rectangle": (20, 20)}, {"rectangle": (10, 10), "hole": True}
    assert area(plate, hole) == 300
    assert area(hole, plate) == 400
    assert area(plate, hole, {"rectangle": (4, 4)}) == 316
    assert len(drawn([plate, hole, {"rectangle": (4, 4)}])) == 2


def test_overlapping_shapes_count_once() -> None:
    one, other = {"rectangle": (10, 10)}, {"rectangle": (10, 10), "at": (5, 0)}
    assert area(one, other) == 150
    assert len(drawn([one, other])) == 1


@pytest.mark.parametrize(
    ("size", "box"),
    [
        ({"width": 60}, (60, 30)),
        ({"height": 60}, (120, 60)),
        ({"scale": 0.5}, (10, 5)),
        ({}, (20, 10)),
    ],
)
def test_scaling(size: dict[str, float], box: tuple[float, float]) -> None:
    low_x, low_y, high_x, high_y = bounds({"ellipse": (20, 10)}, **size)
    assert (high_x - low_x, high_y - low_y) == pytest.approx(box)


@pytest.mark.parametrize("size", [{"width": 500.0}, {"scale": 50.0}])
def test_curves_are_flat_at_the_final_size(size: dict[str, float]) -> None:
    (polygon,) = drawn([{"circle": 10}], **size)
    corners = np.asarray(polygon.exterior.coords)
    middles = (corners[1:] + corners[:-1]) / 2
    assert 250 - np.hypot(*middles.T).min() <= FLATNESS * 1.001


BAD: list[Any] = [
    pytest.param([{"polygon": ((0, 0), (10, 10), (10, 0), (0, 10))}], "crosses itself at",
                 ("outline", "shapes", "[1]"), id="bow tie"),
    pytest.param([{"rectangle": (1, 1)}, {"polygon": ((0, 0), (10, 0), (20, 0))}], "the polygon has no area",
                 ("outline", "shapes", "[2]"), id="no area"),
    pytest.param([{"star": {"points": 5, "across": 10, "inner": 10}}], "the inner circle is not inside",
                 ("outline", "shapes", "[1]", "star", "inner"), id="star with inner as large"),
    pytest.param([{"rectangle": (5, 5)}, {"rectangle": (6, 6), "hole": True}], "the shapes leave no area",
                 ("outline", "shapes"), id="all cut away"),
    pytest.param([{"circle": 5, "hole": True}], "the shapes leave no area", ("outline", "shapes"), id="only a hole"),
]  # fmt: skip


def test_where_a_polygon_crosses_itself_is_told_in_the_sheets_unit() -> None:
    bow_tie = {"polygon": ((0.0, 0.0), (25.4, 25.4), (25.4, 0.0), (0.0, 25.4)), "at": (25.4, 0.0)}
    with pytest.raises(InputError, match=r"the polygon crosses itself at \(1\.5, 0\.5\) in, expected a plain outline"):
        drawn([bow_tie], unit="in")
    touching = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 0.0), (0.0, 10.0))
    with pytest.raises(InputError, match=r"the polygon (touches|crosses) itself at \(5, 0\) mm"):
        drawn([{"polygon": touching}])


@pytest.mark.parametrize("size", [{}, {"width": 10.0}, {"height": 10.0}])
@pytest.mark.parametrize(("shapes", "problem", "where"), BAD)
def test_refused(
    shapes: list[dict[str, Any]], problem: str, where: tuple[str, ...], size: dict[str, float]
) -> None:
    with pytest.raises(InputError, match=problem) as error:
        drawn(shapes, **size)
    assert error.value.where == where


@pytest.mark.parametrize(
    ("shapes", "line"),
    [
        ([{"rectangle": (10.0, 1e-9)}], r"outline\.shapes\[1\]: under 0\.001 mm wide at its final size"),
        ([{"circle": 40.0}, {"circle": 1e-5}], r"outline\.shapes\[2\]: under 0\.001 mm wide"),
        (
            [{"rectangle": (40.0, 40.0)}, {"rectangle": (40.0, 40.0), "at": (0.0002, 0.0), "hole": True}],
            r"outline\.shapes: the shapes leave a sliver under 0\.001 mm wide at \(-19\.9998, ",
        ),
    ],
)
def test_what_is_too_narrow_to_see_is_refused(shapes, line):
    with pytest.raises(InputError, match=line):
        drawn(shapes)


def test_what_rounding_leaves_is_dropped():
    """A hole as large as the square it cuts, but for the last digits, beside a circle."""
    hole = {"rectangle": (10 / 3, 10.0), "at": (1e-10, 0.0), "hole": True}
    parts = drawn([{"rectangle": (10 / 3, 10.0)}, hole, {"circle": 5.0, "at": (20.0, 0.0)}])
    assert len(parts) == 1
    assert parts[0].area == pytest.approx(math.pi * 2.5**2, rel=1e-2)
    (large,) = drawn([{"rectangle": (1e-5, 1e-5)}], width=40)
    assert large.area == pytest.approx(1600)
