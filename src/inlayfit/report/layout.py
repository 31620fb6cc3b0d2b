"""How report text is set: lines wrapped to a width, tables, places."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from typing import Final

from inlayfit.checks.finding import Status, Verdict
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text

WIDTH: Final = 100

_COLOURS: Final = re.compile(r"\x1b\[[0-9;]*m")

Paint = Callable[[str, Status | Verdict], str]
"""Colours words by a status."""


def plain(words: str, status: Status | Verdict) -> str:
    """No colour."""
    return words


def table(rows: Sequence[Sequence[str]], notes: Sequence[str], *, left: int = 2, width: int = WIDTH) -> list[str]:
    """Rows set in columns, the first ``left`` of them to the left; a note may stand behind each, or below it."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines: list[str] = []
    for row, note in zip(rows, notes, strict=True):
        cells = [
            cell.ljust(wide) if column < left else cell.rjust(wide)
            for column, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ]
        line = f"{'  '.join(cells)}   "
        if len(line) + len(note) <= width:
            lines.append(f"{line}{note}".rstrip())
        else:
            lines += [line.rstrip(), *wrapped("    ", note, indent=4, width=width)]
    return lines


def setting_digits(plan: Plan) -> int | None:
    """Decimals of the numbers to type: ten-thousandths of an inch where one of them is no whole thousandth.

    5/16 and 1/64 in would else be printed as 0.312 and 0.016, whose difference is not the start depth, and a pass of
    1/16 as 0.062. None: as usual.
    """
    depths = plan.facts.depths
    if plan.job.unit == "mm":
        return None
    typed = [depths.pocket_depth, depths.glue_gap, depths.surface_gap]
    typed += [entry.total_depth for entry in plan.facts.passes]
    inches = [depth / MM_PER_UNIT["in"] for depth in typed]
    return None if all(abs(value - round(value, 3)) < 5e-5 for value in inches) else 4


def fitted(lines: Sequence[str], width: int) -> str:
    """Lines as text; one that is still too wide, as a row of a table on a narrow terminal, is folded.

    Not so a line to paste, which a shell would take for two.
    """
    told: list[str] = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        folded = textwrap.wrap(line, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)
        too_wide = len(_COLOURS.sub("", line)) > width and not line.lstrip().startswith("--set ")
        told += folded if too_wide else [line]
    return "\n".join(told) + "\n"


def stands_text(lift: float, unit: LengthUnit) -> str:
    """How high a plug stands against home; no sign stands for low."""
    shown = length_text(abs(lift), unit, with_unit=False)
    return "home" if not float(shown) else f"{shown} {'proud' if lift > 0 else 'low'}"


def heights_text(ends: Sequence[float], unit: LengthUnit) -> str:
    """Two heights, the word for both said once."""
    first, last = (stands_text(end, unit) for end in ends)
    if first == last:
        return first
    one, other = first.split(), last.split()
    return f"{one[0]} to {last}" if one[1:] == other[1:] else f"{first} to {last}"


def place_text(point: Sequence[float], low: Sequence[float], unit: LengthUnit) -> str:
    """A place from the lower left of the outline's bounds."""
    x, y = (length_text(value - origin, unit, with_unit=False) for value, origin in zip(point, low, strict=True))
    return f"({x}, {y})"


def wrapped(head: str, sentence: str, *, indent: int = 2, width: int = WIDTH) -> list[str]:
    """A sentence in lines of at most ``width``, the first after ``head``, the others indented."""
    return textwrap.wrap(
        sentence, width, initial_indent=head, subsequent_indent=" " * indent, break_long_words=False,
        break_on_hyphens=False,
    )
