"""Where an outline is narrow: the places that a check names, well apart from each other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.checks.finding import MOST_PLACES, Place
from inlayfit.outline.survey import Discs, Survey
from inlayfit.statement import Statement, told

Where = NDArray[np.bool_]
"""For each disc of a side, whether it is one of those asked about."""

APART: Final = 0.02
"""Places nearer to each other than this share of a region's outline are one place to a person."""


def in_thin_regions(survey: Survey) -> Where:
    """At each region's widest disc: a region that is nowhere wider than a stroke counts as one."""
    discs = survey.inside
    widest = np.zeros(len(discs.radius), dtype=bool)
    order = np.lexsort((-discs.radius, discs.region))
    _, first = np.unique(discs.region[order], return_index=True)
    widest[order[first]] = True
    return widest


def narrowest(survey: Survey, discs: Discs, where: Where, reason: Callable[[float], Statement]) -> tuple[Place, ...]:
    """The narrowest places, each well apart from those before it, in order of their regions.

    ``reason`` is told of a width in mm; where there are several regions, which one it is and how wide stands before it.
    """
    found: list[tuple[int, Place]] = []
    order = np.flatnonzero(where)
    order = order[np.argsort(discs.radius[order], kind="stable")]
    apart = max(1.0, APART * survey.perimeter / survey.regions)
    while len(order) and len(found) < MOST_PLACES:
        centre = discs.centre[order[0]]
        width = 2 * float(discs.radius[order[0]])
        region = int(discs.region[order[0]])
        said = reason(width)
        if survey.regions > 1:
            across = float(survey.region_width[region])
            said = told("outline.region", number=region + 1, across=across, reason=said)
        found.append((region, Place(at=(float(centre[0]), float(centre[1])), value=width, reason=said)))
        order = order[np.hypot(*(discs.centre[order] - centre).T) > apart]
    return tuple(place for _, place in sorted(found, key=lambda entry: entry[0]))
