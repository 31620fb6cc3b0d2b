"""What the calipers should read at the dry fit, and what to do when they do not."""

from __future__ import annotations

import shlex
from dataclasses import dataclass

from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, length_text


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One way to read the seat: what is measured, as drawn, and what is expected by hand; mm."""

    name: str
    option: str
    """Of the command that is told the reading."""
    words: str
    as_drawn: float
    expected: tuple[float, float] | None
    """Lowest and highest; None where the seat was not looked at."""


def readings(plan: Plan) -> tuple[Reading, ...]:
    """The surface gap, the plug's back over the base's face, and both boards together.

    Each is its value at the nominal seat plus the lift: U + lift, plug thickness - S + lift, and that with the base's
    thickness.
    """
    depths, job, seat = plan.facts.depths, plan.job, plan.facts.seat
    above = job.plug.thickness - depths.start_depth
    ways = (
        ("surface gap", "--gap", "base's face to plug's floor", depths.depth_below_start),
        ("depth rod", "--above", "base's face to plug's back", above),
        ("over both boards", "--over", "back to back", above + job.base.thickness),
    )
    return tuple(
        Reading(
            name=name,
            option=option,
            words=words,
            as_drawn=value,
            expected=None if seat is None else (value + min(seat.by_hand), value + max(seat.by_hand)),
        )
        for name, option, words, value in ways
    )


def expected_text(reading: Reading, unit: LengthUnit) -> str:
    """What to read, in the job's unit; one number where both ends are written alike."""
    if reading.expected is None:
        return "not checked"
    low, high = (length_text(value, unit, with_unit=False) for value in reading.expected)
    return low if low == high else f"{low} to {high}".replace(" ", "\N{NO-BREAK SPACE}")


def dry_fit_command(sheet: str) -> str:
    """The command to type for three readings of the gap; the sheet's name is safe in a shell."""
    return f"inlayfit dryfit {shlex.quote(sheet)} --gap ... --gap ... --gap ..."
