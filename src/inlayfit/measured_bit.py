"""What a bit that measures otherwise than declared does to a sheet's joint, worked out by planning it again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from inlayfit.cutters import Cutter, Profile
from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths, depths
from inlayfit.joint.groove_fit import Groove
from inlayfit.joint.job import Bits, Job
from inlayfit.joint.spread import Spread
from inlayfit.joint.taper import wall_lift
from inlayfit.plan import plan
from inlayfit.quantity import LengthUnit, length_text

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

Role = Literal["v", "pocket_v", "plug_v"]


@dataclass(frozen=True, kw_only=True)
class Seating:
    """Where the plug sits with the bit taken one way; lifts over the nominal seat and the joint line in mm.

    ``walls`` are the lifts at which a wall cut to full depth and one hardly cut at all (a hairline's) first bear. The
    others are of the fit on the outline: pressed by hand, clamped, and the widest joint line; None without one.
    """

    words: str
    walls: tuple[float, float]
    by_hand: tuple[float, float] | None = None
    clamped: float | None = None
    joint_line: float | None = None


def seatings(job: Job, outline: Outline | None, role: Role, real: Profile) -> tuple[Seating, ...]:
    """The seat with the bit as declared, as it measures, and with what it measures declared in the programmes.

    Raises :class:`InputError` where the sheet makes no joint at all.
    """
    declared = _with_bit(job, role, lambda bit: replace(bit, real=bit.shape))
    as_measured = _with_bit(job, role, lambda bit: replace(bit, real=real))
    found = [
        _seating("were it as declared", declared, outline),
        _seating("as it measures", as_measured, outline),
    ]
    told = _with_bit(job, role, lambda bit: replace(bit, shape=real, real=real))
    # two bits whose declared angles differ make no taper fit, so that only one bit for both can be told anew
    if role == "v":
        found.append(_seating("measured, and so declared", told, outline))
    return tuple(found)


def declared_bit(job: Job, role: Role) -> Cutter:
    """The sheet's bit of this role. Raises :class:`InputError` where the sheet has two and the role names none."""
    if role == "v" and not job.bits.one_v:
        raise InputError("the sheet has two V-bits, expected --bit pocket_v or --bit plug_v")
    return job.bits.plug_v if role == "plug_v" else job.bits.pocket_v


def touch_off_of(job: Job, role: Role) -> Spread:
    """How well the grooves' zero is taken: as that of the part which the bit cuts, the looser of two."""
    parts = {"pocket_v": job.tolerance.pocket_v, "plug_v": job.tolerance.plug_v}
    return parts[role] if role != "v" else max(parts.values(), key=lambda spread: spread.furthest)


def refuse_beyond(bit: Cutter, grooves: Sequence[Groove], unit: LengthUnit) -> None:
    """Raise :class:`InputError` for a groove that this bit's flank cannot have cut."""
    for number, groove in enumerate(grooves, 1):
        depth, width = (length_text(value, unit) for value in (groove.depth, groove.width))
        problem = ""
        if groove.width > bit.diameter:
            problem = f"found a groove {width} wide, expected less than the bit's {length_text(bit.diameter, unit)}"
        elif groove.depth < bit.shape.fillet_height:
            problem = (
                f"found a groove {depth} deep, expected more than {length_text(bit.shape.fillet_height, unit)}: "
                "the ball tip cuts a shallower one round, not with its flank"
            )
        elif groove.depth > bit.cone_height:
            problem = (
                f"found a groove {depth} deep, expected at most {length_text(bit.cone_height, unit)}, the height of "
                "the bit's cone"
            )
        if problem:
            words = "inches" if unit == "in" else "millimetres"
            raise InputError(f"{problem} (bare numbers are in {words} here)", where=("grooves", f"[{number}]"))


def _with_bit(job: Job, role: Role, change: Callable[[Cutter], Cutter]) -> Job:
    bits: Bits = job.bits
    pocket = change(bits.pocket_v) if role in ("v", "pocket_v") else bits.pocket_v
    plug = change(bits.plug_v) if role in ("v", "plug_v") else bits.plug_v
    return replace(job, bits=replace(bits, pocket_v=pocket, plug_v=plug))


def _seating(words: str, job: Job, outline: Outline | None) -> Seating:
    nominal, _ = depths(job)
    walls = (_wall(job, nominal, 1.0), _wall(job, nominal, 0.0))
    seat = None if outline is None else plan(job.for_the_fit(), outline).facts.seat
    if seat is None:
        return Seating(words=words, walls=walls)
    return Seating(
        words=words, walls=walls, by_hand=seat.by_hand, clamped=seat.lift, joint_line=seat.seen.largest
    )


def _wall(job: Job, nominal: Depths, share: float) -> float:
    """Lift at which a wall cut to this share of the full depths bears."""
    pocket, plug = job.bits.pocket_v, job.bits.plug_v
    return wall_lift(
        (pocket.shape, pocket.real), (plug.shape, plug.real), depth=share * nominal.pocket_depth,
        below=share * nominal.depth_below_start, joined=share * nominal.start_depth,
    )  # fmt: skip
