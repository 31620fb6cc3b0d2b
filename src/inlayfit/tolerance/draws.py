"""Pairs drawn at random from the shop's spreads, and what becomes of them."""

from __future__ import annotations

from typing import Final

import numpy as np

from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import TOUCH_OFFS, WARPS, Source, sources
from inlayfit.joint.job import Job
from inlayfit.joint.limits import JOINT_LINE
from inlayfit.joint.spread import Spread
from inlayfit.outline.analysis import Kept
from inlayfit.outline.edges import Array, Flags
from inlayfit.seat.fit import Fit
from inlayfit.tolerance.budget import Change, Range, range_of
from inlayfit.tolerance.pairs import Pairs, pairs_of
from inlayfit.tolerance.remedies import glue_gap_needed, seats, touch_off_needed, wider_bit
from inlayfit.tolerance.stack import QUANTITIES, Drawn, Name, Stack, contributions

SEED: Final = 71
"""The same sheet gives the same numbers on every run."""
Values = dict[str, Array]


class DrawnShelf:
    """Values drawn for the jobs of an outline, by the sources and the number of pairs."""

    def __init__(self) -> None:
        self.values: Kept[tuple[tuple[Source, ...], int], tuple[Values, Values]] = Kept()


def drawn_stack(job: Job, depths: Depths, fit: Fit, narrowest: float, draws: int, *, cleared: bool) -> Stack:
    """The stack of a joint on its outline, by one draw or more.

    ``narrowest`` is the narrowest stroke's width in mm; ``cleared``: a clearing bit cuts the pocket's floor.
    """
    found = sources(job, outline=True)
    pairs = pairs_of(job, fit, found, cleared=cleared)
    return _ranges(pairs, _drawn(pairs, depths, narrowest, draws))


def drawn(source: Source, count: int, rng: np.random.Generator) -> Array:
    """Values of a source: even within a limit, normal with a standard deviation, or the known error."""
    values = _spread(source.spread, count, rng)
    return np.abs(values) if source.one_sided else values


def _spread(spread: Spread, count: int, rng: np.random.Generator) -> Array:
    if spread.kind == "known":
        return np.full(count, spread.value)
    if spread.kind == "sd":
        return rng.normal(0.0, spread.value, count)
    return rng.uniform(-spread.value, spread.value, count)


def _drawn(pairs: Pairs, depths: Depths, narrowest: float, count: int) -> Drawn:
    # the same for all jobs of an outline that share the shop's spreads
    values, unit = pairs.fit.pair.analysis.shelf(DrawnShelf).values.get(
        (pairs.found, count), lambda: _values(pairs.found, count)
    )
    cutters = pairs.cutters(values)
    rest = cutters.rest(values)
    limit = pairs.job.limits[JOINT_LINE]
    seated = seats(pairs, rest)
    return Drawn(
        count=count,
        table_nodes=pairs.table.fits,
        p95={name: _ends(getattr(rest, name)) for name in QUANTITIES},
        seats_on_walls=float(seated.mean()),
        bottoms_out=float(rest.on_floor.mean()),
        held_up=float((~seated & ~rest.on_floor & ~rest.on_own_floor).mean()),
        on_own_floor=float(rest.on_own_floor.mean()),
        over_joint_line=float((rest.joint_line > limit).mean()),
        touch_off=float(_alone(pairs, values, TOUCH_OFFS).mean()),
        warp=float(_alone(pairs, values, WARPS).mean()),
        glue_gap_needed=glue_gap_needed(pairs, rest, depths.glue_gap),
        touch_off_needed={name: touch_off_needed(cutters, values, {name: unit[name]}) for name in unit},
        touch_off_all=touch_off_needed(cutters, values, unit),
        wider=wider_bit(pairs, depths, values, narrowest, float(seated.mean())),
    )


def _values(found: tuple[Source, ...], count: int) -> tuple[Values, Values]:
    """Values of all sources, and of the touch-offs were their limits 1, for so many pairs."""
    rng = np.random.default_rng(SEED)
    values = {source.name: drawn(source, count, rng) for source in found}
    return values, {name: rng.uniform(-1.0, 1.0, count) for name in TOUCH_OFFS if name in values}


def _alone(pairs: Pairs, values: Values, names: tuple[str, ...]) -> Flags:
    """Which pairs seat when only these sources are off."""
    # a known error of something else is not laid at their door
    only = {source.name: values[source.name] if source.name in names else np.zeros(1) for source in pairs.found}
    return seats(pairs, pairs.rest(only))


def _ends(values: Array) -> tuple[float, float]:
    low, high = np.quantile(values, [0.025, 0.975])
    return float(low), float(high)


def _ranges(pairs: Pairs, drawn: Drawn) -> Stack:
    """Nominal, worst case and root-sum-square on the outline, beside what was drawn."""
    at = {source.name: source.spread.known for source in pairs.found}
    bounds = {source.name: source.bounds for source in pairs.found}

    def ranges_of(names: tuple[str, ...]) -> tuple[dict[Name, Range], dict[Name, dict[str, Change]]]:
        moving = [name for name in names if name in bounds and bounds[name] != (0.0, 0.0)]
        # a row as it should be, two for each source alone, then every combination of all
        corners = np.arange(2 ** len(moving))[:, None] >> np.arange(len(moving)) & 1
        table = {name: np.full(1 + 2 * len(moving) + len(corners), value) for name, value in at.items()}
        for place, name in enumerate(moving):
            table[name][1 + 2 * place : 3 + 2 * place] += bounds[name]
            table[name][1 + 2 * len(moving) :] += np.array(bounds[name])[corners[:, place]]
        rest = pairs.rest(table)
        ranges, moved = dict[Name, Range](), dict[Name, dict[str, Change]]()
        for quantity in QUANTITIES:
            value = getattr(rest, quantity)
            nominal = float(value[0])
            moved[quantity] = {name: Change(at_low=0.0, at_high=0.0) for name in names}
            for place, name in enumerate(moving):
                low, high = (float(step) for step in value[1 + 2 * place : 3 + 2 * place] - nominal)
                moved[quantity][name] = Change(at_low=low, at_high=high)
            worst = float(value.min()), float(value.max())
            ranges[quantity] = range_of(nominal, worst, moved[quantity])
        return ranges, moved

    ranges, moved = ranges_of(tuple(at))
    return Stack(
        quantities=ranges,
        contributions=contributions(pairs.found, moved),
        touch_off=ranges_of(TOUCH_OFFS)[0]["glue_gap"],
        warp=ranges_of(WARPS)[0]["glue_gap"],
        touch_off_all=drawn.touch_off_all,
        drawn=drawn,
    )
