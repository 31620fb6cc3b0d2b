"""Checks that need depths, stocks and bits only. docs/checks.md has a page on each."""

from __future__ import annotations

import math
from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Status
from inlayfit.cutters import Cutter
from inlayfit.joint.depths import cone_spare

SAME_GAP: Final = 0.005
"""A seat that moves a gap by less than this, in mm, leaves it as drawn."""
TOLERANCES: Final = ("tolerance.touch_off", "tolerance.touch_off.limit", "tolerance.thickness")


def glue_gap(facts: Facts) -> Finding:
    """Room for glue between floor and plug."""
    gap, as_cut = _gap(facts.depths.glue_gap, None if facts.seat is None else facts.seat.glue_gap)
    least, most = facts.job.limits.glue_gap
    fillet = facts.job.bits.pocket_v.shape.fillet_height
    status: Status = "pass"
    limit, remedy = least, ""
    message = f"{facts.text(gap)} between the pocket's floor and the plug's face{as_cut}"
    short = max(least - gap, 0.0)
    if gap <= 0 and as_cut:
        status = "fail"
        remedy = (
            f"declare what the bit measures, or a glue gap of {facts.text(facts.depths.glue_gap + short)}: as it is, "
            "the plug's face is on the floor before its walls hold it"
        )
    elif gap <= 0:
        status, remedy = "fail", "set a glue gap above 0: the plug's face is on the floor before its walls touch"
    elif gap < fillet:
        limit, status = fillet, "doubtful"
        message += f"; the ball tip leaves a fillet {facts.text(fillet)} high where the wall meets the floor"
        remedy = "a glue gap as high as the fillet, or a bit with a point or flat"
    elif gap < least:
        status, remedy = "doubtful", "a larger glue gap: touch-off errors and fuzz use it up"
        if as_cut:
            remedy = f"{facts.text(facts.depths.glue_gap + short)} as the glue gap, or declare what the bit measures"
    elif gap > most:
        limit, status, remedy = most, "doubtful", "a smaller glue gap: thick glue is weak, and the plug is less deep"
        if facts.depths.glue_gap <= most:
            remedy = "let the plug down to where it was drawn: the check of the seat says what holds it up"
    return Finding(
        id="glue-gap",
        status=status,
        value=gap,
        limit=limit,
        message=message,
        remedy=remedy,
        rests_on=facts.assumed("joint.glue_gap"),
    )


def _gap(nominal: float, seated: float | None) -> tuple[float, str]:
    """The gap to judge: as cut where the seat leaves less or more than drawn, with words that say so."""
    if seated is None or abs(seated - nominal) < SAME_GAP:
        return nominal, ""
    return seated, " as cut, once clamped"


def surface_gap(facts: Facts) -> Finding:
    """Room above the base's face under the plug's own floor."""
    gap, as_cut = _gap(facts.depths.surface_gap, None if facts.seat is None else facts.seat.surface_gap)
    least, fillet = facts.job.limits.surface_gap, facts.job.bits.plug_v.shape.fillet_height
    limit = least
    status: Status = "pass"
    remedy = ""
    if gap <= 0:
        status, remedy = "fail", "set a surface gap above 0: the plug's own floor lands on the base's face"
    elif gap < max(least, fillet):
        limit, status = max(least, fillet), "doubtful"
        remedy = "a larger surface gap: chips, fuzz and a plug that sinks use it up"
    message = f"{facts.text(gap)} between the base's face and the plug's own floor{as_cut}"
    if 0 < gap < fillet:
        message += f"; the ball tip leaves a fillet {facts.text(fillet)} high at the foot of the plug's wall"
    return Finding(
        id="surface-gap",
        status=status,
        value=gap,
        limit=limit,
        message=message,
        remedy=remedy,
        rests_on=facts.assumed("joint.surface_gap"),
    )


def base_floor(facts: Facts) -> Finding:
    """Wood left under the pocket."""
    spread = facts.job.tolerance
    return _wood_left(
        facts,
        id="base-floor",
        left=facts.depths.base_floor,
        least=facts.job.base.least_floor,
        touch_off=max(spread.pocket_v.furthest, spread.pocket_clear.furthest),
        what="under the pocket",
        remedy="a shallower pocket or a thicker base",
        key="base.least_floor",
    )


def plug_web(facts: Facts) -> Finding:
    """Wood left behind the plug's own floor."""
    spread = facts.job.tolerance
    return _wood_left(
        facts,
        id="plug-web",
        left=facts.depths.plug_web,
        least=facts.job.plug.least_web,
        touch_off=max(spread.plug_v.furthest, spread.plug_clear.furthest),
        what="behind the plug's own floor",
        remedy="a thicker plug blank, a shallower pocket or a smaller surface gap",
        key="plug.least_web",
    )


def _wood_left(
    facts: Facts, *, id: str, left: float, least: float, touch_off: float, what: str, remedy: str, key: str
) -> Finding:
    # zeroed on the bed, the tip's height over the bed is what it is, whatever the board's thickness
    by_thickness = 0.0 if facts.job.touch_off == "bed" else facts.job.tolerance.thickness.furthest
    worst = left - touch_off - by_thickness
    status: Status = "pass"
    message = f"{facts.text(left)} left {what}"
    if left <= 0:
        message = f"no wood left {what}: the cut goes {facts.text(-left)} past the stock"
    if left < least - 1e-9 or left <= 0:
        status = "fail"
    elif worst < least - 1e-9:
        status = "doubtful"
        message += f", {facts.text(worst)} in the worst case of touch-off and thickness"
    return Finding(
        id=id,
        status=status,
        value=left,
        limit=least,
        message=message,
        remedy="" if status == "pass" else remedy,
        rests_on=facts.assumed(key, *(TOLERANCES if status == "doubtful" else ())),
    )


def cone_reach(facts: Facts) -> Finding:
    """Whether the V-bit's cone is as long as the deepest wall it cuts."""
    bits, depths = facts.job.bits, facts.depths
    cuts = (
        (bits.plug_v, depths.plug_total_depth, "the plug's walls"),
        (bits.pocket_v, depths.pocket_depth, "the pocket's walls"),
    )
    bit, deepest, what = min(cuts, key=lambda cut: cut[0].cone_height - cut[1])
    spare = bit.cone_height - deepest
    rests_on = facts.assumed("bits.v.diameter", "bits.pocket_v.diameter", "bits.plug_v.diameter")
    message = f"the cone of {bit.name} is {facts.text(bit.cone_height)} high, {what} are {facts.text(deepest)} deep"
    status: Status = "pass"
    remedy = ""
    if cone_spare(facts.job, depths) < 0:
        status = "fail"
        message += f": above it the wall stands too thick, and the plug sits {facts.text(-spare)} too high"
        remedy = "a larger V-bit, a shallower pocket or a smaller surface gap"
    elif rests_on:
        status, remedy = "doubtful", f"measure the cone's largest diameter and set {' and '.join(rests_on)}"
        message += "; a diameter is assumed"
    return Finding(
        id="cone-reach",
        status=status,
        value=bit.cone_height,
        limit=deepest,
        message=message,
        remedy=remedy,
        rests_on=rests_on,
    )


def bit_reach(facts: Facts) -> Finding:
    """Whether every bit goes as deep as its deepest pass before holder or shank touches."""
    deepest_of: dict[Cutter, float] = {}
    cutting_out: dict[Cutter, bool] = {}
    for entry in facts.passes:
        # levelling works from the top of the stack, nothing stands above it
        if entry.step != "level" and entry.total_depth > deepest_of.get(entry.cutter, 0.0):
            deepest_of[entry.cutter], cutting_out[entry.cutter] = entry.total_depth, entry.step == "cut out"
    named = list(deepest_of.items())
    known = [(bit.reach - deepest, bit, deepest) for bit, deepest in named if bit.reach is not None]
    unknown = [bit.name for bit, _ in named if bit.reach is None]
    least = facts.job.limits.bit_reach
    if known:
        spare, bit, deepest = min(known, key=lambda entry: entry[0])
        if spare < least - 1e-9:
            return Finding(
                id="bit-reach",
                status="fail" if spare < -1e-9 else "doubtful",
                value=bit.reach,
                limit=deepest,
                message=(
                    f"{bit.name} reaches {facts.text(bit.reach or 0)} and cuts {facts.text(deepest)} deep"
                    + (" where it cuts the plug out" if cutting_out[bit] else "")
                ),
                remedy=(
                    "a longer bit as bits.cut_out, or saw the plug out: plug.cut_out: no"
                    if cutting_out[bit]
                    else "a longer bit, more stick-out or a shallower cut"
                ),
            )
    if unknown:
        return Finding(
            id="bit-reach",
            status="doubtful",
            message=f"no reach is given for {', '.join(unknown)}",
            limit=max(deepest for bit, deepest in named if bit.reach is None),
            remedy="measure how deep each goes before holder or shank touches, and set its reach",
        )
    spare, bit, deepest = min(known, key=lambda entry: entry[0])
    return Finding(
        id="bit-reach",
        status="pass",
        value=bit.reach,
        limit=deepest,
        message=f"{facts.text(spare)} to spare at the least, with {bit.name}",
    )


def pass_load(facts: Facts) -> Finding:
    """No pass over its bit's depth of cut."""
    heaviest = max(facts.passes, key=lambda entry: entry.load / entry.cutter.depth_of_cut)
    over = heaviest.load > heaviest.cutter.depth_of_cut + 1e-9
    rests_on = tuple(entry.key for entry in facts.job.assumed if entry.key.endswith(".depth_of_cut"))
    status: Status = "fail" if over else "doubtful" if rests_on else "pass"
    message = (
        f"the heaviest pass takes {facts.text(heaviest.load)} of the {facts.text(heaviest.cutter.depth_of_cut)} "
        f"that {heaviest.bit} may take"
    )
    if rests_on and not over:
        message += f"; assumed: {', '.join(rests_on)}"
    return Finding(
        id="pass-load",
        status=status,
        value=heaviest.load,
        limit=heaviest.cutter.depth_of_cut,
        message=message,
        remedy="" if status == "pass" else "set each bit's depth_of_cut to what bit and machine bear in this wood",
        rests_on=rests_on,
    )


def floor_ridges(facts: Facts) -> Finding:
    """Ridges the V-bit leaves on the pocket's floor against the glue gap, on the plug's own against the surface gap."""
    bits, depths = facts.job.bits, facts.depths
    floors = (
        (bits.pocket_v, depths.glue_gap, "the glue gap", "pocket_v"),
        (bits.plug_v, depths.surface_gap, "the surface gap", "plug_v"),
    )
    # the floor that comes nearest to its gap; of two without any gap the pocket's
    bit, gap, what, role = max(floors, key=lambda floor: floor[0].ridge / floor[1] if floor[1] > 0 else math.inf)
    message = f"{bit.name} stepping over {facts.text(bit.stepover)} leaves ridges {facts.text(bit.ridge)} high"
    status: Status = "pass"
    remedy = ""
    if bit.ridge >= gap:
        status, remedy = "fail", "a smaller stepover: where the V-bit clears the floor the plug sits on its ridges"
        message += f", and {what} is {facts.text(gap)}"
    elif bit.ridge > facts.job.limits.floor_ridges * gap:
        status, remedy = "doubtful", f"a smaller stepover leaves more of {what}"
        message += f", {bit.ridge / gap:.0%} of {what}"
    return Finding(
        id="floor-ridges",
        status=status,
        value=bit.ridge,
        limit=gap,
        message=message,
        remedy=remedy,
        rests_on=facts.assumed("bits.v.stepover" if bits.one_v else f"bits.{role}.stepover"),
    )


def levelling(facts: Facts) -> Finding:
    """Inlay left under the whole face once the plug's back is off and the face is sanded, and nothing left standing."""
    joint, left_over = facts.job.joint, facts.levelling
    left, least = left_over.inlay_sanded, facts.job.limits.levelling
    rim = 0.0 if facts.outline is None else facts.outline.shop.rim_left
    message = f"{facts.text(left)} of inlay left after levelling and sanding, where the pocket has its full depth"
    status: Status = "pass"
    remedy = ""
    if left_over.inlay <= 0:
        status = "fail"
        message = f"levelling {facts.text(joint.level_below)} below the face cuts the whole inlay away"
        remedy = "a smaller level_below or a deeper pocket"
    elif left <= 0:
        status = "fail"
        message = f"sanding {facts.text(joint.sanding)} after levelling takes what is left of the inlay"
        remedy = "less levelling and sanding, or a deeper pocket"
    elif rim > 1e-9:
        status = "fail"
        message = (
            f"the plug's border reaches {facts.text(rim)} past what the levelling bit covers: a rim of it stays"
            " standing"
        )
        remedy = "a larger levelling bit, a narrower border, or a larger board"
    elif left < least:
        status, remedy = "doubtful", "a deeper pocket, or less levelling and sanding"
    return Finding(
        id="levelling",
        status=status,
        value=left,
        limit=least,
        message=message,
        remedy=remedy,
        rests_on=facts.assumed("joint.level_below", "joint.sanding"),
    )
