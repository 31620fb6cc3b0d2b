"""A dry fit as plain data: the names of the JSON output. Names, once shipped, stay.

Lengths are in the unit of the results, angles in degrees; rounded to 1e-6. A part that does not apply is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inlayfit import __version__
from inlayfit.dryfit.answer import FIRST, DryFit
from inlayfit.dryfit.cuts import Correction
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT
from inlayfit.report.data import FORMAT


def dryfit_data(found: DryFit, plan: Plan, *, sheet: str, inputs: Mapping[str, str]) -> dict[str, Any]:
    """The answer as dicts, lists, numbers and text. ``inputs`` maps each file read to its sha256."""
    scale = MM_PER_UNIT[plan.job.unit]

    def length(mm: float) -> float:
        return round(mm / scale, 6) + 0.0

    data: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "sheet": sheet,
        "inputs": [{"file": name, "sha256": digest} for name, digest in inputs.items()],
        "title": plan.job.title,
        "unit": plan.job.unit,
        "readings": [
            {"kind": entry.kind, "value": length(entry.value)}
            | ({} if entry.at is None else {"at": [length(value) for value in entry.at]})
            for entry in found.readings
        ],
        "held": found.held,
        "lift": length(found.level.lift),
        "lift_u": length(found.level.lift_u),
        "expected_lift": [length(end) for end in found.expected],
        "excess": length(found.excess),
        "no_cut_within": length(found.sure),
    }
    if found.level.tilt_deg is not None:
        data["tilt_deg"] = round(found.level.tilt_deg, 6)
    data |= {
        "glue_gap": length(found.glue_gap),
        "surface_gap": length(found.surface_gap),
        "joint_line": [length(end) for end in found.joint_line],
        "on_floor": found.on_floor,
        "beyond_tolerances": found.slip,
        "causes": [
            {"cause": entry.cause, "weight": round(entry.weight, 6), "rank": entry.rank, "why": entry.why}
            for entry in found.causes
        ],
        "first": FIRST,
        "corrections": [_correction(entry, length) for entry in found.corrections],
        "ruled_out": [
            {"part": entry.part, "step": entry.step, "reason": entry.stops} for entry in found.ruled_out
        ],
    }
    if found.reason:
        data["reason"] = found.reason
    return data


def _correction(entry: Correction, length: Any) -> dict[str, Any]:
    data: dict[str, Any] = {"part": entry.part, "step": entry.step, "needs": entry.needs, "why": entry.why}
    if entry.minding:
        data["minding"] = entry.minding
    for name in ("zero_shift", "start_depth", "depth_below_start", "total_depth", "clearing_offset"):
        value = getattr(entry, name)
        if value is not None:
            data[name] = length(value)
    for name in ("lift_after", "glue_gap_after", "surface_gap_after"):
        data[name] = length(getattr(entry, name))
    return data
