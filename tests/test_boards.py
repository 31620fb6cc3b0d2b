"""The boards under the cutter: blanks, placed outlines, sweeps and hold-downs read back from the SVG."""

from __future__ import annotations

from xml.etree import ElementTree

import outlines
import pytest
import shapely
from drawn import Drawn, rings
from jobs import job

from inlayfit.pictures.boards import boards, boards_of
from inlayfit.plan import Plan, plan

# an L, so that its mirror image is another shape
ELL = outlines.polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (0, 30)])
BLANKS = {"base.blank": (200.0, 120.0), "plug.blank": (90.0, 80.0), "datum": "lower left"}


def held(part: str, at: tuple[float, float], height: float = 10.0) -> dict[str, object]:
    return {"part": part, "rectangle": (20.0, 10.0), "at": at, "height": height}


def planned(changes: dict[str, object]) -> Plan:
    return plan(job(changes), ELL, nominal=True)


def drawn(made: Plan) -> Drawn:
    picture = boards(made)
    assert picture is not None
    return Drawn(picture.svg())


def board(picture: Drawn, part: str) -> tuple[ElementTree.Element, float]:
    (group,) = [one for one in picture.all("g", "board") if one.attrib["data-part"] == part]
    return group, float(group.attrib["data-scale"])


def bounds(picture: Drawn, kind: str, within: ElementTree.Element) -> tuple[float, float, float, float]:
    points = [point for path in picture.all("path", kind, within) for ring in rings(path) for point in ring]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def shape(picture: Drawn, kind: str, within: ElementTree.Element) -> shapely.Polygon:
    (ring,) = rings(picture.one("path", kind, within))
    return shapely.Polygon(ring)


def test_outline_lies_on_each_board_where_the_job_puts_it() -> None:
    picture = drawn(planned({**BLANKS, "outline.at": (70.0, 50.0)} | {"outline.shapes": [{"circle": 1.0}]}))
    base, scale = board(picture, "base")
    left, top, right, bottom = bounds(picture, "blank", base)
    assert (right - left, bottom - top) == pytest.approx((200 * scale, 120 * scale), abs=2e-3)
    low_x, low_y, high_x, high_y = bounds(picture, "outline", base)
    # datum lower left: the outline's middle 70 to the right of the corner and 50 above it
    assert ((low_x + high_x) / 2 - left) / scale == pytest.approx(70.0, abs=0.01)
    assert (bottom - (low_y + high_y) / 2) / scale == pytest.approx(50.0, abs=0.01)
    zero = picture.one("g", "datum", base)
    ring = picture.all("circle", within=zero)[0]
    assert (float(ring.attrib["cx"]), float(ring.attrib["cy"])) == pytest.approx((left, bottom), abs=2e-3)


def test_plug_is_mirrored_and_stands_in_the_middle_of_its_blank() -> None:
    picture = drawn(planned(BLANKS))
    (base, big), (plug, small) = board(picture, "base"), board(picture, "plug")
    one, other = (shape(picture, "outline", group) for group in (base, plug))
    # the L's heavy side is on the left on the base, and on the right on the plug
    assert one.centroid.x < sum(one.bounds[::2]) / 2 - 1
    assert other.centroid.x > sum(other.bounds[::2]) / 2 + 1
    assert one.area / big**2 == pytest.approx(other.area / small**2, rel=1e-3)
    blank = bounds(picture, "blank", plug)
    assert sum(other.bounds[::2]) == pytest.approx(blank[0] + blank[2], abs=0.01)
    assert "Plug blank, drawing mirrored" in " ".join(picture.words())


def test_sweep_and_border_reach_as_far_as_the_job_says() -> None:
    picture = drawn(planned(BLANKS))
    plug, scale = board(picture, "plug")
    outline, border, swept = (bounds(picture, kind, plug) for kind in ("outline", "border", "swept"))
    assert (outline[0] - border[0]) / scale == pytest.approx(6.0, abs=0.05)  # the border
    # the cut-out's 6 mm bit runs round outside it
    assert (outline[0] - swept[0]) / scale == pytest.approx(12.0, abs=0.05)
    base, scale = board(picture, "base")
    assert bounds(picture, "swept", base) == pytest.approx(bounds(picture, "outline", base), abs=0.05 * scale)


def test_hold_downs_lie_in_place_and_struck_ones_are_crossed_out() -> None:
    made = planned({**BLANKS, "hold_downs": [held("base", (12.0, 60.0)), held("base", (100.0, 60.0)),
                                             held("level", (100.0, 5.0)), held("plug", (5.0, 5.0))]})  # fmt: skip
    clear, struck, level, _ = made.facts.outline.shop.hold_downs
    assert not clear.strikes
    assert struck.strikes
    assert level.strikes
    picture = drawn(made)
    base, scale = board(picture, "base")
    left, _, _, bottom = bounds(picture, "blank", base)
    marks = {one.attrib["data-number"]: one for one in picture.all("path", "hold-down", base)}
    assert set(marks) == {"1", "2"}
    (ring,) = rings(marks["1"])
    assert (min(x for x, _ in ring) - left) / scale == pytest.approx(2.0, abs=0.01)
    assert (bottom - max(y for _, y in ring)) / scale == pytest.approx(55.0, abs=0.01)
    assert "struck" in marks["2"].attrib["class"]
    assert "struck" not in marks["1"].attrib["class"]
    words = " ".join(picture.words())
    assert f"Hold-down 1: clear by {clear.clear_by:.2f} mm." in words
    assert "Hold-down 2: struck: " in words
    assert "Struck: hold-down 2, 3" in (picture.all("desc")[0].text or "")
    assert {one.attrib["data-part"] for one in picture.all("g", "board")} == {"base", "plug", "level"}


def test_nothing_is_drawn_where_nothing_is_given() -> None:
    assert boards(planned({})) is None
    assert boards_of(plan(job(BLANKS))) == ()
    # a blank alone is enough for its own board
    assert [one.set_up for one in boards_of(planned({"base.blank": (200.0, 120.0)}))] == ["base"]


def test_everything_stays_on_the_paper() -> None:
    for sides in ((200.0, 120.0), (900.0, 60.0), (60.0, 900.0)):
        picture = drawn(planned({**BLANKS, "base.blank": sides, "hold_downs": [held("base", (-30.0, 20.0))]}))
        for path in picture.all("path"):
            if "fill" in path.attrib and path.attrib.get("class") != "":
                for ring in rings(path):
                    assert all(0 <= x <= picture.width and 0 <= y <= picture.height for x, y in ring)
        for words in picture.all("text"):
            assert 0 <= float(words.attrib["y"]) <= picture.height
