"""Finding the first of many by halving."""

from __future__ import annotations

from collections.abc import Callable


def first(count: int, holds: Callable[[int], bool]) -> int:
    """The first of ``count`` numbers from 0 from which on something holds; ``count`` where it holds for none.

    >>> first(10, lambda number: number >= 7)
    7
    """
    low, high = 0, count
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle + 1
    return low
