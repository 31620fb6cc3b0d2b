"""Ridges between side by side passes of a V-bit, and the load that they bear."""

from __future__ import annotations

from typing import NamedTuple

from inlayfit.cutters import Profile


class Ridges(NamedTuple):
    """What a cutter leaves between passes ``stepover`` mm apart on a floor of ``area`` mm2; heights over that floor.

    A cut through the ridges at a height z shows the share 1 - 2 w(z) / s of the floor as wood, w(z) being half the
    cutter's width there: nothing at the crest, at the floor all but the flats that the tip left.
    """

    cutter: Profile
    stepover: float
    area: float

    @property
    def height(self) -> float:
        """Of the crests; 0 where the tip's flat is as wide as the stepover."""
        return self.cutter.ridge(self.stepover) if self.area > 0 else 0.0

    def area_at(self, height: float) -> float:
        """Plan area of the wood at this height, mm2."""
        return self.area * max(0.0, 1 - 2 * self.cutter.half_width_at(max(height, 0.0)) / self.stepover)

    def height_bearing(self, force: float, strength: float) -> float:
        """Height to which a force in N crushes them in wood of this strength in MPa; 0 where they bear less."""
        free = 1 - force / (strength * self.area) if self.area > 0 else 0.0
        return min(self.height, self.cutter.depth_in(self.stepover * free / 2)) if free > 0 else 0.0
