"""Wood left standing: on the pocket's floor under the plug, and on the plug's own floor over the base's face."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import grown
from inlayfit.proof.faults import Fault, Severity
from inlayfit.proof.posted_pair import evenly_over
from inlayfit.statement import told

CHECK: Final = "uncut-rest"
SAMPLES: Final = 30_000
EDGE: Final = 0.1
"""So far from its edges, in mm, a floor is looked at."""


class Rest(NamedTuple):
    """What stands on a floor: how high at the most and where, the share of the floor that stands, the gap it stands in.

    ``gap`` is what it may not fill: the glue gap, or the surface gap. mm.
    """

    part: str
    highest: float
    at: tuple[float, float]
    share: float
    gap: float


def rests(
    job: Job, depths: Depths, analysis: OutlineAnalysis, base: RemovedSolid, plug: RemovedSolid
) -> list[Rest]:
    """What stands on both floors; depths of both solids count from the part's face."""
    v, area = job.bits.pocket_v.shape, analysis.outline.area
    inner = grown(area, -(depths.pocket_depth * v.slope + v.flank_radius + EDGE))
    w = job.bits.plug_v.shape
    outer = grown(area, job.plug.border - EDGE).difference(
        grown(area, depths.depth_below_start * w.slope + w.flank_radius + EDGE)
    )
    found = []
    for part, solid, floor, depth, gap in (
        ("pocket", base, inner, depths.pocket_depth, depths.glue_gap),
        ("plug", plug, outer, depths.plug_total_depth, depths.surface_gap),
    ):
        points = evenly_over(floor, SAMPLES) if floor.area > 0 else np.zeros((0, 2))
        if not len(points):
            continue
        stands = depth - np.maximum(solid.depth_at(points), 0.0)
        worst = int(np.argmax(stands))
        found.append(
            Rest(part, float(stands[worst]), (float(points[worst, 0]), float(points[worst, 1])),
                 float((stands > 0.02).mean()), gap)
        )  # fmt: skip
    return found


def rest_faults(found: list[Rest]) -> list[Fault]:
    """Rests that fill more than half of the gap they stand in, or all of it."""
    faults = []
    for rest in found:
        if rest.highest <= rest.gap / 2:
            continue
        severity: Severity = "fail" if rest.highest > rest.gap else "doubtful"
        what = told(f"uncut_rest.{rest.part}", high=rest.highest, share=rest.share, gap=rest.gap)
        remedy = told("uncut_rest.file_missing" if rest.share > 0.25 else "uncut_rest.clean_up")
        faults.append(Fault(CHECK, severity, rest.highest, None, what, remedy, at=rest.at, off=rest.highest))
    return faults
