"""Ridges are one truth: their height, the wood they show, what they hold up, in seat, trial pairs and checks alike."""

from __future__ import annotations

import math

import numpy as np
import pytest
from jobs import GONE, job
from joints import F, S, circle, joint, seat_of_cut

from inlayfit.cutters import Profile
from inlayfit.outline.regions import outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.plan import Plan, plan
from inlayfit.seat.ridges import Ridges

T = math.tan(math.radians(15))
FLAT = Profile(angle=30, tip_radius=0.05)
BALL = Profile(angle=30, rounding=0.4)


@pytest.mark.parametrize("cutter", [FLAT, BALL, Profile(angle=60)])
def test_the_wood_at_a_height_is_what_a_cut_through_the_passes_shows(cutter: Profile) -> None:
    ridges = Ridges(cutter, 0.9, 250.0)
    # a dull second way: points across one stepover, each as high as the nearer of two passes leaves it
    across = np.linspace(0, 0.9, 20_001)
    left = cutter.rise(np.minimum(across, 0.9 - across))
    assert ridges.height == pytest.approx(left.max(), abs=1e-4)
    for height in (0.0, 0.2 * ridges.height, 0.7 * ridges.height, ridges.height):
        assert ridges.area_at(height) == pytest.approx(250 * (left > height + 1e-9).mean(), abs=0.1)


def test_a_force_crushes_them_until_the_wood_bears_it() -> None:
    ridges = Ridges(FLAT, 0.9, 250.0)
    for force in (0.0, 200.0, 900.0):
        height = ridges.height_bearing(force, 7.0)
        assert 7.0 * ridges.area_at(height) == pytest.approx(force, abs=1e-6 * 7 * 250 + 1e-9)
    assert ridges.height_bearing(1e6, 7.0) == 0.0
    assert Ridges(FLAT, 0.1, 250.0).height == 0.0  # a flat as wide as the stepover leaves none


def test_a_plug_stands_on_ridges_that_bear_the_force() -> None:
    ridges = Ridges(FLAT, 0.9, 250.0)
    cut = joint(circle(20), clearing=(), ridges=ridges)
    found = seat_of_cut(cut, crush_strength_mpa=7.0, clamp_force_n=700.0, hand_force_n=100.0)
    valley = S - F
    assert found.first_touch == pytest.approx(valley + (0.9 - 0.1) / (2 * T), abs=0.005)
    for force, lift in ((100.0, found.by_hand[0]), (700.0, found.lift)):
        # the share of wood 1 - 2 (r + z T) / s bears the force
        height = (0.9 * (1 - force / (7 * 250)) / 2 - 0.05) / T
        assert lift == pytest.approx(max(valley + height, 0.0), abs=0.01)


def disc(changes: dict[str, object], wide: float = 60.0) -> Plan:
    outline = outline_of(drawn([{"circle": wide}]))
    woods = {"base.wood": "black walnut", "plug.wood": "sugar maple", "joint.clamp_pressure": 0.5}
    return plan(job({**woods, **changes}), outline, draws=4_000)


def status(found: Plan, check: str) -> str:
    return next(entry.status for entry in found.findings if entry.id == check)


@pytest.mark.parametrize("stepover", [0.3, 0.6, 1.2])
@pytest.mark.parametrize("clearing", [True, False])
def test_seat_trial_pairs_and_check_agree(stepover: float, clearing: bool) -> None:
    changes: dict[str, object] = {"bits.v.stepover": stepover}
    if not clearing:
        changes["bits.clearing"] = GONE
    found = disc(changes)
    seat, stack = found.facts.seat, found.facts.stack
    assert seat is not None
    assert stack is not None
    assert stack.drawn is not None
    assert stack.quantities["lift"].nominal == pytest.approx(seat.lift, abs=0.02)
    assert stack.quantities["glue_gap"].nominal == pytest.approx(seat.glue_gap, abs=0.02)
    if clearing:
        # the clearing bit reaches all of the floor, so that there are no ridges to fail by or to stand on
        assert status(found, "floor-ridges") == "pass"
        assert seat.lift == pytest.approx(0.0, abs=0.01)
        assert stack.drawn.seats_on_walls > 0.9
    elif stepover == 1.2:
        assert status(found, "floor-ridges") == "fail"
        assert seat.lift > 0.5
        assert stack.drawn.seats_on_walls < 0.05


def test_a_worn_tip_leaves_the_ridges_that_it_cuts() -> None:
    # declared 0.05 mm and measured 0.3 mm: a flat as wide as the stepover leaves a level floor 0.5 mm down
    worn = disc({"bits.clearing": GONE, "bits.v.stepover": 0.3, "bits.v.tip": 0.05, "bits.v.measured": {"tip": 0.3}})
    sharp = disc({"bits.clearing": GONE, "bits.v.stepover": 0.3, "bits.v.tip": 0.05})
    for found, height in ((worn, 0.0), (sharp, (0.3 - 0.05) / (2 * T))):
        assert found.facts.outline is not None
        assert found.facts.outline.fit is not None
        floors = [entry.lift for entry in found.facts.outline.fit.seat.contacts if entry.kind == "floor"]
        assert max(floors) == pytest.approx(-0.5 + height, abs=1e-6)
