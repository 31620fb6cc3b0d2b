"""A proof as data for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inlayfit import __version__
from inlayfit.proof.faults import Fault
from inlayfit.proving import Proof
from inlayfit.report.data import FORMAT, Scale
from inlayfit.report.wording import say


def proof_data(proof: Proof, *, sheet: str, inputs: Mapping[str, str]) -> dict[str, Any]:
    """What ``prove --format json`` prints; lengths in the job's unit."""
    job, scale = proof.job, Scale(proof.job.unit, proof.plan.facts.outline, from_datum=proof.job.datum is not None)

    def change(fault: Fault) -> dict[str, Any]:
        told: dict[str, Any] = {"check": fault.check, "status": fault.severity, "message": say(fault.what, job.unit)}
        if fault.spot is not None:
            told |= {"file": fault.spot.file, "line": fault.spot.line}
        if fault.remedy is not None:
            told["type"] = say(fault.remedy, job.unit)
        if fault.at is not None:
            told |= scale.place(fault.at)
        return told

    found: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "sheet": sheet,
        "inputs": [{"file": name, "sha256": digest} for name, digest in inputs.items()],
        "title": job.title,
        "unit": job.unit,
        "verdict": proof.verdict,
        "changes": [change(fault) for fault in proof.faults],
        "depths": [
            {
                "part": entry.part, "step": entry.step, "bit": entry.bit, "planned": scale.length(entry.planned),
                "found": scale.length(entry.found), "file": entry.spot.file, "line": entry.spot.line,
            }
            for entry in proof.depths
        ],
        "files": [
            {
                "part": entry.part, "file": entry.file, "bit": entry.bit, "deepest": scale.length(entry.deepest),
                "length": scale.length(entry.length), "minutes": round(entry.minutes, 2),
            }
            for entry in proof.files
        ],
        "checks": [scale.finding(entry) for entry in proof.findings],
    }  # fmt: skip
    if proof.seat is not None:
        seat = proof.seat
        found["seat"] = {
            "first_touch": scale.length(seat.first_touch),
            "by_hand": [scale.length(value) for value in seat.by_hand],
            "lift": scale.length(seat.lift),
            "lift_strong": scale.length(seat.lift_strong),
            "glue_gap": scale.length(seat.glue_gap),
            "joint_line": scale.joint_line(seat.seen),
        }
    return found
