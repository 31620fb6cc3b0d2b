"""What a machine out of square does to a pair: the plug, cut mirrored, is sheared the other way than its pocket.

A plug free to slide and turn takes up most of it; what is left is the least largest move of any wall over all slides
and turns (docs/method.md, part 17). Lengths in mm.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from inlayfit.outline.analysis import Kept
from inlayfit.outline.edges import Array, Edges

NEAR: Final = 1e-4
"""How near the largest move comes to the least possible, as a share of that of a plug that stays put."""


class Sheared(NamedTuple):
    """Moves of the plug's walls against the pocket's for a shear of 1, after the best slide and turn; 0 or more.

    ``tight`` is how far some wall is pushed into the pocket's, ``open`` how far another stands off it.
    """

    tight: float
    open: float


class ShearShelf:
    """The moves of an outline's walls, the same for all jobs on it."""

    def __init__(self) -> None:
        self.moves: Kept[tuple[()], Sheared] = Kept()


def sheared(walls: Edges) -> Sheared:
    """The worse of both ways in which the axes may be out of square; ``walls`` have the plug on their left."""
    # a wall's move is linear along a straight edge: its ends have the extremes
    place = np.concatenate([walls.start, walls.end])
    outwards = -np.concatenate([walls.normal, walls.normal])
    place = place - (place.min(0) + place.max(0)) / 2
    reach = float(np.hypot(*place.T).max())
    place /= reach
    # of the pair's shear each part has half, the plug's the other way round; turned evenly it is (psi y, psi x)
    move = outwards[:, 0] * place[:, 1] + outwards[:, 1] * place[:, 0]
    turned = outwards[:, 1] * place[:, 0] - outwards[:, 0] * place[:, 1]
    ways = np.column_stack([outwards, turned])
    both = [left_over(way * move, ways) for way in (1.0, -1.0)]
    return Sheared(
        tight=reach * max(0.0, *(float(moves.max()) for moves in both)),
        open=reach * max(0.0, *(float(-moves.min()) for moves in both)),
    )


def left_over(move: Array, ways: Array) -> Array:
    """What is left of ``move`` (n) after adding ``ways @ x`` with the x that makes the largest entry least.

    The linear programme min max, by Newton's method on log(sum(exp(sharp * value))) / sharp, which lies above the
    largest value by at most log(n) / sharp, for a sharpness that rises.
    """
    size = float(np.abs(move).max())
    if size == 0:
        return move
    x = np.zeros(ways.shape[1])
    sharpest = math.log(len(move) + 1) / (NEAR * size)
    sharp = min(10 / size, sharpest)
    while True:
        for _ in range(40):
            value = move + ways @ x
            weight = np.exp(sharp * (value - value.max()))
            smooth = value.max() + math.log(weight.sum()) / sharp
            weight /= weight.sum()
            slope = ways.T @ weight
            curve = sharp * ((ways.T * weight) @ ways - np.outer(slope, slope))
            # what no wall resists, such as the turn of a disc, stays as it is
            step = -np.linalg.solve(curve + 1e-6 * sharp * np.eye(len(x)), slope)
            gain = float(slope @ step)
            if -gain < NEAR * size / 100:
                break
            part = 1.0
            while part > 1e-6 and _smooth(move + ways @ (x + part * step), sharp) > smooth + 0.1 * part * gain:
                part /= 2
            x = x + part * step
        if sharp >= sharpest:
            return np.asarray(move + ways @ x)
        sharp = min(4 * sharp, sharpest)


def _smooth(value: Array, sharp: float) -> float:
    top = float(value.max())
    return top + math.log(float(np.exp(sharp * (value - top)).sum())) / sharp
