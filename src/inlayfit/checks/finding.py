"""A check's finding: status, value against limit, reasons, remedies, places; all of it values, no words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.statement import Statement

Status = Literal["pass", "doubtful", "fail", "not checked"]
Verdict = Literal["fits", "doubtful", "does not fit"]
Scope = Literal["depths", "nominal outline", "as cut"]
Kind = Literal["length", "share"]

MOST_PLACES: Final = 5


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place on the outline that a check names: (x, y) and value in mm, in the outline's own frame."""

    at: tuple[float, float]
    value: float
    reason: Statement


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What one check found. ``value`` and ``limit`` are mm, or fractions of 1 where ``kind`` says so."""

    id: str
    status: Status
    reasons: tuple[Statement, ...]
    value: float | None = None
    limit: float | None = None
    kind: Kind = "length"
    remedies: tuple[Statement, ...] = ()
    """What to change; nothing where the check passes."""
    one_will_do: bool = False
    """Whether any of the remedies would do by itself; else all are wanted."""
    places: tuple[Place, ...] = ()
    rests_on: tuple[str, ...] = ()
    """Assumed keys that the finding rests on."""


def verdict(findings: Iterable[Finding]) -> Verdict:
    """Does not fit where a check fails; doubtful where one is doubtful; fits otherwise."""
    statuses = {finding.status for finding in findings}
    if "fail" in statuses:
        return "does not fit"
    return "doubtful" if "doubtful" in statuses else "fits"
