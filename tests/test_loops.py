"""Loose lines joined to loops, loops nested to polygons: closed forms, shapely's own polygonizer, what is refused."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
import shapely

from inlayfit.drawings.choice import JOIN
from inlayfit.drawings.loops import loops_of
from inlayfit.drawings.openings import PLAIN, Joining
from inlayfit.drawings.polygon_rings import nested_polygons
from inlayfit.drawings.positions import Line
from inlayfit.errors import InputError

Pairs = Sequence[tuple[float, float]]
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


def sides(corners: Pairs) -> list[Pairs]:
    return list(itertools.pairwise([*corners, corners[0]]))


def arc(middle: tuple[float, float], radius: float, start: float, end: float, count: int = 20) -> Pairs:
    angles = np.radians(np.linspace(start, end, count))
    return list(zip(middle[0] + radius * np.cos(angles), middle[1] + radius * np.sin(angles)))


def moved(points: Pairs, x: float, y: float) -> Pairs:
    return [(a + x, b + y) for a, b in points]


def read(
    lines: Sequence[Pairs], mm: float = 1.0, curve_error: float = 0.0, joining: Joining = PLAIN
) -> tuple[list[shapely.Polygon], list[str]]:
    drawn = [Line(f"line {number}", np.array(points, dtype=float)) for number, points in enumerate(lines)]
    loops, notes = loops_of(drawn, mm, curve_error=curve_error, joining=joining)
    polygons, more = nested_polygons(loops, mm)
    return polygons, notes + more


def problem(lines: Sequence[Pairs], mm: float = 1.0) -> str:
    with pytest.raises(InputError) as caught:
        read(lines, mm)
    (line,) = caught.value.lines()
    return line


def area(lines: Sequence[Pairs], **keys: Any) -> float:
    return sum(polygon.area for polygon in read(lines, **keys)[0])


@pytest.mark.parametrize("seed", range(5))
def test_shuffled_and_turned_lines_close(seed: int) -> None:
    """Squares with square holes and an island, cut to pieces: areas by the formula, against the polygonizer."""
    pick = random.Random(seed)
    lines: list[Pairs] = []
    for x, y in itertools.product(range(0, 60, 20), repeat=2):
        for size in (10, 6, 2):
            corners = [(x + a * size / 2, y + b * size / 2) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
            lines += sides(corners)
    exact = lines
    lines = [line if pick.random() < 0.5 else line[::-1] for line in lines]
    jitter = JOIN / 3
    lines = [[(x + pick.uniform(-1, 1) * jitter, y + pick.uniform(-1, 1) * jitter) for x, y in line] for line in lines]
    pick.shuffle(lines)
    polygons, notes = read(lines)
    assert len(polygons) == 2 * 9 and sum(len(polygon.interiors) for polygon in polygons) == 9
    assert notes == []
    expected = 9 * (10**2 - 6**2 + 2**2)
    assert sum(polygon.area for polygon in polygons) == pytest.approx(expected, abs=9 * 4 * 18 * JOIN)
    faces = shapely.get_parts(shapely.polygonize([shapely.LineString(line) for line in exact]))
    rings_of_two = sum(face.area for face in faces if face.area != 6**2 - 2**2)
    assert rings_of_two == pytest.approx(expected, rel=1e-12)


def test_snapping_is_at_the_final_size() -> None:
    gap = 0.9 * JOIN
    lines = [[(0, 0), (10, 0)], [(10 + gap, 0), (10, 10)], [(10, 10 + gap), (0, 10)], [(0, 10), (0, -gap)]]
    assert area(lines) == pytest.approx(100, abs=0.1)
    assert area(lines, mm=0.5) == pytest.approx(100, abs=0.1)
    assert problem(lines, mm=2.0) == (
        "4 lines do not close, open from (0, -0.0045) to (0, 0), 0.009 mm; (10, 0) to (10.0045, 0), 0.009 mm; "
        "(10, 10) to (10, 10.0045), 0.009 mm: join the ends in the drawing program, or set outline.join: 0.0091 mm to "
        "join them (now 0.005 mm, at most 0.508 mm)"
    )
    assert area(lines, mm=2.0, joining=Joining(width=0.0091)) == pytest.approx(100, abs=0.1)


OPEN = [[(0, 0), (10, 0)], [(10.02, 0), (10, 10)], [(10, 10), (0, 10)], [(0, 10.3), (0, 0)]]


def test_openings_are_counted_once_each_in_the_sheets_unit() -> None:
    with pytest.raises(InputError) as caught:
        read(OPEN, joining=Joining(unit="in", width=0.0254))
    assert str(caught.value) == (
        "4 lines do not close, open from (0, 10) to (0, 10.3), 0.0118 in: join the ends in the drawing program, or "
        "set outline.join: 0.012 in to join it (now 0.001 in, at most 0.02 in)"
    )
    assert area(OPEN, joining=Joining(width=0.31)) == pytest.approx(100, abs=2)
    wide = [*OPEN[:3], [(0, 13), (0, 0)]]
    assert problem(wide).endswith(
        "open from (10, 0) to (10.02, 0), 0.02 mm; (0, 10) to (0, 13), 3 mm: join the ends in the drawing program, or "
        "set outline.join: 0.021 mm to join 1 of the 2 openings (now 0.005 mm, at most 0.508 mm)"
    )


def test_lines_that_lead_nowhere_are_left_out_where_others_close() -> None:
    """A leaf's stem and a rib beside its edge, and a chain on its own; but no edge that a hand's breadth opens."""
    stem, rib = [(5, 0), (5, -8)], [(2, 2), (8, 8)]
    whole = [*sides([*SQUARE[:1], (5, 0), *SQUARE[1:]]), stem, rib, [(20, 0), (25, 0)], [(25, 0), (25, 5)]]
    closed = Joining(leave_open=True)
    polygons, notes = read(whole, joining=closed)
    assert [polygon.area for polygon in polygons] == [100]
    assert notes == [
        "left out 4 open lines: (20, 0) to (25, 5), 7.07 mm; (2, 2) to (8, 8), 8.49 mm; an end at (5, -8)"
    ]
    assert problem(whole).endswith("or set outline.take: closed to leave them out")
    with pytest.raises(InputError, match=r"3 lines do not close, open from .*: join the ends in the drawing program$"):
        read(sides(SQUARE)[:3], joining=closed)
    with pytest.raises(InputError, match=r"open from \(10, 0\) to \(10\.02, 0\), 0\.02 mm"):
        read([*moved_all(sides(SQUARE), 50), *OPEN], joining=closed)


def moved_all(lines: Sequence[Pairs], x: float) -> list[Pairs]:
    return [moved(line, x, 0) for line in lines]


def test_two_lines_along_one_curve() -> None:
    """A half disc beside a square with the same arc cut out of it, both in chords of their own: no crossing."""
    disc = [*arc((0, 0), 10, 0, 90, 21), (0, 0), (10, 0)]
    square = [(10, 0), (10, 10), (0, 10), *arc((0, 0), 10, 90, 0, 23)]
    drawn = [Line(name, np.array(points, dtype=float)) for name, points in (("disc", disc), ("square", square))]
    error = 10 * (1 - math.cos(math.radians(90 / 20 / 2)))
    loops, _ = loops_of(drawn, 1.0, curve_error=error)
    polygons, notes = nested_polygons(loops, 1.0, curve_error=error)
    assert sum(polygon.area for polygon in polygons) == pytest.approx(100, abs=0.1)
    assert notes[0].startswith("mended ")


def test_doubled_lines_are_left_out_once() -> None:
    doubled = [*sides(SQUARE), SQUARE[1::-1], [(0, 0), (0, 10)]]
    assert read(doubled)[1] == ["left out 2 doubled lines"]
    assert area(doubled) == 100
    circle = arc((5, 5), 3, 0, 360, 200)
    turned = arc((5, 5), 3, 90, 450, 170)[::-1]
    polygons, notes = read([circle, turned, *sides(SQUARE)], curve_error=0.01)
    assert notes == ["left out 1 doubled line"]
    assert len(polygons) == 1 and len(polygons[0].interiors) == 1


def test_two_half_circles_are_no_doubles() -> None:
    assert area([arc((0, 0), 5, 0, 180, 400), arc((0, 0), 5, 180, 360, 400)]) == pytest.approx(
        math.pi * 25, rel=1e-4
    )


def test_loops_that_meet_at_a_point_stay_two() -> None:
    corner = moved(SQUARE, 10, 10)
    polygons, notes = read(sides(SQUARE) + sides(corner))
    assert [polygon.area for polygon in polygons] == [100, 100]
    assert notes == []
    inner = [(0, 0), (4, 2), (2, 4)]  # a hole that touches the outer loop's corner
    polygons, _ = read(sides(SQUARE) + sides(inner))
    assert sum(polygon.area for polygon in polygons) == pytest.approx(100 - 6)


def test_a_hole_along_the_edge_and_neighbours() -> None:
    assert area([[*SQUARE, SQUARE[0]], [(0, 2), (5, 2), (5, 6), (0, 6), (0, 2)]]) == pytest.approx(80)
    polygons, notes = read([[*SQUARE, SQUARE[0]], [*moved(SQUARE, 10, 0), (10, 0)]])
    assert [polygon.area for polygon in polygons] == [200]
    assert notes == ["2 polygons share edges: joined to 1"]


@pytest.mark.parametrize(
    ("lines", "line"),
    [
        (sides(SQUARE)[:3], "3 lines do not close, open from (0, 0) to (0, 10), 10 mm: join the ends"),
        ([*sides(SQUARE), [(3, 3), (4, 5)]], "the line does not close, open from (3, 3) to (4, 5), 2.24 mm: join"),
        ([[(0, 0), (1, 0), (1, 1)]], "the line does not close, open from (0, 0) to (1, 1), 1.41 mm: join the ends"),
        ([*sides(SQUARE), SQUARE[::2]], "3 lines meet at (0, 0), and what they enclose is not clear: leave only"),
        ([[*SQUARE, (0, 0)], [(5, 5), (15, 5), (15, 8), (5, 5)]], "line 0 and line 1 cross at ("),
        ([[(0, 0), (5, 5), (5, 0), (0, 5), (0, 0)]], "line 0: crosses itself at (2.5, 2.5): redraw it"),
        ([[(0, 0), (5, 5), (9, 9), (0, 0)]], "line 0: no area at (0, 0): redraw it or leave it out"),
        (
            [[(0, 0), (5, number / 100), (10, 0)] for number in range(1, 90)],
            "over 50 lines run from (0, 0) to the same end: draw the outline only, once",
        ),
        ([[(number * 1e-6, 0), (1 + number, 1)] for number in range(3000)], "over 2,000,000 ends of lines lie upon"),
    ],
)
def test_lines_that_are_refused(lines: Sequence[Pairs], line: str) -> None:
    assert problem(lines).startswith(line)


def test_a_long_chain_is_walked_in_time() -> None:
    circle = arc((0, 0), 100, 0, 360, 50_001)
    pieces = list(itertools.pairwise(circle))
    random.Random(7).shuffle(pieces)
    assert area(pieces) == pytest.approx(math.pi * 100**2, rel=1e-6)


def test_lines_shorter_than_the_snapping_distance_stay_apart() -> None:
    circle = arc((0, 0), 5, 0, 360, 12_001)  # 0.0026 mm each
    pieces = list(itertools.pairwise(circle))
    random.Random(7).shuffle(pieces)
    assert area(pieces) == pytest.approx(math.pi * 5**2, rel=1e-6)


def test_a_dot_that_meets_nothing_is_left_out() -> None:
    assert area([*sides(SQUARE), [(3, 3), (3.002, 3)]]) == 100


def test_one_outline_drawn_twice_and_not_alike_is_refused() -> None:
    """A circle and the polygon of 40 corners in it or across it: a rim between them would be left."""
    circle = arc((0, 0), 20, 0, 360, 721)
    for radius in (20, 20.03):
        rough = arc((0, 0), radius, 0, 360, 41)
        assert ("run along one another at (" if radius == 20 else " cross at (") in problem([circle, rough])
    assert area([circle, arc((0, 0), 19.5, 0, 360, 721)]) == pytest.approx(math.pi * (20**2 - 19.5**2), rel=1e-2)
