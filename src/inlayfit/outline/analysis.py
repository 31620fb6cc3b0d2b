"""What follows from an outline alone, worked out once for all jobs that are cut from it.

Jobs differ in depths and bits. So that they share what they can, sizes that come from a job are raised to the next of a
ladder of sizes before they are worked with: every job gets the same answer as if it were the only one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from functools import cached_property
from typing import Any, Final, Generic, TypeVar

from inlayfit.outline.boundary import Boundary
from inlayfit.outline.edges import Edges
from inlayfit.outline.partner import Partner, partner
from inlayfit.outline.regions import Outline
from inlayfit.outline.survey import Survey, survey
from inlayfit.outline.wall_discs import WallPieces, wall_pieces

Question = TypeVar("Question", bound=Hashable)
Answer = TypeVar("Answer")
Shelf = TypeVar("Shelf")

MOST_KEPT: Final = 8
"""Answers kept of a kind; the ones not used for longest give way."""
RUNGS: Final = 4
"""Rungs of the ladder from a size to twice that size."""


class Kept(Generic[Question, Answer]):
    """Answers of one kind, the last few by what they were asked for."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._answers: dict[Question, Answer] = {}

    def get(self, question: Question, work: Callable[[], Answer]) -> Answer:
        """The answer to a question, worked out where it is not at hand.

        ``question`` tells all that the answer depends on beside the outline; the answer is not to be changed.
        """
        answer = self._answers.pop(question) if question in self._answers else work()
        self._answers[question] = answer
        while len(self._answers) > self._most:
            del self._answers[next(iter(self._answers))]
        return answer


class OutlineAnalysis:
    """Findings about one outline, kept while this object lives."""

    def __init__(self, outline: Outline) -> None:
        self.outline = outline
        self._pieces: Kept[tuple[bool, float, float], WallPieces] = Kept()
        self._shelves: dict[type, Any] = {}

    @cached_property
    def boundary(self) -> Boundary:
        """The line work, prepared for nearest points and discs."""
        return Boundary(self.outline)

    @property
    def inside(self) -> Edges:
        """The edges with the inlay on their left."""
        return self.boundary.edges

    @cached_property
    def outside(self) -> Edges:
        """The edges with the base on their left."""
        return self.inside.reversed()

    @cached_property
    def survey(self) -> Survey:
        """Widths, corners, sizes."""
        return survey(self.boundary)

    @cached_property
    def partner(self) -> Partner | None:
        """How the plug's own drawing lies on this one; None where there is none."""
        return None if self.outline.partner is None else partner(self.boundary, self.outline.partner)

    def wall_pieces(self, *, inside: bool, smallest: float, largest: float) -> WallPieces:
        """Wall pieces of one side for discs from ``smallest`` to at least ``largest`` mm."""
        side, reach = self.inside if inside else self.outside, raised(largest)
        return self._pieces.get((inside, smallest, reach), lambda: wall_pieces(side, self.boundary, smallest, reach))

    def shelf(self, kind: type[Shelf]) -> Shelf:
        """The shelf of a kind, on which what is built on the outline keeps its answers; made when first asked for."""
        if kind not in self._shelves:
            self._shelves[kind] = kind()
        found: Shelf = self._shelves[kind]
        return found


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
