"""Checks that need the outline: statuses provoked with outlines of known widths, places where they are."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from findings import judged, message, place_words, remedy
from jobs import CLEARING, GONE, job
from outlines import SHARED, islands, polygon, square, survey
from shapely.geometry import Polygon

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import MOST_PLACES, Finding
from inlayfit.joint.depths import depths
from inlayfit.joint.floor import floor_access
from inlayfit.joint.schedule import schedule
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.survey import SAMPLES
from inlayfit.report.wording import say
from inlayfit.shop.shop import shop
from inlayfit.tolerance.stack import depth_stack

SLOPE_30 = math.tan(math.radians(15))


def judge(check: str, outline: Outline, changes: dict[str, Any] | None = None) -> Finding:
    made = job(changes)
    nominal, _ = depths(made)
    passes, surveyed = schedule(made, nominal), survey(outline)
    looked_at = OutlineFacts(
        survey=surveyed,
        floor=floor_access(outline, made, nominal),
        shop=shop(made, nominal, passes, outline, surveyed),
    )
    stack = depth_stack(made, nominal)
    facts = Facts(job=made, depths=nominal, passes=passes, outline=looked_at, stack=stack)
    finding = judged(check.replace("_", "-"), facts)
    assert bool(remedy(finding)) == (finding.status != "pass")
    assert len(finding.places) <= MOST_PLACES
    return finding


def bar(width: float, length: float = 60.0) -> Outline:
    return polygon([(0, 0), (length, 0), (length, width), (0, width)])


def plate_with_stroke(width: float) -> Outline:
    """A plate 40 x 30 with a stroke 10 mm long growing out of it to the right, its middle at y = 15."""
    low, high = 15 - width / 2, 15 + width / 2
    return polygon([(0, 0), (40, 0), (40, low), (50, low), (50, high), (40, high), (40, 30), (0, 30)])


# --- fine strokes ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "status"),
    [
        (0.02, "fail"),
        (0.0999, "fail"),  # the tip is 0.1 wide
        (0.101, "doubtful"),
        (2 * (0.4 * 6 * SLOPE_30 + 0.05), "doubtful"),
    ],
)
def test_bar_that_is_cut_or_not(width: float, status: str) -> None:
    finding = judge("fine_strokes", bar(width))
    assert finding.status == status
    if status == "doubtful":
        # the whole bar stays under half depth
        assert finding.value == pytest.approx(1, abs=1e-6)


def test_wide_plate_passes() -> None:
    # of a square of 200 only the corners' ends stay shallow: 8 (F T/2 + r) of 800
    finding = judge("fine_strokes", square(200.0))
    assert finding.status == "pass"
    assert finding.value == pytest.approx(8 * (3 * SLOPE_30 + 0.05) / 800, abs=8 / SAMPLES)
    assert finding.places == ()


def test_share_under_half_depth_against_its_limit() -> None:
    share = 8 * (3 * SLOPE_30 + 0.05) / 400
    # corners are shallow by themselves: four times as much of them as of strokes
    assert judge("fine_strokes", square(100.0), {"limits.fine_strokes": share / 4 + 0.002}).status == "pass"
    assert judge("fine_strokes", square(100.0), {"limits.fine_strokes": share / 4 - 0.002}).status == "doubtful"
    # a plate with a stroke that stays under half depth on both its sides and end
    stroked = plate_with_stroke(1.0)
    found = judge("fine_strokes", stroked)
    assert found.value is not None
    assert judge("fine_strokes", stroked, {"limits.fine_strokes": found.value + 0.01}).status == "pass"
    assert judge("fine_strokes", stroked, {"limits.fine_strokes": found.value - 0.01}).status == "doubtful"


def test_one_stroke_that_is_not_cut_fails_with_its_place() -> None:
    finding = judge("fine_strokes", plate_with_stroke(0.09))
    assert finding.status == "fail"
    assert finding.places
    for place in finding.places:
        assert place.value == pytest.approx(0.09, abs=1e-6)
        assert 40 <= place.at[0] <= 50
        assert place.at[1] == pytest.approx(15, abs=1e-6)
    assert "0.09 mm" in message(finding)
    assert judge("fine_strokes", plate_with_stroke(0.11)).status != "fail"


def test_true_point_enters_any_stroke_and_a_ball_none_that_its_flank_does_not() -> None:
    assert judge("fine_strokes", plate_with_stroke(0.01), {"bits.v.tip": 0.0}).status != "fail"
    # b (1 - sin t) / cos t: where the flank, run on to the lowest point, is that far from the axis
    flank = 0.5 * (1 - math.sin(math.radians(15))) / math.cos(math.radians(15))
    for wide, status in ((2 * flank + 0.02, "doubtful"), (2 * flank - 0.02, "fail")):
        found = judge("fine_strokes", plate_with_stroke(wide), {"bits.v.tip": GONE, "bits.v.ball": 0.5})
        assert found.status == status, wide


def test_depth_of_the_narrowest_stroke_is_told() -> None:
    # (w/2 - r)/T, for a ball with r of the flat that has its flank
    flat = judge("fine_strokes", plate_with_stroke(1.5))
    assert f"{(0.75 - 0.05) / SLOPE_30:.2f} mm deep" in message(flat)
    ball = judge("fine_strokes", plate_with_stroke(1.7), {"bits.v.tip": GONE, "bits.v.ball": 1.0})
    flank = (1 - math.sin(math.radians(15))) / math.cos(math.radians(15))
    assert f"{(0.85 - flank) / SLOPE_30:.2f} mm deep" in message(ball)
    assert "6.00 mm deep" in message(judge("fine_strokes", plate_with_stroke(8.0), {"limits.fine_strokes": 0.3}))


def test_fine_regions_are_judged_region_by_region() -> None:
    # a dot that has no facing walls, 0.08 across, beside a plate
    dot = Polygon([(60, 10), (60.08, 10), (60.04, 10.07)])
    outline = outline_of([Polygon([(0, 0), (40, 0), (40, 30), (0, 30)]), dot])
    finding = judge("fine_strokes", outline)
    assert finding.status == "fail"
    assert [place for place in finding.places if dot.distance(shapely.Point(place.at)) == 0] == list(
        finding.places
    )
    assert all("region 2" in place_words(place) for place in finding.places)


def test_tips_of_tapers_are_no_fine_strokes() -> None:
    # every drawing has corners; a leaf's tip narrows to nothing and is not 'a stroke that is not cut'
    for outline in (SHARED["lens"](), SHARED["star"](), polygon([(0, 0), (60, 0), (0, 45)])):
        assert judge("fine_strokes", outline).status != "fail"


def test_tip_of_a_long_thin_taper_is_no_stroke_either() -> None:
    # a thorn 40 long and 3 wide at its root, 4.3 deg: cut nearly everywhere, and its tip lost as every corner's is
    assert judge("fine_strokes", polygon([(0, 0), (40, 0), (0, 3)])).status != "fail"


def test_fine_strokes_rest_on_an_assumed_tip() -> None:
    assert judge("fine_strokes", square(), {"bits.v.tip": GONE}).rests_on == ("bits.v.tip",)


# --- clearing access ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("diameter", "status"), [(2.0, "pass"), (8.0, "pass"), (16.5, "doubtful"), (19.0, "doubtful")]
)
def test_share_of_the_floor_left_to_the_v_bit(diameter: float, status: str) -> None:
    finding = judge("clearing_access", square(20.0), {"bits.clearing": {**CLEARING, "diameter": diameter}})
    side = 20 - 2 * 6 * SLOPE_30
    left = (4 - math.pi) * (diameter / 2) ** 2 / side**2 if diameter <= side else 1.0
    assert finding.value == pytest.approx(left, abs=0.002)
    assert finding.status == ("pass" if left <= 0.2 else "doubtful")
    assert finding.status == status
    assert finding.kind == "share"


def test_clearing_limit_of_the_sheet() -> None:
    assert judge("clearing_access", square(20.0), {"limits.clearing_access": 0.001}).status == "doubtful"


def test_smallest_of_several_bits_is_judged() -> None:
    bits = ({**CLEARING, "diameter": 16.0}, {**CLEARING, "name": "small", "diameter": 2.0})
    finding = judge("clearing_access", square(20.0), {"bits.clearing": bits})
    assert finding.status == "pass"
    assert "small" in message(finding)


def test_no_clearing_bit_leaves_all_to_the_v_bit() -> None:
    finding = judge("clearing_access", square(20.0), {"bits.clearing": GONE})
    assert (finding.status, finding.value, finding.rests_on) == ("doubtful", 1.0, ("bits.clearing",))


def test_no_floor_in_the_pocket_leaves_the_plugs() -> None:
    finding = judge("clearing_access", bar(2.0))
    assert finding.status == "pass"
    assert finding.value == pytest.approx(0, abs=0.002)
    assert "none of the pocket" in message(finding)


def test_slots_that_the_bit_does_not_enter_count_in_the_plug() -> None:
    # two plates 3 apart, 60 long: 3 - 2 U T of floor between them, too narrow for the bit with its offsets
    width = 3 - 2 * 2.5 * SLOPE_30
    plates = outline_of([Polygon([(0, y), (60, y), (60, y + 30), (0, y + 30)]) for y in (0, 33)])
    border = 1.0
    large = judge(
        "clearing_access", plates, {"plug.border": border, "bits.clearing": {**CLEARING, "diameter": 2.0}}
    )
    small = judge(
        "clearing_access", plates, {"plug.border": border, "bits.clearing": {**CLEARING, "diameter": 1.0}}
    )
    outside = 2 * (60 + 63) * border + math.pi * ((border + 2.5 * SLOPE_30) ** 2 - (2.5 * SLOPE_30) ** 2)
    assert large.value == pytest.approx(60 * width / (60 * width + outside), rel=0.05)
    assert large.status == "doubtful"
    assert small.status == "pass"


# --- what levelling leaves ------------------------------------------------------------------------------------------

TAKEN = 0.25 + 0.25


@pytest.mark.parametrize("tip", [0.0, 0.1])
def test_stroke_that_vanishes_when_levelled(tip: float) -> None:
    # w <= 2 (k T + r)
    vanishing = 2 * (0.25 * SLOPE_30 + tip / 2)
    given = {"bits.v.tip": tip, "joint.sanding": 0.0}
    gone = judge("survives_levelling", plate_with_stroke(vanishing - 0.002), given)
    assert gone.status == "fail"
    assert all(
        40 <= place.at[0] <= 50 and place.at[1] == pytest.approx(15, abs=1e-6) for place in gone.places
    )
    # what levelling leaves of a stroke a hair wider lasts no wear
    left = judge("survives_levelling", plate_with_stroke(vanishing + 0.002), given)
    assert left.status == "fail"
    assert "vanish" not in message(left)
    assert "less than the 0.20 mm that lasts" in message(left)


def test_stroke_that_sanding_takes_away_does_not_survive() -> None:
    # deeper than levelling, less deep than levelling and sanding
    width = 2 * (0.9 * TAKEN * SLOPE_30 + 0.05)
    finding = judge("survives_levelling", plate_with_stroke(width))
    assert finding.status == "fail"
    assert finding.value == pytest.approx(-0.1 * TAKEN, abs=1e-6)
    # it is still there when levelled, and no place vanishes
    assert "vanish" not in message(finding)


def test_stroke_that_levelling_leaves_too_little_of() -> None:
    # depth (w/2 - r)/T less levelling and sanding against 0.5
    just = 2 * ((TAKEN + 0.5) * SLOPE_30 + 0.05)
    thin = judge("survives_levelling", plate_with_stroke(just - 0.01))
    assert thin.status == "doubtful"
    assert thin.value == pytest.approx((just - 0.01 - 0.1) / 2 / SLOPE_30 - TAKEN, abs=1e-6)
    assert thin.places
    enough = judge("survives_levelling", plate_with_stroke(just + 0.01))
    assert enough.status == "pass"
    assert enough.value == pytest.approx((just + 0.01 - 0.1) / 2 / SLOPE_30 - TAKEN, abs=1e-6)


def test_ball_tip_survives_by_its_own_depth() -> None:
    b, width = 1.0, 1.2
    finding = judge("survives_levelling", plate_with_stroke(width), {"bits.v.tip": GONE, "bits.v.ball": b})
    depth = b - math.sqrt(b * b - width * width / 4)
    assert depth < 0.25  # 0.2: cut less deep than levelled
    assert finding.status == "fail"


@pytest.mark.parametrize(("left", "status"), [(0.19, "fail"), (0.21, "doubtful"), (0.49, "doubtful"), (0.51, "pass")])
def test_inlay_that_is_left_lasts_or_not(left: float, status: str) -> None:
    width = 2 * ((TAKEN + left) * SLOPE_30 + 0.05)
    found = judge("survives_levelling", plate_with_stroke(width))
    assert found.status == status
    assert found.value == pytest.approx(left, abs=1e-6)
    assert found.limit == (0.2 if status == "fail" else 0.5)
    assert bool(found.places) == (status != "pass")
    # both limits may be set, or the upper one alone
    assert judge("survives_levelling", plate_with_stroke(width), {"limits.least_inlay": (0.1, 0.15)}).status == "pass"
    assert judge("survives_levelling", plate_with_stroke(width), {"limits.least_inlay": 0.1}).status == "pass"


def test_limit_of_survival() -> None:
    width = 2 * ((TAKEN + 0.3) * SLOPE_30 + 0.05)
    assert judge("survives_levelling", plate_with_stroke(width)).status == "doubtful"
    assert (
        judge("survives_levelling", plate_with_stroke(width), {"limits.least_inlay": 0.2}).status
        == "pass"
    )


@pytest.mark.parametrize("pocket", [0.9, 1.2, 1.4, 1.6, 2.0, 6.0])
def test_what_is_left_is_bound_by_the_pocket_too(pocket: float) -> None:
    # wide strokes of a shallow pocket: F - G less levelling and sanding
    finding = judge(
        "survives_levelling", square(40.0), {"joint.pocket_depth": pocket, "joint.surface_gap": 1.0}
    )
    left = pocket - 0.5 - TAKEN
    assert finding.value == pytest.approx(left)
    assert finding.status == ("pass" if left >= 0.5 else "doubtful" if left > 0 else "fail")


def test_survival_rests_on_assumptions() -> None:
    gone = {"joint.level_below": GONE, "joint.sanding": GONE}
    assert judge("survives_levelling", square(), gone).rests_on == ("joint.level_below", "joint.sanding")


# --- places ---------------------------------------------------------------------------------------------------------


def rake() -> Outline:
    """A plate with eight strokes of different widths, 10 mm long and 10 mm apart, along its right side."""
    corners: list[tuple[float, float]] = [(0.0, 0.0), (40.0, 0.0)]
    for number in range(8):
        y, half = 10.0 * number + 5, (0.02 + 0.005 * number) / 2
        corners += [(40, y - half), (50, y - half), (50, y + half), (40, y + half)]
    return polygon([*corners, (40, 80), (0, 80)])


def test_the_worst_five_places_are_told_well_apart() -> None:
    finding = judge("fine_strokes", rake())
    assert finding.status == "fail"
    assert len(finding.places) == MOST_PLACES
    assert sorted(place.value for place in finding.places)[0] == pytest.approx(0.02, abs=1e-6)
    for one in finding.places:
        for other in finding.places:
            assert one is other or math.dist(one.at, other.at) >= 1.0


def test_regions_are_named_where_there_are_several() -> None:
    finding = judge("fine_strokes", islands(), {"joint.pocket_depth": 12.0, "base.thickness": 30.0,
                                                 "plug.thickness": 30.0, "bits.v.diameter": 20.0})  # fmt: skip
    assert finding.status == "doubtful"
    assert finding.places
    assert all(place_words(place).startswith("region ") for place in finding.places)
    regions = [int(place_words(place).split()[1].rstrip(",")) for place in finding.places]
    assert regions == sorted(regions)
    outline = islands()
    for number, place in zip(regions, finding.places, strict=True):
        assert outline.regions[number - 1].contains(shapely.Point(place.at))


@pytest.mark.parametrize("check", ["fine_strokes", "survives_levelling"])
@pytest.mark.parametrize("name", SHARED)
def test_places_lie_inside_the_outline_with_their_width(name: str, check: str) -> None:
    outline = SHARED[name]()
    finding = judge(check, outline, {"bits.v.tip": 0.8, "joint.level_below": 1.0})
    for place in finding.places:
        at = shapely.Point(place.at)
        assert outline.area.contains(at)
        assert outline.area.boundary.distance(at) == pytest.approx(place.value / 2, abs=1e-6)


# --- places -----------------------------------------------------------------------------------------------------------


def combed(widths: list[float], pitch: float = 6.0) -> Outline:
    """A back with teeth of these widths standing up from it, each 12 mm long."""
    back = shapely.box(0, 0, pitch * len(widths) + 6, 8)
    teeth = [shapely.box(4 + pitch * k, 7, 4 + pitch * k + width, 20) for k, width in enumerate(widths)]
    return outline_of([shapely.union_all([back, *teeth])])


@pytest.mark.parametrize("check", ["fine_strokes", "survives_levelling"])
def test_five_strokes_are_named_not_five_points_of_one(check: str) -> None:
    widths = [0.30, 0.42, 0.34, 0.50, 0.46, 0.38, 0.54]
    found = judge(check, combed(widths), {"limits.fine_strokes": 0.01})
    assert [place.value for place in found.places] == pytest.approx(sorted(widths)[:5], abs=1e-6)
    teeth = {round((place.at[0] - 4) / 6) for place in found.places}
    assert len(teeth) == 5


def test_strokes_that_branch_or_cross_are_several_and_a_bent_one_is_one() -> None:
    cross = shapely.union_all([shapely.box(-20, -0.2, 20, 0.2), shapely.box(-0.2, -20, 0.2, 20)])
    found = judge("survives_levelling", outline_of([cross]))
    arms = {
        (abs(x) > abs(y), x + y > 0) for x, y in (place.at for place in found.places if place.value < 0.41)
    }
    assert len(arms) == 4
    arc = shapely.LineString([(15 * math.cos(t / 40), 15 * math.sin(t / 40)) for t in range(100)]).buffer(
        0.2, cap_style="flat"
    )
    assert len(judge("survives_levelling", outline_of([arc])).places) == 1


# --- thin walls -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "status"), [(0.29, "fail"), (0.31, "doubtful"), (0.79, "doubtful"), (0.81, "pass")])
def test_ribs_by_their_width(width: float, status: str) -> None:
    # a shallow joint, so that no rib is too high for its width
    shallow = {"joint.pocket_depth": 1.5, "joint.surface_gap": 1.0}
    found = judge("thin_walls", combed([width, 2.0, 2.0]), shallow)
    assert found.status == status
    assert found.value == pytest.approx(width, abs=1e-6)
    gap = shapely.union_all([shapely.box(0, 0, 40, 10), shapely.box(0, 10 + width, 40, 20)])
    between = judge("thin_walls", outline_of(gap.geoms), shallow)
    assert between.status == status
    if status != "pass":
        assert f"wood between pockets down to {width:.2f} mm" in message(between)
        assert len(found.places) == 1


@pytest.mark.parametrize(("direction", "turn", "words"), [
    (90.0, 0.0, "0.50 mm wide, along the grain"),
    (0.0, 0.0, "0.50 mm wide and across the grain, which breaks"),
    (40.0, 0.0, "0.50 mm wide and across the grain, which breaks"),
    (0.0, 90.0, "0.50 mm wide, along the grain"),
])  # fmt: skip
def test_thin_ribs_are_told_with_the_grain_where_it_is_known(direction: float, turn: float, words: str) -> None:
    teeth = combed([0.5, 2.0, 2.0])
    known = {"plug.grain": {"direction": direction}, "outline": {"shapes": ({"circle": 1.0},), "turn": turn}}
    shallow = {"joint.pocket_depth": 1.5, "joint.surface_gap": 1.0}
    (place,) = judge("thin_walls", teeth, {**shallow, **known}).places
    assert say(place.reason, "mm") == words
    (place,) = judge("thin_walls", teeth, shallow).places
    assert say(place.reason, "mm") == "0.50 mm wide"
