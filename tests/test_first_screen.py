"""The first screen of a plan: what it says in how many lines, and how wide."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from jobs import GONE, job

from inlayfit.intake import take_in
from inlayfit.plan import Plan, plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.text import full_text, text
from inlayfit.report.wording import title

EXAMPLES = Path(__file__).parent.parent / "examples"
SHEETS = {
    "compass": ("compass-board.yaml", ()),
    "fern": ("fern-lid.yaml", ()),
    "lakes": ("lakes-sign.yaml", ()),
    "heron": ("heron-tray.yaml", ()),
    "fern without glue gap": ("fern-lid.yaml", ("joint.glue_gap=0",)),
    "compass in thin stock": ("compass-board.yaml", ("plug.thickness=6", "joint.glue_gap=0.1")),
}
FIRST_SCREEN = 24


@cache
def planned(name: str) -> Plan:
    sheet, settings = SHEETS[name]
    intake = take_in(str(EXAMPLES / sheet), settings=settings, shops=(), unit=None)
    return plan(intake.job, intake.outline, draws=500)


@pytest.mark.parametrize("name", SHEETS)
def test_nobody_scrolls_to_know_whether_to_cut(name: str) -> None:
    made = planned(name)
    lines = text(made).splitlines()
    assert len(lines) <= (70 if made.verdict == "does not fit" else 45)
    first = "\n".join(lines[:FIRST_SCREEN])
    assert lines[1].startswith({"fits": "FITS: ", "doubtful": "FITS, WITH", "does not fit": "DOES NOT"}[made.verdict])
    for entry in made.findings:
        if entry.status in ("fail", "doubtful"):
            assert f"{'FAILS' if entry.status == 'fail' else 'doubtful'} {title(entry.id)}: " in first
    depths, digits = made.facts.depths, setting_digits(made)
    for words, depth in (
        ("pocket depth", depths.pocket_depth),
        ("plug start depth", depths.start_depth),
        ("plug below start", depths.depth_below_start),
        ("plug total depth", depths.plug_total_depth),
    ):
        number = length_text(depth, made.job.unit, with_unit=False, digits=digits)
        assert re.search(rf"{words} +{re.escape(number)}\b", first), words
    if made.facts.seat is not None:
        assert "Dry fit by hand, calipers: surface gap " in first


@pytest.mark.parametrize("name", SHEETS)
def test_every_pass_stands_there(name: str) -> None:
    made = planned(name)
    digits = setting_digits(made)
    passes = re.findall(r"\d+\.\d+", text(made).partition("Passes (")[2])
    for entry in made.facts.passes:
        typed = (entry.start_depth, entry.depth_below_start)
        depths = typed if entry.part == "plug" and entry.step != "cut out" else (entry.total_depth,)
        for depth in depths:
            assert length_text(abs(depth or 0.0), made.job.unit, with_unit=False, digits=digits) in passes


@pytest.mark.parametrize("columns", [50, 72, 100])
@pytest.mark.parametrize("name", SHEETS)
def test_no_line_is_wider_than_the_page(name: str, columns: int) -> None:
    made = planned(name)
    for report in (text(made, width=columns), full_text(made, width=columns)):
        assert max(map(len, report.splitlines())) <= columns


@pytest.mark.parametrize("name", SHEETS)
def test_no_sign_means_the_opposite_of_the_machines(name: str) -> None:
    made = planned(name)
    below_the_bed = "above bed" in full_text(made)
    for report in (text(made), full_text(made)):
        signed = re.findall(r"(?<![\w.(\[])-\d[\d.]*", report)
        # a cut through the blank into the spoil board lies under a zero on the bed: the machine's own minus
        assert not signed or (below_the_bed and len(set(signed)) == 1), signed


def test_levelling_is_told_above_the_face() -> None:
    made = plan(job())
    above = [entry for entry in made.facts.passes if entry.step == "level" and entry.total_depth < 0]
    report = " ".join(text(made).split())
    heights = " ".join(length_text(-entry.total_depth, "mm", with_unit=False) for entry in above)
    assert f"{heights} above the face, 0.25 below it; pass " in report


@pytest.mark.parametrize("name", SHEETS)
def test_forces_stand_in_one_unit_and_sentences_are_short(name: str) -> None:
    first = text(planned(name))
    assert not re.search(r"\bN \(|lbf \(", first)
    told = " ".join(line.strip() for line in first.partition("\n\n")[0].splitlines()[1:] if "--set" not in line)
    sentences = [sentence.split() for sentence in re.split(r"[.:;] ", told) if sentence]
    assert sum(map(len, sentences)) / len(sentences) < 15


def test_derived_depths_carry_a_star() -> None:
    given, derived = text(plan(job())), text(plan(job({"joint.pocket_depth": GONE})))
    assert re.search(r"pocket depth +6\.00 {2,}", given)
    assert re.search(r"pocket depth +6\.35 \*", derived)
    assert "worked out; the pocket as deep as stock and bits allow" in derived


def test_parts_are_told_alone_and_the_last_line_names_them() -> None:
    made = planned("fern")
    names = text(made).split("any of ")[1].replace("\n", "").replace(" ", "").split(",")
    assert {"seat", "passes", "shop", "tolerance", "checks", "cautions"} < set(names)
    for name in names:
        assert len(full_text(made, [name]).splitlines()) > 3
    whole = full_text(made)
    assert all(full_text(made, [name]).split("\n\n", 1)[1].strip() in whole for name in names)
