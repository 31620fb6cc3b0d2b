"""The modes that hold from block to block, and the codes that set them, in the report's order (table 8)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from inlayfit.programme.blocks import Block
from inlayfit.programme.moves import NOT_KNOWN, Recorder
from inlayfit.programme.remarks import Remarks
from inlayfit.programme.words import (
    CALL,
    CENTRES,
    CHANGE,
    COOLANT,
    CUTTER,
    DISTANCE,
    FEED_MODE,
    LENGTH,
    OVERRIDE,
    PATH,
    PLANE,
    RETURN,
    ROTARY,
    SPINDLE,
    STOP,
    UNITS,
    Refused,
)
from inlayfit.quantity import MM_PER_INCH

LOOSE_PATH: Final = 0.02
"""A path tolerance above this leaves the programmed line by more than a joint bears [mm]."""
_COOLANT: Final = {7: "mist on", 8: "coolant on", 9: "coolant off"}
_STOPS: Final = {0: "a stop", 1: "a stop where the switch is on"}


@dataclass
class Modes:
    """What holds at a point of the programme. Lengths in mm; `place` is the tip's from the sheet's zero."""

    scale: float
    """Millimetres for each unit of the programme."""
    by_t_alone: bool
    """Whether T changes the bit by itself, for want of any M6."""
    record: Recorder
    remarks: Remarks
    place: list[float] = field(default_factory=lambda: [NOT_KNOWN] * 3)
    offset: list[float] = field(default_factory=lambda: [0.0] * 3)
    """Of G92: what is added to a number of the programme."""
    stored_offset: list[float] | None = None
    zero_set_at: list[int] = field(default_factory=lambda: [0, 0, 0])
    """Lines of a G92 that said where the standing tip is, by axis; 0: none."""
    system: int = 540
    system_line: int = 0
    """Line of the work offset; 0: not named."""
    moved: int = 0
    """Line of the first move; 0: none yet."""
    motion: int | None = None
    plane: int = 0
    absolute: bool = True
    absolute_line: int = 0
    absolute_centres: bool = False
    units_line: int = 0
    inverse_time: bool = False
    feed: float = NOT_KNOWN
    to_clearance: bool | None = None
    """After a hole: back to where it came from (G98), not only to R (G99); None: not said."""
    tool: int = -1
    selected: int = -1
    changed_at: int = 0
    turning: int = 0
    speed: float = NOT_KNOWN
    cycle: dict[str, float] = field(default_factory=dict)
    """Numbers of the drilling cycle in force, for its next holes."""
    path_mode: int = 0

    def set_feed(self, feed: float) -> None:
        """The feed [mm a minute] of the moves to come."""
        self.feed = feed
        self.record.feeds_at(feed)

    def set_place(self, axis: int, value: float) -> None:
        """The tip stands here without having moved: where it is has been said, or is lost."""
        self.place[axis] = value
        self.record.stands_at((self.place[0], self.place[1], self.place[2]))

    def _setting(self) -> None:
        speed = 0.0 if self.turning == 0 else self.turning * self.speed
        self.record.set_to(self.tool, speed)

    def change_tool(self, number: int, line: int) -> None:
        """Another bit has another length, so the height of its tip is not known until Z is given."""
        if number != self.tool:
            self.tool = number
            self.changed_at = line
            self.set_place(2, NOT_KNOWN)
        self._setting()

    def say_speed(self, speed: float) -> None:
        """Turns a minute from here on."""
        self.speed = speed
        self._setting()

    def turn(self, direction: int) -> None:
        """The spindle: 1 clockwise, -1 anticlockwise, 0 stopped."""
        self.turning = direction
        self._setting()


def set_modes(block: Block, modes: Modes, line: int) -> None:
    """Everything of a block up to the codes that use axis words (items 2 to 18 of table 8)."""
    g, m = block.g, block.m
    if block.values:
        _set_numbers(block, modes, line)
    if CHANGE in m:
        _change(modes, line, block.at["M6"])
    if SPINDLE in m:
        modes.turn({3: 1, 4: -1, 5: 0}[m[SPINDLE]])
    if COOLANT in m:
        modes.remarks.add(line, f"M{m[COOLANT]}", "no effect", f"{_COOLANT[m[COOLANT]]}: no effect on the cut")
    if OVERRIDE in m:
        modes.remarks.add(line, f"M{m[OVERRIDE]}", "no effect", "the override knobs on or off: no effect on the path")
    if m.get(STOP, 2) in _STOPS:
        modes.remarks.add(line, f"M{m[STOP]}", "no effect", f"{_STOPS[m[STOP]]}: no effect on the cut")
    if g.get(0) == 40:
        block.need("P", "G4")
        modes.remarks.add(line, "G4", "no effect", "a wait: no effect on the cut")
    if PLANE in g:
        modes.plane = {170: 0, 180: 1, 190: 2}[g[PLANE]]
    if UNITS in g:
        _set_units(block, modes, line, MM_PER_INCH if g[UNITS] == 200 else 1.0)
    # a feed counts in the units of its line, whichever word comes first
    if "F" in block.values:
        _set_feed(block, modes)
    if CUTTER in g:
        modes.remarks.add(line, "G40", "no effect", "no cutter compensation, as everywhere here")
    if LENGTH in g:
        if g[LENGTH] == 430:
            block.take("H", "G43")
        modes.remarks.add(
            line, f"G{g[LENGTH] // 10}", "no effect",
            "tool length: the machine's own matter, each bit is taken as touched off on the sheet's zero",
        )  # fmt: skip
    if PATH in g:
        _set_path(block, modes, line)
    if DISTANCE in g:
        modes.absolute = g[DISTANCE] == 900
        modes.absolute_line = modes.absolute_line or line
    if CENTRES in g:
        modes.absolute_centres = g[CENTRES] == 901
    if RETURN in g:
        to_clearance = g[RETURN] == 980
        if modes.cycle and to_clearance != (modes.to_clearance is not False):
            raise Refused(
                f"G{g[RETURN] // 10} within a row of holes: controls differ in which height the bit goes back to; "
                "end the row with G80 before it", block.code_at(g[RETURN]),
            )  # fmt: skip
        modes.to_clearance = to_clearance


def _set_numbers(block: Block, modes: Modes, line: int) -> None:
    for letter in ROTARY:
        value = block.take(letter, "the rotary axis")
        if value:
            raise Refused(
                f"{letter}{value:g}: a rotary axis that moves is not read; post the programme for three axes",
                block.at[letter],
            )
        if value == 0:
            modes.remarks.add(line, letter, "no effect", "a rotary axis that stays at 0")
    if (speed := block.take("S", "the spindle")) is not None:
        modes.say_speed(speed)
    if (number := block.take("T", "the bit")) is not None:
        modes.selected = int(number)
        if modes.by_t_alone:
            modes.change_tool(int(number), line)


def _change(modes: Modes, line: int, at: int) -> None:
    if modes.selected < 0 and modes.moved:
        raise Refused("M6 without a T before it: which bit comes cannot be told", at)
    modes.turn(0)
    modes.change_tool(modes.selected, line)


def _set_units(block: Block, modes: Modes, line: int, scale: float) -> None:
    if modes.moved and scale != modes.scale:
        raise Refused(
            f"units change after the first move (line {modes.moved}): state G20 or G21 once, at the head",
            block.code_at(block.g[UNITS]),
        )
    if scale != modes.scale or not modes.units_line:
        if any(modes.offset) or any(modes.zero_set_at):
            raise Refused("units change after G92: state G20 or G21 once, at the head", block.code_at(block.g[UNITS]))
        modes.scale = scale
        modes.set_feed(NOT_KNOWN)
    modes.units_line = modes.units_line or line


def _set_feed(block: Block, modes: Modes) -> None:
    if block.g.get(FEED_MODE, 930 if modes.inverse_time else 940) == 930:
        return
    value = block.take("F", "the feed")
    if value is not None:
        modes.set_feed(value * modes.scale if value > 0 else NOT_KNOWN)


def set_feed_mode(block: Block, modes: Modes) -> None:
    """G93 and G94, item 2 of table 8: the feed of one is none of the other."""
    if FEED_MODE in block.g:
        inverse = block.g[FEED_MODE] == 930
        if inverse != modes.inverse_time:
            modes.set_feed(NOT_KNOWN)
        modes.inverse_time = inverse


def _set_path(block: Block, modes: Modes, line: int) -> None:
    code = block.g[PATH]
    modes.path_mode = code
    if code != 640:
        modes.remarks.add(line, f"G{code / 10:g}", "no effect", "the path is kept exactly")
        return
    tolerance = block.take("P", "G64")
    if tolerance is None:
        modes.remarks.add(line, "G64", "doubtful", "without P the machine may round corners as far as its speed asks")
        return
    off = tolerance * modes.scale
    modes.remarks.add(
        line, "G64", "doubtful" if off > LOOSE_PATH else "read", f"the path is kept within {off:.3f} mm"
    )


def ends_or_calls(block: Block) -> int | None:
    """The code that ends the programme or leaves this line for another, if any: 2, 30, 98 or 99."""
    if block.m.get(STOP) in (2, 30):
        if CALL in block.m:
            raise Refused(f"M{block.m[STOP]} ends what M{block.m[CALL]} goes on with; put them on two lines")
        return block.m[STOP]
    return block.m.get(CALL)
