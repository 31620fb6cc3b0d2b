"""How far from what is expected a dry fit may read and still be as expected."""

from __future__ import annotations

from typing import Final

from inlayfit.dryfit.readings import level
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Job
from inlayfit.joint.reading import Kind, MeasuredDepths, Reading

TAKEN: Final = 3
"""Readings that are asked for, one way each time."""


def allowance(kind: Kind, value: float, job: Job, depths: Depths) -> float:
    """Of the mean of three readings about this value, in mm, by the rule of the dry fit."""
    return level([Reading(kind=kind, value=value)] * TAKEN, job, depths, MeasuredDepths(), None).sure
