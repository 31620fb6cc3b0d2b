"""Checks stack, touch-off and warp, with and without drawn pairs, and what they say."""

from __future__ import annotations

from typing import Any

import pytest
from findings import judged, message, remedy
from jobs import GONE, job
from joints import circle

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding
from inlayfit.outline.regions import outline_of, polygons_of
from inlayfit.plan import plan
from inlayfit.report.stack_data import stack_data
from inlayfit.report.stack_text import fraction, stack_part
from inlayfit.report.wording import per_cent, rounded_up

DISC = outline_of(polygons_of(circle(20.0, 0.05)))
WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}


def depths_only(check: str, changes: dict[str, Any] | None = None) -> Finding:
    return next(entry for entry in plan(job(changes)).findings if entry.id == check)


def facts_of(changes: dict[str, Any], draws: int = 4000) -> Facts:
    return plan(job({**WOODS, **changes}), DISC, draws=draws).facts


def drawn(check: str, changes: dict[str, Any]) -> Finding:
    facts = facts_of(changes)
    assert facts.stack is not None
    return judged(check, facts)


# --- without drawn pairs: judged by what can be ---------------------------------------------------------------------


@pytest.mark.parametrize("check", ["stack", "touch-off", "warp"])
def test_roomy_glue_gap_passes(check: str) -> None:
    found = depths_only(check)
    assert found.status == "pass"
    assert "of glue gap is left" in message(found)
    assert remedy(found) == ""


def test_gap_that_all_together_may_use_up_is_doubtful() -> None:
    found = depths_only("stack", {"joint.glue_gap": 0.12})
    assert found.status == "doubtful"
    assert message(found) == "all tolerances together may use the glue gap up and leave the plug on the floor"


def test_worst_case_of_all_at_once_is_told_and_passes() -> None:
    found = depths_only("stack", {"joint.glue_gap": 0.3})
    assert found.status == "pass"
    assert message(found).endswith(", none in the worst case")


def test_touch_off_alone_and_how_good_it_must_be() -> None:
    found = depths_only("touch-off", {"joint.glue_gap": 0.3, "tolerance.touch_off": 0.2})
    assert found.status == "doubtful"
    assert message(found).startswith("touch-off alone may use the glue gap up")
    assert "touching off within 0.15 mm each time would do for 19 of 20" in message(found)
    hopeless = depths_only("touch-off", {"joint.glue_gap": 0.1, "tolerance.warp": 0.5})
    assert "no touch-off is good enough" in message(hopeless)


def test_warp_alone() -> None:
    assert depths_only("warp", {"joint.glue_gap": 0.2, "tolerance.warp": 0.25}).status == "doubtful"


def test_known_error_that_leaves_no_gap_fails() -> None:
    # three touch-offs too deep, two of them in the walls: 2 x 0.5 down, the floor 0.5 down, of a gap of 0.5
    found = depths_only("stack", {"tolerance.touch_off": {"known": 0.5}})
    assert found.status == "fail"
    assert message(found) == "the plug is on the floor before its sides are tight"


# --- with drawn pairs -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("check", ["stack", "touch-off", "warp"])
def test_nearly_all_pairs_seat(check: str) -> None:
    found = drawn(check, {})
    assert found.status == "pass"
    assert found.kind == "share"
    assert found.value == pytest.approx(1, abs=0.005)
    assert found.limit == 0.95


@pytest.mark.parametrize(
    ("check", "changes", "status"),
    [
        ("stack", {"joint.glue_gap": 0.1}, "doubtful"),
        ("stack", {"joint.glue_gap": 0.01, "tolerance.touch_off": {"known": 0.05}}, "fail"),
        ("touch-off", {"joint.glue_gap": 0.1, "tolerance.touch_off": 0.1}, "doubtful"),
        ("touch-off", {"joint.glue_gap": 0.1, "tolerance.touch_off": {"known": 0.2}}, "fail"),
        ("warp", {"joint.glue_gap": 0.1, "tolerance.warp": 0.15}, "doubtful"),
        ("warp", {"joint.glue_gap": 0.1, "tolerance.warp": {"known": 0.3}}, "fail"),
    ],
)
def test_share_of_pairs_decides(check: str, changes: dict[str, Any], status: str) -> None:
    found = drawn(check, changes)
    assert found.status == status
    assert found.value is not None
    assert (found.value < 0.5) == (status == "fail")
    assert remedy(found)


@pytest.mark.parametrize("check", ["stack", "touch-off", "warp"])
def test_few_pairs_show_nothing(check: str) -> None:
    for draws, status in ((5, "doubtful"), (58, "doubtful"), (59, "pass")):
        facts = facts_of({}, draws=draws)
        found = judged(check, facts)
        assert (found.status, found.value) == (status, 1.0)
        if status == "doubtful":
            assert f"{draws} trial pairs are too few to show 95 %" in message(found)
            assert remedy(found) == "try more pairs: --draws 20000"
        else:
            assert "too few" not in message(found)


@pytest.mark.parametrize(("draws", "status"), [(4, "doubtful"), (5, "fail")])
def test_few_pairs_that_do_not_seat_are_no_failure_yet(draws: int, status: str) -> None:
    # none of four seats in 1 case of 16 where half of all do
    facts = facts_of({"joint.glue_gap": 0.01, "tolerance.touch_off": {"known": 0.3}}, draws=draws)
    found = judged("stack", facts)
    assert (found.value, found.status) == (0.0, status)


def test_limit_of_the_sheet() -> None:
    changes = {"joint.glue_gap": 0.1}
    share = drawn("stack", changes).value
    assert share is not None
    assert drawn("stack", {**changes, "limits.stack": share - 0.02}).status == "pass"
    assert drawn("stack", {**changes, "limits.stack": share + 0.02}).status == "doubtful"


def test_remedies_are_computed() -> None:
    found = drawn("stack", {"joint.glue_gap": 0.1, "tolerance.tip": 0.06})
    assert "on the floor" in message(found)
    assert "lets 19 of 20 sit tight" in remedy(found)
    assert "a 45 deg bit" in remedy(found)
    assert "strokes then get the full depth from 5.07 mm" in remedy(found)


def test_rests_on_what_was_assumed() -> None:
    assert drawn("stack", {}).rests_on == ()
    left_out = {"tolerance": GONE}
    assert set(drawn("stack", left_out).rests_on) == {
        "tolerance.touch_off", "tolerance.angle", "tolerance.tip", "tolerance.runout", "tolerance.warp",
    }  # fmt: skip
    assert drawn("touch-off", left_out).rests_on == ("tolerance.touch_off",)
    assert drawn("warp", left_out).rests_on == ("tolerance.warp",)
    assert "tolerance.thickness" in drawn("stack", {**left_out, "touch_off": "bed"}).rests_on


# --- words and numbers ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "words"), [(1.0, "100 %"), (0.9999, "100 %"), (0.998, "99.8 %"), (0.94, "94 %"), (0.0, "0 %")]
)
def test_all_is_said_only_of_all(share: float, words: str) -> None:
    assert per_cent(share) == words


@pytest.mark.parametrize(
    ("share", "words"), [(2 / 3, "two thirds"), (0.5, "half"), (0.97, "nearly all"), (0.06, "a twentieth")]
)
def test_shares_in_words(share: float, words: str) -> None:
    assert fraction(share) == words


def test_what_is_needed_at_least_is_rounded_up() -> None:
    assert rounded_up(0.1301, "mm") == "0.14 mm"
    assert rounded_up(0.13, "mm") == "0.13 mm"
    assert rounded_up(0.0051 * 25.4, "in") == "0.006 in"


def test_two_thirds_come_from_touching_off_twice() -> None:
    # variances 2 x 0.05^2 against 0.05^2 of one warped board: both warps at 0.05 / sqrt(2)
    changes = {
        "tolerance.touch_off": 0.05, "tolerance.angle": 0.0, "tolerance.tip": 0.0, "tolerance.runout": 0.0,
        "tolerance.warp": 0.05 / 2**0.5, "tolerance.square": 0.0,
    }  # fmt: skip
    lines = " ".join(" ".join(stack_part(plan(job({**WOODS, **changes}), DISC, draws=500))).split())
    assert "Two thirds of the scatter in height comes from touching off the V-bit twice, a third from warp" in lines


def test_text_and_data_say_the_same() -> None:
    made = plan(job({**WOODS, "joint.glue_gap": 0.1}), DISC, draws=500)
    assert made.facts.stack is not None
    found = stack_data(made.facts.stack, lambda mm: round(mm, 6), "mm")
    lines = " ".join(" ".join(stack_part(made)).split())
    low, high = found["glue_gap"]["p95"]
    assert f"glue gap 0.10 {low:.2f} to {high:.2f}" in lines
    assert found["draws"] == 500
    assert f"Of 500 trial pairs {per_cent(found['seats_on_walls'])} sit tight on their sides" in lines
    assert set(found["touch_off_needed"]) <= {"pocket_v", "pocket_clear", "plug_v", "plug_clear"}
    assert sum(entry["shares"]["lift"] for entry in found["contributions"]) == pytest.approx(1, abs=1e-5)


def test_cone_too_short_leaves_nothing_to_say() -> None:
    made = plan(job({**WOODS, "bits.v.diameter": 3.0}), DISC, draws=100)
    assert made.facts.stack is None
    found = {entry.id: entry for entry in made.findings}
    assert {found[check].status for check in ("stack", "touch-off", "warp")} == {"not checked"}
    assert stack_part(made) == []


def test_no_draws_leaves_the_closed_form() -> None:
    made = plan(job(WOODS), DISC, draws=0)
    assert made.facts.stack is not None
    assert made.facts.stack.drawn is None
    found = stack_data(made.facts.stack, lambda mm: mm, "mm")
    assert "p95" not in found["lift"]
    assert "seats_on_walls" not in found
    assert "no trial pairs were made" in " ".join(stack_part(made))


def test_nothing_off_says_nothing_of_spread() -> None:
    still = {f"tolerance.{name}": 0.0 for name in ("touch_off", "angle", "tip", "runout", "warp", "square")}
    made = plan(job({**WOODS, **still}), DISC, draws=200)
    assert "spread comes" not in " ".join(stack_part(made))
    assert made.facts.stack is not None
    assert made.facts.stack.drawn is not None
    assert made.facts.stack.drawn.table_nodes == 1
    assert made.facts.stack.drawn.seats_on_walls == 1
