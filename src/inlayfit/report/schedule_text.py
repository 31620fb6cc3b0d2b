"""The pass schedule as text."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from inlayfit.joint.job import LevelledOver
from inlayfit.joint.schedule import Part, Pass, Step
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits, table, wrapped

PART_WORDS: Final[dict[Part, str]] = {
    "pocket": "Pocket, in the base",
    "plug": "Plug, drawing mirrored",
    "base": "Levelling after the glue-up, minus is above the face",
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


def schedule_part(plan: Plan) -> list[str]:
    """Passes by part, with each zero."""
    job = plan.job
    lines = [f"Pass schedule ({job.unit}): totals are depths below the face, a load is what one pass takes"]
    for part, entries in groupby(plan.facts.passes, key=lambda entry: entry.part):
        lines += _part(part, list(entries), plan)
    if job.plug.cut_out and job.bits.cut_out is None:
        lines.append("  No bit is named for the cut-out: saw the plug out, or set bits.cut_out.")
    if job.bits.levelling is None:
        lines.append("  No bit is named for levelling: plane or sand it level, or set bits.levelling.")
    return lines


def _part(part: Part, entries: Sequence[Pass], plan: Plan) -> list[str]:
    """Heading with the zero, and the passes as a table."""
    thickness = plan.job.plug.thickness if part == "plug" else plan.job.base.thickness
    zero = "the plug's face" if part == "plug" else "the base's face"
    if entries[0].zero == "bed":
        zero = f"the bed, {length_text(thickness, plan.job.unit)} under {zero}"
    columns = ["step", "bit", "pass", "total", "load"]
    if part == "plug":
        columns[3:3] = ["start", "below start"]
    if entries[0].zero == "bed":
        columns.append("above bed")
    rows, notes = [columns], [""]
    before: Pass | None = None
    for _, run in groupby(entries, key=lambda entry: (entry.step, entry.cutter, entry.over)):
        passes = list(run)
        # one line for passes that only go on deeper; a plug's start depth moves from pass to pass
        alike = part != "plug" or passes[0].step == "cut out"
        if passes[0].step == "cut out":
            _dry_fit(rows, notes)
        for lot in [passes] if alike else [[entry] for entry in passes]:
            first = before is None or before.step != lot[0].step
            rows.append(_row(lot, columns, thickness, plan, first=first))
            notes.append("; ".join(_notes(lot, before, plan)))
            before = lot[-1]
    if part == "plug" and (before is None or before.step != "cut out"):
        _dry_fit(rows, notes)
    told = wrapped("    ", DRY_FIT, indent=6) if part == "plug" else []
    sawn = ""
    if part == "base" and plan.facts.levelling.sawn_off > 0 and plan.job.level.saw_to is not None:
        sawn = f", the back sawn off to {length_text(plan.job.level.saw_to, plan.job.unit)} above it first"
    return [f"  {PART_WORDS[part]}{sawn}; zero on {zero}"] + [f"    {line}" for line in table(rows, notes)] + told


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
            notes.append("only what the larger bit left")
    for entry in lot:
        if entry.breaks_skin:
            left = plan.facts.skin_left(entry)
            shown = length_text(left, plan.job.unit, with_unit=False)
            breaks = f"leaves {shown} of the skin and breaks it" if left > 0 else "breaks the skin"
            notes.append(f"pass {entry.number} {breaks}: stand aside")
    if first.step == "clear" and plan.facts.outline is not None:
        floors = plan.facts.outline.floor
        floor = floors.pocket if first.part == "pocket" else floors.plug
        if floor.area == 0 or floor.left_to_v > NOTHING_REACHED:
            notes.append("reaches none of this floor: leave it out")
    return notes


def _row(lot: Sequence[Pass], columns: Sequence[str], thickness: float, plan: Plan, *, first: bool) -> list[str]:
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
        "total": number(entry.total_depth),
        "load": number(entry.load),
        "above bed": number(thickness - entry.total_depth),
    }
    return [cells[column] for column in columns]
