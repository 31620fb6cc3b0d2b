"""The outline's line work, asked for nearest points and for the largest discs that touch it."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely

from inlayfit.outline.edges import Array, Edges, Index, edges_of
from inlayfit.outline.regions import Outline

CLOSE: Final = 1e-7
"""Places are touched at once by a disc that is no more than this larger than the largest, mm."""
AHEAD: Final = 1e-9
"""What is no further ahead of a disc's foot than this is the wall that the disc stands on, mm."""
_FEW_EDGES: Final = 8.0
"""A disc's radius over the outline's mean edge from which on it is shrunk before its box is asked for edges."""
_AT_ONCE: Final = 20_000


class Boundary:
    """An outline's line work and edges, to be asked for what is nearest. Points are (n, 2), lengths mm."""

    def __init__(self, outline: Outline) -> None:
        self.outline = outline
        self.edges: Edges = edges_of(outline)
        self._lines = outline.area.boundary
        shapely.prepare(self._lines)
        self._mean = float(self.edges.length.mean())
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([self.edges.start, self.edges.end], axis=1)))

    def nearest(self, points: Array) -> Array:
        """The outline's point nearest to each of the points."""
        if not len(points):
            return np.zeros((0, 2))
        lines = shapely.shortest_line(self._lines, shapely.points(points))
        return shapely.get_coordinates(lines)[::2]

    def nearest_edge(self, points: Array) -> tuple[Index, Array]:
        """The edge nearest to each of the points, and the point of it that is nearest."""
        edge = self._tree.query_nearest(shapely.points(points), all_matches=False)[1]
        away = np.einsum("ij,ij->i", points - self.edges.start[edge], self.edges.along[edge])
        along = np.clip(away, 0, self.edges.length[edge])
        return edge, self.edges.start[edge] + along[:, None] * self.edges.along[edge]

    def touching_discs(self, foot: Array, normal: Array, largest: float | Array) -> tuple[Array, Array]:
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

    def discs(self, foot: Array, normal: Array, largest: float, guess: Array | None = None) -> Array:
        """Radius of each largest empty disc, at most ``largest``.

        A good ``guess`` that is not too small saves time; one that turns out too small is dropped.
        """
        if guess is None:
            return self.touching_discs(foot, normal, largest)[0]
        radius = self.touching_discs(foot, normal, np.minimum(guess, largest))[0]
        open_ = np.flatnonzero((radius >= guess) & (guess < largest))
        radius[open_] = self.touching_discs(foot[open_], normal[open_], largest)[0]
        return radius

    def _through_nearest(self, foot: Array, normal: Array, radius: Array) -> Array:
        """The radius of discs shrunk once, through the outline's point nearest to their centre."""
        chord = self.nearest(foot + radius[:, None] * normal) - foot
        ahead = np.einsum("ij,ij->i", chord, normal)
        with np.errstate(divide="ignore", invalid="ignore"):
            smaller = np.einsum("ij,ij->i", chord, chord) / (2 * ahead)
        # a little more than the bound, so that the touching edge itself is found
        return np.minimum(radius, np.where(ahead > AHEAD, smaller * (1 + 1e-6) + AHEAD, np.inf))

    def _shrink(self, foot: Array, normal: Array, bound: Array, radius: Array, touch: Array, part: Index) -> None:
        """Shrink the discs of ``part`` to the edges within ``bound`` of their centres."""
        centre, reach = foot[part] + bound[part, None] * normal[part], bound[part]
        low, high = centre - reach[:, None], centre + reach[:, None]
        row, edge = self._tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
        if not len(row):
            return
        disc = part[row]
        nx, ny = normal[disc].T
        ax, ay = (self.edges.start[edge] - foot[disc]).T
        ux, uy = self.edges.along[edge].T
        long = self.edges.length[edge]
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
        touched = self.edges.start[edge[tie]] + place[:, None] * self.edges.along[edge[tie]]
        far = np.hypot(*(touched - foot[disc[tie]]).T)
        order = np.lexsort((-far, row[tie]))
        touch[of] = touched[order][np.flatnonzero(np.diff(row[tie][order], prepend=-1))]
