"""Advice: every line offered is typed in again, and the sheet, planned as a person would, does what was said of it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from inlayfit.advice.change import Change, merged
from inlayfit.advice.knobs import HELPS, knobs
from inlayfit.advice.search import Advice, advice, is_wanted
from inlayfit.checks.registry import CHECKS
from inlayfit.intake import take_in
from inlayfit.plan import Plan, plan
from inlayfit.quantity import read_length
from inlayfit.trials import SheetOnTrial

AILING = Path(__file__).parent / "ailing_sheets"
"""Sheets with one trouble each: drawn too fine, thin stock, a coarse stepover, a short bit, a clamp, a loose shop."""
DRAWS = 4_000
MENDED = {
    "too-fine": ("fine-strokes",),
    "coarse-stepover": ("floor-ridges", "clearing-access"),
    "thin-stock": ("base-floor", "plug-web"),
    "short-bit": ("bit-reach",),
    "clamp-in-the-way": ("hold-downs",),
    "loose-shop": ("stack",),
}


def on_trial(sheet: Path, *settings: str) -> tuple[SheetOnTrial, Plan]:
    trial = SheetOnTrial(str(sheet), settings=settings, draws=DRAWS)
    return trial, trial.planned(trial.intake, "whole")


def typed_in(sheet: Path, found: Advice, *settings: str) -> Plan:
    """The plan of the sheet with what was advised typed behind ``--set``, read from the disk anew."""
    changes = [f"{change.key}={change.value}" for change in found.changes]
    intake = take_in(str(sheet), settings=[*settings, *changes])
    return plan(intake.job, intake.outline, draws=DRAWS)


def statuses(found: Plan) -> dict[str, str]:
    return {entry.id: entry.status for entry in found.findings}


def written(folder: Path, text: str) -> Path:
    sheet = folder / "sheet.yaml"
    sheet.write_text(text)
    return sheet


@pytest.mark.parametrize("name", MENDED)
def test_what_is_advised_fits_when_it_is_typed_in(name: str) -> None:
    sheet = AILING / f"{name}.yaml"
    trial, found = on_trial(sheet)
    assert is_wanted(found, trial.intake.outline)
    assert all(statuses(found)[check] in ("fail", "doubtful") for check in MENDED[name])
    advised = advice(found, trial)
    assert advised.planned is not None
    assert advised.planned.verdict == "fits"
    assert not advised.unmet
    assert statuses(typed_in(sheet, advised)) == statuses(advised.planned)


def test_where_nothing_within_limits_helps_it_says_which_check_stays_open() -> None:
    sheet, thin = AILING / "thin-stock.yaml", ("joint.pocket_depth=1mm", "base.thickness=3.6mm")
    trial, found = on_trial(sheet, *thin)
    advised = advice(found, trial, at_hand=True)  # no thicker board is at hand
    assert "base-floor" in advised.unmet
    planned = typed_in(sheet, advised, *thin) if advised.planned is not None else found
    still_open = {check for check, status in statuses(planned).items() if status in ("fail", "doubtful")}
    assert set(advised.unmet) == still_open


@pytest.mark.parametrize("name", MENDED)
def test_every_change_is_needed_and_spoils_nothing(name: str) -> None:
    trial, found = on_trial(AILING / f"{name}.yaml")
    advised = advice(found, trial)
    before, after = statuses(found), statuses(typed_in(AILING / f"{name}.yaml", advised))
    worse = {"pass": 0, "not checked": 0, "doubtful": 1, "fail": 2}
    assert all(worse[after[check]] <= worse[before[check]] for check in before)
    for step in advised.steps:
        rest = merged((), [change for other in advised.steps if other is not step for change in other.changes])
        without = trial.plan(rest, "whole")
        assert without is not None
        assert any(worse[status] > worse[after[check]] for check, status in statuses(without).items()), step


def test_the_stepover_advised_is_the_largest_whose_ridges_pass() -> None:
    trial, found = on_trial(AILING / "coarse-stepover.yaml")
    step = advice(found, trial).step_for("floor-ridges")
    assert step is not None
    (change,) = step.changes
    assert change.key == "bits.v.stepover"
    # ridges of a flat tip, (s - 2 r) / (2 T), may fill half the glue gap
    largest = 0.1 + 2 * math.tan(math.radians(30)) * 0.5 * 0.5
    assert read_length(change.value, "mm") == pytest.approx(largest, abs=0.01)
    assert read_length(change.value, "mm") < largest


def test_thin_stock_gets_the_deepest_pocket_that_leaves_the_least_wood() -> None:
    trial, found = on_trial(AILING / "thin-stock.yaml")
    (change,) = advice(found, trial).changes
    # a base of 8 mm keeps 3 mm, and is to keep them with every touch-off and thickness off by the usual 0.05 and 0.1 mm
    assert change.key == "joint.pocket_depth"
    assert 4.7 <= read_length(change.value, "mm") <= 5.0


def test_a_clamp_is_moved_the_shortest_way() -> None:
    trial, found = on_trial(AILING / "clamp-in-the-way.yaml")
    (change,) = advice(found, trial).changes
    assert change.key == "hold_downs[1].at"
    # it stands 30 mm right of and 10 mm above the middle of a disc of 50 mm: the way out is to the right
    right, up = change.value.strip("[]").split(",")
    assert read_length(up, "mm") == 10
    assert 37 < read_length(right, "mm") < 45


def test_with_bits_in_two_parts_each_is_named(tmp_path: Path) -> None:
    sheet = written(tmp_path, """
unit: mm
outline: {shapes: [{circle: 40}]}
base: {wood: cherry, thickness: 19, blank: [90, 90]}
plug: {wood: sugar maple, thickness: 12, blank: [80, 80], cut_out: no}
joint: {pocket_depth: 5, glue_gap: 0.5, surface_gap: 2.5}
bits:
  pocket_v: {angle: 60, tip: 0.1, diameter: 12, reach: 14, depth_of_cut: 3, stepover: 1.2}
  plug_v: {angle: 60, tip: 0.1, diameter: 12, reach: 14, depth_of_cut: 3, stepover: 0.2}
  clearing: [{diameter: 6, reach: 4, depth_of_cut: 3}, {name: slim, diameter: 3, reach: 20, depth_of_cut: 1.5}]
""")
    trial, found = on_trial(sheet)
    advised = advice(found, trial)
    ridges = advised.step_for("floor-ridges")
    assert ridges is not None
    assert {change.key for change in ridges.changes} == {"bits.pocket_v.stepover", "bits.plug_v.stepover"}
    reach = advised.step_for("bit-reach")
    assert reach is not None
    assert [change.key for change in reach.changes] == ["bits.clearing[1].reach"]
    assert advised.planned is not None
    assert statuses(typed_in(sheet, advised)) == statuses(advised.planned)


def test_another_bit_is_not_what_this_one_measures(tmp_path: Path) -> None:
    sheet = written(tmp_path, """
unit: mm
outline: {shapes: [{rectangle: [40, 3]}, {circle: 12}]}
base: {wood: cherry, thickness: 19, blank: [90, 90]}
plug: {wood: sugar maple, thickness: 12, blank: [80, 80], cut_out: no}
joint: {pocket_depth: 4, glue_gap: 0.5, surface_gap: 2.5, clamp_pressure: 0.3 MPa}
bits:
  v: {angle: 30, tip: 1, diameter: 8, reach: 14, depth_of_cut: 3, stepover: 0.2, measured: {tip: 1.2}}
  clearing: {diameter: 3, reach: 20, depth_of_cut: 1.5}
""")
    trial, found = on_trial(sheet)
    (knob,) = knobs(found, trial, "sharper tip")
    for changes in knob.settings:
        assert Change("bits.v.measured", "") in changes
        planned = trial.plan(changes, "depths")
        assert planned is not None
        assert planned.job.bits.pocket_v.real == planned.job.bits.pocket_v.shape


def test_only_what_is_at_hand_where_that_is_asked() -> None:
    trial, found = on_trial(AILING / "thin-stock.yaml", "joint.pocket_depth=1mm", "base.thickness=3.6mm")
    assert any(step.code == "thicker base" for step in advice(found, trial).steps)
    assert not any(step.code == "thicker base" for step in advice(found, trial, at_hand=True).steps)


def test_a_sheet_without_outline_is_advised_too(tmp_path: Path) -> None:
    sheet = written(tmp_path, "base: {thickness: 8}\nplug: {thickness: 12, cut_out: no}\njoint: {pocket_depth: 6}\n"
                              "bits: {v: {angle: 60, diameter: 20, reach: 20}}\n")  # fmt: skip
    trial, found = on_trial(sheet)
    assert advice(found, trial).step_for("base-floor") is not None


def test_nothing_is_advised_where_nothing_is_wanting() -> None:
    sheet = AILING / "thin-stock.yaml"
    trial, found = on_trial(sheet, "joint.pocket_depth=4.5mm")
    assert found.verdict == "fits"
    assert not is_wanted(found, trial.intake.outline)


def test_every_check_that_a_key_can_mend_has_knobs() -> None:
    known = {entry.id for entry in CHECKS}
    assert set(HELPS) <= known
    assert known - set(HELPS) == {"pass-load", "mirror"}


def test_lines_are_quoted_for_a_shell() -> None:
    assert Change("joint.glue_gap", "0.5mm").line == "--set joint.glue_gap=0.5mm"
    assert Change("plug.blank", "[90mm, 80mm]").line == "--set 'plug.blank=[90mm, 80mm]'"
