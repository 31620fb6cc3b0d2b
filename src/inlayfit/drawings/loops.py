"""Closed loops from loose lines: ends joined, doubled lines dropped, what stays open told with its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.positions import ClosedShape, Line, point_text
from inlayfit.errors import InputError

Points = NDArray[np.float64]

SNAP = 0.005
"""Ends of lines that lie this near, in mm at the final size, are one end."""

MAX_PAIRS = 2_000_000
"""Ends that lie upon each other, counted by pairs; more is no drawing."""

_MOST_TOLD = 3
_MOST_ALIKE = 50  # lines that differ and still share both ends


def loops_of(lines: Sequence[Line], mm: float, *, curve_error: float = 0.0) -> tuple[list[ClosedShape], list[str]]:
    """The loops that lines make, a ring each, and notes on doubled ones.

    ``mm`` is how long one of the file's units will be at the final size; ``curve_error``, in those units, how far
    chords of the lines may lie from their curves. Raises ``InputError`` with the places where lines stay open
    and where they branch.
    """
    snap = SNAP / mm
    rings: list[Line] = []
    loose: list[Line] = []
    for line in lines:
        length = _length(line.points)
        if length > snap and np.hypot(*(line.points[0] - line.points[-1])) <= snap:
            rings.append(Line(line.label, _closed(line.points)))
        elif (line.points[0] != line.points[-1]).any():
            loose.append(line)
    alike = 2 * snap + curve_error
    ends = _Ends(loose, snap)
    loose, ends = ends.without_dots(loose, snap)
    singles = _without_doubles(loose, ends, alike)
    rings += _joined([loose[number] for number in singles], ends.nodes[singles], ends.places, mm)
    distinct = _distinct_rings(rings, alike)
    doubled = len(loose) - len(singles) + len(rings) - len(distinct)
    notes = [f"left out {doubled} doubled line{'s' if doubled > 1 else ''}"] if doubled else []
    return [ClosedShape(line.label, [line.points]) for line in distinct], notes


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _closed(points: Points) -> Points:
    return np.vstack([points[:-1], points[:1]])


class _Ends:
    """The ends of lines put together: ``nodes`` (n, 2) are the numbers of each line's two, ``places`` where.

    Ends in the same place are one. An end that is alone in its place is drawn to the nearest end within ``snap``, to
    another lonely one rather than to ends that have found each other.
    """

    def __init__(self, lines: Sequence[Line], snap: float) -> None:
        if not lines:
            self.nodes, self.places = np.zeros((0, 2), dtype=np.int64), np.zeros((0, 2))
            return
        ends = np.concatenate([line.points[[0, -1]] for line in lines])
        spots, spot_of, meeting = np.unique(ends, axis=0, return_inverse=True, return_counts=True)
        spot_of = spot_of.reshape(-1)
        own_other = np.full(len(spots), -1)  # of a lonely end, the other end of its line
        own_other[spot_of] = spot_of.reshape(-1, 2)[:, ::-1].reshape(-1)
        lonely = np.flatnonzero(meeting == 1)
        # before they are paired: what lies in one cell of a grid is a pair, or nearly
        _, together = np.unique(np.floor(spots[lonely] / snap), axis=0, return_counts=True)
        if (together**2).sum() > MAX_PAIRS:
            raise InputError(f"over {MAX_PAIRS:,} ends of lines lie upon each other: draw the outline only, once")
        points = shapely.points(spots)
        found, other = shapely.STRtree(points).query(points[lonely], predicate="dwithin", distance=snap)
        one = lonely[found]
        fits = (one != other) & (own_other[one] != other)
        one, other = one[fits], other[fits]
        # lonely ones first, then by their distance
        order = np.lexsort([np.hypot(*(spots[one] - spots[other]).T), meeting[other] > 1, one])
        one, other = one[order], other[order]
        first = np.concatenate([[True], one[1:] != one[:-1]]) if len(one) else np.zeros(0, dtype=bool)
        self.places = spots
        self.nodes = _groups(len(spots), one[first], other[first])[spot_of].reshape(-1, 2)

    def without_dots(self, lines: Sequence[Line], snap: float) -> tuple[list[Line], _Ends]:
        """The lines and ends without lines shorter than ``snap`` that meet no other."""
        meeting = np.bincount(self.nodes.reshape(-1), minlength=len(self.places))
        keep = [
            number
            for number, line in enumerate(lines)
            if not (meeting[self.nodes[number]] == 1).all() or _length(line.points) > snap
        ]
        self.nodes = self.nodes[keep]
        return [lines[number] for number in keep], self


def _groups(count: int, first: NDArray[np.int64], second: NDArray[np.int64]) -> NDArray[np.int64]:
    """For each of ``count`` things the lowest number among those it is paired with, directly or by others."""
    group = np.arange(count)
    while True:
        before = group.copy()
        np.minimum.at(group, first, group[second])
        group = group[group]
        if (group == before).all():
            return group


def _without_doubles(lines: Sequence[Line], ends: _Ends, alike: float) -> list[int]:
    """Numbers of the lines, of several that run the same way between the same ends the first only."""
    kept: list[int] = []
    between: dict[tuple[int, int], list[int]] = {}
    for number, line in enumerate(lines):
        low, high = sorted(ends.nodes[number].tolist())
        others = between.setdefault((low, high), [])
        shape = shapely.LineString(line.points)
        if any(_is_alike(shape, shapely.LineString(lines[other].points), alike) for other in others):
            continue
        if len(others) >= _MOST_ALIKE:
            place = point_text(*line.points[0])
            raise InputError(f"over {_MOST_ALIKE} lines run from {place} to the same end: draw the outline only, once")
        others.append(number)
        kept.append(number)
    return kept


def _is_alike(one: shapely.Geometry, other: shapely.Geometry, alike: float) -> bool:
    return bool(abs(np.subtract(one.bounds, other.bounds)).max() <= alike) and bool(
        shapely.hausdorff_distance(one, other) <= alike
    )


def _distinct_rings(rings: Sequence[Line], alike: float) -> list[Line]:
    """The rings, of several that run the same way the first only."""
    if len(rings) < 2:
        return list(rings)
    shapes = [shapely.LineString(line.points) for line in rings]
    corners = shapely.points([shape.bounds[:2] for shape in shapes])
    pairs = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=2 * alike)
    dropped: set[int] = set()
    for number, other in sorted(zip(*pairs.tolist(), strict=True)):
        if number < other and number not in dropped and _is_alike(shapes[number], shapes[other], alike):
            dropped.add(other)
    return [line for number, line in enumerate(rings) if number not in dropped]


def _joined(lines: Sequence[Line], nodes: NDArray[np.int64], places: Points, mm: float) -> list[Line]:
    """Rings from lines between numbered ends; each end must belong to two lines, or to loops that meet there."""
    if not lines:
        return []
    at: dict[int, list[int]] = {}
    for number, pair in enumerate(nodes.tolist()):
        for node in pair:
            at.setdefault(node, []).append(number)
    open_ends = [node for node, meeting in at.items() if len(meeting) == 1]
    if open_ends:
        raise _left_open(places[open_ends], len(lines), mm)
    rings: list[Line] = []
    for members in _components(nodes, at):
        if all(len(at[node]) == 2 for number in members for node in nodes[number].tolist()):
            rings.append(_walked(members, lines, nodes, places))
        else:
            rings += _parted(members, lines, nodes, places, at)
    return rings


def _components(nodes: NDArray[np.int64], at: dict[int, list[int]]) -> Iterator[list[int]]:
    """Numbers of the lines that hang together."""
    seen = [False] * len(nodes)
    for start in range(len(nodes)):
        if seen[start]:
            continue
        seen[start] = True
        members, waiting = [start], [start]
        while waiting:
            for node in nodes[waiting.pop()].tolist():
                for other in at[node]:
                    if not seen[other]:
                        seen[other] = True
                        members.append(other)
                        waiting.append(other)
        yield members


def _walked(members: list[int], lines: Sequence[Line], nodes: NDArray[np.int64], places: Points) -> Line:
    """The one ring of lines that meet two by two."""
    by_node: dict[int, list[int]] = {}
    for number in members:
        for node in nodes[number].tolist():
            by_node.setdefault(node, []).append(number)
    number = members[0]
    node = int(nodes[number, 0])
    pieces: list[Points] = []
    for _ in members:
        forward = nodes[number, 0] == node
        points = lines[number].points if forward else lines[number].points[::-1]
        pieces.append(np.vstack([places[node], points[1:-1]]))
        node = int(nodes[number, 1 if forward else 0])
        first, second = by_node[node]
        number = second if first == number else first
    label = lines[members[0]].label
    return Line(label, np.vstack([*pieces, pieces[0][:1]]))


def _parted(
    members: list[int], lines: Sequence[Line], nodes: NDArray[np.int64], places: Points, at: dict[int, list[int]]
) -> list[Line]:
    """Rings of lines that meet in places: loops that touch there; refused where a line parts an area in two."""
    placed = [np.vstack([places[a], lines[n].points[1:-1], places[b]]) for n in members for a, b in [nodes[n]]]
    faces = shapely.get_parts(shapely.polygonize([shapely.LineString(points) for points in placed]))
    drawn = sum(map(_length, placed))
    if not len(faces) or abs(sum(face.exterior.length for face in faces) - drawn) > 1e-9 * drawn:
        branching = [node for number in members for node in nodes[number].tolist() if len(at[node]) > 2]
        place = point_text(*places[branching[0]])
        raise InputError(
            f"{len(at[branching[0]])} lines meet at {place}, and what they enclose is not clear: "
            "leave only the lines of the outline"
        )
    label = lines[members[0]].label
    return [Line(label, shapely.get_coordinates(face.exterior)) for face in faces]


def _left_open(ends: Points, count: int, mm: float) -> InputError:
    """The open ends with the nearest other one, the widest misses last."""
    places = shapely.points(ends)
    tree = shapely.STRtree(places)
    told: list[tuple[float, str]] = []
    seen: set[tuple[int, int]] = set()
    for number, place in enumerate(places[:1000]):
        nearest = tree.query_nearest(place, exclusive=True)
        if not len(nearest):
            continue
        other = int(nearest[0])
        pair = (min(number, other), max(number, other))
        if pair not in seen:
            seen.add(pair)
            gap = float(np.hypot(*(ends[number] - ends[other])))
            told.append((gap, f"{point_text(*ends[number])} to {point_text(*ends[other])}, {gap * mm:.3g} mm"))
    told.sort()
    words = "; ".join(text for _, text in told[:_MOST_TOLD])
    more = f"; and {len(told) - _MOST_TOLD} more" if len(told) > _MOST_TOLD else ""
    lines = "the line does not close" if count == 1 else f"{count} lines do not close"
    return InputError(f"{lines}, open from {words}{more}: join the ends in the drawing program")
