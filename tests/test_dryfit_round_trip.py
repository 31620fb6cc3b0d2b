"""Errors put into the cuts, the reading computed from them, and the correcting cut applied: the seat comes back.

The by-hand lift is read in the middle of what is expected, so that what is tried is the cut, not the wood.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from jobs import job
from joints import MIXED
from outlines import outline_of
from shapely import MultiPolygon, Polygon, affinity

from inlayfit.dryfit.answer import dry_fit
from inlayfit.dryfit.cuts import Correction
from inlayfit.joint.job import Held
from inlayfit.joint.reading import MeasuredDepths, Reading
from inlayfit.plan import plan
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.rays import rays_of

BACK = 0.01
"""The clamped seat must come back to within this, mm."""
SHAPES = [name for name in MIXED if name not in ("close_pair",)]


class Trial:
    """A random job as it should be, and as it was cut."""

    def __init__(self, seed: int) -> None:
        rng = np.random.default_rng(seed)
        name = SHAPES[seed % len(SHAPES)]
        outline = affinity.scale(MIXED[name](), *([float(rng.uniform(2.5, 4.0))] * 2), origin=(0, 0))
        outline = MultiPolygon([outline]) if isinstance(outline, Polygon) else outline
        self.job = job(
            {
                "joint.pocket_depth": float(rng.uniform(3.5, 6.5)), "joint.glue_gap": float(rng.uniform(0.4, 0.8)),
                "joint.surface_gap": float(rng.uniform(2.0, 3.0)), "joint.clamp_pressure": 0.3,
                "bits.v.angle": float(rng.choice([30.0, 45.0, 60.0])), "bits.v.tip": float(rng.uniform(0.04, 0.2)),
                "bits.v.diameter": 30.0, "base.wood": "black walnut", "plug.wood": "sugar maple",
            }
        )  # fmt: skip
        self.plan = plan(self.job, outline_of(outline.geoms))
        self.depths = self.plan.facts.depths
        self.fit = self.plan.facts.outline.fit
        self.meant: AsCut = self.fit.pair.cut
        # both V-bits too shallow, by 0.1 to 0.8 mm in all
        self.cut = replace(
            self.meant, pocket_v_error=-float(rng.uniform(0.05, 0.4)), plug_v_error=-float(rng.uniform(0.05, 0.4)),
            pocket_floor_error=float(rng.uniform(-0.1, 0.1)),
        )  # fmt: skip

    def lift(self, cut: AsCut, force: float, times: float = 1.0) -> float:
        joint = self.fit.pair.recut(cut)
        return overlap_areas(joint, rays_of(joint)).lift_under(force, times * self.fit.strength.across)

    def clamped(self, cut: AsCut) -> float:
        return self.lift(cut, self.fit.seat.clamp_force)

    def corrections(self, cut: AsCut, held: Held) -> list[Correction]:
        """What the answer says to a reading of this pair, both floors measured."""
        by_hand = (self.lift(cut, self.job.joint.hand_force) + self.lift(cut, self.job.joint.hand_force, 4.0)) / 2
        readings = [Reading(kind="gap", value=self.depths.depth_below_start + by_hand)] * 3
        floors = MeasuredDepths(
            pocket=self.depths.pocket_depth + cut.pocket_floor_error, plug=self.depths.plug_total_depth
        )
        answer = dry_fit(self.plan, readings, held, floors)
        return [*answer.corrections, *answer.ruled_out]


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


def back_after(seed: int) -> dict[str, float]:
    """By part, how far off the seat is after its walls are cut again, of the cuts that the answer has."""
    trial = Trial(seed)
    off = {}
    for correction in trial.corrections(trial.cut, "both"):
        if correction.step == "walls" and correction.stop is None:
            cut, moved = applied(trial, correction)
            off[correction.part] = trial.clamped(cut) - moved - trial.fit.seat.lift
    return off


@pytest.mark.parametrize("seed", range(6))
def test_cut_brings_the_clamped_seat_back(seed: int) -> None:
    off = back_after(seed)
    assert "plug" in off
    assert max(map(abs, off.values())) < BACK


@pytest.mark.wide
def test_cut_brings_the_clamped_seat_back_for_200_jobs() -> None:
    found = [back_after(seed) for seed in range(200)]
    for part in ("plug", "base"):
        off = np.abs([one[part] for one in found if part in one])
        print(f"\n| {part} | {len(off)} | {(off < BACK).sum()} | {off.max():.4f} | {np.sqrt((off**2).mean()):.4f} |")
        # which cut is to blame a reading cannot tell, and where corners hold the hand's load that matters a little
        assert len(off) >= 160
        assert (off < BACK).mean() >= 0.95
        assert off.max() < 0.05


def test_without_a_cut_it_does_not_come_back() -> None:
    trial = Trial(3)
    assert trial.clamped(trial.cut) - trial.fit.seat.lift > 0.1


@pytest.mark.parametrize("seed", range(4))
def test_deepened_pocket_lets_loose_walls_close(seed: int) -> None:
    trial = Trial(seed)
    # both V-bits so deep that the plug is on the floor with its walls loose
    deep = trial.depths.glue_gap / 2 + 0.04
    cut = replace(trial.meant, pocket_v_error=deep, plug_v_error=deep)
    floor = -trial.depths.glue_gap
    assert trial.clamped(cut) == pytest.approx(floor, abs=0.002)
    (correction,) = trial.corrections(cut, "base")
    assert correction.total_depth is not None
    more = correction.total_depth - trial.depths.pocket_depth
    assert more > trial.depths.glue_gap
    slope = trial.job.bits.pocket_v.shape.slope
    assert correction.clearing_offset == pytest.approx(correction.total_depth * slope)
    # the same wall line: the programme is that of a deeper pocket, its first run still in the wood
    again = replace(cut, pocket_depth=correction.total_depth, pocket_passes=(trial.depths.pocket_depth,))
    lift = trial.clamped(again)
    # on its walls now, off the floor, which is that much lower
    assert lift > floor - more + 0.05
    assert lift == pytest.approx(-2 * deep, abs=0.06)
