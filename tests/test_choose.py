"""Choosing a set-up: the drawer, what a sheet leaves open, the search against a plain grid, what is told."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from inlayfit.choose.catalogue import fewest_bits
from inlayfit.choose.chooser import USUAL_FEEDS, choose
from inlayfit.choose.drawer import DrawerBit, read_drawer
from inlayfit.choose.set_up import SetUp, Tried, tried
from inlayfit.choose.wish import wish_of
from inlayfit.cli import main
from inlayfit.errors import InputError, InputErrors
from inlayfit.intake import InputFile, input_file
from inlayfit.sheet.jobsheet import read_files
from inlayfit.trials import SheetOnTrial

DRAWS = 500
DRAWER = """
unit: mm
bits:
  - {kind: v, name: slim, angle: 30, tip: 0.1, diameter: 6, reach: 14, depth_of_cut: 3}
  - {kind: v, name: sixty, angle: 60, tip: 0.2, diameter: 12, reach: 14, depth_of_cut: 4}
  - {kind: end mill, name: three, diameter: 3, reach: 16, depth_of_cut: 1.5, cost: 2}
  - {kind: end mill, name: six, diameter: 6, reach: 20, depth_of_cut: 3, cost: 2}
  - {kind: surfacing, name: facing, diameter: 25, depth_of_cut: 1}
"""
FEW = "\n".join(line for line in DRAWER.splitlines() if "sixty" not in line and "six" not in line)
SHEET = """
title: A moon on a box
unit: mm
outline: {shapes: [{circle: 40}, {circle: 18, at: [4, 0], hole: true}]}
base: {wood: black walnut, thickness: 19, blank: [90, 80]}
plug: {wood: sugar maple, thickness: 12, blank: [80, 80], cut_out: no}
joint: {glue_gap: 0.5, surface_gap: 2.5, clamp_pressure: 0.4 MPa}
"""
FIXED = SHEET.replace("glue_gap: 0.5", "pocket_depth: 4, glue_gap: 0.5")
"""A depth given: for what is not about depths, and quicker."""


def drawer(text: str = DRAWER) -> tuple[DrawerBit, ...]:
    return read_drawer(InputFile(name="drawer.yaml", data=text.encode()), "mm")


def written(folder: Path, sheet: str = SHEET, bits: str = DRAWER) -> tuple[Path, Path]:
    (folder / "moon.yaml").write_text(sheet)
    (folder / "drawer.yaml").write_text(bits)
    return folder / "moon.yaml", folder / "drawer.yaml"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [*map(str, arguments), "--draws", str(DRAWS)])


def test_a_drawer_may_be_a_list_alone_in_the_sheets_unit() -> None:
    text = "- {kind: v, angle: 60, tip: 0.005, diameter: 1/2}\n- {kind: end mill, diameter: 1/8, measured: {}}\n"
    with pytest.raises(InputErrors) as caught:
        read_drawer(InputFile(name="d.yaml", data=text.encode()), "in")
    assert caught.value.lines()[0].startswith("d.yaml:2:35: bits[2].measured: ")
    v, mill = read_drawer(InputFile(name="d.yaml", data=text.replace(", measured: {}", "").encode()), "in")
    assert (v.name, mill.name) == ("60 deg V-bit", "1/8 in end mill")
    assert v.text == "{name: 60 deg V-bit, angle: 60, tip: 0.005 in, diameter: 1/2 in}"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("bits: []", "found no list of bits"),
        ("unit: cm\nbits: [{kind: v, angle: 30}]", "expected in or mm"),
        ("bits: [{angle: 30}]", "found no kind, expected kind: v, end mill or surfacing"),
        ("bits: [{kind: drill, diameter: 3}]", "found the kind 'drill'"),
        ("bits: [{kind: end mill, diameter: 3}]", "found no V-bit"),
        ("bits: [{kind: v, angle: 30}, {kind: v, angle: 30}]", "two bits of the name '30 deg V-bit'"),
        ("bits: [{kind: v, angel: 30}]", "angel: unknown key"),
        ("tools: 3\nbits: [{kind: v, angle: 30}]", "tools: unknown key"),
    ],
)
def test_mistakes_in_a_drawer_are_told_with_their_place(text: str, told: str) -> None:
    with pytest.raises(InputErrors) as caught:
        drawer(text)
    assert any(told in line and line.startswith("drawer.yaml") for line in caught.value.lines())


def test_what_is_left_open_in_so_many_words() -> None:
    text = SHEET.replace("{shapes", "{width: 30..60, shapes").replace(
        "glue_gap", "pocket_depth: 3 mm..1/4 in, glue_gap"
    )
    text += "bits: {v: any, clearing: {diameter: 3}}\n"
    files, wish = wish_of(read_files(text.encode(), "moon.yaml"), "mm")
    assert (wish.v_open, wish.clearing_open, wish.depth_open) == (True, False, True)
    assert wish.depth == pytest.approx((3.0, 6.35))
    assert wish.width == pytest.approx((30.0, 60.0))
    assert files.sheet is not None
    assert "pocket_depth" not in files.sheet.fields["joint"].value.fields


def test_a_range_that_is_none_is_refused_with_its_place() -> None:
    text = SHEET.replace("glue_gap", "pocket_depth: 8..3, glue_gap")
    with pytest.raises(InputErrors) as caught:
        wish_of(read_files(text.encode(), "moon.yaml"), "mm")
    assert caught.value.lines()[0].startswith("moon.yaml:7:23: joint.pocket_depth: found '8..3'")


def whole(trial: SheetOnTrial, set_up: SetUp) -> Tried | None:
    try:
        intake = trial.taken_in(set_up.changes)
    except InputError:
        return None
    return tried(set_up, trial.planned(intake, "whole", feeds=USUAL_FEEDS), timed=True)


def beaten_by(folder: Path, sheet: str, bits: tuple[DrawerBit, ...], step: float) -> list[Tried]:
    """Set-ups of a plain grid of bits and depths that are better than the one chosen."""
    (folder / "sheet.yaml").write_text(sheet)
    trial = SheetOnTrial(str(folder / "sheet.yaml"), draws=DRAWS)
    choice = choose(trial, bits)
    best = choice.best[0]
    levelling = next((bit for bit in bits if bit.kind == "surfacing"), None)
    mills = [bit for bit in bits if bit.kind == "end mill"]
    better = []
    for v in (bit for bit in bits if bit.kind == "v"):
        # the stepover that was chosen with this bit: the grid is about depths and bits
        stepover = next((one.set_up.stepover for one in choice.best if one.set_up.v == v), "0.1mm")
        for clearing in [
            (),
            *((bit,) for bit in mills),
            *((b, a) for a in mills for b in mills if b.diameter > a.diameter),
        ]:
            for number in range(round(1.5 / step), round(12.7 / step) + 1):
                set_up = SetUp(
                    v=v, clearing=clearing, depth=f"{number * step:g}mm", stepover=stepover, levelling=levelling
                )
                found = whole(choice.trial, set_up)
                if found is not None and found.order("balance") < best.order("balance"):
                    better.append(found)
    return better


def test_no_coarse_grid_beats_the_choice(tmp_path: Path) -> None:
    few = tuple(bit for bit in drawer() if bit.name in ("slim", "three", "facing"))
    assert beaten_by(tmp_path, SHEET, few, 1.0) == []


@pytest.mark.wide
@pytest.mark.parametrize(
    "shape",
    [
        "{circle: 40}",
        "{star: {points: 5, across: 60, inner: 30}}",
        "{rectangle: [60, 12]}",
        "{ellipse: [50, 14]}",
    ],
)
def test_no_dense_grid_beats_the_choice_by_more_than_half_a_point(tmp_path: Path, shape: str) -> None:
    sheet = SHEET.replace("[{circle: 40}, {circle: 18, at: [4, 0], hole: true}]", f"[{shape}]")
    better = beaten_by(tmp_path, sheet, drawer(), 0.2)
    trial = SheetOnTrial(str(tmp_path / "sheet.yaml"), draws=DRAWS)
    best = choose(trial, drawer()).best[0]
    assert [one.set_up for one in better if one.tier < best.tier] == []
    assert max((one.points("balance") - best.points("balance") for one in better), default=0.0) < 0.5


def test_the_sheet_that_is_written_plans_with_the_verdict_that_was_told(tmp_path: Path) -> None:
    sheet, bits = written(tmp_path)
    chosen = tmp_path / "chosen.yaml"
    told = run("choose", sheet, "--bits", bits, "--format", "json", "-o", chosen)
    assert told.exit_code == 0, told.output
    found = json.loads(told.stdout)
    assert found["set_ups"][0]["verdict"] == found["verdict"]
    planned = run("plan", chosen, "--format", "json", "--no-advice")
    assert json.loads(planned.stdout)["verdict"] == found["verdict"]
    assert json.loads(planned.stdout)["depths"]["pocket_depth"] == found["set_ups"][0]["pocket_depth"]
    ranks = [(len(one["fails"]), len(one["doubtful"]), -one["points"]) for one in found["set_ups"]]
    assert ranks == sorted(ranks)
    bits_used = [(one["v"], *one["clearing"]) for one in found["set_ups"]]
    assert len(set(bits_used)) == len(bits_used)


def test_stepovers_leave_no_ridge_that_counts_and_no_finer_than_they_must(tmp_path: Path) -> None:
    sheet, _ = written(tmp_path, FIXED)
    choice = choose(SheetOnTrial(str(sheet), draws=0), drawer())
    for one in choice.best:
        bit = one.plan.job.bits.pocket_v
        room = 0.5 * one.plan.job.joint.glue_gap
        assert bit.ridge < room
        assert replace(bit, stepover=bit.stepover + 0.03).ridge > 0.9 * room


def test_the_text_tells_the_best_and_why_the_next_is_worse(tmp_path: Path) -> None:
    sheet, bits = written(tmp_path, FIXED)
    lines = run("choose", sheet, "--bits", bits).stdout.splitlines()
    assert lines[0] == "A moon on a box"
    assert lines[1].startswith("the best fits, of ")
    assert any(line.startswith("  2 is worse than 1: ") for line in lines)
    assert "To plan the first, put this into the sheet, or write it with -o" in lines
    assert max(map(len, lines)) <= 130


@pytest.mark.wide
def test_preferring_time_takes_no_longer_than_preferring_detail(tmp_path: Path) -> None:
    no_six = "\n".join(line for line in DRAWER.splitlines() if "name: six," not in line)
    sheet, bits = written(tmp_path, bits=no_six)
    minutes = {}
    for prefer in ("time", "detail"):
        found = json.loads(run("choose", sheet, "--bits", bits, "--prefer", prefer, "--format", "json").stdout)
        minutes[prefer] = found["set_ups"][0]["minutes"], found["set_ups"][0]["detail"]
    assert minutes["time"][0] <= minutes["detail"][0] + 1e-6
    assert minutes["detail"][1] >= minutes["time"][1] - 1e-6


@pytest.mark.wide
def test_a_width_left_open_is_as_large_as_fine_strokes_need(tmp_path: Path) -> None:
    text = SHEET.replace("[{circle: 40}, {circle: 18, at: [4, 0], hole: true}]", "[{rectangle: [30, 2]}, {circle: 9}]")
    text = text.replace("{shapes", "{width: 20..60, shapes")
    sheet, bits = written(tmp_path, text, FEW)
    found = json.loads(run("choose", sheet, "--bits", bits, "--format", "json", "--prefer", "detail").stdout)
    assert 20 <= found["set_ups"][0]["width"] <= 60
    assert found["set_ups"][0]["width"] >= 40


def test_where_nothing_fits_it_says_what_to_change_and_marks_the_drawing(tmp_path: Path) -> None:
    text = FIXED.replace(
        "[{circle: 40}, {circle: 18, at: [4, 0], hole: true}]", "[{rectangle: [40, 0.15]}, {circle: 9}]"
    )
    sheet, bits = written(tmp_path, text, FEW)
    marked = tmp_path / "marked.svg"
    told = run("choose", sheet, "--bits", bits, "-o", marked)
    assert told.exit_code == 1
    assert told.stdout.splitlines()[1].startswith("nothing fits of ")
    assert "planned again with every check" in told.stdout
    assert marked.read_text().startswith("<?xml") or "<svg" in marked.read_text()


def test_a_catalogue_gets_a_line_each_and_the_fewest_bits(tmp_path: Path) -> None:
    lids = tmp_path / "lids"
    lids.mkdir()
    (lids / "a.yaml").write_text(FIXED)
    (lids / "b.yaml").write_text(FIXED.replace("circle: 40", "circle: 50"))
    (lids / "c.yaml").write_text(FIXED.replace("thickness: 19", "thickness: nineteen"))
    (tmp_path / "drawer.yaml").write_text(FEW)
    told = run("choose", lids, "--bits", tmp_path / "drawer.yaml", "--fewest", "--format", "json")
    assert told.exit_code == 2
    found = json.loads(told.stdout)
    assert [choice["sheet"] for choice in found["choices"]] == [str(lids / "a.yaml"), str(lids / "b.yaml")]
    assert [entry["sheet"] for entry in found["unread"]] == [str(lids / "c.yaml")]
    assert found["not_served"] == []
    assert all(set(bits) <= set(found["fewest"]) for bits in found["served"].values())
    text = run("choose", lids / "a.yaml", lids / "b.yaml", "--bits", tmp_path / "drawer.yaml", "--fewest").stdout
    assert "Fewest bits, of the set-ups that were seated, for 2 sheets: " in text


def test_the_fewest_bits_by_hand() -> None:
    a, b, c, d = (
        replace(drawer()[0], name=name, minutes=cost) for name, cost in zip("abcd", (1, 1, 5, 1), strict=True)
    )
    # the first sheet wants a or b, the second b or c: b serves both
    assert fewest_bits((((a,), (b,)), ((b,), (c,)))) == (b,)
    assert set(fewest_bits((((a, b), (c,)), ((d,),)))) == {c, d}
    assert set(fewest_bits((((a,), (c,)), ((d,),)))) == {a, d}  # fewer minutes of change


def test_an_existing_file_and_several_sheets_with_one_file_are_refused(tmp_path: Path) -> None:
    sheet, bits = written(tmp_path)
    assert run("choose", sheet, "--bits", bits, "-o", sheet).exit_code == 2
    assert "expected one sheet" in run("choose", sheet, sheet, "--bits", bits, "-o", tmp_path / "x.yaml").stderr
    assert run("choose", sheet, "--bits", tmp_path / "none.yaml").exit_code == 2


def test_drawings_are_found_from_where_the_sheet_is_written(tmp_path: Path) -> None:
    drawing = {"type": "Polygon", "coordinates": [[[0, 0], [40, 0], [40, 20], [0, 20], [0, 0]]]}
    (tmp_path / "plate.geojson").write_text(json.dumps(drawing))
    sheet, bits = written(tmp_path, FIXED.replace("shapes: [{circle: 40}, {circle: 18, at: [4, 0], hole: true}]",
                                                  "file: plate.geojson, unit: mm"))  # fmt: skip
    (tmp_path / "sub").mkdir()
    chosen = tmp_path / "sub" / "chosen.yaml"
    assert run("choose", sheet, "--bits", bits, "-o", chosen).exit_code == 0
    assert run("plan", chosen, "--no-advice").exit_code == 0
    assert input_file(str(chosen)).data.count(b"../plate.geojson") == 1
