"""The bench card's passes: every bit of every step, with a box to tick for each pass."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from inlayfit.joint.schedule import Part, Pass
from inlayfit.pictures.card_parts import HEADING, LINE, STOP, lines_of
from inlayfit.pictures.html import Element, put, table
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.schedule_text import STEP_WORDS

MOST_BOXES: Final = 12
"""A bit with more passes in a step gets boxes for its first ones and its last."""
TABLE_HEAD, ROW = 5.0, 5.2
BOXES: Final = 118.0
"""Width of a schedule's boxes, mm."""
PARTS: Final[dict[Part, str]] = {
    "pocket": "Pocket, in the base",
    "plug": "Plug, drawing mirrored",
    "base": "Levelling, after the glue-up",
}
NUMBERS: Final[dict[Part, str]] = {
    "pocket": "depth",
    "plug": "start depth + depth below start",
    "base": "above the face, at last below it",
}
"""What the numbers of a part's passes are."""


def schedule(body: Element, plan: Plan, *, to_cut: bool) -> float:
    """The passes, in the order of the work; without ``to_cut`` there is nothing to tick. Height in print, mm."""
    job = plan.job
    part = put(body, "section", class_="passes" if to_cut else "passes stopped")
    put(part, "h2", f"Passes, a box each ({job.unit})" if to_cut else f"Passes as worked out ({job.unit})")
    if not to_cut:
        put(part, "p", STOP, class_="across", aria_hidden="true")
    high = HEADING
    for kind, group in groupby(plan.facts.passes, key=lambda entry: entry.part):
        entries = list(group)
        rows: list[list[str | Element]] = []
        for step, steps in groupby(entries, key=lambda entry: entry.step):
            for number, (bit, run) in enumerate(groupby(steps, key=lambda entry: entry.bit)):
                boxes = _boxes(list(run), plan)
                rows.append([STEP_WORDS[step] if number == 0 else "then the rest", bit, boxes])
                # a box and its margin are about as wide as four letters
                words = " ".join((entry.text or "").replace(" ", "\N{NO-BREAK SPACE}") + 4 * "x" for entry in boxes)
                high += ROW + (max(lines_of(words, BOXES), lines_of(bit, 40)) - 1) * LINE
        table(part, f"{PARTS[kind]}; {_zero(kind, entries[0])}; {NUMBERS[kind]}", (), rows, kind="schedule")
        high += TABLE_HEAD
    if job.plug.cut_out and job.bits.cut_out is None:
        put(part, "p", "No bit is named for the cut-out: dry fit first, then saw the plug out.")
        high += LINE
    if job.bits.levelling is None:
        put(part, "p", "No bit is named for levelling: plane or sand it level.")
        high += LINE
    return high


def _zero(part: Part, entry: Pass) -> str:
    face = "plug's face" if part == "plug" else "base's face"
    if entry.zero == "bed":
        return f"zero on the bed, height above it in brackets; from the {face}"
    return f"zero on the {face}"


def _boxes(passes: Sequence[Pass], plan: Plan) -> Element:
    cell = Element("div")
    if passes[0].step == "cut out":
        # while the plug is still clamped on its zero, and its walls can be run again
        put(cell, "span", "dry fit first", class_="box")
    shown = [*passes]
    if len(passes) > MOST_BOXES:
        # the pass to stand aside for is not left out
        shown = [*passes[: MOST_BOXES - 3], *(entry for entry in passes[MOST_BOXES - 3 : -1] if entry.breaks_skin)]
        shown.append(passes[-1])
    for entry in shown:
        if entry is passes[-1] and len(shown) < len(passes):
            load = length_text(entry.load, plan.job.unit, with_unit=False)
            put(cell, "span", f"... every {load}, {len(passes)} passes, to ")
        put(cell, "span", pass_words(entry, plan), class_="box")
    return cell


def pass_words(entry: Pass, plan: Plan) -> str:
    """The numbers of one pass; a height above the face is told as such, never by a sign."""
    digits = setting_digits(plan)

    def number(value: float) -> str:
        return length_text(value, plan.job.unit, with_unit=False, digits=digits)

    words = number(entry.total_depth)
    if entry.part == "base":
        words = f"{number(abs(entry.total_depth))} {'above' if entry.total_depth < 0 else 'below'}"
    elif entry.part == "plug" and entry.step != "cut out" and entry.start_depth is not None:
        words = f"{number(entry.start_depth)} + {number(entry.depth_below_start or 0.0)}"
    if entry.zero == "bed":
        thickness = plan.job.plug.thickness if entry.part == "plug" else plan.job.base.thickness
        height = thickness - entry.total_depth
        words += f" ({number(height)})" if height >= 0 else f" ({number(-height)} into the bed)"
    if entry.over == "board" and entry.of > 1:
        words += ", whole board"
    return f"{words}, breaks through to the gap: stand aside" if entry.breaks_skin else words
