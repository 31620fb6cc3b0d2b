"""What can be turned on a job: for each check that does not pass, the keys that may mend it, from a little to a lot.

Every knob is a list of settings that go further and further one way, in the digits that are typed, so that a search
finds the least that will do. What a knob can do for a check is only tried here, never promised: see `search`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from inlayfit.advice.change import Change, Changes, Replanner
from inlayfit.cutters import USUAL_ANGLES
from inlayfit.joint.depths import cone_spare
from inlayfit.quantity import MM_PER_INCH, MPA_PER_PSI, NEWTON_PER_LBF, typed_length

if TYPE_CHECKING:
    from inlayfit.plan import Plan

Code = Literal[
    "shallower", "deeper", "more glue gap", "less glue gap", "more surface gap", "less surface gap", "level less",
    "finer stepover", "less clamp", "more clamp", "larger", "smaller", "move hold-down", "touch off closer",
    "flatter boards", "sharper tip", "wider angle", "longer bit", "wider cone", "smaller clearing bit",
    "add clearing bit", "thicker base", "thicker plug", "larger base", "larger plug blank",
]  # fmt: skip

AT_HAND: Final = frozenset[Code](
    {"shallower", "deeper", "more glue gap", "less glue gap", "more surface gap", "less surface gap", "level less",
     "finer stepover", "less clamp", "more clamp", "larger", "smaller", "move hold-down"}
)  # fmt: skip
"""Numbers to type; the rest is care, another bit or other wood."""

HELPS: Final[dict[str, tuple[Code, ...]]] = {
    "glue-gap": ("more glue gap", "less glue gap", "deeper"),
    "surface-gap": ("more surface gap",),
    "base-floor": ("shallower", "thicker base"),
    "plug-web": ("shallower", "less surface gap", "thicker plug"),
    "cone-reach": ("shallower", "wider cone", "less surface gap"),
    "bit-reach": ("shallower", "longer bit", "less surface gap"),
    "floor-ridges": ("finer stepover", "more glue gap"),
    "clearing-access": ("add clearing bit", "smaller clearing bit", "shallower", "larger"),
    "fine-strokes": ("shallower", "sharper tip", "larger"),
    "fine-gaps": ("sharper tip", "less surface gap", "larger"),
    "survives-levelling": ("level less", "deeper", "sharper tip", "larger"),
    "thin-walls": ("shallower", "larger"),
    "corners": ("sharper tip",),
    "seat": ("finer stepover", "less clamp", "more glue gap", "more clamp", "sharper tip", "deeper", "larger",
             "wider angle"),
    "joint-line": ("more clamp", "sharper tip", "larger", "wider angle"),
    "blank-margin": ("larger base", "larger plug blank", "smaller"),
    "hold-downs": ("move hold-down",),
    "levelling": ("level less", "deeper"),
    "stack": ("more glue gap", "touch off closer", "wider angle", "flatter boards"),
    "touch-off": ("more glue gap", "touch off closer", "wider angle"),
    "warp": ("more glue gap", "flatter boards", "wider angle"),
    "wood-movement": ("smaller",),
}  # fmt: skip
"""By check, the knobs that may mend it, those at hand first. What no key can mend (mirror) is not listed."""

LARGEST: Final = 4.0
"""A drawing is made at most this many times as large."""
SPARE: Final = 0.5
"""What a longer bit or a wider cone must have to spare, in mm: less is doubtful."""


@dataclass(frozen=True, kw_only=True)
class Knob:
    """Settings that go further and further one way; ``way`` tells knobs of one code apart."""

    code: Code
    settings: tuple[Changes, ...]
    way: str = ""

    @property
    def at_hand(self) -> bool:
        """Whether it is a number to type, with the bits and boards there are."""
        return self.code in AT_HAND


def knobs(plan: Plan, sheet: Replanner, code: Code) -> Iterator[Knob]:
    """The knobs of a code that this plan has, none where there is no room that way."""
    for way, settings in _MAKERS[code](_Bench(plan, sheet)):
        if settings:
            yield Knob(code=code, settings=tuple(settings), way=way)


class _Bench:
    """A plan with its sheet's unit, for writing settings as they are typed."""

    def __init__(self, plan: Plan, sheet: Replanner) -> None:
        self.plan, self.job, self.depths = plan, plan.job, plan.facts.depths
        self.sheet = sheet
        self.inch = self.job.sheet_unit == "in"
        self.one_v = sheet.holds("bits", "v")

    def typed(self, mm: float) -> str:
        return typed_length(mm, self.job.sheet_unit)

    def steps(self, start: float, end: float, mm: float, inch: float) -> list[float]:
        """Whole steps from ``start``, which is left out, to ``end``, all in mm; the step is of the sheet's unit."""
        step = inch * MM_PER_INCH if self.inch else mm
        down = end < start
        if down:
            first, last = math.ceil(start / step - 1e-6) - 1, math.ceil(end / step - 1e-6)
            return [number * step for number in range(first, last - 1, -1)]
        first, last = math.floor(start / step + 1e-6) + 1, math.floor(end / step + 1e-6)
        return [number * step for number in range(first, last + 1)]

    def lengths(self, key: str, start: float, end: float, mm: float, inch: float) -> list[Changes]:
        return [(Change(key, self.typed(value)),) for value in self.steps(start, end, mm, inch)]

    @property
    def v_keys(self) -> tuple[str, ...]:
        return ("bits.v",) if self.one_v else ("bits.pocket_v", "bits.plug_v")

    def unmeasured(self, key: str) -> Changes:
        """Another bit is not what this one measures."""
        return (Change(f"{key}.measured", ""),) if self.sheet.holds(*key.split("."), "measured") else ()


Ways = Iterator[tuple[str, list[Changes]]]


def _depth(bench: _Bench, end: float) -> Ways:
    start = bench.depths.pocket_depth
    yield "", bench.lengths("joint.pocket_depth", start, end, 0.1, 0.005)


def _shallower(bench: _Bench) -> Ways:
    # a pocket that holds no more plug than glue gap is no joint, and half the depth asked for is another
    return _depth(bench, max(2 * bench.depths.glue_gap, 1.0, bench.depths.pocket_depth / 2))


def _deeper(bench: _Bench) -> Ways:
    job = bench.job
    room = min(
        job.base.thickness - job.base.least_floor,
        bench.depths.pocket_depth + min(cone_spare(job, bench.depths), bench.depths.plug_web - job.plug.least_web),
    )
    return _depth(bench, min(room, 2 * bench.depths.pocket_depth))


def _gap(key: str, start: float, end: float) -> Callable[[_Bench], Ways]:
    def ways(bench: _Bench) -> Ways:
        yield "", bench.lengths(key, start, end, 0.05, 0.001)

    return ways


def _more_glue_gap(bench: _Bench) -> Ways:
    most = min(bench.job.limits.glue_gap[1], bench.depths.pocket_depth / 2)
    return _gap("joint.glue_gap", bench.depths.glue_gap, most)(bench)


def _less_glue_gap(bench: _Bench) -> Ways:
    return _gap("joint.glue_gap", bench.depths.glue_gap, bench.job.limits.glue_gap[0])(bench)


def _more_surface_gap(bench: _Bench) -> Ways:
    return _gap("joint.surface_gap", bench.depths.surface_gap, max(5.0, 2 * bench.job.limits.surface_gap))(bench)


def _less_surface_gap(bench: _Bench) -> Ways:
    return _gap("joint.surface_gap", bench.depths.surface_gap, bench.job.limits.surface_gap)(bench)


def _level_less(bench: _Bench) -> Ways:
    joint = bench.job.joint
    settings: list[Changes] = []
    for share in (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2):
        cut, sanded = (bench.typed(share * value) for value in (joint.level_below, joint.sanding))
        settings.append((Change("joint.level_below", cut), Change("joint.sanding", sanded)))
    yield "", settings if joint.level_below + joint.sanding > 0 else []


def _finer_stepover(bench: _Bench) -> Ways:
    bits = bench.job.bits
    widest = max(bits.pocket_v.stepover, bits.plug_v.stepover)
    values = bench.steps(widest, 0.02, 0.01, 0.0005)
    yield "", [tuple(Change(f"{key}.stepover", bench.typed(value)) for key in bench.v_keys) for value in values]


def _clamp(bench: _Bench, factors: list[float]) -> Ways:
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


def _less_clamp(bench: _Bench) -> Ways:
    # less than a fifth of what was asked for would not draw a joint home on glue
    return _clamp(bench, [1 - number / 20 for number in range(1, 17)])


def _more_clamp(bench: _Bench) -> Ways:
    most = 20 / bench.job.joint.clamp_pressure
    return _clamp(bench, [factor for factor in (1.25, 1.5, 1.75, 2.0, 2.5, 3.0) if factor < most])


def _scaled(bench: _Bench, factors: list[float], upwards: bool) -> Ways:
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


def _blank_for(bench: _Bench, wider: float, taller: float) -> Changes:
    """A plug's blank that grows with its plug; what it had round it stays. The base's board is what it is."""
    blank = bench.job.plug.blank
    if blank is None or wider <= 0:
        return ()
    wide, high = (_up(size + more, bench.inch) for size, more in zip(blank, (wider, taller), strict=True))
    return (Change("plug.blank", _pair(bench, wide, high)),)


def _larger(bench: _Bench) -> Ways:
    count = round(math.log(LARGEST) / math.log(1.04))
    return _scaled(bench, [1.04**number for number in range(1, count + 1)], True)


def _smaller(bench: _Bench) -> Ways:
    return _scaled(bench, [0.97**number for number in range(1, 46)], False)


def _move_hold_down(bench: _Bench) -> Ways:
    found = bench.plan.facts.outline
    if found is None:
        return
    limit = bench.job.limits.hold_downs
    for entry in found.shop.hold_downs:
        if not entry.strikes and (entry.clear_by is None or entry.clear_by >= limit):
            continue
        x, y = bench.job.hold_downs[entry.number - 1].at
        for way, (right, up) in {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}.items():
            yield f"{entry.number} {way}", [
                (Change(f"hold_downs[{entry.number}].at", _pair(bench, x + right * far, y + up * far)),)
                for far in bench.steps(0.0, 200.0, 1.0, 1 / 16)
            ]


def _pair(bench: _Bench, first: float, second: float) -> str:
    return f"[{bench.typed(first)}, {bench.typed(second)}]"


def _touch_off_closer(bench: _Bench) -> Ways:
    now = bench.job.tolerance
    worst = max(entry.worst for entry in (now.pocket_v, now.pocket_clear, now.plug_v, now.plug_clear))
    yield "", bench.lengths("tolerance.touch_off", worst, 0.01, 0.005, 0.0005)


def _flatter_boards(bench: _Bench) -> Ways:
    yield "", bench.lengths("tolerance.warp", bench.job.tolerance.warp.worst, 0.0, 0.02, 0.001)


def _sharper_tip(bench: _Bench) -> Ways:
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


def _another_v(bench: _Bench, angle: float, key: str, tip: float) -> Changes:
    """A V-bit of this angle, as large and as long as this joint needs it at the least."""
    needs = max(bench.depths.plug_total_depth, bench.depths.pocket_depth) + SPARE
    widest = 2 * (tip / 2 + needs * math.tan(math.radians(angle / 2)))
    return (
        Change(f"{key}.angle", f"{angle:g}"),
        Change(f"{key}.diameter", bench.typed(_up(widest, bench.inch))),
        Change(f"{key}.reach", bench.typed(_up(needs, bench.inch))),
        *bench.unmeasured(key),
    )


def _wider_angle(bench: _Bench) -> Ways:
    pocket = bench.job.bits.pocket_v
    settings: list[Changes] = []
    for angle in USUAL_ANGLES:
        if angle > pocket.shape.angle:
            parts = (_another_v(bench, angle, key, 2 * pocket.shape.flank_radius) for key in bench.v_keys)
            settings.append(tuple(change for part in parts for change in part))
    yield "", settings


def _wider_cone(bench: _Bench) -> Ways:
    bits, setting = bench.job.bits, tuple[Change, ...]()
    depths = (bench.depths.pocket_depth, bench.depths.plug_total_depth)
    if bench.one_v:
        depths = (max(depths),) * 2
    for key, bit, depth in zip(bench.v_keys, (bits.pocket_v, bits.plug_v), depths, strict=False):
        if bit.cone_height < depth + SPARE:
            wide = max(2 * shape.half_width_at(depth + SPARE) for shape in (bit.shape, bit.real))
            setting += (Change(f"{key}.diameter", bench.typed(_up(wide, bench.inch))),)
            if bit.reach is not None and bit.reach < depth + bench.job.limits.bit_reach:
                setting += (Change(f"{key}.reach", bench.typed(_up(depth + SPARE, bench.inch))),)
    yield "", [setting] if setting else []


def _longer_bit(bench: _Bench) -> Ways:
    """Every bit that is too short for its deepest pass, as long as it must be."""
    bits, spare = bench.job.bits, bench.job.limits.bit_reach
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
        deepest[key] = max(deepest.get(key, 0.0), entry.total_depth)
        reach[key] = entry.cutter.reach
    setting = tuple(
        Change(f"{key}.reach", bench.typed(_up(depth + spare, bench.inch)))
        for key, depth in deepest.items()
        if (has := reach[key]) is not None and has < depth + spare
    )
    yield "", [setting] if setting else []


def _smaller_clearing_bit(bench: _Bench) -> Ways:
    bits = bench.job.bits
    if not bits.clearing:
        return
    smallest = bits.clearing[-1]
    key = bench.sheet.clearing_key(smallest.diameter)
    yield "", [
        (Change(f"{key}.diameter", bench.typed(value)),)
        for value in bench.steps(smallest.diameter, 0.8, 0.5, 1 / 64)
    ]


def _add_clearing_bit(bench: _Bench) -> Ways:
    if bench.job.bits.clearing:
        return
    # a bit's length is what is needed here; its diameter what small shops have (common practice, no source)
    plug, deepest = bench.job.plug, bench.depths.plug_total_depth
    if plug.cut_out and bench.job.bits.cut_out is None:
        deepest = max(deepest, plug.thickness + plug.through)
    reach = bench.typed(_up(deepest + bench.job.limits.bit_reach, bench.inch))
    sizes = (("1/4in", "1/8in"), ("1/8in", "1/16in"), ("1/16in", "1/32in")) if bench.inch else (
        ("6mm", "3mm"), ("3mm", "1.5mm"), ("1.5mm", "0.75mm")
    )  # fmt: skip
    yield "", [
        (Change("bits.clearing", f"{{diameter: {size}, reach: {reach}, depth_of_cut: {half}}}"),)
        for size, half in sizes
    ]


def _thicker(part: Literal["base", "plug"]) -> Callable[[_Bench], Ways]:
    def ways(bench: _Bench) -> Ways:
        now = bench.job.base.thickness if part == "base" else bench.job.plug.thickness
        yield "", bench.lengths(f"{part}.thickness", now, now + 25, 0.5, 1 / 32)

    return ways


def _larger_blank(part: Literal["base", "plug"]) -> Callable[[_Bench], Ways]:
    def ways(bench: _Bench) -> Ways:
        blank = bench.job.base.blank if part == "base" else bench.job.plug.blank
        if blank is not None:
            wide, high = blank
            yield "", [
                (Change(f"{part}.blank", _pair(bench, wide + more, high + more)),)
                for more in bench.steps(0.0, 250.0, 1.0, 1 / 16)
            ]

    return ways


def _up(mm: float, inch: bool) -> float:
    """The next size in whole tenths of a mm or 64ths of an inch."""
    step = MM_PER_INCH / 64 if inch else 0.1
    return math.ceil(mm / step - 1e-6) * step


def _round(value: float) -> str:
    return f"{float(f'{value:.3g}'):g}"


_MAKERS: Final[dict[Code, Callable[[_Bench], Ways]]] = {
    "shallower": _shallower,
    "deeper": _deeper,
    "more glue gap": _more_glue_gap,
    "less glue gap": _less_glue_gap,
    "more surface gap": _more_surface_gap,
    "less surface gap": _less_surface_gap,
    "level less": _level_less,
    "finer stepover": _finer_stepover,
    "less clamp": _less_clamp,
    "more clamp": _more_clamp,
    "larger": _larger,
    "smaller": _smaller,
    "move hold-down": _move_hold_down,
    "touch off closer": _touch_off_closer,
    "flatter boards": _flatter_boards,
    "sharper tip": _sharper_tip,
    "wider angle": _wider_angle,
    "longer bit": _longer_bit,
    "wider cone": _wider_cone,
    "smaller clearing bit": _smaller_clearing_bit,
    "add clearing bit": _add_clearing_bit,
    "thicker base": _thicker("base"),
    "thicker plug": _thicker("plug"),
    "larger base": _larger_blank("base"),
    "larger plug blank": _larger_blank("plug"),
}
