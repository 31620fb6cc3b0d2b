"""The pass schedule: order, loads, start depths; and by sections, that no roughing pass touches the final wall."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from jobs import CLEARING, GONE, job
from outlines import SHARED
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Cutter, Profile
from inlayfit.errors import InputError
from inlayfit.joint.depths import depths
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import MOST_PASSES, Pass, equal_steps, schedule
from inlayfit.outline.regions import grown


def passes(changes: dict[str, Any] | None = None) -> tuple[Pass, ...]:
    made = job(changes)
    return schedule(made, depths(made)[0])


def of(found: Iterable[Pass], part: str, step: str, bit: str | None = None) -> list[Pass]:
    return [
        entry
        for entry in found
        if (entry.part, entry.step) == (part, step) and (bit is None or entry.bit == bit)
    ]


def steps_in_order(found: Iterable[Pass]) -> list[tuple[str, str, str]]:
    return [key for key, _ in itertools.groupby((entry.part, entry.step, entry.bit) for entry in found)]


@given(st.floats(0.01, 50), st.floats(0.05, 10))
def test_equal_steps_are_the_fewest_and_equal(total: float, most: float) -> None:
    steps = equal_steps(total, most)
    assert steps[-1] == total
    loads = [after - before for before, after in zip((0.0, *steps), steps, strict=False)]
    assert max(loads) <= most * (1 + 1e-6)
    assert min(loads) == pytest.approx(max(loads), rel=1e-6, abs=1e-9)
    # one pass fewer would be too much
    assert len(steps) == 1 or total / (len(steps) - 1) > most * (1 - 1e-6)


def test_an_even_load_is_not_split_by_rounding() -> None:
    assert len(equal_steps(0.3, 0.1)) == 3
    assert len(equal_steps(6.35, 6.35 / 3)) == 3


def test_working_order() -> None:
    assert steps_in_order(passes()) == [
        ("pocket", "clear", "2 mm end mill"),
        ("pocket", "walls", "30 deg V-bit"),
        ("plug", "clear", "2 mm end mill"),
        ("plug", "walls", "30 deg V-bit"),
        ("plug", "cut out", "6 mm end mill"),
        ("base", "level", "25 mm surfacing bit"),
    ]


def test_several_clearing_bits_go_from_the_largest_down() -> None:
    bits = (
        {**CLEARING, "name": "small", "diameter": 1.5, "depth_of_cut": 0.7},
        {**CLEARING, "name": "large", "diameter": 6.0, "depth_of_cut": 3.0},
    )
    found = passes({"bits.clearing": bits})
    order = steps_in_order(found)
    assert order[:2] == [("pocket", "clear", "large"), ("pocket", "clear", "small")]
    assert order[3:5] == [("plug", "clear", "large"), ("plug", "clear", "small")]
    # each clears the whole depth in as few passes as its own limit allows
    assert len(of(found, "pocket", "clear", "large")) == math.ceil(6 / 3.0)
    assert len(of(found, "pocket", "clear", "small")) == math.ceil(6 / 0.7)
    assert len(of(found, "plug", "clear", "small")) == math.ceil(8 / 0.7)


def test_without_a_clearing_bit_the_v_bit_clears() -> None:
    found = passes({"bits.clearing": GONE, "bits.cut_out": GONE, "bits.levelling": GONE})
    assert steps_in_order(found) == [
        ("pocket", "clear", "30 deg V-bit"),
        ("pocket", "walls", "30 deg V-bit"),
        ("plug", "clear", "30 deg V-bit"),
        ("plug", "walls", "30 deg V-bit"),
    ]


def test_two_v_bits_each_cut_their_part() -> None:
    v = {"angle": 30.0, "tip": 0.1, "diameter": 6.0, "reach": 20.0, "depth_of_cut": 2.0, "stepover": 0.12}
    two = {"bits.v": GONE, "bits.pocket_v": {**v, "name": "fine"}, "bits.plug_v": {**v, "depth_of_cut": 1.0}}
    found = passes(two)
    assert [entry.bit for entry in of(found, "pocket", "walls")] == ["fine"] * 3
    assert [entry.bit for entry in of(found, "plug", "walls")] == ["30 deg V-bit (plug)"] * 8


def test_numbers_run_from_one() -> None:
    for _, group in itertools.groupby(passes(), key=lambda entry: (entry.part, entry.step, entry.bit)):
        entries = list(group)
        assert [entry.number for entry in entries] == list(range(1, len(entries) + 1))
        assert {entry.of for entry in entries} == {len(entries)}


def test_pocket_passes_start_at_the_face() -> None:
    for step, most in (("clear", 1.5), ("walls", 2.0)):
        entries = of(passes(), "pocket", step)
        count = math.ceil(6 / most)
        assert [entry.total_depth for entry in entries] == pytest.approx(
            [6 * n / count for n in range(1, count + 1)]
        )
        assert all(
            entry.start_depth == 0 and entry.depth_below_start == entry.total_depth for entry in entries
        )
        assert all(entry.load == pytest.approx(6 / count) for entry in entries)


def test_plug_passes_keep_the_surface_gap_below_a_rising_start_depth() -> None:
    # total 8, surface gap 2.5
    for step, most in (("clear", 1.5), ("walls", 2.0)):
        entries = of(passes(), "plug", step)
        count = math.ceil(8 / most)
        totals = [8 * n / count for n in range(1, count + 1)]
        assert [entry.total_depth for entry in entries] == pytest.approx(totals)
        assert [entry.start_depth for entry in entries] == pytest.approx(
            [max(0, total - 2.5) for total in totals]
        )
        assert [entry.depth_below_start for entry in entries] == pytest.approx(
            [min(total, 2.5) for total in totals]
        )
        assert entries[-1].start_depth == pytest.approx(5.5)


def test_load_smaller_than_the_surface_gap_starts_at_the_face() -> None:
    entries = of(passes({"bits.clearing": {**CLEARING, "depth_of_cut": 1.0}}), "plug", "clear")
    assert len(entries) == 8
    first, second, third = entries[:3]
    assert (first.start_depth, first.depth_below_start, first.total_depth) == (0, 1, 1)
    assert (second.start_depth, second.depth_below_start, second.total_depth) == (0, 2, 2)
    assert (third.start_depth, third.depth_below_start, third.total_depth) == (0.5, 2.5, 3)


def test_pass_depths_add_up() -> None:
    for entry in passes():
        if entry.start_depth is not None and entry.depth_below_start is not None:
            assert entry.start_depth + entry.depth_below_start == pytest.approx(entry.total_depth)
        assert 0 < entry.load <= entry.cutter.depth_of_cut + 1e-9


def test_cut_out_goes_a_little_through() -> None:
    entries = of(passes({"plug.through": 0.4}), "plug", "cut out")
    assert entries[-1].total_depth == pytest.approx(12.4)
    assert len(entries) == math.ceil(12.4 / 3)
    assert of(passes(), "plug", "cut out")[-1].total_depth == pytest.approx(12.2)
    assert of(passes({"plug.cut_out": False}), "plug", "cut out") == []


def test_cut_out_and_levelling_default_to_the_largest_clearing_bit() -> None:
    bits = ({**CLEARING, "name": "small"}, {**CLEARING, "name": "large", "diameter": 8.0})
    found = passes({"bits.clearing": bits, "bits.cut_out": GONE, "bits.levelling": GONE})
    assert {entry.bit for entry in of(found, "plug", "cut out")} == {"large"}
    assert {entry.bit for entry in of(found, "base", "level")} == {"large"}


def test_levelling_takes_the_plugs_back_down_past_the_face() -> None:
    entries = of(passes(), "base", "level")
    # the plug stands 12 - 5.5 = 6.5 above the face; 0.25 below it is asked for; 1 mm a pass
    count = math.ceil(6.75 / 1.0)
    assert [entry.total_depth for entry in entries] == pytest.approx(
        [6.75 * n / count - 6.5 for n in range(1, count + 1)]
    )
    assert entries[-1].total_depth == 0.25
    assert all(entry.start_depth is None and entry.depth_below_start is None for entry in entries)


@pytest.mark.parametrize("load", [0.3, 1.0, 2.5, 10.0])
@pytest.mark.parametrize("surface_gap", [0.5, 2.5, 4.0])
@pytest.mark.parametrize("holds", [0.0, 0.5, 1.2])
def test_skin_breaks_in_the_first_pass_that_leaves_less_than_holds(
    load: float, surface_gap: float, holds: float
) -> None:
    made = job(
        {"bits.levelling.depth_of_cut": load, "joint.surface_gap": surface_gap, "limits.least_skin": holds}
    )
    entries = of(schedule(made, depths(made)[0]), "base", "level")
    breaking = [entry for entry in entries if entry.breaks_skin]
    assert len(breaking) == 1
    # the plug's own floor lies the surface gap above the face: what stands over it is the skin
    left = -breaking[0].total_depth - surface_gap
    assert left < max(holds, 1e-6)
    if breaking[0].number > 1:
        assert left + breaking[0].load >= holds - 1e-6


def test_a_pass_that_leaves_next_to_nothing_of_the_skin_breaks_it() -> None:
    # 6.5 above the face in passes of 0.99: the fourth leaves 2.54 above the face, 0.04 over the plug's own floor
    found = passes({"joint.level_below": 0.43, "bits.levelling.depth_of_cut": 0.99})
    entries = of(found, "base", "level")
    assert [round(-entry.total_depth - 2.5, 2) for entry in entries[2:5]] == [1.03, 0.04, -0.95]
    assert [entry.number for entry in entries if entry.breaks_skin] == [4]


def test_levelling_runs_over_the_plugs_back_until_it_comes_to_the_board() -> None:
    found = of(passes(), "base", "level")
    assert [entry.over for entry in found] == ["plug"] * (len(found) - 1) + ["board"]
    # passes that cut into the face run over the board, however many
    deep = of(passes({"joint.level_below": 2.5}), "base", "level")
    assert [entry.over for entry in deep] == ["plug" if entry.total_depth <= 0 else "board" for entry in deep]
    assert [entry.over for entry in deep].count("board") > 1
    whole = of(passes({"level.over": "board"}), "base", "level")
    assert {entry.over for entry in whole} == {"board"}
    assert {entry.over for entry in passes() if entry.step != "level"} == {None}


def test_levelling_starts_where_the_saw_stopped() -> None:
    sawn = of(passes({"level.saw_to": 3.5}), "base", "level")
    assert [entry.total_depth for entry in sawn] == pytest.approx([3.75 * n / 4 - 3.5 for n in range(1, 5)])
    assert [entry.number for entry in sawn if entry.breaks_skin] == [1]  # 0.06 of it is left
    # sawn through, no skin is left to break; a saw above the plug's back takes nothing
    assert not any(entry.breaks_skin for entry in passes({"level.saw_to": 2.0}))
    assert passes({"level.saw_to": 9.0}) == passes()


def test_nothing_else_breaks_skin() -> None:
    assert not any(entry.breaks_skin for entry in passes() if entry.step != "level")


@pytest.mark.parametrize(("touch_off", "zeros"), [("face", {"base face", "plug face"}), ("bed", {"bed"})])
def test_zero_of_every_pass(touch_off: str, zeros: set[str]) -> None:
    found = passes({"touch_off": touch_off})
    assert {entry.zero for entry in found} == zeros
    if touch_off == "face":
        assert {entry.zero for entry in found if entry.part == "plug"} == {"plug face"}
        assert {entry.zero for entry in found if entry.part != "plug"} == {"base face"}


def test_bed_zero_changes_no_depth() -> None:
    on_face, on_bed = passes(), passes({"touch_off": "bed"})
    assert [entry.total_depth for entry in on_face] == [entry.total_depth for entry in on_bed]


# --- sections -------------------------------------------------------------------------------------------------------
# What a pass leaves standing at a depth z is worked out from the cutter itself: every place that its round section
# sweeps is gone. In the plug the axis stays outside the outline, in the pocket inside it, by the cutter's half-width
# at the depth below the start (a straight bit: by the clearing offset and its radius).

SECTION_OUTLINES = ["star", "comb", "ell", "spiral stroke"]
CUTTERS: dict[str, dict[str, Any]] = {
    "point": {"bits.v.tip": 0.0},
    "flat": {},
    "wide flat at 90": {"bits.v.tip": 0.8, "bits.v.angle": 90.0, "bits.v.diameter": 20.0},
    "ball": {"bits.v.tip": GONE, "bits.v.ball": 0.5},
}
LOADS = [1.5, 3.5]
"""One smaller than the surface gap of 2.5, so that the first passes start at the face; one larger."""
BY_FACETS = 0.005
"""Round corners are chords: how far a section may seem to be off, in mm."""


def profile(cutter: Cutter, height: float) -> float:
    """Half-width of the cutter at a height over its lowest point."""
    return cutter.shape.half_width_at(height)


def axis_line(cutter: Cutter, shape: Profile, below: float) -> float:
    """How far from the outline the cutter's axis is kept by a programme for this depth below the start."""
    if cutter.tapers:
        return cutter.shape.half_width_at(below)
    return below * shape.slope + cutter.diameter / 2


def plug_left_by(entry: Pass, outline: BaseGeometry, shape: Profile, z: float) -> BaseGeometry:
    """What stands at depth z after one pass, seen alone."""
    around = grown(outline, axis_line(entry.cutter, shape, entry.depth_below_start or 0.0))
    return grown(around, -profile(entry.cutter, entry.total_depth - z))


def plug_wanted(outline: BaseGeometry, shape: Profile, start: float, below: float, z: float) -> BaseGeometry:
    """The finished plug at depth z: the V-bit runs at the full depth, and higher up where gaps are narrow."""
    left = None
    for share in (0.0, 0.3, 1.0):
        tip = start + share * below
        if tip < z:
            continue
        section = grown(grown(outline, shape.half_width_at(share * below)), -shape.half_width_at(tip - z))
        left = section if left is None else left.intersection(section)
    assert left is not None
    # what a ball leaves in the corner between wall and floor is no wall: the clearing bit may take it
    return left.intersection(grown(outline, (z - start) * shape.slope)) if shape.rounding else left


def pocket_cut_by(entry: Pass, outline: BaseGeometry, shape: Profile, z: float) -> BaseGeometry:
    """What is gone at depth z after one pass, seen alone."""
    axes = grown(outline, -axis_line(entry.cutter, shape, entry.total_depth))
    return grown(axes, profile(entry.cutter, entry.total_depth - z))


def stands_out(inner: BaseGeometry, outer: BaseGeometry) -> float:
    """How far the first geometry reaches out of the second, in mm."""
    corners = shapely.get_coordinates(inner)
    if not len(corners):
        return 0.0
    return float(shapely.distance(outer, shapely.points(corners)).max()) if not outer.is_empty else math.inf


def heights(total: float) -> list[float]:
    return [0.0, 0.7 * total, total]


@pytest.mark.parametrize("name", SECTION_OUTLINES)
@pytest.mark.parametrize("cutter", CUTTERS)
@pytest.mark.parametrize("load", LOADS)
def test_every_roughing_pass_of_the_plug_stays_clear_of_the_final_wall(
    name: str, cutter: str, load: float
) -> None:
    made = job(
        {
            "bits.v.depth_of_cut": load,
            "bits.clearing.depth_of_cut": load,
            **CUTTERS[cutter],
        }
    )
    outline, shape, found = SHARED[name]().area, made.bits.plug_v.shape, depths(made)[0]
    every = schedule(made, found)
    assert any(entry.start_depth == 0 for entry in every if entry.part == "plug") or load > found.surface_gap
    for entry in of(every, "plug", "clear") + of(every, "plug", "walls"):
        # the least that a rising start depth promises, sideways
        clear = min(found.plug_total_depth - entry.total_depth, found.start_depth) * shape.slope
        for z in heights(entry.total_depth):
            wanted = plug_wanted(outline, shape, found.start_depth, found.depth_below_start, z)
            left = plug_left_by(entry, outline, shape, z)
            assert stands_out(grown(wanted, 0.99 * clear), left) <= BY_FACETS, (entry, z)


@pytest.mark.parametrize("name", SECTION_OUTLINES)
@pytest.mark.parametrize("cutter", CUTTERS)
def test_every_pass_of_the_pocket_stays_within_the_final_wall(name: str, cutter: str) -> None:
    made = job(CUTTERS[cutter])
    outline, shape, found = SHARED[name]().area, made.bits.pocket_v.shape, depths(made)[0]
    every = schedule(made, found)
    for entry in of(every, "pocket", "clear") + of(every, "pocket", "walls"):
        for z in heights(entry.total_depth):
            cut = pocket_cut_by(entry, outline, shape, z)
            assert stands_out(cut, grown(outline, -z * shape.slope)) <= BY_FACETS, (entry, z)
            if not shape.rounding:
                tip = shape.tip_radius
                wanted = grown(grown(outline, -(z * shape.slope + tip)), tip)
                assert stands_out(cut, wanted) <= BY_FACETS, (entry, z)


def test_sections_would_show_a_pass_that_cuts_into_the_wall() -> None:
    made = job()
    outline, shape, found = SHARED["ell"]().area, made.bits.plug_v.shape, depths(made)[0]
    last = of(schedule(made, found), "plug", "walls")[-1]
    assert last.start_depth is not None
    assert last.depth_below_start is not None
    too_near = replace(
        last, start_depth=last.start_depth + 0.2, depth_below_start=last.depth_below_start - 0.2
    )
    wanted = plug_wanted(outline, shape, found.start_depth, found.depth_below_start, 0.0)
    over = stands_out(wanted, plug_left_by(too_near, outline, shape, 0.0))
    assert over >= 0.99 * 0.2 * shape.slope


@pytest.mark.parametrize("name", SECTION_OUTLINES)
def test_seated_plug_and_pocket_touch_along_the_wall(name: str) -> None:
    # the last wall passes, pointed bit: turned over, the plug's section at each depth is the pocket's
    made = job({"bits.v.tip": 0.0})
    outline, shape, found = SHARED[name]().area, made.bits.plug_v.shape, depths(made)[0]
    for depth in (0.0, 0.3 * found.start_depth, 0.8 * found.start_depth):
        plug = plug_wanted(
            outline, shape, found.start_depth, found.depth_below_start, found.start_depth - depth
        )
        pocket = grown(outline, -depth * shape.slope)
        assert stands_out(plug, pocket) <= BY_FACETS
        assert plug.area == pytest.approx(pocket.area, abs=BY_FACETS * (pocket.length + 1))


@pytest.mark.parametrize("role", ["v", "clearing", "levelling", "cut_out"])
def test_passes_beyond_all_bounds_are_refused_by_the_bits_name(role: str) -> None:
    def bits(changes: dict[str, object]) -> Job:
        whole = {
            "bits.levelling": {"name": "surfacing", "diameter": 25.0, "depth_of_cut": 1.0},
            "bits.cut_out": {"name": "spiral", "diameter": 6.0, "depth_of_cut": 3.0},
        }
        return job({**whole, **changes})

    made = bits({f"bits.{role}.depth_of_cut": 1e-5})
    told = r"would take [\d,]+ passes in one step, expected at most 1,000: give it a larger depth_of_cut"
    with pytest.raises(InputError, match=told) as caught:
        schedule(made, depths(made)[0])
    assert caught.value.where == ("bits", role)
    # as many as are allowed are made
    just = bits({"bits.v.depth_of_cut": depths(job())[0].plug_total_depth / MOST_PASSES})
    found = schedule(just, depths(just)[0])
    assert max(entry.of for entry in found) == MOST_PASSES
