"""How report text is set: lines wrapped to a width, tables, places."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Final

from inlayfit.quantity import LengthUnit, length_text

WIDTH: Final = 100


def table(rows: Sequence[Sequence[str]], notes: Sequence[str], *, left: int = 2) -> list[str]:
    """Rows set in columns, the first ``left`` of them to the left; a note may stand behind each."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for row, note in zip(rows, notes, strict=True):
        cells = [
            cell.ljust(width) if column < left else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(f"{'  '.join(cells)}   {note}".rstrip())
    return lines


def place_text(point: Sequence[float], low: Sequence[float], unit: LengthUnit) -> str:
    """A place from the lower left of the outline's bounds."""
    x, y = (length_text(value - origin, unit, with_unit=False) for value, origin in zip(point, low, strict=True))
    return f"({x}, {y})"


def wrapped(head: str, sentence: str, *, indent: int = 2) -> list[str]:
    """A sentence in lines of at most :data:`WIDTH`, the first after ``head``, the others indented."""
    return textwrap.wrap(
        sentence, WIDTH, initial_indent=head, subsequent_indent=" " * indent, break_long_words=False,
        break_on_hyphens=False,
    )
