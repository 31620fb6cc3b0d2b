"""One joint, told many times: report, JSON, checks, trial pairs, card and pictures must agree about random jobs.

A few run with the suite; ``-m wide`` runs three hundred (docs/validation.md has the command and the result).
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner
from random_sheets import SheetMaker

from inlayfit.cli import main
from inlayfit.report.sentences import TITLES

FEW, MANY = range(6), range(6, 300)
DRAWS = "1500"
CLOSE = 2e-6  # what two rounded numbers may differ by


def run(*arguments: str | Path) -> Any:
    return CliRunner().invoke(main, [*map(str, arguments)])


def told(sheet: Path) -> tuple[int, dict[str, Any] | None, str]:
    found = run("plan", sheet, "--format", "json", "--no-advice", "--draws", DRAWS)
    assert found.exit_code in (0, 1, 2), found.output
    return found.exit_code, json.loads(found.stdout) if found.exit_code != 2 else None, found.stderr


def contradictions(sheet: Path, folder: Path) -> Iterator[str]:
    """Every way in which what is told of a sheet does not agree with itself."""
    status, plan, words = told(sheet)
    if plan is None:
        if not words.strip():
            yield "refused without a word"
        return
    yield from of_the_verdict(status, plan)
    yield from of_the_passes(plan)
    if "seat" in plan:
        yield from of_the_seat(plan)
    yield from of_the_report(sheet, plan)
    yield from of_the_batch(sheet, plan)
    yield from of_card_and_pictures(sheet, plan, folder)


def called(check: str) -> str:
    """What the report calls a check."""
    return TITLES.get(check, check.replace("-", " "))


def checks_of(plan: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {entry["id"]: entry for entry in plan["checks"]}


def of_the_verdict(status: int, plan: dict[str, Any]) -> Iterator[str]:
    statuses = {entry["status"] for entry in plan["checks"]}
    expected = "does not fit" if "fail" in statuses else "doubtful" if "doubtful" in statuses else "fits"
    if plan["verdict"] != expected:
        yield f"verdict {plan['verdict']} with checks {statuses}"
    if status != (plan["verdict"] == "does not fit"):
        yield f"status {status} for {plan['verdict']}"


def of_the_passes(plan: dict[str, Any]) -> Iterator[str]:
    depths = plan["depths"]
    ends = {"pocket": depths["pocket_depth"], "plug": depths["plug_total_depth"]}
    by_step: dict[tuple[str, str, str], list[dict[str, Any]]] = {}
    for entry in plan["passes"]:
        by_step.setdefault((entry["part"], entry["step"], entry["bit"]), []).append(entry)
    for (part, step, bit), passes in by_step.items():
        totals = [entry["total_depth"] for entry in passes]
        if totals != sorted(totals):
            yield f"{part} {step} {bit}: passes go up again"
        if step in ("clear", "walls") and abs(totals[-1] - ends[part]) > CLOSE:
            yield f"{part} {step} {bit} ends at {totals[-1]}, not {ends[part]}"
        for entry in passes:
            if entry.get("start_depth") is not None and step in ("clear", "walls"):
                if abs(entry["start_depth"] + entry["depth_below_start"] - entry["total_depth"]) > CLOSE:
                    yield f"{part} {step} {bit}: start and below do not make the total"
    if abs(depths["pocket_depth"] - depths["glue_gap"] - depths["start_depth"]) > CLOSE:
        yield "pocket depth, glue gap and start depth do not add up"
    if abs(depths["start_depth"] + depths["depth_below_start"] - depths["plug_total_depth"]) > CLOSE:
        yield "the plug's depths do not add up"


def of_the_seat(plan: dict[str, Any]) -> Iterator[str]:
    seat, checks, limit = plan["seat"], checks_of(plan), 0.1 if plan["unit"] == "mm" else 0.1 / 25.4
    low, high = seat["by_hand"]
    if not seat["lift"] - CLOSE <= seat["lift_strong"] <= seat["first_touch"] + CLOSE:
        yield f"clamped {seat['lift']}, in stronger wood {seat['lift_strong']}, before pressing {seat['first_touch']}"
    if not low - CLOSE <= high <= seat["first_touch"] + CLOSE:
        yield f"by hand {seat['by_hand']}, before pressing {seat['first_touch']}"
    if seat["glue_gap"] < -CLOSE and checks["glue-gap"]["status"] != "fail":
        yield f"a glue gap of {seat['glue_gap']} that no check minds"
    if seat["surface_gap"] < -CLOSE and checks["surface-gap"]["status"] != "fail":
        yield f"a surface gap of {seat['surface_gap']} that no check minds"
    if seat["surface_gap_least"]["value"] > seat["surface_gap"] + CLOSE:
        yield "the least surface gap is more than the surface gap"
    line = checks["joint-line"]
    if line["status"] != "not checked":
        if abs(line["value"] - seat["joint_line"]["largest"]) > CLOSE:
            yield f"joint line {line['value']} in the check, {seat['joint_line']['largest']} in the seat"
        if (line["status"] == "fail") != (seat["joint_line"]["largest"] > limit + CLOSE):
            yield f"joint line {seat['joint_line']['largest']} is {line['status']}"
    if not 0 <= seat["crushed_share"] <= 1 + CLOSE:
        yield f"crushed share {seat['crushed_share']}"
    if seat["wall_load_n"][0] > seat["wall_load_n"][1] + CLOSE:
        yield f"walls bear {seat['wall_load_n']}"
    stack = plan.get("stack")
    if stack is not None and "lift" in stack:
        for name in ("lift", "glue_gap"):
            ends = stack[name]
            if not ends["worst"][0] - CLOSE <= ends["nominal"] <= ends["worst"][1] + CLOSE:
                yield f"{name}: {ends['nominal']} lies outside its worst case {ends['worst']}"
        if abs(stack["lift"]["nominal"] - seat["lift"]) > 0.02 * (1 if plan["unit"] == "mm" else 1 / 25.4):
            yield f"as it should be {stack['lift']['nominal']}, clamped {seat['lift']}"
    if checks["floor-ridges"]["status"] == "pass" and stack is not None and "seats_on_walls" in stack:
        if checks["stack"]["status"] == "pass" and stack["seats_on_walls"] < 0.95 - CLOSE:
            yield f"stack passes with {stack['seats_on_walls']} on walls"


def of_the_report(sheet: Path, plan: dict[str, Any]) -> Iterator[str]:
    found = run("plan", sheet, "--no-advice", "--draws", DRAWS)
    text = found.stdout
    wide = [line for line in text.splitlines() if len(line) > 100]
    if wide:
        yield f"{len(wide)} lines over 100 columns, such as {wide[0]!r}"
    words = " ".join(text.split())
    for entry in plan["checks"]:
        if entry["status"] in ("fail", "doubtful") and called(entry["id"]) not in words:
            yield f"the report does not tell {entry['id']}, {entry['status']}"
    digits = 2 if plan["unit"] == "mm" else 3
    for name in ("pocket_depth", "start_depth", "depth_below_start", "plug_total_depth"):
        number = f"{plan['depths'][name]:.{digits}f}"
        if number not in text and f"{plan['depths'][name]:.4f}" not in text:
            yield f"the report does not tell {name} {number}"
    headline = {"fits": "FITS", "doubtful": "", "does not fit": "DOES NOT FIT"}[plan["verdict"]]
    if headline not in text.splitlines()[1]:
        yield f"{plan['verdict']} under the headline {text.splitlines()[1]!r}"
    if re.search(r"(?<![\d.])-\d", text.split("Levelling", 1)[-1].split("\n\n", 1)[0]):
        yield "a levelling height with a minus"


def of_the_batch(sheet: Path, plan: dict[str, Any]) -> Iterator[str]:
    found = run("check", sheet, "--format", "jsonl", "--draws", DRAWS, "--jobs", "1")
    record = json.loads(found.stdout.splitlines()[0])
    for name in ("verdict", "depths", "checks", "seat", "stack"):
        if record.get(name) != plan.get(name):
            yield f"check and plan differ in {name}"


def of_card_and_pictures(sheet: Path, plan: dict[str, Any], folder: Path) -> Iterator[str]:
    card = folder / "card.html"
    assert run("card", sheet, "-o", card, "--force", "--draws", DRAWS).exit_code in (0, 1)
    page = card.read_text(encoding="utf-8")
    fails = plan["verdict"] == "does not fit"
    if fails != ("DO NOT CUT" in page):
        yield f"{plan['verdict']}, and the card {'does not say' if fails else 'says'} DO NOT CUT"
    if fails and "Numbers to type" in page:
        yield "the card of a job that fails has numbers to type"
    drawing = folder / "joint.svg"
    assert run("draw", sheet, "--view", "all", "-o", drawing, "--force", "--draws", DRAWS).exit_code in (0, 1)
    ElementTree.fromstring(drawing.read_text(encoding="utf-8"))


def found_in(numbers: range, folder: Path) -> list[str]:
    found = []
    for number in numbers:
        sheet = folder / f"trial{number}.yaml"
        sheet.write_text(json.dumps(SheetMaker(1_000 + number).sheet()))
        found += [f"{number}: {words}" for words in contradictions(sheet, folder)]
    return found


def test_a_few_jobs_are_told_without_contradiction(tmp_path: Path) -> None:
    assert found_in(FEW, tmp_path) == []


@pytest.mark.wide
def test_many_jobs_are_told_without_contradiction(tmp_path: Path) -> None:
    assert found_in(MANY, tmp_path) == []


@pytest.mark.parametrize("spoil", [
    lambda plan: plan.update(verdict="doubtful" if plan["verdict"] == "fits" else "fits"),
    lambda plan: plan["seat"].update(glue_gap=-0.1),
    lambda plan: plan["seat"].update(by_hand=[1e3, 1e3]),
    lambda plan: plan["depths"].update(start_depth=0.0),
    lambda plan: plan["passes"][0].update(total_depth=1e3),
])  # fmt: skip
def test_a_contradiction_is_noticed(tmp_path: Path, spoil: Any) -> None:
    sheet = tmp_path / "trial.yaml"
    sheet.write_text(json.dumps(SheetMaker(1_001).sheet()))
    status, plan, _ = told(sheet)
    assert plan is not None
    spoil(plan)
    assert [*of_the_verdict(status, plan), *of_the_passes(plan), *of_the_seat(plan)]
