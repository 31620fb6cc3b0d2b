"""Dimension lines: what a length is called, how long it is, and between which lines it is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import TEXT_SIZE, Canvas, text_width, wrapped
from inlayfit.pictures.palette import FAINT, INK, PAPER

TICK: Final = 0.9
LINE_HEIGHT: Final = 1.2 * TEXT_SIZE
BREAK_MARK: Final = 1.2


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """A vertical dimension: its name, its true length in mm, its ends on paper, its words.

    ``broken``: part of it is left out in the drawing, so that it is longer than drawn.
    """

    name: str
    length: float
    top: float
    bottom: float
    words: str
    broken: bool = False


def dimension_chain(
    canvas: Canvas,
    dimensions: Sequence[Dimension],
    *,
    x: float,
    reach_from: float,
    room: float,
    low: float,
    high: float,
    parent: ElementTree.Element | None = None,
) -> None:
    """Dimensions one below the other on a line at ``x``, with their words to the right of it.

    Reference lines run to it from ``reach_from``. The words are ``room`` wide and stay between ``low`` and ``high``;
    where the drawing is too tight for them a leader shows what they belong to.
    """
    lines = [wrapped(entry.words, room) for entry in dimensions]
    heights = [len(entry) * LINE_HEIGHT + 0.6 for entry in lines]
    middles = spread([(entry.top + entry.bottom) / 2 for entry in dimensions], heights, low, high)
    for entry, words, middle in zip(dimensions, lines, middles, strict=True):
        group = measured(canvas, entry, x, reach_from, parent)
        drawn = (entry.top + entry.bottom) / 2
        text_x = x + 1.6
        if abs(middle - drawn) > 0.8:
            canvas.shape([[(x, drawn), (x + 3, middle), (x + 4, middle)]], group, closed=False, fill="none",
                         stroke=FAINT, stroke_width=0.18, class_="leader")  # fmt: skip
            text_x = x + 4.6
        first = middle - (len(words) - 1) * LINE_HEIGHT / 2 + 0.35 * TEXT_SIZE
        for number, line in enumerate(words):
            canvas.text((text_x, first + number * LINE_HEIGHT), line, group)


def upright_dimension(
    canvas: Canvas,
    entry: Dimension,
    *,
    x: float,
    reach_from: float,
    low: float,
    high: float,
    parent: ElementTree.Element | None = None,
) -> None:
    """A dimension on a line at ``x`` with its words along it, read from the right.

    They may be longer than the dimension, but stay between ``low`` and ``high`` where they fit there.
    """
    group = measured(canvas, entry, x, reach_from, parent)
    half = min(text_width(entry.words), high - low) / 2
    middle = max(min((entry.top + entry.bottom) / 2, high - half), low + half)
    canvas.text((x - 1.0, middle), entry.words, group, text_anchor="middle",
                transform=f"rotate(-90 {x - 1.0:.4f} {middle:.4f})")  # fmt: skip


def measured(
    canvas: Canvas, entry: Dimension, x: float, reach_from: float, parent: ElementTree.Element | None = None
) -> ElementTree.Element:
    """Reference lines, the line itself and its ticks."""
    group = canvas.group(parent, class_="dimension", data_name=entry.name, data_mm=f"{entry.length:.6f}",
                         data_broken="yes" if entry.broken else None)  # fmt: skip
    past = 1.2 if x > reach_from else -1.2
    for y in (entry.top, entry.bottom):
        canvas.line((reach_from, y), (x + past, y), group, stroke=FAINT, stroke_width=0.13, class_="reference")
    canvas.line((x, entry.top), (x, entry.bottom), group, stroke_width=0.2, class_="measure")
    for y in (entry.top, entry.bottom):
        canvas.line((x - TICK / 2, y + TICK / 2), (x + TICK / 2, y - TICK / 2), group, stroke_width=0.35)
    if entry.broken:
        middle = (entry.top + entry.bottom) / 2
        for y in (middle - 0.4, middle + 0.4):
            canvas.line((x - BREAK_MARK, y + 0.5), (x + BREAK_MARK, y - 0.5), group, stroke_width=0.2)
    return group


def spread(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Middles near those wanted, in their order, so that things of these heights do not overlap between the bounds.

    >>> spread([5.0, 5.0], [2.0, 2.0], 0.0, 10.0)
    [4.0, 6.0]
    """
    order = sorted(range(len(wanted)), key=lambda number: wanted[number])
    # neighbours that would overlap stand as one block about the mean of what they want
    blocks: list[tuple[list[int], float, float]] = []
    for number in order:
        block = ([number], wanted[number], heights[number])
        while True:
            members, middle, height = block
            middle = min(max(middle, low + height / 2), high - height / 2)
            block = (members, middle, height)
            if not blocks or blocks[-1][1] + blocks[-1][2] / 2 <= middle - height / 2 + 1e-9:
                break
            before, their_middle, their_height = blocks.pop()
            count = len(before) + len(members)
            block = (before + members, (their_middle * len(before) + middle * len(members)) / count,
                     their_height + height)  # fmt: skip
        blocks.append(block)
    middles = [0.0] * len(wanted)
    for members, middle, height in blocks:
        y = middle - height / 2
        for number in members:
            middles[number] = y + heights[number] / 2
            y += heights[number]
    return middles


def halo(
    canvas: Canvas,
    at: tuple[float, float],
    words: str,
    parent: ElementTree.Element | None = None,
    *,
    anchor: str = "middle",
    colour: str = INK,
    size: float = TEXT_SIZE,
) -> None:
    """Words on a paper-coloured ground, readable over hatching."""
    width = text_width(words, size) * 0.86 + 0.8
    left = at[0] - (width / 2 if anchor == "middle" else 0.4 if anchor == "start" else width - 0.4)
    canvas.add("rect", parent, x=left, y=at[1] - 0.82 * size, width=width, height=1.08 * size, rx=0.6, fill=PAPER,
               fill_opacity=0.88, class_="ground")  # fmt: skip
    canvas.text(at, words, parent, text_anchor=anchor, fill=colour, font_size=size)
