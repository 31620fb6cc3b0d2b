"""Closed loops from loose lines: ends joined, doubled lines dropped, what stays open told with its place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.choice import JOIN, MOST_JOIN, Choice
from inlayfit.drawings.positions import ClosedShape, Line, point_text
from inlayfit.errors import InputError
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

Points = NDArray[np.float64]

MAX_PAIRS = 2_000_000
"""Ends that lie upon each other, counted by pairs; more is no drawing."""

_MOST_TOLD = 3
_MOST_ALIKE = 50  # lines that differ and still share both ends


@dataclass(frozen=True, kw_only=True)
class Joining:
    """How ends are joined: those within ``width`` mm at the final size, openings told in ``unit``.

    ``leave_open`` leaves out lines that stay open by more than :data:`MOST_JOIN`, where others close.
    """

    width: float = JOIN
    unit: LengthUnit = "mm"
    leave_open: bool = False


PLAIN: Final = Joining()


def joining_of(choice: Choice) -> Joining:
    """How ends are joined by what the user chose."""
    return Joining(width=choice.join, unit=choice.unit, leave_open=choice.take == "closed")


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
        openings = _openings(ends.places[free], mm)
        count, others_close = int(is_open.sum()), bool(rings) or not is_open.all()
        if not (joining.leave_open and others_close and openings[0].gap_mm > MOST_JOIN):
            raise _left_open(openings, count, joining, others_close=others_close)
        left = [f"left out {count} open line{'s' if count > 1 else ''}: {_open_text(openings, joining.unit)}"]
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
        """The lines and ends without lines shorter than ``snap`` that meet no other."""
        meeting = np.bincount(self.nodes.reshape(-1), minlength=len(self.places))
        alone = (meeting[self.nodes] == 1).all(axis=1)
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


@dataclass(frozen=True)
class _Opening:
    """A free end and the one that it most likely was meant to meet, None for an odd one."""

    start: Points
    end: Points | None
    gap_mm: float

    def text(self, unit: LengthUnit) -> str:
        if self.end is None:
            return f"an end at {point_text(*self.start)}"
        gap = f"{self.gap_mm / MM_PER_UNIT[unit]:.3g} {unit}"
        return f"{point_text(*self.start)} to {point_text(*self.end)}, {gap}"


def _openings(ends: Points, mm: float) -> list[_Opening]:
    """Free ends paired, the nearest first, so that each opening counts once; the narrowest first."""
    places = shapely.points(ends)
    tree = shapely.STRtree(places)
    free = np.ones(len(ends), dtype=bool)
    found: list[_Opening] = []
    while free.any():
        left = np.flatnonzero(free)
        if len(left) == 1:
            found.append(_Opening(ends[left[0]], None, math.inf))
            break
        tree = shapely.STRtree(places[left])
        one, other = tree.query_nearest(places[left], exclusive=True, all_matches=False)
        gaps = np.hypot(*(ends[left[one]] - ends[left[other]]).T)
        for number in np.argsort(gaps, kind="stable").tolist():
            first, second = int(left[one[number]]), int(left[other[number]])
            if free[first] and free[second]:
                free[[first, second]] = False
                first, second = min(first, second), max(first, second)
                found.append(_Opening(ends[first], ends[second], float(gaps[number]) * mm))
    return sorted(found, key=lambda opening: opening.gap_mm)


def _open_text(openings: list[_Opening], unit: LengthUnit) -> str:
    told = "; ".join(opening.text(unit) for opening in openings[:_MOST_TOLD])
    return told + (f"; and {len(openings) - _MOST_TOLD} more" if len(openings) > _MOST_TOLD else "")


def _left_open(openings: list[_Opening], count: int, joining: Joining, *, others_close: bool) -> InputError:
    lines = "the line does not close" if count == 1 else f"{count} lines do not close"
    cures = ["join the ends in the drawing program"]
    narrow = [opening.gap_mm for opening in openings if opening.gap_mm <= MOST_JOIN]
    unit, one = joining.unit, MM_PER_UNIT[joining.unit]
    if narrow:
        enough = f"{_rounded_up(max(narrow) / one):.10g} {unit}"
        limits = f"now {joining.width / one:.2g} {unit}, at most {MOST_JOIN / one:.2g} {unit}"
        which = "" if len(narrow) == len(openings) else f" {len(narrow)} of the {len(openings)} openings"
        them = which or (" them" if len(narrow) > 1 else " it")
        cures.append(f"set outline.join: {enough} to join{them} ({limits})")
    elif others_close and not joining.leave_open:
        cures.append("set outline.take: closed to leave them out")
    return InputError(f"{lines}, open from {_open_text(openings, unit)}: {', or '.join(cures)}")


def _rounded_up(value: float) -> float:
    """A little more than a value, with two digits."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1) if value > 0 else 1.0
    return math.ceil(value / step * (1 + 1e-9)) * step
