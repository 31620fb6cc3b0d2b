"""Drawings of very different jobs laid out by a real browser: no words off the paper, none on other words."""

from __future__ import annotations

from pathlib import Path

import browser
import outlines
import pytest
from jobs import GONE, job

from inlayfit.outline.regions import Outline
from inlayfit.pictures.boards import boards
from inlayfit.pictures.outline_plan import outline_plan
from inlayfit.pictures.section import section, small_section
from inlayfit.pictures.spread import spread
from inlayfit.plan import plan

WOODS = {"base.wood": "black walnut", "plug.wood": "American basswood"}
JOBS: tuple[tuple[dict[str, object], Outline | None], ...] = (
    ({}, None),
    ({"joint.surface_gap": 0.5, "joint.pocket_depth": 2.0}, outlines.star()),
    ({"base.thickness": 6.5, "plug.thickness": 9.0}, outlines.comb()),
    (
        {"bits.v.angle": 90.0, "bits.v.diameter": 25.0, "joint.pocket_depth": 14.0, "plug.thickness": 25.0},
        outlines.plus(),
    ),
    ({"bits.v.diameter": 3.0, "base.blank": (300.0, 90.0)}, outlines.circle()),
    (
        {"bits.v.measured": {"angle": 31.0}, "bits.clearing": GONE, "plug.blank": (90.0, 300.0)},
        outlines.SHARED["islands"](),
    ),
    ({"joint.glue_gap": 0.9, "joint.level_below": 2.0, "touch_off": "bed"}, outlines.SHARED["spiral stroke"]()),
)


@pytest.mark.skipif(browser.CHROMIUM is None, reason=browser.NO_BROWSER)
def test_words_of_the_drawings_lie_on_the_paper_and_apart(tmp_path: Path) -> None:
    drawings = []
    for number, (changes, outline) in enumerate(JOBS):
        for unit in ("mm", "in"):
            made = plan(job({**WOODS, **changes}, unit=unit), outline, nominal=number % 2 == 1, draws=0)
            name = f"{unit}{number}"
            drawings += [
                section(made, name=f"s{name}"),
                small_section(made, name=f"c{name}"),
                spread(made, name=f"x{name}"),
                boards(made, name=f"b{name}"),
                boards(made, name=f"d{name}", small=True),
            ]
            if outline is not None:
                drawings.append(outline_plan(made, outline, name=f"o{name}"))
    body = "".join(f"<div>{drawing.svg()}</div>" for drawing in drawings if drawing is not None)
    assert body.count("<div>") > 40
    found, messages = browser.measured(f"<!DOCTYPE html><html><body>{body}</body></html>", 900, tmp_path)
    assert found == {"wide": 0, "leaves": [], "lies": []}
    assert messages == []
