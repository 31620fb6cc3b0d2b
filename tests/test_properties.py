"""What must not change when an outline is moved, turned, mirrored or drawn otherwise, or a job written in inches."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from jobs import PLAIN, job
from outlines import SHARED
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Point, Polygon

from inlayfit.joint.depths import depths
from inlayfit.outline.regions import Outline, outline_of
from inlayfit.outline.survey import SAMPLES, Survey
from inlayfit.plan import Plan, plan
from inlayfit.quantity import MM_PER_INCH
from inlayfit.report.wording import reasons_text
from inlayfit.sheet.defaults import job_from_values
from inlayfit.sheet.jobsheet import read_sheet

XY = tuple[float, float]
Move = Callable[[Polygon], Polygon]


def redrawn(polygon: Polygon, change: Callable[[list[XY]], list[XY]]) -> Polygon:
    """The same polygon with each ring's list of points changed."""
    rings = [change(list(ring.coords)[:-1]) for ring in (polygon.exterior, *polygon.interiors)]
    return Polygon(rings[0], rings[1:])


BY_WIDTH = {"fine-strokes", "fine-gaps", "thin-walls", "survives-levelling"}
"""Checks whose places tell the width of a stroke or gap."""
MOVES: dict[str, tuple[Move, Callable[[XY], XY]]] = {
    "shifted": (lambda p: translate(p, 137.25, -41.5), lambda at: (at[0] + 137.25, at[1] - 41.5)),
    "turned by 90": (lambda p: rotate(p, 90, origin=(0, 0)), lambda at: (-at[1], at[0])),
    "turned by 30": (
        lambda p: rotate(p, 30, origin=(0, 0)),
        lambda at: (
            at[0] * math.cos(math.radians(30)) - at[1] * math.sin(math.radians(30)),
            at[0] * math.sin(math.radians(30)) + at[1] * math.cos(math.radians(30)),
        ),
    ),
    "mirrored": (lambda p: scale(p, -1, 1, origin=(0, 0)), lambda at: (-at[0], at[1])),
    "ring reversed": (lambda p: redrawn(p, lambda ring: ring[::-1]), lambda at: at),
    "ring started elsewhere": (lambda p: redrawn(p, lambda ring: ring[2:] + ring[:2]), lambda at: at),
}

# a middling job, so that shared outlines pass, fail and stay in doubt
CHANGES = {"joint.pocket_depth": 2.0, "joint.surface_gap": 1.5, "bits.v.tip": 0.4}


def moved(outline: Outline, move: Move) -> Outline:
    return outline_of([move(region) for region in outline.regions])


@pytest.fixture(scope="module")
def plain() -> dict[str, tuple[Outline, Plan]]:
    return {name: (outline := make(), plan(job(CHANGES), outline)) for name, make in SHARED.items()}


def survey_of(made: Plan) -> Survey:
    assert made.facts.outline is not None
    return made.facts.outline.survey


@pytest.mark.parametrize("move", MOVES)
@pytest.mark.parametrize("name", SHARED)
def test_moving_an_outline_changes_nothing_but_places(
    name: str, move: str, plain: dict[str, tuple[Outline, Plan]]
) -> None:
    outline, before = plain[name]
    change, place_of = MOVES[move]
    after = plan(job(CHANGES), moved(outline, change))

    was, now = survey_of(before), survey_of(after)
    assert now.area == pytest.approx(was.area, rel=1e-9)
    assert now.perimeter == pytest.approx(was.perimeter, rel=1e-9)
    assert (now.regions, now.holes) == (was.regions, was.holes)
    assert now.narrowest_stroke.value == pytest.approx(was.narrowest_stroke.value, abs=1e-4)
    assert (now.narrowest_gap is None) == (was.narrowest_gap is None)
    if now.narrowest_gap is not None and was.narrowest_gap is not None:
        assert now.narrowest_gap.value == pytest.approx(was.narrowest_gap.value, abs=1e-4)
    assert now.sharpest_corner.value == pytest.approx(was.sharpest_corner.value, abs=1e-4)

    # widths along the outline, as shares; none is just the width of a stroke or gap, where rounding would decide
    for width in (0.55, 1.05, 2.1, 4.3, 8.3):
        for side in ("inside", "outside"):
            here, there = getattr(now, side), getattr(was, side)
            assert here.share(here.radius < width / 2) == pytest.approx(
                there.share(there.radius < width / 2), abs=20 / SAMPLES
            ), (side, width)

    # the engine's round corners fall differently on turned outlines
    assert before.facts.outline is not None
    assert after.facts.outline is not None
    for part in ("pocket", "plug"):
        floor_was, floor_now = (
            getattr(before.facts.outline.floor, part),
            getattr(after.facts.outline.floor, part),
        )
        assert floor_now.area == pytest.approx(floor_was.area, rel=1e-3, abs=1e-6)
        assert floor_now.reached == pytest.approx(floor_was.reached, rel=2e-3, abs=1e-6)

    assert after.facts.depths == before.facts.depths
    assert after.facts.passes == before.facts.passes
    assert after.verdict == before.verdict
    for finding, was_finding in zip(after.findings, before.findings, strict=True):
        assert (finding.id, finding.status) == (was_finding.id, was_finding.status)
        if finding.kind == "share" and finding.value is not None:
            assert finding.value == pytest.approx(was_finding.value, abs=20 / SAMPLES)
        elif finding.value is not None:
            assert finding.value == pytest.approx(was_finding.value, abs=1e-4)

    # places move along: where the stroke was, moved, is as wide
    at = Point(place_of(was.narrowest_stroke.at))
    walls = moved(outline, change).area.boundary
    assert 2 * walls.distance(at) == pytest.approx(was.narrowest_stroke.value, abs=1e-4)
    for finding in before.findings:
        for place in finding.places if finding.id in BY_WIDTH else ():
            assert 2 * walls.distance(Point(place_of(place.at))) == pytest.approx(place.value, abs=1e-4)


@pytest.mark.parametrize("name", SHARED)
def test_twice_as_large_is_twice_as_wide(name: str, plain: dict[str, tuple[Outline, Plan]]) -> None:
    outline, before = plain[name]
    was = survey_of(before)
    now = survey_of(plan(job(CHANGES), moved(outline, lambda p: scale(p, 2, 2, origin=(0, 0)))))
    assert now.area == pytest.approx(4 * was.area)
    assert now.perimeter == pytest.approx(2 * was.perimeter)
    assert now.narrowest_stroke.value == pytest.approx(2 * was.narrowest_stroke.value, abs=1e-4)


@pytest.mark.parametrize("name", SHARED)
def test_deeper_pockets_have_smaller_floors(name: str) -> None:
    outline = SHARED[name]()
    areas = []
    for pocket in (1.0, 3.0, 8.0):
        made = plan(
            job({"joint.pocket_depth": pocket, "plug.thickness": 20.0, "bits.v.diameter": 12.0}), outline
        )
        assert made.facts.outline is not None
        for floor in (made.facts.outline.floor.pocket, made.facts.outline.floor.plug):
            assert 0 <= floor.reached <= floor.area + 1e-9
            assert 0 <= floor.left_to_v <= 1
        areas.append(made.facts.outline.floor.pocket.area)
    assert areas == sorted(areas, reverse=True)
    assert areas[0] < outline.area.area


IN_MM = """
unit: mm
base: {thickness: 19.05, least_floor: 3.175}
plug: {thickness: 12.7, border: 6.35, least_web: 1.5875}
joint: {pocket_depth: 6.35, glue_gap: 0.508, surface_gap: 2.54, level_below: 0.254, sanding: 0.254}
bits:
  v: {angle: 30, tip: 0.1016, diameter: 6.35, reach: 25.4, depth_of_cut: 5.08, stepover: 2 %}
  clearing: {name: end mill, diameter: 3.175, reach: 12.7, depth_of_cut: 3.175}
  levelling: {name: surfacing bit, diameter: 25.4, depth_of_cut: 1.27}
tolerance: {touch_off: 0.0508, thickness: 0.127}
"""
IN_INCHES = """
unit: in
base: {thickness: 3/4, least_floor: 1/8}
plug: {thickness: 1/2, border: 1/4, least_web: 1/16}
joint: {pocket_depth: 1/4, glue_gap: 0.02, surface_gap: 0.1, level_below: 0.01, sanding: 10 thou}
bits:
  v: {angle: 30 deg, tip: 0.004, diameter: 1/4", reach: 1, depth_of_cut: 0.2, stepover: 0.005}
  clearing: {name: end mill, diameter: 1/8, reach: 1/2, depth_of_cut: 1/8}
  levelling: {name: surfacing bit, diameter: 1, depth_of_cut: 0.05}
tolerance: {touch_off: 0.002, thickness: 0.005}
"""


def from_sheet(text: str, outline: Outline | None) -> Plan:
    read = read_sheet(text.encode(), "job.yaml")
    made = job_from_values(read.values, unit=read.unit, unit_given=read.unit_given, title="lid")
    return plan(made, outline)


@pytest.mark.parametrize("name", [None, *SHARED])
def test_the_same_job_in_inches(name: str | None) -> None:
    outline = SHARED[name]() if name else None
    in_mm, in_inches = from_sheet(IN_MM, outline), from_sheet(IN_INCHES, outline)
    assert in_mm.job.unit == "mm"
    assert in_inches.job.unit == "in"
    for field in in_mm.facts.depths.__dataclass_fields__:
        assert getattr(in_inches.facts.depths, field) == pytest.approx(
            getattr(in_mm.facts.depths, field), abs=1e-9
        )
    assert len(in_inches.facts.passes) == len(in_mm.facts.passes)
    for one, other in zip(in_inches.facts.passes, in_mm.facts.passes, strict=True):
        assert (one.part, one.step, one.bit, one.zero, one.number, one.of) == (
            other.part, other.step, other.bit, other.zero, other.number, other.of,
        )  # fmt: skip
        assert one.total_depth == pytest.approx(other.total_depth, abs=1e-9)
        assert one.load == pytest.approx(other.load, abs=1e-9)
        assert one.breaks_skin == other.breaks_skin
    assert in_inches.verdict == in_mm.verdict
    for finding, other_finding in zip(in_inches.findings, in_mm.findings, strict=True):
        assert (finding.id, finding.status) == (other_finding.id, other_finding.status)
        assert finding.value == (
            None if other_finding.value is None else pytest.approx(other_finding.value, abs=1e-9)
        )


def test_a_unit_for_the_report_changes_words_only() -> None:
    assert depths(job())[0] == depths(job(unit="in"))[0]
    assert PLAIN["joint"]["pocket_depth"] / MM_PER_INCH == pytest.approx(0.23622, abs=5e-6)
    in_mm, in_inches = plan(job()), plan(job(unit="in"))
    assert in_mm.facts.passes == in_inches.facts.passes
    assert in_mm.findings == in_inches.findings
    assert reasons_text(in_mm.findings[0], "mm") != reasons_text(in_mm.findings[0], "in")
