"""JSON Schema (2020-12) of the job sheet, made from the one table of keys, for editors that check live.

A schema cannot tell everything that the reader checks: limits that depend on the sheet's unit, and limits on
values written as text with their unit, are left to the reader. What the schema refuses the reader refuses
too, except where letters' case or a spare sign is all that is wrong.
"""

from __future__ import annotations

from typing import Any, Final

from inlayfit.quantity import ANGLES, FORCES, LENGTHS, PRESSURES
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.keytypes import Either, Key, KeyType, Listing, Numbered, Pair, Scalar, ScalarKind, Section
from inlayfit.sheet.scalar import LONGEST_TEXT

Schema = dict[str, Any]

_FRACTION: Final = r"([0-9]+(\s+|-))?[0-9]+\s*/\s*[0-9]+|([0-9]+\s*)?[¼½¾⅛⅜⅝⅞⅓⅔]"
_DECIMAL: Final = r"([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?"
_UNSIGNED: Final = rf"({_FRACTION}|{_DECIMAL})"
_SIGNED: Final = r"[+-]?\s*" + _UNSIGNED
# kinds whose bare numbers mean the same in every sheet, so that limits hold for them as they stand
_FIXED: Final[frozenset[ScalarKind]] = frozenset({"count", "number", "angle"})
_BARE: Final[frozenset[ScalarKind]] = _FIXED | {"length", "length or share", "feed"}


def sheet_schema() -> Schema:
    """The schema of a whole sheet, as plain dicts and lists ready for JSON."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Job sheet of inlayfit",
        **_section(SHEET, may_be_empty=False),
    }


def _key(key: Key) -> Schema:
    words = key.help + (f" Left out: {key.default}." if key.default else "")
    may_be_empty = isinstance(key.type, Section) and not key.required and not _needs(key.type)
    schema = _section(key.type, may_be_empty=may_be_empty) if isinstance(key.type, Section) else _of(key.type)
    return {"description": words, **schema}


def _needs(section: Section) -> bool:
    return any(key.required for key in section.keys.values())


def _of(type: KeyType) -> Schema:
    match type:
        case Scalar():
            return _scalar(type)
        case Pair():
            return {"type": "array", "items": _scalar(type.item), "minItems": 2, "maxItems": 2}
        case Listing():
            return {"type": "array", "items": _of(type.item), "minItems": type.least, "maxItems": type.most}
        case Section():
            return _section(type, may_be_empty=False)
        case Numbered():
            numbers = {"^[0-9]+$": _scalar(type.item)}
            return {"type": "object", "patternProperties": numbers, "additionalProperties": False}
        case Either():
            return {"anyOf": [_of(option) for option in type.options]}


def _section(section: Section, *, may_be_empty: bool) -> Schema:
    """Named keys. A part with nothing in it, where nothing in it is needed, is the same as one left out."""
    schema: Schema = {
        "type": ["object", "null"] if may_be_empty else "object",
        "properties": {name: _key(key) for name, key in section.keys.items()},
        "additionalProperties": False,
    }
    needed = [name for name, key in section.keys.items() if key.required]
    if needed:
        schema["required"] = needed
    if section.just_one_of:
        one = {"oneOf": [{"required": [name]} for name in section.just_one_of]}
        empty = [{"type": "null"}, {"type": "object", "maxProperties": 0}] if may_be_empty else []
        schema["anyOf"] = [*empty, one]
    if section.at_most_one_of:
        names = section.at_most_one_of
        pairs = [{"required": [one, two]} for n, one in enumerate(names) for two in names[n + 1 :]]
        schema["not"] = {"type": "object", "anyOf": pairs}
    return schema


def _scalar(scalar: Scalar) -> Schema:
    match scalar.kind:
        case "text":
            return {"type": ["string", "number", "boolean"], "minLength": 1, "maxLength": LONGEST_TEXT}
        case "choice":
            return {"enum": list(scalar.choices)}
        case "yes or no":
            return {"anyOf": [{"type": "boolean"}, _text(_any_case(("yes", "no", "true", "false")))]}
        case "count":
            number: Schema = {"type": "integer", **_limits(scalar)}
            return {"anyOf": [number, _text(r"(0|[1-9][0-9]*)")]}
    options = [_text(_pattern(scalar))]
    if scalar.kind in _BARE:
        options.insert(0, {"type": "number", **_limits(scalar)})
    return {"anyOf": options} if len(options) > 1 else options[0]


def _limits(scalar: Scalar) -> Schema:
    names = {"above": "exclusiveMinimum", "least": "minimum", "below": "exclusiveMaximum", "most": "maximum"}
    given = {name: getattr(scalar, name) for name in names}
    # a limit in mm says nothing about a bare number of an inch sheet, unless it is zero
    keep = scalar.kind in _FIXED
    return {names[name]: value for name, value in given.items() if value is not None and (keep or value == 0)}


def _pattern(scalar: Scalar) -> str:
    not_negative = scalar.above is not None or (scalar.least is not None and scalar.least >= 0)
    number = r"\+?\s*" + _UNSIGNED if not_negative else _SIGNED
    length = rf"{number}\s*({_any_case(tuple(LENGTHS))})?"
    match scalar.kind:
        case "length":
            return length
        case "length or share":
            return rf"({length}|{number}\s*%)"
        case "share":
            return rf"{number}\s*%"
        case "angle":
            return rf"{number}\s*({_any_case(tuple(unit for unit in ANGLES if unit))})?"
        case "force":
            return rf"{number}\s*({_any_case(tuple(FORCES))})"
        case "pressure":
            return rf"{number}\s*({_any_case(tuple(PRESSURES))})"
        case "temperature":
            return rf"{number}\s*[° ]*[cCfF]"
        case "feed":
            return rf"{length}\s*(/\s*min(ute)?)?"
        case "slope":
            return rf"{length}\s+in\s+{length}"
        case _:
            return number


def _text(pattern: str) -> Schema:
    return {"type": "string", "pattern": rf"^\s*({pattern})\s*$"}


def _any_case(words: tuple[str, ...]) -> str:
    """The words as alternatives, letters in either case; JSON Schema's patterns have no flag for that."""
    return "|".join("".join(_either_case(letter) for letter in word) for word in words)


def _either_case(letter: str) -> str:
    return f"[{letter.lower()}{letter.upper()}]" if letter.isascii() and letter.isalpha() else letter
