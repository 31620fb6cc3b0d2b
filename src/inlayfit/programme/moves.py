"""The moves of a programme, one after the other, with the line of each."""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.programme.words import Refused

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Point = tuple[float, float, float]

RAPID: Final = 0
FEED: Final = 1
CLOCKWISE: Final = 2
ANTICLOCKWISE: Final = 3

MOST_MOVES: Final = 5_000_000
MOST_TRAVEL: Final = 100_000.0
"""Furthest from the zero that a move may go [mm]; more is a slip."""

NOT_KNOWN: Final = float("nan")
PLANE_AXES: Final = ((0, 1, 2), (2, 0, 1), (1, 2, 0))
"""Of XY, ZX and YZ: the first and second axis of the plane and the one square to it, so that an arc turns the same
way in each, seen from the plus end of the third (4.3.6.1)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Arcs:
    """The moves that are arcs.

    Row of the `move`, `plane` (0 XY, 1 ZX, 2 YZ), `centre` (k, 2) in the plane's axes [mm], and how far each turns
    [rad], anticlockwise positive seen from the plus end of the third axis.
    """

    move: Index
    plane: Index
    centre: Array
    turn: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class Moves:
    """Moves of the tip in mm from the sheet's zero, x to the right, y away, z up, in the order they run.

    `line` (n,) of the file, from 1; `motion` (n,) RAPID, FEED, CLOCKWISE or ANTICLOCKWISE; `start`, `end` (n, 3), NaN
    where the programme has not said where the tip is; `feed` [mm a minute], NaN for rapids; `tool` number, -1 where
    none was called; `spindle` turns a minute, below 0 anticlockwise, 0 stopped, NaN turning at a speed not said.
    """

    line: Index
    motion: NDArray[np.int8]
    start: Array
    end: Array
    feed: Array
    tool: Index
    spindle: Array
    arcs: Arcs

    def __len__(self) -> int:
        return len(self.line)

    def first_too_far(self) -> int | None:
        """Line of the first move that goes further from the zero than any machine; None where none does."""
        far = np.flatnonzero((np.abs(self.end) > MOST_TRAVEL).any(axis=1))
        return int(self.line[far[0]]) if len(far) else None

    @cached_property
    def length(self) -> Array:
        """Length of each move [mm]; NaN where its start is not known."""
        found = np.linalg.norm(self.end - self.start, axis=1)
        arcs = self.arcs
        if len(arcs.move):
            axes = np.array(PLANE_AXES)[arcs.plane]
            start = np.take_along_axis(self.start[arcs.move], axes, 1)
            end = np.take_along_axis(self.end[arcs.move], axes, 1)
            radius = (np.hypot(*(start[:, :2] - arcs.centre).T) + np.hypot(*(end[:, :2] - arcs.centre).T)) / 2
            found[arcs.move] = np.hypot(radius * arcs.turn, end[:, 2] - start[:, 2])
        return found


@dataclass
class Recorder:
    """Takes down moves as they are read; :meth:`moves` gives them back as columns."""

    line: array[int] = field(default_factory=lambda: array("q"))
    motion: array[int] = field(default_factory=lambda: array("b"))
    x: array[float] = field(default_factory=lambda: array("d"))
    y: array[float] = field(default_factory=lambda: array("d"))
    z: array[float] = field(default_factory=lambda: array("d"))
    jumps: list[tuple[int, Point]] = field(default_factory=list)
    """Rows whose start is not the end of the row before, and their start."""
    feeds: list[tuple[int, float]] = field(default_factory=list)
    settings: list[tuple[int, int, float]] = field(default_factory=list)
    """Rows from which a tool number and a spindle speed hold."""
    arcs: list[tuple[int, int, float, float, float]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.line)

    def add(self, line: int, motion: int, end: Point) -> None:
        """A move to `end`."""
        if len(self.line) >= MOST_MOVES:
            raise Refused(f"more than {MOST_MOVES:,} moves; split the programme by bit")
        self.line.append(line)
        self.motion.append(motion)
        self.x.append(end[0])
        self.y.append(end[1])
        self.z.append(end[2])

    def add_arc(self, line: int, motion: int, end: Point, plane: int, centre: tuple[float, float], turn: float) -> None:
        """An arc in a plane to `end`, which may lie at another height over the plane."""
        self.arcs.append((len(self.line), plane, *centre, turn))
        self.add(line, motion, end)

    def stands_at(self, place: Point) -> None:
        """The next move starts here, wherever the last one ended."""
        if self.jumps and self.jumps[-1][0] == len(self.line):
            self.jumps.pop()
        self.jumps.append((len(self.line), place))

    def feeds_at(self, feed: float) -> None:
        """From the next move on the feed is this."""
        self.feeds.append((len(self.line), feed))

    def set_to(self, tool: int, spindle: float) -> None:
        """From the next move on tool and spindle are these."""
        self.settings.append((len(self.line), tool, spindle))

    def moves(self) -> Moves:
        """All that was taken down."""
        count = len(self.line)
        end = np.column_stack([np.array(axis, float) for axis in (self.x, self.y, self.z)]).reshape(count, 3)
        start = np.full((count, 3), NOT_KNOWN)
        start[1:] = end[:-1]
        for row, place in self.jumps:
            if row < count:
                start[row] = place
        motion = np.array(self.motion, np.int8)
        feed = _held([(row, value) for row, value in self.feeds], count, NOT_KNOWN)
        feed[motion == RAPID] = NOT_KNOWN
        arcs = np.array(self.arcs, float).reshape(-1, 5)
        return Moves(
            line=np.array(self.line, np.int64), motion=motion, start=start, end=end, feed=feed,
            tool=_held([(row, tool) for row, tool, _ in self.settings], count, -1.0).astype(np.int64),
            spindle=_held([(row, speed) for row, _, speed in self.settings], count, 0.0),
            arcs=Arcs(
                move=arcs[:, 0].astype(np.int64), plane=arcs[:, 1].astype(np.int64), centre=arcs[:, 2:4],
                turn=arcs[:, 4],
            ),
        )  # fmt: skip


def _held(changes: list[tuple[int, float]], count: int, first: float) -> Array:
    """A column of values that each hold until the next change."""
    rows = np.array([0, *(row for row, _ in changes), count])
    return np.repeat(np.array([first, *(value for _, value in changes)], float), np.diff(rows))
