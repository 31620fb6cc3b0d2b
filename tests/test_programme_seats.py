"""Programmes written from a plan's own way of the bits seat as the plan says."""

from __future__ import annotations

import json
from pathlib import Path

import outlines
import pytest
import shapely
from jobs import CUT_OUT, GONE, job
from posted import cuts, planned, seat_of_cuts, texts
from programme_writer import STYLES
from shapely import affinity

from inlayfit.drawings.outline_file import read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.outline.regions import Outline, outline_of

TOUCH = 0.002
LOADED = 0.01
REAL = Path(__file__).parent / "real_outlines"
CUT_OUT_TOO = {"bits.cut_out": CUT_OUT}
BITS = {
    "flat tip": {},
    "true point": {"bits.v.tip": 0.0, "bits.v.angle": 60.0, "bits.v.diameter": 12.0},
    "ball": {"bits.v.tip": GONE, "bits.v.ball": 0.3, "bits.v.angle": 40.0, "bits.v.diameter": 12.0},
    "worn": {"bits.v.measured": {"angle": 30.0, "tip": 0.14}},
    "several passes": {"bits.v.depth_of_cut": 1.2, "bits.clearing.depth_of_cut": 0.8},
    "from the bed": {"touch_off": "bed", "outline.at": (31.0, -12.0), "outline.turn": 25.0},
}


def drawn(entry: dict[str, str], across: float) -> Outline:
    name = entry["file"]
    size = Size(width=across, unit_mm=1.0, unit_given=True)
    return outline_of(read_outline_file((REAL / name).read_bytes(), name, size=size).polygons)


def compare(made: object, style: str, *, touch: float = TOUCH, loaded: float = LOADED) -> None:
    expected = made.plan.facts.seat  # type: ignore[attr-defined]
    found = seat_of_cuts(made, *cuts(made, *texts(made, STYLES[style])))  # type: ignore[arg-type]
    assert found.first_touch == pytest.approx(expected.first_touch, abs=touch)
    for name in ("lift", "lift_strong", "glue_gap"):
        assert getattr(found, name) == pytest.approx(getattr(expected, name), abs=loaded), name
    assert found.by_hand == pytest.approx(expected.by_hand, abs=loaded)


@pytest.mark.parametrize("style", STYLES)
def test_a_star_in_every_style(style: str) -> None:
    compare(planned(job(CUT_OUT_TOO), outlines.star()), style)


@pytest.mark.parametrize("name", BITS)
def test_bits_passes_and_frames(name: str) -> None:
    changes = dict(BITS[name])
    if "outline.at" in changes:
        changes["outline"] = {"shapes": ({"circle": 9.0},), "at": changes.pop("outline.at"),
                              "turn": changes.pop("outline.turn")}  # fmt: skip
    shape = affinity.rotate(shapely.Polygon([(0, 0), (14, 0), (14, 5), (6, 6), (4, 13)]), 10, origin=(0, 0))
    compare(planned(job({**CUT_OUT_TOO, **changes}), outline_of([shape])), "absolute with arcs")


@pytest.mark.wide
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("number", range(20))
def test_real_outlines(number: int, style: str) -> None:
    entries = [e for e in json.loads((REAL / "manifest.json").read_text(encoding="utf-8")) if e["file"].endswith("svg")]
    chosen = entries[number * len(entries) // 20]
    try:
        outline = drawn(chosen, 60.0)
    except Exception as error:
        pytest.skip(f"{chosen['file']}: {error}")
    name = list(BITS)[number % 5]
    compare(planned(job({**CUT_OUT_TOO, **BITS[name]}), outline), style)
