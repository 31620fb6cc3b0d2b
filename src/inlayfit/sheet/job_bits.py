"""The bits of a job from a sheet's values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.cutters import Cutter, Profile, end_mill
from inlayfit.errors import key_path
from inlayfit.joint.job import Bits
from inlayfit.quantity import MM_PER_INCH, MM_PER_UNIT, LengthUnit, length_text
from inlayfit.sheet.assumptions import BY_UNIT, COMMON, Sheet, Values
from inlayfit.sheet.keytypes import Share
from inlayfit.sheet.scalar import quoted

V_STEPOVER: Final = 0.02
STRAIGHT_STEPOVER: Final = 0.40
_OF_PART: Final = {"v": "", "pocket_v": " (pocket)", "plug_v": " (plug)"}
_STAND_IN: Final = Cutter(
    name="none", shape=Profile(angle=60), real=Profile(angle=60), diameter=6, reach=None, depth_of_cut=3, stepover=0.12
)  # keeps the builder going where the sheet names no V-bit, which is a mistake already noted


def bits_of(sheet: Sheet) -> Bits:
    """Bits by role. Mistakes go to the sheet."""
    bits = sheet.part("bits")
    if "v" in bits:
        for rival in ("pocket_v", "plug_v"):
            if rival in bits:
                sheet.refuse(("bits", rival), f"found v and {rival}, expected v alone, or pocket_v and plug_v together")
        pocket_v = plug_v = _v_bit(sheet, "v")
    elif "pocket_v" in bits and "plug_v" in bits:
        pocket_v, plug_v = _v_bit(sheet, "pocket_v"), _v_bit(sheet, "plug_v")
        if abs(pocket_v.shape.angle - plug_v.shape.angle) > 1e-9:
            sheet.refuse(
                ("bits", "plug_v", "angle"),
                f"found {plug_v.shape.angle:g} deg beside pocket_v's {pocket_v.shape.angle:g} deg, expected the "
                "same angle: walls of different taper do not fit",
            )
    else:
        given = next((name for name in ("pocket_v", "plug_v") if name in bits), None)
        if given is not None:
            other = "plug_v" if given == "pocket_v" else "pocket_v"
            problem = f"found {given} without {other}, expected both, or v: alone for both walls"
            sheet.refuse(("bits", given), problem)
        else:
            sheet.refuse(("bits",), "found no V-bit, expected v: with its angle, or pocket_v: and plug_v:")
        pocket_v = plug_v = _STAND_IN
    clearing_value = bits.get("clearing")
    if clearing_value is None:
        clearing_values: tuple[Values, ...] = ()
        sheet.assume("bits.clearing", "none", "the V-bit clears the floors itself", kind="text")
    else:
        clearing_values = clearing_value if isinstance(clearing_value, tuple) else (clearing_value,)
    several = len(clearing_values) > 1
    numbers = range(1, len(clearing_values) + 1)
    places = [("bits", "clearing", *((f"[{number}]",) if several else ())) for number in numbers]
    clearing = [_straight_bit(sheet, place, value) for place, value in zip(places, clearing_values, strict=True)]
    v_bits = [pocket_v] if "v" in bits else [pocket_v, plug_v]
    named = [*zip((("bits", role) for role in ("v", "pocket_v", "plug_v") if role in bits), v_bits, strict=False),
             *zip(places, clearing, strict=True)]  # fmt: skip
    clearing.sort(key=lambda bit: -bit.diameter)
    largest = clearing[0] if clearing else None
    roles: dict[str, Cutter | None] = {}
    for role in ("cut_out", "levelling"):
        if role in bits:
            roles[role] = bit = _straight_bit(sheet, ("bits", role), bits[role])
            named.append((("bits", role), bit))
        else:
            roles[role] = largest
            if largest is not None:
                sheet.assume(f"bits.{role}", largest.name, "the largest clearing bit", kind="text")
    _refuse_one_name(sheet, named)
    return Bits(
        pocket_v=pocket_v,
        plug_v=plug_v,
        clearing=tuple(clearing),
        cut_out=roles["cut_out"],
        levelling=roles["levelling"],
        collet=bits.get("collet"),
    )


def _refuse_one_name(sheet: Sheet, named: Sequence[tuple[tuple[str, ...], Cutter]]) -> None:
    """Two bits of one name could not be told apart at the machine; one bit in two roles may well have one."""
    for number, (where, bit) in enumerate(named):
        for before, other in named[:number]:
            same = (bit.shape, bit.diameter) == (other.shape, other.diameter)
            if bit.name == other.name and not same:
                problem = f"found {quoted(bit.name)}, which is the name of {key_path(before)} too"
                sheet.refuse((*where, "name"), f"{problem}, expected another name")
                break


def _v_bit(sheet: Sheet, role: str) -> Cutter:
    where = ("bits", role)
    value = sheet.part("bits", role)
    key = f"bits.{role}"
    angle = float(value["angle"])
    if "tip" not in value and "ball" not in value:
        sheet.assume(f"{key}.tip", 0.0, "a true point; measure the flat, most bits have one")
    shape = Profile(angle=angle, tip_radius=value.get("tip", 0.0) / 2, rounding=value.get("ball", 0.0))
    diameter = value.get("diameter")
    if diameter is None:
        diameter = BY_UNIT["bits.v.diameter"][sheet.unit == "in"]
        sheet.assume(f"{key}.diameter", diameter, "a small common size")
    if 2 * shape.flank_radius >= diameter:
        tip_key = "ball" if shape.rounding else "tip"
        sheet.refuse(
            (*where, tip_key),
            f"found {length_text(value[tip_key], sheet.unit)}, expected a tip that is narrower than the bit's "
            f"{length_text(diameter, sheet.unit)} diameter",
        )
    return Cutter(
        name=value.get("name") or f"{angle:g} deg V-bit{_OF_PART[role]}",
        shape=shape,
        real=_measured(shape, value.get("measured") or {}),
        diameter=diameter,
        reach=value.get("reach"),
        depth_of_cut=_depth_of_cut(sheet, key, value, diameter),
        stepover=_stepover(sheet, where, value, diameter, V_STEPOVER),
        shank=value.get("shank"),
        stick_out=_stick_out(sheet, where, value),
    )


def _measured(declared: Profile, value: Values) -> Profile:
    """The real bit: what was measured, and what was declared for the rest."""
    angle = value.get("angle", declared.angle)
    if "tip" in value:
        return Profile(angle=angle, tip_radius=value["tip"] / 2)
    if "ball" in value:
        return Profile(angle=angle, rounding=value["ball"])
    return Profile(angle=angle, tip_radius=declared.tip_radius, rounding=declared.rounding)


def _straight_bit(sheet: Sheet, where: tuple[str, ...], value: Values) -> Cutter:
    diameter, corner = float(value["diameter"]), float(value.get("corner", 0.0))
    if corner > diameter / 2:
        sheet.refuse(
            (*where, "corner"),
            f"found {length_text(corner, sheet.unit)}, expected at most half the bit's "
            f"{length_text(diameter, sheet.unit)} diameter",
        )
        corner = 0.0
    key, shape = key_path(where), end_mill(diameter, corner)
    return Cutter(
        name=value.get("name") or _called(diameter, sheet.unit),
        shape=shape,
        real=shape,
        diameter=diameter,
        reach=value.get("reach"),
        depth_of_cut=_depth_of_cut(sheet, key, value, diameter),
        stepover=_stepover(sheet, where, value, diameter, STRAIGHT_STEPOVER),
        shank=value.get("shank"),
        stick_out=_stick_out(sheet, where, value),
    )


def _called(diameter: float, unit: LengthUnit) -> str:
    """A bit by its size, in the unit where it is round: 64ths of an inch, tenths of mm; else the sheet's."""
    round_in: dict[LengthUnit, bool] = {
        "in": _is_whole(diameter / MM_PER_INCH * 64),
        "mm": _is_whole(diameter * 10),
    }
    other: LengthUnit = "mm" if unit == "in" else "in"
    sold_in = other if round_in[other] and not round_in[unit] else unit
    return f"{diameter / MM_PER_UNIT[sold_in]:.4g} {sold_in} bit"


def _is_whole(number: float) -> bool:
    return abs(number - round(number)) < 1e-6


def _stick_out(sheet: Sheet, where: tuple[str, ...], value: Values) -> float | None:
    """From the tip to the collet; the reach where the sheet does not say."""
    reach, given = value.get("reach"), value.get("stick_out")
    if reach is not None and given is not None and given < reach:
        sheet.refuse(
            (*where, "stick_out"),
            f"found {length_text(given, sheet.unit)}, expected at least the reach of {length_text(reach, sheet.unit)}",
        )
    return reach if given is None else float(given)


def _depth_of_cut(sheet: Sheet, key: str, value: Values, diameter: float) -> float:
    given = value.get("depth_of_cut")
    if given is not None:
        return float(given)
    sheet.assume(f"{key}.depth_of_cut", diameter / 2, "half the diameter, common practice")
    return diameter / 2


def _stepover(sheet: Sheet, where: tuple[str, ...], value: Values, diameter: float, usual: float) -> float:
    given = value.get("stepover")
    if given is None:
        if where[1] not in ("cut_out", "levelling"):
            sheet.assume(f"{key_path(where)}.stepover", usual, COMMON, kind="share")
        given = Share(usual)
    step = given.fraction * diameter if isinstance(given, Share) else float(given)
    if step > diameter:
        sheet.refuse(
            (*where, "stepover"),
            f"found {length_text(step, sheet.unit)}, expected at most the bit's "
            f"{length_text(diameter, sheet.unit)} diameter",
        )
    return step
