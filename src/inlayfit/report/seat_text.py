"""Where the plug seats, and what would help, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlayfit.checks.registry import FIT_CHECKS
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, force_text, length_text
from inlayfit.report.layout import WIDTH, heights_text, place_text, table, wrapped
from inlayfit.report.weak_places import SAME_HEIGHT, SHOWN_CONTACTS, SHOWN_PLACES, WeakPlace, number_of, touching
from inlayfit.report.wording import say

if TYPE_CHECKING:
    from inlayfit.seat.seat import Seat


def seat_part(plan: Plan, numbered: tuple[WeakPlace, ...], width: int = WIDTH) -> list[str]:
    """Lifts, forces, gaps, joint line, and what touches first; nothing where no seat was looked at."""
    outline, unit = plan.facts.outline, plan.job.unit
    if outline is None or outline.fit is None:
        return []
    # imported late: it brings the table of woods, which a plan without a seat does without
    from inlayfit.joint.strength import FRICTION

    seat, low = outline.fit.seat, outline.survey.bounds[:2]

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False)

    def both(lifts: tuple[float, float]) -> str:
        return heights_text(lifts, unit)

    line, strength = seat.seen, outline.fit.strength
    touches = "at the most: a plug slides and tilts a little too"
    if seat.first_touch > plan.facts.depths.start_depth - SAME_HEIGHT:
        touches = "it lies on the face: without pressing, the plug does not go in"
    widest = f"after levelling, at its widest {place_text(line.at, low, unit)}; {number(line.mean)} on average"
    if float(number(line.largest)) == 0:
        widest = "after levelling: closed all along"
    gaps = f"clamped, and {number(seat.surface_gap)} of surface gap"
    if outline.floor.pocket.area == 0:
        gaps = f"by the depths: no stroke here is wide enough for a floor; surface gap {number(seat.surface_gap)}"
    rows = [
        ("before pressing", both((seat.first_touch, seat.first_touch)), touches),
        ("by hand", both(seat.by_hand), f"pressed with {force_text(plan.job.joint.hand_force, unit)}"),
        ("clamped", both((seat.lift, seat.lift_strong)), f"pressed with {force_text(seat.clamp_force, unit)}"),
        ("glue gap", number(seat.glue_gap), gaps),
        ("joint line", number(line.largest), widest),
    ]
    lines = [f"Seat ({unit}): how far the plug stands proud of home"]
    lines += [f"  {row}" for row in table([row[:2] for row in rows], [row[2] for row in rows], left=1)]
    sentences = [
        f"Of two heights one is for {say(strength.words, unit)}, the other for hard spots four times as strong.",
        _force(seat, unit),
    ]
    if plan.job.bits.plug_v.shape.slope < FRICTION:
        sentences.append(
            "So steep a taper holds by itself: at the dry fit press by hand only, and leave something to pull on."
        )
    lines += wrapped("  ", " ".join(sentences), width=width)
    alike = touching(plan)
    if alike:
        lines.append("  What holds it up before pressing (--format json has every place)")
    # where nothing is wrong, one shows what holds it
    wanting = any(entry.id in FIT_CHECKS and entry.status != "pass" for entry in plan.findings)
    kinds = SHOWN_CONTACTS if wanting else 1
    for words, places in list(alike.items())[:kinds]:
        shown = [f"[{number_of(numbered, at)}] {place_text(at, low, unit)}" for at in places[:SHOWN_PLACES]]
        more = len(places) - SHOWN_PLACES
        where = f"{', '.join(shown)}{f' and {more} more' if more > 0 else ''}"
        lines += wrapped("    ", f"{where}: {words}", indent=6, width=width)
    if len(alike) > kinds:
        rest = sum(map(len, list(alike.values())[kinds:]))
        lines.append(f"    and {rest} place{'' if rest == 1 else 's'} more")
    return lines


def _force(seat: Seat, unit: LengthUnit) -> str:
    """What closes the joint and what the walls bear."""
    low, high = (force_text(load, unit) for load in seat.wall_load)
    if seat.closing_force is None:
        return f"No force closes it; its sides carry {low} to {high}."
    if seat.closing_force < 1:
        return f"It closes without force; its sides carry {low} to {high}."
    return f"A clamp of {force_text(seat.closing_force, unit)} closes it; its sides carry {low} to {high}."
