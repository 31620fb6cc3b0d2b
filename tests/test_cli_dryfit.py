"""``inlayfit dryfit`` from outside: one command from readings to the cut, and every refusal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from inlayfit import cli

SHEET = """\
title: Wren on a tea box
unit: mm
outline: {shapes: [{star: {points: 5, across: 60, inner: 30}}]}
base: {wood: black walnut, thickness: 19}
plug: {wood: sugar maple, thickness: 12}
joint: {pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5}
bits:
  v: {angle: 30, tip: 0.1, diameter: 6.35, reach: 12, depth_of_cut: 6}
  clearing: {diameter: 3, reach: 15, depth_of_cut: 3}
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "wren.yaml"
    path.write_text(SHEET, encoding="utf-8")
    return path


def run(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(cli.main, ["dryfit", *arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def data(*arguments: str) -> Any:
    return json.loads(run(*arguments, "--format", "json")[1])


def test_from_0_8_too_proud_to_the_cut_with_the_reason(sheet: Path) -> None:
    status, output, errors = run(str(sheet), "--gap", "3.4", "--gap", "3.45", "--held", "plug")
    assert (status, errors) == (0, "")
    words = " ".join(output.split())
    assert "too proud" in words
    assert "First: Brush both parts out, press the plug in again and read again" in words
    found = data(str(sheet), "--gap", "3.4", "--gap", "3.45", "--held", "plug")
    cut = found["corrections"][0]
    assert f"1. The plug, walls again: start depth {cut['start_depth']:.2f} mm" in words
    assert cut["start_depth"] == pytest.approx(5.5 + found["excess"], abs=1e-5)
    assert cut["depth_below_start"] == pytest.approx(2.5 - found["excess"], abs=1e-5)
    assert "every contact goes down by it" in words


def test_json_names(sheet: Path) -> None:
    found = data(str(sheet), "--gap", "0,0=3.3", "--gap", "50,0=3.3", "--gap", "50,50=3.35", "--held", "both")
    assert {
        "lift", "expected_lift", "excess", "tilt_deg", "glue_gap", "surface_gap", "joint_line", "causes", "corrections",
    } <= set(found)  # fmt: skip
    assert len(found["expected_lift"]) == 2
    assert all({"cause", "weight", "rank", "why", "slip", "alike"} <= set(entry) for entry in found["causes"])
    assert {entry["cause"] for entry in found["unseen"]} == {"plug_warp", "pocket_clear"}
    assert found["apart"]["test"] == "above"
    assert all(set(entry) == {"cause", "reads"} for entry in found["apart"]["causes"])
    plug, base, _ = found["corrections"]
    assert {"part", "step", "needs", "start_depth", "depth_below_start", "total_depth"} <= set(plug)
    assert {"part", "step", "needs", "zero_shift", "total_depth"} <= set(base)
    for cut in found["corrections"]:
        assert {"lift_after", "glue_gap_after", "surface_gap_after", "brings_home"} <= set(cut)
    assert plug["only_if"]["measured"] == "above"
    assert "reason" not in found


def test_no_cut_has_a_reason(sheet: Path) -> None:
    status, output, _ = run(str(sheet), "--gap", "2.55", "--held", "both")
    assert status == 0
    assert "cut nothing" in output
    found = data(str(sheet), "--gap", "2.55", "--held", "both")
    assert found["corrections"] == []
    assert "cut nothing" in found["reason"]
    assert "tilt_deg" not in found


def test_nothing_held_ends_with_1(sheet: Path) -> None:
    status, output, _ = run(str(sheet), "--gap", "3.3")
    assert status == 1
    assert "1. A new plug" in output


def test_readings_and_what_is_held_may_stand_in_the_sheet(sheet: Path) -> None:
    sheet.write_text(SHEET + "dry_fit: {gaps: [3.3, 3.35], held: base}\n", encoding="utf-8")
    status, output, _ = run(str(sheet))
    assert status == 0
    assert "The pocket, walls again: zero" in output
    assert data(str(sheet))["lift"] == pytest.approx(0.825)
    # the command line stands in for the sheet
    over = data(str(sheet), "--gap", "3.1", "--held", "plug")
    assert over["lift"] == pytest.approx(0.6)
    assert over["corrections"][0]["part"] == "plug"


def test_the_same_lift_by_every_reading(sheet: Path) -> None:
    # plug 12 - 5.5 above the face, and 19 more over both
    lifts = [data(str(sheet), *pair)["lift"] for pair in (("--gap", "3.3"), ("--above", "7.3"), ("--over", "26.3"))]
    assert lifts == pytest.approx([0.8, 0.8, 0.8])


def test_floor_that_measures_otherwise_is_told(sheet: Path) -> None:
    _, output, _ = run(str(sheet), "--gap", "2.6", "--pocket", "6.4", "--plug", "8.0")
    assert "The pocket's floor measures 0.40 deeper than programmed." in output
    assert "plug's own floor measures" not in output
    assert data(str(sheet), "--gap", "2.6", "--pocket", "6.4")["glue_gap"] == pytest.approx(1.0)


def test_inches(sheet: Path) -> None:
    found = data(str(sheet), "--gap", "0.13 in", "--unit", "in")
    assert found["unit"] == "in"
    assert found["surface_gap"] == pytest.approx(0.13)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--gap", "3,1"), "--gap '3,1': found '3,1' (a decimal comma is not read, write a point)"),
        (("--gap", "1,2,3=3.1"), "--gap '1,2,3=3.1': found '1,2,3' for the place, expected X,Y"),
        (("--gap", "3.1 ells"), "no unit 'ells'"),
        (("--gap", "31"), "--gap: found 31.00 mm for the surface gap, expected at most 8.00 mm"),
        (("--gap", "0.12"), "probably 0.12 in was meant"),
        (("--gap", "-1"), "expected 0 or more"),
        (("--above", "2"), "--above: found 2.00 mm for the plug's back over the base's face, expected 6.00 mm or more"),
        (("--over", "7.3"), "--over: found 7.30 mm for the measure over both boards, expected 25.00 mm or more"),
        (("--gap", "3.3", "--pocket", "0"), "--pocket '0': found a length of 0, expected more than 0"),
        ((), "found no reading of the dry fit, expected --gap, --above or --over"),
    ],
)
def test_refusals(sheet: Path, arguments: tuple[str, ...], words: str) -> None:
    status, output, errors = run(str(sheet), *arguments)
    assert (status, output) == (2, "")
    assert words in errors


def test_millimetres_against_an_inch_sheet(sheet: Path) -> None:
    inches = SHEET.replace("unit: mm", "unit: in").replace("across: 60, inner: 30", "across: 2.4, inner: 1.2")
    for old, new in (
        ("thickness: 19", "thickness: 3/4"), ("thickness: 12", "thickness: 1/2"),
        ("pocket_depth: 6, glue_gap: 0.5, surface_gap: 2.5", "pocket_depth: 1/4, glue_gap: 0.02, surface_gap: 0.1"),
        ("tip: 0.1, diameter: 6.35, reach: 12, depth_of_cut: 6", "tip: 0.004, diameter: 1/4, reach: 0.5"),
        ("diameter: 3, reach: 15, depth_of_cut: 3", "diameter: 1/8, reach: 0.6, depth_of_cut: 0.1"),
    ):  # fmt: skip
        inches = inches.replace(old, new)
    sheet.write_text(inches, encoding="utf-8")
    status, _, errors = run(str(sheet), "--gap", "3.1")
    assert status == 2
    assert "bare numbers are in inches here: probably 3.1 mm was meant" in errors


def test_sheet_without_an_outline(sheet: Path) -> None:
    sheet.write_text(SHEET.replace(SHEET.splitlines()[2] + "\n", ""), encoding="utf-8")
    status, output, _ = run(str(sheet), "--gap", "3.3", "--held", "plug")
    assert status == 0
    assert "up to what the sharpest corner can hold" in output


DISC = """\
title: Disc with a ring
unit: mm
outline: {shapes: [{circle: 40}, {circle: 24, hole: true}, {circle: 16}]}
base: {wood: black walnut, thickness: 18}
plug: {wood: sugar maple, thickness: 12}
joint: {pocket_depth: 5, glue_gap: 0.5, surface_gap: 2.5}
bits:
  v: {angle: 30, tip: 0.1, diameter: 6.35, reach: 12, depth_of_cut: 6}
  clearing: {diameter: 2, reach: 15, depth_of_cut: 3}
"""


def test_proud_on_a_floor_that_measures_shallow(sheet: Path) -> None:
    sheet.write_text(DISC, encoding="utf-8")
    status, output, _ = run(str(sheet), "--gap", "2.9", "--pocket", "4.1", "--held", "both")
    assert status == 0
    words = " ".join(output.split())
    assert "The plug is down on the pocket's floor, which is too shallow" in words
    assert "1. The pocket, clear again: total 5.00 mm" in words
    assert "walls again" not in words
    found = data(str(sheet), "--gap", "2.9", "--pocket", "4.1", "--held", "both")
    assert [cut["step"] for cut in found["corrections"]] == ["clear"]
    assert found["corrections"][0]["glue_gap_after"] == pytest.approx(0.5, abs=0.01)
    assert found["glue_gap"] == 0


def test_monogram_in_inches_with_a_shallow_pocket(sheet: Path) -> None:
    inches = DISC.replace("unit: mm", "unit: in").replace("circle: 40", "circle: 1.6")
    for old, new in (
        ("circle: 24", "circle: 1"), ("circle: 16", "circle: 0.6"),
        ("thickness: 18", "thickness: 3/4"), ("thickness: 12", "thickness: 1/2"),
        ("pocket_depth: 5, glue_gap: 0.5, surface_gap: 2.5", "pocket_depth: 1/4, glue_gap: 0.02, surface_gap: 0.1"),
        ("tip: 0.1, diameter: 6.35, reach: 12, depth_of_cut: 6", "tip: 0.004, diameter: 1/4, reach: 0.45"),
        ("diameter: 2, reach: 15, depth_of_cut: 3", "diameter: 1/8, reach: 3/4, depth_of_cut: 1/8"),
    ):  # fmt: skip
        inches = inches.replace(old, new)
    sheet.write_text(inches, encoding="utf-8")
    found = data(str(sheet), "--gap", "0.112", "--pocket", "0.219", "--held", "both")
    assert found["on_floor"] is True
    assert [(cut["part"], cut["step"]) for cut in found["corrections"]] == [("base", "clear")]
    assert found["corrections"][0]["total_depth"] == pytest.approx(0.25)
    assert all(cut["glue_gap_after"] > 0 for cut in found["corrections"])


def test_start_depth_left_out_offers_nothing_that_cannot_be(sheet: Path) -> None:
    sheet.write_text(DISC, encoding="utf-8")
    _, output, _ = run(str(sheet), "--gap", "7.0", "--held", "both")
    words = " ".join(output.split())
    assert "1. the plug's walls were cut with the start depth left at 0" in words
    assert "(--above) reads 12.00 mm if 1; 7.50 mm if 2" in words
    assert "1. The plug, walls again: start depth 4.50 mm, below start 2.50 mm, total 7.00 mm" in words
    assert "Not: the pocket, walls again:" in words


def test_headline_and_body_agree_that_it_is_crooked(sheet: Path) -> None:
    sheet.write_text(DISC, encoding="utf-8")
    readings = [part for at, value in (("0,0", 2.3), ("40,0", 2.76), ("40,40", 2.76), ("0,40", 2.3))
                for part in ("--gap", f"{at}={value}")]  # fmt: skip
    _, output, _ = run(str(sheet), *readings, "--held", "both")
    words = " ".join(output.split())
    assert "The plug sits out of level by 0.46 mm" in words
    assert "as a hand's pressure" not in words
    assert "Then: The plug sits crooked, 0.46 mm higher on one side" in words
    assert data(str(sheet), *readings)["crooked"] is True
