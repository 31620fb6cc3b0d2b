"""Everything the checks judge by, gathered stage by stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlayfit.check import Scope
from inlayfit.depths import Depths
from inlayfit.job import Job
from inlayfit.quantity import length_text
from inlayfit.schedule import Pass

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.floor import FloorAccess
    from inlayfit.survey import Survey


@dataclass(frozen=True, kw_only=True)
class OutlineFacts:
    """What is known once there is an outline."""

    survey: Survey
    floor: FloorAccess


@dataclass(frozen=True, kw_only=True)
class Facts:
    """A job with its depths, passes and, where there is one, its outline."""

    job: Job
    depths: Depths
    passes: tuple[Pass, ...]
    outline: OutlineFacts | None

    @property
    def scope(self) -> Scope:
        """How much of the joint was looked at."""
        return "depths" if self.outline is None else "nominal outline"

    def text(self, length: float) -> str:
        """A length in the sheet's unit."""
        return length_text(length, self.job.unit)

    def assumed(self, *keys: str) -> tuple[str, ...]:
        """Those of the keys that the sheet left out."""
        return tuple(key for key in keys if self.job.is_assumed(key))
