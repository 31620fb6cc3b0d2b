"""The pair that posted programmes leave: both removed solids on the sheet's outline, as the seat takes them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import Array
from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import Pass
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import grown
from inlayfit.proof.part_cut import PartCut
from inlayfit.seat.fit import as_cut
from inlayfit.seat.pair import Pair
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.side import Floor, OpenFloor, Side

NOWHERE = Floor(edge=np.inf, depth=-np.inf)
"""Nothing is known of the floors but what the paths tell."""
MOST_SAMPLES = 40_000
FLOOR_SHARE = 0.01
"""So much of the floor may stand higher than what the plug's face is said to come down on: a spot is no floor."""


def posted_pair(job: Job, depths: Depths, analysis: OutlineAnalysis, base: PartCut, plug: PartCut) -> Pair:
    """Pocket and plug as their programmes cut them with the bits as they are, and what the sheet knows to be off.

    ``plug`` lies where it will go in. Depths of the pair's plug count from its start plane, as everywhere in the seat.
    """
    known, bits = known_errors(job), job.bits
    pocket_removed = base.removed()
    pocket = Side(
        part="pocket",
        declared=bits.pocket_v.shape,
        actual=known.pocket_bit,
        depth=depths.pocket_depth,
        error=0.0,
        blank=0.0,
        removed=pocket_removed,
        floor=NOWHERE,
    )
    below = Side(
        part="plug",
        declared=bits.plug_v.shape,
        actual=known.plug_bit,
        depth=depths.depth_below_start,
        error=0.0,
        blank=depths.start_depth,
        removed=plug.removed(plane=depths.start_depth),
        floor=NOWHERE,
    )
    floor = floor_depths(pocket_removed, analysis, pocket.full)
    lift = depths.start_depth - (float(np.quantile(floor, FLOOR_SHARE)) if len(floor) else depths.pocket_depth)
    return Pair(
        analysis, pocket, below, start_depth=depths.start_depth, floors=(OpenFloor(room=0.0, lift=lift),)
    )


def floor_depths(removed: RemovedSolid, analysis: OutlineAnalysis, away: float) -> Array:
    """Depths of the pocket's floor at places evenly over it, `away` from the outline or further; none without room."""
    area = grown(analysis.outline.area, -away)
    if area.is_empty:
        return np.zeros(0)
    points = evenly_over(area, MOST_SAMPLES)
    return np.maximum(removed.depth_at(points), 0.0)


def evenly_over(area: shapely.Geometry, count: int) -> Array:
    """About so many places (n, 2) in rows over an area."""
    low_x, low_y, high_x, high_y = area.bounds
    apart = max((area.area / count) ** 0.5, 0.02)
    # off whole steps, so that rows do not fall on a programme's rows
    x = np.arange(low_x + 0.382 * apart, high_x, apart)
    y = np.arange(low_y + 0.382 * apart, high_y, apart)
    grid = np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)
    return grid[shapely.contains_xy(area, grid[:, 0], grid[:, 1])]


def as_declared(job: Job, depths: Depths, passes: tuple[Pass, ...], analysis: OutlineAnalysis) -> PlannedPair:
    """The plan's own pair if every bit were what it is said to be: what posted programmes are held against."""
    cut = as_cut(job, depths, passes, analysis.outline)
    pocket, plug = (replace(bit, actual=bit.declared) for bit in (cut.pocket_bit, cut.plug_bit))
    meant = replace(
        cut, pocket_bit=pocket, plug_bit=plug, pocket_v_error=0.0, plug_v_error=0.0, pocket_floor_error=0.0,
        plug_floor_error=0.0,
    )  # fmt: skip
    return PlannedPair(meant, analysis)
