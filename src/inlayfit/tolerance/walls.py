"""The walls of an outline sorted into classes by how deep they were cut, and where each bears, for many pairs at once.

All walls of a class bear at one lift, so that a few dozen numbers stand for the whole outline (docs/method.md).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.cutters import Profile
from inlayfit.outline.edges import Array
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays

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
        lifts = self.lifts - opened[:, None] * self.sinks
        if lifts.shape[1] == 1:
            return lifts[:, 0]
        order = np.argsort(-lifts, axis=1)
        which = (np.cumsum(self.weight[order], axis=1) < _enough(self.weight, self.share)).sum(1)
        which = np.minimum(which, lifts.shape[1] - 1)
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
    declared: tuple[Profile, Profile]
    """The pocket's bit and the plug's, as flats with the same flanks."""
    real: tuple[Profile, Profile]
    one_bit: bool

    def at(
        self, *, pocket_angle: Array, plug_angle: Array, pocket_wider: Array, plug_wider: Array, share: float
    ) -> Bearing:
        """Where walls of this share bear, for bits off by these angles [deg] and cutting this much wider [mm]; (n)."""
        plug_slope, plug_out = self._off(1, plug_angle, plug_wider)
        if self.one_bit:
            # what a class is opened by goes with its depths in pocket and plug together, and so does their order
            both, flatter = self.depth + self.below, plug_slope - self.declared[1].slope
            decides = np.where(flatter > 0, self._deciding(both, share), -self._deciding(-both, share))
            at_face = 2 * plug_out + np.maximum(flatter * both.max(), flatter * both.min())
            lifts = -(2 * plug_out + flatter * decides) / plug_slope
            return Bearing(
                lifts=lifts[:, None], sinks=1 / plug_slope[:, None], weight=np.ones(1), share=share,
                pocket_slope=plug_slope, slope=plug_slope, open_at_face=at_face,
            )  # fmt: skip
        pocket_slope, pocket_out = self._off(0, pocket_angle, pocket_wider)
        at_face = (
            (pocket_out + plug_out)[:, None]
            + self.depth * (pocket_slope - self.declared[0].slope)[:, None]
            + self.below * (plug_slope - self.declared[1].slope)[:, None]
        )
        # walls of two bits bear from one end on, and the more of their width the further the plug goes down
        steeper = (plug_slope - pocket_slope)[:, None]
        face_sinks, foot_sinks = 1 / plug_slope[:, None], 1 / pocket_slope[:, None]
        face, foot = -at_face * face_sinks, -(at_face + self.joined * steeper) * foot_sinks
        return Bearing(
            lifts=np.concatenate([face + (foot - face) * part for part in PARTS], axis=1),
            sinks=np.repeat(face_sinks + (foot_sinks - face_sinks) * PARTS, len(self.weight), axis=1),
            weight=np.tile(self.weight / len(PARTS), len(PARTS)), share=share,
            pocket_slope=pocket_slope, slope=plug_slope, open_at_face=at_face.max(1),
        )  # fmt: skip

    def _deciding(self, opened: Array, share: float) -> float:
        """Of the classes, from the one least opened on, the one with which those of the share bear."""
        order = np.argsort(opened)
        which = np.searchsorted(np.cumsum(self.weight[order]), _enough(self.weight, share))
        return float(opened[order[min(int(which), len(order) - 1)]])

    def _off(self, part: int, angle: Array, wider: Array) -> tuple[Array, Array]:
        """Slope of a bit off by this, and how much further out its flank starts than declared."""
        slope, flank = self.real[part].flanks_off_by(angle, wider)
        return slope, flank - self.declared[part].flank_radius


def _enough(weight: Array, share: float) -> float:
    """The weight that bears where classes of this share do, but for what is lost in adding up."""
    return float((min(share, 1.0) - 1e-9) * weight.sum())


def wall_classes(pair: Pair, rays: Rays, *, one_bit: bool) -> WallClasses:
    """Classes of the walls that both bits cut; one class of full depth where there are none."""
    use = rays.bears(pair)
    depth, below = (side.tip_depth(rays.discs(side)[use]) for side in pair.sides)
    joined = np.minimum(depth, pair.start_depth)
    weight = joined * rays.width[use]
    if not len(depth):
        depth, below, joined, weight = (
            np.array([value]) for value in (pair.pocket.depth, pair.plug.depth, pair.start_depth, 1.0)
        )
    # a step of its own for the full depths, which most walls have
    step_in, step_out = (
        np.floor(STEPS * tip / side.depth * (1 - 1e-9)) + (tip > side.depth * (1 - 1e-9))
        for tip, side in zip((depth, below), pair.sides, strict=True)
    )
    _, which = np.unique(step_in * (STEPS + 2) + step_out, return_inverse=True)
    total: Array = np.bincount(which, weight).astype(np.float64)

    def mean(values: Array) -> Array:
        return np.asarray(np.bincount(which, weight * values) / total)

    return WallClasses(
        depth=mean(depth), below=mean(below), joined=mean(joined), weight=total, one_bit=one_bit,
        declared=(pair.pocket.declared.as_flat, pair.plug.declared.as_flat),
        real=(pair.pocket.actual, pair.plug.actual),
    )  # fmt: skip
