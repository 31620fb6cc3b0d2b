"""The fillet that clearing bits with rounded corners leave beside the foot of a wall.

The V-bit's wall pass takes some of it away, its other flank cutting into it; the crest that is left stands where both
are as high. Lengths in mm, heights above the cleared floor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.cutters import Profile
from inlayfit.joint.job import Job

_HALVINGS: Final = 60


@dataclass(frozen=True, kw_only=True)
class Fillet:
    """What is left beside a straight wall, told by the distance from the drawn wall's foot.

    declared, real: the V-bit that the wall is drawn with and that cut it; clearing: the bits that cleared, whose edges
    stayed ``allowance`` from the foot; lower: how much deeper than the cleared floor the V-bit ran.
    """

    declared: Profile
    real: Profile
    clearing: tuple[Profile, ...]
    allowance: float
    lower: float = 0.0

    @property
    def end(self) -> float:
        """Where the floor is flat from at the latest."""
        return self.allowance + max((bit.rounding for bit in self.clearing), default=0.0)

    def by_clearing(self, distance: float) -> float:
        """Height that the clearing bits alone leave there."""
        return min(bit.depth_in(bit.flank_start - (distance - self.allowance)) for bit in self.clearing)

    def by_v(self, distance: float) -> float:
        """Height that the V-bit leaves there, from its wall pass and from where it cleans the allowance."""
        wall = self.real.depth_in(abs(distance - self.declared.flank_radius)) - self.lower
        if self.allowance == 0:
            return wall
        return min(wall, self.real.depth_in(max(0.0, distance - self.allowance) + self.real.flank_radius))

    def height_at(self, distance: float) -> float:
        """Height of the wood left there; 0 outside the fillet."""
        if not self.allowance <= distance < self.end:
            return 0.0
        return max(0.0, min(self.by_clearing(distance), self.by_v(distance)))

    @property
    def crest(self) -> float:
        """Where the fillet stands highest."""
        low, high = self.allowance, self.end
        if self.end <= self.allowance or self.by_v(low) >= self.by_clearing(low):
            return low
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.by_v(middle) < self.by_clearing(middle) else (low, middle)
        return low

    @property
    def height(self) -> float:
        """Height of its crest; 0 where the clearing bits' corners are square, or the V-bit takes all of it."""
        return self.height_at(self.crest)

    def width_at(self, height: float) -> float:
        """How wide the wood is at this height over the floor, at least 0."""
        if not self.clearing:
            return 0.0
        v = self.declared.flank_radius + self.real.half_width_at(max(0.0, height + self.lower))
        if self.allowance > 0:
            v = max(v, self.allowance + self.real.half_width_at(height) - self.real.flank_radius)
        return max(0.0, self.allowance + min(bit.flank_start - bit.half_width_at(height) for bit in self.clearing) - v)

    def height_bearing(self, width: float) -> float:
        """The greatest height over the floor at which the wood is so wide; 0 where it nowhere is."""
        low, high = 0.0, self.height
        if self.width_at(low) <= width:
            return 0.0
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.width_at(middle) > width else (low, middle)
        return low


def beside_wall(job: Job, part: Literal["pocket", "plug"]) -> Fillet:
    """The fillet beside a part's wide walls, every touch-off right."""
    bit = job.bits.pocket_v if part == "pocket" else job.bits.plug_v
    clearing = tuple(other.shape for other in job.bits.clearing)
    return Fillet(declared=bit.shape, real=bit.real, clearing=clearing, allowance=job.joint.wall_allowance)
