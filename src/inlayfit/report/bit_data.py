"""The measured V-bit as plain data: the names of the JSON output. Names, once shipped, stay.

Lengths are in the unit of the results, angles in degrees; rounded to 1e-6.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inlayfit import __version__
from inlayfit.cutters import Profile
from inlayfit.joint.groove_fit import RealBit
from inlayfit.measured_bit import Seating
from inlayfit.quantity import MM_PER_UNIT, LengthUnit
from inlayfit.report.data import FORMAT


def bit_data(
    real: RealBit,
    shape: Profile,
    *,
    unit: LengthUnit,
    inputs: Mapping[str, str],
    sheet: str | None = None,
    seatings: Sequence[Seating] = (),
) -> dict[str, Any]:
    """The bit as dicts, lists, numbers and text. ``inputs`` maps each file read to its sha256."""

    def length(mm: float) -> float:
        return round(mm / MM_PER_UNIT[unit], 6) + 0.0

    found: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        **({} if sheet is None else {"sheet": sheet}),
        "inputs": [{"file": name, "sha256": digest} for name, digest in inputs.items()],
        "unit": unit,
        "angle": round(real.angle, 6),
        "angle_u": round(real.angle_u, 6),
        "tip": length(real.tip),
        "tip_u": length(real.tip_u),
        "grooves": [
            {"depth": length(groove.depth), "width": length(groove.width), "residual": length(residual)}
            for groove, residual in zip(real.grooves, real.residuals, strict=True)
        ],
    }
    if real.scatter is not None:
        found["scatter"] = round(real.scatter, 6)
    if real.touch_off is not None:
        found["touch_off_error"], found["touch_off_error_u"] = (length(value) for value in real.touch_off)
    if real.outlier is not None:
        out = real.outlier
        found["outlier"] = {
            "groove": out.number + 1,
            "off": length(out.off),
            "angle_without": round(out.angle, 6),
            "tip_without": length(out.tip),
        }
    tip = {"ball": length(shape.rounding)} if shape.rounding else {"tip": length(2 * shape.tip_radius)}
    found["measured"] = {"angle": round(shape.angle, 6), **tip}
    if seatings:
        found["joint"] = [_seating(entry, length) for entry in seatings]
    return found


def _seating(entry: Seating, length: Any) -> dict[str, Any]:
    found: dict[str, Any] = {"bit": entry.words, "walls": [length(lift) for lift in entry.walls]}
    if entry.by_hand is not None and entry.clamped is not None and entry.joint_line is not None:
        found["by_hand"] = [length(lift) for lift in entry.by_hand]
        found["lift"] = length(entry.clamped)
        found["joint_line"] = length(entry.joint_line)
    return found
