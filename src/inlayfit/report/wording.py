"""Statements put into words, in the unit asked for."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from inlayfit.checks.finding import Finding
from inlayfit.checks.tolerance_checks import ALL_BUT
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, force_text, length_text, own_force_text
from inlayfit.report.sentences import SENTENCES, TITLES
from inlayfit.statement import Statement, told

_BLANK: Final = re.compile(r"\{(\w+)(?::([^}]+))?\}")
LEAST_SHOWN: Final[Mapping[LengthUnit, float]] = {"mm": 0.005, "in": 0.0127}
"""The least length that a report's digits show, in mm."""


class Style(NamedTuple):
    """How values are written: the unit of lengths, whether it is named, and whether a force is given in both units."""

    unit: LengthUnit
    with_unit: bool = True
    both_forces: bool = True


def title(check: str) -> str:
    """A check's name for people."""
    return TITLES.get(check, check.replace("-", " "))


def say(statement: Statement, style: Style | LengthUnit) -> str:
    """A statement's sentence; a unit alone names itself with lengths and gives forces in both units."""
    how = style if isinstance(style, Style) else Style(style)

    def written(blank: re.Match[str]) -> str:
        return _written(statement.values[blank[1]], blank[2] or "", how)

    return _BLANK.sub(written, SENTENCES[statement.code])


def reasons_text(finding: Finding, style: Style | LengthUnit) -> str:
    """Why a check ends as it does."""
    text = ""
    for reason in finding.reasons:
        said = say(reason, style)
        text += said if not text or said[0] in ",:;" else f"; {said}"
    return text


def remedies_text(finding: Finding, style: Style | LengthUnit) -> str:
    """What to change; empty where nothing needs it."""
    return ("; or " if finding.one_will_do else " and ").join(say(remedy, style) for remedy in finding.remedies)


def per_cent(share: float) -> str:
    """A share of pairs for people; all is said only of all."""
    if ALL_BUT < 1 - share < 0.005:
        return f"{share:.1%}".replace("%", " %")
    return f"{share:.0%}".replace("%", " %")


def rounded_up(mm: float, unit: LengthUnit) -> str:
    """A length for people that is needed at least: never shown as less."""
    step = 0.001 * MM_PER_UNIT["in"] if unit == "in" else 0.01
    return length_text(math.ceil(mm / step - 1e-6) * step, unit)


def _written(value: Any, form: str, style: Style) -> str:
    """A value in the form that its sentence asks for.

    None: a length, a text or a statement. ``bare``: a length without its unit; ``up``: one rounded up; ``stands``: how
    a plug sits against where it was drawn; ``lost``: what is missing of a corner, where that shows; ``force``;
    ``share``, ``fine share`` and ``pairs``: per cent; ``count noun``; ``quoted``; ``sawn``: the ends over how boards
    may be sawn, where they differ; ``and`` and ``list``: several. Any other is Python's own.
    """
    if isinstance(value, Statement):
        return say(value, style)
    unit = style.unit
    match form:
        case "":
            return value if isinstance(value, str) else length_text(value, unit, with_unit=style.with_unit)
        case "bare":
            return length_text(value, unit, with_unit=False)
        case "up":
            return rounded_up(value, unit)
        case "stands":
            return _stands(value, unit)
        case "lost":
            return f", {length_text(value, unit)} of it is missing at the face" if value >= LEAST_SHOWN[unit] else ""
        case "sawn":
            first, last = value
            ends = told("movement.sawn", first=first, last=last)
            return "" if say(first, unit) == say(last, unit) else say(ends, style)
        case "force":
            return force_text(value, unit) if style.both_forces else own_force_text(value, unit)
        case "share":
            return f"{value:.0%}".replace("%", " %")
        case "fine share":
            return f"{100 * value:.2f} %"
        case "pairs":
            return per_cent(value)
        case "quoted":
            return repr(value)
        case "and":
            return " and ".join(_written(entry, "", style) for entry in value)
        case "list":
            return ", ".join(_written(entry, "", style) for entry in value)
    kind, _, noun = form.partition(" ")
    if kind == "count":
        return f"{value} {noun}{'' if value == 1 else 's'}"
    return format(value, form)


def _stands(lift: float, unit: LengthUnit) -> str:
    """How a plug sits against where it was drawn."""
    if abs(lift) < LEAST_SHOWN[unit]:
        return "sits home"
    return f"{'stands' if lift > 0 else 'sits'} {length_text(abs(lift), unit)} {'proud' if lift > 0 else 'low'}"
