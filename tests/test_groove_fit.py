"""The V-bit from test grooves: the line, its uncertainties, outliers, and what no V-bit makes."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from inlayfit.cutters import Profile
from inlayfit.errors import InputError
from inlayfit.joint.groove_fit import READING, STEP, Groove, RealBit, groove_fit, refuse_swapped
from inlayfit.joint.spread import Spread
from inlayfit.joint.straight_line import straight_line
from inlayfit.joint.taper import wall_lift


def grooves(shape: Profile, depths: list[float], *, error: float = 0.0, **more: Any) -> list[Groove]:
    """Grooves that a bit cuts when it runs too deep by an error."""
    return [Groove(depth=z, width=2 * shape.half_width_at(z + error), **more) for z in depths]


def test_line_agrees_with_a_library_fit_with_weights() -> None:
    rng = np.random.default_rng(3)
    x, u = np.sort(rng.uniform(0, 9, 12)), rng.uniform(0.05, 0.4, 12)
    y = 0.3 + 0.55 * x + rng.normal(0, u)
    line = straight_line(list(x), list(y), list(u))
    (slope, intercept), covariance = np.polyfit(x, y, 1, w=1 / u, cov="unscaled")
    assert (line.slope, line.intercept) == pytest.approx((slope, intercept), rel=1e-10)
    assert line.slope_u**2 == pytest.approx(covariance[0, 0], rel=1e-9)
    assert line.intercept_u**2 == pytest.approx(covariance[1, 1], rel=1e-9)
    assert line.covariance == pytest.approx(covariance[0, 1], rel=1e-9)
    chi = (((y - slope * x - intercept) / u) ** 2).sum()
    assert line.scatter == pytest.approx(math.sqrt(chi / 10), rel=1e-9)


@pytest.mark.parametrize("shape", [Profile(angle=29.6, tip_radius=0.08), Profile(angle=60), Profile(angle=91.3)])
def test_exact_grooves_give_the_bit_back(shape: Profile) -> None:
    real = groove_fit(grooves(shape, [1, 2, 3.5, 5]))
    assert real.angle == pytest.approx(shape.angle, abs=1e-9)
    assert real.tip == pytest.approx(2 * shape.tip_radius, abs=1e-9)
    assert max(abs(value) for value in real.residuals) < 1e-9
    assert real.outlier is None


def test_ball_tip_gives_the_ball_back() -> None:
    shape = Profile(angle=60, rounding=0.5)
    real = groove_fit(grooves(shape, [1, 2, 3, 4]))
    assert real.shape(ball=True).rounding == pytest.approx(0.5, abs=1e-9)
    assert real.tip == pytest.approx(2 * shape.flank_radius, abs=1e-9)


def test_uncertainties_are_those_of_many_repeats() -> None:
    shape, depths = Profile(angle=30, tip_radius=0.06), [2.0, 3.0, 4.0, 5.0, 6.0]
    rng = np.random.default_rng(11)
    found = []
    for _ in range(4000):
        touched = rng.uniform(-0.05, 0.05)
        found.append(
            groove_fit(
                [
                    Groove(depth=z, width=float(w))
                    for z in depths
                    for w in [
                        2 * shape.half_width_at(z + touched + rng.uniform(-STEP, STEP)) + rng.uniform(-READING, READING)
                    ]
                ],
                touch_off=Spread(value=0.05),
            )
        )
    # scatter below 1 does not narrow what is stated, so that one from exact grooves is the plain statement
    stated = groove_fit(grooves(shape, depths), touch_off=Spread(value=0.05))
    assert stated.angle_u == pytest.approx(np.std([real.angle for real in found]), rel=0.05)
    assert stated.tip_u == pytest.approx(np.std([real.width_at_0 for real in found]), rel=0.05)


def swapped(cut: list[Groove]) -> list[Groove]:
    return [Groove(depth=groove.width, width=groove.depth) for groove in cut]


@pytest.mark.parametrize("angle", [15.0, 30.0, 45.0, 60.0, 90.0])
def test_depth_and_width_in_each_others_place_are_refused(angle: float) -> None:
    cut = grooves(Profile(angle=angle, tip_radius=0.08), [2, 3, 4, 5])
    with pytest.raises(InputError, match="depth and width are swapped, expected DEPTH=WIDTH"):
        refuse_swapped(swapped(cut), declared=angle)
    refuse_swapped(cut, declared=angle)
    # where no sheet says which bit it is, a bit of under 60 deg with a tip shows by itself
    refuse_swapped(cut)
    if angle < 53:
        with pytest.raises(InputError, match=f"and one of {angle:.0f} deg the other way round"):
            refuse_swapped(swapped(cut))


def test_bits_that_read_alike_either_way_are_left_alone() -> None:
    # tan(a / 2) = 1 / 2: as wide as deep
    even = grooves(Profile(angle=2 * math.degrees(math.atan(0.5))), [2, 3, 4])
    refuse_swapped(even, declared=53.0)
    refuse_swapped(swapped(even), declared=53.0)
    # a blunt bit within what its touch-off may be off
    refuse_swapped(grooves(Profile(angle=90), [2, 3, 4], error=-0.04), touch_off=Spread(value=0.05))


def test_touch_off_and_tip_look_alike_until_the_tip_is_seen() -> None:
    shape = Profile(angle=30, tip_radius=0.05)
    cut = grooves(shape, [2, 3, 4, 5], error=0.12)
    alone = groove_fit(cut, touch_off=Spread(value=0.05))
    assert alone.tip == pytest.approx(0.1 + 2 * 0.12 * shape.slope)
    assert alone.touch_off is None
    told = groove_fit(cut, touch_off=Spread(value=0.05), tip_seen=Groove(depth=0, width=0.1))
    assert told.tip == pytest.approx(0.1)
    assert told.touch_off is not None
    assert told.touch_off[0] == pytest.approx(0.12)
    # the tip's reading and the line's height at 0 both count, over the line's slope
    assert told.touch_off[1] > READING / math.sqrt(3) / (2 * shape.slope)


def test_worse_reading_counts_less() -> None:
    shape = Profile(angle=30, tip_radius=0.05)
    cut = grooves(shape, [2, 3, 4, 5])
    off = [*cut[:3], Groove(depth=5, width=cut[3].width + 0.1)]
    doubted = [*cut[:3], Groove(depth=5, width=cut[3].width + 0.1, plus_minus=1.0)]
    assert abs(groove_fit(doubted).angle - 30) < 0.02 * abs(groove_fit(off).angle - 30)


def test_scatter_widens_what_is_stated() -> None:
    shape = Profile(angle=30, tip_radius=0.05)
    cut = grooves(shape, [2, 3, 4, 5])
    rough = [Groove(depth=g.depth, width=g.width + way) for g, way in zip(cut, (0.06, -0.06, -0.06, 0.06))]
    exact, found = groove_fit(cut), groove_fit(rough)
    assert found.scatter is not None
    assert found.scatter > 2
    # of four grooves two are left over the line: Student's factor for two is 1.32 (JCGM 100:2008, table G.2)
    assert found.angle_u == pytest.approx(1.32 * found.scatter * exact.angle_u, rel=0.01)
    assert found.outlier is None


def sets_read(count: int, worse: float, sets: int = 500) -> list[RealBit]:
    """Bits from sets of sound grooves, all read this many times worse than was said."""
    shape, rng = Profile(angle=30, tip_radius=0.06), np.random.default_rng(100 * count + int(worse))
    depths = np.linspace(2, 6, count)
    real = depths + worse * rng.uniform(-STEP, STEP, (sets, count))
    widths = 2 * (shape.tip_radius + real * shape.slope) + worse * rng.uniform(-READING, READING, (sets, count))
    return [groove_fit([Groove(depth=float(z), width=float(w)) for z, w in zip(depths, row)]) for row in widths]


@pytest.mark.parametrize("worse", [1.0, 2.0, 5.0])
@pytest.mark.parametrize("count", [3, 4, 5, 8])
def test_cover_of_what_is_given_as_give_or_take(count: int, worse: float) -> None:
    found = sets_read(count, worse)
    # two out of three lie within one u: more where the reading is as good as said, since u is never below that
    for cover in (
        np.mean([abs(real.angle - 30) <= real.angle_u for real in found]),
        np.mean([abs(real.width_at_0 - 0.12) <= real.tip_u for real in found]),
    ):
        assert 0.68 - 3 * math.sqrt(0.68 * 0.32 / len(found)) < cover < (0.86 if worse == 1 else 0.78)
    # of sound sets at most one in twenty has a groove pointed out
    assert np.mean([real.outlier is not None for real in found]) <= 0.05


@pytest.mark.parametrize(("count", "off", "least"), [(5, 0.3, 0.9), (6, 0.2, 0.9), (8, 0.2, 0.98)])
def test_a_slip_among_sound_grooves_is_pointed_out(count: int, off: float, least: float) -> None:
    shape, rng, hits = Profile(angle=30, tip_radius=0.06), np.random.default_rng(5), []
    for _ in range(200):
        depths = np.linspace(2, 6, count)
        widths = 2 * (shape.tip_radius + depths * shape.slope) + rng.uniform(-READING, READING, count)
        which = int(rng.integers(count))
        widths[which] += off
        real = groove_fit([Groove(depth=float(z), width=float(w)) for z, w in zip(depths, widths)])
        hits.append(real.outlier is not None and real.outlier.number == which)
    assert np.mean(hits) >= least


def test_one_groove_off_is_pointed_out_and_left_in() -> None:
    cut = grooves(Profile(angle=30, tip_radius=0.05), [2, 3, 4, 5, 6])
    real = groove_fit([*cut[:3], Groove(depth=5, width=cut[3].width - 0.15), cut[4]])
    assert real.outlier is not None
    assert real.outlier.number == 3
    assert real.outlier.off == pytest.approx(-0.15, abs=1e-6)
    assert real.outlier.angle == pytest.approx(30, abs=1e-6)
    assert real.outlier.tip == pytest.approx(0.1, abs=1e-6)
    assert abs(real.angle - 30) > 0.2
    assert len(real.grooves) == 5


def test_of_three_grooves_no_one_can_say_which_is_off() -> None:
    cut = grooves(Profile(angle=30, tip_radius=0.05), [2, 3, 4])
    real = groove_fit([cut[0], Groove(depth=3, width=cut[1].width + 0.15), cut[2]])
    assert real.outlier is None
    assert real.scatter is not None
    assert real.scatter > 3


def test_two_grooves_have_nothing_to_scatter_about() -> None:
    assert groove_fit(grooves(Profile(angle=30), [2, 4])).scatter is None


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "found 0 grooves, expected at least two"),
        ([(2, 1)], "found 1 groove, expected at least two"),
        ([(2, 1), (2, 1.1)], "one depth only, 2.00 mm, expected at least two different depths"),
        ([(2, 1.2), (4, 1.1)], "do not grow with their depths"),
        ([(2, 1), (4, 30)], "an included angle of 164 deg, expected those of a V-bit of 5 to 150 deg"),
        ([(2, 1), (6, 1.1)], "an included angle of 1.43 deg"),
        ([(2, 0.3), (4, 2.3)], "a tip of -1.70 mm, expected 0 or more"),
        ([(2, 1), (0, 0.1)], "grooves[2]: found a depth of 0.00 mm, expected more than 0"),
        ([(2, -1), (4, 2)], "grooves[1]: found a width of -1.00 mm, expected more than 0"),
    ],
)
def test_what_no_v_bit_makes_is_refused(pairs: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(InputError) as error:
        groove_fit([Groove(depth=z, width=w) for z, w in pairs])
    assert words in str(error.value)


def test_a_tip_a_little_below_nothing_is_a_point() -> None:
    real = groove_fit(grooves(Profile(angle=30), [2, 3, 4, 5], error=-0.1), touch_off=Spread(value=0.05))
    assert real.tip == 0
    assert real.width_at_0 == pytest.approx(-0.2 * Profile(angle=30).slope)


def test_wall_lift_is_where_the_clearance_vanishes() -> None:
    # the formula itself, clearance(lift, z) for a wall, at both ends of the facing walls
    pocket = Profile(angle=30, tip_radius=0.05), Profile(angle=29.7, tip_radius=0.07)
    plug = Profile(angle=30, tip_radius=0.1), Profile(angle=30.4, tip_radius=0.09)
    depth, below, start, e_p, e_g = 6.0, 2.5, 5.5, 0.04, -0.03
    lift = wall_lift(pocket, plug, depth=depth, below=below, joined=start, pocket_error=e_p, plug_error=e_g)

    def clearance(z: float) -> float:
        (n, a), (m, b) = pocket, plug
        wider = a.tip_radius - n.tip_radius + b.tip_radius - m.tip_radius
        wider += depth * (a.slope - n.slope) + below * (b.slope - m.slope)
        return wider + e_p * a.slope + (e_g + lift) * b.slope + z * (b.slope - a.slope)

    assert min(clearance(0), clearance(start - lift)) == pytest.approx(0, abs=1e-12)
