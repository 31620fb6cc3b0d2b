"""The part of the report on the shop round the joint: blanks, levelling, glue, wood and time."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from inlayfit.checks.facts import OutlineFacts
from inlayfit.checks.shop_checks import against_pocket, by_sawing
from inlayfit.plan import Plan
from inlayfit.quantity import force_range_text, force_text, length_text
from inlayfit.report.layout import WIDTH, wrapped
from inlayfit.report.wording import Style, reasons_text, say
from inlayfit.statement import told

if TYPE_CHECKING:
    from inlayfit.shop.blanks import LevellingField
    from inlayfit.shop.cutting_time import CuttingTime
    from inlayfit.shop.shop import Shop


SAME_FORCE: Final = 0.05
"""Forces of clamps are no better known than this share of them."""
TOLD: Final = 0.05
"""Minutes under which a longer time is none."""


def shop_part(plan: Plan, width: int = WIDTH) -> list[str]:
    """What the shop needs to know besides the joint; of a plan without an outline the levelling alone."""
    outline = plan.facts.outline
    paragraphs = [_levelling(plan, None if outline is None else outline.shop)]
    if outline is not None:
        shop = outline.shop
        paragraphs = [
            _blanks(plan, shop),
            _hold_downs(plan),
            gluing_words(plan, outline),
            clamping_words(plan, outline),
            *paragraphs,
            _wood(plan, shop),
            "" if shop.time is None else _time(shop.time),
        ]
    lines = [f"Shop ({plan.job.unit})"]
    for paragraph in paragraphs:
        if paragraph:
            lines += wrapped("  ", paragraph, indent=4, width=width)
    return lines


def _number(plan: Plan, value: float) -> str:
    return length_text(value, plan.job.unit, with_unit=False)


def _blanks(plan: Plan, shop: Shop) -> str:
    left = [
        f"{_number(plan, entry.margin.least)} of the {'base' if entry.part == 'base' else 'plug blank'} "
        f"({entry.margin.tightest} edge)"
        for entry in shop.margins
        if entry.margin.least >= 0  # what runs off stands among the checks
    ]
    words = f"Blanks: the cuts leave {' and '.join(left)}." if left else ""
    if shop.loose_pieces > 1:
        words = f"{words or 'Blanks:'} The cut-out sets {shop.loose_pieces} pieces free."
    return words


def _hold_downs(plan: Plan) -> str:
    found = next(entry for entry in plan.findings if entry.id == "hold-downs")
    # what fails or is in doubt stands among the checks
    return f"Hold-downs: {reasons_text(found, plan.job.unit)}." if found.status == "pass" else ""


def gluing_words(plan: Plan, outline: OutlineFacts) -> str:
    """How much glue, and how it goes in."""
    glue = outline.shop.glue
    words = f"Glue: about {glue.use:.2g} ml, a thin coat on walls and floor; {glue.cavity:.2g} ml fill the gap."
    if glue.cavity < glue.spread[0]:
        words += " That is less than a thin film on every face: wipe it thin."
    if glue.thirsty:
        words += " End grain drinks glue: size it with a thin coat first."
    return f"{words} Press slowly, wait, press again: surplus leaves along the walls, the last of it slowly."


def clamping_words(plan: Plan, outline: OutlineFacts) -> str:
    """How many clamps, and how hard to press."""
    found, wants = outline.shop.clamping, outline.shop.glue_wants
    fewest, most = found.clamps
    count = f"{most}" if fewest == most else f"{fewest} to {most}"
    words = f"Clamps: {count} of about {force_text(found.each, plan.job.unit)}" + (" each" if most > 1 else "")
    words += f"; the glue wants {force_range_text(*wants.force, plan.job.unit)}"
    bears = "" if found.bears is None else force_text(found.bears, plan.job.unit)
    if found.bound == "closing":
        words += f", but to close the joint takes {force_text(found.force[0], plan.job.unit)}"
        if found.bears is not None and found.force[0] > found.bears:
            words += f", more than the {bears} that its sides carry at the least: first clear what holds the plug up"
    elif found.bound == "walls":
        words += f", but its sides carry {bears} at the least: no more than that"
    elif found.bears is not None and found.bears < wants.force[1]:
        words += f", and its sides carry {bears} at the least"
    least, better = wants.hours
    return f"{words}; {least:g} h at least, better {better:g}.{_own_clamp(plan, outline)}"


def _own_clamp(plan: Plan, outline: OutlineFacts) -> str:
    """A word where the sheet's own clamp, by which the seat is worked out, is another than advised."""
    keys = ("joint.clamp_pressure", "joint.clamp_force")
    if outline.fit is None or any(plan.job.is_assumed(key) for key in keys):
        return ""
    force, (low, high) = outline.fit.seat.clamp_force, outline.shop.clamping.force
    if low * (1 - SAME_FORCE) <= force <= high * (1 + SAME_FORCE):
        return ""
    key = keys[0] if plan.job.joint.clamp_force is None else keys[1]
    than = "less" if force < low else "more"
    return f" The seat is worked out with the {force_text(force, plan.job.unit)} of {key}, which is {than}."


def _levelling(plan: Plan, shop: Shop | None) -> str:
    found = plan.facts.levelling
    words = f"Levelling takes {_number(plan, found.taken_off)} off"
    if found.sawn_off > 0:
        words += f", after the saw took {_number(plan, found.sawn_off)}"
    words += f"; board {_number(plan, found.board)}"
    sanded = _number(plan, found.board_sanded)
    if found.inlay > 0:
        words += f", inlay {_number(plan, found.inlay)}"
        sanded += f", {_number(plan, found.inlay_sanded)}"
    words += f" (sanded {sanded}); strokes {_number(plan, found.narrower)} narrower."
    if shop is not None and shop.field is not None:
        words += (
            f" Field {_size(plan, shop.field)} for the bit's middle, its edge {_number(plan, shop.field.run_off)} off "
            "the board"
        )
        over_plug = any(entry.over == "plug" for entry in plan.facts.passes)
        words += f"; over the plug's back {_size(plan, shop.plug_field)}." if over_plug and shop.plug_field else "."
    return words


def _size(plan: Plan, field: LevellingField) -> str:
    return " x ".join(_number(plan, size) for size in field.size)


def _wood(plan: Plan, shop: Shop) -> str:
    moved = shop.movement
    if moved is None or shop.moisture is None:
        return ""
    before, after = shop.moisture
    turned = 0.0 if plan.job.outline is None else plan.job.outline.turn

    drying = after < before
    moves = told(
        "movement.on_the_board",
        plug=against_pocket(moved, drying=drying),
        width=moved.width,
        direction=(moved.direction + turned) % 180,
        sawn=by_sawing(moved, drying=drying),
    )
    return (
        f"Wood: from {before:.1f} % moisture at cutting to {after:.1f} % in use "
        f"{say(moves, Style(plan.job.unit, with_unit=False))}; each wall sees half."
    )


def _time(time: CuttingTime) -> str:
    parts = []
    for part, steps in groupby(time.steps, key=lambda step: step.part):
        named = [
            f"{step if part != 'base' else 'levelling'} {minutes_text(sum(entry.minutes for entry in lot))}"
            for step, lot in groupby(steps, key=lambda step: step.step)
        ]
        parts.append(", ".join(named) if part == "base" else f"{part} {', '.join(named)}")
    words = f"Time: {minutes_text(time.total)} min of cutting" + (f" ({'; '.join(parts)})" if parts else "")
    words += ", without moves in the air and bit changes."
    if time.left_out:
        by_need: dict[str, list[str]] = {}
        for step, need in time.left_out:
            by_need.setdefault(need, []).append(step)
        words += "".join(f" Without {', '.join(steps)} (needs {need})." for need, steps in by_need.items())
    if time.finer_stepover is not None and time.finer_stepover >= TOLD:
        words += f" Half the V-bit's stepover takes {minutes_text(time.finer_stepover)} min more."
    if time.choices:
        best = time.choices[0]
        bits = " then ".join(best.bits) if best.bits else "the V-bit alone"
        words += f" Clearing and walls are quickest with {bits}: {minutes_text(best.minutes)} min"
        words += "".join(
            f", {minutes_text(choice.minutes)} with {' then '.join(choice.bits) or 'the V-bit alone'}"
            for choice in time.choices[1:3]
        )
        words += "."
    return words


def minutes_text(minutes: float) -> str:
    """Minutes for people: whole ones from ten on.

    >>> minutes_text(4.26), minutes_text(93.4)
    ('4.3', '93')
    """
    return f"{minutes:.0f}" if minutes >= 9.95 else f"{minutes:.1f}"
