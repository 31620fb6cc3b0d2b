"""Where something seen in plan lies on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from inlayfit.joint.job import Point
from inlayfit.outline.regions import polygons_of


@dataclass(frozen=True, kw_only=True)
class PlanPaper:
    """The scale, the lower left corner of what is drawn, that corner's place on paper, and how fine curves are there.

    Lengths in mm; on paper y runs downwards.
    """

    scale: float
    low: Point
    corner: Point
    fineness: float

    def __call__(self, point: Sequence[float]) -> Point:
        """A place on paper."""
        return (
            self.corner[0] + self.scale * (point[0] - self.low[0]),
            self.corner[1] - self.scale * (point[1] - self.low[1]),
        )

    def rings(self, area: BaseGeometry) -> list[list[Point]]:
        """An area's rings on paper, with no more points than show there."""
        return [
            [self(point) for point in ring.coords[:-1]]
            for polygon in polygons_of(area.simplify(self.fineness / self.scale))
            for ring in (polygon.exterior, *polygon.interiors)
        ]
