"""Levelling: what is left when the plug's back has been taken off, in closed form."""

from __future__ import annotations

from dataclasses import dataclass

from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import Pass


@dataclass(frozen=True, kw_only=True)
class Levelling:
    """Facts of the levelling cut; lengths in mm."""

    passes: int
    """0 where no bit levels."""
    taken_off: float
    """From the plug's back, or from where it is sawn off, down to the levelled face."""
    sawn_off: float
    """What the saw takes off the plug's back before; 0 where none is used."""
    skin: float
    """Thickness of the plug's web, which bridges the surface gap until a pass breaks it away in pieces."""
    breaking_pass: int | None
    """Number of the first pass that leaves less of it than holds, and tears it."""
    board: float
    """Thickness of the board after levelling."""
    board_sanded: float
    inlay: float
    """Depth of inlay left under the levelled face, where the pocket is at its full depth."""
    inlay_sanded: float
    narrower: float
    """How much narrower a stroke shows after levelling than drawn: 2 k T for the two walls."""
    narrower_sanded: float
    vanishing_width: float
    """Drawn strokes this wide or narrower are gone after levelling: 2 (k T + r)."""
    vanishing_width_sanded: float
    rises_above: float
    """How far the plug's back stands above the base's face before levelling."""


def levelling(job: Job, depths: Depths, passes: tuple[Pass, ...], lift: float = 0.0) -> Levelling:
    """What levelling to ``level_below`` the original face, and sanding after it, leaves.

    ``lift`` is how far the plug sits above nominal, mm. A depth of inlay below 0 means that none is left.
    """
    joint, shape = job.joint, job.bits.pocket_v.shape
    level = [entry for entry in passes if entry.step == "level"]
    below = joint.level_below
    sanded = below + joint.sanding
    above = depths.above_face + lift
    stands = above if job.level.saw_to is None else min(above, job.level.saw_to)
    return Levelling(
        passes=len(level),
        taken_off=stands + below,
        sawn_off=above - stands,
        skin=depths.plug_web,
        breaking_pass=next((entry.number for entry in level if entry.breaks_skin), None),
        board=job.base.thickness - below,
        board_sanded=job.base.thickness - sanded,
        inlay=depths.start_depth - lift - below,
        inlay_sanded=depths.start_depth - lift - sanded,
        narrower=2 * below * shape.slope,
        narrower_sanded=2 * sanded * shape.slope,
        vanishing_width=2 * shape.half_width_at(below),
        vanishing_width_sanded=2 * shape.half_width_at(sanded),
        rises_above=above,
    )
