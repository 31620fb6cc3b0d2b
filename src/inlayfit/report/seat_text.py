"""Where the plug seats, and what would help, as text."""

from __future__ import annotations

from typing import Final

from inlayfit.advice import Advice
from inlayfit.joint.strength import FRICTION
from inlayfit.plan import Plan
from inlayfit.quantity import force_text, length_text
from inlayfit.report.layout import place_text, table, wrapped

SHOWN_CONTACTS: Final = 3


def seat_part(plan: Plan) -> list[str]:
    """Lifts, forces, gaps, joint line, and what touches first; nothing where no seat was looked at."""
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
        f"{number(line.largest)} at its widest {place_text(line.at, low, unit)}, {number(line.mean)} on the mean.",
    ]
    if plan.job.bits.plug_v.shape.slope < FRICTION:
        sentences.append(
            "So steep a taper holds by itself: at the dry fit press by hand only, and leave something to pull on."
        )
    sentences.append("Hand and first touch are upper bounds: a plug also slides and tilts a little into its place.")
    lines = [f"Seat ({unit})", *wrapped("  ", " ".join(sentences))]
    held = [contact for contact in seat.contacts if contact.crushed > 0 and contact.kind != "walls"]
    if held:
        lines.append("  What touches first, and is crushed by the clamp")
    for contact in held[:SHOWN_CONTACTS]:
        words = contact_words(plan.facts, contact)
        lines += wrapped("    ", f"{place_text(contact.at, low, unit)} {words}", indent=6)
    if len(held) > SHOWN_CONTACTS:
        lines.append(f"    and {len(held) - SHOWN_CONTACTS} places more (--format json has them)")
    return lines


def advice_part(plan: Plan, advice: Advice | None) -> list[str]:
    """A row for each change that was tried."""
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
    lines = [f"  {line}" for line in table(rows, notes, left=1)]
    if advice.smallest_width is None:
        lines.append("  With these bits the fit fails at every size up to eight times this one.")
    else:
        width = length_text(advice.smallest_width, plan.job.unit)
        lines.append(f"  With these bits no check of the fit fails from {width} wide on.")
    return [f"Advice by numbers ({plan.job.unit})", *lines]
