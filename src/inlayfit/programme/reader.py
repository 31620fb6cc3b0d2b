"""A programme read: from text to moves, block by block.

The language is that of ISO 6983-1 (words and addresses) and RS-274/NGC as the NIST report has it (T. Kramer,
F. Proctor, E. Messina, The NIST RS274NGC Interpreter, version 3, NISTIR 6556, 2000), with what posted programmes have
beyond it where that means one thing only. Whatever is not read, or could mean two things, is refused with its place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

from inlayfit.errors import InputError
from inlayfit.programme.blocks import Block
from inlayfit.programme.cycles import drill
from inlayfit.programme.modes import Modes, ends_or_calls, set_feed_mode, set_modes
from inlayfit.programme.motion import move, plain_lines
from inlayfit.programme.moves import MOST_TRAVEL, Moves, Recorder
from inlayfit.programme.remarks import Remark, Remarks
from inlayfit.programme.subprograms import Flow, flow_line
from inlayfit.programme.text import ProgrammeText, programme_text
from inlayfit.programme.words import AXES, MOTION, WORD, Refused
from inlayfit.programme.zero import machine_move, one_line_codes, set_system
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

MOST_BLOCKS: Final = 10_000_000
"""Blocks that are run, each time counted."""
_CHANGES_BIT: Final = re.compile(r"M\+?0*6(?![0-9])")


@dataclass(frozen=True, kw_only=True, eq=False)
class Programme:
    """What a file tells the machine to do. Lengths in mm from the zero of its first work offset."""

    name: str
    moves: Moves = field(repr=False)
    remarks: tuple[Remark, ...]
    """Words without effect on the cut, and what a machine may take otherwise."""
    work_offset: str
    """The one that all its moves count from."""
    work_offset_line: int | None
    """None: not named, so the machine's usual first one."""
    units_stated: bool


def read_programme(text: str, *, name: str, unit: LengthUnit, block_delete: bool = False) -> Programme:
    """The moves of a programme.

    ``name`` is the file's, for messages; ``unit`` what its numbers are in where it has neither G20 nor G21;
    ``block_delete`` leaves out the lines that start with /. Raises :class:`InputError` with the place of the first
    line that is not read.
    """
    source = programme_text(text, name)
    return _Reading(source, unit, block_delete=block_delete).run()


class _Reading:
    def __init__(self, source: ProgrammeText, unit: LengthUnit, *, block_delete: bool) -> None:
        self.source = source
        self.lines = source.lines
        self.block_delete = block_delete
        self.flow = Flow(source)
        self.remarks = Remarks()
        self.modes = Modes(
            scale=MM_PER_UNIT[unit], by_t_alone=_CHANGES_BIT.search(source.bare) is None, record=Recorder(),
            remarks=self.remarks,
        )  # fmt: skip
        self.begun = False
        self.unit = unit

    def run(self) -> Programme:
        first, end, ended = self._tape()
        at, blocks = first, 0
        lines, modes = self.lines, self.modes
        try:
            while at < end:
                before = at
                at = plain_lines(lines, at, end, modes)
                blocks += at - before + 1
                if blocks > MOST_BLOCKS:
                    raise Refused(f"more than {MOST_BLOCKS:,} blocks run; split the programme")
                if at == end or not lines[at]:
                    at += 1
                    continue
                to = self._block(at)
                if to is None:
                    ended = True
                    self._after_the_end(at + 1, end)
                    break
                at = to
            else:
                if self.flow.inside is not None:
                    at = end - 1
                    raise Refused(f"the file ends inside {self.flow.inside}")
        except Refused as refused:
            raise self._error(at, refused) from None
        if not ended:
            self.remarks.add(len(lines), "end", "doubtful", "neither M30, M2 nor % ends it: the file may be cut short")
        return self._programme()

    def _tape(self) -> tuple[int, int, bool]:
        """First line after the opening %, the line of the closing one, and whether there is one (3.1)."""
        lines = self.lines
        first = next((at for at, line in enumerate(lines) if line), len(lines))
        opened = first < len(lines) and lines[first].startswith("%")
        start = first + 1 if opened else first
        closing = next((at for at, line in enumerate(lines[start:], start) if line.startswith("%")), None)
        if closing is None:
            return start, len(lines), False
        after = next((at for at, line in enumerate(lines[closing + 1 :], closing + 1) if line), None)
        if after is not None and not opened:
            raise InputError(
                "% in the middle of the programme: what stands before it may be a heading or the programme itself; "
                "leave % only on the first and last line", place=self.source.place(closing + 1),
            )  # fmt: skip
        if after is not None:
            self.remarks.add(after + 1, "%", "doubtful", "lines after the closing % are not run")
        return start, closing, True

    def _block(self, at: int) -> int | None:
        """Run one block; the line to go on with, None at the end."""
        line = self.lines[at]
        number = at + 1
        deleted = line.startswith("/")
        if deleted:
            if self.block_delete:
                self.remarks.add(number, "/", "read", "lines with / are left out, as asked")
                return at + 1
            self.remarks.add(number, "/", "doubtful", "lines with / are cut here; a switch may leave them out")
        if "O" in line or ":" in line:
            found = flow_line(line)
            if found is not None:
                return self.flow.after(at, found, begun=self.begun)
        self.begun = True
        block = Block(WORD.findall(line))
        modes = self.modes
        set_feed_mode(block, modes)
        set_modes(block, modes, number)
        set_system(block, modes, number)
        axes = any(letter in block.values for letter in AXES)
        self._motion(block, number, axes)
        return self._onward(block, at)

    def _motion(self, block: Block, number: int, axes: bool) -> None:
        """Items 19 and 20 of table 8: codes of one line that use axis words, else the motion in force."""
        modes = self.modes
        if MOTION in block.g:
            code = block.g[MOTION]
            if code != modes.motion:
                modes.cycle = {}
            modes.motion = code
        if 530 in block.g.values():
            machine_move(block, modes, number)
        elif one_line_codes(block, modes, number):
            if block.g.get(MOTION, 800) != 800:
                raise Refused("two codes of this line use its axis words; put them on two lines",
                              block.code_at(block.g[MOTION]))  # fmt: skip
        elif axes or any(letter in block.values and letter not in block.used for letter in "IJKR"):
            self._stated(number)
            if modes.motion is None:
                raise Refused("a move without G0, G1, G2 or G3 before it: how it goes cannot be told")
            if modes.motion == 800:
                raise Refused("a move after G80 without G0, G1, G2 or G3")
            if modes.motion >= 730:
                drill(block, modes, number)
            else:
                move(block, modes, number)
        elif block.g.get(MOTION, 0) >= 730 and block.g[MOTION] != 800:
            raise Refused(f"G{block.g[MOTION] // 10} needs X, Y or Z", block.code_at(block.g[MOTION]))

    def _stated(self, number: int) -> None:
        modes = self.modes
        if not modes.units_line:
            self.remarks.add(number, "G20/G21", "doubtful", f"not stated: taken as the sheet's unit, {self.unit}")
        if not modes.absolute_line:
            self.remarks.add(number, "G90/G91", "doubtful", "not stated: taken as G90, places from the zero")

    def _onward(self, block: Block, at: int) -> int | None:
        code = ends_or_calls(block)
        to: int | None = at + 1
        if code == 98:
            number = block.need("P", "M98")
            times = block.take("L", "M98")
            block.check_all_taken()
            return self.flow.call(at, number, 1.0 if times is None else times)
        if code == 99:
            to = self.flow.back()
        elif code is not None:
            to = None
        block.check_all_taken()
        return to

    def _after_the_end(self, at: int, end: int) -> None:
        left = next((number for number in range(at, end) if self.lines[number]), None)
        if left is not None and not self.flow.starts_subprogram(left):
            self.remarks.add(left + 1, "end", "doubtful", "lines after the end of the programme are not run")

    def _error(self, at: int, refused: Refused) -> InputError:
        line = self.lines[at]
        words = WORD.findall(line)
        word = refused.word or 0
        position = sum(len(letter) + len(digits) for letter, digits in words[:word])
        if refused.word is None and words and words[0][0] == "N" and len(words) > 1:
            position = len(words[0][0] + words[0][1])
        return InputError(refused.problem, place=self.source.place(at + 1, position))

    def _programme(self) -> Programme:
        moves, modes = self.modes.record.moves(), self.modes
        if (far := moves.first_too_far()) is not None:
            raise InputError(
                f"a move to more than {MOST_TRAVEL / 1000:.0f} m from the zero is a slip", place=self.source.place(far)
            )
        for line in self.source.messages:
            self.remarks.add(line, "(MSG,", "no effect", "a message to the operator")
        return Programme(
            name=self.source.name, moves=moves, remarks=self.remarks.found(),
            work_offset=f"G{modes.system / 10:g}", work_offset_line=modes.system_line or None,
            units_stated=bool(modes.units_line),
        )  # fmt: skip
