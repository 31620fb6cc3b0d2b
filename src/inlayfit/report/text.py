"""A plan as text: what a person keeps open beside the machine's own programme."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from typing import Final

from inlayfit.advice import Advice
from inlayfit.checks.facts import OutlineFacts
from inlayfit.checks.finding import Finding, Scope, Status, Verdict
from inlayfit.joint.job import Assumed
from inlayfit.joint.schedule import Part, Pass, Step
from inlayfit.joint.strength import FRICTION
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, force_text, length_text, quantity_text
from inlayfit.report.cautions import cautions

WIDTH: Final = 100
Paint = Callable[[str, Status | Verdict], str]

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
SCOPE_WORDS: Final[dict[Scope, str]] = {
    "depths": "; seat not checked",
    "nominal outline": "; seat not checked",
    "as cut": ", seat checked as cut",
}
AGREE: Final[dict[Scope, str]] = {
    "depths": "depths agree",
    "nominal outline": "depths agree, outline looked at as drawn",
    "as cut": "fits",
}
SHOWN_CONTACTS: Final = 3


def plain(words: str, status: Status | Verdict) -> str:
    """No colour."""
    return words


def text(plan: Plan, *, advice: Advice | None = None, paint: Paint = plain) -> str:
    """The report; ``paint`` may colour words by their status."""
    parts = [
        [plan.job.title, *_wrapped("", headline(plan, paint))],
        _depths(plan),
        _outline(plan, plan.facts.outline) if plan.facts.outline else [],
        _seat(plan),
        _schedule(plan),
        _checks(plan, paint),
        _advice(plan, advice),
        _assumed(plan),
        _wrapped("Cautions: ", " ".join(cautions(plan.job))),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def headline(plan: Plan, paint: Paint = plain) -> str:
    """Verdict and scope in one line."""
    by_status = {
        status: [entry.id for entry in plan.findings if entry.status == status] for status in ("fail", "doubtful")
    }
    scope = plan.facts.scope
    if plan.verdict == "does not fit":
        words = f"does not fit: {', '.join(by_status['fail'])}"
    elif plan.verdict == "doubtful":
        words = f"{AGREE[scope]}, in doubt: {', '.join(by_status['doubtful'])}"
    else:
        words = AGREE[scope]
    return f"{paint(words, plan.verdict)}{SCOPE_WORDS[scope]}"


def _depths(plan: Plan) -> list[str]:
    depths, unit = plan.facts.depths, plan.job.unit

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False)

    def left(wood: float) -> str:
        return number(wood) if wood > 0 else "none"

    rows = [
        ("pocket depth", depths.pocket_depth, "base's face to the pocket's floor"),
        ("plug start depth", depths.start_depth, "plug's face to where it has the outline's size"),
        ("plug below start", depths.depth_below_start, "start depth to the plug's own floor"),
        ("plug total depth", depths.plug_total_depth, "plug's face to the plug's own floor"),
        ("glue gap", depths.glue_gap, "plug's face to the pocket's floor, once glued"),
        ("surface gap", depths.surface_gap, "base's face to the plug's own floor, once glued"),
        ("pocket clearing offset", depths.pocket_clearing_offset, "outline inwards to the clearing bit's edge"),
        ("plug clearing offset", depths.plug_clearing_offset, "outline outwards to the clearing bit's edge"),
    ]
    lines = [f"Depths ({unit})"]
    lines += [f"  {name:<23}{number(value):>8}   {words}" for name, value, words in rows]
    strokes = f"Strokes get the full depth from {number(depths.full_depth_width)} wide"
    if depths.clearing_width is not None:
        strokes += f", and the clearing bit enters from {number(depths.clearing_width)}"
    lines += _wrapped(
        "  ",
        f"{strokes}. Wood left: {left(depths.base_floor)} under the pocket, {left(depths.plug_web)} behind the "
        f"plug's own floor. After the glue-up {number(depths.above_face)} of plug stands above the face.",
    )
    return lines


def _outline(plan: Plan, outline: OutlineFacts) -> list[str]:
    survey, unit = outline.survey, plan.job.unit
    low_x, low_y, high_x, high_y = survey.bounds

    def at(point: tuple[float, float]) -> str:
        return f"at {_at(point, (low_x, low_y), unit)}"

    def count(number: int, one: str) -> str:
        return f"{number} {one}" + ("" if number == 1 else "s")

    size = f"{length_text(high_x - low_x, unit, with_unit=False)} x {length_text(high_y - low_y, unit)}"
    area = survey.area / MM_PER_UNIT[unit] ** 2
    stroke, gap, corner = survey.narrowest_stroke, survey.narrowest_gap, survey.sharpest_corner
    sentence = (
        f"{size}, {area:.{3 if unit == 'in' else 1}f} {unit}2 in {count(survey.regions, 'region')} with "
        f"{count(survey.holes, 'hole')}; narrowest stroke {length_text(stroke.value, unit)} {at(stroke.at)}; "
    )
    if gap is not None:
        sentence += f"narrowest gap {length_text(gap.value, unit)} {at(gap.at)}; "
    sentence += f"sharpest corner {corner.value:.0f} deg {at(corner.at)}. Places are from the lower left of its bounds."
    return _wrapped("Outline: ", sentence)


def _seat(plan: Plan) -> list[str]:
    outline, unit = plan.facts.outline, plan.job.unit
    if outline is None or outline.fit is None:
        return []
    # imported late: it brings numpy, which a plan without a seat does without
    from inlayfit.checks.seat_checks import contact_words

    seat, low = outline.fit.seat, outline.survey.bounds[:2]

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False)

    hand = " to ".join(dict.fromkeys(number(lift) for lift in seat.by_hand))
    closes = "no force closes it"
    if seat.closing_force is not None:
        needed = force_text(seat.closing_force) if seat.closing_force >= 1 else "next to nothing"
        closes = f"{needed} closes it"
    line = seat.seen
    sentences = [
        f"First touch {number(seat.first_touch)}, pressed by hand {hand}, clamped {number(seat.lift)} over the nominal "
        f"seat ({number(seat.lift_strong)} were the wood four times as strong): {outline.fit.strength.words}.",
        f"Clamp {force_text(seat.clamp_force)}; {closes}; the walls bear {force_text(seat.wall_load[0])} to "
        f"{force_text(seat.wall_load[1])}.",
        f"Glue gap {number(seat.glue_gap)}, surface gap {number(seat.surface_gap)}. Joint line after levelling: "
        f"{number(line.largest)} at its widest {_at(line.at, low, unit)}, {number(line.mean)} on the mean.",
    ]
    if plan.job.bits.plug_v.shape.slope < FRICTION:
        sentences.append(
            "So steep a taper holds by itself: at the dry fit press by hand only, and leave something to pull on."
        )
    sentences.append("Hand and first touch are upper bounds: a plug also slides and tilts a little into its place.")
    lines = [f"Seat ({unit})", *_wrapped("  ", " ".join(sentences))]
    held = [contact for contact in seat.contacts if contact.crushed > 0 and contact.kind != "walls"]
    if held:
        lines.append("  What touches first, and is crushed by the clamp")
    for contact in held[:SHOWN_CONTACTS]:
        words = contact_words(plan.facts, contact)
        lines += _wrapped("    ", f"{_at(contact.at, low, unit)} {words}", indent=6)
    if len(held) > SHOWN_CONTACTS:
        lines.append(f"    and {len(held) - SHOWN_CONTACTS} places more (--format json has them)")
    return lines


def _schedule(plan: Plan) -> list[str]:
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
    for _, run in groupby(entries, key=lambda entry: (entry.step, entry.cutter)):
        passes = list(run)
        # one line for passes that only go on deeper; a plug's start depth moves from pass to pass
        alike = part != "plug" or passes[0].step == "cut out"
        for lot in [passes] if alike else [[entry] for entry in passes]:
            first = before is None or before.step != lot[0].step
            rows.append(_row(lot, columns, thickness, plan, first=first))
            notes.append("; ".join(_notes(lot, before, plan)))
            before = lot[-1]
    return [f"  {PART_WORDS[part]}; zero on {zero}"] + [f"    {line}" for line in _table(rows, notes)]


def _notes(lot: Sequence[Pass], before: Pass | None, plan: Plan) -> list[str]:
    first = lot[0]
    notes = []
    if before is None or before.cutter != first.cutter:
        notes.append("touch off")
        if before is not None and before.step == first.step:
            notes.append("only what the larger bit left")
    notes += [f"pass {entry.number} breaks the skin" for entry in lot if entry.breaks_skin]
    return notes


def _row(lot: Sequence[Pass], columns: Sequence[str], thickness: float, plan: Plan, *, first: bool) -> list[str]:
    entry = lot[-1]
    count = f"{entry.number}" if len(lot) == 1 else f"{lot[0].number} to {entry.number}"

    def number(value: float | None) -> str:
        return "" if value is None else length_text(value, plan.job.unit, with_unit=False)

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


def _table(rows: Sequence[Sequence[str]], notes: Sequence[str], *, left: int = 2) -> list[str]:
    """Rows set in columns, the first ``left`` of them to the left; a note may stand behind each."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for row, note in zip(rows, notes, strict=True):
        cells = [
            cell.ljust(width) if column < left else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(f"{'  '.join(cells)}   {note}".rstrip())
    return lines


def _checks(plan: Plan, paint: Paint) -> list[str]:
    def named(status: Status) -> list[str]:
        return [entry.id for entry in plan.findings if entry.status == status]

    low = plan.facts.outline.survey.bounds[:2] if plan.facts.outline else (0.0, 0.0)
    lines = ["Checks"]
    for status in ("fail", "doubtful"):
        for entry in plan.findings:
            if entry.status == status:
                lines += _finding(entry, low, plan, paint)
    if named("pass"):
        lines += _wrapped(f"  {paint('pass', 'pass')}: ", ", ".join(named("pass")), indent=4)
    if named("not checked"):
        lines += _wrapped("  not checked: ", ", ".join(named("not checked")), indent=4)
    return lines


def _finding(entry: Finding, low: tuple[float, ...], plan: Plan, paint: Paint) -> list[str]:
    words = {"fail": "FAIL", "doubtful": "doubtful"}[entry.status]
    sentence = entry.message + (f". To change: {entry.remedy}" if entry.remedy else "") + "."
    lines = _wrapped(f"  {paint(words, entry.status)} {entry.id}: ", sentence, indent=4)
    if entry.id != "seat":  # its places stand in the seat's own part
        for place in entry.places:
            lines += _wrapped("      ", f"{_at(place.at, low, plan.job.unit)} {place.message}", indent=8)
    return lines


def _advice(plan: Plan, advice: Advice | None) -> list[str]:
    if advice is None:
        return []

    def number(value: float) -> str:
        return length_text(value, plan.job.unit, with_unit=False)

    rows = [["", "first touch", "by hand", "clamped"]]
    notes = [""]
    for change in (advice.as_it_is, *advice.changes):
        hand = " to ".join(dict.fromkeys(number(lift) for lift in change.by_hand))
        rows.append([change.words, number(change.first_touch), hand, number(change.lift)])
        notes.append(f"mends {', '.join(change.mends)}" if change.mends else "")
    lines = [f"  {line}" for line in _table(rows, notes, left=1)]
    if advice.smallest_width is None:
        lines.append("  With these bits the fit fails at every size up to eight times this one.")
    else:
        width = length_text(advice.smallest_width, plan.job.unit)
        lines.append(f"  With these bits no check of the fit fails from {width} wide on.")
    return [f"Advice by numbers ({plan.job.unit})", *lines]


def _assumed(plan: Plan) -> list[str]:
    job = plan.job
    lines: list[str] = []
    if job.assumed:
        by_why: dict[str, list[str]] = {}
        for entry in job.assumed:
            by_why.setdefault(entry.why, []).append(f"{entry.key} {_value(entry, plan)}")
        lines = ["Assumed, since the sheet leaves it out"]
        for why, keys in by_why.items():
            lines += _wrapped("  ", f"{', '.join(keys)} ({why})", indent=4)
    if job.unused:
        lines += _wrapped("Read, not yet used: ", ", ".join(job.unused))
    for note in job.notes:
        lines += _wrapped("Note: ", note)
    return lines


def _value(entry: Assumed, plan: Plan) -> str:
    if isinstance(entry.value, str):
        return entry.value
    if entry.kind == "length":
        return length_text(entry.value, plan.job.unit)
    return quantity_text(entry.value, entry.kind)


def _at(point: Sequence[float], low: Sequence[float], unit: LengthUnit) -> str:
    """A place from the lower left of the outline's bounds."""
    x, y = (length_text(value - origin, unit, with_unit=False) for value, origin in zip(point, low, strict=True))
    return f"({x}, {y})"


def _wrapped(head: str, sentence: str, *, indent: int = 2) -> list[str]:
    lines: Iterable[str] = textwrap.wrap(
        sentence, WIDTH, initial_indent=head, subsequent_indent=" " * indent, break_long_words=False,
        break_on_hyphens=False,
    )
    return list(lines)
