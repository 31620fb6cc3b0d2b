"""The dry fit: what readings mean, tilt, causes, cuts, and readings that cannot be."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import GONE, job
from outlines import plus

from inlayfit.dryfit.answer import DryFit, dry_fit
from inlayfit.dryfit.causes import causes
from inlayfit.dryfit.readings import level, lift_of, reading_of
from inlayfit.errors import InputError
from inlayfit.joint.depths import depths
from inlayfit.joint.reading import MeasuredDepths, Reading
from inlayfit.plan import plan

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}
F, G, U, BASE, PLUG = 6.0, 0.5, 2.5, 18.0, 12.0  # of the plain job
S = F - G
OUTLINE = plus()


def answer(
    *readings: Reading, held: Any = "none", changes: dict[str, Any] | None = None, outline: Any = OUTLINE,
    pocket: float | None = None, plug: float | None = None,
) -> DryFit:  # fmt: skip
    made = plan(job({**WOODS, **(changes or {})}), outline)
    return dry_fit(made, readings, held, MeasuredDepths(pocket=pocket, plug=plug))


def gap(value: float, at: tuple[float, float] | None = None) -> Reading:
    return Reading(kind="gap", value=value, at=at)


# --- readings --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "value"), [("gap", U + 0.3), ("above", PLUG - S + 0.3), ("over", BASE + PLUG - S + 0.3)]
)
def test_each_kind_means_the_same_lift(kind: Any, value: float) -> None:
    this = job()
    nominal = depths(this)[0]
    reading = Reading(kind=kind, value=value)
    assert lift_of(reading, this, nominal, MeasuredDepths()) == pytest.approx(0.3)
    assert reading_of(kind, 0.3, this, nominal) == pytest.approx(value)


def test_measured_plug_depth_takes_its_floors_error_out() -> None:
    this = job()
    nominal = depths(this)[0]
    # the plug's own floor was cleared 0.2 too deep, which the gap shows as if the plug stood higher
    found = lift_of(gap(U + 0.5), this, nominal, MeasuredDepths(plug=S + U + 0.2))
    assert found == pytest.approx(0.3)


def test_plane_through_three_readings() -> None:
    this = job()
    nominal = depths(this)[0]
    places = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)]
    readings = [gap(U + 0.1 + 0.01 * x - 0.005 * y, (x, y)) for x, y in places]
    found = level(readings, this, nominal, MeasuredDepths(), (30.0, 20.0))
    assert found.slope == pytest.approx((0.01, -0.005))
    assert found.lift == pytest.approx(0.1 + 0.15 - 0.05)
    assert found.tilt_deg == pytest.approx(math.degrees(math.atan(math.hypot(0.01, 0.005))))
    assert found.across == pytest.approx(0.3 + 0.1)


@pytest.mark.parametrize("places", [[(0, 0), (10, 0)], [(0, 0), (10, 5), (20, 10)], [(5, 5)] * 3])
def test_places_in_a_line_give_no_tilt(places: list[tuple[float, float]]) -> None:
    this = job()
    readings = [gap(U + 0.1, place) for place in places]
    found = level(readings, this, depths(this)[0], MeasuredDepths(), (30.0, 20.0))
    assert found.tilt_deg is None
    assert found.lift == pytest.approx(0.1)


def test_more_readings_are_surer() -> None:
    this = job()
    nominal = depths(this)[0]
    one, four = (level([gap(U)] * count, this, nominal, MeasuredDepths(), None) for count in (1, 4))
    assert four.lift_u < one.lift_u
    measured = level([gap(U)] * 4, this, nominal, MeasuredDepths(plug=S + U), None)
    assert measured.lift_u < four.lift_u


# --- readings that cannot be -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (gap(-0.2), "expected 0 or more"),
        (gap(U + S + 0.6), "expected at most 8.00 mm: above that the plug is not in its pocket at all"),
        (gap(U - G - 0.6), "expected 2.00 mm or more, where the plug's face is on the pocket's floor"),
        (Reading(kind="above", value=PLUG - S - G - 0.6), "expected 6.00 mm or more"),
        (Reading(kind="over", value=12.0), "expected 24.00 mm or more"),
        (gap(0.1), "(bare numbers are in millimetres here: probably 0.1 in was meant)"),
    ],
)
def test_what_the_geometry_cannot_produce_is_said_to_be_so(reading: Reading, words: str) -> None:
    with pytest.raises(InputError) as error:
        answer(reading)
    assert words in str(error.value)


def test_deeper_pocket_explains_a_low_reading() -> None:
    low = gap(U - G - 0.8)
    with pytest.raises(InputError, match="give --pocket"):
        answer(low)
    found = answer(low, pocket=F + 1.0)
    assert found.glue_gap == pytest.approx(0.2)


def test_no_reading_is_a_mistake() -> None:
    with pytest.raises(InputError, match="expected --gap, --above or --over"):
        answer()


# --- how it sits -----------------------------------------------------------------------------------------------------


def test_expected_lift_is_that_of_a_hand() -> None:
    made = plan(job(WOODS), OUTLINE)
    assert made.facts.seat is not None
    found = answer(gap(U))
    assert found.expected == tuple(sorted(made.facts.seat.by_hand))
    assert found.excess == pytest.approx(-sum(found.expected) / 2)


def test_perfect_pair_needs_no_cut() -> None:
    found = answer(gap(U + sum(answer(gap(U)).expected) / 2), held="both")
    assert found.as_expected
    assert found.corrections == ()
    assert "cut nothing" in found.reason
    assert found.mends


def test_gaps_and_joint_line_as_it_sits() -> None:
    found = answer(gap(U + 0.8))
    assert found.glue_gap == pytest.approx(G + 0.8)
    assert found.surface_gap == pytest.approx(U + 0.8)
    slope = math.tan(math.radians(15))
    assert found.joint_line[1] - found.joint_line[0] == pytest.approx(found.excess * slope)


def test_without_an_outline_the_sharpest_corner_bounds_what_is_expected() -> None:
    found = answer(gap(U + 0.8), outline=None)
    assert found.expected == pytest.approx((0.0, 0.05 / math.tan(math.radians(15))))
    assert found.corrections


# --- cuts ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("held", "steps"),
    [
        ("plug", [("plug", "walls"), ("plug", "new plug")]),
        ("base", [("base", "walls"), ("plug", "new plug")]),
        ("both", [("plug", "walls"), ("base", "walls"), ("plug", "new plug")]),
        ("none", [("plug", "new plug")]),
    ],
)
def test_what_is_still_held_decides_what_can_be_cut(held: str, steps: list[tuple[str, str]]) -> None:
    found = answer(gap(U + 0.8), held=held)
    assert [(cut.part, cut.step) for cut in found.corrections] == steps
    assert found.mends == (held != "none")


def test_numbers_to_type() -> None:
    found = answer(gap(U + 0.8), held="both")
    plug, base, _ = found.corrections
    assert plug.start_depth == pytest.approx(S + found.excess)
    assert plug.depth_below_start == pytest.approx(U - found.excess)
    assert plug.total_depth == pytest.approx(S + U)
    assert base.zero_shift == pytest.approx(-found.excess)
    for cut in (plug, base):
        assert cut.glue_gap_after == pytest.approx(G + cut.lift_after)
        assert cut.surface_gap_after == pytest.approx(U + cut.lift_after)


def test_excess_as_large_as_the_cut_below_the_start_cannot_be_mended_on_the_plug() -> None:
    found = answer(gap(U + 2.4), held="plug")
    assert [cut.step for cut in found.ruled_out] == ["walls"]
    assert "as much as the plug is cut below its start" in found.ruled_out[0].stops


@pytest.mark.parametrize(
    ("changes", "lift", "words"),
    [
        ({"base.thickness": 9.5}, 0.8, "less wood under the pocket than the least floor"),
        ({"bits.v.diameter": 4.42}, 2.4, "cone is too short"),
        ({"bits.v.reach": 8.3}, 0.8, ""),
        ({"bits.v.reach": 6.4}, 0.8, "does not reach so deep"),
    ],
)
def test_pocket_goes_no_deeper_than_base_and_bit_allow(changes: dict[str, Any], lift: float, words: str) -> None:
    found = answer(gap(U + lift), held="base", changes=changes, outline=None)
    stops = [cut.stops for cut in found.ruled_out if cut.part == "base"]
    assert (words in stops[0]) if words else stops == []


def test_sunk_plug_on_its_walls_is_left_alone() -> None:
    found = answer(gap(U - 0.3), held="both")
    assert found.corrections == ()
    assert "a taper that sinks stays closed" in found.reason
    assert found.mends


def test_plug_on_the_floor_gets_a_deeper_pocket() -> None:
    found = answer(gap(U - G), held="base")
    assert found.on_floor
    (cut,) = found.corrections
    assert (cut.part, cut.step) == ("base", "clear and walls")
    assert cut.total_depth is not None
    assert cut.total_depth > F + G
    # it closes below where it lay, with some glue gap left again
    assert cut.lift_after < -G
    assert cut.glue_gap_after == pytest.approx(cut.total_depth - S + cut.lift_after)
    assert cut.surface_gap_after == pytest.approx(U + cut.lift_after)
    assert cut.clearing_offset == pytest.approx(cut.total_depth * math.tan(math.radians(15)))
    lost = answer(gap(U - G), held="plug")
    assert lost.corrections == ()
    assert "no longer on its zero" in lost.reason
    assert not lost.mends


def test_crooked_plug_is_not_cut() -> None:
    readings = [gap(U + 0.2, (0, 0)), gap(U + 1.6, (30, 0)), gap(U + 1.6, (30, 30)), gap(U + 0.2, (0, 30))]
    found = answer(*readings, held="both")
    assert found.corrections == ()
    assert "sits crooked" in found.reason


# --- causes ----------------------------------------------------------------------------------------------------------


def test_weights_are_shares_of_the_variance() -> None:
    found = answer(gap(U + 0.4), outline=None)
    assert sum(entry.weight for entry in found.causes) == pytest.approx(1)
    assert [entry.weight for entry in found.causes] == sorted((entry.weight for entry in found.causes), reverse=True)
    by_name = {entry.cause: entry.weight for entry in found.causes}
    # touch-off within 0.05 against warp within 0.1: a quarter of its variance
    assert by_name["pocket_v"] == pytest.approx(by_name["base_warp"] / 4)
    assert {entry.rank for entry in found.causes} <= {"likely", "possible", "unlikely"}


def test_runout_is_blamed_only_for_a_sunk_plug() -> None:
    low, high = answer(gap(U - 0.3), outline=None), answer(gap(U + 0.4), outline=None)
    assert "runout" in {entry.cause for entry in low.causes}
    assert "runout" not in {entry.cause for entry in high.causes}


def test_hand_and_wood_take_their_share_from_touch_off() -> None:
    contributions = plan(job()).facts.stack
    assert contributions is not None
    off = contributions.contributions
    soft, sure = (
        {entry.cause: entry.weight for entry in causes(off, excess=0.3, hand_u=u, reading_u=0.03)} for u in (0.2, 0.0)
    )
    assert soft["hand"] > 0.5
    assert "hand" not in sure
    assert soft["plug_v"] < sure["plug_v"]


def test_more_than_the_tolerances_explain_is_a_slip() -> None:
    assert answer(gap(U + 2.0), outline=None).slip
    assert not answer(gap(U + 0.2), outline=None).slip


def test_tighter_touch_off_is_blamed_less() -> None:
    loose = answer(gap(U + 0.4), outline=None, changes={"tolerance.touch_off": {"limit": 0.05, "plug_v": 0.3}})
    assert loose.causes[0].cause == "plug_v"
    assert loose.causes[0].rank == "likely"


def test_bed_zero_brings_thickness_among_the_causes() -> None:
    found = answer(gap(U + 0.4), outline=None, changes={"touch_off": "bed"})
    assert {"base_thickness", "plug_thickness"} <= {entry.cause for entry in found.causes}


def test_ball_tip_is_answered_too() -> None:
    found = answer(gap(U + 0.8), held="plug", changes={"bits.v.tip": GONE, "bits.v.ball": 0.3})
    assert found.corrections[0].step == "walls"
