"""How far a plug sinks under a force: the plan area in which it overlaps the base carries the load.

Wood gives way where the pressure reaches its compressive strength across the grain, so the lift L under a force N
is where strength x area{m > L} = N. An estimate: small contacts bear more, and the plug may slide a little to one side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.outline.edges import Array
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays

SAME = 1e-4  # lifts closer than this are one [mm]
SLICES = 8  # of the ridges on a floor, from crest to floor


@dataclass(frozen=True, kw_only=True)
class OverlapAreas:
    """Plan area [mm2] in which plug and base overlap at each lift [mm].

    `lifts` fall and `areas` rise with them, in proportion between. walls: the lift at which the walls overlap over
    their whole plan width all along the outline.
    """

    lifts: Array
    areas: Array
    walls: float

    def above(self, lift: float) -> float:
        """Plan area of the overlap for a plug at this lift [mm2]; areas that only just touch are left out."""
        return float(np.interp(-(lift + SAME), -self.lifts, self.areas))

    def lift_under(self, force: float, strength: float) -> float:
        """Lift under a force [N] for wood of this strength [MPa]; never below the walls, which are a firm stop."""
        if force / strength >= self.areas[-1]:
            return self.walls if np.isfinite(self.walls) else float(self.lifts[-1])
        return max(float(np.interp(force / strength, self.areas, self.lifts)), self.walls)


def overlap_areas(pair: Pair, rays: Rays) -> OverlapAreas:
    """Distribution of the overlap over the plan, and the lift at which all walls bear."""
    between = (rays.at[:, 1:] + rays.at[:, :-1]) / 2 > 0
    floor = max(0.0, float(pair.outline.area - rays.area[between].sum()))
    one, other = rays.overlap[:, :-1][rays.area > 0], rays.overlap[:, 1:][rays.area > 0]
    crests, feet, ridged = _ridges(pair)
    high = np.concatenate([np.maximum(one, other), [pair.open_floor_lift], crests])
    low = np.concatenate([np.minimum(one, other), [pair.open_floor_lift], feet])
    # the overlap goes in proportion from node to node: each cell's area counts evenly from its high end to its low one
    low = np.minimum(low, high - SAME / 4)
    density = np.concatenate([rays.area[rays.area > 0], [floor], ridged]) / (high - low)
    order = np.argsort(-np.concatenate([high, low]), kind="stable")
    lifts = np.concatenate([high, low])[order]
    rate = np.cumsum(np.concatenate([density, -density])[order])
    areas = np.concatenate([[0.0], np.cumsum(np.maximum(rate[:-1], 0) * -np.diff(lifts))])
    bearing, width = wall_lifts(pair, rays)
    walls = -np.inf
    if len(bearing):
        order = np.argsort(bearing)
        share = np.cumsum(width[order]) / width.sum()
        walls = float(bearing[order][np.searchsorted(share, 0.01)])
    return OverlapAreas(lifts=lifts, areas=areas, walls=max(walls, pair.open_floor_lift if floor > 0 else -np.inf))


def _ridges(pair: Pair) -> tuple[Array, Array, Array]:
    """Slices of the floors' ridges: the lifts at their upper and lower ends, and the plan area that each adds [mm2]."""
    parts: list[tuple[float, float, float]] = []
    for floor in pair.floors:
        if floor.ridges is not None and floor.ridges.height > 0:
            heights = np.linspace(floor.ridges.height, 0.0, SLICES + 1)
            areas = [floor.ridges.area_at(float(height)) for height in heights]
            parts += [
                (floor.lift + upper, floor.lift + lower, more - less)
                for upper, lower, less, more in zip(heights, heights[1:], areas, areas[1:], strict=False)
            ]
    upper, lower, area = np.array(parts).reshape(-1, 3).T
    return upper, lower, area


def wall_lifts(pair: Pair, rays: Rays) -> tuple[Array, Array]:
    """Lift at which each wall overlaps over its whole plan width, and the length of that wall [mm]."""
    use = rays.bears(pair)
    # with two bits one end of the wall binds before the other
    overlap = rays.overlap[use]
    lip, top = (np.take_along_axis(overlap, end[use, None], 1)[:, 0] for end in (rays.lip, rays.top))
    return np.minimum(lip, top), rays.width[use]
