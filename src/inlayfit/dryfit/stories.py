"""Stories of what was off at a dry fit, and how likely what was measured makes each of them.

Errors are normal about nothing, each with an effect on the lift and on what it is read from. One story is that nothing
but the tolerances is at work; others have one or two gross errors or slips besides. Each is tried with the plug on its
walls, on the pocket's floor and on its own floor: its chance is its odds, times the density that it gives to what was
measured, times the chance of resting so. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from inlayfit.dryfit.effects import HOLDS, NONE, Bench, Effect, Holds, shift_of
from inlayfit.dryfit.suspects import Suspect, together
from inlayfit.joint.reading import Measured

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

HARDLY: Final = 1e-4
"""Stories of less chance than this are left out."""
TOGETHER: Final = 0.6
"""Two at once are so much rarer than their odds say: of many pairs one fits any reading by chance."""
LEAST_VARIANCE: Final = 1e-10


class Seen(NamedTuple):
    """What was measured, with its standard uncertainty."""

    value: float
    u: float


@dataclass(frozen=True, kw_only=True)
class Story:
    """Gross errors and slips at work, what the plug rests on, and what follows from what was measured.

    ``sizes`` are how large each error is taken to be, by its code, and ``explains`` its share in the story, 1 in all
    where anything was to explain. ``lift`` and ``lift_var`` are of the plug.
    """

    members: tuple[Suspect, ...]
    hold: Holds
    chance: float
    sizes: Mapping[str, float]
    explains: Mapping[str, float]
    lift: float
    lift_var: float


class Measurements:
    """What was measured, as vectors: one entry for each thing measured."""

    def __init__(self, seen: Mapping[Measured, Seen], bench: Bench) -> None:
        self.names = tuple(seen)
        self.bench = bench
        self.off: Array = np.array([seen[name].value - bench.at_0[name] for name in self.names])
        """How much more than at the nominal seat with nothing off."""
        self.variance: Array = np.array([seen[name].u ** 2 for name in self.names])

    def base(self, hold: Holds) -> Array:
        """What is measured of a plug that rests on this with nothing off, over the nominal seat."""
        return np.array([shift_of(name, NONE, self.bench.lift_on(hold, NONE)) for name in self.names])

    def rows(self, hold: Holds) -> Array:
        """What each part of an effect does to what is measured of a plug that rests on this; (n, 5)."""
        parts = range(len(NONE))
        units = [Effect(*(float(part == at) for part in parts)) for at in parts]
        return np.array([[shift_of(name, unit, float(way_of(hold) @ unit)) for unit in units] for name in self.names])


def way_of(hold: Holds) -> Array:
    """What one of each part of an effect does to the lift of a plug that rests on this."""
    return np.array({"walls": (1, 0, 0, 0, 0), "floor": (0, -1, 0, 0, 0), "own floor": (0, 0, -1, 0, 0)}[hold], float)


def stories(found: Sequence[Suspect], measured: Measurements) -> list[Story]:
    """All stories that have any chance, the likeliest first; their chances add up to 1."""
    usual = [entry for entry in found if entry.sd > 0]
    ordinary = sum((_outer(entry, entry.sd) for entry in usual), np.zeros((len(NONE), len(NONE))))
    odd = [entry for entry in found if entry.odds > 0]
    casts: list[tuple[Suspect, ...]] = [(), *((entry,) for entry in odd), *combinations(odd, 2)]
    odds = np.array([math.prod(entry.odds for entry in cast) * TOGETHER ** max(0, len(cast) - 1) for cast in casts])
    shift = np.array([together([entry.effect for entry in cast if entry.slip]) for cast in casts])
    prior = np.array([
        sum((_outer(entry, entry.gross) for entry in cast if not entry.slip), ordinary) for cast in casts
    ])  # fmt: skip
    holds = [hold for hold in HOLDS if hold != "floor" or measured.bench.has_floor]
    tries = [_try(hold, casts, odds, shift, prior, measured) for hold in holds]
    total = sum(float(one.chance.sum()) for one in tries)
    told = []
    for one in tries:
        for number in np.flatnonzero(one.chance > HARDLY * total):
            sizes = _sizes(found, casts[number], one.rows, one.solved[number])
            told.append(
                Story(
                    members=casts[number],
                    hold=one.hold,
                    chance=float(one.chance[number]) / total,
                    sizes=sizes,
                    explains=_explains(found, casts[number], sizes, one.hold, one.solved[number], measured),
                    lift=float(one.lift[number]),
                    lift_var=float(one.lift_var[number]),
                )
            )
    return sorted(told, key=lambda story: -story.chance)


class _Try(NamedTuple):
    """All stories with the plug on one hold; arrays of one row a story."""

    hold: Holds
    rows: Array
    solved: Array
    chance: Array
    lift: Array
    lift_var: Array


def _try(
    hold: Holds, casts: Sequence[tuple[Suspect, ...]], odds: Array, shift: Array, prior: Array, measured: Measurements
) -> _Try:
    """Densities of normal errors of a linear joint, given what was measured (the law of conditional expectation)."""
    bench, rows, way = measured.bench, measured.rows(hold), way_of(hold)
    left = measured.off - measured.base(hold) - shift @ rows.T
    cover = rows @ prior @ rows.T + np.diag(measured.variance)
    gain = prior @ rows.T
    solved = np.linalg.solve(cover, left[..., None])[..., 0]
    mean = shift + (gain @ solved[..., None])[..., 0]
    after = prior - gain @ np.linalg.solve(cover, np.swapaxes(gain, 1, 2))
    chance = odds * np.exp(-0.5 * (left * solved).sum(1)) / np.sqrt(np.linalg.det(2 * np.pi * cover))
    for other in HOLDS:
        if other != hold and (other != "floor" or bench.has_floor):
            across = way - way_of(other)
            above = bench.lift_on(hold, NONE) - bench.lift_on(other, NONE) + mean @ across
            chance = chance * _normal(above / np.sqrt(np.maximum(_variance(after, across), LEAST_VARIANCE)))
    for number, cast in enumerate(casts):
        for entry in cast:
            if entry.one_way:
                # a size that is only above 0 is twice as likely there
                reach = rows @ np.array(entry.effect)
                size = entry.gross**2 * reach @ solved[number]
                rest = entry.gross**2 - entry.gross**4 * reach @ np.linalg.solve(cover[number], reach)
                chance[number] *= 2 * _normal(np.array([size / math.sqrt(max(rest, LEAST_VARIANCE))]))[0]
    lift = bench.lift_on(hold, NONE) + mean @ way
    return _Try(hold, rows, np.asarray(solved, float), chance, lift, _variance(after, way))


def _outer(entry: Suspect, sd: float) -> Array:
    return np.outer(entry.effect, entry.effect) * sd**2


def _variance(after: Array, way: Array) -> Array:
    return np.maximum(np.einsum("i,hij,j->h", way, after, way), 0.0)


def _normal(z: Array) -> Array:
    return np.array([0.5 * math.erfc(-value / math.sqrt(2)) for value in z])


def _sizes(found: Sequence[Suspect], cast: Sequence[Suspect], rows: Array, solved: Array) -> dict[str, float]:
    """What is to be expected of each error, given what was measured; a slip is all or nothing."""
    sizes: dict[str, float] = {}
    for entry in found:
        if entry.slip:
            if entry in cast:
                sizes[entry.code] = 1.0
            continue
        variance = entry.sd**2 + (entry.gross**2 if entry in cast else 0.0)
        size = variance * float(rows @ np.array(entry.effect) @ solved)
        if size and not (entry.one_way and size < 0):
            sizes[entry.code] = size
    return sizes


def _explains(
    found: Sequence[Suspect], cast: Sequence[Suspect], sizes: Mapping[str, float], hold: Holds, solved: Array,
    measured: Measurements,
) -> dict[str, float]:  # fmt: skip
    """The share of each error in a story; "reading" is that of the measurements themselves.

    Gross errors and slips that show share alike what happened; where there are none, what was measured is shared out
    to what is to be expected of each error.
    """
    rows, at_rest, weight = measured.rows(hold), measured.base("walls"), 1 / measured.variance
    if cast:
        showing = [entry for entry in cast if (rows @ np.array(entry.effect)).any()]
        # that the walls are too low for it shows as well where something else holds the plug
        showing += [entry for entry in cast if hold != "walls" and entry.effect.walls and entry not in showing]
        return {entry.code: 1 / len(showing) for entry in showing}
    off = measured.off - at_rest
    by_code = {entry.code: entry for entry in found}
    parts = {
        code: max(0.0, float((size * (rows @ np.array(by_code[code].effect)) * weight) @ off))
        for code, size in sizes.items()
    }
    # what the measurements are off is their variance times what was solved for
    parts["reading"] = max(0.0, float(solved @ off))
    if hold != "walls":
        # that the walls are so low that something else holds the plug is shared out as well
        fell = max(0.0, float(((measured.base(hold) - at_rest) * weight) @ off))
        low = {entry.code: (entry.sd * entry.effect.walls) ** 2 for entry in found if entry.sd * entry.effect.walls}
        whole = sum(low.values())
        for code, part in low.items():
            parts[code] = parts.get(code, 0.0) + fell * part / whole
    total = sum(parts.values())
    return {code: part / total for code, part in parts.items() if part > 0} if total > 0 else {}
