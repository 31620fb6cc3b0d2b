"""The outline's line work, asked for nearest points and for the largest discs that touch it."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

CLOSE: Final = 1e-7
"""A disc is taken to be empty when nothing is deeper inside it than this, mm."""
_MOST_STEPS: Final = 100
_SAME_POINT: Final = 1e-16
"""Square of the distance in mm2 under which a nearest point is the foot itself."""


class Boundary:
    """The outline's line work, prepared for nearest-point questions. Points are (n, 2), lengths mm."""

    def __init__(self, area: BaseGeometry) -> None:
        self._lines = area.boundary
        shapely.prepare(self._lines)

    def nearest(self, points: Floats) -> Floats:
        """The outline's point nearest to each of the points."""
        if not len(points):
            return np.zeros((0, 2))
        lines = shapely.shortest_line(self._lines, shapely.points(points))
        return shapely.get_coordinates(lines)[::2]

    def touching_discs(self, foot: Floats, normal: Floats, largest: float | Floats) -> tuple[Floats, Floats]:
        """Radius of the largest empty disc tangent at each foot on the side of ``normal``, and where else it touches.

        No disc is larger than ``largest``, (n,) or one for all; a disc that reaches it touches at its foot. The disc
        is shrunk through the outline's point nearest to its centre until none is inside; exact for polygons.
        """
        radius = np.array(np.broadcast_to(largest, len(foot)), dtype=float)
        touch = foot.copy()
        going = np.arange(len(foot))
        for _ in range(_MOST_STEPS):
            if not len(going):
                break
            at, direction, size = foot[going], normal[going], radius[going]
            centre = at + size[:, None] * direction
            point = self.nearest(centre)
            chord = point - at
            square = np.einsum("ij,ij->i", chord, chord)
            ahead = np.einsum("ij,ij->i", chord, direction)
            inside = (np.hypot(*(point - centre).T) < size - CLOSE) & (square > _SAME_POINT)
            smaller = np.where(ahead > 0, square / np.maximum(2 * ahead, 1e-300), 0.0)
            moved = inside & (smaller < size)
            going = going[moved]
            radius[going], touch[going] = smaller[moved], point[moved]
        return radius, touch

    def discs(self, foot: Floats, normal: Floats, largest: float, guess: Floats | None = None) -> Floats:
        """Radius of each largest empty disc, at most ``largest``.

        A good ``guess`` that is not too small saves steps; one that turns out too small is dropped.
        """
        start: float | Floats = largest
        if guess is not None:
            bound = np.minimum(guess, largest)
            centre = foot + bound[:, None] * normal
            gap = np.hypot(*(self.nearest(centre) - centre).T)
            start = np.where(gap < bound - CLOSE, bound, largest)
        return self.touching_discs(foot, normal, start)[0]
