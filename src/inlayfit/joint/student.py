"""Student's t: how much further off few readings may be than many, where only their own scatter is known."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

ONE_SIGMA: Final = 0.6827
"""Share of normal readings within one standard deviation: about two out of three."""


def student_share(t: float, free: int) -> float:
    """Share of readings within plus or minus ``t`` estimated standard deviations, with so many degrees of freedom.

    Closed forms for whole degrees of freedom (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and
    26.7.4).

    >>> round(student_share(1.0, 1), 6)
    0.5
    """
    turn = math.atan(t / math.sqrt(free))
    sine, square = math.sin(turn), math.cos(turn) ** 2
    if free % 2 == 0:
        term = total = 1.0
        for step in range(2, free, 2):
            term *= (step - 1) / step * square
            total += term
        return sine * total
    term, total = math.cos(turn), 0.0
    for step in range(1, free - 1, 2):
        total += term
        term *= (step + 1) / (step + 2) * square
    return 2 / math.pi * (turn + sine * total)


@lru_cache(maxsize=64)
def student_factor(share: float, free: int) -> float:
    """Estimated standard deviations within which this share of readings lies, for up to some thousand of them.

    >>> [round(student_factor(0.95, free), 2) for free in (1, 2, 3, 10)]
    [12.71, 4.3, 3.18, 2.23]
    """
    low, high = 0.0, 1.0
    while student_share(high, free) < share:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if student_share(middle, free) < share else (low, middle)
    return high
