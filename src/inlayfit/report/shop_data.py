"""The shop round the joint as plain data: the part ``shop`` of the JSON output."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from inlayfit.checks.facts import Facts
from inlayfit.report.wording import say

if TYPE_CHECKING:
    from inlayfit.shop.cutting_time import CuttingTime
    from inlayfit.shop.hold_downs import Clearance
    from inlayfit.shop.levelling import Levelling
    from inlayfit.shop.shop import Shop

Length = Callable[[float], float]
"""Turns mm into the unit of the output."""


def shop_data(facts: Facts, length: Length, area: Length) -> dict[str, Any]:
    """What the shop needs besides the joint; what the sheet gives too little for is left out."""
    shop = None if facts.outline is None else facts.outline.shop
    found: dict[str, Any] = {"levelling": _levelling(facts.levelling, shop, length)}
    if shop is None:
        return found
    if shop.margins:
        found["margins"] = {
            entry.part: {
                edge.name: length(getattr(entry.margin, edge.name)) for edge in fields(entry.margin)
            }
            for entry in shop.margins
        }
    if shop.loose_pieces:
        found["loose_pieces"] = shop.loose_pieces
    if shop.hold_downs:
        found["hold_downs"] = [_hold_down(entry, length) for entry in shop.hold_downs]
    if shop.moisture is not None:
        found["moisture_percent"] = [round(moisture, 3) for moisture in shop.moisture]
    found |= _movement(shop, length)
    glue, wants, clamping = shop.glue, shop.glue_wants, shop.clamping
    found["joint_area"] = {name: area(getattr(shop.joint, name)) for name in ("floor", "walls", "projected")}
    found["glue_volume_ml"] = round(glue.use, 3)
    found["glue_film_ml"] = [round(film, 3) for film in glue.spread]
    found["glue_cavity_ml"] = round(glue.cavity, 3)
    found["clamp_force_kn"] = [round(force / 1000, 4) for force in clamping.force]
    found["clamp_bound"] = clamping.bound
    found["clamps"] = list(clamping.clamps)
    found["clamp_each_kn"] = round(clamping.each / 1000, 4)
    found["glue_wants_kn"] = [round(force / 1000, 4) for force in wants.force]
    found["clamp_pressure_mpa"] = list(wants.pressure)
    found["clamp_rests_on"] = say(wants.rests_on, facts.job.unit)
    found["clamp_hours"] = list(wants.hours)
    if shop.time is not None:
        found |= _time(shop.time, length)
    return found


def _levelling(found: Levelling, shop: Shop | None, length: Length) -> dict[str, Any]:
    data: dict[str, Any] = {"passes": found.passes} if found.passes else {}
    if found.breaking_pass is not None:
        data["breaking_pass"] = found.breaking_pass
    data |= {
        entry.name: length(getattr(found, entry.name))
        for entry in fields(found)
        if entry.name not in ("passes", "breaking_pass")
    }
    if shop is not None and shop.field is not None:
        data["field"] = [length(size) for size in shop.field.size]
        data["drawn"] = [length(size) for size in shop.field.drawn]
        data["run_off"] = length(shop.field.run_off)
    if shop is not None and shop.plug_field is not None:
        data["plug_field"] = [length(size) for size in shop.plug_field.size]
    return data


def _hold_down(entry: Clearance, length: Length) -> dict[str, Any]:
    found: dict[str, Any] = {"number": entry.number, "part": entry.set_up}
    if entry.clear_by is not None:
        found |= {"clear_by": length(entry.clear_by), "step": entry.step, "bit": entry.bit, "by": entry.by}
    found["strikes"] = [
        {
            "step": strike.step,
            "bit": strike.bit,
            "by": strike.by,
            "from_datum": [length(value) for value in strike.at],
        }
        for strike in entry.strikes
    ]
    return found


def _movement(shop: Shop, length: Length) -> dict[str, Any]:
    moved = shop.movement
    if moved is None:
        return {}
    return {
        "movement": length(moved.movement),
        "movement_range": [length(moved.lowest), length(moved.highest)],
        "movement_region": moved.region,
        "movement_direction": round(moved.direction, 6),
        "movement_width": length(moved.width),
    }


def _time(time: CuttingTime, length: Length) -> dict[str, Any]:
    found: dict[str, Any] = {
        "minutes": {
            "steps": [
                {
                    "part": step.part,
                    "step": step.step,
                    "bit": step.bit,
                    "path": length(step.path),
                    "minutes": round(step.minutes, 3),
                }
                for step in time.steps
            ],
            "total": round(time.total, 3),
            "left_out": [{"step": step, "needs": need} for step, need in time.left_out],
        }
    }
    if time.finer_stepover is not None:
        found["finer_stepover_minutes"] = round(time.finer_stepover, 3)
    if time.choices:
        found["clearing_choices"] = [
            {"bits": list(choice.bits), "minutes": round(choice.minutes, 3)} for choice in time.choices
        ]
    return found
