"""A plan's programmes as the tests' writer posts them, read again and cut: what a proof starts from."""

from __future__ import annotations

from typing import NamedTuple

import programme_writer
from programme_writer import Style, Typed

from inlayfit.joint.job import Job, ProgrammeSource
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import Outline
from inlayfit.plan import Plan, plan
from inlayfit.programme.reader import Programme, read_programme
from inlayfit.proof.part_cut import Frame, PartCut, frame_of, part_cut
from inlayfit.proof.posted_pair import posted_pair
from inlayfit.seat.seat import Loads, Seat, Standard, Touch, seat
from inlayfit.shop.placement import base_placement, plug_placement


class Planned(NamedTuple):
    job: Job
    outline: Outline
    analysis: OutlineAnalysis
    plan: Plan
    numbers: Typed


def planned(job: Job, outline: Outline) -> Planned:
    analysis = OutlineAnalysis(outline)
    made = plan(job, outline, analysis)
    return Planned(made.job, outline, analysis, made, programme_writer.typed(made))


def frames(of: Planned) -> tuple[Frame, Frame]:
    base, plug = base_placement(of.job, of.outline), plug_placement(of.job, of.outline)
    assert base is not None and plug is not None
    return frame_of(of.job, "pocket", base), frame_of(of.job, "plug", plug)


def texts(of: Planned, style: Style, numbers: Typed | None = None) -> tuple[str, str]:
    """The base's programme and the plug's."""
    numbers, (base, plug) = numbers or of.numbers, frames(of)
    return (
        programme_writer.posted(programme_writer.pocket_strokes(of.outline, of.analysis, numbers), base, style),
        programme_writer.posted(programme_writer.plug_strokes(of.outline, of.analysis, numbers), plug, style),
    )


def source(job: Job, part: str, programme: Programme) -> ProgrammeSource:
    """Which bit is which T number of the writer's."""
    clearing = job.bits.clearing[-1].name if job.bits.clearing else ""
    named = {programme_writer.CLEARING: clearing, programme_writer.V: f"{part}_v", programme_writer.CUT_OUT: "cut_out"}
    cuts = programme.moves.tool[programme.moves.motion > 0]
    tools = tuple((number, named[number]) for number in sorted(set(cuts.tolist())))
    return ProgrammeSource(programme.name, tools=tools)


def cuts(of: Planned, base: str, plug: str) -> tuple[PartCut, PartCut]:
    found = []
    for part, text, frame in zip(("pocket", "plug"), (base, plug), frames(of)):
        programme = read_programme(text, name=f"{part}.nc", unit=of.job.sheet_unit)
        found.append(part_cut(part, [(source(of.job, part, programme), programme)], of.job.bits, frame))  # type: ignore
    return found[0], found[1]


def seat_of_cuts(of: Planned, base: PartCut, plug: PartCut) -> Seat:
    """As the plan's seat, from what was posted."""
    fit = of.plan.facts.outline.fit  # type: ignore[union-attr]
    assert fit is not None
    loads = Loads(
        crush_strength_mpa=fit.strength.across, clamp_force_n=fit.seat.clamp_force,
        hand_force_n=of.job.joint.hand_force, strength_along_mpa=fit.strength.along,
    )  # fmt: skip
    pair = posted_pair(of.job, of.plan.facts.depths, of.analysis, base, plug)
    return seat(Touch(pair), loads, Standard(level_below=of.job.joint.level_below))
