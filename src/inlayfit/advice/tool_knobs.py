"""Knobs of bits, boards and hold-downs: what is moved, swapped or bought."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final, Literal

from inlayfit.advice.bench import Bench, Ways
from inlayfit.advice.change import Change, Changes
from inlayfit.checks.depth_checks import BIT_REACH
from inlayfit.checks.shop_checks import HOLD_DOWNS
from inlayfit.cutters import USUAL_ANGLES

SPARE: Final = 0.5
"""What a longer bit or a wider cone must have to spare, in mm: less is doubtful."""


def finer_stepover(bench: Bench) -> Ways:
    """Side by side passes of the V-bits closer together."""
    bits = bench.job.bits
    widest = max(bits.pocket_v.stepover, bits.plug_v.stepover)
    values = bench.steps(widest, 0.02, 0.01, 0.0005)
    yield "", [tuple(Change(f"{key}.stepover", bench.typed(value)) for key in bench.v_keys) for value in values]


def move_hold_down(bench: Bench) -> Ways:
    """A hold-down that is struck moved aside, one way for each side."""
    found = bench.plan.facts.outline
    if found is None:
        return
    limit = bench.job.limits[HOLD_DOWNS]
    for entry in found.shop.hold_downs:
        if not entry.strikes and (entry.clear_by is None or entry.clear_by >= limit):
            continue
        x, y = bench.job.hold_downs[entry.number - 1].at
        for way, (right, up) in {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}.items():
            yield (
                f"{entry.number} {way}",
                [
                    (Change(f"hold_downs[{entry.number}].at", bench.pair(x + right * far, y + up * far)),)
                    for far in bench.steps(0.0, 200.0, 1.0, 1 / 16)
                ],
            )


def sharper_tip(bench: Bench) -> Ways:
    """V-bits with narrower tips."""
    settings: list[Changes] = []
    bits = dict(zip(bench.v_keys, (bench.job.bits.pocket_v, bench.job.bits.plug_v), strict=False))
    for share in (0.8, 0.65, 0.5, 0.4, 0.3, 0.2, 0.1, 0.0):
        setting: Changes = ()
        for key, bit in bits.items():
            radius = max(bit.real.rounding, bit.shape.rounding)
            width = 2 * max(bit.real.tip_radius, bit.shape.tip_radius)
            name, size = (f"{key}.ball", radius) if radius > 0 else (f"{key}.tip", width)
            if size > 0:
                setting += (Change(name, bench.typed(share * size)), *bench.unmeasured(key))
                # a sharper tip leaves higher ridges at the same stepover: half the glue gap is what they may fill
                finer = share * size + 0.9 * bit.shape.slope * bench.depths.glue_gap
                if radius == 0 and finer < bit.stepover:
                    setting += (Change(f"{key}.stepover", bench.typed(finer)),)
        if setting:
            settings.append(setting)
    yield "", list(dict.fromkeys(settings))


def _another_v(bench: Bench, angle: float, key: str, tip: float) -> Changes:
    """A V-bit of this angle, as large and as long as this joint needs it at the least."""
    needs = max(bench.depths.plug_total_depth, bench.depths.pocket_depth) + SPARE
    widest = 2 * (tip / 2 + needs * math.tan(math.radians(angle / 2)))
    return (
        Change(f"{key}.angle", f"{angle:g}"),
        Change(f"{key}.diameter", bench.typed(bench.up(widest))),
        Change(f"{key}.reach", bench.typed(bench.up(needs))),
        *bench.unmeasured(key),
    )


def wider_angle(bench: Bench) -> Ways:
    """V-bits of the next wider angles, their tip the same."""
    pocket = bench.job.bits.pocket_v
    settings: list[Changes] = []
    for angle in USUAL_ANGLES:
        if angle > pocket.shape.angle:
            parts = (_another_v(bench, angle, key, 2 * pocket.shape.flank_radius) for key in bench.v_keys)
            settings.append(tuple(change for part in parts for change in part))
    yield "", settings


def wider_cone(bench: Bench) -> Ways:
    """V-bits whose cones are high enough for their deepest cut."""
    bits, setting = bench.job.bits, tuple[Change, ...]()
    depths = (bench.depths.pocket_depth, bench.depths.plug_total_depth)
    if bench.one_v:
        depths = (max(depths),) * 2
    for key, bit, depth in zip(bench.v_keys, (bits.pocket_v, bits.plug_v), depths, strict=False):
        if bit.cone_height < depth + SPARE:
            wide = max(2 * shape.half_width_at(depth + SPARE) for shape in (bit.shape, bit.real))
            setting += (Change(f"{key}.diameter", bench.typed(bench.up(wide))),)
            if bit.reach is not None and bit.reach < depth + bench.job.limits[BIT_REACH]:
                setting += (Change(f"{key}.reach", bench.typed(bench.up(depth + SPARE))),)
    yield "", [setting] if setting else []


def longer_bit(bench: Bench) -> Ways:
    """Every bit that is too short for its deepest pass, as long as it must be."""
    bits, spare = bench.job.bits, bench.job.limits[BIT_REACH]
    deepest: dict[str, float] = {}
    reach: dict[str, float | None] = {}
    for entry in bench.plan.facts.passes:
        if entry.step == "level":
            continue
        if entry.step == "clear" and bits.clearing:
            key = bench.sheet.clearing_key(entry.cutter.diameter)
        elif entry.step == "cut out":
            own = bench.sheet.holds("bits", "cut_out")
            key = "bits.cut_out" if own else bench.sheet.clearing_key(entry.cutter.diameter)
        else:
            key = "bits.v" if bench.one_v else "bits.pocket_v" if entry.part == "pocket" else "bits.plug_v"
        if key is None:
            return  # a bit that another change brought, as long as it must be
        deepest[key] = max(deepest.get(key, 0.0), entry.total_depth)
        reach[key] = entry.cutter.reach
    setting = tuple(
        Change(f"{key}.reach", bench.typed(bench.up(depth + spare)))
        for key, depth in deepest.items()
        if (has := reach[key]) is not None and has < depth + spare
    )
    yield "", [setting] if setting else []


def smaller_clearing_bit(bench: Bench) -> Ways:
    """A smaller bit in place of the smallest that clears."""
    bits = bench.job.bits
    if not bits.clearing:
        return
    smallest = bits.clearing[-1]
    key = bench.sheet.clearing_key(smallest.diameter)
    if key is None:
        return
    yield (
        "",
        [
            (Change(f"{key}.diameter", bench.typed(value)),)
            for value in bench.steps(smallest.diameter, 0.8, 0.5, 1 / 64)
        ],
    )


def add_clearing_bit(bench: Bench) -> Ways:
    """A bit to clear the floor where only the V-bit did."""
    if bench.job.bits.clearing:
        return
    # a bit's length is what is needed here; its diameter what small shops have (common practice, no source)
    plug, deepest = bench.job.plug, bench.depths.plug_total_depth
    if plug.cut_out and bench.job.bits.cut_out is None:
        deepest = max(deepest, plug.thickness + plug.through)
    reach = bench.typed(bench.up(deepest + bench.job.limits[BIT_REACH]))
    sizes = (("1/4in", "1/8in"), ("1/8in", "1/16in"), ("1/16in", "1/32in")) if bench.inch else (
        ("6mm", "3mm"), ("3mm", "1.5mm"), ("1.5mm", "0.75mm")
    )  # fmt: skip
    yield (
        "",
        [
            (Change("bits.clearing", f"{{diameter: {size}, reach: {reach}, depth_of_cut: {half}}}"),)
            for size, half in sizes
        ],
    )


def thicker(part: Literal["base", "plug"]) -> Callable[[Bench], Ways]:
    """A thicker board."""

    def ways(bench: Bench) -> Ways:
        now = bench.job.base.thickness if part == "base" else bench.job.plug.thickness
        yield "", bench.lengths(f"{part}.thickness", now, now + 25, 0.5, 1 / 32)

    return ways


def larger_blank(part: Literal["base", "plug"]) -> Callable[[Bench], Ways]:
    """A board longer and wider by as much."""

    def ways(bench: Bench) -> Ways:
        blank = bench.job.base.blank if part == "base" else bench.job.plug.blank
        if blank is not None:
            wide, high = blank
            yield (
                "",
                [
                    (Change(f"{part}.blank", bench.pair(wide + more, high + more)),)
                    for more in bench.steps(0.0, 250.0, 1.0, 1 / 16)
                ],
            )

    return ways
