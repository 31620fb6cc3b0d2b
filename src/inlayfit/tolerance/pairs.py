"""Where the plugs of many pairs come to rest, each pair with errors of its own. Lengths in mm; arrays of n pairs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inlayfit.joint.job import Job
from inlayfit.seat.fit import Fit
from inlayfit.seat.wall_discs import Array, Flags
from inlayfit.tolerance.fit_table import FitTable, fit_table
from inlayfit.tolerance.sources import Source, angle_of, depth_errors, wider
from inlayfit.tolerance.walls import WallClasses, wall_classes

ON_FLOOR = 1e-6
"""A plug as near as this to its floor is on it."""


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Where n plugs rest: ``walls`` and ``floor`` are the lifts at which these would hold, ``lift`` the plug's own."""

    lift: Array
    held: Array
    """Lift with corners and strokes, were there no floor."""
    walls: Array
    floor: Array
    own_floor: Array
    joint_line: Array
    has_floor: bool
    """Whether any of the pocket's floor lies open to the plug's face; strokes that all end in a V have none."""

    @property
    def glue_gap(self) -> Array:
        """Plug's face to the pocket's floor."""
        return self.lift - self.floor

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
    half_size: float
    """From the outline's middle to its furthest point."""
    cleared: bool
    """Whether a clearing bit cuts the pocket's floor; else the V-bit does, and leaves its ridges."""

    @property
    def has_floor(self) -> bool:
        """Whether any of the pocket's floor lies open to the plug's face."""
        return bool((self.walls.depth >= self.fit.joint.cut.pocket_depth * (1 - 1e-6)).any())

    def bearing_share(self, force: float, strength: float) -> float:
        """Share of the walls' band that bears a force, for wood of this strength in MPa."""
        return force / (self.fit.seat.wall_load[0] * strength / self.fit.strength.across)

    def rest(self, values: Mapping[str, Array]) -> Rest:
        """Where the plugs rest under the clamp; every source's value for each pair."""
        return self.pressed(values, self.fit.seat.clamp_force, self.fit.strength.across, column=0)

    def pressed(
        self, values: Mapping[str, Array], force: float, strength: float, *, column: int | Array
    ) -> Rest:
        """As :meth:`rest` under another force; ``column`` of the table, or places between the hand's two (1 to 2)."""
        cut = self.fit.joint.cut
        error = depth_errors(values)
        count = len(values["pocket_v"])
        none = np.zeros(count)
        angle, cuts_wider = angle_of(values, "pocket") + none, wider(values, "pocket") + none
        bearing = self.walls.at(
            pocket_angle=angle, plug_angle=angle_of(values, "plug") + none, pocket_wider=cuts_wider,
            plug_wider=wider(values, "plug") + none, pocket_error=error.pocket_v + none,
            plug_error=error.plug_v + none,
        )  # fmt: skip
        if not self.job.bits.one_v:
            angle = (angle + angle_of(values, "plug")) / 2
            cuts_wider = (cuts_wider + wider(values, "plug")) / 2
        beyond = self.table.at(angle, cuts_wider)
        sheared = np.abs(values.get("square", none)) * self.half_size
        walls = bearing.lift(self.bearing_share(force, strength)) + sheared / bearing.slope
        if isinstance(column, int):
            held = walls + beyond[:, column]
        else:
            held = walls + beyond[:, 1] + (beyond[:, 2] - beyond[:, 1]) * (column - 1)
        floor_error = error.pocket_floor if self.cleared else error.pocket_v - cut.floor_ridge
        floor = cut.start_depth - cut.pocket_depth - floor_error + none
        own_floor = -cut.depth_below_start - error.plug_floor + none
        lift = np.maximum(held, own_floor)
        if self.has_floor:
            lift = np.maximum(lift, floor)
        # where the table's plug already stands off its walls, its line is told at its own lift
        line = bearing.line(lift) + beyond[:, 3] + sheared
        return Rest(
            lift=lift, held=held, walls=walls, floor=floor, own_floor=own_floor,
            joint_line=np.maximum(0.0, line), has_floor=self.has_floor,
        )  # fmt: skip


def pairs_of(job: Job, fit: Fit, found: tuple[Source, ...], *, cleared: bool) -> Pairs:
    """Sort the walls into classes and make the table of fits."""
    walls = wall_classes(fit.joint, fit.rays, one_bit=job.bits.one_v)
    low_x, low_y, high_x, high_y = fit.joint.cut.outline.bounds
    corners = fit.joint.inside.start - np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])
    return Pairs(
        job=job,
        fit=fit,
        walls=walls,
        table=fit_table(job, fit, walls, found),
        found=found,
        half_size=float(np.hypot(*corners.T).max()),
        cleared=cleared,
    )
