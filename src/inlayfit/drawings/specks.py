"""Specks, pinholes and needless detail: what an outline carries that no bit can cut."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

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

    def counts(rings: shapely.Geometry) -> NDArray[np.bool_]:
        enclosed = shapely.area(shapely.polygons(rings))
        return (enclosed >= least_area) & (2 * enclosed > least_width * shapely.length(rings))

    parts = shapely.get_parts(area)
    kept = parts[counts(shapely.get_exterior_ring(parts))] if len(parts) else parts
    holed = shapely.get_num_interior_rings(kept) > 0
    polygons: list[shapely.Polygon] = shapely.polygons(shapely.get_exterior_ring(kept)).tolist() if len(kept) else []
    pinholes = 0
    for number in np.flatnonzero(holed).tolist():
        rings = np.array(kept[number].interiors)
        wide = counts(rings)
        pinholes += int((~wide).sum())
        polygons[number] = shapely.Polygon(kept[number].exterior, list(rings[wide]))
    specks = len(parts) - len(kept)
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
