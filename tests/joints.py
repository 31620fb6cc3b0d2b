"""Joints and outlines that the tests share. Lengths in mm."""

import numpy as np
import shapely

from inlayfit.cutters import Profile
from inlayfit.seat.as_cut import AsCut, AsCutBit
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.seat import Loads, Touch, seat

F, S, U = 6.35, 5.842, 2.54


def joint(
    outline, *, angle=30.0, tip=0.05, real_angle=None, real_tip=None, ball=0.0, pocket_error=0.0, plug_error=0.0, **more
):
    """A joint cut with one bit, in inches' usual depths (0.25, 0.23 and 0.10 in)."""
    declared = Profile(angle=angle, tip_radius=0.0 if ball else tip, rounding=ball)
    actual = Profile(
        angle=real_angle or angle, tip_radius=0.0 if ball else tip if real_tip is None else real_tip, rounding=ball
    )
    bit = AsCutBit(declared=declared, actual=actual)
    given = {"pocket_bit": bit, "plug_bit": bit, "pocket_depth": F, "start_depth": S, "depth_below_start": U, **more}
    if isinstance(outline, shapely.Polygon):
        outline = shapely.MultiPolygon([outline])
    return AsCut(outline=outline, pocket_v_error=pocket_error, plug_v_error=plug_error, **given)


def seat_of_cut(cut, **loads):
    """Seat of a plug under these loads."""
    return seat(Touch(PlannedPair(cut)), Loads(**loads))


def slope(angle):
    return np.tan(np.radians(angle) / 2)


def wedge(full_angle, side=40.0):
    """A triangle or kite with one corner of this angle at the origin, opening along x.

    Its other corners are out of the pocket's reach by size alone, so the corner asked about must be the sharpest.
    """
    half = np.radians(full_angle) / 2
    arc = np.linspace(-half, half, 64)
    return shapely.Polygon([(0, 0), *zip(side * np.cos(arc), side * np.sin(arc))])


def notched(full_angle, outer=60.0, deep=20.0):
    """A large disc with a wedge of this angle cut into it: the base's wood points at the origin."""
    half = np.radians(full_angle) / 2
    far = 3 * outer
    bite = shapely.Polygon(
        [(0, 0), (far * np.cos(half), far * np.sin(half)), (far * np.cos(half), -far * np.sin(half))]
    )
    if full_angle > 150:
        bite = shapely.Polygon(
            [(0, 0), (far * np.cos(half), far * np.sin(half)), (far, 0), (far * np.cos(half), -far * np.sin(half))]
        )
    return shapely.Point(-outer + deep, 0).buffer(outer, quad_segs=64).difference(bite)


def circle(radius=10.0, chord=0.005):
    """A circle flattened by chords no further than `chord` from it."""
    n = int(np.ceil(np.pi / np.arccos(1 - chord / radius)))
    t = np.arange(n) * 2 * np.pi / n
    return shapely.Polygon(np.stack([radius * np.cos(t), radius * np.sin(t)], 1))


def star(points=5, outer=8.0, inner=3.2):
    a = np.arange(2 * points) * np.pi / points
    r = np.where(np.arange(2 * points) % 2, inner, outer)
    return shapely.Polygon(np.stack([r * np.sin(a), r * np.cos(a)], 1))


def comb(teeth=5, width=0.7, pitch=1.6):
    bars = [shapely.box(i * pitch, 1.5, i * pitch + width, 6) for i in range(teeth)]
    return shapely.union_all([shapely.box(0, 0, (teeth - 1) * pitch + width, 2), *bars])


def plus(arm=5.0, width=3.0):
    return shapely.box(-arm, -width / 2, arm, width / 2).union(shapely.box(-width / 2, -arm, width / 2, arm))


def curved_s(width=2.2):
    t = np.linspace(0, 1.5 * np.pi, 160)
    low = np.stack([2.5 * np.sin(t), 2.5 * (1 - np.cos(t))], 1)
    line = np.concatenate([-low[::-1], low[1:]])
    return shapely.LineString(line).buffer(width / 2, cap_style="flat", quad_segs=32)


def leaf(teeth=9, length=22.0, width=9.0):
    """A leaf with a serrated edge and two sharp ends."""
    x, half = [], []
    for i in range(teeth):
        for part, lift in ((0.0, 0.0), (0.78, 0.55), (0.82, 0.1)):
            s = (i + part) / teeth
            x.append(s * length)
            half.append(width / 2 * np.sin(np.pi * s) ** 0.8 + (lift if 0 < s < 0.95 else 0))
    x.append(length)
    half.append(0.0)
    up = list(zip(x, half))
    return shapely.make_valid(shapely.Polygon(up + [(a, -b) for a, b in up[-2:0:-1]]))


def lens(radius=12.0, apart=18.0):
    a, b = (shapely.Point(s * apart / 2, 0).buffer(radius, quad_segs=64) for s in (-1, 1))
    return a.intersection(b)


def ring():
    return circle(7).difference(circle(4.4))


def close_pair(gap=0.35):
    return shapely.MultiPolygon([shapely.box(0, 0, 8, 4), shapely.box(0, 4 + gap, 8, 8)])


def tapering():
    return shapely.Polygon([(0, -0.12), (14, -1.3), (14, 1.3), (0, 0.12)])


def square():
    return shapely.box(0, 0, 9, 9)


MIXED = {f.__name__: f for f in (square, circle, star, comb, plus, curved_s, leaf, lens, ring, close_pair, tapering)}
