"""The bench card's work at the bench: touching off, the dry fit, glue and clamps, sawing off."""

from __future__ import annotations

import shlex

from inlayfit.joint.job import ProgrammeSource
from inlayfit.pictures.card_parts import HEADING, LINE, lines_of
from inlayfit.pictures.dry_fit_target import dry_fit_command, expected_text, readings
from inlayfit.pictures.html import Element, put, table
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.shop_text import clamping_words, gluing_words

ROW = 5.2


def touch_off(body: Element, plan: Plan) -> float:
    """What is easily forgotten when a bit is set. Height in print, mm."""
    job = plan.job
    part = put(body, "section")
    put(part, "h2", "Touching off")
    lines = put(part, "ul")
    if job.touch_off == "bed":
        base, plug = (length_text(blank.thickness, job.unit) for blank in (job.base, job.plug))
        put(lines, "li", f"Zero on the bed; measure the blanks: base {base}, plug {plug}.")
    else:
        put(lines, "li", "Zero on the base's face for the pocket, on the plug blank's face for the plug.")
    bits = list(dict.fromkeys(entry.bit for entry in plan.facts.passes))
    put(lines, "li", f"Again at every change of bit ({', '.join(bits)}), at the same spot, clean of dust.")
    error = "An error of the V-bit's zero lifts or sinks the plug by as much"
    stack = plan.facts.stack
    if stack is not None and stack.drawn is not None and stack.drawn.touch_off_all is not None:
        error += f"; with all zeros within {length_text(stack.drawn.touch_off_all, job.unit)} 19 of 20 plugs seat"
    put(lines, "li", f"{error}.")
    put(lines, "li", "Mirror the drawing for the plug, and only for the plug.")
    if plan.facts.outline is not None:
        shop, placed = plan.facts.outline.shop, []
        for name, placement in (("base", shop.base), ("plug blank", shop.plug)):
            if placement is not None and placement.blank is not None:
                x, y = (length_text(value, job.unit, with_unit=False) for value in placement.at)
                placed.append(f"({x}, {y}) on the {name}")
        if placed:
            put(lines, "li", f"Outline's middle from the datum, {job.datum or 'centre'}: {', '.join(placed)}.")
    return HEADING + LINE * sum(lines_of(line.text or "", 66) for line in lines)


def programmes(body: Element, plan: Plan, sheet: str) -> float:
    """The posted programmes that the sheet names, with the bit of each; a card does not prove them. Height, mm."""
    named = plan.job.programmes
    set_ups = (("Pocket", named.pocket), ("Plug", named.plug), ("Levelling", named.level))
    lines = [
        f"{set_up}: {', '.join(_programme_words(entry) for entry in entries)}."
        for set_up, entries in set_ups
        if entries
    ]
    if not lines:
        return 0.0
    part = put(body, "section")
    put(part, "h2", "Programmes, in the order they run")
    listed = put(part, "ul")
    for words in lines:
        put(listed, "li", words)
    last = put(listed, "li", "This card does not prove them. Run ")
    asked = put(last, "code", f"inlayfit prove {shlex.quote(sheet)}")
    asked.tail = " before you cut."
    return HEADING + LINE * (1 + sum(lines_of(words, 180) for words in lines))


def _programme_words(entry: ProgrammeSource) -> str:
    """A programme's file and what runs it."""
    if entry.bit is not None:
        return f"{entry.file} ({entry.bit})"
    tools = ", ".join(f"T{number} {bit}" for number, bit in entry.tools)
    return f"{entry.file} ({tools})" if tools else entry.file


def dry_fit(body: Element, plan: Plan, sheet: str) -> float:
    """What to read at the dry fit, and what to do if it reads otherwise. Height in print, mm."""
    unit, digits = plan.job.unit, setting_digits(plan)
    part = put(body, "section")
    put(part, "h2", "Dry fit, pressed by hand, before the plug is cut out")

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False, digits=digits)

    rows = [
        [
            f"{entry.name} ({entry.option}): {entry.words}",
            expected_text(entry, unit, digits),
            number(entry.allowance),
            number(entry.as_drawn),
        ]
        for entry in readings(plan)
    ]
    head = (f"read at three places or more ({unit})", "expect", "give or take", "nominal")
    table(part, "", head, rows, kind="target")
    steps = put(part, "ol")
    if plan.facts.seat is None:
        missed = put(steps, "li", "What a hand leaves is not worked out here: read first, and do not clamp. Then ")
    else:
        put(steps, "li", "Reads as expected: brush out, glue, clamp. Do not cut, though it stands proud: the clamp "
                         "closes it.")  # fmt: skip
        missed = put(steps, "li", "Reads otherwise, or rocks: do not clamp. Leave what is still clamped where it is. "
                                  "Then ")  # fmt: skip
    asked = put(missed, "code", dry_fit_command(sheet))
    asked.tail = " with your readings, and --held for what is still clamped, names the likely cause and the cut."
    return HEADING + 3.5 + sum(ROW + (lines_of(row[0], 58) - 1) * LINE for row in rows) + LINE * (
        6 + lines_of(sheet, 100)
    )


def gluing(body: Element, plan: Plan) -> float:
    """Glue, clamps, and what is sawn off before levelling. Height in print, mm."""
    part = put(body, "section", class_="whole")
    put(part, "h2", "Glue-up and after")
    lines = put(part, "ul")
    if plan.facts.outline is None:
        put(lines, "li", "Glue and clamps are not worked out without an outline. Your glue's data sheet comes first.")
    else:
        put(lines, "li", gluing_words(plan, plan.facts.outline))
        put(lines, "li", f"{clamping_words(plan, plan.facts.outline)} Your glue's data sheet comes first.")
    put(lines, "li", f"{_sawing_words(plan)} Then touch off on the base's face again.")
    return HEADING + LINE * sum(lines_of(line.text or "", 180) for line in lines)


def _sawing_words(plan: Plan) -> str:
    """What stands above the face after the glue-up, and what a saw takes of it."""
    unit = plan.job.unit
    above = f"Out of the clamps {length_text(plan.facts.depths.above_face, unit)} of plug stands above the face."
    if plan.job.level.saw_to is None or plan.facts.levelling.sawn_off <= 0:
        return f"{above} A saw may take some of it before levelling."
    return f"{above} Saw it off to {length_text(plan.job.level.saw_to, unit)} above the face."
