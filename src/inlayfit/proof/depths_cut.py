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
INTO_BED: Final = 0.5
"""A cut-out that goes deeper than planned by more, in mm, fails: spoil boards are not thick (common practice, no
source)."""
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
    through = _cuts_out(job, depths, plug)
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


def _zero_off(job: Job, depths: Depths, cut: PartCut) -> float:
    """How much deeper than meant all of a part is cut as its zero is the board's other side [mm]; 0 where it is not.

    Its V-bit tells: moved by the board's thickness it goes to the plan's depth, or to that of a usual slip.
    """
    of_base = cut.part == "pocket"
    thickness = (job.base if of_base else job.plug).thickness
    total, below = depths.plug_total_depth, depths.depth_below_start
    meant = (depths.pocket_depth,) if of_base else (total, below, depths.start_depth + total)
    off = thickness if job.touch_off == "bed" else -thickness
    tapers = np.array([bit.cutter.tapers for bit in cut.bits], bool)
    mine = ~cut.rapid
    if len(tapers):
        mine &= tapers[cut.bit]
    if not mine.any():
        return 0.0
    deepest = float(cut.deeper[mine].max())
    usual = any(abs(deepest - depth) <= SAME for depth in meant)
    moved = any(abs(deepest - off - depth) <= SAME for depth in meant)
    return off if moved and not usual else 0.0


def _cuts_out(job: Job, depths: Depths, plug: PartCut) -> NDArray[np.bool_]:
    """Which pieces cut the plug out: those that go through its blank, and the earlier passes over the same line."""
    through = ~plug.rapid & (plug.deeper - _zero_off(job, depths, plug) > job.plug.thickness - SAME)
    if job.bits.cut_out is not None and through.any():
        # walls as deep as the blank is thick are a wrong depth, no cut-out
        through &= ~np.array([bit.cutter.tapers for bit in plug.bits], bool)[plug.bit]
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
        frame, zero_off = frames[not of_base], _zero_off(job, depths, base if of_base else plug)
        allowed = (depths.glue_gap if entry.part == "pocket" else depths.surface_gap) / 2
        severity: Severity = "fail" if abs(off) > allowed else "doubtful"
        what = told(
            "programme_depths.off", part=told(f"programme.part_{entry.part}"), step=told(f"step.{entry.step}"),
            z=frame.face - entry.found, planned=frame.face - entry.planned, off=abs(off),
            way=told("programme.deeper" if off > 0 else "programme.shallower"),
        )  # fmt: skip
        remedy = _zero_remedy(job) if zero_off else _meant(entry, depths)
        faults.append(Fault(CHECK, severity, abs(off), entry.spot, what, remedy, off=abs(off)))
    for cut, frame, use, planned in (
        (base, frames[0], np.ones(len(base), bool), depths.pocket_depth),
        (plug, frames[1], ~_cuts_out(job, depths, plug), depths.plug_total_depth),
    ):
        if use.any() and not (cut.deeper[use] > 0).any():
            lowest = float(cut.deeper[use].max())
            what = told(
                "programme_depths.nothing", part=told(f"programme.part_{cut.part}"), z=frame.face - lowest,
                face=frame.face,
            )  # fmt: skip
            nothing = _zero_remedy(job) if _zero_off(job, depths, cut) else None
            spot = cut.first_at(use & (cut.deeper > lowest - 1e-6))
            faults.append(Fault(CHECK, "fail", planned, spot, what, nothing))
    return faults


def cut_out_faults(job: Job, depths: Depths, plug: PartCut, frame: Frame, cuts: list[DepthCut]) -> list[Fault]:
    """A cut-out that is missing, or not as deep as planned: too deep it cuts the bed."""
    found = [entry for entry in cuts if entry.step == "cut out"]
    if job.plug.cut_out and len(plug) and not found:
        return [Fault(CHECK, "doubtful", 0.0, None, told("programme_depths.no_cut_out"))]
    faults = []
    for entry in found:
        off = entry.found - entry.planned
        if abs(off) <= SAME:
            continue
        zero_off = _zero_off(job, depths, plug)
        what = told(
            "programme_depths.off", part=told("programme.part_plug"), step=told("step.cut out"),
            z=frame.face - entry.found, planned=frame.face - entry.planned, off=abs(off),
            way=told("programme.deeper" if off > 0 else "programme.shallower"),
        )  # fmt: skip
        remedy = _zero_remedy(job) if zero_off else told("programme_depths.type_cut_out", depth=entry.planned)
        severity: Severity = "fail" if zero_off or off > INTO_BED else "doubtful"
        faults.append(Fault(CHECK, severity, abs(off), entry.spot, what, remedy, off=abs(off)))
    return faults


def _zero_remedy(job: Job) -> Statement:
    return told("programme_depths.zero_on", other="bed" if job.touch_off == "face" else "face", zero=job.touch_off)


def _meant(entry: DepthCut, depths: Depths) -> Statement:
    """What was probably typed, and what to type."""
    if entry.part == "pocket":
        return told("programme_depths.type_pocket", depth=entry.planned)
    start, below = depths.start_depth, depths.depth_below_start
    if abs(entry.found - below) <= SAME:
        return told("programme_depths.type_start", start=start)
    if abs(entry.found - (start + depths.plug_total_depth)) <= SAME:
        return told("programme_depths.type_below", below=below, total=depths.plug_total_depth)
    return told("programme_depths.type_plug", start=start, below=below, total=depths.plug_total_depth)
