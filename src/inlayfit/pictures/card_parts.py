"""The parts of a bench card that are words and numbers.

Each returns about how high it will be in print, in mm, so that the drawings can be given the room that is left.
"""

from __future__ import annotations

from typing import Final

from inlayfit import __version__
from inlayfit.checks.finding import Finding
from inlayfit.pictures.canvas import Canvas, wrapped
from inlayfit.pictures.html import Element, put
from inlayfit.pictures.seat_words import draw_sign, job_sign, seat_words
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.cautions import cautions
from inlayfit.report.layout import setting_digits
from inlayfit.report.text import headline
from inlayfit.report.weak_places import SHOWN_CONTACTS, SHOWN_PLACES, number_of, touching, weak_places
from inlayfit.report.wording import reasons_text, remedies_text

STOP: Final = "DO NOT CUT"
SIGN: Final = 8.0
ACROSS: Final = 186.0
"""Width of what is printed, mm."""
LINE: Final = 4.2
HEADING: Final = 8.5
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


def stop(body: Element) -> float:
    """In letters that nobody overlooks: a job that fails is not to be cut. Height in print, mm."""
    put(body, "p", STOP, class_="stop")
    return 13.0


def depths(body: Element, plan: Plan, *, to_cut: bool) -> float:
    """The numbers to type, in large type; without ``to_cut`` what was worked out, crossed. Height in print, mm."""
    found, unit, digits = plan.facts.depths, plan.job.unit, setting_digits(plan)
    part = put(body, "section", class_="numbers" if to_cut else "numbers stopped")
    put(part, "h2", f"Numbers to type ({unit})" if to_cut else f"Depths as worked out ({unit})")
    if not to_cut:
        put(part, "p", STOP, class_="across", aria_hidden="true")
    grid = put(part, "dl", class_="depths")
    for words, value, from_where in (
        ("Pocket depth", found.pocket_depth, "base's face to the pocket's floor"),
        ("Plug start depth", found.start_depth, "plug's face to the drawing's size"),
        ("Plug below start", found.depth_below_start, "from there to the plug's floor"),
        ("Plug total depth", found.plug_total_depth, "plug's face to the plug's floor"),
    ):
        tile = put(grid, "div", class_="large")
        put(tile, "dt", words)
        number = put(tile, "dd", length_text(value, unit, with_unit=False, digits=digits))
        put(number, "small", from_where)
    for words, value in (
        ("Pocket clearing offset, inwards", found.pocket_clearing_offset),
        ("Plug clearing offset, outwards", found.plug_clearing_offset),
        ("Glue gap, nominal", found.glue_gap),
        ("Surface gap, nominal", found.surface_gap),
    ):
        tile = put(grid, "div")
        put(tile, "dt", words)
        put(tile, "dd", length_text(value, unit, with_unit=False, digits=digits))
    return HEADING + 28


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
    words = f"Not checked: {', '.join(left_out)}." if left_out else ""
    if not found:
        passed = sum(entry.status == "pass" for entry in plan.findings)
        words = f"All {passed} checks that were made pass. {words}".strip()
    if words:
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
    return 1.5 + 3.4 / 2 * sum(lines_of(line.text or "", 88, 7.2) for line in lines)
