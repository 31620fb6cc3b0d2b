"""A set-up: the bits, depth, width and stepover that a job would be cut with, and how it does."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, Literal

from inlayfit.advice.change import Change, Changes
from inlayfit.choose.drawer import DrawerBit

if TYPE_CHECKING:
    from inlayfit.plan import Plan

Prefer = Literal["balance", "time", "detail", "margin"]
WEIGHTS: Final[dict[Prefer, tuple[int, int, int]]] = {
    "balance": (40, 40, 20),
    "margin": (70, 20, 10),
    "detail": (20, 70, 10),
    "time": (20, 20, 60),
}
"""Points of 100 for margin, detail and time (ours)."""
HALF_TIME: Final = 30.0
"""A job of so many minutes gets half the points for time."""


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """Bits from the drawer (None: the sheet's own) and what is typed for them."""

    v: DrawerBit | None
    clearing: tuple[DrawerBit, ...] | None
    depth: str = ""
    width: str = ""
    stepover: str = ""
    levelling: DrawerBit | None = None

    @property
    def changes(self) -> Changes:
        """The set-up as settings of the sheet."""
        made: list[Change] = []
        if self.v is not None:
            made.append(Change("bits.v", self.v.text))
            if self.stepover:
                made.append(Change("bits.v.stepover", self.stepover))
        if self.clearing:
            texts = [bit.text for bit in self.clearing]
            made.append(Change("bits.clearing", texts[0] if len(texts) == 1 else f"[{', '.join(texts)}]"))
        if self.levelling is not None:
            made.append(Change("bits.levelling", self.levelling.text))
        if self.depth:
            made.append(Change("joint.pocket_depth", self.depth))
        if self.width:
            made.append(Change("outline.width", self.width))
        return tuple(made)

    @property
    def bits(self) -> tuple[DrawerBit, ...]:
        """The bits taken from the drawer."""
        levelling = (self.levelling,) if self.levelling else ()
        return (*((self.v,) if self.v else ()), *(self.clearing or ()), *levelling)


@dataclass(frozen=True, kw_only=True)
class Tried:
    """A set-up that was planned, as far as it was: as drawn, or whole with its seat and its time.

    ``fails`` and ``doubts`` are the checks that do not pass. ``margin`` is the share of the glue gap that is left when
    errors come together badly, by root-sum-square; ``detail`` the share of the outline that is cut to half its depth or
    more, less what corners lose; ``minutes`` of cutting and of bit changes, None where that was not looked at.
    """

    set_up: SetUp
    plan: Plan
    fails: tuple[str, ...]
    doubts: tuple[str, ...]
    margin: float
    detail: float
    minutes: float | None
    nearest: tuple[str, float] | None
    """The check that passes by least, and by which share of its limit."""

    @cached_property
    def tier(self) -> tuple[int, int]:
        """Before all else: how many checks fail, how many are in doubt."""
        return len(self.fails), len(self.doubts)

    def points(self, prefer: Prefer) -> float:
        """Of 100, by the weights; time that was not looked at counts in full, so that more is never promised."""
        margin, detail, time = WEIGHTS[prefer]
        quick = 1.0 if self.minutes is None else HALF_TIME / (HALF_TIME + self.minutes)
        return margin * self.margin + detail * self.detail + time * quick

    def order(self, prefer: Prefer) -> tuple[int, int, float]:
        """Sorts the best first."""
        return (*self.tier, -self.points(prefer))


def tried(set_up: SetUp, plan: Plan, *, timed: bool) -> Tried:
    """What a plan says of the set-up it was made with."""
    fails = tuple(entry.id for entry in plan.findings if entry.status == "fail")
    doubts = tuple(entry.id for entry in plan.findings if entry.status == "doubtful")
    stack, outline = plan.facts.stack, plan.facts.outline
    margin = 0.0
    if stack is not None:
        gap = stack.quantities["glue_gap"]
        margin = min(max(gap.rss[0] / gap.nominal, 0.0), 1.0) if gap.nominal > 0 else 0.0
    shallow = next((entry.value for entry in plan.findings if entry.id == "fine-strokes"), None) or 0.0
    lost = 0.0
    if outline is not None and plan.facts.seat is not None:
        lost = sum(point.lost for point in plan.facts.seat.points_lost) / outline.survey.perimeter
    minutes = None
    if timed and outline is not None and outline.shop.time is not None:
        minutes = outline.shop.time.total + sum(bit.minutes for bit in set_up.bits)
    return Tried(
        set_up=set_up,
        plan=plan,
        fails=fails,
        doubts=doubts,
        margin=margin,
        detail=max(0.0, 1.0 - shallow - lost),
        minutes=minutes,
        nearest=_nearest(plan),
    )


def _nearest(plan: Plan) -> tuple[str, float] | None:
    spare = [
        (entry.id, abs(entry.value - entry.limit) / abs(entry.limit))
        for entry in plan.findings
        # passes are made as heavy as their bit may take
        if entry.status == "pass" and entry.value is not None and entry.limit and entry.id != "pass-load"
    ]
    return min(spare, key=lambda one: one[1], default=None)
