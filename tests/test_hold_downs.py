"""Hold-downs against swept areas: closed forms, and a duller search over tip positions on a grid."""

import math

import numpy as np
import pytest
import shapely

from inlayfit.errors import InputError
from inlayfit.joint.depths import depths
from inlayfit.joint.schedule import schedule
from inlayfit.sheet.defaults import job_from_values
from inlayfit.shop.blanks import Blank, levelling_field
from inlayfit.shop.hold_downs import HoldDown, circle, clearances, polygon, rectangle
from inlayfit.shop.sweeps import sweeps

SQUARE = shapely.box(-20, -20, 20, 20)
STEP = 1.25
"""Of the grid in the duller search, mm."""


def shop_job(angle=60.0, tip=0.0, clearing=({"diameter": 6.0, "name": "6 mm"},), border=8.0, held=None, **joint):
    """``held``: shank, reach and stick_out of every bit."""
    values = {
        "base": {"thickness": 20.0},
        "plug": {"thickness": 12.0, "border": border},
        "joint": {"pocket_depth": 6.0, "glue_gap": 0.5, "surface_gap": 2.5, **joint},
        "bits": {
            "v": {"angle": angle, "tip": tip, "diameter": 12.0, "depth_of_cut": 2.5},
            "clearing": tuple(clearing),
            "levelling": {"diameter": 25.0, "name": "facing"},
        },
    }
    if not clearing:
        del values["bits"]["clearing"]
        values["bits"]["cut_out"] = {"diameter": 6.0}
    bits = values["bits"]
    for role in bits:
        bits[role] = [bit | (held or {}) for bit in bits[role]] if role == "clearing" else bits[role] | (held or {})
    bits["clearing"] = tuple(bits.get("clearing", ())) or None
    job = job_from_values(values, unit="mm", unit_given=True, title="t")
    found = depths(job)[0]
    return job, found, schedule(job, found)


def all_sweeps(job, found, passes, area=SQUARE, collet=None):
    return sweeps(job, found, passes, base=area, plug=area, field=None, collet=collet)


def only(hold_down, swept):
    (found,) = clearances([hold_down], swept)
    return found


def test_the_cone_above_the_face_reaches_past_the_outline():
    """A V-bit at the wall is half a cone's width at the clamp's height past it."""
    swept = all_sweeps(*shop_job())
    slope = math.tan(math.radians(30))

    found = only(HoldDown(set_up="base", footprint=rectangle(10, 10, at=(35, 0)), height=4), swept)

    assert found.strikes == ()
    assert found.clear_by == pytest.approx(10 - 4 * slope, abs=0.05)
    assert (found.step, found.by) == ("walls", "cutter")


def test_the_cone_is_never_wider_than_the_bit():
    swept = all_sweeps(*shop_job())

    found = only(HoldDown(set_up="base", footprint=rectangle(10, 10, at=(35, 0)), height=40), swept)

    assert found.clear_by == pytest.approx(10 - 6, abs=0.05)


def test_the_cut_out_is_the_widest_on_the_plug():
    """Border 8, bit 6 across: its far edge is 14 from the outline."""
    swept = all_sweeps(*shop_job())

    found = only(HoldDown(set_up="plug", footprint=rectangle(4, 4, at=(40, 0)), height=2), swept)

    assert found.clear_by == pytest.approx(38 - 34, abs=0.05)
    assert (found.step, found.bit) == ("cut out", "6 mm")


def test_a_clamp_in_the_border_is_struck_by_each_step_that_passes_there():
    swept = all_sweeps(*shop_job())

    found = only(HoldDown(set_up="plug", footprint=rectangle(9, 4, at=(28, 0)), height=10), swept)

    assert found.clear_by == 0
    assert [strike.step for strike in found.strikes] == ["clear", "walls", "cut out"]
    for strike in found.strikes:
        assert rectangle(9, 4, at=(28, 0)).contains(shapely.Point(*strike.at))


def test_a_collet_counts_only_where_the_hold_down_reaches_it():
    """Cutting 6 deep with 16 of reach, the collet's lower end is 10 above the face."""
    swept = all_sweeps(*shop_job(clearing=({"diameter": 6.0, "name": "6 mm", "stick_out": 16.0},)), collet=40)
    clamp = rectangle(10, 10, at=(32, 0))

    low = only(HoldDown(set_up="base", footprint=clamp, height=9.9), swept)
    high = only(HoldDown(set_up="base", footprint=clamp, height=10.1), swept)

    assert low.strikes == ()
    assert [(strike.step, strike.by) for strike in high.strikes] == [("clear", "collet")]


def test_the_collet_is_where_the_tip_is_that_deep():
    """At full depth the bit stays F T + R inside the outline; a tall clamp meets the collet of the first pass."""
    job, found, passes = shop_job(clearing=({"diameter": 6.0, "name": "6 mm", "stick_out": 16.0},))
    swept = all_sweeps(job, found, passes, collet=40)
    slope, offset = math.tan(math.radians(30)), 3.0
    first = next(entry for entry in passes if entry.step == "clear").total_depth

    deep = only(HoldDown(set_up="base", footprint=rectangle(10, 10, at=(45, 0)), height=10.1), swept)
    shallow = only(HoldDown(set_up="base", footprint=rectangle(10, 10, at=(45, 0)), height=15.9), swept)

    assert deep.clear_by == pytest.approx(20 - (20 - 6 * slope - offset) + 20 - 20, abs=0.05)
    assert shallow.clear_by == pytest.approx(40 - (20 - first * slope - offset) - 20, abs=0.05)


def test_a_thick_shank_begins_at_the_reach_and_the_collet_above_it():
    """2 mm bit on a 6 mm shank: at full depth their lower ends are 8 - 6 and 24 - 6 above the face."""
    bit = {"diameter": 2.0, "name": "2 mm", "reach": 8.0, "shank": 6.0, "stick_out": 24.0}
    slope = math.tan(math.radians(30))
    (swept, *_) = all_sweeps(*shop_job(clearing=(bit,)), collet=40)
    by_height = {height: dict(swept.at(height)) for height in (1.9, 2.1, 17.9, 18.1)}

    assert [list(by_height[height]) for height in by_height] == [
        ["cutter"], ["cutter", "shank"], ["cutter", "shank"], ["cutter", "shank", "collet"],
    ]  # fmt: skip
    at_full_depth = 20 - 6 * slope - 1
    assert by_height[2.1]["shank"].bounds[2] == pytest.approx(at_full_depth + 3, abs=0.1)
    assert by_height[18.1]["collet"].bounds[2] == pytest.approx(at_full_depth + 20, abs=0.1)


def test_what_stays_under_the_face_meets_only_what_cuts_so_deep():
    """A stop beside the plug, in the cut-out's way: the bit cuts through 12 mm and 0.2 more."""
    swept = all_sweeps(*shop_job())

    def stop(height):
        return only(HoldDown(set_up="plug", footprint=rectangle(10, 10, at=(36, 0)), height=height), swept)

    assert [strike.step for strike in stop(-12.1).strikes] == ["cut out"]
    assert stop(-12.5).strikes == ()
    # the walls and the clearing end 8 mm down, and do not come so far out
    assert stop(-9).step == "cut out"
    assert only(HoldDown(set_up="base", footprint=rectangle(5, 5), height=-7), swept).step is None


def test_the_cone_under_the_face_keeps_inside_its_wall():
    """3 mm down, the pocket's wall is 3 T inside the outline."""
    swept = all_sweeps(*shop_job())

    found = only(HoldDown(set_up="base", footprint=rectangle(10, 10, at=(25, 0)), height=-3), swept)

    assert found.clear_by == pytest.approx(3 * math.tan(math.radians(30)), abs=0.05)


def test_a_stop_lower_than_the_levelled_face_may_stand_in_the_field():
    job, found, passes = shop_job(level_below=0.3)
    swept = sweeps(job, found, passes, field=levelling_field(Blank(width=120, height=90).bounds, 25.0))

    def stop(height):
        return only(HoldDown(set_up="level", footprint=rectangle(10, 10, at=(66, 0)), height=height), swept)

    assert stop(-0.4).strikes == ()
    assert [strike.step for strike in stop(-0.2).strikes] == ["level"]


def test_a_screw_in_the_middle_of_the_plug_meets_the_bit_at_the_top_of_its_wall():
    """Half a bit's width inwards of the outline, where the cone is full at the screw's height."""
    swept = all_sweeps(*shop_job())

    found = only(HoldDown(set_up="plug", footprint=rectangle(10, 10), height=20), swept)

    assert found.clear_by == pytest.approx(15 - 6, abs=0.05)
    assert found.step == "walls"


def test_the_v_bit_goes_where_the_clearing_bit_does_not_fit():
    """A gap of 7 mm: the V-bit cleans all of it, though its walls' feet keep 2.8 mm from the middle."""
    pair = shapely.MultiPolygon([shapely.box(-30, -20, -3.5, 20), shapely.box(3.5, -20, 30, 20)])
    swept = all_sweeps(*shop_job(angle=30.0), area=pair)

    found = only(HoldDown(set_up="plug", footprint=circle(0.4), height=0.5), swept)

    assert [strike.step for strike in found.strikes] == ["walls"]


def test_nothing_stands_in_the_levelling_field():
    job, found, passes = shop_job()
    board = Blank(width=120, height=90)
    field = levelling_field(board.bounds, 25.0)
    swept = sweeps(job, found, passes, field=field)

    beside = only(HoldDown(set_up="level", footprint=rectangle(10, 10, at=(66, 0)), height=0.1), swept)
    off = only(HoldDown(set_up="level", footprint=rectangle(10, 10, at=(90, 0)), height=30), swept)

    assert [strike.step for strike in beside.strikes] == ["level"]
    assert off.clear_by == pytest.approx(85 - (60 + field.run_off), abs=0.05)


def test_a_set_up_in_which_nothing_is_cut_says_so():
    job, found, passes = shop_job()
    swept = sweeps(job, found, passes, base=SQUARE)

    found = only(HoldDown(set_up="plug", footprint=circle(5), height=5), swept)

    assert (found.clear_by, found.step, found.strikes) == (None, None, ())


def test_hold_downs_keep_their_numbers():
    swept = all_sweeps(*shop_job())
    clamps = [
        HoldDown(set_up=part, footprint=circle(8, at=(60, y)), height=5) for part in ("base", "plug") for y in (0, 9)
    ]

    assert [entry.number for entry in clearances(clamps, swept)] == [1, 2, 3, 4]


def test_footprints():
    assert rectangle(20, 10, at=(5, 5), turn=90).bounds == pytest.approx((0, -5, 10, 15))
    assert circle(10, at=(3, 0)).contains(shapely.Point(7.9999, 0))
    assert circle(10).area == pytest.approx(math.pi * 25, rel=2e-3)
    assert polygon([(0, 0), (4, 0), (0, 4)], at=(1, 1)).bounds == (1, 1, 5, 5)


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ([(0, 0), (4, 4), (4, 0), (0, 4)], "sides that cross or touch each other"),
        ([(0, 0), (4, 0), (8, 0)], "corners on one line"),
    ],
)
def test_a_polygon_that_is_none_is_refused(points, told):
    with pytest.raises(InputError, match=told):
        polygon(points)


# --- the duller way: every tip position of a grid against every spot of a footprint, by distances alone


def outlines(random):
    star = [
        (radius * math.cos(math.pi * k / 5), radius * math.sin(math.pi * k / 5))
        for k, radius in enumerate([24, 10] * 5)
    ]
    pins = shapely.MultiPolygon([shapely.box(-24, -5, -4, 5), shapely.box(0, -12, 4, 12), shapely.box(9, -3, 25, 14)])
    frame = shapely.box(-22, -16, 22, 16).difference(shapely.box(-9, -9, 13, 8))
    blob = shapely.Polygon(
        [
            ((14 + 6 * math.sin(3 * t)) * math.cos(t), (14 + 6 * math.sin(3 * t)) * math.sin(t))
            for t in np.linspace(0, 2 * math.pi, 60, endpoint=False)
        ]
    )
    for shape in (shapely.Polygon(star), pins, frame, blob, shapely.box(-25, -2, 25, 2)):
        yield shapely.affinity.rotate(shape, random.uniform(0, 360), origin=(0, 0))
        yield shapely.affinity.scale(shape, *random.uniform(0.5, 1.1, 2), origin=(0, 0))


def tip_depths(job, passes, area, grid, slack):
    """Each pass with the depth of its tip at every spot of the grid, NaN where it does not come; by distances alone.

    ``slack`` lets the tip come that much nearer to every wall and line than it does.
    """
    spots = shapely.points(grid)
    inside = shapely.distance(area.boundary, spots) * np.where(shapely.contains(area, spots), 1, -1)
    outside = slack - inside
    inside = inside + slack
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in getattr(area, "geoms", [area])])
    # outside the outline with its holes filled; nothing in a hole
    beyond = shapely.distance(filled, spots) - slack
    slope = job.bits.pocket_v.shape.slope
    tip = job.bits.pocket_v.shape.tip_radius
    for entry in passes:
        depth = np.full(len(spots), np.nan)
        cutter = entry.cutter
        wall = (entry.depth_below_start or 0) * slope + cutter.diameter / 2
        if entry.step == "cut out":
            line = filled.buffer(job.plug.border + cutter.diameter / 2, quad_segs=64).boundary
            depth[shapely.distance(line, spots) <= max(slack, 0.005)] = entry.total_depth
        elif entry.part == "pocket" and cutter is job.bits.pocket_v:
            may = inside >= tip
            depth[may] = np.minimum(entry.total_depth, (inside[may] - tip) / slope)
        elif entry.part == "pocket":
            depth[inside >= wall] = entry.total_depth
        elif cutter is job.bits.plug_v:
            foot = tip + entry.depth_below_start * slope
            may = (outside >= tip) & (beyond <= foot) & (outside <= foot + 2 * slack)
            if job.bits.clearing:
                # floor that the clearing bit's disc does not cover, wherever it stands
                radius = job.bits.clearing[-1].diameter / 2
                inner = 2.5 * slope + radius
                outer = max(inner, job.plug.border - radius)
                centres = spots[(outside >= inner) & (beyond <= outer)]
                lines = [shape.buffer(by, quad_segs=64).boundary for shape, by in ((area, inner), (filled, outer))]
                edge = shapely.segmentize(lines, STEP / 4)
                tree = shapely.STRtree([*centres, *shapely.points(shapely.get_coordinates(edge))])
                far = shapely.distance(spots, tree.geometries[tree.nearest(spots)])
                far = far - radius + (2.5 * slack if slack else -0.71 * STEP)
                may |= (outside >= foot) & (beyond <= job.plug.border) & (far > 0)
            if entry.step == "clear":
                may = (outside >= tip) & (beyond <= max(foot, job.plug.border - tip))
            depth[may] = entry.start_depth + np.minimum(entry.depth_below_start, (outside[may] - tip) / slope)
        elif entry.part == "plug":
            last = max(other.depth_below_start for other in passes if other.part == "plug" and other.step == "clear")
            outer = max(last * slope + cutter.diameter / 2, job.plug.border - cutter.diameter / 2)
            depth[(outside >= wall) & (beyond <= outer)] = entry.total_depth
        yield entry, depth


def bit_radius(cutter, height, collet):
    if hasattr(cutter, "shape"):
        radius = np.minimum(cutter.shape.tip_radius + height * cutter.shape.slope, cutter.diameter / 2)
    else:
        radius = np.full_like(height, cutter.diameter / 2)
    radius = np.where(height >= cutter.reach, np.maximum(radius, cutter.shank / 2), radius)
    return np.where(height >= cutter.stick_out, np.maximum(radius, collet / 2), radius)


def grid_gap(tips, away, height, collet):
    """Least distance from a cutter on the grid to a footprint; negative where one runs into it."""
    least = math.inf
    for entry, depth in tips:
        # under the face only what comes down to the height counts
        here = np.nan_to_num(depth + height, nan=-1.0) >= 0
        if here.any():
            radius = bit_radius(entry.cutter, depth[here] + height, collet)
            least = min(least, float((away[here] - radius).min()))
    return least


def same_step(entry, sweep):
    return (entry.part == "pocket", entry.step, entry.bit) == (sweep.set_up == "base", sweep.step, sweep.bit)


@pytest.mark.parametrize("number", range(10))
def test_no_hold_down_that_a_grid_finds_struck_is_missed(number):
    """Ten random set-ups of a hundred hold-downs each: a thousand, and not one miss.

    Tips only at grid spots find no strike that is none, so each must be found. Every true tip position has a spot
    within 0.71 of a step; let nearer to the walls by that, the grid has them all, and no clearance may be less than
    its own less the same again.
    """
    random = np.random.default_rng(number)
    collet, shank = float(random.uniform(15, 35)), float(random.uniform(6, 15))
    reach = float(random.uniform(12.5, 20))
    area = list(outlines(random))[number]
    job, found, passes = shop_job(
        angle=float(random.choice([30, 60, 90])),
        tip=float(random.choice([0, 0.2, 1.0])),
        clearing=() if number in (3, 8) else ({"diameter": float(random.choice([3, 6]))},),
        border=float(random.choice([4, 8, 12])),
        pocket_depth=4.0,
        held={"shank": shank, "reach": reach, "stick_out": reach + float(random.uniform(0, 10))},
    )
    passes = tuple(entry for entry in passes if entry.step != "level")
    swept = all_sweeps(job, found, passes, area=area, collet=collet)
    low_x, low_y, high_x, high_y = area.buffer(20).bounds
    grid = np.stack(np.meshgrid(np.arange(low_x, high_x, STEP), np.arange(low_y, high_y, STEP)), axis=-1).reshape(-1, 2)
    near = 0.71 * STEP
    exact = list(tip_depths(job, passes, area, grid, 0.0))
    generous = list(tip_depths(job, passes, area, grid, near))
    spots = shapely.points(grid)
    heights = np.concatenate([random.uniform(1, 25, 7), random.uniform(-4, 0, 2)])
    clamps = []
    for _ in range(100):
        at = tuple(random.uniform([low_x - 10, low_y - 10], [high_x + 10, high_y + 10]))
        footprint = [
            rectangle(*random.uniform(3, 25, 2), at=at, turn=random.uniform(0, 180)),
            circle(random.uniform(3, 20), at=at),
            polygon([(0, 0), (random.uniform(5, 20), 0), (0, random.uniform(5, 20))], at=at),
        ][random.integers(3)]
        set_up = str(random.choice(["base", "plug"]))
        clamps.append(HoldDown(set_up=set_up, footprint=footprint, height=float(random.choice(heights))))
    struck = 0
    away = [shapely.distance(clamp.footprint, spots) for clamp in clamps]
    # step by step: taken together, the widest would hide what the others do
    for sweep in swept:
        sure = [tip for tip in exact if same_step(tip[0], sweep)]
        all_of_them = [tip for tip in generous if same_step(tip[0], sweep)]
        for clamp, far, answer in zip(clamps, away, clearances(clamps, [sweep]), strict=True):
            if clamp.set_up != sweep.set_up:
                assert answer.clear_by is None
                continue
            gap = grid_gap(sure, far, clamp.height, collet)
            if gap <= 0:
                struck += 1
                assert answer.strikes, f"missed {clamp}: the grid is {gap} inside"
            assert answer.clear_by is None or answer.clear_by <= max(0.0, gap) + 0.02
            least = grid_gap(all_of_them, far, clamp.height, collet) - near - 0.02
            assert answer.clear_by is None or answer.clear_by >= least
            assert answer.clear_by is not None or gap == math.inf
    assert 10 < struck
