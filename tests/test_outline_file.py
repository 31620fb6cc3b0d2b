"""Outline files: formats by their ending, sizes, and what is refused with its place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import shapely
from shapely.geometry import mapping

from inlayfit.drawings.choice import Choice
from inlayfit.drawings.outline_file import MAX_FILE_BYTES, OutlineFile, read_outline_file
from inlayfit.drawings.positions import MAX_VERTICES
from inlayfit.drawings.size import Size
from inlayfit.errors import InputError

# 4 by 3 with a hole of 1 by 1, far from the origin, and a triangle beside it
WKT = (
    "MULTIPOLYGON (((100 50, 104 50, 104 53, 100 53, 100 50), (101 51, 101 52, 102 52, 102 51, 101 51)), "
    "((105 50, 107 50, 106 52, 105 50)))"
)
AREA = 4 * 3 - 1 * 1 + 2 * 2 / 2
WIDTH, HEIGHT = 7, 3


def read(text: str, name: str = "leaf.wkt", **size: float) -> OutlineFile:
    return read_outline_file(text.encode(), name, size=Size(**({"unit_mm": 1.0} | size)))


def problem(text: str, name: str = "leaf.wkt") -> str:
    with pytest.raises(InputError) as caught:
        read(text, name)
    (line,) = caught.value.lines()
    return line


def test_the_same_outline_from_wkt_and_geojson() -> None:
    geojson = json.dumps(mapping(shapely.from_wkt(WKT)))
    for name, text in [("a.wkt", WKT), ("b.geojson", geojson), ("c.JSON", geojson), ("d.e/f.WKT", WKT)]:
        outline = read(text, name)
        assert sum(polygon.area for polygon in outline.polygons) == pytest.approx(AREA, rel=1e-12)
        assert [len(polygon.interiors) for polygon in outline.polygons] == [1, 0]
        assert shapely.total_bounds(outline.polygons) == pytest.approx([0, 0, WIDTH, HEIGHT])
        assert outline.notes == ()


@pytest.mark.parametrize(
    ("size", "factor"),
    [
        ({}, 1),
        ({"unit_mm": 25.4}, 25.4),
        ({"unit_mm": 25.4, "scale": 2}, 50.8),
        ({"width": 140}, 20),
        ({"height": 1.5, "unit_mm": 25.4}, 0.5),
    ],
)
def test_size(size: dict[str, float], factor: float) -> None:
    outline = read(WKT, **size)
    assert shapely.total_bounds(outline.polygons) == pytest.approx([0, 0, WIDTH * factor, HEIGHT * factor])
    assert sum(polygon.area for polygon in outline.polygons) == pytest.approx(AREA * factor**2)


def test_a_width_needs_no_unit() -> None:
    outline = read_outline_file(WKT.encode(), "a.wkt", size=Size(width=14))
    assert shapely.total_bounds(outline.polygons)[2] == pytest.approx(14)
    with pytest.raises(InputError, match=r"no unit: give outline\.unit, outline\.width or outline\.height"):
        read_outline_file(WKT.encode(), "a.wkt", size=Size())


def test_map_coordinates_in_the_millions_keep_their_digits() -> None:
    text = "POLYGON ((9000000.001 8000000, 9000000.003 8000000, 9000000.003 8000000.002, 9000000.001 8000000))"
    (polygon,) = read(text, width=100).polygons
    assert polygon.bounds == pytest.approx((0, 0, 100, 100), rel=1e-6)


@pytest.mark.parametrize(
    "size",
    [{"width": 1, "height": 1}, {"width": 1, "scale": 1}, {"width": 0}, {"scale": float("inf")}, {"unit_mm": -1}],
)
def test_impossible_sizes(size: dict[str, float]) -> None:
    with pytest.raises(InputError, match=r"expected (one of them|a number above 0)"):
        Size(**size)


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("leaf.svgz", "compressed SVG is not read: unpack it, or save as plain SVG"),
        ("leaf.pdf", "found a file ending in .pdf: read are .svg, .dxf, .wkt, .geojson and .json"),
        ("wood.shop/leaf", "found a file name without an ending: read are .svg, .dxf, .wkt, .geojson and .json"),
    ],
)
def test_formats_that_are_not_read(name: str, line: str) -> None:
    assert problem(WKT, name) == line


@pytest.mark.parametrize("name", ["leaf.svg", "leaf.wkt", "leaf.geojson"])
def test_layers_are_for_dxf(name: str) -> None:
    with pytest.raises(InputError) as caught:
        read_outline_file(WKT.encode(), name, size=Size(width=9), choice=Choice(layers=("CUT",)))
    assert str(caught.value) == "outline.layer: found it with a drawing that has no layers, expected a .dxf"


@pytest.mark.parametrize("name", ["leaf.svg", "leaf.dxf", "leaf.wkt", "leaf.json"])
def test_empty_and_huge_files(name: str) -> None:
    assert problem(" \n", name) == "the file is empty"
    assert problem(" " * (MAX_FILE_BYTES + 1), name) == "20 MB, at most 20 MB are read: simplify the drawing"


def test_text_that_is_not_utf8() -> None:
    with pytest.raises(InputError, match="line 2: not UTF-8 text: save the file as UTF-8"):
        read_outline_file(b"# ok\n# \xe9\nPOINT (1 1)", "a.wkt", size=Size(unit_mm=1))
    assert read_outline_file(b"\xef\xbb\xbf" + WKT.encode(), "a.wkt", size=Size(unit_mm=1)).polygons


SQUARE = "(0 0, 4 0, 4 4, 0 4, 0 0)"


@pytest.mark.parametrize("between", ["\n", ";\n", " ; ", "\n# the other\n", ";SRID=4326;"])
def test_several_geometries_in_one_text(between: str) -> None:
    other = "POLYGON ((9 0, 12 0, 12 3, 9 3, 9 0))"
    outline = read(f"POLYGON ({SQUARE}){between}{other}{between}POINT (1 1);", "a.wkt")
    assert [polygon.area for polygon in outline.polygons] == [16, 9]
    assert outline.notes == ("left out what is no polygon: point (1)",)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("POLYGON ((0 0, 1 1, 1 0, 0 1, 0 0))", "polygon 1: crosses itself at (0.5, 0.5)"),
        (f"POLYGON ({SQUARE}, (5 5, 6 5, 6 6, 5 5))", "polygon 1: has a hole outside its outer ring at (5, 5)"),
        (f"POLYGON ({SQUARE}, (1 1, 3 1, 3 3, 1 3, 1 1), (1.5 1.5, 2 2, 2 1.5, 1.5 1.5))", "polygon 1: has a hole in"),
        ("POLYGON ((0 0, 1 1, 2 1, 2 0, 0 0), (1 .1, 1 .2, 1 .4, 1 .1))", "polygon 1, hole 1: no area at (1, 0.1)"),
        ("POLYGON ((0 0, 1 1, 2 2, 0 0))", "polygon 1: no area at (0, 0)"),
        ("POLYGON ((0 0, 0 1, 0 2, 0 0))", "no area at (0, 0): all points lie on a line"),
        (
            "POLYGON ((0 0, 4 0, 4 4))",
            "polygon 1, outer ring: open: starts at (0, 0), ends at (4, 4); repeat the first point at the end",
        ),
        (f"POLYGON ({SQUARE}, (1 1, 2 1, 1 1))", "polygon 1, hole 1: 3 points, expected four or more"),
        ("POLYGON ((0 0, nan 1, 1 1, 0 0))", "polygon 1, outer ring, point 2: found [nan, 1.0], expected numbers"),
        ("POLYGON ((0 0, 1 0, 1 -inf, 0 0))", "polygon 1, outer ring, point 3: found [1.0, -inf], expected"),
        ("POLYGON ((0 0, 1e999 0, 1 1, 0 0))", "polygon 1, outer ring, point 2: found [inf, 0.0], expected"),
        ("MULTIPOLYGON (((0 0, 4 0, 4 4, 0 0)), EMPTY)", "polygon 2: empty, expected an outer ring"),
        ("POLYGON EMPTY", "line 1, column 1: POLYGON is empty"),
        (f"MULTIPOLYGON (({SQUARE}), ((1 1, 9 1, 9 9, 1 1)))", "polygon 1 and polygon 2 overlap at ("),
        (f"GEOMETRYCOLLECTION (POLYGON ({SQUARE}), POLYGON ({SQUARE}))", "polygon 1 and polygon 2 overlap at ("),
        ("POLYGON (0 0, 1 1, 1 0, 0 0)", "line 1, column 10: found '0', expected '('"),
        ("POLYGON ((0 0, 1 1,\n 1 zero, 0 0))", "line 2, column 2: found '1 zero', expected a point: x y"),
        ("POLYGON ((0 0, 1, 1 1, 0 0))", "line 1, column 16: found '1', expected a point: x y"),
        (f"POLYGON ({SQUARE}", "line 1, column 35: found the end, expected ')'"),
        (f"POLYGON ({SQUARE}) OFF (1 1)", "line 1, column 37: found OFF, expected POLYGON, MULTIPOLYGON or"),
        ("CIRCULARSTRING (0 0, 1 1, 2 0)", "line 1, column 1: found CIRCULARSTRING, expected POLYGON"),
        ("GEOMETRYCOLLECTION (" * 50, "line 1, column 420: collections nested over 20 deep"),
        ("12", "line 1, column 1: found '12', expected POLYGON or MULTIPOLYGON"),
        ("POINT (1 1)", "no polygons in the file: left out what is no polygon: point (1)"),
        ("LINESTRING (0 0, 1 2)", "the line does not close, open from (0, 0) to (1, 2), 2.24 mm: join the ends in the"),
        ("LINESTRING (0 0)", "linestring 1: 1 points, expected two or more"),
        ("LINESTRING (0 0, 1 nan)", "linestring 1, point 2: found [1.0, nan], expected numbers x, y"),
        ("GEOMETRYCOLLECTION EMPTY", "no polygons in the file"),
    ],
)
def test_wkt_that_is_refused(text: str, line: str) -> None:
    assert problem(text).startswith(line)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('{"type": "Polygon",\n  "coordinates": [[[0, 0],, [1, 1]]]}', "line 2, column 27: not JSON: "),
        ("[" * 100_000, "not GeoJSON: lists nested without end"),
        (f'{{"type": "Point", "coordinates": [{"9" * 5000}, 0]}}', "not GeoJSON: a number is out of range"),
        ("[1, 2]", "the file: not GeoJSON: expected an object with a type: Polygon"),
        ('{"type": "Topology"}', "the file: found type 'Topology', expected Polygon"),
        ('{"type": "FeatureCollection"}', "the file: FeatureCollection without a list of features"),
        ('{"type": "FeatureCollection", "features": [7]}', "features[0]: not GeoJSON"),
        ('{"type": "Feature", "geometry": null}', "no polygons in the file: left out what is no polygon: feature w"),
        ('{"type": "Polygon"}', "coordinates: empty, expected an outer ring"),
        ('{"type": "Polygon", "coordinates": [[]]}', "coordinates, outer ring: empty, expected four points or more"),
        ('{"type": "Polygon", "coordinates": [{"x": 1}]}', "coordinates, outer ring: found {'x': 1}, expected a list"),
        ('{"type": "MultiPolygon", "coordinates": []}', "coordinates: empty, expected a list of polygons"),
        (
            '{"type": "Polygon", "coordinates": [[[0, 0], [true, 0], [1, 1], [0, 0]]]}',
            "coordinates, outer ring, point 2: found [True, 0], expected numbers x, y",
        ),
        (
            '{"type": "Polygon", "coordinates": [[[0, 0], [NaN, 0], [1, 1], [0, 0]]]}',
            "coordinates, outer ring, point 2: found [nan, 0], expected numbers x, y",
        ),
        (
            '{"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": {"type": "MultiPolygon", '
            '"coordinates": [[[[0, 0], [2, 2], [2, 0], [0, 2], [0, 0]]]]}}]}',
            "features[0].geometry.coordinates[0]: crosses itself at (1, 1)",
        ),
    ],
)
def test_geojson_that_is_refused(text: str, line: str) -> None:
    assert problem(text, "leaf.geojson").startswith(line)


def test_polygons_that_share_an_edge_are_joined_with_a_note() -> None:
    outline = read(f"MULTIPOLYGON (({SQUARE}), ((4 0, 6 0, 6 4, 4 4, 4 0)), ((9 0, 10 0, 9 1, 9 0)))")
    assert sorted(polygon.area for polygon in outline.polygons) == pytest.approx([0.5, 24])
    assert outline.notes == ("3 polygons share edges: joined to 2",)


def test_polygons_that_touch_at_a_point_or_lie_in_a_hole_stay_apart() -> None:
    ring = f"({SQUARE}, (1 1, 1 3, 3 3, 3 1, 1 1))"
    outline = read(f"MULTIPOLYGON ({ring}, ((4 4, 5 4, 5 5, 4 4)), ((1 1, 3 2, 2 3, 1 1)))")
    assert [polygon.area for polygon in outline.polygons] == pytest.approx([12, 0.5, 1.5])
    assert outline.notes == ()


def test_too_many_vertices() -> None:
    points = ", ".join(["1 2"] * (MAX_VERTICES + 1))
    assert problem(f"POLYGON (({points}))") == (
        "200,001 vertices, at most 200,000 are read: simplify the outline (0.01 mm is enough)"
    )


def test_dense_hatching_is_refused_in_time() -> None:
    points = ", ".join(f"{100 * (i % 2) + i * 1e-4:.4f} {100 * (i % 2)}" for i in range(40_000))
    assert "draw the outline only" in problem(f"POLYGON (({points}, 200 -9, 0 -9, 0 0))")


@pytest.mark.parametrize("scale", [1e-200, 1e-5, 1e9, 1e300])
def test_sizes_beyond_reckoning(scale: float) -> None:
    with pytest.raises(InputError, match=r"the outline would be .* mm across: check its size and units"):
        read(WKT, scale=scale)


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ('width="96" height="96"', True),
        ('width="96px" viewBox="0 0 96 96"', True),
        ('width="50mm" height="50mm"', True),  # without a viewBox a user unit is a px all the same
        ('width="1in" viewBox="0 0 96 96"', False),
        ('width="50%" height="2cm" viewBox="0 0 96 96"', False),
    ],
)
def test_a_size_that_rests_on_96_px_to_the_inch_is_told(head: str, told: bool) -> None:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {head}><rect width="48" height="24"/></svg>'
    note = "the drawing's size is in px, read at 96 to the inch"
    assert (note in read(svg, "leaf.svg").notes) is told
    assert read(svg, "leaf.svg", width=30.0).notes == ()


def test_an_outline_that_does_not_bear_to_be_moved_is_snapped_to_its_last_digits() -> None:
    """A drawing with a corner on another edge, to the last bit: moved to the origin, it would cross that edge."""
    piggy = Path(__file__).parent / "real_outlines" / "bootstrap-piggy-bank-fill.svg"
    outline = read_outline_file(piggy.read_bytes(), piggy.name, size=Size(scale=20))
    assert all(polygon.is_valid for polygon in outline.polygons)
