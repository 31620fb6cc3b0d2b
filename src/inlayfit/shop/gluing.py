"""Glue and clamps: area of the joint, how much glue goes in, and how hard to press."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.cutters import Profile
from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths
from inlayfit.outline.regions import Outline, grown
from inlayfit.statement import Statement, told

FILM: Final = (0.05, 0.15)
"""Thickness in mm of a good line of white or yellow glue, 0.002 to 0.006 in (a wood scientist's column)."""
PRESSURES: Final = (
    # up to this specific gravity, MPa
    (0.45, (0.69, 1.03)),
    (0.58, (0.86, 1.21)),
    (math.inf, (1.21, 1.72)),
)
"""A glue maker's staff, by density, read in copies (the middle row from memory): 100 to 150, 125 to 175 and 175 to 250
lb/in2 for softwoods, medium and dense woods. Where one class ends is our own choice: walnut is medium."""
HANDBOOK_PRESSURES: Final = (0.7, 1.7)
"""From the least to the most dense woods; Wood Handbook, chapter on adhesives (from memory)."""
ABOUT: Final = 0.1
"""So much of its force a clamp may be tightened less and still press with about that."""
CLAMP_HOURS: Final = (1.0, 12.0)
"""At least, and better: an hour, overnight (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class PocketSections:
    """Areas in mm2 of the nominal pocket: its plan, and its sections from the plug's face down to its floor."""

    plan: float
    under_plug: tuple[float, float, float]
    """At the plug's face, half-way to the floor, and at the floor."""


@dataclass(frozen=True, kw_only=True)
class JointArea:
    """Glued surfaces in mm2: true area of the sloping walls, not their plan."""

    floor: float
    """Flat floor of the pocket under the plug's face."""
    walls: float
    """Sloping wall that plug and pocket share."""
    projected: float
    """The outline's plan area, which the clamp presses on."""

    @property
    def total(self) -> float:
        """Floor and walls."""
        return self.floor + self.walls


@dataclass(frozen=True, kw_only=True)
class GlueVolume:
    """Glue in ml."""

    spread: tuple[float, float]
    """A film on floor and walls, thin and thick."""
    cavity: float
    """Room between plug and pocket. What is more has to leave along the walls before the plug is down."""
    use: float
    """The thick film, but no more than the cavity holds, and no less than the thin film."""
    thirsty: bool
    """End grain drinks glue: size it first with a thin coat."""


@dataclass(frozen=True, kw_only=True)
class ClampForce:
    """Clamping force by published pressures. The glue maker's data sheet stands before it."""

    pressure: tuple[float, float]
    """MPa."""
    force: tuple[float, float]
    """N, on the outline's plan area."""
    rests_on: Statement
    hours: tuple[float, float] = CLAMP_HOURS
    """In the clamps, at least and better."""


@dataclass(frozen=True, kw_only=True)
class Clamping:
    """How to clamp: forces in N, and how many clamps that is."""

    force: tuple[float, float]
    bound: Literal["glue", "walls", "closing"]
    """What the force is bound by: what the glue wants; what the walls bear, which is less; or what closes the joint,
    which is more than either."""
    bears: float | None
    """What the walls bear for certain; None where that is not known."""
    clamps: tuple[int, int]
    each: float
    """What one of them presses with."""


def clamping(wants: ClampForce, each: float, *, bears: float | None = None, closes: float | None = None) -> Clamping:
    """Clamps of ``each`` N for what the glue wants, within what the walls bear, and not under what closes the joint.

    >>> wants = ClampForce(pressure=(0.7, 1.0), force=(3500.0, 5000.0), rests_on=told("clamp.handbook"))
    >>> clamping(wants, 1000).clamps, clamping(wants, 1000, bears=2600).clamps
    ((4, 5), (2, 2))
    """
    low, high = wants.force
    bound: Literal["glue", "walls", "closing"] = "glue"
    if bears is not None and bears < high:
        high = bears
        if bears < low:
            # as near to what the walls bear as whole clamps go, hardly less tightened
            bound, low = "walls", min(high, max(1, math.floor(high / each + ABOUT)) * each)
    if closes is not None and closes > low:
        low = closes
        if closes > high:
            high, bound = closes, "closing"
    fewest = max(1, math.ceil(low / each - 1e-9))
    most = max(fewest, math.floor(high / each + 1e-9))
    return Clamping(force=(low, high), bound=bound, bears=bears, clamps=(fewest, most), each=min(each, high / most))


def pocket_sections(outline: Outline, depths: Depths, shape: Profile) -> PocketSections:
    """Sections of the nominal pocket; each is shrunk from the one above, which is smooth where the outline is rough."""
    further = depths.glue_gap * shape.slope / 2
    upper = grown(outline.area, -depths.start_depth * shape.slope)
    middle = grown(upper, -further)
    lower = grown(middle, -further)
    plan, *below = (float(area.area) for area in (outline.area, upper, middle, lower))
    return PocketSections(plan=plan, under_plug=(below[0], below[1], below[2]))


def joint_area(sections: PocketSections, shape: Profile) -> JointArea:
    """Areas of the nominal joint.

    A wall that runs sideways by T for each unit of depth has 1 / sin(angle / 2) times the area of its plan. The plug's
    walls end at its face, the start depth down.
    """
    at_face, _, floor = sections.under_plug
    walls = (sections.plan - at_face) / math.sin(math.radians(shape.angle / 2))
    return JointArea(floor=floor, walls=walls, projected=sections.plan)


def cavity(sections: PocketSections, glue_gap: float, lift: float = 0.0) -> float:
    """Room in mm3 between pocket and plug: the glue gap, and the slit along the walls if it sits ``lift`` high.

    The pocket's sections between the plug's face and its floor by Simpson's rule (exact while
    no part of it runs out), and the plan area times ``lift``.
    """
    upper, middle, lower = sections.under_plug
    return glue_gap / 6 * (upper + 4 * middle + lower) + max(0.0, lift) * sections.plan


def glue_volume(joint: JointArea, cavity: float, *, end_grain: bool = False) -> GlueVolume:
    """Glue to spread for a joint, and the cavity (mm3) as its upper bound."""
    thin, thick = (film * joint.total / 1000 for film in FILM)
    room = cavity / 1000
    return GlueVolume(spread=(thin, thick), cavity=room, use=min(thick, room), thirsty=end_grain)


def clamp_force(projected: float, gravity: float | None = None) -> ClampForce:
    """Force on a plan area (mm2), by the specific gravity of the lighter of the two woods.

    Without one the handbook's whole span is given. Raises :class:`InputError` for an area or gravity that is not
    above 0.
    """
    if projected <= 0:
        raise InputError(f"found an area of {projected:g} mm2 to press on, expected above 0")
    if gravity is None:
        pressure = HANDBOOK_PRESSURES
        rests_on = told("clamp.handbook")
    else:
        if gravity <= 0:
            raise InputError(f"found a specific gravity of {gravity:g}, expected above 0")
        pressure = next(pair for most, pair in PRESSURES if gravity < most)
        rests_on = told("clamp.glue_maker", gravity=gravity)
    return ClampForce(
        pressure=pressure,
        force=(pressure[0] * projected, pressure[1] * projected),
        rests_on=rests_on,
    )
