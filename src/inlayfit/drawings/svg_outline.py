"""From the filled shapes of a drawing to polygons at their final size."""

from __future__ import annotations

import numpy as np
import shapely

from inlayfit.drawings.choice import EVERYTHING, Choice
from inlayfit.drawings.specks import SPECK_AREA, without_specks
from inlayfit.drawings.svg_areas import drawn_area, to_mm
from inlayfit.drawings.svg_drawing import SvgDrawing
from inlayfit.drawings.svg_drawn import DrawnShape
from inlayfit.drawings.svg_frame import PX_PER_UNIT
from inlayfit.errors import InputError

MAX_REACH = 1e8
LEAST_REACH = 1e-9
"""Limits in mm of what a drawing may reach; beyond them numbers lose their meaning."""

_ROUNDS = 4
_CLOSE = 1.01  # how near a scale must be to the final one, for the flatness to hold


def svg_polygons(
    drawing: SvgDrawing,
    *,
    width: float | None = None,
    height: float | None = None,
    scale: float | None = None,
    natural: bool = False,
    choice: Choice = EVERYTHING,
    flatness: float,
) -> tuple[list[shapely.Polygon], list[str]]:
    """Polygons in mm, y up, of all that counts in a drawing together, and notes.

    ``width`` or ``height`` [mm] is that of the polygons' bounds, ``scale`` multiplies the size that the file
    gives. ``flatness`` [mm] is how far a chord may lie from its curve at the final size. Raises
    ``InputError`` where the file gives no size and neither width nor height is asked for, unless it is to be read
    at its ``natural`` size, a px to its unit.
    """
    reach = _reach(drawing.shapes)
    if width is None and height is None:
        if not (drawing.has_size or natural):
            raise InputError("the drawing has no width or height: give outline.width or outline.height")
        whole, colours = drawn_area(drawing, choice, _sound_scale(scale or 1.0, max(reach)), flatness)
        polygons, specks = without_specks(whole, SPECK_AREA, 2 * flatness)
        if drawing.in_px:
            specks.append(f"the drawing's size is in px, read at {PX_PER_UNIT['in']:g} to the inch")
    elif width is not None:
        polygons, colours, specks = _filled_to_size(drawing, choice, width, 0, reach, flatness)
    else:
        polygons, colours, specks = _filled_to_size(drawing, choice, height or 0.0, 1, reach, flatness)
    if not polygons:
        raise _no_area()
    return polygons, colours + specks


def _no_area() -> InputError:
    return InputError("the filled shapes have no area: draw them closed, or convert strokes to paths")


def _sound_scale(scale: float, reach: float) -> float:
    """The scale, where what it makes of the drawing can be reckoned with."""
    if not scale * reach <= MAX_REACH:
        raise InputError(f"the drawing would reach over {MAX_REACH / 1000:,.0f} m: check its size and units")
    return scale


def _filled_to_size(
    drawing: SvgDrawing,
    choice: Choice,
    target: float,
    side: int,
    reach: tuple[float, float],
    flatness: float,
) -> tuple[list[shapely.Polygon], list[str], list[str]]:
    """Polygons scaled so that their bounds are ``target`` mm wide (side 0) or high (1), and notes.

    The scale is first taken from the paths' rough bounds; where it proves too small, a further round flattens
    for the scale that the one before found. What is a speck is told at the scale that would fit all of the
    drawing, specks included, into the size.
    """
    if not reach[side] > LEAST_REACH:
        raise _no_area()
    scale = target / reach[side]
    for _ in range(_ROUNDS):
        whole, colours = drawn_area(drawing, choice, _sound_scale(scale, max(reach)), flatness / _CLOSE)
        speck_area = SPECK_AREA * (_extent([whole], side) / target) ** 2
        polygons, specks = without_specks(whole, speck_area, 2 * flatness)
        factor = target / _extent(polygons, side)
        if factor <= _CLOSE:
            break
        scale *= factor
    return list(shapely.transform(polygons, lambda points: points * factor)), colours, specks


def _extent(areas: list[shapely.Geometry], side: int) -> float:
    low, high = shapely.total_bounds(areas).reshape(2, 2)[:, side]
    if not high > low:  # also where there is nothing, and no bounds
        raise _no_area()
    return float(high - low)


def _reach(shapes: tuple[DrawnShape, ...]) -> tuple[float, float]:
    """Rough width and height [mm] of all paths, at the size of the file."""
    bounds = np.array([shape.path.reach(to_mm(1.0) @ shape.to_px) for shape in shapes])
    low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
    return float(high[0] - low[0]), float(high[1] - low[1])
