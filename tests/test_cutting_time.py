"""Cutting times against path lengths worked out another way: closed forms, and offsets drawn one by one."""

import math
from dataclasses import replace

import pytest
import shapely
from outlines import survey

from inlayfit.errors import InputError
from inlayfit.joint.depths import depths
from inlayfit.joint.job import Feed, Feeds, Level
from inlayfit.outline.regions import outline_of
from inlayfit.sheet.defaults import job_from_values
from inlayfit.shop.blanks import Blank, levelling_field
from inlayfit.shop.cut_paths import CutPaths
from inlayfit.shop.cutting_time import clearing_choices, minutes_more, step_times

FEEDS = Feeds(v=Feed(along=1500, plunge=500), clearing=Feed(along=2000, plunge=600))
WITHIN = 0.15


def shop_job(clearing=({"diameter": 3.0, "name": "3"},), **v):
    values = {
        "base": {"thickness": 20.0},
        "plug": {"thickness": 10.0, "border": 10.0},
        "joint": {"pocket_depth": 6.0, "glue_gap": 0.5, "surface_gap": 2.5},
        "bits": {
            "v": {"angle": 60, "diameter": 12.0, "depth_of_cut": 20.0, "stepover": 0.5, **v},
            "clearing": tuple({"depth_of_cut": 20.0, "stepover": 1.2, **bit} for bit in clearing),
        },
    }
    if not clearing:
        del values["bits"]["clearing"]
    return job_from_values(values, unit="mm", unit_given=True, title="t")


def steps(shape, job, feeds=FEEDS, fields=None):
    outline = outline_of(getattr(shape, "geoms", [shape]))
    found = step_times(job, depths(job)[0], CutPaths(outline, survey(outline), job.plug.border), feeds, fields)
    return {(entry.part, entry.step, entry.bit): entry for entry in found}


def star(points=5, outer=40.0, inner=18.0):
    return shapely.Polygon(
        [
            (radius * math.cos(math.pi * k / points), radius * math.sin(math.pi * k / points))
            for k, radius in enumerate([outer, inner] * points)
        ]
    )


def lettering():
    """An E of thick strokes and a thin rule under it."""
    e = shapely.union_all([shapely.box(0, 0, 12, 60), *(shapely.box(0, y, 36, y + 12) for y in (0, 24, 48))])
    return shapely.MultiPolygon([e, shapely.box(0, -10, 60, -7)])


def pond():
    blob = shapely.Polygon(
        [
            ((30 + 6 * math.sin(3 * t)) * math.cos(t), (30 + 6 * math.sin(3 * t)) * math.sin(t))
            for t in (2 * math.pi * k / 300 for k in range(300))
        ]
    )
    return blob.difference(shapely.box(-8, -8, 8, 8))


SHAPES = {"star": star(), "lettering": lettering(), "pond": pond()}


def rings_one_by_one(area, stepover):
    """Length of every offset inwards from the edge of the bit's centres, until none is left."""
    total, number = 0.0, 0
    while not (ring := area.buffer(-number * stepover, quad_segs=32)).is_empty:
        total += ring.length
        number += 1
    return total


@pytest.mark.parametrize("name", SHAPES)
def test_clearing_is_the_sum_of_its_offsets(name):
    job = shop_job()
    wall = 6 * math.tan(math.radians(30)) + 1.5

    found = steps(SHAPES[name], job)["pocket", "clear", "3"]

    expected = rings_one_by_one(SHAPES[name].buffer(-wall, quad_segs=32), 1.2)
    assert found.path == pytest.approx(expected, rel=WITHIN)
    assert found.minutes == pytest.approx(found.path / 2000 + found.plunged / 600)


@pytest.mark.parametrize("name", SHAPES)
def test_clearing_the_plug_is_the_sum_of_its_offsets(name):
    shape = SHAPES[name]
    near = shape.buffer(2.5 * math.tan(math.radians(30)) + 1.5, quad_segs=32)
    out = shape.buffer(8.5, quad_segs=32)
    out = shapely.union_all([shapely.Polygon(part.exterior) for part in getattr(out, "geoms", [out])])

    found = steps(shape, shop_job())["plug", "clear", "3"]

    assert found.path == pytest.approx(rings_one_by_one(out.difference(near), 1.2), rel=WITHIN)


def test_walls_of_a_rectangle():
    """Round the foot of the wall, and in and out of four corners along their bisectors."""
    inset = 6 * math.tan(math.radians(30))

    found = steps(shapely.box(0, 0, 60, 40), shop_job())["pocket", "walls", "60 deg V-bit"]

    contour = 2 * (60 - 2 * inset + 40 - 2 * inset)
    assert found.path - found.floor == pytest.approx(contour + 4 * 2 * inset * math.sqrt(2), rel=0.03)


def test_walls_of_a_star():
    """In and out of five points; inside corners need no line of their own."""
    inset = 6 * math.tan(math.radians(30))
    shape = star()
    side = math.dist(*shape.exterior.coords[:2])
    half_angle = math.asin(18 * math.sin(math.pi / 5) / side)

    found = steps(shape, shop_job())["pocket", "walls", "60 deg V-bit"]

    contour = shape.buffer(-inset, join_style="mitre").length
    assert found.path - found.floor == pytest.approx(contour + 5 * 2 * inset / math.sin(half_angle), rel=0.05)


def test_a_stroke_of_v_bottom_is_cut_once_along_its_middle():
    """60 x 3: the tip runs down the middle, and in and out of four corners."""
    found = steps(shapely.box(0, 0, 60, 3), shop_job())["pocket", "walls", "60 deg V-bit"]

    assert found.path == pytest.approx(57 + 4 * 2 * 1.5 * math.sqrt(2), rel=0.1)
    assert found.floor == 0


@pytest.mark.parametrize("name", SHAPES)
def test_all_of_a_job_within_fifteen_percent(name):
    """The V-bit alone: its floor by offsets drawn one by one, its walls round their foot, its corners by hand."""
    shape, inset = SHAPES[name], 6 * math.tan(math.radians(30))
    side = math.dist(*star().exterior.coords[:2])
    corners = {
        "star": 5 * 2 * inset / (18 * math.sin(math.pi / 5) / side),
        # eight square corners of the E, and the rule's middle with four corners of its own
        "lettering": 8 * 2 * inset * math.sqrt(2) + 57 + 4 * 2 * 1.5 * math.sqrt(2),
        # its edge is smooth; seen from the wood, the square hole has no corners that stick into it
        "pond": 0.0,
    }[name]
    floor = shape.buffer(-inset, quad_segs=32)
    expected = floor.length / 2 + rings_one_by_one(floor, 0.5) + corners

    found = steps(shape, shop_job(clearing=()))["pocket", "walls", "60 deg V-bit"]

    assert found.path == pytest.approx(expected, rel=WITHIN)
    assert found.minutes == pytest.approx(expected / 1500, rel=WITHIN)


def test_cut_out_and_levelling():
    job = shop_job()
    board = Blank(width=200, height=100)
    # 80 x 60 of plug and border
    fields = {"board": levelling_field(board.bounds, 3.0), "plug": levelling_field((-40, -30, 40, 30), 3.0)}

    found = steps(shapely.box(0, 0, 60, 40), job, fields=fields)

    # through 10.2 mm of wood in one pass of up to 20 mm
    assert found["plug", "cut out", "3"].path == pytest.approx(200 + 2 * math.pi * 11.5, rel=1e-3)
    # from 4.5 above the face to 0.25 below it in one pass; in three, two of them over the plug's back
    over_board = (math.ceil(112.7 / 1.2) + 1) * 212.7 + 112.7
    over_plug = (math.ceil(72.7 / 1.2) + 1) * 92.7 + 72.7
    assert found["base", "level", "3"].path == pytest.approx(over_board)
    light = replace(job, bits=replace(job.bits, levelling=replace(job.bits.clearing[0], depth_of_cut=1.6)))
    again = steps(shapely.box(0, 0, 60, 40), light, fields=fields)
    assert again["base", "level", "3"].path == pytest.approx(over_board + 2 * over_plug)
    whole = steps(shapely.box(0, 0, 60, 40), replace(light, level=Level(over="board")), fields=fields)
    assert whole["base", "level", "3"].path == pytest.approx(3 * over_board)
    assert "level" not in {step for _, step, _ in steps(shapely.box(0, 0, 60, 40), job)}


def test_passes_add_up():
    """Three passes as deep as they go, each with its own offsets: less than three times the last, more than it."""
    one = steps(star(), shop_job())["pocket", "clear", "3"]
    three = steps(star(), shop_job(clearing=({"diameter": 3.0, "name": "3", "depth_of_cut": 2.0},)))
    three = three["pocket", "clear", "3"]

    assert three.path > 3 * one.path
    # shallower passes are wider: offsets of a third and two thirds of the depth
    expected = sum(
        rings_one_by_one(star().buffer(-(depth * math.tan(math.radians(30)) + 1.5), quad_segs=32), 1.2)
        for depth in (2, 4, 6)
    )
    assert three.path == pytest.approx(expected, rel=WITHIN)


def test_each_pass_plunges_once_in_every_region():
    """Two squares, three passes to 2, 4 and 6 mm."""
    two = shapely.MultiPolygon([shapely.box(0, 0, 30, 30), shapely.box(60, 0, 90, 30)])
    job = shop_job(clearing=({"diameter": 3.0, "name": "3", "depth_of_cut": 2.0},))

    found = steps(two, job)["pocket", "clear", "3"]

    assert found.plunged == pytest.approx(2 * (2 + 4 + 6))
    assert found.minutes == pytest.approx(found.path / 2000 + found.plunged / 600)


def test_the_second_bit_clears_what_the_first_left():
    """A star's points: once round the wall, and its own stepover over what the large bit's disc did not reach."""
    small, large = {"diameter": 2.0, "name": "2"}, {"diameter": 8.0, "name": "8"}
    wall = 6 * math.tan(math.radians(30))

    found = steps(star(), shop_job(clearing=(small, large)))["pocket", "clear", "2"]

    centres = star().buffer(-(wall + 1), quad_segs=32)
    left = centres.buffer(1, quad_segs=32).area - star().buffer(-(wall + 4), quad_segs=32).buffer(4, quad_segs=32).area
    assert found.path == pytest.approx(centres.length + left / 1.2, rel=0.02)


def test_a_missing_feed_leaves_its_steps_out():
    found = steps(star(), shop_job(), Feeds(clearing=Feed(along=2000)))

    assert {step for _, step, _ in found} == {"clear", "cut out"}


def test_a_finer_stepover_costs_its_share_of_the_floor():
    outline = outline_of([star()])
    coarse, fine = shop_job(clearing=()), shop_job(clearing=(), stepover=0.25)
    paths = CutPaths(outline, survey(outline), coarse.plug.border)
    times = step_times(coarse, depths(coarse)[0], paths, FEEDS)
    again = step_times(fine, depths(fine)[0], paths, FEEDS)

    more = minutes_more(times, FEEDS, finer=0.5)

    assert more == pytest.approx(sum(e.minutes for e in again) - sum(e.minutes for e in times))
    with pytest.raises(InputError, match="stepover of 0 times"):
        minutes_more(times, FEEDS, finer=0)


def choices(shape, job):
    outline = outline_of(getattr(shape, "geoms", [shape]))
    return clearing_choices(job, depths(job)[0], CutPaths(outline, survey(outline), job.plug.border), FEEDS)


def test_a_clearing_bit_saves_time_over_the_v_bit_alone():
    found = choices(star(), shop_job())

    assert [choice.bits for choice in found] == [("3",), ()]
    assert found[0].minutes < found[1].minutes


def test_every_bit_alone_and_every_two_in_turn_are_tried():
    bits = [{"diameter": d, "name": f"{d:g}", "stepover": 0.4 * d} for d in (2.0, 4.0, 8.0)]

    found = choices(shapely.box(0, 0, 120, 90), shop_job(clearing=bits))

    assert {choice.bits for choice in found} == {(), ("8",), ("4",), ("2",), ("8", "4"), ("8", "2"), ("4", "2")}
    assert [c.minutes for c in found] == sorted(c.minutes for c in found)
    # on a plain board the large bit does the work; the V-bit alone is the slowest
    assert found[0].bits[0] == "8"
    assert found[-1].bits == ()


def test_a_bit_that_does_not_fit_leaves_the_floor_to_the_v_bit():
    """Strokes of 12 mm do not let a 10 mm bit in at this taper."""
    large = steps(lettering(), shop_job(clearing=({"diameter": 10.0, "name": "10"},)))
    alone = steps(lettering(), shop_job(clearing=()))

    assert large["pocket", "clear", "10"].path == 0
    assert large["pocket", "walls", "60 deg V-bit"].path == pytest.approx(alone["pocket", "walls", "60 deg V-bit"].path)


def test_choices_need_both_feeds():
    job = shop_job()
    outline = outline_of([star()])
    with pytest.raises(InputError, match="feeds of both"):
        clearing_choices(job, depths(job)[0], CutPaths(outline, survey(outline), 10.0), Feeds(v=Feed(along=1000)))
