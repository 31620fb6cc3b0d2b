"""The search: all sensible set-ups of a drawer, judged from the cheapest question to the dearest.

Depths come by closed forms, then the outline is looked at as drawn, and only what could still be among the best is
seated and timed. What is monotone is halved: a pocket's depth against stock, cone and reach, a width against what is
too fine, a stepover against its ridges.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from inlayfit.advice.change import STAGES, Changes, Stage
from inlayfit.advice.halving import first
from inlayfit.checks.depth_checks import FLOOR_RIDGES
from inlayfit.choose.drawer import DrawerBit
from inlayfit.choose.set_up import Prefer, SetUp, Tried, tried
from inlayfit.choose.wish import wish_of
from inlayfit.cutters import Cutter
from inlayfit.errors import InputError
from inlayfit.joint.job import Feed, Feeds, Job
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_INCH, read_length, typed_length
from inlayfit.trials import SheetOnTrial

TOLD: Final = 5
MOST_SEATED: Final = 60
"""Set-ups whose seat is worked out, the most promising first."""
USUAL_FEED: Final = Feed(along=1500.0, plunge=500.0)
"""mm a minute where the sheet gives no feeds (common practice, no source); it only compares set-ups."""
USUAL_FEEDS: Final = Feeds(v=USUAL_FEED, clearing=USUAL_FEED, cut_out=USUAL_FEED, levelling=USUAL_FEED)
DEEPEST: Final = MM_PER_INCH / 2
"""No pocket deeper than this is looked for unless the sheet asks (common practice, no source)."""
SHALLOWEST: Final = 1.5
RIDGE_ROOM: Final = 0.95
"""Ridges fill at most this share of what their check takes without a doubt."""
COARSEST: Final = 0.4
"""Share of a V-bit's diameter that no stepover exceeds (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The set-ups tried, the best first: ``best`` were planned whole. ``looked_at`` and ``seated`` count."""

    best: tuple[Tried, ...]
    fitting: tuple[tuple[DrawerBit, ...], ...]
    """Bits of every set-up that was seated and fits."""
    looked_at: int
    seated: int
    prefer: Prefer
    feeds_given: bool
    trial: SheetOnTrial
    """The sheet without what it leaves open, for planning with one of the set-ups."""

    @property
    def fits(self) -> bool:
        """Whether the best set-up fits, doubts included."""
        return not self.best[0].fails


def choose(trial: SheetOnTrial, drawer: tuple[DrawerBit, ...], *, prefer: Prefer = "balance") -> Choice:
    """The best set-ups for a sheet on trial. Raises :class:`InputError` where none makes a joint at all."""
    return _Chooser(trial, drawer, prefer).choice()


class _Chooser:
    def __init__(self, trial: SheetOnTrial, drawer: tuple[DrawerBit, ...], prefer: Prefer) -> None:
        self.drawer, self.prefer = drawer, prefer
        self.trial = trial.with_changes(())
        self.trial.files, self.wish = wish_of(trial.files, trial.bare_unit)
        self.looked_at = 0
        self.why_not: InputError | None = None

    def choice(self) -> Choice:
        queue: list[tuple[tuple[int, int, float], int, Tried]] = []
        for set_up in self._set_ups():
            drawn = self._tried(set_up, "drawn")
            if drawn is not None:
                heapq.heappush(queue, (drawn.order(self.prefer), len(queue), drawn))
        if not queue:
            problem = self.why_not or InputError("no set-up of these bits makes a joint here")
            raise problem
        whole: list[Tried] = []
        while queue and len(whole) < MOST_SEATED:
            promised, _, drawn = heapq.heappop(queue)
            leading: dict[tuple[DrawerBit, ...], tuple[int, int, float]] = {}
            for one in whole:
                bits, order = one.set_up.bits, one.order(self.prefer)
                leading[bits] = min(order, leading.get(bits, order))
            ahead = sorted(leading.values())
            if len(ahead) >= TOLD and ahead[TOLD - 1] <= promised:
                break  # a seat and a time can only make it worse
            found = self._tried(drawn.set_up, "whole")
            if found is not None:
                whole.append(found)
        if not whole:
            raise self.why_not or InputError("no set-up of these bits makes a joint here")
        whole.sort(key=lambda one: one.order(self.prefer))
        best = list({one.set_up.bits: one for one in reversed(whole)}.values())
        best[best.index(whole[0])] = self._refined(whole[0])
        best.sort(key=lambda one: one.order(self.prefer))
        return Choice(
            best=tuple(best[:TOLD]),
            fitting=tuple(dict.fromkeys(one.set_up.bits for one in whole if not one.fails)),
            looked_at=self.looked_at,
            seated=len(whole),
            prefer=self.prefer,
            feeds_given=whole[0].plan.job.feeds != USUAL_FEEDS,
            trial=self.trial,
        )

    def _refined(self, best: Tried) -> Tried:
        """The best set-up with its depth moved up and down by ever smaller steps, as long as that makes it better."""
        if not self.wish.depth_open or not best.set_up.depth:
            return best
        low, high = self.wish.depth or (SHALLOWEST, DEEPEST)
        move = 8
        while move:
            depth = read_length(best.set_up.depth, None)
            for moved in (depth - move * self._depth_step, depth + move * self._depth_step):
                if low - 1e-6 <= moved <= high + 1e-6:
                    found = self._tried(self._with_stepover(replace(best.set_up, depth=self._typed(moved))), "whole")
                    if found is not None and found.order(self.prefer) < best.order(self.prefer):
                        best = found
                        break
            else:
                move //= 2
        return best

    @property
    def _depth_step(self) -> float:
        return 0.005 * MM_PER_INCH if self._inch else 0.1

    def _set_ups(self) -> Iterator[SetUp]:
        """Bits, with a stepover that leaves no ridge that counts, and a few depths and widths that could be best."""
        for v in self._of_kind("v") if self.wish.v_open else (None,):
            for clearing in self._clearing_sets():
                bits = SetUp(v=v, clearing=clearing, levelling=self._levelling)
                for depth in self._depths(bits):
                    set_up = self._with_stepover(replace(bits, depth=depth))
                    for width in self._widths(set_up):
                        yield replace(set_up, width=width)

    @property
    def _levelling(self) -> DrawerBit | None:
        """The largest surfacing bit, where the sheet leaves that open."""
        if not self.wish.levelling_open:
            return None
        return max(self._of_kind("surfacing"), key=lambda bit: bit.diameter, default=None)

    def _of_kind(self, kind: str) -> tuple[DrawerBit, ...]:
        return tuple(bit for bit in self.drawer if bit.kind == kind)

    def _clearing_sets(self) -> Iterator[tuple[DrawerBit, ...] | None]:
        """None, one bit, or a larger one and a smaller one; the sheet's own where it gives them."""
        if not self.wish.clearing_open:
            yield None
            return
        mills = sorted(self._of_kind("end mill"), key=lambda bit: -bit.diameter)
        yield ()
        yield from ((bit,) for bit in mills)
        yield from (pair for pair in combinations(mills, 2) if pair[0].diameter > pair[1].diameter)

    def _depths(self, bits: SetUp) -> tuple[str, ...]:
        """The deepest pocket that stock and bits allow, the shallowest, and two between; '' where the sheet has it."""
        if not self.wish.depth_open:
            return ("",)
        low, high = self.wish.depth or (SHALLOWEST, DEEPEST)
        job = self._job(replace(bits, depth=self._typed(high)))
        if job is None:
            job = self._job(replace(bits, depth=self._typed(low)))
        if job is None:
            return ()
        if self.wish.depth is None:
            low = max(low, 2 * job.joint.glue_gap)
        step = self._depth_step
        lowest, highest = math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6)
        depths = [number * step for number in range(lowest, highest + 1)] or [low]

        def passes(number: int) -> bool:
            plan = self._planned(replace(bits, depth=self._typed(depths[number])).changes, "depths")
            return plan is not None and not any(
                entry.status in ("fail", "doubtful") for entry in plan.findings if entry.id in _BOUND_BELOW
            )

        first_bad = first(len(depths), lambda number: not passes(number))
        last = max(first_bad - 1, 0)
        chosen = sorted({0, last // 3, 2 * last // 3, last})
        return tuple(self._typed(depths[number]) for number in chosen)

    def _widths(self, set_up: SetUp) -> tuple[str, ...]:
        """The least width at which no more is in the way than at the largest, the largest, and one between."""
        if self.wish.width is None:
            return ("",)
        low, high = self.wish.width
        step = 0.05 * MM_PER_INCH if self._inch else 1.0
        widths = [low + number * step for number in range(int((high - low) / step + 1e-6) + 1)]
        best = self._tried(replace(set_up, width=self._typed(widths[-1])), "drawn")
        if best is None:
            return ()

        def as_good(number: int) -> bool:
            found = self._tried(replace(set_up, width=self._typed(widths[number])), "drawn")
            return found is not None and found.tier <= best.tier

        least = first(len(widths), as_good)
        chosen = sorted(
            {min(least, len(widths) - 1), (least + len(widths)) // 2, len(widths) - 1} & set(range(len(widths)))
        )
        return tuple(self._typed(widths[number]) for number in chosen)

    def _with_stepover(self, set_up: SetUp) -> SetUp:
        """The coarsest stepover whose ridges no check minds; a bit that has one of its own keeps a finer one."""
        job = self._job(set_up) if set_up.v is not None else None
        if job is None or set_up.v is None:
            return set_up
        bit = job.bits.pocket_v
        room = RIDGE_ROOM * job.limits[FLOOR_RIDGES] * min(job.joint.glue_gap, job.joint.surface_gap)
        coarsest = bit.stepover if set_up.v.has_stepover else COARSEST * bit.diameter
        step = 0.0005 * MM_PER_INCH if self._inch else 0.01
        count = int(coarsest / step + 1e-6)
        good = first(count, lambda number: _ridge(bit, (number + 1) * step) > room)
        if good < 1 or (set_up.v.has_stepover and good == count):
            return set_up
        return replace(set_up, stepover=self._typed(good * step))

    def _job(self, set_up: SetUp) -> Job | None:
        plan = self._planned(set_up.changes, "depths")
        return None if plan is None else plan.job

    def _planned(self, changes: Changes, stage: Stage, *, timed: bool = False) -> Plan | None:
        try:
            intake = self.trial.taken_in(changes)
            feeds = (intake.job.feeds or USUAL_FEEDS) if timed else None
            return self.trial.planned(intake, stage, feeds=feeds)
        except InputError as error:
            self.why_not = error
            return None

    def _tried(self, set_up: SetUp, stage: Stage) -> Tried | None:
        if stage == "drawn":
            self.looked_at += 1
        whole = stage == STAGES[-1]
        plan = self._planned(set_up.changes, stage, timed=whole)
        return None if plan is None else tried(set_up, plan, timed=whole)

    @property
    def _inch(self) -> bool:
        return self.trial.bare_unit == "in"

    def _typed(self, mm: float) -> str:
        return typed_length(mm, self.trial.bare_unit)


_BOUND_BELOW: Final = ("base-floor", "plug-web", "cone-reach", "bit-reach")
"""Checks that a deeper pocket only makes worse."""


def _ridge(bit: Cutter, stepover: float) -> float:
    return max(bit.shape.ridge(stepover), bit.real.ridge(stepover))
