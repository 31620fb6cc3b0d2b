"""A plan as plain data: the names of the JSON output. Names, once shipped, stay.

Lengths are in the job's unit, areas in its square, angles in degrees; rounded to 1e-6. A part that does not apply
is left out. Points are from the lower left of the outline's bounds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from inlayfit import __version__
from inlayfit.checks.facts import OutlineFacts
from inlayfit.checks.finding import Finding
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Assumed
from inlayfit.joint.schedule import Pass
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, quantity_text
from inlayfit.report.advice_text import CODE_WORDS
from inlayfit.report.cautions import cautions
from inlayfit.report.shop_data import shop_data
from inlayfit.report.stack_data import stack_data
from inlayfit.report.wording import reasons_text, remedies_text, say

if TYPE_CHECKING:
    from inlayfit.advice.search import Advice
    from inlayfit.seat.joint_line import JointLine
    from inlayfit.seat.seat import Seat, SeatedContact

FORMAT = 1


def data(plan: Plan, *, sheet: str, inputs: Mapping[str, str], advice: Advice | None = None) -> dict[str, Any]:
    """The plan as dicts, lists, numbers and text. ``inputs`` maps each file read to its sha256."""
    job, facts = plan.job, plan.facts
    scale = Scale(job.unit, facts.outline, from_datum=job.datum is not None)
    found: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "sheet": sheet,
        "inputs": [{"file": name, "sha256": digest} for name, digest in inputs.items()],
        "title": job.title,
        "unit": job.unit,
        "scope": facts.scope,
        "verdict": plan.verdict,
        "depths": scale.depths(facts.depths),
        "passes": [scale.one_pass(entry) for entry in facts.passes],
    }
    if facts.outline is not None:
        found["outline"] = scale.outline(facts.outline)
    if facts.outline is not None and facts.outline.fit is not None:
        found["seat"] = scale.seat(facts.outline.fit.seat)
    found["shop"] = shop_data(facts, scale.length, scale.area)
    if facts.stack is not None:
        found["stack"] = stack_data(facts.stack, scale.length, job.unit)
    found["checks"] = [scale.finding(entry) for entry in plan.findings]
    if advice is not None:
        found["advice"] = scale.advice(advice)
    found["assumed"] = [
        {"key": entry.key, "value": scale.assumed(entry), "why": entry.why} for entry in job.assumed
    ]
    found["notes"] = list(job.notes)
    found["unused"] = list(job.unused)
    found["cautions"] = list(cautions(job))
    return found


class Scale:
    """Turns mm into the job's unit and places into the frame of the report."""

    def __init__(self, unit: LengthUnit, outline: OutlineFacts | None, *, from_datum: bool) -> None:
        self.unit, self.mm = unit, MM_PER_UNIT[unit]
        self.origin = outline.survey.bounds[:2] if outline is not None else (0.0, 0.0)
        self.base = outline.shop.base if outline is not None and from_datum else None

    def length(self, value: float) -> float:
        return round(value / self.mm, 6) + 0.0

    def area(self, value: float) -> float:
        return round(value / self.mm**2, 6) + 0.0

    def place(self, point: tuple[float, float]) -> dict[str, list[float]]:
        """A place from the lower left of the outline's bounds, and from the datum where the sheet sets one."""
        found = {"at": [self.length(value - low) for value, low in zip(point, self.origin, strict=True)]}
        if self.base is not None:
            found["from_datum"] = [self.length(value) for value in self.base.from_datum(point)]
        return found

    def depths(self, depths: Depths) -> dict[str, float]:
        values = {entry.name: getattr(depths, entry.name) for entry in fields(depths)}
        return {name: self.length(value) for name, value in values.items() if value is not None}

    def one_pass(self, entry: Pass) -> dict[str, Any]:
        found: dict[str, Any] = {
            "part": entry.part,
            "step": entry.step,
            "bit": entry.bit,
            "zero": entry.zero,
            "number": entry.number,
            "of": entry.of,
        }
        if entry.start_depth is not None and entry.depth_below_start is not None:
            found["start_depth"] = self.length(entry.start_depth)
            found["depth_below_start"] = self.length(entry.depth_below_start)
        found["total_depth"] = self.length(entry.total_depth)
        found["load"] = self.length(entry.load)
        if entry.over is not None:
            found["over"] = entry.over
        if entry.breaks_skin:
            found["breaks_skin"] = True
        return found

    def seat(self, seat: Seat) -> dict[str, Any]:
        found: dict[str, Any] = {
            "lift": self.length(seat.lift),
            "lift_strong": self.length(seat.lift_strong),
            "first_touch": self.length(seat.first_touch),
            "by_hand": [self.length(lift) for lift in seat.by_hand],
            "contacts": [self.contact(contact) for contact in seat.contacts],
            "crushed_area": self.area(seat.crushed_area),
            "crushed_share": round(seat.crushed_share, 6),
            "wall_load_n": [round(load, 1) for load in seat.wall_load],
            "clamp_force_n": round(seat.clamp_force, 1),
        }
        if seat.closing_force is not None:
            found["closing_force_n"] = round(seat.closing_force, 1)
        found["glue_gap"] = self.length(seat.glue_gap)
        found["surface_gap"] = self.length(seat.surface_gap)
        least: dict[str, Any] = {"value": self.length(seat.surface_gap_least)}
        if seat.surface_gap_least_at is not None:
            least |= self.place(seat.surface_gap_least_at)
        found["surface_gap_least"] = least
        found["joint_line"] = self.joint_line(seat.seen)
        found["joint_line_face"] = self.joint_line(seat.joint_line)
        return found

    def contact(self, contact: SeatedContact) -> dict[str, Any]:
        found: dict[str, Any] = {
            "kind": contact.kind,
            "part": contact.side,
            **self.place(contact.at),
            "lift": self.length(contact.lift),
            "crushed": self.length(contact.crushed),
            "lost": self.length(contact.lost),
        }
        if contact.half_angle is not None:
            found["angle"] = round(2 * contact.half_angle, 6)
        if contact.width is not None:
            found["width"] = self.length(contact.width)
        return found

    def joint_line(self, line: JointLine) -> dict[str, Any]:
        return {
            "largest": self.length(line.largest),
            **self.place(line.at),
            "mean": self.length(line.mean),
            "share_over_limit": round(line.share_over_limit, 6),
        }

    def outline(self, outline: OutlineFacts) -> dict[str, Any]:
        survey = outline.survey
        low_x, low_y, high_x, high_y = survey.bounds
        found: dict[str, Any] = {
            "area": self.area(survey.area),
            "perimeter": self.length(survey.perimeter),
            "bounds": [0.0, 0.0, self.length(high_x - low_x), self.length(high_y - low_y)],
            "regions": survey.regions,
            "holes": survey.holes,
        }
        for name in ("narrowest_stroke", "narrowest_gap"):
            width = getattr(survey, name)
            if width is not None:
                found[name] = {"value": self.length(width.value), **self.place(width.at)}
        corner = survey.corner
        if corner is not None:
            found["sharpest_corner"] = {"value": round(corner.value, 6), **self.place(corner.at)}
        return found

    def finding(self, entry: Finding) -> dict[str, Any]:
        found: dict[str, Any] = {"id": entry.id, "status": entry.status}
        for name in ("value", "limit"):
            value = getattr(entry, name)
            if value is not None:
                found[name] = self.length(value) if entry.kind == "length" else round(value, 6) + 0.0
        found["message"] = reasons_text(entry, self.unit)
        if entry.remedies:
            found["remedy"] = remedies_text(entry, self.unit)
        found["places"] = [
            {**self.place(place.at), "value": self.length(place.value), "message": say(place.reason, self.unit)}
            for place in entry.places
        ]
        found["rests_on"] = list(entry.rests_on)
        return found

    def advice(self, advice: Advice) -> dict[str, Any]:
        found: dict[str, Any] = {
            "changes": [
                {
                    "change": CODE_WORDS[step.code],
                    "set": [f"{change.key}={change.value}" for change in step.changes],
                    "mends": list(step.mends),
                }
                for step in advice.steps
            ],
            "unmet": list(advice.unmet),
        }
        if advice.planned is not None:
            found["set"] = [f"{change.key}={change.value}" for change in advice.changes]
            found["verdict"] = advice.planned.verdict
            if (seat := advice.planned.facts.seat) is not None:
                found["first_touch"] = self.length(seat.first_touch)
                found["by_hand"] = [self.length(lift) for lift in seat.by_hand]
                found["lift"] = self.length(seat.lift)
        return found

    def assumed(self, entry: Assumed) -> float | str:
        """Lengths and shares as numbers; forces and pressures as text with their unit."""
        if isinstance(entry.value, str):
            return entry.value
        if entry.kind == "length":
            return self.length(entry.value)
        plain = entry.kind in ("share", "angle", "slope")
        return round(entry.value, 6) if plain else quantity_text(entry.value, entry.kind)
