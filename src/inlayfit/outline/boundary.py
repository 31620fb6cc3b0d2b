"""The outline's line work, asked for nearest points and for the largest discs that touch it."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CLOSE: Final = 1e-7
"""Places are touched at once by a disc that is no more than this larger than the largest, mm."""
AHEAD: Final = 1e-9
"""What is no further ahead of a disc's foot than this is the wall that the disc stands on, mm."""
_FEW_EDGES: Final = 8.0
"""A disc's radius over the outline's mean edge from which on it is shrunk before its box is asked for edges."""
_AT_ONCE: Final = 20_000


class Boundary:
    """The outline's line work, prepared for nearest-point questions. Points are (n, 2), lengths mm."""

    def __init__(self, area: BaseGeometry) -> None:
        self._lines = area.boundary
        shapely.prepare(self._lines)
        points, line = shapely.get_coordinates(shapely.get_parts(self._lines), return_index=True)
        run = np.diff(points, axis=0)
        long = np.hypot(run[:, 0], run[:, 1])
        edge = (line[1:] == line[:-1]) & (long > 0)
        self._start, self._long = points[:-1][edge], long[edge]
        self._along = run[edge] / self._long[:, None]
        self._mean = float(self._long.mean())
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([points[:-1][edge], points[1:][edge]], axis=1)))

    def nearest(self, points: Floats) -> Floats:
        """The outline's point nearest to each of the points."""
        if not len(points):
            return np.zeros((0, 2))
        lines = shapely.shortest_line(self._lines, shapely.points(points))
        return shapely.get_coordinates(lines)[::2]

    def touching_discs(self, foot: Floats, normal: Floats, largest: float | Floats) -> tuple[Floats, Floats]:
        """Radius of the largest empty disc tangent at each foot on the side of ``normal``, and where else it touches.

        No disc is larger than ``largest``, (n,) or one for all; a disc that reaches it touches at its foot. Exact for
        polygons: each edge in reach bounds the disc by a closed form.
        """
        radius = np.array(np.broadcast_to(largest, len(foot)), dtype=float)
        touch = foot.copy()
        # where edges are many the nearest one to the centre leaves few in reach
        many = np.flatnonzero(radius > _FEW_EDGES * self._mean)
        bound = radius.copy()
        bound[many] = self._through_nearest(foot[many], normal[many], radius[many])
        going = np.flatnonzero((bound < radius) | (radius <= _FEW_EDGES * self._mean))
        for part in np.array_split(going, len(going) // _AT_ONCE + 1):
            self._shrink(foot, normal, bound, radius, touch, part)
        return radius, touch

    def discs(self, foot: Floats, normal: Floats, largest: float, guess: Floats | None = None) -> Floats:
        """Radius of each largest empty disc, at most ``largest``.

        A good ``guess`` that is not too small saves time; one that turns out too small is dropped.
        """
        if guess is None:
            return self.touching_discs(foot, normal, largest)[0]
        radius = self.touching_discs(foot, normal, np.minimum(guess, largest))[0]
        open_ = np.flatnonzero((radius >= guess) & (guess < largest))
        radius[open_] = self.touching_discs(foot[open_], normal[open_], largest)[0]
        return radius

    def _through_nearest(self, foot: Floats, normal: Floats, radius: Floats) -> Floats:
        """The radius of discs shrunk once, through the outline's point nearest to their centre."""
        chord = self.nearest(foot + radius[:, None] * normal) - foot
        ahead = np.einsum("ij,ij->i", chord, normal)
        with np.errstate(divide="ignore", invalid="ignore"):
            smaller = np.einsum("ij,ij->i", chord, chord) / (2 * ahead)
        # a little more than the bound, so that the touching edge itself is found
        return np.minimum(radius, np.where(ahead > AHEAD, smaller * (1 + 1e-6) + AHEAD, np.inf))

    def _shrink(self, foot: Floats, normal: Floats, bound: Floats, radius: Floats, touch: Floats, part: Ints) -> None:
        """Shrink the discs of ``part`` to the edges within ``bound`` of their centres."""
        centre, reach = foot[part] + bound[part, None] * normal[part], bound[part]
        low, high = centre - reach[:, None], centre + reach[:, None]
        row, edge = self._tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
        if not len(row):
            return
        disc = part[row]
        nx, ny = normal[disc].T
        ax, ay = (self._start[edge] - foot[disc]).T
        ux, uy = self._along[edge].T
        long = self._long[edge]
        along_n, along_a = ux * nx + uy * ny, ax * ux + ay * uy
        near_ahead = ax * nx + ay * ny
        far_ahead = near_ahead + long * along_n
        square = ax * ax + ay * ay
        aside = ax * uy - ay * ux
        with np.errstate(divide="ignore", invalid="ignore"):
            near_end = np.where(near_ahead > AHEAD, square / (2 * near_ahead), np.inf)
            far_square = square + long * (2 * along_a + long)
            far_end = np.where(far_ahead > AHEAD, far_square / (2 * far_ahead), np.inf)
            tangent = np.abs(aside) / (1 - np.where(aside < 0, -1.0, 1.0) * (ny * ux - nx * uy))
            at = tangent * along_n - along_a
            within = (np.maximum(near_ahead, far_ahead) > AHEAD) & (at >= 0) & (at <= long)
        size = np.where(within, tangent, np.minimum(near_end, far_end))
        first = np.flatnonzero(np.diff(row, prepend=-1))
        many = np.diff(np.append(first, len(row)))
        least = np.minimum.reduceat(size, first)
        smaller = least < radius[disc[first]]
        of = disc[first][smaller]
        radius[of] = least[smaller]
        # of places that are touched at once the one furthest from the foot
        tie = np.flatnonzero((size <= np.repeat(least, many) + CLOSE) & np.repeat(smaller, many))
        place = np.where(within[tie], at[tie], np.where(near_end[tie] <= far_end[tie], 0.0, long[tie]))
        touched = self._start[edge[tie]] + place[:, None] * self._along[edge[tie]]
        far = np.hypot(*(touched - foot[disc[tie]]).T)
        order = np.lexsort((-far, row[tie]))
        touch[of] = touched[order][np.flatnonzero(np.diff(row[tie][order], prepend=-1))]
