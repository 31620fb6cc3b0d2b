"""Where an outline is narrow: the places that a check names, well apart from each other."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from inlayfit.checks.finding import MOST_PLACES, Place
from inlayfit.outline.survey import Discs, Survey
from inlayfit.statement import Statement, told

Where = NDArray[np.bool_]
"""For each disc of a side, whether it is one of those asked about."""

Index = NDArray[np.int64]

ONE_WAY: Final = math.cos(math.radians(20))
"""Walls that turn by less than this from one place to the next are one stroke's, as of a curve."""


def in_thin_regions(survey: Survey) -> Where:
    """At each region's widest disc: a region that is nowhere wider than a stroke counts as one."""
    discs = survey.inside
    widest = np.zeros(len(discs.radius), dtype=bool)
    order = np.lexsort((-discs.radius, discs.region))
    _, first = np.unique(discs.region[order], return_index=True)
    widest[order[first]] = True
    return widest


def narrowest(survey: Survey, discs: Discs, where: Where, reason: Callable[[int], Statement]) -> tuple[Place, ...]:
    """The narrowest place of each stroke or gap, of the narrowest few of them, in order of their regions.

    ``reason`` is told of a disc; where there are several regions, which one it is and how wide stands before it.
    """
    asked = np.flatnonzero(where)
    order = asked[np.argsort(discs.radius[asked], kind="stable")]
    stroke = strokes(discs, order)
    _, first = np.unique(stroke, return_index=True)
    found: list[tuple[int, Place]] = []
    for disc in order[np.sort(first)[:MOST_PLACES]]:
        x, y = discs.centre[disc]
        region = int(discs.region[disc])
        said = reason(int(disc))
        if survey.regions > 1:
            across = float(survey.region_width[region])
            said = told("outline.region", number=region + 1, across=across, reason=said)
        found.append((region, Place(at=(float(x), float(y)), value=discs.width(disc), reason=said)))
    return tuple(place for _, place in sorted(found, key=lambda entry: entry[0]))


def strokes(discs: Discs, some: Index) -> Index:
    """For each of these discs the number of its stroke: discs that overlap, or follow each other, one way along.

    Where strokes branch or cross, those that go on another way are others.
    """
    centre, radius, length, normal = (
        each[some] for each in (discs.centre, discs.radius, discs.length, discs.normal)
    )
    reach = float(np.maximum(0.75 * 2 * length, radius).max(initial=0.0))
    one, other = shapely.STRtree(shapely.points(centre)).query(shapely.points(centre), "dwithin", reach)
    apart = np.hypot(*(centre[one] - centre[other]).T)
    near = apart <= np.maximum(0.75 * (length[one] + length[other]), (radius[one] + radius[other]) / 2)
    alike = np.abs(np.einsum("ij,ij->i", normal[one], normal[other])) > ONE_WAY
    leader = np.arange(len(some))
    links = np.stack([one, other], axis=1)[near & alike & (one < other)]
    while True:
        # every disc takes the least number of those that it is linked with, until none is less
        least = leader.copy()
        np.minimum.at(least, links[:, 0], leader[links[:, 1]])
        np.minimum.at(least, links[:, 1], leader[links[:, 0]])
        least = least[least]
        if (least == leader).all():
            return leader
        leader = least
