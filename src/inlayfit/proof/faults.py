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
    """One fault. ``cost`` only ranks faults, the worst first; ``off`` is what was measured."""

    check: str
    severity: Severity
    cost: float
    spot: Spot | None
    what: Statement
    remedy: Statement | None = None
    at: tuple[float, float] | None = None
    """A place of the outline, as drawn."""
    off: float | None = None
    """How far it is off, in mm; None where nothing was measured that is a length."""
