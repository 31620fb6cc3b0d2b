"""Rings and lines as a file gives them, read to arrays; refused with the place: empty, open, not finite."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlayfit.errors import InputError

Points = NDArray[np.float64]

MAX_VERTICES = 200_000


@dataclass(frozen=True)
class RingedShape:
    """A polygon as a file gives it, unchecked: where it stands, its list of rings, the outer one first."""

    label: str
    rings: Any


@dataclass(frozen=True)
class ClosedShape:
    """A polygon whose rings are closed and finite: where it stands, and its rings, points of shape (n, 2)."""

    label: str
    rings: list[Points]


@dataclass(frozen=True)
class Line:
    """A drawn line, closed or not: what a message calls it, and its points of shape (n, 2), all finite."""

    label: str
    points: Points


@dataclass(frozen=True)
class Positions:
    """What a file of coordinates holds, unchecked: polygons, lines (a label and a list of positions), the rest.

    ``line_word`` is what the format calls a line.
    """

    line_word: str
    polygons: list[RingedShape] = field(default_factory=list)
    lines: list[tuple[str, Any]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def too_many_vertices(count: float) -> InputError:
    """The error for outlines above the limit, which all readers share."""
    return InputError(
        f"{count:,.0f} vertices, at most {MAX_VERTICES:,} are read: simplify the outline (0.01 mm is enough)"
    )


def too_many_chords(count: float) -> InputError:
    """The error for curves that come to more chords than are read, which no simplifying helps."""
    return InputError(
        f"its curves come to {count:,.0f} chords at this size, at most {MAX_VERTICES:,} are read: "
        "leave some shapes out, or make it smaller"
    )


def point_text(x: float, y: float) -> str:
    """A place in the file's own coordinates, for messages."""
    return f"({x + 0.0:.10g}, {y + 0.0:.10g})"


def read_rings(shapes: Sequence[RingedShape]) -> list[ClosedShape]:
    """The rings of shapes as arrays; refuses with the place those that are empty, open or not finite."""
    rings = [ring for shape in shapes if isinstance(shape.rings, list) for ring in shape.rings]
    count = sum(len(ring) for ring in rings if isinstance(ring, list))
    if count > MAX_VERTICES:
        raise too_many_vertices(count)
    return [ClosedShape(shape.label, _rings(shape)) for shape in shapes]


def read_lines(lines: Sequence[tuple[str, Any]]) -> list[Line]:
    """Lines as arrays; refuses with the place those that are too short or not finite."""
    count = sum(len(positions) for _, positions in lines if isinstance(positions, list))
    if count > MAX_VERTICES:
        raise too_many_vertices(count)
    found = [Line(label, read_positions(positions, label)) for label, positions in lines]
    for line in found:
        if len(line.points) < 2:
            raise InputError(f"{line.label}: {len(line.points)} points, expected two or more")
    return found


def left_out_note(kinds: Sequence[str]) -> list[str]:
    """One note that counts what is no polygon, or none."""
    if not kinds:
        return []
    counted = ", ".join(f"{kind} ({count})" for kind, count in Counter(kinds).items())
    return [f"left out what is no polygon: {counted}"]


def _rings(shape: RingedShape) -> list[Points]:
    if not isinstance(shape.rings, list) or not shape.rings:
        raise InputError(f"{shape.label}: empty, expected an outer ring")
    names = ["outer ring", *(f"hole {number}" for number in range(1, len(shape.rings)))]
    return [_closed_ring(ring, f"{shape.label}, {name}") for ring, name in zip(shape.rings, names, strict=True)]


def read_positions(positions: Any, label: str) -> Points:
    """A file's list of positions as points of shape (n, 2); what is more than x and y is dropped."""
    if not isinstance(positions, list):
        raise InputError(f"{label}: found {_shown(positions)}, expected a list of points")
    for number, position in enumerate(positions, start=1):
        if not _is_position(position):
            raise InputError(f"{label}, point {number}: found {_shown(position)}, expected numbers x, y")
    return np.array([position[:2] for position in positions], dtype=float).reshape(-1, 2)


def _closed_ring(positions: Any, label: str) -> Points:
    points = read_positions(positions, label)
    if not len(points):
        raise InputError(f"{label}: empty, expected four points or more")
    first, last = points[0], points[-1]
    if (first != last).any():
        raise InputError(
            f"{label}: open: starts at {point_text(*first)}, ends at {point_text(*last)}; "
            "repeat the first point at the end"
        )
    if len(points) < 4:
        raise InputError(f"{label}: {len(points)} points, expected four or more, the last as the first")
    return points


def _is_position(position: Any) -> bool:
    return (
        isinstance(position, list)
        and len(position) >= 2
        and all(type(value) in (int, float) and _is_finite(value) for value in position)
    )


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # a whole number too large for a float
        return False


def _shown(found: Any) -> str:
    text = "nothing" if found is None else str(found)
    return text if len(text) <= 60 else text[:57] + "..."
