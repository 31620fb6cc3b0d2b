"""From a sheet's values to a job: what is filled in, told as assumed, or refused."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import CLEARING, GONE, PLAIN, changed, job

from inlayfit.checks.depth_checks import GLUE_GAP, LEVELLING, SURFACE_GAP
from inlayfit.checks.outline_checks import LEAST_INLAY, LEAST_RIB
from inlayfit.errors import InputErrors
from inlayfit.joint.job import Job
from inlayfit.quantity import MM_PER_INCH, LengthUnit
from inlayfit.sheet.defaults import job_from_values
from inlayfit.sheet.keytypes import Share

LEAST: dict[str, Any] = {
    "base": {"thickness": 18.0},
    "plug": {"thickness": 12.0},
    "bits": {"v": {"angle": 30.0}},
}
V: dict[str, Any] = PLAIN["bits"]["v"]


def least(changes: dict[str, Any] | None = None, unit: LengthUnit = "mm", *, unit_given: bool = True) -> Job:
    return job_from_values(changed(LEAST, changes or {}), unit=unit, unit_given=unit_given, title="lid")


def assumed(made: Job) -> dict[str, float | str]:
    return {entry.key: entry.value for entry in made.assumed}


def mistakes(changes: dict[str, Any]) -> list[tuple[tuple[str, ...], str]]:
    with pytest.raises(InputErrors) as error:
        job(changes)
    return [(mistake.where, mistake.problem) for mistake in error.value.mistakes]


def test_plain_sheet_assumes_nothing() -> None:
    assert job().assumed == ()


# round figures in the sheet's own unit: mm, inches
ROUND = {
    "base.least_floor": (3.0, 1 / 8),
    "plug.border": (6.0, 1 / 4),
    "plug.least_web": (1.5, 1 / 16),
    "joint.glue_gap": (0.5, 0.02),
    "joint.surface_gap": (2.5, 0.1),
    "joint.level_below": (0.25, 0.01),
    "joint.sanding": (0.25, 0.01),
    "bits.v.diameter": (6.0, 1 / 4),
}


@pytest.mark.parametrize("key", ROUND)
def test_what_is_left_out_is_a_round_figure_of_the_sheets_unit(key: str) -> None:
    mm, inches = ROUND[key]
    assert assumed(least())[key] == mm
    assert assumed(least(unit="in"))[key] == pytest.approx(inches * MM_PER_INCH)


def test_assumed_values_are_the_values_used() -> None:
    made = least()
    told = assumed(made)
    assert told["base.least_floor"] == made.base.least_floor
    assert told["plug.border"] == made.plug.border
    assert told["plug.least_web"] == made.plug.least_web
    for name in ("glue_gap", "surface_gap", "level_below", "sanding"):
        assert told[f"joint.{name}"] == getattr(made.joint, name)
    assert told["bits.v.diameter"] == made.bits.pocket_v.diameter
    assert told["bits.v.tip"] == 2 * made.bits.pocket_v.shape.tip_radius
    assert told["bits.v.depth_of_cut"] == made.bits.pocket_v.depth_of_cut == 6.0 / 2
    assert told["bits.v.stepover"] == 0.02
    assert made.bits.pocket_v.stepover == pytest.approx(0.02 * 6.0)
    assert told["touch_off"] == made.touch_off == "face"
    assert told["tolerance.touch_off"] == made.tolerance.pocket_v.worst == made.tolerance.plug_clear.worst == 0.05
    for name in ("angle", "tip", "runout", "warp", "thickness"):
        assert told[f"tolerance.{name}"] == getattr(made.tolerance, name).value
    assert told["bits.clearing"] == "none"
    assert made.bits.clearing == ()
    assert all(entry.why for entry in made.assumed)
    assert len(told) == len(made.assumed)


@pytest.mark.parametrize("key", [key for key in ROUND if key != "bits.v.diameter"])
def test_a_given_value_is_not_assumed(key: str) -> None:
    made = least({key: 0.75})
    assert key not in assumed(made)
    section, name = key.split(".")
    assert getattr(getattr(made, section), name) == 0.75
    assert not made.is_assumed(key)
    assert least().is_assumed(key)


def test_zero_is_a_value() -> None:
    made = least({"joint.sanding": 0.0, "bits.v.tip": 0.0, "plug.through": 0.0})
    assert made.joint.sanding == 0
    assert made.plug.through == 0
    assert "joint.sanding" not in assumed(made)
    assert "bits.v.tip" not in assumed(made)


def test_unit_that_no_one_gave_is_told() -> None:
    assert assumed(least(unit_given=False))["unit"] == "mm"
    assert "unit" not in assumed(least())


def test_title() -> None:
    assert least().title == "lid"
    assert least({"title": "Keepsake box"}).title == "Keepsake box"


def test_pocket_depth_is_left_to_be_derived() -> None:
    assert least().joint.pocket_depth is None
    assert least({"joint.pocket_depth": 5.0}).joint.pocket_depth == 5.0


def test_tip_is_given_as_its_full_width() -> None:
    assert least({"bits.v.tip": 0.3}).bits.pocket_v.shape.tip_radius == pytest.approx(0.15)
    ball = least({"bits.v.ball": 0.5}).bits.pocket_v.shape
    assert (ball.rounding, ball.tip_radius) == (0.5, 0)
    assert "bits.v.tip" not in assumed(least({"bits.v.ball": 0.5}))


@pytest.mark.parametrize(("given", "step"), [(Share(0.05), 0.3), (0.2, 0.2)])
def test_stepover_as_share_or_length(given: Any, step: float) -> None:
    assert least({"bits.v.stepover": given}).bits.pocket_v.stepover == pytest.approx(step)


def test_straight_bits_step_over_two_fifths() -> None:
    made = least({"bits.clearing": {"diameter": 3.0}})
    bit = made.bits.clearing[0]
    assert bit.stepover == pytest.approx(0.4 * 3)
    assert bit.depth_of_cut == 1.5
    assert bit.name == "3 mm bit"
    told = assumed(made)
    assert (told["bits.clearing.stepover"], told["bits.clearing.depth_of_cut"]) == (0.4, 1.5)
    assert told["bits.cut_out"] == told["bits.levelling"] == "3 mm bit"


def test_clearing_bits_are_sorted_and_keep_their_place_in_the_sheet() -> None:
    bits = ({"diameter": 2.0, "stepover": 0.5}, {"diameter": 6.0, "depth_of_cut": 2.0})
    made = least({"bits.clearing": bits})
    assert [bit.diameter for bit in made.bits.clearing] == [6.0, 2.0]
    told = assumed(made)
    assert told["bits.clearing[1].depth_of_cut"] == 1.0
    assert told["bits.clearing[2].stepover"] == 0.4
    assert "bits.clearing[1].stepover" not in told
    assert made.bits.cut_out == made.bits.levelling == made.bits.clearing[0]


def test_no_straight_bit_leaves_cut_out_and_levelling_open() -> None:
    assert (least().bits.cut_out, least().bits.levelling) == (None, None)
    assert least({"bits.cut_out": {"diameter": 4.0}}).bits.levelling is None


@pytest.mark.parametrize(("diameter", "unit", "name"), [
    (6.0, "mm", "6 mm bit"), (3.175, "in", "0.125 in bit"), (25.4, "in", "1 in bit"), (12.7, "mm", "12.7 mm bit"),
    (3.175, "mm", "0.125 in bit"), (6.0, "in", "6 mm bit"), (3.141, "mm", "3.141 mm bit"),
])  # fmt: skip
def test_a_bit_without_a_name_reads_as_a_bit(diameter: float, unit: LengthUnit, name: str) -> None:
    made = least({"bits.clearing": {"diameter": diameter}}, unit=unit)
    assert (made.bits.clearing[0].name, made.bits.pocket_v.name) == (name, "30 deg V-bit")


@pytest.mark.parametrize(("outline", "unit"), [
    ({"file": "leaf.WKT"}, "in"), ({"file": "leaf.geojson", "scale": 2.0}, "in"), ({"file": "leaf.json"}, "in"),
    ({"file": "leaf.wkt", "width": 50.0}, None), ({"file": "leaf.wkt", "unit": "mm"}, None), ({"file": "a.svg"}, None),
])  # fmt: skip
def test_the_unit_of_a_drawing_that_names_none_is_told_as_assumed(outline: dict[str, Any], unit: str | None) -> None:
    assert assumed(least({"outline": outline}, unit="in")).get("outline.unit") == unit


def test_one_v_bit_or_two() -> None:
    one = job().bits
    assert one.one_v
    assert one.pocket_v == one.plug_v
    two = job({"bits.v": GONE, "bits.pocket_v": V, "bits.plug_v": V}).bits
    assert not two.one_v
    assert (two.pocket_v.name, two.plug_v.name) == ("30 deg V-bit (pocket)", "30 deg V-bit (plug)")


def test_limits_of_the_sheet_replace_the_usual() -> None:
    made = least({"limits": {"surface_gap": 2.0, "glue_gap": (0.1, 0.4)}}).limits
    assert (made[SURFACE_GAP], made[GLUE_GAP], made[LEVELLING]) == (2.0, (0.1, 0.4), 1.0)
    # a least alone keeps the usual most, or itself where that is more
    assert least({"limits": {"glue_gap": 0.3}}).limits[GLUE_GAP] == (0.3, 1.0)
    assert least({"limits": {"glue_gap": 1.5}}).limits[GLUE_GAP] == (1.5, 1.5)
    # of what fails and what is in doubt one value sets the doubt, and fails no later
    assert least({"limits": {"least_rib": 1.0}}).limits[LEAST_RIB] == (0.3, 1.0)
    assert least({"limits": {"least_inlay": 0.1}}).limits[LEAST_INLAY] == (0.1, 0.1)


def test_tolerances() -> None:
    made = least({"tolerance": {"touch_off": {"sd": 0.02}, "thickness": {"known": -0.3}}}).tolerance
    settings = (made.pocket_v, made.plug_v, made.pocket_clear, made.plug_clear)
    assert [entry.worst for entry in settings] == pytest.approx([0.06] * 4)
    assert (made.thickness.known, made.thickness.worst, made.thickness.furthest) == (-0.3, 0, 0.3)


def test_runout_only_widens() -> None:
    assert least({"tolerance": {"runout": {"known": 0.03}}}).tolerance.runout.known == 0.03
    with pytest.raises(InputErrors) as error:
        least({"tolerance": {"runout": {"known": -0.03}}})
    assert "tolerance.runout.known: found runout below 0" in str(error.value)


def test_out_of_square_is_assumed_only_of_an_outline() -> None:
    assert "tolerance.square" not in assumed(least())
    made = least({"outline": {"shapes": ({"circle": 20.0},)}})
    assert assumed(made)["tolerance.square"] == made.tolerance.square.value == pytest.approx(0.1 / 300)


def test_tolerance_by_setting_and_the_usual_for_the_rest() -> None:
    made = least({"tolerance.touch_off": {"pocket_v": 0.2, "plug_v": {"sd": 0.1}}})
    spread = made.tolerance
    assert (spread.pocket_v.worst, spread.plug_v.worst) == pytest.approx((0.2, 0.3))
    assert (spread.pocket_clear.worst, spread.plug_clear.worst) == (0.05, 0.05)
    entry = next(entry for entry in made.assumed if entry.key == "tolerance.touch_off.limit")
    assert "pocket_clear, plug_clear" in entry.why


def test_outline_is_passed_on() -> None:
    shapes = ({"circle": 20.0},)
    made = least({"outline": {"shapes": shapes, "width": 50.0}}, unit="in").outline
    assert made is not None
    assert (made.file, made.shapes, made.width, made.height, made.scale, made.unit) == (
        None, shapes, 50.0, None, None, "in",
    )  # fmt: skip
    file = least({"outline": {"file": "fern.svg", "unit": "mm"}}, unit="in").outline
    assert file is not None
    assert (file.file, file.unit) == ("fern.svg", "mm")
    assert least().outline is None


def test_unused_keys_and_notes_are_passed_on() -> None:
    made = job_from_values(
        LEAST, unit="mm", unit_given=True, title="", unused=("base.blank",), notes=("a note",)
    )
    assert (made.unused, made.notes) == (("base.blank",), ("a note",))


# --- contradictions -------------------------------------------------------------------------------------------------


def test_no_v_bit() -> None:
    ((where, problem),) = mistakes({"bits.v": GONE})
    assert where == ("bits",)
    assert "found no V-bit" in problem


@pytest.mark.parametrize("only", ["pocket_v", "plug_v"])
def test_half_a_pair_of_v_bits(only: str) -> None:
    ((where, problem),) = mistakes({"bits.v": GONE, f"bits.{only}": V})
    other = {"pocket_v": "plug_v", "plug_v": "pocket_v"}[only]
    assert where == ("bits", only)
    assert problem == f"found {only} without {other}, expected both, or v: alone for both walls"


def test_v_beside_a_pair() -> None:
    found = mistakes({"bits.pocket_v": V, "bits.plug_v": V})
    assert {where for where, _ in found} == {("bits", "pocket_v"), ("bits", "plug_v")}


def test_different_angles_do_not_fit() -> None:
    ((where, problem),) = mistakes({"bits.v": GONE, "bits.pocket_v": V, "bits.plug_v": {**V, "angle": 31.0}})
    assert where == ("bits", "plug_v", "angle")
    assert "31 deg" in problem
    assert "30 deg" in problem


@pytest.mark.parametrize(
    ("changes", "key"), [({"bits.v.tip": 6.0}, "tip"), ({"bits.v.tip": GONE, "bits.v.ball": 5.0}, "ball")]
)
def test_tip_as_wide_as_the_bit(changes: dict[str, Any], key: str) -> None:
    ((where, problem),) = mistakes(changes)
    assert where == ("bits", "v", key)
    assert "narrower than the bit's 6.00 mm diameter" in problem


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"bits.v.stepover": 6.5}, ("bits", "v", "stepover")),
        ({"bits.clearing": {**CLEARING, "stepover": 2.5}}, ("bits", "clearing", "stepover")),
        (
            {"bits.clearing": (CLEARING, {**CLEARING, "stepover": 2.5})},
            ("bits", "clearing", "[2]", "stepover"),
        ),
    ],
)
def test_stepover_wider_than_the_bit(changes: dict[str, Any], where: tuple[str, ...]) -> None:
    ((found, problem),) = mistakes(changes)
    assert found == where
    assert "expected at most the bit's" in problem


def test_glue_gap_limits_the_wrong_way_round() -> None:
    ((where, problem),) = mistakes({"limits.glue_gap": (1.0, 0.5)})
    assert where == ("limits", "glue_gap")
    assert "[least, most]" in problem


def test_all_contradictions_are_told_in_one_go() -> None:
    found = mistakes({"bits.v.stepover": 9.0, "limits.glue_gap": (1.0, 0.5), "bits.v.tip": 7.0})
    assert len(found) == 3


@pytest.mark.parametrize(
    ("changes", "where", "other"),
    [
        ({"bits.clearing": ({"name": "mill", "diameter": 6.0}, {"name": "mill", "diameter": 3.0})},
         ("bits", "clearing", "[2]"), "bits.clearing[1]"),
        # two bits of one size that the sheet gives no names to
        ({"bits.clearing": ({"diameter": 6.0}, {"diameter": 6.0, "corner": 1.0})},
         ("bits", "clearing", "[2]"), "bits.clearing[1]"),
        ({"bits.v.name": "one", "bits.clearing": {"name": "one", "diameter": 3.0}}, ("bits", "clearing"), "bits.v"),
        ({"bits.clearing": {"name": "one", "diameter": 3.0}, "bits.levelling": {"name": "one", "diameter": 25.0}},
         ("bits", "levelling"), "bits.clearing"),
        ({"bits.v": GONE, "bits.pocket_v": {"name": "one", "angle": 30.0}, "bits.plug_v": {"name": "one", "angle": 30.0,
                                                                                           "tip": 0.2}},
         ("bits", "plug_v"), "bits.pocket_v"),
    ],
)  # fmt: skip
def test_two_bits_of_one_name_are_refused(changes: dict[str, Any], where: tuple[str, ...], other: str) -> None:
    ((place, problem),) = mistakes(changes)
    assert place == (*where, "name")
    assert f"which is the name of {other} too, expected another name" in problem


def test_one_bit_may_have_its_name_in_several_roles() -> None:
    made = job({"bits.clearing": {"name": "mill", "diameter": 6.0, "depth_of_cut": 3.0},
                "bits.cut_out": {"name": "mill", "diameter": 6.0, "depth_of_cut": 2.0}})  # fmt: skip
    assert made.bits.cut_out is not None
    assert (made.bits.cut_out.name, made.bits.cut_out.depth_of_cut) == ("mill", 2.0)
