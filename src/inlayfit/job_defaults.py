"""From a sheet's values to a job: fills in what the sheet leaves out, and says what was assumed and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Final, cast

from inlayfit.bits import StraightBit, VBit, VShape
from inlayfit.errors import InputError, InputErrors
from inlayfit.job import (
    Assumed,
    AssumedKind,
    Base,
    Bits,
    Job,
    Joint,
    Limits,
    OutlineSource,
    PlugBlank,
    Spread,
    TouchOff,
)
from inlayfit.keytypes import Share
from inlayfit.quantity import MM_PER_INCH, LengthUnit, length_text

Values = Mapping[str, Any]

COMMON: Final = "common practice"
V_STEPOVER: Final = 0.02
STRAIGHT_STEPOVER: Final = 0.40
# round figures in the sheet's own unit, both in mm
BY_UNIT: Final[dict[str, tuple[float, float]]] = {
    # key: (mm sheet, inch sheet)
    "base.least_floor": (3.0, MM_PER_INCH / 8),
    "plug.border": (6.0, MM_PER_INCH / 4),
    "plug.least_web": (1.5, MM_PER_INCH / 16),
    "joint.glue_gap": (0.5, 0.02 * MM_PER_INCH),
    "joint.surface_gap": (2.5, 0.1 * MM_PER_INCH),
    "joint.level_below": (0.25, 0.01 * MM_PER_INCH),
    "joint.sanding": (0.25, 0.01 * MM_PER_INCH),
    "bits.v.diameter": (6.0, MM_PER_INCH / 4),
}


def job_from_values(
    values: Values,
    *,
    unit: LengthUnit,
    unit_given: bool,
    title: str,
    unused: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
) -> Job:
    """Build the job from a sheet's values (nested as the sheet is; lengths in mm).

    ``title`` stands where the sheet has none. Raises :class:`InputErrors` with every contradiction between keys,
    each with its key path.
    """
    builder = _Builder(values, unit)
    if not unit_given:
        builder.assume("unit", unit, "no unit given", kind="text")
    job = builder.job(title, unused, notes)
    if builder.mistakes:
        raise InputErrors(builder.mistakes)
    return job


class _Builder:
    """Collects assumptions and mistakes while the parts are made."""

    def __init__(self, values: Values, unit: LengthUnit) -> None:
        self.values = values
        self.unit = unit
        self.assumed: list[Assumed] = []
        self.mistakes: list[InputError] = []

    def assume(self, key: str, value: float | str, why: str, *, kind: AssumedKind = "length") -> None:
        if all(entry.key != key for entry in self.assumed):
            self.assumed.append(Assumed(key=key, value=value, why=why, kind=kind))

    def refuse(self, where: tuple[str, ...], problem: str) -> None:
        self.mistakes.append(InputError(problem, where=where))

    def part(self, *path: str) -> Values:
        node: Any = self.values
        for key in path:
            node = node.get(key) or {}
        return cast(Values, node)

    def length(self, section: str, key: str) -> float:
        """A length, or its default in the sheet's unit."""
        value = self.part(section).get(key)
        if value is None:
            value = BY_UNIT[f"{section}.{key}"][self.unit == "in"]
            self.assume(f"{section}.{key}", value, COMMON)
        return float(value)

    def job(self, title: str, unused: tuple[str, ...], notes: tuple[str, ...]) -> Job:
        base, plug, joint = self.part("base"), self.part("plug"), self.part("joint")
        touch_off: TouchOff | None = self.values.get("touch_off")
        if touch_off is None:
            touch_off = "face"
            self.assume("touch_off", "face", "most shops zero on the face", kind="text")
        through = plug.get("through")
        if through is None:
            through = 0.2
        return Job(
            title=self.values.get("title") or title,
            unit=self.unit,
            sheet_unit=self.unit,
            outline=self.outline(),
            base=Base(thickness=base["thickness"], least_floor=self.length("base", "least_floor")),
            plug=PlugBlank(
                thickness=plug["thickness"],
                border=self.length("plug", "border"),
                least_web=self.length("plug", "least_web"),
                cut_out=plug.get("cut_out", True),
                through=through,
            ),
            joint=Joint(
                pocket_depth=joint.get("pocket_depth"),
                glue_gap=self.length("joint", "glue_gap"),
                surface_gap=self.length("joint", "surface_gap"),
                level_below=self.length("joint", "level_below"),
                sanding=self.length("joint", "sanding"),
                wall_allowance=joint.get("wall_allowance", 0.0),
            ),
            bits=self.bits(),
            touch_off=touch_off,
            spread=self.spread(),
            limits=self.limits(),
            assumed=tuple(self.assumed),
            unused=unused,
            notes=notes,
        )

    def outline(self) -> OutlineSource | None:
        outline = self.part("outline")
        if not outline:
            return None
        if "file" not in outline and "shapes" not in outline:
            self.refuse(
                ("outline", "pocket"),
                "two drawings, one for each part, are not compared yet; expected file: with the pocket's drawing",
            )
        elif "plug" in outline:
            self.refuse(("outline", "plug"), "found plug without pocket, expected both drawings or file: alone")
        return OutlineSource(
            file=outline.get("file"),
            shapes=outline.get("shapes", ()),
            width=outline.get("width"),
            height=outline.get("height"),
            scale=outline.get("scale"),
            unit=outline.get("unit", self.unit),
        )

    def bits(self) -> Bits:
        bits = self.part("bits")
        if "v" in bits:
            for rival in ("pocket_v", "plug_v"):
                if rival in bits:
                    self.refuse(
                        ("bits", rival), f"found v and {rival}, expected v alone, or pocket_v and plug_v together"
                    )
            pocket_v = plug_v = self.v_bit("v")
        elif "pocket_v" in bits and "plug_v" in bits:
            pocket_v, plug_v = self.v_bit("pocket_v"), self.v_bit("plug_v")
            if abs(pocket_v.shape.angle - plug_v.shape.angle) > 1e-9:
                self.refuse(
                    ("bits", "plug_v", "angle"),
                    f"found {plug_v.shape.angle:g} deg beside pocket_v's {pocket_v.shape.angle:g} deg, expected the "
                    "same angle: walls of different taper do not fit",
                )
        else:
            given = [name for name in ("pocket_v", "plug_v") if name in bits]
            found = f"found only {given[0]}" if given else "found no V-bit"
            self.refuse(("bits",), f"{found}, expected v: with its angle, or pocket_v: and plug_v:")
            pocket_v = plug_v = _STAND_IN
        clearing_value = bits.get("clearing")
        if clearing_value is None:
            clearing_values: tuple[Values, ...] = ()
            self.assume("bits.clearing", "none", "the V-bit clears the floors itself", kind="text")
        else:
            clearing_values = clearing_value if isinstance(clearing_value, tuple) else (clearing_value,)
        several = len(clearing_values) > 1
        clearing = sorted(
            (
                self.straight_bit(("bits", "clearing") + ((f"[{number}]",) if several else ()), value)
                for number, value in enumerate(clearing_values, start=1)
            ),
            key=lambda bit: -bit.diameter,
        )
        largest = clearing[0] if clearing else None
        roles: dict[str, StraightBit | None] = {}
        for role in ("cut_out", "levelling"):
            if role in bits:
                roles[role] = self.straight_bit(("bits", role), bits[role])
            else:
                roles[role] = largest
                if largest is not None:
                    self.assume(f"bits.{role}", largest.name, "the largest clearing bit", kind="text")
        return Bits(
            pocket_v=pocket_v,
            plug_v=plug_v,
            clearing=tuple(clearing),
            cut_out=roles["cut_out"],
            levelling=roles["levelling"],
        )

    def v_bit(self, role: str) -> VBit:
        where = ("bits", role)
        value = self.part("bits", role)
        key = f"bits.{role}"
        angle = float(value["angle"])
        if "tip" not in value and "ball" not in value:
            self.assume(f"{key}.tip", 0.0, "a true point; measure the flat, most bits have one")
        shape = VShape(angle=angle, tip_radius=value.get("tip", 0.0) / 2, ball_radius=value.get("ball", 0.0))
        diameter = value.get("diameter")
        if diameter is None:
            diameter = BY_UNIT["bits.v.diameter"][self.unit == "in"]
            self.assume(f"{key}.diameter", diameter, "a small common size")
        if 2 * shape.flank_radius >= diameter:
            tip_key = "ball" if shape.ball_radius else "tip"
            self.refuse(
                (*where, tip_key),
                f"found {length_text(value[tip_key], self.unit)}, expected a tip that is narrower than the bit's "
                f"{length_text(diameter, self.unit)} diameter",
            )
        return VBit(
            name=value.get("name") or f"{angle:g} deg V{_OF_PART[role]}",
            shape=shape,
            diameter=diameter,
            reach=value.get("reach"),
            depth_of_cut=self.depth_of_cut(key, value, diameter),
            stepover=self.stepover(where, value, diameter, V_STEPOVER),
        )

    def straight_bit(self, where: tuple[str, ...], value: Values) -> StraightBit:
        diameter = float(value["diameter"])
        key = "bits." + "".join(part if part.startswith("[") else f".{part}" for part in where[1:]).lstrip(".")
        return StraightBit(
            name=value.get("name") or length_text(diameter, self.unit),
            diameter=diameter,
            reach=value.get("reach"),
            depth_of_cut=self.depth_of_cut(key, value, diameter),
            stepover=self.stepover(where, value, diameter, STRAIGHT_STEPOVER),
        )

    def depth_of_cut(self, key: str, value: Values, diameter: float) -> float:
        given = value.get("depth_of_cut")
        if given is not None:
            return float(given)
        self.assume(f"{key}.depth_of_cut", diameter / 2, "half the diameter, common practice")
        return diameter / 2

    def stepover(self, where: tuple[str, ...], value: Values, diameter: float, usual: float) -> float:
        given = value.get("stepover")
        if given is None:
            key = ".".join(where).replace(".[", "[")
            self.assume(f"{key}.stepover", usual, COMMON, kind="share")
            given = Share(usual)
        step = given.fraction * diameter if isinstance(given, Share) else float(given)
        if step > diameter:
            self.refuse(
                (*where, "stepover"),
                f"found {length_text(step, self.unit)}, expected at most the bit's "
                f"{length_text(diameter, self.unit)} diameter",
            )
        return step

    def spread(self) -> Spread:
        tolerance = self.part("tolerance")
        touch_off = tolerance.get("touch_off")
        if touch_off is None:
            touch_off = 0.05
            self.assume("tolerance.touch_off", touch_off, f"plus or minus, {COMMON}")
        thickness = tolerance.get("thickness")
        if thickness is None:
            thickness = 0.1
            self.assume("tolerance.thickness", thickness, f"plus or minus, {COMMON}")
        settings = ("pocket_v", "pocket_clear", "plug_v", "plug_clear")
        by_setting = touch_off if isinstance(touch_off, Mapping) else {}
        if by_setting and not any(name in by_setting for name in ("limit", "sd", "known")):
            missing = [name for name in settings if name not in by_setting]
            if missing:
                self.assume("tolerance.touch_off.limit", 0.05, f"plus or minus, {COMMON}, for {', '.join(missing)}")
                by_setting = {**by_setting, "limit": 0.05}
        shared = by_setting if by_setting else touch_off
        worst = {name: _worst(by_setting.get(name, shared)) for name in settings}
        return Spread(thickness=_worst(thickness), **worst)

    def limits(self) -> Limits:
        given = self.part("limits")
        known = {name: given[name] for name in (entry.name for entry in fields(Limits)) if name in given}
        glue_gap = known.get("glue_gap")
        if glue_gap is not None:
            least, most = glue_gap if isinstance(glue_gap, tuple) else (glue_gap, max(glue_gap, Limits().glue_gap[1]))
            if least > most:
                self.refuse(
                    ("limits", "glue_gap"),
                    f"found [{length_text(least, self.unit)}, {length_text(most, self.unit)}], expected [least, most]",
                )
            known["glue_gap"] = (least, most)
        return Limits(**known)


_OF_PART: Final = {"v": "", "pocket_v": ", pocket", "plug_v": ", plug"}
_STAND_IN: Final = VBit(
    name="none", shape=VShape(angle=60), diameter=6, reach=None, depth_of_cut=3, stepover=0.12
)  # keeps the builder going where the sheet names no V-bit, which is a mistake already noted


def _worst(spread: float | Values) -> float:
    """Worst case of a tolerance in mm; of a standard deviation three times it (common practice, no source)."""
    if not isinstance(spread, Mapping):
        return float(spread)
    if "limit" in spread:
        return float(spread["limit"])
    if "sd" in spread:
        return 3 * float(spread["sd"])
    if "known" in spread:
        return abs(float(spread["known"]))
    return 0.0
