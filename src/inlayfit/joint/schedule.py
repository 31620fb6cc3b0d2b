"""The pass schedule: what each pass of each step takes, in working order."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.cutters import Cutter
from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job, LevelledOver
from inlayfit.joint.limits import LEAST_SKIN

Part = Literal["pocket", "plug", "base"]
Step = Literal["clear", "walls", "cut out", "level"]
Zero = Literal["base face", "plug face", "bed"]
MOST_PASSES: Final = 1_000
"""Of one bit in one step. More come from a slip of the unit, and no one runs them."""


@dataclass(frozen=True, kw_only=True)
class Pass:
    """One pass. Depths in mm below the part's face; a levelling pass above the base's face is negative."""

    part: Part
    step: Step
    cutter: Cutter
    zero: Zero
    number: int
    of: int
    start_depth: float | None
    """None for levelling, which has no start depth."""
    depth_below_start: float | None
    total_depth: float
    load: float
    """Depth of wood this pass takes."""
    over: LevelledOver | None = None
    """What a levelling pass runs over; None for the others."""
    breaks_skin: bool = False
    """This levelling pass is the first that leaves less of the skin over the surface gap than holds: it tears."""

    @property
    def bit(self) -> str:
        """Name of the bit."""
        return self.cutter.name


def equal_steps(total: float, most: float) -> tuple[float, ...]:
    """Depths of the fewest equal passes down to ``total`` that take at most ``most`` each; mm.

    >>> equal_steps(6.0, 2.5)
    (2.0, 4.0, 6.0)
    """
    count = max(1, math.ceil(total / most - 1e-9))
    return (*(total * number / count for number in range(1, count)), total)


def steps_of(bit: Cutter, total: float, job: Job) -> tuple[float, ...]:
    """Depths of a bit's passes down to ``total``; mm. Raises :class:`InputError` for more than :data:`MOST_PASSES`."""
    if total > MOST_PASSES * bit.depth_of_cut:
        raise InputError(
            f"{bit.name!r} would take {total / bit.depth_of_cut:,.0f} passes in one step, expected at most "
            f"{MOST_PASSES:,}: give it a larger depth_of_cut",
            where=("bits", _role(bit, job)),
        )
    return equal_steps(total, bit.depth_of_cut)


def _role(bit: Cutter, job: Job) -> str:
    """The key of ``bits`` under which a bit of the job stands."""
    bits = job.bits
    if bit in bits.clearing:
        return "clearing"
    if bits.one_v and bit == bits.pocket_v:
        return "v"
    roles = {"pocket_v": bits.pocket_v, "plug_v": bits.plug_v, "cut_out": bits.cut_out}
    return next((role for role, entry in roles.items() if entry == bit), "levelling")


def schedule(job: Job, depths: Depths) -> tuple[Pass, ...]:
    """All passes of a job, in working order: pocket, plug, cut-out, levelling.

    Raises :class:`InputError` for a bit that would take more than :data:`MOST_PASSES`.
    """
    bits = job.bits
    passes: list[Pass] = []
    for bit in bits.clearing or (bits.pocket_v,):
        passes += _pocket(job, depths, "clear", bit)
    passes += _pocket(job, depths, "walls", bits.pocket_v)
    for bit in bits.clearing or (bits.plug_v,):
        passes += _plug(job, depths, "clear", bit)
    passes += _plug(job, depths, "walls", bits.plug_v)
    if job.plug.cut_out and bits.cut_out is not None:
        passes += _cut_out(job, bits.cut_out)
    if bits.levelling is not None:
        passes += _levelling(job, depths, bits.levelling)
    return tuple(passes)


def _pocket(job: Job, depths: Depths, step: Step, bit: Cutter) -> list[Pass]:
    totals = steps_of(bit, depths.pocket_depth, job)
    return [
        Pass(
            part="pocket",
            step=step,
            cutter=bit,
            zero=_zero(job, "base face"),
            number=number,
            of=len(totals),
            start_depth=0.0,
            depth_below_start=total,
            total_depth=total,
            load=totals[0],
        )
        for number, total in enumerate(totals, start=1)
    ]


def _plug(job: Job, depths: Depths, step: Step, bit: Cutter) -> list[Pass]:
    """The start depth rises with the pass, so that each is the final cut moved up and stays clear of its wall."""
    totals = steps_of(bit, depths.plug_total_depth, job)
    return [
        Pass(
            part="plug",
            step=step,
            cutter=bit,
            zero=_zero(job, "plug face"),
            number=number,
            of=len(totals),
            start_depth=max(0.0, total - depths.depth_below_start),
            depth_below_start=min(total, depths.depth_below_start),
            total_depth=total,
            load=totals[0],
        )
        for number, total in enumerate(totals, start=1)
    ]


def _cut_out(job: Job, bit: Cutter) -> list[Pass]:
    totals = steps_of(bit, job.plug.thickness + job.plug.through, job)
    return [
        Pass(
            part="plug",
            step="cut out",
            cutter=bit,
            zero=_zero(job, "plug face"),
            number=number,
            of=len(totals),
            start_depth=0.0,
            depth_below_start=total,
            total_depth=total,
            load=totals[0],
        )
        for number, total in enumerate(totals, start=1)
    ]


def _levelling(job: Job, depths: Depths, bit: Cutter) -> list[Pass]:
    """From the plug's back, or from where it is sawn off, down past the face.

    The plug's own floor stands the surface gap above the face: what is left over it is the skin. Sawn below that
    floor there is none to break.
    """
    stands = depths.above_face if job.level.saw_to is None else min(depths.above_face, job.level.saw_to)
    height = stands + job.joint.level_below
    if height <= 0:
        return []
    steps = steps_of(bit, height, job)
    totals = [step - stands for step in steps]
    # the last step is the depth asked for, free of the rounding of the sum
    totals[-1] = job.joint.level_below
    torn = len(totals) + 1
    if stands > depths.surface_gap:
        holds = depths.surface_gap + job.limits[LEAST_SKIN]
        torn = next((number for number, total in enumerate(totals, start=1) if -total < holds - 1e-9), torn)
    return [
        Pass(
            part="base",
            step="level",
            cutter=bit,
            zero=_zero(job, "base face"),
            number=number,
            of=len(totals),
            start_depth=None,
            depth_below_start=None,
            total_depth=total,
            load=steps[0],
            # a pass into the base's face cuts the board itself
            over="board" if total > 0 or number == len(totals) else job.level.over,
            breaks_skin=number == torn,
        )
        for number, total in enumerate(totals, start=1)
    ]


def _zero(job: Job, face: Zero) -> Zero:
    return "bed" if job.touch_off == "bed" else face
