"""The lift under a hand's load of a plug whose walls stand off where they should be.

A plug that stands proud reaches less deep into corners and strokes, so that a hand crushes a little more of what is
left there: the lift expected above the walls is worked out where the walls are, not where they should be.
"""

from __future__ import annotations

from dataclasses import replace

from inlayfit.seat.load import overlap_areas
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.rays import rays_of


def expected_above_walls(
    pair: PlannedPair, excess: float, *, hand_force_n: float, strengths_mpa: tuple[float, ...]
) -> tuple[float, ...]:
    """Lift by hand in mm, less the excess by which the plug's walls stand too high, for each strength.

    Which of the two V-cuts is to blame a reading cannot tell: each is given half.
    """
    cut, half = pair.cut, excess / 2
    displaced = pair.recut(
        replace(cut, pocket_v_error=cut.pocket_v_error - half, plug_v_error=cut.plug_v_error - half)
    )
    areas = overlap_areas(displaced, rays_of(displaced))
    return tuple(areas.lift_under(hand_force_n, strength) - excess for strength in strengths_mpa)
