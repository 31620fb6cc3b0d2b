"""The words of the language: which are known, what group each belongs to, and what to do about the others.

Groups are those of table 4 of NISTIR 6556 (2000), where two codes of one group on a line are an error (3.3.5);
G90.1 and G91.1, G73 and M98, M99 are not in the report and are added here.
"""

from __future__ import annotations

import re
from typing import Final

WORD: Final = re.compile(r"(.)([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)?)")
"""A letter, or whatever stands in its place, and its number: every character of a line belongs to a word."""

AXES: Final = "XYZ"
ROTARY: Final = "ABC"
LETTERS: Final = frozenset("ABCDFGHIJKLMNOPQRSTXYZ")
NOT_NEGATIVE: Final = frozenset("DFHLPQST")
WHOLE: Final = frozenset("DHLMNOT")


class Refused(Exception):
    """A word or block that is not read, and what to do; ``word`` counts from 0 in its block (None: all of it)."""

    def __init__(self, problem: str, word: int | None = None) -> None:
        super().__init__(problem)
        self.problem = problem
        self.word = word


MOTION, PLANE, DISTANCE, CENTRES, FEED_MODE, UNITS, CUTTER, LENGTH = range(1, 9)
RETURN, SYSTEM, PATH, ONE_LINE = 10, 12, 13, 0
STOP, CHANGE, SPINDLE, COOLANT, OVERRIDE, CALL = 4, 6, 7, 8, 9, 10

G_GROUPS: Final[dict[int, int]] = {
    **dict.fromkeys((0, 10, 20, 30, 730, 800, 810, 820, 830, 850, 890), MOTION),
    **dict.fromkeys((40, 100, 280, 300, 530, 920, 921, 922, 923), ONE_LINE),
    **dict.fromkeys((170, 180, 190), PLANE),
    **dict.fromkeys((900, 910), DISTANCE),
    **dict.fromkeys((901, 911), CENTRES),
    **dict.fromkeys((930, 940), FEED_MODE),
    **dict.fromkeys((200, 210), UNITS),
    400: CUTTER,
    **dict.fromkeys((430, 490), LENGTH),
    **dict.fromkeys((980, 990), RETURN),
    **dict.fromkeys((540, 550, 560, 570, 580, 590, 591, 592, 593), SYSTEM),
    **dict.fromkeys((610, 611, 640), PATH),
}
"""Group of each G code that is read, by ten times its number."""

M_GROUPS: Final[dict[int, int]] = {
    **dict.fromkeys((0, 1, 2, 30), STOP), 6: CHANGE, **dict.fromkeys((3, 4, 5), SPINDLE),
    **dict.fromkeys((7, 8, 9), COOLANT), **dict.fromkeys((48, 49), OVERRIDE), **dict.fromkeys((98, 99), CALL),
}  # fmt: skip
"""Group of each M code that is read."""

_COMPENSATION: Final = (
    "cutter compensation moves the path by a radius that only the control knows; "
    "post the programme with the bit's radius worked in"
)
_OTHER_FRAME: Final = "turned, scaled, mirrored or polar coordinates are not read; post the programme with plain X Y Z"
_CYCLE: Final = "of the drilling cycles G73, G81, G82, G83, G85 and G89 are read; post plain moves in its place"
_MACRO: Final = "macro calls and jumps are not read; post the programme with every move written out"

_REFUSED_G: Final[dict[int, str]] = {
    **dict.fromkeys((410, 411, 420, 421), _COMPENSATION),
    **dict.fromkeys((150, 160, 500, 501, 510, 511, 680, 681, 690, 691), _OTHER_FRAME),
    **dict.fromkeys((740, 760, 840, 860, 870, 880), _CYCLE),
    **dict.fromkeys((650, 660, 670), _MACRO),
    520: "a second zero within the programme is not read; post it with coordinates from one zero",
    **dict.fromkeys((380, 382, 383, 384, 385), "a probing move ends where it touches; take it out of this programme"),
    950: "feed for each turn of the spindle is not read; post feeds a minute (G94)",
    960: "a constant surface speed is not read; post the spindle speed in turns a minute",
    **dict.fromkeys((50, 51, 52, 53, 61, 62), "curves other than arcs are not read; post lines and arcs"),
}

_REFUSED_LETTER: Final[dict[str, str]] = {
    "#": "variables are not read: what they hold is not in the file; post the programme with numbers",
    "[": "expressions are not read; post the programme with numbers",
    "]": "expressions are not read; post the programme with numbers",
    "(": "a comment must be closed by ) on its line, hold no other ( and stand between words",
    ")": "a ) without a ( before it on its line",
    "%": "% stands alone on the first line and on the last",
    "/": "/ stands at the start of a line, before its number, and has no number itself",
    "O": "a programme number or a call stands alone on its line",
    "E": "a number is written without an exponent",
    "U": "a second linear axis is not read; post the programme for X, Y and Z",
    "V": "a second linear axis is not read; post the programme for X, Y and Z",
    "W": "a second linear axis is not read; post the programme for X, Y and Z",
}


def unknown_g(code: int) -> str:
    """Why a G code (ten times its number) is not read, and what to do."""
    name = f"G{code / 10:g}"
    return f"{name}: {_REFUSED_G.get(code, 'not a code that is read; take it out if the cut does not need it')}"


def unknown_letter(letter: str) -> str:
    """Why a letter or sign is not read."""
    return _REFUSED_LETTER.get(letter, f"{letter!r} is not a letter of the language")
