"""The first screen: whether to cut, what to type, what to change, what the calipers must read; then every pass."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from inlayfit.checks.finding import Finding, Status
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.advice_text import CODE_WORDS, together_words
from inlayfit.report.cautions import first_cautions
from inlayfit.report.layout import Paint, setting_digits, stands_text, wrapped
from inlayfit.report.pass_lines import pass_lines
from inlayfit.report.wording import Style, reasons_text, remedies_text, title

if TYPE_CHECKING:
    from inlayfit.advice.search import Advice

ONE_LINE: Final = 80
NAMES: Final = {"fail": ("check fails", "checks fail"), "doubtful": ("check is in doubt", "checks are in doubt")}


def first_screen(plan: Plan, advice: Advice | None, paint: Paint, width: int) -> list[str]:
    """Lines no wider than ``width``; what only ``--full`` tells is named in the last."""
    digits = setting_digits(plan)

    def number(mm: float) -> str:
        return length_text(mm, plan.job.unit, with_unit=False, digits=digits)

    lines = [
        *wrapped("", plan.job.title, width=width),
        *wrapped("", f"{paint(verdict_words(plan), plan.verdict)} {reason(plan)}", width=width),
        *(line for note in plan.job.notes for line in wrapped("Note: ", note, width=width)),
        *wrapped("", _size(plan), width=width),
        *_to_type(plan, number, width),
        *_dry_fit(plan, number, width),
        *_to_mend(plan, advice, paint, width),
        "",
        *pass_lines(plan, width),
        "",
    ]
    skipped = [title(entry.id) for entry in plan.findings if entry.status == "not checked"]
    not_looked_at = f"{', '.join(skipped)} (--part checks says what each needs)." if skipped else ""
    for head, sentence in (("Not looked at: ", not_looked_at), ("Assumed: ", _assumed(plan))):
        lines += wrapped(head, sentence, width=width) if sentence else []
    for caution in first_cautions(plan.job, plan.facts.passes):
        lines += wrapped("! ", caution, width=width)
    return lines


def verdict_words(plan: Plan) -> str:
    """The verdict in a word or two, with how much of the joint it is about."""
    if plan.verdict == "does not fit":
        return "DOES NOT FIT:"
    if plan.facts.scope != "as cut":
        return "DEPTHS AGREE" + (", WITH DOUBTS:" if plan.verdict == "doubtful" else ";")
    return "FITS, WITH DOUBTS:" if plan.verdict == "doubtful" else "FITS:"


def reason(plan: Plan) -> str:
    """Why, in the rest of the sentence."""
    worst: Status | None = {"does not fit": "fail", "doubtful": "doubtful"}.get(plan.verdict)  # type: ignore[assignment]
    unchecked = "" if plan.facts.scope == "as cut" else "whether the plug seats was not checked"
    if worst is None:
        return f"{unchecked or _home(plan)}."
    first, *others = [entry for entry in plan.findings if entry.status == worst]
    words = _brief(first, plan)
    if others:
        words += f"; {len(others)} more {NAMES[worst][len(others) > 1]}"
    if worst == "fail" and (doubts := sum(entry.status == "doubtful" for entry in plan.findings)):
        words += f", {doubts} in doubt"
    return f"{words}; {unchecked}." if unchecked else f"{words}."


def _home(plan: Plan) -> str:
    seat, unit = plan.facts.seat, plan.job.unit
    assert seat is not None, "what fits as cut has a seat"
    line = length_text(seat.seen.largest, unit)
    closed = "the joint closes all along" if not float(line.split()[0]) else f"the joint line is {line} at its widest"
    stands = stands_text(seat.lift, unit)
    rests = "goes home" if stands == "home" else f"rests {stands}"
    return f"under the clamp the plug {rests}, tight on its sides, and {closed}"


def _brief(entry: Finding, plan: Plan) -> str:
    """A finding's reasons, with forces in one unit; of those that take more than a line the first."""
    style = Style(plan.job.unit, both_forces=False)
    joined = reasons_text(entry, style)
    return joined if len(joined) <= ONE_LINE else reasons_text(replace(entry, reasons=entry.reasons[:1]), style)


def _size(plan: Plan) -> str:
    job, unit = plan.job, plan.job.unit
    base, plug = (
        f"{length_text(blank.thickness, unit)}" + (f" {blank.wood.name}" if blank.wood.name else "")
        for blank in (job.base, job.plug)
    )
    boards = f"base {base}, plug blank {plug}"
    if plan.facts.outline is None:
        return f"No outline. {boards[0].upper()}{boards[1:]}."
    low_x, low_y, high_x, high_y = plan.facts.outline.survey.bounds
    size = f"{length_text(high_x - low_x, unit, with_unit=False)} x {length_text(high_y - low_y, unit)}"
    return f"Design {size}; {boards}."


def _to_type(plan: Plan, number: Callable[[float], str], width: int) -> list[str]:
    """The depths to type, two to a line where there is room; what is worked out carries a star."""
    depths = plan.facts.depths
    star = " *" if plan.job.joint.pocket_depth is None else ""
    cells = [
        f"{'pocket depth':<17} {number(depths.pocket_depth)}{star}",
        f"{'plug start depth':<17} {number(depths.start_depth)} *",
        f"{'plug below start':<17} {number(depths.depth_below_start)}",
        f"{'plug total depth':<17} {number(depths.plug_total_depth)} *",
    ]
    wide = max(map(len, cells)) + 4
    starred = "* worked out"
    if star:
        starred += "; the pocket as deep as stock and bits allow"
    rows = [cells[:2], cells[2:]] if 2 + 2 * wide <= width else [[cell] for cell in cells]
    head = "As it is, not to be cut" if plan.verdict == "does not fit" else "Type"
    lines = [f"{head} ({plan.job.unit}), depths below the face; {starred}"]
    return [*lines, *("  " + "".join(cell.ljust(wide) for cell in row).rstrip() for row in rows)]


def _dry_fit(plan: Plan, number: Callable[[float], str], width: int) -> list[str]:
    """What the calipers read when the plug is pressed in by hand."""
    seat, job, depths = plan.facts.seat, plan.job, plan.facts.depths
    if seat is None:
        return []
    # imported late: a plan without a seat does without it
    from inlayfit.dryfit.allowance import allowance
    from inlayfit.dryfit.readings import reading_of
    from inlayfit.joint.reading import Kind

    def reads(kind: Kind) -> str:
        ends = (number(reading_of(kind, lift, job, depths)) for lift in (min(seat.by_hand), max(seat.by_hand)))
        return " to ".join(dict.fromkeys(ends))

    def reads_within(kind: Kind) -> str:
        nominal = reading_of(kind, 0.0, job, depths)
        return f"{reads(kind)}, give or take {number(allowance(kind, nominal, job, depths))}"

    sentence = f"surface gap {reads_within('gap')}; plug's back over the base {reads_within('above')}"
    return wrapped("Dry fit by hand, calipers: ", sentence, width=width)


def _to_mend(plan: Plan, advice: Advice | None, paint: Paint, width: int) -> list[str]:
    """What fails or is in doubt, each with what to change: a line to paste where one is known."""
    lines: list[str] = []
    said: set[str] = set()
    for status, words in (("fail", "FAILS"), ("doubtful", "doubtful")):
        for entry in plan.findings:
            if entry.status != status:
                continue
            head = f"{paint(words, entry.status)} {title(entry.id)}: "
            lines += wrapped(head, f"{_brief(entry, plan)}.", width=width)
            step = None if advice is None else advice.step_for(entry.id)
            if step is None and advice is not None and _mended(entry, advice):
                only = advice.steps[0].mends[0] if len(advice.steps) == 1 else ""
                mended = f"the line under {title(only)} mends it" if only else "the other lines together mend it"
                lines += wrapped("    ", mended, width=width)
                continue
            if step is None:
                style = Style(plan.job.unit, both_forces=False)
                lines += wrapped("    try: ", remedies_text(entry, style), indent=9, width=width)
                continue
            paste = " ".join(change.line for change in step.changes)
            if paste in said:
                lines += wrapped("    ", "the line above mends it", width=width)
                continue
            # a line to paste is never broken; a shell would take it for two
            lines += [*wrapped("    ", f"{CODE_WORDS[step.code]}:", width=width), f"      {paste}"]
            said.add(paste)
    if advice is not None and advice.planned is not None:
        lines += wrapped("    ", together_words(advice), indent=4, width=width)
    return lines


def _mended(entry: Finding, advice: Advice) -> bool:
    """Whether a check passes once all the changes are made."""
    if advice.planned is None:
        return False
    return any(other.id == entry.id and other.status == "pass" for other in advice.planned.findings)


def _assumed(plan: Plan) -> str:
    """What the sheet leaves out: by name while they are few."""
    keys = [entry.key for entry in plan.job.assumed]
    if not keys:
        return ""
    return f"{', '.join(keys)}." if len(keys) <= 3 else f"{len(keys)} values that the sheet leaves out."
