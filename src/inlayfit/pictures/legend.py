"""The key to a drawing: a swatch and what it stands for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import Canvas, Point, wrapped
from inlayfit.pictures.palette import INK

SMALL: Final = 2.6
LINE: Final = 1.25 * SMALL
SWATCH: Final = (9.0, 4.2)
APART: Final = 1.6


@dataclass(frozen=True, kw_only=True)
class Entry:
    """A swatch, filled or a line of this style, and its words."""

    words: str
    fill: str | None = None
    stroke: str = INK
    stroke_width: float = 0.25
    dash: str | None = None


def draw_legend(
    canvas: Canvas,
    entries: Sequence[Entry],
    at: Point,
    width: float,
    parent: ElementTree.Element | None = None,
    *,
    columns: int,
) -> float:
    """Draw the entries in columns from their upper left corner; the height they take, in mm."""
    group = canvas.group(parent, class_="legend")
    column = width / columns
    rows = -(-len(entries) // columns)
    height = 0.0
    for start in range(0, len(entries), rows):
        x, y = at[0] + column * (start // rows), at[1]
        for entry in entries[start : start + rows]:
            lines = wrapped(entry.words, column - SWATCH[0] - 4, SMALL)
            high = max(SWATCH[1], len(lines) * LINE)
            _swatch(canvas, entry, (x, y + (high - SWATCH[1]) / 2), group)
            first = y + (high - len(lines) * LINE) / 2 + 0.8 * LINE
            for number, line in enumerate(lines):
                canvas.text((x + SWATCH[0] + 2, first + number * LINE), line, group, font_size=SMALL)
            y += high + APART
        height = max(height, y - at[1])
    return height


def _swatch(canvas: Canvas, entry: Entry, at: Point, parent: ElementTree.Element) -> None:
    wide, high = SWATCH
    if entry.fill is not None:
        canvas.add("rect", parent, x=at[0], y=at[1], width=wide, height=high, fill=entry.fill, stroke=entry.stroke,
                   stroke_width=entry.stroke_width)  # fmt: skip
    else:
        middle = at[1] + high / 2
        canvas.line((at[0], middle), (at[0] + wide, middle), parent, stroke=entry.stroke,
                    stroke_width=entry.stroke_width, stroke_dasharray=entry.dash)  # fmt: skip
