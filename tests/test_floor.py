"""How much of the floors of pocket and plug a clearing bit reaches, by closed forms and on a grid of points."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from jobs import CLEARING, GONE, job
from numpy.typing import NDArray
from outlines import SHARED, rings_of, square
from shapely.affinity import rotate

from inlayfit.joint.depths import depths
from inlayfit.joint.floor import Floor, FloorAccess, floor_access
from inlayfit.joint.job import Job
from inlayfit.outline.regions import Outline, outline_of

Points = NDArray[np.object_]


def access(outline: Outline, changes: dict[str, Any]) -> tuple[FloorAccess, Job]:
    made = job(changes)
    return floor_access(outline, made, depths(made)[0]), made


def test_square_loses_its_floor_corners() -> None:
    # floor: a square of 20 - 2 F T; a round bit leaves (1 - pi/4) R^2 in each corner
    found, made = access(square(20.0), {"joint.pocket_depth": 6.0})
    side = 20 - 2 * 6 * math.tan(math.radians(15))
    radius = made.bits.clearing[0].diameter / 2
    pocket = found.pocket
    assert pocket.area == pytest.approx(side**2)
    assert pocket.reached == pytest.approx(side**2 - (4 - math.pi) * radius**2, abs=0.0015 * radius**2)
    assert pocket.left_to_v == pytest.approx(1 - pocket.reached / pocket.area)


def around(side: float, distance: float) -> float:
    """Area of a square grown by a distance."""
    return side**2 + 4 * side * distance + math.pi * distance**2


def test_band_round_a_square_plug_is_all_reached() -> None:
    found, made = access(square(20.0), {})
    offset = 2.5 * math.tan(math.radians(15))
    assert found.plug.area == pytest.approx(
        around(20, offset + made.plug.border) - around(20, offset), rel=1e-3
    )
    assert found.plug.left_to_v == pytest.approx(0, abs=1e-3)


def test_wall_allowance_leaves_a_band() -> None:
    found, made = access(square(20.0), {"joint.wall_allowance": 0.5})
    slope = math.tan(math.radians(15))
    side = 20 - 2 * 6 * slope - 2 * 0.5
    radius = made.bits.clearing[0].diameter / 2
    assert found.pocket.reached == pytest.approx(side**2 - (4 - math.pi) * radius**2, abs=0.0015 * radius**2)
    left = around(20, 2.5 * slope + 0.5) - around(20, 2.5 * slope)
    assert found.plug.area - found.plug.reached == pytest.approx(left, rel=0.02)


def test_too_large_a_bit_reaches_nothing_of_the_pocket() -> None:
    found, _ = access(square(20.0), {"bits.clearing": {**CLEARING, "diameter": 17.0}})
    assert found.pocket.area > 0
    assert (found.pocket.reached, found.pocket.left_to_v) == (0, 1)
    assert found.plug.left_to_v == pytest.approx(0, abs=1e-3)


def test_no_clearing_bit_reaches_nothing() -> None:
    found, _ = access(square(20.0), {"bits.clearing": GONE})
    for floor in (found.pocket, found.plug):
        assert floor.area > 0
        assert (floor.reached, floor.left_to_v) == (0, 1)


def test_no_floor_leaves_nothing_to_do() -> None:
    # F T is more than half the square's side
    found, _ = access(square(3.0), {})
    assert (found.pocket.area, found.pocket.reached, found.pocket.left_to_v) == (0, 0, 0)


def test_the_smallest_of_several_bits_counts() -> None:
    large, small = ({**CLEARING, "diameter": across, "name": f"{across:g} mm"} for across in (8.0, 2.0))
    both, _ = access(square(20.0), {"bits.clearing": (small, large)})
    alone, _ = access(square(20.0), {"bits.clearing": small})
    larger, _ = access(square(20.0), {"bits.clearing": large})
    assert both == alone
    assert both.pocket.reached > larger.pocket.reached


GRID = 0.15
RADIUS = 0.8
ALLOWANCE = 0.1


@pytest.mark.parametrize("name", SHARED)
def test_against_a_grid_of_points(name: str) -> None:
    # askew, so that no edge runs along a row of points
    outline = outline_of([rotate(region, 17, origin=(0, 0)) for region in SHARED[name]().regions])
    found, made = access(
        outline,
        {
            "joint.pocket_depth": 1.5,
            "joint.surface_gap": 1.0,
            "joint.wall_allowance": ALLOWANCE,
            "plug.border": 2.5,
            "bits.clearing": {**CLEARING, "diameter": 2 * RADIUS},
        },
    )
    slope = made.bits.pocket_v.shape.slope
    margin = 2.5 + slope + ALLOWANCE + RADIUS + GRID
    low_x, low_y, high_x, high_y = outline.bounds
    x, y = np.meshgrid(
        np.arange(low_x - margin, high_x + margin, GRID), np.arange(low_y - margin, high_y + margin, GRID)
    )
    points = shapely.points(np.stack([x.ravel(), y.ravel()], axis=1))
    shapely.prepare(area := outline.area)
    away = shapely.distance(shapely.multilinestrings(rings_of(outline)), points)
    inside = shapely.contains(area, points)
    against_grid(
        found.pocket,
        points[inside & (away >= 1.5 * slope)],
        points[inside & (away >= 1.5 * slope + ALLOWANCE + RADIUS)],
        GRID * area.length,
    )
    against_grid(
        found.plug,
        points[~inside & (away >= slope) & (away <= slope + ALLOWANCE + 2.5)],
        # the bit's axis may run as far out as it takes to sweep the border's edge
        points[~inside & (away >= slope + ALLOWANCE + RADIUS)],
        GRID * (2 * area.length + 2 * math.pi * 4),
    )


def against_grid(found: Floor, floor: Points, axes: Points, edge: float) -> None:
    """Compare with points on the floor and points where the bit's axis may stand; ``edge`` is an area's worth."""
    near = np.full(len(floor), np.inf)
    if len(axes) and len(floor):
        near = shapely.STRtree(axes).query_nearest(floor, all_matches=False, return_distance=True)[1]
    # a grid counts a little wrong along every edge
    wrong = 0.1 * edge + 0.05
    assert found.area == pytest.approx(len(floor) * GRID**2, abs=wrong)
    # the best axis for a point lies within a cell or so of one on the grid
    assert found.reached >= int((near <= RADIUS).sum()) * GRID**2 - wrong
    assert found.reached <= int((near <= RADIUS + 1.5 * GRID).sum()) * GRID**2 + wrong
