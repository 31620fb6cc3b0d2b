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
    first(proof, "programme-depths", "type 2.50 below the start (total 8.00)", file="plug.nc")


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


def zeroed_on(side: str, of: Planned) -> tuple[Planned, Proof]:
    """A sheet whose zero is the one side, its programmes posted from the other."""
    sheet = planned(job({**SHEET, "touch_off": side}), of.outline)
    return sheet, proved(sheet, *texts(planned(job({**SHEET, "touch_off": other(side)}), of.outline), WRITTEN))


def other(side: str) -> str:
    return "face" if side == "bed" else "bed"


WRITTEN = STYLES["incremental"]


def test_posted_from_the_face_on_a_bed_zero(made: Planned) -> None:
    sheet, proof = zeroed_on("bed", made)
    depths, thickness = sheet.plan.facts.depths, sheet.job.plug.thickness
    assert proof.verdict == "does not fit"
    found = {(d.part, d.step): (d.found, d.planned) for d in proof.depths}
    assert found["plug", "walls"] == pytest.approx((depths.plug_total_depth + thickness, depths.plug_total_depth))
    assert found["plug", "cut out"][0] == pytest.approx(found["plug", "cut out"][1] + thickness)
    of_depths = [fault for fault in proof.faults if fault.check == "programme-depths"]
    assert {fault.spot.file for fault in of_depths if fault.spot} == {"pocket.nc", "plug.nc"}
    for fault in of_depths:
        assert "its zero is the face, the sheet's the bed: set the zero on the bed" in fault_text(fault, proof)


def test_posted_from_the_bed_on_a_face_zero(made: Planned) -> None:
    _, proof = zeroed_on("face", made)
    assert proof.verdict == "does not fit"
    told = [fault_text(fault, proof) for fault in proof.faults if fault.check == "programme-depths"]
    assert any("nothing of the base is cut" in text for text in told)
    assert any("nothing of the plug is cut" in text for text in told)
    for text in told:
        assert "its zero is the bed, the sheet's the face: set the zero on the face" in text


def cut_out_to(of: Planned, more: float) -> Proof:
    numbers = of.numbers
    last = numbers.plug_through + more
    deeper = replace(numbers, plug_through=last, cut_out_passes=(*numbers.cut_out_passes[:-1], last))
    return with_numbers(of, WRITTEN, numbers, deeper)


def test_cut_out_into_the_bed(made: Planned) -> None:
    proof = cut_out_to(made, 12.0)
    fault = first(proof, "programme-depths", "when cutting out", "12.00 mm too deep", file="plug.nc")
    assert f"type {made.numbers.plug_through:.2f} as the depth of the cut-out" in fault_text(fault, proof)
    # the walls are judged all the same
    assert {f.id: f.status for f in proof.findings}["wall-gouged"] == "pass" and proof.seat is not None


def test_cut_out_a_little_too_deep(made: Planned) -> None:
    depths = {f.id: f for f in cut_out_to(made, 0.2).findings}["programme-depths"]
    assert depths.status == "doubtful" and depths.value == pytest.approx(0.2, abs=0.001)


def test_walls_through_the_blank_are_no_cut_out(made: Planned) -> None:
    numbers = made.numbers
    through = made.job.plug.thickness - numbers.start_depth
    wrong = replace(numbers, below_start=through, plug_walls=((numbers.start_depth, through),))
    proof = with_numbers(made, WRITTEN, numbers, wrong)
    walls = next(d for d in proof.depths if (d.part, d.step) == ("plug", "walls"))
    assert walls.found == pytest.approx(made.job.plug.thickness)
    first(proof, "programme-depths", "when cutting the walls", "too deep", file="plug.nc")


def test_what_was_not_measured_has_no_value(made: Planned) -> None:
    base, plug = texts(made, WRITTEN)
    units = {f.id: f for f in proved(made, base.replace("G21", "G20"), plug.replace("G21", "G20")).findings}
    assert units["programme-units"].status == "fail" and units["programme-units"].value is None


def test_no_green_light_without_a_seat(made: Planned) -> None:
    """A cone too short for the plug's walls: the plan has no seat, whatever the programmes do."""
    short = planned(job({**SHEET, "bits.v.diameter": 3.0}), made.outline)
    assert short.plan.facts.outline is not None and short.plan.facts.outline.fit is None
    proof = proved(short, *texts(made, WRITTEN))
    found = {f.id: f for f in proof.findings}
    assert proof.seat is None and proof.verdict == "does not fit"
    assert (found["seat"].status, found["cone-reach"].status) == ("doubtful", "fail")
    assert found["seat"].reasons == found["cone-reach"].reasons
    text = " ".join(proof_text(proof).split())
    assert "It cannot be told whether these two will seat, because" in text and "These two will seat" not in text


@pytest.mark.parametrize(
    ("check", "key", "value"),
    [("bit-reach", "bits.v.reach", 3.0), ("base-floor", "base.thickness", 6.0)],
)
def test_plan_that_fails_is_not_silent(made: Planned, check: str, key: str, value: float) -> None:
    sheet = planned(job({**SHEET, key: value}), made.outline)
    assert check in [f.id for f in sheet.plan.findings if f.status == "fail"]
    proof = proved(sheet, *texts(sheet, WRITTEN))
    assert proof.verdict == "does not fit" and check in [f.id for f in proof.findings if f.status == "fail"]
    text = " ".join(proof_text(proof).split())
    assert f"These two are not to be cut: the plan itself fails; failing: {check}" in text


def test_heights_have_words_and_no_sign(made: Planned) -> None:
    proof = proved(made, *texts(made, WRITTEN))
    assert proof.seat is not None
    seat = replace(proof.seat, lift=-0.07, by_hand=(0.06, 0.02))
    lines = {line[2:34].strip(): line[34:].split() for line in proof_text(replace(proof, seat=seat)).splitlines()}
    assert lines["clamped"][-2:] == ["0.07", "low"]
    assert lines["pressed by hand, at the most"][-2:] == ["0.06", "proud"]
