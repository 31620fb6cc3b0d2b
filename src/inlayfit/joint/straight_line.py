"""A straight line through readings, each with its own uncertainty, and how sure its ends are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inlayfit.errors import InputError
from inlayfit.joint.student import ONE_SIGMA, student_factor


@dataclass(frozen=True, kw_only=True)
class StraightLine:
    """The line y = intercept + slope x, with standard uncertainties, in the readings' units.

    ``scatter`` is the root of chi-square over its degrees of freedom: how far the readings lie off the line against
    their own uncertainties, 1 on the mean. None where the line goes through all readings by force, that is two.
    """

    intercept: float
    slope: float
    intercept_u: float
    slope_u: float
    covariance: float
    """Of intercept and slope."""
    scatter: float | None
    count: int
    """Readings that it goes by."""

    def at(self, x: float) -> float:
        """The line's height at x."""
        return self.intercept + self.slope * x

    def at_u(self, x: float) -> float:
        """Standard uncertainty of the line's height at x: intercept and slope err together."""
        return math.sqrt(max(0.0, self.intercept_u**2 + 2 * x * self.covariance + (x * self.slope_u) ** 2))

    @property
    def free(self) -> int:
        """Degrees of freedom: readings beyond the two that a line takes."""
        return self.count - 2

    def widened(self) -> StraightLine:
        """The same line, its uncertainties raised to what the scatter shows where that is more.

        Few readings show their scatter badly: Student's factor is in it, so that two out of three lie within.
        """
        factor = 1.0 if self.scatter is None else max(1.0, self.scatter * student_factor(ONE_SIGMA, self.free))
        return StraightLine(
            intercept=self.intercept,
            slope=self.slope,
            intercept_u=factor * self.intercept_u,
            slope_u=factor * self.slope_u,
            covariance=factor**2 * self.covariance,
            scatter=self.scatter,
            count=self.count,
        )


def straight_line(x: Sequence[float], y: Sequence[float], u: Sequence[float]) -> StraightLine:
    """Weighted least squares: y has the standard uncertainty u (above 0) at each x, and x is exact.

    Weights 1/u2; the uncertainties follow from u by the law of propagation (JCGM 100:2008, annex H.3, where all u
    are alike). Raises :class:`InputError` for fewer than two different x.

    >>> line = straight_line([1, 2, 3], [2.0, 4.0, 6.0], [0.1, 0.1, 0.1])
    >>> round(line.slope, 6), round(line.intercept, 6)
    (2.0, 0.0)
    """
    weight = [1 / value**2 for value in u]
    total = sum(weight)
    middle = sum(w * value for w, value in zip(weight, x, strict=True)) / total
    # about the weighted middle slope and height do not depend on each other, and no digits are lost
    spread = sum(w * (value - middle) ** 2 for w, value in zip(weight, x, strict=True))
    if max(x) - min(x) <= 1e-9:
        raise InputError("found readings at one place only, expected at least two different ones")
    slope = sum(w * (a - middle) * b for w, a, b in zip(weight, x, y, strict=True)) / spread
    height = sum(w * value for w, value in zip(weight, y, strict=True)) / total
    intercept = height - slope * middle
    free = len(x) - 2
    chi_square = sum(w * (b - intercept - slope * a) ** 2 for w, a, b in zip(weight, x, y, strict=True))
    return StraightLine(
        intercept=intercept,
        slope=slope,
        intercept_u=math.sqrt(1 / total + middle**2 / spread),
        slope_u=math.sqrt(1 / spread),
        covariance=-middle / spread,
        scatter=math.sqrt(chi_square / free) if free > 0 else None,
        count=len(x),
    )
