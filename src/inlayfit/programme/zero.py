"""Where the programme's numbers count from: work offsets, G92 and its kin, and places known only to the machine."""

from __future__ import annotations

from math import isnan

from inlayfit.programme.blocks import Block, is_whole
from inlayfit.programme.modes import Modes
from inlayfit.programme.moves import NOT_KNOWN, RAPID, Point
from inlayfit.programme.words import AXES, ONE_LINE, SYSTEM, Refused


def set_system(block: Block, modes: Modes, line: int) -> None:
    """G54 to G59.3: the first one used is the sheet's zero; a second one would be another zero (3.5.13)."""
    code = block.g.get(SYSTEM)
    if code is None:
        return
    name = f"G{code / 10:g}"
    if modes.moved and code != modes.system:
        first = f"G{modes.system / 10:g}"
        said = f"{first} ({f'line {modes.system_line}' if modes.system_line else f'not named; line {modes.moved}'})"
        raise Refused(
            f"{name} after moves from {said}: how far apart the two lie is not in the file; "
            "post each part with one work offset", block.code_at(code),
        )  # fmt: skip
    if modes.moved and not modes.system_line:
        modes.remarks.add(modes.moved, name, "doubtful", f"moves before {name} is named")
    modes.system = code
    modes.system_line = modes.system_line if modes.moved and modes.system_line else line


def coordinate(block: Block, modes: Modes, axis: int) -> float:
    """Where the word of an axis sends the tip, from the sheet's zero [mm]; where it stands if there is no word."""
    letter = AXES[axis]
    value = block.values.get(letter)
    if value is None:
        return modes.place[axis]
    if modes.absolute:
        return value * modes.scale + modes.offset[axis]
    if isnan(modes.place[axis]):
        raise Refused(
            f"{letter} counts from the place before (G91), which the programme has not given", block.at[letter]
        )
    return modes.place[axis] + value * modes.scale


def target(block: Block, modes: Modes) -> Point:
    """The place that the block's axis words send the tip to."""
    for letter in AXES:
        block.take(letter, "the move")
    return coordinate(block, modes, 0), coordinate(block, modes, 1), coordinate(block, modes, 2)


def go_to(modes: Modes, line: int, motion: int, end: Point) -> None:
    """Record a straight move and stand at its end."""
    modes.record.add(line, motion, end)
    modes.place[:] = end
    modes.moved = modes.moved or line


def one_line_codes(block: Block, modes: Modes, line: int) -> bool:
    """G10, G28, G30 and G92 to G92.3 (item 19); whether the block's axis words are theirs."""
    code = block.g.get(ONE_LINE)
    if code == 100:
        _set_origin(block, modes, line)
        return True
    if code in (280, 300):
        _go_home(block, modes, line, code)
        return True
    if code == 920:
        _say_place(block, modes, line)
        return True
    if code in (921, 922, 923):
        _drop_offset(block, modes, line, code)
    return False


def _set_origin(block: Block, modes: Modes, line: int) -> None:
    at = block.code_at(100)
    if block.take("L", "G10") != 2:
        raise Refused("G10: only L2, the origin of a work offset, is read; take it out of the programme", at)
    number = block.need("P", "G10")
    if not is_whole(number) or not 1 <= number <= 9:
        raise Refused(f"G10 L2 P{number:g}: the work offsets are P1 (G54) to P9", block.at["P"])
    for letter in AXES:
        block.take(letter, "G10")
    system = (540, 550, 560, 570, 580, 590, 591, 592, 593)[round(number) - 1]
    if system == modes.system and modes.moved:
        raise Refused(
            f"G10 moves the zero after the first move (line {modes.moved}); set it before the programme",
            at,
        )
    modes.remarks.add(line, "G10", "read", f"sets where G{system / 10:g} lies on the machine")


def _go_home(block: Block, modes: Modes, line: int, code: int) -> None:
    name = f"G{code // 10}"
    if any(letter in block.values for letter in AXES):
        go_to(modes, line, RAPID, target(block, modes))
    go_to(modes, line, RAPID, (NOT_KNOWN, NOT_KNOWN, NOT_KNOWN))
    modes.remarks.add(line, name, "read", "home: where the tip is then is not known until X, Y and Z are given")


def _say_place(block: Block, modes: Modes, line: int) -> None:
    named = [axis for axis in range(3) if AXES[axis] in block.values]
    if not named:
        raise Refused("G92 needs an axis word", block.code_at(920))
    for axis in named:
        letter = AXES[axis]
        value = (block.take(letter, "G92") or 0.0) * modes.scale
        if not isnan(modes.place[axis]):
            modes.offset[axis] = modes.place[axis] - value
        elif modes.moved:
            raise Refused(f"G92 {letter}: where the tip stands is not known here, so the zero would be lost",
                          block.at[letter])  # fmt: skip
        else:
            modes.zero_set_at[axis] = line
            modes.set_place(axis, value)
            modes.remarks.add(line, "G92", "doubtful", "the zero is taken from where the machine stands at the start")
    modes.stored_offset = list(modes.offset)
    modes.remarks.add(line, "G92", "read", "moves the programme's zero; worked in")


def _drop_offset(block: Block, modes: Modes, line: int, code: int) -> None:
    name = f"G{code / 10:g}"
    if any(modes.zero_set_at):
        raise Refused(
            f"{name}: the zero was taken from where the machine stood (G92, line {max(modes.zero_set_at)}); "
            "without it where the moves go is not known", block.code_at(code),
        )  # fmt: skip
    if code == 923:
        if modes.stored_offset is None:
            raise Refused("G92.3 brings back an offset that this programme has not set", block.code_at(code))
        modes.offset[:] = modes.stored_offset
    else:
        modes.offset[:] = [0.0] * 3
        if code == 921:
            modes.stored_offset = [0.0] * 3
    modes.remarks.add(line, name, "read", "moves the programme's zero; worked in")


def machine_move(block: Block, modes: Modes, line: int) -> None:
    """G53: to a place in the machine's own coordinates (3.5.12), by a rapid; the axes named are not known then."""
    at = block.code_at(530)
    if modes.motion != 0:
        raise Refused("G53 is read with G0 only: where a cut would run is known to the machine alone", at)
    if not any(letter in block.values for letter in AXES):
        raise Refused("G53 needs an axis word", at)
    end = list(modes.place)
    for axis, letter in enumerate(AXES):
        if block.take(letter, "G53") is not None:
            end[axis] = NOT_KNOWN
    go_to(modes, line, RAPID, (end[0], end[1], end[2]))
    modes.remarks.add(line, "G53", "read", "to a place of the machine: not known until the axes are given again")
