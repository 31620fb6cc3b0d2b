"""The stack of a joint's tolerances: what it holds, and how it is worked out for walls of full depth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from inlayfit.cutters import Cutter, Profile
from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import (
    TOUCH_OFFS,
    WARPS,
    Source,
    angle_of,
    depth_errors,
    flank,
    sources,
    wider,
)
from inlayfit.joint.job import Job
from inlayfit.joint.taper import wall_lift
from inlayfit.tolerance.budget import Change, Function, Range, changes, ranges, root_sum_square

Name = Literal["lift", "glue_gap", "surface_gap", "joint_line"]
QUANTITIES: Final[tuple[Name, ...]] = ("lift", "glue_gap", "surface_gap", "joint_line")


@dataclass(frozen=True, kw_only=True)
class Contribution:
    """One source's share of each quantity's variance, from moving it alone.

    ``lift_down`` and ``lift_up`` are how far its ends move the lift, in mm, and ``lift_u`` the standard deviation that
    it gives it.
    """

    source: Source
    shares: Mapping[Name, float]
    lift_down: float
    lift_up: float
    lift_u: float


@dataclass(frozen=True, kw_only=True)
class Wider:
    """What a wider V-bit would do: share of pairs that seat on their walls, and what it costs.

    ``full_depth_width`` is the narrowest stroke that it cuts to the full depth and ``narrowest_depth`` how deep it cuts
    the narrowest stroke, each with the bit at hand first.
    """

    angle: float
    seats_on_walls: float
    full_depth_width: tuple[float, float]
    narrowest_depth: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """What many drawn pairs did.

    ``p95`` are each quantity's ends between which 95 of 100 pairs lie; the shares are of all pairs: that seat on their
    walls, whose plug is on the floor, is held up off its walls, or rests with its own floor on the base, and whose
    joint line is over its limit. ``touch_off`` and ``warp`` are the shares that seat when these alone are off.
    ``glue_gap_needed`` lets 95 % seat on their walls, ``touch_off_needed`` is by setting, the others as they are, and
    ``touch_off_all`` for all settings alike; None where nothing does. ``table_nodes`` fits stand behind it.
    """

    count: int
    table_nodes: int
    p95: Mapping[Name, tuple[float, float]]
    seats_on_walls: float
    bottoms_out: float
    held_up: float
    on_own_floor: float
    over_joint_line: float
    touch_off: float
    warp: float
    glue_gap_needed: float | None
    touch_off_needed: Mapping[str, float | None]
    touch_off_all: float | None
    wider: Wider | None


@dataclass(frozen=True, kw_only=True)
class Stack:
    """Lift, glue gap, surface gap and joint line in mm over all that can be off.

    ``touch_off`` and ``warp`` are the glue gap's range when these alone are off, ``touch_off_all`` how well every
    setting must be touched off for the glue gap to hold by root-sum-square, or for 19 of 20 drawn pairs to seat, None
    where nothing is left for it.
    """

    quantities: Mapping[Name, Range]
    contributions: tuple[Contribution, ...]
    touch_off: Range
    warp: Range
    touch_off_all: float | None
    drawn: Drawn | None = None


def depth_stack(job: Job, depths: Depths) -> Stack:
    """The stack of walls cut to the full depth, in closed form; corners and fine strokes need an outline."""
    found = sources(job, outline=False)
    at = {source.name: source.spread.known for source in found}
    bounds = {source.name: source.bounds for source in found}
    joint = wide_wall(job, depths)

    def alone(names: tuple[str, ...]) -> Range:
        some = [name for name in names if name in bounds]
        moved = {result: {name: move[name] for name in some} for result, move in moves.items()}
        return ranges(joint, at, {name: bounds[name] for name in some}, moved, of=["glue_gap"])["glue_gap"]

    moves = changes(joint, at, bounds)
    quantities = ranges(joint, at, bounds, moves, of=QUANTITIES)
    return Stack(
        quantities={name: quantities[name] for name in QUANTITIES},
        contributions=contributions(found, moves),
        touch_off=alone(TOUCH_OFFS),
        warp=alone(WARPS),
        touch_off_all=_touch_off_all(quantities["glue_gap"], moves["glue_gap"], joint, at),
    )


def wide_wall(job: Job, depths: Depths) -> Function:
    """From values of the sources to lift, gaps and joint line in mm of walls cut to the full depth.

    Also how far above each floor the walls alone would hold the plug, negative where they would not.
    """
    bits, one_v = job.bits, job.bits.one_v
    # the plug would stand on the ridges of what cleared the floor; only a clearing bit with square corners leaves none
    ridge = max(bit.ridge for bit in bits.clearing or (bits.pocket_v,))
    nominal_floor = depths.start_depth - depths.pocket_depth + ridge

    def cut_by(part: str, bit: Cutter, values: Mapping[str, float]) -> tuple[Profile, Profile]:
        return bit.shape, flank(bit.real, angle=angle_of(values, part), wider=wider(values, part))

    def rest(values: Mapping[str, float]) -> dict[str, float]:
        error = depth_errors(values)
        pocket = cut_by("pocket", bits.pocket_v, values)
        plug = pocket if one_v else cut_by("plug", bits.plug_v, values)
        walls = wall_lift(
            pocket, plug, depth=depths.pocket_depth, below=depths.depth_below_start, joined=depths.start_depth,
            pocket_error=error.pocket_v, plug_error=error.plug_v,
        )  # fmt: skip
        floor = nominal_floor - error.pocket_floor
        own_floor = -depths.depth_below_start - error.plug_floor
        lift = max(walls, floor, own_floor)
        return {
            "lift": lift,
            "glue_gap": lift - floor,
            "surface_gap": lift - own_floor,
            # held up by the floor, the walls open by what their taper makes of the rest
            "joint_line": (lift - walls) * plug[1].slope,
            # what the floors stop the plug by, or would
            "above_floor": walls - floor,
            "above_own_floor": walls - own_floor,
            "floor_above_own": floor - own_floor,
        }

    return rest


def contributions(found: tuple[Source, ...], moves: Mapping[Any, Mapping[str, Change]]) -> tuple[Contribution, ...]:
    """Each source's share of the variance of each quantity, the greatest for the lift first."""
    variances: dict[Name, dict[str, float]] = {}
    for name in QUANTITIES:
        variances[name] = {
            source.name: (moves[name][source.name].half * _standard_share(source)) ** 2 for source in found
        }
    shares = [
        Contribution(
            source=source,
            shares={
                name: variances[name][source.name] / total if (total := sum(variances[name].values())) else 0.0
                for name in QUANTITIES
            },
            lift_down=moves["lift"][source.name].down,
            lift_up=moves["lift"][source.name].up,
            lift_u=math.sqrt(variances["lift"][source.name]),
        )
        for source in found
    ]
    return tuple(sorted(shares, key=lambda entry: (-entry.shares["lift"], -entry.shares["glue_gap"])))


def _standard_share(source: Source) -> float:
    """Standard deviation as a share of the worst case."""
    return source.spread.standard / source.spread.worst if source.spread.worst else 0.0


def _touch_off_all(gap: Range, moves: Mapping[str, Change], joint: Function, at: Mapping[str, float]) -> float | None:
    """The limit in mm that every touch-off may have so that the glue gap stays above 0 by root-sum-square."""
    others = {name: move for name, move in moves.items() if name not in TOUCH_OFFS}
    rest = gap.nominal**2 - (gap.nominal - root_sum_square(gap.nominal, others)[0]) ** 2
    if gap.nominal <= 0 or rest <= 0:
        return None
    # what a touch-off that is off by a little does to the gap, squared and summed
    little = min(0.01, gap.nominal / 10)
    tried = changes(joint, at, {name: (-little, little) for name in TOUCH_OFFS if name in at})["glue_gap"]
    return math.sqrt(rest / sum((move.half / little) ** 2 for move in tried.values()))
