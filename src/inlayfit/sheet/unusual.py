"""Sizes that are hardly ever meant: told in a note, with the unit that may have been meant.

What is usual is common practice, no source. A note changes no number and no verdict.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from inlayfit.joint.job import Job
from inlayfit.quantity import MM_PER_INCH, LengthUnit, length_text

TIMES_ITS_DIAMETER: Final = 8.0
"""A straight bit seldom cuts deeper than this many times its diameter."""


class Usual(NamedTuple):
    """What a size usually lies between, mm."""

    least: float
    most: float

    def holds(self, size: float) -> bool:
        """Whether a size lies there."""
        return self.least <= size <= self.most


BASE: Final = Usual(4, 60)
PLUG: Final = Usual(3, 40)
POCKET: Final = Usual(1, 20)
SURFACE_GAP: Final = Usual(0, 8)
BORDER: Final = Usual(1, 50)
V_BIT: Final = Usual(2, 60)
STRAIGHT_BIT: Final = Usual(0.4, 75)


def unusual(job: Job) -> tuple[str, ...]:
    """A note for each size of the sheet that is out of the usual, and for each bit that would have to cut too deep."""
    bits = job.bits
    sizes = [
        ("base.thickness", job.base.thickness, BASE),
        ("plug.thickness", job.plug.thickness, PLUG),
        ("joint.pocket_depth", job.joint.pocket_depth, POCKET),
        ("joint.surface_gap", job.joint.surface_gap, SURFACE_GAP),
        ("plug.border", job.plug.border, BORDER),
        *((f"the diameter of {bit.name}", bit.diameter, V_BIT) for bit in dict.fromkeys((bits.pocket_v, bits.plug_v))),
        *((f"the diameter of {bit.name}", bit.diameter, STRAIGHT_BIT) for bit in bits.clearing),
    ]
    notes = [
        f"{what}, {length_text(size, job.unit)}, is unusual: {_meant(size, usual, job.sheet_unit)}"
        for what, size, usual in sizes
        if size is not None and not usual.holds(size)
    ]
    return (*notes, *_deep(job))


def _meant(size: float, usual: Usual, unit: LengthUnit) -> str:
    """What may have been meant: the same number in the other unit, where that is usual."""
    # free of the rounding of the conversion
    typed, other = (round(size / MM_PER_INCH, 6), "mm") if unit == "in" else (round(size, 6), "in")
    meant = typed if unit == "in" else typed * MM_PER_INCH
    return f"meant {typed:g} {other}?" if usual.holds(meant) else "is it typed right?"


def _deep(job: Job) -> Iterable[str]:
    pocket, joint, unit = job.joint.pocket_depth, job.joint, job.unit
    cuts = []
    if pocket is not None:
        deepest = max(pocket, pocket - joint.glue_gap + joint.surface_gap)
        cuts += [(bit, deepest) for bit in job.bits.clearing]
    if job.plug.cut_out and job.bits.cut_out is not None:
        cuts.append((job.bits.cut_out, job.plug.thickness + job.plug.through))
    for bit, deep in cuts:
        if deep > TIMES_ITS_DIAMETER * bit.diameter:
            yield (
                f"{length_text(deep, unit)} deep is {deep / bit.diameter:.0f} times the diameter of {bit.name}, which "
                f"is unusual: seldom does a bit cut deeper than {TIMES_ITS_DIAMETER:g} times its diameter"
            )
