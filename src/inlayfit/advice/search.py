"""The least changes after which a job fits, planned again with all its checks before they are offered.

What is cheap to judge is mended first: depths, then the outline as drawn, then the cuts, then trial pairs. A knob is
turned no further than it must be, and never where it would spoil a check that stood.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from inlayfit.advice.change import STAGES, Changes, Replanner, Stage, merged
from inlayfit.advice.halving import first
from inlayfit.advice.knobs import HELPS, Code, Knob, knobs
from inlayfit.checks.finding import Finding, Status
from inlayfit.checks.registry import CHECKS, DEPTHS, FIT, LEVELLED, OUTLINE, PARTNER, PASSES, STACK, Needs

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline
    from inlayfit.plan import Plan

MOST_ROUNDS: Final = 3
"""So many times what is still open is looked at again with the changes so far."""
MOST_VERTICES: Final = 5_000
"""Outlines of more take too long to plan two dozen times over."""
_STAGES: Final[dict[Needs[Any], Stage]] = {
    DEPTHS: "depths",
    PASSES: "depths",
    LEVELLED: "depths",
    OUTLINE: "drawn",
    PARTNER: "drawn",
    FIT: "cut",
    STACK: "whole",
}
_STAGE_OF: Final = {entry.id: _STAGES[entry.needs] for entry in CHECKS}
_BAD: Final[dict[Status, int]] = {"fail": 2, "doubtful": 1, "pass": 0, "not checked": 0}


@dataclass(frozen=True, kw_only=True)
class Step:
    """One knob turned: what it is, what to type, and the checks that pass for it (or no longer fail)."""

    code: Code
    changes: Changes
    mends: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The least set of changes found, and the job planned whole with them.

    ``steps`` in the order found; ``changes`` all of them, to be typed together; ``planned`` is the plan with them, None
    where nothing was found to change. ``unmet``: checks that nothing within limits mends.
    """

    steps: tuple[Step, ...]
    changes: Changes
    planned: Plan | None
    unmet: tuple[str, ...]

    def step_for(self, check: str) -> Step | None:
        """The change that mends a check."""
        return next((step for step in self.steps if check in step.mends), None)


def is_wanted(found: Plan, outline: Outline | None) -> bool:
    """Whether a check asks for a change that can be looked for in bearable time."""
    vertices = 0 if outline is None else sum(len(points) for _, points in outline.rings())
    return vertices <= MOST_VERTICES and any(_BAD[entry.status] and entry.id in HELPS for entry in found.findings)


def advice(found: Plan, sheet: Replanner, *, at_hand: bool = False) -> Advice:
    """Look for the least changes after which the job fits; ``at_hand`` leaves out what would have to be bought."""
    return _Search(found, sheet, at_hand).advice()


class _Search:
    """The sheet as it is, and every plan made on the way."""

    def __init__(self, found: Plan, sheet: Replanner, at_hand: bool) -> None:
        self.found, self.sheet, self.at_hand = found, sheet, at_hand
        self.planned: dict[tuple[Changes, Stage], Plan | None] = {((), "whole"): found}
        self.steps: list[Step] = []

    @property
    def changes(self) -> Changes:
        return merged((), [change for step in self.steps for change in step.changes])

    def plan(self, changes: Changes, stage: Stage) -> Plan | None:
        key = tuple(sorted(changes)), stage
        if key not in self.planned:
            self.planned[key] = self.sheet.plan(changes, stage)
        return self.planned[key]

    def advice(self) -> Advice:
        open_now, hopeless = _open(self.found, STAGES), set[str]()
        stages = [stage for stage in STAGES if any(_STAGE_OF[check] == stage for check in open_now)]
        whole: Plan | None = self.found
        for _ in range(MOST_ROUNDS):
            for stage in stages:
                self._mend(stage, hopeless)
            whole = self.plan(self.changes, "whole")
            assert whole is not None, "each step was planned"
            left = [check for check in _open(whole, STAGES) if check not in hopeless]
            if not left:
                break
            stages = [stage for stage in STAGES if any(_STAGE_OF[check] == stage for check in left)]
        self._drop_needless()
        whole = self.plan(self.changes, "whole")
        assert whole is not None, "each step was planned"
        return Advice(
            steps=tuple(self.steps),
            changes=self.changes,
            planned=whole if self.steps else None,
            unmet=tuple(_open(whole, STAGES)),
        )

    def _mend(self, stage: Stage, hopeless: set[str]) -> None:
        """Turn knobs until every check that can be judged at this stage passes, or nothing more helps."""
        while True:
            now = self.plan(self.changes, stage)
            if now is None:
                return
            wanting = [check for check in _open(now, _up_to(stage)) if check not in hopeless]
            if not wanting:
                return
            step = self._step(now, wanting[0], wanting, stage)
            if step is None:
                hopeless.add(wanting[0])
            else:
                self.steps = [*self.steps, step]

    def _step(self, now: Plan, check: str, wanting: Sequence[str], stage: Stage) -> Step | None:
        """The first knob that mends a check, turned no further than that takes; None where none does."""
        for least in (0, 1):  # where none makes it pass, one that takes it from failing to doubtful
            if least and _status(now, check) < 2:
                return None
            for code in HELPS.get(check, ()):
                found = [
                    tried
                    for knob in knobs(now, self.sheet, code)
                    if knob.at_hand or not self.at_hand
                    if (tried := self._turned(now, knob, check, wanting, stage, least)) is not None
                ]
                if found:
                    # of several ways, such as where a clamp may go, the one that has the least way to go
                    return min(found, key=lambda tried: (-len(tried[0].mends), tried[1]))[0]
        return None

    def _turned(
        self, now: Plan, knob: Knob, check: str, wanting: Sequence[str], stage: Stage, bad: int
    ) -> tuple[Step, int] | None:
        """The least turn of a knob for a check to be no worse than ``bad``, and which; None where it spoils another."""
        settings = [merged(self.changes, setting) for setting in knob.settings]

        def does(number: int) -> bool:
            planned = self.plan(settings[number], stage)
            return planned is not None and _status(planned, check) <= bad

        last = first(len(settings), lambda number: self.plan(settings[number], stage) is None) - 1
        while last >= 0 and not does(last):
            # what overdoes it at the end may do half-way
            last = (last + 1) // 2 - 1
        if last < 0:
            return None
        number = first(last + 1, does)
        planned = self.plan(settings[number], stage)
        if planned is None or _spoilt(now, planned, _up_to(stage)):
            return None
        mends = tuple(other for other in wanting if _status(planned, other) <= (bad if other == check else 0))
        return Step(code=knob.code, changes=knob.settings[number], mends=mends), number

    def _drop_needless(self) -> None:
        """Leave out what turned out not to be needed once the rest was changed."""
        for step in self.steps[:-1]:
            kept = self.steps
            before = self.plan(self.changes, "whole")
            self.steps = [entry for entry in kept if entry is not step]
            after = self.plan(self.changes, "whole")
            if before is None or after is None or _spoilt(before, after, STAGES):
                self.steps = kept


def _up_to(stage: Stage) -> tuple[Stage, ...]:
    return STAGES[: STAGES.index(stage) + 1]


def _judged(planned: Plan, stages: Collection[Stage]) -> list[Finding]:
    return [entry for entry in planned.findings if _STAGE_OF[entry.id] in stages]


def _open(planned: Plan, stages: Collection[Stage]) -> list[str]:
    """Checks that ask for a change among those judged at these stages, the failing ones first."""
    found = [entry for entry in _judged(planned, stages) if _BAD[entry.status]]
    return [entry.id for entry in sorted(found, key=lambda entry: -_BAD[entry.status])]


def _status(planned: Plan, check: str) -> int:
    return next(_BAD[entry.status] for entry in planned.findings if entry.id == check)


def _spoilt(before: Plan, after: Plan, stages: Collection[Stage]) -> bool:
    """Whether a check does worse than it did."""
    was = {entry.id: _BAD[entry.status] for entry in before.findings}
    return any(_BAD[entry.status] > was[entry.id] for entry in _judged(after, stages))
