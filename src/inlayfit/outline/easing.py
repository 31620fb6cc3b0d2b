"""The outline eased for the tips that cut it: no corner sharper, no stroke or gap narrower than the tip.

All lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import shapely

from inlayfit.errors import InputError
from inlayfit.outline.regions import Outline, grown, outline_of, polygons_of

SPECK: Final = 1e-6
"""A change of less than this, in mm2, is rounding."""
EDGE: Final = 0.001
"""How far the points left out along an eased corner may lie from it, in mm."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """The largest change in one place: where, how much area in mm2, and whether it was added."""

    at: tuple[float, float]
    area: float
    added: bool


@dataclass(frozen=True, kw_only=True)
class Eased:
    """An eased outline, and what became of the area: mm2 added and taken away, and where most of it."""

    outline: Outline
    added: float
    taken: float
    most: Change | None
    regions_lost: int
    """Regions of the outline of which nothing is left."""


def eased_outline(outline: Outline, *, opened_by: float, closed_by: float) -> Outline | None:
    """The outline opened, then closed by these radii; None where nothing is left.

    Opening (shrunk, then grown) rounds the points of the outline and leaves out strokes narrower than twice the
    radius, as the tip that cuts the pocket would; closing (grown, then shrunk) does the same to what lies between, as
    the tip that cuts the plug would.
    """
    opened = grown(grown(outline.area, -opened_by), opened_by)
    closed = polygons_of(grown(grown(opened, closed_by), -closed_by))
    return outline_of(closed, outline.notes) if closed else None


def eased(outline: Outline, *, opened_by: float, closed_by: float) -> Eased:
    """:func:`eased_outline` with fewer points, and its changes. Raises ``InputError`` where nothing is left."""
    found = eased_outline(outline, opened_by=opened_by, closed_by=closed_by)
    if found is None:
        raise InputError("every stroke is narrower than the tip: nothing would be left of it", where=("outline",))
    simple = polygons_of(shapely.simplify(found.area, EDGE))
    if shapely.MultiPolygon(simple).is_valid:
        found = outline_of(simple, found.notes)
    before, after = outline.area, found.area
    changes = [
        Change(at=_place(part), area=float(part.area), added=added)
        for area, added in ((after.difference(before), True), (before.difference(after), False))
        for part in polygons_of(area)
        if part.area > SPECK
    ]
    return Eased(
        outline=found,
        added=sum(change.area for change in changes if change.added),
        taken=sum(change.area for change in changes if not change.added),
        most=max(changes, key=lambda change: change.area, default=None),
        regions_lost=sum(not shapely.intersects(region, after) for region in outline.regions),
    )


def _place(part: shapely.Polygon) -> tuple[float, float]:
    place = part.representative_point()
    return float(place.x), float(place.y)
