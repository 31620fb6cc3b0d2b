"""Worst case and root-sum-square over any function of named numbers that are each a little off."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from typing import NamedTuple

Numbers = Mapping[str, float]
Bounds = Mapping[str, tuple[float, float]]
Function = Callable[[Numbers], Mapping[str, float]]
"""From named numbers to named results."""


class Change(NamedTuple):
    """How far a result moves when one number alone goes to its lower bound and to its upper one."""

    at_low: float
    at_high: float

    @property
    def down(self) -> float:
        """How far it moves down at the most, 0 or less."""
        return min(0.0, self.at_low, self.at_high)

    @property
    def up(self) -> float:
        """How far it moves up at the most, 0 or more."""
        return max(0.0, self.at_low, self.at_high)

    @property
    def tilt(self) -> float:
        """How much higher it is with the number at its upper bound than at its lower one."""
        return self.at_high - self.at_low

    @property
    def half(self) -> float:
        """Half of the whole movement."""
        return (self.up - self.down) / 2


Changes = Mapping[str, Mapping[str, Change]]
"""For each result, what each number does to it."""


class Range(NamedTuple):
    """A result as it should be, and its ends in the worst case and by root-sum-square."""

    nominal: float
    worst: tuple[float, float]
    rss: tuple[float, float]


def changes(function: Function, at: Numbers, bounds: Bounds) -> dict[str, dict[str, Change]]:
    """For each result, what each number does to it: bounds are moves from ``at``, down and up."""
    nominal = function(at)
    found: dict[str, dict[str, Change]] = {result: {} for result in nominal}
    for name, moves in bounds.items():
        moved = [function({**at, name: at[name] + move}) for move in moves]
        for result, value in nominal.items():
            low, high = (other[result] - value for other in moved)
            found[result][name] = Change(at_low=low, at_high=high)
    return found


def root_sum_square(nominal: float, moves: Mapping[str, Change]) -> tuple[float, float]:
    """Both ends of a result: the roots of the summed squares of all moves down, and of all moves up.

    >>> root_sum_square(0.0, {"a": Change(at_low=-3, at_high=3), "b": Change(at_low=4, at_high=-4)})
    (-5.0, 5.0)
    """
    down = math.sqrt(sum(move.down**2 for move in moves.values()))
    up = math.sqrt(sum(move.up**2 for move in moves.values()))
    return nominal - down, nominal + up


def worst_case(
    function: Function, at: Numbers, bounds: Bounds, moves: Changes | None = None
) -> dict[str, tuple[float, float]]:
    """Least and greatest of each result with the numbers at their bounds.

    Tried are the bounds that push one result either way, the numbers that leave it alone pushing another. That finds
    the ends of results that each number moves one way only, and of what a stop such as a floor makes of two of them,
    if the function gives those as well. ``moves`` are the function's changes, where they are at hand.
    """
    moved = changes(function, at, bounds) if moves is None else moves
    signs = {tuple((each.tilt > 0) - (each.tilt < 0) for each in result.values()) for result in moved.values()}
    tried = [function(at)]
    for ends in _pushes(frozenset(signs)):
        pushed = {name: at[name] + bounds[name][end] for name, end in zip(bounds, ends, strict=True)}
        tried.append(function({**at, **pushed}))
    return {name: (min(r[name] for r in tried), max(r[name] for r in tried)) for name in moved}


@lru_cache(maxsize=64)  # jobs alike are pushed alike, and many results by the same bounds
def _pushes(signs: frozenset[tuple[int, ...]]) -> frozenset[tuple[bool, ...]]:
    """Choices of lower (False) and upper bounds that push one result, and with the rest another."""
    ways = {*signs, *(tuple(-sign for sign in way) for way in signs)}
    return frozenset(
        tuple((one or other) >= 0 for one, other in zip(way, others, strict=True)) for way in ways for others in ways
    )


def ranges(
    function: Function, at: Numbers, bounds: Bounds, moves: Changes | None = None, *, of: Collection[str] = ()
) -> dict[str, Range]:
    """Results with both ends, both ways, those named or all; ``moves`` are the function's changes, where at hand."""
    moves = changes(function, at, bounds) if moves is None else moves
    nominal, worst = function(at), worst_case(function, at, bounds, moves)
    return {name: range_of(nominal[name], worst[name], moves[name]) for name in of or nominal}


def range_of(nominal: float, worst: tuple[float, float], moves: Mapping[str, Change]) -> Range:
    """A result with both ends; where something stops it, root-sum-square goes no further than the worst case."""
    low, high = root_sum_square(nominal, moves)
    return Range(nominal=nominal, worst=worst, rss=(max(low, worst[0]), min(high, worst[1])))
