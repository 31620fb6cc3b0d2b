"""Quantities as a shop writes them: read from text, written in the sheet's unit.

Inside the program lengths are millimetres, angles degrees, shares fractions of 1, forces newtons,
pressures megapascals, temperatures degrees Celsius, feeds millimetres a minute. An inch is exactly 25.4 mm
(international yard and pound agreement, 1959). Every reader raises :class:`InputError` that says what was
found and what is expected.
"""

from __future__ import annotations

import math
import re
from typing import Final, Literal

from inlayfit.errors import InputError

LengthUnit = Literal["in", "mm"]

MM_PER_INCH: Final = 25.4
MM_PER_UNIT: Final[dict[str, float]] = {"mm": 1.0, "in": MM_PER_INCH}

LENGTHS: Final[dict[str, float]] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "um": 0.001,
    "µm": 0.001,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "″": MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
    "ft": 12 * MM_PER_INCH,
}
ANGLES: Final[dict[str, float]] = {"": 1.0, "deg": 1.0, "degree": 1.0, "degrees": 1.0, "°": 1.0}
# pound-force: 0.45359237 kg times standard gravity 9.80665 m/s2, both exact
NEWTON_PER_LBF: Final = 0.45359237 * 9.80665
MPA_PER_PSI: Final = NEWTON_PER_LBF / MM_PER_INCH**2
FORCES: Final[dict[str, float]] = {"N": 1.0, "kN": 1000.0, "lbf": NEWTON_PER_LBF}
PRESSURES: Final[dict[str, float]] = {"kPa": 0.001, "MPa": 1.0, "psi": MPA_PER_PSI}

LENGTH_EXAMPLES: Final = "a length such as 6.35 mm, 1/4 in or 0.25"

# ASCII digits only: \d and float() would take the digits of every script
_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NUMBER = re.compile(
    rf"""(?P<sign>[+-]?)\s*
    (?: (?: (?P<whole>[0-9]+) (?:\s+|-) )? (?P<top>[0-9]+) \s*/\s* (?P<bottom>[0-9]+)
      | (?P<decimal>{_DECIMAL}) )
    \s*(?P<unit>.*)""",
    re.VERBOSE | re.DOTALL,
)
_PLAIN_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,15})?")
_LONGEST: Final = 80
"""Characters in the longest text that is looked at as a quantity; keeps hostile text from costing time."""
_VULGAR: Final = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip


def _fail(text: str, expected: str, hint: str = "") -> InputError:
    found = f"found {_quoted(text)}" if text.strip() else "found nothing"
    return InputError(f"{found}{hint and f' ({hint})'}, expected {expected}")


def _quoted(text: str) -> str:
    shown = " ".join(text.split())
    return repr(shown if len(shown) <= 60 else shown[:57] + "...")


def read_number(text: str, expected: str = "a number") -> float:
    """A bare number: decimal, fraction (``3/16``) or mixed number (``1 1/2``, ``1-1/2``)."""
    value, unit = _split(text, expected)
    if unit:
        raise _fail(text, expected)
    return value


def _split(text: str, expected: str) -> tuple[float, str]:
    """Number and the unit text behind it."""
    if _PLAIN_DECIMAL.fullmatch(text):
        return float(text) + 0.0, ""  # adding 0.0 turns -0.0 into 0.0
    if len(text) > _LONGEST:
        raise _fail(text, expected, f"{len(text):,} characters")
    text = text.strip()
    plain = "".join(f" {_VULGAR[mark]}" if mark in _VULGAR else mark for mark in text)
    if re.search(rf"[{''.join(_VULGAR)}]\s*\d", text):
        raise _fail(text, expected, "a fraction comes after the whole number")
    if re.search(r"\d,\d", plain):
        raise _fail(text, expected, "a decimal comma is not read, write a point")
    if re.search(r"\d_\d", plain):
        raise _fail(text, expected, "write digits without _")
    if re.match(r"\s*[+-]?\d+:\d", plain):
        raise _fail(text, expected, "colons do not make a number")
    if re.match(r"\s*[+-]?0\d", plain):
        raise _fail(text, expected, "a number does not start with a spare 0")
    if re.match(r"\s*[+-]?\.?(nan|inf)", plain, re.IGNORECASE):
        raise _fail(text, expected, "not a finite number")
    match = _NUMBER.fullmatch(plain.strip())
    if match is None:
        raise _fail(text, expected)
    if match["decimal"] is not None:
        value = float(match["decimal"])
    else:
        if int(match["bottom"]) == 0:
            raise _fail(text, expected, "a fraction over 0")
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    if not math.isfinite(value) or value > 1e9:
        raise _fail(text, expected, "out of all bounds")
    unit = match["unit"]
    stray = unit.startswith(("/", "-", "+", ".")) and not unit.startswith("/min")
    if stray or (unit and unit[0].isdigit()):
        raise _fail(text, expected)
    return (0.0 - value if match["sign"] == "-" else value), unit


def _in_mm(value: float, unit: str, text: str, expected: str) -> float:
    # a lone M may be meant for mm as well as for m
    factor = LENGTHS.get(unit) or (None if unit == "M" else LENGTHS.get(unit.lower()))
    if factor is None:
        raise _fail(text, expected, f"no unit {_quoted(unit)}")
    # every factor is a whole number of tenths of a micrometre, so that inch fractions come out
    # as the float nearest to them: 3/16 in is 4.7625, not 4.762499999999999
    return value * round(factor * 10_000) / 10_000


def read_length(text: str, unit: LengthUnit | None) -> float:
    """Length in mm; a bare number is in ``unit`` (None: a unit must be written out)."""
    value, written = _split(text, LENGTH_EXAMPLES)
    if not written:
        if unit is None and value != 0:
            raise _fail(text, "a length with its unit, such as 6.35 mm or 1/4 in")
        return _in_mm(value, unit or "mm", text, LENGTH_EXAMPLES)
    return _in_mm(value, written, text, f"{LENGTH_EXAMPLES}; units are mm, cm, m, in, ft and thou")


def read_angle(text: str) -> float:
    """Angle in degrees."""
    expected = "an angle in degrees such as 30 or 30 deg"
    value, unit = _split(text, expected)
    if unit.lower() not in ANGLES:
        raise _fail(text, expected)
    return value * ANGLES[unit.lower()]


def read_share(text: str) -> float:
    """Share such as ``2 %``, as a fraction of 1."""
    expected = "a share such as 2 %"
    value, unit = _split(text, expected)
    if unit != "%":
        raise _fail(text, expected, "" if unit else "the % is missing")
    return value / 100


def is_share(text: str) -> bool:
    """Whether the text is written as a share, with a per cent sign."""
    return text.rstrip().endswith("%")


def read_force(text: str) -> float:
    """Force in N."""
    return _with_unit(text, FORCES, "a force with its unit, such as 100 N, 1 kN or 25 lbf")


def read_pressure(text: str) -> float:
    """Pressure in MPa."""
    return _with_unit(text, PRESSURES, "a pressure with its unit, such as 0.7 MPa, 700 kPa or 100 psi")


def _with_unit(text: str, units: dict[str, float], expected: str) -> float:
    value, unit = _split(text, expected)
    by_lower = {name.lower(): factor for name, factor in units.items()}
    factor = units.get(unit) or by_lower.get(unit.lower())
    if factor is None:
        hint = "write lbf, the force" if unit.lower() in ("lb", "lbs") and "lbf" in units else ""
        raise _fail(text, expected, hint if unit else "the unit is missing")
    return value * factor


def read_temperature(text: str) -> float:
    """Temperature in degrees Celsius."""
    expected = "a temperature with its unit, such as 21 C or 70 F"
    value, unit = _split(text, expected)
    scale = unit.lstrip("° ").upper()
    if scale == "C":
        return value
    if scale == "F":
        return (value - 32) / 1.8
    raise _fail(text, expected, "" if unit else "the unit is missing")


def read_feed(text: str, unit: LengthUnit | None) -> float:
    """Feed in mm a minute; a bare number is in ``unit`` a minute."""
    expected = "a feed such as 1500 mm/min or 60 in/min"
    value, written = _split(text, expected)
    length = re.sub(r"\s*/\s*min(ute)?$", "", written)
    if not length and unit is None:
        raise _fail(text, expected, "the unit is missing")
    return _in_mm(value, length or unit or "mm", text, expected)


def read_slope(text: str, unit: LengthUnit | None) -> float:
    """Length over length, such as ``0.1 mm in 300 mm``, as a ratio."""
    expected = "one length in another, such as 0.1 mm in 300 mm"
    parts = re.fullmatch(r"(.+?)\s+in\s+(?=[0-9.])(.+)", text.strip()) if len(text) <= _LONGEST else None
    if parts is None:
        raise _fail(text, expected)
    if len({bool(_split(part, expected)[1]) for part in parts.groups()}) > 1:
        raise _fail(text, expected, "one length has a unit, the other has none")
    rise, run = read_length(parts[1], unit), read_length(parts[2], unit)
    if run <= 0:
        raise _fail(text, expected)
    return rise / run


def length_text(mm: float, unit: LengthUnit, *, with_unit: bool = True, digits: int | None = None) -> str:
    """Length for people, in ``unit``: to 0.01 mm or 0.001 in where no ``digits`` are asked for.

    >>> length_text(6.35, "in")
    '0.250 in'
    """
    digits = digits or (3 if unit == "in" else 2)
    # adding 0.0 turns a rounded -0.0 into 0.0
    number = f"{round(mm / MM_PER_UNIT[unit], digits) + 0.0:.{digits}f}"
    return f"{number} {unit}" if with_unit else number


def typed_length(mm: float, unit: LengthUnit) -> str:
    """A length as it is typed into a sheet or behind ``--set``: to 0.001 mm or 0.0001 in, without spare zeros.

    >>> typed_length(1.2, "mm"), typed_length(4.7625, "in")
    ('1.2mm', '0.1875in')
    """
    digits = 4 if unit == "in" else 3
    number = f"{mm / MM_PER_UNIT[unit]:.{digits}f}".rstrip("0").rstrip(".")
    return f"{number if number not in ('-0', '') else '0'}{unit}"


def quantity_text(value: float, kind: str, unit: LengthUnit = "mm") -> str:
    """Write a ``kind`` of share, angle, slope, force or pressure for people who measure in this unit.

    >>> quantity_text(0.02, "share"), quantity_text(100, "force"), quantity_text(100, "force", "in")
    ('2 %', '100 N', '22.5 lbf')
    """
    if kind == "share":
        return f"{value * 100:g} %"
    if kind == "angle":
        return f"{value:g} deg"
    if kind == "slope":
        return f"{value * 300:.3g} mm in 300 mm" if unit == "mm" else f"{value * 12:.2g} in in 12 in"
    if unit == "in":
        return f"{value / NEWTON_PER_LBF:.3g} lbf" if kind == "force" else f"{value / MPA_PER_PSI:.3g} psi"
    return f"{value:g} {'N' if kind == 'force' else 'MPa'}"


def force_text(newtons: float, unit: LengthUnit) -> str:
    """A force for people who measure in this unit, in N and in lbf, to three digits.

    >>> force_text(100, "mm"), force_text(100, "in")
    ('100 N (22 lbf)', '22 lbf (100 N)')
    """
    return force_range_text(newtons, newtons, unit)


def own_force_text(newtons: float, unit: LengthUnit) -> str:
    """A force for people in the one unit that goes with their unit of length.

    >>> own_force_text(4406, "mm"), own_force_text(100, "in")
    ('4,410 N', '22 lbf')
    """
    return force_text(newtons, unit).partition(" (")[0]


def force_range_text(low: float, high: float, unit: LengthUnit) -> str:
    """A range of forces for people.

    >>> force_range_text(4406, 6265, "mm")
    '4,410 to 6,260 N (991 to 1,410 lbf)'
    """

    def written(one: float, name: str) -> str:
        return f"{' to '.join(dict.fromkeys(_three_digits(force / one) for force in (low, high)))} {name}"

    first, second = written(1.0, "N"), written(NEWTON_PER_LBF, "lbf")
    return f"{first} ({second})" if unit == "mm" else f"{second} ({first})"


def _three_digits(value: float) -> str:
    """A whole number of at most three digits and zeros, with a comma at the thousands."""
    digits = 3 - len(str(int(abs(value))))
    return f"{round(value, min(digits, 0)):,.0f}"
