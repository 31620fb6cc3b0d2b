"""Fill rules: areas with closed forms, winding numbers against the sum of angles, scribbles."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
import shapely

from inlayfit.drawings.fill_rule import RingedFill, filled_areas, refuse_scribbles, winding_numbers
from inlayfit.errors import InputError

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
INNER = np.array([[3, 3], [7, 3], [7, 7], [3, 7]], dtype=float)
PENTAGRAM = np.array([[math.cos(k * 0.8 * math.pi), math.sin(k * 0.8 * math.pi)] for k in range(5)])
BOW_TIE = np.array([[0, 0], [4, 2], [4, 0], [0, 2]], dtype=float)


def area(rings: list[np.ndarray], *, even_odd: bool = False) -> float:
    (filled,) = filled_areas([RingedFill(rings, even_odd)])
    assert filled.is_valid
    return float(filled.area)


def moved(ring: np.ndarray, turn: float) -> np.ndarray:
    """Turned, shifted and started elsewhere: nothing that may change an area."""
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return np.roll(ring @ matrix.T + (37.25, -11.5), 2, axis=0)


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.1])
@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize(
    ("rings", "nonzero", "even_odd"),
    [
        ([SQUARE], 100, 100),
        ([SQUARE, INNER], 100, 100 - 16),  # both the same way round
        ([SQUARE, INNER[::-1]], 100 - 16, 100 - 16),
        ([SQUARE, INNER + 5], 100 + 16 - 4, 100 + 16 - 2 * 4),  # overlap by 2 x 2
        ([SQUARE, SQUARE], 100, 0),
        ([SQUARE, SQUARE[::-1]], 0, 0),
        ([BOW_TIE], 4, 4),  # two triangles of 2 x 2 / 2
        ([SQUARE, np.add(SQUARE, (10, 0))], 200, 200),  # a shared edge
        ([SQUARE, np.add(SQUARE, (10, 10))], 200, 200),  # a shared corner
    ],
)
def test_area_by_both_rules(
    rings: list[np.ndarray], nonzero: float, even_odd: float, backwards: bool, turn: float
) -> None:
    rings = [moved(ring[::-1] if backwards else ring, turn) for ring in rings]
    assert area(rings) == pytest.approx(nonzero, abs=1e-9)
    assert area(rings, even_odd=True) == pytest.approx(even_odd, abs=1e-9)


def test_pentagram() -> None:
    inner = math.cos(math.radians(72)) / math.cos(math.radians(36))  # where its lines cross, radius 1 outside
    star = 5 * inner * math.sin(math.radians(36))
    pentagon = 5 / 2 * inner**2 * math.sin(math.radians(72))
    assert area([PENTAGRAM]) == pytest.approx(star, rel=1e-12)
    assert area([PENTAGRAM], even_odd=True) == pytest.approx(star - pentagon, rel=1e-12)


def test_points_repeated_and_rings_without_area_change_nothing() -> None:
    repeated = np.repeat(SQUARE, 3, axis=0)
    line = np.array([[20, 20], [30, 30]], dtype=float)
    assert area([repeated, line, line[:1], np.zeros((0, 2))]) == 100
    assert area([line]) == 0
    assert area([np.array([[0, 0], [5, 5], [10, 10], [2, 2]], dtype=float)]) == 0


def test_shapes_are_filled_one_by_one() -> None:
    outer, inner = filled_areas([RingedFill([SQUARE]), RingedFill([INNER[::-1]])])
    assert (outer.area, inner.area) == (100, 16)


def test_winding_numbers_against_the_sum_of_angles() -> None:
    rng = np.random.default_rng(3)
    rings = [rng.uniform(0, 10, (12, 2)) for _ in range(3)] + [SQUARE]
    rings = [np.vstack([ring, ring[:1]]) for ring in rings]
    edges = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    points = rng.uniform(-1, 11, (300, 2))
    start, end = (edges[None, :, i] - points[:, None] for i in (0, 1))
    cross = start[..., 0] * end[..., 1] - start[..., 1] * end[..., 0]
    turns = np.arctan2(cross, (start * end).sum(axis=2)).sum(axis=1) / (2 * math.pi)
    expected = np.round(turns).astype(int)
    assert len(set(expected.tolist())) > 3  # a test worth the name
    assert winding_numbers(points, edges).tolist() == expected.tolist()


def test_winding_number_where_the_ray_meets_vertices() -> None:
    ring = np.array([[2, 0], [0, 2], [-2, 0], [0, -2], [2, 0]], dtype=float)
    edges = np.stack([ring[:-1], ring[1:]], axis=1)
    points = np.array([[0, 0], [-3, 0], [3, 0], [-3, 2], [-3, -2]], dtype=float)
    assert winding_numbers(points, edges).tolist() == [1, 0, 0, 0, 0]


def test_overlapping_letters_against_shapely() -> None:
    rng = np.random.default_rng(5)
    boxes = [shapely.box(x, y, x + 3, y + 2) for x, y in rng.uniform(0, 10, (20, 2))]
    rings = [np.array(box.exterior.coords)[:-1] for box in boxes]
    assert area(rings) == pytest.approx(shapely.union_all(boxes).area, rel=1e-12)
    odd = functools.reduce(shapely.symmetric_difference, boxes)
    assert area(rings, even_odd=True) == pytest.approx(odd.area, rel=1e-12)


@pytest.mark.parametrize("kind", ["scribble", "hatching", "line drawn many times", "rings in rings"])
def test_what_would_take_too_long_is_refused(kind: str) -> None:
    if kind == "scribble":
        ring = np.random.default_rng(1).uniform(0, 100, (2000, 2))
        rings = [np.vstack([ring, ring[:1]])]
    elif kind == "hatching":
        step = np.arange(20_000)
        across = np.column_stack([100 * (step % 2) + step * 1e-4, 100 * (step % 2)])
        rings = [np.vstack([across, [[200, -9], [0, -9]], across[:1]])]
    elif kind == "line drawn many times":
        rings = [np.tile([[0, 0], [10, 10]], (5000, 1)).astype(float)]
    else:
        rings = [np.vstack([SQUARE, SQUARE[:1]]) * size for size in np.linspace(1, 2, 3000)]
    with pytest.raises(InputError, match="many thousand times: draw the outline only"):
        refuse_scribbles(rings)


def test_a_plaid_of_fifty_by_fifty_stripes_is_no_scribble() -> None:
    stripes = [shapely.box(2 * i, 0, 2 * i + 1, 100) for i in range(50)]
    stripes += [shapely.box(0, 2 * i, 100, 2 * i + 1) for i in range(50)]
    rings = [np.array(stripe.exterior.coords) for stripe in stripes]
    assert area(rings) == pytest.approx(100**2 - 50**2, rel=1e-12)
