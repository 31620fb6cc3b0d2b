"""What is wrong in a programme, as values: which check it belongs to, where it stands, what to type."""

from __future__ import annotations

from typing import Literal, NamedTuple

from inlayfit.statement import Statement

Severity = Literal["fail", "doubtful"]


class Spot(NamedTuple):
    """A line of a programme."""

    file: str
    line: int


class Fault(NamedTuple):
    """One fault. ``cost`` ranks faults: how far it puts the joint off, in mm."""

    check: str
    severity: Severity
    cost: float
    spot: Spot | None
    what: Statement
    remedy: Statement | None = None
    at: tuple[float, float] | None = None
    """A place of the outline, as drawn."""
