"""Checks that need depths, stocks and bits only. docs/checks.md has a page on each."""

from __future__ import annotations

import math
from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Status
from inlayfit.cutters import Cutter
from inlayfit.joint.depths import Depths, cone_spare
from inlayfit.joint.fillet import beside_wall
from inlayfit.joint.limits import Limit
from inlayfit.joint.schedule import Pass
from inlayfit.joint.strength import SPREAD
from inlayfit.shop.levelling import Levelling
from inlayfit.statement import Statement, told

GLUE_GAP: Final = Limit("glue_gap", "length", (0.25, 1.0), "Least glue gap without doubt, or [least, most].")
SURFACE_GAP: Final = Limit("surface_gap", "length", 1.0, "Least surface gap without doubt.")
BIT_REACH: Final = Limit("bit_reach", "length", 0.5, "Least reach to spare without doubt.")
SPECKS: Final = 0.01
"""A share of the floor that is left in corners, and bears nothing that counts."""
FLOOR_RIDGES: Final = Limit(
    "floor_ridges", "share", 0.5, "Most ridge height without doubt, as a share of the glue gap."
)
LEVELLING: Final = Limit("levelling", "length", 1.0, "Least inlay left under the whole face without doubt.")

SAME_GAP: Final = 0.005
"""A seat that moves a gap by less than this, in mm, leaves it as drawn."""
TOLERANCES: Final = ("tolerance.touch_off", "tolerance.touch_off.limit", "tolerance.thickness")


def glue_gap(facts: Facts, depths: Depths) -> Finding:
    """Room for glue between floor and plug."""
    gap, as_cut = _gap(depths.glue_gap, None if facts.seat is None else facts.seat.glue_gap)
    least, most = facts.job.limits[GLUE_GAP]
    ball, corners = facts.job.bits.pocket_v.shape.fillet_height, beside_wall(facts.job, "pocket").height
    fillet = max(ball, corners)
    status: Status = "pass"
    limit = least
    remedies: tuple[Statement, ...] = ()
    reasons = [told("glue_gap.as_cut" if as_cut else "glue_gap.drawn", gap=gap)]
    enough = depths.glue_gap + max(least - gap, 0.0)
    if gap <= 0:
        status = "fail"
        remedies = (told("glue_gap.declare_or_larger", gap=enough) if as_cut else told("glue_gap.above_0"),)
    elif gap < fillet:
        limit, status = fillet, "doubtful"
        reasons.append(told("glue_gap.fillet" if fillet == ball else "glue_gap.clearing_fillet", fillet=fillet))
        remedies = (told("glue_gap.clear_the_fillet" if fillet == ball else "glue_gap.clear_the_corners"),)
    elif gap < least:
        status = "doubtful"
        remedies = (told("glue_gap.larger_or_declare", gap=enough) if as_cut else told("glue_gap.larger"),)
    elif gap > most:
        limit, status = most, "doubtful"
        remedies = (told("glue_gap.smaller") if depths.glue_gap > most else told("glue_gap.let_down"),)
    return Finding(
        id="glue-gap",
        status=status,
        value=gap,
        limit=limit,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=facts.assumed("joint.glue_gap"),
    )


def _gap(nominal: float, seated: float | None) -> tuple[float, bool]:
    """The gap to judge: as cut where the seat leaves less or more than drawn, and whether it is that."""
    if seated is None or abs(seated - nominal) < SAME_GAP:
        return nominal, False
    return seated, True


def surface_gap(facts: Facts, depths: Depths) -> Finding:
    """Room above the base's face under the plug's own floor."""
    gap, as_cut = _gap(depths.surface_gap, None if facts.seat is None else facts.seat.surface_gap)
    least, ball = facts.job.limits[SURFACE_GAP], facts.job.bits.plug_v.shape.fillet_height
    fillet = max(ball, beside_wall(facts.job, "plug").height)
    limit = least
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    reasons = [told("surface_gap.as_cut" if as_cut else "surface_gap.drawn", gap=gap)]
    if gap <= 0:
        status, remedies = "fail", (told("surface_gap.above_0"),)
    elif gap < max(least, fillet):
        limit, status = max(least, fillet), "doubtful"
        remedies = (told("surface_gap.larger"),)
    if 0 < gap < fillet:
        reasons.append(told("surface_gap.fillet" if fillet == ball else "surface_gap.clearing_fillet", fillet=fillet))
    return Finding(
        id="surface-gap",
        status=status,
        value=gap,
        limit=limit,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=facts.assumed("joint.surface_gap"),
    )


def base_floor(facts: Facts, depths: Depths) -> Finding:
    """Wood left under the pocket."""
    spread, base = facts.job.tolerance, facts.job.base
    touch_off = max(spread.pocket_v.furthest, spread.pocket_clear.furthest)
    return _wood_left(facts, "base_floor", depths.base_floor, base.least_floor, touch_off, "base.least_floor")


def plug_web(facts: Facts, depths: Depths) -> Finding:
    """Wood left behind the plug's own floor."""
    spread, plug = facts.job.tolerance, facts.job.plug
    touch_off = max(spread.plug_v.furthest, spread.plug_clear.furthest)
    return _wood_left(facts, "plug_web", depths.plug_web, plug.least_web, touch_off, "plug.least_web")


def _wood_left(facts: Facts, name: str, left: float, least: float, touch_off: float, key: str) -> Finding:
    # zeroed on the bed, the tip's height over the bed is what it is, whatever the board's thickness
    by_thickness = 0.0 if facts.job.touch_off == "bed" else facts.job.tolerance.thickness.furthest
    worst = left - touch_off - by_thickness
    status: Status = "pass"
    reasons = [told(f"{name}.left", left=left) if left > 0 else told(f"{name}.none", past=-left)]
    if left < least - 1e-9 or left <= 0:
        status = "fail"
        reasons.append(told("wood_left.wanted", least=least))
    elif worst < least - 1e-9:
        status = "doubtful"
        reasons.append(told("wood_left.worst", worst=worst))
    return Finding(
        id=name.replace("_", "-"),
        status=status,
        value=left,
        limit=least,
        reasons=tuple(reasons),
        remedies=() if status == "pass" else (told(f"{name}.remedy"),),
        rests_on=facts.assumed(key, *(TOLERANCES if status == "doubtful" else ())),
    )


def cone_reach(facts: Facts, depths: Depths) -> Finding | Statement:
    """Whether the V-bit's cone is as long as the deepest wall it cuts; of a diameter that is assumed nobody knows."""
    bits = facts.job.bits
    cuts = ((bits.plug_v, depths.plug_total_depth, "plug"), (bits.pocket_v, depths.pocket_depth, "pocket"))
    bit, deepest, part = min(cuts, key=lambda cut: cut[0].cone_height - cut[1])
    rests_on = facts.assumed("bits.v.diameter", "bits.pocket_v.diameter", "bits.plug_v.diameter")
    reasons = [told("cone_reach.cone", bit=bit.name, cone=bit.cone_height, part=part, deep=deepest)]
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    if cone_spare(facts.job, depths) < 0:
        status = "fail"
        reasons.append(told("cone_reach.short", short=deepest - bit.cone_height))
        remedies = (told("cone_reach.remedy"),)
    elif rests_on:
        return told("needs.keys", keys=rests_on)
    return Finding(
        id="cone-reach",
        status=status,
        value=bit.cone_height,
        limit=deepest,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=rests_on,
    )


def bit_reach(facts: Facts, passes: tuple[Pass, ...]) -> Finding | Statement:
    """Whether every bit goes as deep as its deepest pass before holder or shank touches."""
    deepest_of: dict[Cutter, float] = {}
    cutting_out: dict[Cutter, bool] = {}
    for entry in passes:
        # levelling works from the top of the stack, nothing stands above it
        if entry.step != "level" and entry.total_depth > deepest_of.get(entry.cutter, 0.0):
            deepest_of[entry.cutter], cutting_out[entry.cutter] = entry.total_depth, entry.step == "cut out"
    named = list(deepest_of.items())
    known = [(bit.reach - deepest, bit, deepest) for bit, deepest in named if bit.reach is not None]
    unknown = tuple(_reach_of(facts, bit) for bit, _ in named if bit.reach is None)
    least = facts.job.limits[BIT_REACH]
    if known:
        spare, bit, deepest = min(known, key=lambda entry: entry[0])
        if spare < least - 1e-9:
            to_cut_out = cutting_out[bit]
            code = "bit_reach.short_cutting_out" if to_cut_out else "bit_reach.short"
            return Finding(
                id="bit-reach",
                status="fail" if spare < -1e-9 else "doubtful",
                value=bit.reach,
                limit=deepest,
                reasons=(told(code, bit=bit.name, reach=bit.reach or 0.0, deep=deepest),),
                remedies=(told("bit_reach.saw_out" if to_cut_out else "bit_reach.longer"),),
            )
    if unknown:
        return told("needs.keys", keys=unknown)
    spare, bit, deepest = min(known, key=lambda entry: entry[0])
    return Finding(
        id="bit-reach",
        status="pass",
        value=bit.reach,
        limit=deepest,
        reasons=(told("bit_reach.spare", spare=spare, bit=bit.name),),
    )


def _reach_of(facts: Facts, bit: Cutter) -> str | Statement:
    """The key of a bit's reach; of several clearing bits, which of them."""
    bits = facts.job.bits
    if bit in bits.clearing:
        return "bits.clearing.reach" if len(bits.clearing) == 1 else told("hold_downs.reach_of", bit=bit.name)
    if bit == bits.cut_out:
        return "bits.cut_out.reach"
    return f"bits.{'v' if bits.one_v else 'pocket_v' if bit == bits.pocket_v else 'plug_v'}.reach"


def pass_load(facts: Facts, passes: tuple[Pass, ...]) -> Finding | Statement:
    """No pass over its bit's depth of cut; what is assumed of that no pass can be held against."""
    heaviest = max(passes, key=lambda entry: entry.load / entry.cutter.depth_of_cut)
    over = heaviest.load > heaviest.cutter.depth_of_cut + 1e-9
    rests_on = tuple(entry.key for entry in facts.job.assumed if entry.key.endswith(".depth_of_cut"))
    if rests_on and not over:
        return told("needs.keys", keys=rests_on)
    return Finding(
        id="pass-load",
        status="fail" if over else "pass",
        value=heaviest.load,
        limit=heaviest.cutter.depth_of_cut,
        reasons=(told("pass_load.load", load=heaviest.load, most=heaviest.cutter.depth_of_cut, bit=heaviest.bit),),
        remedies=(told("pass_load.remedy"),) if over else (),
        rests_on=rests_on,
    )


def floor_ridges(facts: Facts, depths: Depths) -> Finding:
    """Ridges on the pocket's floor against the glue gap, the V-bit's on the plug's own against the surface gap."""
    bits = facts.job.bits
    floors = (
        *(((bits.pocket_v, depths.glue_gap, "glue gap", "pocket_v"),) if _v_floor_bears(facts) else ()),
        *(((bits.plug_v, depths.surface_gap, "surface gap", "plug_v"),) if _plug_floor_by_v(facts) else ()),
        *((bit, depths.glue_gap, "glue gap", "clearing") for bit in bits.clearing if bit.ridge > 0),
    )
    if not floors:
        return Finding(id="floor-ridges", status="pass", reasons=(told("floor_ridges.none"),))
    # the floor that comes nearest to its gap; of two without any gap the pocket's
    bit, gap, name, role = max(floors, key=lambda floor: floor[0].ridge / floor[1] if floor[1] > 0 else math.inf)
    reasons = [told("floor_ridges.high", bit=bit.name, stepover=bit.stepover, ridge=bit.ridge)]
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    if bit.ridge >= gap:
        status, remedies = "fail", (told(f"floor_ridges.sits_on_{'them' if bit.tapers else 'clearing'}"),)
        reasons.append(told("floor_ridges.over", name=name, gap=gap))
    elif bit.ridge > facts.job.limits[FLOOR_RIDGES] * gap:
        status, remedies = "doubtful", (told("floor_ridges.finer", name=name),)
        reasons.append(told("floor_ridges.share", name=name, share=bit.ridge / gap))
    return Finding(
        id="floor-ridges",
        status=status,
        value=bit.ridge,
        limit=gap,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=facts.assumed("bits.v.stepover" if bits.one_v and bit.tapers else f"bits.{role}.stepover"),
    )


def _v_floor_bears(facts: Facts) -> bool:
    """Whether the V-bit cleans so much of the pocket's floor that its ridges would hold the plug up under a hand."""
    outline = facts.outline
    if outline is None:
        return True
    floor = outline.floor.pocket
    if outline.fit is None:
        return floor.area > 0 and floor.left_to_v > SPECKS
    # in wood as hard as small contacts make it
    strength = SPREAD * outline.fit.strength.across
    return (floor.area - floor.reached) * strength > facts.job.joint.hand_force


def _plug_floor_by_v(facts: Facts) -> bool:
    """Whether the V-bit cleans more of the plug's own floor than specks."""
    return facts.outline is None or facts.outline.floor.plug.left_to_v > SPECKS


def levelling(facts: Facts, levelled: Levelling) -> Finding:
    """Inlay left under the whole face once the plug's back is off and the face is sanded, and nothing left standing."""
    joint = facts.job.joint
    left, least = levelled.inlay_sanded, facts.job.limits[LEVELLING]
    rim = 0.0 if facts.outline is None else facts.outline.shop.rim_left
    reason = told("levelling.left", left=left)
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    if levelled.inlay <= 0:
        status, reason = "fail", told("levelling.inlay_gone", below=joint.level_below)
        remedies = (told("levelling.level_less"),)
    elif left <= 0:
        status, reason = "fail", told("levelling.sanded_away", sanding=joint.sanding)
        remedies = (told("levelling.take_less"),)
    elif rim > 1e-9:
        status, reason = "fail", told("levelling.rim", rim=rim)
        remedies = (told("levelling.cover_the_rim"),)
    elif left < least:
        status, remedies = "doubtful", (told("levelling.deeper"),)
    reasons, bit = [reason], facts.job.bits.levelling
    if status == "pass" and bit is not None and bit.ridge > joint.sanding:
        status, remedies = "doubtful", (told("levelling.finer"),)
        reasons.append(told("levelling.ridges", bit=bit.name, stepover=bit.stepover, ridge=bit.ridge))
    return Finding(
        id="levelling",
        status=status,
        value=left,
        limit=least,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=facts.assumed("joint.level_below", "joint.sanding"),
    )
