"""The survey: discs along the outline, widths, corners; against every edge one by one and against erosion."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from outlines import (
    COMB_SLOT,
    COMB_TOOTH,
    ELL_ARM,
    ISLAND_GAP,
    PLUS_ARM,
    RING_COUNT,
    RING_INNER,
    RING_OUTER,
    SHARED,
    SPIRAL_STROKE,
    circle,
    comb,
    ell,
    islands,
    lens,
    near_degenerate,
    noisy_lobed_ring,
    plus,
    polygon,
    ring,
    rings_of,
    sliver,
    spiral_stroke,
    square,
    star,
    survey,
)

from inlayfit.outline import survey as survey_module
from inlayfit.outline.regions import Outline, grown, polygons_of
from inlayfit.outline.survey import SAMPLES, Discs, Survey

Floats = NDArray[np.float64]


@pytest.fixture(scope="module")
def surveys() -> dict[str, tuple[Outline, Survey]]:
    made = {name: make() for name, make in SHARED.items()}
    return {name: (outline, survey(outline)) for name, outline in made.items()}


# --- the duller way: every edge for every place ---------------------------------------------------------------------


def edges_of(outline: Outline) -> tuple[Floats, Floats]:
    starts, runs = [], []
    for wall in rings_of(outline):
        points = np.asarray(wall.coords)
        starts.append(points[:-1])
        runs.append(np.diff(points, axis=0))
    return np.concatenate(starts), np.concatenate(runs)


def largest_disc(place: Floats, normal: Floats, starts: Floats, runs: Floats) -> tuple[float, Floats]:
    """Radius of the largest disc tangent at a place, and the point that stops it; over all edges, in closed form.

    A disc through the place p, its centre along the normal n, that passes through q has the radius
    |q - p|^2 / (2 (q - p) n). Along an edge that is a quadratic over a line, least at an end or where its derivative
    is 0.
    """
    a, d = starts - place, runs
    ends = (np.zeros(len(a)), np.ones(len(a)))
    # |a + t d|^2 = c0 + c1 t + c2 t^2 over 2 (h0 + h1 t)
    c0, c1, c2 = (a * a).sum(1), 2 * (a * d).sum(1), (d * d).sum(1)
    h0, h1 = a @ normal, d @ normal
    with np.errstate(divide="ignore", invalid="ignore"):
        # derivative: c2 h1 t^2 + 2 c2 h0 t + c1 h0 - c0 h1 = 0
        root = np.sqrt(np.maximum(0.0, (c2 * h0) ** 2 - c2 * h1 * (c1 * h0 - c0 * h1)))
        turning = [(-c2 * h0 + sign * root) / (c2 * h1) for sign in (1, -1)]
        level = np.where(np.abs(h1) < 1e-14 * np.sqrt(c2), -c1 / (2 * c2), np.nan)
    best, stop = math.inf, place
    # the edges that meet at the place itself do not stop its disc
    along = np.clip(-(a * d).sum(1) / c2, 0, 1)
    elsewhere = np.hypot(*(a + along[:, None] * d).T) > 1e-9
    for t in (*ends, *turning, level):
        t = np.where(np.isfinite(t), np.clip(t, 0, 1), 0.0)
        q = a + t[:, None] * d
        ahead = q @ normal
        ok = elsewhere & (ahead > 1e-12)
        if not ok.any():
            continue
        radius = np.where(ok, (q * q).sum(1) / np.where(ok, 2 * ahead, 1.0), np.inf)
        index = int(radius.argmin())
        if radius[index] < best:
            best, stop = float(radius[index]), place + q[index]
    return best, stop


@pytest.mark.parametrize("side", ["inside", "outside"])
@pytest.mark.parametrize("name", SHARED)
def test_discs_are_the_largest_against_every_edge(
    name: str, side: str, surveys: dict[str, tuple[Outline, Survey]]
) -> None:
    outline, found = surveys[name]
    discs: Discs = getattr(found, side)
    starts, runs = edges_of(outline)
    low_x, low_y, high_x, high_y = outline.bounds
    limit = math.hypot(high_x - low_x, high_y - low_y) / (2 if side == "inside" else 1)
    every = max(1, len(discs.radius) // 250)
    walls = shapely.multilinestrings(rings_of(outline))
    room = shapely.distance(walls, shapely.points(discs.centre))
    # no disc reaches over the outline by more than the survey's own convergence
    assert (room >= discs.radius - 2e-7).all()
    for index in range(0, len(discs.radius), every):
        place, normal = discs.place[index], discs.normal[index]
        exact, stop = largest_disc(place, normal, starts, runs)
        exact = min(exact, limit)
        centre = place + exact * normal
        # a disc that is stopped close to where it stands gains more radius than room: by 1 / (1 - cos)
        if exact < limit:
            here, there = (place - centre) / exact, (stop - centre) / exact
            gain = 1 / max(1e-12, 1 - float(here @ there))
        else:
            gain = 1.0
        assert discs.radius[index] == pytest.approx(exact, abs=3e-7 * gain + 1e-9 * exact), (place, normal)


@pytest.mark.parametrize("name", SHARED)
def test_sizes_are_the_outlines_own(name: str, surveys: dict[str, tuple[Outline, Survey]]) -> None:
    outline, found = surveys[name]
    assert found.area == pytest.approx(sum(region.area for region in outline.regions))
    assert found.perimeter == pytest.approx(sum(wall.length for wall in rings_of(outline)))
    assert found.bounds == pytest.approx(outline.area.bounds)
    assert found.regions == len(outline.regions)
    assert found.holes == len(rings_of(outline)) - len(outline.regions)
    assert len(found.region_width) == found.regions


@pytest.mark.parametrize("side", ["inside", "outside"])
@pytest.mark.parametrize("name", SHARED)
def test_places_stand_for_the_whole_outline(
    name: str, side: str, surveys: dict[str, tuple[Outline, Survey]]
) -> None:
    outline, found = surveys[name]
    discs: Discs = getattr(found, side)
    assert discs.length.sum() == pytest.approx(found.perimeter)
    assert discs.share(np.ones(len(discs.length), dtype=bool)) == pytest.approx(1)
    assert np.hypot(*discs.normal.T) == pytest.approx(np.ones(len(discs.normal)))
    # every place lies on the edge of its own region, its disc on the side it should
    for number, region in enumerate(outline.regions):
        of_region = discs.region == number
        assert of_region.any()
        places = shapely.points(discs.place[of_region])
        assert shapely.distance(region.boundary, places).max() < 1e-9
        a_hair = shapely.points(discs.place[of_region] + 1e-5 * discs.normal[of_region])
        within = shapely.contains(region, a_hair) if side == "inside" else shapely.disjoint(region, a_hair)
        # beside the slit and the whisker of 0.01 mm a hair's breadth is already the other side
        assert within.mean() > (0.98 if name == "near-degenerate" else 0.999)


# --- narrowest strokes and gaps of known size -----------------------------------------------------------------------


def step(found: Survey) -> float:
    """Spacing of the places along a straight side."""
    return found.perimeter / SAMPLES


STROKES = [
    pytest.param(square, 20.0, id="square"),
    pytest.param(comb, COMB_TOOTH, id="comb"),
    pytest.param(plus, PLUS_ARM, id="plus"),
    pytest.param(islands, 2.0, id="islands"),  # the frame's top bar
    pytest.param(ell, ELL_ARM, id="ell"),
    # the middles of facing chords lie closer than the circles
    pytest.param(ring, (RING_OUTER - RING_INNER) * math.cos(math.pi / RING_COUNT), id="ring"),
    pytest.param(circle, 24.0 * math.cos(math.pi / 160), id="circle"),
    pytest.param(lambda: polygon([(0, 0), (30, 0), (30, 1.25), (0, 1.25)]), 1.25, id="bar"),
    pytest.param(lambda: polygon([(0, 0), (0.3, 0), (0.3, 30), (0, 30)]), 0.3, id="hairline"),
]


@pytest.mark.parametrize(("make", "width"), STROKES)
def test_narrowest_stroke_of_known_width(make: Callable[[], Outline], width: float) -> None:
    found = survey(make())
    # never wider than it is; narrower by a step at most, where only one place is as wide
    assert width - 2 * step(found) <= found.narrowest_stroke.value <= width + 1e-6


def test_narrowest_stroke_of_a_bent_stroke() -> None:
    found = survey(spiral_stroke())
    # drawn with chords: its own width, less what a chord cuts off (radius from 3 mm, chords from 0.16 mm)
    assert SPIRAL_STROKE - 0.002 <= found.narrowest_stroke.value <= SPIRAL_STROKE + 1e-6


GAPS = [
    pytest.param(comb, COMB_SLOT, id="comb"),
    pytest.param(islands, ISLAND_GAP, id="islands"),
    pytest.param(ring, 2 * RING_INNER * math.cos(math.pi / RING_COUNT), id="ring's hole"),
    pytest.param(
        lambda: polygon([(0, 0), (30, 0), (30, 20), (0, 20)], [(5, 5), (5, 6.5), (25, 6.5), (25, 5)]),
        1.5,
        id="slot",
    ),
]


@pytest.mark.parametrize(("make", "width"), GAPS)
def test_narrowest_gap_of_known_width(make: Callable[[], Outline], width: float) -> None:
    found = survey(make())
    assert found.narrowest_gap is not None
    assert width - 2 * step(found) <= found.narrowest_gap.value <= width + 1e-6


@pytest.mark.parametrize("make", [square, circle, star, lens, sliver, plus])
def test_no_gap_where_no_walls_face_each_other_outside(make: Callable[[], Outline]) -> None:
    assert survey(make()).narrowest_gap is None


NOT_STROKES = [
    pytest.param(lambda: polygon([(0, 0), (8, 0), (0, 6)]), 2 * 2.0, id="triangle 6-8-10"),
    # 2 A / P of the thin triangle
    pytest.param(sliver, 2 * 2 * 12.0 / (40 + 0.6 + math.hypot(40, 0.6)), id="sliver"),
    pytest.param(lens, 9.0, id="lens"),
    # the widest disc of a star touches its notches only
    pytest.param(lambda: star(5, 20.0, 9.0), 2 * 9.0, id="star"),
]


@pytest.mark.parametrize(("make", "width"), NOT_STROKES)
def test_shape_without_facing_walls_is_told_by_its_widest_disc(
    make: Callable[[], Outline], width: float
) -> None:
    # a taper that runs out into a tip is no stroke: its width there is 0 and says nothing
    found = survey(make())
    # a lens' walls count as facing within 5 degrees of parallel, 1.2 mm beside its middle: 2 * 1.2^2 / (2 r) nearer,
    # with arcs of r = 27.25
    assert width - (0.055 if make is lens else 2e-4) <= found.narrowest_stroke.value <= width + 1e-6


@pytest.mark.parametrize("make", [comb, plus, ring, islands, ell, spiral_stroke])
def test_opening_loses_a_stroke_where_the_survey_says(make: Callable[[], Outline]) -> None:
    # the largest d for which opening changes the shape by corner bits only, by trying
    outline = make()
    stroke = survey(outline).narrowest_stroke.value
    low, high = 0.0, stroke
    for _ in range(25):
        middle = (low + high) / 2
        low, high = (middle, high) if loses_corners_only(outline, middle) else (low, middle)
    assert 2 * low == pytest.approx(stroke, rel=0.01)


def loses_corners_only(outline: Outline, radius: float) -> bool:
    """Whether every bit that a disc cannot reach is as small as a corner's."""
    opened = grown(grown(outline.area, -radius), radius)
    lost = polygons_of(outline.area.difference(grown(opened, 1e-4 + 1e-3 * radius)))
    # in a square corner (1 - pi/4) r^2 stays out of reach; in the end of a stroke twice that
    return all(bit.area < 0.6 * radius**2 for bit in lost)


def test_narrowest_place_of_a_band_is_where_erosion_breaks_it() -> None:
    outline = noisy_lobed_ring()
    low, high = 0.0, 5.0
    for _ in range(30):
        middle = (low + high) / 2
        shrunk = polygons_of(grown(outline.area, -middle))
        goes_round = len(shrunk) >= 1 and any(len(part.interiors) == 1 for part in shrunk)
        low, high = (middle, high) if goes_round else (low, middle)
    found = survey(outline).narrowest_stroke
    # places are the middles of chords up to 0.3 mm long, and the edge is uneven by 0.03 mm
    assert found.value == pytest.approx(2 * low, abs=0.15)
    assert shapely.distance(outline.area.boundary, shapely.Point(found.at)) == pytest.approx(
        found.value / 2, abs=1e-6
    )


@pytest.mark.parametrize("name", SHARED)
def test_narrowest_places_lie_where_their_width_is(
    name: str, surveys: dict[str, tuple[Outline, Survey]]
) -> None:
    outline, found = surveys[name]
    walls = outline.area.boundary
    at = shapely.Point(found.narrowest_stroke.at)
    assert outline.area.contains(at)
    assert walls.distance(at) == pytest.approx(found.narrowest_stroke.value / 2, abs=1e-6)
    if found.narrowest_gap is not None:
        at = shapely.Point(found.narrowest_gap.at)
        assert not outline.area.contains(at)
        assert walls.distance(at) == pytest.approx(found.narrowest_gap.value / 2, abs=1e-6)


@pytest.mark.parametrize("name", sorted(set(SHARED) - {"near-degenerate"}))
def test_looking_twice_as_closely_tells_the_same(
    name: str, surveys: dict[str, tuple[Outline, Survey]], monkeypatch: pytest.MonkeyPatch
) -> None:
    outline, found = surveys[name]
    monkeypatch.setattr(survey_module, "SAMPLES", 2 * SAMPLES)
    closer = survey(outline)
    assert closer.narrowest_stroke.value == pytest.approx(found.narrowest_stroke.value, abs=2 * step(found))
    assert (closer.narrowest_gap is None) == (found.narrowest_gap is None)
    if closer.narrowest_gap is not None and found.narrowest_gap is not None:
        assert closer.narrowest_gap.value == pytest.approx(found.narrowest_gap.value, abs=2 * step(found))
    for width in (0.5, 1.5, 4.0):
        assert closer.inside.share(closer.inside.radius < width / 2) == pytest.approx(
            found.inside.share(found.inside.radius < width / 2), abs=0.005
        )


# --- shares ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [1.0, 4.0, 12.0])
def test_share_of_a_square_narrower_than_a_width(width: float) -> None:
    # towards each corner a disc has the radius of the distance to it: 8 ends of w/2 each
    found = survey(square(20.0))
    assert found.inside.share(found.inside.radius < width / 2) == pytest.approx(
        8 * (width / 2) / 80, abs=8 / SAMPLES
    )


def test_share_of_a_bar_and_of_its_ends() -> None:
    # a bar 30 x 2: nothing is wider than 2; near the corners discs get smaller, 8 ends of 1 mm each
    found = survey(polygon([(0, 0), (30, 0), (30, 2), (0, 2)]))
    assert found.inside.share(found.inside.radius <= 1 + 1e-6) == pytest.approx(1)
    assert found.inside.share(found.inside.radius < 0.999) == pytest.approx(8 * 0.999 / 64, abs=8 / SAMPLES)
    # within a few half-widths of an end the way round it is too short to tell it from a tip
    strokes = found.inside.share(found.inside.stroke)
    assert 2 * (30 - 2 * 3) / 64 < strokes <= 2 * 28 / 64 + 0.001


# --- corners --------------------------------------------------------------------------------------------------------

CORNERS = [
    pytest.param(square, 90.0, id="square"),
    pytest.param(plus, 90.0, id="plus"),
    pytest.param(lambda: polygon([(0, 0), (8, 0), (0, 6)]), math.degrees(math.atan2(6, 8)), id="triangle"),
    pytest.param(sliver, math.degrees(math.atan2(0.6, 40)), id="sliver"),
    pytest.param(star, None, id="star"),
    # the slot of a notch outside is as sharp as a tip inside
    pytest.param(lambda: polygon([(0, 0), (20, 0), (20, 10), (11, 10), (10, 2), (9, 10), (0, 10)]),
                 2 * math.degrees(math.atan2(1, 8)), id="notch"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "angle"), CORNERS)
def test_sharpest_corner(make: Callable[[], Outline], angle: float | None) -> None:
    if angle is None:
        # of a star: between the lines from a point to the notches beside it
        sideways, down = 9 * math.sin(math.pi / 5), 20 - 9 * math.cos(math.pi / 5)
        angle = 2 * math.degrees(math.atan2(sideways, down))
    found = survey(make()).sharpest_corner
    assert found.value == pytest.approx(angle, abs=1e-6)


def test_sharpest_corner_of_a_lens_is_its_tip() -> None:
    found = survey(lens()).sharpest_corner
    # the arcs meet at twice the angle of the half chord; chords blunt it by half a step of the arc each side
    radius = (15**2 + 4.5**2) / 9
    tip, chord = 2 * math.degrees(math.asin(15 / radius)), math.degrees(2 * math.asin(15 / radius)) / 48
    assert found.value == pytest.approx(tip - chord, abs=1e-6)
    assert abs(found.at[0]) == pytest.approx(15, abs=1e-6)


def test_small_roundings_do_not_blunt_a_corner() -> None:
    # a tip of 30 deg with its last 0.02 mm cut off square is still a sharp corner, though not 30 any more
    half = math.tan(math.radians(15))
    cut = 0.02
    found = survey(polygon([(0, 0), (20, -20 * half), (20, 20 * half)])).sharpest_corner
    blunt = survey(
        polygon([(cut, cut * half), (cut, -cut * half), (20, -20 * half), (20, 20 * half)])
    ).sharpest_corner
    assert found.value == pytest.approx(30, abs=1e-6)
    assert blunt.value < 60


def test_near_degenerate_outline_is_surveyed_without_nonsense() -> None:
    found = survey(near_degenerate())
    assert np.isfinite(found.inside.radius).all()
    assert np.isfinite(found.outside.radius).all()
    assert found.inside.radius.max() == pytest.approx(5.0, abs=0.01)
    assert found.sharpest_corner.value < 1
