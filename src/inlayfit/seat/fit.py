"""From a job to its seat: the cuts that its passes leave, and the wood that bears them."""

from __future__ import annotations

from dataclasses import dataclass, field

from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.floor import floor_access
from inlayfit.joint.job import Job
from inlayfit.joint.limits import JOINT_LINE, SEAT
from inlayfit.joint.schedule import Pass
from inlayfit.joint.strength import Strength, joint_strength
from inlayfit.outline.analysis import Kept, OutlineAnalysis, analysis_of
from inlayfit.outline.regions import Outline
from inlayfit.seat.as_cut import AsCut, AsCutBit
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.rays import Rays
from inlayfit.seat.ridges import Ridges
from inlayfit.seat.seat import Loads, Seat, Standard, Touch, seat


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Where this job's plug seats, the wood strength it rests on, and the cuts it was found from."""

    seat: Seat
    strength: Strength
    pair: PlannedPair = field(repr=False, compare=False)
    rays: Rays = field(repr=False, compare=False)


class FitShelf:
    """Pairs on an outline with what was found of them, by what was cut how."""

    def __init__(self) -> None:
        self.pairs: Kept[AsCut, PlannedPair] = Kept()
        self.touches: Kept[AsCut, Touch] = Kept()


def fit(
    job: Job, depths: Depths, passes: tuple[Pass, ...], outline: Outline, analysis: OutlineAnalysis | None = None
) -> Fit:
    """The seat of a job's plug with the bits as they are; the depth below the start must be above 0.

    ``analysis`` is the outline's own, for jobs that share it.
    """
    strength = joint_strength(job)
    force = job.joint.clamp_force
    if force is None:
        force = job.joint.clamp_pressure * float(outline.area.area)
    analysis = analysis_of(outline, analysis)
    cut = as_cut(job, depths, passes, outline, analysis)
    shelf = analysis.shelf(FitShelf)
    pair = shelf.pairs.get(cut, lambda: PlannedPair(cut, analysis))
    touch = shelf.touches.get(cut, lambda: Touch(pair))
    loads = Loads(
        crush_strength_mpa=strength.across,
        clamp_force_n=force,
        hand_force_n=job.joint.hand_force,
        strength_along_mpa=strength.along,
    )
    standard = Standard(level_below=job.joint.level_below, joint_line=job.limits[JOINT_LINE], share=job.limits[SEAT])
    return Fit(pair=pair, rays=touch.rays, seat=seat(touch, loads, standard), strength=strength)


def as_cut(
    job: Job, depths: Depths, passes: tuple[Pass, ...], outline: Outline, analysis: OutlineAnalysis | None = None
) -> AsCut:
    """The cuts that the job's passes leave with its real bits, to the depths programmed and what they are known off."""
    bits, known = job.bits, known_errors(job)
    floor = floor_access(outline, job, depths, analysis).pocket
    pocket = [entry for entry in passes if entry.part == "pocket" and entry.step == "walls"]
    plug = [entry for entry in passes if entry.part == "plug" and entry.step == "walls"]
    return AsCut(
        outline=outline.area,
        pocket_bit=AsCutBit(declared=bits.pocket_v.shape, actual=known.pocket_bit),
        plug_bit=AsCutBit(declared=bits.plug_v.shape, actual=known.plug_bit),
        pocket_depth=depths.pocket_depth,
        start_depth=depths.start_depth,
        depth_below_start=depths.depth_below_start,
        pocket_v_error=known.depth.pocket_v,
        plug_v_error=known.depth.plug_v,
        pocket_floor_error=known.depth.pocket_floor,
        plug_floor_error=known.depth.plug_floor,
        clearing=tuple(bit.shape for bit in bits.clearing),
        wall_allowance=job.joint.wall_allowance,
        floor_fuzz=max((bit.ridge for bit in bits.clearing), default=0.0),
        ridges=Ridges(known.pocket_bit, bits.pocket_v.stepover, floor.area - floor.reached),
        pocket_passes=tuple(entry.total_depth for entry in pocket[:-1]),
        plug_passes=tuple((entry.start_depth or 0.0, entry.depth_below_start or 0.0) for entry in plug[:-1]),
    )
