"""One value of the job sheet: its text read as the kind that the key table asks for, within its limits."""

from __future__ import annotations

import math
import re
from typing import Final, NamedTuple

from inlayfit.errors import InputError
from inlayfit.quantity import (
    LENGTHS,
    MM_PER_INCH,
    MM_PER_UNIT,
    LengthUnit,
    is_share,
    read_angle,
    read_feed,
    read_force,
    read_length,
    read_number,
    read_pressure,
    read_share,
    read_slope,
    read_temperature,
)
from inlayfit.sheet.keytypes import KIND_WORDS, Scalar, Share

Value = str | bool | int | float | Share

UNITS: Final = ("in", "mm")
LONGEST_TEXT: Final = 500
_BARE: Final = re.compile(r"[\s0-9./+eE¼½¾⅛⅜⅝⅞⅓⅔-]+")
_SUFFIXES: Final = {"angle": " deg", "force": " N", "pressure": " MPa", "temperature": " C", "slope": " in 1"}
_UNIT_WORDS: Final = {"in": "inches", "mm": "mm"}


class BareUnit(NamedTuple):
    """Unit of bare numbers, and whether a sheet or shop file names it."""

    unit: LengthUnit
    given: bool


def read_scalar(text: str, scalar: Scalar, bare: BareUnit) -> Value:
    """Read ``text`` as ``scalar``; lengths in mm, angles in degrees, and so on as :mod:`inlayfit.quantity`.

    Raises :class:`InputError` in the sheet's own words and unit.
    """
    match scalar.kind:
        case "text":
            return _read_line(text)
        case "choice":
            return _read_choice(text, scalar)
        case "yes or no":
            return _read_yes_no(text)
        case "count":
            number: float = _read_count(text)
        case "length or share" if is_share(text):
            fraction = read_share(text)
            _check(fraction, text, scalar, "share", bare)
            return Share(fraction)
        case _:
            number = _read_number_of(text, scalar, bare.unit)
    kind = "length" if scalar.kind == "length or share" else scalar.kind
    _check(number, text, scalar, kind, bare)
    return number


def is_bare(text: str) -> bool:
    """Whether a number stands without a unit."""
    return len(text) < 100 and _BARE.fullmatch(text) is not None


def expected_words(scalar: Scalar) -> str:
    """What the key wants, for a message."""
    if scalar.kind == "choice":
        few = len(scalar.choices) < 3
        return " or ".join(scalar.choices) if few else f"one of {', '.join(scalar.choices)}"
    return KIND_WORDS[scalar.kind]


def quoted(text: str) -> str:
    """Text of the sheet inside a message: one line, not too long."""
    shown = " ".join(text.split())
    return repr(shown if len(shown) <= 60 else shown[:57] + "...")


def _read_number_of(text: str, scalar: Scalar, unit: LengthUnit) -> float:
    match scalar.kind:
        case "length" | "length or share":
            return read_length(text, unit)
        case "angle":
            return read_angle(text)
        case "share":
            return read_share(text)
        case "force":
            return read_force(text)
        case "pressure":
            return read_pressure(text)
        case "temperature":
            return read_temperature(text)
        case "feed":
            return read_feed(text, unit)
        case "slope":
            return read_slope(text, unit)
        case _:
            return read_number(text)


def _read_line(text: str) -> str:
    line = re.sub(r"[^\S\n]*\n\s*", " ", text.strip()) if "\n" in text else text.strip()
    if not line:
        raise InputError("found nothing, expected text")
    if len(line) > LONGEST_TEXT:
        raise InputError(f"found {len(line):,} characters, expected at most {LONGEST_TEXT}")
    return line


def _read_choice(text: str, scalar: Scalar) -> str:
    if text in scalar.choices:
        return text
    near: str | None = None
    if scalar.choices == UNITS:
        near = unit_meant(text)
    elif len(text) <= 60:
        import difflib  # wanted for a typo only

        near = next(iter(difflib.get_close_matches(text.lower(), scalar.choices, n=1)), None)
    hint = f" (write {near})" if near else ""
    raise InputError(f"found {quoted(text)}, expected {expected_words(scalar)}{hint}")


def unit_meant(text: str) -> LengthUnit | None:
    """The sheet's unit that a word such as ``inches`` means; None where it means none."""
    word = text.strip().lower().rstrip(".")
    if LENGTHS.get(word) == MM_PER_INCH:
        return "in"
    return "mm" if word == "mm" or word.startswith("millim") else None


def _read_yes_no(text: str) -> bool:
    word = text.strip().lower()
    if word in ("yes", "true"):
        return True
    if word in ("no", "false"):
        return False
    raise InputError(f"found {quoted(text)}, expected {KIND_WORDS['yes or no']}")


def _read_count(text: str) -> int:
    if not re.fullmatch(r"0|[1-9][0-9]{0,8}", text.strip()):
        raise InputError(f"found {quoted(text)}, expected a whole number such as 5")
    return int(text)


def _check(value: float, text: str, scalar: Scalar, kind: str, bare: BareUnit) -> None:
    problem = _out_of_bounds(value, scalar, kind, bare.unit)
    if not problem:
        return
    plain = kind in ("length", "feed") and is_bare(text)
    unit = f" {bare.unit}" + ("/min" if kind == "feed" else "")
    found = f"found {' '.join(text.split())}{unit if plain else ''}"
    hint = _other_unit(value, text, scalar, bare) if plain and kind == "length" else ""
    raise InputError(f"{found}, expected {problem}{hint}")


def _out_of_bounds(value: float, scalar: Scalar, kind: str, unit: LengthUnit) -> str:
    if scalar.above is not None and value <= scalar.above:
        return f"more than {_bound(scalar.above, kind, unit, up=True)}"
    if scalar.least is not None and value < scalar.least:
        return f"at least {_bound(scalar.least, kind, unit, up=True)}"
    if scalar.below is not None and value >= scalar.below:
        return f"less than {_bound(scalar.below, kind, unit, up=False)}"
    if scalar.most is not None and value > scalar.most:
        return f"at most {_bound(scalar.most, kind, unit, up=False)}"
    return ""


def _bound(value: float, kind: str, unit: LengthUnit, *, up: bool) -> str:
    """A limit in the sheet's unit, rounded to the side on which it still holds."""
    if value == 0:
        return "0"
    match kind:
        case "length" | "feed":
            return f"{_round_figure(value / MM_PER_UNIT[unit], up=up):.10g} {unit}" + ("/min" if kind == "feed" else "")
        case "share":
            return f"{value * 100:.10g} %"
    return f"{value:.10g}{_SUFFIXES.get(kind, '')}"


def _round_figure(value: float, *, up: bool) -> float:
    """A limit of at most four decimals as it stands, any other to two digits: 1 mm is told as 0.04 in."""
    if math.isclose(value * 10_000, round(value * 10_000)):
        return round(value, 4)
    step = 10.0 ** (math.floor(math.log10(abs(value))) - 1)
    return (math.ceil if up else math.floor)(value / step) * step


def _other_unit(value: float, text: str, scalar: Scalar, bare: BareUnit) -> str:
    """Whether the bare number would do in the other unit, as a hint."""
    other: LengthUnit = "mm" if bare.unit == "in" else "in"
    meant = value / MM_PER_UNIT[bare.unit] * MM_PER_UNIT[other]
    if value == 0 or _out_of_bounds(meant, scalar, "length", other):
        return ""
    if not bare.given:
        return " (no unit is given, so mm is meant: for inches write unit: in)"
    here, there = _UNIT_WORDS[bare.unit], _UNIT_WORDS[other]
    return f" (bare numbers are in {here} here: for {there} write {text.strip()} {other})"
