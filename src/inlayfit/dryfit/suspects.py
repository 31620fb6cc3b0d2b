"""Everything that may be behind a dry fit: the spreads of the shop, errors far beyond them, and slips.

A spread has the standard deviation that the sheet's tolerances give it. A gross error is of a setting that was not made
at all, as of a bit not touched off again: any size within a millimetre or so. A slip has a size of its own, and so a
reading of its own. How often each happens beside a job where nothing of the kind did is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from inlayfit.cutters import Profile
from inlayfit.dryfit.effects import Effect
from inlayfit.joint.depths import Depths
from inlayfit.joint.error_sources import known_errors, sources
from inlayfit.joint.job import Job
from inlayfit.joint.taper import wall_lift
from inlayfit.quantity import MM_PER_INCH

if TYPE_CHECKING:
    from inlayfit.seat.fit import Fit

Side = Literal["pocket", "plug", "both", "none"]
"""Which cut a cause is in; none: of the readings, or of neither."""
ANGLES: Final = (15.0, 20.0, 30.0, 45.0, 60.0, 90.0)
"""Included angles of V-bits that lie in one drawer (common practice, no source)."""
USUAL_FLAT: Final = 0.1
"""Width of the flat of a bit that is sold as a point, in mm (common practice, no source)."""
GROSS: Final = 1.5
"""Standard deviation in mm of a setting that was not made again."""
CHIP: Final = 0.4
"""The same of the thickness of a chip."""
BOARD: Final = 1.0
"""The same of a board that is not as thick as the sheet says."""
ENGRAVED: Final = 0.8
"""Standard deviation in degrees of an angle that was taken from what is engraved on the bit."""
FEWEST: Final = 0.05
"""A slip that moves nothing by more than this many mm is none."""


@dataclass(frozen=True, kw_only=True)
class Suspect:
    """One thing that may be off. ``effect`` is that of 1 mm (1 degree) too much; of a slip, of all of it.

    ``sd`` is the spread by the tolerances, 0 where the sheet has none. ``gross`` is the standard deviation of a gross
    error, ``odds`` how often a gross error or a slip happens beside a sound job; ``one_way``: only above 0.
    """

    code: str
    effect: Effect
    side: Side
    sd: float = 0.0
    gross: float = 0.0
    odds: float = 0.0
    one_way: bool = False
    slip: bool = False
    typed: float = 0.0
    """How much too high, in mm, a slip had the plug's walls start: its zero is good."""
    angle: float | None = None
    """The other angle, where that is the slip."""


def suspects(job: Job, depths: Depths, fit: Fit | None, *, hand_u: float, depth: float, below: float) -> list[Suspect]:
    """All of a job. ``depth`` and ``below`` are the tips' depths at its widest wall, ``hand_u`` the hand's spread."""
    return [*_spreads(job, depths, fit, hand_u, depth, below), *_slips(job, depths, depth, below)]


def _spreads(
    job: Job, depths: Depths, fit: Fit | None, hand_u: float, depth: float, below: float
) -> list[Suspect]:
    shop, bits = job.tolerance, job.bits
    known = known_errors(job)
    ratio = known.pocket_bit.slope / known.plug_bit.slope
    # without a clearing bit a V-bit that runs deeper takes the floor down as well
    own = 0.0 if bits.clearing else 1.0
    base, plug = Effect(walls=-ratio, pocket_floor=1.0), Effect(walls=-1.0, plug_floor=1.0)
    found = [
        Suspect(code="pocket_v", effect=Effect(walls=-ratio, pocket_floor=own), side="pocket",
                sd=shop.pocket_v.standard, gross=GROSS, odds=0.06),
        Suspect(code="plug_v", effect=Effect(walls=-1.0, plug_floor=own), side="plug", sd=shop.plug_v.standard,
                gross=GROSS, odds=0.07),
        Suspect(code="base_warp", effect=base, side="pocket", sd=shop.warp.standard, gross=CHIP, odds=0.003),
        Suspect(code="plug_warp", effect=plug, side="plug", sd=shop.warp.standard, gross=CHIP, odds=0.003),
        Suspect(code="chip", effect=Effect(walls=1.0), side="none", gross=CHIP, odds=0.02, one_way=True),
        Suspect(code="hand", effect=Effect(walls=1.0), side="none", sd=hand_u),
    ]  # fmt: skip
    if bits.clearing:
        found += [
            Suspect(code="pocket_clear", effect=Effect(pocket_floor=1.0), side="pocket",
                    sd=shop.pocket_clear.standard, gross=GROSS, odds=0.03),
            Suspect(code="plug_clear", effect=Effect(plug_floor=1.0), side="plug",
                    sd=shop.plug_clear.standard, gross=GROSS, odds=0.03),
        ]  # fmt: skip
    on_bed = job.touch_off == "bed"
    thick = shop.thickness.standard
    found += [
        Suspect(code="base_thickness", effect=(base if on_bed else Effect()).plus(Effect(base_board=1.0)),
                side="pocket" if on_bed else "none", sd=thick, gross=BOARD, odds=0.04),
        Suspect(code="plug_thickness", effect=(plug if on_bed else Effect()).plus(Effect(plug_board=1.0)),
                side="plug" if on_bed else "none", sd=thick, gross=BOARD, odds=0.04),
    ]  # fmt: skip
    spreads = {source.name: source for source in sources(job, outline=True)}
    for name, source in spreads.items():
        side: Side = "pocket" if name.startswith("pocket") else "plug" if name.startswith("plug") else "both"
        if name.endswith(("angle", "tip")) or name == "runout":
            rise = _rise(job, depths, depth, below, name)
            engraved = name.endswith("angle")
            found.append(
                Suspect(code=name, effect=Effect(walls=rise), side=side, sd=source.spread.standard,
                        gross=ENGRAVED if engraved else 0.0, odds=0.03 if engraved else 0.0, one_way=source.one_sided)
            )  # fmt: skip
    if fit is not None and spreads["square"].spread.standard > 0:
        from inlayfit.tolerance.out_of_square import sheared

        tight = sheared(fit.pair.inside).tight
        found.append(
            Suspect(code="square", effect=Effect(walls=tight / known.plug_bit.slope), side="both",
                    sd=spreads["square"].spread.standard, one_way=True)
        )  # fmt: skip
    return found


def _rise(job: Job, depths: Depths, depth: float, below: float, name: str) -> float:
    """How much the walls rise for each degree, or mm, of an error of a bit."""
    step = 0.1 if name.endswith("angle") else 0.01
    turned, wider = (step, 0.0) if name.endswith("angle") else (0.0, step / 2)
    known = known_errors(job)

    def off(bit: Profile, part: str) -> Profile:
        return bit if name.startswith(("pocket_", "plug_")) and not name.startswith(part) else bit.off_by(turned, wider)

    at, moved = (
        _walls(job, depths, pocket, plug, depth, below)
        for pocket, plug in (
            (known.pocket_bit, known.plug_bit), (off(known.pocket_bit, "pocket"), off(known.plug_bit, "plug")),
        )
    )  # fmt: skip
    return (moved - at) / step


def _walls(job: Job, depths: Depths, pocket: Profile, plug: Profile, depth: float, below: float) -> float:
    bits = job.bits
    return wall_lift(
        (bits.pocket_v.shape, pocket), (bits.plug_v.shape, plug), depth=depth, below=below,
        joined=min(depth, depths.start_depth),
    )  # fmt: skip


def _slips(job: Job, depths: Depths, depth: float, below: float) -> list[Suspect]:
    known, bits = known_errors(job), job.bits
    f, s, u = depths.pocket_depth, depths.start_depth, depths.depth_below_start
    clears = bool(bits.clearing)
    found = []

    def slip(code: str, odds: float, side: Side, *, typed: float = 0.0, angle: float | None = None, **parts: float
             ) -> None:  # fmt: skip
        effect = Effect(**parts)
        if max(abs(part) for part in effect) >= FEWEST:
            found.append(
                Suspect(code=code, effect=effect, side=side, odds=odds, slip=True, typed=typed, angle=angle)
            )  # fmt: skip

    slip("start_at_0", 0.01, "plug", typed=s, walls=s, plug_floor=0.0 if clears else -s)
    if clears:
        slip("start_at_0_all", 0.006, "plug", typed=s, walls=s, plug_floor=-s)
        slip("start_at_0_clear", 0.006, "plug", plug_floor=-s)
    slip("total_as_below", 0.006, "plug", plug_floor=s)
    other = 1 - 1 / MM_PER_INCH
    slip("pocket_in_inches", 0.002, "pocket", pocket_floor=-f * other)
    slip("start_in_inches", 0.002, "plug", typed=s * other, walls=s * other, plug_floor=0.0 if clears else -s * other)
    slip("below_in_inches", 0.002, "plug", plug_floor=-u * other)

    def walls(pocket: Profile, plug: Profile) -> float:
        return _walls(job, depths, pocket, plug, depth, below) - _walls(
            job, depths, known.pocket_bit, known.plug_bit, depth, below
        )

    slope = known.plug_bit.slope
    told = bits.pocket_v.shape.flank_radius + bits.plug_v.shape.flank_radius
    if told > 0:
        # told a point, the programme runs the axis along the wall line, and the flat cuts on both sides of it
        slip("told_a_point", 0.01, "both", walls=-told / slope)
    else:
        slip("flat_not_told", 0.02, "both", walls=-USUAL_FLAT / slope)
    declared = bits.pocket_v.shape.angle
    if bits.pocket_v.shape.rounding == 0:
        for angle in ANGLES:
            if abs(angle - declared) < 5:
                continue
            turned = Profile(angle=angle, tip_radius=known.pocket_bit.tip_radius)
            slip(f"other_angle_{angle:g}", 0.006, "both", angle=angle, walls=walls(turned, turned))
            slip(f"pocket_angle_{angle:g}", 0.0005, "pocket", angle=angle, walls=walls(turned, known.plug_bit))
            slip(f"plug_angle_{angle:g}", 0.0005, "plug", angle=angle, walls=walls(known.pocket_bit, turned))
    lower = job.joint.level_below
    slip("levelled_zero", 0.003, "pocket", walls=-lower * known.pocket_bit.slope / slope,
         pocket_floor=0.0 if clears else lower)  # fmt: skip
    return found


def together(effects: list[Effect]) -> Effect:
    """The effect of all."""
    return Effect(*(math.fsum(parts) for parts in zip(*effects, strict=True))) if effects else Effect()
