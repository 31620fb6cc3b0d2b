"""First touch against the closed forms for walls, corners, strokes, gaps and floors.

Each expectation is the formula itself. Where two contacts compete the greater counts. Depths of tip in narrow places
are D (pocket) and D' (plug); the touch-off errors are positive where the bit ran too deep.
"""

import numpy as np
import pytest
import shapely
from joints import F, S, U, circle, joint, notched, seat_of_cut, slope, square, wedge

from inlayfit.seat.as_cut import AsCutBit, Profile
from inlayfit.seat.contacts import contacts
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.rays import rays_of
from inlayfit.seat.ridges import Ridges

CLOSE = 0.002
ERRORS = [(0.0, 0.0), (0.1, 0.0), (-0.1, 0.0), (0.0, 0.1), (0.0, -0.1), (0.15, -0.05), (-0.07, 0.12)]
# every row and sign in the default run; the dense grid of angles with `-m wide`
CORNERS = [*(10, 45, 90, 170), *(pytest.param(a, marks=pytest.mark.wide) for a in (25, 60, 120, 150))]
TIPS = [(0.05, 0.05), (0.0, 0.05), (0.05, 0.0), (0.05, 0.08), (0.08, 0.05), (0.0, 0.0)]


def first_touch(cut):
    both = PlannedPair(cut)
    return contacts(both, rays_of(both))[0].lift


def at_place(cut, place, within=0.3):
    """Lift of the highest contact near a place."""
    both = PlannedPair(cut)
    near = [c.lift for c in contacts(both, rays_of(both)) if np.hypot(c.at[0] - place[0], c.at[1] - place[1]) < within]
    return max(near)


def wall(r_n, r_a, angle, real, e_p, e_g, D=F, D2=U):
    t_n, t_a = slope(angle), slope(real)
    return -(2 * (r_a - r_n) + (D + D2) * (t_a - t_n)) / t_a - e_p - e_g


def convex(r_n, r_a, t, alpha, e_p, e_g):
    s = np.sin(alpha)
    plain = (2 * r_n - r_a * (1 + s)) / t
    lift = plain - e_p - e_g
    if e_p > 0:
        x0 = r_n / s - r_a - e_p * t
        if x0 > 0:
            lift = max(lift, plain - e_p * s - e_g)
        else:
            lift = max(lift, (r_n * (1 + 1 / s) - 2 * r_a) / t - e_p - e_g)
    return lift


def concave(r_n, r_a, t, alpha, e_p, e_g):
    s = np.sin(alpha)
    lift = (r_n * (1 + 1 / s) - 2 * r_a) / t - e_p - e_g
    if r_a - r_n + e_p * t > 0:
        k = (2 * r_n - r_a * (1 + s)) / t - e_p
        lift = max(lift, k - e_g if k <= 0 else k / s - e_g)
    return lift


@pytest.mark.parametrize(("e_p", "e_g"), ERRORS)
@pytest.mark.parametrize(("r_n", "r_a"), TIPS)
@pytest.mark.parametrize("real", [28.0, 30.0, 32.0])
def test_walls_of_a_circle(r_n, r_a, real, e_p, e_g):
    cut = joint(circle(chord=0.001), tip=r_n, real_tip=r_a, real_angle=real, pocket_error=e_p, plug_error=e_g)
    expected = max(wall(r_n, r_a, 30, real, e_p, e_g), S - F)
    assert first_touch(cut) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize(("e_p", "e_g"), ERRORS)
@pytest.mark.parametrize(("r_n", "r_a"), TIPS)
@pytest.mark.parametrize("corner", CORNERS)
def test_convex_corners(corner, r_n, r_a, e_p, e_g):
    t, half = slope(30), np.radians(corner / 2)
    cut = joint(wedge(corner), tip=r_n, real_tip=r_a, pocket_error=e_p, plug_error=e_g)
    expected = max(convex(r_n, r_a, t, half, e_p, e_g), wall(r_n, r_a, 30, 30, e_p, e_g), S - F)
    assert at_place(cut, (0.0, 0.0)) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize(("e_p", "e_g"), ERRORS)
@pytest.mark.parametrize(("r_n", "r_a"), TIPS)
@pytest.mark.parametrize("corner", CORNERS)
def test_concave_corners(corner, r_n, r_a, e_p, e_g):
    t, half = slope(30), np.radians(corner / 2)
    cut = joint(notched(corner), tip=r_n, real_tip=r_a, pocket_error=e_p, plug_error=e_g)
    expected = max(concave(r_n, r_a, t, half, e_p, e_g), wall(r_n, r_a, 30, 30, e_p, e_g), S - F)
    assert at_place(cut, (0.0, 0.0), 2.5) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize(("e_p", "e_g"), ERRORS)
@pytest.mark.parametrize(("r_n", "r_a"), TIPS)
@pytest.mark.parametrize("width", [0.3, 1.0, 2.4])
def test_parallel_stroke(width, r_n, r_a, e_p, e_g):
    cut = joint(shapely.box(0, 0, 30, width), tip=r_n, real_tip=r_a, pocket_error=e_p, plug_error=e_g)
    t = slope(30)
    expected = max((2 * r_n - r_a) / t - e_p - e_g, wall(r_n, r_a, 30, 30, e_p, e_g))
    if (width / 2 + r_n - r_a) / t - e_g >= max(0.0, (width / 2 - r_n) / t + e_p):
        expected = max(expected, convex(r_n, r_a, t, np.pi / 4, e_p, e_g))
        assert first_touch(cut) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("corner", [4, 10, 20])
def test_tapering_stroke_is_a_corner(corner):
    half, r = np.radians(corner / 2), 0.05
    assert at_place(joint(wedge(corner)), (0.0, 0.0)) == pytest.approx(convex(r, r, slope(30), half, 0, 0), abs=CLOSE)


@pytest.mark.parametrize(
    ("r_n", "r_a", "e_g"), [(0.05, 0.05, 0), (0.05, 0.03, 0), (0.05, 0.08, 0.05), (0.05, 0.05, -0.1)]
)
def test_stroke_too_narrow_for_the_tip(r_n, r_a, e_g):
    width = 0.08
    cut = joint(shapely.box(0, 0, 30, width), tip=r_n, real_tip=r_a, plug_error=e_g)
    assert first_touch(cut) == pytest.approx(min(S, (width / 2 + r_n - r_a) / slope(30) - e_g), abs=CLOSE)


@pytest.mark.parametrize("stroke", [1.0, 2.0, 6.0])
def test_gap_too_narrow_for_the_tip(stroke):
    gap = 0.06
    pair = shapely.MultiPolygon([shapely.box(0, 0, 30, stroke), shapely.box(0, stroke + gap, 30, 2 * stroke + gap)])
    expected = min(S, (stroke + gap / 2) / slope(30))
    assert first_touch(joint(pair)) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("e_c", [-0.2, -0.6, 0.1])
def test_floor(e_c):
    cut = joint(circle(), pocket_floor_error=e_c)
    assert first_touch(cut) == pytest.approx(max(0.0, S - F - e_c), abs=CLOSE)


def test_floor_ridges_where_the_v_bit_cleaned():
    # passes of a 0.1 mm flat 0.475 mm apart: (s - 2 r) / (2 T)
    ridges = Ridges(Profile(angle=30, tip_radius=0.05), 0.475, 100.0)
    cut = joint(circle(), clearing=(), ridges=ridges, pocket_error=0.05)
    assert first_touch(cut) == pytest.approx(S - F - 0.05 + (0.475 - 0.1) / (2 * slope(30)), abs=CLOSE)


@pytest.mark.parametrize("corner", [20, 45, 60, 90, 120, 150])
@pytest.mark.parametrize(("e_p", "e_g"), [(0.0, 0.0), (0.0, 0.1), (-0.1, 0.0)])
def test_ball_tip_convex_corner(corner, e_p, e_g):
    b, t, half = 0.4, slope(30), np.radians(corner / 2)
    theta = np.radians(15)
    r_eq = b * (1 - np.sin(theta)) / np.cos(theta)

    def convex_ball(s):
        return r_eq / t + b - b / t * np.sqrt(s**2 + t**2) - e_p - e_g

    g = F - S
    fillet = b - np.sqrt(b**2 - (r_eq + g * t) ** 2) - g if r_eq + g * t < b else S - F
    expected = max(convex_ball(np.sin(half)), -e_p - e_g, fillet - e_p - e_g)
    cut = joint(wedge(corner), ball=b, pocket_error=e_p, plug_error=e_g)
    assert at_place(cut, (0.0, 0.0)) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("corner", [45, 60, 90, 120])
def test_ball_tip_concave_corner(corner):
    b, t, s, theta = 0.4, slope(30), np.sin(np.radians(corner / 2)), np.radians(15)
    r_eq = b * (1 - np.sin(theta)) / np.cos(theta)
    expected = max(r_eq * (1 / s - 1) / t, r_eq / t + b - b / t * np.sqrt(s**2 + t**2))
    assert at_place(joint(notched(corner), ball=b), (0, 0), 2.5) == pytest.approx(expected, abs=CLOSE)


def test_ball_tip_fillet():
    b, t, theta, g = 1.5, slope(60), np.radians(30), 0.2
    r_eq = b * (1 - np.sin(theta)) / np.cos(theta)
    cut = joint(circle(25), angle=60, ball=b, start_depth=F - g)
    expected = b - np.sqrt(b**2 - (r_eq + g * t) ** 2) - g
    assert expected > 0 and first_touch(cut) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize(("real_p", "real_g"), [(30, 31), (31, 30), (29, 31), (30.5, 29.5), (28, 28)])
@pytest.mark.parametrize(("r_p", "r_g"), [((0.05, 0.05), (0.1, 0.1)), ((0.05, 0.08), (0.0, 0.03))])
@pytest.mark.parametrize(("e_p", "e_g"), [(0.0, 0.0), (0.1, -0.05)])
def test_two_bits_on_walls(real_p, real_g, r_p, r_g, e_p, e_g):
    def bit(tips, real):
        return AsCutBit(declared=Profile(angle=30, tip_radius=tips[0]), actual=Profile(angle=real, tip_radius=tips[1]))

    cut = joint(
        circle(12), pocket_bit=bit(r_p, real_p), plug_bit=bit(r_g, real_g), pocket_error=e_p, plug_error=e_g,
        pocket_depth=F + 0.6,
    )  # fmt: skip
    t_n, t_p, t_g, deep = slope(30), slope(real_p), slope(real_g), F + 0.6
    base = r_p[1] - r_p[0] + r_g[1] - r_g[0] + deep * (t_p - t_n) + U * (t_g - t_n) + e_p * t_p + e_g * t_g

    def lift(z):
        return -(base + z * (t_g - t_p)) / t_g

    # at the plug's top edge z = S - lift: base + (S - lift) (t_g - t_p) + lift t_g = 0
    top = -(base + S * (t_g - t_p)) / t_p
    expected = max(lift(0.0), top, S - deep)
    assert first_touch(cut) == pytest.approx(expected, abs=CLOSE)


@pytest.mark.parametrize("corner", [20, 40, 60, 90])
@pytest.mark.parametrize("more", [0.5, 1.0, 2.0])
def test_blunter_bit_in_convex_corners(corner, more):
    r, real, half = 0.05, 30 + more, np.radians(corner / 2)
    t_n, t_a, s = slope(30), slope(30 + more), np.sin(half)
    assert t_a * s <= t_n
    near = (2 * r - r * (1 + s) - U * (t_a - t_n)) / t_a
    # along the wall beside the corner the tip is shallow as well
    expected = max(near, (2 * r - r * (1 + np.sin(np.pi / 4)) - U * (t_a - t_n)) / t_a)
    assert first_touch(joint(wedge(corner), real_angle=real)) == pytest.approx(expected, abs=CLOSE)


def test_whole_seat_of_a_square_is_lawful():
    s = seat_of_cut(joint(square()), crush_strength_mpa=7, clamp_force_n=60)
    assert s.first_touch == pytest.approx(0.05 * (1 - np.sin(np.pi / 4)) / slope(30), abs=CLOSE)
    assert s.glue_gap == pytest.approx(F - S + s.lift) and s.surface_gap == pytest.approx(U + s.lift)


@pytest.mark.parametrize("across", [0.2, 0.5, 1.2])
@pytest.mark.parametrize("chords", [12, 20, 33, 64])
def test_round_hole_by_chords_is_cut_to_its_middle(across, chords):
    # the plug's point goes down in the middle, where all the flattening's branches of the axis meet
    hole = shapely.Point(2.0, 1.0).buffer(across / 2, quad_segs=chords)
    disc = shapely.Point(0, 0).buffer(7.5, quad_segs=max(chords, 24))
    cut = joint(disc.difference(hole), tip=0.0)
    overlap = PlannedPair(cut)
    assert contacts(overlap, rays_of(overlap))[0].lift == pytest.approx(0, abs=0.005)
    middle = overlap.at(np.array([[[2.0, 1.0]]]))[0, 0]
    assert middle == pytest.approx(-across / 2 / slope(30), abs=0.01)
