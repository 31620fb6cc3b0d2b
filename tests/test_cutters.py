"""Cutters: depth against width, tips, ridges, cones, end mills, what they sweep with their holders."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from jobs import job

from inlayfit.cutters import Profile, end_mill, next_wider

ANGLES = [10, 15, 30, 45, 60, 90, 120]


def shapes() -> st.SearchStrategy[Profile]:
    angle = st.floats(5, 150)
    size = st.floats(0.001, 3)
    return st.one_of(
        st.builds(Profile, angle=angle),
        st.builds(Profile, angle=angle, tip_radius=size),
        st.builds(Profile, angle=angle, rounding=size),
    )


@pytest.mark.parametrize("angle", ANGLES)
def test_slope_is_the_tangent_of_half_the_angle(angle: float) -> None:
    assert Profile(angle=angle).slope == pytest.approx(math.tan(math.radians(angle) / 2), rel=1e-15)


def test_slopes_of_well_known_angles() -> None:
    assert Profile(angle=90).slope == pytest.approx(1)
    assert Profile(angle=60).slope == pytest.approx(1 / math.sqrt(3))
    assert Profile(angle=30).slope == pytest.approx(2 - math.sqrt(3))


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("tip", [0.0, 0.05, 1.0])
def test_flat_tip_goes_as_deep_as_the_width_beyond_it_allows(angle: float, tip: float) -> None:
    shape = Profile(angle=angle, tip_radius=tip)
    assert shape.depth_in(3.0) == pytest.approx((3.0 - tip) / math.tan(math.radians(angle / 2)))


def test_tip_does_not_enter_a_narrower_stroke() -> None:
    shape = Profile(angle=30, tip_radius=0.5)
    assert shape.depth_in(0.5) == 0
    assert shape.depth_in(0.2) == 0
    assert shape.depth_in(0.0) == 0
    assert shape.depth_in(-1.0) == 0


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("b", [0.25, 1.5])
def test_ball_tip_touches_with_the_ball_then_with_the_flank(angle: float, b: float) -> None:
    shape, half = Profile(angle=angle, rounding=b), math.radians(angle / 2)
    edge = b * math.cos(half)
    for width in (0.2 * edge, 0.7 * edge, 0.999 * edge):
        assert shape.depth_in(width) == pytest.approx(b - math.sqrt(b * b - width * width))
    for width in (1.001 * edge, 3 * edge):
        # the flank touches at the height b (1 - sin half) and goes on straight from there
        assert shape.depth_in(width) == pytest.approx(b * (1 - math.sin(half)) + (width - edge) / math.tan(half))
    assert shape.fillet_height == pytest.approx(b * (1 - math.sin(half)))
    assert shape.flank_radius == pytest.approx(b * (1 - math.sin(half)) / math.cos(half))
    # one curve, without a step or a kink, where ball and flank meet
    a_hair = 1e-7 * edge
    before = (shape.depth_in(edge) - shape.depth_in(edge - a_hair)) / a_hair
    after = (shape.depth_in(edge + a_hair) - shape.depth_in(edge)) / a_hair
    assert before == pytest.approx(after, rel=1e-4)


def test_ball_tip_never_cuts_deeper_than_the_point_it_rounds_off() -> None:
    ball, point = Profile(angle=60, rounding=1.0), Profile(angle=60)
    # the point that the same flanks would have lies b (1/sin - 1) below the ball's lowest point
    lower = 1.0 / math.sin(math.radians(30)) - 1.0
    for width in (0.1, 0.5, math.cos(math.radians(30)), 2.0):
        assert ball.depth_in(width) <= point.depth_in(width) - lower + 1e-12 or width < math.cos(math.radians(30))
    assert ball.depth_in(2.0) == pytest.approx(point.depth_in(2.0) - lower)


@given(shapes(), st.floats(0, 50))
def test_width_at_a_depth_is_the_width_that_gives_the_depth(shape: Profile, depth: float) -> None:
    assert shape.depth_in(shape.half_width_at(depth)) == pytest.approx(depth, abs=1e-9, rel=1e-9)


@given(shapes(), st.floats(0, 20), st.floats(0, 20))
def test_wider_is_never_shallower(shape: Profile, one: float, other: float) -> None:
    narrow, wide = sorted((one, other))
    assert shape.depth_in(narrow) <= shape.depth_in(wide) + 1e-12


@pytest.mark.parametrize("angle", ANGLES)
def test_ridges_between_flat_passes(angle: float) -> None:
    slope = math.tan(math.radians(angle / 2))
    for tip in (0.0, 0.1):
        shape = Profile(angle=angle, tip_radius=tip)
        for stepover in (0.1, 0.2, 0.5):
            assert shape.ridge(stepover) == pytest.approx(max(0, stepover - 2 * tip) / (2 * slope))


def test_ridges_between_ball_passes() -> None:
    shape = Profile(angle=30, rounding=0.5)
    assert shape.ridge(0.2) == pytest.approx(0.5 - math.sqrt(0.5**2 - 0.2**2 / 4))


@pytest.mark.parametrize(
    "shape",
    [
        Profile(angle=30),
        Profile(angle=90, tip_radius=0.2),
        Profile(angle=60, rounding=0.4),
        Profile(angle=60, rounding=0.1),
    ],
)
def test_ridge_is_the_highest_wood_that_two_passes_leave(shape: Profile) -> None:
    # a second, duller way: the lower envelope of two cutters side by side, point by point
    stepover = 0.3
    heights = []
    for number in range(1001):
        x = stepover * number / 1000
        heights.append(min(height_over(shape, x), height_over(shape, stepover - x)))
    assert shape.ridge(stepover) == pytest.approx(max(heights), abs=1e-9)


def height_over(shape: Profile, distance: float) -> float:
    """How high the cutter's profile stands over its lowest point, at a distance from its axis."""
    low, high = 0.0, 100.0
    if shape.half_width_at(0.0) >= distance:
        return 0.0
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if shape.half_width_at(middle) < distance else (low, middle)
    return high


@pytest.mark.parametrize("angle", ANGLES)
def test_cone_height(angle: float) -> None:
    slope = math.tan(math.radians(angle / 2))
    assert Profile(angle=angle).cone_height(6) == pytest.approx(3 / slope)
    assert Profile(angle=angle, tip_radius=0.2).cone_height(6) == pytest.approx(2.8 / slope)
    ball = Profile(angle=angle, rounding=0.5)
    assert ball.half_width_at(ball.cone_height(6)) == pytest.approx(3)


def test_bit_knows_its_cone() -> None:
    bit = job({"bits.v.angle": 90.0, "bits.v.tip": 2.0, "bits.v.diameter": 10.0}).bits.plug_v
    assert bit.cone_height == pytest.approx((5 - 1) / 1)


@pytest.mark.parametrize("corner", [0.0, 0.5, 1.0, 3.0])
def test_end_mill_by_its_own_forms(corner: float) -> None:
    # a 6 mm bit: flat within 3 - corner, a quarter round of the corner's radius, then straight up
    mill = end_mill(6.0, corner)
    assert (mill.flank_radius, mill.flank_start, mill.fillet_height) == pytest.approx((3.0, 3.0, corner))
    assert mill.half_width_at(corner) == mill.half_width_at(40.0) == pytest.approx(3.0)
    assert mill.half_width_at(0.0) == pytest.approx(3.0 - corner)
    assert mill.depth_in(3.0 - corner) == 0
    assert mill.depth_in(3.001) == math.inf
    assert mill.cone_height(6.0) == math.inf
    for share in (0.1, 0.5, 0.9):
        up = corner * (1 - math.cos(math.asin(share)))
        assert mill.depth_in(3.0 - corner + share * corner) == pytest.approx(up)
    # two passes side by side, each half a stepover off the ridge between them
    assert mill.ridge(6 - 2 * corner) == 0
    assert mill.ridge(6 - corner) == pytest.approx(corner * (1 - math.sqrt(3) / 2))


@given(st.one_of(shapes(), st.builds(end_mill, st.floats(2, 20), st.floats(0, 1))), st.floats(0, 25))
def test_rise_of_many_places_is_that_of_each(shape: Profile, distance: float) -> None:
    # within a hair of an upright side the one is at its foot and the other beyond it
    assume(abs(distance - shape.flank_start) > 1e-8)
    expected = shape.depth_in(distance)
    assert float(shape.rise(np.array([distance]))[0]) == pytest.approx(expected, abs=1e-9, rel=1e-9)


@given(shapes(), st.floats(-2, 2), st.floats(-0.5, 0.5))
def test_bit_off_by_angle_and_width(shape: Profile, angle: float, wider: float) -> None:
    off = shape.off_by(angle, wider)
    assert off.angle == shape.angle + angle
    turned = replace(shape, angle=off.angle).flank_radius
    assert off.flank_radius == pytest.approx(max(0.0, turned + wider), abs=1e-12)
    assert (off.rounding > 0) <= (shape.rounding > 0)
    slopes, flanks = shape.flanks_off_by(np.array([angle, angle]), np.array([wider, 0.0]))
    assert slopes[0] == pytest.approx(off.slope)
    assert flanks == pytest.approx([off.flank_radius, turned], abs=1e-12)


def test_next_wider_of_the_usual_angles() -> None:
    assert [next_wider(angle) for angle in (30, 45, 59.9, 90)] == [45, 60, 60, None]


def test_cutter_is_as_wide_as_declared_or_measured_and_no_wider_than_its_body() -> None:
    bit = job({"bits.v.angle": 60.0, "bits.v.tip": 0.2, "bits.v.measured": {"angle": 64.0, "tip": 0.1}}).bits.pocket_v
    assert bit.tapers
    assert bit.radius_at(0.0) == pytest.approx(0.1)
    assert bit.radius_at(4.0) == pytest.approx(0.05 + 4 * math.tan(math.radians(32)))
    assert bit.radius_at(40.0) == 3.0
    mill = job().bits.clearing[0]
    assert not mill.tapers
    assert mill.radius_at(0.0) == mill.radius_at(40.0) == 1.0


def test_shank_and_collet_turn_above_the_cutting_part() -> None:
    bit = job({"bits.v.shank": 6.35, "bits.v.reach": 20.0, "bits.v.stick_out": 25.0}).bits.pocket_v
    assert bit.holders(30.0) == (("shank", 3.175, 20.0), ("collet", 15.0, 25.0))
    assert bit.holders(None) == (("shank", 3.175, 20.0),)
