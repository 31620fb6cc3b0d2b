"""What a change would do to the seat, worked out by planning the job again with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from inlayfit.checks.registry import FIT_CHECKS
from inlayfit.cutters import Cutter, Profile, next_wider
from inlayfit.errors import InputError
from inlayfit.joint.job import Job
from inlayfit.plan import Plan, plan
from inlayfit.quantity import length_text

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

LARGER: Final = 1.25
SIZE_RATIO: Final = 1.03
"""The smallest size is found to within this."""
MOST_VERTICES: Final = 5_000
"""Outlines of more take too long to plan a dozen times over."""
LARGEST: Final = 8.0
SMALLEST: Final = 1 / 8


@dataclass(frozen=True, kw_only=True)
class Change:
    """A change and where the plug would seat with it; lifts in mm as in the seat."""

    words: str
    first_touch: float
    by_hand: tuple[float, float]
    lift: float
    mends: tuple[str, ...]
    """Checks of the fit that would pass and do not now."""
    breaks: tuple[str, ...]
    """Checks of any kind that would fail and do not now."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """Changes worth a thought, and how wide the outline must be for the fit not to fail, in mm.

    ``smallest_width`` is None where no size within an eighth and eight times the sheet's does.
    """

    as_it_is: Change
    changes: tuple[Change, ...]
    smallest_width: float | None


def is_wanted(found: Plan, outline: Outline) -> bool:
    """Whether the fit leaves something to wish for that a change of bit or outline may mend, in bearable time."""
    looked_at = found.facts.outline
    wanting = _wanting(found, ("doubtful", "fail"))
    if looked_at is None or looked_at.fit is None or not wanting:
        return False
    closes = looked_at.fit.seat.joint_line_strong.share_over_limit <= found.job.limits.seat
    if wanting == ("seat",) and closes:
        return False  # its doubt is about clamp or floor
    return sum(len(points) for _, points in outline.rings()) <= MOST_VERTICES


def advice(found: Plan, outline: Outline) -> Advice:
    """Advice by numbers: the job planned again with each change, and at other sizes."""
    # a depth that was derived stays, else a change of the bit would mean another joint
    joint = replace(found.job.joint, pocket_depth=found.facts.depths.pocket_depth)
    job = replace(found.job.for_the_fit(), joint=joint)
    tip = max(job.bits.pocket_v.real.flank_radius, job.bits.plug_v.real.flank_radius)
    tries: list[tuple[str, Callable[[], Plan | None]]] = []
    if tip > 0:
        tries.append((f"outline eased by {length_text(tip, job.unit)}", lambda: _again(job, _eased(outline, tip))))
        tries.append(("a tip half as wide", lambda: _again(_with_bits(job, _sharper), outline)))
    angle = next_wider(job.bits.pocket_v.shape.angle)
    if angle is not None:
        tries.append(
            (f"a {angle:g} deg bit with the same tip", lambda: _again(_with_bits(job, _at_angle(angle)), outline))
        )
    tries.append((f"{LARGER:g} times the size", lambda: _again(job, _scaled(outline, LARGER))))
    tried = [(words, attempt()) for words, attempt in tries]
    return Advice(
        as_it_is=_change("as it is", found, found),
        changes=tuple(_change(words, planned, found) for words, planned in tried if planned is not None),
        smallest_width=_smallest_width(found, job, outline),
    )


def _change(words: str, planned: Plan, now: Plan) -> Change:
    seat = planned.facts.seat
    assert seat is not None, "a change that leaves no seat is not told"
    still, failing = (_wanting(planned, ("doubtful", "fail")), _failing(planned))
    return Change(
        words=words,
        first_touch=seat.first_touch,
        by_hand=seat.by_hand,
        lift=seat.lift,
        mends=tuple(check for check in _wanting(now, ("doubtful", "fail")) if check not in still),
        breaks=tuple(check for check in failing if check not in _failing(now)),
    )


def _failing(found: Plan) -> tuple[str, ...]:
    return tuple(entry.id for entry in found.findings if entry.status == "fail")


def _wanting(found: Plan, statuses: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(entry.id for entry in found.findings if entry.id in FIT_CHECKS and entry.status in statuses)


def _again(job: Job, outline: Outline | None, *, nominal: bool = False) -> Plan | None:
    """The plan after a change; None where the change leaves no joint, no outline or no seat."""
    if outline is None:
        return None
    try:
        planned = plan(job, outline, nominal=nominal)
    except InputError:
        return None
    return planned if nominal or planned.facts.seat is not None else None


def _smallest_width(found: Plan, job: Job, outline: Outline) -> float | None:
    """Least width in mm at which no check of the fit fails, by halving the range of scales.

    A larger outline is taken to fit where a smaller one does.
    """

    def fits(scale: float) -> bool:
        if scale == 1:
            return not _wanting(found, ("fail",))
        larger = _scaled(outline, scale)
        # what already fails as drawn needs no fit, which takes longer
        return all(
            planned is not None and not _wanting(planned, ("fail",))
            for planned in (_again(job, larger, nominal=nominal) for nominal in (True, False))
        )

    low, high = (SMALLEST, 1.0) if fits(1.0) else (1.0, LARGEST)
    if not fits(high):
        return None
    while high / low > SIZE_RATIO:
        middle = (low * high) ** 0.5
        low, high = (low, middle) if fits(middle) else (middle, high)
    left, _, right, _ = outline.bounds
    return high * (right - left)


def _scaled(outline: Outline, factor: float) -> Outline:
    from shapely import affinity

    from inlayfit.outline.regions import outline_of

    return outline_of(affinity.scale(region, factor, factor, origin=(0, 0)) for region in outline.regions)


def _eased(outline: Outline, radius: float) -> Outline | None:
    """Opened and closed by the radius: no corner is sharper than the tip, inside or outside."""
    from inlayfit.outline.easing import eased_outline

    return eased_outline(outline, opened_by=radius, closed_by=radius)


def _with_bits(job: Job, change: Callable[[Cutter], Cutter]) -> Job:
    bits = job.bits
    return replace(job, bits=replace(bits, pocket_v=change(bits.pocket_v), plug_v=change(bits.plug_v)))


def _sharper(bit: Cutter) -> Cutter:
    def half(shape: Profile) -> Profile:
        return replace(shape, tip_radius=shape.tip_radius / 2, rounding=shape.rounding / 2)

    return replace(bit, shape=half(bit.shape), real=half(bit.real))


def _at_angle(angle: float) -> Callable[[Cutter], Cutter]:
    def change(bit: Cutter) -> Cutter:
        # another bit is taken to be as far off its declared angle as this one, and its cone to be as high
        off = bit.real.angle - bit.shape.angle
        shape, real = replace(bit.shape, angle=angle), replace(bit.real, angle=angle + off)
        widest = max(2 * (cone.flank_radius + bit.cone_height * cone.slope) for cone in (shape, real))
        return replace(bit, shape=shape, real=real, diameter=widest)

    return change
