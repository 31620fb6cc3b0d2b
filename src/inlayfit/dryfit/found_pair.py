"""The pair as it was found at the dry fit, in the model: cut again, and seated again. Lengths in mm.

Lifts are over the nominal seat of the plug as first programmed, also where its walls have been cut again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Job

if TYPE_CHECKING:
    from inlayfit.seat.as_cut import AsCutBit
    from inlayfit.seat.fit import Fit

STRONGER: Final = 4.0
"""How much more than the table's strength very small contacts may bear."""


@dataclass(frozen=True, kw_only=True)
class FoundPair:
    """A pocket and its plug, off by this much from what is planned: too deep above 0.

    ``start_depth`` and ``depth_below_start`` are of the plug's walls, ``pocket_depth`` of the pocket's programme;
    ``bit`` is how much more in degrees the angle of both V-bits is. ``typed`` is how much too high the plug's walls
    were typed to start, which is in ``plug_v`` and no error of the zero; ``first`` are the plug's walls as cut before.
    """

    job: Job
    depths: Depths
    fit: Fit | None
    pocket_v: float = 0.0
    plug_v: float = 0.0
    pocket_floor: float = 0.0
    plug_floor: float = 0.0
    bit: float = 0.0
    typed: float = 0.0
    pocket_depth: float
    start_depth: float
    depth_below_start: float
    first: tuple[float, float] | None = None

    @property
    def has_floor(self) -> bool:
        """Whether any of the pocket's floor lies open to the plug's face; strokes that all end in a V have none."""
        if self.fit is None:
            return True
        return bool((self.fit.rays.inside >= self.fit.pair.pocket.full * (1 - 1e-6)).any())

    @property
    def ridge(self) -> float:
        """Height of the ridges on the pocket's floor."""
        return max(bit.ridge for bit in self.job.bits.clearing or (self.job.bits.pocket_v,))

    @property
    def floor(self) -> float:
        """Lift at which the plug's face is on the pocket's floor."""
        deep = self.pocket_depth + self.pocket_floor + known_errors(self.job).depth.pocket_floor
        return self.depths.start_depth - deep + self.ridge

    @property
    def own_floor(self) -> float:
        """Lift at which the plug's own floor is on the base's face."""
        return -self.depths.depth_below_start - self.plug_floor - known_errors(self.job).depth.plug_floor

    def by_hand(self) -> tuple[float, float]:
        """Lift under a hand, at the wood's strength and at four times it."""
        if self.fit is None:
            bit = known_errors(self.job).plug_bit
            lift = self._walls_alone()
            return lift, lift + bit.flank_radius / bit.slope
        strength = self.fit.strength.across
        low, high = self._lifts(self.job.joint.hand_force, (strength, STRONGER * strength))
        return low, high

    def clamped(self) -> float:
        """Lift under the clamp."""
        if self.fit is None:
            return max(self._walls_alone(), self.floor, self.own_floor)
        return self._lifts(self.fit.seat.clamp_force, (self.fit.strength.across,))[0]

    def _walls_alone(self) -> float:
        """Lift of walls of full depth, without an outline."""
        known = known_errors(self.job)
        moved = self.pocket_v * known.pocket_bit.slope / known.plug_bit.slope + self.plug_v
        return -moved - (self.start_depth - self.depths.start_depth) + self._planned_walls()

    def _planned_walls(self) -> float:
        from inlayfit.joint.taper import wall_lift

        known, bits, depths = known_errors(self.job), self.job.bits, self.depths
        return wall_lift(
            (bits.pocket_v.shape, known.pocket_bit), (bits.plug_v.shape, known.plug_bit), depth=depths.pocket_depth,
            below=depths.depth_below_start, joined=depths.start_depth, pocket_error=known.depth.pocket_v,
            plug_error=known.depth.plug_v,
        )  # fmt: skip

    def _lifts(self, force: float, strengths: tuple[float, ...]) -> tuple[float, ...]:
        from inlayfit.seat.load import overlap_areas
        from inlayfit.seat.rays import rays_of

        assert self.fit is not None
        planned = self.fit.pair.cut
        # passes above the last take nothing more of walls that were cut lower, and less of higher ones
        plug_passes = planned.plug_passes if self.first is None else (*planned.plug_passes, self.first)
        pocket_passes = planned.pocket_passes
        if self.pocket_depth > self.depths.pocket_depth:
            pocket_passes = (*pocket_passes, self.depths.pocket_depth)
        cut = replace(
            planned,
            pocket_bit=_turned(planned.pocket_bit, self.bit),
            plug_bit=_turned(planned.plug_bit, self.bit),
            pocket_depth=self.pocket_depth,
            start_depth=self.start_depth,
            depth_below_start=self.depth_below_start,
            pocket_v_error=planned.pocket_v_error + self.pocket_v,
            plug_v_error=planned.plug_v_error + self.plug_v,
            pocket_floor_error=planned.pocket_floor_error + self.pocket_floor,
            plug_floor_error=planned.plug_floor_error + self.plug_floor,
            pocket_passes=pocket_passes,
            plug_passes=plug_passes,
        )
        joint = self.fit.pair.recut(cut)
        areas = overlap_areas(joint, rays_of(joint))
        # the plane that lifts are told from has gone down the plug with a deeper start
        moved = self.start_depth - self.depths.start_depth
        return tuple(max(areas.lift_under(force, strength) - moved, self.own_floor) for strength in strengths)


def _turned(bit: AsCutBit, angle: float) -> AsCutBit:
    return replace(bit, actual=bit.actual.off_by(angle, 0.0))


def as_planned(job: Job, depths: Depths, fit: Fit | None) -> FoundPair:
    """The pair with nothing off."""
    return FoundPair(
        job=job, depths=depths, fit=fit, pocket_depth=depths.pocket_depth, start_depth=depths.start_depth,
        depth_below_start=depths.depth_below_start,
    )  # fmt: skip
