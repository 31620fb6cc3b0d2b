"""A machine out of square: the least largest move of the walls, and pairs whose axes are really sheared."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
import shapely
from jobs import job
from joints import circle
from shapely import affinity

from inlayfit.joint.depths import depths
from inlayfit.joint.schedule import schedule
from inlayfit.outline.edges import Edges, edges_of
from inlayfit.outline.regions import outline_of, polygons_of
from inlayfit.seat.fit import fit
from inlayfit.tolerance.draws import drawn_stack
from inlayfit.tolerance.out_of_square import left_over, sheared
from inlayfit.tolerance.stack import Stack

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}


def walls(shape: shapely.Polygon) -> Edges:
    return edges_of(outline_of([shape]))


# --- closed forms ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "height"), [(200.0, 10.0), (60.0, 20.0), (30.0, 30.0)])
def test_strip_turns_until_ends_and_sides_are_off_alike(width: float, height: float) -> None:
    # turned by w the sides move by (1 + w) width / 2 and the ends by (1 - w) height / 2
    found = sheared(walls(shapely.box(0, 0, width, height)))
    assert found.tight == pytest.approx(width * height / (width + height), rel=1e-3)
    assert found.open == pytest.approx(found.tight, rel=1e-3)


def test_disc_moves_by_its_radius_wherever_it_lies() -> None:
    disc = affinity.translate(circle(25.0, 0.0005), 300, -80)
    assert sheared(walls(disc)) == pytest.approx((25.0, 25.0), rel=1e-2)


# --- against every vertex of the linear programme -------------------------------------------------------------------


def all_vertices(move: np.ndarray, ways: np.ndarray) -> float:
    """The least largest entry of ``move + ways @ x``: the best of the points where four of them are equal."""
    rows = np.column_stack([ways, -np.ones(len(move))])
    four = np.array(list(combinations(range(len(move)), 4)))
    systems = rows[four]
    sound = np.abs(np.linalg.det(systems)) > 1e-9
    x = np.linalg.solve(systems[sound], -move[four[sound]][..., None])[..., 0]
    highest = (move[None] + x[:, :3] @ ways.T).max(1)
    return float(highest.min())


@pytest.mark.parametrize("seed", range(8))
def test_least_largest_move_is_that_of_the_best_vertex(seed: int) -> None:
    rng = np.random.default_rng(seed)
    move, ways = rng.normal(size=24), rng.normal(size=(24, 3))
    ways -= ways.mean(0)  # walls all round: none of the ways goes down everywhere
    assert left_over(move, ways).max() == pytest.approx(all_vertices(move, ways), abs=2e-4 * np.abs(move).max())


# --- against pairs that are really sheared --------------------------------------------------------------------------


def insides_off(pocket: shapely.Polygon, plug: shapely.Polygon) -> float:
    """By how much the plug's section must be shrunk to lie in the pocket's, by halving."""
    low, high, room = 0.0, 1.0, pocket.buffer(1e-7, join_style="mitre")
    for _ in range(16):
        middle = (low + high) / 2
        within = plug.buffer(-middle, join_style="mitre", mitre_limit=20).within(room)
        low, high = (low, middle) if within else (middle, high)
    return high


def best_place(pocket: shapely.Polygon, plug: shapely.Polygon) -> float:
    """The same after the best slide and turn, felt for with ever smaller steps."""

    def off(x: np.ndarray) -> float:
        return insides_off(pocket, affinity.translate(affinity.rotate(plug, x[2], origin=(0, 0)), x[0], x[1]))

    place, least = np.zeros(3), off(np.zeros(3))
    step = np.array([0.2, 0.2, 0.3])
    rng = np.random.default_rng(5)
    while step.max() > 2e-4:
        tries = [place + step * way for way in rng.normal(size=(60, 3))]
        found = [off(one) for one in tries]
        best = int(np.argmin(found))
        if found[best] < least:
            place, least = tries[best], found[best]
        else:
            step /= 1.3
    return least


@pytest.mark.parametrize(
    "shape",
    [shapely.box(-30, -10, 30, 10), shapely.box(-60, -4, 60, 4), shapely.Polygon([(-20, -10), (25, -12), (3, 22)])],
    ids=["board", "strip", "triangle"],
)
def test_least_move_is_that_of_two_outlines_sheared_either_way(shape: shapely.Polygon) -> None:
    shear = 0.004
    least = max(
        best_place(*(affinity.affine_transform(shape, [1, way * one, 0, 1, 0, 0]) for one in (shear, -shear)))
        for way in (1, -1)
    )
    told = shear * sheared(walls(shape)).tight
    assert told == pytest.approx(least, abs=0.0015)
    assert told < 0.6 * shear * np.hypot(*np.ptp(np.asarray(shape.exterior.coords), axis=0))


# --- what the stack makes of it -------------------------------------------------------------------------------------


def stack(shape: shapely.Polygon, changes: dict[str, Any]) -> Stack:
    this = job({**WOODS, **changes})
    nominal = depths(this)[0]
    seated = fit(this, nominal, schedule(this, nominal), outline_of(polygons_of(shape)))
    return drawn_stack(this, nominal, seated, 10.0, 6000, cleared=True)


def test_worse_machine_never_makes_more_pairs_seat() -> None:
    shares, needed = [], []
    for square in (0.0, 0.1 / 300, 1 / 300, 3 / 300):
        found = stack(shapely.box(0, 0, 200, 10), {"joint.glue_gap": 0.12, "tolerance.square": square}).drawn
        assert found is not None
        shares.append(found.seats_on_walls)
        needed.append(found.glue_gap_needed or np.inf)
    assert shares == sorted(shares, reverse=True)
    assert needed == sorted(needed)
    assert shares[0] == pytest.approx(shares[1], abs=0.002)  # the strip turns into its place
    assert shares[-1] < 0.6  # hung up, not seated


def test_sheared_axes_leave_the_glue_gap_alone() -> None:
    square, sheared_off = (
        stack(shapely.box(0, 0, 60, 40), {"joint.glue_gap": 0.2, "tolerance.square": value}).quantities
        for value in (0.0, 0.5 / 300)
    )
    assert sheared_off["glue_gap"] == square["glue_gap"]
    assert sheared_off["lift"].worst[1] > square["lift"].worst[1] + 0.1
