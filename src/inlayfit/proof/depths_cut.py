"""How deep each part was cut, bit by bit, against the depths of the plan; which number was typed wrong."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.proof.faults import Fault, Severity, Spot
from inlayfit.proof.part_cut import Frame, PartCut
from inlayfit.statement import Statement, told

SAME: Final = 0.02
"""Depths that differ by no more are the same, in mm: a fifth of a sheet of paper's thickness, and rounding."""
CHECK: Final = "programme-depths"


class DepthCut(NamedTuple):
    """The depth that one bit reached in one part, where first, and what the plan says, in mm below the part's face."""

    part: str
    step: str
    bit: str
    found: float
    planned: float
    spot: Spot


def depths_cut(job: Job, depths: Depths, base: PartCut, plug: PartCut) -> list[DepthCut]:
    """The greatest depth of each bit in each part; what goes through the plug's blank is its cut-out."""
    found = []
    through = _cuts_out(job, plug)
    for cut, planned, use in (
        (base, depths.pocket_depth, np.ones(len(base), bool)),
        (plug, depths.plug_total_depth, ~through),
    ):
        for row, bit in enumerate(cut.bits):
            mine = use & (cut.bit == row) & ~cut.rapid & (cut.deeper > 0)
            if mine.any():
                step = "walls" if bit.cutter.tapers else "clear"
                found.append(_deepest(cut, mine, step, bit.cutter.name, planned))
    if through.any():
        row = int(plug.bit[np.flatnonzero(through)[0]])
        total = job.plug.thickness + job.plug.through
        found.append(_deepest(plug, through, "cut out", plug.bits[row].cutter.name, total))
    return found


def _cuts_out(job: Job, plug: PartCut) -> NDArray[np.bool_]:
    """Which pieces cut the plug out: those that go through its blank, and the earlier passes over the same line."""
    through = plug.deeper > job.plug.thickness - SAME
    if not through.any():
        return through
    line = shapely.MultiLineString(list(np.stack([plug.start[through, :2], plug.end[through, :2]], 1)))
    shapely.prepare(line)
    of_bit = np.isin(plug.bit, np.unique(plug.bit[through]))
    rows = np.flatnonzero(of_bit & ~through)
    near = [shapely.distance(line, shapely.points(ends[rows, :2])) < SAME for ends in (plug.start, plug.end)]
    found = through.copy()
    found[rows] = near[0] & near[1]
    return found


def _deepest(cut: PartCut, use: NDArray[np.bool_], step: str, bit: str, planned: float) -> DepthCut:
    deepest = float(cut.deeper[use].max())
    return DepthCut(cut.part, step, bit, deepest, planned, cut.first_at(use & (cut.deeper > deepest - 1e-6)))


def depth_faults(
    job: Job, depths: Depths, base: PartCut, plug: PartCut, frames: tuple[Frame, Frame], cuts: list[DepthCut]
) -> list[Fault]:
    """Depths that are not the plan's, each with the number to type."""
    faults = []
    for entry in cuts:
        off = entry.found - entry.planned
        if entry.step == "cut out" or abs(off) <= SAME:
            continue
        of_base = entry.part == "pocket"
        frame, thickness = frames[not of_base], (job.base if of_base else job.plug).thickness
        allowed = (depths.glue_gap if entry.part == "pocket" else depths.surface_gap) / 2
        severity: Severity = "fail" if abs(off) > allowed else "doubtful"
        what = told(
            "programme_depths.off", part=told(f"programme.part_{entry.part}"), step=told(f"step.{entry.step}"),
            z=frame.face - entry.found, planned=frame.face - entry.planned, off=abs(off),
            way=told("programme.deeper" if off > 0 else "programme.shallower"),
        )  # fmt: skip
        faults.append(Fault(CHECK, severity, abs(off), entry.spot, what, _meant(entry, depths, thickness)))
    for cut, frame, thickness, planned in (
        (base, frames[0], job.base.thickness, depths.pocket_depth),
        (plug, frames[1], job.plug.thickness, depths.plug_total_depth),
    ):
        if len(cut) and not (cut.deeper > 0).any():
            lowest = float(cut.deeper.max())
            other = "bed" if job.touch_off == "face" else "face"
            near = abs(lowest + (thickness if job.touch_off == "face" else -thickness) - planned) <= SAME
            what = told(
                "programme_depths.nothing", part=told(f"programme.part_{cut.part}"), z=frame.face - lowest,
                face=frame.face,
            )  # fmt: skip
            remedy = told("programme_depths.zero_on", other=other, zero=job.touch_off) if near else None
            spot = cut.first_at(cut.deeper > lowest - 1e-6)
            faults.append(Fault(CHECK, "fail", planned, spot, what, remedy))
    if job.plug.cut_out and len(plug) and not any(entry.step == "cut out" for entry in cuts):
        faults.append(Fault(CHECK, "doubtful", 0.0, None, told("programme_depths.no_cut_out")))
    return faults


def _meant(entry: DepthCut, depths: Depths, thickness: float) -> Statement:
    """What was probably typed, and what to type."""
    if entry.part == "pocket":
        if abs(entry.found - thickness - entry.planned) <= SAME:
            return told("programme_depths.zero_on", other="face", zero="bed")
        return told("programme_depths.type_pocket", depth=entry.planned)
    start, below = depths.start_depth, depths.depth_below_start
    if abs(entry.found - thickness - entry.planned) <= SAME:
        return told("programme_depths.zero_on", other="face", zero="bed")
    if abs(entry.found - below) <= SAME:
        return told("programme_depths.type_start", start=start)
    if abs(entry.found - (start + depths.plug_total_depth)) <= SAME:
        return told("programme_depths.type_below", below=below, total=depths.plug_total_depth)
    return told("programme_depths.type_plug", start=start, below=below, total=depths.plug_total_depth)
