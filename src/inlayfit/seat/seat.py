"""Where a plug comes to rest in its pocket: at first touch, by hand, and under the clamp."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf, sqrt

import numpy as np

from inlayfit.errors import InputError
from inlayfit.joint.strength import FRICTION
from inlayfit.outline.analysis import Kept, OutlineAnalysis
from inlayfit.seat.as_cut import AsCut
from inlayfit.seat.contacts import Contact, LostPoint, contacts, points_lost
from inlayfit.seat.joint_line import Clearances, JointLine, clearances
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.overlap import Overlap
from inlayfit.seat.plan_rays import Rays, rays

SPREAD = 4.0  # very small contacts bear two to seven times the strength across the grain


@dataclass(frozen=True, kw_only=True)
class SeatedContact(Contact):
    """A contact, and by how much the clamp crushes it [mm]."""

    crushed: float


@dataclass(frozen=True, kw_only=True)
class Seat:
    """Where the plug rests. Lifts are over the nominal seat, proud above 0 [mm]; forces in N, areas in mm2.

    first_touch: the least lift without any overlap; by_hand: lift under a hand's force [at the strength, at four
    times it]; lift, lift_strong: clamped, likewise; walls: lift at which all the walls bear; crushed_share: of the
    wall band's plan area; wall_load: force that the walls bear [across the grain without friction, with friction and
    the mean of both grain directions]; closing_force: least force that closes the joint to the limit, None where no
    force does; surface_gap_least: the least gap over the plug's narrow grooves, with its place where there is such a
    groove. joint_line is at the base's original face, joint_line_levelled where levelling leaves the face (None
    where levelling takes the whole outline away), and joint_line_strong the line seen were the wood four times as
    strong.
    """

    first_touch: float
    by_hand: tuple[float, float]
    lift: float
    lift_strong: float
    walls: float
    contacts: tuple[SeatedContact, ...]
    points_lost: tuple[LostPoint, ...]
    crushed_area: float
    crushed_share: float
    wall_load: tuple[float, float]
    clamp_force: float
    closing_force: float | None
    glue_gap: float
    surface_gap: float
    surface_gap_least: float
    surface_gap_least_at: tuple[float, float] | None
    joint_line: JointLine
    joint_line_levelled: JointLine | None
    joint_line_strong: JointLine
    walls_seen: Clearances = field(repr=False, compare=False)
    """Clearance of every wall, where ``seen`` is taken."""

    @property
    def seen(self) -> JointLine:
        """The joint line that is seen: levelled, where anything is left then."""
        return self.joint_line_levelled or self.joint_line


class ContactShelf:
    """Contacts on an outline, by what was cut how."""

    def __init__(self) -> None:
        self.found: Kept[AsCut, list[Contact]] = Kept()


def seat(
    cut: AsCut,
    *,
    crush_strength_mpa: float,
    clamp_force_n: float,
    hand_force_n: float = 100.0,
    strength_along_mpa: float | None = None,
    level_below: float = 0.0,
    joint_line_limit: float = 0.1,
    share_limit: float = 0.05,
    analysis: OutlineAnalysis | None = None,
) -> Seat:
    """Seat of a plug in its pocket, for wood of this strength across the grain, levelled this far below the face.

    ``analysis`` is the outline's own, for cuts that share it.
    """
    joint = Overlap(cut, analysis)
    return seat_of(
        joint, rays(joint), crush_strength_mpa=crush_strength_mpa, clamp_force_n=clamp_force_n,
        hand_force_n=hand_force_n, strength_along_mpa=strength_along_mpa, level_below=level_below,
        joint_line_limit=joint_line_limit, share_limit=share_limit,
    )  # fmt: skip


def seat_of(
    joint: Overlap,
    plan: Rays,
    *,
    crush_strength_mpa: float,
    clamp_force_n: float,
    hand_force_n: float,
    strength_along_mpa: float | None,
    level_below: float,
    joint_line_limit: float,
    share_limit: float,
) -> Seat:
    """As :func:`seat`, of cuts and rays at hand."""
    cut = joint.cut
    for name, value in (
        ("crush_strength_mpa", crush_strength_mpa),
        ("clamp_force_n", clamp_force_n),
        ("hand_force_n", hand_force_n),
    ):
        if not 0 < value < inf:
            raise InputError(f"{name}: must be above 0, got {value}")
    found = joint.analysis.shelf(ContactShelf).found.get(cut, lambda: contacts(joint, plan))
    areas = overlap_areas(joint, plan)
    touch = found[0].lift

    def under(force: float, strength: float) -> float:
        return min(touch, areas.lift_under(force, strength))

    lift, lift_strong = under(clamp_force_n, crush_strength_mpa), under(clamp_force_n, SPREAD * crush_strength_mpa)
    face = clearances(joint, plan.every)
    levelled = clearances(joint, plan.every, level_below)
    walls_seen = levelled if len(levelled.open) else face
    band = _wall_band(joint, plan)
    crushed = areas.above(lift)
    closed_at = min(touch, face.lift_that_closes(joint_line_limit, share_limit))
    gap_least, gap_at = _least_surface_gap(joint, plan, lift)
    mean = sqrt(strength_along_mpa * crush_strength_mpa) if strength_along_mpa else crush_strength_mpa
    return Seat(
        first_touch=touch,
        by_hand=(under(hand_force_n, crush_strength_mpa), under(hand_force_n, SPREAD * crush_strength_mpa)),
        lift=lift,
        lift_strong=lift_strong,
        walls=areas.walls,
        contacts=tuple(SeatedContact(**c.__dict__, crushed=max(0.0, c.lift - lift)) for c in found),
        points_lost=points_lost(joint),
        crushed_area=crushed,
        # where no wall is left to compare with, all that bears is crushed
        crushed_share=crushed / max(band, crushed, 1e-9),
        wall_load=(crush_strength_mpa * band, mean * band * (1 + FRICTION / cut.plug_bit.actual.slope)),
        clamp_force=clamp_force_n,
        closing_force=None if closed_at < areas.walls - 1e-6 else crush_strength_mpa * areas.above(closed_at),
        glue_gap=lift - joint.open_floor_lift,
        surface_gap=cut.depth_below_start + cut.plug_floor_error + lift,
        surface_gap_least=gap_least,
        surface_gap_least_at=gap_at,
        joint_line=face.at_lift(lift, joint_line_limit),
        joint_line_levelled=levelled.at_lift(lift, joint_line_limit) if len(levelled.open) else None,
        joint_line_strong=walls_seen.at_lift(lift_strong, joint_line_limit),
        walls_seen=walls_seen,
    )


def _wall_band(joint: Overlap, plan: Rays) -> float:
    """Plan area of the walls that bear [mm2]: their length times the sideways run of their depth."""
    bit = joint.cut.pocket_bit.declared
    deep = np.clip((plan.inside - bit.flank_radius) / bit.slope, 0, joint.cut.start_depth)
    straight = plan.corner < 0
    return float((deep * plan.width)[straight].sum()) * bit.slope


def _least_surface_gap(joint: Overlap, plan: Rays, lift: float) -> tuple[float, tuple[float, float] | None]:
    """The least gap between the plug's floor and the base's face, in grooves with nearly parallel sides [mm]."""
    cut, bit = joint.cut, joint.cut.plug_bit.declared
    whole = cut.depth_below_start + cut.plug_floor_error + lift
    narrow = np.flatnonzero((plan.corner < 0) & (plan.outside < joint.plug_full) & (plan.outside >= bit.flank_radius))
    if not len(narrow):
        return whole, None
    radius, width = plan.outside[narrow], plan.width[narrow]
    step = 0.05 * np.clip(width, 0.02, 0.5)
    along = np.stack([plan.normal[narrow, 1], -plan.normal[narrow, 0]], 1)
    beside = joint.boundary.discs(plan.foot[narrow] + step[:, None] * along, -plan.normal[narrow], joint.plug_full)
    parallel = np.abs(beside - radius) < 0.2 * step
    gap = (radius - bit.flank_radius) / bit.slope + cut.plug_v_error + lift
    if not parallel.any():
        return whole, None
    i = int(np.flatnonzero(parallel)[np.argmin(gap[parallel])])
    if gap[i] >= whole:
        return whole, None
    at = plan.foot[narrow[i]] - radius[i] * plan.normal[narrow[i]]
    return float(gap[i]), (float(at[0]), float(at[1]))
