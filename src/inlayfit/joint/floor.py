"""The floors of pocket and plug, what the clearing bits reach of them, and what each cut makes of a pocket's plan."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.outline.analysis import Kept, OutlineAnalysis, analysis_of
from inlayfit.outline.regions import Outline, grown


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Areas in mm2 of a flat floor and of what the clearing bits reach of it."""

    area: float
    reached: float

    @property
    def left_to_v(self) -> float:
        """Share of the floor left to the V-bit; 0 where there is no flat floor."""
        return max(0.0, 1 - self.reached / self.area) if self.area > 0 else 0.0


@dataclass(frozen=True, kw_only=True)
class FloorAccess:
    """The pocket's floor, and the plug's own out to its border."""

    pocket: Floor
    plug: Floor


class FloorShelf:
    """Floors of an outline's pockets and plugs, by the lengths they follow from."""

    def __init__(self) -> None:
        self.pocket: Kept[tuple[float, float, float | None], Floor] = Kept()
        self.plug: Kept[tuple[float, float, float, float | None], Floor] = Kept()


def floor_access(
    outline: Outline, job: Job, depths: Depths, analysis: OutlineAnalysis | None = None
) -> FloorAccess:
    """How much of both floors the clearing bits reach.

    The pocket's floor is the outline shrunk by F T, the plug's own the border's band outside the outline grown by
    U T. A round bit reaches what its disc covers while its edge keeps the clearing offset. With several clearing
    bits the smallest reaches all that the others do. ``analysis`` is the outline's own, for jobs that share it.
    """
    analysis = analysis_of(outline, analysis)
    slope = job.bits.pocket_v.shape.slope
    radius = job.bits.clearing[-1].diameter / 2 if job.bits.clearing else None
    key = (depths.pocket_depth * slope, depths.pocket_clearing_offset, radius)
    plug = (job.plug.border, depths.depth_below_start * slope, depths.plug_clearing_offset, radius)
    shelf = analysis.shelf(FloorShelf)
    return FloorAccess(
        pocket=shelf.pocket.get(key, lambda: _pocket_floor(outline, *key)),
        plug=shelf.plug.get(plug, lambda: _plug_floor(outline, *plug)),
    )


def _pocket_floor(outline: Outline, inner: float, offset: float, radius: float | None) -> Floor:
    """The pocket's floor, from ``inner`` inside the outline on."""
    floor, allowed = grown(outline.area, -inner), grown(outline.area, -offset)
    swept = 0.0 if radius is None else float(grown(grown(allowed, -radius), radius).area)
    # the bit's edge runs no nearer to the outline than the floor's, so all that it sweeps is floor
    return Floor(area=float(floor.area), reached=min(swept, float(floor.area)))


def pocket_floor(outline: Outline, job: Job, depths: Depths) -> tuple[BaseGeometry, BaseGeometry]:
    """The pocket's floor in plan, and what the clearing bits reach of it."""
    area, radius = outline.area, job.bits.clearing[-1].diameter / 2 if job.bits.clearing else None
    floor = grown(area, -depths.pocket_depth * job.bits.pocket_v.shape.slope)
    return floor, _reached(floor, grown(area, -depths.pocket_clearing_offset), radius)


def _plug_floor(outline: Outline, border: float, inner: float, offset: float, radius: float | None) -> Floor:
    """The plug's own floor, from ``inner`` outside the outline to the border."""
    area = outline.area
    # wide enough outside for the bit to run along the border's outer edge
    outer = grown(area, border + offset)
    beyond = grown(outer, 2 * radius) if radius is not None else outer
    floor = outer.difference(grown(area, inner))
    reached = _reached(floor, beyond.difference(grown(area, offset)), radius)
    return Floor(area=float(floor.area), reached=float(reached.area))


def _reached(floor: BaseGeometry, allowed: BaseGeometry, radius: float | None) -> BaseGeometry:
    """What the bit covers of a floor; ``allowed`` is where its edge may go."""
    if radius is None or floor.is_empty:
        return MultiPolygon()
    return grown(grown(allowed, -radius), radius).intersection(floor)


@dataclass(frozen=True, kw_only=True)
class PlanAreas:
    """Areas of the outline's plan, in mm; together with the walls' band they make up the outline."""

    cleared: BaseGeometry
    """Floor that the clearing bits reach."""
    left_to_v: BaseGeometry
    """Floor that the V-bit cleans."""
    v_bottomed: BaseGeometry
    """Strokes and corners too narrow for the full depth."""


def plan_areas(outline: Outline, job: Job, depths: Depths) -> PlanAreas:
    """Areas of the pocket of this outline.

    The V-bit reaches the full depth where a disc as wide as its cut at that depth fits into the outline: what such
    discs do not cover ends in a V.
    """
    floor, cleared = pocket_floor(outline, job, depths)
    widest = job.bits.pocket_v.shape.half_width_at(depths.pocket_depth)
    full = grown(grown(outline.area, -widest), widest)
    return PlanAreas(
        cleared=cleared,
        left_to_v=floor.difference(cleared),
        v_bottomed=outline.area.difference(full),
    )
