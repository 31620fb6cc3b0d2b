"""What jobs share of an outline: worked out once, and never to be seen in their results."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from jobs import job
from outlines import comb, islands, square, star

from inlayfit.outline.analysis import MOST_KEPT, Kept, OutlineAnalysis, raised
from inlayfit.plan import plan

JOBS: tuple[dict[str, Any], ...] = (
    {},
    {"joint.pocket_depth": 5.0},
    {"joint.pocket_depth": 5.001},
    {"joint.pocket_depth": 2.0, "joint.surface_gap": 1.5},
    {"bits.v.tip": 0.3},
    {"bits.v.measured.angle": 29.0},
    {"bits.v.measured.tip": 0.02},
    {"bits.v.angle": 60.0},
    {"bits.v.depth_of_cut": 1.5, "joint.surface_gap": 1.0},
    {"bits.clearing": None},
    # the same cuts
    {"joint.clamp_force": 300.0},
    {"joint.hand_force": 30.0},
    {"joint.level_below": 0.5},
    {"base.wood": "western red cedar"},
    {"tolerance.angle": 1.0},
    {"tolerance.touch_off": 0.2},
)


@pytest.mark.parametrize("make", [star, comb, islands])
def test_jobs_that_share_an_analysis_get_what_they_get_alone(make: Any) -> None:
    outline = make()
    analysis = OutlineAnalysis(outline)
    # from the last to the first, so that no job finds only what a job like it has left
    for changes, alone in reversed([(changes, plan(job(changes), outline, draws=200)) for changes in JOBS]):
        shared = plan(job(changes), outline, analysis, draws=200)
        assert shared.findings == alone.findings
        assert shared.job == alone.job
        assert shared.facts.outline is not None
        assert alone.facts.outline is not None
        assert shared.facts.outline.fit == alone.facts.outline.fit
        assert shared.facts.outline.floor == alone.facts.outline.floor
        assert shared.facts.stack == alone.facts.stack


def test_an_answer_is_worked_out_once_while_it_is_kept() -> None:
    kept, asked = Kept[int, int](), list[int]()

    def answer(number: int) -> int:
        return kept.get(number, lambda: asked.append(number) or number)

    assert [answer(number) for number in (1, 2, 1, 2, 1)] == [1, 2, 1, 2, 1]
    assert asked == [1, 2]
    for number in range(3, MOST_KEPT + 2):
        answer(number)
    answer(1)
    assert asked.count(1) == 1  # asked for after 2, so that 2 gave way
    answer(2)
    assert asked.count(2) == 2


def test_wall_pieces_asked_for_at_sizes_of_one_rung_are_the_same() -> None:
    analysis = OutlineAnalysis(star())
    one, other = (analysis.wall_pieces(inside=True, smallest=0.1, largest=size) for size in (2.05, 2.3))
    assert one is other
    assert analysis.wall_pieces(inside=False, smallest=0.1, largest=2.05) is not one
    assert one.radius1.max() == raised(2.05)


def test_edges_of_both_sides_tell_the_same_rings() -> None:
    outline = islands()
    edges = OutlineAnalysis(outline).inside
    back = edges.reversed()
    assert (edges.end == edges.start[edges.after]).all()
    assert (back.end == back.start[back.after]).all()
    assert back.turn == pytest.approx(-edges.turn[edges.after])
    assert edges.ring_length.sum() == pytest.approx(outline.area.length)
    rings = [ring for region in outline.regions for ring in (region.exterior, *region.interiors)]
    for side in (edges, back):
        for start, along, station, ring in zip(side.start, side.along, side.station, side.ring, strict=True):
            line = rings[ring] if side is edges else rings[ring].reverse()
            assert shapely.line_interpolate_point(line, station).coords[0] == pytest.approx(start)
            further = shapely.line_interpolate_point(line, station + 1e-3).coords[0]
            assert further == pytest.approx(start + 1e-3 * along)


def test_an_analysis_of_another_outline_is_refused() -> None:
    with pytest.raises(ValueError, match="another outline"):
        plan(job(), star(), OutlineAnalysis(square()))
    assert plan(job(), star(), OutlineAnalysis(star())).findings == plan(job(), star()).findings


@given(st.floats(1e-6, 1e6))
def test_sizes_are_raised_by_less_than_a_fifth_and_stay_there(size: float) -> None:
    assert size <= raised(size) < 1.1893 * size
    assert raised(raised(size)) == raised(size)
    assert raised(0.0) == 0.0
