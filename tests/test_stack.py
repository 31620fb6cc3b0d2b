"""The stack of tolerances without an outline: closed forms of wide walls, worst case, root-sum-square."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import product
from typing import Any

import pytest
from jobs import GONE, job

from inlayfit.joint.depths import depths
from inlayfit.joint.error_sources import depth_errors, sources
from inlayfit.joint.job import Job
from inlayfit.joint.spread import Spread
from inlayfit.tolerance.budget import changes, ranges, worst_case
from inlayfit.tolerance.stack import Stack, depth_stack, wide_wall

F, G, U = 6.0, 0.5, 2.5  # of the plain job
T = math.tan(math.radians(15))
NONE = {"touch_off": 0.0, "angle": 0.0, "tip": 0.0, "runout": 0.0, "warp": 0.0, "thickness": 0.0}


def made(tolerance: Mapping[str, Any], **changes: Any) -> Job:
    """The plain job with nothing off but this."""
    return job({**{f"tolerance.{name}": value for name, value in {**NONE, **tolerance}.items()}, **changes})


def stack(tolerance: Mapping[str, Any], **changes: Any) -> Stack:
    this = made(tolerance, **changes)
    return depth_stack(this, depths(this)[0])


# --- the bare machinery ---------------------------------------------------------------------------------------------


def test_worst_case_of_one_way_results_is_that_of_all_corners() -> None:
    def results(v: Mapping[str, float]) -> dict[str, float]:
        straight = 3 * v["a"] - v["b"] ** 3 + v["c"]
        return {"stopped": max(straight, -2.0), "straight": straight}

    at, bounds = {"a": 1.0, "b": 0.5, "c": -1.0}, {"a": (-1.0, 2.0), "b": (-0.5, 1.0), "c": (0.0, 0.3)}
    corners = [
        results({name: at[name] + move for name, move in zip(bounds, moves)}) for moves in product(*bounds.values())
    ]
    for name, (low, high) in worst_case(results, at, bounds).items():
        values = [corner[name] for corner in corners]
        assert (low, high) == pytest.approx((min(values), max(values)))


def test_root_sum_square_goes_no_further_than_a_stop() -> None:
    found = ranges(lambda v: {"y": max(v["a"] + v["b"], -0.5)}, {"a": 0.0, "b": 0.0}, {"a": (-1, 1), "b": (-1, 1)})["y"]
    assert found.rss == pytest.approx((-0.5, math.sqrt(2)))
    assert found.worst == (-0.5, 2.0)


def test_moves_keep_their_sides() -> None:
    move = changes(lambda v: {"y": abs(v["a"])}, {"a": 0.0}, {"a": (-2.0, 1.0)})["y"]["a"]
    assert (move.down, move.up, move.half) == (0.0, 2.0, 1.0)


# --- spreads --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spread", "known", "worst", "standard"),
    [
        (Spread(value=0.3), 0.0, 0.3, 0.3 / math.sqrt(3)),
        (Spread(kind="sd", value=0.1), 0.0, 0.3, 0.1),
        (Spread(kind="known", value=-0.2), -0.2, 0.0, 0.0),
    ],
)
def test_spread(spread: Spread, known: float, worst: float, standard: float) -> None:
    assert (spread.known, spread.worst, spread.standard) == pytest.approx((known, worst, standard))
    assert spread.furthest == pytest.approx(abs(known) + worst)


def test_what_can_be_off_in_a_job() -> None:
    plain = {source.name for source in sources(job(), outline=False)}
    assert plain == {
        "pocket_v", "plug_v", "pocket_clear", "plug_clear", "angle", "tip", "runout", "base_warp", "plug_warp",
    }  # fmt: skip
    assert {source.name for source in sources(job(), outline=True)} - plain == {"square"}
    on_bed = sources(job({"touch_off": "bed"}), outline=False)
    assert {source.name for source in on_bed} - plain == {"base_thickness", "plug_thickness"}
    two_bits = {"bits.pocket_v": {"angle": 30.0, "tip": 0.1}, "bits.plug_v": {"angle": 30.0, "tip": 0.2}}
    two = job({"bits.v": GONE, **two_bits})
    assert {source.name for source in sources(two, outline=False)} - plain == {
        "pocket_angle", "plug_angle", "pocket_tip", "plug_tip",
    }  # fmt: skip
    no_clearing = {source.name for source in sources(job({"bits.clearing": GONE}), outline=False)}
    assert plain - no_clearing == {"pocket_clear", "plug_clear"}


def test_floors_follow_the_v_bit_that_clears_them() -> None:
    error = depth_errors({"pocket_v": 0.1, "plug_v": 0.2, "base_warp": 0.01, "plug_thickness": 0.03})
    assert (error.pocket_floor, error.plug_floor) == (error.pocket_v, error.plug_v) == pytest.approx((0.11, 0.23))


# --- the stack of wide walls: each row the formula ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tolerance", "lift", "glue_gap", "surface_gap"),
    [
        # both V-bits off by 0.05: the plug moves by either, the floor stays
        ({"touch_off": {"pocket_v": 0.05, "plug_v": 0.05, "pocket_clear": 0.0, "plug_clear": 0.0}}, 0.1, 0.1, 0.1),
        ({"touch_off": {"pocket_clear": 0.05, "pocket_v": 0.0, "plug_v": 0.0, "plug_clear": 0.0}}, 0, 0.05, 0),
        ({"touch_off": {"plug_clear": 0.05, "pocket_v": 0.0, "plug_v": 0.0, "pocket_clear": 0.0}}, 0, 0, 0.05),
        # a warped base lets plug and floor go down alike, a warped plug only its walls and its own floor
        ({"warp": 0.1}, 0.2, 0.1, 0.1),
        # a tip wider by 0.02 is 0.01 to each side, in both cuts
        ({"tip": 0.02}, 2 * 0.01 / T, 2 * 0.01 / T, 2 * 0.01 / T),
    ],
)
def test_one_source_moves_the_plug_by_its_formula(
    tolerance: dict[str, Any], lift: float, glue_gap: float, surface_gap: float
) -> None:
    found = stack(tolerance).quantities
    for name, nominal, move in (("lift", 0.0, lift), ("glue_gap", G, glue_gap), ("surface_gap", U, surface_gap)):
        assert found[name].nominal == pytest.approx(nominal)
        assert found[name].worst == pytest.approx((nominal - move, nominal + move))


def test_angle_moves_wide_walls_by_both_depths() -> None:
    found = stack({"angle": 0.25}).quantities["lift"]

    def lift(off: float) -> float:
        real = math.tan(math.radians((30 + off) / 2))
        return -(F + U) * (real - T) / real

    assert found.worst == pytest.approx((lift(0.25), lift(-0.25)))


def test_runout_only_lowers_the_plug() -> None:
    found = stack({"runout": 0.02}).quantities["lift"]
    assert found.worst == pytest.approx((-2 * 0.01 / T, 0))


def test_thickness_counts_only_from_the_bed() -> None:
    assert stack({"thickness": 0.1}).quantities["lift"].worst == (0, 0)
    found = stack({"thickness": 0.1}, touch_off="bed").quantities
    assert found["lift"].worst == pytest.approx((-0.2, 0.2))
    assert found["glue_gap"].worst == pytest.approx((G - 0.1, G + 0.1))


def test_known_errors_move_the_middle_and_spread_nothing() -> None:
    found = stack({"touch_off": {"known": 0.05}}).quantities
    assert found["lift"].nominal == pytest.approx(-0.1)
    assert found["lift"].worst == found["lift"].rss == pytest.approx((-0.1, -0.1))
    assert found["glue_gap"].nominal == pytest.approx(G - 0.05)


def test_standard_deviation_counts_three_times_in_the_worst_case() -> None:
    one, other = stack({"warp": {"sd": 0.05}}), stack({"warp": 0.15})
    for name, entry in one.quantities.items():
        assert (*entry.worst, *entry.rss) == pytest.approx((*other.quantities[name].worst, *other.quantities[name].rss))


def test_sides_add_up_by_squares() -> None:
    found = stack({"touch_off": 0.05, "warp": 0.1}).quantities["lift"]
    half = math.sqrt(2 * 0.05**2 + 2 * 0.1**2)
    assert found.rss == pytest.approx((-half, half))
    assert found.worst == pytest.approx((-0.3, 0.3))


def test_floor_stops_the_plug_and_opens_the_walls() -> None:
    found = stack({"warp": 0.8}).quantities
    # the walls would let it go down by 1.6, the floor stops it at the gap less what the base's warp deepened
    assert found["glue_gap"].worst[0] == 0
    assert found["joint_line"].worst == pytest.approx((0, (0.8 - G) * T))
    assert found["lift"].worst[0] == pytest.approx(-G - 0.8)


def test_plugs_own_floor_stops_it_too() -> None:
    found = stack({"warp": 0.3}, **{"joint.surface_gap": 0.2, "joint.glue_gap": 2.0}).quantities
    assert found["surface_gap"].worst[0] == 0


def test_worst_case_is_that_of_all_corners() -> None:
    this = made({"touch_off": 0.2, "angle": 0.4, "tip": 0.05, "runout": 0.03, "warp": 0.3}, **{"joint.glue_gap": 0.4})
    nominal = depths(this)[0]
    found = sources(this, outline=False)
    corners = [
        wide_wall(this, nominal)(dict(zip([source.name for source in found], values)))
        for values in product(*(source.bounds for source in found))
    ]
    for name, entry in depth_stack(this, nominal).quantities.items():
        values = [corner[name] for corner in corners]
        assert entry.worst == pytest.approx((min(values), max(values)), abs=1e-9), name


def test_contributions_are_shares_of_the_variance() -> None:
    found = stack({"touch_off": 0.05, "warp": 0.1})
    lift = {entry.source.name: entry.shares["lift"] for entry in found.contributions}
    assert lift["base_warp"] == lift["plug_warp"] == pytest.approx(0.01 / 0.025)
    assert lift["pocket_v"] == pytest.approx(0.0025 / 0.025)
    assert sum(lift.values()) == pytest.approx(1)
    assert [entry.shares["lift"] for entry in found.contributions] == sorted(lift.values(), reverse=True)
    # an even spread of 0.1 has the variance of a standard deviation of 0.1 / sqrt(3)
    mixed = stack({"touch_off": {"sd": 0.1 / math.sqrt(3)}, "warp": 0.1})
    lift = {entry.source.name: entry.shares["lift"] for entry in mixed.contributions}
    assert lift["base_warp"] == pytest.approx(lift["pocket_v"])


def test_touch_off_that_the_glue_gap_bears() -> None:
    # three touch-offs and nothing else eat the gap: each may be off by G / sqrt(3)
    assert stack({"touch_off": 0.05}).touch_off_all == pytest.approx(G / math.sqrt(3))
    # what else is off takes its share first; only the plug's warp reaches the glue gap
    assert stack({"touch_off": 0.05, "warp": 0.3}).touch_off_all == pytest.approx(math.sqrt((G**2 - 0.09) / 3))
    assert stack({"touch_off": 0.05, "warp": 0.6}).touch_off_all is None
    # known errors leave the question open all the same
    assert stack({"touch_off": {"known": 0.0}}).touch_off_all == pytest.approx(G / math.sqrt(3))


def test_parts_of_the_stack_alone() -> None:
    found = stack({"touch_off": 0.05, "warp": 0.1})
    assert found.touch_off.worst == pytest.approx((G - 0.15, G + 0.15))
    assert found.touch_off.rss[0] == pytest.approx(G - math.sqrt(3) * 0.05)
    assert found.warp.worst == pytest.approx((G - 0.1, G + 0.1))
    assert found.drawn is None


def test_ball_tip_counts_by_its_flank() -> None:
    ball = {"bits.v.tip": GONE, "bits.v.ball": 0.4}
    found = stack({"tip": 0.02}, **ball).quantities["lift"]
    assert found.worst == pytest.approx((-0.02 / T, 0.02 / T))


def test_floor_stands_on_the_ridges_where_no_bit_clears_it() -> None:
    # (s - 2 r) / 2 T of the stepover
    ridge = (0.3 - 0.1) / 2 / T
    plain = stack({}, **{"bits.v.stepover": 0.3})
    ridged = stack({}, **{"bits.v.stepover": 0.3, "bits.clearing": GONE})
    assert plain.quantities["glue_gap"].nominal == pytest.approx(G)
    assert ridged.quantities["glue_gap"].nominal == pytest.approx(G - ridge)
