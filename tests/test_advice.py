"""Advice by numbers: each change is the job planned again with it."""

from __future__ import annotations

import math

import pytest
from jobs import job
from shapely.geometry import Polygon

from inlayfit.advice import Advice, advice, is_wanted
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.shapes import drawn
from inlayfit.plan import plan

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple"}


def spike(full_angle: float = 20.0, long: float = 40.0) -> Outline:
    half = math.radians(full_angle / 2)
    return outline_of(
        [Polygon([(0, 0), (long * math.cos(half), -long * math.sin(half)), (1.4 * long, 0),
                  (long * math.cos(half), long * math.sin(half))])]
    )  # fmt: skip


def test_nothing_is_advised_where_nothing_is_wanting() -> None:
    plate = outline_of(drawn([{"rectangle": (40.0, 30.0)}]))
    assert not is_wanted(plan(job(WOODS), plate), plate)
    # a doubt about the clamp is not one that another bit would mend
    clamped = plan(job({**WOODS, "joint.clamp_force": 1e5}), plate)
    assert clamped.verdict == "doubtful"
    assert not is_wanted(clamped, plate)


def test_no_fit_no_advice() -> None:
    outline = spike()
    blunt = job({**WOODS, "bits.v.tip": 1.0})
    assert is_wanted(plan(blunt, outline), outline)
    assert not is_wanted(plan(blunt, outline, nominal=True), outline)


def advised(tip: float) -> Advice:
    outline = spike()
    return advice(plan(job({**WOODS, "bits.v.tip": tip, "limits.fine_strokes": 1.0}), outline), outline)


def test_changes_do_what_the_corners_closed_form_says() -> None:
    tip = 0.6
    slope, sine = math.tan(math.radians(15)), math.sin(math.radians(10))
    first_touch = tip / 2 * (1 - sine) / slope
    by_words = {change.words: change for change in advised(tip).changes}
    assert list(by_words) == [
        "outline eased by 0.30 mm", "a tip half as wide", "a 45 deg bit with the same tip", "1.25 times the size",
    ]  # fmt: skip
    assert by_words["a tip half as wide"].first_touch == pytest.approx(first_touch / 2, abs=0.005)
    assert by_words["1.25 times the size"].first_touch == pytest.approx(first_touch, abs=0.005)
    wider = tip / 2 * (1 - sine) / math.tan(math.radians(22.5))
    assert by_words["a 45 deg bit with the same tip"].first_touch == pytest.approx(wider, abs=0.005)
    # rounded as the tip is round the point is not missed any more; below the face the plug's edge stays sharper
    # than the pocket's, so it touches as before
    assert by_words["outline eased by 0.30 mm"].first_touch == pytest.approx(first_touch, abs=0.02)
    assert "corners" in by_words["outline eased by 0.30 mm"].mends


def test_easing_lets_an_inner_corner_down() -> None:
    # the base's wood points into the plug: a groove of 40 degrees, whose fillet rounding the outline meets
    half, tip = math.radians(20), 0.4
    notch = [(-30, -20), (30, -20), (30, 20), (12 * math.tan(half), 20), (0, 8), (-12 * math.tan(half), 20), (-30, 20)]
    outline = outline_of([Polygon(notch)])
    changes = {**WOODS, "bits.v.tip": tip, "limits.corners": 0.01}
    found = plan(job(changes), outline)
    assert found.facts.outline is not None and found.facts.outline.fit is not None
    slope = math.tan(math.radians(15))
    touch = found.facts.outline.fit.seat.first_touch
    assert touch == pytest.approx(tip / 2 * (1 / math.sin(half) - 1) / slope, abs=0.005)
    eased = next(change for change in advice(found, outline).changes if "eased" in change.words)
    # the four outer corners of the plate hold it now
    assert eased.first_touch == pytest.approx(tip / 2 * (1 - math.sin(math.radians(45))) / slope, abs=0.02)


def test_true_point_has_no_tip_to_change() -> None:
    outline = spike(8.0)
    found = plan(job({**WOODS, "bits.v.tip": 0.0, "limits.fine_strokes": 0.01}), outline)
    assert is_wanted(found, outline)
    assert [change.words for change in advice(found, outline).changes] == [
        "a 45 deg bit with the same tip", "1.25 times the size",
    ]  # fmt: skip


def test_smallest_width_is_where_the_thinnest_bar_gets_cut() -> None:
    # a bar 0.3 mm wide on a plate 40 mm wide: a tip 0.2 mm wide enters from two thirds of the size on
    outline = outline_of(drawn([{"rectangle": (40.0, 30.0)}, {"rectangle": (0.3, 20.0), "at": (0.0, 20.0)}]))
    changes = {**WOODS, "bits.v.tip": 0.2, "joint.level_below": 0.0, "joint.sanding": 0.0, "limits.fine_strokes": 0.01}
    found = plan(job(changes), outline)
    assert is_wanted(found, outline)
    width = advice(found, outline).smallest_width
    assert width is not None
    assert 40.0 * 2 / 3 <= width <= 40.0 * 2 / 3 * 1.03
