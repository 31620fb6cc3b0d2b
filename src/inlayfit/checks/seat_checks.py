"""Checks on the joint as cut: seat, joint line, corners. docs/checks.md has a page on each."""

from __future__ import annotations

from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.seat.fit import Fit
from inlayfit.seat.seat import SPREAD, SeatedContact

CORNER: Final = {"pocket": "corner", "plug": "inner corner"}
SLIGHT_FORCE: Final = 20.0
"""What a finger presses with, in N: no clamp need be told to."""
TOUCHES: Final = 0.005
"""A floor or fillet that comes to bear within this of the lift, in mm, touches with or before the walls."""


def seat(facts: Facts, fit: Fit) -> Finding:
    """Whether the clamp closes the joint, on walls and not on the floor."""
    found, limit = fit.seat, facts.job.limits.seat
    share, strong = found.seen.share_over_limit, found.joint_line_strong.share_over_limit
    line = facts.text(facts.job.limits.joint_line)
    low, high = found.wall_load
    reasons: list[str] = []
    remedies: list[str] = []
    status: Status = "pass"
    if share > limit:
        status = "fail"
        reasons.append(
            f"clamped with {facts.force(found.clamp_force)} the plug sits {_height(facts, found.lift)}, and the "
            f"joint is open by more than {line} on {share:.0%} of the outline"
        )
    elif strong > limit:
        status = "doubtful"
        reasons.append(
            f"the clamp closes the joint by the strength of {fit.strength.words}; were the wood four times as strong "
            f"where it is crushed, {strong:.0%} of the outline would stay open by more than {line}"
        )
    floor = [
        contact
        for contact in found.contacts
        if contact.kind in ("floor", "fillet") and contact.lift > found.walls - TOUCHES
    ]
    if floor:
        status = status if status == "fail" else "doubtful"
        reasons.append(f"the plug is on the {floor[0].kind} before its walls hold it")
        remedies.append("a larger glue gap or a finer stepover, and declare what the bit measures")
    elif status != "pass":
        # what stands on the floor no force closes
        remedies.append(_closing(facts, fit, SPREAD if status == "doubtful" else 1))
    # walls that are driven home and crush a little are how this joint is closed
    if found.clamp_force > high:
        status = status if status == "fail" else "doubtful"
        reasons.append(
            f"the walls bear {facts.force(low)} to {facts.force(high)}, and a clamp of "
            f"{facts.force(found.clamp_force)} may drive the plug to the floor"
        )
        enough = found.closing_force
        if enough is not None and enough < low:
            least = f"{facts.force(enough)} to " if enough >= SLIGHT_FORCE else "no more than "
            remedies.append(f"clamp with {least}{facts.force(low)}, or a deeper joint")
        else:
            remedies.append("less clamping pressure, or a deeper joint")
    if status == "pass":
        if fit.strength.end_grain:
            status = "doubtful"
            reasons.append("a part shows end grain, whose strength is not in the table")
            remedies.append("set crush_strength for that part, or try a small pair")
        else:
            sits = f"the plug sits {_height(facts, found.lift)}, on its walls"
            reasons.append(f"clamped with {facts.force(found.clamp_force)} {sits}")
    return Finding(
        id="seat",
        status=status,
        value=share,
        limit=limit,
        kind="share",
        message="; ".join(reasons),
        remedy=" and ".join(dict.fromkeys(remedies)),
        places=places(facts, [contact for contact in found.contacts if contact.crushed > 0]) if remedies else (),
        rests_on=_rests_on(facts, fit),
    )


def joint_line(facts: Facts, fit: Fit) -> Finding:
    """The widest joint line seen, once clamped and levelled."""
    seen, strong = fit.seat.seen, fit.seat.joint_line_strong
    limit = facts.job.limits.joint_line
    status: Status = "fail" if seen.largest > limit else "doubtful" if strong.largest > limit else "pass"
    message = f"the joint line is {facts.text(seen.largest)} at its widest, {facts.text(seen.mean)} on the mean"
    if status == "doubtful":
        message += f"; {facts.text(strong.largest)} were the wood four times as strong where it is crushed"
    worst = strong if status == "doubtful" else seen
    return Finding(
        id="joint-line",
        status=status,
        value=seen.largest,
        limit=limit,
        message=message,
        remedy="" if status == "pass" else "measure the bit and declare what it measures; ease what holds the plug up",
        places=()
        if status == "pass"
        else (Place(at=worst.at, value=worst.largest, message=f"open by {facts.text(worst.largest)}"),),
        rests_on=_rests_on(facts, fit),
    )


def corners(facts: Facts, fit: Fit) -> Finding:
    """What corners lose at the face to the tip's roundness."""
    limit, points = facts.job.limits.corners, fit.seat.points_lost
    worst = points[0].lost if points else 0.0
    over = [point for point in points if point.lost > limit]
    message = f"corners lose {facts.text(worst)} at the most to the tip" if points else "no sharp corners"
    return Finding(
        id="corners",
        status="doubtful" if over else "pass",
        value=worst,
        limit=limit,
        message=message,
        remedy="a sharper tip, or ease these points in the drawing so that none is missed" if over else "",
        places=tuple(
            Place(
                at=point.at,
                value=point.lost,
                message=f"{CORNER[point.side]}, {2 * point.half_angle:.0f} deg: {facts.text(point.lost)} of it is lost",
            )
            for point in over[:MOST_PLACES]
        ),
        rests_on=facts.assumed("bits.v.tip", "bits.pocket_v.tip", "bits.plug_v.tip"),
    )


def places(facts: Facts, contacts: list[SeatedContact]) -> tuple[Place, ...]:
    """The first few contacts, each with what a person can do about it."""
    return tuple(
        Place(at=contact.at, value=contact.lift, message=contact_words(facts, contact))
        for contact in contacts[:MOST_PLACES]
    )


def contact_words(facts: Facts, contact: SeatedContact) -> str:
    """What a contact is, how high it holds the plug, and what would help there."""
    bit = facts.job.bits.pocket_v if contact.side == "pocket" else facts.job.bits.plug_v
    tip = f"a {facts.text(2 * bit.real.tip_radius)} tip"
    if bit.real.rounding:
        tip = f"a ball tip of {facts.text(bit.real.rounding)} radius"
    lift = f"holds the plug {_height(facts, contact.lift)}"
    if contact.kind == "corner" and contact.half_angle is not None:
        radius = facts.text(bit.real.flank_radius)
        if contact.side == "pocket":
            # rounding it at the face leaves the plug's edge sharp further down, where the pocket's is round
            cure = f"a sharper tip lowers it; eased by {radius} the point is not missed"
        else:
            cure = f"ease the outline by {radius}, or use a sharper tip"
        lost = f", {facts.text(contact.lost)} of it is lost at the face" if contact.lost >= _shown(facts) else ""
        return f"{CORNER[contact.side]}, {2 * contact.half_angle:.0f} deg: {tip} {lift}{lost}; {cure}"
    if contact.kind in ("stroke", "gap") and contact.width is not None:
        part = "is not cut, and" if contact.lost > 0 else "is cut short by the tip, and"
        depth = facts.depths.pocket_depth if contact.kind == "stroke" else facts.depths.depth_below_start
        wide = facts.text(2 * bit.shape.half_width_at(depth))
        return f"{contact.kind} {facts.text(contact.width)} wide: {part} {lift}; widen it to {wide}, or a sharper tip"
    words = {
        "walls": f"the walls {lift}",
        "rib": f"a rib of the base in a groove of the plug {lift}",
        "fillet": f"the ball's fillet at the foot of the wall {lift}; a larger glue gap clears it",
        "floor": f"the floor {lift}; a larger glue gap clears it",
    }
    return words[contact.kind]


def _height(facts: Facts, lift: float) -> str:
    """How a plug sits against where it was drawn."""
    if abs(lift) < _shown(facts):
        return "as drawn"
    return f"{facts.text(abs(lift))} {'high' if lift > 0 else 'low'}"


def _shown(facts: Facts) -> float:
    """The least length that the report's digits show, in mm."""
    return 0.0127 if facts.job.unit == "in" else 0.005


def _closing(facts: Facts, fit: Fit, times: float) -> str:
    """What closes the joint in wood this many times as strong."""
    force = fit.seat.closing_force
    if force is None:
        return "no clamp closes it: the walls themselves are in the way; measure the bit and declare what it measures"
    even = " even then" if times > 1 else ""
    better = "better ease the corners and strokes that hold it up, or a sharper tip"
    return f"{facts.force(times * force)} would close it{even}; {better}"


def _rests_on(facts: Facts, fit: Fit) -> tuple[str, ...]:
    keys = ("joint.clamp_pressure", "bits.v.tip", "bits.pocket_v.tip", "bits.plug_v.tip")
    return (*(entry.key for entry in fit.strength.assumed), *facts.assumed(*keys))
