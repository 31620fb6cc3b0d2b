"""The report as text and as data: the same numbers, the names of the contract, what a person needs first."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from jobs import GONE, job

from inlayfit.outline.regions import outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.plan import Plan, plan
from inlayfit.report.data import data
from inlayfit.report.layout import WIDTH
from inlayfit.report.text import full_text, headline, text

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}
SHAPES = [
    {"star": {"points": 5, "across": 80.0, "inner": 40.0}},
    {"circle": 10.0, "hole": True},
    {"circle": 5.0},
]


@cache
def planned(unit: str = "mm", nominal: bool = False) -> Plan:
    return plan(job(WOODS, unit=unit), outline_of(drawn(SHAPES)), nominal=nominal)


def report(found: Plan) -> dict[str, Any]:
    return json.loads(json.dumps(data(found, sheet="star.yaml", inputs={"star.yaml": "0" * 64}), allow_nan=False))


def test_names_of_the_contract() -> None:
    found = report(planned())
    assert {"format", "inlayfit", "sheet", "inputs", "title", "unit", "scope", "verdict"} <= found.keys()
    assert found["format"] == 1
    assert found["depths"].keys() == {
        "pocket_depth", "start_depth", "depth_below_start", "plug_total_depth", "glue_gap", "surface_gap",
        "pocket_clearing_offset", "plug_clearing_offset", "full_depth_width", "clearing_width", "base_floor",
        "plug_web", "above_face",
    }  # fmt: skip
    assert found["outline"].keys() == {
        "area", "perimeter", "bounds", "regions", "holes", "narrowest_stroke", "narrowest_gap", "sharpest_corner",
    }  # fmt: skip
    assert {
        "lift", "lift_strong", "first_touch", "by_hand", "contacts", "crushed_area", "crushed_share", "wall_load_n",
        "clamp_force_n", "closing_force_n", "glue_gap", "surface_gap", "surface_gap_least", "joint_line",
    } <= found["seat"].keys()  # fmt: skip
    assert found["seat"]["joint_line"].keys() == {"largest", "at", "mean", "share_over_limit"}
    assert {"kind", "at", "lift", "crushed", "lost"} <= found["seat"]["contacts"][0].keys()
    for entry in found["passes"]:
        names = {"part", "step", "bit", "zero", "number", "of", "total_depth", "load"}
        assert names <= entry.keys()
        assert ("start_depth" in entry) == ("depth_below_start" in entry) == (entry["step"] != "level")
    for entry in found["checks"]:
        assert {"id", "status", "message", "places", "rests_on"} <= entry.keys()
        assert entry["status"] in ("pass", "doubtful", "fail", "not checked")
    for entry in found["assumed"]:
        assert entry.keys() == {"key", "value", "why"}
    assert found["cautions"]


def test_inches_and_millimetres_are_the_same_joint() -> None:
    mm, inch = report(planned()), report(planned("in"))
    assert inch["outline"]["area"] * 25.4**2 == pytest.approx(mm["outline"]["area"], abs=1e-3)
    assert inch["outline"]["perimeter"] * 25.4 == pytest.approx(mm["outline"]["perimeter"], abs=1e-4)
    assert inch["seat"]["first_touch"] * 25.4 == pytest.approx(mm["seat"]["first_touch"], abs=1e-4)
    assert inch["seat"]["clamp_force_n"] == pytest.approx(mm["seat"]["clamp_force_n"])
    assert [entry["status"] for entry in inch["checks"]] == [entry["status"] for entry in mm["checks"]]


def test_places_are_from_the_lower_left_of_the_bounds() -> None:
    found = report(planned())
    low_x, low_y, high_x, high_y = found["outline"]["bounds"]
    assert (low_x, low_y) == (0.0, 0.0)
    # an upright star is symmetric about the upright line through its middle, where its top point is
    at = found["outline"]["sharpest_corner"]["at"]
    assert 0 <= at[0] <= high_x and 0 <= at[1] <= high_y
    top = [contact["at"] for contact in found["seat"]["contacts"] if abs(contact["at"][1] - high_y) < 0.05]
    assert top and top[0][0] == pytest.approx(high_x / 2, abs=0.05)


def test_a_curve_has_no_corner() -> None:
    disc = plan(job(WOODS), outline_of(drawn([{"circle": 60.0}])), nominal=True)
    assert "no sharp corner" in full_text(disc)
    assert "sharpest_corner" not in report(disc)["outline"]
    hexagon = plan(job(WOODS), outline_of(drawn([{"regular": {"sides": 6, "across_flats": 60.0}}])), nominal=True)
    assert "sharpest corner 120 deg" in full_text(hexagon)


def test_narrowest_stroke_agrees_with_what_holds_the_plug_up() -> None:
    # a wedge with a blunt end: no walls face each other where the tip is cut short
    wedge = [{"polygon": [[0, -10], [60, -0.6], [60, 0.6], [0, 10]]}]
    found = plan(job({**WOODS, "bits.v.tip": 0.5}), outline_of(drawn(wedge)))
    held = [entry.width for entry in found.facts.seat.contacts if entry.kind == "stroke"]
    assert held
    assert min(held) < found.facts.outline.survey.narrowest_stroke.value
    words = " ".join(full_text(found).split())
    assert f", running out to {min(held):.2f} mm where it holds the plug up" in words


def test_a_part_that_does_not_apply_is_absent() -> None:
    depths_only = report(plan(job({"bits.clearing": GONE})))
    assert depths_only["scope"] == "depths"
    assert not {"outline", "seat", "advice"} & depths_only.keys()
    assert "clearing_width" not in depths_only["depths"]
    nominal = report(planned(nominal=True))
    assert nominal["scope"] == "nominal outline"
    assert "seat" not in nominal and "outline" in nominal


def test_text_says_the_scope_in_its_headline() -> None:
    for found in (plan(job()), planned(nominal=True)):
        for report in (text(found), full_text(found)):
            assert report.splitlines()[1].startswith("DEPTHS AGREE")
            assert "whether the plug seats was not checked." in " ".join(report.split())
    assert text(planned()).splitlines()[1].startswith("FITS")
    assert headline(plan(job())) == "depths agree; seat not checked"


def test_text_has_the_numbers_to_type() -> None:
    found, printed = planned(), full_text(planned())
    for name, value in (
        ("pocket depth", found.facts.depths.pocket_depth),
        ("plug start depth", found.facts.depths.start_depth),
        ("plug below start", found.facts.depths.depth_below_start),
        ("plug clearing offset", found.facts.depths.plug_clearing_offset),
    ):
        assert re.search(rf"^  {name} +{value:.2f} ", printed, re.MULTILINE), name
    order = [printed.index(part) for part in ("Depths", "Pass schedule", "Checks", "Cautions")]
    assert order == sorted(order)


def test_plug_passes_are_told_one_by_one_and_mirrored() -> None:
    printed = full_text(planned())
    plug = printed[printed.index("  Plug, drawing mirrored") : printed.index("  Levelling")]
    for entry in planned().facts.passes:
        if entry.part == "plug" and entry.step != "cut out":
            assert re.search(rf"{entry.number} of {entry.of} +{entry.start_depth:.2f} ", plug)
    assert "touch off" in plug


@pytest.mark.parametrize("cut_out", [True, False])
def test_dry_fit_is_a_step_before_the_plug_leaves_its_blank(cut_out: bool) -> None:
    lines = full_text(plan(job({"plug.cut_out": cut_out}))).splitlines()
    first = {
        word: next((number for number, line in enumerate(lines) if line.strip().startswith(word)), None)
        for word in ("cut the walls", "dry fit", "cut it out", "Levelling, after", "Dry fit before the plug leaves its")
    }
    assert first["cut the walls"] < first["dry fit"] < first["Levelling, after"]
    assert (first["cut it out"] is not None) == cut_out
    if cut_out:
        assert first["dry fit"] < first["cut it out"]
    assert first["dry fit"] < first["Dry fit before the plug leaves its"] < first["Levelling, after"]


def test_bed_zero_gives_the_height_over_the_bed() -> None:
    printed = full_text(plan(job({"touch_off": "bed"})))
    assert "zero on the bed, 18.00 mm under the base's face" in printed
    assert "above bed" in printed
    # 18 mm of base less a pocket of 6
    assert re.search(r" 6\.00 .* 12\.00", printed)


def test_lines_fit_a_screen_and_a_page() -> None:
    for found in (planned(), planned("in"), plan(job({"joint.glue_gap": 0.2}))):
        lines = full_text(found).splitlines()
        assert max(map(len, lines)) <= WIDTH
        assert len(lines) <= 105


def test_finding_gives_reason_and_remedy() -> None:
    printed = full_text(plan(job({"joint.glue_gap": 0.2})))
    doubt = printed[printed.index("doubtful glue gap") :]
    assert "0.20 mm between" in doubt
    assert "To change: a larger glue gap" in " ".join(doubt.split())


def test_status_words_can_be_coloured() -> None:
    marked = full_text(plan(job({"joint.glue_gap": 0.0})), paint=lambda words, status: f"<{status}>{words}</>")
    assert "<fail>FAIL</>" in marked
    assert "<does not fit>DOES NOT FIT:</>" in marked


def test_depths_in_inches_that_are_no_whole_thousandths_add_up_as_printed() -> None:
    # 5/16 less 1/64 in
    printed = full_text(plan(job({"joint.pocket_depth": 5 / 16 * 25.4, "joint.glue_gap": 25.4 / 64}, unit="in")))
    for name, value in (("pocket depth", "0.3125"), ("plug start depth", "0.2969"), ("glue gap", "0.0156")):
        assert re.search(rf"^  {name} +{value} ", printed, re.MULTILINE), name
    whole = {"joint.pocket_depth": 6.35, "joint.glue_gap": 0.508, "joint.surface_gap": 2.54}
    assert re.search(r"^  pocket depth +0.2500 ", full_text(plan(job(whole, unit="in"))), re.MULTILINE)


def test_clearing_bit_that_enters_nowhere_is_told() -> None:
    narrow = outline_of(drawn([{"rectangle": (40.0, 3.5)}]))
    assert "reaches none of this floor: leave it out" in full_text(plan(job(WOODS), narrow))
    assert "reaches none" not in full_text(planned())


def test_notes_stand_under_the_headline() -> None:
    found = planned()
    noted = replace(found, facts=replace(found.facts, job=replace(found.job, notes=("left out 1 text ('Anna')",))))
    assert full_text(noted).splitlines()[2] == "Note: left out 1 text ('Anna')"


def test_forces_stand_in_the_unit_of_the_sheet_first() -> None:
    for unit, hand in (("mm", "100 N (22 lbf)"), ("in", "22 lbf (100 N)")):
        assert f"pressed with {hand}" in full_text(planned(unit))
        # data are in newtons all the same
        force = report(planned(unit))["seat"]["clamp_force_n"]
        assert force == pytest.approx(planned().facts.seat.clamp_force, abs=1)


def test_glue_gap_of_strokes_that_have_no_floor_says_so() -> None:
    for width, has_floor in ((2.0, False), (8.0, True)):
        outline = outline_of(drawn([{"rectangle": [60.0, width]}]))
        words = full_text(plan(job({"joint.pocket_depth": 6.0}), outline))
        assert ("no stroke here is wide enough for a floor" in words) != has_floor
