"""Checks on what the shop's tolerances do to the joint. docs/checks.md has a page on each."""

from __future__ import annotations

import math
from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Status
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text
from inlayfit.tolerance.budget import Range
from inlayfit.tolerance.confidence import shows_at_least, shows_under
from inlayfit.tolerance.stack import Stack

FEW: Final = 0.5
"""Under this share of pairs that seat on their walls a check fails."""
ALL_BUT: Final = 0.0005
KEYS: Final = {
    "stack": ("angle", "tip", "runout", "warp", "square"),
    "touch-off": (),
    "warp": ("warp",),
}


def stack(facts: Facts, found: Stack) -> Finding:
    """Whether pairs seat on their walls with everything off that can be."""
    gap = found.quantities["glue_gap"]
    remedies = []
    if found.drawn is None:
        return _by_range(facts, "stack", gap, "everything off that can be", "a larger glue gap, or smaller tolerances")
    drawn = found.drawn
    message = f"{per_cent(drawn.seats_on_walls)} of pairs seat on their walls"
    for share, words in (
        (drawn.bottoms_out, "on the floor"),
        (drawn.held_up, "held up off their walls by corners and strokes"),
        (drawn.on_own_floor, "with the plug's own floor on the base"),
    ):
        if share > ALL_BUT:
            message += f", {per_cent(share)} end {words}"
    if drawn.bottoms_out > 1 - drawn.seats_on_walls - ALL_BUT and drawn.glue_gap_needed is not None:
        remedies.append(f"a glue gap of {rounded_up(drawn.glue_gap_needed, facts.job.unit)} lets 19 of 20 seat")
    if drawn.touch_off_all is not None:
        remedies.append(f"touch off all to plus or minus {facts.text(drawn.touch_off_all)}")
    if drawn.wider is not None and drawn.wider.seats_on_walls > drawn.seats_on_walls + 0.01:
        remedies.append(
            f"a {drawn.wider.angle:g} deg bit ({per_cent(drawn.wider.seats_on_walls)}, strokes then get the full depth "
            f"from {facts.text(drawn.wider.full_depth_width[1])})"
        )
    if not remedies:
        remedies.append("smaller tolerances, the largest contribution first")
    return _by_share(facts, "stack", drawn.seats_on_walls, drawn.count, message, "; or ".join(remedies))


def touch_off(facts: Facts, found: Stack) -> Finding:
    """How well the bits must be touched off, and whether they are."""
    needed = touch_off_words(facts, found)
    if found.drawn is None:
        return _by_range(facts, "touch-off", found.touch_off, "only touch-off off", needed, extra=needed)
    message = f"{per_cent(found.drawn.touch_off)} of pairs seat on their walls where only touch-off is off; {needed}"
    remedy = "touch off better, or a larger glue gap"
    return _by_share(facts, "touch-off", found.drawn.touch_off, found.drawn.count, message, remedy)


def warp(facts: Facts, found: Stack) -> Finding:
    """Whether boards that are off flat still seat."""
    remedy = "flatten the boards, hold them flat while they are cut, or a larger glue gap"
    if found.drawn is None:
        return _by_range(facts, "warp", found.warp, "only the boards off flat", remedy)
    message = f"{per_cent(found.drawn.warp)} of pairs seat on their walls where only the boards are off flat"
    return _by_share(facts, "warp", found.drawn.warp, found.drawn.count, message, remedy)


def touch_off_words(facts: Facts, found: Stack) -> str:
    """How good every touch-off must be."""
    limit = found.touch_off_all
    if limit is None:
        return "with all else as it is, no touch-off is good enough"
    return f"with all else as it is, every touch-off within {facts.text(limit)} would do for 19 of 20"


def per_cent(share: float) -> str:
    """A share for people; all is said only of all."""
    if ALL_BUT < 1 - share < 0.005:
        return f"{share:.1%}".replace("%", " %")
    return f"{share:.0%}".replace("%", " %")


def rounded_up(mm: float, unit: LengthUnit) -> str:
    """A length for people that is needed at least: never shown as less."""
    step = 0.001 * MM_PER_UNIT["in"] if unit == "in" else 0.01
    return length_text(math.ceil(mm / step - 1e-6) * step, unit)


def _by_share(facts: Facts, id: str, share: float, count: int, message: str, remedy: str) -> Finding:
    limit, hits = float(getattr(facts.job.limits, id.replace("-", "_"))), round(share * count)
    status: Status = "doubtful"
    if shows_under(FEW, hits, count):
        status = "fail"
    elif shows_at_least(limit, hits, count):
        status = "pass"
    elif share >= limit:
        # more of them may settle it
        message += f"; {count:,} drawn pairs are too few to show {per_cent(limit)}"
        remedy = f"draw more pairs: --draws {max(20_000, 4 * count)}"
    return Finding(
        id=id, status=status, value=share, limit=limit, kind="share", message=message,
        remedy="" if status == "pass" else remedy, rests_on=_rests_on(facts, id),
    )  # fmt: skip


def _by_range(facts: Facts, id: str, gap: Range, when: str, remedy: str, *, extra: str = "") -> Finding:
    """Judged by what can be, where no pairs were drawn: the glue gap that is left."""
    status: Status = "pass"
    if gap.nominal <= 0:
        status = "fail"
        message = "the plug is on the floor before its walls hold it"
    elif gap.rss[0] <= 0:
        status = "doubtful"
        message = f"with {when} the glue gap may be used up, and the plug on the floor"
    else:
        message = f"{facts.text(gap.rss[0])} of glue gap is left with {when}, taken together by root-sum-square"
        if gap.worst[0] <= 0:
            message += "; in the worst case of all at once the plug is on the floor"
        else:
            message += f", {facts.text(gap.worst[0])} in the worst case"
    return Finding(
        id=id, status=status, value=gap.rss[0], limit=0.0, message=f"{message}{extra and f'; {extra}'}",
        remedy="" if status == "pass" else remedy, rests_on=_rests_on(facts, id),
    )  # fmt: skip


def _rests_on(facts: Facts, id: str) -> tuple[str, ...]:
    keys = [f"tolerance.{name}" for name in KEYS[id]]
    if id != "warp":
        keys = ["tolerance.touch_off", "tolerance.touch_off.limit", *keys]
    if id == "stack" and facts.job.touch_off == "bed":
        keys.append("tolerance.thickness")
    return facts.assumed(*keys)
