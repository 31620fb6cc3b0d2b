"""The section drawing: its geometry read back from the SVG and compared with the model's numbers."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, radians, tan

import outlines
import pytest
from drawn import Drawn, contrast, points
from jobs import GONE, job
from label_boxes import faults

from inlayfit.outline.regions import Outline
from inlayfit.pictures import palette
from inlayfit.pictures.canvas import text_width
from inlayfit.pictures.section import section
from inlayfit.plan import Plan, plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits

PAPER = 2e-3
"""Ends are written to a ten-thousandth of a mm of paper."""


def planned(changes: dict[str, object] | None = None, outline: Outline | None = None) -> Plan:
    return plan(job(changes or {}), outline)


def drawn(made: Plan) -> Drawn:
    return Drawn(section(made).svg())


def scale_of(picture: Drawn, panel: str) -> float:
    return float(picture.one("g", panel).attrib["data-scale"])


def test_dimensions_are_the_models_and_drawn_to_scale() -> None:
    made = planned()
    picture, depths = drawn(made), made.facts.depths
    expected = {
        "seated": {
            "pocket_depth": depths.pocket_depth, "glue_gap": depths.glue_gap, "surface_gap": depths.surface_gap,
            "base_floor": depths.base_floor, "plug_web": depths.plug_web, "above_face": depths.above_face,
            "joint_depth": depths.start_depth,
        },
        "alone": {
            "start_depth": depths.start_depth, "depth_below_start": depths.depth_below_start,
            "plug_total_depth": depths.plug_total_depth, "plug_web": depths.plug_web,
        },
    }  # fmt: skip
    for panel, lengths in expected.items():
        within, scale = picture.one("g", panel), scale_of(picture, panel)
        assert set(picture.names(within)) == set(lengths)
        for name, length in lengths.items():
            mm, top, bottom, broken = picture.dimension(name, within)
            assert mm == pytest.approx(length, abs=1e-6)
            if broken:
                assert bottom - top < scale * length
            else:
                assert bottom - top == pytest.approx(scale * length, abs=PAPER)
    assert not picture.dimension("glue_gap", picture.one("g", "seated"))[3]


def test_a_break_only_leaves_out_where_it_says_so() -> None:
    # thin stock needs none: every length is to scale
    picture = drawn(planned({"base.thickness": 8.0, "plug.thickness": 9.0}))
    for panel in ("seated", "alone"):
        within, scale = picture.one("g", panel), scale_of(picture, panel)
        for name in picture.names(within):
            mm, top, bottom, broken = picture.dimension(name, within)
            assert not broken
            assert bottom - top == pytest.approx(scale * mm, abs=PAPER)


def test_ends_of_the_dimensions_lie_on_the_wood() -> None:
    picture = drawn(planned())
    seated = picture.one("g", "seated")
    base, plug = (points(picture.one("path", kind, seated)) for kind in ("base", "plug"))
    ends = {name: picture.dimension(name, seated)[1:3] for name in picture.names(seated)}
    face, floor = base[0][1], max(y for _, y in base[1:-3])
    assert ends["pocket_depth"] == (face, floor)
    assert ends["glue_gap"] == (max(y for _, y in plug), floor)
    assert ends["surface_gap"] == (plug[0][1], face)
    assert ends["base_floor"] == (floor, max(y for _, y in base))
    assert ends["above_face"] == (min(y for _, y in plug), face)


def test_a_depth_is_written_as_in_the_report() -> None:
    # 0.2325 in is written 0.232 or 0.233 by the last bit of a sum
    changes = {"plug.thickness": 12.7, "joint.pocket_depth": 4.7625, "joint.glue_gap": 0.508, "joint.surface_gap": 2.54}
    made = plan(job(changes, unit="in"))
    words = drawn(made).words()
    web = length_text(made.facts.depths.plug_web, "in", digits=setting_digits(made))
    assert " ".join(words).count(f"plug left {web}") == 2


@pytest.mark.parametrize("angle", [20.0, 30.0, 60.0, 90.0])
def test_walls_stand_at_half_the_bits_angle(angle: float) -> None:
    picture = drawn(planned({"bits.v.angle": angle, "bits.v.diameter": 25.0}))
    for panel, kind in (("seated", "base"), ("seated", "plug"), ("alone", "plug")):
        outline = points(picture.one("path", kind, picture.one("g", panel)))
        slanted = [
            degrees(atan2(abs(x1 - x0), abs(y1 - y0)))
            for (x0, y0), (x1, y1) in zip(outline, outline[1:])
            if x0 != x1 and y0 != y1
        ]
        assert slanted == pytest.approx([angle / 2] * 2, abs=0.01)


def test_measured_bit_is_drawn_as_it_measures() -> None:
    changes = {"bits.v.measured.angle": 32.0, "bits.v.depth_of_cut": 20.0}
    picture = drawn(planned(changes))
    plug = points(picture.one("path", "plug", picture.one("g", "alone")))
    (x0, y0), (x1, y1) = next(
        pair for pair in zip(plug, plug[1:]) if pair[0][0] != pair[1][0] and pair[0][1] != pair[1][1]
    )
    assert degrees(atan2(abs(x1 - x0), abs(y1 - y0))) == pytest.approx(16.0, abs=0.01)


def blunt(force: float) -> Plan:
    """A star whose points hold the plug up when it is hardly pressed."""
    changes = {"bits.v.tip": 0.5, "joint.clamp_pressure": GONE, "joint.clamp_force": force}
    return planned(changes, outlines.star())


def test_plug_sits_at_its_clamped_lift() -> None:
    made = blunt(5.0)
    seat = made.facts.seat
    assert seat is not None
    assert seat.lift > 0.1
    picture = drawn(made)
    seated, scale = picture.one("g", "seated"), scale_of(picture, "seated")
    lift, top, bottom, _ = picture.dimension("lift", seated)
    assert lift == pytest.approx(seat.lift, abs=1e-6)
    assert bottom - top == pytest.approx(scale * seat.lift, abs=PAPER)
    assert picture.dimension("glue_gap", seated)[0] == pytest.approx(seat.glue_gap, abs=1e-6)
    assert picture.dimension("surface_gap", seated)[0] == pytest.approx(seat.surface_gap, abs=1e-6)
    assert picture.dimension("above_face", seated)[0] == pytest.approx(made.facts.depths.above_face + seat.lift)
    # pressed home, the same joint has no lift to show
    home = blunt(5000.0)
    assert home.facts.seat is not None
    assert home.facts.seat.lift == pytest.approx(0, abs=0.005)
    assert "lift" not in drawn(home).names()


def test_magnified_joint_line_is_the_clearance_at_the_stated_scale() -> None:
    made = blunt(5.0)
    seat = made.facts.seat
    assert seat is not None
    picture = drawn(made)
    detail = picture.one("g", "face")
    times = float(detail.attrib["data-scale"])
    opening, left, right, _ = picture.dimension("opening", detail)
    assert opening == pytest.approx(seat.lift * tan(radians(15)), abs=1e-6)
    assert right - left == pytest.approx(times * opening, abs=PAPER)
    base, plug = (points(picture.one("path", kind, detail)) for kind in ("base", "plug"))
    face = base[0][1]
    edge = max(x for x, y in base[:-2] if y == face and x != base[-3][0])
    assert right == pytest.approx(edge, abs=PAPER)
    # the plug's wall crosses the face at the other end
    (x0, y0), (x1, y1) = next(
        pair for pair in zip(plug, plug[1:]) if min(pair[0][1], pair[1][1]) < face < max(pair[0][1], pair[1][1])
        and pair[0][0] > pair[1][0] - 1e9 and pair[0][0] > base[0][0] + (base[-3][0] - base[0][0]) / 2
    )  # fmt: skip
    assert x0 + (x1 - x0) * (face - y0) / (y1 - y0) == pytest.approx(left, abs=PAPER)
    assert f"At the face ({times:g}:1)" in picture.words()
    assert f"joint line {length_text(opening, 'mm')}, before levelling" in " ".join(picture.words())


def test_glue_gap_is_magnified_at_the_stated_scale() -> None:
    picture = drawn(planned())
    detail = picture.one("g", "foot")
    times = float(detail.attrib["data-scale"])
    gap, top, bottom, _ = picture.dimension("glue_gap_detail", detail)
    assert gap == pytest.approx(0.5)
    assert bottom - top == pytest.approx(times * 0.5, abs=PAPER)
    assert f"At the wall's foot ({times:g}:1)" in picture.words()


@pytest.mark.parametrize(
    ("changes", "name", "length"),
    [
        ({"joint.glue_gap": 0.8}, "glue_gap", 0.8),
        ({"joint.pocket_depth": 4.0}, "pocket_depth", 4.0),
        ({"joint.surface_gap": 1.5}, "surface_gap", 1.5),
        ({"base.thickness": 15.0}, "base_floor", 9.0),
        ({"plug.thickness": 10.0}, "plug_web", 2.0),
    ],
)
def test_drawing_follows_the_job(changes: dict[str, object], name: str, length: float) -> None:
    before, after = drawn(planned()), drawn(planned(changes))
    seated = after.one("g", "seated")
    mm, top, bottom, broken = after.dimension(name, seated)
    assert mm == pytest.approx(length)
    assert mm != before.dimension(name, before.one("g", "seated"))[0]
    if not broken:
        assert bottom - top == pytest.approx(scale_of(after, "seated") * length, abs=PAPER)


def test_levelling_line_lies_as_deep_as_the_job_levels() -> None:
    picture = drawn(planned({"joint.level_below": 0.7}))
    line, base = picture.one("line", "level"), points(picture.one("path", "base", picture.one("g", "seated")))
    deep = float(line.attrib["y1"]) - base[0][1]
    assert deep == pytest.approx(0.7 * scale_of(picture, "seated"), abs=PAPER)
    assert line.attrib["stroke-dasharray"] == palette.LEVEL_DASH


def test_wood_that_a_short_cone_leaves_is_shown_in_the_way() -> None:
    whole, short = drawn(planned()), drawn(planned({"bits.v.diameter": 3.0}))
    assert not whole.all("path", "overlap")
    assert whole.one("g", "sign").attrib["data-sign"] == "open"
    seated = short.one("g", "seated")
    assert len(short.all("path", "overlap", seated)) == 2
    # the cone is (3/2 - 0.05) / T high, and the plug's wall 8 mm: it stands too thick above
    reach, slope = 1.45 / tan(radians(15)), tan(radians(15))
    ring = points(short.all("path", "overlap", seated)[0])
    wide = max(x for x, _ in ring) - min(x for x, y in ring if y == max(y for _, y in ring))
    assert wide == pytest.approx((8 - reach) * slope * scale_of(short, "seated"), rel=0.15)
    assert short.one("g", "sign").attrib["data-sign"] == "no"
    assert "The plug does not seat" in short.words()
    assert "wood in the way" in short.words()


def test_sign_and_words_follow_the_verdict_on_the_seat() -> None:
    home, high = drawn(planned({}, outlines.square())), drawn(blunt(1.0))
    assert home.one("g", "sign").attrib["data-sign"] == "yes"
    assert "The plug seats" in home.words()
    assert high.one("g", "sign").attrib["data-sign"] == "no"
    assert "The plug does not seat" in high.words()


def test_checks_that_do_not_pass_are_named_at_their_dimension() -> None:
    words = " ".join(drawn(planned({"base.least_floor": 13.0, "joint.glue_gap": 0.2})).words())
    assert "base left 12.00 mm (fails)" in words
    assert "glue gap 0.20 mm (in doubt)" in words


def test_lengths_are_in_the_jobs_unit() -> None:
    made = planned()
    words = " ".join(drawn(replace(made, facts=replace(made.facts, job=replace(made.job, unit="in")))).words())
    assert "glue gap 0.020 in" in words
    assert " mm" not in words


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"joint.pocket_depth": 1.0, "joint.surface_gap": 0.6},
        {"joint.pocket_depth": 40.0, "base.thickness": 60.0, "plug.thickness": 55.0, "bits.v.diameter": 60.0},
        {"bits.v.angle": 90.0, "bits.v.diameter": 25.0},
        {"base.thickness": 6.05, "plug.thickness": 8.1},
        {"base.thickness": 5.0, "plug.thickness": 7.0},
        {"bits.v.tip": GONE, "bits.v.ball": 0.5},
    ],
)
@pytest.mark.parametrize("outline", [None, outlines.star(), outlines.comb()])
def test_everything_stays_on_the_paper(changes: dict[str, object], outline: Outline | None) -> None:
    picture = drawn(plan(job(changes), outline, nominal=True))
    for panel in ("seated", "alone"):
        for path in picture.all("path", within=picture.one("g", panel)):
            for x, y in points(path):
                assert 0 <= x <= picture.width
                assert 0 <= y <= picture.height
    for text in picture.all("text"):
        if "transform" in text.attrib:
            continue
        x, wide = float(text.attrib["x"]), 0.86 * text_width(text.text or "", float(text.attrib.get("font-size", 2.9)))
        left = x - {"middle": wide / 2, "end": wide}.get(text.attrib.get("text-anchor", ""), 0)
        assert left >= 0, text.text
        assert left + wide <= picture.width, text.text
        assert 0 < float(text.attrib["y"]) < picture.height


def test_drawing_says_what_it_is_and_needs_nothing_else() -> None:
    made = planned()
    hostile = replace(made, facts=replace(made.facts, job=replace(made.job, title='<script>"a" & \x01b')))
    svg = section(hostile).svg()
    picture = Drawn(svg)
    root = picture.root
    titles = {one.attrib["id"]: one.text or "" for tag in ("title", "desc") for one in picture.all(tag)}
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"].split() == list(titles)
    title, description = titles.values()
    assert title == '<script>"a" & \N{REPLACEMENT CHARACTER}b: section of the joint'
    assert "Pocket 6.00 mm deep" in description
    assert not picture.all("script")
    assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")
    assert {attribute for one in root.iter() for attribute in one.attrib if "href" in attribute} == set()


def test_woods_and_lines_are_told_apart_without_colour() -> None:
    # in grey: contrast of the two woods, and of text and lines on paper
    assert contrast(palette.BASE_WOOD, palette.PLUG_WOOD) > 1.8
    for colour in (palette.INK, palette.LEVEL, palette.OPEN, palette.FAINT):
        assert contrast(colour, palette.PAPER) > 4.5
    picture = drawn(planned())
    patterns = {one.attrib["id"]: one for one in picture.all("pattern")}
    assert len({one.attrib["patternTransform"] for one in patterns.values()}) == len(patterns)


def test_words_at_the_left_stay_on_the_paper_with_all_three_dimensions() -> None:
    # a wide window and a plug that sinks: what it sinks by has a line of its own, nearer to the wood
    made = planned({"bits.v": {"angle": 20.0, "tip": 0.4, "diameter": 8.0, "depth_of_cut": 8.0, "stepover": 0.1,
                               "measured": {"angle": 21.0, "tip": 0.5}},
                    "joint.pocket_depth": 12.0, "base.thickness": 25.0}, outlines.square(76.0))  # fmt: skip
    picture = drawn(made)
    assert "lift" in picture.names()
    at = {
        group.attrib["data-name"]: float(picture.one("line", "measure", group).attrib["x1"])
        for group in picture.all("g", "dimension", picture.one("g", "seated"))
    }
    assert at["pocket_depth"] < at["lift"] < at["surface_gap"]
    assert "sinks by" in " ".join(picture.words())
    assert faults(section(made).svg()) == []
