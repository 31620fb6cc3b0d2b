"""A dry fit as text: how the plug sits, the likely causes, and the cut that helps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.dryfit.answer import FIRST, DryFit
from inlayfit.dryfit.causes import Cause
from inlayfit.dryfit.cuts import Correction
from inlayfit.dryfit.readings import READ_TO
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import table, wrapped

RANKS: Final = ("likely", "possible", "unlikely")
MOST_TOLD: Final = 4
"""Causes of one rank that are told in full."""


def dryfit_text(found: DryFit, plan: Plan) -> str:
    """The report."""
    parts = [
        [plan.job.title, *wrapped("", _headline(found, plan))],
        _sits(found, plan),
        _causes(found),
        _corrections(found, plan),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _headline(found: DryFit, plan: Plan) -> str:
    lift, excess = (length_text(abs(value), plan.job.unit) for value in (found.level.lift, found.excess))
    way = "over" if found.level.lift >= 0 else "under"
    words = f"The plug sits {lift} {way} its nominal seat"
    if found.on_floor:
        return f"{words}: down on the pocket's floor, with loose walls"
    if found.as_expected:
        return f"{words}, as a hand's pressure should leave it"
    return f"{words}, {excess} {'too proud' if found.excess > 0 else 'too low'}"


def _sits(found: DryFit, plan: Plan) -> list[str]:
    unit = plan.job.unit

    def number(mm: float) -> str:
        return length_text(mm, unit, with_unit=False)

    low, high = found.expected
    rows = [
        ["lift read", number(found.level.lift)],
        ["expected by hand", " to ".join(dict.fromkeys((number(low), number(high))))],
        ["too much", number(found.excess)],
        ["glue gap now", number(found.glue_gap)],
        ["surface gap now", number(found.surface_gap)],
        ["joint line", " to ".join(dict.fromkeys(number(end) for end in found.joint_line))],
    ]
    notes = [
        f"give or take {number(found.level.lift_u)}",
        "from the wood's strength to four times it" if plan.facts.seat else "up to what the sharpest corner can hold",
        f"against the middle; within {number(found.sure)} of the range nothing is cut",
        "plug's face to the pocket's floor",
        "base's face to the plug's own floor",
        "clamped as it is: where the walls hold it, and where something else does",
    ]
    lines = [f"How it sits ({unit})", *(f"  {line}" for line in table(rows, notes, left=1))]
    for off, floor in zip(found.floors_off, ("pocket's floor", "plug's own floor"), strict=True):
        if abs(off) > READ_TO.worst:
            way = "deeper" if off > 0 else "shallower"
            lines += wrapped("  ", f"The {floor} measures {number(abs(off))} {way} than programmed.")
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


def _causes(found: DryFit) -> list[str]:
    if abs(found.excess) <= found.sure / 2 and not found.on_floor:
        return []
    lines = ["Causes, by the tolerances of the sheet"]
    if found.slip:
        lines += wrapped(
            "  ", "It is more than the tolerances explain: look for a slip first. Chips under the plug, a bit not "
            "touched off again after a change, a depth mistyped, another bit than declared.",
        )  # fmt: skip
        weighty = [entry for entry in found.causes if entry.rank != "unlikely"]
        lines += wrapped("  of the tolerances these weigh most: ", _briefly(weighty), indent=4) if weighty else []
        return lines
    for rank in RANKS:
        told: list[Cause] = [entry for entry in found.causes if entry.rank == rank]
        if rank == "unlikely":
            lines += wrapped("  unlikely: ", _briefly(told), indent=4) if told else []
            continue
        for entry in told[:MOST_TOLD]:
            lines += wrapped(f"  {rank}: ", entry.why, indent=4)
    return lines


def _briefly(causes: Sequence[Cause]) -> str:
    """What each is, without what follows from it."""
    return "; ".join(entry.why.partition(":")[0] for entry in causes)


def _corrections(found: DryFit, plan: Plan) -> list[str]:
    lines = ["What to do", *wrapped("  First: ", FIRST, indent=4)]
    if found.reason:
        reason = f"{found.reason[0].upper()}{found.reason[1:]}"
        lines += wrapped("  Then: ", f"{reason}.", indent=4)
    for number, entry in enumerate(found.corrections, 1):
        lines += _correction(f"  {number}. ", entry, plan)
    for entry in found.ruled_out:
        what = {"base": "the pocket", "plug": "the plug"}[entry.part]
        lines += wrapped("  Not: ", f"{what}, {entry.step}: {entry.stops}.", indent=4)
    if found.corrections:
        lines += wrapped(
            "  Then: ", "brush out, press, read again. Stop and start anew when a second cut is asked for, or the "
            "joint gapes at the face.", indent=4,
        )  # fmt: skip
    return lines


def _correction(head: str, entry: Correction, plan: Plan) -> list[str]:
    unit = plan.job.unit

    def text(mm: float) -> str:
        return length_text(mm, unit)

    if entry.step == "new plug":
        what = "A new plug"
    else:
        what = {"base": "Pocket", "plug": "Plug"}[entry.part] + f", {entry.step} again"
    numbers = []
    if entry.zero_shift is not None:
        numbers.append(f"zero {text(-entry.zero_shift)} lower, everything else unchanged")
    if entry.start_depth is not None and entry.depth_below_start is not None:
        numbers.append(f"start depth {text(entry.start_depth)}, below start {text(entry.depth_below_start)}")
    if entry.total_depth is not None and entry.zero_shift is None:
        numbers.append(f"total {text(entry.total_depth)}")
    if entry.clearing_offset is not None:
        numbers.append(f"clearing offset {text(entry.clearing_offset)}")
    lines = wrapped(head, f"{what}: {', '.join(numbers)}.", indent=5)
    about = "about " if entry.step == "clear and walls" else ""
    side = "over" if entry.lift_after > -0.005 else "under"
    lift = f"{about}{text(abs(entry.lift_after))} {side} nominal"
    gaps = f"glue gap {text(entry.glue_gap_after)}, surface gap {text(entry.surface_gap_after)}"
    after = f"Clamped it then sits {lift}, {gaps}."
    minding = f" Mind: {entry.minding}." if entry.minding else ""
    lines += wrapped("     ", f"Needs {entry.needs}. Why: {entry.why}.{minding} {after}", indent=5)
    return lines
