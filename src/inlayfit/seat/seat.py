"""Where a plug comes to rest in its pocket: at first touch, by hand, and under the clamp."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from math import inf, sqrt
from typing import NamedTuple

import numpy as np

from inlayfit.errors import InputError
from inlayfit.joint.strength import FRICTION, SPREAD
from inlayfit.seat.contacts import Contact, LostPoint, contacts, points_lost
from inlayfit.seat.joint_line import JointLine, Openings, openings
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays, rays_of


@dataclass(frozen=True, kw_only=True)
class SeatedContact(Contact):
    """A contact, and by how much the clamp crushes it [mm]."""

    crushed: float


class WallLoad(NamedTuple):
    """Force that the walls bear [N]: across the grain without friction; with it and the mean of both directions."""

    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Seat:
    """Where the plug rests. Lifts are over the nominal seat, proud above 0 [mm]; forces in N, areas in mm2.

    first_touch: the least lift without any overlap; by_hand: lift under a hand's force [at the strength, at four
    times it]; lift, lift_strong: clamped, likewise; walls: lift at which all the walls bear; crushed_share: of the
    wall band's plan area; closing_force: least force that closes the joint to the limit, None where no
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
    wall_load: WallLoad
    clamp_force: float
    closing_force: float | None
    glue_gap: float
    surface_gap: float
    surface_gap_least: float
    surface_gap_least_at: tuple[float, float] | None
    joint_line: JointLine
    joint_line_levelled: JointLine | None
    joint_line_strong: JointLine
    walls_seen: Openings = field(repr=False, compare=False)
    """Clearance of every wall, where ``seen`` is taken."""

    @property
    def seen(self) -> JointLine:
        """The joint line that is seen: levelled, where anything is left then."""
        return self.joint_line_levelled or self.joint_line


class Touch:
    """A pair with its rays and contacts, each worked out when it is first asked for."""

    def __init__(self, pair: Pair) -> None:
        self.pair = pair

    @cached_property
    def rays(self) -> Rays:
        """Rays over the whole outline."""
        return rays_of(self.pair)

    @cached_property
    def contacts(self) -> list[Contact]:
        """Contacts in order of lift, highest first."""
        return contacts(self.pair, self.rays)


@dataclass(frozen=True, kw_only=True)
class Loads:
    """Forces on the plug [N], and what the wood bears across the grain and, where it is known, along it [MPa].

    Raises :class:`InputError` where one is not above 0.
    """

    crush_strength_mpa: float
    clamp_force_n: float
    hand_force_n: float = 100.0
    strength_along_mpa: float | None = None

    def __post_init__(self) -> None:
        for name in ("crush_strength_mpa", "clamp_force_n", "hand_force_n"):
            value = getattr(self, name)
            if not 0 < value < inf:
                raise InputError(f"{name}: must be above 0, got {value}")


@dataclass(frozen=True, kw_only=True)
class Standard:
    """What the seat is judged by: the level where it is seen, below the face, and the joint line that may be open [mm].

    share: of the outline that may be open by more.
    """

    level_below: float = 0.0
    joint_line: float = 0.1
    share: float = 0.05


def seat(touch: Touch, loads: Loads, standard: Standard = Standard()) -> Seat:
    """Seat of a plug in its pocket under these loads."""
    pair, rays, found = touch.pair, touch.rays, touch.contacts
    plug, strength = pair.plug, loads.crush_strength_mpa
    areas = overlap_areas(pair, rays)
    first = found[0].lift

    def under(force: float) -> tuple[float, float]:
        """Lift at the strength and at four times it."""
        lifts = [min(first, areas.lift_under(force, times * strength)) for times in (1.0, SPREAD)]
        return lifts[0], lifts[1]

    lift, lift_strong = under(loads.clamp_force_n)
    face = openings(pair, rays.every)
    levelled = openings(pair, rays.every, standard.level_below)
    walls_seen = levelled if len(levelled.open) else face
    band = _wall_band(pair, rays)
    crushed = areas.above(lift)
    closed_at = min(first, face.lift_that_closes(standard.joint_line, standard.share))
    gap_least, gap_at = _least_surface_gap(pair, rays, lift)
    mean = sqrt(loads.strength_along_mpa * strength) if loads.strength_along_mpa else strength
    return Seat(
        first_touch=first,
        by_hand=under(loads.hand_force_n),
        lift=lift,
        lift_strong=lift_strong,
        walls=areas.walls,
        contacts=tuple(SeatedContact(**c.__dict__, crushed=max(0.0, c.lift - lift)) for c in found),
        points_lost=points_lost(pair),
        crushed_area=crushed,
        # where no wall is left to compare with, all that bears is crushed
        crushed_share=crushed / max(band, crushed, 1e-9),
        wall_load=WallLoad(strength * band, mean * band * (1 + FRICTION / plug.actual.slope)),
        clamp_force=loads.clamp_force_n,
        closing_force=None if closed_at < areas.walls - 1e-6 else strength * areas.above(closed_at),
        glue_gap=lift - pair.open_floor_lift,
        surface_gap=plug.floor.depth + lift,
        surface_gap_least=gap_least,
        surface_gap_least_at=gap_at,
        joint_line=face.at_lift(lift, standard.joint_line),
        joint_line_levelled=levelled.at_lift(lift, standard.joint_line) if len(levelled.open) else None,
        joint_line_strong=walls_seen.at_lift(lift_strong, standard.joint_line),
        walls_seen=walls_seen,
    )


def _wall_band(pair: Pair, rays: Rays) -> float:
    """Plan area of the walls that bear [mm2]: their length times the sideways run of their depth."""
    bit = pair.pocket.declared
    deep = np.clip((rays.inside - bit.flank_radius) / bit.slope, 0, pair.start_depth)
    straight = rays.corner < 0
    return float((deep * rays.width)[straight].sum()) * bit.slope


def _least_surface_gap(pair: Pair, rays: Rays, lift: float) -> tuple[float, tuple[float, float] | None]:
    """The least gap between the plug's floor and the base's face, in grooves with nearly parallel sides [mm]."""
    plug, bit = pair.plug, pair.plug.declared
    whole = plug.floor.depth + lift
    narrow = np.flatnonzero((rays.corner < 0) & (rays.outside < plug.full) & (rays.outside >= bit.flank_radius))
    if not len(narrow):
        return whole, None
    radius, width = rays.outside[narrow], rays.width[narrow]
    step = 0.05 * np.clip(width, 0.02, 0.5)
    along = np.stack([rays.normal[narrow, 1], -rays.normal[narrow, 0]], 1)
    beside = pair.boundary.discs(rays.foot[narrow] + step[:, None] * along, -rays.normal[narrow], plug.full)
    parallel = np.abs(beside - radius) < 0.2 * step
    gap = (radius - bit.flank_radius) / bit.slope + plug.error + lift
    if not parallel.any():
        return whole, None
    i = int(np.flatnonzero(parallel)[np.argmin(gap[parallel])])
    if gap[i] >= whole:
        return whole, None
    at = rays.foot[narrow[i]] - radius[i] * rays.normal[narrow[i]]
    return float(gap[i]), (float(at[0]), float(at[1]))
