"""The pocket's floor: how much of it the clearing bit reaches."""

from __future__ import annotations

from dataclasses import dataclass

from inlayfit.depths import Depths
from inlayfit.job import Job
from inlayfit.outline import Outline, grown


@dataclass(frozen=True, kw_only=True)
class FloorAccess:
    """Areas in mm2 of the flat floor and of what the clearing bits reach of it."""

    area: float
    reached: float

    @property
    def left_to_v(self) -> float:
        """Share of the floor left to the V-bit; 0 where there is no flat floor."""
        return 1 - self.reached / self.area if self.area > 0 else 0.0


def floor_access(outline: Outline, job: Job, depths: Depths) -> FloorAccess:
    """The floor is the outline shrunk by F T; a round bit reaches what its disc covers within the clearing offset.

    With several clearing bits the smallest reaches all that the others do.
    """
    floor = grown(outline.area, -depths.pocket_depth * job.bits.pocket_v.shape.slope)
    if not job.bits.clearing:
        return FloorAccess(area=float(floor.area), reached=0.0)
    radius = job.bits.clearing[-1].diameter / 2
    centres = grown(outline.area, -(depths.pocket_clearing_offset + radius))
    # facets can put the swept disc a hair over the floor's own edge
    reached = min(float(grown(centres, radius).area), float(floor.area))
    return FloorAccess(area=float(floor.area), reached=reached)
