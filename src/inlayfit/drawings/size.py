"""The size an outline is to have, and what size can be reckoned with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.drawings.positions import point_text
from inlayfit.errors import InputError

Points = NDArray[np.float64]

LEAST_ACROSS, MOST_ACROSS = 1e-3, 1e8
"""What an outline may measure [mm], so that its numbers can be reckoned with."""


@dataclass(frozen=True, kw_only=True)
class Size:
    """The size an outline is to have: at most one of width, height [mm] and scale.

    ``unit_mm`` is how many mm a number means in a file that names no unit; ``unit_given`` tells whether the user
    said so: a drawing whose unit may be any is not read by a mere default. ``natural`` reads a drawing that
    tells no size all the same, its unit as one mm, or as one px of SVG: for comparing drawings with each other.
    """

    width: float | None = None
    height: float | None = None
    scale: float | None = None
    unit_mm: float | None = None
    unit_given: bool = False
    natural: bool = False

    def __post_init__(self) -> None:
        given = {name: getattr(self, name) for name in ("width", "height", "scale")}
        given = {name: value for name, value in given.items() if value is not None}
        if len(given) > 1:
            raise InputError(f"found {' and '.join(given)}, expected one of them", where=("outline",))
        if self.unit_mm is not None:
            given["unit_mm"] = self.unit_mm
        for name, value in given.items():
            if not (math.isfinite(value) and value > 0):
                raise InputError(f"{name}: found {value:g}, expected a number above 0", where=("outline",))

    @property
    def goes_by_extent(self) -> bool:
        """Whether the scale depends on how large the outline is in its file."""
        return self.width is not None or self.height is not None

    def mm_per_unit(self, drawn: Sequence[Points], unit_mm: float | None) -> float:
        """How long one of the file's units becomes, from all that is drawn in it.

        ``unit_mm`` is what the file means by it, None where nobody says. Raises ``InputError`` where the size is
        not known, and where it is beyond reckoning.
        """
        points = np.concatenate(drawn)
        wide, high = np.ptp(points, axis=0).tolist()
        if not (wide > 0 and high > 0):
            raise InputError(f"no area at {point_text(*points[0])}: all points lie on a line")
        if self.width is not None:
            return float(self.width / wide)
        if self.height is not None:
            return float(self.height / high)
        if unit_mm is None and self.natural:
            unit_mm = 1.0
        if unit_mm is None:
            raise InputError("the file names no unit: give outline.unit, outline.width or outline.height")
        mm = unit_mm * (self.scale or 1.0)
        refuse_beyond_reckoning(max(wide, high) * mm)
        return mm

    def fitted(self, polygons: list[shapely.Polygon]) -> list[shapely.Polygon]:
        """The polygons at the width or height asked for, in which what was left out has no part."""
        low_x, low_y, high_x, high_y = shapely.total_bounds(polygons)
        if self.width is not None:
            factor = self.width / (high_x - low_x)
        elif self.height is not None:
            factor = self.height / (high_y - low_y)
        else:
            return polygons
        return list(shapely.transform(polygons, lambda points: points * factor))


def refuse_beyond_reckoning(across: float) -> None:
    """Refuse an outline whose larger side of ``across`` mm is no size to reckon with."""
    if not LEAST_ACROSS <= across <= MOST_ACROSS:
        raise InputError(f"the outline would be {across:.3g} mm across: check its size and units")
