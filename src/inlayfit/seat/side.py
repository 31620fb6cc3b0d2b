"""One part's cut as the seat sees it: the wall as it was drawn, and the solid that was removed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
import shapely

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cutters import Profile
from inlayfit.joint.fillet import Fillet
from inlayfit.outline.edges import Array
from inlayfit.seat.ridges import Ridges

Part = Literal["pocket", "plug"]


class TipPass(NamedTuple):
    """A pass along the wall: how deep the tip goes at the most, and how much lower it runs than that says [mm]."""

    depth: float
    lower: float


class OpenFloor(NamedTuple):
    """A pocket's floor away from the walls: the room it needs, as a disc's radius, and the plug's lift on it [mm].

    ridges: what stands on it where a V-bit cleaned it.
    """

    room: float
    lift: float
    ridges: Ridges | None = None

    @property
    def first_lift(self) -> float:
        """Lift at which the plug first meets it [mm]: on the crests of the ridges."""
        return self.lift + (self.ridges.height if self.ridges else 0.0)


class Rounded(NamedTuple):
    """What clearing bits with rounded corners leave of a floor.

    fillet: of these bits, beside a straight wall; reached: every bit's profile, and where its axis went. Where none
    came the V-bit cleaned the floor, up to where their sides stood.
    """

    fillet: Fillet
    reached: tuple[tuple[Profile, shapely.Geometry], ...]

    def height(self, points: Array) -> Array:
        """Height of the wood left over the floor at points (..., 2) [mm]."""
        left, inside = np.full(points.shape[:-1], np.inf), np.full(points.shape[:-1], -np.inf)
        for bit, axis in self.reached:
            away = shapely.length(shapely.shortest_line(axis, shapely.points(points)))
            left = np.minimum(left, bit.rise(away))
            inside = np.maximum(inside, bit.flank_start - away)
        v = self.fillet.real
        return np.minimum(left, np.where(inside > 0, v.rise(inside + v.flank_radius), 0.0))


class Floor(NamedTuple):
    """A floor known without looking at paths: how far from the outline it begins on this cut's side, its depth [mm].

    An infinite edge: paths alone tell.
    """

    edge: float
    depth: float
    rounded: Rounded | None = None


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
        return self.foot + self.declared.flank_radius

    @property
    def span(self) -> float:
        """Radius of the least disc in which wall, foot and the floor beside it are as along any other wall [mm]."""
        rounded = self.floor.rounded
        if rounded is None:
            return self.full
        widest = max(bit.flank_start for bit, _ in rounded.reached)
        return max(self.full, self.foot + rounded.fillet.allowance + widest)

    @property
    def foot(self) -> float:
        """How far from the outline the drawn wall's foot lies [mm]."""
        return self.depth * self.declared.slope

    def on_fillet(self, distance: float) -> bool:
        """Whether a place so far from the outline, positive inside it [mm], lies on the fillet by the wall's foot."""
        if self.floor.rounded is None:
            return False
        fillet, away = self.floor.rounded.fillet, self.sign * distance - self.foot
        return max(fillet.allowance, self.declared.flank_radius) < away < fillet.end

    @cached_property
    def reach(self) -> float:
        """No tip further off than this cuts the part below its face [mm]."""
        cutter, deepest = self.actual, max(self.depth + self.error, self.removed.deepest) + self.blank
        return cutter.flank_start + cutter.flank_radius + max(0.0, deepest) * cutter.slope + 1e-6

    def tip_depth(self, radius: Array) -> Array:
        """How deep the tip is sent into the largest discs of these radii [mm]."""
        return np.minimum(np.maximum((radius - self.declared.flank_radius) / self.declared.slope, 0), self.depth)

    def with_floor(self, depth: Array, distance: Array, points: Array) -> Array:
        """Depth with the floor, from the walls' depth and the distance from the outline, positive inside it [mm].

        At points (..., 2), both arrays of their leading shape.
        """
        floor, there = self.floor, self.sign * distance >= self.floor.edge
        level = np.where(there, floor.depth, -self.blank)
        if floor.rounded is not None:
            level[there] -= floor.rounded.height(points[there])
        return np.maximum(depth, level)
