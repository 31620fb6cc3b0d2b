"""Closed loops from loose lines: ends joined, doubled lines dropped, what stays open told with its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import JOIN, MOST_JOIN
from inlayfit.drawings.openings import PLAIN, Joining, left_open, open_text, openings
from inlayfit.drawings.positions import ClosedShape, Line, point_text
from inlayfit.errors import InputError

Points = NDArray[np.float64]

MAX_PAIRS = 2_000_000
"""Ends that lie upon each other, counted by pairs; more is no drawing."""

_MOST_ALIKE = 50  # lines that differ and still share both ends


def loops_of(
    lines: Sequence[Line], mm: float, *, curve_error: float = 0.0, joining: Joining = PLAIN
) -> tuple[list[ClosedShape], list[str]]:
    """The loops that lines make, a ring each, and notes on doubled lines and those that were left out.

    ``mm`` is how long one of the file's units will be at the final size; ``curve_error``, in those units, how far
    chords of the lines may lie from their curves. Raises ``InputError`` with the places where lines stay open
    and where they branch.
    """
    snap, point = joining.width / mm, JOIN / mm
    rings: list[Line] = []
    loose: list[Line] = []
    for line in lines:
        if len(line.points) == 2:  # no loop, however short
            if (line.points[0] != line.points[1]).any():
                loose.append(line)
            continue
        length = _length(line.points)
        if length > snap and np.hypot(*(line.points[0] - line.points[-1])) <= snap:
            rings.append(Line(line.label, _closed(line.points)))
        elif (line.points[0] != line.points[-1]).any():
            loose.append(line)
    alike = 2 * point + curve_error
    ends = _Ends(loose, snap)
    loose, ends = ends.without_dots(loose, point)
    singles = np.array(_without_doubles(loose, ends, alike), dtype=np.int64)
    nodes = ends.nodes[singles]
    is_open = _open_lines(nodes, len(ends.places))
    left: list[str] = []
    if is_open.any():
        free = np.flatnonzero(np.bincount(nodes.reshape(-1), minlength=len(ends.places)) == 1)
        gaps = openings(ends.places[free], mm)
        count, others_close = int(is_open.sum()), bool(rings) or not is_open.all()
        if not (joining.leave_open and others_close and gaps[0].gap_mm > MOST_JOIN):
            raise left_open(gaps, count, joining, others_close=others_close)
        left = [f"left out {count} open line{'s' if count > 1 else ''}: {open_text(gaps, joining.unit)}"]
    kept = singles[~is_open]
    rings += _joined([loose[number] for number in kept.tolist()], ends.nodes[kept], ends.places)
    distinct = _distinct_rings(rings, alike)
    doubled = len(loose) - len(singles) + len(rings) - len(distinct)
    notes = left + ([f"left out {doubled} doubled line{'s' if doubled > 1 else ''}"] if doubled else [])
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
        """The lines and ends without lines shorter than ``snap`` that lead nowhere."""
        meeting = np.bincount(self.nodes.reshape(-1), minlength=len(self.places))
        alone = (meeting[self.nodes] == 1).any(axis=1)
        dots = {number for number in np.flatnonzero(alone).tolist() if _length(lines[number].points) <= snap}
        if dots:
            self.nodes = self.nodes[[number for number in range(len(lines)) if number not in dots]]
            lines = [line for number, line in enumerate(lines) if number not in dots]
        return list(lines), self


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
    if not len(lines):
        return []
    pairs = np.sort(ends.nodes, axis=1)
    _, group, sharing = np.unique(pairs, axis=0, return_inverse=True, return_counts=True)
    group = group.reshape(-1)
    dropped: set[int] = set()
    between: dict[int, list[int]] = {}
    for number in np.flatnonzero(sharing[group] > 1).tolist():
        others = between.setdefault(int(group[number]), [])
        shape = shapely.LineString(lines[number].points)
        if any(_is_alike(shape, shapely.LineString(lines[other].points), alike) for other in others):
            dropped.add(number)
            continue
        if len(others) >= _MOST_ALIKE:
            place = point_text(*lines[number].points[0])
            raise InputError(f"over {_MOST_ALIKE} lines run from {place} to the same end: draw the outline only, once")
        others.append(number)
    return [number for number in range(len(lines)) if number not in dropped]


def _is_alike(one: shapely.Geometry, other: shapely.Geometry, alike: float) -> bool:
    return bool(abs(np.subtract(one.bounds, other.bounds)).max() <= alike) and bool(
        shapely.hausdorff_distance(one, other) <= alike
    )


def _distinct_rings(rings: Sequence[Line], alike: float) -> list[Line]:
    """The rings, of several that run the same way the first only."""
    if len(rings) < 2:
        return list(rings)
    sizes = [len(line.points) for line in rings]
    shapes = shapely.linestrings(
        np.concatenate([line.points for line in rings]), indices=np.repeat(np.arange(len(rings)), sizes)
    )
    corners = shapely.points(shapely.bounds(shapes)[:, :2])
    pairs = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=2 * alike)
    dropped: set[int] = set()
    for number, other in sorted(zip(*pairs.tolist(), strict=True)):
        if number < other and number not in dropped and _is_alike(shapes[number], shapes[other], alike):
            dropped.add(other)
    return [line for number, line in enumerate(rings) if number not in dropped]


def _joined(lines: Sequence[Line], nodes: NDArray[np.int64], places: Points) -> list[Line]:
    """Rings from lines between numbered ends; each end belongs to two lines, or to loops that meet there."""
    if not lines:
        return []
    at: dict[int, list[int]] = {}
    pairs: list[list[int]] = nodes.tolist()
    for number, pair in enumerate(pairs):
        for node in pair:
            at.setdefault(node, []).append(number)
    rings: list[Line] = []
    spots: list[list[float]] = places.tolist()
    for members in _components(pairs, at):
        if all(len(at[node]) == 2 for number in members for node in pairs[number]):
            rings.append(_walked(members, lines, pairs, at, spots))
        else:
            rings += _parted(members, lines, nodes, places, at)
    return rings


def _components(nodes: list[list[int]], at: dict[int, list[int]]) -> Iterator[list[int]]:
    """Numbers of the lines that hang together."""
    seen = [False] * len(nodes)
    for start in range(len(nodes)):
        if seen[start]:
            continue
        seen[start] = True
        members, waiting = [start], [start]
        while waiting:
            for node in nodes[waiting.pop()]:
                for other in at[node]:
                    if not seen[other]:
                        seen[other] = True
                        members.append(other)
                        waiting.append(other)
        yield members


def _walked(
    members: list[int],
    lines: Sequence[Line],
    nodes: list[list[int]],
    at: dict[int, list[int]],
    places: list[list[float]],
) -> Line:
    """The one ring of lines that meet two by two."""
    number = members[0]
    node = nodes[number][0]
    walked: list[list[float]] = []
    for _ in members:
        forward = nodes[number][0] == node
        walked.append(places[node])
        points = lines[number].points
        if len(points) > 2:
            walked += (points[1:-1] if forward else points[-2:0:-1]).tolist()
        node = nodes[number][1 if forward else 0]
        first, second = at[node]
        number = second if first == number else first
    walked.append(walked[0])
    return Line(lines[members[0]].label, np.array(walked))


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


def _open_lines(nodes: NDArray[np.int64], count: int) -> NDArray[np.bool_]:
    """Which lines belong to no loop: those with a free end, those that hang on them alone, and so on."""
    is_open = np.zeros(len(nodes), dtype=bool)
    while True:
        meeting = np.bincount(nodes[~is_open].reshape(-1), minlength=count)
        found = ~is_open & (meeting[nodes] == 1).any(axis=1)
        if not found.any():
            return is_open
        is_open |= found
