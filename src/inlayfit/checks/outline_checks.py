"""Checks that need the outline as drawn. docs/checks.md has a page on each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.cutters import Profile
from inlayfit.outline.survey import Discs, Measured, Survey

# places nearer to each other than this share of a region's outline are one place to a person
APART: Final = 0.02
# a rib or wall more than this many times as high as wide may break sideways (common practice, no source)
SLENDER: Final = 4.0
# a stroke drawn at just a limit's width must not turn on the last digit of the arithmetic, mm
SLACK: Final = 1e-6


def fine_strokes(facts: Facts, outline: OutlineFacts) -> Finding:
    """Strokes the V-bit does not enter, and how much of the outline stays shallow."""
    survey = outline.survey
    side = _Side(
        id="fine-strokes", what="strokes", where="", of="half depth", from_where="", ends="corners",
        shape=facts.job.bits.pocket_v.shape.as_flat, discs=survey.inside,
        depth=facts.depths.pocket_depth, narrowest=survey.narrowest_stroke,
        narrow=survey.inside.stroke | _in_thin_regions(survey), limit=facts.job.limits.fine_strokes,
        remedy="a narrower V angle or a larger design cuts deeper, a shallower pocket evens it out",
        rests_on=facts.assumed("bits.v.tip", "bits.pocket_v.tip"),
    )  # fmt: skip
    return _fine(facts, survey, side)


def fine_gaps(facts: Facts, outline: OutlineFacts) -> Finding:
    """Gaps between strokes that the V-bit does not enter on the plug, and how much of the outline stays shallow."""
    survey = outline.survey
    side = _Side(
        id="fine-gaps", what="gaps", where=" on the plug", of="half the plug's cut", from_where=" below the start",
        ends="inner corners", shape=facts.job.bits.plug_v.shape.as_flat, discs=survey.outside,
        depth=facts.depths.depth_below_start, narrowest=survey.narrowest_gap, narrow=survey.outside.stroke,
        limit=facts.job.limits.fine_gaps,
        remedy="a narrower V angle or a larger design; a smaller surface gap evens it out",
        rests_on=facts.assumed("bits.v.tip", "bits.plug_v.tip"),
    )  # fmt: skip
    return _fine(facts, survey, side)


@dataclass(frozen=True, kw_only=True)
class _Side:
    """One side of the outline: the pocket's strokes, or the gaps that the plug's bit has to enter; in mm and words."""

    id: str
    what: str
    where: str
    of: str
    from_where: str
    ends: str
    shape: Profile
    discs: Discs
    depth: float
    narrowest: Measured | None
    narrow: NDArray[np.bool_]
    limit: float
    remedy: str
    rests_on: tuple[str, ...]


def _fine(facts: Facts, survey: Survey, side: _Side) -> Finding:
    shape, discs = side.shape, side.discs
    enters = 2 * shape.half_width_at(0)
    uncut = side.narrow & (discs.radius <= enters / 2 + SLACK)
    shallow = discs.radius < shape.half_width_at(side.depth / 2) - SLACK
    share = discs.share(shallow)
    status: Status = "pass"
    remedy = ""
    places: tuple[Place, ...] = ()
    stays = f"{share:.0%} of the outline stays under {side.of}"
    if uncut.any():
        status = "fail"
        narrowest = facts.text(2 * float(discs.radius[uncut].min()))
        message = (
            f"{side.what} as narrow as {narrowest} are not cut at all{side.where}: the tip is {facts.text(enters)} wide"
        )
        remedy = f"a sharper tip, a larger design, or widen these {side.what}"
        places = _worst(facts, survey, discs, uncut, lambda width: f"{facts.text(width)} wide, not cut")
    else:
        message = f"no gap between strokes; {stays}"
        if side.narrowest is not None:
            deep = min(side.depth, shape.depth_in(side.narrowest.value / 2))
            message = (
                f"the narrowest {side.what[:-1]}, {facts.text(side.narrowest.value)}, is cut {facts.text(deep)} "
                f"deep{side.from_where}; {stays}"
            )
        if share > side.limit:
            status, remedy = "doubtful", side.remedy
            shallow_strokes = discs.stroke & shallow
            if not shallow_strokes.any():
                message = f"{stays}, all of it in {side.ends}"

            def say(width: float) -> str:
                return f"{facts.text(width)} wide, cut {facts.text(shape.depth_in(width / 2))} deep{side.from_where}"

            places = _worst(facts, survey, discs, shallow_strokes, say)
    return Finding(
        id=side.id, status=status, value=share, limit=side.limit, kind="share", message=message, remedy=remedy,
        places=places, rests_on=side.rests_on,
    )  # fmt: skip


def thin_walls(facts: Facts, outline: OutlineFacts) -> Finding:
    """Base wood between pockets and to the board's edge, and ribs of the plug: thin, or too high for their width."""
    survey, depths, limit = outline.survey, facts.depths, facts.job.limits.thin_walls
    sides = (
        ("wood of the base between pockets", survey.outside, facts.job.bits.pocket_v.shape, depths.pocket_depth),
        ("ribs of the plug", survey.inside, facts.job.bits.plug_v.shape, depths.plug_total_depth),
    )
    messages: list[str] = []
    places: list[Place] = []
    thinnest: float | None = None
    for what, discs, shape, full in sides:
        if not discs.stroke.any():
            continue
        width = 2 * discs.radius
        # a rib of the plug is as high as its stroke is deep, and the cut below its start
        high = np.full(len(width), full)
        if discs is survey.inside:
            deep = np.maximum(0.0, (discs.radius - shape.flank_radius) / shape.slope)
            high = np.minimum(deep, depths.start_depth) + depths.depth_below_start
        thin = discs.stroke & ((width < limit - SLACK) | (high > SLENDER * width + SLACK))
        least = float(width[discs.stroke].min())
        thinnest = least if thinnest is None else min(thinnest, least)
        if thin.any():
            messages.append(f"{what} down to {facts.text(float(width[thin].min()))}")
            places += _worst(facts, survey, discs, thin, lambda wide: f"{facts.text(wide)} wide")
    edge = next((entry.margin for entry in outline.shop.margins if entry.part == "base"), None)
    if edge is not None and edge.least > 0:
        thinnest = edge.least if thinnest is None else min(thinnest, edge.least)
        if edge.least < limit - SLACK or depths.pocket_depth > SLENDER * edge.least + SLACK:
            messages.append(f"{facts.text(edge.least)} of base to the board's {edge.tightest} edge")
    status: Status = "doubtful" if messages else "pass"
    if messages:
        sideways = 1 / facts.job.bits.plug_v.shape.slope
        message = (
            f"{' and '.join(messages)}: clamped, the taper pushes sideways with up to {sideways:.1f} times the force"
        )
    elif thinnest is None:
        message = "no strokes or gaps with facing walls"
    else:
        message = f"the thinnest wood between walls is {facts.text(thinnest)}"
    return Finding(
        id="thin-walls",
        status=status,
        value=thinnest,
        limit=limit,
        message=message,
        remedy="" if status == "pass" else "make it wider, a shallower joint, or clamp gently and evenly",
        places=tuple(sorted(places, key=lambda place: place.value)[:MOST_PLACES]),
    )


def clearing_access(facts: Facts, outline: OutlineFacts) -> Finding:
    """How much of the floors the clearing bit reaches: the pocket's, and the plug's own within its border."""
    pocket, plug, limit = outline.floor.pocket, outline.floor.plug, facts.job.limits.clearing_access
    share, bits = max(pocket.left_to_v, plug.left_to_v), facts.job.bits
    status: Status = "doubtful" if share > limit else "pass"
    remedy = "a smaller clearing bit, alone or after the larger one"
    if not bits.clearing:
        message, remedy = "no clearing bit: the V-bit clears both floors", "name a clearing bit, or take the time"
    else:
        of_pocket = f"{1 - pocket.left_to_v:.0%} of the pocket's floor"
        if pocket.area == 0:
            of_pocket = "nothing in the pocket, where every stroke ends in a V before its full depth,"
        message = (
            f"{bits.clearing[-1].name} reaches {of_pocket} and {1 - plug.left_to_v:.0%} of the plug's own floor "
            "within its border, the V-bit clears the rest"
        )
    return Finding(
        id="clearing-access",
        status=status,
        value=share,
        limit=limit,
        kind="share",
        message=message,
        remedy="" if status == "pass" else remedy,
        rests_on=facts.assumed("bits.clearing"),
    )


def survives_levelling(facts: Facts, outline: OutlineFacts) -> Finding:
    """Strokes that levelling and sanding leave too little of."""
    shape, discs, joint = facts.job.bits.pocket_v.shape.as_flat, outline.survey.inside, facts.job.joint
    limit = facts.job.limits.survives_levelling
    strokes = discs.stroke | _in_thin_regions(outline.survey)
    gone = strokes & (discs.radius <= shape.half_width_at(joint.level_below) + SLACK)
    taken = joint.level_below + joint.sanding
    thin = strokes & (discs.radius < shape.half_width_at(taken + limit) - SLACK)
    narrowest = float(discs.radius[strokes].min())  # every region has its widest disc among them
    left = min(shape.depth_in(narrowest), facts.depths.start_depth) - taken
    message = f"the narrowest stroke is {facts.text(left)} deep after levelling and sanding"
    status: Status = "pass"
    remedy = ""
    places: tuple[Place, ...] = ()
    if left <= 0 and not gone.any():
        status = "fail"
        message = f"levelling and sanding take {facts.text(taken)}, more than the narrowest stroke is deep"
        remedy = "level and sand less, or a deeper pocket"
    elif gone.any():
        status = "fail"
        message = (
            f"strokes narrower than {facts.text(2 * shape.half_width_at(joint.level_below))} vanish when levelled "
            f"{facts.text(joint.level_below)} below the face"
        )
        remedy = "level less, widen these strokes or make the design larger"
        places = _worst(facts, outline.survey, discs, gone, lambda width: f"{facts.text(width)} wide, vanishes")
    elif left < limit:
        status = "doubtful"
        remedy = "level and sand less, or widen these strokes"
        places = _worst(
            facts,
            outline.survey,
            discs,
            thin,
            lambda width: f"{facts.text(width)} wide, {facts.text(shape.depth_in(width / 2) - taken)} left",
        )
    return Finding(
        id="survives-levelling",
        status=status,
        value=left,
        limit=limit,
        message=message,
        remedy=remedy,
        places=places,
        rests_on=facts.assumed("joint.level_below", "joint.sanding"),
    )


def _in_thin_regions(survey: Survey) -> NDArray[np.bool_]:
    """At each region's widest disc: a region that is nowhere wider than a stroke counts as one."""
    discs = survey.inside
    widest = np.zeros(len(discs.radius), dtype=bool)
    order = np.lexsort((-discs.radius, discs.region))
    _, first = np.unique(discs.region[order], return_index=True)
    widest[order[first]] = True
    return widest


def _worst(
    facts: Facts, survey: Survey, discs: Discs, where: NDArray[np.bool_], say: Callable[[float], str]
) -> tuple[Place, ...]:
    """The narrowest places, each well apart from those before it, in order of their regions."""
    found: list[tuple[int, Place]] = []
    order = np.flatnonzero(where)
    order = order[np.argsort(discs.radius[order], kind="stable")]
    apart = max(1.0, APART * survey.perimeter / survey.regions)
    while len(order) and len(found) < MOST_PLACES:
        centre = discs.centre[order[0]]
        width = 2 * float(discs.radius[order[0]])
        region = int(discs.region[order[0]])
        message = say(width)
        if survey.regions > 1:
            across = facts.text(float(survey.region_width[region]))
            message = f"region {region + 1}, {across} across: {message}"
        found.append((region, Place(at=(float(centre[0]), float(centre[1])), value=width, message=message)))
        order = order[np.hypot(*(discs.centre[order] - centre).T) > apart]
    return tuple(place for _, place in sorted(found, key=lambda entry: entry[0]))
