"""Checks of depths, stocks and bits: every status of each provoked, its value and limit by formula."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from findings import judged, message, remedy
from jobs import CLEARING, CUT_OUT, GONE, job

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding
from inlayfit.joint.depths import depths
from inlayfit.joint.schedule import schedule
from inlayfit.quantity import LengthUnit
from inlayfit.tolerance.stack import depth_stack

SLOPE_30 = math.tan(math.radians(15))
V: dict[str, Any] = {
    "angle": 30.0, "tip": 0.1, "diameter": 6.0, "reach": 20.0, "depth_of_cut": 2.0, "stepover": 0.12,
}  # fmt: skip


def two_bits(pocket: dict[str, Any] | None = None, plug: dict[str, Any] | None = None) -> dict[str, Any]:
    given = {"bits.v": GONE, "bits.pocket_v": {**V, **(pocket or {})}, "bits.plug_v": {**V, **(plug or {})}}
    for role in ("bits.pocket_v", "bits.plug_v"):
        given[role] = {key: value for key, value in given[role].items() if value is not GONE}
    return given


def facts(changes: dict[str, Any] | None = None, unit: LengthUnit = "mm") -> Facts:
    made = job(changes, unit=unit)
    nominal, _ = depths(made)
    stack = depth_stack(made, nominal)
    return Facts(job=made, depths=nominal, passes=schedule(made, nominal), outline=None, stack=stack)


def judge(check: str, changes: dict[str, Any] | None = None) -> Finding:
    finding = judged(check.replace("_", "-"), facts(changes))
    # whoever reads a finding that does not pass is told what to change; a pass asks for nothing
    assert bool(remedy(finding)) == (finding.status in ("doubtful", "fail"))
    assert message(finding)
    return finding


CHECKS = [
    "glue_gap", "surface_gap", "base_floor", "plug_web", "cone_reach", "bit_reach", "pass_load", "floor_ridges",
    "levelling",
]  # fmt: skip


@pytest.mark.parametrize("check", CHECKS)
def test_plain_job_passes_every_check_and_rests_on_nothing(check: str) -> None:
    finding = judge(check)
    assert (finding.status, finding.rests_on) == ("pass", ())


# --- gaps -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gap", "status", "limit"),
    [
        (0.0, "fail", 0.25),
        (0.1, "doubtful", 0.25),
        (0.2499, "doubtful", 0.25),
        (0.25, "pass", 0.25),
        (1.0, "pass", 0.25),
        (1.01, "doubtful", 1.0),
    ],
)
def test_glue_gap(gap: float, status: str, limit: float) -> None:
    finding = judge("glue_gap", {"joint.glue_gap": gap})
    assert (finding.status, finding.value, finding.limit) == (status, pytest.approx(gap), limit)


def test_glue_gap_under_a_ball_tips_fillet() -> None:
    ball = {"bits.v.tip": GONE, "bits.v.ball": 1.0}
    fillet = 1.0 * (1 - math.sin(math.radians(15)))
    finding = judge("glue_gap", {**ball, "joint.glue_gap": fillet - 0.01})
    assert (finding.status, finding.limit) == ("doubtful", pytest.approx(fillet))
    assert "fillet" in message(finding)
    assert judge("glue_gap", {**ball, "joint.glue_gap": fillet + 0.01}).status == "pass"
    assert judge("glue_gap", {**ball, "joint.glue_gap": 0.0}).status == "fail"


def test_glue_gap_minds_the_pocket_bits_fillet_of_two_bits() -> None:
    ball_in_pocket = two_bits(pocket={"tip": GONE, "ball": 1.0})
    assert judge("glue_gap", ball_in_pocket).status == "doubtful"


def test_glue_gap_limits_of_the_sheet() -> None:
    assert judge("glue_gap", {"limits.glue_gap": (0.6, 2.0)}).status == "doubtful"
    assert judge("glue_gap", {"limits.glue_gap": (0.1, 0.4)}).status == "doubtful"
    assert judge("glue_gap", {"limits.glue_gap": 0.1}).status == "pass"


@pytest.mark.parametrize(
    ("gap", "status"), [(0.0, "fail"), (0.5, "doubtful"), (0.99, "doubtful"), (1.0, "pass")]
)
def test_surface_gap(gap: float, status: str) -> None:
    finding = judge("surface_gap", {"joint.surface_gap": gap})
    assert (finding.status, finding.value, finding.limit) == (status, gap, 1.0)


def test_gaps_say_that_they_rest_on_assumptions() -> None:
    assert judge("glue_gap", {"joint.glue_gap": GONE}).rests_on == ("joint.glue_gap",)
    assert judge("surface_gap", {"joint.surface_gap": GONE}).rests_on == ("joint.surface_gap",)


# --- wood left ------------------------------------------------------------------------------------------------------

# worst case: 0.05 of touch-off and 0.1 of thickness
WOOD = [
    ("base_floor", "base.thickness", 9.0, 3.0),
    ("plug_web", "plug.thickness", 9.5, 1.5),
]


@pytest.mark.parametrize(("check", "key", "exact", "least"), WOOD)
@pytest.mark.parametrize(
    ("more", "status"),
    [(0.16, "pass"), (0.14, "doubtful"), (0.0, "doubtful"), (-0.01, "fail"), (-2.0, "fail")],
)
def test_wood_left(check: str, key: str, exact: float, least: float, more: float, status: str) -> None:
    finding = judge(check, {key: exact + more})
    assert (finding.status, finding.value, finding.limit) == (status, pytest.approx(least + more), least)


@pytest.mark.parametrize(("check", "key", "exact", "least"), WOOD)
def test_zeroed_on_the_bed_thickness_does_not_count(check: str, key: str, exact: float, least: float) -> None:
    # 0.06 over the least: 0.05 of touch-off fits, 0.1 of thickness on top would not
    assert judge(check, {key: exact + 0.06, "touch_off": "bed"}).status == "pass"
    assert judge(check, {key: exact + 0.06, "touch_off": "face"}).status == "doubtful"
    assert judge(check, {key: exact + 0.04, "touch_off": "bed"}).status == "doubtful"


@pytest.mark.parametrize(
    ("check", "key", "exact", "settings"),
    [
        ("base_floor", "base.thickness", 9.0, ("pocket_v", "pocket_clear")),
        ("plug_web", "plug.thickness", 9.5, ("plug_v", "plug_clear")),
    ],
)
def test_touch_off_by_setting_counts_for_its_own_part(
    check: str, key: str, exact: float, settings: tuple[str, str]
) -> None:
    every = ("pocket_v", "pocket_clear", "plug_v", "plug_clear")
    for wild in every:
        tolerance = {name: (1.0 if name == wild else 0.01) for name in every}
        finding = judge(check, {key: exact + 0.5, "tolerance.touch_off": tolerance})
        assert finding.status == ("doubtful" if wild in settings else "pass"), wild


@pytest.mark.parametrize(
    ("spread", "worst"), [(0.2, 0.2), ({"limit": 0.2}, 0.2), ({"sd": 0.1}, 0.3), ({"known": -0.4}, 0.4)]
)
def test_tolerance_as_limit_spread_or_known_error(spread: Any, worst: float) -> None:
    given = {"tolerance.touch_off": spread, "tolerance.thickness": 0.0}
    assert judge("base_floor", {**given, "base.thickness": 9.0 + worst + 0.001}).status == "pass"
    assert judge("base_floor", {**given, "base.thickness": 9.0 + worst - 0.001}).status == "doubtful"


@pytest.mark.parametrize(("check", "key"), [("base_floor", "base.thickness"), ("plug_web", "plug.thickness")])
def test_no_wood_left_is_told_as_such(check: str, key: str) -> None:
    least = {"base.least_floor": 0.0, "plug.least_web": 0.0}
    finding = judge(check, {**least, key: 5.0})
    assert finding.status == "fail"
    assert "no wood left" in message(finding)


def test_wood_left_rests_on_assumed_least_and_tolerances() -> None:
    gone = {"base.least_floor": GONE, "tolerance": GONE}
    assert judge("base_floor", gone).rests_on == ("base.least_floor",)
    close = judge("base_floor", {**gone, "base.thickness": 9.1})
    assert close.status == "doubtful"
    assert set(close.rests_on) == {"base.least_floor", "tolerance.touch_off", "tolerance.thickness"}


def test_wood_left_rests_on_a_setting_that_was_left_out() -> None:
    # only one setting of four is given; the pocket's own are assumed
    finding = judge("base_floor", {"base.thickness": 9.12, "tolerance.touch_off": {"plug_v": 0.01}})
    assert finding.status == "doubtful"
    assert "tolerance.touch_off.limit" in finding.rests_on


# --- cone and reach -------------------------------------------------------------------------------------------------


def test_cone_as_long_as_the_plugs_walls() -> None:
    # total depth 8: the cone is (D/2 - r)/T high
    exact = 2 * (8 * SLOPE_30 + 0.05)
    assert judge("cone_reach", {"bits.v.diameter": exact}).status == "pass"
    short = judge("cone_reach", {"bits.v.diameter": exact - 0.01})
    assert (short.status, short.limit) == ("fail", pytest.approx(8))
    assert short.value == pytest.approx(8 - 0.005 / SLOPE_30)
    assert "the plug's walls" in message(short)


def test_cone_as_long_as_the_pockets_walls_where_they_are_deeper() -> None:
    # surface gap 0.2 under a glue gap of 0.5: the plug is cut less deep than the pocket
    exact = 2 * (6 * SLOPE_30 + 0.05)
    given = {"joint.surface_gap": 0.2}
    assert judge("cone_reach", {**given, "bits.v.diameter": exact}).status == "pass"
    short = judge("cone_reach", {**given, "bits.v.diameter": exact - 0.01})
    assert (short.status, short.limit) == ("fail", pytest.approx(6))
    assert "the pocket's walls" in message(short)


def test_ball_tips_cone_starts_at_its_flank() -> None:
    half = math.radians(15)
    flank = 0.4 * (1 - math.sin(half)) / math.cos(half)
    exact = 2 * (8 * SLOPE_30 + flank)
    ball = {"bits.v.tip": GONE, "bits.v.ball": 0.4}
    assert judge("cone_reach", {**ball, "bits.v.diameter": exact + 0.001}).status == "pass"
    assert judge("cone_reach", {**ball, "bits.v.diameter": exact - 0.001}).status == "fail"


def test_each_of_two_bits_counts_for_its_own_part() -> None:
    for_pocket, for_plug = 2 * (6 * SLOPE_30 + 0.05), 2 * (8 * SLOPE_30 + 0.05)
    good = two_bits({"diameter": for_pocket}, {"diameter": for_plug})
    assert judge("cone_reach", good).status == "pass"
    pocket = judge("cone_reach", two_bits({"diameter": for_pocket - 0.02}, {"diameter": for_plug}))
    assert (pocket.status, pocket.limit) == ("fail", pytest.approx(6))
    plug = judge("cone_reach", two_bits({"diameter": for_pocket}, {"diameter": for_plug - 0.02}))
    assert (plug.status, plug.limit) == ("fail", pytest.approx(8))


def test_cone_on_an_assumed_diameter_is_not_checked() -> None:
    for changes, key in (
        ({"bits.v.diameter": GONE}, "bits.v.diameter"),
        (two_bits(plug={"diameter": GONE}), "bits.plug_v.diameter"),
        # the pocket's bit has more to spare than the plug's, but only if it is as large as assumed
        (two_bits({"diameter": GONE}, {"diameter": 5.0}), "bits.pocket_v.diameter"),
    ):
        finding = judge("cone_reach", changes)
        assert (finding.status, message(finding)) == ("not checked", f"needs {key}")
    # too short as it is assumed, it fails
    short = judge("cone_reach", {"bits.v.diameter": GONE, "joint.pocket_depth": 10.0})
    assert (short.status, short.rests_on) == ("fail", ("bits.v.diameter",))


@pytest.mark.parametrize(
    ("reach", "status"), [(8.6, "pass"), (8.5, "pass"), (8.4, "doubtful"), (8.0, "doubtful"), (7.9, "fail")]
)
def test_reach_of_the_v_bit(reach: float, status: str) -> None:
    finding = judge("bit_reach", {"bits.v.reach": reach})
    assert (finding.status, finding.value, finding.limit) == (status, reach, pytest.approx(8))


def test_reach_of_every_bit_counts() -> None:
    assert judge("bit_reach", {"bits.clearing": {**CLEARING, "reach": 7.0}}).status == "fail"
    assert (
        judge("bit_reach", {"bits.cut_out": {**CUT_OUT, "reach": 12.1}}).status == "fail"
    )  # 12 and 0.2 through
    assert judge("bit_reach", {"bits.cut_out": {**CUT_OUT, "reach": 12.3}}).status == "doubtful"
    assert (
        judge("bit_reach", {"bits.cut_out": {**CUT_OUT, "reach": 12.1}, "plug.cut_out": False}).status
        == "pass"
    )
    several = ({**CLEARING, "reach": 30.0}, {**CLEARING, "diameter": 5.0, "name": "short one", "reach": 5.0})
    finding = judge("bit_reach", {"bits.clearing": several})
    assert finding.status == "fail"
    assert "short one" in message(finding)


def test_reach_of_two_v_bits() -> None:
    assert judge("bit_reach", two_bits({"reach": 6.5}, {"reach": 8.5})).status == "pass"
    assert judge("bit_reach", two_bits({"reach": 5.9}, {"reach": 8.5})).status == "fail"
    assert judge("bit_reach", two_bits({"reach": 6.5}, {"reach": 7.9})).status == "fail"


def test_levelling_needs_no_reach() -> None:
    assert judge("bit_reach", {"bits.levelling.reach": 0.5}).status == "pass"
    assert judge("bit_reach", {"bits.levelling.reach": GONE}).status == "pass"


def test_unknown_reach_is_not_checked_unless_another_is_too_short() -> None:
    unknown = judge("bit_reach", {"bits.v.reach": GONE})
    assert (unknown.status, message(unknown)) == ("not checked", "needs bits.v.reach")
    assert (
        judge("bit_reach", {"bits.v.reach": GONE, "bits.clearing": {**CLEARING, "reach": 7.0}}).status
        == "fail"
    )
    every = {"bits.v.reach": GONE, "bits.clearing.reach": GONE, "bits.cut_out.reach": GONE}
    keys = "needs bits.clearing.reach and bits.v.reach and bits.cut_out.reach"
    assert message(judge("bit_reach", every)) == keys
    two = two_bits({"reach": GONE}, {"reach": 9.0})
    assert message(judge("bit_reach", two)) == "needs bits.pocket_v.reach"
    several = ({**CLEARING, "reach": 30.0}, {**CLEARING, "diameter": 5.0, "name": "5 mm bit", "reach": None})
    assert message(judge("bit_reach", {"bits.clearing": several})) == "needs the reach of 5 mm bit"


def test_limit_of_reach_to_spare() -> None:
    assert judge("bit_reach", {"bits.v.reach": 8.2, "limits.bit_reach": 0.1}).status == "pass"
    assert judge("bit_reach", {"bits.v.reach": 10.0, "limits.bit_reach": 3.0}).status == "doubtful"


# --- loads ----------------------------------------------------------------------------------------------------------


def test_heaviest_pass_is_told() -> None:
    # plug 8 in 4 passes of 2, the V-bit's whole depth of cut
    finding = judge("pass_load", {"bits.clearing": {**CLEARING, "depth_of_cut": 5.0}})
    assert (finding.value, finding.limit) == (pytest.approx(2.0), 2.0)


def test_assumed_depth_of_cut_is_not_checked() -> None:
    finding = judge("pass_load", {"bits.v.depth_of_cut": GONE})
    assert (finding.status, message(finding)) == ("not checked", "needs bits.v.depth_of_cut")
    several = ({"diameter": 3.0}, {"diameter": 5.0, "depth_of_cut": 2.0})
    finding = judge("pass_load", {"bits.clearing": several})
    assert (finding.status, message(finding)) == ("not checked", "needs bits.clearing[1].depth_of_cut")


def test_overloaded_pass_fails() -> None:
    # no schedule of ours overloads a bit, so a pass is made to
    plain = facts()
    heavy = replace(plain.passes[0], load=plain.passes[0].cutter.depth_of_cut + 0.1)
    finding = judged("pass-load", replace(plain, passes=(heavy, *plain.passes[1:])))
    assert finding.status == "fail"
    assert finding.value == pytest.approx(1.6)


# --- floor and levelling --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.4, 0.501, 0.9, 1.001])
def test_ridges_of_a_flat_tip(share: float) -> None:
    # ridge (s - 2 r)/(2 T) as a share of the glue gap of 0.5
    stepover = 2 * SLOPE_30 * share * 0.5 + 0.1
    finding = judge("floor_ridges", {"bits.v.stepover": stepover})
    assert finding.status == ("pass" if share <= 0.5 else "doubtful" if share < 1 else "fail")
    assert (finding.value, finding.limit) == (pytest.approx(share * 0.5), 0.5)


def test_ridges_of_a_ball_tip() -> None:
    ball = {"bits.v.tip": GONE, "bits.v.ball": 0.5, "bits.v.stepover": 0.6, "joint.glue_gap": 0.3}
    ridge = 0.5 - math.sqrt(0.5**2 - 0.6**2 / 4)
    finding = judge("floor_ridges", ball)
    assert finding.value == pytest.approx(ridge)
    assert finding.status == "pass"
    assert judge("floor_ridges", {**ball, "joint.glue_gap": 1.5 * ridge}).status == "doubtful"


def test_ridges_of_each_bit_against_its_own_gap() -> None:
    # (s - 2 r) / 2 T: 1.0 wide leaves more than the glue gap, and less than half the surface gap
    assert judge("floor_ridges", two_bits(plug={"stepover": 0.5})).status == "pass"
    assert judge("floor_ridges", two_bits(pocket={"stepover": 0.5})).status == "fail"
    plug = judge("floor_ridges", two_bits(plug={"stepover": 3.0}))
    assert (plug.status, plug.limit) == ("fail", 2.5)
    assert "surface gap 2.50 mm" in message(plug)
    assert judge("floor_ridges", two_bits(pocket={"stepover": 3.0})).status == "fail"
    assert judge("floor_ridges", two_bits(pocket={"stepover": GONE})).rests_on == ("bits.pocket_v.stepover",)


def test_ridges_limit_of_the_sheet() -> None:
    assert judge("floor_ridges", {"limits.floor_ridges": 0.01}).status == "doubtful"


@pytest.mark.parametrize(
    ("level_below", "sanding", "status"),
    [
        (0.25, 0.25, "pass"),
        (4.0, 0.5, "pass"),  # 5.5 of inlay: 1.0 left
        (4.3, 0.25, "doubtful"),
        (0.25, 4.5, "doubtful"),
        (5.5, 0.0, "fail"),
        (6.0, 0.0, "fail"),
    ],
)
def test_inlay_left_after_levelling(level_below: float, sanding: float, status: str) -> None:
    finding = judge("levelling", {"joint.level_below": level_below, "joint.sanding": sanding})
    assert (finding.status, finding.limit) == (status, 1.0)
    assert finding.value == pytest.approx(5.5 - level_below - sanding)


def test_sanding_through_the_inlay_fails() -> None:
    finding = judge("levelling", {"joint.level_below": 1.0, "joint.sanding": 5.0})
    assert finding.status == "fail"
    assert "sanding 5.00 mm" in message(finding)


def test_levelling_rests_on_assumptions() -> None:
    gone = {"joint.level_below": GONE, "joint.sanding": GONE}
    assert judge("levelling", gone).rests_on == ("joint.level_below", "joint.sanding")


def test_messages_are_in_the_sheets_unit() -> None:
    finding = judged("glue-gap", facts())
    assert finding == judged("glue-gap", facts(unit="in"))
    assert "0.50 mm" in message(finding)
    assert "0.020 in" in message(finding, "in")


def test_cone_and_ridges_go_by_the_real_bit_where_that_is_worse() -> None:
    # (D/2 - r) / T with the measured angle; max(0, s - 2 r) / 2 T with the measured tip
    cone = judge("cone_reach", {"bits.v.diameter": 4.4, "bits.v.measured": {"angle": 32.0}})
    assert cone.value == pytest.approx((2.2 - 0.05) / math.tan(math.radians(16)))
    ridge = judge("floor_ridges", {"bits.v.stepover": 0.3, "bits.v.measured": {"tip": 0.05}})
    assert ridge.value == pytest.approx((0.3 - 0.05) / 2 / math.tan(math.radians(15)))
