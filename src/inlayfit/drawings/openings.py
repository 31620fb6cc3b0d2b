"""Openings between the ends of lines: how wide they are, what joins them, and how they are told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import JOIN, MOST_JOIN, Choice
from inlayfit.drawings.positions import point_text
from inlayfit.errors import InputError
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

Points = NDArray[np.float64]

_MOST_TOLD: Final = 3


@dataclass(frozen=True, kw_only=True)
class Joining:
    """How ends are joined: those within ``width`` mm at the final size, openings told in ``unit``.

    ``leave_open`` leaves out lines that stay open by more than :data:`MOST_JOIN`, where others close.
    """

    width: float = JOIN
    unit: LengthUnit = "mm"
    leave_open: bool = False


PLAIN: Final = Joining()


def joining_of(choice: Choice) -> Joining:
    """How ends are joined by what the user chose."""
    return Joining(width=choice.join, unit=choice.unit, leave_open=choice.take == "closed")


@dataclass(frozen=True)
class Opening:
    """A free end and the one that it most likely was meant to meet, None for an odd one."""

    start: Points
    end: Points | None
    gap_mm: float

    def text(self, unit: LengthUnit) -> str:
        """Where it lies, and how wide it is."""
        if self.end is None:
            return f"an end at {point_text(*self.start)}"
        gap = f"{self.gap_mm / MM_PER_UNIT[unit]:.3g} {unit}"
        return f"{point_text(*self.start)} to {point_text(*self.end)}, {gap}"


def openings(ends: Points, mm: float) -> list[Opening]:
    """Free ends paired, the nearest first, so that each opening counts once; the narrowest first."""
    places = shapely.points(ends)
    free = np.ones(len(ends), dtype=bool)
    found: list[Opening] = []
    while free.any():
        left = np.flatnonzero(free)
        if len(left) == 1:
            found.append(Opening(ends[left[0]], None, math.inf))
            break
        tree = shapely.STRtree(places[left])
        one, other = tree.query_nearest(places[left], exclusive=True, all_matches=False)
        gaps = np.hypot(*(ends[left[one]] - ends[left[other]]).T)
        for number in np.argsort(gaps, kind="stable").tolist():
            first, second = int(left[one[number]]), int(left[other[number]])
            if free[first] and free[second]:
                free[[first, second]] = False
                first, second = min(first, second), max(first, second)
                found.append(Opening(ends[first], ends[second], float(gaps[number]) * mm))
    return sorted(found, key=lambda opening: opening.gap_mm)


def open_text(found: list[Opening], unit: LengthUnit) -> str:
    """The narrowest openings in words, and how many more there are."""
    told = "; ".join(opening.text(unit) for opening in found[:_MOST_TOLD])
    return told + (f"; and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else "")


def left_open(found: list[Opening], count: int, joining: Joining, *, others_close: bool) -> InputError:
    """The error for ``count`` lines that stay open, with what would help."""
    lines = "the line does not close" if count == 1 else f"{count} lines do not close"
    cures = ["join the ends in the drawing program"]
    narrow = [opening.gap_mm for opening in found if opening.gap_mm <= MOST_JOIN]
    unit, one = joining.unit, MM_PER_UNIT[joining.unit]
    if narrow:
        enough = f"{_rounded_up(max(narrow) / one):.10g} {unit}"
        limits = f"now {joining.width / one:.2g} {unit}, at most {MOST_JOIN / one:.3g} {unit}"
        which = "" if len(narrow) == len(found) else f" {len(narrow)} of the {len(found)} openings"
        them = which or (" them" if len(narrow) > 1 else " it")
        cures.append(f"set outline.join: {enough} to join{them} ({limits})")
    elif others_close and not joining.leave_open:
        cures.append("set outline.take: closed to leave them out")
    return InputError(f"{lines}, open from {open_text(found, unit)}: {', or '.join(cures)}")


def _rounded_up(value: float) -> float:
    """A little more than a value, with two digits."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1) if value > 0 else 1.0
    return math.ceil(value / step * (1 + 1e-9)) * step
