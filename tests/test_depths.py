"""Depths of pocket and plug that match, and the pocket's depth where the sheet leaves it out."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import CLEARING, GONE, job

from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths, depths
from inlayfit.quantity import MM_PER_INCH

SLOPE_30 = math.tan(math.radians(15))
DERIVED: dict[str, Any] = {"joint.pocket_depth": GONE}


def nominal(changes: dict[str, Any] | None = None) -> Depths:
    found, bound = depths(job(changes))
    assert bound == ""
    return found


def derived(changes: dict[str, Any]) -> tuple[float, str]:
    found, bound = depths(job({**DERIVED, **changes}))
    return found.pocket_depth, bound


def test_all_depths_of_a_plain_job() -> None:
    # pocket 6, glue gap 0.5, surface gap 2.5; base 18, plug 12; 30 deg with a 0.1 flat; clearing bit 2
    found = nominal()
    assert found.pocket_depth == 6
    assert found.start_depth == pytest.approx(6 - 0.5)
    assert found.depth_below_start == 2.5
    assert found.plug_total_depth == pytest.approx(6 - 0.5 + 2.5)
    assert found.glue_gap == 0.5
    assert found.surface_gap == 2.5
    assert found.pocket_clearing_offset == pytest.approx(6 * SLOPE_30)
    assert found.plug_clearing_offset == pytest.approx(2.5 * SLOPE_30)
    assert found.full_depth_width == pytest.approx(2 * (6 * SLOPE_30 + 0.05))
    assert found.clearing_width == pytest.approx(2 * (6 * SLOPE_30 + 1))
    assert found.base_floor == pytest.approx(18 - 6)
    assert found.plug_web == pytest.approx(12 - 8)
    assert found.above_face == pytest.approx(12 - 5.5)


def test_wall_allowance_widens_both_clearing_offsets() -> None:
    found = nominal({"joint.wall_allowance": 0.3})
    assert found.pocket_clearing_offset == pytest.approx(6 * SLOPE_30 + 0.3)
    assert found.plug_clearing_offset == pytest.approx(2.5 * SLOPE_30 + 0.3)
    assert found.clearing_width == pytest.approx(2 * (6 * SLOPE_30 + 0.3 + 1))


def test_ball_tip_reaches_full_depth_where_its_flank_or_ball_fits() -> None:
    half = math.radians(15)
    found = nominal({"bits.v.tip": GONE, "bits.v.ball": 0.4})
    flank = 0.4 * (1 - math.sin(half)) / math.cos(half)
    assert found.full_depth_width == pytest.approx(2 * (6 * SLOPE_30 + flank))
    shallow = nominal(
        {"bits.v.tip": GONE, "bits.v.ball": 2.0, "joint.pocket_depth": 1.0, "joint.surface_gap": 1.0}
    )
    assert shallow.full_depth_width == pytest.approx(2 * math.sqrt(2.0**2 - (2.0 - 1.0) ** 2))


def test_several_clearing_bits_the_smallest_enters_the_narrowest() -> None:
    bits = tuple({**CLEARING, "name": f"{wide:g} mm", "diameter": wide} for wide in (1.0, 6.0, 3.0))
    assert nominal({"bits.clearing": bits}).clearing_width == pytest.approx(2 * (6 * SLOPE_30) + 1.0)


def test_no_clearing_bit_no_clearing_width() -> None:
    assert nominal({"bits.clearing": GONE}).clearing_width is None


@given(st.floats(1, 20), st.floats(0.01, 0.9), st.floats(0, 5), st.floats(5, 150))
def test_the_joint_closes_whatever_the_sizes(
    pocket: float, share: float, surface: float, angle: float
) -> None:
    glue = share * pocket
    found = nominal(
        {
            "joint.pocket_depth": pocket,
            "joint.glue_gap": glue,
            "joint.surface_gap": surface,
            "bits.v.angle": angle,
            "bits.v.tip": 0.0,
        }
    )
    # the plug's face stops a glue gap over the floor, its own floor a surface gap over the base's face
    assert found.pocket_depth - found.start_depth == pytest.approx(glue)
    assert found.plug_total_depth - found.start_depth == pytest.approx(surface, abs=1e-12)
    # a place this far down the pocket's wall and this far up the plug's lie equally far inside the outline
    slope = math.tan(math.radians(angle / 2))
    assert found.pocket_clearing_offset / slope == pytest.approx(pocket)
    assert found.plug_clearing_offset / slope == pytest.approx(surface, abs=1e-12)
    # thicknesses are used up exactly
    assert found.base_floor + found.pocket_depth == pytest.approx(18)
    assert found.plug_web + found.plug_total_depth == pytest.approx(12)
    assert found.above_face + found.start_depth == pytest.approx(12)


@pytest.mark.parametrize("gap", [6.0, 6.5])
def test_glue_gap_as_deep_as_the_pocket_is_refused(gap: float) -> None:
    with pytest.raises(
        InputError, match=r"glue gap of 6\.[05]0 mm leaves no plug in a pocket 6\.00 mm deep"
    ) as error:
        depths(job({"joint.glue_gap": gap}))
    assert error.value.where == ("joint", "glue_gap")


QUARTER_INCH = math.floor(100 * MM_PER_INCH / 4) / 100

BOUNDS = [
    # every change leaves all other bounds above the one it is about
    pytest.param({}, QUARTER_INCH, "1/4 in", id="usual depth"),
    pytest.param({"base.thickness": 8.0}, 8 - 3, "the base's thickness", id="base"),
    pytest.param({"base.least_floor": 13.5}, 18 - 13.5, "the base's thickness", id="least floor"),
    pytest.param({"plug.thickness": 8.0}, 8 - 1.5 - (2.5 - 0.5), "the plug blank's thickness", id="plug"),
    pytest.param({"plug.least_web": 5.0}, 12 - 5 - (2.5 - 0.5), "the plug blank's thickness", id="least web"),
    pytest.param(
        {"bits.v.diameter": 4.0}, (2 - 0.05) / SLOPE_30 - 2, "the cone of the plug's V-bit", id="plug's cone"
    ),
    pytest.param(
        {"bits.v.diameter": 2.0, "joint.surface_gap": 0.2},
        (1 - 0.05) / SLOPE_30,
        "the cone of the pocket's V-bit",
        id="pocket's cone",
    ),
    pytest.param(
        {"bits.v.reach": 7.0}, 7.0 - (2.5 - 0.5), "the reach of the plug's V-bit", id="plug's reach"
    ),
    pytest.param(
        {"bits.v.reach": 5.0, "joint.surface_gap": 0.2},
        5.0,
        "the reach of the pocket's V-bit",
        id="pocket's reach",
    ),
    pytest.param(
        {"bits.clearing": {**CLEARING, "reach": 6.0}},
        6.0 - (2.5 - 0.5),
        "the reach of the clearing bit '2 mm end mill'",
        id="clearing bit's reach in the plug",
    ),
    pytest.param(
        {"bits.clearing": {**CLEARING, "reach": 4.0}, "joint.surface_gap": 0.2},
        4.0,
        "the reach of the clearing bit '2 mm end mill'",
        id="clearing bit's reach in the pocket",
    ),
]


@pytest.mark.parametrize(("changes", "deepest", "why"), BOUNDS)
def test_derived_pocket_depth_is_bound(changes: dict[str, Any], deepest: float, why: str) -> None:
    found, bound = derived(changes)
    assert found == pytest.approx(math.floor(deepest * 100 + 1e-6) / 100)
    assert why in bound


def test_two_v_bits_bind_by_the_part_they_cut() -> None:
    v = {"angle": 30.0, "tip": 0.1, "diameter": 6.0, "reach": 20.0, "depth_of_cut": 2.0, "stepover": 0.12}
    two = {"bits.v": GONE, "bits.pocket_v": v, "bits.plug_v": v}
    assert derived(two)[0] == pytest.approx(QUARTER_INCH)
    found, bound = derived({**two, "bits.pocket_v": {**v, "reach": 5.0}})
    assert (found, bound) == (pytest.approx(5.0), "the reach of the pocket's V-bit")
    found, bound = derived({**two, "bits.plug_v": {**v, "reach": 5.0}})
    assert (found, bound) == (pytest.approx(3.0), "the reach of the plug's V-bit")
    found, bound = derived({**two, "bits.plug_v": {**v, "diameter": 3.0}})
    assert found == pytest.approx(math.floor(100 * ((1.5 - 0.05) / SLOPE_30 - 2)) / 100)
    assert bound == "the cone of the plug's V-bit"


@pytest.mark.parametrize("changes", [case.values[0] for case in BOUNDS], ids=[case.id for case in BOUNDS])
def test_derived_depth_keeps_every_limit(changes: dict[str, Any]) -> None:
    made = job({**DERIVED, **changes})
    found, _ = depths(made)
    slack = 1e-9
    assert found.base_floor >= made.base.least_floor - slack
    assert found.plug_web >= made.plug.least_web - slack
    assert found.pocket_depth <= made.bits.pocket_v.cone_height + slack
    assert found.plug_total_depth <= made.bits.plug_v.cone_height + slack
    for bit in (made.bits.pocket_v, made.bits.plug_v, *made.bits.clearing):
        assert max(found.pocket_depth, found.plug_total_depth) <= (bit.reach or math.inf) + slack


def test_derived_depth_is_a_whole_number_of_what_a_shop_sets() -> None:
    # an inch sheet: thousandths of an inch; one that comes out even is not lowered by rounding
    inch, _ = depths(
        job(
            {**DERIVED, "base.thickness": MM_PER_INCH * 0.325, "base.least_floor": MM_PER_INCH / 8}, unit="in"
        )
    )
    assert inch.pocket_depth / MM_PER_INCH == pytest.approx(0.200, abs=1e-12)
    odd, _ = depths(job({**DERIVED, "base.thickness": 8.0}, unit="in"))
    assert odd.pocket_depth / MM_PER_INCH == pytest.approx(
        math.floor(5 / MM_PER_INCH * 1000) / 1000, abs=1e-12
    )


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"base.thickness": 3.2}, "the base's thickness less the least floor of 3.00 mm"),
        ({"base.thickness": 2.0}, "the base's thickness"),
        ({"plug.thickness": 4.0}, "the plug blank's thickness"),
        ({"bits.v.diameter": 1.0}, "the cone of the plug's V-bit"),
        ({"bits.clearing": {**CLEARING, "reach": 2.0}}, "the reach of the clearing bit '2 mm end mill'"),
    ],
)
def test_no_depth_left_is_told_with_what_binds(changes: dict[str, Any], why: str) -> None:
    with pytest.raises(InputError) as error:
        depths(job({**DERIVED, **changes}))
    assert error.value.where == ("joint", "pocket_depth")
    assert why in error.value.problem
    assert "0.50 mm" in error.value.problem
