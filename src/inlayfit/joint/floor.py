"""The floors of pocket and plug, what the clearing bits reach of them, and what each cut makes of a pocket's plan."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import union_all
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Profile
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.outline.analysis import Kept, OutlineAnalysis, analysis_of
from inlayfit.outline.regions import Outline, grown


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Areas in mm2 of a flat floor and of what the clearing bits reach of it."""

    area: float
    reached: float
    filleted: float = 0.0
    """Of what is reached, what lies under fillets of rounded clearing bits."""

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
        self.pocket: Kept[tuple[float, float, tuple[Profile, ...]], Floor] = Kept()
        self.plug: Kept[tuple[float, float, float, tuple[Profile, ...]], Floor] = Kept()


def floor_access(
    outline: Outline, job: Job, depths: Depths, analysis: OutlineAnalysis | None = None
) -> FloorAccess:
    """How much of both floors the clearing bits reach.

    The pocket's floor is the outline shrunk by F T, the plug's own the border's band outside the outline grown by
    U T. A bit reaches what its disc covers while its edge keeps the clearing offset. With several clearing
    bits the smallest reaches all that the others do; under fillets lies what no bit's flat comes to. ``analysis`` is
    the outline's own, for jobs that share it.
    """
    analysis = analysis_of(outline, analysis)
    slope = job.bits.pocket_v.shape.slope
    bits = tuple(bit.shape for bit in job.bits.clearing)
    key = (depths.pocket_depth * slope, depths.pocket_clearing_offset, bits)
    plug = (job.plug.border, depths.depth_below_start * slope, depths.plug_clearing_offset, bits)
    shelf = analysis.shelf(FloorShelf)
    return FloorAccess(
        pocket=shelf.pocket.get(key, lambda: _pocket_floor(outline, *key)),
        plug=shelf.plug.get(plug, lambda: _plug_floor(outline, *plug)),
    )


def _pocket_floor(outline: Outline, inner: float, offset: float, bits: tuple[Profile, ...]) -> Floor:
    """The pocket's floor, from ``inner`` inside the outline on."""
    floor, allowed = grown(outline.area, -inner), grown(outline.area, -offset)
    swept = float(_swept(allowed, bits[-1]).area) if bits else 0.0
    # the bit's edge runs no nearer to the outline than the floor's, so all that it sweeps is floor
    reached = min(swept, float(floor.area))
    return Floor(area=float(floor.area), reached=reached, filleted=_filleted(floor, allowed, bits))


def pocket_floor(outline: Outline, job: Job, depths: Depths) -> tuple[BaseGeometry, BaseGeometry]:
    """The pocket's floor in plan, and what the clearing bits reach of it."""
    area, bits = outline.area, tuple(bit.shape for bit in job.bits.clearing)
    floor = grown(area, -depths.pocket_depth * job.bits.pocket_v.shape.slope)
    return floor, _reached(floor, grown(area, -depths.pocket_clearing_offset), bits)


def _plug_floor(outline: Outline, border: float, inner: float, offset: float, bits: tuple[Profile, ...]) -> Floor:
    """The plug's own floor, from ``inner`` outside the outline to the border."""
    area = outline.area
    # wide enough outside for the bit to run along the border's outer edge
    outer = grown(area, border + offset)
    allowed = (grown(outer, 2 * bits[-1].flank_start) if bits else outer).difference(grown(area, offset))
    floor = outer.difference(grown(area, inner))
    reached = float(_reached(floor, allowed, bits).area)
    return Floor(area=float(floor.area), reached=reached, filleted=_filleted(floor, allowed, bits))


def _reached(floor: BaseGeometry, allowed: BaseGeometry, bits: tuple[Profile, ...]) -> BaseGeometry:
    """What the smallest bit covers of a floor; ``allowed`` is where its edge may go."""
    if not bits or floor.is_empty:
        return MultiPolygon()
    return _swept(allowed, bits[-1]).intersection(floor)


def _swept(allowed: BaseGeometry, bit: Profile, *, flat: bool = False) -> BaseGeometry:
    """What a bit, or its flat alone, comes over while its edge stays within ``allowed``."""
    return grown(grown(allowed, -bit.flank_start), bit.tip_radius if flat else bit.flank_start)


def _filleted(floor: BaseGeometry, allowed: BaseGeometry, bits: tuple[Profile, ...]) -> float:
    """Area of a floor that the smallest bit covers and no bit's flat does."""
    if not any(bit.rounding for bit in bits):
        return 0.0
    flat = union_all([_swept(allowed, bit, flat=True) for bit in bits])
    return float(_reached(floor, allowed, bits).difference(flat).area)


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
