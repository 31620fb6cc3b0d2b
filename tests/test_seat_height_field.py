"""First touch and lifts under load against a sampled field of both cuts (seat_field.py), on mixed outlines.

Two fields are made, the second twice as fine: they agree within 0.005 mm, and first touch of the seat with the finer
one. Under load 0.03 mm or 15 % of the lift over the walls is asked for.
`python -m pytest -m wide tests/test_seat_height_field.py -s` prints the table that stands in docs/validation.md.
"""

import numpy as np
import pytest
import shapely
from joints import MIXED, circle, joint, seat_of_cut, wedge
from seat_field import Field, lift_with
from shapely import affinity

from inlayfit.cutters import Profile
from inlayfit.seat.as_cut import AsCutBit

SHALLOW = {"pocket_depth": 2.0, "start_depth": 1.7, "depth_below_start": 0.8}
STRENGTH = 7.0


def bit(tip, real_tip, real_angle, angle=30.0):
    declared, actual = Profile(angle=angle, tip_radius=tip), Profile(angle=real_angle, tip_radius=real_tip)
    return AsCutBit(declared=declared, actual=actual)


TWO_BITS = {"pocket_bit": bit(0.05, 0.06, 30.4), "plug_bit": bit(0.1, 0.1, 29.8)}


def arrow():
    return shapely.Polygon([(0, 0), (3, 0.9), (2.4, 0), (3, -0.9)])


def angle_piece():
    return shapely.Polygon([(0, 0), (3, 0), (3, 0.9), (0.9, 0.9), (0.9, 3), (0, 3)])


def letter():
    """An R with round bowl, its leg meeting the bowl at a sharp angle."""
    bowl = shapely.Point(2, 6.2).buffer(2.3, quad_segs=24).difference(shapely.Point(2, 6.2).buffer(1.1, quad_segs=24))
    right = bowl.intersection(shapely.box(1.6, 0, 9, 9))
    leg = shapely.Polygon([(2.4, 4.4), (3.7, 4.0), (5.2, 0), (3.8, 0)])
    return shapely.union_all(
        [shapely.box(0, 0, 1.4, 8.5), shapely.box(1, 7.3, 2, 8.5), shapely.box(1, 3.9, 2, 5.1), right, leg]
    )


def coast():
    """A rough closed line, as a traced map has."""
    noise = np.random.default_rng(11)
    a = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    r = 4 + 0.9 * np.cos(3 * a) + noise.normal(0, 0.18, 90)
    return shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], 1))


def archipelago():
    return shapely.MultiPolygon([
        affinity.translate(affinity.scale(wedge(50, 3.0), s, s, origin=(0, 0)), x, y)
        for s, x, y in ((1.0, 0, 0), (0.6, 3.6, 0.4), (0.4, 0.3, 2.2))
    ])  # fmt: skip


def spiral(width=0.8):
    t = np.linspace(1.5 * np.pi, 4.5 * np.pi, 160)
    return shapely.LineString(np.stack([0.4 * t * np.cos(t), 0.4 * t * np.sin(t)], 1)).buffer(
        width / 2, cap_style="flat", quad_segs=24
    )


def hairline():
    return shapely.box(0, 0, 8, 0.25).union(shapely.box(3, -1.5, 5, 1.5))


def dented():
    return shapely.box(0, 0, 6, 4).difference(shapely.Polygon([(2, 4), (3, 1.2), (3.4, 4)]))


def saw():
    top = [(x, 3 + (i % 2) * 0.8) for i, x in enumerate(np.linspace(8, 0, 17))]
    return shapely.Polygon([(0, 0), (8, 0), *top])


WIDE = [
    ("square", MIXED["square"], {"tip": 0.05}),
    ("circle, bit blunter than told", lambda: circle(4, 0.001), {"tip": 0.05, "real_angle": 31.0}),
    ("star, tip told for none", MIXED["star"], {"tip": 0.0, "real_tip": 0.05}),
    ("comb", MIXED["comb"], {"tip": 0.05}),
    ("plus, two bits", MIXED["plus"], TWO_BITS),
    ("curved S, plug deeper", MIXED["curved_s"], {"tip": 0.1, "real_tip": 0.08, "plug_error": 0.05}),
    ("leaf", MIXED["leaf"], {"tip": 0.1}),
    ("lens, ball tip", MIXED["lens"], {"ball": 0.4}),
    ("ring, bit sharper than told", MIXED["ring"], {"tip": 0.05, "real_angle": 29.0}),
    ("close pair, pocket deeper", MIXED["close_pair"], {"tip": 0.05, "pocket_error": 0.08}),
    ("tapering", MIXED["tapering"], {"tip": 0.05}),
    ("letter", letter, {"tip": 0.05}),
    ("coast, bit blunter than told", coast, {"tip": 0.05, "real_angle": 30.6}),
    ("archipelago, pocket too shallow", archipelago, {"tip": 0.05, "pocket_error": -0.1}),
    ("spiral, 60 degrees", spiral, {"tip": 0.05, "angle": 60.0, **SHALLOW}),
    ("hairline, worn tip", hairline, {"tip": 0.05, "real_tip": 0.03}),
    ("dented, bit sharper than told", dented, {"tip": 0.05, "real_angle": 29.5}),
    ("saw, ball tip", saw, {"ball": 0.25, "angle": 60.0, **SHALLOW}),
    ("arrow, two bits, 60 degrees", arrow,
     {**SHALLOW, "pocket_bit": bit(0.05, 0.06, 60.5, 60.0), "plug_bit": bit(0.1, 0.1, 59.8, 60.0)}),
    ("angle piece, three passes", angle_piece,
     {"tip": 0.05, "real_angle": 29.5, "pocket_passes": (2.1, 4.2), "plug_passes": ((0.25, 2.54), (3.0, 2.54))}),
]  # fmt: skip
QUICK = [
    ("arrow", arrow, {"tip": 0.05}),
    ("angle piece, bit blunter", angle_piece, {"tip": 0.05, "real_angle": 31.0, **SHALLOW}),
    ("arrow, bit sharper", arrow, {"tip": 0.05, "real_angle": 29.0, **SHALLOW}),
    ("angle piece, ball tip", angle_piece, {"ball": 0.25, "angle": 60.0, **SHALLOW}),
    ("arrow, two bits", arrow, {**TWO_BITS, **SHALLOW}),
    # their peaks stand between the places that a search along the wall alone would look at
    ("letter", letter, {"tip": 0.05}),
    ("lens, ball tip", MIXED["lens"], {"ball": 0.4}),
]


def table(name, make, given, spacing, cell, places):
    """Our lifts and the finer field's, [first touch, hand, hand at four times the strength, clamp, clamp likewise]."""
    cut = joint(make(), **given)
    # both forces stay below what the walls bear, where the plug would be driven to the floor
    clamp, hand = 0.7 * cut.outline.area, min(30.0, 1.5 * cut.outline.area)
    found = seat_of_cut(cut, crush_strength_mpa=STRENGTH, clamp_force_n=clamp, hand_force_n=hand)
    ours = [found.first_touch, *found.by_hand, found.lift, found.lift_strong]
    touches, loads = [], []
    for part in (1, 2):
        field = Field(cut, spacing / part)
        points, m = field.sampled(cell / part)
        touches.append(field.first_touch(points, m, cell / part, places))
        areas = [hand / STRENGTH, hand / STRENGTH / 4, clamp / STRENGTH, clamp / STRENGTH / 4]
        loads = [lift_with(m, cell / part, area) for area in areas]
    theirs = [touches[1], *(min(touches[1], x) for x in loads)]
    print(
        f"| {name} |",
        " | ".join(f"{a:.3f} / {b:.3f}" for a, b in zip(ours, theirs)),
        f"| {touches[0] - touches[1]:.4f} |",
    )
    return found, ours, theirs, touches


def agree(*args):
    found, ours, theirs, touches = table(*args)
    assert touches[0] == pytest.approx(touches[1], abs=0.005)
    assert ours[0] == pytest.approx(theirs[0], abs=0.005)
    for mine, other in zip(ours[1:], theirs[1:]):
        assert mine == pytest.approx(other, abs=max(0.03, 0.15 * abs(other - found.walls)))


@pytest.mark.parametrize(("name", "make", "given"), QUICK, ids=[q[0] for q in QUICK])
def test_small_outlines(name, make, given):
    agree(name, make, given, 0.02, 0.08, 8)


@pytest.mark.wide
@pytest.mark.parametrize(("name", "make", "given"), WIDE, ids=[w[0] for w in WIDE])
def test_mixed_outlines(name, make, given):
    agree(name, make, given, 0.01, 0.06, 60)
