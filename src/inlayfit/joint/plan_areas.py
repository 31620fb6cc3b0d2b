"""What of a pocket's plan each cut makes: wall, cleared floor, floor left to the V-bit, strokes that end in a V."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from inlayfit.joint.depths import Depths
from inlayfit.joint.floor import pocket_floor
from inlayfit.joint.job import Job
from inlayfit.joint.outline import Outline, grown


@dataclass(frozen=True, kw_only=True)
class PlanAreas:
    """Areas of the outline's plan, in mm; together with the walls' band they make up the outline."""

    cleared: BaseGeometry
    """Floor that the clearing bits reach."""
    left_to_v: BaseGeometry
    """Floor that the V-bit cleans."""
    v_bottomed: BaseGeometry
    """Strokes and corners too narrow for the full depth."""


def plan_areas(outline: Outline, job: Job, depths: Depths) -> PlanAreas:
    """Areas of the pocket of this outline.

    The V-bit reaches the full depth where a disc as wide as its cut at that depth fits into the outline: what such
    discs do not cover ends in a V.
    """
    floor, cleared = pocket_floor(outline, job, depths)
    widest = job.bits.pocket_v.shape.half_width_at(depths.pocket_depth)
    full = grown(grown(outline.area, -widest), widest)
    return PlanAreas(
        cleared=cleared,
        left_to_v=floor.difference(cleared),
        v_bottomed=outline.area.difference(full),
    )
