"""The way of the tip as straight pieces in space."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.programme.arcs import chords
from inlayfit.programme.moves import RAPID, Array, Index, Moves

WITHIN: Final = 0.0005
"""Furthest that a chord leaves its arc [mm]; its ends lie on the arc, so a cut is overstated by no more."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Pieces:
    """Straight pieces in the order they run.

    `start`, `end` (m, 3) [mm], the row of the `move` each is part of, and its `line` of the file, whether it is
    `rapid`, its `tool`, `feed` and `spindle` as in :class:`Moves`.
    """

    start: Array
    end: Array
    move: Index
    line: Index
    rapid: NDArray[np.bool_]
    tool: Index
    feed: Array
    spindle: Array

    def __len__(self) -> int:
        return len(self.line)


def pieces(moves: Moves, within: float = WITHIN) -> Pieces:
    """The pieces of the moves whose place is known.

    A rapid whose start is not known is where it ends, one whose end is not known where it starts, and one that knows
    neither is left out: only rapids may be so, and none may run in wood.
    """
    move, start, end = chords(moves, within)
    known_start, known_end = np.isfinite(start.sum(axis=1)), np.isfinite(end.sum(axis=1))
    start = np.where(known_start[:, None], start, end)
    end = np.where(known_end[:, None], end, start)
    use = known_start | known_end
    move, start, end = move[use], start[use], end[use]
    return Pieces(
        start=start, end=end, move=move, line=moves.line[move], rapid=moves.motion[move] == RAPID,
        tool=moves.tool[move], feed=moves.feed[move], spindle=moves.spindle[move],
    )  # fmt: skip
