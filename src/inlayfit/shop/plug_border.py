"""The border round a plug: what is cleared of it, and the line along which the plug is cut out of its blank."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from inlayfit.outline.regions import grown, polygons_of

FIRST_STRIDE: Final = 0.5
THINNED: Final = 0.005
"""Largest distance in mm that thinning an offset's points moves its edge."""


@dataclass(frozen=True, kw_only=True)
class CutOut:
    """The cut-out of a plug; mm."""

    edge: BaseGeometry
    """What comes out: the plug with its border, holes filled."""
    line: BaseGeometry
    """Path of the bit's centre."""
    pieces: int
    """How many loose pieces come out: more than one where regions lie further apart than two borders."""


def cut_out(plug: BaseGeometry, border: float, diameter: float) -> CutOut:
    """Cut a plug out at the outer edge of its border with a straight bit of this diameter (mm)."""
    edge = filled(far_offset(plug, border))
    line = filled(far_offset(plug, border + diameter / 2))
    rings = [polygon.exterior for polygon in polygons_of(line)]
    return CutOut(edge=edge, line=shapely.union_all(rings), pieces=len(polygons_of(edge)))


def ring(area: BaseGeometry, inner: float, outer: float) -> BaseGeometry:
    """Places from ``inner`` to ``outer`` mm outside ``area``, and in its holes all that are ``inner`` from it.

    Where ``outer`` is no more than ``inner``, the line at ``inner``: a bit that does not fit a narrow border runs
    round once.
    """
    near = far_offset(area, inner)
    if outer > inner:
        return filled(far_offset(area, outer)).difference(near)
    return shapely.union_all([filled(near).difference(near), near.boundary])


def far_offset(area: BaseGeometry, distance: float) -> BaseGeometry:
    """``area`` grown by ``distance`` mm (shrunk where negative) in strides, thinned out after each.

    Offsets add up, so this is a plain offset within 0.01 mm; a rough outline is smooth after the first stride, and
    the long one after it takes a fraction of the time.
    """
    stride = FIRST_STRIDE
    while abs(distance) > 2 * stride:
        step = math.copysign(stride, distance)
        # all long offsets of an outline begin alike, and the first stride takes most of the time
        area = _first_stride(area, step) if stride == FIRST_STRIDE else shapely.simplify(grown(area, step), THINNED)
        distance -= step
        stride *= 3
    return shapely.simplify(grown(area, distance), THINNED)


@lru_cache(maxsize=8)
def _first_stride(area: BaseGeometry, step: float) -> BaseGeometry:
    return shapely.simplify(grown(area, step), THINNED)


def filled(area: BaseGeometry) -> BaseGeometry:
    """``area`` with its holes filled."""
    return shapely.union_all([Polygon(polygon.exterior) for polygon in polygons_of(area)])
