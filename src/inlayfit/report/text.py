"""A plan as text: what a person keeps open beside the machine's own programme."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from inlayfit.checks.facts import OutlineFacts
from inlayfit.checks.finding import Finding, Status
from inlayfit.joint.job import Assumed
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, length_text, quantity_text
from inlayfit.report.advice_text import advice_part
from inlayfit.report.cautions import cautions
from inlayfit.report.first_screen import first_screen, reason, verdict_words
from inlayfit.report.layout import WIDTH, Paint, fitted, place_text, plain, setting_digits, wrapped
from inlayfit.report.schedule_text import schedule_part
from inlayfit.report.seat_text import seat_part
from inlayfit.report.shop_text import shop_part
from inlayfit.report.stack_text import stack_part
from inlayfit.report.weak_places import WeakPlace, number_of, weak_places
from inlayfit.report.wording import reasons_text, remedies_text, say, title

if TYPE_CHECKING:
    from inlayfit.advice.search import Advice

PARTS: Final = (
    "depths", "outline", "seat", "tolerance", "passes", "shop", "checks", "change", "assumed", "cautions",
)  # fmt: skip
"""What ``--part`` can ask for, in the order of the whole report."""


def text(plan: Plan, *, advice: Advice | None = None, paint: Paint = plain, width: int = WIDTH) -> str:
    """The first screen and every pass; its last line names the rest. ``paint`` may colour words by their status."""
    rest = wrapped("More: ", f"--full, or --part with any of {', '.join(part_names(plan, advice))}", width=width)
    return fitted([*first_screen(plan, advice, paint, width), *rest], width)


def headline(plan: Plan) -> str:
    """The verdict in one line, with the checks that fail or are in doubt."""
    named = {
        status: ", ".join(title(entry.id) for entry in plan.findings if entry.status == status)
        for status in ("fail", "doubtful")
    }
    agrees = "fits" if plan.facts.scope == "as cut" else "depths agree"
    words = {
        "does not fit": f"does not fit: {named['fail']}",
        "doubtful": f"{agrees}, with doubts: {named['doubtful']}",
        "fits": agrees,
    }[plan.verdict]
    return words if plan.facts.scope == "as cut" else f"{words}; seat not checked"


def full_text(
    plan: Plan,
    parts: Sequence[str] = PARTS,
    *,
    advice: Advice | None = None,
    paint: Paint = plain,
    width: int = WIDTH,
) -> str:
    """The parts asked for, each in full."""
    numbered = weak_places(plan)
    told: dict[str, Callable[[], list[str]]] = {
        "depths": lambda: _depths(plan, width),
        "outline": lambda: _outline(plan, plan.facts.outline, width) if plan.facts.outline else [],
        "seat": lambda: seat_part(plan, numbered, width),
        "tolerance": lambda: stack_part(plan, width),
        "passes": lambda: schedule_part(plan, width),
        "shop": lambda: shop_part(plan, width),
        "checks": lambda: _checks(plan, numbered, paint, width),
        "change": lambda: advice_part(advice, width),
        "assumed": lambda: _assumed(plan, width),
        "cautions": lambda: wrapped("Cautions: ", " ".join(cautions(plan.job)), width=width),
    }
    head = [
        *wrapped("", plan.job.title, width=width),
        *wrapped("", f"{paint(verdict_words(plan), plan.verdict)} {reason(plan)}", width=width),
        *(line for note in plan.job.notes for line in wrapped("Note: ", note, width=width)),
    ]
    lines = head
    for name in PARTS:
        part = told[name]() if name in parts else []
        lines += ["", *part] if part else []
    return fitted(lines, width)


def part_names(plan: Plan, advice: Advice | None) -> list[str]:
    """The parts that say something of this plan."""
    silent = set()
    if plan.facts.outline is None:
        silent |= {"outline", "seat"}
    elif plan.facts.seat is None:
        silent.add("seat")
    if plan.facts.stack is None:
        silent.add("tolerance")
    if advice is None:
        silent.add("change")
    return [name for name in PARTS if name not in silent]


def _depths(plan: Plan, width: int) -> list[str]:
    depths, unit, digits = plan.facts.depths, plan.job.unit, setting_digits(plan)
    derived = next((entry.why for entry in plan.job.assumed if entry.key == "joint.pocket_depth"), "")

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False, digits=digits)

    def left(wood: float) -> str:
        return number(wood) if wood > 0 else "none"

    rows = [
        ("pocket depth", depths.pocket_depth, f"{'derived, ' if derived else ''}base's face to the pocket's floor"),
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
    if derived:
        lines += wrapped("  ", f"The pocket depth is {derived}.")
    strokes = f"Strokes get the full depth from {number(depths.full_depth_width)} wide"
    if depths.clearing_width is not None:
        strokes += f", and the clearing bit enters from {number(depths.clearing_width)}"
    lines += wrapped(
        "  ",
        f"{strokes}. Wood left: {left(depths.base_floor)} under the pocket, {left(depths.plug_web)} behind the "
        f"plug's own floor. After the glue-up {number(depths.above_face)} of plug stands above the face.",
        width=width,
    )
    return lines


def _outline(plan: Plan, outline: OutlineFacts, width: int) -> list[str]:
    survey, unit = outline.survey, plan.job.unit
    low_x, low_y, high_x, high_y = survey.bounds

    def at(point: tuple[float, float]) -> str:
        return f"at {place_text(point, (low_x, low_y), unit)}"

    def count(number: int, one: str) -> str:
        return f"{number} {one}" + ("" if number == 1 else "s")

    size = f"{length_text(high_x - low_x, unit, with_unit=False)} x {length_text(high_y - low_y, unit)}"
    area = survey.area / MM_PER_UNIT[unit] ** 2
    stroke, gap, corner = survey.narrowest_stroke, survey.narrowest_gap, survey.corner
    narrowest = "narrowest stroke" if survey.inside.stroke.any() else "no stroke between facing walls, at its widest"
    sentence = (
        f"{size}, {area:.{3 if unit == 'in' else 1}f} {unit}2 in {count(survey.regions, 'region')} with "
        f"{count(survey.holes, 'hole')}; {narrowest} {length_text(stroke.value, unit)} {at(stroke.at)}"
        f"{_runs_out(plan, 'stroke', stroke.value)}; "
    )
    if gap is not None:
        sentence += f"narrowest gap {length_text(gap.value, unit)} {at(gap.at)}{_runs_out(plan, 'gap', gap.value)}; "
    sentence += f"sharpest corner {corner.value:.0f} deg {at(corner.at)}" if corner is not None else "no sharp corner"
    sentence += ". Places are from the lower left of its bounds"
    base = outline.shop.base
    if plan.job.datum is not None and base is not None:
        sentence += f", which lies at {place_text(base.from_datum((low_x, low_y)), (0, 0), unit)} from the datum"
        sentence += f" and is turned by {base.turn:g} deg" if base.turn else ""
    sentence += "."
    return wrapped("Outline: ", sentence, width=width)


def _runs_out(plan: Plan, kind: str, narrowest: float) -> str:
    """How narrow a place of this kind that holds the plug up is, where it lies on no walls that face each other."""
    contacts = () if plan.facts.seat is None else plan.facts.seat.contacts
    widths = [contact.width for contact in contacts if contact.kind == kind and contact.width is not None]
    least = min(widths, default=narrowest)
    if least >= narrowest:
        return ""
    return f", running out to {length_text(least, plan.job.unit)} where it holds the plug up"


def _checks(plan: Plan, places: tuple[WeakPlace, ...], paint: Paint, width: int) -> list[str]:
    def named(status: Status) -> list[str]:
        return [title(entry.id) for entry in plan.findings if entry.status == status]

    low = plan.facts.outline.survey.bounds[:2] if plan.facts.outline else (0.0, 0.0)
    lines = ["Checks"]
    for status in ("fail", "doubtful"):
        for entry in plan.findings:
            if entry.status == status:
                lines += _finding(entry, low, plan, places, paint, width)
    if named("pass"):
        lines += wrapped(f"  {paint('pass', 'pass')}: ", ", ".join(named("pass")), indent=4)
    if named("not checked"):
        lines += wrapped("  not checked: ", _reasons(plan), indent=4, width=width)
    return lines


def _reasons(plan: Plan) -> str:
    """The checks that were not made, by what each of them needs."""
    by_reason: dict[str, list[str]] = {}
    for entry in plan.findings:
        if entry.status == "not checked":
            by_reason.setdefault(reasons_text(entry, plan.job.unit), []).append(title(entry.id))
    return "; ".join(f"{', '.join(names)} ({why})" for why, names in by_reason.items())


def _finding(
    entry: Finding, low: tuple[float, ...], plan: Plan, places: tuple[WeakPlace, ...], paint: Paint, width: int
) -> list[str]:
    words = {"fail": "FAIL", "doubtful": "doubtful"}[entry.status]
    unit = plan.job.unit
    sentence = f"{reasons_text(entry, unit)}."
    if entry.remedies:
        sentence += f" To change: {remedies_text(entry, unit)}."
    if entry.rests_on:
        sentence += f" Assumed: {', '.join(entry.rests_on)}."
    lines = wrapped(f"  {paint(words, entry.status)} {title(entry.id)}: ", sentence, indent=4, width=width)
    if entry.id != "seat":  # its places stand in the seat's own part
        for place in entry.places:
            named = f"[{number_of(places, place.at)}] {place_text(place.at, low, unit)}"
            lines += wrapped("      ", f"{named} {say(place.reason, unit)}", indent=8, width=width)
    return lines


def _assumed(plan: Plan, width: int) -> list[str]:
    job = plan.job
    lines: list[str] = []
    if job.assumed:
        by_why: dict[str, list[str]] = {}
        for entry in job.assumed:
            by_why.setdefault(entry.why, []).append(f"{entry.key} {_value(entry, plan)}")
        lines = ["Assumed, since the sheet leaves it out"]
        for why, keys in by_why.items():
            lines += wrapped("  ", f"{', '.join(keys)} ({why})", indent=4, width=width)
    if job.unused:
        lines += wrapped("Read, not yet used: ", ", ".join(job.unused), width=width)
    return lines


def _value(entry: Assumed, plan: Plan) -> str:
    if isinstance(entry.value, str):
        return entry.value
    if entry.kind == "length":
        unit = plan.job.unit
        shown = length_text(entry.value, unit, with_unit=False)
        # what is small but something must not be shown as nothing
        return f"{shown if float(shown) or not entry.value else f'{entry.value / MM_PER_UNIT[unit]:.1g}'} {unit}"
    return quantity_text(entry.value, entry.kind, plan.job.unit)
