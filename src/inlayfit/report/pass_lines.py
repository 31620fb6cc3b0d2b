"""The pass schedule in brief: a line for each step and bit, with every pass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import Final

from inlayfit.joint.schedule import Pass
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.schedule_text import (
    NOTHING_REACHED,
    PART_WORDS,
    STEP_WORDS,
    breaking_words,
    no_bit_lines,
    sawn_words,
    zero_words,
)

DRY_FIT: Final = "    dry fit          before the plug leaves its blank, still clamped on its zero"


def pass_lines(plan: Plan, width: int) -> list[str]:
    """All passes of both parts and of the levelling, wrapped; a plug's pass as start depth + depth below start."""
    unit, digits = plan.job.unit, setting_digits(plan)

    def number(mm: float) -> str:
        return length_text(mm, unit, with_unit=False, digits=digits)

    lines = [f"Passes ({unit}): depths below the face, the plug's as start depth + depth below start"]
    across = max(len(entry.bit) for entry in plan.facts.passes)
    for part, entries in groupby(plan.facts.passes, key=lambda entry: entry.part):
        passes = list(entries)
        lines.append(f"  {PART_WORDS[part]}{sawn_words(part, plan)}; zero on {zero_words(passes[0], plan)}")
        before = None
        for (step, cutter), lot in groupby(passes, key=lambda entry: (entry.step, entry.cutter)):
            if step == "cut out":
                lines.append(DRY_FIT)
            words = STEP_WORDS[step] if step != before else ""
            if step == "clear" and step == before:
                words = "clear the rest"
            head = f"    {words:<15}  {cutter.name:<{across}}  "
            lines += _set(head, _depths(list(lot), plan, number), width)
            before = step
        if part == "plug" and before != "cut out":
            lines.append(DRY_FIT)
    return [*lines, *no_bit_lines(plan)]


def _depths(lot: Sequence[Pass], plan: Plan, number: Callable[[float], str]) -> list[str]:
    """What to type for each pass, in words that a line must not be broken within."""
    first = lot[0]
    if first.step == "clear" and plan.facts.outline is not None:
        floors = plan.facts.outline.floor
        floor = floors.pocket if first.part == "pocket" else floors.plug
        if floor.area == 0 or floor.left_to_v > NOTHING_REACHED:
            return ["leave it out: the bit reaches none of this floor"]
    if first.part == "plug" and first.step != "cut out":
        return [f"{number(entry.start_depth or 0.0)} + {number(entry.depth_below_start or 0.0)}" for entry in lot]
    if first.step != "level":
        return [number(entry.total_depth) for entry in lot]
    above = [entry for entry in lot if entry.total_depth < 0]
    told = [number(-entry.total_depth) for entry in above]
    told += ["above the face,"] if above else []
    below = [number(entry.total_depth) for entry in lot[len(above) :]]
    told += [f"{depth} below it" if above else depth for depth in below]
    breaking = next((entry for entry in lot if entry.breaks_skin), None)
    if breaking is not None:
        told[-1] += ";"
        told.append(f"pass {breaking.number} {breaking_words(breaking, plan)}")
    return told


def _set(head: str, entries: Sequence[str], width: int) -> list[str]:
    """Entries behind their head, as many as a line holds."""
    lines, line, indent = [], head, " " * len(head)
    if len(head) > width / 2:
        lines, line, indent = [head.rstrip()], " " * 6, " " * 6
    for entry in entries:
        if len(line) + len(entry) > width and line not in (head, indent):
            lines.append(line.rstrip())
            line = indent
        line += f"{entry}  "
    return [*lines, line.rstrip()]
