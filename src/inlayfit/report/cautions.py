"""Cautions that go with every plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.joint.job import Job
from inlayfit.joint.schedule import Pass

ALWAYS: Final = (
    "Eye and ear protection; keep dust out of your lungs (exposure limits differ by country; oak, walnut and exotic "
    "woods above all).",
    "Keep bits under their marked speed; spindle stopped and isolated for bit change and touch-off.",
    "Nothing may stand in a sweep; never run a pass again on a part clamped anew without touching off.",
    "Clamps and wedges can split a board; oily rags ignite by themselves.",
    "Food contact: makers' data sheets and local rules for glue and finish.",
    "Local codes and licensed practice come first, and no number replaces a test cut.",
)
CUT_OUT: Final = "Parts come loose at the cut-out: tabs or tape, a spoil board under them, last pass shallow."
LEVELLING: Final = "At levelling the wood over the surface gap breaks away in pieces: thin passes, stand aside."

HOLD_DOWNS: Final = "Moves in the air are not checked: lift the bit above every hold-down before it travels."
END_GRAIN: Final = "End grain tears out where a bit leaves the wood: sharp bits, light passes, a backing board."
CLAMPING: Final = (
    "The clamping force rests on published pressures for flat faces, not on your glue: its data sheet comes first."
)


def cautions(job: Job) -> tuple[str, ...]:
    """The cautions that apply to a job, a line each, in the order of the work."""
    by_step = (
        *((HOLD_DOWNS,) if job.hold_downs else ()),
        *((END_GRAIN,) if "end" in (job.base.wood.face, job.plug.wood.face) else ()),
        *((CUT_OUT,) if job.plug.cut_out else ()),
        *((CLAMPING,) if job.outline is not None else ()),
        LEVELLING,
    )
    return (*ALWAYS[:3], *by_step, *ALWAYS[3:])


def first_cautions(job: Job, passes: Sequence[Pass]) -> tuple[str, ...]:
    """Three lines on what can hurt at this job: its dust, its bits, and what comes loose or stands in the way."""
    woods = [wood.name for wood in (job.base.wood, job.plug.wood) if wood.name]
    dust = f"dust of {' and '.join(dict.fromkeys(woods))}" if woods else "wood dust"
    bits = list(dict.fromkeys(entry.cutter for entry in passes))
    largest = max(bits, key=lambda bit: bit.diameter)
    loose = []
    if job.hold_downs:
        loose.append("lift the bit above every hold-down before it travels")
    if job.plug.cut_out and job.bits.cut_out is not None:
        loose.append("tabs or tape at the cut-out")
    if job.bits.levelling is not None:
        loose.append("stand aside at levelling, when the wood over the gap breaks away")
    if not loose:
        loose.append("nothing may stand in the way of a bit or its collet")
    words = "; ".join(loose[:2])
    return (
        f"Protect eyes, ears and lungs ({dust}); cut a test pair first.",
        f"Stop and isolate the spindle at every bit change; keep {largest.name} under its marked speed.",
        f"{words[0].upper()}{words[1:]}.",
    )
