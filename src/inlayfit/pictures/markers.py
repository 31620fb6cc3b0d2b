"""Numbered markers beside the places of a plan, so that they hide neither each other nor what is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final
from xml.etree import ElementTree

import shapely
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

    Hiding a line counts for more than crossing a stroke that leads to a ring, and that for more than lack of air.
    """
    spot = spots[number]
    drawn = shapely.MultiLineString(list(zip(spots, rings, strict=False)))
    taken = shapely.MultiPoint(rings)
    best, fewest = spot, math.inf
    for at in _candidates(spot, room):
        air = min((math.dist(at, ring) - 2 * RADIUS - APART for ring in rings), default=0.0)
        air = min(air, *(math.dist(at, other) - RADIUS - SPOT - APART for other in spots), 0.0)
        centre, leader = shapely.Point(at), shapely.LineString([spot, at])
        hides = (
            shapely.dwithin(lines, centre, RADIUS + APART)
            or words.distance(centre) < RADIUS + APART
            or words.intersects(leader)
        )
        crowded = drawn.distance(centre) < RADIUS + APART or taken.distance(leader) < RADIUS + APART
        faults = 50.0 * hides + 20.0 * crowded - air
        if faults == 0:
            return at
        if faults < fewest:
            best, fewest = at, faults
    return best


def _candidates(spot: Point, room: tuple[float, float, float, float]) -> Iterator[Point]:
    """Places round a spot within the room, nearer ones first."""
    left, top, right, bottom = room
    for shift in SHIFTS:
        for number in range(DIRECTIONS):
            turn = 2 * math.pi * number / DIRECTIONS - math.pi / 4
            x, y = spot[0] + shift * math.cos(turn), spot[1] + shift * math.sin(turn)
            if left + RADIUS <= x <= right - RADIUS and top + RADIUS <= y <= bottom - RADIUS:
                yield x, y
