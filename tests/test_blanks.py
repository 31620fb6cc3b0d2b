"""Where the outline lies on a blank and what is left at the edges."""

import math

import pytest
import shapely

from inlayfit.errors import InputError
from inlayfit.shop.blanks import Blank, levelling_field, margin, placed
from inlayfit.shop.plug_border import cut_out, filled, ring

FLAG = shapely.Polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 20), (0, 20)])


@pytest.mark.parametrize(
    ("datum", "bounds"),
    [
        ("centre", (-100, -75, 100, 75)),
        ("lower left", (0, 0, 200, 150)),
        ("lower right", (-200, 0, 0, 150)),
        ("upper left", (0, -150, 200, 0)),
        ("upper right", (-200, -150, 0, 0)),
    ],
)
def test_the_datum_is_zero(datum, bounds):
    blank = Blank(width=200, height=150, datum=datum)

    assert blank.bounds == bounds
    assert blank.middle == ((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2)


@pytest.mark.parametrize("datum", ["centre", "lower left", "lower right", "upper left", "upper right"])
def test_left_to_itself_the_outline_lies_in_the_middle(datum):
    blank = Blank(width=200, height=150, datum=datum)

    left = margin(blank, placed(FLAG, blank.middle))

    assert (left.left, left.right) == (pytest.approx(85), pytest.approx(85))
    assert (left.lower, left.upper) == (pytest.approx(65), pytest.approx(65))


def test_placed_from_the_datum():
    blank = Blank(width=200, height=150, datum="lower left")

    left = margin(blank, placed(FLAG, (20, 140)))

    assert (left.left, left.right, left.lower, left.upper) == (5, 165, 130, 0)
    assert (left.least, left.tightest) == (0, "upper")


def test_turned_about_its_own_middle():
    turned = placed(FLAG, (0, 0), turn=90)

    assert turned.bounds == pytest.approx((-10, -15, 10, 15))
    # the long arm, which lay along the bottom, stands on the right
    assert turned.contains(shapely.Point(9, 14))
    assert not turned.contains(shapely.Point(-9, 14))


def test_the_plug_lies_mirrored():
    base = placed(FLAG, (0, 0), turn=20)
    plug = placed(FLAG, (0, 0), turn=20, mirrored=True)

    mirrored = shapely.affinity.scale(base, -1, 1, origin=(0, 0))
    assert plug.symmetric_difference(mirrored).area == pytest.approx(0, abs=1e-6)
    assert plug.area == pytest.approx(FLAG.area)
    assert plug.symmetric_difference(base).area > 10


def test_nothing_cut_has_no_margin():
    with pytest.raises(InputError, match="nothing is cut"):
        margin(Blank(width=9, height=9), shapely.Polygon())


def test_cut_out_runs_outside_the_border():
    square = shapely.box(0, 0, 40, 40)

    cut = cut_out(square, 6, 8)

    assert cut.pieces == 1
    assert cut.edge.bounds == pytest.approx((-6, -6, 46, 46), abs=0.01)
    assert cut.line.bounds == pytest.approx((-10, -10, 50, 50), abs=0.01)
    assert cut.line.length == pytest.approx(4 * 40 + 2 * math.pi * 10, rel=1e-3)


def test_regions_far_apart_come_out_as_loose_pieces():
    far = shapely.MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(30, 0, 40, 10)])

    assert cut_out(far, 6, 3).pieces == 2
    assert cut_out(far, 11, 3).pieces == 1


def test_a_hole_is_never_cut_out():
    frame = shapely.box(0, 0, 60, 60).difference(shapely.box(20, 20, 40, 40))

    cut = cut_out(frame, 2, 3)

    assert cut.pieces == 1
    assert cut.edge.area == pytest.approx(64 * 64, rel=1e-3)
    assert filled(frame).area == 3600


def test_the_ring_takes_all_of_a_hole():
    frame = shapely.box(0, 0, 60, 60).difference(shapely.box(20, 20, 40, 40))

    cleared = ring(frame, 3, 5)

    assert cleared.contains(shapely.box(24, 24, 36, 36))
    assert not cleared.intersects(shapely.box(20.1, 20.1, 22.9, 39.9))


def test_a_border_too_narrow_for_the_bit_leaves_one_round():
    line = ring(shapely.box(0, 0, 40, 40), 5, 5)

    assert line.area == 0
    assert line.length == pytest.approx(160 + 2 * math.pi * 5, rel=1e-3)


def test_levelling_runs_half_an_inch_over_in_both_directions():
    """Common practice, no source: half an inch more than the board."""
    field = levelling_field(Blank(width=200, height=150, datum="lower left").bounds, diameter=25.4)

    left, lower, right, upper = field.bounds
    assert (right - left, upper - lower) == pytest.approx((212.7, 162.7))
    assert field.run_off == pytest.approx(6.35 + 12.7)
    assert field.drawn == pytest.approx((200 + 12.7 + 25.4, 150 + 12.7 + 25.4))


@pytest.mark.parametrize("diameter", [3, 12.7, 25.4, 63, 150])
def test_no_rim_is_left_at_any_edge_or_corner(diameter):
    """What a bit kept inside the drawn rectangle covers: its own disc, rolled along the inside."""
    board = Blank(width=200, height=150)
    field = levelling_field(board.bounds, diameter)
    width, height = field.drawn
    inside = shapely.box(-width / 2, -height / 2, width / 2, height / 2).buffer(-diameter / 2)

    assert inside.bounds == pytest.approx(field.bounds)
    assert inside.buffer(diameter / 2).contains(shapely.box(*board.bounds))
    assert field.area.contains(shapely.box(*board.bounds))
