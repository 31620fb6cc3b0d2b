"""The joint line along the outline: stretches of wall where it is about as wide."""

from __future__ import annotations

from math import dist
from typing import Final, Literal

from inlayfit.pictures.canvas import Point
from inlayfit.seat.joint_line import Openings

Width = Literal["closed", "within", "over"]
SHARE_OF_LIMIT: Final = 0.25
"""A joint line of up to this share of its limit goes for closed."""
SAME: Final = 1e-6


def line_runs(walls: Openings, lift: float, limit: float) -> list[tuple[Width, list[Point]]]:
    """Stretches as (width, points along the wall) for a plug at this lift; lengths in mm."""
    runs: list[tuple[Width, list[Point]]] = []
    for wide, foot, normal, length in zip(
        walls.line(lift).tolist(), walls.foot.tolist(), walls.normal.tolist(), walls.width.tolist(), strict=True
    ):
        width: Width = "closed" if wide <= SHARE_OF_LIMIT * limit else "within" if wide <= limit else "over"
        # the inlay is on the left of its wall
        half = (normal[1] * length / 2, -normal[0] * length / 2)
        start, end = (foot[0] - half[0], foot[1] - half[1]), (foot[0] + half[0], foot[1] + half[1])
        if runs and runs[-1][0] == width and dist(runs[-1][1][-1], start) <= SAME:
            runs[-1][1].append(end)
        else:
            runs.append((width, [start, end]))
    return runs
