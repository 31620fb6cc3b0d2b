"""Checks of the joint as cut, each status provoked through the whole plan."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
import shapely
from findings import message, place_words, remedy
from jobs import GONE, job
from shapely.geometry import Polygon

from inlayfit.checks.finding import Finding
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.plan import Plan, plan

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}


@cache
def plate() -> Outline:
    return outline_of(drawn([{"rectangle": (40.0, 30.0)}]))


def spike(full_angle: float, long: float = 40.0) -> Outline:
    """A kite with one sharp corner at the origin."""
    half = math.radians(full_angle / 2)
    tip = [(0.0, 0.0), (long * math.cos(half), -long * math.sin(half)), (1.4 * long, 0.0),
           (long * math.cos(half), long * math.sin(half))]  # fmt: skip
    return outline_of([Polygon(tip)])


def planned(outline: Outline, changes: dict[str, Any] | None = None) -> Plan:
    return plan(job({**WOODS, **(changes or {})}), outline)


def finding(found: Plan, id: str) -> Finding:
    return next(entry for entry in found.findings if entry.id == id)


def seat_of(found: Plan) -> Any:
    assert found.facts.outline is not None and found.facts.outline.fit is not None
    return found.facts.outline.fit.seat


def test_plate_seats_on_its_walls() -> None:
    found = planned(plate())
    assert finding(found, "seat").status == "pass"
    assert finding(found, "joint-line").status == "pass"
    assert seat_of(found).lift == pytest.approx(0.0, abs=0.001)
    assert seat_of(found).glue_gap == pytest.approx(0.5, abs=0.001)
    assert found.facts.scope == "as cut"


def test_clamp_force_is_pressure_times_area_unless_given() -> None:
    # 0.7 MPa over 40 x 30 mm
    assert seat_of(planned(plate())).clamp_force == pytest.approx(0.7 * 40 * 30)
    assert seat_of(planned(plate(), {"joint.clamp_pressure": 0.5})).clamp_force == pytest.approx(0.5 * 40 * 30)
    assert seat_of(planned(plate(), {"joint.clamp_force": 321.0})).clamp_force == 321.0


def test_blunter_bit_than_declared_leaves_an_open_joint_that_no_clamp_closes() -> None:
    # one unit of tip in both cuts lifts by 2 / T less the wall's own: c = 2 (ra - rn) + lift T = 0
    found = planned(plate(), {"bits.v.measured": {"tip": 0.06}})
    slope = math.tan(math.radians(15))
    expected = 2 * (0.05 - 0.03) / slope
    assert seat_of(found).lift == pytest.approx(expected, abs=0.005)
    # the walls bind, so there is no joint line to see, and the glue gap grows by the lift
    assert seat_of(found).glue_gap == pytest.approx(0.5 + expected, abs=0.005)


def test_wider_tip_than_declared_opens_the_joint() -> None:
    # the plug sinks until its walls or its face touch: c = 2 (ra - rn) + lift T, and the lift stops at the floor
    found = planned(plate(), {"bits.v.measured": {"tip": 0.6}, "joint.glue_gap": 0.3})
    slope = math.tan(math.radians(15))
    line = 2 * (0.3 - 0.05) - 0.3 * slope
    assert seat_of(found).lift == pytest.approx(-0.3, abs=0.01)
    assert seat_of(found).seen.largest == pytest.approx(line, abs=0.01)
    assert finding(found, "joint-line").status == "fail"
    seat = finding(found, "seat")
    assert seat.status == "fail"
    assert seat.value == pytest.approx(1.0, abs=0.02)
    assert found.verdict == "does not fit"


def test_light_clamp_leaves_a_sharp_design_open() -> None:
    # a spike that one newton cannot crush
    sharp = {"joint.clamp_force": 0.5, "bits.v.tip": 0.6, "limits.fine_strokes": 1.0}
    found = planned(spike(20.0), sharp)
    assert seat_of(found).lift > 0.5
    seat = finding(found, "seat")
    assert seat.status == "fail"
    assert "would close it" in remedy(seat)
    needed = seat_of(found).closing_force
    closed = planned(spike(20.0), {**sharp, "joint.clamp_force": needed * 1.05})
    assert finding(closed, "seat").status != "fail"


def test_joint_that_closes_only_at_the_tables_strength_is_doubtful() -> None:
    sharp = {"bits.v.tip": 0.6, "limits.fine_strokes": 1.0}
    needed = seat_of(planned(spike(20.0), sharp)).closing_force
    found = planned(spike(20.0), {**sharp, "joint.clamp_force": needed * 1.3})
    seat = finding(found, "seat")
    assert seat.status == "doubtful"
    assert "on hard spots, four times as strong as " in message(seat)


def test_clamp_beyond_what_the_walls_bear_at_the_most_is_doubtful() -> None:
    low, high = seat_of(planned(plate())).wall_load
    # walls 140 mm long and 5.5 mm deep at 15 degrees, black walnut at 7.0 MPa
    assert low == pytest.approx(7.0 * 140 * 5.5 * math.tan(math.radians(15)), rel=0.05)
    between = finding(planned(plate(), {"joint.clamp_force": (low + high) / 2}), "seat")
    above = finding(planned(plate(), {"joint.clamp_force": high * 1.1}), "seat")
    # walls driven home and crushed a little are how the joint is closed
    assert (between.status, above.status) == ("pass", "doubtful")
    assert "may drive the plug to the floor" in message(above)


def test_plug_on_the_floor_is_doubtful() -> None:
    # ridges as high as the glue gap
    found = planned(plate(), {"bits.v.stepover": 0.5, "joint.glue_gap": 0.3, "bits.v.tip": 0.0})
    assert finding(found, "seat").status in ("doubtful", "fail")
    assert "on the floor" in message(finding(found, "seat"))


def test_end_grain_is_doubtful_at_most() -> None:
    end = finding(planned(plate(), {"plug.grain.face": "end"}), "seat")
    assert end.status == "doubtful"
    assert "end grain" in message(end)
    assert finding(planned(plate(), {"plug.grain.face": "end", "plug.crush_strength": 40.0}), "seat").status == "pass"


@pytest.mark.parametrize("full_angle", [20.0, 40.0, 90.0])
def test_corners_lose_by_their_angle(full_angle: float) -> None:
    tip = 0.4
    lost = tip / 2 * (1 / math.sin(math.radians(full_angle / 2)) - 1)
    found = finding(planned(spike(full_angle), {"bits.v.tip": tip, "limits.fine_strokes": 1.0}), "corners")
    assert found.value == pytest.approx(lost, abs=0.005)
    assert found.status == ("doubtful" if lost > 0.25 else "pass")
    if found.status == "doubtful":
        # the tip lies at the origin, which is the left end of the bounds
        assert found.places[0].at == pytest.approx((0.0, 0.0), abs=0.01)
        assert f"corner, {full_angle:.0f} deg" in place_words(found.places[0])


def test_surface_gap_of_nothing_has_no_seat() -> None:
    found = planned(plate(), {"joint.surface_gap": 0.0})
    assert finding(found, "surface-gap").status == "fail"
    assert finding(found, "seat").status == "not checked"


@pytest.mark.parametrize(("gap", "status"), [(0.05, "fail"), (0.4, "doubtful"), (6.0, "pass")])
def test_fine_gaps_by_width(gap: float, status: str) -> None:
    blocks = outline_of([shapely.box(0, 0, 30, 12), shapely.box(0, 12 + gap, 30, 24 + gap)])
    found = finding(planned(blocks), "fine-gaps")
    assert found.status == status
    if status == "fail":
        assert f"{gap:.2f} mm" in message(found)
        assert found.places


@pytest.mark.parametrize(("gap", "status"), [(1.2, "doubtful"), (1.55, "pass"), (8.0, "pass")])
def test_thin_walls_between_pockets(gap: float, status: str) -> None:
    blocks = outline_of([shapely.box(0, 0, 30, 12), shapely.box(0, 12 + gap, 30, 24 + gap)])
    found = finding(planned(blocks), "thin-walls")
    assert found.value == pytest.approx(min(gap, 12.0), abs=0.01)
    assert found.status == status
    if status == "doubtful":
        assert "3.7 times" in message(found)


def test_high_ribs_are_thin_even_when_wider_than_the_limit() -> None:
    # walls 6 mm deep and 1.45 mm apart are over four times as high as wide once the limit is out of the way
    blocks = outline_of([shapely.box(0, 0, 30, 12), shapely.box(0, 13.45, 30, 25)])
    assert finding(planned(blocks, {"limits.thin_walls": 1.0}), "thin-walls").status == "doubtful"
    shallower = {"limits.thin_walls": 1.0, "joint.pocket_depth": 5.0}
    assert finding(planned(blocks, shallower), "thin-walls").status == "pass"


@pytest.mark.parametrize("full_angle", [30.0, 45.0, 60.0])
def test_ball_tips_lose_what_no_place_of_the_ball_reaches(full_angle: float) -> None:
    ball, sine = 0.5, math.sin(math.radians(full_angle / 2))
    slope, flank = math.tan(math.radians(15)), 0.5 * (1 - math.sin(math.radians(15))) / math.cos(math.radians(15))

    def short(deep: float) -> float:
        # the axis is (r + T d) / sine from the point; at the face the ball is as wide as it is d above its lowest point
        round_part = deep < ball * (1 - math.sin(math.radians(15)))
        wide = math.sqrt(ball**2 - (ball - deep) ** 2) if round_part else flank + slope * deep
        return (flank + slope * deep) / sine - wide

    least = min(short(0.8 * step / 20_000) for step in range(20_000))
    changes = {"bits.v.tip": GONE, "bits.v.ball": ball, "limits.fine_strokes": 1.0}
    found = finding(planned(spike(full_angle), changes), "corners")
    assert found.value == pytest.approx(least, abs=1e-3)


def test_no_force_is_advised_for_a_plug_on_the_floor() -> None:
    seat = finding(planned(plate(), {"bits.v.measured": {"tip": 0.6}, "joint.glue_gap": 0.3}), "seat")
    assert "0.30 mm low" in message(seat)
    assert "would close it" not in remedy(seat)
    assert "a larger glue gap" in remedy(seat)


def test_glue_gap_used_up_by_the_real_bit_says_what_gap_it_needs() -> None:
    # walls 2 (ra - rn) apart let the plug down by that over T
    drop = 2 * (0.11 - 0.05) / math.tan(math.radians(15))
    found = finding(planned(plate(), {"bits.v.measured": {"tip": 0.22}, "joint.glue_gap": 0.4}), "glue-gap")
    assert found.status == "fail"
    assert found.value == pytest.approx(0.4 - min(drop, 0.4), abs=0.005)
    assert "declare what the bit measures" in remedy(found)
    assert "0.65 mm" in remedy(found)
    proud = finding(planned(plate(), {"bits.v.tip": 0.4, "bits.v.measured": {"tip": 0.1}}), "glue-gap")
    assert proud.status == "doubtful"
    assert "what holds the plug up" in remedy(proud)


def test_clamp_beyond_the_walls_says_between_what_to_clamp() -> None:
    seat = finding(planned(spike(60.0), {"joint.clamp_force": 20_000.0}), "seat")
    assert "clamp with" in remedy(seat)


@pytest.mark.parametrize("blunt", [0.0, 0.02, 0.05])
def test_points_blunted_by_less_than_the_tip_lose_as_much_as_sharp_ones(blunt: float) -> None:
    # a wedge of 20 deg cut off square where it is `blunt` wide; the tip's flat first fits tip / 2 / sin from the point
    half, tip = math.radians(10.0), 0.2
    start, far = blunt / 2 / math.tan(half), 30.0
    wide = far * math.tan(half)
    ends = [(start, blunt / 2), (start, -blunt / 2)] if blunt else [(0.0, 0.0)]
    outline = outline_of([Polygon([*ends, (far, -wide), (far, wide)])])
    found = planned(outline, {"bits.v.tip": tip, "limits.fine_strokes": 1.0})
    point = max((p for p in seat_of(found).points_lost if p.at[0] < 1.0), key=lambda p: p.lost)
    assert point.lost == pytest.approx(tip / 2 / math.sin(half) - tip / 2 - start, abs=0.02)


def test_seat_is_not_known_where_the_cone_is_too_short() -> None:
    found = planned(plate(), {"bits.v.diameter": 3.0})
    assert finding(found, "cone-reach").status == "fail"
    for check in ("seat", "joint-line", "corners"):
        assert finding(found, check).status == "not checked"
        assert "cone is too short" in message(finding(found, check))
    assert found.facts.scope == "nominal outline"


def test_balls_fillet_is_told_as_a_fillet() -> None:
    disc = outline_of(drawn([{"circle": 60.0}]))
    ball = {"bits.v.tip": GONE, "bits.v.ball": 1.5, "bits.v.diameter": 9.0, "joint.glue_gap": 0.4}
    found = planned(disc, ball)
    assert {contact.kind for contact in seat_of(found).contacts if contact.lift > 0.1} == {"fillet"}
    assert "fillet" in message(finding(found, "seat"))


def test_corners_peak_is_told_at_its_vertex() -> None:
    # the bit of the pocket wider, that of the plug narrower than told: the overlap peaks some way in from the vertex
    bits = {"bits.v": GONE}
    v = {"angle": 30.0, "tip": 0.1, "diameter": 6.35, "reach": 14.0, "depth_of_cut": 4.0, "stepover": 0.06}
    bits |= {"bits.pocket_v": {**v, "measured": {"angle": 30.5}}, "bits.plug_v": {**v, "measured": {"angle": 29.5}}}
    found = planned(plate(), bits)
    assert not [contact for contact in seat_of(found).contacts if contact.kind == "stroke"]
