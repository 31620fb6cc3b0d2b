"""Subprograms and repeats: M98 and M99 with O numbers, and ``o… sub``, ``call``, ``repeat`` with literal numbers."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from inlayfit.programme.text import ProgrammeText
from inlayfit.programme.words import Refused

MOST_CALLS: Final = 20
"""Depth of calls and repeats within each other."""
MOST_REPEATS: Final = 10_000

_LINE: Final = re.compile(r"(?:N[0-9]+)?[O:](?P<label>[0-9]+|<[^<>]*>)(?P<word>[A-Z]*)(?P<rest>.*)")
_REPEATS: Final = re.compile(r"\[([0-9]+)\.?0*\]")
_WORDS: Final = ("SUB", "ENDSUB", "CALL", "REPEAT", "ENDREPEAT")

Label = int | str


class FlowLine(NamedTuple):
    """A line that only says where to go on: word "" is a programme number."""

    label: Label
    word: str
    rest: str


def flow_line(line: str) -> FlowLine | None:
    """What a line with a programme number or an o-word says; None where it is none."""
    found = _LINE.fullmatch(line)
    if found is None:
        return None
    label = found["label"]
    return FlowLine(label=int(label) if label.isdigit() else label, word=found["word"], rest=found["rest"])


class _Frame(NamedTuple):
    kind: str
    label: Label
    first: int
    back: int
    left: int


class Flow:
    """Which line runs next. Lines count from 0."""

    def __init__(self, source: ProgrammeText) -> None:
        lines = self._lines = source.lines
        self._stack: list[_Frame] = []
        self._numbered: dict[Label, list[int]] = {}
        self._ends: dict[tuple[str, Label], list[int]] = {}
        self._subs: dict[Label, list[int]] = {}
        if "O" not in source.bare and ":" not in source.bare:
            return
        for at, line in enumerate(lines):
            if "O" not in line and ":" not in line:
                continue
            found = flow_line(line)
            if found is None:
                continue
            if found.word == "SUB":
                self._subs.setdefault(found.label, []).append(at)
            elif found.word in ("ENDSUB", "ENDREPEAT"):
                self._ends.setdefault((found.word, found.label), []).append(at)
            elif not found.word:
                self._numbered.setdefault(found.label, []).append(at)

    @property
    def inside(self) -> str | None:
        """What the programme is inside of: the innermost call or repeat."""
        return f"O{self._stack[-1].label}" if self._stack else None

    def starts_subprogram(self, at: int) -> bool:
        """Whether a line from here on is the head of a subprogram."""
        return any(line and flow_line(line) is not None for line in self._lines[at:])

    def _enter(self, frame: _Frame) -> int:
        if len(self._stack) >= MOST_CALLS:
            raise Refused(f"calls within calls, more than {MOST_CALLS} deep: O{frame.label} may call itself")
        self._stack.append(frame)
        return frame.first

    def _only(self, places: list[int] | None, what: str) -> int:
        if not places:
            raise Refused(f"{what} is not in this file; post the programme as one file")
        if len(places) > 1:
            raise Refused(f"{what} stands twice, in lines {places[0] + 1} and {places[1] + 1}")
        return places[0]

    def after(self, at: int, found: FlowLine, *, begun: bool) -> int:
        """The line after a flow line at `at`; ``begun`` says whether any block has run before."""
        label, word, rest = found
        if word not in ("", *_WORDS):
            raise Refused(f"O{label} {word}: conditions and loops are not read; post the programme with every move "
                          "written out")  # fmt: skip
        if rest and not (word == "REPEAT" and _REPEATS.fullmatch(rest)):
            if word in ("", "CALL", "REPEAT"):
                raise Refused(f"O{label}: stands alone on its line, without parameters")
            raise Refused(f"O{label} {word}: stands alone on its line")
        match word:
            case "SUB":
                return self._end_of("ENDSUB", label, at) + 1
            case "CALL":
                first = self._only(self._subs.get(label), f"O{label} SUB") + 1
                return self._enter(_Frame("SUB", label, first, at + 1, 0))
            case "REPEAT":
                return self._repeat(at, label, rest)
            case "ENDSUB":
                return self._end("SUB", label)
            case "ENDREPEAT":
                return self._end("REPEAT", label)
        if begun or self._stack:
            raise Refused(f"the programme runs into O{label}: M30, M2 or M99 is missing before it")
        return at + 1

    def _end_of(self, word: str, label: Label, at: int) -> int:
        end = self._only(self._ends.get((word, label)), f"O{label} {word}")
        if end < at:
            raise Refused(f"O{label} {word} (line {end + 1}) stands before its start")
        return end

    def _repeat(self, at: int, label: Label, rest: str) -> int:
        found = _REPEATS.fullmatch(rest)
        if found is None:
            raise Refused(f"O{label} REPEAT needs how often, as [3]")
        times = int(found[1]) if len(found[1]) < 9 else MOST_REPEATS + 1
        if times > MOST_REPEATS:
            raise Refused(f"O{label} REPEAT [{found[1]}]: more than {MOST_REPEATS} repeats are not read")
        end = self._end_of("ENDREPEAT", label, at)
        if times == 0:
            return end + 1
        return self._enter(_Frame("REPEAT", label, at + 1, end + 1, times - 1))

    def _end(self, kind: str, label: Label) -> int:
        if not self._stack or (self._stack[-1].kind, self._stack[-1].label) != (kind, label):
            raise Refused(f"O{label} END{kind} without its {'CALL' if kind == 'SUB' else 'REPEAT'}")
        return self._again()

    def _again(self) -> int:
        frame = self._stack.pop()
        if frame.left == 0:
            return frame.back
        self._stack.append(frame._replace(left=frame.left - 1))
        return frame.first

    def call(self, at: int, number: float, times: float) -> int:
        """M98: to the subprogram of this number, so many times; back to the line after `at`."""
        if not 1 <= times <= MOST_REPEATS or times != round(times):
            raise Refused(f"L{times:g}: repeats are whole, from 1 to {MOST_REPEATS}")
        label = int(number)
        if label != number:
            raise Refused(f"P{number:g}: a programme number is whole")
        first = self._only(self._numbered.get(label), f"subprogram O{label}") + 1
        return self._enter(_Frame("M98", label, first, at + 1, round(times) - 1))

    def back(self) -> int:
        """M99: back to where the subprogram was called, or its next time."""
        if not self._stack:
            raise Refused("M99 outside a subprogram would run the programme again without end; end it with M30")
        if self._stack[-1].kind != "M98":
            raise Refused(f"M99 inside O{self._stack[-1].label}, which is not called by M98")
        return self._again()
