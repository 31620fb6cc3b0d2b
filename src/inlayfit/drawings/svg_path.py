"""Path data of SVG: checked, parsed once, flattened into rings under any transform.

The grammar of curves and the arithmetic of arcs come from svgelements, an optional requirement that is imported only
here and only when a drawing is read. It takes broken data in silence up to the error and carries a control
point over from a curve of another kind; both are dealt with here.
"""

from __future__ import annotations

import importlib
import math
import re
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlayfit.drawings.positions import MAX_VERTICES, too_many_chords
from inlayfit.drawings.svg_frame import NUMBER, Affine
from inlayfit.errors import InputError

Points = NDArray[np.float64]

MAX_COORDINATE = 1e12

_COMMAND = re.compile(r"[MmZzLlHhVvCcSsQqTtAa]")
_NUMBER = re.compile(NUMBER)
_CURVED = re.compile(r"[CcSsQqTtAa]")
_COMMANDS = re.compile(r"([MmZzLlHhVv])([^MmZzLlHhVv]*)")
_ARC = re.compile(rf"(?:{NUMBER}[\s,]*){{3}}[01][\s,]*[01][\s,]*{NUMBER}[\s,]*{NUMBER}[\s,]*")
_BARE_DOT = re.compile(r"(?<=\d)\.(?!\d)([eE]?)")  # '5.' and '5.e2', which the parser does not know
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}


def load_svgelements() -> Any:
    """The optional requirement for SVG; raises ``InputError`` that says how to install it."""
    try:
        return importlib.import_module("svgelements")
    except ImportError:
        raise InputError(
            "reading SVG needs the package svgelements: python -m pip install svgelements"
        ) from None


def checked_path_data(data: str) -> tuple[str, int]:
    """Path data fit for the parser, and how many segments it has at most.

    Raises ``InputError`` with the place of the first character that does not follow the grammar of SVG 2
    (a sign on an arc's numbers and a bare trailing dot, legal in SVG 1.1, are allowed).
    """
    commands = list(_COMMAND.finditer(data))
    if not commands and not data.strip():
        return "", 0
    ends = [command.start() for command in commands[1:]] + [len(data)]
    if not commands or data[: commands[0].start()].strip() or commands[0][0] not in "Mm":
        raise InputError(f"path data starts with '{data.strip()[:20]}': expected M")
    segments = 0
    for command, end in zip(commands, ends, strict=True):
        letter, arguments = command[0].upper(), data[command.end() : end]
        if letter == "A":
            count = _count_arcs(arguments)
            sound = count > 0
        else:
            numbers = len(_NUMBER.findall(arguments))
            arity = _ARITY.get(letter, 0)
            rest = _NUMBER.sub(" ", arguments).strip(" ,\t\r\n\f")
            sound = not rest and (numbers == 0 if arity == 0 else numbers > 0 and numbers % arity == 0)
            count = numbers // arity if arity else 1
        if not sound:
            found = data[command.start() : min(end, command.start() + 24)].strip()
            raise InputError(f"path data is broken at character {command.start() + 1}, '{found}': repair the path")
        segments += count
    return _BARE_DOT.sub(lambda dot: dot[1] or " ", data), segments


def _count_arcs(arguments: str) -> int:
    """Arcs in the arguments of an A command, 0 where they are not sound."""
    count = 0
    position = len(arguments) - len(arguments.lstrip())
    while position < len(arguments):
        match = _ARC.match(arguments, position)
        if match is None:
            return 0
        count, position = count + 1, match.end()
    return count


def _segments(data: str) -> list[Any]:
    elements = load_svgelements()
    try:
        return list(elements.Path(data).segments(transformed=False))
    except (ArithmeticError, ValueError):  # what overflows; the grammar was checked before
        raise InputError("path data holds a number out of range") from None


def _straight(data: str) -> list[tuple[Points, bool]] | None:
    """The subpaths of checked path data that has no curves, each with whether it is closed; None where it has some."""
    if _CURVED.search(data):
        return None
    found: list[tuple[list[tuple[float, float]], bool]] = []
    x = y = 0.0
    points: list[tuple[float, float]] = []
    for command, arguments in _COMMANDS.findall(data):
        letter, numbers = command.upper(), [float(number) for number in _NUMBER.findall(arguments)]
        relative = command.islower()
        if letter == "Z":
            if points:
                x, y = points[0]
                found.append(([*points, points[0]], True))
            points = []
            continue
        steps: list[tuple[float | None, float | None]]
        if letter in "HV":
            steps = [(value, None) if letter == "H" else (None, value) for value in numbers]
        else:
            steps = list(zip(numbers[::2], numbers[1::2], strict=True))
        for number, (across, down) in enumerate(steps):
            start = (x, y)
            if relative:
                x, y = x + (across or 0.0), y + (down or 0.0)
            else:
                x, y = x if across is None else across, y if down is None else down
            if letter == "M" and number == 0:
                if len(points) > 1:
                    found.append((points, False))
                points = [(x, y)]
            else:
                points = points or [start]
                points.append((x, y))
    if len(points) > 1:
        found.append((points, False))
    return [(np.array(part, dtype=float), closed) for part, closed in found]


class PathOutline:
    """A parsed path, ready to be flattened.

    Every segment is held as a cubic (lines and quadratics are cubics too, exactly) or, in a table of its
    own, as an elliptical arc: centre, two conjugate radii, start angle, sweep. Subpaths are closed by the
    filling, whether the path says so or not. A path without curves is held as its points.
    """

    _rough: Points
    _closed: list[bool]  # whether each subpath itself is
    _polylines: list[tuple[Points, bool]] | None

    def __init__(self, data: str) -> None:
        self._polylines = _straight(data)
        if self._polylines is not None:
            self._rough = np.concatenate([np.zeros((0, 2)), *(points for points, _ in self._polylines)])
            self._closed = [closed for _, closed in self._polylines]
            if not (np.abs(self._rough) < MAX_COORDINATE).all():
                raise InputError("path data holds a number out of range")
            return
        self._read_curves(data)

    @classmethod
    def straight(cls, points: Sequence[Sequence[float]], *, closed: bool) -> PathOutline:
        """One line through points, or none without any."""
        made = cls.__new__(cls)
        line = np.array([*points, points[0]] if closed and points else points, dtype=float).reshape(-1, 2)
        made._rough, made._closed = line, [closed]
        made._polylines = [(line, closed)] if len(line) else []
        if not (np.abs(line) < MAX_COORDINATE).all():
            raise InputError("its measures are out of range")
        return made

    def _read_curves(self, data: str) -> None:
        cubics: list[tuple[float, ...]] = []
        arcs: list[tuple[float, ...]] = []
        self._breaks: list[int] = []  # first segment of each subpath
        self._closed = []
        previous: tuple[str, complex] = ("", 0j)  # kind and last control point of the segment before
        fresh = True
        for segment in _segments(data):
            kind = type(segment).__name__
            if kind == "Move":
                fresh, previous = True, ("", 0j)
                continue
            start, end = complex(segment.start), complex(segment.end)
            if fresh:
                self._breaks.append(len(cubics))
                self._closed.append(False)
                fresh = False
            control1, control2 = start, end
            last = end
            if kind == "QuadraticBezier":
                last = self._control(segment, segment.control, previous, kind, start)
                control1, control2 = (start + 2 * last) / 3, (end + 2 * last) / 3
            elif kind == "CubicBezier":
                control1 = self._control(segment, segment.control1, previous, kind, start)
                control2 = last = complex(segment.control2)
            else:
                control1, control2 = start + (end - start) / 3, end - (end - start) / 3
            if kind == "Arc" and segment.sweep:
                centre = complex(segment.center)
                u, v = complex(segment.prx) - centre, complex(segment.pry) - centre
                arcs.append(
                    (len(cubics), centre.real, centre.imag, u.real, u.imag, v.real, v.imag,
                     float(segment.get_start_t()), float(segment.sweep))
                )  # fmt: skip
            cubics.append(tuple(part for p in (start, control1, control2, end) for part in (p.real, p.imag)))
            previous = (kind, last)
            if kind == "Close":
                fresh = self._closed[-1] = True
        self._cubics: Points = np.array(cubics, dtype=float).reshape(-1, 4, 2)
        table: Points = np.array(arcs, dtype=float).reshape(-1, 9)
        self._arc_segments = table[:, 0].astype(int)
        self._arcs = table[:, 1:]
        if not all((np.abs(numbers) < MAX_COORDINATE).all() for numbers in (self._cubics, self._arcs)):
            raise InputError("path data holds a number out of range")
        on_arcs = self.rings(Affine(), MAX_COORDINATE) if len(self._arcs) else []
        self._rough = np.vstack([self._cubics.reshape(-1, 2), *on_arcs])

    @staticmethod
    def _control(segment: Any, given: Any, previous: tuple[str, complex], kind: str, start: complex) -> complex:
        """First control point; that of S and T mirrors the one before, if that was of the same kind."""
        if not segment.smooth:
            return complex(given)
        return 2 * start - previous[1] if previous[0] == kind else start

    def reach(self, matrix: Affine) -> tuple[float, float, float, float]:
        """Rough bounds of the path: those of its control points and of a few points on its arcs."""
        if not len(self._rough):
            return math.inf, math.inf, -math.inf, -math.inf
        linear, shift = _parts(matrix)
        x, y = (self._rough @ linear.T + shift).T
        return float(x.min()), float(y.min()), float(x.max()), float(y.max())

    def _placed_arcs(self, linear: Points, shift: Points) -> tuple[Points, Points, Points]:
        arcs = self._arcs
        return arcs[:, 0:2] @ linear.T + shift, arcs[:, 2:4] @ linear.T, arcs[:, 4:6] @ linear.T

    def rings(self, matrix: Affine, tolerance: float) -> list[Points]:
        """Subpaths as points, after the matrix; chords stay within ``tolerance`` of the curve.

        The matrix is applied to control points and conjugate radii, which is exact for any affine map, skews
        included. Raises ``InputError`` above the limit of vertices.
        """
        linear, shift = _parts(matrix)
        if self._polylines is not None:
            return [points @ linear.T + shift for points, _ in self._polylines]
        if not len(self._cubics):
            return []
        controls = self._cubics @ linear.T + shift
        counts = _chords_of_cubics(controls, tolerance)
        centres, u, v = self._placed_arcs(linear, shift)
        counts[self._arc_segments] = _chords_of_arcs(u, v, self._arcs[:, 7], tolerance)
        total = counts.sum()
        if not total <= MAX_VERTICES:
            raise too_many_chords(total)
        whole = counts.astype(np.int64)
        ends = np.cumsum(whole)
        if total == len(whole):  # lines only
            points = controls[:, 3]
        else:
            points = self._points(controls, whole, ends, (centres, u, v))
        starts = [0, *ends[np.array(self._breaks[1:], dtype=int) - 1].tolist()] if self._breaks[1:] else [0]
        stops = [*starts[1:], len(points)]
        return [
            np.vstack([controls[first, 0], points[start:stop]])
            for first, start, stop in zip(self._breaks, starts, stops, strict=True)
        ]

    def lines(self, matrix: Affine, tolerance: float) -> list[tuple[Points, bool]]:
        """Subpaths as :meth:`rings`, each with whether it is closed by itself."""
        return list(zip(self.rings(matrix, tolerance), self._closed, strict=False))

    def _points(
        self, controls: Points, counts: NDArray[np.int64], ends: NDArray[np.int64], arcs: tuple[Points, ...]
    ) -> Points:
        """End points of the chords of all segments, ``counts`` of them for each."""
        centres, u, v = arcs
        index = np.repeat(np.arange(len(counts)), counts)
        step = np.arange(len(index)) - np.repeat(ends - counts, counts) + 1
        share = (step / counts[index])[:, None]
        p0, p1, p2, p3 = (controls[index, i] for i in range(4))
        rest = 1 - share
        points: Points = rest**3 * p0 + 3 * rest**2 * share * p1 + 3 * rest * share**2 * p2 + share**3 * p3
        row = np.full(len(counts), -1)
        row[self._arc_segments] = np.arange(len(self._arc_segments))
        inner = (row[index] >= 0) & (share[:, 0] < 1)  # the end of an arc is the end as written
        arc = row[index][inner]
        angle = (self._arcs[arc, 6] + self._arcs[arc, 7] * share[inner, 0])[:, None]
        points[inner] = centres[arc] + u[arc] * np.cos(angle) + v[arc] * np.sin(angle)
        return points


def _parts(matrix: Affine) -> tuple[Points, Points]:
    return np.array([[matrix.a, matrix.c], [matrix.b, matrix.d]]), np.array([matrix.e, matrix.f])


def _chords_of_cubics(controls: Points, tolerance: float) -> Points:
    """Chords that keep each cubic within the tolerance (Wang's bound on the second differences).

    Where both control points lie on the chord and within it, one chord is enough.
    """
    p0, p1, p2, p3 = (controls[:, i] for i in range(4))
    bend = np.maximum(np.hypot(*(p0 - 2 * p1 + p2).T), np.hypot(*(p1 - 2 * p2 + p3).T))
    counts = np.maximum(np.ceil(np.sqrt(0.75 * bend / tolerance)), 1)
    chord = p3 - p0
    square = np.einsum("ij,ij->i", chord, chord)
    straight = square > 0
    for p in (p1, p2):
        along = np.einsum("ij,ij->i", p - p0, chord)
        across = np.abs((p - p0)[:, 0] * chord[:, 1] - (p - p0)[:, 1] * chord[:, 0])
        straight &= (along >= 0) & (along <= square) & (across <= tolerance / 100 * np.sqrt(square))
    chords: Points = np.where(straight, 1.0, counts)
    return chords


def _chords_of_arcs(u: Points, v: Points, sweep: Points, tolerance: float) -> Points:
    """Chords for arcs with conjugate radii u and v: sagitta R(1 - cos(step / 2)) within the tolerance.

    R is the larger half axis: the larger singular value of the matrix (u v).
    """
    sum_, dot = (u**2 + v**2).sum(axis=1), (u * v).sum(axis=1)
    squares = (u**2).sum(axis=1) - (v**2).sum(axis=1)
    radius = np.sqrt((sum_ + np.hypot(squares, 2 * dot)) / 2)
    ratio = np.minimum(tolerance / np.maximum(radius, tolerance), 0.29)  # at least four chords a turn
    # 2 asin(sqrt(x / 2)) is acos(1 - x) without its loss of digits near 1
    chords: Points = np.ceil(np.abs(sweep) / (4 * np.arcsin(np.sqrt(ratio / 2))))
    return chords
