"""Drilling cycles, written out as moves: G73, G81, G82, G83, G85 and G89 (3.5.16)."""

from __future__ import annotations

from math import ceil, isnan
from typing import Final

from inlayfit.programme.blocks import Block, is_whole
from inlayfit.programme.modes import Modes
from inlayfit.programme.motion import check_known
from inlayfit.programme.moves import FEED, PLANE_AXES, RAPID, Point
from inlayfit.programme.words import AXES, Refused
from inlayfit.programme.zero import go_to

MOST_REPEATS: Final = 10_000
BACK_OFF: Final = 0.25
"""How far over the last depth a pecking bit comes back before it feeds again [mm]; the report leaves it open."""
_PECKS: Final = (730, 830)
_WAITS: Final = (820, 890)
_FEEDS_OUT: Final = (850, 890)


def drill(block: Block, modes: Modes, line: int) -> None:
    """The holes of one line by the cycle in force.

    In G90 the numbers of hole, R and bottom are places; in G91 X and Y go on by their numbers at each repeat, R counts
    from where the bit stands and the bottom from R. The numbers of R, bottom, Q and P hold for the next lines.
    """
    code = modes.motion or 0
    name = f"G{code // 10}"
    one, two, third = PLANE_AXES[modes.plane]
    if modes.inverse_time:
        raise Refused(f"{name} with G93: a cycle needs a feed a minute (G94)", block.code_at(930))
    if not any(letter in block.values for letter in AXES):
        raise Refused(f"{name} needs X, Y or Z", block.code_at(code))
    if modes.cycle.get("code") != code:
        modes.cycle = {"code": code}
    kept = modes.cycle
    _keep(block, kept, AXES[third], name)
    _keep(block, kept, "R", name)
    if code in _PECKS:
        _keep(block, kept, "Q", name)
        if kept["Q"] <= 0:
            raise Refused(f"Q{kept['Q']:g}: each peck must go deeper, by Q above 0", block.at.get("Q"))
    if code in _WAITS:
        block.take("P", name)
        modes.remarks.add(line, name, "no effect", "a wait at the bottom: no effect on the cut")
    repeats = block.take("L", name)
    if repeats is not None and not (is_whole(repeats) and 1 <= repeats <= MOST_REPEATS):
        raise Refused(f"L{repeats:g}: repeats are whole, from 1 to {MOST_REPEATS}", block.at["L"])
    if isnan(modes.feed):
        raise Refused("a cut without a feed: give F, above 0, before or on this line")
    steps = []
    for axis in (one, two):
        value = block.take(AXES[axis], name)
        steps.append(None if value is None else value * modes.scale)
    where = (one, two, third)
    start = modes.place[third]
    if modes.absolute:
        upper = kept["R"] * modes.scale + modes.offset[third]
        bottom = kept[AXES[third]] * modes.scale + modes.offset[third]
    else:
        upper = start + kept["R"] * modes.scale
        bottom = upper + kept[AXES[third]] * modes.scale
    if isnan(start) or isnan(bottom):
        raise Refused(f"a hole from a place that the programme has not given: {AXES[third]} must come first, with G0")
    if upper < bottom:
        raise Refused("R lies below the hole's bottom: nothing would be drilled", block.at.get("R"))
    if modes.to_clearance is None:
        modes.remarks.add(line, name, "doubtful", "neither G98 nor G99: taken as G98, back where it came from")
    clear = upper if modes.to_clearance is False else max(start, upper)
    if start < upper:
        go_to(modes, line, RAPID, _point(modes, where, upper))
    for _ in range(round(repeats or 1)):
        over = list(modes.place)
        for axis, step in zip((one, two), steps, strict=True):
            if step is not None:
                over[axis] = step + (modes.offset[axis] if modes.absolute else over[axis])
        go_to(modes, line, RAPID, (over[0], over[1], over[2]))
        check_known(modes, _point(modes, where, upper))
        go_to(modes, line, RAPID, _point(modes, where, upper))
        _hole(modes, line, where, code, upper, bottom, clear)


def _keep(block: Block, kept: dict[str, float], letter: str, name: str) -> None:
    value = block.take(letter, name)
    if value is not None:
        kept[letter] = value
    elif letter not in kept:
        raise Refused(f"{name} needs {letter}")


def _point(modes: Modes, where: tuple[int, int, int], height: float) -> Point:
    found = list(modes.place)
    found[where[2]] = height
    return found[0], found[1], found[2]


def _hole(
    modes: Modes, line: int, where: tuple[int, int, int], code: int, upper: float, bottom: float, clear: float
) -> None:
    def go(motion: int, height: float) -> None:
        go_to(modes, line, motion, _point(modes, where, height))

    if code not in _PECKS:
        go(FEED, bottom)
        go(FEED if code in _FEEDS_OUT else RAPID, clear)
        return
    peck = modes.cycle["Q"] * modes.scale
    count = ceil((upper - bottom) / peck - 1e-9)
    if count > MOST_REPEATS:
        raise Refused(f"Q{modes.cycle['Q']:g}: {count} pecks in one hole is a slip")
    for number in range(1, count + 1):
        depth = bottom if number == count else upper - number * peck
        go(FEED, depth)
        if code == 830 and number < count:
            go(RAPID, clear)
            go(RAPID, min(depth + BACK_OFF, clear))
    go(RAPID, clear)
