"""From a sheet's values to a job: fills in what the sheet leaves out, and says what was assumed and why."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from inlayfit.checks.depth_checks import GLUE_GAP
from inlayfit.checks.outline_checks import LEAST_INLAY, LEAST_RIB
from inlayfit.errors import InputErrors
from inlayfit.joint.job import (
    AssumedKind,
    Base,
    DryFitReadings,
    Job,
    Joint,
    Level,
    OutlineSource,
    PlugBlank,
    TouchOff,
)
from inlayfit.joint.limits import Limits
from inlayfit.quantity import LengthUnit, length_text
from inlayfit.sheet.assumptions import COMMON, Sheet, Values
from inlayfit.sheet.job_bits import bits_of
from inlayfit.sheet.job_shop import climate_of, feeds_of, hold_downs_of, programmes_of, wood_of
from inlayfit.sheet.tolerances import tolerance_of
from inlayfit.sheet.unusual import unusual

UNITLESS: Final = (".wkt", ".geojson", ".json")
"""Endings of drawings whose numbers carry no unit."""


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
    sheet = Sheet(values, unit)
    if not unit_given:
        sheet.assume("unit", unit, "no unit given", kind="text")
    job = _job(sheet, title, unused, notes)
    if sheet.mistakes:
        raise InputErrors(sheet.mistakes)
    return replace(job, notes=(*job.notes, *unusual(job)))


def _job(sheet: Sheet, title: str, unused: tuple[str, ...], notes: tuple[str, ...]) -> Job:
    base, plug, joint = sheet.part("base"), sheet.part("plug"), sheet.part("joint")
    touch_off: TouchOff | None = sheet.values.get("touch_off")
    if touch_off is None:
        touch_off = "face"
        sheet.assume("touch_off", "face", "most shops zero on the face", kind="text")
    measured: float | None = sheet.part("measured").get("pocket_depth")
    if measured is not None:
        notes = (*notes, *_measured(sheet, measured))
    through = plug.get("through")
    if through is None:
        through = 0.2
        if plug.get("cut_out", True):
            sheet.assume("plug.through", through, COMMON)
    return Job(
        title=sheet.values.get("title") or title,
        unit=sheet.unit,
        sheet_unit=sheet.unit,
        outline=_outline(sheet),
        base=Base(
            wood=wood_of(sheet, "base"),
            thickness=base["thickness"],
            least_floor=sheet.length("base", "least_floor"),
            blank=base.get("blank"),
        ),
        plug=PlugBlank(
            wood=wood_of(sheet, "plug"),
            thickness=plug["thickness"],
            border=sheet.length("plug", "border"),
            least_web=sheet.length("plug", "least_web"),
            cut_out=plug.get("cut_out", True),
            through=through,
            blank=plug.get("blank"),
            at=plug.get("at"),
        ),
        joint=Joint(
            pocket_depth=joint.get("pocket_depth"),
            glue_gap=sheet.length("joint", "glue_gap"),
            surface_gap=sheet.length("joint", "surface_gap"),
            level_below=sheet.length("joint", "level_below"),
            sanding=sheet.length("joint", "sanding"),
            wall_allowance=joint.get("wall_allowance", 0.0),
            hand_force=_pressing(sheet, joint, "hand_force", 100.0, "force"),
            clamp_pressure=_pressing(sheet, joint, "clamp_pressure", 0.7, "pressure"),
            clamp_force=joint.get("clamp_force"),
            clamp_force_each=_pressing(sheet, joint, "clamp_force_each", 1000.0, "force"),
            pocket_measured=measured,
        ),
        bits=bits_of(sheet),
        touch_off=touch_off,
        tolerance=tolerance_of(sheet),
        limits=_limits(sheet),
        datum=sheet.values.get("datum"),
        hold_downs=hold_downs_of(sheet),
        level=Level(**sheet.part("level")),
        climate=climate_of(sheet),
        dry_fit=DryFitReadings(**sheet.part("dry_fit")),
        feeds=feeds_of(sheet),
        programmes=programmes_of(sheet),
        assumed=tuple(sheet.assumed),
        unused=unused,
        notes=notes,
    )


def _measured(sheet: Sheet, measured: float) -> tuple[str, ...]:
    """A word on the pocket as measured; what was programmed must be known beside it."""
    where, programmed = ("measured", "pocket_depth"), sheet.part("joint").get("pocket_depth")
    if programmed is None:
        sheet.refuse(where, "found without joint.pocket_depth, expected the depth that was programmed as well")
        return ()
    thick = sheet.part("base")["thickness"]
    told, drawn = (length_text(value, sheet.unit) for value in (measured, programmed))
    if measured >= thick:
        sheet.refuse(where, f"found {told}, expected less than the base's {length_text(thick, sheet.unit)}")
        return ()
    return (f"the plug's numbers go by the pocket as measured, {told} deep where {drawn} was programmed",)


def _pressing(sheet: Sheet, joint: Values, key: str, usual: float, kind: AssumedKind) -> float:
    value = joint.get(key)
    if value is not None:
        return float(value)
    # a force given in place of the pressure leaves nothing to assume, and a sheet without outline no seat
    if sheet.part("outline") and not (key == "clamp_pressure" and "clamp_force" in joint):
        sheet.assume(f"joint.{key}", usual, COMMON, kind=kind)
    return usual


def _outline(sheet: Sheet) -> OutlineSource | None:
    outline = sheet.part("outline")
    if not outline:
        return None
    if ("pocket" in outline) != ("plug" in outline):
        found, missing = ("pocket", "plug") if "pocket" in outline else ("plug", "pocket")
        sheet.refuse(("outline", found), f"found {found} without {missing}, expected both drawings or file: alone")
    file = outline.get("file") or outline.get("pocket")
    name = (file or "").lower()
    sized = "width" in outline or "height" in outline
    if name.endswith(UNITLESS) and not sized and "unit" not in outline:
        sheet.assume("outline.unit", sheet.unit, "the drawing names no unit: the sheet's", kind="text")
    return OutlineSource(
        file=file,
        plug=outline.get("plug"),
        shapes=outline.get("shapes", ()),
        width=outline.get("width"),
        height=outline.get("height"),
        scale=outline.get("scale"),
        unit=outline.get("unit", sheet.unit),
        unit_given="unit" in outline,
        layers=_several(outline.get("layer", ())),
        take=outline.get("take"),
        colours=_several(outline.get("colours", ())),
        clip_page=outline.get("page") == "clip",
        join=outline.get("join"),
        at=outline.get("at"),
        turn=outline.get("turn", 0.0),
    )


def _several(names: str | tuple[str, ...]) -> tuple[str, ...]:
    return (names,) if isinstance(names, str) else names


def _limits(sheet: Sheet) -> Limits:
    given = dict(sheet.part("limits"))
    for limit in (GLUE_GAP, LEAST_INLAY, LEAST_RIB):
        value = given.get(limit.key)
        if value is None:
            continue
        first, second = limit.default
        if isinstance(value, tuple):
            first, second = value
        elif limit.one_sets == "first":
            first, second = value, max(value, second)
        else:
            first, second = min(first, value), value
        if first > second:
            sheet.refuse(
                ("limits", limit.key),
                f"found [{length_text(first, sheet.unit)}, {length_text(second, sheet.unit)}], expected [least, most]",
            )
        given[limit.key] = (first, second)
    return Limits(given)
