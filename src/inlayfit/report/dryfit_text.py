"""A dry fit as text: how the plug sits, the likeliest causes, and the cut that helps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.dryfit.answer import DryFit
from inlayfit.dryfit.causes import POSSIBLE, Cause, Telling
from inlayfit.dryfit.cuts import Correction
from inlayfit.dryfit.readings import READ_TO
from inlayfit.joint.error_sources import known_errors
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, length_text
from inlayfit.report.dryfit_words import (
    FIRST,
    MINDING,
    NEEDS,
    TESTS,
    WHY,
    cause_words,
    no_cut_words,
    other_bit_words,
    proof_words,
    size_words,
    stop_words,
    unseen_words,
    what_words,
)
from inlayfit.report.layout import table, wrapped

MOST_TOLD: Final = 5
"""Causes that are told."""
READ_BY: Final = {
    "gap": "A gap reading", "above": "A reading over the plug's back", "over": "A reading over both boards",
}  # fmt: skip


def dryfit_text(found: DryFit, plan: Plan) -> str:
    """The report."""
    parts = [
        [plan.job.title, *wrapped("", _headline(found, plan.job.unit))],
        _sits(found, plan),
        _causes(found, plan.job.unit),
        _corrections(found, plan.job.unit),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _headline(found: DryFit, unit: LengthUnit) -> str:
    def text(mm: float) -> str:
        return length_text(abs(mm), unit)

    way = "over" if found.level.lift >= 0 else "under"
    level = text(found.level.lift) == text(0.0)
    seat = "at its nominal seat" if level else f"{text(found.level.lift)} {way} its nominal seat"
    sits = f"it sits {seat}"
    if found.level.crooked:
        return f"The plug sits out of level by {text(found.level.across)}: in its middle {sits}"
    if found.no_cut is not None and found.no_cut.reason in ("own floor or seat", "board or seat", "floor not read"):
        return f"How the plug sits cannot be told by this reading: perhaps {seat}"
    if found.on_floor:
        shallow = any(cut.why == "floor" for cut in (*found.corrections, *found.ruled_out))
        why = "which is too shallow" if shallow else "its walls loose"
        return f"The plug is down on the pocket's floor, {why}: {sits}"
    if found.diagnosis.hold == "own floor" and not found.as_expected:
        return f"The plug's own floor lies on the base's face: {sits}"
    if found.as_expected:
        return f"The plug sits where a hand's pressure should leave it, {seat}"
    if found.excess > 0:
        return f"The plug stands proud by {text(found.excess)}: {sits}"
    return f"The plug sits {text(found.excess)} lower than a hand's pressure should leave it, {seat}"


def _sits(found: DryFit, plan: Plan) -> list[str]:
    unit = plan.job.unit

    def number(mm: float) -> str:
        return length_text(mm, unit, with_unit=False)

    def side(mm: float) -> str:
        return "at" if number(abs(mm)) == number(0.0) else "low, under" if mm < 0 else "proud, over"

    low, high = (f"{number(abs(end))}{' low' if side(end).startswith('low') else ''}" for end in found.expected)
    rows = [
        ["lift worked out", number(abs(found.level.lift))],
        ["expected by hand", " to ".join(dict.fromkeys((low, high)))],
        ["too much" if found.excess >= 0 else "too low by", number(abs(found.excess))],
        ["glue gap now", number(found.glue_gap)],
        ["surface gap now", number(found.surface_gap)],
        ["joint line", " to ".join(dict.fromkeys(number(end) for end in found.joint_line or ())) or "not told"],
    ]
    notes = [
        f"{side(found.level.lift)} the nominal seat, give or take {number(found.level.lift_u)}",
        "from the wood's strength to four times it" if plan.facts.seat else "up to what the sharpest corner can hold",
        f"against the middle; within {number(found.level.sure)} of the range nothing is cut",
        "plug's face to the pocket's floor",
        "base's face to the plug's own floor",
        "clamped as it is: where the walls hold it, and where something else does"
        if found.joint_line else "how loose the walls are nobody has read",
    ]
    if not found.has_floor:
        # every stroke ends in a V: there is no floor for the plug's face to stand over
        del rows[3], notes[3]
    lines = [f"How it sits ({unit})", *(f"  {line}" for line in table(rows, notes, left=1))]
    known = known_errors(plan.job).depth
    off_known = (known.pocket_floor, known.plug_floor)
    names = ("pocket's floor", "plug's own floor")
    floors = zip(found.floors_off, off_known, found.floors_measured, names, strict=True)
    for off, told, measured, floor in floors:
        if abs(off) > READ_TO.worst and (measured or abs(off - told) > READ_TO.worst):
            way = "deeper" if off > 0 else "shallower"
            how = "measures" if measured else "is probably"
            lines += wrapped("  ", f"The {floor} {how} {number(abs(off))} {way} than programmed.")
    if found.level.tilt_deg is not None:
        lines += wrapped(
            "  ", f"Tilted by {found.level.tilt_deg:.2f} deg: {number(found.level.across)} from one side of the "
            "outline to the other, at the most.",
        )  # fmt: skip
    elif found.level.spread > found.level.across_u:
        lines += wrapped(
            "  ", f"The readings differ by {number(found.level.spread)}: give their places (X,Y=VALUE) at three "
            "corners or more, and the tilt is worked out.",
        )  # fmt: skip
    return lines


def _causes(found: DryFit, unit: LengthUnit) -> list[str]:
    why = found.diagnosis
    quiet = found.as_expected and abs(found.excess) <= found.level.sure / 2
    # what tilts a plug lies under one side of it; its height says nothing of why
    if found.level.crooked or (quiet and not why.slips):
        return []
    told = _told(why.causes)
    lines = ["Likeliest causes" if why.slips else "Likeliest causes, within the sheet's tolerances"]
    for number, alike in enumerate(told, 1):
        lines += wrapped(f"  {number}. ", _cause(alike, unit), indent=5)
    if why.telling is not None:
        lines += wrapped("  ", _telling(why.telling, told, unit), indent=2)
    if why.unseen:
        kinds = list(dict.fromkeys(entry.kind for entry in found.readings))
        by = READ_BY[kinds[0]] if len(kinds) == 1 else "These readings"
        cannot = "cannot see" if len(kinds) == 1 else "do not show"
        shown = list(dict.fromkeys(f"--{entry.shown_by}" for entry in why.unseen if entry.shown_by))
        words = f"{by} {cannot} {' or '.join(unseen_words(entry.code) for entry in why.unseen)}"
        lines += wrapped("  ", f"{words}{': read ' + ' and '.join(shown) + ' too' if shown else ''}.", indent=2)
    return lines


def _told(causes: Sequence[Cause]) -> list[list[Cause]]:
    """Causes that are told, the likeliest first; other V-bits on the same parts are told as one."""
    lines: dict[str, list[Cause]] = {}
    for cause in causes:
        lines.setdefault(cause.line, []).append(cause)
    ranked = sorted(lines.values(), key=lambda alike: -sum(cause.weight for cause in alike))
    possible = [alike for alike in ranked if sum(cause.weight for cause in alike) >= POSSIBLE]
    return possible[:MOST_TOLD] or ranked[:1]


def _cause(alike: Sequence[Cause], unit: LengthUnit) -> str:
    weight = sum(cause.weight for cause in alike)
    first = alike[0]
    words = cause_words(first)
    if first.angle is not None:
        words = other_bit_words(first.side, [cause.angle for cause in alike if cause.angle is not None])
    size = size_words(first, unit)
    return f"{words}{f', {size}' if size else ''} ({100 * weight:.0f} %)"


def _telling(telling: Telling, told: Sequence[Sequence[Cause]], unit: LengthUnit) -> str:
    numbers = {cause.code: number for number, alike in enumerate(told, 1) for cause in alike}
    by_reading: dict[str, set[int]] = {}
    for code, value in telling.readings:
        if code in numbers:
            by_reading.setdefault("" if value is None else length_text(value, unit), set()).add(numbers[code])
    which = sorted({number for some in by_reading.values() for number in some})
    if len(which) < 2:
        return ""
    start = f"What was read cannot tell {_listed(which)} apart. This can: {TESTS[telling.test]}"
    if "" in by_reading or len(by_reading) < 2:
        return f"{start}."
    reads = [f"{value} if {_listed(sorted(some), 'or')}" for value, some in by_reading.items()]
    return f"{start} reads {'; '.join(reads)}."


def _listed(numbers: Sequence[int], joined: str = "and") -> str:
    *others, last = (str(number) for number in numbers)
    return f"{', '.join(others)} {joined} {last}" if others else last


def _corrections(found: DryFit, unit: LengthUnit) -> list[str]:
    lines = ["What to do", *wrapped("  First: ", FIRST, indent=4), *_if_held(found, unit)]
    if found.no_cut is not None:
        reason = no_cut_words(found.no_cut, unit)
        lines += wrapped("  Then: ", f"{reason[0].upper()}{reason[1:]}.", indent=4)
    for number, entry in enumerate(found.corrections, 1):
        lines += _correction(f"  {number}. ", entry, found, unit)
    for entry in found.ruled_out:
        if entry.stop is not None:
            lines += wrapped("  Not: ", f"{what_words(entry)}: {stop_words(entry.stop, unit)}.", indent=4)
    if found.corrections:
        lines += wrapped(
            "  Then: ", "brush out, press, read again. Stop and start anew when a second cut is asked for, or the "
            "joint gapes at the face.", indent=4,
        )  # fmt: skip
    return lines


def _if_held(found: DryFit, unit: LengthUnit) -> list[str]:
    """What a part still held would allow, where nobody said what is held."""
    if found.mends or found.held_told:
        return []
    taken = "--held is not given: nothing is taken to be on its zero still."
    if not found.if_held:
        return wrapped("  Held: ", f"{taken} --held plug or --held base would offer no cut of that part.", indent=4)
    ask = "Where a part still is, make nothing anew, but ask again with"
    lines = wrapped("  Held: ", f"{taken} {ask}", indent=4)
    for held, entry in found.if_held:
        lines += wrapped(f"    --held {held}: ", f"{_typed(entry, unit)}.", indent=6)
    return lines


def _typed(entry: Correction, unit: LengthUnit, *, capital: bool = False) -> str:
    """What is cut, and the numbers to type."""

    def text(mm: float) -> str:
        return length_text(mm, unit)

    numbers = []
    if entry.zero_shift is not None:
        numbers.append(f"zero {text(-entry.zero_shift)} lower, everything else unchanged")
    if entry.start_depth is not None and entry.depth_below_start is not None:
        numbers.append(f"start depth {text(entry.start_depth)}, below start {text(entry.depth_below_start)}")
    if entry.total_depth is not None and entry.zero_shift is None:
        numbers.append(f"total {text(entry.total_depth)}")
    if entry.clearing_offset is not None:
        numbers.append(f"clearing offset {text(entry.clearing_offset)}")
    what = what_words(entry)
    return f"{what[0].upper() if capital else what[0]}{what[1:]}: {', '.join(numbers)}"


def _correction(head: str, entry: Correction, found: DryFit, unit: LengthUnit) -> list[str]:
    def text(mm: float) -> str:
        return length_text(mm, unit)

    lines = wrapped(head, f"{_typed(entry, unit, capital=True)}.", indent=5)
    side = "over" if entry.lift_after > -0.005 else "under"
    about = "" if entry.brings_home else "about "
    lift = f"{about}{text(abs(entry.lift_after))} {side} nominal, give or take {text(found.level.lift_u)}"
    gaps = f"surface gap {text(entry.surface_gap_after)}"
    if found.has_floor:
        gaps = f"glue gap {text(entry.glue_gap_after)}, {gaps}"
    before = f" Before you cut: {proof_words(entry.proof, unit)}, else it is the wrong cut." if entry.proof else ""
    minding = f" Mind: {MINDING[entry.why]}." if entry.why in MINDING else ""
    after = f"Clamped it then sits {lift}, {gaps}."
    if entry.why == "new plug" and not entry.brings_home:
        after = "Clamped it then sits at its seat where the first plug was to blame, else as the first one did."
    return lines + wrapped(
        "     ", f"Needs {NEEDS[entry.why]}. Why: {WHY[entry.why]}.{before}{minding} {after}", indent=5
    )  # fmt: skip
