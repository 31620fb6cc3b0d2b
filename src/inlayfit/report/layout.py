"""How report text is set: lines wrapped to a width, tables, places."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Final

from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text

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


def setting_digits(plan: Plan) -> int | None:
    """Decimals of the numbers to type: ten-thousandths of an inch where a depth of the sheet is no whole thousandth.

    5/16 and 1/64 in would else be printed as 0.312 and 0.016, whose difference is not the start depth. None: as usual.
    """
    depths = plan.facts.depths
    if plan.job.unit == "mm":
        return None
    inches = [depth / MM_PER_UNIT["in"] for depth in (depths.pocket_depth, depths.glue_gap, depths.surface_gap)]
    return None if all(abs(value - round(value, 3)) < 5e-5 for value in inches) else 4


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
