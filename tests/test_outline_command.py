"""Outlines to cut from: read back the same, the plug mirrored with its border, corners eased for the tip."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import shapely
import yaml
from click.testing import CliRunner
from shapely import affinity

from inlayfit.cli import main
from inlayfit.intake import take_in
from inlayfit.outline.easing import eased, eased_outline
from inlayfit.outline.regions import Outline, outline_of

EXAMPLES = Path(__file__).parent.parent / "examples"
SHEETS = [EXAMPLES / f"{name}.yaml" for name in ("fern-lid", "compass-board", "lakes-sign", "heron-tray")]
SAME = 0.005
"""What is read back may differ by this, in mm."""
SHEET = """\
unit: mm
base: {thickness: 18}
plug: {thickness: 12, border: 5}
bits: {v: {angle: 30, tip: 0.5}, clearing: {diameter: 3}}
outline: {shapes: [{rectangle: [40, 20]}, {rectangle: [10, 10], at: [12, 2], hole: true}]}
"""


def run(*arguments: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, ["outline", *map(str, arguments)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def outline_of_sheet(path: Path) -> Outline:
    outline = take_in(str(path)).outline
    assert outline is not None
    return outline


def read_back(drawing: Path, sheet: Path) -> Outline:
    """The drawing as a sheet with the same units reads it."""
    values = yaml.safe_load(sheet.read_text(encoding="utf-8"))
    values["outline"] = {"file": drawing.name}
    if drawing.suffix == ".dxf":
        values["outline"]["unit"] = values.get("unit", "mm")
    again = drawing.parent / "again.yaml"
    again.write_text(yaml.safe_dump(values), encoding="utf-8")
    return outline_of_sheet(again)


def at_corner(area: Any) -> Any:
    low_x, low_y, _, _ = area.bounds
    return affinity.translate(area, -low_x, -low_y)


def difference(one: Outline, other: Outline, *, mirrored: bool = False) -> float:
    """Largest distance between two outlines, the lower left of both at (0, 0)."""
    first = at_corner(affinity.scale(one.area, -1, 1, origin=(0, 0)) if mirrored else one.area)
    second = at_corner(other.area)
    assert len(one.regions) == len(other.regions)
    assert one.holes == other.holes
    # by points in both directions, so that a part that one of them lacks counts
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(first.boundary, 0.5)))
    back = shapely.points(shapely.get_coordinates(shapely.segmentize(second.boundary, 0.5)))
    shapely.prepare(first.boundary)
    return float(max(shapely.distance(second.boundary, points).max(), shapely.distance(first.boundary, back).max()))


@pytest.mark.parametrize("ending", ["svg", "dxf", "geojson"])
@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.stem)
def test_what_is_written_reads_back_the_same(tmp_path: Path, sheet: Path, ending: str) -> None:
    drawn = outline_of_sheet(sheet)
    for part in ("pocket", "plug"):
        for options in ([], ["--eased"]):
            if options and ending != "svg":
                continue
            target = tmp_path / f"{part}{len(options)}.{ending}"
            status, words, trouble = run(sheet, "-o", target, "--part", part, *options)
            assert (status, trouble) == (0, "")
            assert words.startswith(f"{target}: {part}")
            expected = drawn
            if options:
                bits = take_in(str(sheet)).job.bits
                expected = eased(
                    drawn,
                    opened_by=max(bits.pocket_v.shape.flank_radius, bits.pocket_v.real.flank_radius),
                    closed_by=max(bits.plug_v.shape.flank_radius, bits.plug_v.real.flank_radius),
                ).outline
            assert difference(expected, read_back(target, sheet), mirrored=part == "plug") < SAME


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("ending", ["svg", "dxf", "json"])
def test_units(tmp_path: Path, unit: str, ending: str) -> None:
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(SHEET, encoding="utf-8")
    target = tmp_path / f"pocket.{ending}"
    assert run(sheet, "-o", target, "--unit", unit)[0] == 0
    other = tmp_path / "other.yaml"
    words = SHEET.replace("unit: mm", f"unit: {unit}")
    for bare, with_unit in (("18}", "18 mm}"), ("12, border: 5}", "12 mm}"), ("0.5}", "0.5 mm}"), ("3}}", "3 mm}}")):
        words = words.replace(bare, with_unit)
    other.write_text(words, encoding="utf-8")
    assert difference(outline_of_sheet(sheet), read_back(target, other)) < 1e-3


def test_the_plug_has_its_border_as_a_line_of_its_own(tmp_path: Path) -> None:
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(SHEET, encoding="utf-8")
    for ending in ("svg", "geojson", "dxf"):
        status, words, _ = run(sheet, "-o", tmp_path / f"plug.{ending}", "--part", "plug")
        assert status == 0
        assert words == (
            f"{tmp_path / f'plug.{ending}'}: plug, mirrored: 40.00 x 20.00 mm, 1 region with 1 hole, 8 points\n"
            "Border 5.00 mm wide, drawn as a line of its own.\n"
        )
    svg = ElementTree.parse(tmp_path / "plug.svg").getroot()
    assert (svg.get("width"), svg.get("height"), svg.get("viewBox")) == ("50mm", "30mm", "0 0 50 30")
    assert [(path.get("id"), path.get("fill")) for path in svg.iter("{http://www.w3.org/2000/svg}path")] == [
        ("plug", "#000000"),
        ("border", "none"),
    ]
    features = json.loads((tmp_path / "plug.geojson").read_text(encoding="utf-8"))["features"]
    assert [feature["properties"]["part"] for feature in features] == ["plug", "border"]
    plug, border = (shapely.from_geojson(json.dumps(feature["geometry"])) for feature in features)
    assert shapely.Polygon(border).area == pytest.approx(40 * 20 + 5 * 2 * (40 + 20) + math.pi * 25, rel=1e-3)
    assert border.distance(plug) == pytest.approx(5, rel=1e-3)
    # the hole lay to the right of the middle and lies to the left of it now
    assert shapely.Polygon(plug.geoms[0].interiors[0]).centroid.x == pytest.approx(5 + 20 - 12)


def test_easing_of_a_square_by_its_formula(tmp_path: Path) -> None:
    """Each outer corner of 90 deg loses r2 (1 - pi/4), each inner one gains as much."""
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(SHEET, encoding="utf-8")
    drawn, radius = outline_of_sheet(sheet), 0.25
    found = eased(drawn, opened_by=radius, closed_by=radius)
    corner = radius**2 * (1 - math.pi / 4)
    assert found.taken == pytest.approx(4 * corner, rel=0.02)
    assert found.added == pytest.approx(4 * corner, rel=0.02)
    assert found.most is not None
    assert found.most.area == pytest.approx(corner, rel=0.03)
    assert found.regions_lost == 0
    assert found.outline.area.area == pytest.approx(40 * 20 - 10 * 10, abs=1e-3)
    status, words, _ = run(sheet, "-o", tmp_path / "a.svg", "--eased")
    assert status == 0
    told = " ".join(words.split())
    assert f"Rounded by the tip radius, 0.25 mm: {found.added:.3g} mm2 added and {found.taken:.3g} mm2 taken" in told
    assert f"{100 * (found.added + found.taken) / drawn.area.area:.2g} % of the area; most at (" in told
    last = words.splitlines()[-1]
    assert last == "Points are then cut as drawn; what touches first is rounded at inner corners only."


def test_easing_leaves_no_corner_sharper_than_the_tip() -> None:
    """Opened and closed again by nine tenths of the radius, an eased outline hardly changes."""
    for sheet in SHEETS:
        drawn = outline_of_sheet(sheet)
        found = eased(drawn, opened_by=0.2, closed_by=0.2).outline
        again = eased_outline(found, opened_by=0.18, closed_by=0.18)
        assert again is not None
        assert shapely.symmetric_difference(found.area, again.area).area < 2e-4 * drawn.area.length


def test_regions_that_the_tip_cannot_cut_are_counted() -> None:
    strip, square = shapely.box(0, 0, 30, 0.3), shapely.box(0, 5, 30, 20)
    found = eased(outline_of([strip, square]), opened_by=0.2, closed_by=0.2)
    assert found.regions_lost == 1
    assert found.most is not None and found.most.area == pytest.approx(9, rel=1e-6) and not found.most.added


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (["--set", "bits.v.tip=0"], "Nothing rounded: the bits come to a point."),
        (["--set", "bits.v.tip="], "Nothing rounded: the bits come to a point."),
    ],
)
def test_nothing_to_ease(tmp_path: Path, changes: list[str], words: str) -> None:
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(SHEET, encoding="utf-8")
    status, told, _ = run(sheet, "-o", tmp_path / "a.svg", "--eased", *changes)
    assert status == 0
    assert words in told


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["-o", "a.pdf"], "a.pdf: found a file ending in .pdf: written are .svg, .dxf, .geojson and .json"),
        (["-o", "drawing"], "drawing: found a file name without an ending: written are .svg, .dxf, .geojson and .json"),
        (["-o", "there.svg"], "there.svg: exists already: give another name, or --force to replace it"),
        (["-o", "none/a.svg"], "none/a.svg: cannot be written: there is no folder none"),
        (["-o", "a.svg", "--set", "outline="], "lid.yaml:1:1: outline: there is none to write: give a file or shapes"),
        (
            ["-o", "a.svg", "--eased", "--set", "bits.v.tip=25", "--set", "bits.v.diameter=60"],
            "lid.yaml:5:1: outline: every stroke is narrower than the tip: nothing would be left of it",
        ),
    ],
)
def test_what_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], line: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("lid.yaml").write_text(SHEET, encoding="utf-8")
    Path("there.svg").write_text("old", encoding="utf-8")
    status, words, trouble = run("lid.yaml", *arguments)
    assert (status, words, trouble.splitlines()[0]) == (2, "", line)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lid.yaml", "there.svg"]
    assert Path("there.svg").read_text(encoding="utf-8") == "old"


def test_force_replaces(tmp_path: Path) -> None:
    sheet, target = tmp_path / "lid.yaml", tmp_path / "there.svg"
    sheet.write_text(SHEET, encoding="utf-8")
    target.write_text("old", encoding="utf-8")
    assert run(sheet, "-o", target, "--force")[0] == 0
    assert target.read_text(encoding="utf-8").startswith("<svg")


def test_the_extra_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(SHEET, encoding="utf-8")
    status, words, trouble = run(sheet, "-o", tmp_path / "a.dxf")
    assert (status, words) == (2, "")
    assert trouble == "writing DXF needs the package ezdxf: python -m pip install ezdxf\n"
    assert not (tmp_path / "a.dxf").exists()
