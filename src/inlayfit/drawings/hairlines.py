"""Defects finer than a hair: told from real mistakes, and mended where they are no more than rounding."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.fill_rule import winding_numbers

Points = NDArray[np.float64]

HAIR = 0.002
"""What is narrower than this, in mm at the final size, no shop can see or cut."""


def is_thin(area: shapely.Geometry, width: float) -> bool:
    """Whether no disc of the diameter ``width`` finds room in the area, within a tenth of it."""
    for part in shapely.get_parts(area):
        if part.area == 0:
            continue
        # on average wider than that: wider somewhere
        if 2 * part.area > width * part.length:
            return False
        if 2 * shapely.maximum_inscribed_circle(part, tolerance=width / 20).length > width:
            return False
    return True


def mended(rings: Sequence[Points], width: float) -> tuple[shapely.Geometry, float] | None:
    """The area of a polygon that is invalid by a hair only, and its change in area; None for a real mistake.

    ``rings`` are closed, the outer one first, points of shape (n, 2). A sound polygon runs around its inside
    once and around nothing else; what it runs around twice, or the wrong way, is a defect, and it may be
    ``width`` wide at most. The change is against the area that its rings enclose by their sign.
    """
    turned = [_turned(ring, anticlockwise=number == 0) for number, ring in enumerate(rings)]
    edges = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in turned])
    edges = edges[(edges[:, 0] != edges[:, 1]).any(axis=1)]
    noded = shapely.union_all([shapely.LineString(ring) for ring in turned])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    if not len(faces):
        return None
    winding = winding_numbers(shapely.get_coordinates(shapely.point_on_surface(faces)), edges)
    if not all(is_thin(face, width) for face in faces[(winding < 0) | (winding > 1)]):
        return None
    area = shapely.union_all(faces[winding > 0])
    if area.is_empty:
        return None
    return area, float(area.area - sum(map(_signed_area, turned)))


def _turned(ring: Points, *, anticlockwise: bool) -> Points:
    return ring if (_signed_area(ring) >= 0) == anticlockwise else ring[::-1]


def _signed_area(ring: Points) -> float:
    # from the first point: map coordinates of millions would lose the digits of a small ring
    x, y = (ring - ring[0]).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)
