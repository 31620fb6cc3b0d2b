"""From lengths at the bench to lengths on paper, both in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

SCALES: Final = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0)
MAGNIFICATIONS: Final = (500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0)
Stretches = tuple[tuple[float, float], ...]
BREAK: Final = 4.0
"""Width on paper of a break, where wood is left out, in mm."""


@dataclass(frozen=True, kw_only=True)
class Axis:
    """One direction of a drawing: ``origin`` on paper is the bench's 0.

    Within each of ``hidden``, stretches of the bench from low to high, nothing is drawn but a break :data:`BREAK` wide.
    """

    origin: float
    scale: float
    hidden: Stretches = ()

    def __call__(self, value: float) -> float:
        """Where a length from the bench's 0 lies on paper."""
        return self.origin + self._from(value) - self._from(0.0)

    def _from(self, value: float) -> float:
        place = self.scale * value
        for low, high in self.hidden:
            left_out = self.scale * (high - low) - BREAK
            if value >= high:
                place -= left_out
            elif value > low:
                place -= left_out * (value - low) / (high - low)
        return place

    def breaks(self, low: float, high: float) -> bool:
        """Whether part of this stretch is left out."""
        return any(low < end and start < high for start, end in self.hidden)


@dataclass(frozen=True, kw_only=True)
class View:
    """Both directions of a drawing: across, and down from a face."""

    across: Axis
    down: Axis

    def __call__(self, point: tuple[float, float]) -> tuple[float, float]:
        """A point of the bench on paper."""
        return (self.across(point[0]), self.down(point[1]))


def fitted_view(
    *,
    across: tuple[float, float],
    down: tuple[float, float],
    hidden_across: Stretches,
    hidden_down: Stretches,
    room: tuple[float, float],
    middle: float,
    top: float,
) -> View:
    """The largest view at a usual scale, the same both ways, that shows these stretches of the bench in a room."""
    wide = across[1] - across[0] - sum(end - start for start, end in hidden_across)
    tall = down[1] - down[0] - sum(end - start for start, end in hidden_down)
    scale = min(
        largest_scale(wide, room[0] - BREAK * len(hidden_across)),
        largest_scale(tall, room[1] - BREAK * len(hidden_down)),
    )
    from_zero = Axis(origin=0.0, scale=scale, hidden=hidden_down)
    return View(
        across=Axis(origin=middle, scale=scale, hidden=hidden_across),
        down=Axis(origin=top - from_zero(down[0]), scale=scale, hidden=hidden_down),
    )


def largest_scale(length: float, room: float) -> float:
    """The largest usual scale at which a length fits into its room; what is larger still is drawn to fit."""
    for scale in SCALES:
        if scale * length <= room:
            return scale
    return round_down(room / length)


def magnification(length: float, wanted: float) -> float:
    """The usual magnification at which a length is at most as long as wanted."""
    return next((times for times in MAGNIFICATIONS if times * length <= wanted), MAGNIFICATIONS[-1])


def round_down(scale: float) -> float:
    """A scale under 1 as the next smaller of 1:1.25, 1:1.5, 1:2, 1:2.5, 1:3, 1:4, 1:5 and 1:8 and their tenfolds.

    >>> round_down(0.7), round_down(0.03)
    (0.667, 0.025)
    """
    times = 1 / scale
    ten = 1.0
    while True:
        for step in (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 8.0, 10.0):
            if step * ten >= times - 1e-9:
                return 1 / (step * ten)
        ten *= 10


def round_length(most: float) -> float:
    """The largest of 1, 2, 5 and their tenfolds that is not over ``most``.

    >>> round_length(47.0), round_length(0.3)
    (20.0, 0.2)
    """
    ten = 10.0 ** math.floor(math.log10(most))
    return next(round(step * ten, 9) for step in (5.0, 2.0, 1.0) if step * ten <= most * (1 + 1e-9))


def scale_text(scale: float) -> str:
    """A scale in words.

    >>> scale_text(4.0), scale_text(0.4)
    ('4:1', '1:2.5')
    """
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"
