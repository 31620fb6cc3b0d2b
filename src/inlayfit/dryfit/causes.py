"""Why a plug sits where it does: causes weighed by how well they explain what was measured, and what tells them apart.

Lengths in mm, angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np

from inlayfit.dryfit.effects import MEASURED, NONE, Bench, Effect, Holds, shift_of
from inlayfit.dryfit.stories import Measurements, Seen, Story, stories, way_of
from inlayfit.dryfit.suspects import Side, Suspect, together
from inlayfit.joint.reading import Measured

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LIKELY: Final = 0.2
POSSIBLE: Final = 0.07
"""From these weights on a cause is called likely, or possible."""
TOLD: Final = 0.01
"""A cause of less weight is not told."""
ALONG: Final = 0.98
"""Causes whose effects on the measurements lie along each other to within this cosine look alike in them."""
APART: Final = 0.15
"""Readings that differ by this many mm tell two causes apart."""
HARMFUL: Final = 0.05
"""A seat or a glue gap off by this many mm is worth a word."""
WORTH: Final = 0.15
"""A measurement worth taking parts this share of the pairs of causes, by weight."""
Test = Literal["gap", "above", "over", "pocket", "plug", "grooves", "mouth", "press again"]
"""What else can be looked at: a measurement, test grooves, the pocket's width at the face, another dry fit."""


@dataclass(frozen=True, kw_only=True)
class Cause:
    """One thing that can be off. ``weight`` is how likely it is to blame; all weights add up to about 1.

    ``size`` is how much too deep, wide or thick it is, were it the cause, and ``effect`` what that does; ``beyond``:
    more than the sheet's tolerances explain. Causes of one ``group`` look alike in what was measured. ``typed`` is how
    much too high a slip had the plug's walls start.
    """

    code: str
    weight: float
    size: float
    effect: Effect
    side: Side
    beyond: bool
    group: int
    slip: bool = False
    typed: float = 0.0
    angle: float | None = None

    @property
    def line(self) -> str:
        """What is told in one line: other V-bits on the same parts are one cause to the maker."""
        return self.code if self.angle is None else f"another bit, {self.side}"

    @property
    def rank(self) -> str:
        """The weight in a word."""
        return "likely" if self.weight >= LIKELY else "possible" if self.weight >= POSSIBLE else "unlikely"


class Unseen(NamedTuple):
    """An error within the tolerances that moves none of the measurements; the most it does, and what would show it."""

    code: str
    harm: float
    shown_by: Measured | None


class Telling(NamedTuple):
    """What would tell causes apart that look alike: by code, what it would read, None where it is not a reading."""

    test: Test
    readings: tuple[tuple[str, float | None], ...]


@dataclass(frozen=True, kw_only=True)
class Diagnosis:
    """Causes, the likeliest first, and the pair as the likeliest story has it.

    ``hold`` is what the plug rests on, ``effect`` what the story's gross errors and slips do beside the tolerances, and
    ``slips`` their codes. ``lift_sd`` is how far all stories taken together leave the lift open.
    """

    causes: tuple[Cause, ...]
    unseen: tuple[Unseen, ...]
    telling: Telling | None
    hold: Holds
    effect: Effect
    slips: tuple[str, ...]
    lift_sd: float
    stories: tuple[Story, ...]


def diagnosis(found: Sequence[Suspect], bench: Bench, seen: Mapping[Measured, Seen]) -> Diagnosis:
    """The causes of what was measured; ``seen`` has at least one reading of the seat."""
    measured = Measurements(seen, bench)
    told = stories(found, measured)
    best = told[0]
    causes = _causes(found, measured, told)
    mean = sum(story.chance * story.lift for story in told)
    spread = sum(story.chance * (story.lift_var + (story.lift - mean) ** 2) for story in told)
    return Diagnosis(
        causes=causes,
        unseen=_unseen(found, measured),
        telling=_telling(causes, best, bench, seen),
        hold=best.hold,
        effect=effect_of(best),
        slips=tuple(entry.code for entry in best.members),
        lift_sd=math.sqrt(max(0.0, spread)),
        stories=tuple(told),
    )


def effect_of(story: Story) -> Effect:
    """What a story's gross errors and slips do beside the tolerances."""
    return together([entry.effect.times(story.sizes.get(entry.code, 0.0)) for entry in story.members])


def _causes(found: Sequence[Suspect], measured: Measurements, told: Sequence[Story]) -> tuple[Cause, ...]:
    weights: dict[str, float] = {}
    homes: dict[str, tuple[float, Story]] = {}
    for story in told:
        for code, share in story.explains.items():
            part = story.chance * share
            weights[code] = weights.get(code, 0.0) + part
            if part > homes.get(code, (0.0, story))[0]:
                homes[code] = part, story
    total = sum(weights.values())
    by_code = {entry.code: entry for entry in found}
    causes: list[Cause] = []
    leaders: list[Array] = []
    for code in sorted(weights, key=lambda code: (-weights[code], code)):
        weight = weights[code] / total
        if weight < TOLD:
            continue
        if code == "reading":
            causes.append(Cause(code=code, weight=weight, size=0.0, effect=NONE, side="none", beyond=False, group=-1))
            continue
        entry, home = by_code[code], homes[code][1]
        member = entry in home.members
        size = _size(entry, measured, home)
        if entry.one_way and size < 0:
            continue
        causes.append(
            Cause(
                code=code, weight=weight, size=size, effect=entry.effect.times(size), side=entry.side, beyond=member,
                group=_group(leaders, entry, home, told[0], measured), slip=entry.slip, typed=entry.typed,
                angle=entry.angle,
            )
        )  # fmt: skip
    return tuple(causes)


def _group(leaders: list[Array], entry: Suspect, home: Story, best: Story, measured: Measurements) -> int:
    """The group of causes that look like this one in what was measured."""
    reach = measured.rows(best.hold) @ np.array(entry.effect) / np.sqrt(measured.variance)
    if home.hold != best.hold and len(best.members) < 2 and len(home.members) < 2:
        # with the plug held by something else it explains all that the likeliest story does
        reach = leaders[0] if leaders else reach
    for number, leader in enumerate(leaders):
        lengths = float(np.linalg.norm(reach)), float(np.linalg.norm(leader))
        if min(lengths) < 1e-9:
            if max(lengths) < 1e-9:
                return number
        elif abs(float(leader @ reach)) > ALONG * lengths[0] * lengths[1]:
            return number
    leaders.append(reach)
    return len(leaders) - 1


def _size(entry: Suspect, measured: Measurements, home: Story) -> float:
    """How large it is where it is the cause of what it can explain."""
    if entry.slip:
        return 1.0
    reach = measured.rows(home.hold) @ np.array(entry.effect)
    if not reach.any():
        # it shows only by walls that are low enough for something else to hold the plug
        fall = measured.bench.lift_on(home.hold, NONE) - measured.bench.lift_on("walls", NONE)
        return fall / entry.effect.walls if entry.effect.walls else 0.0
    if entry in home.members:
        return home.sizes.get(entry.code, 0.0)
    # alone, it must make up for all that the story's own errors leave
    rest = measured.off - measured.base(home.hold) - measured.rows(home.hold) @ np.array(effect_of(home))
    weigh = 1 / measured.variance
    return float((reach * weigh) @ rest) / float((reach * weigh) @ reach)


def _unseen(found: Sequence[Suspect], measured: Measurements) -> tuple[Unseen, ...]:
    """Errors that the tolerances allow and that would do harm, but that no measurement so far shows."""
    rows, unseen = measured.rows("walls"), []
    for entry in found:
        worst = math.sqrt(3) * entry.sd
        effect = entry.effect.times(worst)
        harm = max(abs(effect.walls), abs(effect.walls + effect.pocket_floor))
        if entry.slip or harm < HARMFUL or np.abs(rows @ np.array(effect)).max() > 0.1 * harm:
            continue
        shown = [name for name in MEASURED if abs(shift_of(name, effect, float(way_of("walls") @ effect))) > harm / 2]
        unseen.append(Unseen(entry.code, harm, shown[0] if shown else None))
    return tuple(sorted(unseen, key=lambda entry: -entry.harm))


def _telling(
    causes: Sequence[Cause], best: Story, bench: Bench, seen: Mapping[Measured, Seen]
) -> Telling | None:
    """What would tell causes apart that look alike, of the first group in which there are such."""
    alike = next((group for group in _alike(causes) if len({cause.line for cause in group}) > 1), None)
    if alike is None:
        return None
    others = together([
        entry.effect.times(best.sizes.get(entry.code, 0.0))
        for entry in best.members
        if entry.code not in {cause.code for cause in alike}
    ])  # fmt: skip
    best_split, found = WORTH * sum(cause.weight for cause in alike) ** 2, None
    for name in MEASURED:
        if name in seen:
            continue
        reads = [bench.reads(name, cause.effect.plus(others)) for cause in alike]
        split = sum(
            cause.weight * other.weight
            for cause, one in zip(alike, reads, strict=True)
            for other, two in zip(alike, reads, strict=True)
            if abs(one - two) > APART
        )
        if split > best_split + 1e-9:
            best_split = split
            found = Telling(name, tuple((cause.code, read) for cause, read in zip(alike, reads, strict=True)))
    if found is not None:
        return found
    codes: tuple[tuple[str, float | None], ...] = tuple((cause.code, None) for cause in alike)
    sides = {cause.side for cause in alike}
    if any(_is_bit(cause) for cause in alike) and not all(_is_bit(cause) for cause in alike):
        return Telling("grooves", codes)
    if {"pocket", "plug"} <= sides:
        return Telling("mouth", codes)
    return Telling("press again", codes)


def _alike(causes: Sequence[Cause]) -> list[list[Cause]]:
    """Possible causes by group."""
    groups: dict[int, list[Cause]] = {}
    lines: dict[str, float] = {}
    for cause in causes:
        lines[cause.line] = lines.get(cause.line, 0.0) + cause.weight
    for cause in causes:
        if cause.group >= 0 and lines[cause.line] >= POSSIBLE:
            groups.setdefault(cause.group, []).append(cause)
    return list(groups.values())


def _is_bit(cause: Cause) -> bool:
    return cause.code.endswith(("angle", "tip")) or cause.angle is not None or cause.code in ("told_a_point", "runout")
