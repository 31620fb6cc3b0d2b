"""What the bits really cut: the declared programme, the real cutters and the errors of setting them.

Lengths in mm, angles in degrees, depths positive downwards from the face named in the docstring.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf

from shapely import MultiPolygon

from inlayfit.cutters import Profile, end_mill
from inlayfit.errors import InputError
from inlayfit.joint.fillet import Fillet
from inlayfit.seat.ridges import Ridges


@dataclass(frozen=True, kw_only=True)
class AsCutBit:
    """A V-bit as the programme was told (`declared`) and as it really is (`actual`)."""

    declared: Profile
    actual: Profile


@dataclass(frozen=True, kw_only=True)
class AsCut:
    """A pocket and its plug as these bits and these errors leave them.

    outline: the inlaid shape on the finished face, in mm, as seen on that face.
    pocket_depth: from the base's face to the pocket's floor.
    start_depth: how far below the plug blank's face the plug has exactly the outline's size.
    depth_below_start: depth of the plug's cut below that plane.
    pocket_v_error, plug_v_error: how much too deep the V-bit ran (touch-off; negative = too shallow).
    pocket_floor_error, plug_floor_error: the same for the cleared floors.
    clearing: the bits that clear the floors, the smallest last; none where the V-bit clears them itself.
    wall_allowance: how far from the wall's foot their edges stay.
    v_floor_error: how much too deep the floor is that the V-bit cleaned, beyond its own error.
    ridges: what the V-bit left there.
    floor_fuzz: height of what is left on the cleared floor.
    pocket_passes: tip depths of the wall passes above the last; plug_passes: (start depth, depth below) likewise.
    """

    outline: MultiPolygon = field(hash=False)
    pocket_bit: AsCutBit
    plug_bit: AsCutBit
    pocket_depth: float
    start_depth: float
    depth_below_start: float
    pocket_v_error: float = 0.0
    plug_v_error: float = 0.0
    pocket_floor_error: float = 0.0
    plug_floor_error: float = 0.0
    clearing: tuple[Profile, ...] = (end_mill(0.0),)
    wall_allowance: float = 0.0
    v_floor_error: float = 0.0
    ridges: Ridges | None = None
    floor_fuzz: float = 0.0
    pocket_passes: tuple[float, ...] = field(default=())
    plug_passes: tuple[tuple[float, float], ...] = field(default=())

    def __post_init__(self) -> None:
        if self.outline.is_empty or not self.outline.area > 0:
            raise InputError("outline: must have an area, got none")
        if not self.outline.is_valid:
            raise InputError("outline: must be a valid polygon, got one that crosses or touches itself")
        for name in ("pocket_depth", "start_depth", "depth_below_start"):
            if not 0 < getattr(self, name) < inf:
                raise InputError(f"{name}: must be above 0 mm, got {getattr(self, name)} mm")
        pocket, plug = self.pocket_bit.declared, self.plug_bit.declared
        if abs(pocket.angle - plug.angle) > 1e-9:
            raise InputError(
                f"plug_bit: declared angle must be the pocket bit's {pocket.angle}, got {plug.angle}: no taper fit"
            )
        for depth in self.pocket_passes:
            if not 0 < depth <= self.pocket_depth:
                raise InputError(f"pocket_passes: must be above 0 and within {self.pocket_depth} mm, got {depth} mm")
        for start, below in self.plug_passes:
            if start < 0 or below <= 0:
                raise InputError(f"plug_passes: start and depth below it must be 0 or more, got {(start, below)}")

    @property
    def pocket_fillet(self) -> Fillet:
        """What the clearing bits' corners leave beside the pocket's wide walls."""
        return self._fillet(self.pocket_bit, self.pocket_v_error - self.pocket_floor_error)

    @property
    def plug_fillet(self) -> Fillet:
        """The same on the plug's own floor."""
        return self._fillet(self.plug_bit, self.plug_v_error - self.plug_floor_error)

    def _fillet(self, bit: AsCutBit, lower: float) -> Fillet:
        return Fillet(
            declared=bit.declared, real=bit.actual, clearing=self.clearing, allowance=self.wall_allowance, lower=lower
        )

    @property
    def floor_lift(self) -> float:
        """Lift at which the plug's face meets the cleared floor [mm]; -inf where no clearing bit runs."""
        if not self.clearing:
            return -inf
        return self.start_depth - self.pocket_depth - self.pocket_floor_error + self.floor_fuzz

    @property
    def pocket_foot(self) -> float:
        """How far from the outline the foot of the pocket's wall lies [mm]."""
        return self.pocket_depth * self.pocket_bit.declared.slope

    @property
    def v_floor_lift(self) -> float:
        """Lift at which the plug's face meets the floor that the V-bit cleaned, between its ridges [mm]."""
        return self.start_depth - self.pocket_depth - self.pocket_v_error - self.v_floor_error
