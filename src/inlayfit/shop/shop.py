"""The shop round the joint: what an outline means for blanks, hold-downs, wood, glue and time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import Pass
from inlayfit.outline.regions import Outline
from inlayfit.outline.survey import Survey
from inlayfit.shop.blanks import LevellingField
from inlayfit.shop.cutting_time import CuttingTime, Fields, cutting_time
from inlayfit.shop.gluing import (
    ClampForce,
    Clamping,
    GlueVolume,
    JointArea,
    cavity,
    clamp_force,
    clamping,
    glue_volume,
    joint_area,
    pocket_sections,
)
from inlayfit.shop.hold_downs import Clearance, clearances, hold_down
from inlayfit.shop.moisture import moisture_in
from inlayfit.shop.placement import (
    BlankMargin,
    Placement,
    base_placement,
    blank_margins,
    field_on,
    field_on_plug,
    plug_placement,
    rim_left_standing,
)
from inlayfit.shop.plug_border import cut_out
from inlayfit.shop.sweeps import sweeps
from inlayfit.shop.timber import Timber, specific_gravity_of, timber_of
from inlayfit.shop.wood_movement import WoodMovement, wood_movement


@dataclass(frozen=True, kw_only=True)
class Shop:
    """The results; None or empty where the sheet does not give what they need. Lengths in mm."""

    base: Placement | None
    plug: Placement | None
    margins: tuple[BlankMargin, ...]
    """Of the blanks whose size is given."""
    field: LevellingField | None
    plug_field: LevellingField | None
    """Of levelling passes that run over the plug's back alone."""
    rim_left: float
    """How far the plug's border reaches past what the levelling bit covers."""
    loose_pieces: int
    """How many pieces the cut-out sets free; 0 where the router cuts nothing out."""
    hold_downs: tuple[Clearance, ...]
    moisture: tuple[float, float] | None
    """Moisture content in % at cutting and in use."""
    movement: WoodMovement | None
    """Its directions are those of the outline as drawn."""
    unknown_woods: tuple[Literal["base", "plug"], ...]
    """Parts of which neither the sheet nor the table tells how they move."""
    joint: JointArea
    glue: GlueVolume
    glue_wants: ClampForce
    clamping: Clamping
    time: CuttingTime | None


@dataclass(frozen=True, kw_only=True)
class Pressed:
    """What the shop has to know of the seat."""

    lift: float = 0.0
    """How far the clamped plug sits above nominal, mm."""
    bears: float | None = None
    """Force in N that the walls bear for certain; None where there are none, or no seat was looked for."""
    closes: float | None = None
    """Least force in N that closes the joint; None likewise, or where none does."""


def shop(
    job: Job, depths: Depths, passes: tuple[Pass, ...], outline: Outline, survey: Survey, pressed: Pressed | None = None
) -> Shop:
    """All that the sheet gives enough for, of a plug pressed as told.

    Raises :class:`InputError` for a hold-down whose polygon is none.
    """
    base, plug = base_placement(job, outline), plug_placement(job, outline)
    field, plug_field = field_on(job, base), field_on_plug(job, base)
    shape = job.bits.pocket_v.shape
    sections = pocket_sections(outline, depths, shape)
    area = joint_area(sections, shape)
    moisture = _moisture(job)
    fields: Fields | None = None
    if field is not None and plug_field is not None:
        fields = {"board": field, "plug": plug_field}
    pressed = pressed or Pressed()
    wants = clamp_force(area.projected, _lighter(job))
    turned = 0.0 if job.outline is None else job.outline.turn
    base_wood, plug_wood = timber_of(job.base.wood, turned=turned), timber_of(job.plug.wood, turned=turned)
    woods: tuple[tuple[Literal["base", "plug"], Timber | None], ...] = (("base", base_wood), ("plug", plug_wood))
    return Shop(
        base=base,
        plug=plug,
        margins=blank_margins(job, depths, passes, base, plug),
        field=field,
        plug_field=plug_field,
        rim_left=rim_left_standing(job, base, field),
        loose_pieces=_loose_pieces(job, outline),
        hold_downs=_hold_downs(job, depths, passes, base, plug, field),
        moisture=moisture,
        movement=(
            wood_movement(outline, base_wood, plug_wood, *moisture)
            if moisture is not None and base_wood is not None and plug_wood is not None
            else None
        ),
        unknown_woods=tuple(part for part, wood in woods if wood is None),
        joint=area,
        glue=glue_volume(
            area,
            cavity(sections, depths.glue_gap, pressed.lift),
            end_grain="end" in (job.base.wood.face, job.plug.wood.face),
        ),
        glue_wants=wants,
        clamping=clamping(wants, job.joint.clamp_force_each, bears=pressed.bears, closes=pressed.closes),
        time=None if job.feeds is None else cutting_time(job, depths, outline, survey, job.feeds, fields),
    )


def _hold_downs(
    job: Job,
    depths: Depths,
    passes: tuple[Pass, ...],
    base: Placement | None,
    plug: Placement | None,
    field: LevellingField | None,
) -> tuple[Clearance, ...]:
    if not job.hold_downs:
        return ()
    found = []
    for number, source in enumerate(job.hold_downs, start=1):
        try:
            found.append(hold_down(source))
        except InputError as error:
            raise InputError(error.problem, where=("hold_downs", f"[{number}]", "polygon")) from error
    parts = {entry.set_up for entry in found}
    return clearances(
        found,
        sweeps(
            job,
            depths,
            passes,
            base=base.area if base is not None and "base" in parts else None,
            plug=plug.area if plug is not None and "plug" in parts else None,
            field=field if "level" in parts else None,
            collet=job.bits.collet,
        ),
    )


def _loose_pieces(job: Job, outline: Outline) -> int:
    bit = job.bits.cut_out
    if bit is None or not job.plug.cut_out:
        return 0
    return 1 if len(outline.regions) == 1 else cut_out(outline.area, job.plug.border, bit.diameter).pieces


def _moisture(job: Job) -> tuple[float, float] | None:
    cutting, use = job.climate.cutting, job.climate.use
    if cutting is None or use is None:
        return None
    return moisture_in(cutting), moisture_in(use)


def _lighter(job: Job) -> float | None:
    """Specific gravity of the lighter wood; None where that of either is not known."""
    base, plug = specific_gravity_of(job.base.wood), specific_gravity_of(job.plug.wood)
    return None if base is None or plug is None else min(base, plug)
