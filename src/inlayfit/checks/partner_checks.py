"""The check on the plug's own drawing. docs/checks.md has a page on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.joint.limits import Limit
from inlayfit.quantity import MM_PER_INCH
from inlayfit.statement import Statement, told

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.outline.partner import Lack, Partner

MIRROR: Final = Limit("mirror", "length", 0.05, "Largest distance between pocket and plug drawings.")

DOUBTFUL: Final = 0.4
"""Share of the limit over which drawings that agree are in doubt: 0.02 of 0.05 mm."""
WAYS: Final = (("wide", "wider", "narrower"), ("high", "higher", "lower"))
TURNED: Final = 0.05
"""A turn of less, in degrees, is how the drawings lie, not how they were meant."""


def mirror(facts: Facts, partner: Partner) -> Finding:
    """Whether the plug's drawing is the pocket's, mirrored, and nothing else was done to it."""
    # imported late: it brings numpy and shapely
    from inlayfit.outline.partner import SAME_SIZE

    limit = facts.job.limits[MIRROR]
    reasons: list[Statement] = []
    remedies: list[Statement] = []
    status: Status = "pass"
    if not partner.mirrored:
        reasons.append(told("mirror.as_it_is"))
        remedies.append(told("mirror.mirror_it"))
    if partner.stretch is not None:
        wide, high = (
            told(f"mirror.as_{way}")
            if abs(share - 1) < SAME_SIZE
            else told(f"mirror.by_{more if share > 1 else less}", by=abs(share - 1))
            for share, (way, more, less) in zip(partner.stretch, WAYS, strict=True)
        )
        reasons.append(told("mirror.stretched", wide=wide, high=high))
        remedies.append(told("mirror.scale_alike"))
    elif abs(partner.scale - 1) > SAME_SIZE:
        reasons.append(_size(partner.scale))
        remedies.append(told("mirror.one_size"))
    lacking = [*_lacking("plug", partner.missing), *_lacking("pocket", partner.extra)]
    if lacking:
        reasons += lacking
        remedies.append(told("mirror.add_lacking"))
    if reasons:
        status = "fail"
    elif partner.largest > DOUBTFUL * limit:
        status = "fail" if partner.largest > limit else "doubtful"
        code = "mirror.differ_at_best" if status == "fail" else "mirror.differ"
        reasons.append(told(code, apart=partner.largest))
        remedies.append(told("mirror.anew"))
    if abs(partner.turn) > TURNED:
        upside_down = abs(abs(partner.turn) - 180) < TURNED and partner.mirrored
        reasons.append(told("mirror.top_to_bottom") if upside_down else told("mirror.turned", by=abs(partner.turn)))
        remedies.append(told("mirror.turn_back"))
        status = status if status == "fail" else "doubtful"
    if not reasons:
        reasons.append(told("mirror.agrees", apart=partner.largest))
    lacks = (*partner.missing, *partner.extra)
    places = [Place(at=lack.at, value=lack.distance, reason=told("mirror.no_match")) for lack in lacks]
    apart = partner.largest_mirrored
    if status != "pass" and not places and apart > DOUBTFUL * limit:
        places.append(Place(at=partner.at_mirrored, value=apart, reason=told("mirror.apart", apart=apart)))
    return Finding(
        id="mirror",
        status=status,
        value=apart,
        limit=limit,
        reasons=tuple(reasons),
        remedies=tuple(remedies),
        places=tuple(places[:MOST_PLACES]),
    )


def _size(scale: float) -> Statement:
    """How much larger the plug's drawing is; a scale near an inch's millimetres is a slip of the unit."""
    if abs(scale / MM_PER_INCH - 1) < 0.01:
        return told("mirror.mm_for_inches")
    if abs(scale * MM_PER_INCH - 1) < 0.01:
        return told("mirror.inches_for_mm")
    if 0.8 < scale < 1.25:
        return told("mirror.larger" if scale > 1 else "mirror.smaller", share=abs(scale - 1))
    return told("mirror.times", times=scale)


def _lacking(drawing: str, lacks: tuple[Lack, ...]) -> list[Statement]:
    holes = sum(lack.is_hole for lack in lacks)
    regions = len(lacks) - holes
    if regions and holes:
        return [told(f"mirror.{drawing}_lacks_both", regions=regions, holes=holes)]
    if regions:
        return [told(f"mirror.{drawing}_lacks_regions", regions=regions)]
    return [told(f"mirror.{drawing}_lacks_holes", holes=holes)] if holes else []
