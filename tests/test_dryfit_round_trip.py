"""Errors put into the cuts, the reading computed from them, and the correcting cut applied: the seat comes back.

The by-hand lift is read and expected at the same wood strength, so that what is tried is the cut, not the wood.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from joints import MIXED
from shapely import MultiPolygon, Polygon, affinity

from inlayfit.cutters import Profile
from inlayfit.dryfit.cuts import Correction, Gaps, for_a_plug_on_the_floor, for_a_proud_plug
from inlayfit.dryfit.hand import expected_above_walls
from inlayfit.joint.depths import depths
from inlayfit.joint.job import Job
from inlayfit.seat.as_cut import AsCut, AsCutBit
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.rays import rays_of

STRENGTH, HAND = 7.0, 100.0
BACK = 0.005
"""The clamped seat must come back to within this, mm."""
SHAPES = [name for name in MIXED if name not in ("close_pair",)]


class Trial:
    """A random job as it should be, and as it was cut."""

    def __init__(self, seed: int) -> None:
        rng = np.random.default_rng(seed)
        name = SHAPES[seed % len(SHAPES)]
        outline = affinity.scale(MIXED[name](), *([float(rng.uniform(2.5, 4.0))] * 2), origin=(0, 0))
        outline = MultiPolygon([outline]) if isinstance(outline, Polygon) else outline
        shape = Profile(angle=float(rng.choice([30.0, 45.0, 60.0])), tip_radius=float(rng.uniform(0.02, 0.1)))
        depth = float(rng.uniform(3.5, 6.5))
        self.job = job_with(shape, depth, float(rng.uniform(0.4, 0.8)), float(rng.uniform(2.0, 3.0)))
        self.depths = depths(self.job)[0]
        bit = AsCutBit(declared=shape, actual=shape)
        self.meant = AsCut(
            outline=outline, pocket_bit=bit, plug_bit=bit, pocket_depth=self.depths.pocket_depth,
            start_depth=self.depths.start_depth, depth_below_start=self.depths.depth_below_start, clearing_radius=0.5,
        )  # fmt: skip
        # both V-bits too shallow, by 0.1 to 1.2 mm in all
        self.cut = replace(
            self.meant, pocket_v_error=-float(rng.uniform(0.05, 0.6)), plug_v_error=-float(rng.uniform(0.05, 0.6)),
            pocket_floor_error=float(rng.uniform(-0.1, 0.1)),
        )  # fmt: skip
        self.joint = PlannedPair(self.meant)
        # no more than the walls bear, as the seat's check asks
        walls = STRENGTH * outline.length * self.depths.start_depth * shape.slope
        self.clamp = min(0.7 * outline.area, 0.5 * walls)

    def lift(self, cut: AsCut, force: float) -> float:
        joint = self.joint.recut(cut)
        return overlap_areas(joint, rays_of(joint)).lift_under(force, STRENGTH)


def job_with(shape: Profile, depth: float, glue_gap: float, surface_gap: float) -> Job:
    from jobs import job

    return job(
        {
            "joint.pocket_depth": depth, "joint.glue_gap": glue_gap, "joint.surface_gap": surface_gap,
            "bits.v.angle": shape.angle, "bits.v.tip": 2 * shape.tip_radius, "bits.v.diameter": 30.0,
        }
    )  # fmt: skip


def applied(trial: Trial, correction: Correction) -> tuple[AsCut, float]:
    """The pair after the cut, and how far the plane that its lift is told from has moved down the plug."""
    cut = trial.cut
    if correction.part == "base":
        assert correction.zero_shift is not None
        return replace(cut, pocket_v_error=cut.pocket_v_error - correction.zero_shift), 0.0
    assert correction.start_depth is not None
    assert correction.depth_below_start is not None
    moved = correction.start_depth - cut.start_depth
    again = replace(
        cut, start_depth=correction.start_depth, depth_below_start=correction.depth_below_start,
        # the first run is still in the wood
        plug_passes=((cut.start_depth, cut.depth_below_start),),
    )  # fmt: skip
    return again, moved


def back_after(seed: int, part: str) -> float:
    trial = Trial(seed)
    read, nominal = trial.lift(trial.cut, HAND), trial.lift(trial.meant, trial.clamp)
    first = read - trial.lift(trial.meant, HAND)
    (expected,) = expected_above_walls(trial.joint, first, hand_force_n=HAND, strengths_mpa=(STRENGTH,))
    after = Gaps(lift=nominal, glue_gap=0.0, surface_gap=0.0)
    cuts = for_a_proud_plug(trial.job, trial.depths, read - expected, "both", after)
    correction = next(cut for cut in cuts if cut.part == part and cut.step == "walls")
    assert not correction.stops, correction.stops
    cut, moved = applied(trial, correction)
    return trial.lift(cut, trial.clamp) - moved - nominal


@pytest.mark.parametrize("part", ["plug", "base"])
@pytest.mark.parametrize("seed", range(10))
def test_cut_brings_the_clamped_seat_back(seed: int, part: str) -> None:
    assert abs(back_after(seed, part)) < BACK


@pytest.mark.wide
@pytest.mark.parametrize("part", ["plug", "base"])
def test_cut_brings_the_clamped_seat_back_for_200_jobs(part: str) -> None:
    off = np.abs([back_after(seed, part) for seed in range(200)])
    print(f"\n| {part} | {(off < BACK).sum()} | {off.max():.4f} | {np.sqrt((off**2).mean()):.4f} |")
    # which cut is to blame a reading cannot tell, and where corners hold the hand's load that matters a little
    assert (off < BACK).mean() >= 0.98
    assert off.max() < 0.03


def test_without_a_cut_it_does_not_come_back() -> None:
    trial = Trial(3)
    assert trial.lift(trial.cut, trial.clamp) - trial.lift(trial.meant, trial.clamp) > 0.1


@pytest.mark.parametrize("seed", range(4))
def test_deepened_pocket_lets_loose_walls_close(seed: int) -> None:
    trial = Trial(seed)
    # both V-bits so deep that the plug is on the floor with its walls loose
    deep = trial.depths.glue_gap / 2 + 0.1
    cut = replace(trial.meant, pocket_v_error=deep, plug_v_error=deep)
    floor = -trial.depths.glue_gap
    assert trial.lift(cut, trial.clamp) == pytest.approx(floor, abs=0.002)
    more = trial.depths.glue_gap + 0.3
    after = Gaps(lift=0.0, glue_gap=0.0, surface_gap=1.0)
    (correction,) = for_a_plug_on_the_floor(trial.job, trial.depths, more, "base", after)
    assert correction.total_depth == pytest.approx(trial.depths.pocket_depth + more)
    slope = trial.job.bits.pocket_v.shape.slope
    assert correction.clearing_offset == pytest.approx(correction.total_depth * slope)
    # the same wall line: the programme is that of a deeper pocket, its first run still in the wood
    again = replace(cut, pocket_depth=correction.total_depth, pocket_passes=(trial.depths.pocket_depth,))
    joint = PlannedPair(again)
    areas = overlap_areas(joint, rays_of(joint))
    lift = areas.lift_under(trial.clamp, STRENGTH)
    # on its walls now, off the floor, which is that much lower
    assert lift > -trial.depths.glue_gap - more + 0.05
    assert lift == pytest.approx(-2 * deep, abs=0.02)
