"""Numbered markers beside the places of a plan, so that neither hides another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import Canvas, Point
from inlayfit.pictures.palette import INK, PAPER
from inlayfit.report.weak_places import WeakPlace

RADIUS: Final = 2.4
SPOT: Final = 0.7
SHIFTS: Final = (5.0, 7.5, 10.0, 13.0, 17.0)
DIRECTIONS: Final = 16


def draw_markers(
    canvas: Canvas,
    places: Sequence[WeakPlace],
    spots: Sequence[Point],
    room: tuple[float, float, float, float],
    parent: ElementTree.Element | None = None,
) -> None:
    """A spot at each place and its number in a ring near by; rings stay in the room (left, top, right, bottom)."""
    rings: list[Point] = []
    for place, spot in zip(places, spots, strict=True):
        ring = _free_place(spot, spots, rings, room)
        rings.append(ring)
        group = canvas.group(parent, class_="weak-place", data_number=str(place.number))
        canvas.line(spot, ring, group, stroke_width=0.25)
        canvas.add("circle", group, cx=spot[0], cy=spot[1], r=SPOT, fill=INK, stroke=PAPER, stroke_width=0.25,
                   class_="spot")  # fmt: skip
        draw_ring(canvas, place.number, ring, group)


def draw_ring(canvas: Canvas, number: int, at: Point, parent: ElementTree.Element | None = None) -> None:
    """A number in its ring."""
    canvas.add("circle", parent, cx=at[0], cy=at[1], r=RADIUS, fill=PAPER, stroke=INK, stroke_width=0.4, class_="ring")
    canvas.text((at[0], at[1] + 0.95), str(number), parent, text_anchor="middle", font_size=2.7, font_weight="bold")


def _free_place(
    spot: Point, spots: Sequence[Point], rings: Sequence[Point], room: tuple[float, float, float, float]
) -> Point:
    """The place with most air near a spot: away from other spots and rings, nearer ones first."""
    left, top, right, bottom = room
    best, most = spot, -math.inf
    for shift in SHIFTS:
        for number in range(DIRECTIONS):
            turn = 2 * math.pi * number / DIRECTIONS - math.pi / 4
            at = (spot[0] + shift * math.cos(turn), spot[1] + shift * math.sin(turn))
            if not (left + RADIUS <= at[0] <= right - RADIUS and top + RADIUS <= at[1] <= bottom - RADIUS):
                continue
            air = min(
                (math.dist(at, ring) - 2 * RADIUS - 0.6 for ring in rings), default=RADIUS
            )
            air = min(air, *(math.dist(at, other) - RADIUS - SPOT - 0.4 for other in spots))
            if air >= 0:
                return at
            if air > most:
                best, most = at, air
    return best
