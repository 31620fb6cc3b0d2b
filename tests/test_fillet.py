"""A clearing bit with rounded corners: what it leaves beside the wall's foot, and the plug that lands on it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from jobs import job
from joints import F, S, U, joint, slope

from inlayfit.cutters import Profile, end_mill
from inlayfit.joint.depths import depths
from inlayfit.joint.fillet import Fillet
from inlayfit.joint.schedule import schedule
from inlayfit.outline.boundary import Boundary
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.survey import survey
from inlayfit.pictures.cross_section import cross_section
from inlayfit.plan import Plan, plan
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.seat import Loads, Touch, seat
from inlayfit.shop.cut_paths import CutPaths
from inlayfit.shop.sweeps import sweeps

GAP = F - S
LOADS = Loads(crush_strength_mpa=7.0, clamp_force_n=60.0)


def crest(corner: float, tip: float, angle: float, allowance: float = 0.0) -> float:
    """Height of the crest, by hand.

    At height h the V-bit's groove reaches 2 r + h T from the wall's foot, or where it cleaned an allowance a wider than
    its flat a + h T; the fillet reaches a + c - sqrt(2 c h - h2). With q = a + c - max(2 r, a) they meet where
    h2 (1 + T2) - 2 h (c + q T) + q2 = 0.
    """
    t, q = slope(angle), corner + allowance - max(2 * tip, allowance)
    if q <= 0:
        return 0.0
    b = corner + q * t
    return (b - math.sqrt(b * b - (1 + t * t) * q * q)) / (1 + t * t)


CASES = [
    (1.0, 0.05, 30.0, 0.0),
    (1.0, 0.0, 60.0, 0.0),
    (0.5, 0.1, 30.0, 0.0),
    (1.5, 0.05, 90.0, 0.0),
    (1.0, 0.05, 30.0, 0.08),
    (1.0, 0.05, 30.0, 0.4),
    (0.2, 0.11, 30.0, 0.0),  # the flat of the V-bit takes all of it
]


@pytest.mark.parametrize(("corner", "tip", "angle", "allowance"), CASES)
def test_crest_between_the_fillet_and_the_v_bits_other_flank(
    corner: float, tip: float, angle: float, allowance: float
) -> None:
    v = Profile(angle=angle, tip_radius=tip)
    left = Fillet(declared=v, real=v, clearing=(end_mill(6.0, corner),), allowance=allowance)
    assert left.height == pytest.approx(crest(corner, tip, angle, allowance), abs=1e-9)
    # the duller way: the lower of the two cuts at many places beside the foot
    places = np.linspace(allowance, allowance + corner, 20_001)[1:-1]
    by_arc = corner - np.sqrt(corner**2 - (allowance + corner - places) ** 2)
    by_v = np.maximum(0.0, np.abs(places - tip) - tip) / slope(angle)
    if allowance:
        by_v = np.minimum(by_v, (places - allowance) / slope(angle))
    assert left.height == pytest.approx(float(np.minimum(by_arc, by_v).max()), abs=1e-3)


def test_square_corners_leave_nothing_and_a_square_bit_takes_the_others_fillet() -> None:
    v = Profile(angle=30, tip_radius=0.05)
    assert Fillet(declared=v, real=v, clearing=(end_mill(6.0),), allowance=0.0).height == 0
    assert Fillet(declared=v, real=v, clearing=(), allowance=0.0).height == 0
    both = Fillet(declared=v, real=v, clearing=(end_mill(6.0), end_mill(3.0, 0.5)), allowance=0.0)
    assert both.height == 0


@pytest.mark.parametrize(("corner", "tip", "angle", "allowance"), CASES)
@pytest.mark.parametrize("gap", [0.1, GAP])
def test_fillet_against_the_square_edge_of_the_plugs_face(
    corner: float, tip: float, angle: float, allowance: float, gap: float
) -> None:
    # the plug's face, flat from its edge on, lands on the crest; first touch is its height less the glue gap
    cut = joint(
        shapely.Point(0, 0).buffer(20, quad_segs=400), angle=angle, tip=tip, start_depth=F - gap,
        clearing=(end_mill(6.0, corner),), wall_allowance=allowance,
    )  # fmt: skip
    found = Touch(PlannedPair(cut)).contacts
    expected = crest(corner, tip, angle, allowance) - gap
    assert found[0].lift == pytest.approx(max(0.0, expected), abs=0.002)
    if expected > 0.01:
        assert (found[0].kind, found[0].side) == ("fillet", "pocket")


def test_fillet_of_the_plugs_own_floor_lands_on_the_bases_face() -> None:
    below = 0.2
    cut = joint(
        shapely.Point(0, 0).buffer(20, quad_segs=400), tip=0.05, depth_below_start=below,
        clearing=(end_mill(6.0, 1.0),),
    )  # fmt: skip
    first = Touch(PlannedPair(cut)).contacts[0]
    assert first.lift == pytest.approx(crest(1.0, 0.05, 30.0) - below, abs=0.002)
    assert (first.kind, first.side) == ("fillet", "plug")


def test_errors_of_setting_move_the_fillet_with_its_floor() -> None:
    outline = shapely.Point(0, 0).buffer(20, quad_segs=400)
    given = {"tip": 0.05, "start_depth": F - 0.1, "clearing": (end_mill(6.0, 1.0),)}
    for floor, v in ((0.05, 0.0), (-0.05, 0.0), (0.0, 0.05)):
        cut = joint(outline, pocket_floor_error=floor, pocket_error=v, **given)
        # duller: the base's depth beside the foot, place by place
        x = np.linspace(0, 1, 100_001)
        by_arc = F + floor - (1 - np.sqrt(1 - (1 - x) ** 2))
        by_v = F + v - np.maximum(0, np.abs(x - 0.05) - 0.05) / slope(30)
        expected = (S + GAP - 0.1) - float(np.maximum(by_arc, by_v).min())
        assert Touch(PlannedPair(cut)).contacts[0].lift == pytest.approx(max(expected, -v), abs=0.002)


def test_where_the_bit_does_not_get_in_it_leaves_no_fillet() -> None:
    # a stroke 8 mm wide, a bit 6 mm wide: 8 - 2 x 1.70 is too narrow for it, and the V-bit cleans the floor
    bar = shapely.box(0, 0, 60, 8)
    given = {"tip": 0.05, "start_depth": F - 0.05}
    square = Touch(PlannedPair(joint(bar, clearing=(end_mill(6.0),), **given)))
    rounded = Touch(PlannedPair(joint(bar, clearing=(end_mill(6.0, 1.0),), **given)))
    assert rounded.contacts[0].lift == pytest.approx(square.contacts[0].lift, abs=1e-6)
    # where it does, highest in the corners: there the V-bit cleans up to the bit's side
    wide = Touch(PlannedPair(joint(shapely.box(0, 0, 60, 12), clearing=(end_mill(6.0, 1.0),), **given)))
    assert wide.contacts[0].lift == pytest.approx(crest(1.0, 0.0, 30.0) - 0.05, abs=0.002)


def test_overlap_is_that_of_the_bits_held_at_every_place() -> None:
    # a 10 mm square: the mill held all over where it may go, the V-bit along the wall and wherever the mill is not
    side, corner, radius = 12.0, 1.0, 3.0
    cut = joint(shapely.box(0, 0, side, side), tip=0.05, clearing=(end_mill(2 * radius, corner),))
    pair, rng = PlannedPair(cut), np.random.default_rng(4)
    foot = F * slope(30)
    points = rng.uniform(foot + 0.02, side / 2, (400, 2))
    room = shapely.box(foot + radius, foot + radius, side - foot - radius, side - foot - radius)
    grid = np.stack(np.meshgrid(*2 * [np.linspace(foot + radius, side - foot - radius, 400)]), -1).reshape(-1, 2)
    for point, m in zip(points, pair.at(points[:, None])[:, 0], strict=True):
        away = float(np.hypot(*(grid - point).T).min())
        mill = F - end_mill(2 * radius, corner).depth_in(away) if away < radius else -np.inf
        near = float(min(point[0], point[1], side - point[0], side - point[1])) - foot
        wall = F - max(0.0, abs(near - 0.05) - 0.05) / slope(30)
        clean = F - max(0.0, radius - room.distance(shapely.Point(point))) / slope(30)
        base = max(mill, wall, clean)
        if mill > -np.inf or near > 0.3:
            assert m == pytest.approx(S - base, abs=0.01)


def test_load_is_borne_by_the_crest_before_the_floor() -> None:
    cut = joint(
        shapely.box(0, 0, 60, 40), tip=0.05, start_depth=F - 0.1, clearing=(end_mill(6.0, 1.0),), depth_below_start=U
    )
    light, heavy = (seat(Touch(PlannedPair(cut)), replace(LOADS, clamp_force_n=force)) for force in (20.0, 2000.0))
    assert -0.1 < heavy.lift < light.lift <= crest(1.0, 0.05, 30.0) - 0.1 + 1e-6
    assert heavy.glue_gap == pytest.approx(0.1 + heavy.lift)


def test_height_that_bears_is_where_the_wood_is_so_wide() -> None:
    v = Profile(angle=30, tip_radius=0.05)
    left = Fillet(declared=v, real=v, clearing=(end_mill(6.0, 1.0),), allowance=0.0)
    assert left.width_at(0.0) == pytest.approx(1.0 - 0.1)
    assert left.width_at(left.height) == pytest.approx(0.0, abs=1e-9)
    places = np.linspace(0, 1, 200_001)
    heights = np.array([left.height_at(place) for place in places[::50]])
    for wide in (0.1, 0.4, 0.8):
        share = float((heights > left.height_bearing(wide)).mean())
        assert share == pytest.approx(wide, abs=0.002)
    assert left.height_bearing(0.95) == 0


ROUNDED = {
    "name": "6 mm bull nose", "diameter": 6.0, "reach": 20.0, "depth_of_cut": 3.0, "stepover": 2.0, "corner": 1.0
}  # fmt: skip


def planned(outline: Outline | None, changes: dict[str, object]) -> Plan:
    return plan(job(changes), outline, nominal=True)


def test_section_shows_the_crest() -> None:
    found = cross_section(planned(None, {"bits.clearing": ROUNDED}).facts, 15.0)
    foot = 15.0 - 6.0 * slope(30)
    beside = [6.0 - depth for x, depth in found.pocket if x < foot - 0.12]
    assert max(beside) == pytest.approx(crest(1.0, 0.05, 30.0), abs=1e-6)
    assert found.pocket_floor == 6.0
    # as wide as the bit does not get into, the V-bit cleans it: a flat floor
    narrow = cross_section(planned(None, {"bits.clearing": ROUNDED}).facts, 4.5)
    assert {depth for x, depth in narrow.pocket if x < 4.5 - 6.0 * slope(30) - 0.01} == {6.0}
    out = [height + 2.5 for x, height in found.plug if x > 15.0 + 2.5 * slope(30) + 0.12]
    assert max(out) == pytest.approx(crest(1.0, 0.05, 30.0), abs=1e-6)


def test_floor_under_fillets() -> None:
    wide, high, radius, corner = 60.0, 40.0, 3.0, 1.0
    found = planned(outline_of([shapely.box(0, 0, wide, high)]), {"bits.clearing": ROUNDED})
    inner = 6.0 * slope(30)
    w, h = wide - 2 * inner, high - 2 * inner
    reached = w * h - (4 - math.pi) * radius**2
    flat = (w - 2 * corner) * (h - 2 * corner) - (4 - math.pi) * (radius - corner) ** 2
    floor = found.facts.outline.floor.pocket
    assert floor.reached == pytest.approx(reached, rel=1e-4)
    assert floor.filleted == pytest.approx(reached - flat, rel=1e-3)
    plain = planned(outline_of([shapely.box(0, 0, wide, high)]), {"bits.clearing": {**ROUNDED, "corner": 0.0}})
    assert plain.facts.outline.floor.pocket.filleted == 0
    assert plain.facts.outline.floor.pocket.reached == floor.reached


def test_checks_tell_the_fillet_and_the_ridges() -> None:
    high = crest(1.0, 0.05, 30.0)
    found = {entry.id: entry for entry in planned(None, {"bits.clearing": ROUNDED, "joint.glue_gap": 0.3}).findings}
    assert found["glue-gap"].status == "doubtful"
    assert found["glue-gap"].limit == pytest.approx(high)
    roomy = {entry.id: entry for entry in planned(None, {"bits.clearing": ROUNDED, "joint.glue_gap": 0.45}).findings}
    assert roomy["glue-gap"].status == "pass"
    # side by side passes 5 mm apart: the rounded corners meet 2.5 mm off, half a corner's radius up its arc
    coarse = planned(None, {"bits.clearing": {**ROUNDED, "stepover": 5.0}})
    ridges = {entry.id: entry for entry in coarse.findings}["floor-ridges"]
    assert ridges.value == pytest.approx(1 - math.sqrt(3) / 2)


def test_smaller_bit_takes_the_fillet_that_a_larger_rounded_one_left() -> None:
    outline = outline_of([shapely.box(0, 0, 60, 40)])
    paths = CutPaths(outline, survey(Boundary(outline)), 6.0)
    large, small = job({"bits.clearing": ROUNDED}).bits.clearing[0], job().bits.clearing[0]
    square = replace(large, shape=end_mill(6.0), real=end_mill(6.0))
    one, other = (paths.clearing("pocket", 1.6, small, [bit]) for bit in (large, square))
    band = (56.8 + 36.8) * 2 * 1.0
    assert (one.floor - other.floor) * small.stepover == pytest.approx(band, rel=0.05)
    assert one.lines == other.lines


def test_sweep_of_a_rounded_bit_is_its_passes_one_by_one() -> None:
    this = job({"bits.clearing": {**ROUNDED, "corner": 2.5, "depth_of_cut": 1.0}})
    found, _ = depths(this)
    area = shapely.box(0, 0, 60, 40)
    sweep = next(entry for entry in sweeps(this, found, schedule(this, found), base=area) if entry.step == "clear")
    bit, slow = this.bits.clearing[0], slope(30)
    whole = shapely.union_all(
        [area.buffer(-(total * slow + 3.0)).buffer(bit.radius_at(total)) for total in np.arange(1.0, 6.1, 1.0)]
    )
    assert sweep.face().covers(whole.buffer(-1e-6))
    assert sweep.face().area == pytest.approx(whole.area, rel=0.01)


def test_rounded_surfacing_bit_leaves_ridges_on_the_face() -> None:
    rounded = {"name": "surfacing bit", "diameter": 25.0, "reach": 40.0, "depth_of_cut": 1.0, "corner": 3.0}
    for stepover, status in ((18.0, "pass"), (24.0, "doubtful")):
        found = planned(None, {"bits.levelling": {**rounded, "stepover": stepover}, "joint.sanding": 0.25})
        assert {entry.id: entry.status for entry in found.findings}["levelling"] == status
