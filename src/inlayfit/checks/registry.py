"""The registry of checks: each with what it needs, the function that judges, and the limits that the sheet may set.

The modules of the checks do without numpy and shapely, so that a sheet without an outline loads neither.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final, Generic, NamedTuple, TypeVar

from inlayfit.checks import (
    depth_checks,
    outline_checks,
    partner_checks,
    seat_checks,
    shop_checks,
    tolerance_checks,
)
from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import Finding
from inlayfit.joint.depths import Depths, cone_spare
from inlayfit.joint.limits import JOINT_LINE, LEAST_SKIN, SEAT, Limit
from inlayfit.joint.schedule import Pass
from inlayfit.shop.levelling import Levelling
from inlayfit.statement import Statement, told
from inlayfit.tolerance.stack import Stack

if TYPE_CHECKING:
    from inlayfit.outline.partner import Partner
    from inlayfit.seat.fit import Fit

T = TypeVar("T")


class Needs(NamedTuple, Generic[T]):
    """What a check needs: taken out of the facts, or why it is not among them."""

    words: str
    of: Callable[[Facts], T | Statement]


class Check(NamedTuple, Generic[T]):
    """One check. docs/checks.md has a section on it under its id, and a row in its table."""

    id: str
    needs: Needs[T]
    judge: Callable[[Facts, T], Finding | Statement]
    """The finding, or why it is not checked: a key that the sheet leaves out."""
    limits: tuple[Limit[Any], ...] = ()

    def find(self, facts: Facts) -> Finding:
        """Judge, or say why it was not judged."""
        needed = self.needs.of(facts)
        found = needed if isinstance(needed, Statement) else self.judge(facts, needed)
        return Finding(id=self.id, status="not checked", reasons=(found,)) if isinstance(found, Statement) else found


def _outline(facts: Facts) -> OutlineFacts | Statement:
    return facts.outline or told("needs.outline")


def _fit(facts: Facts) -> Fit | Statement:
    if facts.outline is None:
        return told("needs.outline")
    short = cone_spare(facts.job, facts.depths) < 0
    return facts.outline.fit or told("needs.longer_cone" if short else "needs.fit")


def _partner(facts: Facts) -> Partner | Statement:
    if facts.outline is None:
        return told("needs.outline")
    return facts.outline.partner or told("needs.partner")


DEPTHS: Final = Needs[Depths]("the sheet", lambda facts: facts.depths)
PASSES: Final = Needs[tuple[Pass, ...]]("the sheet", lambda facts: facts.passes)
LEVELLED: Final = Needs[Levelling]("the sheet", lambda facts: facts.levelling)
STACK: Final = Needs[Stack]("the sheet", lambda facts: facts.stack or told("needs.longer_cone"))
OUTLINE: Final = Needs[OutlineFacts]("an outline", _outline)
PARTNER: Final = Needs["Partner"]("a drawing of the plug", _partner)
FIT: Final = Needs["Fit"]("the fit as cut", _fit)

CHECKS: Final = (
    Check(id="glue-gap", needs=DEPTHS, judge=depth_checks.glue_gap, limits=(depth_checks.GLUE_GAP,)),
    Check(id="surface-gap", needs=DEPTHS, judge=depth_checks.surface_gap, limits=(depth_checks.SURFACE_GAP,)),
    Check(id="base-floor", needs=DEPTHS, judge=depth_checks.base_floor),
    Check(id="plug-web", needs=DEPTHS, judge=depth_checks.plug_web),
    Check(id="cone-reach", needs=DEPTHS, judge=depth_checks.cone_reach),
    Check(id="bit-reach", needs=PASSES, judge=depth_checks.bit_reach, limits=(depth_checks.BIT_REACH,)),
    Check(id="pass-load", needs=PASSES, judge=depth_checks.pass_load),
    Check(id="floor-ridges", needs=DEPTHS, judge=depth_checks.floor_ridges, limits=(depth_checks.FLOOR_RIDGES,)),
    Check(
        id="clearing-access",
        needs=OUTLINE,
        judge=outline_checks.clearing_access,
        limits=(outline_checks.CLEARING_ACCESS,),
    ),
    Check(id="fine-strokes", needs=OUTLINE, judge=outline_checks.fine_strokes, limits=(outline_checks.FINE_STROKES,)),
    Check(id="fine-gaps", needs=OUTLINE, judge=outline_checks.fine_gaps, limits=(outline_checks.FINE_GAPS,)),
    Check(
        id="survives-levelling",
        needs=OUTLINE,
        judge=outline_checks.survives_levelling,
        limits=(outline_checks.LEAST_INLAY,),
    ),
    Check(
        id="thin-walls",
        needs=OUTLINE,
        judge=outline_checks.thin_walls,
        limits=(outline_checks.LEAST_RIB, outline_checks.THIN_WALLS),
    ),
    Check(id="corners", needs=FIT, judge=seat_checks.corners, limits=(seat_checks.CORNERS,)),
    Check(id="seat", needs=FIT, judge=seat_checks.seat, limits=(SEAT,)),
    Check(id="joint-line", needs=FIT, judge=seat_checks.joint_line, limits=(JOINT_LINE,)),
    Check(id="mirror", needs=PARTNER, judge=partner_checks.mirror, limits=(partner_checks.MIRROR,)),
    Check(id="blank-margin", needs=OUTLINE, judge=shop_checks.blank_margin, limits=(shop_checks.BLANK_MARGIN,)),
    Check(id="hold-downs", needs=OUTLINE, judge=shop_checks.hold_downs, limits=(shop_checks.HOLD_DOWNS,)),
    Check(id="levelling", needs=LEVELLED, judge=depth_checks.levelling, limits=(depth_checks.LEVELLING, LEAST_SKIN)),
    Check(id="stack", needs=STACK, judge=tolerance_checks.stack, limits=(tolerance_checks.STACK,)),
    Check(id="touch-off", needs=STACK, judge=tolerance_checks.touch_off, limits=(tolerance_checks.TOUCH_OFF,)),
    Check(id="warp", needs=STACK, judge=tolerance_checks.warp, limits=(tolerance_checks.WARP,)),
    Check(id="wood-movement", needs=OUTLINE, judge=shop_checks.wood_movement, limits=(shop_checks.WOOD_MOVEMENT,)),
)

FIT_CHECKS: Final = ("seat", "joint-line", "corners", "fine-strokes", "fine-gaps", "survives-levelling", "thin-walls")
"""Checks that say whether an outline can be cut and closed with these bits at this size."""


def findings(facts: Facts) -> tuple[Finding, ...]:
    """Findings of all checks, in the registry's order."""
    return tuple(check.find(facts) for check in CHECKS)
