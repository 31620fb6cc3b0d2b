"""Breaks: where a drawing leaves out wood that is the same all along, and its ragged edges."""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import Canvas, Point
from inlayfit.pictures.palette import FAINT, PAPER
from inlayfit.pictures.scale import BREAK, View

EDGE: Final = 1.0
"""How far the paper between the edges lies inside the stretch left out, mm."""
TEETH: Final = 3.0


def draw_breaks(
    canvas: Canvas,
    view: View,
    across: tuple[float, float],
    down: tuple[float, float],
    parent: ElementTree.Element | None = None,
) -> None:
    """Every break of a view, and the sides at which the wood goes on; all within these stretches of the bench."""
    left, right = (view.across(x) for x in across)
    top, bottom = (view.down(depth) for depth in down)
    for low, high in view.down.hidden:
        upper, lower = view.down(low) + EDGE, view.down(high) - EDGE
        _band(canvas, _ragged((left - 1, upper), (right + 1, upper)), _ragged((left - 1, lower), (right + 1, lower)),
              parent)  # fmt: skip
    for low, high in view.across.hidden:
        first, last = view.across(low) + EDGE, view.across(high) - EDGE
        _band(canvas, _ragged((first, top - 1), (first, bottom + 1)), _ragged((last, top - 1), (last, bottom + 1)),
              parent)  # fmt: skip
    for x, beyond in ((left, -BREAK), (right, BREAK)):
        edge = _ragged((x, top - 1), (x, bottom + 1))
        canvas.shape([[*edge, (x + beyond / 2, bottom + 1), (x + beyond / 2, top - 1)]], parent, fill=PAPER,
                     class_="side")  # fmt: skip
        canvas.shape([edge], parent, closed=False, fill="none", stroke=FAINT, stroke_width=0.2)


def _band(canvas: Canvas, one: list[Point], other: list[Point], parent: ElementTree.Element | None) -> None:
    canvas.shape([[*one, *reversed(other)]], parent, fill=PAPER, class_="break")
    for edge in (one, other):
        canvas.shape([edge], parent, closed=False, fill="none", stroke=FAINT, stroke_width=0.2)


def _ragged(start: Point, end: Point) -> list[Point]:
    """A line with a small swing to and fro."""
    length = abs(end[0] - start[0]) + abs(end[1] - start[1])
    count = max(4, round(length / TEETH))
    points = []
    for number in range(count + 1):
        swing = (0.35 if number % 2 else -0.35) if 0 < number < count else 0.0
        x = start[0] + (end[0] - start[0]) * number / count
        y = start[1] + (end[1] - start[1]) * number / count
        points.append((x, y + swing) if start[1] == end[1] else (x + swing, y))
    return points
