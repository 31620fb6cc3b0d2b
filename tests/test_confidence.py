"""Whether so few drawn pairs show a share, against sums of the binomial distribution in whole numbers."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest

from inlayfit.tolerance.confidence import shows_at_least, shows_under


def tail(share: Fraction, hits: int, of: int) -> Fraction:
    """Chance of this many hits or more, exactly."""
    return sum((comb(of, k) * share**k * (1 - share) ** (of - k) for k in range(hits, of + 1)), Fraction(0))


@pytest.mark.parametrize("of", [1, 5, 20, 58, 59, 100, 237])
@pytest.mark.parametrize("share", [Fraction(1, 2), Fraction(4, 5), Fraction(19, 20)])
def test_shown_is_what_a_lesser_share_seldom_does(share: Fraction, of: int) -> None:
    for hits in range(of + 1):
        assert shows_at_least(float(share), hits, of) == (tail(share, hits, of) <= Fraction(1, 20))
        assert shows_under(1 - float(share), of - hits, of) == shows_at_least(float(share), hits, of)


def test_sample_without_a_miss() -> None:
    # 95/95 of distribution-free tolerance limits: a sample of 59 (S. S. Wilks, Annals of Mathematical Statistics 12,
    # 1941, from memory)
    assert min(of for of in range(1, 200) if shows_at_least(0.95, of, of)) == 59


def test_many_pairs_need_little_more_than_the_share_itself() -> None:
    # for many, the normal distribution's 1.645 standard deviations
    of = 20_000
    least = min(hits for hits in range(19_000, of) if shows_at_least(0.95, hits, of))
    assert least / of == pytest.approx(0.95 + 1.645 * (0.95 * 0.05 / of) ** 0.5, abs=1e-4)


def test_ends() -> None:
    assert shows_at_least(0.0, 0, 5)
    assert shows_at_least(1.0, 5, 5)
    assert not shows_at_least(1.0, 4, 5)
