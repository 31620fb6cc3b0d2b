"""Cuts that bring a plug to its seat. Each is made in the model with all else as found, and promises what that gives.

Lengths in mm; lifts over the nominal seat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, NamedTuple

from inlayfit.dryfit.found_pair import FoundPair
from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Held, Job
from inlayfit.joint.reading import Measured

SPARE: Final = 0.2
"""Least depth below the start and least surface gap that a plug must keep, lest its own floor lands on the base."""
GLUE: Final = 0.1
"""Least glue gap that a cut may leave (common practice, no source)."""
LARGER: Final = 0.5
"""By so much to each side a pocket's mouth may outgrow the drawing, no more (common practice, no source)."""
HOME: Final = 0.05
"""A clamped seat this near to where it should be is home."""
PROVES: Final = 0.15
"""A measurement that differs by this many mm from one pair to another tells them apart."""
Step = Literal["walls", "clear", "clear and walls", "new plug"]
Why = Literal["plug walls", "pocket walls", "loose walls", "floor", "own floor", "new plug", "new plug for this pocket"]
Obstacle = Literal[
    "not held", "own floor", "least floor", "cone", "reach", "clearing reach", "web", "glue gap", "larger", "not home"
]


class Stop(NamedTuple):
    """Why a cut is out of the question, and the length in mm that says so."""

    obstacle: Obstacle
    value: float | None = None


class Proof(NamedTuple):
    """What must be measured before a cut, and what it must read for the cut to be the right one; mm."""

    measured: Measured
    value: float


@dataclass(frozen=True, kw_only=True)
class Correction:
    """One cut. ``zero_shift`` moves the programme's zero (below 0: deeper); the depths are what to type.

    The lift and gaps after it are clamped, as the model has them; ``brings_home``: to within ``HOME`` of the seat as it
    should be, whichever of the likely causes it was. ``proof`` is what to measure first, where some of them call for
    another cut. ``stop`` says why this cut is out of the question, None where it is not.
    """

    part: Literal["base", "plug"]
    step: Step
    why: Why
    zero_shift: float | None = None
    start_depth: float | None = None
    depth_below_start: float | None = None
    total_depth: float | None = None
    clearing_offset: float | None = None
    lift_after: float
    glue_gap_after: float
    surface_gap_after: float
    brings_home: bool
    proof: Proof | None = None
    stop: Stop | None = None


@dataclass(frozen=True, kw_only=True)
class Likely:
    """A pair as it may have been cut: how likely, and what would be measured of it."""

    chance: float
    pair: FoundPair
    reads: dict[Measured, float]


@dataclass(frozen=True, kw_only=True)
class Repair:
    """What is to be mended: the pairs that it may be, the likeliest first, and where the plug should sit.

    ``excess`` is how much too high the walls stand, ``nominal`` the clamped lift as it should be; ``sure`` whether the
    readings leave the lift no more open than ``HOME``.
    """

    job: Job
    depths: Depths
    held: Held
    pairs: Sequence[Likely]
    excess: float
    nominal: float
    sure: bool
    read: frozenset[Measured]

    @property
    def best(self) -> FoundPair:
        """The likeliest pair."""
        return self.pairs[0].pair

    def holds(self, part: Literal["base", "plug"]) -> bool:
        """Whether this part is still on its zero."""
        return self.held in (part, "both")


def for_a_proud_plug(repair: Repair) -> tuple[Correction, ...]:
    """Cuts for a plug that is held up, the best first; those that cannot be made come last."""
    found = []
    if repair.holds("plug"):
        found.append(_plug_walls(repair))
    if repair.holds("base"):
        found.append(_pocket_walls(repair))
    found.append(_new_plug(repair))
    return tuple(sorted(found, key=lambda cut: cut.stop is not None))


def for_a_shallow_floor(repair: Repair) -> tuple[Correction, ...]:
    """The pocket's floor cleared again to its depth, where it carries the plug."""
    job, depths = repair.job, repair.depths
    known = known_errors(job).depth.pocket_floor

    def cut(pair: FoundPair) -> FoundPair:
        # what is known of the zero still holds; without a clearing bit the V-bit goes down with its walls
        walls = 0.0 if job.bits.clearing else max(0.0, -pair.pocket_v)
        return replace(pair, pocket_floor=0.0, pocket_v=pair.pocket_v + walls)

    # where its walls hold a plug that lies on a floor nobody has read
    repair = replace(repair, sure=False)

    made = _made(
        repair, cut, part="base", step="clear" if job.bits.clearing else "clear and walls", why="floor",
        total_depth=depths.pocket_depth + known, clearing_offset=depths.pocket_clearing_offset,
    )  # fmt: skip
    return (_unless_held(repair, made),)


def for_a_shallow_own_floor(repair: Repair) -> tuple[Correction, ...]:
    """The plug's own floor cleared again to its depth, where it carries the plug; or a new plug."""
    depths = repair.depths
    repair = replace(repair, sure=False)
    made = _made(
        repair, lambda pair: replace(pair, plug_floor=0.0), part="plug", step="clear", why="own floor",
        total_depth=depths.plug_total_depth, clearing_offset=depths.plug_clearing_offset,
    )  # fmt: skip
    return tuple(sorted((_unless_held(repair, made), _new_plug(repair)), key=lambda cut: cut.stop is not None))


def for_loose_walls(repair: Repair, more: float) -> tuple[Correction, ...]:
    """The pocket deepened by ``more`` on the same wall line, so that the plug sinks until its walls close."""
    depth = repair.depths.pocket_depth + more
    offset = depth * repair.job.bits.pocket_v.shape.slope + repair.job.joint.wall_allowance
    made = _made(
        repair, lambda pair: replace(pair, pocket_depth=depth), part="base", step="clear and walls", why="loose walls",
        total_depth=depth, clearing_offset=offset,
    )  # fmt: skip
    stop = made.stop if made.stop is None or made.stop.obstacle != "not home" else None
    # the floor goes down too: every bit that clears it must reach so deep
    short = [bit.reach for bit in repair.job.bits.clearing if bit.reach is not None and bit.reach < depth]
    stop = Stop("clearing reach", min(short)) if short else stop
    return (_unless_held(repair, replace(made, stop=_base_room(repair, more) or stop)),)


def _unless_held(repair: Repair, made: Correction) -> Correction:
    return made if repair.holds(made.part) else replace(made, stop=Stop("not held"), proof=None)


def _plug_walls(repair: Repair) -> Correction:
    best, depths = repair.best, repair.depths
    # numbers typed wrong are put right; a zero that is off stays so, and the start makes up for it
    start = depths.start_depth + (0.0 if best.typed else repair.excess)
    below = depths.plug_total_depth - start

    def cut(pair: FoundPair) -> FoundPair:
        first = None if pair.typed else (pair.start_depth, pair.depth_below_start)
        return replace(
            pair, start_depth=start, depth_below_start=max(below, SPARE), first=first, typed=0.0,
            plug_v=pair.plug_v + pair.typed,
        )  # fmt: skip

    made = _made(
        repair, cut, part="plug", step="walls", why="plug walls", start_depth=start, depth_below_start=below,
        total_depth=depths.plug_total_depth,
    )  # fmt: skip
    return replace(made, stop=Stop("own floor")) if below < SPARE else made


def _pocket_walls(repair: Repair) -> Correction:
    excess = repair.excess
    made = _made(
        repair, lambda pair: replace(pair, pocket_v=pair.pocket_v + excess * _ratio(repair.job)), part="base",
        step="walls", why="pocket walls", zero_shift=-excess * _ratio(repair.job),
        total_depth=repair.depths.pocket_depth + excess * _ratio(repair.job),
    )  # fmt: skip
    # how far the mouth then stands outside the drawing, were the plug's cut to blame
    wider = max(one.pair.pocket_v + excess for one in repair.pairs) * known_errors(repair.job).pocket_bit.slope
    stop = _base_room(repair, excess * _ratio(repair.job))
    if stop is None and wider > LARGER:
        stop = Stop("larger", wider)
    return replace(made, stop=stop or made.stop)


def _ratio(job: Job) -> float:
    """How much deeper the pocket's V-bit must go to lower the walls by 1."""
    known = known_errors(job)
    return known.plug_bit.slope / known.pocket_bit.slope


def _new_plug(repair: Repair) -> Correction:
    job, depths = repair.job, repair.depths
    # what is wrong with the pocket stays; what was wrong with the plug, in all that it may be, is gone with it. A start
    # that makes up for the whole of it suits a pocket that is to blame for the whole of it only
    to_blame = [_by_pocket(one.pair) > max(HOME, repair.excess - HOME) for one in repair.pairs]
    suited = all(to_blame) and bool(repair.pairs)
    start = depths.start_depth + (repair.excess if suited else 0.0)
    below = depths.depth_below_start - (repair.excess if suited else 0.0)

    def cut(pair: FoundPair) -> FoundPair:
        return replace(
            pair, plug_v=0.0, plug_floor=0.0, typed=0.0, first=None, start_depth=start,
            depth_below_start=max(below, SPARE),
        )  # fmt: skip

    made = _made(
        repair, cut, part="plug", step="new plug", why="new plug for this pocket" if suited else "new plug",
        start_depth=start, depth_below_start=below, total_depth=start + below,
    )  # fmt: skip
    if below < SPARE:
        return replace(made, stop=Stop("own floor"))
    web = job.plug.thickness - start - below
    if web < job.plug.least_web:
        return replace(made, stop=Stop("web", web))
    if suited:
        return made
    # with the start as drawn it can be no worse than the one at hand, and its walls can be cut once more
    stop = None if made.stop is not None and made.stop.obstacle == "not home" else made.stop
    return replace(made, stop=stop, proof=None)


def _by_pocket(pair: FoundPair) -> float:
    """How much higher the plug sits for what is wrong with the pocket's walls."""
    return -pair.pocket_v / _ratio(pair.job)


def _made(repair: Repair, cut: Callable[[FoundPair], FoundPair], **numbers: Any) -> Correction:
    """The cut made on each of the pairs that it may be."""
    lifts = [cut(one.pair).clamped() for one in repair.pairs]
    pair = cut(repair.best)
    home = [abs(lift - repair.nominal) <= HOME for lift in lifts]
    glue, surface = lifts[0] - pair.floor, lifts[0] - pair.own_floor
    stop: Stop | None = None
    if pair.has_floor:
        stop = Stop("glue gap", glue) if glue < GLUE else None
    if stop is None and surface < SPARE:
        stop = Stop("own floor", surface)
    if stop is None and not home[0]:
        stop = Stop("not home", lifts[0])
    return Correction(
        lift_after=lifts[0], glue_gap_after=glue, surface_gap_after=surface, stop=stop,
        brings_home=all(home) and repair.sure, proof=None if all(home) else _proof(repair, home), **numbers,
    )  # fmt: skip


def _proof(repair: Repair, home: Sequence[bool]) -> Proof | None:
    """The measurement that tells the likeliest pair from most of those that the cut would not bring home."""
    first = repair.pairs[0]
    others = [one for one, right in zip(repair.pairs, home, strict=True) if not right]
    found, most = None, 0.0
    for name, value in first.reads.items():
        if name not in repair.read:
            told = sum(one.chance for one in others if abs(one.reads[name] - value) > PROVES)
            if told > most + 1e-9:
                found, most = Proof(name, value), told
    return found


def _base_room(repair: Repair, more: float) -> Stop | None:
    """Why the pocket cannot go deeper by this."""
    job, depths = repair.job, repair.depths
    bit, deepest = job.bits.pocket_v, depths.pocket_depth + more
    if depths.base_floor - more < job.base.least_floor:
        return Stop("least floor", depths.base_floor - more)
    if deepest > bit.cone_height:
        return Stop("cone", bit.cone_height)
    if bit.reach is not None and deepest > bit.reach:
        return Stop("reach", bit.reach)
    return None
