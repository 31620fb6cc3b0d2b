"""What is read at a dry fit. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["gap", "above", "over"]
"""The surface gap; the plug's back over the base's face; over both boards."""
Measured = Literal["gap", "above", "over", "pocket", "plug"]
"""All that can be measured: the readings of the seat, and the depths of the pocket's floor and of the plug's own."""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading; ``at`` is its place from the lower left of the outline's bounds, where one was given."""

    kind: Kind
    value: float
    at: tuple[float, float] | None = None


@dataclass(frozen=True, kw_only=True)
class MeasuredDepths:
    """Depths as measured on the parts: the pocket's floor, the plug's own floor; None where they were not."""

    pocket: float | None = None
    plug: float | None = None
