"""Areas from closed outlines by SVG's fill rules: the faces between the lines, by their winding number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.errors import InputError

Points = NDArray[np.float64]

MAX_NESTED = 2_000_000
MAX_CROSSINGS = 50_000
MAX_TOUCHES = 5_000_000
MAX_NEAR = 100_000_000
MAX_TESTS = 20_000_000  # of faces against lines in one shape, some seconds of work
_SAMPLES = 300
_BLOCK = 4_000_000  # pairs of faces and lines that are held at a time


@dataclass(frozen=True)
class RingedFill:
    """One shape to be filled: its rings, points of shape (n, 2) each, closed or to be closed; its rule."""

    rings: Sequence[Points]
    even_odd: bool = False


def filled_areas(shapes: Sequence[RingedFill]) -> list[shapely.Geometry]:
    """The area that each shape fills: valid polygons or multipolygons, perhaps empty, in the same order.

    Filled is what the shape's rings run around a number of times that is not 0 (nonzero), or odd
    (``even_odd``): SVG 2, 13.4.2. Raises ``InputError`` for scribbles whose lines meet too often to be
    an outline, before the work on them starts.
    """
    closed = [[ring for ring in map(_closed, shape.rings) if len(ring) >= 4] for shape in shapes]
    refuse_scribbles([ring for rings in closed for ring in rings])
    plain = _plain_areas(closed)
    return [
        _filled(rings, shape.even_odd) if area is None else area
        for area, rings, shape in zip(plain, closed, shapes, strict=True)
    ]


def _plain_areas(closed: Sequence[list[Points]]) -> list[shapely.Geometry | None]:
    """The areas of those shapes that are one ring which does not meet itself, all at once; None for each other."""
    areas: list[shapely.Geometry | None] = [None] * len(closed)
    single = [number for number, rings in enumerate(closed) if len(rings) == 1]
    if single:
        points = [closed[number][0] for number in single]
        owner = np.repeat(np.arange(len(single)), [len(ring) for ring in points])
        rings = shapely.linearrings(np.concatenate(points), indices=owner)
        polygons = shapely.polygons(rings)
        for number, polygon, simple in zip(single, polygons.tolist(), shapely.is_simple(rings).tolist(), strict=True):
            areas[number] = polygon if simple else None
    return areas


def _filled(rings: list[Points], even_odd: bool) -> shapely.Geometry:
    if not rings:
        return shapely.MultiPolygon()
    noded = shapely.union_all([shapely.LineString(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    if not len(faces):
        return shapely.MultiPolygon()
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    winding = winding_numbers(inside, _edges(rings))
    kept = faces[winding % 2 == 1] if even_odd else faces[winding != 0]
    return shapely.union_all(kept)


def winding_numbers(points: Points, edges: NDArray[np.float64]) -> NDArray[np.int64]:
    """How often directed edges run around each point, counter-clockwise positive (y up).

    ``points`` is of shape (m, 2), ``edges`` of shape (n, 2, 2): start and end, together closed rings. Each
    point sends a ray to the right and counts the edges that pass it upwards, less those downwards (by the
    half-open rule, so that a vertex on the ray counts once).
    """
    numbers = np.zeros(len(points), dtype=np.int64)
    ends = np.column_stack([np.full(len(points), edges[:, :, 0].max() + 1), points[:, 1]])
    rays = shapely.linestrings(np.stack([points, ends], axis=1))
    tree = shapely.STRtree(shapely.linestrings(edges))
    block = max(1, _BLOCK // len(edges))
    tests = 0
    for start in range(0, len(points), block):
        ray, edge = tree.query(rays[start : start + block])
        tests += len(ray)
        if tests > MAX_TESTS:
            raise _scribble()
        x, y = points[start + ray].T
        (x0, y0), (x1, y1) = edges[edge, 0].T, edges[edge, 1].T
        side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)  # above 0: the point lies left of the edge
        upwards, downwards = (y0 <= y) & (y1 > y) & (side > 0), (y0 > y) & (y1 <= y) & (side < 0)
        np.add.at(numbers, start + ray, upwards.astype(np.int64) - downwards)
    return numbers


def _closed(ring: Points) -> Points:
    """The ring without repeated points and with its first point at the end."""
    if not len(ring):
        return ring
    moves = (ring[1:] != ring[:-1]).any(axis=1)
    if moves.all() and (ring[0] == ring[-1]).all():
        return ring
    ring = np.vstack([ring, ring[:1]])
    keep = np.ones(len(ring), dtype=bool)
    keep[1:] = (ring[1:] != ring[:-1]).any(axis=1)
    return ring[keep]


def _edges(rings: Sequence[Points]) -> NDArray[np.float64]:
    return np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])


def refuse_scribbles(rings: Sequence[Points]) -> None:
    """Refuse with ``InputError`` what would take too long, by estimates from a spread of rings and edges.

    ``rings`` are closed, points of shape (n, 2). Counted are pairs of rings whose boxes overlap (rings
    within rings), and pairs of edges that cross, that meet at all (lines drawn many times over) and whose
    boxes overlap (dense hatching): each sets the time of one step of the work to come.
    """
    if not rings:
        return
    lows, highs = (np.array([edge(ring, axis=0) for ring in rings]) for edge in (np.min, np.max))
    boxes = shapely.box(*lows.T, *highs.T)
    tree = shapely.STRtree(boxes)
    picked = _spread(len(boxes))
    nested = sum(len(tree.query(boxes[number])) for number in picked)
    if nested * len(boxes) / len(picked) / 2 > MAX_NESTED:
        raise _scribble()
    edges = _edges(rings)
    lines = shapely.linestrings(edges)
    tree = shapely.STRtree(lines)
    picked = _spread(len(lines))
    pairs_each = len(lines) / len(picked) / 2
    near = touches = crossings = 0
    for number in picked:
        others = tree.query(lines[number])
        near += len(others)
        if near * pairs_each > MAX_NEAR:
            raise _scribble()
        others = others[shapely.intersects(lines[number], lines[others])]
        touches += len(others)
        crossings += int(shapely.crosses(lines[number], lines[others]).sum())
        if touches * pairs_each > MAX_TOUCHES or crossings * pairs_each > MAX_CROSSINGS:
            raise _scribble()


def _spread(count: int) -> NDArray[np.int64]:
    return np.unique(np.linspace(0, count - 1, min(_SAMPLES, count)).astype(np.int64))


def _scribble() -> InputError:
    return InputError("lines cross or cover each other many thousand times: draw the outline only, once")
