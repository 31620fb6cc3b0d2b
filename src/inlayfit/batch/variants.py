"""Variants of a sheet: what ``--vary KEY=V1,V2`` means, and all its combinations.

Values are text, as a sheet would have it, so that a variant is exactly the sheet with these words in it. Ranges are
counted in fractions and never drift.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import prod
from typing import Final

from inlayfit.errors import InputError

Variant = tuple[tuple[str, str], ...]
"""Key and value of each varied key, in the order given."""

BIT_SETS: Final = "bits"
"""The key whose values are files with a whole bit set, unless they stand in braces."""
MOST_VARIANTS: Final = 100_000
_CLOSING: Final = {"[": "]", "{": "}"}
_EXPECTED: Final = "KEY=V1,V2 or KEY=first..last..step, such as joint.pocket_depth=1/8..3/8..1/16"
_NUMBER: Final = r"[+-]?\s*(?:(?:\d+(?:\s+|-))?\d+\s*/\s*\d+|\d+\.?\d*|\.\d+)"
_RANGE_PART: Final = re.compile(rf"\s*({_NUMBER})\s*([^\s\d./,].*?)?\s*", re.ASCII)
_RANGE: Final = re.compile(rf"\s*{_NUMBER}[^.]*\.\..*", re.ASCII | re.DOTALL)


@dataclass(frozen=True, kw_only=True)
class Varied:
    """One key and the values it takes in turn."""

    key: str
    values: tuple[str, ...]

    @property
    def from_files(self) -> bool:
        """Whether the values are files with a whole bit set."""
        return self.key == BIT_SETS and not any(value.startswith("{") for value in self.values)


def read_varied(text: str) -> Varied:
    """Read one ``KEY=V1,V2``.

    A comma parts values, also between two digits; inside brackets or quotes it does not. Raises :class:`InputError`.
    """
    key, equals, listed = text.partition("=")
    key = key.strip()
    if not equals or not key or not listed.strip():
        raise _mistake(text, f"expected {_EXPECTED}")
    values: list[str] = []
    for piece in _divided(text, listed):
        value = piece.strip()
        if not value:
            raise _mistake(text, "a value is empty, expected one before and after every comma")
        in_range = key != BIT_SETS and _RANGE.fullmatch(value)
        values += _range(text, value) if in_range else [value]
    twice = next((value for number, value in enumerate(values) if value in values[:number]), None)
    if twice is not None:
        raise _mistake(text, f"{twice} stands twice, expected each value once (a comma parts values)")
    return Varied(key=key, values=tuple(values))


def combinations(varied: Sequence[Varied]) -> tuple[Variant, ...]:
    """Every combination of the values, the last key's changing fastest; one empty variant where nothing varies.

    Raises :class:`InputError` for a key that is given twice, and for more than :data:`MOST_VARIANTS`.
    """
    keys = [entry.key for entry in varied]
    for number, key in enumerate(keys):
        if key in keys[:number]:
            raise InputError(f"{key} is varied twice, expected all its values in one --vary", place="--vary")
    count = prod(len(entry.values) for entry in varied)
    if count > MOST_VARIANTS:
        raise InputError(f"found {count:,} combinations, expected at most {MOST_VARIANTS:,}", place="--vary")
    return tuple(tuple(zip(keys, values, strict=True)) for values in product(*(entry.values for entry in varied)))


def variant_text(variant: Variant) -> str:
    """A variant in one line."""
    return ", ".join(f"{key}={value}" for key, value in variant)


def _divided(text: str, listed: str) -> list[str]:
    """The values between commas, as written."""
    pieces, start = list[str](), 0
    closing, quote = list[str](), ""
    for at, sign in enumerate(listed):
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "'\"" and (closing or not listed[start:at].strip()):
            # elsewhere it is an inch mark: 1/4"
            quote = sign
        elif sign in _CLOSING:
            closing.append(_CLOSING[sign])
        elif closing and sign == closing[-1]:
            closing.pop()
        elif sign == "," and not closing:
            pieces.append(listed[start:at])
            start = at + 1
    if quote or closing:
        raise _mistake(text, f"found no closing {quote or closing[-1]}")
    return [*pieces, listed[start:]]


def _range(text: str, value: str) -> Iterator[str]:
    """Values of ``first..last..step``, both ends included where the steps lead to the last."""
    parts = [_RANGE_PART.fullmatch(part) for part in value.split("..")]
    if len(parts) != 3 or not all(parts):
        raise _mistake(text, f"{value} is no range, expected first..last..step such as 1/8..3/8..1/16")
    written = [part[1] for part in parts if part]
    units = [part[2] or "" for part in parts if part]
    if units[:2] not in ([units[2]] * 2, ["", ""]):
        raise _mistake(text, f"{value} mixes units, expected one unit, behind the step or behind all three")
    try:
        first, last, step = (_exact(number) for number in written)
    except ZeroDivisionError:
        raise _mistake(text, f"{value} holds a fraction over 0") from None
    if step == 0 or (last - first) / step < 0:
        raise _mistake(text, f"the steps of {value} do not lead from {written[0]} to {written[1]}")
    count = (last - first) // step + 1
    if count > MOST_VARIANTS:
        raise _mistake(text, f"{value} has {count:,} values, expected at most {MOST_VARIANTS:,}")
    as_fraction = any("/" in number for number in written)
    unit = f" {units[2]}" if units[2] else ""
    write = _fraction_text if as_fraction else _decimal_text
    return (write(first + number * step) + unit for number in range(count))


def _exact(number: str) -> Fraction:
    """A decimal, a fraction or a mixed number, exactly."""
    sign = -1 if number.startswith("-") else 1
    *whole, part = re.split(r"[\s-]+", re.sub(r"\s*/\s*", "/", number.lstrip("+-").strip()))
    return sign * (sum(map(Fraction, whole)) + Fraction(part))


def _fraction_text(value: Fraction) -> str:
    """``1 1/16`` and the like."""
    whole, top = divmod(abs(value.numerator), value.denominator)
    parts = [str(whole)] if whole or not top else []
    parts += [f"{top}/{value.denominator}"] if top else []
    return ("-" if value < 0 else "") + " ".join(parts)


def _decimal_text(value: Fraction) -> str:
    """All decimals of a sum of decimals, which end."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
    digits = str(abs(value.numerator) * 10**places // value.denominator).rjust(places + 1, "0")
    point = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return ("-" if value < 0 else "") + point


def _mistake(text: str, problem: str) -> InputError:
    shown = " ".join(text.split())
    return InputError(f"found {shown if len(shown) <= 80 else shown[:77] + '...'!r}: {problem}", place="--vary")
