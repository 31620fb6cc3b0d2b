"""The mistakes that are made between a plan and its programmes: each is found, told first, with its line and number."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import outlines
import pytest
from jobs import CUT_OUT, job
from posted import Planned, frames, planned, source, texts
from programme_writer import STYLES, Style, Typed, plug_strokes, pocket_strokes, posted

from inlayfit.programme.reader import read_programme
from inlayfit.proof.faults import Fault
from inlayfit.proving import Posted, Proof, prove
from inlayfit.report.proof_text import fault_text, proof_text

LOPSIDED = [(0.0, 0.0), (24.0, 0.0), (24.0, 7.0), (9.0, 8.0), (5.0, 17.0)]
FORMS = {"lopsided": lambda: outlines.polygon(LOPSIDED), "star": outlines.star, "comb": lambda: outlines.comb(4)}
SHEET = {
    "bits.cut_out": CUT_OUT, "bits.v.diameter": 7.0, "base.blank": (120.0, 90.0), "plug.blank": (80.0, 70.0),
    "bits.v.stepover": 0.1,
}  # fmt: skip
"""A cone that reaches, and ridges that stay under half the glue gap."""


@pytest.fixture(
    scope="module", params=["lopsided", *(pytest.param(name, marks=pytest.mark.wide) for name in ("star", "comb"))]
)
def made(request: pytest.FixtureRequest) -> Planned:
    return planned(job(SHEET), FORMS[request.param]())


def proved(of: Planned, base: str, plug: str) -> Proof:
    found = []
    for part, text in (("pocket", base), ("plug", plug)):
        programme = read_programme(text, name=f"{part}.nc", unit=of.job.sheet_unit)
        found.append(((source(of.job, part, programme), programme),))
    return prove(of.plan, of.outline, Posted(*found), of.analysis)


def with_numbers(of: Planned, style: Style, base: Typed, plug: Typed) -> Proof:
    of_base, of_plug = frames(of)
    return proved(
        of,
        posted(pocket_strokes(of.outline, of.analysis, base), of_base, style),
        posted(plug_strokes(of.outline, of.analysis, plug), of_plug, style),
    )


def first(proof: Proof, check: str, *words: str, file: str) -> Fault:
    assert proof.verdict == "does not fit"
    fault = proof.faults[0]
    told = fault_text(fault, proof)
    assert fault.check == check, proof_text(proof)
    for word in words:
        assert word in told, told
    assert fault.spot is not None and fault.spot.file == file and fault.spot.line > 1
    return fault


@pytest.mark.parametrize("style", STYLES)
def test_sound_programmes_pass(made: Planned, style: str) -> None:
    proof = proved(made, *texts(made, STYLES[style]))
    worse = [entry for entry in proof.findings if entry.status not in ("pass",) and entry.id not in ("corners", "seat")]
    assert not worse and not proof.faults, proof_text(proof)
    assert proof.seat is not None
    assert proof.seat.first_touch == pytest.approx(made.plan.facts.seat.first_touch, abs=0.002)  # type: ignore
    assert "These two will seat" in proof_text(proof)


def each_style(test: Callable[..., None]) -> Callable[..., None]:
    quick, *others = (pytest.param(style, id=name) for name, style in STYLES.items())
    return pytest.mark.parametrize(
        "style", [quick, *(pytest.param(*other.values, id=other.id, marks=pytest.mark.wide) for other in others)]
    )(test)


@each_style
def test_plug_not_mirrored(made: Planned, style: Style) -> None:
    numbers, (of_base, of_plug) = made.numbers, frames(made)
    if made.outline.bounds == FORMS["star"]().bounds:
        pytest.skip("a star is its own mirror image")
    proof = proved(
        made,
        posted(pocket_strokes(made.outline, made.analysis, numbers), of_base, style),
        posted(plug_strokes(made.outline, made.analysis, numbers), replace(of_plug, mirrored=False), style),
    )
    if len(made.outline.regions[0].exterior.coords) > 10:
        # a comb is its own mirror image
        assert not [fault for fault in proof.faults if fault.check == "programme-mirror"]
        return
    first(proof, "programme-mirror", "the plug is not mirrored", "mirror the plug's drawing", file="plug.nc")


@each_style
def test_start_depth_left_at_0(made: Planned, style: Style) -> None:
    numbers = made.numbers
    below = numbers.below_start
    wrong = replace(numbers, start_depth=0.0, plug_walls=((0.0, below),), plug_clear=(below,))
    proof = with_numbers(made, style, numbers, wrong)
    words = "the start depth was left at 0: type 5.50 as the plug's start depth"
    first(proof, "programme-depths", words, file="plug.nc")


@each_style
def test_total_typed_as_depth_below_start(made: Planned, style: Style) -> None:
    numbers = made.numbers
    total = numbers.start_depth + numbers.below_start
    wrong = replace(
        numbers, below_start=total, plug_walls=((numbers.start_depth, total),), cut_out=None,
        plug_clear=(numbers.start_depth + total,),
    )  # fmt: skip
    deep = planned(job({**SHEET, "plug.thickness": 25.0}), made.outline)
    proof = with_numbers(deep, style, numbers, wrong)
    first(proof, "programme-depths", "type 2.50 below the start (8.00 in all)", file="plug.nc")


@each_style
def test_inch_post_on_a_metric_job(made: Planned, style: Style) -> None:
    base, plug = texts(made, replace(style, inch=False))
    proof = proved(made, base.replace("G21", "G20"), plug.replace("G21", "G20"))
    assert proof.faults[0].check == "programme-units", proof_text(proof)
    assert "25.4 times" in fault_text(proof.faults[0], proof)


@each_style
def test_another_angle_in_the_bit_list(made: Planned, style: Style) -> None:
    wrong = replace(made.numbers, v=replace(made.numbers.v, angle=36.0))
    proof = with_numbers(made, style, wrong, made.numbers)
    first(proof, "programme-bit", "runs as a bit of 36.0 deg", "set 30.0 deg", file="pocket.nc")


@each_style
def test_tip_taken_as_a_point(made: Planned, style: Style) -> None:
    wrong = replace(made.numbers, v=replace(made.numbers.v, tip_radius=0.0))
    proof = with_numbers(made, style, wrong, wrong)
    fault = proof.faults[0]
    assert fault.check == "programme-bit" and "as if it had a true point" in fault_text(fault, proof), proof_text(proof)


@each_style
def test_clearing_bit_on_the_wall(made: Planned, style: Style) -> None:
    proof = with_numbers(made, style, replace(made.numbers, offset_less=0.4), made.numbers)
    words = "2 mm end mill cuts 0.40 mm past the base's final wall"
    first(proof, "wall-gouged", words, "clearing offset", file="pocket.nc")
    proof = with_numbers(made, style, made.numbers, replace(made.numbers, offset_less=0.4))
    first(proof, "wall-gouged", "2 mm end mill cuts 0.40 mm into the plug's final wall", file="plug.nc")


@each_style
def test_bed_and_face_mixed_up(made: Planned, style: Style) -> None:
    numbers, (of_base, of_plug) = made.numbers, frames(made)
    proof = proved(
        made,
        posted(pocket_strokes(made.outline, made.analysis, numbers), replace(of_base, face=18.0), style),
        posted(plug_strokes(made.outline, made.analysis, numbers), of_plug, style),
    )
    first(proof, "programme-depths", "nothing of the base is cut", "its zero is the bed, the sheet's the face",
          file="pocket.nc")  # fmt: skip


@each_style
def test_centre_and_corner_mixed_up(made: Planned, style: Style) -> None:
    numbers, (of_base, of_plug) = made.numbers, frames(made)
    proof = proved(
        made,
        posted(pocket_strokes(made.outline, made.analysis, numbers), replace(of_base, at=(60.0, 45.0)), style),
        posted(plug_strokes(made.outline, made.analysis, numbers), of_plug, style),
    )
    first(proof, "programme-datum", "60.00 in x and 45.00 in y", "datum centre", file="pocket.nc")


@each_style
def test_yesterdays_file_after_an_edit(made: Planned, style: Style) -> None:
    from shapely import affinity

    older = outlines.outline_of([affinity.scale(r, 1.03, 0.97) for r in made.outline.regions])
    old = planned(made.job, older)
    proof = proved(made, texts(made, style)[0], texts(old, style)[1])
    first(proof, "programme-mirror", "the plug's", "posted before the drawing was last changed", file="plug.nc")


@each_style
def test_a_file_left_out(made: Planned, style: Style) -> None:
    numbers, (of_base, of_plug) = made.numbers, frames(made)
    strokes = [s for s in pocket_strokes(made.outline, made.analysis, numbers) if s.tool != 1]
    proof = proved(
        made,
        posted(strokes, of_base, style),
        posted(plug_strokes(made.outline, made.analysis, numbers), of_plug, style),
    )
    fault = proof.faults[0]
    assert fault.check == "uncut-rest" and fault.severity == "fail", proof_text(proof)
    assert "over the pocket's floor" in fault_text(fault, proof)
