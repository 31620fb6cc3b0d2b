"""Checks on what the shop's tolerances do to the joint. docs/checks.md has a page on each."""

from __future__ import annotations

from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Status
from inlayfit.joint.limits import Limit
from inlayfit.statement import Statement, told
from inlayfit.tolerance.budget import Range
from inlayfit.tolerance.confidence import shows_at_least, shows_under
from inlayfit.tolerance.stack import Drawn, Stack

STACK: Final = Limit("stack", "share", 0.95, "Least share of trial pairs that sit tight on their sides.")
TOUCH_OFF: Final = Limit("touch_off", "share", 0.95, "Least share of pairs that seat with this touch-off.")
WARP: Final = Limit("warp", "share", 0.95, "Least share of pairs that seat with this warp.")

FEW: Final = 0.5
"""Under this share of pairs that seat on their walls a check fails."""
MORE_DRAWS: Final = 20_000
"""Where too few pairs were drawn, at least so many are asked for."""
ALL_BUT: Final = 0.0005
"""A share of pairs under this is none, and one short of all by no more is all."""
KEYS: Final = {
    "stack": ("angle", "tip", "runout", "warp", "square"),
    "touch-off": (),
    "warp": ("warp",),
}


def stack(facts: Facts, stacked: Stack) -> Finding:
    """Whether pairs seat on their walls with everything off that can be."""
    drawn = stacked.drawn
    if drawn is None:
        gap = stacked.quantities["glue_gap"]
        return _by_range(facts, "stack", gap, (told("stack.larger_gap"),))
    reasons = [told("stack.seat", share=drawn.seats_on_walls)]
    for share, code in (
        (drawn.bottoms_out, "stack.on_floor"),
        (drawn.held_up, "stack.held_up"),
        (drawn.on_own_floor, "stack.on_own_floor"),
    ):
        if share > ALL_BUT:
            reasons.append(told(code, share=share))
    return _by_share(facts, "stack", STACK, drawn.seats_on_walls, drawn.count, reasons, _remedies(drawn))


def _remedies(drawn: Drawn) -> tuple[Statement, ...]:
    """Any of which would do, by itself."""
    remedies = []
    if drawn.bottoms_out > 1 - drawn.seats_on_walls - ALL_BUT and drawn.glue_gap_needed is not None:
        remedies.append(told("stack.needed_gap", gap=drawn.glue_gap_needed))
    if drawn.touch_off_all is not None:
        remedies.append(told("stack.touch_off_all", within=drawn.touch_off_all))
    if drawn.wider is not None and drawn.wider.seats_on_walls > drawn.seats_on_walls + 0.01:
        wider = drawn.wider
        remedies.append(
            told("stack.wider", angle=wider.angle, share=wider.seats_on_walls, width=wider.full_depth_width[1])
        )
    return tuple(remedies) or (told("stack.smaller"),)


def touch_off(facts: Facts, stacked: Stack) -> Finding:
    """How well the bits must be touched off, and whether they are."""
    all_of_them = stacked.touch_off_all
    needed = told("touch_off.never") if all_of_them is None else told("touch_off.within", within=all_of_them)
    if stacked.drawn is None:
        return _by_range(facts, "touch-off", stacked.touch_off, (needed,), needed)
    share = stacked.drawn.touch_off
    reasons = [told("touch_off.seat", share=share), needed]
    return _by_share(
        facts, "touch-off", TOUCH_OFF, share, stacked.drawn.count, reasons, (told("touch_off.better"),)
    )


def warp(facts: Facts, stacked: Stack) -> Finding:
    """Whether boards that are off flat still seat."""
    remedies = (told("warp.flatten"),)
    if stacked.drawn is None:
        return _by_range(facts, "warp", stacked.warp, remedies)
    share = stacked.drawn.warp
    return _by_share(facts, "warp", WARP, share, stacked.drawn.count, [told("warp.seat", share=share)], remedies)


def _by_share(
    facts: Facts,
    id: str,
    key: Limit[float],
    share: float,
    count: int,
    reasons: list[Statement],
    remedies: tuple[Statement, ...],
) -> Finding:
    limit, hits = facts.job.limits[key], round(share * count)
    status: Status = "doubtful"
    if shows_under(FEW, hits, count):
        status = "fail"
    elif shows_at_least(limit, hits, count):
        status = "pass"
    elif share >= limit:
        # more of them may settle it
        reasons = [*reasons, told("stack.too_few", count=count, limit=limit)]
        remedies = (told("stack.draw_more", count=max(MORE_DRAWS, 4 * count)),)
    return Finding(
        id=id,
        status=status,
        value=share,
        limit=limit,
        kind="share",
        reasons=tuple(reasons),
        remedies=() if status == "pass" else remedies,
        one_will_do=True,
        rests_on=_rests_on(facts, id),
    )


def _by_range(facts: Facts, id: str, gap: Range, remedies: tuple[Statement, ...], *more: Statement) -> Finding:
    """Judged by what can be, where no pairs were drawn: the glue gap that is left."""
    status: Status = "pass"
    when = told(f"{id.replace('-', '_')}.when")
    if gap.nominal <= 0:
        status, reasons = "fail", [told("stack.floor_first")]
    elif gap.rss[0] <= 0:
        status, reasons = "doubtful", [told("stack.used_up", when=when)]
    else:
        reasons = [told("stack.gap_left", gap=gap.rss[0], when=when)]
        worst = gap.worst[0]
        reasons.append(told("stack.worst_on_floor") if worst <= 0 else told("stack.worst", gap=worst))
    return Finding(
        id=id,
        status=status,
        value=gap.rss[0],
        limit=0.0,
        reasons=(*reasons, *more),
        remedies=() if status == "pass" else remedies,
        rests_on=_rests_on(facts, id),
    )


def _rests_on(facts: Facts, id: str) -> tuple[str, ...]:
    keys = [f"tolerance.{name}" for name in KEYS[id]]
    if id != "warp":
        keys = ["tolerance.touch_off", "tolerance.touch_off.limit", *keys]
    if id == "stack" and facts.job.touch_off == "bed":
        keys.append("tolerance.thickness")
    return facts.assumed(*keys)
