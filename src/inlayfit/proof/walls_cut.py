"""Cuts that reach past the final wall: how far each piece of path cuts the base too wide or the plug too small."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely

from inlayfit.cuts.tool_path import Array
from inlayfit.cutters import Profile
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.proof.faults import Fault
from inlayfit.proof.part_cut import PartCut
from inlayfit.statement import told

MOST_GOUGED: Final = 0.05
"""A wall cut away by more than this, in mm, leaves an open joint line."""
ROUNDING: Final = 0.005
"""Less is what a programme's own digits and chords leave, in mm."""
HEIGHTS: Final = 9


def room_needed(profile: Profile, wall: Profile, depth: Array) -> Array:
    """How far inside the outline a tip must run to touch the final wall, at depths from where that is the outline's.

    The wall leans in by its slope for each unit of depth; of the cutter's edge the place that reaches furthest past it
    counts. Depths below 0 lie above that plane.
    """
    heights = np.linspace(0.0, 1.0, HEIGHTS)
    most = np.maximum(depth, 0.0)
    reach = [
        np.array([profile.half_width_at(h) if profile.slope or profile.rounding else profile.tip_radius
                  for h in share * most]) - share * most * wall.slope
        for share in heights
    ]  # fmt: skip
    return np.asarray(np.max(reach, axis=0) + depth * wall.slope)


def gouges(job: Job, depths: Depths, analysis: OutlineAnalysis, cut: PartCut, wall: Profile) -> list[Fault]:
    """The worst piece of each file and bit that cuts past the final wall; the cut lies where it should."""
    plane, sign = (depths.start_depth, -1.0) if cut.part == "plug" else (0.0, 1.0)
    # below its foot there is no wall to cut into
    foot = depths.plug_total_depth if cut.part == "plug" else depths.pocket_depth
    low = cut.deeper > 1e-6
    past = np.full(len(cut), -np.inf)
    rows = np.flatnonzero(low)
    if not len(rows):
        return []
    area = analysis.outline.area
    line = shapely.linestrings(np.stack([cut.start[rows, :2], cut.end[rows, :2]], 1))
    border = area.boundary
    shapely.prepare(border)
    away = shapely.distance(line, border)
    inside = shapely.contains_xy(area, cut.start[rows, 0], cut.start[rows, 1])
    signed = np.where(inside, away, -away) * sign
    for number, bit in enumerate(cut.bits):
        mine = np.flatnonzero(cut.bit[rows] == number)
        if not len(mine):
            continue
        depth = np.minimum(cut.deeper[rows[mine]], foot) - plane
        levels, back = np.unique(np.round(depth, 4), return_inverse=True)
        need = room_needed(bit.cutter.shape, wall, levels)[back]
        # along a piece that falls, the deep end needs the most room and may have it: its own distance counts
        falls = np.abs(cut.start[rows[mine], 2] - cut.end[rows[mine], 2]) > 1e-4
        room = signed[mine]
        if falls.any():
            room = room.copy()
            need = need.copy()
            best = np.full(int(falls.sum()), -np.inf)
            for places in (cut.start, cut.end):
                at = places[rows[mine[falls]]]
                here = signed_distance(analysis, at[:, :2]) * sign
                wants = room_needed(bit.cutter.shape, wall, np.minimum(at[:, 2], foot) - plane)
                best = np.maximum(best, wants - here)
            need[falls], room[falls] = best, 0.0
        past[rows[mine]] = need - room
    faults = []
    for file in range(len(cut.files)):
        for number, bit in enumerate(cut.bits):
            mine = (cut.file == file) & (cut.bit == number)
            if not mine.any() or not past[mine].max() > ROUNDING:
                continue
            worst = int(np.flatnonzero(mine)[np.argmax(past[mine])])
            by = float(past[worst])
            first = cut.first_at(mine & (past > max(ROUNDING, 0.5 * by)))
            kind = "v" if bit.cutter.tapers else "straight"
            offset = depths.pocket_clearing_offset if cut.part == "pocket" else depths.plug_clearing_offset
            faults.append(
                Fault(
                    "wall-gouged", "fail" if by > MOST_GOUGED else "doubtful", by, first,
                    told(f"wall_gouged.{cut.part}", bit=bit.cutter.name, by=by),
                    told(f"wall_gouged.{kind}", offset=offset, bit=bit.cutter.name),
                    at=(float(cut.start[worst, 0]), float(cut.start[worst, 1])), off=by,
                )
            )  # fmt: skip
    return faults


def signed_distance(analysis: OutlineAnalysis, points: Array) -> Array:
    """Distance from the outline, positive inside."""
    away = np.hypot(*(points - analysis.boundary.nearest(points)).T)
    return np.where(shapely.contains_xy(analysis.outline.area, points[:, 0], points[:, 1]), away, -away)
