"""Straight pieces in place of moves: chords of arcs, rapids from places not known, what holds at each piece."""

from __future__ import annotations

import math

import numpy as np
import pytest
from programmes import read

from inlayfit.programme.moves import PLANE_AXES
from inlayfit.programme.pieces import Pieces, pieces

ARCS = (
    ("G17", "G2 X20 Y0 I10"), ("G17", "G3 X0 Y0 I0.01"), ("G17", "G3 X20 Y0 R200 Z-3"), ("G18", "G3 X10 Z0 I5 Y2"),
    ("G19", "G2 Y10 Z10 K10"), ("G17", "G2 X0.004 Y0 R0.002"), ("G17", "G3 X8 R-5"),
)  # fmt: skip


@pytest.mark.parametrize("within", [0.002, 0.05, 1e-5])
@pytest.mark.parametrize("arc", ARCS)
def test_chords_end_on_the_arc_and_stay_within_it(arc: tuple[str, str], within: float) -> None:
    moves = read(*arc).moves
    row = int(moves.arcs.move[0])
    found = pieces(moves, within)
    use = found.move == row
    one, two, third = PLANE_AXES[int(moves.arcs.plane[0])]
    start, end, centre = found.start[use], found.end[use], moves.arcs.centre[0]
    radius = math.hypot(moves.start[row, one] - centre[0], moves.start[row, two] - centre[1])
    away = np.hypot(end[:, one] - centre[0], end[:, two] - centre[1])
    np.testing.assert_allclose(away, radius, rtol=0, atol=1e-9)
    middle = (start + end) / 2
    short = radius - np.hypot(middle[:, one] - centre[0], middle[:, two] - centre[1])
    assert -1e-9 < short.min() and short.max() <= min(within, radius) + 1e-9
    # one piece after the other, from the move's start to its end, the third axis evenly
    np.testing.assert_array_equal(start[1:], end[:-1])
    np.testing.assert_array_equal(start[0], moves.start[row])
    np.testing.assert_array_equal(end[-1], moves.end[row])
    rise = np.diff(np.append(start[:, third], end[-1, third]))
    np.testing.assert_allclose(rise, (moves.end - moves.start)[row, third] / use.sum(), atol=1e-9)
    assert np.linalg.norm(end - start, axis=1).sum() <= moves.length[row] + 1e-9
    # no more pieces than the tolerance asks for
    widest = 2 * math.acos(max(0.5, 1 - within / radius))
    assert use.sum() == max(1, math.ceil(abs(float(moves.arcs.turn[0])) / widest - 1e-12))


def test_an_arc_with_two_radii_goes_evenly_from_one_to_the_other() -> None:
    found = pieces(read("G3 X0 Y10.009 I-10", start=(10, 0, 0)).moves)
    away = np.hypot(found.end[1:, 0], found.end[1:, 1])
    assert np.all(np.diff(away) > 0) and away[-1] == pytest.approx(10.009)


def test_what_holds_at_each_piece() -> None:
    lines = ("T3 M6", "G0 X1 Y1 Z5", "M3 S900", "G1 Z-1 F50", "G2 X2 I0.5 F70", "G0 Z5", "G28", "G0 X0", "Y0 Z9")
    found: Pieces = pieces(read(*lines, start=None).moves)
    assert sorted(set(found.line.tolist())) == [3, 5, 6, 7, 8, 10]
    assert set(found.tool.tolist()) == {3}
    assert found.spindle[0] == 0 and set(found.spindle[1:].tolist()) == {900}
    assert found.rapid[found.line == 7].all() and not found.rapid[found.line == 6].any()
    assert found.feed[found.line == 5].tolist() == [50] and set(found.feed[found.line == 6].tolist()) == {70}
    # a rapid from a place not known is where it ends, one to such a place where it starts
    first, home = found.line == 3, found.line == 8
    assert found.start[first].tolist() == found.end[first].tolist() == [[1, 1, 5]]
    assert found.start[home].tolist() == found.end[home].tolist() == [[2, 1, 5]]
    assert found.start[-1].tolist() == [0, 0, 9]
