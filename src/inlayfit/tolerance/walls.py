"""The walls of an outline sorted into classes by how deep they were cut, and where each bears, for many pairs at once.

All walls of a class bear at one lift, so that a few dozen numbers stand for the whole outline (docs/method.md).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inlayfit.seat.overlap import Overlap
from inlayfit.seat.plan_rays import Rays
from inlayfit.seat.wall_discs import Array

PARTS = (0.125, 0.375, 0.625, 0.875)
"""Parts of a wall's width, from face to foot, that bear at lifts of their own where two bits cut it."""
STEPS = 6
"""Depths of pocket and plug are told apart in this many steps each."""


@dataclass(frozen=True, kw_only=True)
class Bearing:
    """Walls of n pairs in k classes, cut to the depths programmed: the lift at which each class, or each part, bears.

    Depths that are off open the walls all alike: ``opened`` is by how much, in mm to one side, (n) or (1).
    """

    lifts: Array
    sinks: Array
    """How much deeper each lift lies for each mm that the walls are opened, in columns of ``lifts`` or one for all."""
    weight: Array
    share: float
    """Of the whole band, how much must bear."""
    pocket_slope: Array
    slope: Array
    """Of the plug's walls, (n) as the pocket's."""
    open_at_face: Array
    """Widest clearance at the face of a plug at lift 0, (n)."""

    def lift(self, opened: Array) -> Array:
        """The lift at which walls of the share bear, or the lowest where that is 1 or more."""
        if self.sinks.shape[1] == 1:
            # all sink alike: which class decides is the same however far they are opened
            return self._unopened - opened * self.sinks[:, 0]
        return self._deciding(self.lifts - opened[:, None] * self.sinks)

    @cached_property
    def _unopened(self) -> Array:
        return self._deciding(self.lifts)

    def _deciding(self, lifts: Array) -> Array:
        """Of each row the lift down to which classes of the share bear."""
        order = np.argsort(-lifts, axis=1)
        passed = np.cumsum(self.weight[order], axis=1) / self.weight.sum()
        which = np.minimum((passed < min(self.share, 1.0) - 1e-9).sum(1), lifts.shape[1] - 1)
        rows = np.arange(len(lifts))
        return np.asarray(lifts[rows, order[rows, which]])

    def line(self, lift: Array, opened: Array) -> Array:
        """The widest joint line at the face for plugs at these lifts, never below 0."""
        return np.maximum(0.0, self.open_at_face + opened + lift * self.slope)


@dataclass(frozen=True, kw_only=True)
class WallClasses:
    """Tip depths in pocket and plug, facing depth and bearing plan area of each class of walls, and the bits."""

    depth: Array
    below: Array
    joined: Array
    weight: Array
    declared: tuple[tuple[float, float], tuple[float, float]]
    """Flank radius and slope of the pocket's bit and the plug's."""
    real: tuple[tuple[float, float, float], tuple[float, float, float]]
    """Angle, ball radius and tip radius of the real ones."""
    one_bit: bool

    def at(
        self, *, pocket_angle: Array, plug_angle: Array, pocket_wider: Array, plug_wider: Array, share: float
    ) -> Bearing:
        """Where walls of this share bear, for bits off by these angles [deg] and cutting this much wider [mm]; (n)."""
        pocket_slope, pocket_out = self._off(0, pocket_angle, pocket_wider)
        plug_slope, plug_out = self._off(1, plug_angle, plug_wider)
        at_face = (
            (pocket_out + plug_out)[:, None]
            + self.depth * (pocket_slope - self.declared[0][1])[:, None]
            + self.below * (plug_slope - self.declared[1][1])[:, None]
        )
        sinks = 1 / plug_slope[:, None]
        lifts, weight = -at_face * sinks, self.weight
        if not self.one_bit:
            # walls of two bits bear from one end on, and the more of their width the further the plug goes down
            steeper = (plug_slope - pocket_slope)[:, None]
            foot_sinks = 1 / pocket_slope[:, None]
            foot = -(at_face + self.joined * steeper) * foot_sinks
            sinks = np.repeat(sinks + (foot_sinks - sinks) * PARTS, len(weight), axis=1)
            lifts = np.concatenate([lifts + (foot - lifts) * part for part in PARTS], axis=1)
            weight = np.tile(weight / len(PARTS), len(PARTS))
        return Bearing(
            lifts=lifts, sinks=sinks, weight=weight, share=share, pocket_slope=pocket_slope, slope=plug_slope,
            open_at_face=at_face.max(1),
        )  # fmt: skip

    def _off(self, part: int, angle: Array, wider: Array) -> tuple[Array, Array]:
        """Slope of a bit off by this, and how much further out its flank starts than declared."""
        degrees, ball, tip = self.real[part]
        half = np.radians((degrees + angle) / 2)
        flank = ball * (1 - np.sin(half)) / np.cos(half) if ball else tip
        return np.tan(half), np.maximum(0.0, flank + wider) - self.declared[part][0]


def wall_classes(joint: Overlap, plan: Rays, *, one_bit: bool) -> WallClasses:
    """Classes of the walls that both bits cut; one class of full depth where there are none."""
    cut = joint.cut
    bits = (cut.pocket_bit.declared, cut.plug_bit.declared)
    pocket, plug = bits
    use = (plan.corner < 0) & (plan.inside > 1.05 * pocket.flank_radius + 1e-6)
    use &= plan.outside > 1.05 * plug.flank_radius + 1e-6
    depth = np.minimum((plan.inside[use] - pocket.flank_radius) / pocket.slope, cut.pocket_depth)
    below = np.minimum((plan.outside[use] - plug.flank_radius) / plug.slope, cut.depth_below_start)
    joined = np.minimum(depth, cut.start_depth)
    weight = joined * plan.width[use]
    if not len(depth):
        depth, below = np.array([cut.pocket_depth]), np.array([cut.depth_below_start])
        joined, weight = np.array([cut.start_depth]), np.ones(1)
    # a step of its own for the full depths, which most walls have
    step_in = np.floor(STEPS * depth / cut.pocket_depth * (1 - 1e-9)) + (depth > cut.pocket_depth * (1 - 1e-9))
    step_out = np.floor(STEPS * below / cut.depth_below_start * (1 - 1e-9))
    step_out += below > cut.depth_below_start * (1 - 1e-9)
    _, which = np.unique(step_in * (STEPS + 2) + step_out, return_inverse=True)
    total: Array = np.bincount(which, weight).astype(np.float64)

    def mean(values: Array) -> Array:
        return np.asarray(np.bincount(which, weight * values) / total)

    return WallClasses(
        depth=mean(depth), below=mean(below), joined=mean(joined), weight=total, one_bit=one_bit,
        declared=((pocket.flank_radius, pocket.slope), (plug.flank_radius, plug.slope)),
        real=tuple(
            (bit.actual.angle, bit.actual.ball_radius, bit.actual.tip_radius)
            for bit in (cut.pocket_bit, cut.plug_bit)
        ),  # type: ignore[arg-type]
    )  # fmt: skip
