"""The dry fit, worked out: how the plug sits, what it ought to do by hand, why it differs, and what to cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inlayfit.dryfit.causes import Cause, causes, explained
from inlayfit.dryfit.cuts import Correction, Gaps, for_a_plug_on_the_floor, for_a_proud_plug
from inlayfit.dryfit.readings import Level, level, refuse_impossible
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Held, Job
from inlayfit.joint.reading import MeasuredDepths, Reading
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.tolerance.stack import Stack, depth_stack

STRONGER: Final = 4.0
"""How much more than the table's strength very small contacts may bear."""
SURE: Final = 2.0
"""Standard uncertainties within which a reading is no more than what was expected."""
MODEL_U: Final = 0.03
"""Standard uncertainty in mm of the lift expected by hand, beside its range (docs/validation.md)."""
FIRST: Final = "Brush both parts out, press the plug in again and read again, before anything is cut."


@dataclass(frozen=True, kw_only=True)
class DryFit:
    """What readings of a dry fit say; lengths in mm, lifts over the nominal seat, proud above 0.

    ``expected`` is the lift by hand, at the wood's strength and at four times it; ``excess`` the lift read less the
    middle of it, and ``sure`` how far off it may be. ``glue_gap`` and ``surface_gap`` are as the plug sits now,
    ``joint_line`` the widest to expect if it were clamped so: where the walls hold it, and where something else does.
    ``floors_off`` are how much deeper than programmed the pocket's floor and the plug's own floor were measured, 0
    where they were not. ``corrections`` are the cuts that can be made, best first, ``ruled_out`` those that cannot;
    ``reason`` says why there are no corrections, '' where there are.
    """

    level: Level
    readings: tuple[Reading, ...]
    expected: tuple[float, float]
    excess: float
    sure: float
    glue_gap: float
    surface_gap: float
    joint_line: tuple[float, float]
    floors_off: tuple[float, float]
    on_floor: bool
    causes: tuple[Cause, ...]
    slip: bool
    """Whether the excess is more than the tolerances explain: a slip rather than a spread."""
    corrections: tuple[Correction, ...]
    ruled_out: tuple[Correction, ...]
    reason: str
    held: Held

    @property
    def as_expected(self) -> bool:
        """Whether the plug sits where a hand's pressure should leave it, within reading and model."""
        low, high = self.expected
        return low - self.sure <= self.level.lift <= high + self.sure

    @property
    def mends(self) -> bool:
        """Whether the pair can be used: as it is, or after a cut of a part at hand."""
        if any(cut.step != "new plug" for cut in self.corrections):
            return True
        return not self.corrections and not self.ruled_out and not self.on_floor


def sureness(sits: Level) -> float:
    """How far off a lift may be by reading and model, in mm: nothing is cut for less."""
    return SURE * math.hypot(sits.lift_u, MODEL_U)


def dry_fit(plan: Plan, readings: Sequence[Reading], held: Held, measured: MeasuredDepths | None = None) -> DryFit:
    """The answer to a dry fit. Raises :class:`inlayfit.errors.InputError` for readings that cannot be."""
    measured = measured or MeasuredDepths()
    job, depths = plan.job, plan.facts.depths
    refuse_impossible(readings, job, depths, measured)
    bounds = plan.facts.outline.survey.bounds if plan.facts.outline is not None else None
    size = None if bounds is None else (bounds[2] - bounds[0], bounds[3] - bounds[1])
    sits = level(readings, job, depths, measured, size)
    expected, clamped, line = expected_lift(plan, sits.lift)
    middle = sum(expected) / 2
    hand_u = (expected[1] - expected[0]) / math.sqrt(12)
    sure = sureness(sits)
    excess = sits.lift - middle
    too_deep = 0.0 if measured.pocket is None else measured.pocket - depths.pocket_depth
    floor_deep = 0.0 if measured.plug is None else measured.plug - depths.plug_total_depth
    glue_gap = depths.glue_gap + too_deep + sits.lift
    stack = plan.facts.stack or depth_stack(job, depths)
    gaps = Gaps(
        lift=clamped, glue_gap=depths.glue_gap + too_deep + clamped,
        surface_gap=depths.depth_below_start + floor_deep + clamped,
    )  # fmt: skip
    # a plug is taken to be on its floor where its gap is within the reading of nothing
    on_floor = glue_gap < SURE * sits.lift_u and excess < -sure
    cuts, reason = _corrections(plan, sits, excess, expected, sure, held, gaps, stack, on_floor=on_floor)
    return DryFit(
        level=sits,
        readings=tuple(readings),
        expected=expected,
        excess=excess,
        sure=sure,
        glue_gap=glue_gap,
        surface_gap=depths.depth_below_start + floor_deep + sits.lift,
        joint_line=(line, line + max(0.0, excess) * job.bits.plug_v.real.slope),
        floors_off=(too_deep, floor_deep),
        on_floor=on_floor,
        causes=causes(stack.contributions, excess=excess, hand_u=hand_u, reading_u=sits.lift_u),
        slip=explained(stack.contributions, excess=excess, hand_u=hand_u, reading_u=sits.lift_u) > 3,
        corrections=tuple(cut for cut in cuts if not cut.stops),
        ruled_out=tuple(cut for cut in cuts if cut.stops),
        reason=reason or ("" if any(not cut.stops for cut in cuts) else "no cut helps: start anew with both parts"),
        held=held,
    )


def expected_lift(plan: Plan, read: float) -> tuple[tuple[float, float], float, float]:
    """Lift by hand as a range, clamped lift and widest joint line in mm, for a plug that was ``read`` to sit there.

    Without a fit the range goes up to what the sharpest of corners can hold: r / T.
    """
    outline = plan.facts.outline
    if outline is not None and outline.fit is not None:
        fit, seat = outline.fit, outline.fit.seat
        low, high = sorted(seat.by_hand)
        excess = read - (low + high) / 2
        if excess > 0:
            from inlayfit.dryfit.hand import expected_above_walls

            low, high = sorted(
                expected_above_walls(
                    fit.pair, excess, hand_force_n=plan.job.joint.hand_force,
                    strengths_mpa=(fit.strength.across, STRONGER * fit.strength.across),
                )
            )  # fmt: skip
        return (low, high), seat.lift, seat.seen.largest
    bit = plan.job.bits.plug_v.real
    return (0.0, bit.flank_radius / bit.slope), 0.0, 0.0


def _corrections(
    plan: Plan, sits: Level, excess: float, expected: tuple[float, float], sure: float, held: Held, gaps: Gaps,
    stack: Stack, *, on_floor: bool,
) -> tuple[tuple[Correction, ...], str]:  # fmt: skip
    job, depths = plan.job, plan.facts.depths
    if sits.across > sits.across_u + sure / 2:
        return (), (
            "the plug sits crooked: chips or fuzz under one side, or it hangs on one place. Press the high side home "
            "and read again; a cut would lower both sides alike"
        )
    if on_floor:
        spread = _spread(stack)
        more = depths.glue_gap + 2 * spread
        # how loose the walls are nobody has read: taken is that they close at the spread, twice it at most
        lift = sits.lift - spread
        sunk = Gaps(lift=lift, glue_gap=depths.glue_gap + more + lift, surface_gap=depths.depth_below_start + lift)
        found = for_a_plug_on_the_floor(job, depths, more, held, sunk)
        return found, _too_loose(job, depths, more, held) if all(cut.stops for cut in found) else ""
    if expected[0] - sure <= sits.lift <= expected[1] + sure:
        return (), "it sits where a hand's pressure should leave it, within reading and model: cut nothing"
    if excess < 0:
        left = gaps.glue_gap + sits.lift - expected[0]
        return (), (
            "it has sunk, and its walls hold it there: a taper that sinks stays closed. Cut nothing; "
            f"{_text(job, left)} of glue gap is left"
        )
    return for_a_proud_plug(job, depths, excess, held, gaps, by_base=_no_use_below(plan, sits)), ""


def _spread(stack: Stack) -> float:
    return math.sqrt(sum(entry.lift_u**2 for entry in stack.contributions))


def _too_loose(job: Job, depths: Depths, more: float, held: Held) -> str:
    if held not in ("base", "both"):
        return (
            "the plug is on the floor with loose walls, and the base is no longer on its zero: start anew with a plug "
            "whose start is shallower, or glue it as a filled joint"
        )
    return (
        f"the plug is on the floor with loose walls, and the pocket cannot go {_text(job, more)} deeper: start anew "
        "with a new plug"
    )


def _no_use_below(plan: Plan, sits: Level) -> str:
    """Why a deeper pocket wall does nothing for what holds this plug up, or ''."""
    seat = plan.facts.seat
    if seat is None:
        return ""
    holding = [contact for contact in seat.contacts if contact.lift > sits.lift - 0.05]
    if holding and all(contact.kind in ("gap", "floor") for contact in holding):
        return "what holds it up is a gap or the floor, which a deeper wall does not lower"
    return ""


def _text(job: Job, mm: float) -> str:
    return length_text(mm, job.unit)
