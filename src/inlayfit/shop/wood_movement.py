"""How far plug and base want to move against each other when their moisture changes.

Each part swells or shrinks across its grain and hardly along it: its strain is a symmetric matrix S, and a run d
changes by S d. What counts is the difference of the two parts' strains over those two places of a region that it moves
apart the most; a region is taken by itself, since levelling parts them. With both grains in one direction that is the
region's width across the grain times the difference of the two changes.
Along the grain the change is left out: 0.1 to 0.2 % from green to ovendry (Wood Handbook, chapter 4, from memory), some
fiftieth of that across.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.errors import InputError
from inlayfit.outline.regions import Outline
from inlayfit.shop.moisture import dimensional_change
from inlayfit.shop.timber import Timber

Floats = NDArray[np.float64]
_DIRECTIONS: Final = np.radians(np.arange(0.0, 180.0, 1.0))


@dataclass(frozen=True, kw_only=True)
class WoodMovement:
    """Plug against base; lengths in mm, positive where the plug swells more than its pocket."""

    movement: float
    """With both faces flatsawn, the usual case: over the whole width of the region named."""
    lowest: float
    highest: float
    """Ends, with their signs, over every pairing of flatsawn and quartersawn faces; each pairing by its own region."""
    each_side: float
    """Half of ``movement``: at each of the two walls."""
    region: int
    """Number of the region, from 1, largest area first."""
    direction: float
    """Direction of the movement, degrees."""
    width: float
    """The region's width in that direction."""
    base_across: float
    plug_across: float
    """Each part's own change across its grain, as a fraction of its size (flatsawn)."""


def wood_movement(outline: Outline, base: Timber, plug: Timber, before: float, after: float) -> WoodMovement:
    """Movement between moisture contents ``before`` (cutting) and ``after`` (use), in %.

    Raises :class:`InputError` for a coefficient that is not above 0.
    """
    for timber in (base, plug):
        for coefficient in (timber.radial, timber.tangential):
            if coefficient <= 0:
                raise InputError(f"found a coefficient of dimensional change of {coefficient:g}, expected above 0")
    strains = {
        pair: _strain(plug, before, after, quartersawn=pair[1]) - _strain(base, before, after, quartersawn=pair[0])
        for pair in itertools.product((False, True), repeat=2)
    }
    regions = [np.asarray(region.exterior.coords) for region in outline.regions]
    moves = {pair: [_greatest(points, strain) for points in regions] for pair, strain in strains.items()}
    usual = moves[False, False]
    region = max(range(len(regions)), key=lambda number: abs(usual[number][0]))
    movement, direction = usual[region]
    ends = [max((move for move, _ in found), key=abs) for found in moves.values()]
    return WoodMovement(
        movement=movement,
        lowest=min(ends),
        highest=max(ends),
        each_side=movement / 2,
        region=region + 1,
        direction=math.degrees(direction) % 180,
        width=float(np.ptp(regions[region] @ _along(direction))),
        base_across=dimensional_change(1.0, base.tangential, before, after),
        plug_across=dimensional_change(1.0, plug.tangential, before, after),
    )


def _greatest(points: Floats, strain: Floats) -> tuple[float, float]:
    """The greatest movement between any two of a region's points, mm, and its direction, radians.

    Looked for in every direction by whole degrees. Above 0 where the two move apart.
    """
    moved = points @ strain
    along = moved @ np.stack([np.cos(_DIRECTIONS), np.sin(_DIRECTIONS)])
    which = int(np.ptp(along, axis=0).argmax())
    first, last = int(along[:, which].argmin()), int(along[:, which].argmax())
    x, y = moved[last] - moved[first]
    apart = float((points[last] - points[first]) @ (moved[last] - moved[first]))
    return math.copysign(math.hypot(x, y), apart), math.atan2(y, x)


def _along(direction: float) -> Floats:
    return np.array([math.cos(direction), math.sin(direction)])


def _strain(timber: Timber, before: float, after: float, *, quartersawn: bool) -> Floats:
    """A part's strain on its face: (2, 2), fractions.

    A flatsawn face shows the tangential change across the grain, a quartersawn one the radial. End grain shows the
    tangential change along its rings and the radial one square to them, however it was sawn.
    """
    tangential = dimensional_change(1.0, timber.tangential, before, after)
    radial = dimensional_change(1.0, timber.radial, before, after)
    direction = math.radians(timber.grain.direction)
    along, across = _along(direction), _along(direction + math.pi / 2)
    if timber.grain.face == "end":
        return tangential * np.outer(along, along) + radial * np.outer(across, across)
    return (radial if quartersawn else tangential) * np.outer(across, across)
