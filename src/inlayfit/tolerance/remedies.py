"""What would let more pairs seat on their walls, worked out on the drawn pairs. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from inlayfit.cutters import Profile, next_wider
from inlayfit.joint.depths import Depths
from inlayfit.joint.limits import JOINT_LINE
from inlayfit.outline.edges import Array, Flags
from inlayfit.tolerance.pairs import ON_FLOOR, Cutters, Pairs, Rest
from inlayfit.tolerance.stack import Wider
from inlayfit.tolerance.walls import WallClasses

ASKED: Final = 0.95
"""Share of pairs that ought to seat on their walls: 19 of 20."""
LOOSEST: Final = 2.0
"""A touch-off looser than this is none."""


def held_off(pairs: Pairs, rest: Rest) -> Flags:
    """Whether corners, strokes or sheared axes hold each plug off its walls by more than the joint line may be open."""
    return np.asarray(rest.off_walls > pairs.job.limits[JOINT_LINE])


def seats(pairs: Pairs, rest: Rest) -> Flags:
    """Whether each plug is down on its walls: on neither floor, and not held off them."""
    return ~(rest.on_floor | rest.on_own_floor | held_off(pairs, rest))


def glue_gap_needed(pairs: Pairs, rest: Rest, glue_gap: float) -> float | None:
    """The glue gap that lets the asked share seat on their walls; None where something else keeps more of them off."""
    need = np.where(rest.on_own_floor | held_off(pairs, rest), np.inf, rest.floor - rest.held)
    last = int(np.ceil(ASKED * len(need))) - 1
    enough = float(np.partition(need, last)[last])
    if not np.isfinite(enough):
        return None
    return max(0.0, glue_gap + enough) if rest.has_floor else 0.0


def touch_off_needed(cutters: Cutters, values: Mapping[str, Array], unit: Mapping[str, Array]) -> float | None:
    """The limit that these settings may have at the most, for ``unit`` drawn between plus and minus 1.

    All else stays as drawn in ``values``. None where not even perfect settings let the asked share seat.
    """
    pairs, nothing = cutters.pairs, np.zeros(len(next(iter(unit.values()))))
    rest = cutters.rest({**values, **dict.fromkeys(unit, nothing)})
    # walls go down as either V-bit cuts deeper, floors with the bit that clears them
    ratio = cutters.bearing.pocket_slope / cutters.bearing.slope
    wall = -unit.get("pocket_v", nothing) * ratio - unit.get("plug_v", nothing)
    floor = -unit.get("pocket_clear" if pairs.cleared else "pocket_v", nothing)
    own_floor = -unit.get("plug_clear" if pairs.cleared else "plug_v", nothing)
    # the room above each floor, and how much a limit of 1 mm takes of it
    floors = [(rest.held - ON_FLOOR - rest.own_floor, own_floor - wall)]
    if rest.has_floor:
        floors.append((rest.held - ON_FLOOR - rest.floor, floor - wall))
    free = np.broadcast_to(~held_off(pairs, rest), nothing.shape)
    seated = np.logical_and.reduce([free, *(room > 0 for room, _ in floors)])
    spare = np.count_nonzero(seated) - ASKED * len(seated)
    if spare < 0:
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.maximum.reduce([taken / room for room, taken in floors])
        ends = 1 / shares[seated & (shares > 1 / LOOSEST)]
    # some that do not seat with perfect settings do at poor ones, by luck, for a while
    others = np.flatnonzero(free & ~seated)
    came, went = np.zeros(len(others)), np.full(len(others), np.inf)
    for room, taken in floors:
        room, taken = room[others], taken[others]
        end = room / np.where(taken == 0, np.inf, taken)
        came = np.maximum(came, np.where(room > 0, 0.0, np.where(taken < 0, end, np.inf)))
        went = np.minimum(went, np.where((room > 0) & (taken > 0), end, np.inf))
    came, went = came[came < went], went[came < went]
    ends = np.concatenate([ends, went[went < LOOSEST]])
    # after so many ends too few are left, however many come
    most = int(spare + len(came)) + 1
    ends = np.sort(np.partition(ends, most)[:most] if most < len(ends) else ends)
    few = spare - np.arange(1, len(ends) + 1) + np.searchsorted(np.sort(came), ends) < 0
    return float(ends[few.argmax()]) if few.any() else LOOSEST


def wider_bit(
    pairs: Pairs, depths: Depths, values: Mapping[str, Array], narrowest: float, seated: float
) -> Wider | None:
    """What the next wider of the usual angles would do; None where enough pairs seat, or none is wider.

    Sideways errors move the seat by 1 / T, less for a wider bit. Strokes that were cut to the full depth are taken to
    stay so; narrower ones are cut shallower.
    """
    bit = pairs.job.bits.pocket_v.shape
    angle = next_wider(bit.angle)
    if angle is None or seated >= ASKED:
        return None
    told = replace(bit, angle=angle)
    other = replace(pairs, walls=_turned(pairs.walls, angle - bit.angle, depths))

    def deep(shape: Profile) -> float:
        return min(depths.pocket_depth, shape.depth_in(narrowest / 2))

    return Wider(
        angle=angle,
        seats_on_walls=float(seats(other, other.rest(values)).mean()),
        full_depth_width=(2 * bit.half_width_at(depths.pocket_depth), 2 * told.half_width_at(depths.pocket_depth)),
        narrowest_depth=(deep(bit), deep(told)),
    )


def _turned(walls: WallClasses, more: float, depths: Depths) -> WallClasses:
    """The same walls cut by bits whose angle is this many degrees more, and as far off what is declared."""

    def shallower(depth: Array, full: float, old: float, new: float) -> Array:
        return np.where(depth < full * (1 - 1e-9), depth * old / new, depth)

    (pocket, plug), real = (
        tuple(replace(shape, angle=shape.angle + more) for shape in bits) for bits in (walls.declared, walls.real)
    )
    depth = shallower(walls.depth, depths.pocket_depth, walls.declared[0].slope, pocket.slope)
    below = shallower(walls.below, depths.depth_below_start, walls.declared[1].slope, plug.slope)
    return replace(walls, depth=depth, below=below, declared=(pocket, plug), real=(real[0], real[1]))
