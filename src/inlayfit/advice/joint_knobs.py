"""Knobs of the joint and its tolerances: depths, gaps, levelling, clamping, size, care."""

from __future__ import annotations

import math
from typing import Final

from inlayfit.advice.bench import Bench, Ways
from inlayfit.advice.change import Change, Changes
from inlayfit.checks.depth_checks import GLUE_GAP, SURFACE_GAP
from inlayfit.joint.depths import cone_spare
from inlayfit.quantity import MM_PER_INCH, MPA_PER_PSI, NEWTON_PER_LBF

LARGEST: Final = 4.0
"""A drawing is made at most this many times as large."""


def _depth(bench: Bench, end: float) -> Ways:
    start = bench.depths.pocket_depth
    yield "", bench.lengths("joint.pocket_depth", start, end, 0.1, 0.005)


def shallower(bench: Bench) -> Ways:
    """A shallower pocket."""
    # a pocket that holds no more plug than glue gap is no joint, and half the depth asked for is another
    return _depth(bench, max(2 * bench.depths.glue_gap, 1.0, bench.depths.pocket_depth / 2))


def deeper(bench: Bench) -> Ways:
    """A deeper pocket."""
    job = bench.job
    room = min(
        job.base.thickness - job.base.least_floor,
        bench.depths.pocket_depth + min(cone_spare(job, bench.depths), bench.depths.plug_web - job.plug.least_web),
    )
    return _depth(bench, min(room, 2 * bench.depths.pocket_depth))


def _gap(bench: Bench, key: str, start: float, end: float) -> Ways:
    yield "", bench.lengths(key, start, end, 0.05, 0.001)


def more_glue_gap(bench: Bench) -> Ways:
    """A larger glue gap, up to what its check takes."""
    most = min(bench.job.limits[GLUE_GAP][1], bench.depths.pocket_depth / 2)
    return _gap(bench, "joint.glue_gap", bench.depths.glue_gap, most)


def less_glue_gap(bench: Bench) -> Ways:
    """A smaller glue gap, down to what its check takes."""
    return _gap(bench, "joint.glue_gap", bench.depths.glue_gap, bench.job.limits[GLUE_GAP][0])


def more_surface_gap(bench: Bench) -> Ways:
    """A larger surface gap."""
    return _gap(bench, "joint.surface_gap", bench.depths.surface_gap, max(5.0, 2 * bench.job.limits[SURFACE_GAP]))


def less_surface_gap(bench: Bench) -> Ways:
    """A smaller surface gap, down to what its check takes."""
    return _gap(bench, "joint.surface_gap", bench.depths.surface_gap, bench.job.limits[SURFACE_GAP])


def level_less(bench: Bench) -> Ways:
    """Level and sand less, both alike."""
    joint = bench.job.joint
    settings: list[Changes] = []
    for share in (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2):
        cut, sanded = (bench.typed(share * value) for value in (joint.level_below, joint.sanding))
        settings.append((Change("joint.level_below", cut), Change("joint.sanding", sanded)))
    yield "", settings if joint.level_below + joint.sanding > 0 else []


def _clamp(bench: Bench, factors: list[float]) -> Ways:
    joint = bench.job.joint
    settings: list[Changes] = []
    for factor in factors:
        if joint.clamp_force is not None:
            force = joint.clamp_force * factor
            text = f"{_round(force / NEWTON_PER_LBF)}lbf" if bench.inch else f"{_round(force)}N"
            settings.append((Change("joint.clamp_force", text),))
        else:
            pressure = joint.clamp_pressure * factor
            text = f"{_round(pressure / MPA_PER_PSI)}psi" if bench.inch else f"{_round(pressure)}MPa"
            settings.append((Change("joint.clamp_pressure", text),))
    yield "", settings


def less_clamp(bench: Bench) -> Ways:
    """Less clamping force."""
    # less than a fifth of what was asked for would not draw a joint home on glue
    return _clamp(bench, [1 - number / 20 for number in range(1, 17)])


def more_clamp(bench: Bench) -> Ways:
    """More clamping force."""
    most = 20 / bench.job.joint.clamp_pressure
    return _clamp(bench, [factor for factor in (1.25, 1.5, 1.75, 2.0, 2.5, 3.0) if factor < most])


def _scaled(bench: Bench, factors: list[float], upwards: bool) -> Ways:
    source, sheet = bench.job.outline, bench.sheet
    found = bench.plan.facts.outline
    if source is None or found is None:
        return
    left, low, right, high = found.survey.bounds
    wide, tall = right - left, high - low
    settings: list[Changes] = []
    step = (0.05 * MM_PER_INCH) if bench.inch else 1.0
    for factor in factors:
        if sheet.holds("outline", "scale"):
            new = float(f"{(source.scale or 1) * factor:.3g}")
            change, factor = Change("outline.scale", f"{new:g}"), new / (source.scale or 1)
        else:
            key, size = ("outline.height", tall) if sheet.holds("outline", "height") else ("outline.width", wide)
            steps = math.ceil(size * factor / step - 1e-6) if upwards else math.floor(size * factor / step + 1e-6)
            if steps < 1:
                break
            change, factor = Change(key, bench.typed(steps * step)), steps * step / size
        settings.append((change, *_blank_for(bench, (factor - 1) * wide, (factor - 1) * tall)))
    yield "", list(dict.fromkeys(settings))


def _blank_for(bench: Bench, wider: float, taller: float) -> Changes:
    """A plug's blank that grows with its plug; what it had round it stays. The base's board is what it is."""
    blank = bench.job.plug.blank
    if blank is None or wider <= 0:
        return ()
    wide, high = (bench.up(size + more) for size, more in zip(blank, (wider, taller), strict=True))
    return (Change("plug.blank", bench.pair(wide, high)),)


def larger(bench: Bench) -> Ways:
    """The design larger, and the blank of its plug with it."""
    count = round(math.log(LARGEST) / math.log(1.04))
    return _scaled(bench, [1.04**number for number in range(1, count + 1)], True)


def smaller(bench: Bench) -> Ways:
    """The design smaller."""
    return _scaled(bench, [0.97**number for number in range(1, 46)], False)


def touch_off_closer(bench: Bench) -> Ways:
    """Every bit touched off more closely."""
    now = bench.job.tolerance
    worst = max(entry.worst for entry in (now.pocket_v, now.pocket_clear, now.plug_v, now.plug_clear))
    yield "", bench.lengths("tolerance.touch_off", worst, 0.01, 0.005, 0.0005)


def flatter_boards(bench: Bench) -> Ways:
    """Boards held flatter."""
    yield "", bench.lengths("tolerance.warp", bench.job.tolerance.warp.worst, 0.0, 0.02, 0.001)


def _round(value: float) -> str:
    return f"{float(f'{value:.3g}'):g}"
