"""The job: frozen records of what is to be made, in mm and degrees, with every default filled in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from inlayfit.joint.bits import StraightBit, VBit
from inlayfit.quantity import LengthUnit

AssumedKind = Literal["length", "share", "force", "pressure", "text"]
TouchOff = Literal["face", "bed"]


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """A value the sheet left out, what stands for it, and why."""

    key: str
    value: float | str
    why: str
    kind: AssumedKind = "length"


@dataclass(frozen=True, kw_only=True)
class OutlineSource:
    """Where the outline comes from: a drawing's file name or inline shapes, what counts of it, how it is scaled."""

    file: str | None
    shapes: tuple[Mapping[str, Any], ...] = ()
    width: float | None = None
    height: float | None = None
    scale: float | None = None
    unit: LengthUnit
    """Unit of a drawing that names none."""
    unit_given: bool = False
    """Whether the sheet says so, and it is not the sheet's own unit for want of another."""
    layers: tuple[str, ...] = ()
    take: Literal["filled", "closed"] | None = None
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Wood:
    """What a part is made of. ``crush_strength`` in MPa stands in for the table's; None: the table's."""

    name: str | None
    crush_strength: float | None
    face: Literal["long", "end"]
    """Which grain the face shows."""


@dataclass(frozen=True, kw_only=True)
class Base:
    """The board that gets the pocket."""

    wood: Wood
    thickness: float
    least_floor: float


@dataclass(frozen=True, kw_only=True)
class PlugBlank:
    """The blank that the plug is cut from."""

    wood: Wood
    thickness: float
    border: float
    least_web: float
    cut_out: bool
    through: float


@dataclass(frozen=True, kw_only=True)
class Joint:
    """What the sheet asks of the joint. ``pocket_depth`` is None where it is to be derived."""

    pocket_depth: float | None
    glue_gap: float
    surface_gap: float
    level_below: float
    sanding: float
    wall_allowance: float
    hand_force: float
    """N."""
    clamp_pressure: float
    """MPa on the outline's area; stands back where ``clamp_force`` is given."""
    clamp_force: float | None
    """N."""


@dataclass(frozen=True, kw_only=True)
class Bits:
    """Bits by role. ``clearing`` is sorted from the largest down; a role without a bit is None or empty."""

    pocket_v: VBit
    plug_v: VBit
    clearing: tuple[StraightBit, ...]
    cut_out: StraightBit | None
    levelling: StraightBit | None

    @property
    def one_v(self) -> bool:
        """Whether one V-bit cuts both parts."""
        return self.pocket_v == self.plug_v


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How far a setting may be off, worst case, in mm."""

    pocket_v: float
    pocket_clear: float
    plug_v: float
    plug_clear: float
    thickness: float


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Limits of the checks; lengths in mm, shares as fractions of 1."""

    glue_gap: tuple[float, float] = (0.25, 1.0)
    surface_gap: float = 1.0
    bit_reach: float = 0.5
    floor_ridges: float = 0.5
    clearing_access: float = 0.2
    fine_strokes: float = 0.05
    fine_gaps: float = 0.05
    survives_levelling: float = 0.5
    levelling: float = 1.0
    thin_walls: float = 1.5
    corners: float = 0.25
    seat: float = 0.05
    joint_line: float = 0.1


@dataclass(frozen=True, kw_only=True)
class Job:
    """One job sheet, understood."""

    title: str
    unit: LengthUnit
    """Unit that results are written in."""
    sheet_unit: LengthUnit
    """Unit of the sheet's bare numbers; derived depths are rounded to what a shop sets in it."""
    outline: OutlineSource | None
    base: Base
    plug: PlugBlank
    joint: Joint
    bits: Bits
    touch_off: TouchOff
    spread: Spread
    limits: Limits = field(default_factory=Limits)
    assumed: tuple[Assumed, ...] = ()
    unused: tuple[str, ...] = ()
    """Keys that were read and checked but that nothing uses yet."""
    notes: tuple[str, ...] = ()

    def is_assumed(self, key: str) -> bool:
        """Whether the value of this key was left out of the sheet."""
        return any(entry.key == key for entry in self.assumed)
