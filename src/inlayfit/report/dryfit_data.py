"""A dry fit as plain data: the names of the JSON output. Names, once shipped, stay.

Lengths are in the unit of the results, angles in degrees; rounded to 1e-6. A part that does not apply is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from inlayfit import __version__
from inlayfit.dryfit.answer import DryFit
from inlayfit.dryfit.causes import Cause
from inlayfit.dryfit.cuts import Correction
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT
from inlayfit.report.data import FORMAT
from inlayfit.report.dryfit_words import FIRST, MINDING, NEEDS, WHY, cause_words, no_cut_words, stop_words, unseen_words


def dryfit_data(found: DryFit, plan: Plan, *, sheet: str, inputs: Mapping[str, str]) -> dict[str, Any]:
    """The answer as dicts, lists, numbers and text. ``inputs`` maps each file read to its sha256."""
    unit = plan.job.unit
    scale = MM_PER_UNIT[unit]

    def length(mm: float) -> float:
        return round(mm / scale, 6) + 0.0

    data: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "sheet": sheet,
        "inputs": [{"file": name, "sha256": digest} for name, digest in inputs.items()],
        "title": plan.job.title,
        "unit": unit,
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
        "no_cut_within": length(found.level.sure),
    }
    if found.level.tilt_deg is not None:
        data["tilt_deg"] = round(found.level.tilt_deg, 6)
    why = found.diagnosis
    data |= {
        "crooked": found.level.crooked,
        **({"glue_gap": length(found.glue_gap)} if found.has_floor else {}),
        "surface_gap": length(found.surface_gap),
        **({"joint_line": [length(end) for end in found.joint_line]} if found.joint_line else {}),
        "on_floor": found.on_floor,
        "beyond_tolerances": bool(why.slips),
        "causes": [_cause(entry, length) for entry in why.causes],
        "unseen": [
            {"cause": entry.code, "why": unseen_words(entry.code), "harm": length(entry.harm)}
            | ({} if entry.shown_by is None else {"shown_by": entry.shown_by})
            for entry in why.unseen
        ],
    }
    if why.telling is not None:
        data["apart"] = {
            "test": why.telling.test,
            "causes": [
                {"cause": code} | ({} if value is None else {"reads": length(value)})
                for code, value in why.telling.readings
            ],
        }
    data |= {
        "first": FIRST,
        "corrections": [_correction(entry, found, length) for entry in found.corrections],
        "ruled_out": [
            {"part": entry.part, "step": entry.step, "reason": stop_words(entry.stop, unit)}
            for entry in found.ruled_out
            if entry.stop is not None
        ],
    }
    if found.if_held:
        data["if_held"] = [{"held": held} | _correction(entry, found, length) for held, entry in found.if_held]
    if found.no_cut is not None:
        data["reason"] = no_cut_words(found.no_cut, unit)
    return data


def _cause(entry: Cause, length: Callable[[float], float]) -> dict[str, Any]:
    data: dict[str, Any] = {
        "cause": entry.code, "weight": round(entry.weight, 6), "rank": entry.rank, "why": cause_words(entry),
        "slip": entry.beyond, "alike": entry.group,
    }  # fmt: skip
    if entry.code.endswith("angle"):
        data["angle_off"] = round(entry.size, 6)
    elif not entry.slip and entry.code not in ("reading", "hand", "square"):
        data["size"] = length(entry.size)
    return data


def _correction(entry: Correction, found: DryFit, length: Callable[[float], float]) -> dict[str, Any]:
    data: dict[str, Any] = {
        "part": entry.part, "step": entry.step, "needs": NEEDS[entry.why], "why": WHY[entry.why],
    }  # fmt: skip
    if entry.why in MINDING:
        data["minding"] = MINDING[entry.why]
    for name in ("zero_shift", "start_depth", "depth_below_start", "total_depth", "clearing_offset"):
        value = getattr(entry, name)
        if value is not None:
            data[name] = length(value)
    data["lift_after"] = length(entry.lift_after)
    if found.has_floor:
        data["glue_gap_after"] = length(entry.glue_gap_after)
    data["surface_gap_after"] = length(entry.surface_gap_after)
    data["brings_home"] = entry.brings_home
    if entry.proof is not None:
        data["only_if"] = {"measured": entry.proof.measured, "reads": length(entry.proof.value)}
    return data


