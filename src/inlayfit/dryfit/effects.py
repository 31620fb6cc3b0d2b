"""What an error does to a dry fit: to where the plug rests, and to what its readings are taken from. Lengths in mm."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Job
from inlayfit.joint.reading import Measured

Holds = Literal["walls", "floor", "own floor"]
"""What the plug rests on: its walls, the pocket's floor, or its own floor on the base's face."""
HOLDS: Final[tuple[Holds, ...]] = ("walls", "floor", "own floor")
MEASURED: Final[tuple[Measured, ...]] = ("gap", "above", "over", "pocket", "plug")


class Effect(NamedTuple):
    """By how much more an error lifts the walls, deepens both floors, and thickens both boards."""

    walls: float = 0.0
    """Rise of the lift at which the walls hold."""
    pocket_floor: float = 0.0
    plug_floor: float = 0.0
    plug_board: float = 0.0
    base_board: float = 0.0

    def times(self, size: float) -> Effect:
        """The effect of an error this many times as large."""
        return Effect(*(size * part for part in self))

    def plus(self, other: Effect) -> Effect:
        """Both together."""
        return Effect(*(a + b for a, b in zip(self, other, strict=True)))


NONE: Final = Effect()


class Bench(NamedTuple):
    """The joint as it should be at the bench: lifts at which walls and floors hold, and what would be measured."""

    walls: float
    """By hand: the middle of what is expected."""
    floor: float
    own_floor: float
    has_floor: bool
    """Whether any of the pocket's floor lies open to the plug's face."""
    at_0: dict[Measured, float]
    """What is measured of a plug at the nominal seat."""

    def lift_on(self, hold: Holds, effect: Effect) -> float:
        """Lift of a plug that rests on this."""
        if hold == "walls":
            return self.walls + effect.walls
        if hold == "floor":
            return self.floor - effect.pocket_floor if self.has_floor else float("-inf")
        return self.own_floor - effect.plug_floor

    def rests(self, effect: Effect) -> tuple[Holds, float]:
        """What the plug rests on, and its lift."""
        lifts = [self.lift_on(hold, effect) for hold in HOLDS]
        best = max(range(len(HOLDS)), key=lifts.__getitem__)
        return HOLDS[best], lifts[best]

    def reads(self, what: Measured, effect: Effect) -> float:
        """What would be measured with this off."""
        return self.at_0[what] + shift_of(what, effect, self.rests(effect)[1])


def shift_of(what: Measured, effect: Effect, lift: float) -> float:
    """How much more is measured than at the nominal seat with nothing off."""
    if what == "pocket":
        return effect.pocket_floor
    if what == "plug":
        return effect.plug_floor
    if what == "gap":
        return lift + effect.plug_floor
    return lift + effect.plug_board + (effect.base_board if what == "over" else 0.0)


def bench(job: Job, depths: Depths, *, by_hand: float, ridge: float, has_floor: bool) -> Bench:
    """The joint with what is known of it: ``ridge`` stands on the pocket's floor, ``by_hand`` the lift expected."""
    known = known_errors(job)
    pocket = depths.pocket_depth + known.depth.pocket_floor
    plug = depths.plug_total_depth + known.depth.plug_floor
    above = job.plug.thickness + known.plug_board - depths.start_depth
    return Bench(
        walls=by_hand,
        floor=depths.start_depth - pocket + ridge,
        own_floor=depths.start_depth - plug,
        has_floor=has_floor,
        at_0={
            "gap": plug - depths.start_depth,
            "above": above,
            "over": above + job.base.thickness + known.base_board,
            "pocket": pocket,
            "plug": plug,
        },
    )

