"""The edges of an outline, in one table. All lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inlayfit.outline.regions import Outline

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]

REPEATED = 1e-9
"""A point no further than this from the one before it, in mm, is that point again."""


@dataclass(frozen=True, kw_only=True)
class Edges:
    """All edges of an outline with the material asked about on their left, ring after ring.

    start, end: (n, 2), mm; along, normal: (n, 2) unit vectors, the normal to the left; length: (n,), mm; before,
    after: (n,) index of the edge that ends at this one's start, and of the one that starts at its end; turn: (n,)
    angle at the start in radians, above 0 where the left side is convex; ring, region: (n,) numbers of those an edge
    belongs to; station: (n,) distance of its start along its ring, mm; ring_length: (rings,), mm.
    """

    start: Array
    end: Array
    along: Array
    normal: Array
    length: Array
    before: Index
    after: Index
    turn: Array
    ring: Index
    region: Index
    station: Array
    ring_length: Array

    def reversed(self) -> Edges:
        """The same edges, in the same order, seen from the other side."""
        return _edges(
            start=self.end, end=self.start, before=self.after, after=self.before, ring=self.ring, region=self.region,
            station=self.ring_length[self.ring] - self.station - self.length, ring_length=self.ring_length,
        )  # fmt: skip


def edges_of(outline: Outline) -> Edges:
    """Edges of an outline, its inside on the left; repeated points are dropped."""
    columns = []
    count = 0
    for number, (region, ring) in enumerate(outline.rings()):
        points = ring[np.hypot(*(ring - np.roll(ring, 1, 0)).T) > REPEATED]
        order = np.arange(len(points)) + count
        end = np.roll(points, -1, 0)
        length = np.hypot(*(end - points).T)
        station = np.concatenate([[0.0], np.cumsum(length)])
        columns.append((
            points, end, np.roll(order, 1), np.roll(order, -1), np.full(len(points), number),
            np.full(len(points), region), station[:-1], station[-1:],
        ))  # fmt: skip
        count += len(points)
    start, end, before, after, of_ring, of_region, station, ring_length = (
        np.concatenate(column) for column in zip(*columns, strict=True)
    )
    return _edges(
        start=start, end=end, before=before, after=after, ring=of_ring, region=of_region, station=station,
        ring_length=ring_length,
    )  # fmt: skip


def _edges(
    *, start: Array, end: Array, before: Index, after: Index, ring: Index, region: Index, station: Array,
    ring_length: Array,
) -> Edges:  # fmt: skip
    length = np.hypot(*(end - start).T)
    along = (end - start) / length[:, None]
    last = along[before]
    cross = last[:, 0] * along[:, 1] - last[:, 1] * along[:, 0]
    return Edges(
        start=start, end=end, along=along, normal=np.stack([-along[:, 1], along[:, 0]], 1), length=length,
        before=before, after=after, turn=np.arctan2(cross, (last * along).sum(1)), ring=ring, region=region,
        station=station, ring_length=ring_length,
    )  # fmt: skip
