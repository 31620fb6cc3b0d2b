"""The dry fit, worked out: how the plug sits, what it ought to do by hand, why it differs, and what to cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from inlayfit.dryfit.causes import Diagnosis, diagnosis, effect_of
from inlayfit.dryfit.cuts import (
    GLUE,
    Correction,
    Likely,
    Repair,
    for_a_proud_plug,
    for_a_shallow_floor,
    for_a_shallow_own_floor,
    for_loose_walls,
)
from inlayfit.dryfit.effects import Bench, bench
from inlayfit.dryfit.found_pair import FoundPair, as_planned
from inlayfit.dryfit.no_cut import NoCut
from inlayfit.dryfit.readings import READ_TO, SURE, WORDS, Level, level, refuse_impossible
from inlayfit.dryfit.stories import Seen, Story
from inlayfit.dryfit.suspects import suspects
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Held
from inlayfit.joint.reading import Kind, Measured, MeasuredDepths, Reading
from inlayfit.plan import Plan

HOME_SD: Final = 0.05
"""A cut that goes by a lift known to this many mm, one standard deviation, may say where the plug will sit."""
TRIED: Final = 0.08
"""Stories at least this likely beside the likeliest are tried with each cut."""
MOST_TRIED: Final = 6


@dataclass(frozen=True, kw_only=True)
class DryFit:
    """What readings of a dry fit say; lengths in mm, lifts over the nominal seat, proud above 0.

    ``expected`` is the lift by hand, at the wood's strength and at four times it; ``excess`` the lift read less the
    middle of it. ``glue_gap`` and ``surface_gap`` are as the plug sits now, ``joint_line`` the widest to expect if it
    were clamped so: where the walls hold it, and where something else does; None on a floor with loose walls, since how
    loose they are nobody has read. ``unproved``: the lift leans on a floor or a board that is off by a story only,
    which one kind of reading cannot tell from a plug that sits elsewhere. ``floors_off`` are how much deeper than
    programmed the pocket's floor and the plug's own floor are, as measured or as the likeliest story has them.
    ``corrections`` are the cuts that can be made, best first, ``ruled_out`` those that cannot; ``no_cut`` says why
    there are no corrections, None where there are. ``if_held`` are cuts that could be made of a part
    that is still held, where nobody said what is: then ``held`` is none.
    """

    level: Level
    readings: tuple[Reading, ...]
    expected: tuple[float, float]
    excess: float
    glue_gap: float
    surface_gap: float
    joint_line: tuple[float, float] | None
    floors_off: tuple[float, float]
    floors_measured: tuple[bool, bool]
    on_floor: bool
    unproved: bool
    has_floor: bool
    """Whether any of the pocket's floor lies open to the plug's face: else there is no glue gap to tell of."""
    diagnosis: Diagnosis
    corrections: tuple[Correction, ...]
    ruled_out: tuple[Correction, ...]
    no_cut: NoCut | None
    held: Held
    held_told: bool
    if_held: tuple[tuple[Held, Correction], ...] = ()

    @property
    def as_expected(self) -> bool:
        """Whether the plug sits where a hand's pressure should leave it, within reading and model, and level."""
        low, high = self.expected
        sure = self.level.sure
        within = low - sure <= self.level.lift <= high + sure
        return within and not (self.level.crooked or self.on_floor or self.unproved)

    @property
    def mends(self) -> bool:
        """Whether the pair can be used: as it is, or after a cut of a part at hand."""
        if any(cut.step != "new plug" for cut in self.corrections):
            return True
        # a floor that is too shallow can be lowered by hand as well
        usable = ("as expected", "sunk", "crooked", "floor, base not held")
        return self.no_cut is not None and self.no_cut.reason in usable


def dry_fit(
    plan: Plan, readings: Sequence[Reading], held: Held | None, measured: MeasuredDepths | None = None
) -> DryFit:
    """The answer to a dry fit; ``held`` None: nobody said, and nothing is taken to be.

    Raises :class:`inlayfit.errors.InputError` for readings that cannot be.
    """
    measured = measured or MeasuredDepths()
    job, depths = plan.job, plan.facts.depths
    fit = None if plan.facts.outline is None else plan.facts.outline.fit
    bounds = plan.facts.outline.survey.bounds if plan.facts.outline is not None else None
    size = None if bounds is None else (bounds[2] - bounds[0], bounds[3] - bounds[1])
    planned = as_planned(job, depths, fit)
    refuse_impossible(readings, job, depths, measured, has_floor=planned.has_floor)
    sits = plain = level(readings, job, depths, measured, size)
    expected = expected_by_hand(planned, sits.lift)
    found = _diagnosed(planned, readings, measured, expected)
    if found.slips:
        # what the story has off beside the seat is no lift
        sits = level(readings, job, depths, measured, size, found.effect)
        expected = expected_by_hand(planned, sits.lift)
    middle = sum(expected) / 2
    excess = sits.lift - middle
    floors = _floors_off(planned, found, measured)
    known, slope = known_errors(job).depth, known_errors(job).plug_bit.slope
    floor, own_floor = planned.floor + known.pocket_floor - floors[0], planned.own_floor + known.plug_floor - floors[1]
    glue_gap = sits.lift - floor
    # a plug is taken to be on its floor where its gap is within the reading of nothing
    read = math.hypot(sits.lift_u, READ_TO.standard if measured.pocket is not None else 0.0)
    on_floor = planned.has_floor and (found.hold == "floor" or glue_gap < SURE * read)
    seat = plan.facts.seat
    line = 0.0 if seat is None else seat.seen.largest
    one_kind = len({entry.kind for entry in readings}) == 1
    answer = DryFit(
        level=sits,
        readings=tuple(readings),
        expected=expected,
        excess=excess,
        glue_gap=max(0.0, glue_gap) if on_floor else glue_gap,
        surface_gap=sits.lift - own_floor,
        joint_line=None if on_floor and excess < 0 else (line, line + max(0.0, excess * slope)),
        floors_off=floors,
        floors_measured=(measured.pocket is not None, measured.plug is not None),
        on_floor=on_floor,
        unproved=one_kind and abs(sits.lift - plain.lift) > sits.sure,
        has_floor=planned.has_floor,
        diagnosis=found,
        corrections=(),
        ruled_out=(),
        no_cut=None,
        held=held or "none",
        held_told=held is not None,
    )
    seen = _seen(readings, measured)
    cuts, no_cut = _cuts(answer, planned, seen)
    offered = tuple(cut for cut in cuts if cut.stop is None)
    if not offered and no_cut is None:
        no_cut = NoCut("no cut")
    told = replace(answer, corrections=offered, ruled_out=tuple(cut for cut in cuts if cut.stop), no_cut=no_cut)
    if held is not None or (no_cut is not None and told.mends):
        return told
    parts: tuple[Held, ...] = ("plug", "base")
    mending = [(part, cut) for part in parts for cut in _cuts(replace(answer, held=part), planned, seen)[0]]
    return replace(
        told, if_held=tuple((part, cut) for part, cut in mending if cut.stop is None and cut.step != "new plug")
    )


def expected_by_hand(planned: FoundPair, read: float) -> tuple[float, float]:
    """Lift by hand as a range, in mm, for a plug that was ``read`` to sit there.

    A plug that stands proud reaches less deep into corners and strokes, so that a hand crushes a little more of what
    is left there: the lift expected above the walls is worked out where the walls are. Which of the two V-cuts is to
    blame a reading cannot tell: each is given half.
    """
    fit = planned.fit
    low, high = planned.by_hand() if fit is None else sorted(fit.seat.by_hand)
    excess = read - (low + high) / 2
    if fit is not None and 0 < excess < planned.depths.start_depth / 2:
        proud = replace(planned, pocket_v=-excess / 2, plug_v=-excess / 2)
        low, high = sorted(lift - excess for lift in proud.by_hand())
    return low, high


def _seen(readings: Sequence[Reading], measured: MeasuredDepths) -> dict[Measured, Seen]:
    """All that was measured, each kind's mean."""
    seen: dict[Measured, Seen] = {}
    kinds: tuple[Kind, ...] = tuple(WORDS)
    for kind in kinds:
        values = [entry.value for entry in readings if entry.kind == kind]
        if values:
            seen[kind] = Seen(sum(values) / len(values), READ_TO.standard / math.sqrt(len(values)))
    if measured.pocket is not None:
        seen["pocket"] = Seen(measured.pocket, READ_TO.standard)
    if measured.plug is not None:
        seen["plug"] = Seen(measured.plug, READ_TO.standard)
    return seen


def _bench(planned: FoundPair, expected: tuple[float, float]) -> Bench:
    return bench(
        planned.job, planned.depths, by_hand=sum(expected) / 2, ridge=planned.ridge, has_floor=planned.has_floor
    )


def _diagnosed(
    planned: FoundPair, readings: Sequence[Reading], measured: MeasuredDepths, expected: tuple[float, float]
) -> Diagnosis:
    depth, below = _widest(planned)
    hand_u = (expected[1] - expected[0]) / math.sqrt(12)
    found = suspects(planned.job, planned.depths, planned.fit, hand_u=hand_u, depth=depth, below=below)
    return diagnosis(found, _bench(planned, expected), _seen(readings, measured))


def _widest(planned: FoundPair) -> tuple[float, float]:
    """How deep the tips run in pocket and plug at the walls that both cut deepest."""
    depths, bits = planned.depths, planned.job.bits
    if planned.fit is None:
        return depths.pocket_depth, depths.depth_below_start
    inside, outside = planned.fit.rays.inside.max(), planned.fit.rays.outside.max()
    return (
        min(depths.pocket_depth, bits.pocket_v.shape.as_flat.depth_in(float(inside))),
        min(depths.depth_below_start, bits.plug_v.shape.as_flat.depth_in(float(outside))),
    )


def _floors_off(planned: FoundPair, found: Diagnosis, measured: MeasuredDepths) -> tuple[float, float]:
    """How much deeper than programmed the floors are: as measured, else as known and as the story has them."""
    depths, known = planned.depths, known_errors(planned.job).depth
    pocket = known.pocket_floor + found.effect.pocket_floor
    plug = known.plug_floor + found.effect.plug_floor
    if measured.pocket is not None:
        pocket = measured.pocket - depths.pocket_depth
    if measured.plug is not None:
        plug = measured.plug - depths.plug_total_depth
    return pocket, plug


def _cuts(
    answer: DryFit, planned: FoundPair, seen: dict[Measured, Seen]
) -> tuple[tuple[Correction, ...], NoCut | None]:
    sits, found = answer.level, answer.diagnosis
    if sits.crooked:
        return (), NoCut("crooked", sits.across)
    if answer.as_expected:
        return (), NoCut("as expected")
    if answer.unproved and sits.lift <= answer.expected[1] + sits.sure:
        return (), NoCut("own floor or seat" if answer.readings[0].kind == "gap" else "board or seat")
    repair = _repair(answer, planned, seen)
    shallow = -answer.floors_off[0] + known_errors(planned.job).depth.pocket_floor
    if answer.on_floor and shallow > sits.sure / 2:
        cuts = for_a_shallow_floor(repair)
        return cuts, None if repair.holds("base") else _by_hand(answer, shallow)
    if answer.on_floor:
        return _for_loose_walls(repair, planned)
    if found.hold == "own floor":
        return for_a_shallow_own_floor(repair), None
    if answer.excess < 0:
        left = repair.nominal + answer.glue_gap - sum(answer.expected) / 2
        if left < GLUE and repair.holds("base") and planned.has_floor:
            return for_loose_walls(repair, planned.depths.glue_gap - left), None
        return (), NoCut("sunk", left if planned.has_floor else None)
    cuts = for_a_proud_plug(repair)
    if shallow > sits.sure / 2 and all(cut.stop is not None and cut.stop.obstacle == "glue gap" for cut in cuts):
        # the floor comes first: with its plug still standing proud, then read again
        floor = tuple(replace(cut, stop=None) if repair.holds("base") else cut for cut in for_a_shallow_floor(repair))
        return (*floor, *cuts), None if repair.holds("base") else _by_hand(answer, shallow)
    return cuts, None


def _by_hand(answer: DryFit, shallow: float) -> NoCut:
    """A floor that can be lowered by hand, once its depth has been measured."""
    return NoCut("floor, base not held" if answer.floors_measured[0] else "floor not read", shallow)


def _for_loose_walls(repair: Repair, planned: FoundPair) -> tuple[tuple[Correction, ...], NoCut | None]:
    """How loose the walls are nobody has read: a slip tells it, else the tolerances' spread is taken, or twice it."""
    spread, best = _walls_spread(planned), repair.best
    held_at = best.floor
    told = held_at - (repair.nominal - _sunk(best))
    loose = max(spread, told)
    more = planned.depths.glue_gap + loose + (spread if told <= spread else 0.0)
    fall = held_at - loose - (repair.nominal - _sunk(best))
    pair = replace(best, plug_v=best.plug_v - fall)
    cuts = for_loose_walls(replace(repair, pairs=[replace(repair.pairs[0], pair=pair)], sure=False), more)
    if any(cut.stop is None for cut in cuts):
        return cuts, None
    return cuts, NoCut("loose, pocket too deep" if repair.holds("base") else "loose, base not held", more)


def _sunk(pair: FoundPair) -> float:
    """How much lower than planned the walls of a pair bear."""
    known = known_errors(pair.job)
    return pair.plug_v + pair.pocket_v * known.pocket_bit.slope / known.plug_bit.slope


def _walls_spread(planned: FoundPair) -> float:
    """Standard deviation in mm of the walls' lift by the tolerances."""
    depth, below = _widest(planned)
    found = suspects(planned.job, planned.depths, planned.fit, hand_u=0.0, depth=depth, below=below)
    return math.sqrt(sum((entry.sd * entry.effect.walls) ** 2 for entry in found))


def _repair(answer: DryFit, planned: FoundPair, seen: dict[Measured, Seen]) -> Repair:
    """The pairs that it may be, each with what the readings leave to its walls."""
    table = _bench(planned, answer.expected)
    told = answer.diagnosis.stories
    stories = [story for story in told if not _is_chip(story)] or list(told)
    # a plug that stands a little proud may lie on its floor, which only the pocket's depth tells
    certain = "pocket" in seen or not planned.has_floor
    likely = [story for story in stories if story.chance >= TRIED * stories[0].chance][:MOST_TRIED]
    return Repair(
        job=planned.job,
        depths=planned.depths,
        held=answer.held,
        pairs=[
            Likely(
                chance=story.chance,
                pair=_pair(story, planned, story.lift if story is not likely[0] else answer.level.lift, table),
                reads={name: table.reads(name, effect_of(story)) for name in table.at_0},
            )
            for story in likely
        ],
        excess=answer.excess,
        nominal=planned.clamped() if planned.fit is None else planned.fit.seat.lift,
        sure=certain and answer.diagnosis.lift_sd <= HOME_SD,
        read=frozenset(seen),
    )


def _is_chip(story: Story) -> bool:
    # it is gone once the parts are brushed out, which comes before any cut
    return any(entry.code == "chip" for entry in story.members)


def _pair(story: Story, planned: FoundPair, lift: float, table: Bench) -> FoundPair:
    """The pair of a story, its walls where they must be for the plug to sit at this lift by hand."""
    known = known_errors(planned.job)
    ratio = known.pocket_bit.slope / known.plug_bit.slope
    pair, effect = planned, effect_of(story)
    walls = {"pocket": 0.0, "plug": 0.0, "both": 0.0, "none": 0.0}
    for entry in story.members:
        part = entry.effect.times(story.sizes.get(entry.code, 0.0))
        walls[entry.side] += part.walls
        pair = replace(pair, typed=pair.typed + entry.typed)
    if story.hold == "walls":
        rest = lift - table.walls - sum(walls.values())
        # what the story leaves is its own side's, or nobody's in particular
        side = next((entry.side for entry in story.members if entry.effect.walls and entry.side != "none"), "both")
        walls[side] += rest
    half = (walls["both"] + walls["none"]) / 2
    return replace(
        pair,
        pocket_v=-(walls["pocket"] + half) / ratio,
        plug_v=-(walls["plug"] + half),
        pocket_floor=effect.pocket_floor,
        plug_floor=effect.plug_floor,
    )
