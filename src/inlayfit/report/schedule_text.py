"""The pass schedule as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import Final

from inlayfit.joint.job import LevelledOver
from inlayfit.joint.schedule import Part, Pass, Step
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import WIDTH, setting_digits, table, wrapped

PART_WORDS: Final[dict[Part, str]] = {
    "pocket": "Pocket, in the base",
    "plug": "Plug, drawing mirrored",
    "base": "Levelling, after the glue-up",
}
STEP_WORDS: Final[dict[Step, str]] = {
    "clear": "clear the floor",
    "walls": "cut the walls",
    "cut out": "cut it out",
    "level": "level",
}

OVER_WORDS: Final[dict[LevelledOver, str]] = {
    "plug": "over the plug's back only",
    "board": "over the whole board",
}

DRY_FIT: Final = (
    "Dry fit before the plug leaves its blank: keep it clamped on its zero and lay the base over it, face down. Under "
    "the base nothing may stand higher than the plug's own floor: no clamp, and no blank outside the border."
)
"""What is told under the plug's passes."""
NOTHING_REACHED: Final = 0.999
"""A floor of which the V-bit must clear more than this share is not entered by the clearing bit."""


def schedule_part(plan: Plan, width: int = WIDTH) -> list[str]:
    """Passes by part, with each zero."""
    lines = [f"Pass schedule ({plan.job.unit}): totals are depths below the face, a load is what one pass takes"]
    for part, entries in groupby(plan.facts.passes, key=lambda entry: entry.part):
        lines += _part(part, list(entries), plan, width)
    return [*lines, *no_bit_lines(plan)]


def no_bit_lines(plan: Plan) -> list[str]:
    """Steps for which the sheet names no bit."""
    lines = []
    if plan.job.plug.cut_out and plan.job.bits.cut_out is None:
        lines.append("  No bit is named for the cut-out: saw the plug out, or set bits.cut_out.")
    if plan.job.bits.levelling is None:
        lines.append("  No bit is named for levelling: plane or sand it level, or set bits.levelling.")
    return lines


def zero_words(entry: Pass, plan: Plan) -> str:
    """Where a part's zero is taken."""
    face = "the plug's face" if entry.part == "plug" else "the base's face"
    if entry.zero != "bed":
        return face
    return f"the bed, {length_text(_thickness(entry, plan), plan.job.unit)} under {face}"


def _thickness(entry: Pass, plan: Plan) -> float:
    return plan.job.plug.thickness if entry.part == "plug" else plan.job.base.thickness


def _part(part: Part, entries: Sequence[Pass], plan: Plan, width: int) -> list[str]:
    """Heading with the zero, and the passes as a table."""
    columns = ["step", "bit", "pass", "total", "load"]
    if part == "plug":
        columns[3:3] = ["start", "below start"]
    if entries[0].zero == "bed":
        columns.append("above bed")
    rows, notes = [columns], [""]
    before: Pass | None = None
    for _, run in groupby(entries, key=lambda entry: (entry.step, entry.cutter, entry.over)):
        passes = list(run)
        # one line for passes that only go on deeper; a plug's start depth moves from pass to pass, and a levelling
        # pass lies above the face or below it
        alike = part == "pocket" or passes[0].step == "cut out"
        if passes[0].step == "cut out":
            _dry_fit(rows, notes)
        for lot in [passes] if alike else [[entry] for entry in passes]:
            first = before is None or before.step != lot[0].step
            rows.append(_row(lot, columns, plan, first=first))
            notes.append("; ".join(_notes(lot, before, plan)))
            before = lot[-1]
    if part == "plug" and (before is None or before.step != "cut out"):
        _dry_fit(rows, notes)
    dry_fit = wrapped("    ", DRY_FIT, indent=6, width=width) if part == "plug" else []
    heading = f"  {PART_WORDS[part]}{sawn_words(part, plan)}; zero on {zero_words(entries[0], plan)}"
    return [heading, *(f"    {line}" for line in table(rows, notes, width=width - 4)), *dry_fit]


def sawn_words(part: Part, plan: Plan) -> str:
    """Before levelling: what is sawn off first."""
    if part != "base" or plan.facts.levelling.sawn_off <= 0 or plan.job.level.saw_to is None:
        return ""
    return f", the back sawn off to {length_text(plan.job.level.saw_to, plan.job.unit)} above it first"


def _dry_fit(rows: list[list[str]], notes: list[str]) -> None:
    """A row for the dry fit, which comes before the plug leaves its blank."""
    rows.append(["dry fit", "see below", *("" for _ in rows[0][2:])])
    notes.append("")


def _notes(lot: Sequence[Pass], before: Pass | None, plan: Plan) -> list[str]:
    first = lot[0]
    notes = []
    if first.over is not None and first.of > 1:
        notes.append(OVER_WORDS[first.over])
    if before is None or before.cutter != first.cutter:
        notes.append("touch off")
        if before is not None and before.step == first.step:
            notes.append("clears the rest")
    for entry in lot:
        if entry.breaks_skin:
            notes.append(f"{breaking_words(entry, plan)}: stand aside")
    if first.step == "clear" and plan.facts.outline is not None:
        floors = plan.facts.outline.floor
        floor = floors.pocket if first.part == "pocket" else floors.plug
        if floor.area == 0 or floor.left_to_v > NOTHING_REACHED:
            notes.append("reaches none of this floor: leave it out")
    return notes


def _row(lot: Sequence[Pass], columns: Sequence[str], plan: Plan, *, first: bool) -> list[str]:
    entry = lot[-1]
    count = f"{entry.number}" if len(lot) == 1 else f"{lot[0].number} to {entry.number}"

    digits = setting_digits(plan)

    def number(value: float | None) -> str:
        return "" if value is None else length_text(value, plan.job.unit, with_unit=False, digits=digits)

    cells = {
        "step": STEP_WORDS[entry.step] if first else "",
        "bit": entry.bit,
        "pass": f"{count} of {entry.of}",
        "start": number(entry.start_depth),
        "below start": number(entry.depth_below_start),
        "total": _height(entry, number),
        "load": number(entry.load),
        "above bed": number(_thickness(entry, plan) - entry.total_depth),
    }
    return [cells[column] for column in columns]


def _height(entry: Pass, number: Callable[[float | None], str]) -> str:
    """A depth below the face; of levelling, whether above or below it: no sign is to be taken for the machine's."""
    if entry.step != "level":
        return number(entry.total_depth)
    return f"{number(abs(entry.total_depth))} {'above' if entry.total_depth < 0 else 'below'}"


def breaking_words(entry: Pass, plan: Plan) -> str:
    """What a levelling pass does that goes through the wood over the surface gap, or leaves too little of it."""
    left = plan.facts.skin_left(entry)
    if left <= 0:
        return "breaks through to the gap"
    return f"leaves {length_text(left, plan.job.unit, with_unit=False)} over the gap, which breaks"
