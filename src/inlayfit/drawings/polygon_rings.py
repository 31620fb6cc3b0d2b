"""Rings of coordinates to polygons: checked, refused with the place; mended only where a hair is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.fill_rule import refuse_scribbles
from inlayfit.drawings.hairlines import HAIR, is_thin, mended
from inlayfit.drawings.positions import ClosedShape, point_text
from inlayfit.errors import InputError

Points = NDArray[np.float64]

LEAST_RIM = 0.05
"""Loops within loops that leave a rim narrower than this on average, in mm at the final size, are one drawn twice."""

_REASON = re.compile(r"([A-Za-z -]+)\[(\S+) (\S+)\]")
_REASONS = {
    "self-intersection": "crosses itself",
    "ring self-intersection": "touches itself",
    "hole lies outside shell": "has a hole outside its outer ring",
    "holes are nested": "has a hole inside a hole",
    "interior is disconnected": "is cut in two by its holes",
    "duplicate rings": "has two equal rings",
}


def checked_polygons(shapes: Sequence[ClosedShape], mm: float) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons of the shapes, none overlapping another, and notes on what was done.

    ``mm`` is how long one of the file's units will be at the final size. Raises ``InputError`` with the place
    for rings without area, that cross themselves, for holes outside their shell, and for polygons that
    overlap. Defects narrower than :data:`HAIR` are mended, and polygons that share an edge are joined; notes
    say so.
    """
    refuse_scribbles([ring for shape in shapes for ring in shape.rings])
    repairs = _Repairs(mm)
    labels, areas = _areas(shapes, repairs)
    polygons = shapely.get_parts(areas).tolist()
    if shapely.MultiPolygon(polygons).is_valid:
        return polygons, repairs.notes()
    for first, second, common in _overlaps(areas):
        if not is_thin(common, repairs.hair):
            raise InputError(
                f"{labels[first]} and {labels[second]} overlap at {_place_in(common)}: "
                "join them in the drawing program"
            )
        repairs.add_overlap(labels[first], labels[second], common)
    return _joined(polygons, repairs)


def nested_polygons(
    loops: Sequence[ClosedShape], mm: float, *, curve_error: float = 0.0
) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons of closed loops, a ring each: a loop within a loop is a hole, one within the hole an island.

    ``mm`` and mending as in :func:`checked_polygons`; chords lie within ``curve_error``, in the file's units, of
    their curves, so that what two lines along one curve enclose is no wider. Raises ``InputError`` with the place for
    loops without area, that cross themselves or one another.
    """
    refuse_scribbles([ring for loop in loops for ring in loop.rings])
    repairs = _Repairs(mm, HAIR + curve_error * mm)
    labels, areas = _areas(loops, repairs)
    inner, outer = shapely.STRtree(areas).query(areas, predicate="covered_by")
    within = {pair for pair in zip(inner.tolist(), outer.tolist(), strict=True) if pair[0] != pair[1]}
    for first, second, common in _overlaps(areas, predicate="overlaps"):
        small, large = sorted((first, second), key=lambda number: float(areas[number].area))
        outside = areas[small].difference(areas[large])
        if is_thin(outside, repairs.hair):
            within.add((small, large))
            common = outside
        elif not is_thin(common, repairs.hair):
            raise InputError(
                f"{labels[first]} and {labels[second]} cross at {_place_in(common)}: redraw them so that they do not"
            )
        repairs.add_overlap(labels[first], labels[second], common)
    _refuse_twins(within, areas, labels, mm)
    depth = [0] * len(areas)
    for small, _ in within:
        depth[small] += 1
    holes: dict[int, list[int]] = {number: [] for number, level in enumerate(depth) if level % 2 == 0}
    for small, large in sorted(within):
        if depth[small] == depth[large] + 1 and large in holes:
            holes[large].append(small)
    whole = [_with_holes(areas[number], [areas[hole] for hole in inside]) for number, inside in holes.items()]
    return _joined(shapely.get_parts(whole).tolist(), repairs)


def _refuse_twins(
    within: set[tuple[int, int]], areas: Sequence[shapely.Geometry], labels: Sequence[str], mm: float
) -> None:
    """Refuse a loop that runs along another, as one outline drawn twice does: between them a rim would be left."""
    if not within:
        return
    small, large = np.array(sorted(within)).T
    sizes, lengths = shapely.area(areas), shapely.length(areas)
    rims = 2 * (sizes[large] - sizes[small]) / (lengths[large] + lengths[small]) * mm
    for number in np.flatnonzero(rims < LEAST_RIM).tolist():
        one, other = labels[large[number]], labels[small[number]]
        place = point_text(*shapely.get_coordinates(areas[small[number]])[0])
        raise InputError(
            f"{one} and {other} run along one another at {place}, {max(rims[number], 0.0):.2g} mm apart: "
            "leave only one of them"
        )


def _with_holes(area: shapely.Geometry, holes: list[shapely.Geometry]) -> shapely.Geometry:
    simple = all(isinstance(part, shapely.Polygon) and not part.interiors for part in (area, *holes))
    if simple:
        polygon = shapely.Polygon(area.exterior, [hole.exterior for hole in holes])
        if polygon.is_valid:
            return polygon
    return area.difference(shapely.union_all(holes))  # a hole that runs along its outer edge


def _joined(polygons: list[shapely.Polygon], repairs: _Repairs) -> tuple[list[shapely.Polygon], list[str]]:
    if shapely.MultiPolygon(polygons).is_valid:
        return polygons, repairs.notes()
    whole = shapely.union_all(polygons)
    repairs.change += (whole.area - sum(polygon.area for polygon in polygons)) * repairs.mm**2
    joined = shapely.get_parts(whole).tolist()
    return joined, [*repairs.notes(), f"{len(polygons)} polygons share edges: joined to {len(joined)}"]


class _Repairs:
    """What was mended in a file, and by how much its area changed."""

    def __init__(self, mm: float, width: float = HAIR) -> None:
        self.mm = mm
        self.width = width
        self.hair = width / mm  # in the file's units
        self.count = 0
        self.first = ""
        self.change = 0.0
        self.dots = 0

    def add(self, words: str, change: float) -> None:
        self.count += 1
        self.first = self.first or words
        self.change += change * self.mm**2

    def add_overlap(self, one: str, other: str, common: shapely.Geometry) -> None:
        """Two shapes that overlap by a hair; the area they share shows when they are joined."""
        if common.area > 0:
            self.add(f"{one} and {other} overlap at {_place_in(common)}", 0.0)

    def notes(self) -> list[str]:
        found = []
        if self.count:
            defects, first = ("a defect", "") if self.count == 1 else (f"{self.count} defects", ", the first")
            found.append(
                f"mended {defects} narrower than {self.width:.3g} mm ({self.first}{first}); "
                f"area changed by {self.change:.1g} mm2"
            )
        if self.dots:
            found.append(f"left out {self.dots} ring{'s' if self.dots > 1 else ''} under {HAIR} mm across")
        return found


def _areas(shapes: Sequence[ClosedShape], repairs: _Repairs) -> tuple[list[str], list[shapely.Geometry]]:
    """Labels and areas of the shapes that have one."""
    plain = _plain_areas(shapes, HAIR / repairs.mm)
    found = [
        (shape.label, _area(shape, repairs) if area is None else area)
        for shape, area in zip(shapes, plain, strict=True)
    ]
    found = [(label, area) for label, area in found if not area.is_empty]
    if not found:
        raise InputError(f"nothing in the file is over {HAIR} mm across: check its size and units")
    return [label for label, _ in found], [area for _, area in found]


def _plain_areas(shapes: Sequence[ClosedShape], least: float) -> list[shapely.Geometry | None]:
    """The areas of those shapes that are sound and large enough, all at once; None for each that is to be looked at."""
    rings = [ring for shape in shapes for ring in shape.rings]
    if not rings:
        return []
    lines = shapely.linearrings(
        np.concatenate(rings), indices=np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    )
    low_x, low_y, high_x, high_y = shapely.bounds(lines).T
    large = np.maximum(high_x - low_x, high_y - low_y) >= least
    counts = [len(shape.rings) for shape in shapes]
    firsts = np.cumsum([0, *counts[:-1]])
    areas = np.array(
        [
            shapely.Polygon(lines[first], lines[first + 1 : first + count]) if count > 1 else None
            for first, count in zip(firsts, counts, strict=True)
        ],
        dtype=object,
    )
    single = np.array(counts) == 1
    areas[single] = shapely.polygons(lines[firsts[single]])
    sound = shapely.is_valid(areas) & np.logical_and.reduceat(large, firsts)
    return [area if fine else None for area, fine in zip(areas.tolist(), sound.tolist(), strict=True)]


def _area(shape: ClosedShape, repairs: _Repairs) -> shapely.Geometry:
    """The polygon of a shape; perhaps of several parts, or none, where it was mended."""
    kept: list[Points] = []
    for number, ring in enumerate(shape.rings):
        if float(np.ptp(ring, axis=0).max()) < HAIR / repairs.mm:
            repairs.dots += 1
            if number == 0:
                return shapely.MultiPolygon()
            continue
        if shapely.LinearRing(ring).convex_hull.area == 0:
            which = "" if len(shape.rings) == 1 else f", hole {number}" if number else ", outer ring"
            place = point_text(*ring[0])
            raise InputError(f"{shape.label}{which}: no area at {place}: redraw it or leave it out")
        kept.append(ring)
    polygon = shapely.Polygon(kept[0], kept[1:])
    if polygon.is_valid:
        return polygon
    found = mended(kept, repairs.hair)
    if found is None:
        raise InputError(f"{shape.label}: {_reason(polygon)}: redraw it so that no line meets another")
    repairs.add(f"{shape.label} {_reason(polygon)}", found[1])
    return found[0]


def _reason(polygon: shapely.Polygon) -> str:
    """Why GEOS calls a polygon invalid, in words, with the place it names."""
    reason = str(shapely.is_valid_reason(polygon))
    match = _REASON.fullmatch(reason)
    if match is None:
        return reason
    words = _REASONS.get(match[1].lower(), match[1].lower())
    return f"{words} at {point_text(float(match[2]), float(match[3]))}"


def _place_in(area: shapely.Geometry) -> str:
    return point_text(*shapely.get_coordinates(area.representative_point())[0])


def _overlaps(
    areas: Sequence[shapely.Geometry], predicate: str = "intersects"
) -> Iterator[tuple[int, int, shapely.Geometry]]:
    """Pairs of areas that meet, and what they share."""
    one, other = shapely.STRtree(areas).query(areas, predicate=predicate)
    for number, second in sorted(zip(one[one < other].tolist(), other[one < other].tolist(), strict=True)):
        yield number, second, areas[number].intersection(areas[second])
