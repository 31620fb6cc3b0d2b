"""Checks that need the outline as drawn. docs/checks.md has a page on each."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import MOST_PLACES, Finding, Place, Status
from inlayfit.cutters import Profile
from inlayfit.joint.job import Wood
from inlayfit.joint.limits import Limit
from inlayfit.statement import Statement, told

if TYPE_CHECKING:  # a sheet without an outline must not wait for numpy and shapely
    from inlayfit.checks.narrow_places import Where
    from inlayfit.outline.survey import Discs, Measured, Survey

CLEARING_ACCESS: Final = Limit("clearing_access", "share", 0.2, "Most of the floor left to the V-bit without doubt.")
FINE_STROKES: Final = Limit("fine_strokes", "share", 0.05, "Most of the outline under half depth without doubt.")
FINE_GAPS: Final = Limit("fine_gaps", "share", 0.05, "Most of the outline whose gap stays under half depth.")
LEAST_INLAY: Final = Limit(
    "least_inlay", "length", (0.2, 0.5),
    "Least depth of inlay left after levelling and sanding: fails under the first, in doubt under the second.",
    one_sets="second",
)  # fmt: skip
LEAST_RIB: Final = Limit(
    "least_rib", "length", (0.3, 0.8),
    "Least width of base between pockets and of the plug's ribs: fails under the first, in doubt under the second.",
    one_sets="second",
)  # fmt: skip
THIN_WALLS: Final = Limit("thin_walls", "length", 1.5, "Least wood from a pocket to the board's edge.")

SLENDER: Final = 4.0
"""A rib or wall more than this many times as high as wide may break sideways (common practice, no source)."""
IN_CORNERS: Final = 4.0
"""So many times its limit the share may be where all of it lies in corners (common practice, no source)."""
SHORT_GRAIN: Final = 45.0
"""Wood that runs further off the grain than this, in degrees, is short grain, and breaks along it."""
SLACK: Final = 1e-6
"""A stroke drawn at just a limit's width must not turn on the last digit of the arithmetic, mm."""


def fine_strokes(facts: Facts, outline: OutlineFacts) -> Finding:
    """Strokes the V-bit does not enter, and how much of the outline stays shallow."""
    from inlayfit.checks.narrow_places import in_thin_regions

    survey = outline.survey
    side = _Side(
        name="fine_strokes",
        shape=facts.job.bits.pocket_v.shape.as_flat,
        discs=survey.inside,
        depth=facts.depths.pocket_depth,
        narrowest=survey.narrowest_stroke,
        narrow=survey.inside.stroke | in_thin_regions(survey),
        limit=facts.job.limits[FINE_STROKES],
    )
    return _fine(survey, side, facts.assumed("bits.v.tip", "bits.pocket_v.tip"))


def fine_gaps(facts: Facts, outline: OutlineFacts) -> Finding:
    """Gaps between strokes that the V-bit does not enter on the plug, and how much of the outline stays shallow."""
    survey = outline.survey
    side = _Side(
        name="fine_gaps",
        shape=facts.job.bits.plug_v.shape.as_flat,
        discs=survey.outside,
        depth=facts.depths.depth_below_start,
        narrowest=survey.narrowest_gap,
        narrow=survey.outside.stroke,
        limit=facts.job.limits[FINE_GAPS],
    )
    return _fine(survey, side, facts.assumed("bits.v.tip", "bits.plug_v.tip"))


class _Side(NamedTuple):
    """One side of the outline: the pocket's strokes, or the gaps that the plug's bit has to enter; in mm."""

    name: Literal["fine_strokes", "fine_gaps"]
    shape: Profile
    discs: Discs
    depth: float
    narrowest: Measured | None
    narrow: Where
    limit: float


def _fine(survey: Survey, side: _Side, rests_on: tuple[str, ...]) -> Finding:
    from inlayfit.checks.narrow_places import narrowest

    shape, discs, name = side.shape, side.discs, side.name
    enters = 2 * shape.half_width_at(0)
    uncut = side.narrow & (discs.radius <= enters / 2 + SLACK)
    shallow = discs.radius < shape.half_width_at(side.depth / 2) - SLACK
    share = discs.share(shallow)
    stays = told(f"{name}.shallow", share=share)
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    places: tuple[Place, ...] = ()
    if uncut.any():
        status = "fail"
        width = 2 * float(discs.radius[uncut].min())
        reasons: tuple[Statement, ...] = (told(f"{name}.uncut", width=width, tip=enters),)
        remedies = (told(f"{name}.widen"),)
        places = narrowest(survey, discs, uncut, lambda disc: told("narrow.uncut", width=discs.width(disc)))
    else:
        reasons = (told("fine_gaps.none"), stays)
        if side.narrowest is not None:
            deep = min(side.depth, shape.depth_in(side.narrowest.value / 2))
            reasons = (told(f"{name}.narrowest", width=side.narrowest.value, deep=deep), stays)
        shallow_strokes = discs.stroke & shallow
        in_corners = not shallow_strokes.any()
        # a corner is shallow by itself: that is no fault of a drawing that has some
        if share > side.limit * (IN_CORNERS if in_corners else 1):
            status, remedies = "doubtful", (told(f"{name}.deeper"),)
            if in_corners:
                reasons = (stays, told(f"{name}.in_corners"))

            def cut_to(disc: int) -> Statement:
                width = discs.width(disc)
                return told(f"{name}.cut_to", width=width, deep=shape.depth_in(width / 2))

            places = narrowest(survey, discs, shallow_strokes, cut_to)
    return Finding(
        id=name.replace("_", "-"),
        status=status,
        value=share,
        limit=side.limit,
        kind="share",
        reasons=reasons,
        remedies=remedies,
        places=places,
        rests_on=rests_on,
    )


def thin_walls(facts: Facts, outline: OutlineFacts) -> Finding:
    """Base wood between pockets and to the board's edge, and ribs of the plug: thin, or too high for their width."""
    from inlayfit.checks.narrow_places import narrowest

    survey, depths = outline.survey, facts.depths
    breaks, limit = facts.job.limits[LEAST_RIB]
    to_edge, plug_v = facts.job.limits[THIN_WALLS], facts.job.bits.plug_v.shape
    # a rib of the plug is as high as its stroke is deep, and the cut below its start
    deep = ((survey.inside.radius - plug_v.flank_radius) / plug_v.slope).clip(0.0, depths.start_depth)
    sides = (
        ("thin_walls.between", facts.job.base.wood, survey.outside, depths.pocket_depth),
        ("thin_walls.ribs", facts.job.plug.wood, survey.inside, deep + depths.depth_below_start),
    )
    thin_wood: list[Statement] = []
    places: list[Place] = []
    thinnest: float | None = None
    for code, wood, discs, high in sides:
        if not discs.stroke.any():
            continue
        width = 2 * discs.radius
        thin = discs.stroke & ((width < limit - SLACK) | (high > SLENDER * width + SLACK))
        least = float(width[discs.stroke].min())
        thinnest = least if thinnest is None else min(thinnest, least)
        if thin.any():
            thin_wood.append(told(code, width=float(width[thin].min())))
            places += narrowest(survey, discs, thin, _with_grain(facts, wood, discs))
    status: Status = "pass"
    if thinnest is not None and thinnest < breaks - SLACK:
        status = "fail"
    edge = next((entry.margin for entry in outline.shop.margins if entry.part == "base"), None)
    if edge is not None and edge.least > 0:
        thinnest = edge.least if thinnest is None else min(thinnest, edge.least)
        if edge.least < to_edge - SLACK or depths.pocket_depth > SLENDER * edge.least + SLACK:
            thin_wood.append(told("thin_walls.to_edge", width=edge.least, edge=edge.tightest))
    if thin_wood:
        status = status if status == "fail" else "doubtful"
        reason = told("thin_walls.pushes", thin=tuple(thin_wood), times=1 / plug_v.slope)
    elif thinnest is None:
        reason = told("thin_walls.none")
    else:
        reason = told("thin_walls.thinnest", width=thinnest)
    return Finding(
        id="thin-walls",
        status=status,
        value=thinnest,
        limit=breaks if status == "fail" else limit,
        reasons=(reason,),
        remedies=() if status == "pass" else (told("thin_walls.remedy"),),
        places=tuple(sorted(places, key=lambda place: place.value)[:MOST_PLACES]),
    )


def _with_grain(facts: Facts, wood: Wood, discs: Discs) -> Callable[[int], Statement]:
    """What is said of a thin place: its width, and how it runs to the grain where the sheet gives that."""
    if wood.face == "end" or not wood.direction_given:
        return lambda disc: told("narrow.wide", width=discs.width(disc))
    turned = 0.0 if facts.job.outline is None else facts.job.outline.turn

    def said(disc: int) -> Statement:
        # walls run square to their normals
        off = abs((discs.runs(disc) + turned - wood.direction + 90) % 180 - 90)
        return told("narrow.across_grain" if off > SHORT_GRAIN else "narrow.along_grain", width=discs.width(disc))

    return said


def clearing_access(facts: Facts, outline: OutlineFacts) -> Finding:
    """How much of the floors the clearing bit reaches: the pocket's, and the plug's own within its border."""
    pocket, plug, limit = outline.floor.pocket, outline.floor.plug, facts.job.limits[CLEARING_ACCESS]
    share, bits = max(pocket.left_to_v, plug.left_to_v), facts.job.bits
    status: Status = "doubtful" if share > limit else "pass"
    remedy = told("clearing_access.smaller")
    if not bits.clearing:
        reason, remedy = told("clearing_access.no_bit"), told("clearing_access.name_a_bit")
    elif pocket.area == 0:
        reason = told("clearing_access.no_floor", bit=bits.clearing[-1].name, plug=1 - plug.left_to_v)
    else:
        reason = told(
            "clearing_access.reaches",
            bit=bits.clearing[-1].name,
            pocket=1 - pocket.left_to_v,
            plug=1 - plug.left_to_v,
        )
    reasons = [reason]
    if pocket.filleted > 0:
        reasons.append(told("clearing_access.filleted", share=pocket.filleted / pocket.area))
    return Finding(
        id="clearing-access",
        status=status,
        value=share,
        limit=limit,
        kind="share",
        reasons=tuple(reasons),
        remedies=() if status == "pass" else (remedy,),
        rests_on=facts.assumed("bits.clearing"),
    )


def survives_levelling(facts: Facts, outline: OutlineFacts) -> Finding:
    """Strokes that levelling and sanding leave too little of."""
    from inlayfit.checks.narrow_places import in_thin_regions, narrowest

    survey, joint = outline.survey, facts.job.joint
    shape, discs = facts.job.bits.pocket_v.shape.as_flat, survey.inside
    lost, limit = facts.job.limits[LEAST_INLAY]
    strokes = discs.stroke | in_thin_regions(survey)
    gone = strokes & (discs.radius <= shape.half_width_at(joint.level_below) + SLACK)
    taken = joint.level_below + joint.sanding
    thin = strokes & (discs.radius < shape.half_width_at(taken + limit) - SLACK)
    narrowest_radius = float(discs.radius[strokes].min())  # every region has its widest disc among them
    left = min(shape.depth_in(narrowest_radius), facts.depths.start_depth) - taken
    reasons: tuple[Statement, ...] = (told("survives_levelling.left", left=left),)
    status: Status = "pass"
    remedies: tuple[Statement, ...] = ()
    places: tuple[Place, ...] = ()

    def stays(disc: int) -> Statement:
        width = discs.width(disc)
        still = shape.depth_in(width / 2) - taken
        return told("narrow.left", width=width, left=still) if still > 0 else told("narrow.sanded_away", width=width)

    if left <= 0 and not gone.any():
        status, reasons = "fail", (told("survives_levelling.all_taken", taken=taken),)
        remedies = (told("survives_levelling.less_or_deeper"),)
        places = narrowest(survey, discs, thin, stays)
    elif gone.any():
        status = "fail"
        vanishes = 2 * shape.half_width_at(joint.level_below)
        reasons = (told("survives_levelling.vanish", width=vanishes, below=joint.level_below),)
        remedies = (told("survives_levelling.level_less"),)
        places = narrowest(survey, discs, gone, lambda disc: told("narrow.vanishes", width=discs.width(disc)))
    elif left < limit - SLACK:
        wears = left < lost - SLACK
        status = "fail" if wears else "doubtful"
        if wears:
            reasons = (*reasons, told("survives_levelling.wears_through", least=lost))
        remedies = (told("survives_levelling.less_or_wider"),)
        places = narrowest(survey, discs, thin, stays)
    return Finding(
        id="survives-levelling",
        status=status,
        value=left,
        limit=lost if status == "fail" else limit,
        reasons=reasons,
        remedies=remedies,
        places=places,
        rests_on=facts.assumed("joint.level_below", "joint.sanding"),
    )
