"""What the calipers should read at the dry fit, and what to do when they do not."""

from __future__ import annotations

import shlex
from dataclasses import dataclass

from inlayfit.dryfit.allowance import allowance
from inlayfit.dryfit.readings import reading_of
from inlayfit.joint.reading import Kind
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, length_text


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One way to read the seat: what is measured, as drawn, what is expected by hand and what is allowed; mm."""

    name: str
    kind: Kind
    words: str
    as_drawn: float
    expected: tuple[float, float] | None
    """Lowest and highest; None where the seat was not looked at."""
    allowance: float
    """How far outside what is expected three readings' mean is still as expected, by the rule of the dry fit."""

    @property
    def option(self) -> str:
        """Of the command that is told the reading."""
        return f"--{self.kind}"


def readings(plan: Plan) -> tuple[Reading, ...]:
    """The surface gap, the plug's back over the base's face, and both boards together.

    Each is its value at the nominal seat plus the lift: U + lift, plug thickness - S + lift, and that with the base's
    thickness; what is known to be off comes on top.
    """
    depths, job, seat = plan.facts.depths, plan.job, plan.facts.seat
    above = job.plug.thickness - depths.start_depth
    ways: tuple[tuple[str, Kind, str, float], ...] = (
        ("surface gap", "gap", "base's face to plug's floor", depths.depth_below_start),
        ("depth rod", "above", "base's face to plug's back", above),
        ("over both boards", "over", "back to back", above + job.base.thickness),
    )

    def at(kind: Kind, lift: float) -> float:
        return reading_of(kind, lift, job, depths)

    return tuple(
        Reading(
            name=name,
            kind=kind,
            words=words,
            as_drawn=value,
            expected=None if seat is None else (at(kind, min(seat.by_hand)), at(kind, max(seat.by_hand))),
            allowance=allowance(kind, value, job, depths),
        )
        for name, kind, words, value in ways
    )


def expected_text(reading: Reading, unit: LengthUnit, digits: int | None = None) -> str:
    """What to read, in the job's unit; one number where both ends are written alike."""
    if reading.expected is None:
        return "not checked"
    low, high = (length_text(value, unit, with_unit=False, digits=digits) for value in reading.expected)
    return low if low == high else f"{low} to {high}".replace(" ", "\N{NO-BREAK SPACE}")


def dry_fit_command(sheet: str) -> str:
    """The command to type for three readings of the gap; the sheet's name is safe in a shell."""
    return f"inlayfit dryfit {shlex.quote(sheet)} --gap ... --gap ... --gap ..."
