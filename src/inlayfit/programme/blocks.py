"""A block: the words of one line, sorted by what they say."""

from __future__ import annotations

import math
from typing import Final

from inlayfit.programme.words import (
    G_GROUPS,
    LETTERS,
    M_GROUPS,
    NOT_NEGATIVE,
    WHOLE,
    Refused,
    unknown_g,
    unknown_letter,
)

MOST_NUMBER: Final = 1e9
MOST_SPEED: Final = 1e6
"""Most of a feed, spindle speed or T number; more is a slip."""
_NEAR: Final = 1e-4  # so close to a whole number counts as one (3.3.2.1)


class Block:
    """The codes and numbers of one line.

    ``g`` and ``m`` hold the code of each modal group, a G code ten times its number; ``values`` the other letters'
    numbers; ``at`` the place of each letter among the words, of a code as ``G540`` or ``M6``.
    """

    __slots__ = ("at", "g", "m", "used", "values")

    def __init__(self, words: list[tuple[str, str]]) -> None:
        self.g: dict[int, int] = {}
        self.m: dict[int, int] = {}
        self.values: dict[str, float] = {}
        self.at: dict[str, int] = {}
        self.used: set[str] = {"N"}
        for number, (letter, _) in enumerate(words):
            if letter in "#[":
                raise Refused(unknown_letter(letter), number)
        for number, (letter, digits) in enumerate(words):
            self._add(number, letter, digits)

    def _add(self, number: int, letter: str, digits: str) -> None:
        if letter == "/":
            if number or digits:
                raise Refused(unknown_letter("/"), number)
            self.at["/"] = 0
            return
        if letter not in LETTERS or letter == "O":
            raise Refused(unknown_letter(letter), number)
        if digits in ("", "+", "-"):
            raise Refused(f"{letter} has no number", number)
        value = float(digits)
        if not abs(value) <= MOST_NUMBER:
            raise Refused(f"{letter}{digits[:20]}: more than {MOST_NUMBER:.0f} is a slip", number)
        if letter == "G":
            self._code(number, round(value * 10), abs(value * 10 - round(value * 10)), G_GROUPS, self.g, "G")
        elif letter == "M":
            self._code(number, round(value), abs(value - round(value)), M_GROUPS, self.m, "M")
        else:
            self._value(number, letter, value, digits)

    def _code(
        self, number: int, code: int, off: float, groups: dict[int, int], found: dict[int, int], letter: str
    ) -> None:
        if off > 10 * _NEAR or code < 0 or code not in groups:
            raise Refused(unknown_g(code) if letter == "G" and off <= 10 * _NEAR and code >= 0 else (
                f"{letter}{code}: not a code that is read; take it out if the cut does not need it"), number,
            )  # fmt: skip
        group = groups[code]
        if group in found:
            name, other = (f"{letter}{c / 10:g}" if letter == "G" else f"{letter}{c}" for c in (code, found[group]))
            raise Refused(f"{name} stands on one line with {other}, and both cannot hold; put them on two", number)
        found[group] = code
        self.at[f"{letter}{code}"] = number

    def _value(self, number: int, letter: str, value: float, digits: str) -> None:
        if letter in self.values:
            raise Refused(f"{letter} stands twice on one line; which one counts cannot be told", number)
        if letter == "N" and (not digits.isdigit() or number - ("/" in self.at) > 0):
            raise Refused("a line number is whole and stands first on its line", number)
        if letter in NOT_NEGATIVE and value < 0:
            raise Refused(f"{letter}{digits}: must not be negative", number)
        if letter in WHOLE and abs(value - round(value)) > _NEAR:
            raise Refused(f"{letter}{digits}: must be a whole number", number)
        if letter in "FST" and not value <= MOST_SPEED:
            raise Refused(f"{letter}{digits}: more than {MOST_SPEED:.0f} is a slip", number)
        self.values[letter] = round(value) if letter in WHOLE else value
        self.at[letter] = number

    def take(self, letter: str, taker: str) -> float | None:
        """The number of a letter that ``taker`` needs; None where it is not there. Nothing is taken twice."""
        if letter not in self.values:
            return None
        if letter in self.used:
            raise Refused(f"{letter} may belong to {taker} or to another code of the line; put them on two lines",
                          self.at[letter])  # fmt: skip
        self.used.add(letter)
        return self.values[letter]

    def need(self, letter: str, taker: str) -> float:
        """As :meth:`take`, of a letter that must be there."""
        value = self.take(letter, taker)
        if value is None:
            raise Refused(f"{taker} needs {letter}")
        return value

    def check_all_taken(self) -> None:
        """Every letter must have been taken by something on the line: what is left over says something unread."""
        for letter in self.values:
            if letter not in self.used:
                raise Refused(f"{letter}: nothing on this line takes it", self.at[letter])

    def code_at(self, code: int) -> int | None:
        """Place among the words of a G code."""
        return self.at.get(f"G{code}")


def is_whole(value: float) -> bool:
    """Whether a number counts as whole."""
    return math.isfinite(value) and abs(value - round(value)) <= _NEAR
