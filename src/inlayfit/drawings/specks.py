"""Specks, pinholes and needless detail: what an outline carries that no bit can cut."""

from __future__ import annotations

import shapely

SPECK_AREA = 1e-4
"""Pieces and holes under this, in mm², come from the arithmetic, not from the draughtsman."""

DETAILED = 20_000
"""An outline of more vertices is simplified."""

SIMPLE = 0.002
"""How far in mm simplifying may move an edge."""


def without_specks(
    area: shapely.Geometry, least_area: float = SPECK_AREA, least_width: float = 0.0
) -> tuple[list[shapely.Polygon], list[str]]:
    """The polygons of an area without specks and pinholes, and notes that count them.

    Left out are pieces and holes under ``least_area``, and those that are on average narrower than
    ``least_width``: between shapes that share a curve, chords leave such hairlines.
    """

    def counts(ring: shapely.LinearRing) -> bool:
        enclosed = shapely.Polygon(ring).area
        return bool(enclosed >= least_area and 2 * enclosed > least_width * ring.length)

    parts = shapely.get_parts(area)
    kept = [part for part in parts if counts(part.exterior)]
    polygons = [shapely.Polygon(part.exterior, [ring for ring in part.interiors if counts(ring)]) for part in kept]
    specks = len(parts) - len(kept)
    pinholes = sum(len(part.interiors) for part in kept) - sum(len(part.interiors) for part in polygons)
    size = f"under {SPECK_AREA:g} mm2" + (f" or {least_width:.2g} mm wide" if least_width else "")
    notes = [f"left out specks {size}: {specks}"] if specks else []
    return polygons, notes + ([f"filled pinholes {size}: {pinholes}"] if pinholes else [])


def simplified(polygons: list[shapely.Polygon]) -> tuple[list[shapely.Polygon], list[str]]:
    """The polygons, or where they have over :data:`DETAILED` vertices fewer within :data:`SIMPLE` mm, and a note."""
    count = int(shapely.get_num_coordinates(polygons).sum())
    if count <= DETAILED:
        return polygons, []
    simple = shapely.simplify(shapely.MultiPolygon(polygons), SIMPLE, preserve_topology=True)
    left = int(shapely.get_num_coordinates(simple))
    if left == count or not simple.is_valid:
        return polygons, []
    return shapely.get_parts(simple).tolist(), [
        f"very detailed: {count:,} vertices simplified to {left:,}, which moves no edge by more than {SIMPLE} mm"
    ]
