"""What spins: a cutter's profile with its closed forms, and a cutter as the shop has it.

Lengths in mm, angles in degrees. V-bits, end mills and surfacing bits are one type; whoever cuts with one asks it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Swept = Literal["cutter", "shank", "collet"]
USUAL_ANGLES: Final = (45.0, 60.0, 90.0)
"""Included angles of the wider V-bits that are sold everywhere (common practice, no source)."""
HAIR: Final = 1e-9
"""A place no further than this outside an upright side is touched by it."""


@dataclass(frozen=True, kw_only=True)
class Profile:
    """Half of what a cutter shows from the side: a flat, an arc that rounds its edge, and a straight flank.

    ``angle`` is the included angle in degrees, 0 for the upright sides of an end mill; ``tip_radius`` half the width
    of the flat in mm; ``rounding`` the radius in mm of the arc between flat and flank. A V-bit has a true point
    (neither), a flat, or a ball (the rounding alone); an end mill has a flat, and a rounding where its corners have
    a radius. Arc and flank meet without a bend.
    """

    angle: float
    tip_radius: float = 0.0
    rounding: float = 0.0

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
        if self.rounding == 0:
            return self.tip_radius
        half = math.radians(self.angle / 2)
        return self.tip_radius + self.rounding * (1 - math.sin(half)) / math.cos(half)

    @property
    def as_flat(self) -> Profile:
        """The flat tip with the same straight flank: what a programme sends into strokes and corners.

        It runs the tip where the flank touches both sides, so a stroke narrower than this flat counts as not cut,
        though a ball by itself would scratch it.
        """
        return Profile(angle=self.angle, tip_radius=self.flank_radius)

    @property
    def flank_start(self) -> float:
        """Distance in mm from the bit's axis at which the straight flank begins."""
        return self.tip_radius + self.rounding * math.cos(math.radians(self.angle / 2))

    @property
    def fillet_height(self) -> float:
        """Height in mm of the rounded part, b (1 - sin t); 0 without one.

        A pocket's wall is true only down to this much above its floor.
        """
        return self.rounding * (1 - math.sin(math.radians(self.angle / 2)))

    def depth_in(self, half_width: float) -> float:
        """How deep the tip goes where it touches both edges of a stroke, in mm; 0 where it does not enter.

        ``half_width`` is half the stroke's width. Flat or point: (w/2 - r) / T. Ball: b - sqrt(b2 - w2/4) while
        the ball itself touches, then the flank. Upright sides go in without end. The same relation gives the ridge
        between two passes.

        >>> round(Profile(angle=90, tip_radius=0.5).depth_in(3.0), 6)
        2.5
        """
        on_arc = half_width - self.tip_radius
        if on_arc <= 0:
            return 0.0
        if self.rounding and half_width <= self.flank_start:
            return self.rounding - math.sqrt(max(0.0, self.rounding**2 - on_arc**2))
        return max(0.0, (half_width - self.flank_radius) / self.slope) if self.slope else math.inf

    def rise(self, distance: NDArray[np.float64]) -> NDArray[np.float64]:
        """Height in mm of the cutting edge over the tip's lowest point, at distances from the axis (any shape).

        As :meth:`depth_in` for many at once; infinite beyond upright sides.
        """
        import numpy as np

        if self.slope:
            flank = (distance - self.flank_radius) / self.slope
        else:
            flank = np.where(distance > self.flank_start + HAIR, np.inf, self.rounding)
        if self.rounding:
            across = np.clip(distance - self.tip_radius, 0.0, self.rounding)
            arc = self.rounding - np.sqrt(self.rounding**2 - across**2)
            return np.where(distance < self.flank_start, arc, flank)
        return np.maximum(flank, 0.0)

    def half_width_at(self, depth: float) -> float:
        """Half the width in mm of a groove cut ``depth`` mm deep (at least 0): inverse of :meth:`depth_in`."""
        if self.rounding and depth < self.fillet_height:
            return self.tip_radius + math.sqrt(self.rounding**2 - (self.rounding - depth) ** 2)
        return self.flank_radius + depth * self.slope

    def ridge(self, stepover: float) -> float:
        """Height in mm of the ridge between passes ``stepover`` mm apart.

        Point or flat: max(0, s - 2 r) / (2 T); ball: b - sqrt(b2 - s2/4) while the balls meet. Two cutters side
        by side meet half-way, at the height where half a stepover is as wide as the cutter.
        """
        return self.depth_in(stepover / 2)

    def cone_height(self, diameter: float) -> float:
        """Depth in mm down to which a bit of this largest diameter cuts a true wall: (D/2 - r) / T."""
        return (diameter / 2 - self.flank_radius) / self.slope if self.slope else math.inf

    def off_by(self, angle: float, wider: float) -> Profile:
        """The V-bit whose angle is more by ``angle`` and which cuts ``wider`` mm wider to each side, its tip of a kind.

        No flat is narrower than nothing; a bit that is not off stays itself, to the last digit.
        """
        if not angle and not wider:
            return self
        turned = replace(self, angle=self.angle + angle)
        return v_profile(turned.angle, max(0.0, turned.flank_radius + wider), ball=self.rounding > 0)

    def flanks_off_by(self, angle: NDArray[Any], wider: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
        """Slope and flank radius of :meth:`off_by` for many errors at once, as arrays."""
        import numpy as np

        half = np.radians((self.angle + angle) / 2)
        flank = self.tip_radius + self.rounding * (1 - np.sin(half)) / np.cos(half)
        return np.tan(half), np.maximum(0.0, flank + wider)


def v_profile(angle: float, flank_radius: float, *, ball: bool) -> Profile:
    """The V-bit of this angle whose flank, drawn down to the tip's level, ends so far from the axis (mm)."""
    if not ball:
        return Profile(angle=angle, tip_radius=flank_radius)
    half = math.radians(angle / 2)
    return Profile(angle=angle, rounding=flank_radius * math.cos(half) / (1 - math.sin(half)))


def end_mill(diameter: float, corner: float = 0.0) -> Profile:
    """An end mill or surfacing bit of this diameter, its corners rounded by this radius; mm."""
    return Profile(angle=0.0, tip_radius=diameter / 2 - corner, rounding=corner)


def next_wider(angle: float) -> float | None:
    """The next wider usual angle of a V-bit; None where none is wider."""
    return next((wider for wider in USUAL_ANGLES if wider > angle), None)


@dataclass(frozen=True, kw_only=True)
class Cutter:
    """A cutter as declared in the programme, with the shop's limits for it. Lengths in mm."""

    name: str
    shape: Profile
    real: Profile
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
    def tapers(self) -> bool:
        """Whether it is a V-bit; the sides of the others are upright."""
        return self.shape.angle > 0

    @property
    def radius(self) -> float:
        """Half its largest diameter."""
        return self.diameter / 2

    @property
    def cone_height(self) -> float:
        """Depth down to which it cuts a true wall, as declared and as it measures."""
        return min(self.shape.cone_height(self.diameter), self.real.cone_height(self.diameter))

    @property
    def ridge(self) -> float:
        """Height of the ridges that its stepover leaves: the bit as it measures cuts them."""
        return self.real.ridge(self.stepover)

    def radius_at(self, height: float) -> float:
        """Radius at a height of at least 0 over the tip, declared or measured, whichever is wider there."""
        return min(max(self.shape.half_width_at(height), self.real.half_width_at(height)), self.radius)

    def holders(self, collet: float | None) -> tuple[tuple[Swept, float, float], ...]:
        """What turns above the cutting part: its name, radius, and height of its lower end above the tip.

        ``collet`` is the diameter of the spindle's collet nut; None: not known.
        """
        above: tuple[tuple[Swept, float | None, float | None], ...] = (
            ("shank", self.shank, self.reach),
            ("collet", collet, self.stick_out),
        )
        return tuple(
            (name, diameter / 2, lower) for name, diameter, lower in above if diameter is not None and lower is not None
        )
