"""Lifts under load on straight walls, against the overlap of the two profiles sampled finely across the wall."""

import numpy as np
import pytest
from joints import F, S, U, circle, joint, seat_of_cut, slope

from inlayfit.cutters import end_mill

STRENGTH = 7.0
RADIUS = 60.0


def overlap_across(real_angle, pocket_passes, *, tip=0.05, step=2e-4):
    """Plug's height less pocket's depth across a straight wall, at places from the outline inwards [mm]."""
    declared, actual = slope(30.0), slope(real_angle)
    x = np.arange(-U * declared, F * declared, step) + step / 2

    def envelope(deepest, at):
        # the tip's flat ends `tip` from the bit's axis, which the declared bit's wall puts r + depth T from the outline
        return deepest - np.maximum(0.0, np.abs(at - tip - deepest * declared) - tip) / actual

    depth = np.max([envelope(deep, x) for deep in (F, *pocket_passes)], axis=0)
    depth = np.where(x > tip + F * declared, F, np.maximum(depth, 0.0))
    below = np.maximum(envelope(U, -x), -S)
    return x, -below - depth, step


def lift_from(overlap, step, area):
    """The lift at which this plan area, for each mm of wall, overlaps."""
    return np.sort(overlap)[::-1][int(area / step)]


@pytest.mark.parametrize("real_angle", [28.0, 29.0, 30.0, 31.0])
@pytest.mark.parametrize("pocket_passes", [(), (F / 2,), (F / 3, 2 * F / 3)])
@pytest.mark.parametrize("force", [150.0, 1500.0])
def test_lift_under_a_force_where_passes_leave_steps(real_angle, pocket_passes, force):
    cut = joint(circle(RADIUS), real_angle=real_angle, pocket_passes=pocket_passes, clearing=(end_mill(3.0),))
    _, overlap, step = overlap_across(real_angle, pocket_passes)
    wanted = lift_from(overlap, step, force / STRENGTH / (2 * np.pi * RADIUS))
    found = seat_of_cut(cut, crush_strength_mpa=STRENGTH, clamp_force_n=force, hand_force_n=force)
    assert found.lift == pytest.approx(max(wanted, S - F), abs=0.01)
    assert found.by_hand[0] == found.lift
