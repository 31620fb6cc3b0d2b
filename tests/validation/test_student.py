"""Student's factors against a printed table.

JCGM 100:2008, Guide to the expression of uncertainty in measurement, table G.2: values of t for degrees of freedom and
the fraction of the distribution (from memory of the printed page).
"""

from __future__ import annotations

import pytest

from inlayfit.joint.student import student_factor, student_share

FREE = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 20)
TABLE = {
    0.6827: (1.84, 1.32, 1.20, 1.14, 1.11, 1.09, 1.08, 1.07, 1.06, 1.05, 1.03),
    0.95: (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23, 2.09),
    0.99: (63.66, 9.92, 5.84, 4.60, 4.03, 3.71, 3.50, 3.36, 3.25, 3.17, 2.85),
}


@pytest.mark.parametrize("share", TABLE)
def test_factors_are_those_printed(share: float) -> None:
    assert [round(student_factor(share, free), 2) for free in FREE] == list(TABLE[share])


@pytest.mark.parametrize("free", [1, 2, 3, 7])
def test_share_is_the_integral_of_the_density(free: int) -> None:
    from math import gamma, pi, sqrt

    scale = gamma((free + 1) / 2) / (sqrt(free * pi) * gamma(free / 2))
    steps = 20_000
    area = sum((1 + (2.5 * (k + 0.5) / steps) ** 2 / free) ** (-(free + 1) / 2) for k in range(steps))
    assert student_share(2.5, free) == pytest.approx(2 * scale * area * 2.5 / steps, abs=1e-7)
