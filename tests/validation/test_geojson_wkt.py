"""Published examples of GeoJSON and well-known text.

RFC 7946, The GeoJSON Format: the polygon of section 1.5 and appendix A.3 with its hole; the collection of
section 1.5 and the multipolygon of appendix A.6 are from memory. OGC 06-103r4 as documented with the reader
of the JTS Topology Suite: the polygon with a hole and the multipolygon. The areas follow from the coordinates.
shapely's own readers are the second way to the same polygons.
"""

from __future__ import annotations

import json

import pytest
import shapely

from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size

SQUARE = [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
HOLE = [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]
# rings of appendix A.6, the hole here in the other direction
UPPER = [[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]
LOWER_HOLE = [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]
POINT = {"type": "Point", "coordinates": [102.0, 0.5]}
LINE = {"type": "LineString", "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]}


def read(text: str, name: str) -> OutlineFile:
    return read_outline_file(text.encode(), name, size=Size(unit_mm=1))


def agrees(outline: OutlineFile, expected: shapely.Geometry) -> bool:
    """Whether the outline is the expected polygons, moved so that their lower left is at (0, 0)."""
    low_x, low_y = expected.bounds[:2]
    moved = shapely.transform(expected, lambda points: points - (low_x, low_y))
    return bool(shapely.equals(shapely.MultiPolygon(outline.polygons), moved))


@pytest.mark.parametrize(
    ("geometry", "area"),
    [
        ({"type": "Polygon", "coordinates": [SQUARE]}, 1),
        ({"type": "Polygon", "coordinates": [SQUARE, HOLE]}, 1 - 0.6 * 0.6),
        ({"type": "MultiPolygon", "coordinates": [[UPPER], [SQUARE, LOWER_HOLE]]}, 1 + 1 - 0.6 * 0.6),
    ],
)
def test_rfc_7946_polygons(geometry: dict[str, object], area: float) -> None:
    text = json.dumps(geometry)
    outline = read(text, "a.geojson")
    assert sum(polygon.area for polygon in outline.polygons) == pytest.approx(area, rel=1e-12)
    assert agrees(outline, shapely.from_geojson(text))
    feature = {"type": "Feature", "properties": {"prop0": "value0"}, "geometry": geometry}
    assert agrees(read(json.dumps(feature), "a.json"), shapely.from_geojson(text))


def test_rfc_7946_feature_collection() -> None:
    polygon = {"type": "Polygon", "coordinates": [SQUARE]}
    features = [
        {"type": "Feature", "geometry": geometry, "properties": {}} for geometry in (POINT, LINE, polygon)
    ]
    outline = read(json.dumps({"type": "FeatureCollection", "features": features}), "a.geojson")
    assert [polygon.area for polygon in outline.polygons] == [1]
    assert outline.notes == ("left out what is no polygon: Point (1), LineString (1)",)


def test_rings_in_either_direction_are_read() -> None:
    """Section 3.1.6: a parser should not reject polygons that do not follow the right-hand rule."""
    for square, hole in [(SQUARE, HOLE), (SQUARE[::-1], HOLE), (SQUARE, HOLE[::-1])]:
        (polygon,) = read(
            json.dumps({"type": "Polygon", "coordinates": [square, hole]}), "a.geojson"
        ).polygons
        assert polygon.area == pytest.approx(0.64, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("POLYGON ((0 0, 4 0, 4 4, 0 4, 0 0), (1 1, 1 2, 2 2, 2 1, 1 1))", 15),
        ("MULTIPOLYGON (((1 1, 1 3, 3 3, 3 1, 1 1)), ((4 3, 6 3, 6 1, 4 1, 4 3)))", 8),
    ],
)
@pytest.mark.parametrize(
    "wrap",
    [
        "{}",
        "  {}\n",
        "SRID=4326; {}",
        "srid=4326;{}",
        "# a comment\n{}\n# another",
        "GEOMETRYCOLLECTION ({})",
        "{};",
    ],
)
def test_ogc_polygons(text: str, area: float, wrap: str) -> None:
    for written in (text, text.lower(), text.replace(" ", "  ").replace(",", " ,\n")):
        outline = read(wrap.format(written), "a.wkt")
        assert sum(polygon.area for polygon in outline.polygons) == area
        assert agrees(outline, shapely.from_wkt(text))


@pytest.mark.parametrize("head", ["POLYGON Z", "POLYGONZ", "polygon z", "POLYGON", "POLYGON M", "POLYGON ZM"])
def test_further_dimensions_are_dropped(head: str) -> None:
    more = "7 8" if head.endswith("ZM") else "7"
    outline = read(f"{head} ((0 0 {more}, 3 0 {more}, 3 3 {more}, 0 0 {more}))", "a.wkt")
    assert [polygon.area for polygon in outline.polygons] == [4.5]
    assert not outline.polygons[0].has_z


def test_what_lies_beside_the_polygons_is_noted() -> None:
    text = (
        "GEOMETRYCOLLECTION (POINT (4 6), LINESTRING (4 6, 7 10), POINT EMPTY, MULTIPOINT ((0 0), (1 1)), "
        "MULTIPOINT (0 0, 1 1), GEOMETRYCOLLECTION (POLYGON ((0 0, 2 0, 2 2, 0 0))))"
    )
    assert shapely.from_wkt(text).area == 2
    outline = read(text, "a.wkt")
    assert [polygon.area for polygon in outline.polygons] == [2]
    assert outline.notes == ("left out what is no polygon: point (3), linestring (1)",)


@pytest.mark.parametrize("name", ["a.geojson", "a.wkt"])
def test_lines_are_joined_where_there_is_no_polygon(name: str) -> None:
    """The unit square in four lines, by both formats; the expected ring is shapely's own."""
    sides = [SQUARE[number : number + 2][:: 1 - 2 * (number % 2)] for number in range(4)]
    lines, square = shapely.MultiLineString(sides), shapely.Polygon(SQUARE)
    write = shapely.to_geojson if name == "a.geojson" else shapely.to_wkt
    outline = read(write(lines), name)
    assert agrees(outline, square)
    assert outline.notes == ("lines joined to loops: 4 to 1",)
    beside = read(write(shapely.GeometryCollection([lines, square])), name)
    assert agrees(beside, square)
    (note,) = beside.notes
    assert note.lower() == "left out what is no polygon: linestring (4)"
