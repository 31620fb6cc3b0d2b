"""The blanks: where the outline lies on each, and what a cut leaves at their edges.

Everything is in mm from the datum, x to the right and y up as the board lies under the cutter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import shapely
import shapely.affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from inlayfit.errors import InputError
from inlayfit.joint.job import Datum, Point
from inlayfit.quantity import MM_PER_INCH

LEVELLING_OVERLAP: Final = MM_PER_INCH / 2
"""How much larger than the board the levelling field is, in both directions (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Blank:
    """A rectangular board with its datum."""

    width: float
    height: float
    datum: Datum = "centre"

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, lower, right and upper edge, from the datum."""
        left = {"left": 0.0, "right": -self.width}.get(self.datum.split()[-1], -self.width / 2)
        lower = {"lower": 0.0, "upper": -self.height}.get(self.datum.split()[0], -self.height / 2)
        return (left, lower, left + self.width, lower + self.height)

    @property
    def middle(self) -> Point:
        """Middle of the board, from the datum."""
        left, lower, right, upper = self.bounds
        return ((left + right) / 2, (lower + upper) / 2)


@dataclass(frozen=True, kw_only=True)
class Margin:
    """What is left of a blank at each edge; negative where a cut runs off it."""

    left: float
    right: float
    lower: float
    upper: float

    @property
    def least(self) -> float:
        """The smallest of the four."""
        return min(self.left, self.right, self.lower, self.upper)

    @property
    def tightest(self) -> str:
        """Name of the edge with the least left."""
        edges = {"left": self.left, "right": self.right, "lower": self.lower, "upper": self.upper}
        # of even edges the first, whatever the last digits of an offset say
        return min(edges, key=lambda edge: round(edges[edge], 2))


@dataclass(frozen=True, kw_only=True)
class LevellingField:
    """The rectangle that levelling runs over."""

    bounds: tuple[float, float, float, float]
    """Of the bit's centre, from the datum: left, lower, right, upper."""
    run_off: float
    """How far past each edge of the board the bit's own edge goes."""
    drawn: tuple[float, float]
    """Width and height to draw where the programme keeps the whole bit inside what is drawn."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height that the bit's middle runs over."""
        left, lower, right, upper = self.bounds
        return right - left, upper - lower

    @property
    def area(self) -> Polygon:
        """The field as a polygon."""
        return shapely.box(*self.bounds)


def placed(area: BaseGeometry, at: Point, *, turn: float = 0.0, mirrored: bool = False) -> BaseGeometry:
    """The outline with the middle of its bounds ``at`` a place from the datum.

    It is turned by ``turn`` degrees anticlockwise about that middle first. ``mirrored`` (the plug, which is turned
    over to go in) swaps left and right about it.
    """
    low_x, low_y, high_x, high_y = area.bounds
    middle = ((low_x + high_x) / 2, (low_y + high_y) / 2)
    if turn:
        area = shapely.affinity.rotate(area, turn, origin=middle)
    if mirrored:
        area = shapely.affinity.scale(area, -1, 1, origin=middle)
    return shapely.affinity.translate(area, at[0] - middle[0], at[1] - middle[1])


def margin(blank: Blank, cut: BaseGeometry) -> Margin:
    """What is left of the blank beyond ``cut`` at each edge. Raises :class:`InputError` where ``cut`` is empty."""
    if cut.is_empty:
        raise InputError("nothing is cut here, expected an area")
    left, lower, right, upper = blank.bounds
    low_x, low_y, high_x, high_y = cut.bounds
    return Margin(left=low_x - left, right=right - high_x, lower=low_y - lower, upper=upper - high_y)


def levelling_field(
    bounds: tuple[float, float, float, float], diameter: float, overlap: float = LEVELLING_OVERLAP
) -> LevellingField:
    """The field for a levelling bit: its centre covers board or plug's back, and half the overlap beyond each edge.

    So the bit's radius runs off every edge, and no rim and no rounded corner is left standing.
    """
    left, lower, right, upper = bounds
    more = overlap / 2
    return LevellingField(
        bounds=(left - more, lower - more, right + more, upper + more),
        run_off=more + diameter / 2,
        drawn=(right - left + overlap + diameter, upper - lower + overlap + diameter),
    )
