"""Everything the checks judge by, gathered stage by stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlayfit.checks.finding import Scope
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.joint.schedule import Pass
from inlayfit.shop.levelling import Levelling, levelling
from inlayfit.tolerance.stack import Stack

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.joint.floor import FloorAccess
    from inlayfit.outline.partner import Partner
    from inlayfit.outline.survey import Survey
    from inlayfit.seat.fit import Fit
    from inlayfit.seat.seat import Seat
    from inlayfit.shop.shop import Shop


@dataclass(frozen=True, kw_only=True)
class OutlineFacts:
    """What is known once there is an outline."""

    survey: Survey
    floor: FloorAccess
    shop: Shop
    """Blanks, hold-downs, wood, glue and time."""
    fit: Fit | None = None
    """Where the plug seats as cut; None where that was not asked for."""
    partner: Partner | None = None
    """How the plug's own drawing lies on the pocket's; None where it has none."""


@dataclass(frozen=True, kw_only=True)
class Facts:
    """A job with its depths, passes and, where there is one, its outline."""

    job: Job
    depths: Depths
    passes: tuple[Pass, ...]
    outline: OutlineFacts | None
    stack: Stack | None
    """What the tolerances do; None where a cone is too short, and the walls are not what the formulas say."""

    @property
    def seat(self) -> Seat | None:
        """Where the plug seats as cut, where that was looked at."""
        return None if self.outline is None or self.outline.fit is None else self.outline.fit.seat

    @property
    def levelling(self) -> Levelling:
        """What the levelling cut leaves, of a plug as it sits once clamped."""
        return levelling(self.job, self.depths, self.passes, lift=0.0 if self.seat is None else self.seat.lift)

    def skin_left(self, levelling_pass: Pass) -> float:
        """What a levelling pass leaves of the plug's wood over the surface gap, mm."""
        return max(0.0, -levelling_pass.total_depth - self.depths.surface_gap)

    @property
    def scope(self) -> Scope:
        """How much of the joint was looked at."""
        if self.outline is None:
            return "depths"
        return "nominal outline" if self.outline.fit is None else "as cut"

    def assumed(self, *keys: str) -> tuple[str, ...]:
        """Those of the keys that the sheet left out."""
        return tuple(key for key in keys if self.job.is_assumed(key))
