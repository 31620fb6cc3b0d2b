"""The main path: a job with or without an outline to a plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jobs import GONE, job
from outlines import SHARED, plus, polygon, square, survey

from inlayfit.checks.finding import Finding, verdict
from inlayfit.checks.registry import CHECKS
from inlayfit.errors import InputError
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
    passing = Finding(id="glue-gap", status="pass", message="")
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


def test_known_errors_are_said_to_be_in_the_stack_alone() -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    assert not [note for note in plan(job(), plate).job.notes if "known errors" in note]
    noted = plan(job({"tolerance.touch_off": {"known": 0.03}}), plate).job.notes
    assert [note for note in noted if "known errors" in note]
