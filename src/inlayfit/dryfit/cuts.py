"""Cuts that bring a plug to its seat, each with what it needs and what it leaves. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Held, Job

SPARE: Final = 0.2
"""Least depth below the start that a plug must keep, in mm: less, and its own floor lands on the base."""


@dataclass(frozen=True, kw_only=True)
class Correction:
    """One cut. ``zero_shift`` moves the programme's zero (below 0: deeper); the depths are what to type.

    ``needs`` is what must hold before it can be run, ``why`` what it does, ``minding`` what to look out for. The lift
    and gaps after it are clamped; ``stops`` says why this cut is out of the question, '' where it is not.
    """

    part: Literal["base", "plug"]
    step: Literal["walls", "clear and walls", "new plug"]
    needs: str
    why: str
    minding: str = ""
    zero_shift: float | None = None
    start_depth: float | None = None
    depth_below_start: float | None = None
    total_depth: float | None = None
    clearing_offset: float | None = None
    lift_after: float
    glue_gap_after: float
    surface_gap_after: float
    stops: str = ""


@dataclass(frozen=True, kw_only=True)
class Gaps:
    """Clamped lift, glue gap and surface gap of the pair as it should be, with the floors as they were measured."""

    lift: float
    glue_gap: float
    surface_gap: float


def for_a_proud_plug(
    job: Job, depths: Depths, excess: float, held: Held, after: Gaps, *, by_base: str = ""
) -> tuple[Correction, ...]:
    """Cuts for a plug that is held up by ``excess``, the best first; those that cannot be made come last.

    ``by_base`` says why a deeper pocket wall would not help, '' where it does.
    """
    found = []
    if held in ("plug", "both"):
        found.append(_plug_walls(job, depths, excess, after))
    if held in ("base", "both"):
        found.append(_pocket_walls(job, depths, excess, after, by_base))
    found.append(_new_plug(job, depths, excess, after))
    return tuple(sorted(found, key=lambda cut: bool(cut.stops)))


def for_a_plug_on_the_floor(job: Job, depths: Depths, more: float, held: Held, after: Gaps) -> tuple[Correction, ...]:
    """The pocket deepened by ``more`` on the same wall line; ``after`` is about where the plug then closes."""
    depth = depths.pocket_depth + more
    room = _base_room(job, depths, more)
    if after.surface_gap < SPARE:
        room = "the plug would sink until its own floor lands on the base"
    deeper = Correction(
        part="base",
        step="clear and walls",
        needs="the base still clamped, on the zeros of both bits",
        why="the floor goes down and the wall line stays where it is, so that the plug sinks until its walls close",
        minding="clear with the offset given, never the V-bit alone at its old offsets; then read again",
        total_depth=depth,
        clearing_offset=depth * job.bits.pocket_v.shape.slope + job.joint.wall_allowance,
        lift_after=after.lift,
        glue_gap_after=after.glue_gap,
        surface_gap_after=after.surface_gap,
        stops=room if held in ("base", "both") else "the base is no longer on its zero",
    )
    return (deeper,)


def _plug_walls(job: Job, depths: Depths, excess: float, after: Gaps) -> Correction:
    below = depths.depth_below_start - excess
    stops = ""
    if below < SPARE:
        stops = "as much as the plug is cut below its start: its own floor would land on the base"
    return Correction(
        part="plug",
        step="walls",
        needs="the plug still clamped, and the V-bit on its zero",
        why="the wall programme runs again, its start deeper and its total unchanged: every contact goes down by it",
        start_depth=depths.start_depth + excess,
        depth_below_start=below,
        total_depth=depths.plug_total_depth,
        lift_after=after.lift,
        glue_gap_after=after.glue_gap,
        surface_gap_after=after.surface_gap,
        stops=stops,
    )


def _pocket_walls(job: Job, depths: Depths, excess: float, after: Gaps, by_base: str) -> Correction:
    return Correction(
        part="base",
        step="walls",
        needs="the base still clamped, and the V-bit on its zero",
        why="the wall programme runs again, unchanged, with its zero lower: walls, strokes and inner corners go down "
        "by it, points by less",
        minding="the cleared floor stays, and with it the glue gap; a groove that deep may show at the wall's foot",
        zero_shift=-excess,
        total_depth=depths.pocket_depth + excess,
        lift_after=after.lift,
        glue_gap_after=after.glue_gap,
        surface_gap_after=after.surface_gap,
        stops=by_base or _base_room(job, depths, excess),
    )


def _new_plug(job: Job, depths: Depths, excess: float, after: Gaps) -> Correction:
    below = max(depths.depth_below_start - excess, SPARE)
    start = depths.start_depth + excess
    room = job.plug.thickness - start - below - job.plug.least_web
    return Correction(
        part="plug",
        step="new plug",
        needs="a new blank, and every bit touched off as for the first one",
        why="the pocket stays, the new plug is cut with the start that this pocket has shown to need",
        minding="whatever made the first one stand high must still be so: find it before you cut",
        start_depth=start,
        depth_below_start=below,
        total_depth=start + below,
        lift_after=after.lift,
        glue_gap_after=after.glue_gap,
        surface_gap_after=below + excess + after.lift,
        stops="" if room >= 0 else "the blank is too thin for it",
    )


def _base_room(job: Job, depths: Depths, more: float) -> str:
    """Why the pocket cannot go deeper by this, or ''."""
    bit = job.bits.pocket_v
    if depths.base_floor - more < job.base.least_floor:
        return "it would leave less wood under the pocket than the least floor"
    if depths.pocket_depth + more > bit.cone_height:
        return "the V-bit's cone is too short for it"
    if bit.reach is not None and depths.pocket_depth + more > bit.reach:
        return "the V-bit does not reach so deep"
    return ""
