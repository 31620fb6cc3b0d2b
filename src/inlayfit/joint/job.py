"""The job: frozen records of what is to be made, in mm and degrees, with every default filled in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal, NamedTuple

from inlayfit.cutters import Cutter
from inlayfit.joint.limits import Limits
from inlayfit.joint.spread import Tolerance
from inlayfit.quantity import LengthUnit

AssumedKind = Literal["length", "angle", "slope", "share", "force", "pressure", "text"]
TouchOff = Literal["face", "bed"]
Face = Literal["long", "end"]
Datum = Literal["centre", "lower left", "lower right", "upper left", "upper right"]
SetUp = Literal["base", "plug", "level"]
Point = tuple[float, float]


class Assumed(NamedTuple):
    """A value the sheet left out, what stands for it, and why."""

    key: str
    value: float | str
    why: str
    kind: AssumedKind = "length"


@dataclass(frozen=True, kw_only=True)
class OutlineSource:
    """Where the outline comes from: a drawing's file name or inline shapes, what counts of it, how it is scaled."""

    file: str | None
    """Of the pocket, where the plug has a drawing of its own."""
    plug: str | None = None
    shapes: tuple[Mapping[str, Any], ...] = ()
    width: float | None = None
    height: float | None = None
    scale: float | None = None
    unit: LengthUnit
    """Unit of a drawing that names none."""
    unit_given: bool = False
    """Whether the sheet says so, and it is not the sheet's own unit for want of another."""
    layers: tuple[str, ...] = ()
    take: Literal["filled", "closed", "strokes", "all"] | None = None
    colours: tuple[str, ...] = ()
    clip_page: bool = False
    join: float | None = None
    """How far apart ends of lines are joined, mm; None: as far as rounding puts them."""
    at: Point | None = None
    """Where its middle lies on the base, from the datum; None: on the blank's middle."""
    turn: float = 0.0
    """Turned by this on the board, degrees anticlockwise."""


class OwnMovement(NamedTuple):
    """Coefficients of dimensional change that stand in for the table's: fraction for 1 % of moisture content."""

    radial: float
    tangential: float


@dataclass(frozen=True, kw_only=True)
class Wood:
    """What a part is made of. What is None here is looked up in the table of woods."""

    name: str | None
    crush_strength: float | None
    """MPa."""
    face: Face
    """Which grain the face shows."""
    direction: float = 0.0
    """Of the grain as seen on the finished face, degrees anticlockwise from the board's x; of end grain: the rings'."""
    direction_given: bool = False
    movement: OwnMovement | None = None
    specific_gravity: float | None = None


@dataclass(frozen=True, kw_only=True)
class Base:
    """The board that gets the pocket."""

    wood: Wood
    thickness: float
    least_floor: float
    blank: tuple[float, float] | None = None
    """Width and height of the board."""


@dataclass(frozen=True, kw_only=True)
class PlugBlank:
    """The blank that the plug is cut from."""

    wood: Wood
    thickness: float
    border: float
    least_web: float
    cut_out: bool
    through: float
    blank: tuple[float, float] | None = None
    """Width and height of the blank."""
    at: Point | None = None
    """Where the plug's middle lies on its blank, from the datum; None: on the blank's middle."""


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
    clamp_force_each: float
    """What one clamp presses with, N."""
    pocket_measured: float | None = None
    """The pocket's depth as cut, where the plug's numbers are to go by it."""

    @property
    def pocket_off(self) -> float:
        """How much deeper than programmed the pocket was measured, in mm; 0 where it was not."""
        if self.pocket_measured is None or self.pocket_depth is None:
            return 0.0
        return self.pocket_measured - self.pocket_depth


@dataclass(frozen=True, kw_only=True)
class Bits:
    """Bits by role. ``clearing`` is sorted from the largest down; a role without a bit is None or empty."""

    pocket_v: Cutter
    plug_v: Cutter
    clearing: tuple[Cutter, ...]
    cut_out: Cutter | None
    levelling: Cutter | None
    collet: float | None = None
    """Diameter of the spindle's collet nut."""

    @property
    def one_v(self) -> bool:
        """Whether one V-bit cuts both parts."""
        return self.pocket_v == self.plug_v


LevelledOver = Literal["plug", "board"]


class Level(NamedTuple):
    """How the plug's back is taken off."""

    over: LevelledOver = "plug"
    """What passes above the base's face run over; those into it run over the board."""
    saw_to: float | None = None
    """Height in mm above the base's face that a saw leaves of the plug before levelling; None: none is used."""


@dataclass(frozen=True, kw_only=True)
class HoldDownSource:
    """A hold-down as the sheet gives it: one of ``rectangle``, ``circle`` and ``polygon``, in mm from the datum."""

    part: SetUp
    rectangle: tuple[float, float] | None
    """Width and height."""
    circle: float | None
    """Diameter."""
    polygon: tuple[Point, ...] | None
    at: Point
    turn: float
    height: float
    """Above the part's face; below 0 where it stays under it."""


class Air(NamedTuple):
    """What is known of a place: the wood's moisture content in %, or else the air's temperature (C) and humidity.

    ``humidity`` is a fraction of 1. A moisture content given stands before the air's.
    """

    moisture: float | None = None
    temperature: float | None = None
    humidity: float | None = None


class Climate(NamedTuple):
    """Where the wood is cut and glued, and where it will live; None: not given."""

    cutting: Air | None = None
    use: Air | None = None


class Feed(NamedTuple):
    """How fast a bit moves, mm a minute: along the cut, and downwards (None: not counted)."""

    along: float
    plunge: float | None = None


class Feeds(NamedTuple):
    """Feeds by role; a role without a feed gets no time (cut-out and levelling: the clearing bits' feed)."""

    v: Feed | None = None
    clearing: Feed | None = None
    cut_out: Feed | None = None
    levelling: Feed | None = None


Held = Literal["base", "plug", "both", "none"]


class DryFitReadings(NamedTuple):
    """Readings of the dry fit in the sheet, in mm: surface gaps, plug's back over the base's face, over both boards."""

    gaps: tuple[float, ...] = ()
    above: tuple[float, ...] = ()
    over: tuple[float, ...] = ()
    held: Held = "none"
    """What is still clamped on its zero."""


class ProgrammeSource(NamedTuple):
    """A posted programme as the sheet names it, and which bit runs it: one for the file, or one for each T number."""

    file: str
    bit: str | None = None
    """A role of the sheet's bits, or a bit's name."""
    tools: tuple[tuple[int, str], ...] = ()


class Programmes(NamedTuple):
    """The posted programmes of each set-up, in the order they run."""

    pocket: tuple[ProgrammeSource, ...] = ()
    plug: tuple[ProgrammeSource, ...] = ()
    level: tuple[ProgrammeSource, ...] = ()


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
    tolerance: Tolerance
    limits: Limits = field(default_factory=Limits)
    datum: Datum | None = None
    """Where the zero of the work lies on each blank; None: not given, the centre."""
    hold_downs: tuple[HoldDownSource, ...] = ()
    level: Level = field(default_factory=Level)
    climate: Climate = field(default_factory=Climate)
    dry_fit: DryFitReadings = field(default_factory=DryFitReadings)
    feeds: Feeds | None = None
    programmes: Programmes = field(default_factory=Programmes)
    assumed: tuple[Assumed, ...] = ()
    unused: tuple[str, ...] = ()
    """Keys that were read and checked but that nothing uses yet."""
    notes: tuple[str, ...] = ()

    def for_the_fit(self) -> Job:
        """The job without what takes long and says nothing of the fit: hold-downs and cutting time."""
        return replace(self, hold_downs=(), feeds=None)

    def is_assumed(self, key: str) -> bool:
        """Whether the value of this key was left out of the sheet."""
        return any(entry.key == key for entry in self.assumed)
