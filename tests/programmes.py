"""Short programmes for the tests, and their moves in a form that is easily compared."""

from __future__ import annotations

import math
from typing import NamedTuple

from inlayfit.programme.moves import PLANE_AXES, RAPID, Moves
from inlayfit.programme.reader import Programme, read_programme

HEAD = "G17 G21 G90 G94 G54 F100"
NAMES = ("rapid", "feed", "clockwise", "anticlockwise")


class Move(NamedTuple):
    line: int
    motion: str
    end: tuple[float, float, float]


def read(*lines: str, start: tuple[float, float, float] | None = (0, 0, 0), **options: object) -> Programme:
    """The programme of these lines after the usual head and a rapid to `start`, ended by M2."""
    head = [HEAD]
    if start is not None:
        head.append("G0 X{:.10g} Y{:.10g} Z{:.10g}".format(*start))
    text = "\n".join([*head, *lines, "M2"])
    return read_programme(text, name="part.nc", unit="mm", **options)  # type: ignore[arg-type]


def moves_of(*lines: str, start: tuple[float, float, float] | None = (0, 0, 0)) -> list[Move]:
    """Moves of the lines, without the head and the rapid to the start; the first line is line 1."""
    extra = 1 if start is None else 2
    found = told(read(*lines, start=start).moves)
    return [Move(m.line - extra, m.motion, m.end) for m in found if m.line > extra]


def told(moves: Moves) -> list[Move]:
    return [
        Move(int(line), NAMES[motion], tuple(round(float(v), 6) + 0.0 for v in end))  # type: ignore[arg-type]
        for line, motion, end in zip(moves.line, moves.motion, moves.end)
    ]


def ends(*lines: str, start: tuple[float, float, float] | None = (0, 0, 0)) -> list[tuple[float, float, float]]:
    return [move.end for move in moves_of(*lines, start=start)]


class Arc(NamedTuple):
    centre: tuple[float, float]
    """In the plane's axes."""
    degrees: float
    """Anticlockwise positive."""
    radius: float
    length: float


def arc_of(*lines: str, start: tuple[float, float, float] = (0, 0, 0)) -> Arc:
    """The last arc of the lines."""
    moves = read(*lines, start=start).moves
    row = int(moves.arcs.move[-1])
    one, two, _ = PLANE_AXES[int(moves.arcs.plane[-1])]
    centre = moves.arcs.centre[-1]
    radius = math.hypot(moves.start[row, one] - centre[0], moves.start[row, two] - centre[1])
    return Arc(
        (float(centre[0]), float(centre[1])), math.degrees(float(moves.arcs.turn[-1])), radius, float(moves.length[row])
    )


def cut_length(moves: Moves) -> float:
    return float(moves.length[moves.motion != RAPID].sum())
