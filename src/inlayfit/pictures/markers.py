"""Numbered markers beside the places of a plan, so that they hide neither each other nor what is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from inlayfit.pictures.canvas import Canvas, Point
from inlayfit.pictures.palette import INK, PAPER
from inlayfit.report.weak_places import WeakPlace

RADIUS: Final = 2.4
SPOT: Final = 0.7
APART: Final = 0.5
"""Least air round a ring, mm."""
SHIFTS: Final = (5.0, 6.5, 8.0, 10.0, 12.5, 15.5, 19.0, 23.0, 28.0, 34.0, 41.0)
DIRECTIONS: Final = 32


def draw_markers(
    canvas: Canvas,
    places: Sequence[WeakPlace],
    spots: Sequence[Point],
    room: tuple[float, float, float, float],
    *,
    lines: BaseGeometry,
    words: BaseGeometry,
    parent: ElementTree.Element | None = None,
) -> None:
    """A spot at each place and its number in a ring near by.

    Rings stay in the room (left, top, right, bottom), clear of ``lines`` and ``words`` on paper; the strokes that lead
    to them may cross lines, but no words and no other ring.
    """
    shapely.prepare(lines)
    rings: list[Point] = []
    for number in range(len(places)):
        ring = _free_place(number, spots, rings, room, lines, words)
        rings.append(ring)
        canvas.line(spots[number], ring, parent, stroke_width=0.25, class_="leader")
    for place, spot, ring in zip(places, spots, rings, strict=True):
        group = canvas.group(parent, class_="weak-place", data_number=str(place.number))
        canvas.add("circle", group, cx=spot[0], cy=spot[1], r=SPOT, fill=INK, stroke=PAPER, stroke_width=0.25,
                   class_="spot")  # fmt: skip
        draw_ring(canvas, place.number, ring, group)


def draw_ring(canvas: Canvas, number: int, at: Point, parent: ElementTree.Element | None = None) -> None:
    """A number in its ring."""
    canvas.add("circle", parent, cx=at[0], cy=at[1], r=RADIUS, fill=PAPER, stroke=INK, stroke_width=0.4, class_="ring")
    canvas.text((at[0], at[1] + 0.95), str(number), parent, text_anchor="middle", font_size=2.7, font_weight="bold")


def _free_place(
    number: int, spots: Sequence[Point], rings: Sequence[Point], room: tuple[float, float, float, float],
    lines: BaseGeometry, words: BaseGeometry,
) -> Point:  # fmt: skip
    """The nearest place to a spot that is clear of everything; where none is, the one with most air.

    Clear of lines counts before clear of strokes that lead to rings.
    """
    at = _candidates(spots[number], room)
    if not len(at):
        return spots[number]
    centres = shapely.points(at)
    air = np.full(len(at), np.inf)
    for ring in rings:
        air = np.minimum(air, np.hypot(*(at - ring).T) - 2 * RADIUS - APART)
    for other in spots:
        air = np.minimum(air, np.hypot(*(at - other).T) - RADIUS - SPOT - APART)
    leaders = shapely.linestrings([[spots[number], place] for place in at])
    if rings:
        drawn = shapely.union_all([shapely.linestrings([spot, ring]) for spot, ring in zip(spots, rings)])  # noqa: B905
        crowded = shapely.distance(centres, drawn) < RADIUS + APART
        discs = shapely.buffer(shapely.multipoints(rings), RADIUS + APART)
        crowded |= shapely.intersects(leaders, discs)
    else:
        crowded = np.zeros(len(at), bool)
    hides = shapely.dwithin(lines, centres, RADIUS + APART) | (shapely.distance(words, centres) < RADIUS + APART)
    hides |= shapely.intersects(leaders, words)
    # a fault counts for more than any lack of air
    merit = np.minimum(air, 0.0) - 50.0 * hides - 20.0 * crowded
    best: Point = tuple(at[int(np.argmax(merit))])
    return best


def _candidates(spot: Point, room: tuple[float, float, float, float]) -> NDArray[np.float64]:
    """Places round a spot within the room, nearer ones first; (number, 2)."""
    left, top, right, bottom = room
    turns = 2 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS - np.pi / 4
    around = np.column_stack([np.cos(turns), np.sin(turns)])
    at = np.asarray(spot) + (np.asarray(SHIFTS)[:, None, None] * around).reshape(-1, 2)
    inside = (at >= (left + RADIUS, top + RADIUS)) & (at <= (right - RADIUS, bottom - RADIUS))
    return at[inside.all(axis=1)]
