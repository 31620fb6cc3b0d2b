"""A second reader of programmes, slow and plain, to hold the first one against.

Written from the rules (NISTIR 6556 and what posted programmes have beyond it), not from the package: characters are
read one by one, places are Python numbers in a dictionary, arcs are complex numbers, calls and repeats are calls of a
function.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from typing import NamedTuple

GROUPS = {
    "motion": "0 1 2 3 73 80 81 82 83 85 89", "plane": "17 18 19", "distance": "90 91", "centres": "90.1 91.1",
    "feed mode": "93 94", "units": "20 21", "cutter": "40", "length": "43 49", "return": "98 99",
    "system": "54 55 56 57 58 59 59.1 59.2 59.3", "path": "61 61.1 64", "once": "4 10 28 30 53 92 92.1 92.2 92.3",
}  # fmt: skip
M_GROUPS = {
    "stop": "0 1 2 30", "change": "6", "spindle": "3 4 5", "coolant": "7 8 9", "override": "48 49", "call": "98 99",
}  # fmt: skip
GROUP_OF = {code: group for group, codes in GROUPS.items() for code in codes.split()}
M_GROUP_OF = {code: group for group, codes in M_GROUPS.items() for code in codes.split()}
SYSTEMS = GROUPS["system"].split()
CYCLES = ("73", "81", "82", "83", "85", "89")
IN_PLANE = {"17": "XYZ", "18": "ZXY", "19": "YZX"}
CENTRE_OF = {"X": "I", "Y": "J", "Z": "K"}
FLOW = ("SUB", "ENDSUB", "CALL", "REPEAT", "ENDREPEAT")
UNKNOWN = math.nan
DIGITS = "0123456789"


class DullError(Exception):
    """Refused."""


class DullMove(NamedTuple):
    line: int
    motion: str
    start: tuple[float, ...]
    end: tuple[float, ...]
    centre: complex | None
    turn: float
    feed: float
    tool: int


class Finished(Exception):
    """M2 or M30."""


def bare_line(line: str) -> str:
    """Without blanks and comments, in capitals; a ( that is left says the comment is wrong."""
    out, at = "", 0
    line = line.replace(" ", "").replace("\t", "")
    while at < len(line):
        mark = line[at]
        if mark == ";":
            # a comment that was opened before and not closed is wrong all the same
            break
        if mark == "(":
            end = at + 1
            while end < len(line) and line[end] not in "()":
                end += 1
            if end == len(line) or line[end] == "(" or line[end + 1 : end + 2] in tuple("+-.") + tuple(DIGITS):
                return out + "("
            at = end + 1
            continue
        out += mark.upper() if mark in "abcdefghijklmnopqrstuvwxyz" else mark
        at += 1
    return out


def tokens(bare: str) -> list[tuple[str, str]]:
    """Letters with their numbers."""
    found, at = [], 0
    while at < len(bare):
        letter = bare[at]
        at += 1
        digits = ""
        if at < len(bare) and bare[at] in "+-":
            digits += bare[at]
            at += 1
        points = 0
        while at < len(bare) and (bare[at] in DIGITS or (bare[at] == "." and not points)):
            points += bare[at] == "."
            digits += bare[at]
            at += 1
        found.append((letter, digits))
    return found


class Line:
    """One block, checked."""

    def __init__(self, bare: str) -> None:
        self.g: dict[str, str] = {}
        self.m: dict[str, str] = {}
        self.value: dict[str, float] = {}
        self.claimed: dict[str, int] = {}
        words = tokens(bare)
        if words and words[0] == ("/", ""):
            words = words[1:]
        for number, (letter, digits) in enumerate(words):
            if letter not in "ABCDFGHIJKLMNPQRSTXYZ" or not any(d in DIGITS for d in digits):
                raise DullError(f"{letter}{digits}")
            value = float(digits)
            if abs(value) > 1e9:
                raise DullError("too much")
            if letter in "GM":
                known = GROUP_OF if letter == "G" else M_GROUP_OF
                code = next((c for c in known if abs(float(c) - value) <= 1.0001e-4), None)
                if code is None or known[code] in (self.g if letter == "G" else self.m):
                    raise DullError(f"{letter}{digits}")
                (self.g if letter == "G" else self.m)[known[code]] = code
                continue
            if letter in self.value:
                raise DullError(f"{letter} twice")
            if letter == "N" and (number or any(d not in DIGITS for d in digits)):
                raise DullError("line number")
            if letter in "DFHLPQST" and value < 0:
                raise DullError(f"negative {letter}")
            if letter in "DHLT":
                if abs(value - round(value)) > 1e-4:
                    raise DullError(f"{letter} not whole")
                value = round(value)
            if letter in "FST" and value > 1e6:
                raise DullError(f"{letter} too much")
            self.value[letter] = value
        self.claimed["N"] = 1

    def claim(self, letter: str, must: bool = False) -> float | None:
        if letter in self.value:
            self.claimed[letter] = self.claimed.get(letter, 0) + 1
        elif must:
            raise DullError(f"{letter} missing")
        return self.value.get(letter)

    def close(self) -> None:
        if any(self.claimed.get(letter, 0) != 1 for letter in self.value):
            raise DullError("a letter that nothing, or more than one code, takes")


class DullReader:
    def __init__(self, text: str, unit: str) -> None:
        if text.startswith("\ufeff"):
            text = text[1:]
        self.lines = [bare_line(line) for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]
        self.scale = 25.4 if unit == "in" else 1.0
        self.units_said = self.begun = self.inverse = self.absolute_centres = False
        self.absolute = True
        self.at = dict.fromkeys("XYZ", UNKNOWN)
        self.offset = dict.fromkeys("XYZ", 0.0)
        self.stored: dict[str, float] | None = None
        self.standing: set[str] = set()
        self.system, self.moved, self.motion, self.plane = "54", False, "", "17"
        self.feed, self.tool, self.selected, self.back_up = UNKNOWN, -1, -1, True
        self.cycle: dict[str, float] = {}
        self.moves: list[DullMove] = []
        self.m6 = any(
            letter == "M" and any(d in DIGITS for d in digits) and abs(float(digits) - 6) < 1e-9
            for line in self.lines for letter, digits in tokens(line)
        )  # fmt: skip

    # --- which line comes next -----------------------------------------------------------------------------------

    def flow_of(self, line: str) -> tuple[str, str, str] | None:
        if line.startswith("N"):
            digits = len(line) - len(line[1:].lstrip(DIGITS)) - 1
            if digits:
                line = line[1 + digits :]
        if not line or line[0] not in "O:":
            return None
        rest = line[1:]
        if rest.startswith("<"):
            name, closed, after = rest[1:].partition(">")
            if not closed or "<" in name:
                return None
            label = f"<{name}>"
        else:
            number = rest[: len(rest) - len(rest.lstrip(DIGITS))]
            if not number:
                return None
            label, after = str(int(number)), rest[len(number) :]
        word = ""
        while after and "A" <= after[0] <= "Z":
            word, after = word + after[0], after[1:]
        return label, word, after

    def run(self) -> list[DullMove]:
        filled = [n for n, line in enumerate(self.lines) if line]
        first, self.stop = 0, len(self.lines)
        opened = bool(filled) and self.lines[filled[0]][0] == "%"
        if opened:
            first = filled[0] + 1
        signs = [n for n in filled if n >= first and self.lines[n][0] == "%"]
        if signs:
            self.stop = signs[0]
            if not opened and any(n > signs[0] for n in filled):
                raise DullError("% in the middle")
        try:
            self.walk(first, None, 0)
        except Finished:
            pass
        for move in self.moves:
            if any(abs(v) > 100_000 for v in move.end):
                raise DullError("too far")
        return self.moves

    def places(self, word: str, label: str) -> list[int]:
        return [n for n, line in enumerate(self.lines) if (f := self.flow_of(line)) and f[:2] == (label, word)]

    def single(self, word: str, label: str) -> int:
        found = self.places(word, label)
        if len(found) != 1:
            raise DullError(f"O{label} {word}: {len(found)} of them")
        return found[0]

    def walk(self, at: int, inside: tuple[str, str] | None, depth: int) -> int:
        """Run from a line on until what this is inside of ends; the line after."""
        if depth > 20:
            raise DullError("too deep")
        while at < self.stop:
            line = self.lines[at]
            at += 1
            if not line:
                continue
            flow = self.flow_of(line)
            if flow is None:
                self.begun = True
                called = self.block(line, at)
                if called == "M99":
                    if inside is None or inside[0] != "M98":
                        raise DullError("M99")
                    return at
                if called is not None:
                    label, times = called
                    for _ in range(times):
                        self.walk(self.single("", label) + 1, ("M98", label), depth + 1)
                continue
            label, word, rest = flow
            if word and word not in FLOW:
                raise DullError(word)
            if word != "REPEAT" and rest:
                raise DullError(rest)
            if word == "":
                if self.begun or inside:
                    raise DullError("runs into a subprogram")
            elif word == "SUB":
                end = self.single("ENDSUB", label)
                if end < at:
                    raise DullError("ends before it starts")
                at = end + 1
            elif word == "CALL":
                self.walk(self.single("SUB", label) + 1, ("SUB", label), depth + 1)
            elif word == "REPEAT":
                number = rest[1:-1].rstrip("0").rstrip(".") if "." in rest else rest[1:-1]
                if rest[:1] + rest[-1:] != "[]" or not number or any(d not in DIGITS for d in number):
                    raise DullError(rest)
                if int(number) > 10_000:
                    raise DullError("repeats")
                end = self.single("ENDREPEAT", label)
                if end < at:
                    raise DullError("ends before it starts")
                for _ in range(int(number)):
                    self.walk(at, ("REPEAT", label), depth + 1)
                at = end + 1
            elif inside != (word.removeprefix("END"), label):
                raise DullError(word)
            else:
                return at
        if inside:
            raise DullError("the file ends inside")
        return at

    # --- one line ------------------------------------------------------------------------------------------------

    def block(self, bare: str, line_number: int) -> object:
        line = Line(bare)
        once, motion_word = line.g.get("once"), line.g.get("motion")
        mode = line.g.get("feed mode")
        if mode:
            if (mode == "93") != self.inverse:
                self.feed = UNKNOWN
            self.inverse = mode == "93"
        for letter in "ABC":
            if line.claim(letter):
                raise DullError("rotary")
        line.claim("S")
        if line.claim("T") is not None:
            self.selected = int(line.value["T"])
            if not self.m6:
                self.change(self.selected)
        if "change" in line.m:
            if self.selected < 0 and self.moved:
                raise DullError("M6 without T")
            self.change(self.selected)
        if once == "4":
            line.claim("P", must=True)
        self.plane = line.g.get("plane", self.plane)
        if "units" in line.g:
            scale = 25.4 if line.g["units"] == "20" else 1.0
            if scale != self.scale or not self.units_said:
                if self.moved and scale != self.scale:
                    raise DullError("units")
                if any(self.offset.values()) or self.standing:
                    raise DullError("units after G92")
                self.feed = UNKNOWN
            self.scale, self.units_said = scale, True
        if not self.inverse and line.claim("F") is not None:
            self.feed = line.value["F"] * self.scale or UNKNOWN
        if line.g.get("length") == "43":
            line.claim("H")
        if line.g.get("path") == "64":
            line.claim("P")
        if "distance" in line.g:
            self.absolute = line.g["distance"] == "90"
        if "centres" in line.g:
            self.absolute_centres = line.g["centres"] == "90.1"
        if "return" in line.g:
            back_up = line.g["return"] == "98"
            if self.cycle and back_up != self.back_up:
                raise DullError("98, 99")
            self.back_up = back_up
        if "system" in line.g:
            if self.moved and self.system != line.g["system"]:
                raise DullError("second system")
            self.system = line.g["system"]
        if motion_word:
            if motion_word != self.motion:
                self.cycle = {}
            self.motion = motion_word
        axes = [letter for letter in "XYZ" if letter in line.value]
        shape = [letter for letter in "IJKR" if letter in line.value]
        if once == "53":
            if self.motion != "0" or not axes:
                raise DullError("G53")
            for axis in axes:
                line.claim(axis)
            self.go("0", line_number, {**self.at, **dict.fromkeys(axes, UNKNOWN)})
        elif once in ("10", "28", "30", "92"):
            self.with_axes(once, line, axes, line_number)
            if motion_word not in (None, "80"):
                raise DullError("two codes for the axis words")
        else:
            if once in ("92.1", "92.2", "92.3"):
                self.offset_back(once)
            if axes or shape:
                if self.motion in ("", "80"):
                    raise DullError("no motion in force")
                if self.motion in CYCLES:
                    self.drill(line, axes, line_number)
                else:
                    self.travel(line, axes, line_number)
            elif motion_word in CYCLES:
                raise DullError("cycle without axis words")
        call = line.m.get("call")
        result: object = None
        if call and line.m.get("stop") in ("2", "30"):
            raise DullError("end and call")
        if call == "98":
            number, times = line.claim("P", must=True), line.claim("L")
            assert number is not None
            times = 1 if times is None else times
            if number != int(number) or not 1 <= times <= 10_000:
                raise DullError("M98")
            result = (str(int(number)), int(times))
        elif line.m.get("stop") in ("2", "30"):
            line.close()
            raise Finished
        elif call == "99":
            result = "M99"
        line.close()
        return result

    def change(self, number: int) -> None:
        if number != self.tool:
            self.at["Z"] = UNKNOWN
        self.tool = number

    def with_axes(self, once: str, line: Line, axes: list[str], line_number: int) -> None:
        if once == "10":
            for axis in axes:
                line.claim(axis)
            number = line.claim("P", must=True)
            assert number is not None
            if line.claim("L") != 2 or abs(number - round(number)) > 1e-4 or not 1 <= number <= 9:
                raise DullError("G10")
            if self.moved and SYSTEMS[round(number) - 1] == self.system:
                raise DullError("G10 moves the work")
        elif once == "92":
            if not axes:
                raise DullError("G92")
            for axis in axes:
                value = line.value[axis] * self.scale
                line.claim(axis)
                if not math.isnan(self.at[axis]):
                    self.offset[axis] = self.at[axis] - value
                elif self.moved:
                    raise DullError("G92 at a place not known")
                else:
                    self.standing.add(axis)
                    self.at[axis] = value
            self.stored = dict(self.offset)
        else:
            if axes:
                self.go("0", line_number, self.sent_to(line))
            self.go("0", line_number, dict.fromkeys("XYZ", UNKNOWN))

    def offset_back(self, once: str) -> None:
        if self.standing or (once == "92.3" and self.stored is None):
            raise DullError(once)
        self.offset = dict.fromkeys("XYZ", 0.0)
        if once == "92.3" and self.stored:
            self.offset = dict(self.stored)
        if once == "92.1":
            self.stored = dict(self.offset)

    def sent_to(self, line: Line) -> dict[str, float]:
        there = dict(self.at)
        for axis in "XYZ":
            value = line.claim(axis)
            if value is not None:
                if not self.absolute and math.isnan(self.at[axis]):
                    raise DullError("incremental from nowhere")
                there[axis] = value * self.scale + (self.offset[axis] if self.absolute else self.at[axis])
        return there

    def go(
        self, motion: str, line: int, there: dict[str, float], centre: complex | None = None, turn: float = 0.0
    ) -> None:
        start, end = tuple(self.at[a] for a in "XYZ"), tuple(there[a] for a in "XYZ")
        feed = UNKNOWN if motion == "0" else self.feed
        self.moves.append(DullMove(line, motion, start, end, centre, turn, feed, self.tool))
        self.at = dict(there)
        self.moved = True

    def feed_for(self, line: Line, length: float) -> None:
        if self.inverse:
            if not line.claim("F"):
                raise DullError("G93 without F")
            self.feed = line.value["F"] * length
        elif math.isnan(self.feed):
            raise DullError("no feed")

    def travel(self, line: Line, axes: list[str], line_number: int) -> None:
        there = self.sent_to(line)
        if self.motion == "0":
            self.go("0", line_number, there)
            return
        if any(math.isnan(v) for v in (*self.at.values(), *there.values())):
            raise DullError("cut from nowhere")
        if self.motion == "1":
            self.feed_for(line, math.dist(tuple(self.at.values()), tuple(there.values())))
            self.go("1", line_number, there)
            return
        one, two, third = IN_PLANE[self.plane]
        start, end = complex(self.at[one], self.at[two]), complex(there[one], there[two])
        radius = line.claim("R")
        given = {axis: line.claim(CENTRE_OF[axis]) for axis in "XYZ"}
        slack = 0.0025 if self.scale == 1 else 0.00254
        if given[third] is not None or (radius is not None) == (given[one] is not None or given[two] is not None):
            raise DullError("centre")
        if radius is not None:
            radius *= self.scale
            if (one not in axes and two not in axes) or abs(end - start) <= 1e-6:
                raise DullError("radius without an end")
            half = abs(end - start) / 2
            if radius == 0 or half - abs(radius) > slack:
                raise DullError("radius too short")
            # the centre lies to the left of the way for a short anticlockwise or a long clockwise turn
            left = (radius > 0) == (self.motion == "3")
            height = math.sqrt(max(0.0, radius**2 - half**2))
            centre = (start + end) / 2 + (1 if left else -1) * height * 1j * (end - start) / abs(end - start)
        elif self.absolute_centres:
            if given[one] is None or given[two] is None:
                raise DullError("half a centre")
            centre = complex(given[one] * self.scale + self.offset[one], given[two] * self.scale + self.offset[two])
        else:
            centre = start + complex(given[one] or 0.0, given[two] or 0.0) * self.scale
        before, after = abs(start - centre), abs(end - centre)
        if radius is None:
            if max(before, after) <= 1e-6:
                raise DullError("no radius")
            if abs(before - after) > max(slack, 0.001 * max(before, after)):
                raise DullError("no arc")
        if abs(end - start) <= 1e-6:
            turn = 2 * math.pi
        else:
            turn = (cmath.phase(end - centre) - cmath.phase(start - centre)) % (2 * math.pi)
            if self.motion == "2":
                turn = 2 * math.pi - turn
            turn = turn or 2 * math.pi
        if self.motion == "2":
            turn = -turn
        self.feed_for(line, math.hypot((before + after) / 2 * turn, there[third] - self.at[third]))
        self.go(self.motion, line_number, there, centre, turn)

    def drill(self, line: Line, axes: list[str], line_number: int) -> None:
        one, two, third = IN_PLANE[self.plane]
        pecks = self.motion in ("73", "83")
        if self.inverse or not axes or math.isnan(self.feed):
            raise DullError("cycle")
        for letter in (third, "R", "Q") if pecks else (third, "R"):
            if line.claim(letter) is not None:
                self.cycle[letter] = line.value[letter]
            elif letter not in self.cycle:
                raise DullError(f"cycle without {letter}")
        if pecks and self.cycle["Q"] <= 0:
            raise DullError("Q")
        if self.motion in ("82", "89"):
            line.claim("P")
        times = line.claim("L")
        if times is not None and not 1 <= times <= 10_000:
            raise DullError("L")
        for axis in (one, two):
            line.claim(axis)
        before = self.at[third]
        upper = self.cycle["R"] * self.scale + (self.offset[third] if self.absolute else before)
        bottom = self.cycle[third] * self.scale + (self.offset[third] if self.absolute else upper)
        if math.isnan(before) or bottom > upper:
            raise DullError("cycle heights")
        clear = max(before, upper) if self.back_up else upper
        peck = self.cycle["Q"] * self.scale if pecks else max(upper - bottom, 1.0)
        depths = math.ceil((upper - bottom) / peck - 1e-9)
        if depths > 10_000:
            raise DullError("pecks")
        if before < upper:
            self.go("0", line_number, {**self.at, third: upper})
        for _ in range(int(times or 1)):
            over = dict(self.at)
            for axis in (one, two):
                if axis in axes:
                    step = line.value[axis] * self.scale
                    over[axis] = step + (self.offset[axis] if self.absolute else over[axis])
            for motion, height in self.strokes(upper, bottom, clear, peck, depths, over[third]):
                if motion == "1" and any(math.isnan(v) for v in over.values()):
                    raise DullError("hole at a place not known")
                self.go(motion, line_number, {**over, third: height})

    def strokes(
        self, upper: float, bottom: float, clear: float, peck: float, count: int, now: float
    ) -> Iterator[tuple[str, float]]:
        yield "0", now
        yield "0", upper
        if self.motion in ("73", "83"):
            for number in range(1, count):
                yield "1", upper - number * peck
                if self.motion == "83":
                    yield "0", clear
                    yield "0", min(upper - number * peck + 0.25, clear)
            if count:
                yield "1", bottom
        else:
            yield "1", bottom
        yield ("1" if self.motion in ("85", "89") else "0"), clear


def dull_moves(text: str, unit: str) -> list[DullMove]:
    """The moves, or :class:`DullError`."""
    return DullReader(text, unit).run()
