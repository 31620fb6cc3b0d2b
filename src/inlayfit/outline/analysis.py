"""What follows from an outline alone, worked out once for all jobs that are cut from it.

Jobs differ in depths and bits. So that they share what they can, sizes that come from a job are raised to the next of a
ladder of sizes before they are worked with: every job gets the same answer as if it were the only one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

Found = TypeVar("Found")

MOST_KEPT: Final = 64
"""Findings kept for an outline; the ones not used for longest give way."""
RUNGS: Final = 4
"""Rungs of the ladder from a size to twice that size."""


class OutlineAnalysis:
    """Findings about one outline, kept while this object lives."""

    def __init__(self, outline: Outline) -> None:
        self.outline = outline
        self._found: dict[Hashable, Any] = {}

    def once(self, question: Hashable, work: Callable[[], Found]) -> Found:
        """The answer to a question about the outline, worked out where it is not at hand.

        ``question`` names all that the answer depends on beside the outline; the answer is not to be changed.
        """
        answer = self._found.pop(question) if question in self._found else work()
        self._found[question] = answer
        while len(self._found) > MOST_KEPT:
            del self._found[next(iter(self._found))]
        return cast(Found, answer)


def analysis_of(outline: Outline, analysis: OutlineAnalysis | None = None) -> OutlineAnalysis:
    """The analysis given, which must be this outline's; a new one where none is given."""
    if analysis is None:
        return OutlineAnalysis(outline)
    if analysis.outline is not outline and analysis.outline != outline:
        raise ValueError("the analysis is another outline's")
    return analysis


def raised(size: float) -> float:
    """The next size of the ladder that is not below ``size``, by at most a fifth larger; 0 stays 0.

    >>> raised(2.0)
    2.0
    >>> raised(2.1)
    2.378
    """
    if size <= 0:
        return 0.0
    # a size on the ladder stays there, whatever its logarithm's last digit
    return max(size, 2.0 ** (math.ceil(RUNGS * math.log2(size) - 1e-9) / RUNGS))
