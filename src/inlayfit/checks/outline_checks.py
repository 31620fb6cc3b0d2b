"""Checks that need the outline as drawn. docs/checks.md has a page on each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.joint.survey import Discs, Survey

# places nearer to each other than this share of a region's outline are one place to a person
APART: Final = 0.02
# a rib or wall more than this many times as high as wide may break sideways (common practice, no source)
SLENDER: Final = 4.0
# a stroke drawn at just a limit's width must not turn on the last digit of the arithmetic, mm
SLACK: Final = 1e-6


def fine_strokes(facts: Facts, outline: OutlineFacts) -> Finding:
    """Strokes the V-bit does not enter, and how much of the outline stays shallow."""
    shape, discs = facts.job.bits.pocket_v.shape.as_flat, outline.survey.inside
    full = facts.depths.pocket_depth
    uncut = (discs.stroke | _in_thin_regions(outline.survey)) & (discs.radius <= shape.half_width_at(0) + SLACK)
    shallow_share = discs.share(discs.radius < shape.half_width_at(full / 2) - SLACK)
    limit = facts.job.limits.fine_strokes
    narrowest = outline.survey.narrowest_stroke
    status: Status = "pass"
    remedy = ""
    places: tuple[Place, ...] = ()
    if uncut.any():
        status = "fail"
        message = (
            f"strokes as narrow as {facts.text(2 * float(discs.radius[uncut].min()))} are not cut at all: the tip is "
            f"{facts.text(2 * shape.half_width_at(0))} wide"
        )
        remedy = "a sharper tip, a larger design, or widen these strokes"
        places = _worst(facts, outline.survey, discs, uncut, lambda width: f"{facts.text(width)} wide, not cut")
    else:
        message = (
            f"the narrowest stroke, {facts.text(narrowest.value)}, is cut "
            f"{facts.text(min(full, shape.depth_in(narrowest.value / 2)))} deep; {shallow_share:.0%} of the outline "
            "stays under half depth"
        )
        shallow = discs.stroke & (discs.radius < shape.half_width_at(full / 2) - SLACK)
        if shallow_share > limit:
            status = "doubtful"
            if not shallow.any():
                message = f"{shallow_share:.0%} of the outline stays under half depth, all of it in corners"
            remedy = "a narrower V angle or a larger design cuts deeper, a shallower pocket evens it out"
            places = _worst(
                facts,
                outline.survey,
                discs,
                shallow,
                lambda width: f"{facts.text(width)} wide, cut {facts.text(shape.depth_in(width / 2))} deep",
            )
    return Finding(
        id="fine-strokes",
        status=status,
        value=shallow_share,
        limit=limit,
        kind="share",
        message=message,
        remedy=remedy,
        places=places,
        rests_on=facts.assumed("bits.v.tip", "bits.pocket_v.tip"),
    )


def fine_gaps(facts: Facts, outline: OutlineFacts) -> Finding:
    """Gaps between strokes that the V-bit does not enter on the plug, and how much of the outline stays shallow."""
    shape, discs = facts.job.bits.plug_v.shape.as_flat, outline.survey.outside
    full, limit = facts.depths.depth_below_start, facts.job.limits.fine_gaps
    uncut = discs.stroke & (discs.radius <= shape.half_width_at(0) + SLACK)
    narrow = discs.radius < shape.half_width_at(full / 2) - SLACK
    share, narrowest = discs.share(narrow), outline.survey.narrowest_gap
    status: Status = "pass"
    remedy = ""
    places: tuple[Place, ...] = ()
    if uncut.any():
        status = "fail"
        message = (
            f"gaps as narrow as {facts.text(2 * float(discs.radius[uncut].min()))} are not cut at all on the plug: the "
            f"tip is {facts.text(2 * shape.half_width_at(0))} wide"
        )
        remedy = "a sharper tip, a larger design, or widen these gaps"
        places = _worst(facts, outline.survey, discs, uncut, lambda width: f"{facts.text(width)} wide, not cut")
    else:
        if narrowest is None:
            message = f"no gap between strokes; {share:.0%} of the outline stays under half the plug's cut"
        else:
            deep = min(full, shape.depth_in(narrowest.value / 2))
            message = (
                f"the narrowest gap, {facts.text(narrowest.value)}, is cut {facts.text(deep)} below the plug's start; "
                f"{share:.0%} of the outline stays under half of that cut"
            )
        if share > limit:
            status = "doubtful"
            shallow = discs.stroke & narrow
            message += "" if shallow.any() else ", all of it in inner corners"
            remedy = "a narrower V angle or a larger design; a smaller surface gap evens it out"
            places = _worst(
                facts,
                outline.survey,
                discs,
                shallow,
                lambda width: f"{facts.text(width)} wide, cut {facts.text(shape.depth_in(width / 2))} below the start",
            )
    return Finding(
        id="fine-gaps",
        status=status,
        value=share,
        limit=limit,
        kind="share",
        message=message,
        remedy=remedy,
        places=places,
        rests_on=facts.assumed("bits.v.tip", "bits.plug_v.tip"),
    )


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
