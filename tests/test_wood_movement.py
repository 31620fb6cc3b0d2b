"""Plug against base across the grain, against strains written out by hand."""

import math

import pytest
import shapely

from inlayfit.errors import InputError
from inlayfit.outline.regions import outline_of
from inlayfit.shop.moisture import change_by_shrinkage
from inlayfit.shop.timber import Grain, Timber
from inlayfit.shop.wood_movement import wood_movement

MAPLE = dict(radial=0.00165, tangential=0.00353)
WALNUT = dict(radial=0.00190, tangential=0.00274)


def bar(width, height, x=0.0):
    return shapely.box(x, 0, x + width, height)


def test_same_wood_same_grain_does_not_move():
    timber = Timber(**MAPLE)

    moved = wood_movement(outline_of([bar(80, 40)]), timber, timber, 8, 12)

    assert moved.movement == 0
    assert moved.base_across == moved.plug_across == pytest.approx(4 * 0.00353)


def test_parallel_grains_differ_by_their_coefficients_across_the_grain():
    """Grain along x: the height counts, not the longer width."""
    moved = wood_movement(outline_of([bar(80, 40)]), Timber(**WALNUT), Timber(**MAPLE), 8, 12)

    expected = 40 * (0.00353 - 0.00274) * 4
    assert moved.movement == pytest.approx(expected)
    assert moved.each_side == pytest.approx(expected / 2)
    assert (moved.direction, moved.width) == (pytest.approx(90), pytest.approx(40))


def test_crossed_grains_move_by_the_whole_change_of_one_part():
    """A tall narrow plug across the base's grain: the base alone changes over its height."""
    plug = Timber(**WALNUT, grain=Grain(direction=90))

    moved = wood_movement(outline_of([bar(0.001, 60)]), Timber(**WALNUT), plug, 8, 12)

    assert moved.movement == pytest.approx(-60 * 0.00274 * 4, rel=1e-4)
    assert moved.direction == pytest.approx(90, abs=0.01)


def test_drier_use_turns_the_sign():
    outline = outline_of([bar(50, 50)])
    wet = wood_movement(outline, Timber(**WALNUT), Timber(**MAPLE), 8, 11)
    dry = wood_movement(outline, Timber(**WALNUT), Timber(**MAPLE), 11, 8)

    assert wet.movement > 0 > dry.movement
    assert wet.movement == pytest.approx(-dry.movement)


def test_end_grain_takes_both_cross_grain_coefficients():
    """End grain in long grain along x: along x the rings' change stands alone against nothing."""
    plug = Timber(**MAPLE, grain=Grain(face="end", direction=0))

    moved = wood_movement(outline_of([bar(60, 0.001)]), Timber(**MAPLE), plug, 8, 12)

    assert moved.movement == pytest.approx(60 * 0.00353 * 4, rel=1e-4)
    turned = Timber(**MAPLE, grain=Grain(face="end", direction=90))
    moved = wood_movement(outline_of([bar(60, 0.001)]), Timber(**MAPLE), turned, 8, 12)
    assert moved.movement == pytest.approx(60 * 0.00165 * 4, rel=1e-4)


def test_a_turned_grain_and_a_turned_outline_agree():
    outline = outline_of([bar(70, 30)])
    turned = outline_of([shapely.affinity.rotate(bar(70, 30), 30)])

    straight = wood_movement(outline, Timber(**WALNUT), Timber(**MAPLE, grain=Grain(direction=60)), 7, 11)
    both = wood_movement(
        turned,
        Timber(**WALNUT, grain=Grain(direction=30)),
        Timber(**MAPLE, grain=Grain(direction=90)),
        7,
        11,
    )

    assert both.movement == pytest.approx(straight.movement)
    assert both.width == pytest.approx(straight.width)
    assert both.direction == pytest.approx((straight.direction + 30) % 180)


def test_the_widest_region_is_named_not_the_whole_outline():
    outline = outline_of([bar(10, 10), bar(30, 2, x=500), bar(5, 40, x=900)])

    moved = wood_movement(outline, Timber(**WALNUT), Timber(**MAPLE), 8, 12)

    assert outline.regions[moved.region - 1].bounds == (900, 0, 905, 40)
    assert moved.width < 45


def test_how_boards_were_sawn_spans_a_range():
    moved = wood_movement(outline_of([bar(0.001, 50)]), Timber(**WALNUT), Timber(**MAPLE), 8, 12)

    # lowest: quartersawn maple on flatsawn walnut; highest: flatsawn maple on quartersawn walnut
    assert moved.lowest == pytest.approx(50 * (0.00165 - 0.00274) * 4, rel=1e-4)
    assert moved.highest == pytest.approx(50 * (0.00353 - 0.00190) * 4, rel=1e-4)
    assert moved.lowest < 0 < moved.movement < moved.highest


def test_outside_the_coefficients_range_the_shrinkage_is_used():
    moved = wood_movement(
        outline_of([bar(0.001, 50)]), Timber(**WALNUT), Timber(**WALNUT, grain=Grain(direction=90)), 8, 4
    )

    assert moved.movement == pytest.approx(-change_by_shrinkage(50, 7.8, 8, 4), rel=2e-3)


def test_a_coefficient_of_nothing_is_refused():
    with pytest.raises(InputError, match="coefficient of dimensional change of 0"):
        wood_movement(outline_of([bar(9, 9)]), Timber(radial=0, tangential=0.002), Timber(**MAPLE), 8, 9)


def test_crossed_and_slanting_grain_against_every_pair_of_points():
    """The duller way: how far plug and base each carry one corner from another, for every two corners of a star."""
    points = [
        (radius * math.cos(0.3 + math.pi * k / 5), radius * math.sin(0.3 + math.pi * k / 5))
        for k, radius in enumerate([12, 30] * 5)
    ]

    def carried(coefficient, direction, run):
        across = (-math.sin(math.radians(direction)), math.cos(math.radians(direction)))
        by = coefficient * 4 * (run[0] * across[0] + run[1] * across[1])
        return (by * across[0], by * across[1])

    moved = wood_movement(
        outline_of([shapely.Polygon(points)]),
        Timber(**WALNUT, grain=Grain(direction=20)),
        Timber(**MAPLE, grain=Grain(direction=75)),
        8,
        12,
    )

    expected = max(
        math.dist(carried(MAPLE["tangential"], 75, run), carried(WALNUT["tangential"], 20, run))
        for one in points
        for other in points
        for run in [(one[0] - other[0], one[1] - other[1])]
    )
    assert abs(moved.movement) == pytest.approx(expected, rel=1e-3)
