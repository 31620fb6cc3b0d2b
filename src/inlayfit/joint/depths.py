"""Depths of pocket and plug that match: the closed forms of the taper joint.

The pocket at depth z is the outline shrunk by z T (T = tan of half the included angle); the plug, cut outside the
mirrored outline, has at height t above its start plane the outline shrunk by t T as well. Turned over and lowered
until its start plane meets the base's face, the two touch along the whole wall. docs/method.md derives the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from inlayfit.errors import InputError
from inlayfit.joint.job import Job
from inlayfit.quantity import MM_PER_INCH, length_text

USUAL_POCKET_DEPTH = MM_PER_INCH / 4


@dataclass(frozen=True, kw_only=True)
class Depths:
    """Nominal depths and widths in mm; depths are positive downwards from the named face."""

    pocket_depth: float
    start_depth: float
    """From the plug blank's face to where the plug has exactly the outline's size."""
    depth_below_start: float
    plug_total_depth: float
    glue_gap: float
    surface_gap: float
    pocket_clearing_offset: float
    """Outline to the clearing bit's edge, inwards."""
    plug_clearing_offset: float
    """Outline to the clearing bit's edge, outwards."""
    full_depth_width: float
    """The narrowest stroke that reaches the pocket's full depth."""
    clearing_width: float | None
    """The narrowest stroke that the smallest clearing bit enters."""
    base_floor: float
    plug_web: float
    above_face: float
    """Plug standing above the base's face after the glue-up."""


def depths(job: Job) -> tuple[Depths, str]:
    """Depths of a job, and what the pocket's depth was bound by where the sheet leaves it out ('' otherwise).

    Raises :class:`InputError` where no joint is possible: a glue gap as deep as the pocket, or stock and bits
    that leave no depth.
    """
    joint, bits = job.joint, job.bits
    if joint.pocket_depth is None:
        pocket_depth, bound = derived_pocket_depth(job)
    else:
        pocket_depth, bound = joint.pocket_depth, ""
    if joint.glue_gap >= pocket_depth:
        raise InputError(
            f"a glue gap of {length_text(joint.glue_gap, job.unit)} leaves no plug in a pocket "
            f"{length_text(pocket_depth, job.unit)} deep, expected less than the pocket's depth",
            where=("joint", "glue_gap"),
        )
    shape = bits.pocket_v.shape
    # a floor that the clearing bit cut otherwise than programmed leaves the walls where they are, and the plug is as
    # much taller; where the V-bit cleared it, its walls went with it, and the plug with them
    start_depth = pocket_depth + (joint.pocket_off if bits.clearing else 0.0) - joint.glue_gap
    if start_depth <= 0:
        raise InputError(
            f"a glue gap of {length_text(joint.glue_gap, job.unit)} leaves no plug in a pocket measured "
            f"{length_text(pocket_depth + joint.pocket_off, job.unit)} deep",
            where=("measured", "pocket_depth"),
        )
    total = start_depth + joint.surface_gap
    pocket_offset = pocket_depth * shape.slope + joint.wall_allowance
    smallest = bits.clearing[-1] if bits.clearing else None
    found = Depths(
        pocket_depth=pocket_depth,
        start_depth=start_depth,
        depth_below_start=joint.surface_gap,
        plug_total_depth=total,
        glue_gap=joint.glue_gap,
        surface_gap=joint.surface_gap,
        pocket_clearing_offset=pocket_offset,
        plug_clearing_offset=joint.surface_gap * shape.slope + joint.wall_allowance,
        full_depth_width=2 * shape.half_width_at(pocket_depth),
        clearing_width=None if smallest is None else 2 * pocket_offset + smallest.diameter,
        base_floor=job.base.thickness - pocket_depth - max(0.0, joint.pocket_off),
        plug_web=job.plug.thickness - total,
        above_face=job.plug.thickness - start_depth,
    )
    return found, bound


def derived_pocket_depth(job: Job) -> tuple[float, str]:
    """The deepest pocket in mm that stocks, least floor and web, cones and reaches allow, and what binds it.

    At most the usual 1/4 in (common practice, no source). Rounded down to what the report prints, so that the
    number typed into a programme is the number computed with.
    """
    joint, bits, unit = job.joint, job.bits, job.unit
    # the plug is S + U deep with S = F - G, so a bound on the plug is one on F, less U - G
    plug_more = joint.surface_gap - joint.glue_gap
    bounds = [
        (USUAL_POCKET_DEPTH, "the usual 1/4 in (common practice)"),
        (
            job.base.thickness - job.base.least_floor,
            f"the base's thickness less the least floor of {length_text(job.base.least_floor, unit)}",
        ),
        (
            job.plug.thickness - job.plug.least_web - plug_more,
            f"the plug blank's thickness less the least web of {length_text(job.plug.least_web, unit)}",
        ),
        (bits.pocket_v.cone_height, f"the cone of the pocket's V-bit{_assumed_diameter(job, 'pocket_v')}"),
        (bits.plug_v.cone_height - plug_more, f"the cone of the plug's V-bit{_assumed_diameter(job, 'plug_v')}"),
    ]
    if bits.pocket_v.reach is not None:
        bounds.append((bits.pocket_v.reach, "the reach of the pocket's V-bit"))
    if bits.plug_v.reach is not None:
        bounds.append((bits.plug_v.reach - plug_more, "the reach of the plug's V-bit"))
    for bit in bits.clearing:
        if bit.reach is not None:
            bounds.append((min(bit.reach, bit.reach - plug_more), f"the reach of the clearing bit {bit.name!r}"))
    deepest, why = min(bounds)
    if deepest <= joint.glue_gap:
        raise InputError(
            f"no pocket depth is left: {why} allows {length_text(deepest, unit)}, and the glue gap alone takes "
            f"{length_text(joint.glue_gap, unit)}; thicker stock, a longer cone or a smaller surface gap is needed",
            where=("joint", "pocket_depth"),
        )
    step = 0.001 * MM_PER_INCH if job.sheet_unit == "in" else 0.01
    # the small share keeps a depth that is a whole number of steps from losing one to rounding
    return math.floor(deepest / step + 1e-6) * step, why


def _assumed_diameter(job: Job, role: str) -> str:
    """A word where the diameter that makes the cone so high is not the sheet's."""
    key = next((key for key in (f"bits.{role}.diameter", "bits.v.diameter") if job.is_assumed(key)), None)
    return "" if key is None else f", whose diameter is assumed: measure it and set {key}"


def cone_spare(job: Job, found: Depths) -> float:
    """By how much, in mm, the V-bits' cones are longer than their deepest cuts; below 0 one is too short."""
    pocket, plug = job.bits.pocket_v.cone_height, job.bits.plug_v.cone_height
    # hairs of rounding are no shortage
    return min(pocket - found.pocket_depth, plug - found.plug_total_depth) + 1e-9
