"""The cut across a stroke: pocket and plug as their passes leave them, in mm.

x is the distance from the stroke's middle, depth is positive downwards from the base's face. Both halves are alike, so
one is given. The V-bit's tip runs its own half-width beside the outline, at the depth programmed; what it leaves is
the real bit's profile there, of all passes the one that takes most.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from inlayfit.checks.facts import Facts
from inlayfit.cutters import Cutter, Profile
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.fillet import Fillet, beside_wall
from inlayfit.joint.schedule import Part, Pass

Point = tuple[float, float]
STEPS: Final = 48
"""Places looked at along a wall besides its known bends."""
STRAIGHT: Final = 1e-9
LEDGE: Final = 1e-6
"""A pass that ends above the next leaves a ledge: the wall is looked at on both sides of it, this far apart in mm."""


@dataclass(frozen=True, kw_only=True)
class CrossSection:
    """One half of a joint, cut across a stroke; mm.

    pocket: from the base's face down the wall to the middle of the pocket's floor. plug: from the plug's own floor up
    its wall to the middle of its face, as it sits, lifted by ``lift``. Depths are from the base's face.
    """

    half_width: float
    """Half the stroke's width as drawn."""
    depth: float
    """How deep the pocket's tip goes here; 0 where it does not enter."""
    lift: float
    start_depth: float
    depth_below_start: float
    plug_floor_off: float
    """How much deeper than programmed the plug's own floor is known to be."""
    plug_thickness: float
    base_thickness: float
    pocket: tuple[Point, ...]
    plug: tuple[Point, ...]

    @property
    def plug_floor(self) -> float:
        """Depth of the plug's own floor; negative, above the base's face."""
        return -self.depth_below_start - self.plug_floor_off - self.lift

    @property
    def plug_face(self) -> float:
        """Depth of the plug's face, or of its ridge where the stroke is too narrow for one."""
        return self.plug[-1][1]

    @property
    def plug_back(self) -> float:
        """Depth of the plug's back, negative."""
        return self.start_depth - self.lift - self.plug_thickness

    @property
    def pocket_floor(self) -> float:
        """Depth of the pocket's floor, or of its V-bottom."""
        return self.pocket[-1][1]

    @property
    def full_depth(self) -> bool:
        """Whether the plug stands here with its whole height; a narrower stroke has a ridge."""
        return self.plug_face == self.start_depth - self.lift

    def pocket_at(self, depth: float) -> float:
        """Half the width of the pocket at this depth."""
        return _at(self.pocket, depth)

    def plug_at(self, depth: float) -> float:
        """Half the width of the plug at this depth."""
        return _at(self.plug, depth)

    def opening(self, depth: float) -> float:
        """Sideways from the plug's wall to the pocket's at this depth; negative where wood is in the way."""
        return self.pocket_at(depth) - self.plug_at(depth)


def cross_section(facts: Facts, half_width: float, *, lift: float = 0.0) -> CrossSection:
    """The joint across a stroke of this half-width, in wide open wood, with the plug at this lift."""
    job, depths, known = facts.job, facts.depths, known_errors(facts.job)
    pocket_bit, plug_bit = job.bits.pocket_v, job.bits.plug_v
    pocket_off, plug_off = known.depth.pocket_v, known.depth.plug_v
    enters = half_width > pocket_bit.shape.half_width_at(0) and half_width > 0
    deepest = min(depths.pocket_depth, pocket_bit.shape.depth_in(half_width)) if enters else 0.0
    full = deepest == depths.pocket_depth
    tips = sorted({min(entry.total_depth, deepest) for entry in facts.passes if _is_wall(entry, "pocket")})
    sunk = [
        (entry.start_depth or 0.0, entry.depth_below_start or 0.0) for entry in facts.passes if _is_wall(entry, "plug")
    ]

    def pocket_half(depth: float) -> float:
        # a shallow pass runs further out, and a bit sharper than declared then takes the upper wall
        return max(
            half_width - pocket_bit.shape.half_width_at(tip) + _reaches(known.pocket_bit, pocket_bit, over)
            for tip in tips
            if (over := tip + pocket_off - depth) >= -STRAIGHT
        )

    def plug_half(height: float) -> float:
        """At a height over the start plane."""
        return min(
            half_width + plug_bit.shape.half_width_at(below) - _reaches(known.plug_bit, plug_bit, over)
            for start, below in sunk
            if (over := start + below + plug_off - depths.start_depth + height) >= -STRAIGHT
        )

    pocket: list[Point] = [(half_width, 0.0), (0.0, 0.0)]
    if deepest > 0:
        foot, bends = deepest + pocket_off, [tip + pocket_off for tip in tips]
        floor = deepest + known.depth.pocket_floor if full else foot
        wall_ends = min(foot, floor)
        pocket = [
            (pocket_half(depth), depth) for depth in _places(0.0, wall_ends, pocket_bit, known.pocket_bit, bends)
        ]
        # a floor deeper than the wall's foot goes straight down to it
        pocket += [(pocket[-1][0], floor)] * (floor > foot)
        lower = known.depth.pocket_v - known.depth.pocket_floor
        fillet = replace(beside_wall(job, "pocket"), real=known.pocket_bit, lower=lower)
        edge = half_width - deepest * pocket_bit.shape.slope
        if full and depths.clearing_width is not None and 2 * half_width > depths.clearing_width:
            pocket += [(edge - away, floor - height) for away, height in _profile(fillet)]
        pocket.append((0.0, floor))
    top = depths.start_depth
    low = -depths.depth_below_start - plug_off
    if plug_half(top) <= 0:
        top = _where_gone(plug_half, low, top)
    floor = -depths.depth_below_start - known.depth.plug_floor
    bends = [start + below + plug_off - depths.start_depth for start, below in sunk]
    heights = _places(max(low, floor), top, plug_bit, known.plug_bit, [-bend - LEDGE for bend in bends])
    plug = [(max(0.0, plug_half(height)), -lift + height) for height in heights]
    plug = [(plug[0][0], -lift + floor)] * (floor < low) + plug
    lower = known.depth.plug_v - known.depth.plug_floor
    fillet = replace(beside_wall(job, "plug"), real=known.plug_bit, lower=lower)
    edge = half_width + depths.depth_below_start * plug_bit.shape.slope
    plug = [(edge + away, -lift + floor + height) for away, height in reversed(_profile(fillet))] + plug
    plug.append((0.0, -lift + top))
    return CrossSection(
        half_width=half_width,
        depth=deepest,
        lift=lift,
        start_depth=depths.start_depth,
        depth_below_start=depths.depth_below_start,
        plug_floor_off=known.depth.plug_floor,
        plug_thickness=job.plug.thickness,
        base_thickness=job.base.thickness,
        pocket=_bends(pocket),
        plug=_bends(plug),
    )


def _profile(fillet: Fillet) -> list[Point]:
    """The fillet by distance from the wall's foot and height over the floor, outwards; nothing where there is none."""
    if fillet.height == 0:
        return []
    far = [fillet.allowance + (fillet.end - fillet.allowance) * number / STEPS for number in range(STEPS + 1)]
    return [(away, fillet.height_at(away)) for away in sorted({*far, fillet.crest})]


def _is_wall(entry: Pass, part: Part) -> bool:
    return entry.part == part and entry.step == "walls"


def _reaches(real: Profile, bit: Cutter, height: float) -> float:
    """Half the width of the real bit at this height over its tip; its cone ends at its largest diameter."""
    return min(real.half_width_at(max(0.0, height)), bit.diameter / 2)


def _places(low: float, high: float, bit: Cutter, real: Profile, bends: list[float]) -> list[float]:
    """Depths or heights to look at: an even row, ends of passes, a ball tip's rounding, the cone's end."""
    cone, fillet = real.cone_height(bit.diameter), real.fillet_height
    # towards its lowest point a ball turns ever faster
    rounding = [fillet * (number / STEPS) ** 2 for number in range(STEPS + 1)] if fillet else []
    marks = [*bends, *(bend + LEDGE for bend in bends)]
    for up in (cone, *rounding):
        marks += [high - up, low + up]
    even = [low + (high - low) * number / STEPS for number in range(STEPS + 1)]
    return sorted({low, high, *even, *(mark for mark in marks if low < mark < high)})


def _where_gone(half: Callable[[float], float], low: float, high: float) -> float:
    """The height at which a ridge comes to its edge, by halving."""
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if half(middle) > 0 else (low, middle)
    return high


def _bends(points: list[Point]) -> tuple[Point, ...]:
    """The points without those on a straight line between their neighbours."""
    kept = points[:1]
    for point, after in zip(points[1:], [*points[2:], None], strict=True):
        if after is not None:
            (x0, y0), (x1, y1), (x2, y2) = kept[-1], point, after
            cross = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0)
            if abs(cross) <= STRAIGHT * max(1e-6, math.hypot(x2 - x0, y2 - y0)):
                continue
        kept.append(point)
    return tuple(kept)


def _at(profile: tuple[Point, ...], depth: float) -> float:
    """Half-width of a profile at a depth; 0 past its middle."""
    for (x0, z0), (x1, z1) in pairwise(profile):
        if z0 <= depth <= z1 and z1 > z0:
            return x0 + (x1 - x0) * (depth - z0) / (z1 - z0)
    return profile[0][0] if depth <= profile[0][1] else 0.0
