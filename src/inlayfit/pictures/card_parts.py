"""The parts of a bench card that are words and numbers.

Each returns about how high it will be in print, in mm, so that the drawings can be given the room that is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from inlayfit import __version__
from inlayfit.checks.finding import Finding
from inlayfit.joint.schedule import Part, Pass
from inlayfit.pictures.canvas import Canvas, wrapped
from inlayfit.pictures.dry_fit_target import dry_fit_command, expected_text, readings
from inlayfit.pictures.html import Element, put, table
from inlayfit.pictures.seat_words import draw_sign, job_sign, seat_words
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.cautions import cautions
from inlayfit.report.layout import setting_digits
from inlayfit.report.schedule_text import PART_WORDS, STEP_WORDS
from inlayfit.report.text import headline
from inlayfit.report.weak_places import SHOWN_CONTACTS, SHOWN_PLACES, number_of, touching, weak_places
from inlayfit.report.wording import reasons_text, remedies_text

MOST_BOXES: Final = 12
"""A bit with more passes in a step gets boxes for its first ones and its last."""
SIGN: Final = 8.0
ACROSS: Final = 186.0
"""Width of what is printed, mm."""
LINE: Final = 4.2
HEADING: Final = 8.5
TABLE_HEAD, ROW = 9.0, 5.6
BOXES: Final = 116.0
"""Width of a schedule's boxes, mm."""
MM_PER_POINT: Final = 25.4 / 72


def lines_of(words: str, across: float, points: float = 9.0) -> int:
    """About how many lines words take in print."""
    # the width of a letter is a bound: a whole line of them is narrower
    return len(wrapped(words, across / 0.86, points * MM_PER_POINT))


def head(body: Element, plan: Plan, name: str, sheet: str) -> float:
    """The job, what became of the whole, and whether the plug seats."""
    seat, told_large = seat_words(plan), headline(plan)
    told_large = told_large[0].upper() + told_large[1:]
    top = put(body, "header", class_="head")
    reason = f"{seat.words}: {seat.reason}."
    sign = Canvas(name=f"{name}-sign", title=told_large, description=reason, width=SIGN, height=SIGN)
    draw_sign(sign, job_sign(plan), (SIGN / 2, SIGN / 2))
    top.append(sign.root)
    told = put(top, "div")
    put(told, "h1", plan.job.title)
    put(told, "p", told_large, class_="verdict")
    put(told, "p", reason)
    unit = {"in": "inches (in)", "mm": "millimetres (mm)"}[plan.job.unit]
    put(told, "p", f"All lengths in {unit}. Sheet {sheet}, inlayfit {__version__}.", class_="faint")
    beside = ACROSS - 19
    large = 7 * lines_of(plan.job.title, beside, 17) + 5.5 * lines_of(told_large, beside, 12)
    return large + LINE * (lines_of(reason, beside) + lines_of(sheet, 100))


def depths(body: Element, plan: Plan) -> float:
    """The numbers to type, in large type."""
    found, unit, digits = plan.facts.depths, plan.job.unit, setting_digits(plan)
    part = put(body, "section")
    put(part, "h2", "Numbers to type")
    grid = put(part, "dl", class_="depths")
    for words, value, from_where in (
        ("Pocket depth", found.pocket_depth, "base's face to the pocket's floor"),
        ("Plug start depth", found.start_depth, "plug's face to the drawing's size"),
        ("Plug below start", found.depth_below_start, "from there to the plug's own floor"),
        ("Plug in all", found.plug_total_depth, "plug's face to its own floor"),
    ):
        tile = put(grid, "div", class_="large")
        put(tile, "dt", words)
        number = put(tile, "dd", length_text(value, unit, with_unit=False, digits=digits))
        put(number, "small", from_where)
    for words, value in (
        ("Pocket clearing offset, inwards", found.pocket_clearing_offset),
        ("Plug clearing offset, outwards", found.plug_clearing_offset),
        ("Glue gap, as drawn", found.glue_gap),
        ("Surface gap, as drawn", found.surface_gap),
    ):
        tile = put(grid, "div")
        put(tile, "dt", words)
        put(tile, "dd", length_text(value, unit, with_unit=False, digits=digits))
    return HEADING + 30


def schedule(body: Element, plan: Plan) -> float:
    """Every bit of every step, with a box to tick for each pass."""
    job = plan.job
    part = put(body, "section")
    put(part, "h2", f"Passes, a box each ({job.unit})")
    high = HEADING
    for kind, group in groupby(plan.facts.passes, key=lambda entry: entry.part):
        entries = list(group)
        rows: list[list[str | Element]] = []
        for step, steps in groupby(entries, key=lambda entry: entry.step):
            for number, (bit, run) in enumerate(groupby(steps, key=lambda entry: entry.bit)):
                boxes = _boxes(list(run), plan)
                rows.append([STEP_WORDS[step] if number == 0 else "what that left", bit, boxes])
                # a box and its margin are about as wide as four letters
                words = " ".join((entry.text or "").replace(" ", "\N{NO-BREAK SPACE}") + 4 * "x" for entry in boxes)
                high += ROW + (max(lines_of(words, BOXES), lines_of(bit, 40)) - 1) * LINE
        numbers = "start + below start = total depth" if kind == "plug" else "total depth"
        if entries[0].zero == "bed":
            numbers += ", height above the bed in brackets"
        table(part, f"{PART_WORDS[kind]}; {_zero(kind, entries[0])}", ("step", "bit", numbers), rows, kind="schedule")
        high += TABLE_HEAD
    if job.plug.cut_out and job.bits.cut_out is None:
        put(part, "p", "No bit is named for the cut-out: saw the plug out.")
        high += LINE
    if job.bits.levelling is None:
        put(part, "p", "No bit is named for levelling: plane or sand it level.")
        high += LINE
    return high


def _zero(part: Part, entry: Pass) -> str:
    face = "plug's face" if part == "plug" else "base's face"
    return f"zero on the bed, depths from the {face}" if entry.zero == "bed" else f"zero on the {face}"


def _boxes(passes: Sequence[Pass], plan: Plan) -> Element:
    cell = Element("div")
    shown = [*passes]
    if len(passes) > MOST_BOXES:
        # the pass to stand aside for is not left out
        shown = [*passes[: MOST_BOXES - 3], *(entry for entry in passes[MOST_BOXES - 3 : -1] if entry.breaks_skin)]
        shown.append(passes[-1])
    for entry in shown:
        if entry is passes[-1] and len(shown) < len(passes):
            load = length_text(entry.load, plan.job.unit, with_unit=False)
            put(cell, "span", f"... one every {load}, {len(passes)} in all: ")
        put(cell, "span", _pass_words(entry, plan), class_="box")
    return cell


def _pass_words(entry: Pass, plan: Plan) -> str:
    digits = setting_digits(plan)

    def number(value: float) -> str:
        return length_text(value, plan.job.unit, with_unit=False, digits=digits)

    words = number(entry.total_depth)
    if entry.part == "plug" and entry.step != "cut out" and entry.start_depth is not None:
        words = f"{number(entry.start_depth)} + {number(entry.depth_below_start or 0.0)} = {words}"
    if entry.zero == "bed":
        thickness = plan.job.plug.thickness if entry.part == "plug" else plan.job.base.thickness
        words += f" ({number(thickness - entry.total_depth)})"
    if entry.over == "board" and entry.of > 1:
        words += ", whole board"
    return f"{words}, breaks the skin: stand aside" if entry.breaks_skin else words


def touch_off(body: Element, plan: Plan) -> float:
    """What is easily forgotten when a bit is set."""
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
        error += f"; all zeros within {length_text(stack.drawn.touch_off_all, job.unit)} let 19 of 20 plugs seat"
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
    put(lines, "li", "Leave the part that was cut last on its zero until the dry fit is done.")
    return HEADING + LINE * sum(lines_of(line.text or "", 66) for line in lines)


def dry_fit(body: Element, plan: Plan, sheet: str) -> float:
    """What to read at the dry fit, and what to do if it reads otherwise."""
    unit, digits = plan.job.unit, setting_digits(plan)
    part = put(body, "section")
    put(part, "h2", "Dry fit, pressed by hand")

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
    table(part, "", (f"read at three places or more ({unit})", "expect", "allow", "as drawn"), rows, kind="target")
    steps = put(part, "ol")
    if plan.facts.seat is None:
        missed = put(steps, "li", "What a hand leaves is not checked here: read first, no clamp yet. Then ")
    else:
        put(steps, "li", "As expected, or off it by no more than is allowed: brush out, press again, clamp. Cut "
                         "nothing, though it may stand proud: the clamp takes it home.")  # fmt: skip
        missed = put(steps, "li", "Missed, or it rocks: no clamp yet; leave what is still on its zero where it is. "
                                  "Then ")  # fmt: skip
    asked = put(missed, "code", dry_fit_command(sheet))
    asked.tail = " with your readings, and --held for what is still on its zero, tells the likely cause and the cut."
    return HEADING + 3.5 + sum(ROW + (lines_of(row[0], 58) - 1) * LINE for row in rows) + LINE * (
        6 + lines_of(sheet, 100)
    )


def attention(body: Element, plan: Plan) -> float:
    """The checks that fail or are in doubt, with what to change, and those that were not made."""
    found = [entry for status in ("fail", "doubtful") for entry in plan.findings if entry.status == status]
    left_out = [entry.id for entry in plan.findings if entry.status == "not checked"]
    part = put(body, "section")
    put(part, "h2", "Needs attention" if found else "Checks")
    high = HEADING
    if found:
        lines = put(part, "ul", class_="attention")
        for entry in found:
            put(lines, "li", _finding_words(plan, entry), class_=entry.status)
        high += 3.8 * sum(lines_of(line.text or "", ACROSS - 5, 8.2) for line in lines)
    else:
        passed = sum(entry.status == "pass" for entry in plan.findings)
        put(part, "p", f"All {passed} checks that were made pass.")
        high += LINE
    if left_out:
        words = f"Not checked: {', '.join(left_out)}."
        put(part, "p", words)
        high += LINE * lines_of(words, ACROSS)
    return high


def rings(body: Element, plan: Plan) -> float:
    """What the numbers in the plan of the outline are, a line for those that are alike."""
    numbered, held_up = weak_places(plan), touching(plan)
    if not numbered:
        return 0.0
    said, told = [], set[int]()
    for words, places in list(held_up.items())[:SHOWN_CONTACTS]:
        numbers = sorted({number_of(numbered, at) for at in places[:SHOWN_PLACES]})
        told.update(numbers)
        # what would help there is in the report
        said.append(f"{', '.join(map(str, numbers))}: {words.partition(';')[0]}")
    if any(place.number not in told for place in numbered):
        said.append(f"{'others' if said else 'all'}: see Needs attention")
    part = put(body, "ul", class_="rings")
    for words in said:
        put(part, "li", f"{words}.")
    return _two_columns(part)


def _finding_words(plan: Plan, entry: Finding) -> str:
    status = "fails" if entry.status == "fail" else "in doubt"
    unit = plan.job.unit
    words = f"{entry.id} {status}: {reasons_text(entry, unit)}"
    places = weak_places(plan)
    if entry.places and entry.id != "seat":
        numbers = sorted({number_of(places, place.at) for place in entry.places})
        words += f" (in the plan at {', '.join(str(number) for number in numbers)})"
    return f"{words}. To change: {remedies_text(entry, unit)}." if entry.remedies else f"{words}."


def safety(body: Element, plan: Plan) -> float:
    """Cautions, a line each."""
    part = put(body, "section", class_="whole")
    put(part, "h2", "Cautions")
    lines = put(part, "ul", class_="cautions")
    for line in cautions(plan.job):
        put(lines, "li", line)
    return HEADING + _two_columns(lines)


def _two_columns(lines: Element) -> float:
    """Height of a list in small print, in two columns."""
    return 1.5 + 3.6 / 2 * sum(lines_of(line.text or "", 84, 7.8) for line in lines)
