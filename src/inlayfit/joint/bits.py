"""The cutters: the V-bit's profile with its closed forms, and straight bits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property


@dataclass(frozen=True, kw_only=True)
class VShape:
    """Profile of a V-bit: a cone with a point, a flat or a ball for a tip.

    ``angle`` is the included angle in degrees, ``tip_radius`` half the width of the flat in mm (0: a true
    point), ``ball_radius`` the radius of a ball tip in mm (0: none). A bit has a flat or a ball, not both.
    """

    angle: float
    tip_radius: float = 0.0
    ball_radius: float = 0.0

    @cached_property
    def slope(self) -> float:
        """Sideways run of the wall for each unit of depth, tan(angle / 2)."""
        return math.tan(math.radians(self.angle / 2))

    @cached_property
    def flank_radius(self) -> float:
        """Half-width in mm of the flat tip that has the same straight flank.

        For a ball of radius b it is b (1 - sin t) / cos t with t half the angle: where the tangent cone would
        be cut off level with the ball's lowest point.
        """
        if self.ball_radius == 0:
            return self.tip_radius
        half = math.radians(self.angle / 2)
        return self.ball_radius * (1 - math.sin(half)) / math.cos(half)

    @property
    def as_flat(self) -> VShape:
        """The flat tip with the same straight flank: what a programme sends into strokes and corners.

        It runs the tip where the flank touches both sides, so a stroke narrower than this flat counts as not cut,
        though a ball by itself would scratch it.
        """
        return VShape(angle=self.angle, tip_radius=self.flank_radius)

    @property
    def flank_start(self) -> float:
        """Distance in mm from the bit's axis at which the straight flank begins."""
        return self.tip_radius + self.ball_radius * math.cos(math.radians(self.angle / 2))

    @property
    def fillet_height(self) -> float:
        """Height in mm of the rounded part of a ball tip, b (1 - sin t); 0 for other tips.

        A pocket's wall is true only down to this much above its floor.
        """
        return self.ball_radius * (1 - math.sin(math.radians(self.angle / 2)))

    def depth_in(self, half_width: float) -> float:
        """How deep the tip goes where it touches both edges of a stroke, in mm; 0 where it does not enter.

        ``half_width`` is half the stroke's width. Flat or point: (w/2 - r) / T. Ball: b - sqrt(b2 - w2/4) while
        the ball itself touches, then the flank. The same relation gives the ridge between two passes.

        >>> round(VShape(angle=90, tip_radius=0.5).depth_in(3.0), 6)
        2.5
        """
        b = self.ball_radius
        if half_width <= 0:
            return 0.0
        if b and half_width < self.flank_start:
            return b - math.sqrt(b * b - half_width * half_width)
        return max(0.0, (half_width - self.flank_radius) / self.slope)

    def half_width_at(self, depth: float) -> float:
        """Half the width in mm of a groove cut ``depth`` mm deep (at least 0): inverse of :meth:`depth_in`."""
        b = self.ball_radius
        if b and depth < self.fillet_height:
            return math.sqrt(b * b - (b - depth) ** 2)
        return self.flank_radius + depth * self.slope

    def ridge(self, stepover: float) -> float:
        """Height in mm of the ridge between passes ``stepover`` mm apart.

        Point or flat: max(0, s - 2 r) / (2 T); ball: b - sqrt(b2 - s2/4) while the balls meet. Two cutters side
        by side meet half-way, at the height where half a stepover is as wide as the cutter.
        """
        return self.depth_in(stepover / 2)

    def cone_height(self, diameter: float) -> float:
        """Depth in mm down to which a bit of this largest diameter cuts a true wall: (D/2 - r) / T."""
        return (diameter / 2 - self.flank_radius) / self.slope


@dataclass(frozen=True, kw_only=True)
class VBit:
    """A V-bit as declared in the programme, with the shop's limits for it. Lengths in mm."""

    name: str
    shape: VShape
    real: VShape
    """What it measures; the declared shape where nothing was measured."""
    diameter: float
    reach: float | None
    depth_of_cut: float
    stepover: float
    shank: float | None = None
    """Diameter of the shank, from ``reach`` upwards."""
    stick_out: float | None = None
    """From the tip to the collet."""

    @property
    def cone_height(self) -> float:
        """Depth down to which it cuts a true wall, as declared and as it measures."""
        return min(self.shape.cone_height(self.diameter), self.real.cone_height(self.diameter))

    @property
    def ridge(self) -> float:
        """Height of the ridges that its stepover leaves, as declared or as it measures, whichever is more."""
        return max(self.shape.ridge(self.stepover), self.real.ridge(self.stepover))


@dataclass(frozen=True, kw_only=True)
class StraightBit:
    """A straight bit that clears, cuts out or levels. Lengths in mm."""

    name: str
    diameter: float
    reach: float | None
    depth_of_cut: float
    stepover: float
    shank: float | None = None
    """Diameter of the shank, from ``reach`` upwards."""
    stick_out: float | None = None
    """From the tip to the collet."""
