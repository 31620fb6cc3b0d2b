"""``inlayfit bit`` from outside: results, the sheet's joint, refusals."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from inlayfit import cli

SHEET = """\
title: Wren on a tea box
unit: in
outline: {shapes: [{star: {points: 5, across: 2.4, inner: 1.2}}]}
base: {wood: black walnut, thickness: 3/4}
plug: {wood: sugar maple, thickness: 1/2}
bits: {v: {angle: 30, tip: 0.004, diameter: 1/4}}
"""
# 29.6 deg with a tip of 0.16 mm: w = 0.16 + 2 tan(14.8 deg) z
WIDTHS = ("2mm=1.217mm", "3mm=1.745mm", "4mm=2.274mm", "5mm=2.802mm")


def run(*arguments: str, input: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(cli.main, ["bit", *arguments], input=input)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def grooves(*pairs: str) -> list[str]:
    return [word for pair in pairs for word in ("--groove", pair)]


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    path = tmp_path / "wren.yaml"
    path.write_text(SHEET, encoding="utf-8")
    return str(path)


def test_angle_tip_and_what_to_paste() -> None:
    status, output, errors = run(*grooves(*WIDTHS))
    assert (status, errors) == (0, "")
    assert "included angle  29.60 deg" in output
    assert "measured: {angle: 29.60 deg, tip: 0.160 mm}" in output
    assert "Cut four or more grooves" in output


def test_unit_without_a_sheet_is_that_of_bare_numbers_too() -> None:
    bare = [f"{float(z[:-2]) / 25.4:.6f}={float(w[:-2]) / 25.4:.6f}" for z, w in (p.split("=") for p in WIDTHS)]
    status, output, errors = run("--unit", "in", *grooves(*bare), "--tip", "0.0063")
    assert (status, errors) == (0, "")
    assert "included angle  29.60 deg" in output
    # 0.16 mm
    assert "tip: 0.0063 in}" in output
    status, _, errors = run(*grooves(*bare))
    assert status == 2
    assert "a length with its unit" in errors


def test_json_names() -> None:
    status, output, _ = run(*grooves(*WIDTHS), "--format", "json")
    data = json.loads(output)
    assert status == 0
    assert data["angle"] == pytest.approx(29.6, abs=0.01)
    assert data["tip"] == pytest.approx(0.16, abs=0.002)
    assert data["angle_u"] > 0
    assert data["tip_u"] > 0
    assert data["unit"] == "mm"
    assert [set(entry) for entry in data["grooves"]] == [{"depth", "width", "residual"}] * 4
    assert data["measured"] == {"angle": data["angle"], "tip": data["tip"]}
    assert "sheet" not in data


def test_pasted_block_is_read_by_the_sheet(sheet: str, tmp_path: Path) -> None:
    _, output, _ = run(*grooves(*WIDTHS))
    block = next(line.strip() for line in output.splitlines() if "measured: {" in line)
    pasted = tmp_path / "pasted.yaml"
    pasted.write_text(SHEET.replace("diameter: 1/4}", f"diameter: 1/4, {block}}}"), encoding="utf-8")
    result = CliRunner().invoke(cli.main, ["plan", str(pasted), "--format", "json"])
    assert result.exit_code in (0, 1)
    # the tip 0.058 mm wider than declared outweighs the sharper angle: the plug sinks
    assert json.loads(result.stdout)["seat"]["lift"] < -0.001


def test_sheet_gives_the_unit_and_what_the_bit_does_to_its_joint(sheet: str) -> None:
    inches = [f"{float(z[:-2]) / 25.4:.6f}={float(w[:-2]) / 25.4:.6f}" for z, w in (p.split("=") for p in WIDTHS)]
    status, output, _ = run(sheet, *grooves(*inches), "--format", "json")
    data = json.loads(output)
    assert status == 0
    assert data["unit"] == "in"
    assert data["tip"] == pytest.approx(0.16 / 25.4, abs=1e-4)
    declared, measured, told = data["joint"]
    # sunk by the wider tip, 2 (r - rn) / T; in wide places the sharper angle holds it up by (F + U) (Tn - T) / T
    slope, declared_slope = (math.tan(math.radians(angle / 2)) for angle in (data["angle"], 30))
    hairline = -(data["tip"] - 0.004) / slope
    assert measured["walls"][1] == pytest.approx(hairline, abs=1e-5)
    assert measured["walls"][0] == pytest.approx(hairline + 0.35 * (declared_slope - slope) / slope, abs=1e-5)
    assert declared["walls"] == [0, 0]
    assert told["walls"] == [0, 0]
    assert measured["walls"][1] < measured["lift"] < measured["walls"][0] + 0.001
    assert measured["joint_line"] > declared["joint_line"]


def test_what_is_pasted_is_what_is_advised(sheet: str, tmp_path: Path) -> None:
    _, output, _ = run(sheet, *grooves(*WIDTHS))
    lines = output.splitlines()
    assert any("Best is to declare what the bit measures" in line for line in lines)
    best = next(number for number, line in enumerate(lines) if line.startswith("Best: in the sheet under bits.v"))
    keys = lines[best + 1].strip()
    assert keys.startswith("angle: 29.60 deg, tip: 0.00")
    pasted = tmp_path / "pasted.yaml"
    pasted.write_text(SHEET.replace("angle: 30, tip: 0.004", keys), encoding="utf-8")
    result = CliRunner().invoke(cli.main, ["plan", str(pasted), "--format", "json"])
    assert json.loads(result.stdout)["seat"]["lift"] == pytest.approx(0, abs=1e-3)
    # the other way is offered second, for programmes that are written already
    assert lines[best + 3].strip().startswith("measured: {angle: 29.60 deg, tip: 0.00")


def test_sheet_without_an_outline_gets_the_walls_alone(tmp_path: Path) -> None:
    path = tmp_path / "plain.yaml"
    path.write_text(SHEET.replace(SHEET.splitlines()[2] + "\n", ""), encoding="utf-8")
    _, output, _ = run(str(path), *grooves(*WIDTHS))
    assert "wide walls at" in output
    assert "joint line" not in output


def test_two_bits_need_a_name(tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    two = "bits: {pocket_v: {angle: 30, tip: 0.004}, plug_v: {angle: 30, tip: 0.008}}\n"
    path.write_text("\n".join([*SHEET.splitlines()[:-1], two]), encoding="utf-8")
    status, output, errors = run(str(path), *grooves(*WIDTHS))
    assert (status, output) == (2, "")
    assert errors == "the sheet has two V-bits, expected --bit pocket_v or --bit plug_v\n"
    status, output, _ = run(str(path), *grooves(*WIDTHS), "--bit", "plug_v")
    assert status == 0
    assert "under bits.plug_v:" in output


def test_grooves_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "grooves.yaml"
    path.write_text(
        "unit: mm\ngrooves:\n  - {depth: 2, width: 1.217}\n  - {depth: 5 mm, width: 2.802, plus_minus: 0.01}\n",
        encoding="utf-8",
    )
    status, output, _ = run("--grooves", str(path), "--format", "json")
    data = json.loads(output)
    assert status == 0
    assert data["angle"] == pytest.approx(29.6, abs=0.02)
    assert [entry["file"] for entry in data["inputs"]] == [str(path)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("grooves: [{depth: 2, width: 1}]", "grooves.yaml: found bare numbers and no unit, expected unit: mm"),
        ("unit: mm\ngrooves: [{depth: 2}]", "grooves.yaml:2:11: grooves[1].width: missing, expected a length"),
        ("unit: mm\ngrooves: [{depth: 2, wide: 1}]", "wide: unknown key"),
        ("unit: mm\ngrooves: [{depth: 0, width: 1}]", "grooves[1].depth: found 0 mm, expected more than 0"),
        ("- 2", "expected named keys: unit:, and grooves:"),
        ("unit: ells\ngrooves: [{depth: 2, width: 1}]", "unit: found 'ells', expected in or mm"),
    ],
)
def test_mistakes_in_a_file_have_their_place(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "grooves.yaml"
    path.write_text(text + "\n", encoding="utf-8")
    status, output, errors = run("--grooves", str(path))
    assert (status, output) == (2, "")
    assert words in errors


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        (("2mm=1.2mm", "4mm=2,28mm"), "--groove '4mm=2,28mm': found '2,28mm' (a decimal comma is not read"),
        (("2=1.2", "4mm=2.28mm"), "--groove '2=1.2': found '2', expected a length with its unit"),
        (("2mm", "4mm=2.28mm"), "--groove '2mm': expected DEPTH=WIDTH, such as 3mm=1.72mm"),
        (("-2mm=1mm", "4mm=2.28mm"), "found a depth of -2mm, expected more than 0"),
        (("200mm=1mm", "4mm=2.28mm"), "found a depth of 200 mm, expected at most 100 mm"),
        ((), "found 0 grooves, expected at least two, of different depths (--groove DEPTH=WIDTH)"),
    ],
)
def test_readings_without_a_sheet_that_are_refused(pairs: tuple[str, ...], words: str) -> None:
    status, output, errors = run(*grooves(*pairs))
    assert (status, output) == (2, "")
    assert words in errors


def test_swapped_depth_and_width_are_refused_as_such(sheet: str) -> None:
    turned = ["=".join(reversed(pair.split("="))) for pair in WIDTHS]
    for where in ((), (sheet,)):
        status, output, errors = run(*where, *grooves(*turned))
        assert (status, output) == (2, "")
        assert "a bit of 87 deg" in errors
        assert "one of 30 deg the other way round: depth and width are swapped, expected DEPTH=WIDTH" in errors


def test_millimetres_against_an_inch_sheet(sheet: str) -> None:
    status, _, errors = run(sheet, *grooves("4=2.28", "6=3.35"))
    assert status == 2
    assert "(bare numbers are in inches here: probably 4 mm was meant)" in errors
    status, _, errors = run(sheet, *grooves("2=1.2", "3=1.7"))
    assert status == 2
    assert "found a groove 1.200 in wide, expected less than the bit's 0.250 in (bare numbers are in inches" in errors


def test_groove_within_the_ball_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "ball.yaml"
    path.write_text(SHEET.replace("tip: 0.004", "ball: 0.03"), encoding="utf-8")
    status, _, errors = run(str(path), *grooves("0.3mm=0.9mm", "3mm=2.2mm"))
    assert status == 2
    assert "the ball tip cuts a shallower one round" in errors
    status, output, _ = run(str(path), *grooves("2mm=1.84mm", "4mm=2.91mm"))
    assert status == 0
    assert "measured: {angle: 29.95 deg, ball: " in output


def test_tip_seen_tells_the_touch_off() -> None:
    # all 0.1 mm too deep
    deep = ("2mm=1.27mm", "3mm=1.798mm", "4mm=2.327mm", "5mm=2.855mm")
    _, output, _ = run(*grooves(*deep), "--tip", "0.16mm")
    assert "the bit ran 0.100 mm too deep" in output
    data = json.loads(run(*grooves(*deep), "--tip", "0.16mm", "--format", "json")[1])
    assert data["touch_off_error"] == pytest.approx(0.1, abs=0.005)
    alone = json.loads(run(*grooves(*deep), "--format", "json")[1])
    measured = json.loads(run(*grooves(*deep), "--depths", "measured", "--format", "json")[1])
    assert measured["tip_u"] < alone["tip_u"]


def test_settings_need_a_sheet() -> None:
    status, _, errors = run(*grooves(*WIDTHS), "--bit", "plug_v")
    assert status == 2
    assert "no SHEET is named" in errors


def test_outlier_and_another_bit_are_pointed_out(sheet: str) -> None:
    _, output, _ = run(*grooves(*WIDTHS[:3], "4.5mm=2.7mm", WIDTHS[3]))
    assert "wider than the others say" in output
    assert "measure it again" in output
    _, output, _ = run(sheet, *grooves("1mm=1.2mm", "2mm=2.36mm", "3mm=3.51mm"))
    assert "The sheet declares 30 deg, more than 3 deg away" in output


def test_nothing_is_to_be_pasted_while_a_groove_disagrees(sheet: str) -> None:
    _, output, _ = run(*grooves(*WIDTHS[:3], "4.5mm=2.7mm", WIDTHS[3]))
    assert "Nothing to paste yet" in output
    assert "measured: {" not in output


def test_touch_off_of_the_sheet_in_each_way(sheet: str) -> None:
    def tip(*touch_off: str) -> tuple[float, float]:
        _, output, _ = run(sheet, *touch_off, *grooves(*WIDTHS), "--format", "json")
        found = json.loads(output)
        return found["tip"], found["tip_u"]

    plain, plain_u = tip("--set", "tolerance.touch_off={limit: 0.05}")
    # the standard deviation of an even spread of plus or minus a is a / sqrt(3)
    same, same_u = tip("--set", f"tolerance.touch_off={{sd: {0.05 / math.sqrt(3)}}}")
    assert (same, same_u) == pytest.approx((plain, plain_u), abs=1e-5)
    # a bit that is known to run 0.02 too high cuts every groove narrower by 2 T 0.02
    known, known_u = tip("--set", "tolerance.touch_off={known: -0.02}")
    assert known == pytest.approx(plain + 2 * math.tan(math.radians(15)) * 0.02, abs=1e-3)
    assert known_u < plain_u
