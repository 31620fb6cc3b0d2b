"""The plan of the outline: its areas, lines and marked places read back from the SVG and compared with the model."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import outlines
import pytest
from drawn import SVG, Drawn, contrast, rings
from jobs import GONE, job

from inlayfit.outline.regions import Outline
from inlayfit.pictures import palette
from inlayfit.pictures.canvas import stacked
from inlayfit.pictures.outline_plan import outline_plan
from inlayfit.pictures.section import section
from inlayfit.plan import Plan, plan
from inlayfit.report.text import full_text
from inlayfit.report.weak_places import weak_places

BLUNT = {"bits.v.tip": 0.5, "joint.clamp_pressure": GONE, "joint.clamp_force": 5.0}


def planned(outline: Outline, changes: dict[str, object] | None = None, *, nominal: bool = False) -> Plan:
    return plan(job(changes or {}), outline, nominal=nominal)


def drawn(outline: Outline, changes: dict[str, object] | None = None, *, nominal: bool = False) -> Drawn:
    return Drawn(outline_plan(planned(outline, changes, nominal=nominal), outline).svg())


def scale_of(picture: Drawn) -> float:
    return float(picture.one("g", "plan").attrib["data-scale"])


def area(path: ElementTree.Element) -> float:
    """Enclosed area on paper, holes taken off: the rings of an outline turn one way, those of holes the other."""
    total = 0.0
    for ring in rings(path):
        total += sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]])) / 2
    return abs(total)


def drawn_area(picture: Drawn, kind: str) -> float:
    """At the bench, mm2; 0 where there is none."""
    return sum(area(path) for path in picture.all("path", kind)) / scale_of(picture) ** 2


def test_areas_of_the_picture_are_those_of_the_model() -> None:
    side, shape = 30.0, outlines.square(30.0)
    made = planned(shape, nominal=True)
    picture, floor = drawn(shape, nominal=True), made.facts.outline.floor.pocket
    assert drawn_area(picture, "outline") == pytest.approx(side**2, rel=1e-3)
    assert drawn_area(picture, "cleared") == pytest.approx(floor.reached, rel=1e-3)
    # a disc as wide as the bit's cut at full depth leaves (4 - pi) r2 in the four corners together
    full = 0.05 + 6.0 * math.tan(math.radians(15))
    assert drawn_area(picture, "v-bottomed") == pytest.approx((4 - math.pi) * full**2, rel=0.02)
    # and the clearing bit of radius 1 leaves as much of its own in the corners of the floor
    assert drawn_area(picture, "left-to-v") == pytest.approx(4 - math.pi, rel=0.05)
    assert floor.area - floor.reached == pytest.approx(4 - math.pi, rel=0.02)


def test_floor_left_to_the_v_bit_follows_the_clearing_bit() -> None:
    shape = outlines.plus()
    small, large = (drawn(shape, {"bits.clearing.diameter": across}, nominal=True) for across in (1.0, 3.0))
    assert drawn_area(large, "left-to-v") > 2 * drawn_area(small, "left-to-v") > 0
    # too large for the 7 mm arms: nothing is cleared, and the legend does not speak of it
    none = drawn(shape, {"bits.clearing.diameter": 9.0}, nominal=True)
    assert not none.all("path", "cleared")
    assert "floor that the clearing bit reaches" in " ".join(small.words())
    assert "floor that the clearing bit reaches" not in " ".join(none.words())


def test_sizes_and_scale_bar_are_to_scale() -> None:
    picture = drawn(outlines.comb(), nominal=True)
    scale = scale_of(picture)
    for name, length in (("width", 28.0), ("height", 17.0)):
        mm, low, high, _ = picture.dimension(name)
        assert mm == pytest.approx(length)
        assert high - low == pytest.approx(scale * length, abs=2e-3)
    bar = picture.one("g", "scale-bar")
    assert float(picture.one("rect", "bar", bar).attrib["width"]) == pytest.approx(
        scale * float(bar.attrib["data-mm"]), abs=2e-3
    )
    assert f"{float(bar.attrib['data-mm']):g} mm" in picture.words()


def test_picture_stands_as_seen_on_the_face() -> None:
    # an L: its foot points right and lies low, so on paper its corner is right and down
    shape = outlines.polygon([(0, 0), (20, 0), (20, 6), (6, 6), (6, 30), (0, 30)])
    (ring,) = rings(drawn(shape, nominal=True).one("path", "outline"))
    left, top = min(x for x, _ in ring), min(y for _, y in ring)
    right, bottom = max(x for x, _ in ring), max(y for _, y in ring)
    assert (right, bottom) in ring
    assert (left, top) in ring
    assert (right, top) not in ring


def test_weak_places_carry_the_numbers_of_the_report_and_lie_where_it_says() -> None:
    shape = outlines.star()
    made = planned(shape, {"bits.v.tip": 0.5})
    places, report = weak_places(made), full_text(made)
    picture = Drawn(outline_plan(made, shape).svg())
    low_x, low_y, _, _ = shape.bounds
    marks = {int(one.attrib["data-number"]): one for one in picture.all("g", "weak-place")}
    assert len(places) > 3
    assert list(marks) == [place.number for place in places]
    (ring,) = rings(picture.one("path", "outline"))
    left, bottom = min(x for x, _ in ring), max(y for _, y in ring)
    for place in places:
        x, y = place.at[0] - low_x, place.at[1] - low_y
        spot = picture.one("circle", "spot", marks[place.number])
        assert float(spot.attrib["cx"]) == pytest.approx(left + scale_of(picture) * x, abs=0.02)
        assert float(spot.attrib["cy"]) == pytest.approx(bottom - scale_of(picture) * y, abs=0.02)
        assert f"[{place.number}] ({x:.2f}, {y:.2f})" in report
        assert any(words.startswith(f"({x:.2f}, {y:.2f}) ") for words in picture.words())


def test_rings_of_the_markers_do_not_hide_each_other_or_a_spot() -> None:
    shape = outlines.comb(teeth=9)
    picture = drawn(shape, {"bits.v.tip": 2.2, "bits.v.depth_of_cut": 6.0})
    centre = [
        (float(one.attrib["cx"]), float(one.attrib["cy"]))
        for mark in picture.all("g", "weak-place") for one in picture.all("circle", "ring", mark)
    ]  # fmt: skip
    spots = [(float(one.attrib["cx"]), float(one.attrib["cy"])) for one in picture.all("circle", "spot")]
    assert len(centre) > 4
    for number, at in enumerate(centre):
        assert all(math.dist(at, other) > 4.8 for other in centre[:number])
        assert all(math.dist(at, spot) > 2.4 for spot in spots)


def run_length(picture: Drawn, kind: str) -> float:
    return sum(
        math.dist(a, b) for path in picture.all("path", kind) for ring in rings(path) for a, b in zip(ring, ring[1:])
    ) / scale_of(picture)


def test_joint_line_is_drawn_by_its_width() -> None:
    shape = outlines.star()
    made = planned(shape, BLUNT)
    seat = made.facts.seat
    assert seat is not None
    assert seat.seen.share_over_limit > 0.9
    picture = Drawn(outline_plan(made, shape).svg())
    walls = float(seat.walls_seen.width.sum())
    assert run_length(picture, "over") == pytest.approx(seat.seen.share_over_limit * walls, rel=1e-3)
    assert "joint line over its limit of 0.10 mm" in " ".join(picture.words())
    # under a real clamp it closes
    closed = drawn(shape)
    assert run_length(closed, "over") == 0
    assert "joint line closed, up to 0.03 mm" in " ".join(closed.words())
    # and what is neither has its own line: a limit just above the line that is there
    between = drawn(shape, {**BLUNT, "limits.joint_line": 1.2 * seat.seen.largest})
    assert run_length(between, "within") > 0.9 * walls


def test_without_a_seat_no_joint_line_is_claimed() -> None:
    words = " ".join(drawn(outlines.square(), nominal=True).words())
    assert "outline; the joint line is not checked" in words


@pytest.mark.parametrize("name", outlines.SHARED)
def test_everything_stays_on_the_paper(name: str) -> None:
    shape = outlines.SHARED[name]()
    picture = drawn(shape, {"bits.v.tip": 0.4}, nominal=True)
    assert picture.width == 180.0
    for path in picture.all("path"):
        for ring in rings(path):
            assert all(0 <= x <= picture.width and 0 <= y <= picture.height for x, y in ring)
    for words in picture.all("text"):
        assert 0 <= float(words.attrib["y"]) <= picture.height


def test_drawings_can_stand_on_one_sheet() -> None:
    shape = outlines.star()
    made = planned(shape, nominal=True)
    one, other = section(made), outline_plan(made, shape)
    alone = stacked([section(made)])
    both = Drawn(stacked([one, other]))
    assert alone == section(made).svg()
    assert (both.width, both.height) == (180.0, pytest.approx(one.height + other.height, abs=1e-3))
    parts = both.root.findall(f"{SVG}svg")
    assert [float(part.attrib.get("y", 0)) for part in parts] == [0, pytest.approx(one.height, abs=1e-3)]
    identities = [entry.attrib["id"] for entry in both.root.iter() if "id" in entry.attrib]
    assert len(identities) == len(set(identities))
    used = {value[5:-1] for entry in both.root.iter() for value in entry.attrib.values() if value.startswith("url(#")}
    assert used <= set(identities)


def test_areas_and_lines_are_told_apart_without_colour() -> None:
    # the floor, what is left to the V-bit, the walls, what ends in a V: each darker than the one before
    grounds = (palette.CLEARED, palette.LEFT_TO_V, palette.WALLS, palette.V_BOTTOM)
    for (lighter, darker), least in zip(zip(grounds, grounds[1:]), (1.15, 2.0, 2.0)):
        assert contrast(lighter, darker) > least
    assert contrast(palette.WALLS, palette.CLEARED) > 2.0
    patterns = drawn(outlines.plus(), nominal=True).all("pattern")
    assert len({one.attrib["patternTransform"] for one in patterns}) == len(patterns) == 3
