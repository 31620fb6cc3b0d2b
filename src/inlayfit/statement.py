"""What is told of a joint: a code of the table of sentences, and the values that its sentence needs.

The pure core measures and names; what is said of it, and in which unit, is the business of ``report.sentences``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Statement(NamedTuple):
    """A code and its values: lengths in mm, shares as fractions of 1, forces in N, names as the sheet has them."""

    code: str
    values: Mapping[str, Value]


Value = float | str | Statement | tuple[str | Statement, ...]


def told(code: str, **values: Value) -> Statement:
    """A statement of this code."""
    return Statement(code, values)
