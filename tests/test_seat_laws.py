"""What must hold for any outline: moves, ring order and finer flattening do not matter, and nothing lifts by force.

Deeper plug cuts and more force never lift the plug; a finer flattening of the same curve changes little.
"""

import numpy as np
import pytest
import shapely
from joints import MIXED, circle, joint, seat_of_cut
from shapely import affinity

from inlayfit.seat.contacts import contacts
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.rays import rays_of

SOME = ["star", "plus", "leaf", "comb", "ring"]


def touch(outline, **given):
    both = PlannedPair(joint(outline, **given))
    return contacts(both, rays_of(both))[0].lift


def whole(outline, **given):
    return seat_of_cut(joint(outline, **given), crush_strength_mpa=7, clamp_force_n=50, hand_force_n=20)


MOVES = {
    "moved": lambda p: affinity.translate(p, 1234.5, -987.6),
    "turned": lambda p: affinity.rotate(p, 37.0, origin=(0, 0)),
    "mirrored": lambda p: affinity.scale(p, -1, 1, origin=(0, 0)),
    "started elsewhere": lambda p: shapely.Polygon(
        np.roll(shapely.get_coordinates(p.exterior)[:-1], 5, 0), [r.coords for r in p.interiors]
    ),
    "other way round": lambda p: shapely.reverse(p),
}


@pytest.mark.parametrize("name", ["star", "plus", *(pytest.param(n, marks=pytest.mark.wide) for n in SOME[2:])])
@pytest.mark.parametrize("move", MOVES)
def test_moves_do_not_matter(name, move):
    here, there = whole(MIXED[name]()), whole(MOVES[move](MIXED[name]()))
    assert there.first_touch == pytest.approx(here.first_touch, abs=0.0015)
    assert there.by_hand == pytest.approx(here.by_hand, abs=0.004)
    assert there.lift == pytest.approx(here.lift, abs=0.004)


@pytest.mark.parametrize("name", SOME)
def test_a_deeper_plug_cut_never_lifts(name):
    lifts = [touch(MIXED[name](), plug_error=e) for e in (-0.3, -0.1, 0.0, 0.05, 0.2)]
    assert all(b <= a + 1e-6 for a, b in zip(lifts, lifts[1:]))


@pytest.mark.parametrize("name", sorted(MIXED))
def test_more_force_never_lifts(name):
    both = PlannedPair(joint(MIXED[name](), tip=0.1))
    areas = overlap_areas(both, rays_of(both))
    lifts = [areas.lift_under(n, 7.0) for n in (0.1, 1, 5, 20, 80, 300, 1000, 1e4, 1e6)]
    assert all(b <= a + 1e-9 for a, b in zip(lifts, lifts[1:]))
    shares = [areas.above(x) for x in np.linspace(-0.4, 0.4, 30)]
    assert all(b <= a + 1e-9 for a, b in zip(shares, shares[1:]))


@pytest.mark.parametrize("given", [{}, {"pocket_error": 0.1}, {"real_tip": 0.08}, {"real_angle": 29.0},
                                   {"real_angle": 31.0}, {"real_angle": 28.0, "tip": 0.0}])  # fmt: skip
@pytest.mark.parametrize("radius", [3.0, 10.0, 40.0])
def test_finer_flattening_changes_little(radius, given):
    lifts = [touch(circle(radius, chord), **given) for chord in (0.005, 0.0025, 0.00125)]
    assert max(lifts) - min(lifts) < 0.005


def test_finer_flattening_of_a_lens_leaves_the_axis_whole():
    def shape(segments):
        a, b = (shapely.Point(x, 0).buffer(12, quad_segs=segments) for x in (-9, 9))
        return a.intersection(b)

    lifts = [touch(shape(n)) for n in (64, 128, 256)]
    assert max(lifts) - min(lifts) < 0.002


@pytest.mark.parametrize("given", [{}, {"real_angle": 29.0}, {"real_angle": 31.0}])
def test_finer_flattening_of_a_shape_with_holes_and_tips(given):
    def shape(segments):
        a, b = (shapely.Point(x, 0).buffer(8, quad_segs=segments) for x in (-4, 4))
        return a.intersection(b).difference(shapely.Point(0, 0).buffer(1.2, quad_segs=segments))

    lifts = [touch(shape(n), **given) for n in (48, 96, 192)]
    assert max(lifts) - min(lifts) < 0.005
