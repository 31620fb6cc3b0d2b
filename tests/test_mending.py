"""Defects finer than a hair are mended and told; wider ones are refused; needless detail goes, with a note."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from inlayfit.drawings.hairlines import HAIR, is_thin, mended
from inlayfit.drawings.outline_file import OutlineFile, read_outline_file
from inlayfit.drawings.size import Size
from inlayfit.drawings.specks import DETAILED, SIMPLE
from inlayfit.errors import InputError

WIDE, SLIM = 1.2 * HAIR, 0.8 * HAIR


def read(text: str, **size: float) -> OutlineFile:
    return read_outline_file(text.encode(), "a.wkt", size=Size(**({"unit_mm": 1.0} | size)))


def area(outline: OutlineFile) -> float:
    return sum(polygon.area for polygon in outline.polygons)


def flap(width: float) -> str:
    """A square whose upper edge crosses itself: a flap 4 long and ``width`` wide runs the wrong way round."""
    return f"POLYGON ((0 0, 10 0, 10 10, 7 10, 3 {10 + width}, 7 {10 + width}, 3 10, 0 10, 0 0))"


def bow(width: float) -> str:
    """A square with a hole that sticks out of it by ``width``."""
    return f"POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (2 5, 4 5, 4 {10 + width}, 2 {10 + width}, 2 5))"


def pair(width: float) -> str:
    """Two squares that overlap by ``width``."""
    left = 10 - width
    return f"MULTIPOLYGON (((0 0, 10 0, 10 10, 0 10, 0 0)), (({left} 0, 20 0, 20 10, {left} 10, {left} 0)))"


@pytest.mark.parametrize(
    ("shape", "whole", "words"),
    [
        (flap, 100, "polygon 1 crosses itself at (5, "),
        (bow, 90, "polygon 1 "),
        (pair, 200, "polygon 1 and polygon 2 overlap at ("),
    ],
)
@pytest.mark.parametrize("scale", [1.0, 30.0])
def test_only_what_is_thinner_than_a_hair_is_mended(shape: object, whole: float, words: str, scale: float) -> None:
    assert callable(shape)
    outline = read(shape(SLIM / scale), scale=scale)
    # what was mended is at most a strip 10 mm long, at any size
    assert area(outline) == pytest.approx(whole * scale**2, abs=10 * scale * HAIR)
    (note, *_) = outline.notes
    assert note.startswith(f"mended a defect narrower than {HAIR} mm ({words}")
    assert "; area changed by " in note and note.endswith(" mm2")
    with pytest.raises(InputError, match=r"crosses itself|overlap at"):
        read(shape(4 * WIDE / scale), scale=scale)


def test_the_change_in_area_is_told() -> None:
    outline = read(pair(SLIM))
    assert outline.notes[0].endswith(f"area changed by {-10 * SLIM:.1g} mm2")
    assert area(outline) == pytest.approx(200, abs=1e-9)


def test_what_meets_itself_in_a_point_is_parted() -> None:
    outline = read("POLYGON ((0 0, 2 0, 2 2, 1 0, 0 2, 0 0))")
    assert [polygon.area for polygon in outline.polygons] == [1, 1]
    assert outline.notes == (
        "mended a defect narrower than 0.002 mm (polygon 1 touches itself at (1, 0)); area changed by 0 mm2",
    )
    outline = read("POLYGON ((0 0, 4 0, 4 4, 0 4, 0 0), (0 2, 2 0, 4 2, 2 4, 0 2))")
    assert area(outline) == 8
    assert len(outline.polygons) == 4


def test_rings_rounded_to_a_dot_are_left_out() -> None:
    dots = "(5 5, 5 5, 5 5, 5 5), (6 6, 6.0001 6, 6 6.0001, 6 6)"
    outline = read(f"MULTIPOLYGON (((0 0, 10 0, 10 10, 0 10, 0 0), {dots}), ((20 20, 20 20, 20 20, 20 20)))")
    assert area(outline) == 100
    assert outline.notes == ("left out 3 rings under 0.002 mm across",)
    with pytest.raises(InputError, match="no area at"):
        read("POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (5 5, 5 6, 5 7, 5 5))")


def test_specks_are_left_out_and_do_not_count_for_the_width() -> None:
    text = "MULTIPOLYGON (((0 0, 10 0, 10 10, 0 10, 0 0)), ((20 0, 20.01 0, 20 0.01, 20 0)))"
    for size in ({}, {"width": 10.0}):
        outline = read(text, **size)
        assert outline.notes == ("left out specks under 0.0001 mm2: 1",)
        assert shapely.total_bounds(outline.polygons) == pytest.approx([0, 0, 10, 10])


@pytest.mark.parametrize("seed", range(4))
def test_mending_against_the_geometry_engines_own(seed: int) -> None:
    """Real-looking rings with crossings by a hair: the same area as shapely's make_valid, to the defects' size."""
    rng = np.random.default_rng(seed)
    angles = np.linspace(0, 2 * math.pi, 200, endpoint=False)
    radius = 40 + 5 * np.sin(5 * angles)
    points = np.column_stack([radius * np.cos(angles), radius * np.sin(angles)])
    for number in rng.choice(np.arange(1, 198), 10, replace=False):  # a step back by a hair's part
        points[number + 1] = points[number] + (points[number - 1] - points[number]) * 1e-4 + rng.normal(0, 1e-4, 2)
    ring = np.vstack([points, points[:1]])
    polygon = shapely.Polygon(ring)
    found = mended([ring], HAIR)
    assert found is not None
    assert found[0].is_valid
    assert found[0].area == pytest.approx(shapely.make_valid(polygon).area, abs=10 * HAIR)


def test_thinness_is_that_of_the_widest_disc() -> None:
    for width in (0.5, 2.0):
        strip = shapely.box(0, 0, 100, width)
        wedge = shapely.Polygon([(0, 0), (100, 0), (100, width)])
        disc = shapely.Point(0, 0).buffer(width / 2, quad_segs=64)
        # of a wedge with the legs a and b the widest disc is a + b - c across
        across = {strip: width, wedge: 100 + width - math.hypot(100, width), disc: width}
        for shape, diameter in across.items():
            assert is_thin(shape, 1.15 * diameter)
            assert not is_thin(shape, 0.85 * diameter)


def test_very_detailed_outlines_are_simplified_with_a_note() -> None:
    count = DETAILED * 2
    angles = np.linspace(0, 2 * math.pi, count, endpoint=False)
    ring = 50 * np.column_stack([np.cos(angles), np.sin(angles)])
    text = shapely.to_wkt(shapely.Polygon(ring), rounding_precision=9)
    outline = read(text)
    (note,) = outline.notes
    left = int(shapely.get_num_coordinates(outline.polygons).sum())
    assert note == (
        f"very detailed: {count + 1:,} vertices simplified to {left:,}, which moves no edge by more than {SIMPLE} mm"
    )
    assert left < 2000
    drawn = shapely.transform(shapely.LinearRing(ring), lambda points: points + 50)
    (polygon,) = outline.polygons
    assert shapely.hausdorff_distance(drawn, polygon.exterior) <= SIMPLE * 1.001
    small = shapely.to_wkt(shapely.Polygon(ring[:: 3]), rounding_precision=9)
    assert read(small).notes == ()
