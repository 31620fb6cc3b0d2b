"""The measured V-bit as text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.cutters import Profile
from inlayfit.joint.groove_fit import OTHER_BIT, RealBit
from inlayfit.measured_bit import Seating
from inlayfit.quantity import MM_PER_UNIT, LengthUnit
from inlayfit.report.layout import table, wrapped

HOW_TO: Final = (
    "Cut four or more grooves side by side in one clamping and after one touch-off, in hard, close-grained scrap, "
    "along the grain, one pass each, from about a third of the joint's depth to all of it; the programme must follow "
    "a line with the tip, not carve a shape. Brush them out and read each width at the face, at three places, under "
    "a loupe with a scale or with fine callipers, light from the side.",
    "Widths alone cannot tell a wider tip from a bit touched off too deep. Either read the tip itself under the loupe "
    "(--tip), or take the depths from the face to the groove's bottom with a needle on a dial gauge and say so "
    "(--depths measured).",
)


def bit_text(
    real: RealBit,
    shape: Profile,
    *,
    unit: LengthUnit,
    under: str,
    seatings: Sequence[Seating] = (),
    outline: bool = False,
    declared: Profile | None = None,
) -> str:
    """The report: angle, tip, grooves, what to paste ``under`` which key, what it does to the joint, how to cut.

    ``declared`` is the sheet's bit, where there is a sheet.
    """
    parts = [
        [*_found(real, shape, unit), *_against(real, declared)],
        _grooves(real, unit),
        _to_paste(real, shape, unit, under, for_both=len(seatings) > 2),
        _joint(seatings, unit, outline=outline),
        [line for sentence in HOW_TO for line in wrapped("", sentence, indent=0)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def fine(mm: float, unit: LengthUnit) -> str:
    """A length finer than reports have it, since a tip is small: 0.001 mm or 0.0001 in."""
    digits = 4 if unit == "in" else 3
    return f"{round(mm / MM_PER_UNIT[unit], digits) + 0.0:.{digits}f}"


def declared_keys(shape: Profile, unit: LengthUnit) -> str:
    """The sheet's keys of a bit of this shape."""
    name, value = ("ball", shape.rounding) if shape.rounding else ("tip", 2 * shape.tip_radius)
    return f"angle: {shape.angle:.2f} deg, {name}: {fine(value, unit)} {unit}"


def measured_line(shape: Profile, unit: LengthUnit) -> str:
    """The sheet's ``measured`` key with this bit."""
    return f"measured: {{{declared_keys(shape, unit)}}}"


def _to_paste(real: RealBit, shape: Profile, unit: LengthUnit, under: str, *, for_both: bool) -> list[str]:
    """What goes into the sheet; ``for_both``: one bit cuts both parts, and is best declared as it measures."""
    measured = f"  {measured_line(shape, unit)}"
    if real.outlier is None and for_both:
        return [
            f"Best: in the sheet under {under}, in place of its angle and tip, and in the programmes of both parts:",
            f"  {declared_keys(shape, unit)}",
            f"Or, where the programmes stay as they are, under {under} beside its angle and tip:",
            measured,
        ]
    if real.outlier is None:
        return [f"To paste into the sheet, under {under}:", measured]
    return wrapped(
        "", "Nothing to paste yet: one groove disagrees with the others. Read it again, or leave it out and run this "
        "once more.",
    )  # fmt: skip


def _found(real: RealBit, shape: Profile, unit: LengthUnit) -> list[str]:
    rows = [
        ["included angle", f"{real.angle:.2f} deg", f"{real.angle_u:.2f}"],
        ["tip", f"{fine(real.tip, unit)} {unit}", fine(real.tip_u, unit)],
    ]
    notes = ["give or take (standard uncertainty: two times out of three within it)", ""]
    if shape.rounding:
        rows.append(["ball radius", f"{fine(shape.rounding, unit)} {unit}", ""])
        notes = [*notes, "the ball whose flank is that of a flat as wide as the tip"]
    lines = [f"V-bit from {len(real.grooves)} test grooves", *(f"  {line}" for line in table(rows, notes, left=1))]
    if real.touch_off is not None:
        deep, sure = real.touch_off
        way = "deep" if deep >= 0 else "shallow"
        lines += wrapped(
            "  ", f"With the tip as seen, the bit ran {fine(abs(deep), unit)} {unit} too {way}, give or take "
            f"{fine(sure, unit)}.",
        )  # fmt: skip
    elif real.width_at_0 < -2 * real.tip_u:
        short = -real.width_at_0 / (2 * shape.slope)
        lines += wrapped(
            "  ", f"The widths point to a tip below nothing, which no bit has: it ran some {fine(short, unit)} {unit} "
            "too shallow, or the depths are wrong. Touch off again and cut new grooves before you use the tip.",
        )  # fmt: skip
    if real.scatter is None:
        lines += wrapped("  ", "Two grooves cannot check each other: a slip in either goes unseen. Cut two more.")
    elif real.scatter > 2:
        lines += wrapped(
            "  ", f"The widths scatter {real.scatter:.1f} times as far as they were said to be read; what is given as "
            "give or take is widened to that, and for so few grooves.",
        )  # fmt: skip
    return lines


def _against(real: RealBit, declared: Profile | None) -> list[str]:
    """A word where the grooves are another bit's."""
    if declared is None or abs(real.angle - declared.angle) < max(OTHER_BIT, 4 * real.angle_u):
        return []
    return wrapped(
        "  ", f"The sheet declares {declared.angle:g} deg, more than {OTHER_BIT:g} deg away: did another bit cut these "
        "grooves?",
    )  # fmt: skip


def _grooves(real: RealBit, unit: LengthUnit) -> list[str]:
    rows, notes = [["depth", "width", "off the line"]], [""]
    for number, (groove, residual) in enumerate(zip(real.grooves, real.residuals, strict=True)):
        rows.append([fine(groove.depth, unit), fine(groove.width, unit), f"{_signed(residual, unit)}"])
        note = ""
        if real.outlier is not None and real.outlier.number == number:
            out = real.outlier
            way = "wider" if out.off > 0 else "narrower"
            note = (
                f"{fine(abs(out.off), unit)} {way} than the others say; without it {out.angle:.2f} deg, "
                f"tip {fine(out.tip, unit)}: measure it again"
            )
        notes.append(note)
    return [f"Grooves ({unit})", *(f"  {line}" for line in table(rows, notes, left=0))]


def _signed(mm: float, unit: LengthUnit) -> str:
    number = fine(mm, unit)
    return number if number.startswith("-") else f"+{number}"


def _joint(seatings: Sequence[Seating], unit: LengthUnit, *, outline: bool) -> list[str]:
    if not seatings:
        return []
    head = ["", "wide walls at", "fine lines at"] + (["by hand", "clamped", "joint line"] if outline else [])
    rows = [head]
    for entry in seatings:
        row = [entry.words, *(_signed(lift, unit) for lift in entry.walls)]
        if entry.by_hand is not None and entry.clamped is not None and entry.joint_line is not None:
            hand = " to ".join(dict.fromkeys(_signed(lift, unit) for lift in entry.by_hand))
            row += [hand, _signed(entry.clamped, unit), fine(entry.joint_line, unit)]
        rows.append(row + [""] * (len(head) - len(row)))
    told = "the plug's lift over its nominal seat, + proud"
    if outline:
        told += "; the widest joint line, clamped"
    lines = [f"What it does to the joint ({unit}): {told}"]
    lines += [f"  {line}" for line in table(rows, [""] * len(rows), left=1)]
    if len(seatings) > 2:
        lines += wrapped(
            "  ", "Best is to declare what the bit measures, in the sheet and in both programmes: then all sides press "
            "at one height again.",
        )  # fmt: skip
    return lines
