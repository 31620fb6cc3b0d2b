"""Readings of a dry fit, and the lift that each of them means. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inlayfit.dryfit.effects import NONE, Effect
from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors
from inlayfit.joint.job import Job
from inlayfit.joint.reading import Kind, MeasuredDepths, Reading
from inlayfit.joint.spread import Spread
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text

READ_TO: Final = Spread(value=0.05)
"""How well a gap or a height is read at the bench (common practice, no source)."""
SURE: Final = 2.0
"""Standard uncertainties within which a reading is no more than what was expected."""
MODEL_U: Final = 0.03
"""Standard uncertainty in mm of the lift expected by hand, beside its range (docs/validation.md)."""
ROOM: Final = 0.5
"""So many mm beyond its pocket's mouth, or under where it should seat without a floor, no plug is."""
WORDS: Final[dict[Kind, str]] = {
    "gap": "the surface gap",
    "above": "the plug's back over the base's face",
    "over": "the measure over both boards",
}


@dataclass(frozen=True, kw_only=True)
class Level:
    """How the plug sits by its readings: lift in its middle with its standard uncertainty, and its tilt.

    ``slope`` is the lift's rise along x and along y, and ``tilt_u`` the standard uncertainty of the lift that tilt
    makes across the readings; None for fewer than three places, or places in a line. ``spread`` is the greatest
    difference between the lifts read.
    """

    lift: float
    lift_u: float
    slope: tuple[float, float] | None
    across: float
    """Difference of lift that the tilt makes over the outline, at the most."""
    across_u: float
    spread: float

    @property
    def sure(self) -> float:
        """How far off the lift may be by reading and model, in mm: nothing is cut for less."""
        return SURE * math.hypot(self.lift_u, MODEL_U)

    @property
    def crooked(self) -> bool:
        """Whether the plug sits out of level by more than the readings leave open."""
        return self.across > self.across_u + self.sure / 2

    @property
    def tilt_deg(self) -> float | None:
        """Tilt in degrees."""
        return None if self.slope is None else math.degrees(math.atan(math.hypot(*self.slope)))


def lift_of(reading: Reading, job: Job, depths: Depths, measured: MeasuredDepths, off: Effect = NONE) -> float:
    """The lift that a reading means; ``off`` is what is thought to be off, of which the lift itself is no part.

    The surface gap is U + lift, and by how much the plug's own floor was cut too deep; the plug's back stands plug
    thickness - S + lift over the base's face, and over both boards the base's thickness comes on top.
    """
    known = known_errors(job)
    if reading.kind == "gap":
        too_deep = known.depth.plug_floor + off.plug_floor
        if measured.plug is not None:
            too_deep = measured.plug - depths.plug_total_depth
        return reading.value - depths.depth_below_start - too_deep
    base = job.base.thickness + known.base_board + off.base_board if reading.kind == "over" else 0.0
    return reading.value - base - (job.plug.thickness + known.plug_board + off.plug_board - depths.start_depth)


def reading_of(kind: Kind, lift: float, job: Job, depths: Depths) -> float:
    """What would be read at this lift, with everything else as it should be."""
    return lift - lift_of(Reading(kind=kind, value=0.0), job, depths, MeasuredDepths())


def common_u(kind: Kind, job: Job, measured: MeasuredDepths) -> float:
    """Standard uncertainty that all readings of a kind share: of the plug's own floor, or of the boards."""
    shop = job.tolerance
    if kind == "gap":
        if measured.plug is not None:
            return READ_TO.standard
        floor = shop.plug_clear if job.bits.clearing else shop.plug_v
        by_bed = shop.thickness.standard if job.touch_off == "bed" else 0.0
        return math.hypot(floor.standard, shop.warp.standard, by_bed)
    boards = 2 if kind == "over" else 1
    return math.hypot(shop.warp.standard, math.sqrt(boards) * shop.thickness.standard)


def floor_u(kind: Kind, job: Job, measured: MeasuredDepths) -> float:
    """Standard uncertainty of what is read of a plug whose face is on the pocket's floor."""
    shop = job.tolerance
    floor = READ_TO.standard
    if measured.pocket is None:
        by_bed = shop.thickness.standard if job.touch_off == "bed" else 0.0
        clear = shop.pocket_clear if job.bits.clearing else shop.pocket_v
        floor = math.hypot(clear.standard, shop.warp.standard, by_bed)
    return math.hypot(common_u(kind, job, measured), READ_TO.standard, floor)


def level(
    readings: Sequence[Reading],
    job: Job,
    depths: Depths,
    measured: MeasuredDepths,
    size: tuple[float, float] | None,
    off: Effect = NONE,
) -> Level:
    """How the plug sits; ``size`` is the outline's width and height, where there is one, ``off`` what else is off.

    Kinds of readings are weighed by their uncertainties. Raises :class:`InputError` without a reading.
    """
    if not readings:
        raise InputError("found no reading of the dry fit, expected --gap, --above or --over")
    lifts = [lift_of(reading, job, depths, measured, off) for reading in readings]
    placed = [(reading.at, lift) for reading, lift in zip(readings, lifts, strict=True) if reading.at is not None]
    middle = None if size is None else (size[0] / 2, size[1] / 2)
    plane = _plane([at for at, _ in placed], [lift for _, lift in placed], middle) if len(placed) >= 3 else None
    total = weight_sum = spread = 0.0
    for kind in WORDS:
        of_kind = [lift for reading, lift in zip(readings, lifts, strict=True) if reading.kind == kind]
        if not of_kind:
            continue
        # kinds differ by what each is taken from: only readings of one kind tell how level the plug sits
        spread = max(spread, max(of_kind) - min(of_kind))
        u = math.hypot(common_u(kind, job, measured), READ_TO.standard / math.sqrt(len(of_kind)))
        total += sum(of_kind) / len(of_kind) / u**2
        weight_sum += 1 / u**2
    mean, mean_u = total / weight_sum, math.sqrt(1 / weight_sum)
    if plane is None or len(placed) < len(readings):
        return Level(lift=mean, lift_u=mean_u, slope=None, across=spread, across_u=2 * READ_TO.standard, spread=spread)
    height, slope, reach = plane
    wide, high = size or reach
    across = abs(slope[0]) * wide + abs(slope[1]) * high
    return Level(
        lift=height, lift_u=mean_u, slope=slope, across=across,
        across_u=2 * READ_TO.standard * max(wide / reach[0], high / reach[1], 1.0), spread=spread,
    )  # fmt: skip


def _plane(
    places: Sequence[tuple[float, float]], lifts: Sequence[float], middle: tuple[float, float] | None
) -> tuple[float, tuple[float, float], tuple[float, float]] | None:
    """Height in the middle, slopes, and extent of the places, by least squares; None for places in a line."""
    count = len(places)
    centre = tuple(sum(place[axis] for place in places) / count for axis in (0, 1))
    x = [place[0] - centre[0] for place in places]
    y = [place[1] - centre[1] for place in places]
    xx, yy = sum(value**2 for value in x), sum(value**2 for value in y)
    xy = sum(a * b for a, b in zip(x, y, strict=True))
    determinant = xx * yy - xy**2
    # a band of places less than a tenth as wide as it is long cannot tell which way the plug tilts
    if determinant < 0.01 * ((xx + yy) / 2) ** 2 or xx + yy < 1e-9:
        return None
    mean = sum(lifts) / count
    xz = sum(a * lift for a, lift in zip(x, lifts, strict=True))
    yz = sum(b * lift for b, lift in zip(y, lifts, strict=True))
    slope = (xz * yy - yz * xy) / determinant, (yz * xx - xz * xy) / determinant
    at = middle or (centre[0], centre[1])
    height = mean + slope[0] * (at[0] - centre[0]) + slope[1] * (at[1] - centre[1])
    return height, slope, (max(x) - min(x), max(y) - min(y))


def refuse_impossible(
    readings: Sequence[Reading], job: Job, depths: Depths, measured: MeasuredDepths, *, has_floor: bool
) -> None:
    """Raise :class:`InputError` for a reading that the geometry cannot produce, with what was probably meant.

    ``has_floor``: whether any of the pocket's floor lies open to the plug's face.
    """
    unit = job.unit
    for option, value, board, words in (
        ("--pocket", measured.pocket, job.base.thickness, "the base's thickness"),
        ("--plug", measured.plug, job.plug.thickness, "the thickness of the plug's blank"),
    ):
        if value is not None and value >= board:
            found = f"found {length_text(value, unit)}, expected less than {words} of {length_text(board, unit)}"
            raise InputError(found, place=option)
    # readings of two kinds bear each other out: what one of them is taken from may be far off
    alone = len({reading.kind for reading in readings}) < 2
    for reading in readings:
        problem = _problem(reading, job, depths, measured, has_floor) if alone or reading.value < 0 else ""
        if problem:
            raise InputError(problem + _meant(reading, job, depths, measured, has_floor), place=f"--{reading.kind}")


def _problem(reading: Reading, job: Job, depths: Depths, measured: MeasuredDepths, has_floor: bool) -> str:
    unit = job.unit
    lift = lift_of(reading, job, depths, measured)
    found = f"found {length_text(reading.value, unit)} for {WORDS[reading.kind]}"
    if reading.kind == "gap" and reading.value < 0:
        return f"{found}, expected 0 or more: wood is no deeper in wood than touching"
    if lift > depths.start_depth + ROOM:
        most = length_text(reading_of(reading.kind, depths.start_depth, job, depths), unit)
        return f"{found}, expected at most {most}: above that the plug is not in its pocket at all"
    known = known_errors(job).depth.pocket_floor
    too_deep = known if measured.pocket is None else measured.pocket - depths.pocket_depth
    if lift < -depths.glue_gap - too_deep - (SURE * floor_u(reading.kind, job, measured) if has_floor else ROOM):
        # measured, the plug's own floor is where it is, and the reading goes by it
        least = length_text(reading.value - lift - depths.glue_gap - too_deep, unit)
        hint = "" if measured.pocket is not None else "; if the pocket is deeper than programmed, give --pocket"
        if reading.kind == "gap" and measured.plug is None:
            hint += ", if the plug's own floor is shallower, --plug" if hint else "; if the plug's own floor is, --plug"
            hint += "; read --above too, to tell"
        return f"{found}, expected {least} or more, where the plug's face is on the pocket's floor{hint}"
    return ""


def _meant(reading: Reading, job: Job, depths: Depths, measured: MeasuredDepths, has_floor: bool) -> str:
    """Whether the number would do in the other unit, as a hint."""
    here = job.sheet_unit
    other: LengthUnit = "mm" if here == "in" else "in"
    number = reading.value / MM_PER_UNIT[here]
    meant = Reading(kind=reading.kind, value=number * MM_PER_UNIT[other], at=reading.at)
    if _problem(meant, job, depths, measured, has_floor):
        return ""
    words = "inches" if here == "in" else "millimetres"
    return f" (bare numbers are in {words} here: probably {number:.4g} {other} was meant)"
