"""Joint areas, glue and clamping force: solids with closed forms, and published pressures in their units."""

import math

import numpy as np
import pytest
import shapely

from inlayfit.cutters import Profile
from inlayfit.errors import InputError
from inlayfit.joint.depths import depths
from inlayfit.outline.regions import outline_of
from inlayfit.sheet.defaults import job_from_values
from inlayfit.shop.gluing import (
    FILM,
    PRESSURES,
    ClampForce,
    JointArea,
    cavity,
    clamp_force,
    clamping,
    glue_volume,
    joint_area,
    pocket_sections,
)
from inlayfit.statement import told

PSI = 0.006894757
V60 = Profile(angle=60)


def found(pocket_depth=6.0, glue_gap=0.5):
    values = {
        "base": {"thickness": 20.0},
        "plug": {"thickness": 12.0},
        "joint": {"pocket_depth": pocket_depth, "glue_gap": glue_gap},
        "bits": {"v": {"angle": 60, "diameter": 20.0}},
    }
    return depths(job_from_values(values, unit="mm", unit_given=True, title="t"))[0]


def sections(outline, **depths):
    return pocket_sections(outline, found(**depths), V60)


def rectangle(width, height):
    return outline_of([shapely.box(0, 0, width, height)])


def test_walls_of_a_rectangle_are_four_trapezoids():
    slope, depth = math.tan(math.radians(30)), 5.5
    long, short, slant = 60, 40, depth / math.cos(math.radians(30))
    run = 2 * depth * slope
    walls = slant * ((long + long - run) + (short + short - run))

    joint = joint_area(sections(rectangle(60, 40)), V60)

    assert joint.walls == pytest.approx(walls)
    assert joint.floor == pytest.approx((60 - 12 * slope) * (40 - 12 * slope))
    assert joint.projected == 2400
    assert joint.total == joint.walls + joint.floor


def test_a_stroke_too_narrow_for_a_floor_is_all_walls():
    """A V-groove 3 mm wide: two flanks with ends, no floor, no cavity."""
    outline = rectangle(300, 3)

    joint = joint_area(sections(outline), V60)

    assert joint.floor == 0
    # flanks at 60 degrees from the face: twice their plan
    assert joint.walls == pytest.approx(2 * 900)
    assert cavity(sections(outline), 1.0) == 0


def test_the_cavity_of_a_rectangle_is_a_frustum():
    slope = math.tan(math.radians(30))

    def section(depth):
        return (60 - 2 * depth * slope) * (40 - 2 * depth * slope)

    upper, lower = section(5.0), section(6.0)
    expected = (upper + lower + 4 * section(5.5)) / 6

    assert cavity(sections(rectangle(60, 40), glue_gap=1.0), 1.0) == pytest.approx(expected)


def test_the_cavity_of_a_round_inlay_is_a_cone_frustum():
    slope = math.tan(math.radians(30))
    radius = 25.0
    outline = outline_of([shapely.Point(0, 0).buffer(radius, quad_segs=256)])
    upper, lower = radius - 5.0 * slope, radius - 6.0 * slope

    volume = cavity(sections(outline, glue_gap=1.0), 1.0)

    assert volume == pytest.approx(math.pi / 3 * (upper**2 + upper * lower + lower**2), rel=1e-3)


def test_a_plug_that_sits_high_leaves_its_plan_area_more():
    outline = rectangle(60, 40)

    assert cavity(sections(outline), 0.5, 0.2) - cavity(sections(outline), 0.5) == pytest.approx(2400 * 0.2)
    assert cavity(sections(outline), 0.5, -0.2) == cavity(sections(outline), 0.5)


def test_spread_is_a_film_and_the_cavity_its_bound():
    joint = JointArea(floor=1500, walls=2500, projected=2000)

    plenty = glue_volume(joint, 1000.0)
    tight = glue_volume(joint, 500.0, end_grain=True)

    assert plenty.spread == pytest.approx((4000 * 0.05 / 1000, 4000 * 0.15 / 1000))
    assert (plenty.cavity, plenty.use, plenty.thirsty) == (1.0, pytest.approx(0.6), False)
    assert (tight.cavity, tight.use, tight.thirsty) == (0.5, 0.5, True)


def test_the_film_is_the_published_one():
    """2 to 6 thousandths of an inch (a wood scientist's column), printed in inches."""
    assert FILM == (pytest.approx(0.002 * 25.4, abs=0.001), pytest.approx(0.006 * 25.4, abs=0.003))


@pytest.mark.parametrize(
    ("gravity", "pounds"),
    # a glue maker's staff, read in copies; the middle pair from memory
    [(0.35, (100, 150)), (0.42, (100, 150)), (0.50, (125, 175)), (0.63, (175, 250)), (0.75, (175, 250))],
)
def test_published_pressures_by_density(gravity, pounds):
    found = clamp_force(1000, gravity)

    assert found.pressure == (pytest.approx(pounds[0] * PSI, abs=0.005), pytest.approx(pounds[1] * PSI, abs=0.005))
    assert found.force == pytest.approx(tuple(1000 * pressure for pressure in found.pressure))
    assert found.rests_on == told("clamp.glue_maker", gravity=gravity)


def test_pressures_grow_with_density():
    lows, highs = zip(*(pair for _, pair in PRESSURES), strict=True)

    assert list(lows) == sorted(lows)
    assert list(highs) == sorted(highs)


def test_without_a_density_the_handbooks_span_is_given():
    """700 kPa (100 lb/in2) to 1,700 kPa (247 lb/in2), from memory."""
    found = clamp_force(1000)

    assert found.pressure == (pytest.approx(100 * PSI, abs=0.05), pytest.approx(247 * PSI, abs=0.05))
    assert found.rests_on == told("clamp.handbook")


@pytest.mark.parametrize(("area", "gravity"), [(0, 0.5), (-1, None), (10, 0)])
def test_nothing_to_press_on_is_refused(area, gravity):
    with pytest.raises(InputError, match="expected above 0"):
        clamp_force(area, gravity)


# --- how many clamps ------------------------------------------------------------------------------------------------


def wanted(low, high):
    return ClampForce(pressure=(0.7, 1.0), force=(low, high), rests_on=told("clamp.glue_maker", gravity=0.5))


@pytest.mark.parametrize(
    ("wants", "each", "bears", "closes", "bound", "clamps"),
    [
        # the glue decides: whole clamps within what it wants
        ((3500.0, 5000.0), 1000.0, None, None, "glue", (4, 5)),
        ((3500.0, 5000.0), 1000.0, 9000.0, 200.0, "glue", (4, 5)),
        # the walls cut its upper end off
        ((3500.0, 5000.0), 1000.0, 4300.0, None, "glue", (4, 4)),
        # the walls bear less than it wants: no clamp more than they bear
        ((9600.0, 14300.0), 1000.0, 4720.0, 0.0, "walls", (4, 4)),
        ((9600.0, 14300.0), 1000.0, 4720.0, 4500.0, "walls", (5, 5)),
        # one clamp, not tightened to the full
        ((300.0, 500.0), 1000.0, None, None, "glue", (1, 1)),
        # between two and three: three, each a little less
        ((2100.0, 2900.0), 1000.0, None, None, "glue", (3, 3)),
        # what closes the joint counts, though it be more than the walls bear
        ((1000.0, 1500.0), 500.0, 2000.0, 1300.0, "glue", (3, 3)),
        ((1000.0, 1500.0), 500.0, 2000.0, 1800.0, "closing", (4, 4)),
        ((1000.0, 1500.0), 500.0, 2000.0, 2600.0, "closing", (6, 6)),
    ],
)
def test_clamps_for_a_joint(wants, each, bears, closes, bound, clamps):
    found = clamping(wanted(*wants), each, bears=bears, closes=closes)

    assert (found.bound, found.clamps) == (bound, clamps)


def test_advised_clamps_can_be_followed_to_the_letter():
    """Whatever is asked for: what the clamps press with lies within what the walls bear and closes the joint."""
    rng = np.random.default_rng(7)
    for _ in range(2000):
        low, bears, closes, each = 10 ** rng.uniform(2, 4.5, 4)
        found = clamping(wanted(low, low * rng.uniform(1, 2)), each, bears=bears, closes=closes)
        fewest, most = found.clamps
        assert 1 <= fewest <= most
        assert found.force[0] <= found.force[1]
        assert 0 < found.each <= each
        assert most * found.each >= min(closes, bears) * (1 - 1e-9)
        if closes > bears:
            assert found.bound == "closing"
            continue
        assert found.force[1] <= bears * (1 + 1e-9)
        assert most * found.each <= bears * (1 + 1e-9)
