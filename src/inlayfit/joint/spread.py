"""How well a shop holds its settings, bits and boards: each a limit, a standard deviation or a known error."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Final, Literal

SpreadKind = Literal["limit", "sd", "known"]

USUAL_TOUCH_OFF: Final = 0.05
"""How well a bit is touched off, plus or minus mm (common practice, no source)."""
SD_IN_WORST_CASE: Final = 3.0
"""The worst case of a standard deviation is this many times it (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How far something may be off; ``value`` in mm, degrees or a ratio as what it belongs to.

    ``limit``: anything within plus or minus it, all alike likely; ``sd``: a normal spread of this standard
    deviation; ``known``: a fixed error with its sign.
    """

    kind: SpreadKind = "limit"
    value: float

    @property
    def known(self) -> float:
        """The fixed error about which nothing spreads, or 0."""
        return self.value if self.kind == "known" else 0.0

    @property
    def worst(self) -> float:
        """How far it strays from :attr:`known` at the worst."""
        return {"limit": self.value, "sd": SD_IN_WORST_CASE * self.value, "known": 0.0}[self.kind]

    @property
    def furthest(self) -> float:
        """How far off it can be at the worst, either way."""
        return abs(self.known) + self.worst

    @property
    def standard(self) -> float:
        """Standard deviation; of an even spread of plus or minus a, a / sqrt(3) (JCGM 100:2008, 4.3.7)."""
        return {"limit": self.value / math.sqrt(3), "sd": self.value, "known": 0.0}[self.kind]


EXACT: Final = Spread(value=0.0)
"""Nothing off."""


@dataclass(frozen=True, kw_only=True)
class Tolerance:
    """The spreads of a shop. Lengths in mm, angles in degrees, ``square`` a ratio; touch-off too deep is positive."""

    pocket_v: Spread
    pocket_clear: Spread
    plug_v: Spread
    plug_clear: Spread
    angle: Spread
    """Of the included angle about what was measured, or declared."""
    tip: Spread
    """Of the tip's full width, likewise."""
    runout: Spread
    """Total indicator reading; a cutter runs wider by half of it, never narrower."""
    warp: Spread
    """How high a board's face stands when it is cut and comes to lie flat later, each board by itself."""
    thickness: Spread
    """How much thicker a board is than the sheet says, each by itself."""
    square: Spread
    """Shear of the machine's axes, length in length."""

    @property
    def has_known(self) -> bool:
        """Whether something is off by an amount that is known."""
        return any(getattr(self, entry.name).known != 0 for entry in fields(self))

    @property
    def without_known(self) -> Tolerance:
        """The same shop with nothing off for certain."""
        known = {entry.name: EXACT for entry in fields(self) if getattr(self, entry.name).known != 0}
        return replace(self, **known)
