"""Where the plugs of many pairs come to rest, each pair with errors of its own. Lengths in mm; arrays of n pairs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inlayfit.joint.error_sources import Source, angle_of, depth_errors, wider
from inlayfit.joint.job import Job
from inlayfit.outline.edges import Array, Flags
from inlayfit.seat.fit import Fit
from inlayfit.tolerance.fit_table import FitTable, clamped_share, fit_table
from inlayfit.tolerance.out_of_square import Sheared, ShearShelf, sheared
from inlayfit.tolerance.walls import Bearing, WallClasses, wall_classes

ON_FLOOR = 1e-6
"""A plug as near as this to its floor is on it."""


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Where n plugs rest: ``walls`` and ``floor`` are the lifts at which these would hold, ``lift`` the plug's own.

    ``solid`` is the lift on the floor without the ridges that the clamp leaves. An array of one stands for all n.
    """

    lift: Array
    held: Array
    """Lift with corners and strokes, were there no floor and were the machine square."""
    off_walls: Array
    """How far corners, strokes and sheared axes hold the plug's walls off the pocket's, sideways, at the widest."""
    walls: Array
    floor: Array
    solid: Array
    own_floor: Array
    joint_line: Array
    has_floor: bool
    """Whether any of the pocket's floor lies open to the plug's face; strokes that all end in a V have none."""

    @property
    def glue_gap(self) -> Array:
        """Plug's face to the pocket's floor, without what sheared axes lift: a hung-up plug is no room for glue."""
        settled = np.maximum(self.held, self.own_floor)
        return (np.maximum(settled, self.floor) if self.has_floor else settled) - self.solid

    @property
    def surface_gap(self) -> Array:
        """Base's face to the plug's own floor."""
        return self.lift - self.own_floor

    @property
    def on_floor(self) -> Flags:
        """Whether the plug is on the pocket's floor."""
        return np.asarray(self.floor >= np.maximum(self.held - ON_FLOOR, self.own_floor)) & self.has_floor

    @property
    def on_own_floor(self) -> Flags:
        """Whether the plug's own floor lies on the base's face."""
        return np.asarray(self.own_floor >= self.held - ON_FLOOR) & ~self.on_floor


@dataclass(frozen=True, kw_only=True)
class Pairs:
    """The joint of a job on its outline, ready to be tried with many errors at once."""

    job: Job
    fit: Fit
    walls: WallClasses
    table: FitTable
    found: tuple[Source, ...]
    sheared: Sheared
    """How the walls move for axes sheared by 1."""
    cleared: bool
    """Whether a clearing bit cuts the pocket's floor; else the V-bit does, and leaves its ridges."""

    @property
    def has_floor(self) -> bool:
        """Whether any of the pocket's floor lies open to the plug's face."""
        return bool((self.walls.depth >= self.fit.pair.cut.pocket_depth * (1 - 1e-6)).any())

    @cached_property
    def left_on_floor(self) -> float:
        """Height of what on the cleared floor holds the plug up under the clamp: ridges, or fillets wide enough."""
        pair, rays, strength = self.fit.pair, self.fit.rays, self.fit.strength.across
        length = float(rays.width[(rays.corner < 0) & (rays.inside >= pair.pocket.span)].sum())
        wide = self.fit.seat.clamp_force / (strength * length) if length > 0 else np.inf
        return max(pair.cut.floor_fuzz, pair.cut.pocket_fillet.height_bearing(wide))

    @cached_property
    def ridges_left(self) -> float | None:
        """Height of the V-bit's ridges under the clamp; None where the floor that it cleaned gives way too."""
        ridges, force, strength = self.fit.pair.cut.ridges, self.fit.seat.clamp_force, self.fit.strength.across
        if ridges is None or strength * ridges.area <= force:
            return None
        return ridges.height_bearing(force, strength)

    def cutters(self, values: Mapping[str, Array]) -> Cutters:
        """The V-bits of the pairs; the bits' own sources and out of square for each pair, or one for all."""
        angles, widths = ([np.atleast_1d(of(values, part)) for part in ("pocket", "plug")] for of in (angle_of, wider))
        bearing = self.walls.at(
            pocket_angle=angles[0], plug_angle=angles[1], pocket_wider=widths[0], plug_wider=widths[1],
            share=clamped_share(self.fit),
        )  # fmt: skip
        # two bits go through the table together
        lift, line = self.table.at(*((one + other) / 2 for one, other in (angles, widths)))
        return Cutters(
            pairs=self, bearing=bearing, lift_beyond=lift, line_beyond=line,
            shear=np.abs(values.get("square", np.zeros(1))),
        )  # fmt: skip

    def rest(self, values: Mapping[str, Array]) -> Rest:
        """Where the plugs rest under the clamp; every source's value for each pair, or one for all."""
        return self.cutters(values).rest(values)


@dataclass(frozen=True, kw_only=True)
class Cutters:
    """The V-bits of n pairs, and what follows from them at whatever depths they are run; arrays of n, or 1 for all."""

    pairs: Pairs
    bearing: Bearing
    lift_beyond: Array
    """How far corners and strokes hold the plug up above its walls."""
    line_beyond: Array
    shear: Array
    """By how much the machine is out of square."""

    def rest(self, values: Mapping[str, Array]) -> Rest:
        """Where the plugs rest under the clamp, for the depth errors in ``values``."""
        cut, bearing = self.pairs.fit.pair.cut, self.bearing
        error = depth_errors(values)
        opened = error.pocket_v * bearing.pocket_slope + error.plug_v * bearing.slope
        tight, apart = (self.shear * move for move in self.pairs.sheared)
        walls = bearing.lift(opened)
        held = walls + self.lift_beyond
        by_v, left = cut.start_depth - cut.pocket_depth - error.pocket_v, self.pairs.ridges_left
        floor, solid = by_v + (left or 0.0), by_v
        if self.pairs.cleared:
            floor = solid = cut.start_depth - cut.pocket_depth - error.pocket_floor + self.pairs.left_on_floor
            if left is not None:
                floor = np.maximum(floor, by_v + left)
        own_floor = -cut.depth_below_start - error.plug_floor
        lift = np.maximum(held + tight / bearing.slope, own_floor)
        if self.pairs.has_floor:
            lift = np.maximum(lift, floor)
        # where the table's plug already stands off its walls, its line is told at its own lift
        line = bearing.line(lift, opened) + self.line_beyond + apart
        return Rest(
            lift=lift, held=held, walls=walls, floor=floor, solid=solid, own_floor=own_floor,
            off_walls=self.lift_beyond * bearing.slope + tight + apart,
            joint_line=np.maximum(0.0, line), has_floor=self.pairs.has_floor,
        )  # fmt: skip


def pairs_of(job: Job, fit: Fit, found: tuple[Source, ...], *, cleared: bool) -> Pairs:
    """Sort the walls into classes and make the table of fits."""
    walls = wall_classes(fit.pair, fit.rays, one_bit=job.bits.one_v)
    return Pairs(
        job=job,
        fit=fit,
        walls=walls,
        table=fit_table(job, fit, walls, found),
        found=found,
        sheared=fit.pair.analysis.shelf(ShearShelf).moves.get((), lambda: sheared(fit.pair.inside)),
        cleared=cleared,
    )
