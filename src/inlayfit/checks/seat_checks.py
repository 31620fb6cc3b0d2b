"""Checks on the joint as cut: seat, joint line, corners. docs/checks.md has a page on each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.joint.limits import JOINT_LINE, SEAT, Limit
from inlayfit.statement import Statement, told

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.seat.fit import Fit
    from inlayfit.seat.seat import SeatedContact

CORNERS: Final = Limit("corners", "length", 0.25, "Most of a point lost at the face.")

SLIGHT_FORCE: Final = 20.0
"""What a finger presses with, in N: no clamp need be told to."""
TOUCHES: Final = 0.005
"""A floor or fillet that comes to bear within this of the lift, in mm, touches with or before the walls."""


def seat(facts: Facts, fit: Fit) -> Finding:
    """Whether the clamp closes the joint, on walls and not on the floor."""
    # imported late: it brings numpy and shapely
    from inlayfit.joint.strength import SPREAD

    seated, limit, line = fit.seat, facts.job.limits[SEAT], facts.job.limits[JOINT_LINE]
    share, strong = seated.seen.share_over_limit, seated.joint_line_strong.share_over_limit
    low, high = seated.wall_load
    clamp = seated.clamp_force
    reasons: list[Statement] = []
    remedies: list[Statement] = []
    status: Status = "pass"
    if share > limit:
        status = "fail"
        reasons.append(told("seat.open", clamp=clamp, lift=seated.lift, line=line, share=share))
    elif strong > limit:
        status = "doubtful"
        reasons.append(told("seat.open_if_strong", strength=fit.strength.words, share=strong, line=line))
    floor = [
        contact
        for contact in seated.contacts
        if contact.kind in ("floor", "fillet") and contact.lift > seated.walls - TOUCHES
    ]
    if floor:
        status = status if status == "fail" else "doubtful"
        reasons.append(told(f"seat.on_{floor[0].kind}"))
        corners = floor[0].kind == "fillet" and not facts.job.bits.pocket_v.real.rounding
        remedies.append(told("glue_gap.clear_the_corners" if corners else "seat.clear_the_floor"))
    elif status != "pass":
        # what stands on the floor no force closes
        remedies.append(_closing(fit, SPREAD if status == "doubtful" else 1))
    # walls that are driven home and crush a little are how this joint is closed
    if clamp > high:
        status = status if status == "fail" else "doubtful"
        reasons.append(told("seat.clamp_drives_down", low=low, high=high, clamp=clamp))
        enough = seated.closing_force
        if enough is None or enough >= low:
            remedies.append(told("seat.clamp_less"))
        elif enough >= SLIGHT_FORCE:
            remedies.append(told("seat.clamp_between", least=enough, most=low))
        else:
            remedies.append(told("seat.clamp_at_most", most=low))
    if status == "pass":
        if fit.strength.end_grain:
            status = "doubtful"
            reasons.append(told("seat.end_grain"))
            remedies.append(told("seat.end_grain_remedy"))
        else:
            reasons.append(told("seat.on_its_walls", clamp=clamp, lift=seated.lift))
    crushed = [contact for contact in seated.contacts if contact.crushed > 0] if remedies else []
    return Finding(
        id="seat",
        status=status,
        value=share,
        limit=limit,
        kind="share",
        reasons=tuple(reasons),
        remedies=tuple(remedies),
        places=tuple(
            Place(at=contact.at, value=contact.lift, reason=contact_reason(facts, contact))
            for contact in crushed[:MOST_PLACES]
        ),
        rests_on=_rests_on(facts, fit),
    )


def joint_line(facts: Facts, fit: Fit) -> Finding:
    """The widest joint line seen, once clamped and levelled."""
    seen, strong = fit.seat.seen, fit.seat.joint_line_strong
    limit = facts.job.limits[JOINT_LINE]
    status: Status = "fail" if seen.largest > limit else "doubtful" if strong.largest > limit else "pass"
    reasons = [told("joint_line.widest", widest=seen.largest, mean=seen.mean)]
    if status == "doubtful":
        reasons.append(told("joint_line.if_strong", widest=strong.largest))
    worst = strong if status == "doubtful" else seen
    place = Place(at=worst.at, value=worst.largest, reason=told("joint_line.open", by=worst.largest))
    return Finding(
        id="joint-line",
        status=status,
        value=seen.largest,
        limit=limit,
        reasons=tuple(reasons),
        remedies=() if status == "pass" else (told("joint_line.remedy"),),
        places=() if status == "pass" else (place,),
        rests_on=_rests_on(facts, fit),
    )


def corners(facts: Facts, fit: Fit) -> Finding:
    """What corners lose at the face to the tip's roundness."""
    limit, points = facts.job.limits[CORNERS], fit.seat.points_lost
    worst = points[0].lost if points else 0.0
    over = [point for point in points if point.lost > limit]
    return Finding(
        id="corners",
        status="doubtful" if over else "pass",
        value=worst,
        limit=limit,
        reasons=(told("corners.lose", worst=worst) if points else told("corners.none"),),
        remedies=(told("corners.remedy"),) if over else (),
        places=tuple(
            Place(
                at=point.at,
                value=point.lost,
                reason=told(f"corners.{point.side}", angle=2 * point.half_angle, lost=point.lost),
            )
            for point in over[:MOST_PLACES]
        ),
        rests_on=facts.assumed("bits.v.tip", "bits.pocket_v.tip", "bits.plug_v.tip"),
    )


def contact_reason(facts: Facts, contact: SeatedContact) -> Statement:
    """What a contact is, how high it holds the plug, and what would help there."""
    bit = facts.job.bits.pocket_v if contact.side == "pocket" else facts.job.bits.plug_v
    lift = contact.lift
    if contact.kind == "corner" and contact.half_angle is not None:
        tip = told("tip.flat", width=2 * bit.real.tip_radius)
        if bit.real.rounding:
            tip = told("tip.ball", radius=bit.real.rounding)
        return told(
            f"corner.{contact.side}",
            angle=2 * contact.half_angle,
            tip=tip,
            lift=lift,
            lost=contact.lost,
            radius=bit.real.flank_radius,
        )
    if contact.kind in ("stroke", "gap") and contact.width is not None:
        depth = facts.depths.pocket_depth if contact.kind == "stroke" else facts.depths.depth_below_start
        return told(
            f"contact.{contact.kind}_{'uncut' if contact.lost > 0 else 'short'}",
            width=contact.width,
            lift=lift,
            widen=2 * bit.shape.half_width_at(depth),
        )
    if contact.kind == "fillet" and not facts.job.bits.pocket_v.real.rounding:
        return told(f"contact.clearing_fillet_{contact.side}", lift=lift)
    return told(f"contact.{contact.kind}", lift=lift)


def _closing(fit: Fit, times: float) -> Statement:
    """What closes the joint in wood this many times as strong."""
    force = fit.seat.closing_force
    if force is None:
        return told("seat.no_clamp_closes")
    return told("seat.would_close_even_then" if times > 1 else "seat.would_close", force=times * force)


def _rests_on(facts: Facts, fit: Fit) -> tuple[str, ...]:
    keys = ("joint.clamp_pressure", "bits.v.tip", "bits.pocket_v.tip", "bits.plug_v.tip")
    return (*(entry.key for entry in fit.strength.assumed), *facts.assumed(*keys))
