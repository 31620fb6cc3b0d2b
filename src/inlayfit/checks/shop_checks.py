"""Checks of the shop round the joint: blanks, hold-downs and the woods' movement. docs/checks.md has a page on each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import Finding, Status
from inlayfit.joint.job import SetUp
from inlayfit.joint.limits import JOINT_LINE, Limit
from inlayfit.statement import Statement, told

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.shop.hold_downs import Clearance
    from inlayfit.shop.wood_movement import WoodMovement

BLANK_MARGIN: Final = Limit("blank_margin", "length", 2.0, "Least room inside the blank.")
HOLD_DOWNS: Final = Limit("hold_downs", "length", 2.0, "Least room to a hold-down.")
WOOD_MOVEMENT: Final = Limit(
    "wood_movement", "length", JOINT_LINE.default, "Most movement of plug against base.", like=JOINT_LINE
)


def blank_margin(facts: Facts, outline: OutlineFacts) -> Finding | Statement:
    """Whether outline, border and every cut lie inside the blanks."""
    margins, limit = outline.shop.margins, facts.job.limits[BLANK_MARGIN]
    if not margins:
        return told("needs.a_blank")
    worst = min(margins, key=lambda entry: entry.margin.least)
    least, edge, part = worst.margin.least, worst.margin.tightest, worst.part
    cut = told("blank_margin.outline") if part == "base" else told(f"step.{worst.step}_with", bit=worst.bit)
    reasons = [told(f"blank_margin.{part}_left", cut=cut, left=least, edge=edge)]
    status: Status = "pass"
    if least < -1e-9:
        status = "fail"
        reasons = [told(f"blank_margin.off_{part}", cut=cut, off=-least, edge=edge)]
    elif least < limit - 1e-9:
        status = "doubtful"
    given = {entry.part for entry in margins}
    reasons += [told(f"blank_margin.{part}_not_given") for part in ("base", "plug") if part not in given]
    return Finding(
        id="blank-margin",
        status=status,
        value=least,
        limit=limit,
        reasons=tuple(reasons),
        remedies=() if status == "pass" else (told(f"blank_margin.{part}_remedy"),),
        rests_on=_assumed_of_the_plug(facts) if part == "plug" else (),
    )


def hold_downs(facts: Facts, outline: OutlineFacts) -> Finding | Statement:
    """Hold-downs against the sweep of every step: clear by how much, or struck where and by what."""
    clearances, limit = outline.shop.hold_downs, facts.job.limits[HOLD_DOWNS]
    if not clearances:
        return told("needs.keys", keys=("hold_downs",))
    needs = {entry.set_up: _needs(facts, outline, entry.set_up) for entry in clearances}
    checked = [entry for entry in clearances if not needs[entry.set_up]]
    left_open = tuple(key for key in dict.fromkeys(needs.values()) if key)
    if not checked:
        return told("needs.keys", keys=left_open)
    struck = [entry for entry in checked if entry.strikes]
    near = [entry for entry in checked if entry.clear_by is not None]
    nearest = min(near, key=lambda entry: entry.clear_by or 0.0, default=None)
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    if struck:
        status, remedies = "fail", (told("hold_downs.move"),)
        reasons = [_struck(entry) for entry in struck]
    elif nearest is None:
        reasons = [told("hold_downs.under_the_cut")]
    else:
        reasons = [_clear(nearest)]
        if (nearest.clear_by or 0.0) < limit - 1e-9:
            status, remedies = "doubtful", (told("hold_downs.more_room"),)
    unknown: tuple[str | Statement, ...] = (*left_open, *_holders_unknown(facts))
    if unknown:
        if status == "pass":
            return told("needs.keys", keys=unknown)
        reasons.append(told("hold_downs.not_all", keys=unknown))
    elif facts.job.bits.collet is None:
        reasons.append(told("hold_downs.no_collet"))
    return Finding(
        id="hold-downs",
        status=status,
        value=None if nearest is None else nearest.clear_by,
        limit=limit,
        reasons=tuple(reasons),
        remedies=remedies,
        rests_on=_assumed_of_the_plug(facts) if any(entry.set_up == "plug" for entry in checked) else (),
    )


def wood_movement(facts: Facts, outline: OutlineFacts) -> Finding | Statement:
    """How far plug and base want to move against each other in the climate given."""
    job, moved = facts.job, outline.shop.movement
    if moved is None:
        # imported late: it brings the table of woods, which a sheet without an outline does without
        from inlayfit.shop.timber import without_movement

        places = ("climate.cutting", job.climate.cutting), ("climate.use", job.climate.use)
        parts = {"base": job.base.wood, "plug": job.plug.wood}
        needs: list[str | Statement] = [key for key, place in places if place is None]
        needs += [without_movement(part, parts[part]) for part in outline.shop.unknown_woods]
        return told("needs.keys", keys=tuple(needs))
    limit = job.limits[WOOD_MOVEMENT]
    by = abs(moved.movement)
    before, after = outline.shop.moisture or (0.0, 0.0)
    over = by > limit + 1e-9
    reason = told(
        "wood_movement.moves",
        before=before,
        after=after,
        plug=against_pocket(moved, drying=after < before),
        width=moved.width,
        region=moved.region,
        sawn=by_sawing(moved, drying=after < before),
    )
    return Finding(
        id="wood-movement",
        status="doubtful" if over else "pass",
        value=by,
        limit=limit,
        reasons=(reason,),
        remedies=(told("wood_movement.remedy"),) if over else (),
    )


def against_pocket(moved: WoodMovement, *, drying: bool) -> Statement:
    """What the plug does against its pocket: both swell, or both shrink, one more than the other."""
    return told("movement.shrinks" if drying else "movement.swells", by=_by(moved.movement, drying=drying))


def by_sawing(moved: WoodMovement, *, drying: bool) -> tuple[Statement, Statement]:
    """Both ends over how the boards may be sawn, from the one that is told in the same words as the usual case."""
    low, high = (_by(end, drying=drying) for end in (moved.lowest, moved.highest))
    return (low, high) if moved.movement < 0 else (high, low)


def _by(movement: float, *, drying: bool) -> Statement:
    # below 0 the plug gets smaller against its pocket: it shrinks more, or swells less
    return told("movement.more" if (movement < 0) == drying else "movement.less", by=abs(movement))


def _needs(facts: Facts, outline: OutlineFacts, set_up: SetUp) -> str:
    """The key that a set-up's sweeps still need; empty where they are known."""
    shop = outline.shop
    if set_up == "level":
        if facts.job.bits.levelling is None:
            return "bits.levelling"
        return "" if shop.field is not None else "base.blank"
    placement = shop.base if set_up == "base" else shop.plug
    return "" if placement is not None else f"{set_up}.blank"


def _holders_unknown(facts: Facts) -> tuple[Statement, ...]:
    """What is not known of a shank or collet that the sheet gives: from where upwards it counts."""
    bits = dict.fromkeys(entry.cutter for entry in facts.passes)
    shanks = [told("hold_downs.reach_of", bit=bit.name) for bit in bits if bit.shank is not None and bit.reach is None]
    collet = facts.job.bits.collet
    collets = [
        told("hold_downs.stick_out_of", bit=bit.name) for bit in bits if collet is not None and bit.stick_out is None
    ]
    return (*shanks, *collets)


def _assumed_of_the_plug(facts: Facts) -> tuple[str, ...]:
    return facts.assumed("plug.border", *(("bits.cut_out",) if facts.job.plug.cut_out else ()))


def _named(entry: Clearance) -> Statement:
    return told(f"hold_downs.{entry.set_up}", number=entry.number)


def _clear(entry: Clearance) -> Statement:
    assert entry.step is not None, "what is clear of a sweep is clear of a step's"
    return told(
        "hold_downs.clear",
        hold_down=_named(entry),
        step=told(f"step.{entry.step}"),
        by=entry.clear_by or 0.0,
        bit=told(f"hold_downs.clear_of_{entry.by}", bit=entry.bit or ""),
    )


def _struck(entry: Clearance) -> Statement:
    first = entry.strikes[0]
    others = tuple(
        told(f"step.{step}") for step in dict.fromkeys(strike.step for strike in entry.strikes) if step != first.step
    )
    return told(
        "hold_downs.struck_in_more" if others else "hold_downs.struck",
        hold_down=_named(entry),
        step=told(f"step.{first.step}"),
        bit=told(f"hold_downs.struck_by_{first.by}", bit=first.bit),
        x=first.at[0],
        y=first.at[1],
        others=others,
    )
