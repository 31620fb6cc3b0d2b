"""Jobs for tests: a plain sheet's values, changed where a test says so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inlayfit.joint.job import Job
from inlayfit.quantity import LengthUnit
from inlayfit.sheet.defaults import job_from_values

CLEARING: dict[str, Any] = {
    "name": "2 mm end mill",
    "diameter": 2.0,
    "reach": 12.0,
    "depth_of_cut": 1.5,
    "stepover": 0.8,
}
LEVELLING: dict[str, Any] = {
    "name": "25 mm surfacing bit", "diameter": 25.0, "reach": 40.0, "depth_of_cut": 1.0, "stepover": 10.0,
}  # fmt: skip
CUT_OUT: dict[str, Any] = {
    "name": "6 mm end mill",
    "diameter": 6.0,
    "reach": 30.0,
    "depth_of_cut": 3.0,
    "stepover": 2.4,
}

PLAIN: dict[str, Any] = {
    "base": {"thickness": 18.0, "least_floor": 3.0},
    "plug": {"thickness": 12.0, "border": 6.0, "least_web": 1.5, "through": 0.2},
    "joint": {"pocket_depth": 6.0, "glue_gap": 0.5, "surface_gap": 2.5, "level_below": 0.25, "sanding": 0.25},
    "bits": {
        "v": {
            "angle": 30.0,
            "tip": 0.1,
            "diameter": 6.0,
            "reach": 20.0,
            "depth_of_cut": 2.0,
            "stepover": 0.12,
        },
        "clearing": CLEARING,
        "cut_out": CUT_OUT,
        "levelling": LEVELLING,
    },
    "tolerance": {
        "touch_off": 0.05,
        "angle": 0.25,
        "tip": 0.02,
        "runout": 0.01,
        "warp": 0.1,
        "thickness": 0.1,
        "square": 0.1 / 300,
    },
    "touch_off": "face",
}
"""Every value given, all checks of depths pass."""

GONE = object()
"""As a changed value: takes the key out."""


def changed(values: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of nested values with some at dotted paths replaced, added or, with GONE, taken out."""
    copy = {key: changed(value, {}) if isinstance(value, Mapping) else value for key, value in values.items()}
    for path, value in changes.items():
        node = copy
        *way, last = path.split(".")
        for step in way:
            node = node.setdefault(step, {})
        if value is GONE:
            node.pop(last, None)
        else:
            node[last] = value
    return copy


def job(changes: Mapping[str, Any] | None = None, *, unit: LengthUnit = "mm") -> Job:
    """The plain job, changed at dotted paths (``{"joint.glue_gap": 0.3}``); lengths in mm."""
    return job_from_values(changed(PLAIN, changes or {}), unit=unit, unit_given=True, title="test")
