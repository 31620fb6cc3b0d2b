"""The plug's own drawing: each mistake made on purpose is recognised and named, and a sound pair passes."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from inlayfit.cli import main
from inlayfit.intake import take_in
from inlayfit.outline.boundary import Boundary
from inlayfit.outline.partner import Partner, partner
from inlayfit.outline.regions import Outline, outline_of, polygons_of

EXAMPLES = Path(__file__).parent.parent / "examples"


def leaf() -> BaseGeometry:
    """A shape without any symmetry: two regions, a hole, an island in it."""
    angles = np.linspace(0, 2 * math.pi, 300, endpoint=False)
    radius = 30 + 6 * np.sin(3 * angles) + 4 * np.cos(2 * angles + 1) + 3 * np.sin(7 * angles + 0.4)
    blade = shapely.Polygon(np.column_stack([radius * np.cos(angles), 0.7 * radius * np.sin(angles)]))
    hole, island = shapely.box(-12, -4, 2, 5), shapely.box(-8, -2, -4, 2)
    bud = affinity.translate(affinity.rotate(shapely.box(0, 0, 14, 6), 25), 45, 10)
    berry = affinity.translate(shapely.Point(0, 0).buffer(5, quad_segs=32), -40, -20)
    return shapely.union_all([blade.difference(hole), island, bud, berry])


def outline(area: BaseGeometry) -> Outline:
    return outline_of(polygons_of(area))


def flipped(area: BaseGeometry) -> BaseGeometry:
    return affinity.scale(area, -1, 1, origin=(0, 0))


def compared(pocket: BaseGeometry, plug: BaseGeometry) -> Partner:
    return partner(Boundary(outline(pocket)), outline(plug))


SHAPES = {
    "leaf": leaf,
    "fern": lambda: take_in(str(EXAMPLES / "fern-lid.yaml")).outline.area,  # type: ignore[union-attr]
}


@pytest.mark.parametrize("name", SHAPES)
def test_each_mistake_on_real_drawings(name: str) -> None:
    drawn = SHAPES[name]()
    sound = compared(drawn, affinity.translate(flipped(drawn), 300, -7))
    assert sound.mirrored and sound.largest < 1e-6 and abs(sound.turn) < 1e-6 and sound.scale == 1.0

    as_it_is = compared(drawn, drawn)
    assert not as_it_is.mirrored and as_it_is.largest < 1e-6
    assert as_it_is.largest_mirrored > 0.05

    turned = compared(drawn, affinity.rotate(flipped(drawn), 33, origin=(5, 9)))
    assert turned.mirrored and turned.largest < 1e-6
    assert abs(turned.turn) == pytest.approx(33, abs=1e-6)
    upside_down = compared(drawn, affinity.scale(drawn, 1, -1))
    assert upside_down.mirrored and abs(upside_down.turn) == pytest.approx(180, abs=1e-6)

    for scale in (25.4, 1 / 25.4, 1.005, 0.995):
        scaled = compared(drawn, affinity.scale(flipped(drawn), scale, scale))
        assert scaled.mirrored and scaled.largest < 1e-6
        assert scaled.scale == pytest.approx(scale, rel=1e-9)
        assert scaled.largest_mirrored > 0.05
    for wide, high in ((1.01, 1.0), (1.0, 0.98), (1.003, 1.02)):
        for plug, mirrored in ((flipped(drawn), True), (drawn, False)):
            stretched = compared(drawn, affinity.scale(plug, wide, high))
            assert stretched.stretch == pytest.approx((wide, high)) and stretched.mirrored == mirrored
            assert not stretched.missing and not stretched.extra and stretched.largest_mirrored > 0.05
    both = compared(drawn, affinity.scale(drawn, 25.4, 25.4))
    assert not both.mirrored and both.scale == pytest.approx(25.4)


@pytest.mark.parametrize("gone", range(5))
@pytest.mark.parametrize("from_plug", [True, False])
def test_a_ring_missing(gone: int, from_plug: bool) -> None:
    drawn = leaf()
    parts = list(polygons_of(drawn))
    blade = next(number for number, part in enumerate(parts) if part.interiors)
    if gone == 4:
        ring = parts[blade].interiors[0]
        lacking = [*parts]
        lacking[blade] = shapely.Polygon(parts[blade].exterior)
        lacking = list(polygons_of(shapely.union_all(lacking)))
        # the island in the hole goes with it
        count = 2
    else:
        ring = parts[gone].exterior
        lacking = [part for number, part in enumerate(parts) if number != gone]
        count = 1 + len(parts[gone].interiors)
    less = shapely.MultiPolygon(lacking)
    found = compared(drawn, flipped(less)) if from_plug else compared(less, flipped(drawn))
    assert found.mirrored
    assert abs(found.turn) < 1e-6
    lacks, others = (found.missing, found.extra) if from_plug else (found.extra, found.missing)
    assert not others
    assert len(lacks) == count
    assert min(shapely.distance(ring, shapely.Point(lack.at)) for lack in lacks) < 1e-6


def test_distance_and_place_of_a_small_difference() -> None:
    """A corner moved by 0.3 mm, on an outline large enough that the rest stays where it is."""
    drawn = affinity.scale(leaf(), 4, 4)
    bump = affinity.translate(shapely.box(-1, -1, 1, 0.3), *polygons_of(drawn)[0].exterior.coords[0])
    changed = drawn.union(bump)
    found = compared(drawn, flipped(changed))
    far = shapely.hausdorff_distance(drawn.boundary, changed.boundary)
    assert found.mirrored
    assert found.largest == pytest.approx(far, rel=0.1)
    assert bump.distance(shapely.Point(found.at)) < 0.2


def test_symmetric_outlines_are_not_called_turned() -> None:
    star = take_in(str(EXAMPLES / "compass-board.yaml")).outline
    assert star is not None
    for area in (star.area, shapely.box(0, 0, 40, 40), shapely.box(0, 0, 50, 20)):
        found = compared(area, area)
        assert found.mirrored and found.largest < 1e-6 and abs(found.turn) < 1e-6


@pytest.mark.parametrize("shift", [0.01, 0.03, 0.08])
def test_what_is_left_is_spread(shift: float) -> None:
    """Two regions moved apart by 2 d: placed as well as may be, each is off by about d."""
    left, right = shapely.box(0, 0, 20, 15), affinity.translate(shapely.box(0, 0, 20, 15), 40, 7)
    moved = shapely.union_all([affinity.translate(left, -shift, 0), affinity.translate(right, shift, 0)])
    found = compared(shapely.union_all([left, right]), flipped(moved))
    assert found.largest == pytest.approx(shift, rel=0.4)


# --- from outside -----------------------------------------------------------------------------------------------------

SHEET = """\
unit: mm
base: {thickness: 18}
plug: {thickness: 12}
bits: {v: {angle: 30}, clearing: {diameter: 3}}
outline: {pocket: pocket.svg, plug: plug.svg}
"""


def svg(area: BaseGeometry, size: float = 120, unit: str = "mm") -> str:
    data = " ".join(
        "M" + " ".join(f"{x:.4f},{-y:.4f}" for x, y in ring.coords) + "z"
        for part in polygons_of(area)
        for ring in (part.exterior, *part.interiors)
    )
    width = f'width="{size}{unit}" height="{size}{unit}"' if unit else ""
    box = 'viewBox="-60 -60 120 120"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {width} {box}><path fill-rule="evenodd" d="{data}"/></svg>'


def check(folder: Path, *arguments: str) -> dict[str, Any]:
    result = CliRunner().invoke(main, ["plan", str(folder / "lid.yaml"), "--nominal", "--format", "json", *arguments])
    assert result.exit_code in (0, 1), result.stderr
    data = json.loads(result.stdout)
    assert [entry["file"].rpartition("/")[2] for entry in data["inputs"]] == ["lid.yaml", "pocket.svg", "plug.svg"]
    found: dict[str, Any] = next(entry for entry in data["checks"] if entry["id"] == "mirror")
    return found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "lid.yaml").write_text(SHEET, encoding="utf-8")
    (tmp_path / "pocket.svg").write_text(svg(leaf()), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("plug", "status", "words"),
    [
        (lambda: svg(flipped(leaf())), "pass", "mirrored, the plug's drawing agrees with the pocket's within 0.00 mm"),
        (lambda: svg(leaf()), "fail", "the plug's drawing is not mirrored: it lies on the pocket's as it is"),
        (
            lambda: svg(flipped(leaf()), 120 / 25.4),
            "fail",
            "the plug's drawing is 1/25.4 the size of the pocket's: inches were taken for millimetres",
        ),
        (
            lambda: svg(flipped(leaf()), 120 * 25.4),
            "fail",
            "the plug's drawing is 25.4 times as large as the pocket's: millimetres were taken for inches",
        ),
        (lambda: svg(flipped(leaf()), 120.6), "fail", "the plug's drawing is 0.50 % larger than the pocket's"),
        (lambda: svg(affinity.rotate(flipped(leaf()), 90)), "doubtful", "the plug's drawing is turned by 90 degrees"),
        (
            lambda: svg(affinity.scale(leaf(), 1, -1)),
            "doubtful",
            "the plug's drawing is turned by 180 degrees: mirrored top to bottom, not left to right",
        ),
        (
            lambda: svg(flipped(shapely.MultiPolygon(list(polygons_of(leaf()))[1:]))),
            "fail",
            "the pocket's drawing has 1 region more than the plug's",
        ),
        (
            lambda: svg(affinity.scale(flipped(leaf()), 1.01, 1.0)),
            "fail",
            "against the pocket's, the plug's drawing is 1.00 % wider and as high: it was stretched",
        ),
    ],
)
def test_named_in_the_report(folder: Path, plug: Callable[[], str], status: str, words: str) -> None:
    (folder / "plug.svg").write_text(plug(), encoding="utf-8")
    for width in ((), ("--set", "outline.width=200")):
        found = check(folder, *width)
        assert (found["status"], found["message"][: len(words)]) == (status, words), found
        assert (found["value"] > found["limit"]) == (status == "fail")
        # a drawing that is only turned lies on the other: no place is worse than another
        assert bool(found["places"]) == (status == "fail")
        assert all("0.00" not in place["message"] for place in found["places"])


def test_drawings_without_a_size_share_the_scale(folder: Path) -> None:
    (folder / "pocket.svg").write_text(svg(leaf(), unit=""), encoding="utf-8")
    (folder / "plug.svg").write_text(svg(flipped(leaf()), unit=""), encoding="utf-8")
    assert check(folder, "--set", "outline.width=200")["status"] == "pass"


def test_the_limit_is_the_sheets(folder: Path) -> None:
    moved = affinity.scale(flipped(leaf()), 1.0006, 1.0, origin=(0, 0))  # off by 0.03 mm at the ends
    (folder / "plug.svg").write_text(svg(moved), encoding="utf-8")
    found = check(folder)
    assert found["status"] == "doubtful"
    assert found["message"].startswith("mirrored, the drawings differ by up to 0.0")
    assert check(folder, "--set", "limits.mirror=0.01")["status"] == "fail"
    assert check(folder, "--set", "limits.mirror=0.2")["status"] == "pass"


def test_one_drawing_alone_is_refused(folder: Path) -> None:
    for gone, words in (("plug", "found pocket without plug"), ("pocket", "missing, expected one of file, shapes, ")):
        result = CliRunner().invoke(main, ["plan", str(folder / "lid.yaml"), "--set", f"outline.{gone}="])
        assert result.exit_code == 2
        assert words in result.stderr


def test_mistakes_name_the_drawing_they_are_in(folder: Path) -> None:
    sheet = folder / "lid.yaml"
    result = CliRunner().invoke(main, ["plan", str(sheet)])
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{sheet}:5:31: outline.plug: plug.svg: cannot be read: no such file")
    (folder / "plug.svg").write_text("<svg/>", encoding="utf-8")
    result = CliRunner().invoke(main, ["plan", str(sheet)])
    assert result.stderr == (f"{sheet}:5:31: outline.plug: plug.svg: no shapes in the drawing, expected filled ones\n")


def test_without_a_drawing_of_the_plug_there_is_nothing_to_compare(folder: Path) -> None:
    result = CliRunner().invoke(
        main, ["plan", str(folder / "lid.yaml"), "--nominal", "--format", "json", "--set", "outline.pocket=",
               "--set", "outline.plug=", "--set", "outline.file=pocket.svg"],
    )  # fmt: skip
    found = next(entry for entry in json.loads(result.stdout)["checks"] if entry["id"] == "mirror")
    assert found["status"] == "not checked"
    assert found["message"] == "needs a drawing of the plug"
