"""The dry fit: what readings mean, tilt, causes, cuts, and readings that cannot be."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from jobs import GONE, job
from outlines import outline_of, plus

from inlayfit.dryfit.answer import DryFit, dry_fit
from inlayfit.dryfit.cuts import Stop
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
    assert found.no_cut is not None
    assert found.no_cut.reason == "as expected"
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
    plug, base, new = found.corrections
    assert plug.start_depth == pytest.approx(S + found.excess)
    assert plug.depth_below_start == pytest.approx(U - found.excess)
    assert plug.total_depth == pytest.approx(S + U)
    assert base.zero_shift == pytest.approx(-found.excess)
    for cut in (plug, base):
        assert cut.glue_gap_after == pytest.approx(G + cut.lift_after)
        assert cut.surface_gap_after == pytest.approx(U + cut.lift_after)
    # which part is to blame is open: a new plug starts from the sheet's numbers
    assert (new.start_depth, new.depth_below_start) == (S, U)


def test_excess_as_large_as_the_cut_below_the_start_cannot_be_mended_on_the_plug() -> None:
    found = answer(gap(U + 2.4), held="plug")
    assert [cut.step for cut in found.ruled_out] == ["walls"]
    assert found.ruled_out[0].stop == Stop("own floor")


@pytest.mark.parametrize(
    ("changes", "lift", "words"),
    [
        ({"base.thickness": 9.5}, 0.8, "least floor"),
        ({"bits.v.diameter": 4.42}, 2.4, "cone"),
        ({"bits.v.reach": 8.3}, 0.8, ""),
        ({"bits.v.reach": 6.4}, 0.8, "reach"),
        ({}, 2.3, "larger"),
    ],
)
def test_pocket_goes_no_deeper_than_base_and_bit_allow(changes: dict[str, Any], lift: float, words: str) -> None:
    found = answer(gap(U + lift), held="base", changes=changes, outline=None)
    stops = [cut.stop.obstacle for cut in found.ruled_out if cut.part == "base" and cut.stop is not None]
    assert stops == ([words] if words else [])


def test_sunk_plug_on_its_walls_is_left_alone() -> None:
    found = answer(gap(U - 0.3), held="both")
    assert found.corrections == ()
    assert found.no_cut is not None
    assert found.no_cut.reason == "sunk"
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
    short = answer(gap(U - G), held="base", changes={"bits.clearing.reach": F + 0.2})
    assert short.corrections == ()
    assert [cut.stop and cut.stop.obstacle for cut in short.ruled_out] == ["clearing reach"]
    lost = answer(gap(U - G), held="plug")
    assert lost.corrections == ()
    assert lost.no_cut is not None
    assert lost.no_cut.reason == "loose, base not held"
    assert not lost.mends


def test_strokes_that_end_in_a_v_have_no_glue_gap() -> None:
    from inlayfit.report.dryfit_data import dryfit_data
    from inlayfit.report.dryfit_text import dryfit_text

    stroke = outline_of([shapely.box(0, 0, 60, 2)])
    made = plan(job(WOODS), stroke)
    found = dry_fit(made, [gap(U - 0.7)], "both")
    assert not found.has_floor
    assert not found.on_floor
    assert "glue gap" not in dryfit_text(found, made)
    data = dryfit_data(found, made, sheet="stroke.yaml", inputs={})
    assert "glue_gap" not in data
    proud = dryfit_data(dry_fit(made, [gap(U + 0.7)], "both"), made, sheet="stroke.yaml", inputs={})
    assert proud["corrections"]
    assert "glue_gap_after" not in proud["corrections"][0]


def test_crooked_plug_is_not_cut() -> None:
    readings = [gap(U + 0.2, (0, 0)), gap(U + 1.6, (30, 0)), gap(U + 1.6, (30, 30)), gap(U + 0.2, (0, 30))]
    found = answer(*readings, held="both")
    assert found.corrections == ()
    assert found.no_cut is not None
    assert found.no_cut.reason == "crooked"
    assert not found.as_expected


def test_crooked_by_less_than_what_is_expected_is_crooked_all_the_same() -> None:
    # level in the middle, and out of level by 0.46 across
    readings = [gap(U - 0.2, (0, 0)), gap(U + 0.26, (10, 0)), gap(U + 0.26, (10, 10)), gap(U - 0.2, (0, 10))]
    found = answer(*readings, held="both")
    assert found.level.crooked
    assert not found.as_expected
    assert found.no_cut is not None
    assert found.no_cut.reason == "crooked"


def test_kinds_of_readings_that_differ_make_no_plug_crooked() -> None:
    found = answer(gap(U + 0.05), gap(U + 0.06), Reading(kind="above", value=PLUG - S + 0.4), held="both")
    assert not found.level.crooked
    assert found.level.spread == pytest.approx(0.01)


# --- on a floor ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lift", [-0.3, 0.0, 0.4])
def test_measured_floor_that_carries_the_plug_is_deepened(lift: float) -> None:
    # the plug's face is on the floor, whatever the sign of what is read
    found = answer(gap(U + lift), held="both", pocket=F - G - lift)
    assert found.on_floor
    assert found.glue_gap == pytest.approx(0.0, abs=1e-9)
    (cut,) = found.corrections
    assert (cut.part, cut.step, cut.total_depth) == ("base", "clear", F)
    assert cut.glue_gap_after == pytest.approx(G, abs=0.01)
    assert not cut.brings_home
    gone = answer(gap(U + lift), held="plug", pocket=F - G - lift)
    assert gone.corrections == ()
    assert gone.no_cut is not None
    assert gone.no_cut.reason == "floor, base not held"


def test_plugs_own_floor_on_the_base_is_cleared_again() -> None:
    # cleared as if from the face: 1.5 of surface gap is left of a floor that is 3.5 too shallow
    found = answer(gap(0.0), Reading(kind="above", value=PLUG - S + 1.0), held="plug", plug=S + 1.0 - 2.0)
    assert found.diagnosis.hold == "own floor"
    cut = found.corrections[0]
    assert (cut.part, cut.step, cut.total_depth) == ("plug", "clear", S + U)
    assert cut.surface_gap_after == pytest.approx(U, abs=0.05)


def test_start_left_out_is_put_right_by_the_sheets_numbers_and_not_on_the_pocket() -> None:
    found = answer(gap(U + S), held="both")
    assert found.diagnosis.causes[0].code == "start_at_0"
    plug = found.corrections[0]
    assert (plug.part, plug.step) == ("plug", "walls")
    assert (plug.start_depth, plug.depth_below_start) == pytest.approx((S, U))
    assert [cut.part for cut in found.ruled_out] == ["base"]


# --- causes ----------------------------------------------------------------------------------------------------------


def weights(found: DryFit) -> dict[str, float]:
    return {cause.code: cause.weight for cause in found.diagnosis.causes}


def test_small_excess_is_shared_out_by_the_variances_of_what_it_sees() -> None:
    found = answer(gap(U + 0.2), outline=None)
    assert found.diagnosis.slips == ()
    told = weights(found)
    assert sum(told.values()) == pytest.approx(1, abs=0.1)
    assert list(told.values()) == sorted(told.values(), reverse=True)
    # warp within 0.1 of the base weighs more than a touch-off within 0.05; that of the plug's blank shows in no gap
    assert told["base_warp"] > told["plug_v"]
    assert told.get("plug_warp", 0.0) < 0.02
    assert {cause.rank for cause in found.diagnosis.causes} <= {"likely", "possible", "unlikely"}


@pytest.mark.parametrize(
    ("changes", "reading", "unseen", "shown_by"),
    [
        ({}, gap(U + 0.3), "plug_warp", "above"),
        ({}, gap(U + 0.3), "pocket_clear", "pocket"),
        # the V-bit alone clears: what it runs too deep on the plug lowers the plug and its floor alike
        ({"bits.clearing": GONE, "tolerance.touch_off": 0.1}, gap(U + 0.3), "plug_v", "above"),
        ({"touch_off": "bed"}, Reading(kind="above", value=PLUG - S + 0.3), "plug_thickness", "plug"),
    ],
)
def test_what_moves_seat_and_reading_alike_weighs_nothing_and_is_told(
    changes: dict[str, Any], reading: Reading, unseen: str, shown_by: str
) -> None:
    found = answer(reading, outline=None, changes=changes)
    assert weights(found).get(unseen, 0.0) < 0.03
    told = {entry.code: entry for entry in found.diagnosis.unseen}
    assert told[unseen].harm >= 0.05
    assert told[unseen].shown_by == shown_by
    # nor does a reading that shows it say so
    other = Reading(kind="above", value=PLUG - S + 0.3) if reading.kind == "gap" else gap(U + 0.3)
    both = answer(reading, other, outline=None, changes=changes, pocket=F, plug=S + U)
    assert unseen not in {entry.code for entry in both.diagnosis.unseen}


def test_causes_depend_on_the_reading() -> None:
    first = {
        name: found.diagnosis.causes[0].code
        for name, found in {
            "proud": answer(gap(U + 0.8), outline=None),
            "start left out": answer(gap(U + S), outline=None),
            "floor deep": answer(gap(U + 0.8), Reading(kind="above", value=PLUG - S), outline=None),
            "floor shallow": answer(gap(U + 0.4), outline=None, pocket=F - G - 0.4),
            "board": answer(gap(U), Reading(kind="above", value=PLUG - S + 0.8), outline=None),
        }.items()
    }
    assert first == {
        "proud": "plug_v", "start left out": "start_at_0", "floor deep": "plug_clear", "floor shallow": "pocket_clear",
        "board": "plug_thickness",
    }  # fmt: skip


def test_readings_that_would_tell_causes_apart_are_told_with_what_they_would_read() -> None:
    telling = answer(gap(U + 0.8), outline=None).diagnosis.telling
    assert telling is not None
    assert telling.test == "above"
    reads = dict(telling.readings)
    # proud by 0.8: its back stands higher; its own floor too deep: it does not
    assert reads["plug_v"] == pytest.approx(PLUG - S + 0.8, abs=0.1)
    assert reads["plug_clear"] == pytest.approx(PLUG - S, abs=0.2)
    # with those two read what is left is told apart at the bench
    more = answer(gap(U + 0.8), Reading(kind="above", value=PLUG - S + 0.8), outline=None, pocket=F, plug=S + U)
    assert more.diagnosis.telling is not None
    assert more.diagnosis.telling.test == "mouth"


def test_runout_is_blamed_only_for_a_sunk_plug() -> None:
    shop = {"tolerance.runout": 0.1}
    low, high = (answer(gap(U + off), outline=None, changes=shop) for off in (-0.25, 0.4))
    assert "runout" in weights(low)
    assert "runout" not in weights(high)


def test_hand_and_wood_take_their_share_from_touch_off() -> None:
    # a wide flat holds the plug up in corners by what the hand does not crush
    soft = answer(gap(U + 0.6), outline=None, changes={"bits.v.tip": 0.3})
    sure = answer(gap(U + 0.3), outline=None, changes={"bits.v.tip": 0.02})
    assert weights(soft).get("hand", 0.0) > weights(sure).get("hand", 0.0)


def test_more_than_the_tolerances_explain_is_a_slip() -> None:
    assert answer(gap(U + 2.0), outline=None).diagnosis.slips
    assert not answer(gap(U + 0.2), outline=None).diagnosis.slips


def test_looser_touch_off_is_blamed_more() -> None:
    loose = answer(gap(U + 0.4), outline=None, changes={"tolerance.touch_off": {"limit": 0.05, "plug_v": 0.3}})
    assert loose.diagnosis.causes[0].code == "plug_v"
    assert loose.diagnosis.causes[0].rank == "likely"


def test_bed_zero_brings_thickness_among_the_causes() -> None:
    face, bed = (answer(gap(U + 0.25), outline=None, changes={"touch_off": zero}) for zero in ("face", "bed"))
    assert "base_thickness" in weights(bed)
    assert "base_thickness" not in weights(face)


def test_another_bit_is_told_with_its_angle() -> None:
    found = answer(gap(U - G), held="base", outline=None, pocket=F)
    angles = {cause.angle for cause in found.diagnosis.causes if cause.code.startswith("other_angle")}
    assert 60.0 in angles
    assert 20.0 not in angles


def test_ball_tip_is_answered_too() -> None:
    found = answer(gap(U + 0.8), held="plug", changes={"bits.v.tip": GONE, "bits.v.ball": 0.3})
    assert found.corrections[0].step == "walls"


@pytest.mark.parametrize(
    ("pocket", "plug", "words"),
    [(18.5, None, "--pocket: found 18.50 mm, expected less than the base's thickness"),
     (None, 12.0, "--plug: found 12.00 mm, expected less than the thickness of the plug's blank")],
)  # fmt: skip
def test_depths_deeper_than_their_boards_are_refused(pocket: float | None, plug: float | None, words: str) -> None:
    with pytest.raises(InputError) as error:
        answer(gap(U), pocket=pocket, plug=plug)
    assert words in str(error.value)
