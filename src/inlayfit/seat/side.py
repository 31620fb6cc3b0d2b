"""One part's cut as the seat sees it: the wall as it was drawn, and the solid that was removed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cutters import Profile
from inlayfit.outline.edges import Array

Part = Literal["pocket", "plug"]


class TipPass(NamedTuple):
    """A pass along the wall: how deep the tip goes at the most, and how much lower it runs than that says [mm]."""

    depth: float
    lower: float


class OpenFloor(NamedTuple):
    """A pocket's floor away from the walls: the room it needs, as a disc's radius, and the plug's lift on it [mm]."""

    room: float
    lift: float


class Floor(NamedTuple):
    """A floor known without looking at paths: how far from the outline it begins on this cut's side, its depth [mm].

    An infinite edge: paths alone tell.
    """

    edge: float
    depth: float


@dataclass(frozen=True, kw_only=True)
class Side:
    """The pocket, cut inside the outline from the base's face, or the plug, cut outside it from its start plane.

    declared: the cutter that the wall is drawn with; actual: the one that
    cut it; depth: of the drawn wall's foot; error: how much too deep the cutter ran; blank: how far the part's uncut
    face lies above the plane that depths are told from [mm]; removed: what was cut, floors apart; floor: what is known
    of it besides; passes: a plan's, whose walls are known without looking at each piece of path; with none of them only
    the pieces tell.
    """

    part: Part
    declared: Profile
    actual: Profile
    depth: float
    error: float
    blank: float
    removed: RemovedSolid
    floor: Floor
    passes: tuple[TipPass, ...] = ()

    @property
    def sign(self) -> int:
        """Of distances from the outline, positive inside it, on this cut's own side."""
        return 1 if self.part == "pocket" else -1

    @cached_property
    def full(self) -> float:
        """Radius of the least disc in which the tip goes down the whole depth [mm]."""
        return self.depth * self.declared.slope + self.declared.flank_radius

    @cached_property
    def reach(self) -> float:
        """No tip further off than this cuts the part below its face [mm]."""
        cutter, deepest = self.actual, max(self.depth + self.error, self.removed.deepest) + self.blank
        return cutter.flank_start + cutter.flank_radius + max(0.0, deepest) * cutter.slope + 1e-6

    def tip_depth(self, radius: Array) -> Array:
        """How deep the tip is sent into the largest discs of these radii [mm]."""
        return np.clip((radius - self.declared.flank_radius) / self.declared.slope, 0, self.depth)

    def with_floor(self, depth: Array, distance: Array) -> Array:
        """Depth with the floor, from the walls' depth and the distance from the outline, positive inside it [mm]."""
        return np.maximum(depth, np.where(self.sign * distance >= self.floor.edge, self.floor.depth, -self.blank))
