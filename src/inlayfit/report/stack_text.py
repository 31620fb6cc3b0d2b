"""What the tolerances do to the joint, as text."""

from __future__ import annotations

from typing import Final

from inlayfit.checks.tolerance_checks import ALL_BUT
from inlayfit.joint.error_sources import TOUCH_OFFS
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, length_text
from inlayfit.report.layout import WIDTH, heights_text, table, wrapped
from inlayfit.report.wording import per_cent, rounded_up, say
from inlayfit.tolerance.stack import Contribution, Name, Stack

NAMES: Final[dict[Name, str]] = {
    "lift": "height of the plug",
    "glue_gap": "glue gap",
    "joint_line": "widest joint line",
}
SMALL: Final = 0.05
"""Contributions under this share of the variance are left to the JSON."""
MOST_TOLD: Final = 3
WORTH_TELLING: Final = 1.0
"""A touch-off that may be off by more than this many mm needs no word."""


def stack_part(plan: Plan, width: int = WIDTH) -> list[str]:
    """The table of ends, what pairs do, what contributes most, and how well each setting must be touched off."""
    stack, unit = plan.facts.stack, plan.job.unit
    if stack is None:
        return []

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False)

    def ends(pair: tuple[float, float]) -> str:
        return " to ".join(dict.fromkeys(number(end) for end in pair))

    def heights(pair: tuple[float, float]) -> str:
        return heights_text(pair, unit)

    # what pairs do says more than root-sum-square, which stands in where none were drawn
    last = "19 of 20 pairs" if stack.drawn else "likely"
    rows = [["", "nominal", last, "worst case"]]
    for name in NAMES:
        entry = stack.quantities[name]
        likely = stack.drawn.p95[name] if stack.drawn else entry.rss
        told = ends if name != "lift" else heights
        rows.append([NAMES[name], told((entry.nominal, entry.nominal)), told(likely), told(entry.worst)])
    lines = [f"In a real shop ({unit})", *(f"  {line}" for line in table(rows, [""] * len(rows), left=1))]
    sentences = [_pairs(stack), _most(stack.contributions, unit), _needed(plan, stack)]
    return [*lines, *wrapped("  ", " ".join(sentence for sentence in sentences if sentence))]


def _pairs(stack: Stack) -> str:
    drawn = stack.drawn
    if drawn is None:
        return "Walls cut to the full depth only; no trial pairs were made."
    parts = [f"Of {drawn.count:,} trial pairs {per_cent(drawn.seats_on_walls)} sit tight on their sides"]
    for share, words in (
        (drawn.bottoms_out, "end on the floor"),
        (drawn.held_up, "are held up by corners and strokes"),
        (drawn.on_own_floor, "end with the plug's own floor on the base"),
        (drawn.over_joint_line, "have a joint line over its limit"),
    ):
        if share > ALL_BUT:
            parts.append(f"{per_cent(share)} {words}")
    return ", ".join(parts) + "."


def _most(contributions: tuple[Contribution, ...], unit: LengthUnit) -> str:
    """What the lift's spread comes from, in plain words."""
    groups: dict[str, float] = {}
    for entry in contributions:
        share = entry.shares["lift"]
        words = say(entry.source.what, unit)
        # both parts' V-bits are touched off alike, and both boards warp alike
        if entry.source.name in ("pocket_v", "plug_v"):
            words = "touching off the V-bit twice"
        elif entry.source.name in ("base_warp", "plug_warp"):
            words = "warp of the two boards"
        elif entry.source.name in ("base_thickness", "plug_thickness"):
            words = "the thickness of the two boards"
        elif entry.source.name.endswith(("_angle", "_tip")):
            words = f"the {entry.source.name.rpartition('_')[2]}s of the two V-bits"
        groups[words] = groups.get(words, 0.0) + share
    told = sorted(((share, words) for words, share in groups.items() if share >= SMALL), reverse=True)[:MOST_TOLD]
    if not told:
        return ""
    (share, words), *rest = told
    whole = fraction(share)
    more = "".join(f", {fraction(share)} from {words}" for share, words in rest)
    return f"{whole[0].upper()}{whole[1:]} of the scatter in height comes from {words}{more}."


def fraction(share: float) -> str:
    """A share of a whole in words."""
    for least, words in (
        (0.95, "nearly all"), (0.85, "nine tenths"), (0.775, "four fifths"), (0.71, "three quarters"),
        (0.63, "two thirds"), (0.55, "three fifths"), (0.45, "half"), (0.365, "two fifths"), (0.29, "a third"),
        (0.225, "a quarter"), (0.15, "a fifth"), (0.075, "a tenth"),
    ):  # fmt: skip
        if share >= least:
            return words
    return "a twentieth"


def _needed(plan: Plan, stack: Stack) -> str:
    """How well each setting must be touched off, where it matters, and the least glue gap."""
    drawn, unit = stack.drawn, plan.job.unit
    if drawn is None:
        return ""
    settings = {
        "pocket_v": "V-bit, base", "pocket_clear": "clearing bit, base",
        "plug_v": "V-bit, plug", "plug_clear": "clearing bit, plug",
    }  # fmt: skip
    alone = [
        f"{length_text(limit, unit)} ({settings[name]})"
        for name in TOUCH_OFFS
        if (limit := drawn.touch_off_needed.get(name)) is not None and limit < WORTH_TELLING
    ]
    parts = []
    if alone and drawn.touch_off_all is not None:
        all_of_them = length_text(drawn.touch_off_all, unit)
        parts.append(f"one touch-off alone may be off by {', '.join(alone)}, all of them by {all_of_them}")
    if drawn.glue_gap_needed:
        parts.append(f"the glue gap must be {rounded_up(drawn.glue_gap_needed, unit)}")
    return f"For 19 of 20 to sit tight, {'; '.join(parts)}." if parts else ""
