"""A plan and its sheet, for writing settings as they are typed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from inlayfit.advice.change import Change, Changes, Replanner
from inlayfit.quantity import MM_PER_INCH, typed_length

if TYPE_CHECKING:
    from inlayfit.plan import Plan

Ways = Iterator[tuple[str, list[Changes]]]
"""What tells a knob from others of its kind, and its settings from a little to a lot."""


class Bench:
    """A plan with its sheet's unit, for writing settings as they are typed."""

    def __init__(self, plan: Plan, sheet: Replanner) -> None:
        self.plan, self.job, self.depths = plan, plan.job, plan.facts.depths
        self.sheet = sheet
        self.inch = self.job.sheet_unit == "in"
        self.one_v = sheet.holds("bits", "v")

    def typed(self, mm: float) -> str:
        return typed_length(mm, self.job.sheet_unit)

    def steps(self, start: float, end: float, mm: float, inch: float) -> list[float]:
        """Whole steps from ``start``, which is left out, to ``end``, all in mm; the step is of the sheet's unit."""
        step = inch * MM_PER_INCH if self.inch else mm
        down = end < start
        if down:
            first, last = math.ceil(start / step - 1e-6) - 1, math.ceil(end / step - 1e-6)
            return [number * step for number in range(first, last - 1, -1)]
        first, last = math.floor(start / step + 1e-6) + 1, math.floor(end / step + 1e-6)
        return [number * step for number in range(first, last + 1)]

    def lengths(self, key: str, start: float, end: float, mm: float, inch: float) -> list[Changes]:
        return [(Change(key, self.typed(value)),) for value in self.steps(start, end, mm, inch)]

    @property
    def v_keys(self) -> tuple[str, ...]:
        return ("bits.v",) if self.one_v else ("bits.pocket_v", "bits.plug_v")

    def unmeasured(self, key: str) -> Changes:
        """Another bit is not what this one measures."""
        return (Change(f"{key}.measured", ""),) if self.sheet.holds(*key.split("."), "measured") else ()

    def pair(self, first: float, second: float) -> str:
        """Two lengths in mm as a pair is typed."""
        return f"[{self.typed(first)}, {self.typed(second)}]"

    def up(self, mm: float) -> float:
        """The next size in whole tenths of a mm or 64ths of an inch."""
        step = MM_PER_INCH / 64 if self.inch else 0.1
        return math.ceil(mm / step - 1e-6) * step
