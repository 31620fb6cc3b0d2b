"""Tool paths and what they remove, against the cutter held at many places of its way, one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import tool_path
from inlayfit.cutters import Profile, end_mill

CUTTERS = {
    "point": Profile(angle=60),
    "flat": Profile(angle=30, tip_radius=0.4),
    "ball": Profile(angle=45, rounding=0.8),
    "end mill": end_mill(3.0),
    "ball nose": end_mill(3.0, 1.5),
    "bull nose": end_mill(3.0, 0.6),
    "rounded flat": Profile(angle=40, tip_radius=0.5, rounding=0.7),
}


def depth_held(cutter: Profile, start: np.ndarray, end: np.ndarray, point: np.ndarray, count: int = 20_001) -> float:
    """The greatest of the cutter's depths over a point while it is held at many places of one piece."""
    share = np.linspace(0, 1, count)[:, None]
    place = start + share * (end - start)
    away = np.hypot(*(place[:, :2] - point).T)
    depths = [place[:, 2] - np.array([cutter.depth_in(d) for d in away])]
    return float(np.max(depths))


@pytest.mark.parametrize("name", CUTTERS)
def test_depth_under_one_piece_is_the_greatest_over_all_places_of_the_tip(name: str) -> None:
    cutter, rng = CUTTERS[name], np.random.default_rng(3)
    tried = 0
    for steep in (0.0, 0.2, -0.6, 1.5, -4.0):
        start = np.array([0.3, -0.2, 2.0])
        end = start + np.array([2.0, 1.0, steep * math.hypot(2.0, 1.0)])
        solid = RemovedSolid(paths=(tool_path(start[None], end[None], cutter),))
        points = start[:2] + rng.uniform(-1.0, 3.0, (12, 2))
        found = solid.depth_at(points, below=-np.inf)
        for point, depth in zip(points, found, strict=True):
            held = depth_held(cutter, start, end, point, 2001)
            if np.isfinite(held):
                tried += 1
                # places between those held may be a little deeper
                assert held - 1e-9 <= depth <= held + 0.02
                assert depth == pytest.approx(depth_searched(cutter, start, end, point), abs=1e-7)
            else:
                assert depth == -np.inf
    assert tried > 15


def depth_searched(cutter: Profile, start: np.ndarray, end: np.ndarray, point: np.ndarray) -> float:
    """As `depth_held`, by thirds: along a straight piece the depth has one peak where the edge is hollow nowhere."""

    def depth(share: float) -> float:
        place = start + share * (end - start)
        return float(place[2]) - cutter.depth_in(math.hypot(*(place[:2] - point)))

    low, high = 0.0, 1.0
    if cutter.angle == 0:
        # only while the point is under the mill
        way, away = (end - start)[:2], point - start[:2]
        foot = float(away @ way / (way @ way))
        aside = abs(float(away[1] * way[0] - away[0] * way[1])) / math.hypot(*way)
        half = math.sqrt(max(0.0, cutter.flank_start**2 - aside**2)) / math.hypot(*way)
        low, high = max(0.0, foot - half * (1 - 1e-12)), min(1.0, foot + half * (1 - 1e-12))
    for _ in range(200):
        third = (high - low) / 3
        if depth(low + third) < depth(high - third):
            low += third
        else:
            high -= third
    return depth((low + high) / 2)


@pytest.mark.parametrize("name", CUTTERS)
def test_plunge_leaves_the_cutter_itself(name: str) -> None:
    cutter = CUTTERS[name]
    down, up = np.array([[1.0, 2.0, -5.0]]), np.array([[1.0, 2.0, 4.0]])
    for start, end in ((down, up), (up, down)):
        solid = RemovedSolid(paths=(tool_path(start, end, cutter),))
        assert solid.deepest == 4.0
        away = np.array([0.0, 0.3, 0.9, 1.2, 1.49])
        found = solid.depth_at(np.stack([1.0 + away, np.full(5, 2.0)], 1), below=-np.inf)
        assert found == pytest.approx([4.0 - cutter.depth_in(d) for d in away])


def test_end_mill_cuts_upright_and_flat() -> None:
    # 6 mm wide from 0 to 20 along x: round ends of 3 mm, level floor, nothing beyond
    mill = end_mill(6.0)
    solid = RemovedSolid(paths=(tool_path(np.array([[0.0, 0, 5]]), np.array([[20.0, 0, 5]]), mill),))
    inside = np.array([[-2.99, 0.0], [10.0, 2.999], [22.0, 2.2], [22.99, 0.0], [0.0, 0.0]])
    outside = np.array([[-3.01, 0.0], [10.0, 3.001], [22.2, 2.2], [10.0, -7.0]])
    assert (solid.depth_at(inside) == 5.0).all()
    assert (solid.depth_at(outside) == -np.inf).all()


def test_corner_radius_leaves_a_quarter_round_along_a_straight_wall() -> None:
    mill = end_mill(6.0, 1.0)
    solid = RemovedSolid(paths=(tool_path(np.array([[0.0, 0, 5]]), np.array([[20.0, 0, 5]]), mill),))
    across = np.array([1.9, 2.0, 2.5, 2.8, 3.0])
    fillet = [0.0, 0.0, 1 - math.sqrt(1 - 0.5**2), 1 - math.sqrt(1 - 0.8**2), 1.0]
    found = solid.depth_at(np.stack([np.full(5, 10.0), across], 1))
    assert found == pytest.approx([5 - height for height in fillet])


def test_flat_mill_on_a_ramp_leaves_its_lower_edge() -> None:
    # falling 1 in 2: on the line itself the mill's lower edge, its radius ahead, cuts deepest
    mill = end_mill(4.0)
    solid = RemovedSolid(paths=(tool_path(np.array([[0.0, 0, 0]]), np.array([[20.0, 0, 10]]), mill),))
    aside = np.array([0.0, 1.0, 1.9])
    expected = [5.0 + math.sqrt(4 - a * a) / 2 for a in aside]
    assert solid.depth_at(np.stack([np.full(3, 10.0), aside], 1)) == pytest.approx(expected)
    # at its lower end the mill goes no deeper than its way
    assert solid.depth_at(np.array([[21.0, 0.0]])) == pytest.approx(10.0)


def test_several_paths_remove_what_any_of_them_does() -> None:
    rng = np.random.default_rng(8)
    ways = [rng.uniform(0, 6, (20, 3)) for _ in range(2)]
    v, mill = (tool_path(way[:-1], way[1:], CUTTERS[name]) for way, name in zip(ways, ("flat", "bull nose")))
    points = rng.uniform(-1, 7, (300, 2))
    each = [RemovedSolid(paths=(path,)).depth_at(points) for path in (v, mill)]
    assert (RemovedSolid(paths=(v, mill)).depth_at(points) == np.maximum(*each)).all()
    assert RemovedSolid(paths=(v, mill)).deepest == max(float(way[:, 2].max()) for way in ways)
    assert (RemovedSolid(paths=()).depth_at(points) == -np.inf).all()
    # what is told near a point is what every piece of the whole way makes
    whole = np.full((300, 1), 60.0)[:, 0]
    every = RemovedSolid(paths=(v, mill)).depth(points[:, None], points, whole)[:, 0]
    cut = every > 0
    assert np.maximum(*each)[cut] == pytest.approx(every[cut], abs=1e-12)
