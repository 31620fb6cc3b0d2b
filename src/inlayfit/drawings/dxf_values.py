"""The text of a DXF file, line by line: values that are no numbers, and files that end before their end.

A reader that recovers broken files takes what a number starts with (1 of ``1,9``) and goes on; an outline read so has
another size. What is read here is refused with its line instead.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import Final

from inlayfit.errors import InputError

_WHOLE: Final = re.compile(r"\s*[-+]?\d+\s*", re.ASCII)
_DECIMAL: Final = re.compile(r"\s*[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?\s*", re.ASCII)
_NOT_FINITE: Final = re.compile(r"\s*[-+]?(?:nan|inf(?:inity)?)\s*", re.ASCII | re.IGNORECASE)  # told with its entity
_UNDERSCORE: Final = re.compile(r"^\s*[-+]?[\d.]+_[\d_]*\.?\d", re.ASCII | re.MULTILINE)
_READ: Final = ("ENTITIES", "BLOCKS")
_UNIT: Final = "$INSUNITS"

# the groups that hold numbers, DXF reference, "Group code value types"
_DECIMALS: Final = frozenset((*range(10, 60), *range(140, 150), *range(210, 240), *range(460, 470)))
_X_CODES: Final = (*range(10, 18), *range(210, 213))
_COORDINATES: Final = frozenset((*_X_CODES, *(code + 10 for code in _X_CODES)))
_WHOLES: Final = frozenset((*range(60, 80), *range(90, 100), *range(170, 180), *range(270, 290), *range(370, 390)))


def has_ended(data: bytes) -> bool:
    """Whether a DXF file, text or binary, ends as one does."""
    return data.rstrip(b"\x00\x1a\t\r\n ").endswith(b"EOF")


def holds_underscores(text: str) -> bool:
    """Whether some line may be a number with ``_`` between its digits, which Python's own reading passes over."""
    return _UNDERSCORE.search(text) is not None


def refuse_broken_values(text: str) -> None:
    """Refuse with ``InputError`` and the line what is no group code or no number in what is drawn.

    Looked at are the entities, the blocks and the unit; and whether the last section that was begun has an end.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    while lines and not lines[-1].strip("\x1a\t "):
        del lines[-1]
    section = variable = ""
    begins = False
    points: Counter[int] = Counter()
    first = 0
    for number in range(0, len(lines) - 1, 2):
        written, value = lines[number], lines[number + 1]
        if not _WHOLE.fullmatch(written):
            raise InputError(
                f"line {number + 1}: found {_shown(written)}, expected a group code: a line is missing or too many "
                "before it: export the drawing again"
            )
        code = int(written)
        if code == 0:
            _refuse_half_points(points, first)
            points.clear()
            first = number + 1
            word = value.strip().upper()
            begins = word == "SECTION"
            if word in ("ENDSEC", "EOF"):
                section = ""
            if word == "EOF":
                return
        elif begins and code == 2:
            section, begins = value.strip().upper(), False
        elif code == 9:
            variable = value.strip()
        if section in _READ and code in _COORDINATES:
            points[code] += 1
        if section in _READ or (section == "HEADER" and variable == _UNIT):
            _refuse_no_number(code, value, number + 2)
    if section or begins:
        raise cut_short(f"at line {len(lines)}, in the section {section or 'that begins there'}")


def _refuse_half_points(points: Counter[int], line: int) -> None:
    """Refuse an entity of which a point has lost one of x and y, for which a reader would put 0."""
    for code in _X_CODES:
        if points[code] != points[code + 10]:
            raise InputError(
                f"line {line}: an entity with {points[code]} x and {points[code + 10]} y in the groups {code} and "
                f"{code + 10}: a line is missing or wrong: export the drawing again"
            )


def cut_short(where: str) -> InputError:
    """The error for a file that ends too early."""
    return InputError(f"the file ends too early, {where}: it was cut short: copy or export it again")


def _refuse_no_number(code: int, value: str, line: int) -> None:
    if code in _DECIMALS:
        sound = bool(_DECIMAL.fullmatch(value) or _NOT_FINITE.fullmatch(value))
    elif code in _WHOLES:
        sound = bool(_WHOLE.fullmatch(value)) or bool(_DECIMAL.fullmatch(value) and float(value).is_integer())
    else:
        return
    if not sound:
        comma = re.fullmatch(r"\s*[-+]?\d*,\d+\s*", value)
        cure = "export the drawing with decimal points" if comma else "repair the value, or export the drawing again"
        raise InputError(f"line {line}: found {_shown(value)}, expected a number: {cure}")


def _shown(text: str) -> str:
    text = " ".join(text.split())
    return f"'{text if len(text) <= 30 else text[:27] + '...'}'" if text else "nothing"
