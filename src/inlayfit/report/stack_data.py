"""The stack of tolerances as plain data."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inlayfit.quantity import LengthUnit
from inlayfit.report.wording import say
from inlayfit.tolerance.stack import QUANTITIES, Drawn, Stack

Length = Callable[[float], float]


def stack_data(stack: Stack, length: Length, unit: LengthUnit) -> dict[str, Any]:
    """Per quantity its ends, then what pairs do, contributions and advice; ``length`` turns mm into the job's unit."""
    found: dict[str, Any] = {}
    for name in QUANTITIES:
        entry = stack.quantities[name]
        found[name] = {
            "nominal": length(entry.nominal),
            "worst": [length(end) for end in entry.worst],
            "rss": [length(end) for end in entry.rss],
        }
        if stack.drawn is not None:
            found[name]["p95"] = [length(end) for end in stack.drawn.p95[name]]
    if stack.drawn is not None:
        found |= _drawn(stack.drawn, length)
    elif stack.touch_off_all is not None:
        found["touch_off_all"] = length(stack.touch_off_all)
    found["contributions"] = [
        {
            "source": entry.source.name,
            "words": say(entry.source.what, unit),
            "shares": {name: round(entry.shares[name], 6) for name in QUANTITIES},
        }
        for entry in stack.contributions
    ]
    return found


def _drawn(drawn: Drawn, length: Length) -> dict[str, Any]:
    found: dict[str, Any] = {"draws": drawn.count, "fits": drawn.table_nodes}
    for name in (
        "seats_on_walls", "bottoms_out", "held_up", "on_own_floor", "over_joint_line", "touch_off", "warp",
    ):  # fmt: skip
        found[name] = round(getattr(drawn, name), 6)
    if drawn.glue_gap_needed is not None:
        found["glue_gap_needed"] = length(drawn.glue_gap_needed)
    found["touch_off_needed"] = {
        name: length(limit) for name, limit in drawn.touch_off_needed.items() if limit is not None
    }
    if drawn.touch_off_all is not None:
        found["touch_off_all"] = length(drawn.touch_off_all)
    if drawn.wider is not None:
        found["wider"] = {
            "angle": drawn.wider.angle,
            "seats_on_walls": round(drawn.wider.seats_on_walls, 6),
            "full_depth_width": length(drawn.wider.full_depth_width[1]),
            "narrowest_depth": length(drawn.wider.narrowest_depth[1]),
        }
    return found
