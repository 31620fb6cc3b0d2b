"""Whether so few drawn pairs show a share at all."""

from __future__ import annotations

import math
from typing import Final

DOUBT: Final = 0.05
"""A share counts as shown where pairs of a smaller one would do as well in 1 case of 20 at the most."""


def shows_at_least(share: float, hits: int, of: int) -> bool:
    """Whether ``hits`` of so many show, with 95 % confidence, that the true share is not under ``share``.

    The one-sided test of Clopper and Pearson: at the share itself so many hits or more come up in 1 case of 20 at the
    most. All of 59 show 95 %, all of 58 do not:

    >>> shows_at_least(0.95, 59, 59), shows_at_least(0.95, 58, 58)
    (True, False)
    """
    if share <= 0:
        return True
    if share >= 1 or hits <= share * of:
        return share >= 1 and hits == of
    # terms of the binomial from this many hits on fall off, each by the ratio to the one before it
    term = math.exp(
        math.lgamma(of + 1) - math.lgamma(hits + 1) - math.lgamma(of - hits + 1)
        + hits * math.log(share) + (of - hits) * math.log1p(-share)
    )  # fmt: skip
    tail, odds = 0.0, share / (1 - share)
    for number in range(hits, of + 1):
        tail += term
        if term <= 1e-12 * tail:
            break
        term *= odds * (of - number) / (number + 1)
    return tail <= DOUBT


def shows_under(share: float, hits: int, of: int) -> bool:
    """Whether ``hits`` of so many show, with 95 % confidence, that the true share is not over ``share``."""
    return shows_at_least(1 - share, of - hits, of)
