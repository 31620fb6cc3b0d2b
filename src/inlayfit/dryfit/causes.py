"""Why a plug sits where it does: everything that can be off, weighed by the sheet's own tolerances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inlayfit.tolerance.stack import Contribution

HIGH: Final = {
    "pocket_v": "the V-bit ran too shallow in the pocket",
    "plug_v": "the V-bit ran too shallow on the plug",
    "angle": "the V-bit is sharper than declared: wide walls bind first",
    "pocket_angle": "the pocket's V-bit is sharper than declared",
    "plug_angle": "the plug's V-bit is sharper than declared",
    "tip": "the V-bit's tip is narrower than declared",
    "pocket_tip": "the tip of the pocket's V-bit is narrower than declared",
    "plug_tip": "the tip of the plug's V-bit is narrower than declared",
    "base_warp": "the base's face lay lower when it was cut than it does now",
    "plug_warp": "the plug's face lay lower when it was cut than it does now",
    "base_thickness": "the base is thinner than the sheet says, and zero was taken on the bed",
    "plug_thickness": "the plug's blank is thinner than the sheet says, and zero was taken on the bed",
    "square": "the machine is out of square, and the mirrored plug doubles it",
    "hand": "your hand pressed less than said, or the wood bears more: corners are not crushed yet",
    "reading": "the reading, or what it is taken from: the plug's own floor, the boards",
}
LOW: Final = {
    "pocket_v": "the V-bit ran too deep in the pocket",
    "plug_v": "the V-bit ran too deep on the plug",
    "angle": "the V-bit is blunter than declared: it cut wide walls further apart",
    "pocket_angle": "the pocket's V-bit is blunter than declared",
    "plug_angle": "the plug's V-bit is blunter than declared",
    "tip": "the V-bit's tip is wider than declared, or worn",
    "pocket_tip": "the tip of the pocket's V-bit is wider than declared, or worn",
    "plug_tip": "the tip of the plug's V-bit is wider than declared, or worn",
    "runout": "the spindle runs out, so that the bit cuts wider",
    "base_warp": "the base's face stood higher when it was cut than it does now",
    "plug_warp": "the plug's face stood higher when it was cut than it does now",
    "base_thickness": "the base is thicker than the sheet says, and zero was taken on the bed",
    "plug_thickness": "the plug's blank is thicker than the sheet says, and zero was taken on the bed",
    "hand": "your hand pressed more than said, or the wood bears less",
    "reading": "the reading, or what it is taken from: the plug's own floor, the boards",
}
LIKELY: Final = 0.2
POSSIBLE: Final = 0.07
"""From these weights on a cause is called likely, or possible."""


@dataclass(frozen=True, kw_only=True)
class Cause:
    """One thing that can be off. ``weight`` is the share of what was read that it explains, by the tolerances."""

    cause: str
    weight: float
    why: str

    @property
    def rank(self) -> str:
        """The weight in a word."""
        return "likely" if self.weight >= LIKELY else "possible" if self.weight >= POSSIBLE else "unlikely"


def causes(
    contributions: Sequence[Contribution], *, excess: float, hand_u: float, reading_u: float
) -> tuple[Cause, ...]:
    """Causes of an excess in mm, the likeliest first.

    Of errors that add up, each takes the share of the excess that it has of the variance: what the law of conditional
    expectation gives for normal ones. Runout and out of square act one way, and count only in it. ``hand_u`` is the
    standard deviation of the lift that hand force and wood strength give, ``reading_u`` that of the reading.
    """
    words = HIGH if excess >= 0 else LOW
    spreads = {"hand": hand_u, "reading": reading_u}
    for entry in contributions:
        acts = entry.lift_up > 1e-9 if excess >= 0 else entry.lift_down < -1e-9
        if acts and entry.source.name in words:
            spreads[entry.source.name] = entry.lift_u
    total = sum(spread**2 for spread in spreads.values())
    if total <= 0:
        return ()
    found = [
        Cause(cause=name, weight=spread**2 / total, why=words[name]) for name, spread in spreads.items() if spread > 0
    ]
    return tuple(sorted(found, key=lambda entry: (-entry.weight, entry.cause)))


def explained(contributions: Sequence[Contribution], *, excess: float, hand_u: float, reading_u: float) -> float:
    """How many standard deviations of everything together the excess is."""
    total = math.sqrt(sum(entry.lift_u**2 for entry in contributions) + hand_u**2 + reading_u**2)
    return abs(excess) / total if total else math.inf
