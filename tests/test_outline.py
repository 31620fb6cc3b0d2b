"""Outlines: order, direction of rings, offsets, fineness of arcs."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from outlines import SHARED
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from inlayfit.errors import InputError
from inlayfit.outline.regions import FLATNESS, Outline, arc_points, grown, outline_of, polygons_of

SMALL = Polygon([(0, 0), (1, 0), (1, 1), (0, 1)])
LARGE = Polygon([(5, 0), (9, 0), (9, 4), (5, 4)], [[(6, 1), (7, 1), (7, 2), (6, 2)]])


def signed_area(points: np.ndarray) -> float:
    x, y = points.T
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)


def test_regions_are_ordered_from_the_largest() -> None:
    assert outline_of([SMALL, LARGE]) == outline_of([LARGE, SMALL])
    assert [region.area for region in outline_of([SMALL, LARGE]).regions] == [15, 1]


def test_equal_regions_have_a_fixed_order() -> None:
    one, other = SMALL, shapely.affinity.translate(SMALL, 3, 0)
    assert outline_of([one, other]).regions == outline_of([other, one]).regions


@pytest.mark.parametrize("name", SHARED)
def test_the_inlay_lies_on_the_left_of_every_ring(name: str) -> None:
    outline = SHARED[name]()
    rings = outline.rings()
    assert len(rings) == len(outline.regions) + outline.holes
    assert sum(signed_area(points) for _, points in rings) == pytest.approx(outline.area.area)
    first_of_region: set[int] = set()
    for number, points in rings:
        assert (signed_area(points) > 0) == (number not in first_of_region)  # the outer ring comes first
        first_of_region.add(number)
        assert not np.array_equal(points[0], points[-1])


@pytest.mark.parametrize("turn", [1, -1])
def test_rings_are_turned_whichever_way_they_come(turn: int) -> None:
    given = Polygon(list(LARGE.exterior.coords)[::turn], [list(LARGE.interiors[0].coords)[::-turn]])
    outer, hole = (signed_area(points) for _, points in outline_of([given]).rings())
    assert (outer, hole) == (16, -1)


def test_bounds_and_holes() -> None:
    outline = outline_of([SMALL, LARGE])
    assert outline.bounds == (0, 0, 9, 4)
    assert outline.holes == 1
    assert outline_of([SMALL]).holes == 0


def test_notes_travel_along() -> None:
    assert outline_of([SMALL], ["text left out"]).notes == ("text left out",)


@pytest.mark.parametrize("polygons", [[], [Polygon()], [Polygon([(0, 0), (1, 0), (2, 0)])]])
def test_nothing_is_no_outline(polygons: list[Polygon]) -> None:
    with pytest.raises(
        InputError, match="the outline has no area, expected at least one closed shape"
    ) as error:
        outline_of(polygons)
    assert error.value.where == ("outline",)


def test_polygons_of_any_geometry() -> None:
    assert polygons_of(SMALL) == (SMALL,)
    assert polygons_of(MultiPolygon([SMALL, LARGE])) == (SMALL, LARGE)
    assert polygons_of(shapely.GeometryCollection([SMALL, Point(0, 0), LineString([(0, 0), (1, 1)])])) == (
        SMALL,
    )
    assert polygons_of(Polygon()) == ()
    assert polygons_of(LineString([(0, 0), (1, 1)])) == ()


def test_growing_by_nothing_changes_nothing() -> None:
    assert grown(LARGE, 0) is LARGE


@pytest.mark.parametrize("distance", [0.01, 0.3, 1.0, 4.0])
@pytest.mark.parametrize("name", SHARED)
def test_grown_edges_lie_at_the_distance(name: str, distance: float) -> None:
    area = SHARED[name]().area
    # the tolerance the module promises: 0.03 % for facets, and what the engine simplifies, 0.07 % together
    slack = 0.0007 * distance + 1e-9
    for signed in (distance, -distance):
        edge = grown(area, signed).boundary
        if edge.is_empty:
            continue
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(edge, 0.5)))
        away = shapely.distance(area.boundary, places)
        assert away.min() >= distance - slack
        assert away.max() <= distance + slack


@pytest.mark.parametrize("name", SHARED)
def test_closing_keeps_all_and_opening_adds_nothing(name: str) -> None:
    area = SHARED[name]().area
    for distance in (0.5, 2.0):
        slack = 2 * 0.0007 * distance
        closed = grown(grown(area, distance), -distance)
        # at the sliver's tip an arc's facets lie a little further off than along it
        assert area.difference(grown(closed, slack)).area <= 1e-5
        opened = grown(grown(area, -distance), distance)
        assert opened.difference(grown(area, slack)).area <= 1e-6


@pytest.mark.parametrize("radius", [0.001, 0.01, 0.5, 3.0, 50.0, 400.0])
def test_arcs_are_drawn_within_the_flatness(radius: float) -> None:
    count = arc_points(radius)
    assert count >= 16
    assert count % 4 == 0
    # a chord of a full circle in n parts lies r (1 - cos(pi/n)) off its arc
    assert radius * (1 - math.cos(math.pi / count)) <= FLATNESS * (1 + 1e-9)
    assert count == 16 or radius * (1 - math.cos(math.pi / (count - 4))) > FLATNESS


def test_outlines_are_compared_by_what_they_are() -> None:
    assert SHARED["ell"]() == SHARED["ell"]()
    assert SHARED["ell"]() != SHARED["plus"]()
    assert isinstance(SHARED["ell"](), Outline)
