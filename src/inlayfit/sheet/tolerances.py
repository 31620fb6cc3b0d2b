"""The shop's tolerances from a sheet's values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from inlayfit.joint.job import AssumedKind
from inlayfit.joint.spread import USUAL_TOUCH_OFF, Spread, SpreadKind, Tolerance
from inlayfit.sheet.assumptions import COMMON, Sheet

SETTINGS: Final = ("pocket_v", "pocket_clear", "plug_v", "plug_clear")
USUAL: Final[dict[str, tuple[float, AssumedKind]]] = {
    "angle": (0.25, "angle"),
    "tip": (0.02, "length"),
    "runout": (0.01, "length"),
    "warp": (0.1, "length"),
    "thickness": (0.1, "length"),
    "square": (0.1 / 300, "slope"),
}
"""Plus or minus; all common practice, no source."""
_FORMS: Final[tuple[SpreadKind, ...]] = ("limit", "sd", "known")


def tolerance_of(sheet: Sheet) -> Tolerance:
    """The tolerances, each as given or as usual; what the joint at hand cannot feel is not told as assumed."""
    given = sheet.part("tolerance")
    found = {name: _read(given[name]) if name in given else _assumed(sheet, name) for name in USUAL}
    if found["runout"].kind == "known" and found["runout"].value < 0:
        sheet.refuse(("tolerance", "runout", "known"), "found runout below 0, expected 0 or more: it only widens a cut")
    return Tolerance(**_touch_off(sheet, given.get("touch_off")), **found)


def _read(value: float | Mapping[str, Any]) -> Spread:
    if not isinstance(value, Mapping):
        return Spread(value=float(value))
    kind = next(form for form in _FORMS if form in value)
    return Spread(kind=kind, value=float(value[kind]))


def _assumed(sheet: Sheet, name: str) -> Spread:
    value, kind = USUAL[name]
    # out of square is told against an outline's size
    if name != "square" or sheet.part("outline"):
        sheet.assume(f"tolerance.{name}", value, f"plus or minus, {COMMON}", kind=kind)
    return Spread(value=value)


def _touch_off(sheet: Sheet, value: float | Mapping[str, Any] | None) -> dict[str, Spread]:
    if value is None:
        sheet.assume("tolerance.touch_off", USUAL_TOUCH_OFF, f"plus or minus, {COMMON}")
        value = USUAL_TOUCH_OFF
    if not isinstance(value, Mapping):
        return {name: _read(value) for name in SETTINGS}
    missing = [name for name in SETTINGS if name not in value]
    others = Spread(value=USUAL_TOUCH_OFF)
    if any(form in value for form in _FORMS):
        others = _read(value)
    elif missing:
        sheet.assume(
            "tolerance.touch_off.limit", USUAL_TOUCH_OFF, f"plus or minus, {COMMON}, for {', '.join(missing)}"
        )
    return {name: _read(value[name]) if name in value else others for name in SETTINGS}
