"""The example sheets: verdicts, exit statuses, and numbers that follow from the sheet by hand."""

from __future__ import annotations

import json
from functools import cache
from math import atan2, ceil, cos, degrees, pi, radians, sin, tan
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from inlayfit.cli import main
from inlayfit.intake import take_in
from inlayfit.plan import plan

EXAMPLES = Path(__file__).parent.parent / "examples"
VERDICTS = {
    "compass-board.yaml": ("fits", 0),
    "fern-lid.yaml": ("fits", 0),
    "heron-tray.yaml": ("does not fit", 1),
    "lakes-sign.yaml": ("fits", 0),
}
PRINTED = 1e-6
"""Rounding of the JSON numbers."""


@cache
def run(name: str, *options: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["plan", str(EXAMPLES / name), *options])
    assert result.stderr == ""
    return result.exit_code, result.stdout


def data(name: str, *options: str) -> Any:
    return json.loads(run(name, "--format", "json", *options)[1])


def statuses(name: str) -> dict[str, str]:
    return {entry["id"]: entry["status"] for entry in data(name)["checks"]}


def passes(name: str, part: str, step: str) -> list[dict[str, Any]]:
    return [entry for entry in data(name)["passes"] if (entry["part"], entry["step"]) == (part, step)]


def test_every_sheet_is_listed_here_and_every_drawing_has_a_sheet() -> None:
    assert {path.name for path in EXAMPLES.glob("*.yaml")} == set(VERDICTS)
    drawings = {yaml.safe_load(path.read_text())["outline"].get("file") for path in EXAMPLES.glob("*.yaml")} - {None}
    assert {path.name for path in EXAMPLES.glob("*.svg")} == drawings
    assert {path.suffix for path in EXAMPLES.iterdir() if path.is_file()} == {".yaml", ".svg"}


@pytest.mark.parametrize(("name", "expected"), VERDICTS.items())
def test_verdict_and_exit_status(name: str, expected: tuple[str, int]) -> None:
    verdict, status = expected
    assert (data(name)["verdict"], run(name, "--format", "json")[0]) == expected
    code, text = run(name)
    assert code == status
    title, headline = text.splitlines()[:2]
    assert title == data(name)["title"]
    assert headline.startswith("DOES NOT FIT: ") == (verdict == "does not fit")


@pytest.mark.parametrize("name", VERDICTS)
def test_nothing_that_matters_is_assumed_or_left_out(name: str) -> None:
    found = data(name)
    assert found["notes"] == []
    rested_on = {key for entry in found["checks"] for key in entry["rests_on"]}
    assert rested_on == set()


@pytest.mark.parametrize("name", VERDICTS)
def test_depths_follow_from_the_sheet(name: str) -> None:
    found = data(name)
    depths, joint = found["depths"], yaml.safe_load((EXAMPLES / name).read_text())["joint"]
    pocket = 3 / 16 if joint["pocket_depth"] == "3/16" else joint["pocket_depth"]
    start = pocket - joint["glue_gap"]
    assert depths["pocket_depth"] == pytest.approx(pocket, abs=PRINTED)
    assert depths["start_depth"] == pytest.approx(start, abs=PRINTED)
    assert depths["depth_below_start"] == pytest.approx(joint["surface_gap"], abs=PRINTED)
    assert depths["plug_total_depth"] == pytest.approx(start + joint["surface_gap"], abs=PRINTED)


@pytest.mark.parametrize("name", VERDICTS)
def test_each_step_ends_at_its_depth_and_each_pass_takes_its_load(name: str) -> None:
    depths = data(name)["depths"]
    ends = {("pocket", "clear"): "pocket_depth", ("pocket", "walls"): "pocket_depth"}
    ends |= {("plug", "clear"): "plug_total_depth", ("plug", "walls"): "plug_total_depth"}
    for (part, step), end in ends.items():
        rows = passes(name, part, step)
        for bit in {row["bit"] for row in rows}:
            totals = [row["total_depth"] for row in rows if row["bit"] == bit]
            assert totals[-1] == depths[end]
            taken = [after - before for before, after in zip([0.0, *totals], totals, strict=False)]
            assert taken == pytest.approx([depths[end] / len(totals)] * len(totals), abs=2 * PRINTED)


def test_fern_lid_in_inches() -> None:
    found = data("fern-lid.yaml")
    depths = found["depths"]
    run_per_depth = tan(radians(30 / 2))
    assert found["unit"] == "in"
    assert depths["pocket_clearing_offset"] == pytest.approx(3 / 16 * run_per_depth, abs=PRINTED)
    assert depths["full_depth_width"] == pytest.approx(2 * 3 / 16 * run_per_depth + 0.004, abs=PRINTED)
    assert depths["clearing_width"] == pytest.approx(2 * 3 / 16 * run_per_depth + 1 / 16, abs=PRINTED)
    assert depths["base_floor"] == pytest.approx(5 / 8 - 3 / 16, abs=PRINTED)
    assert depths["above_face"] == pytest.approx(1 / 2 - (3 / 16 - 0.02), abs=PRINTED)
    width = found["outline"]["bounds"][2]
    assert width == pytest.approx(5.5, abs=PRINTED)
    assert found["outline"]["regions"] == 1
    walls = passes("fern-lid.yaml", "plug", "walls")
    total = 3 / 16 - 0.02 + 0.1
    assert len(walls) == ceil(total / 0.15)
    # half the load: the same depth below the start, and a start depth that rises by the rest
    assert walls[0]["depth_below_start"] == pytest.approx(0.1, abs=PRINTED)
    assert walls[0]["start_depth"] == pytest.approx(total / 2 - 0.1, abs=PRINTED)


def test_fern_lid_written_in_mm_is_the_same_job() -> None:
    inches, mm = data("fern-lid.yaml"), data("fern-lid.yaml", "--unit", "mm")
    assert mm["verdict"] == inches["verdict"]
    for name, value in inches["depths"].items():
        assert mm["depths"][name] == pytest.approx(25.4 * value, abs=25.4 * PRINTED)
    assert mm["outline"]["area"] == pytest.approx(25.4**2 * inches["outline"]["area"], abs=25.4**2 * PRINTED)


def test_compass_board_from_inline_shapes() -> None:
    outline = data("compass-board.yaml")["outline"]
    # the ring, the star with its hole, the disc in the middle
    assert (outline["regions"], outline["holes"]) == (3, 2)
    assert outline["bounds"] == pytest.approx([0, 0, 150, 150], abs=0.02)
    flat = 0.02  # chords lie within 0.005 mm of their arcs on either side, a width has two sides
    assert outline["narrowest_stroke"]["value"] == pytest.approx((150 - 136) / 2, abs=flat)
    assert outline["narrowest_gap"]["value"] == pytest.approx((18 - 9) / 2, abs=flat)
    inner = 20 * sin(pi / 4), 62 - 20 * cos(pi / 4)
    assert outline["sharpest_corner"]["value"] == pytest.approx(degrees(2 * atan2(*inner)), abs=0.01)


@pytest.mark.parametrize("name", VERDICTS)
def test_every_plug_comes_home_under_its_clamp(name: str) -> None:
    found = data(name)
    seat, depths = found["seat"], found["depths"]
    assert found["scope"] == "as cut"
    # a bit as declared cuts walls that touch at lift 0
    assert seat["lift"] == pytest.approx(0, abs=1e-4)
    assert seat["first_touch"] >= max(seat["by_hand"]) >= min(seat["by_hand"]) >= seat["lift"]
    assert seat["glue_gap"] == pytest.approx(depths["glue_gap"] + seat["lift"], abs=2 * PRINTED)
    assert seat["surface_gap"] == pytest.approx(depths["surface_gap"] + seat["lift"], abs=2 * PRINTED)
    assert seat["clamp_force_n"] < seat["wall_load_n"][0]


def test_fern_lid_stands_on_the_inner_corner_that_is_sharpest() -> None:
    first = data("fern-lid.yaml")["seat"]["contacts"][0]
    assert (first["kind"], first["part"]) == ("corner", "plug")
    # r (1 / sin a - 1) / T, for a bit as declared
    high = 0.002 * (1 / sin(radians(first["angle"] / 2)) - 1) / tan(radians(15))
    assert first["lift"] == pytest.approx(high, abs=0.002 / 25.4)


def test_compass_board_stands_on_the_stars_points() -> None:
    seat = data("compass-board.yaml")["seat"]
    half = atan2(20 * sin(pi / 4), 62 - 20 * cos(pi / 4))
    # r (1 - sin a) / T high, and r (1 / sin a - 1) short at the face
    assert seat["first_touch"] == pytest.approx(0.05 * (1 - sin(half)) / tan(radians(20)), abs=0.002)
    points = [entry for entry in seat["contacts"] if entry["lift"] > seat["first_touch"] - 0.002]
    assert len(points) == 4
    assert [entry["lost"] for entry in points] == pytest.approx([0.05 * (1 / sin(half) - 1)] * 4, abs=1e-3)


def test_lakes_sign_takes_the_usual_clamp_for_all_its_soft_plug() -> None:
    usual = data("lakes-sign.yaml", "--set", "joint.clamp_pressure=0.7 MPa")
    assert {entry["id"] for entry in usual["checks"] if entry["status"] not in ("pass", "not checked")} == set()
    # the walls may crush a little under it, and are driven to no floor
    low, high = usual["seat"]["wall_load_n"]
    assert low < usual["seat"]["clamp_force_n"] < high
    # but advised is what they bear for certain, which is less than the glue wants
    assert usual["shop"]["clamp_bound"] == "walls"
    assert usual["shop"]["clamp_force_kn"][1] * 1000 <= low + 1 < usual["shop"]["glue_wants_kn"][0] * 1000


def test_lakes_sign_has_regions_holes_and_a_region_in_a_hole() -> None:
    found = data("lakes-sign.yaml")
    # five lakes and the tarn; three islands in the large lake, one in each of two others
    assert (found["outline"]["regions"], found["outline"]["holes"]) == (6, 5)
    assert found["outline"]["bounds"][2] == pytest.approx(240, abs=PRINTED)
    assert {entry["zero"] for entry in found["passes"]} == {"bed"}
    # two V-bits of one angle: the plug's has the wider tip, the depths are the angle's alone
    assert {entry["bit"] for entry in found["passes"] if entry["step"] == "walls"} == {
        "30 deg V (pocket)",
        "30 deg V (plug)",
    }
    assert found["depths"]["plug_clearing_offset"] == pytest.approx(3 * tan(radians(15)), abs=PRINTED)


def test_heron_tray_says_why_it_does_not_fit() -> None:
    checks = {entry["id"]: entry for entry in data("heron-tray.yaml")["checks"]}
    failed = {name for name, entry in checks.items() if entry["status"] == "fail"}
    assert failed == {"base-floor", "floor-ridges", "fine-strokes", "survives-levelling", "thin-walls"}
    assert checks["base-floor"]["value"] == pytest.approx(9 - 6.5, abs=PRINTED)
    ridge = (0.12 * 6 - 0.5) / (2 * tan(radians(15)))
    assert checks["floor-ridges"]["value"] == pytest.approx(ridge, abs=PRINTED)
    assert ridge > 0.4  # the glue gap
    for name in ("fine-strokes", "survives-levelling"):
        assert checks[name]["places"]
    assert all(place["value"] <= 0.5 for place in checks["fine-strokes"]["places"])  # the tip's width
    text = run("heron-tray.yaml")[1]
    for name in failed:
        assert f"FAILS {name.replace('-', ' ')}: " in text
        assert checks[name]["remedy"]


@pytest.mark.parametrize(
    ("fix", "check", "touched"),
    [
        ("base.thickness=10", "base-floor", set[str]()),
        # the plug lands on the ridges, which are higher than the glue gap
        ("bits.v.stepover=4 %", "floor-ridges", {"seat"}),
        # a sharper tip also leaves higher ridges, keeps finer strokes and rounds less
        ("bits.v.tip=0.1", "fine-strokes", {"floor-ridges", "survives-levelling", "corners", "seat"}),
    ],
)
def test_each_fault_of_the_heron_tray_can_be_mended_alone(fix: str, check: str, touched: set[str]) -> None:
    # without the advice that the command adds
    intake = take_in(str(EXAMPLES / "heron-tray.yaml"), settings=[fix])
    mended = {finding.id: finding.status for finding in plan(intake.job, intake.outline).findings}
    assert mended[check] != "fail"
    before, others = statuses("heron-tray.yaml"), {check, *touched}
    assert {name: status for name, status in mended.items() if name not in others} == {
        name: status for name, status in before.items() if name not in others
    }


def test_compass_board_is_set_up_in_full() -> None:
    found = data("compass-board.yaml")
    wanted = ("blank-margin", "hold-downs", "levelling", "wood-movement")
    assert {name: statuses("compass-board.yaml")[name] for name in wanted} == dict.fromkeys(wanted, "pass")
    shop = found["shop"]
    # datum at the lower left, the middle of 420 x 240 is the middle of the outline
    assert shop["margins"]["base"] == pytest.approx({"left": 135, "right": 135, "lower": 45, "upper": 45}, abs=0.02)
    assert shop["margins"]["plug"]["left"] == pytest.approx(95 - 75 - 8 - 6, abs=0.02)
    assert {entry["part"] for entry in shop["hold_downs"]} == {"base", "plug", "level"}
    assert not any(entry["strikes"] for entry in shop["hold_downs"])
    # cherry 0.00248, sugar maple 0.00353 for 1 %, over the ring's whole width
    before, after = shop["moisture_percent"]
    assert shop["movement"] == pytest.approx(150 * (0.00353 - 0.00248) * (after - before), rel=5e-3)
    assert shop["minutes"]["left_out"] == []
