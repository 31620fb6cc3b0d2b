"""Which V-bit a programme was posted for: how far its tip keeps from the walls at each depth tells angle and tip."""

from __future__ import annotations

from math import atan, degrees
from typing import Final

import numpy as np

from inlayfit.cuts.tool_path import Array
from inlayfit.cutters import Profile
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.proof.faults import Fault
from inlayfit.proof.part_cut import PartCut
from inlayfit.proof.walls_cut import signed_distance
from inlayfit.statement import told

CHECK: Final = "programme-bit"
LEVELS: Final = 24
ANGLE: Final = 1.0
"""An included angle that differs by more, in degrees, is another bit's."""
TIP: Final = 0.02
"""A tip that differs by more on each side, in mm, is another bit's."""
LEAST_ANGLE: Final = 5.0
MOST_ANGLE: Final = 150.0
MOST_POINTS: Final = 40_000


def bit_faults(
    analysis: OutlineAnalysis, cut: PartCut, declared: Profile, plane: float, *, even: bool
) -> list[Fault]:
    """Whether the V-bit's way along the walls is that of another angle or tip than the sheet's bit.

    Its tip keeps a flat's half-width and the depth's share of the slope from the wall: r + z T. The nearest that it
    comes to the outline at each depth, over the whole programme, is that line. ``plane`` is how far below the face the
    wall has the outline's size; ``even`` whether the cut's edge is off by one distance all round, as another bit leaves
    it: only then one depth alone tells a bit.
    """
    sign = -1.0 if cut.part == "plug" else 1.0
    faults = []
    for row, bit in enumerate(cut.bits):
        if not bit.cutter.tapers:
            continue
        mine = np.flatnonzero((cut.bit == row) & ~cut.rapid & (cut.deeper > plane + 1e-6))
        if not len(mine):
            continue
        ends = np.concatenate([cut.start[mine], cut.end[mine]])
        ends = ends[:: max(1, len(ends) // MOST_POINTS)]
        ends = ends[ends[:, 2] > plane + 1e-6]
        depth, room = ends[:, 2] - plane, signed_distance(analysis, ends[:, :2]) * sign
        line = _nearest(depth, room)
        if line is None and not even:
            continue
        tip, slope = line or _at_one_depth(depth, room, declared)
        angle = 2 * degrees(atan(slope))
        spot = cut.first_at((cut.bit == row) & (cut.deeper > plane + 1e-6))
        if not LEAST_ANGLE < angle < MOST_ANGLE:
            # no bit at all: another outline
            continue
        wrong = abs(angle - declared.angle)
        if wrong > ANGLE:
            off = abs(slope - declared.slope) * float(depth.max())
            what = told("programme_bit.angle", bit=bit.cutter.name, found=angle, declared=declared.angle, off=off)
            remedy = told("programme_bit.set_angle", angle=declared.angle)
            faults.append(Fault(CHECK, "fail", off, spot, what, remedy, off=off))
        elif abs(tip - declared.flank_radius) > TIP:
            off = tip - declared.flank_radius
            code = "programme_bit.point" if tip < TIP else "programme_bit.tip"
            what = told(code, bit=bit.cutter.name, found=max(0.0, 2 * tip), declared=2 * declared.flank_radius)
            remedy = told("programme_bit.set_tip", tip=2 * declared.flank_radius)
            faults.append(Fault(CHECK, "fail", abs(off), spot, what, remedy, off=abs(off)))
    return faults


def _at_one_depth(depth: Array, room: Array, declared: Profile) -> tuple[float, float]:
    """Tip and slope where one depth alone is known: a true point of the same angle, or else another angle."""
    deepest = float(depth.max())
    near = float(room[depth > deepest - 0.01].min())
    tip = near - deepest * declared.slope
    if abs(tip) < TIP or abs(tip - declared.flank_radius) < TIP:
        return max(0.0, tip), declared.slope
    return declared.flank_radius, (near - declared.flank_radius) / deepest


def _nearest(depth: Array, room: Array) -> tuple[float, float] | None:
    """The line (room at no depth, room for each unit of depth) along the nearest that points come at each depth."""
    deepest = float(depth.max())
    level = np.minimum((depth / deepest * LEVELS).astype(int), LEVELS - 1)
    near: list[tuple[float, float]] = []
    for number in range(LEVELS):
        at = np.flatnonzero(level == number)
        if len(at):
            one = at[np.argmin(room[at])]
            near.append((float(depth[one]), float(room[one])))
    z, r = np.array(near).T
    if z.max() - z.min() < 0.3 * deepest:
        return None
    slope, tip = np.polyfit(z, r, 1)
    left = np.abs(r - (tip + slope * z))
    use = left <= max(3 * float(np.median(left)), 0.005)
    slope, tip = np.polyfit(z[use], r[use], 1)
    if np.abs(r[use] - (tip + slope * z[use])).max() > 0.05 or use.sum() < 4:
        return None
    return float(tip), float(slope)
