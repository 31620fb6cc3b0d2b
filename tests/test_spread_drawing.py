"""The spread drawing: bars, limits and shares read back from the SVG and compared with the stack."""

from __future__ import annotations

from xml.etree import ElementTree

import outlines
import pytest
from drawn import Drawn
from jobs import job

from inlayfit.pictures.spread import SHOWN, spread
from inlayfit.plan import Plan, plan
from inlayfit.quantity import length_text

DRAWS = 400


def planned(changes: dict[str, object] | None = None, *, outline: bool = True) -> Plan:
    return plan(job(changes or {}), outlines.square(30.0) if outline else None, draws=DRAWS)


def drawn(made: Plan) -> Drawn:
    picture = spread(made)
    assert picture is not None
    return Drawn(picture.svg())


class Line:
    """One quantity's line: where a length lies on it."""

    def __init__(self, picture: Drawn, name: str) -> None:
        (self.group,) = [one for one in picture.all("g", "quantity") if one.attrib["data-name"] == name]
        self.picture = picture
        self.scale, self.low = (float(self.group.attrib[key]) for key in ("data-scale", "data-low"))
        self.left = min(float(one.attrib["x1"]) for one in picture.all("line", within=self.group))

    def x(self, length: float) -> float:
        return self.left + self.scale * (length - self.low)

    def ends(self, tag: str, kind: str) -> tuple[float, float]:
        one = self.picture.one(tag, kind, self.group)
        return span(one)


def span(one: ElementTree.Element) -> tuple[float, float]:
    if one.tag.endswith("rect"):
        return float(one.attrib["x"]), float(one.attrib["x"]) + float(one.attrib["width"])
    return float(one.attrib["x1"]), float(one.attrib["x2"])


def test_bars_are_the_stack_to_scale() -> None:
    made = planned()
    stack, picture = made.facts.stack, drawn(made)
    assert stack is not None
    assert stack.drawn is not None
    for name, _ in SHOWN:
        line, entry = Line(picture, name), stack.quantities[name]
        assert line.ends("line", "nominal") == pytest.approx((line.x(entry.nominal),) * 2, abs=2e-3)
        assert line.ends("line", "worst") == pytest.approx(tuple(map(line.x, entry.worst)), abs=2e-3)
        likely = stack.drawn.p95[name]
        assert line.ends("rect", "likely")[0] == pytest.approx(line.x(likely[0]), abs=2e-3)
        # a bar of no length is still to be seen
        end = max(line.x(likely[1]), line.x(likely[0]) + 0.3)
        assert line.ends("rect", "likely")[1] == pytest.approx(end, abs=2e-3)
        assert length_text(entry.nominal, "mm") in picture.words()


def test_zones_are_the_limits_of_the_checks() -> None:
    made = planned({"limits.glue_gap": (0.3, 0.9), "limits.joint_line": 0.08})
    picture = drawn(made)
    gap, line, lift = (Line(picture, name) for name in ("glue_gap", "joint_line", "lift"))
    fails = picture.one("rect", "fail", gap.group)
    assert span(fails)[1] == pytest.approx(gap.x(0.0), abs=2e-3)
    doubtful = [span(one) for one in picture.all("rect", "doubtful", gap.group)]
    assert doubtful[0] == pytest.approx((gap.x(0.0), gap.x(0.3)), abs=2e-3)
    assert doubtful[1][0] == pytest.approx(gap.x(0.9), abs=2e-3)
    assert span(picture.one("rect", "fail", line.group))[0] == pytest.approx(line.x(0.08), abs=2e-3)
    assert not picture.all("rect", "zone", lift.group)


def test_pairs_are_divided_by_where_they_come_to_rest() -> None:
    # a glue gap that the touch-offs eat up: some plugs end on the floor
    made = planned({"joint.glue_gap": 0.05, "tolerance.touch_off": 0.1})
    stack = made.facts.stack
    assert stack is not None
    assert stack.drawn is not None
    assert 0.05 < stack.drawn.seats_on_walls < 0.95
    picture = drawn(made)
    bars = {float(one.attrib["data-share"]): span(one) for one in picture.all("rect", "share")}
    whole = max(end for _, end in bars.values()) - min(start for start, _ in bars.values())
    assert sum(bars) == pytest.approx(1.0, abs=0.01)
    for share, (start, end) in bars.items():
        assert (end - start) / whole == pytest.approx(share / sum(bars), abs=1e-3)
    assert any(share == pytest.approx(stack.drawn.seats_on_walls, abs=1e-6) for share in bars)
    words = " ".join(picture.words())
    assert f"{DRAWS} trial pairs" in words
    assert "sit tight on their sides; " in words
    assert "on the floor" in words


def test_sources_are_told_the_largest_first() -> None:
    picture = drawn(planned())
    shares = [float(one.attrib["data-share"]) for one in picture.all("g", "source")]
    assert 1 < len(shares) <= 5
    assert shares == sorted(shares, reverse=True)
    for one, share in zip(picture.all("g", "source"), shares):
        assert float(picture.all("rect", within=one)[0].attrib["width"]) == pytest.approx(50 * share, abs=2e-3)


def test_without_an_outline_no_pairs_are_claimed() -> None:
    picture = drawn(planned(outline=False))
    assert not picture.all("g", "pairs")
    words = " ".join(picture.words())
    assert "likely" in picture.words()
    assert "19 of 20 pairs" not in words


def test_everything_stays_on_the_paper() -> None:
    for changes in ({}, {"joint.glue_gap": 3.0}, {"tolerance.touch_off": 2.0}):
        picture = drawn(planned(changes))
        for one in [*picture.all("rect", "zone"), *picture.all("rect", "likely"), *picture.all("line")]:
            start, end = span(one)
            assert 0 <= start <= end <= picture.width
