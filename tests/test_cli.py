"""The plan, new and schema commands from outside: results, messages and every exit status."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from inlayfit import __version__, cli
from inlayfit import plan as planning
from inlayfit.cli import endings
from inlayfit.sheet.starter import starter_sheet

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
limits: {fine_strokes: 20 %, corners: 0.5}
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "wren.yaml"
    path.write_text(SHEET, encoding="utf-8")
    return path


def run(*arguments: str, input: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(cli.main, arguments, input=input)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def process(*arguments: str, **options: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "inlayfit", *arguments],
        stdin=subprocess.PIPE,
        stdout=options.pop("stdout", subprocess.PIPE),  # type: ignore[call-overload]
        stderr=subprocess.PIPE,
        env={**os.environ, "NO_COLOR": "1"},
    )


# --- exit statuses ----------------------------------------------------------------------------------------------


def test_0_it_fits(sheet: Path) -> None:
    status, out, err = run("plan", str(sheet))
    assert (status, err) == (0, "")
    assert out.splitlines()[0] == "Wren on a tea box"
    assert out.splitlines()[1].startswith("FITS: under the clamp the plug goes home, ")


def test_0_in_doubt_but_1_when_strict(sheet: Path) -> None:
    doubt = ("plan", str(sheet), "--set", "joint.glue_gap=0.2")
    assert run(*doubt)[0] == 0
    status, out, err = run(*doubt, "--strict")
    assert (status, err) == (1, "")
    assert "doubtful glue gap: " in out


def test_1_it_does_not_fit(sheet: Path) -> None:
    status, out, err = run("plan", str(sheet), "--set", "joint.glue_gap=0")
    assert (status, err) == (1, "")
    assert out.splitlines()[1].startswith("DOES NOT FIT: ")
    assert "FAILS glue gap: " in out


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (("--set", "joint.glu_gap=0.4"), "--set joint.glu_gap: unknown key, the nearest is glue_gap"),
        (("--set", "joint.glue_gap=7"), "a glue gap of 7.00 mm leaves no plug in a pocket 6.00 mm deep"),
        (("--set", "outline={file: wren.svg}"), "outline.file: wren.svg: cannot be read: no such file or directory"),
        (("--set", "bits.v="), "bits: found no V-bit, expected v: with its angle, or pocket_v: and plug_v:"),
        (("--shop", "nowhere.yaml"), "nowhere.yaml: cannot be read: no such file or directory"),
    ],
)
def test_2_the_sheet_or_the_command_line_is_wrong(sheet: Path, arguments: tuple[str, ...], line: str) -> None:
    status, out, err = run("plan", str(sheet), *arguments)
    assert (status, out) == (2, "")
    assert line in err
    assert len(err.splitlines()) == 1


def test_2_every_mistake_of_a_sheet_has_its_line(sheet: Path) -> None:
    sheet.write_text(SHEET.replace("glue_gap: 0.5", "glue_gap: 0,5").replace("thickness: 19", "thickness: true"))
    status, out, err = run("plan", str(sheet))
    assert (status, out) == (2, "")
    first, second = err.splitlines()
    assert first.startswith(f"{sheet}:4:") and "base.thickness" in first
    assert second.startswith(f"{sheet}:6:") and "decimal comma" in second


def test_2_missing_sheet_and_missing_argument() -> None:
    assert run("plan", "nowhere.yaml")[0] == 2
    status, out, err = run("plan")
    assert (status, out) == (2, "")
    assert "Missing argument 'SHEET'" in err


def test_2_the_extra_for_svg_is_missing(sheet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (sheet.parent / "wren.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M0 0h9v9z"/></svg>'
    )
    monkeypatch.setitem(sys.modules, "svgelements", None)
    status, out, err = run("plan", str(sheet), "--set", "outline={file: wren.svg}")
    assert (status, out) == (2, "")
    assert "python -m pip install svgelements" in err and len(err.splitlines()) == 1


def test_70_a_bug_shows_its_traceback(
    sheet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a tip of no width")

    monkeypatch.setattr(planning, "plan", broken)
    assert cli.run(["plan", str(sheet)]) == 70
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "ZeroDivisionError: a tip of no width" in shown.err
    assert "a bug in inlayfit" in shown.err


@pytest.mark.skipif(os.name == "nt", reason="signals and pipes of POSIX")
def test_130_interrupted() -> None:
    waiting = process("plan", "-")
    time.sleep(0.7)  # until it waits for its standard input
    waiting.send_signal(signal.SIGINT)
    _, err = waiting.communicate(timeout=10)
    assert waiting.returncode == 130
    assert b"Traceback" not in err


@pytest.mark.skipif(os.name == "nt", reason="signals and pipes of POSIX")
def test_141_the_reader_of_a_pipe_went_away(sheet: Path) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    writing = process("plan", str(sheet), stdout=write_end)
    os.close(write_end)
    _, err = writing.communicate(timeout=20)
    assert (writing.returncode, err) == (141, b"")


# --- what the options do ---------------------------------------------------------------------------------------------


def plan_json(*arguments: str, input: str | None = None) -> dict[str, object]:
    status, out, err = run("plan", *arguments, "--format", "json", input=input)
    assert status in (0, 1), err
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_standard_input_is_the_same_sheet(sheet: Path) -> None:
    from_file, from_input = plan_json(str(sheet)), plan_json("-", input=SHEET)
    for name in ("depths", "passes", "seat", "checks", "verdict"):
        assert from_file[name] == from_input[name]
    assert from_input["sheet"] == "-"


def test_unit_changes_the_writing_only(sheet: Path) -> None:
    mm, inch = plan_json(str(sheet)), plan_json(str(sheet), "--unit", "in")
    assert (mm["unit"], inch["unit"]) == ("mm", "in")
    for name, value in mm["depths"].items():  # type: ignore[attr-defined]
        assert inch["depths"][name] * 25.4 == pytest.approx(value, abs=3e-5)  # type: ignore[index]
    assert mm["verdict"] == inch["verdict"]


def test_unit_does_not_move_a_derived_depth(sheet: Path) -> None:
    derived = ("--set", "joint.pocket_depth=", "--set", "base.thickness=8.777")
    mm, inch = plan_json(str(sheet), *derived), plan_json(str(sheet), *derived, "--unit", "in")
    assert mm["depths"]["pocket_depth"] == pytest.approx(5.77)  # type: ignore[index]
    assert inch["depths"]["pocket_depth"] * 25.4 == pytest.approx(5.77, abs=3e-5)  # type: ignore[index]


def test_nominal_leaves_the_seat_out(sheet: Path) -> None:
    found = plan_json(str(sheet), "--nominal")
    assert found["scope"] == "nominal outline"
    assert "seat" not in found
    status = {check["id"]: check["status"] for check in found["checks"]}  # type: ignore[attr-defined]
    assert (status["seat"], status["joint-line"], status["fine-strokes"]) == ("not checked", "not checked", "pass")
    _, out, _ = run("plan", str(sheet), "--nominal")
    assert "whether the plug seats was not checked" in " ".join(out.split())


def test_shop_file_lies_under_the_sheet(sheet: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text("unit: in\njoint: {glue_gap: 0.03, level_below: 0.02}\n")
    depths = plan_json(str(sheet), "--shop", str(shop))
    assert depths["depths"]["glue_gap"] == pytest.approx(0.5)  # type: ignore[index]
    assumed = [entry["key"] for entry in depths["assumed"]]  # type: ignore[attr-defined]
    assert "joint.level_below" not in assumed
    assert [entry["file"] for entry in depths["inputs"]] == [str(sheet), str(shop)]  # type: ignore[attr-defined]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_starter_sheet_plans_without_a_doubt(unit: str) -> None:
    status, out, err = run("new", "--unit", unit)
    assert (status, err, out) == (0, "", starter_sheet(unit))  # type: ignore[arg-type]
    assert run("plan", "-", "--strict", input=out)[0] == 0
    values = yaml.safe_load(out)
    assert values["unit"] == unit


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_starter_sheet_has_its_comments_in_one_column(unit: str) -> None:
    _, out, _ = run("new", "--unit", unit)
    columns = {line.index(" # ") for line in out.splitlines() if " # " in line.lstrip("# ")}
    assert len(columns) == 1
    assert "\t" not in out


def test_starter_sheet_and_a_sheet_without_a_unit_are_both_in_mm() -> None:
    assert run("new")[1] == starter_sheet("mm")


def test_schema_is_json() -> None:
    status, out, err = run("schema")
    assert (status, err) == (0, "")
    assert json.loads(out)["$schema"].endswith("2020-12/schema")


def test_version_and_help() -> None:
    assert run("--version") == (0, f"inlayfit {__version__}\n", "")
    status, out, _ = run("--help")
    assert status == 0
    for command in ("plan", "check", "new", "schema"):
        assert command in out


def test_help_cuts_no_line_off() -> None:
    lines = run("--help")[1].partition("Commands:")[2].splitlines()
    assert [line for line in lines if line.endswith("...")] == []


def test_a_sheet_in_inches_without_a_unit_is_told_how_it_was_read(tmp_path: Path) -> None:
    sheet = tmp_path / "board.yaml"
    sheet.write_text("base: {thickness: 1.5}\nplug: {thickness: 1}\nbits: {v: {angle: 60}}\n")
    hint = " (no unit is given, so bare numbers are mm: for inches write unit: in)\n"
    status, _, err = run("plan", str(sheet))
    assert status == 2
    assert "no pocket depth is left" in err
    assert err.endswith(hint)
    assert run("check", str(sheet))[2].splitlines(keepends=True)[0].endswith(hint)
    assert "no unit is given" not in run("plan", str(sheet), "--set", "unit=mm")[2]


def test_lengths_of_a_drawing_are_not_blamed_on_the_sheets_unit(tmp_path: Path) -> None:
    sheet = tmp_path / "board.yaml"
    sheet.write_text(
        "base: {thickness: 18}\nplug: {thickness: 12}\nbits: {v: {angle: 60}}\n"
        "outline: {file: leaf.svg, take: closed}\n"
    )
    (tmp_path / "leaf.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
        '<path fill="none" stroke="red" d="M5 5H20V10"/></svg>'
    )
    status, _, err = run("plan", str(sheet))
    assert status == 2
    assert "open from (5, 5) to (20, 10), 15.8 mm" in err
    assert "no unit is given" not in err


def test_one_colour_needs_no_brackets(tmp_path: Path) -> None:
    sheet = tmp_path / "board.yaml"
    sheet.write_text(
        "unit: mm\nbase: {thickness: 18}\nplug: {thickness: 12}\nbits: {v: {angle: 60}}\noutline: {file: leaf.svg}\n"
    )
    (tmp_path / "leaf.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
        '<rect width="40" height="40" fill="white"/><rect x="5" y="5" width="30" height="20"/></svg>'
    )
    assert "outline.colours" in run("plan", str(sheet), "--nominal")[2]
    for word in ("black", "'#000'", "[black]"):
        status, out, err = run("plan", str(sheet), "--nominal", "--set", f"outline.colours={word}")
        assert status in (0, 1), err
        assert "30.00 x 20.00 mm" in out


def test_a_folder_is_no_sheet_and_check_is_named_for_it(tmp_path: Path) -> None:
    told = f"{tmp_path}: cannot be read: it is a folder, expected a sheet (inlayfit check takes folders)\n"
    assert run("plan", str(tmp_path)) == (2, "", told)


def test_half_a_pair_from_the_command_line_is_told_at_its_own_place(sheet: Path) -> None:
    told = "bits.pocket_v: found pocket_v without plug_v, expected both, or v: alone for both walls\n"
    told = f"--set bits.pocket_v.angle: {told}"
    assert run("plan", str(sheet), "--set", "bits.pocket_v.angle=60") == (2, "", told)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [("new",), ("--help",), ("schema",)])
def test_a_full_disk_is_no_bug(arguments: tuple[str, ...]) -> None:
    with open("/dev/full", "wb") as full:
        running = process(*arguments, stdout=full)
        _, err = running.communicate(timeout=60)
    assert err.decode() == "standard output: cannot be written: no space left on device\n"
    assert running.returncode == endings.WRONG_INPUT


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")
def test_a_mistake_that_cannot_be_told_still_has_its_status() -> None:
    with open("/dev/full", "wb") as full:
        command = [sys.executable, "-m", "inlayfit", "plan", "gone.yaml"]
        assert subprocess.run(command, stderr=full, check=False, timeout=60).returncode == endings.WRONG_INPUT


def test_colour_only_where_a_terminal_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert endings.painter()("FAIL", "fail") != "FAIL"
    monkeypatch.setenv("NO_COLOR", "1")
    assert endings.painter()("FAIL", "fail") == "FAIL"
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: False, raising=False)
    assert endings.painter()("FAIL", "fail") == "FAIL"


def test_a_climate_is_told_one_way(sheet: Path) -> None:
    air = "climate.cutting={moisture: 8 %, temperature: 21 C, humidity: 45 %}"
    status, _, err = run("plan", str(sheet), "--set", air)
    assert status == 2
    assert "expected one or the other" in err
