"""The main path: a job with or without an outline to a plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from jobs import GONE, job
from outlines import SHARED, plus, polygon, square, survey

from inlayfit.checks.finding import Finding, verdict
from inlayfit.checks.registry import CHECKS
from inlayfit.errors import InputError, InputErrors
from inlayfit.joint.depths import depths
from inlayfit.joint.floor import floor_access
from inlayfit.joint.schedule import schedule
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.plan import plan

OF_DEPTHS = [
    "glue-gap", "surface-gap", "base-floor", "plug-web", "cone-reach", "bit-reach", "pass-load", "floor-ridges",
    "levelling",
]  # fmt: skip
OF_OUTLINE = ["clearing-access", "fine-strokes", "survives-levelling"]


def statuses(findings: tuple[Finding, ...]) -> dict[str, str]:
    return {finding.id: finding.status for finding in findings}


def test_plan_without_an_outline() -> None:
    made = plan(job())
    assert made.facts.outline is None
    assert made.facts.scope == "depths"
    assert made.verdict == "fits"
    found = statuses(made.findings)
    assert all(found[check] == "pass" for check in OF_DEPTHS)
    assert all(found[check] == "not checked" for check in OF_OUTLINE)


def test_plan_holds_what_its_stages_give() -> None:
    outline, made = plus(), job({"base.wood": "black walnut", "plug.wood": "sugar maple"})
    whole = plan(made, outline)
    nominal, _ = depths(made)
    assert whole.job == made
    assert whole.facts.depths == nominal
    assert whole.facts.passes == schedule(made, nominal)
    assert whole.facts.outline is not None
    assert whole.facts.outline.floor == floor_access(outline, made, nominal)
    assert whole.facts.outline.survey.area == survey(outline).area


@pytest.mark.parametrize("name", SHARED)
def test_every_shared_outline_is_planned(name: str) -> None:
    made = plan(job(), SHARED[name]())
    found = statuses(made.findings)
    assert made.facts.scope != "depths"
    assert all(found[check] != "not checked" for check in OF_DEPTHS + OF_OUTLINE)
    assert made.verdict == verdict(made.findings)


def test_findings_follow_the_registry() -> None:
    assert [finding.id for finding in plan(job(), square()).findings] == [entry.id for entry in CHECKS]
    assert len({entry.id for entry in CHECKS}) == len(CHECKS)


def test_an_analysis_made_before_is_used() -> None:
    outline = square()
    analysis = OutlineAnalysis(outline)
    made = plan(job(), outline, analysis)
    assert made.facts.outline is not None
    assert made.facts.outline.survey is analysis.survey


def test_derived_depth_is_told_among_the_assumptions() -> None:
    made = plan(job({"joint.pocket_depth": GONE}))
    first = made.job.assumed[0]
    assert first.key == "joint.pocket_depth"
    assert first.value == made.facts.depths.pocket_depth
    assert "bound by the usual 1/4 in" in first.why
    assert not any(entry.key == "joint.pocket_depth" for entry in plan(job()).job.assumed)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, "fits"),
        ({"joint.glue_gap": 0.1}, "doubtful"),
        ({"joint.glue_gap": 0.0}, "does not fit"),
        ({"joint.glue_gap": 0.1, "base.thickness": 7.0}, "does not fit"),
    ],
)
def test_verdict(changes: dict[str, float], expected: str) -> None:
    assert plan(job(changes)).verdict == expected


def test_verdict_of_findings() -> None:
    passing = Finding(id="glue-gap", status="pass", reasons=())
    unknown = replace(passing, status="not checked")
    doubtful, failing = replace(passing, status="doubtful"), replace(passing, status="fail")
    assert verdict([passing, unknown]) == "fits"
    assert verdict([passing, doubtful, unknown]) == "doubtful"
    assert verdict([failing, doubtful, passing]) == "does not fit"


def test_an_outline_can_turn_the_verdict() -> None:
    hairline = polygon([(0, 0), (60, 0), (60, 0.05), (0, 0.05)])
    assert plan(job()).verdict == "fits"
    assert plan(job(), hairline).verdict == "does not fit"


def test_no_joint_is_an_error() -> None:
    with pytest.raises(InputError, match="leaves no plug"):
        plan(job({"joint.glue_gap": 6.0}))
    with pytest.raises(InputError, match="no pocket depth is left"):
        plan(job({"joint.pocket_depth": GONE, "base.thickness": 3.0}), square())


def test_a_plug_without_walls_that_bear_has_no_drawn_pairs() -> None:
    # a ball of 2 mm in a pocket 1 mm deep on a disc 3 mm wide: no straight wall is left
    ball = {"bits.v.tip": GONE, "bits.v.ball": 2.0, "bits.v.diameter": 9.0}
    made = job({**ball, "joint.pocket_depth": 1.0, "joint.glue_gap": 0.9})
    found = plan(made, outline_of(drawn([{"circle": 3.0}])), draws=1000)
    assert found.facts.stack is not None
    assert found.facts.stack.drawn is None


def test_known_errors_are_in_the_cut() -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    true = plan(job(), plate).facts.seat
    known = {"limit": 0.05, "pocket_v": {"known": 0.06}, "plug_v": {"known": 0.05}}
    known |= {"pocket_clear": {"known": 0.2}, "plug_clear": {"known": 0.1}}
    made = plan(job({"tolerance.touch_off": known}), plate, draws=500)
    off, stack = made.facts.seat, made.facts.stack
    assert true is not None
    assert off is not None
    # both V-bits too deep: the plug sinks by the sum; the floors lie deeper by their own errors
    assert off.lift == pytest.approx(true.lift - 0.11, abs=0.002)
    assert off.glue_gap == pytest.approx(true.glue_gap - 0.11 + 0.2, abs=0.002)
    assert off.surface_gap == pytest.approx(true.surface_gap - 0.11 + 0.1, abs=0.002)
    assert off.by_hand[0] == pytest.approx(true.by_hand[0] - 0.11, abs=0.01)
    # the stack starts from the same place
    assert stack is not None
    assert stack.quantities["lift"].nominal == pytest.approx(off.lift, abs=0.002)
    assert stack.quantities["glue_gap"].nominal == pytest.approx(off.glue_gap, abs=0.002)
    assert not made.job.notes


def test_known_errors_are_in_the_pictures_and_the_dry_fits_target() -> None:
    from inlayfit.pictures.cross_section import cross_section
    from inlayfit.pictures.dry_fit_target import readings

    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    known = {"limit": 0.05, "plug_v": {"known": -0.05}, "pocket_clear": {"known": 0.2}, "plug_clear": {"known": 0.1}}
    made = plan(job({"tolerance.touch_off": known}), plate)
    seat = made.facts.seat
    assert seat is not None
    cut = cross_section(made.facts, 15.0, lift=seat.lift)
    assert -cut.plug_floor == pytest.approx(seat.surface_gap)
    assert cut.pocket_floor - cut.plug_face == pytest.approx(seat.glue_gap)
    assert cut.opening(1.0) == pytest.approx(0.0, abs=0.003)
    gap = readings(made)[0]
    assert gap.expected is not None
    assert gap.expected == pytest.approx(tuple(sorted(2.5 + 0.1 + lift for lift in seat.by_hand)))


def test_a_known_bit_is_the_bit_that_cuts() -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    known = plan(job({"tolerance.angle": {"known": -0.4}, "tolerance.tip": {"known": 0.02}}), plate).facts.seat
    measured = plan(job({"bits.v.measured": {"angle": 29.6, "tip": 0.12}}), plate).facts.seat
    assert known is not None
    assert measured is not None
    assert known.lift == pytest.approx(measured.lift, abs=1e-9)
    assert known.joint_line.largest == pytest.approx(measured.joint_line.largest, abs=1e-9)


@pytest.mark.parametrize("off", [0.12, -0.15])
def test_pocket_as_measured_gives_the_plugs_numbers_anew(off: float) -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    plain, made = plan(job(), plate, draws=500), plan(job({"measured.pocket_depth": 6.0 + off}), plate, draws=500)
    before, after = plain.facts.depths, made.facts.depths
    # the pocket's programme is what it was; the plug is as much taller or shorter as its floor lies deeper or higher
    assert (after.pocket_depth, after.pocket_clearing_offset) == (before.pocket_depth, before.pocket_clearing_offset)
    assert after.start_depth == pytest.approx(before.start_depth + off)
    assert after.plug_total_depth == pytest.approx(before.plug_total_depth + off)
    assert after.base_floor == pytest.approx(before.base_floor - max(0.0, off))
    seat, stack = made.facts.seat, made.facts.stack
    assert seat is not None
    assert stack is not None
    assert seat.lift == pytest.approx(0.0, abs=0.002)
    assert seat.glue_gap == pytest.approx(0.5, abs=0.002)
    assert seat.surface_gap == pytest.approx(2.5, abs=0.002)
    assert stack.quantities["glue_gap"].nominal == pytest.approx(0.5, abs=0.002)
    # how deep the clearing bit ran is known now, and spreads no more
    assert "pocket_clear" not in {entry.source.name for entry in stack.contributions if entry.shares["glue_gap"] > 0}
    alone = plan(job({"measured.pocket_depth": 6.0 + off})).facts.stack
    assert alone is not None
    assert alone.quantities["glue_gap"].nominal == pytest.approx(0.5)


def test_pocket_that_the_v_bit_cleared_itself_takes_its_walls_along() -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    only_v = {"bits.clearing": GONE}
    plain, made = (plan(job({**only_v, **more}), plate) for more in ({}, {"measured.pocket_depth": 6.1}))
    assert made.facts.depths.start_depth == plain.facts.depths.start_depth
    assert plain.facts.seat is not None
    assert made.facts.seat is not None
    assert made.facts.seat.lift == pytest.approx(plain.facts.seat.lift - 0.1, abs=0.002)
    assert made.facts.seat.glue_gap == pytest.approx(plain.facts.seat.glue_gap, abs=0.002)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"joint.pocket_depth": GONE, "measured.pocket_depth": 6.1}, "found without joint.pocket_depth"),
        ({"measured.pocket_depth": 19.0}, "found 19.00 mm, expected less than the base's 18.00 mm"),
        ({"measured.pocket_depth": 0.4}, "leaves no plug in a pocket measured 0.40 mm deep"),
    ],
)
def test_measured_pockets_that_cannot_be(changes: dict[str, Any], words: str) -> None:
    with pytest.raises((InputError, InputErrors)) as error:
        plan(job(changes))
    assert words in str(error.value)


def test_dry_fit_of_a_plug_cut_to_the_measured_pocket() -> None:
    from inlayfit.dryfit.answer import dry_fit
    from inlayfit.joint.reading import Reading

    made = plan(job({"measured.pocket_depth": 6.12}), outline_of(drawn([{"rectangle": (40.0, 30.0)}])))
    found = dry_fit(made, [Reading(kind="gap", value=2.5)] * 3, "both")
    assert found.as_expected
    assert found.glue_gap == pytest.approx(0.5, abs=0.01)
