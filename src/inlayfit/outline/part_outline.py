"""What each part is cut from: the pocket's outline as it is, the plug's mirrored and with its border."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from inlayfit.outline.regions import Outline, grown, outline_of, polygons_of


@dataclass(frozen=True, kw_only=True)
class PartOutline:
    """The outline of a part in mm, x right and y up, and the line its border ends at, which may run in rings.

    Nothing lies left of 0 or below it.
    """

    part: Literal["pocket", "plug"]
    outline: Outline
    border: tuple[Polygon, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of all that is drawn."""
        _, _, width, height = shapely.total_bounds([*self.outline.regions, *self.border])
        return float(width), float(height)


def pocket_outline(outline: Outline) -> PartOutline:
    """The outline as seen on the finished face, its lower left at (0, 0)."""
    low_x, low_y, _, _ = outline.bounds
    return PartOutline(part="pocket", outline=_moved(outline, 1.0, -low_x, -low_y))


def plug_outline(outline: Outline, border: float) -> PartOutline:
    """The outline mirrored left to right, since the plug is turned over, and the border of ``border`` mm round it."""
    band = polygons_of(grown(outline.area, border))
    _, low_y, high_x, _ = shapely.total_bounds(band)
    edge = tuple(_turned(ring, -1.0, high_x, -low_y) for ring in band)
    return PartOutline(part="plug", outline=_moved(outline, -1.0, high_x, -low_y), border=edge)


def _moved(outline: Outline, sign: float, x: float, y: float) -> Outline:
    return outline_of((_turned(region, sign, x, y) for region in outline.regions), outline.notes)


def _turned(polygon: Polygon, sign: float, x: float, y: float) -> Polygon:
    def move(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return points * (sign, 1.0) + (x, y)

    return shapely.transform(polygon, move)
