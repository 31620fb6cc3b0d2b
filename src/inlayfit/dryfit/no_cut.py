"""Why nothing is to be cut at a dry fit, or nothing can be."""

from __future__ import annotations

from typing import Literal, NamedTuple

Reason = Literal[
    "crooked", "as expected", "sunk", "loose, base not held", "loose, pocket too deep", "floor, base not held",
    "floor not read", "own floor or seat", "board or seat", "no cut",
]  # fmt: skip


class NoCut(NamedTuple):
    """Why nothing is to be cut, or nothing can be, and the length in mm that belongs to it."""

    reason: Reason
    value: float | None = None
