"""Pairs whose walls are told by their paths alone, as a posted programme's are, against plans and closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from joints import MIXED, F, S, U, joint, slope, square

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import tool_path
from inlayfit.cutters import Profile, end_mill
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import outline_of
from inlayfit.seat.pair import Pair
from inlayfit.seat.planned import PlannedPair
from inlayfit.seat.seat import Loads, Seat, Touch, seat
from inlayfit.seat.side import Floor, OpenFloor, Side

LOADS = Loads(crush_strength_mpa=7.0, clamp_force_n=60.0)
NOWHERE = Floor(edge=np.inf, depth=-np.inf)


def by_pieces_alone(planned: PlannedPair) -> Seat:
    """The seat of the same cuts when nothing is known but the pieces of their paths and the floors."""
    pocket, plug = (replace(side, passes=()) for side in planned.sides)
    return seat(
        Touch(Pair(planned.analysis, pocket, plug, start_depth=planned.start_depth, floors=planned.floors)), LOADS
    )


@pytest.mark.parametrize("name", ["square", "star", "comb", "close_pair", "tapering"])
def test_pieces_alone_tell_the_same_seat_as_the_plan(name: str) -> None:
    planned = PlannedPair(joint(MIXED[name](), tip=0.06, real_tip=0.05, pocket_error=0.03))
    expected, found = seat(Touch(planned), LOADS), by_pieces_alone(planned)
    assert found.first_touch == pytest.approx(expected.first_touch, abs=0.002)
    for value in ("lift", "lift_strong", "walls", "glue_gap", "surface_gap"):
        assert getattr(found, value) == pytest.approx(getattr(expected, value), abs=0.002), value
    assert found.joint_line.largest == pytest.approx(expected.joint_line.largest, abs=0.001)


def ring(box: tuple[float, float, float, float], depth: float) -> tuple[np.ndarray, np.ndarray]:
    """Pieces once round a rectangle at one depth."""
    left, lower, right, upper = box
    corners = np.array([(left, lower), (right, lower), (right, upper), (left, upper)])
    level = np.column_stack([corners, np.full(4, depth)])
    return level, np.roll(level, -1, 0)


def rows(box: tuple[float, float, float, float], depth: float, apart: float) -> tuple[np.ndarray, np.ndarray]:
    """Rows side by side over a rectangle."""
    left, lower, right, upper = box
    y = np.append(np.arange(lower, upper, apart), upper)
    start = np.column_stack([np.full(len(y), left), y, np.full(len(y), depth)])
    end = start.copy()
    end[:, 0] = right
    return start, end


@pytest.mark.parametrize("shallower", [0.0, 0.3])
def test_a_square_by_hand_with_floors_cut_by_an_end_mill(shallower: float) -> None:
    # a true point at 30 deg, a 3 mm mill over both floors; the pocket's floor by so much less deep than drawn
    v, mill, t, side = Profile(angle=30), end_mill(3.0), slope(30), 20.0
    run, floor = F * t, F - shallower
    walls = [ring((run, run, side - run, side - run), F)]
    # into the corners, from the point up to the full depth
    ends = np.array([(0, 0), (side, 0), (side, side), (0, side)], float)
    inner = np.array([(run, run), (side - run, run), (side - run, side - run), (run, side - run)])
    walls.append((np.column_stack([ends, np.zeros(4)]), np.column_stack([inner, np.full(4, F)])))
    mid = (run + 1.5, run + 1.5, side - run - 1.5, side - run - 1.5)
    pocket = RemovedSolid(
        paths=(
            tool_path(*(np.concatenate(ends) for ends in zip(*walls, strict=True)), v),
            tool_path(*(np.concatenate(e) for e in zip(ring(mid, floor), rows(mid, floor, 2.0), strict=True)), mill),
        )
    )
    out, corner = U * t, np.linspace(0, np.pi / 2, 60)
    arcs = [
        (np.array(c) + out * np.stack([np.cos(corner + a), np.sin(corner + a)], 1))
        for c, a in (((side, side), 0), ((0, side), np.pi / 2), ((0, 0), np.pi), ((side, 0), 1.5 * np.pi))
    ]
    way = np.concatenate(arcs)
    level = np.column_stack([way, np.full(len(way), U)])
    outer = out + 1.5
    lanes = [ring((-outer - k, -outer - k, side + outer + k, side + outer + k), U) for k in (0.0, 1.0, 2.0)]
    plug = RemovedSolid(
        paths=(
            tool_path(level, np.roll(level, -1, 0), v),
            tool_path(*(np.concatenate(e) for e in zip(*lanes, strict=True)), mill),
        )
    )
    analysis = OutlineAnalysis(outline_of([shapely.box(0, 0, side, side)]))
    common = {"declared": v, "actual": v, "error": 0.0, "floor": NOWHERE}
    pair = Pair(
        analysis,
        Side(part="pocket", depth=F, blank=0.0, removed=pocket, **common),
        Side(part="plug", depth=U, blank=S, removed=plug, **common),
        start_depth=S,
        floors=(OpenFloor(0.0, S - floor),),
    )
    found = seat(Touch(pair), LOADS)
    # the walls fit to a hair (the plug's rounded corners are chords); a true point holds nothing in corners
    assert found.first_touch == pytest.approx(0.0, abs=0.002)
    assert found.glue_gap == pytest.approx(floor - S, abs=0.002)
    middle = np.array([[[side / 2, side / 2]], [[run + 2.0, side / 2]], [[-3.0, side / 2]]])
    assert pair.at(middle)[:, 0] == pytest.approx([S - floor, S - floor, -U])


def test_uncut_ground_holds_the_plug_up_by_its_whole_height() -> None:
    planned = PlannedPair(joint(square()))
    pocket, plug = planned.sides
    nothing = replace(plug, removed=RemovedSolid(paths=()), passes=(), floor=NOWHERE)
    pair = Pair(planned.analysis, pocket, nothing, start_depth=S, floors=planned.floors)
    assert Touch(pair).contacts[0].lift == pytest.approx(S)
