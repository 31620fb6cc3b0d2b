"""Dimension lines: what a length is called, how long it is, and between which lines it is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import TEXT_SIZE, Canvas, wrapped
from inlayfit.pictures.palette import FAINT, INK

TICK: Final = 0.9
LINE_HEIGHT: Final = 1.2 * TEXT_SIZE
BREAK_MARK: Final = 1.2
LEADER, WORDS_FROM = 4.4, 5.0
"""How far beyond the dimensions' lines leaders end and words begin, mm."""


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
    inner: bool = False
    """Whether its line stands nearer to the wood, since another one's covers the same stretch."""


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A line of the drawing that gets words and is no length: where it ends on paper, its words, its colour."""

    at: tuple[float, float]
    words: str
    colour: str = INK


def dimension_chain(
    canvas: Canvas,
    dimensions: Sequence[Dimension],
    *,
    x: float,
    reach_from: float,
    room: float,
    low: float,
    high: float,
    marks: Sequence[Mark] = (),
    parent: ElementTree.Element | None = None,
) -> float:
    """Dimensions one below the other, with their words on the side away from what is measured, and marks among them.

    Their lines stand at ``x`` (to the left or the right of ``reach_from``, where reference lines begin), those of
    :attr:`Dimension.inner` half-way to it. The words are ``room`` wide and stay between ``low`` and ``high``, or reach
    below where they are too many; leaders show what they belong to. Returns where the lowest words end.
    """
    way = 1.0 if x > reach_from else -1.0
    lines = [wrapped(words, room) for words in (*(one.words for one in dimensions), *(one.words for one in marks))]
    heights = [len(entry) * LINE_HEIGHT + 0.6 for entry in lines]
    ends = [(_line_at(entry, x, reach_from), (entry.top + entry.bottom) / 2) for entry in dimensions]
    ends += [mark.at for mark in marks]
    middles = spread([y for _, y in ends], heights, low, max(high, low + sum(heights)))
    groups = [
        *(measured(canvas, entry, _line_at(entry, x, reach_from), reach_from, parent) for entry in dimensions),
        *(canvas.group(parent, class_="mark") for _ in marks),
    ]
    colours = [*(INK for _ in dimensions), *(mark.colour for mark in marks)]
    for end, words, middle, group, colour in zip(ends, lines, middles, groups, colours, strict=True):
        canvas.shape([[end, (x + way * 2.6, middle), (x + way * LEADER, middle)]], group, closed=False, fill="none",
                     stroke=FAINT, stroke_width=0.18, class_="leader")  # fmt: skip
        first = middle - (len(words) - 1) * LINE_HEIGHT / 2 + 0.35 * TEXT_SIZE
        for number, line in enumerate(words):
            canvas.text((x + way * WORDS_FROM, first + number * LINE_HEIGHT), line, group, fill=colour,
                        text_anchor=None if way > 0 else "end")  # fmt: skip
    return max((middle + high / 2 for middle, high in zip(middles, heights, strict=True)), default=low)


def _line_at(entry: Dimension, x: float, reach_from: float) -> float:
    """Where a dimension's line stands."""
    return (x + reach_from) / 2 if entry.inner else x


def measured(
    canvas: Canvas, entry: Dimension, x: float, reach_from: float, parent: ElementTree.Element | None = None
) -> ElementTree.Element:
    """Reference lines, the line itself and its ticks."""
    group = canvas.group(parent, class_="dimension", data_name=entry.name, data_mm=f"{entry.length:.6f}",
                         data_broken="yes" if entry.broken else None)  # fmt: skip
    past = TICK if x > reach_from else -TICK
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
