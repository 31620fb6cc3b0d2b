"""The places that hold a plug up: where each is, what it is, and at which lift it touches."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from inlayfit.cutters import Profile
from inlayfit.outline.analysis import raised
from inlayfit.outline.edges import Array, Index
from inlayfit.seat.overlap import Overlap
from inlayfit.seat.peaks import CLIMBS, SURE, Peak, climbed, junction_peaks, ridge_peaks
from inlayfit.seat.plan_rays import TURN, Rays, RayShelf

APART = 1.0  # contacts closer than this are told as one [mm]
SAME_PLACE = 1e-3  # a corner is told once [mm]
STRETCH = 5.0  # and so are places along one stroke or gap [mm]
BATCH = 200  # rays verified at once
MOST = 60  # as many contacts are told
STEEP = 0.2  # the wedge of a corner opens by more than this, sine of its half-angle; a stroke's sides by less
WEDGE = 0.02  # a disc lies in a corner's wedge where it touches both edges to within this share
SHARPEST = 0.035  # what opens by less, sine of the half-angle, is an uncut stroke and no point
BLUNT = 0.1  # corners closer together than this are one point [mm]
SLIGHT = 0.003  # a cut that falls short by less than this is complete [mm]


@dataclass(frozen=True, kw_only=True)
class Contact:
    """A place where plug and base meet.

    kind: walls, corner, stroke, gap, rib, fillet or floor; side: the cut that falls short there, pocket or plug;
    at: the place on the finished face [mm]; lift: of a plug that just touches there [mm]; half_angle: of a corner's
    wedge [degrees], None elsewhere; width: of a stroke or a gap [mm], None elsewhere; lost: what is missing there at
    the face [mm].
    """

    kind: str
    side: str
    at: tuple[float, float]
    lift: float
    half_angle: float | None
    width: float | None
    lost: float


@dataclass(frozen=True, kw_only=True)
class LostPoint:
    """A corner whose point is missing at the face: its side, place [mm], half-angle [degrees], missing length [mm]."""

    side: str
    at: tuple[float, float]
    half_angle: float
    lost: float


def points_lost(joint: Overlap) -> tuple[LostPoint, ...]:
    """Corners by what they lose at the face, most first, at most `MOST`; corners of either side."""
    cut, edges = joint.cut, joint.inside
    found = []
    for sign, side, bit, error, removed in (
        (1, "pocket", cut.pocket_bit, cut.pocket_v_error, joint.pocket),
        (-1, "plug", cut.plug_bit, cut.plug_v_error, joint.plug),
    ):
        corner = np.flatnonzero(sign * edges.turn > TURN)
        sine = np.cos(edges.turn[corner] / 2)
        # a point that is blunted, but by less than the tip is wide, is as far from the tip as the sharp one
        seen = bit.declared.flank_radius / np.maximum(removed.distance(edges.start[corner]), 1e-9)
        sine = np.where((seen < sine) & (seen > SHARPEST), seen, sine)
        # the sharper, the more is lost; some are the other end of a point that is told already
        sharpest = np.argsort(sine, kind="stable")[: 8 * MOST]
        for vertex, opening in zip(edges.start[corner[sharpest]], sine[sharpest], strict=True):
            lost = lost_at_corner(bit.declared, bit.actual, float(opening), error)
            half = float(np.degrees(np.arcsin(opening)))
            found.append(LostPoint(side=side, at=(float(vertex[0]), float(vertex[1])), half_angle=half, lost=lost))
    kept: list[LostPoint] = []
    for point in sorted(found, key=lambda point: -point.lost):
        # both ends of a blunt point are one point to a person
        if all(np.hypot(point.at[0] - k.at[0], point.at[1] - k.at[1]) > BLUNT for k in kept):
            kept.append(point)
        if len(kept) == MOST:
            break
    return tuple(kept)


def contacts(joint: Overlap, rays: Rays) -> list[Contact]:
    """Contacts in order of lift, highest first."""
    best, lift = _verified(joint, rays)
    which = rays.each[-1]
    rays, best, lift = rays.every, best[which], lift[which]
    row = np.arange(len(best))
    # a corner's own place is its vertex: of equal lifts it is told first
    order = np.argsort(-(lift + np.where(rays.bisector, 2e-3, 0.0)), kind="stable")
    point = rays.foot + rays.at[row, best][:, None] * rays.normal
    place = np.where((rays.corner >= 0)[:, None], rays.foot, point)
    chosen = _spread(place, order)
    found = [_described(joint, rays, j, int(best[j]), place[j], float(lift[j])) for j in chosen]
    found += _floors(joint, rays)
    found += [_at_peak(joint, peak) for peak in junction_peaks(joint, max(c.lift for c in found))]
    found += [_at_peak(joint, peak) for peak in ridge_peaks(joint, rays, lift, max(c.lift for c in found))]
    refined = _refined(joint, rays, chosen, best, lift, found)
    return _told_once(sorted(refined, key=lambda c: -c.lift))


def _verified(joint: Overlap, rays: Rays) -> tuple[Index, Array]:
    """Node with the greatest overlap on each ray and that overlap, from every tip in reach for the highest rays.

    Along the rays only tips near by were asked, so what they show is never too low.
    """
    best = rays.overlap.argmax(1)
    lift = rays.overlap[np.arange(len(best)), best].copy()
    order = np.argsort(-lift, kind="stable")
    top = -np.inf
    for k in range(0, len(order), BATCH):
        rows = order[k : k + BATCH]
        if lift[rows[0]] <= top + SURE:
            break
        for some, nodes in ((rows[~rays.bisector[rows]], 1), (rows[rays.bisector[rows]], rays.at.shape[1])):
            if len(some):
                pick = best[some, None] if nodes == 1 else np.arange(nodes)[None]
                at = rays.at[some[:, None], pick]
                value = joint.at(rays.foot[some, None] + at[..., None] * rays.normal[some, None])
                highest = value.argmax(1)
                lift[some] = value[np.arange(len(some)), highest]
                best[some] = np.broadcast_to(pick, value.shape)[np.arange(len(some)), highest]
        top = max(top, float(lift[rows].max()))
    return best, lift


def _at_peak(joint: Overlap, peak: Peak) -> Contact:
    """A peak over the pocket's axis: of a corner where the disc there lies in the corner's wedge, else of a stroke."""
    edges = joint.inside
    corner = np.flatnonzero(edges.turn > TURN)
    half = (np.pi - edges.turn[corner]) / 2
    away = np.array(peak.at) - edges.start[corner]
    far, middle = np.hypot(*away.T), edges.normal[corner] + edges.normal[edges.before[corner]]
    on_bisector = (away * middle).sum(1) > (1 - WEDGE) * far * np.hypot(*middle.T)
    fits = np.abs(far * np.sin(half) - peak.width / 2) < WEDGE * peak.width
    within = np.flatnonzero(on_bisector & fits & (np.sin(half) >= STEEP))
    if not len(within):
        return Contact(
            kind="stroke", side="pocket", at=peak.at, lift=peak.lift, half_angle=None, width=peak.width, lost=0.0
        )
    nearest = int(within[np.argmin(far[within])])
    bit, vertex = joint.cut.pocket_bit, edges.start[corner[nearest]]
    return Contact(
        kind="corner", side="pocket", half_angle=float(np.degrees(half[nearest])), width=None,
        lost=lost_at_corner(bit.declared, bit.actual, float(np.sin(half[nearest])), joint.cut.pocket_v_error),
        at=(float(vertex[0]), float(vertex[1])), lift=peak.lift,
    )  # fmt: skip


def _told_once(found: list[Contact]) -> list[Contact]:
    """The contacts without those that only say again what a higher one said.

    One is kept for all walls, one for the floor, and one for each stretch of a stroke or a gap.
    """
    kept: list[Contact] = []
    for contact in found:
        reach = {"walls": np.inf, "fillet": np.inf, "rib": np.inf, "stroke": STRETCH, "gap": STRETCH}.get(
            contact.kind, SAME_PLACE
        )
        if not any(
            k.kind == contact.kind and np.hypot(k.at[0] - contact.at[0], k.at[1] - contact.at[1]) < reach for k in kept
        ):
            kept.append(contact)
    return kept


def _spread(place: Array, order: Index) -> list[int]:
    """The first of `order` and then always the next that is `APART` from all before."""
    chosen: list[int] = []
    for k in range(0, len(order), BATCH):
        left = order[k : k + BATCH]
        for other in chosen:
            left = left[np.hypot(*(place[left] - place[other]).T) > APART]
        while len(left) and len(chosen) < MOST:
            chosen.append(int(left[0]))
            left = left[np.hypot(*(place[left] - place[left[0]]).T) > APART]
        if len(chosen) == MOST:
            break
    return chosen


def _refined(
    joint: Overlap, rays: Rays, chosen: list[int], best: Index, lift: Array, found: list[Contact]
) -> list[Contact]:
    """The contacts with their lifts from every tip in reach, the highest ones searched for in their neighbourhood."""
    start = np.array([rays.foot[j] + rays.at[j, best[j]] * rays.normal[j] for j in chosen])
    exact = lift[chosen].copy()
    # walls are exact as they are; beside them lie the corners that only a curve's flattening has made
    walls = np.array([c.kind in ("walls", "fillet", "rib") for c in found[: len(chosen)]])
    high = np.flatnonzero((exact > exact.max() - 0.03) & ~walls)[:CLIMBS]
    if len(high):
        _, exact[high] = climbed(joint, start[high], exact[high])
    return [replace(c, lift=float(v)) for c, v in zip(found, exact, strict=False)] + found[len(chosen) :]


def _described(joint: Overlap, rays: Rays, j: int, node: int, place: Array, lift: float) -> Contact:
    cut = joint.cut
    pocket, plug = cut.pocket_bit, cut.plug_bit
    distance, deep, below = (float(of[j, node]) for of in (rays.at, rays.depth, rays.below))
    inside, outside = float(rays.inside[j]), float(rays.outside[j])
    tip = min(max((inside - pocket.declared.flank_radius) / pocket.declared.slope, 0.0), cut.pocket_depth)
    low = min(max((outside - plug.declared.flank_radius) / plug.declared.slope, 0.0), cut.depth_below_start)
    blunt = rays.corner[j] >= 0
    # what a finished wall would be cut to here, and by how much each cut falls short of it
    deep_wall = cut.pocket_v_error + tip + (
        distance - pocket.declared.flank_radius - tip * pocket.declared.slope + pocket.actual.flank_radius
    ) / pocket.actual.slope  # fmt: skip
    below_wall = cut.plug_v_error + low - (
        distance + plug.declared.flank_radius + low * plug.declared.slope - plug.actual.flank_radius
    ) / plug.actual.slope  # fmt: skip
    short_pocket = max(0.0, deep_wall) - max(0.0, deep)
    short_plug = max(-cut.start_depth, below_wall) - max(-cut.start_depth, below)
    at = (float(place[0]), float(place[1]))
    if (blunt and rays.half_angle[j] > 0 and rays.width[j] == 0) or (blunt and short_plug > SLIGHT):
        side = "pocket" if rays.inside[j] == 0 else "plug"
        bit, error = (pocket, cut.pocket_v_error) if side == "pocket" else (plug, cut.plug_v_error)
        half = rays.half_angle[j]
        return Contact(
            kind="corner", side=side, half_angle=float(np.degrees(half)), width=None,
            lost=lost_at_corner(bit.declared, bit.actual, float(np.sin(half)), error), at=at, lift=lift,
        )  # fmt: skip
    axis = pocket.declared.flank_radius + cut.pocket_depth * pocket.declared.slope
    kind = "rib" if distance < 0 and deep <= 0 and lift < 0 else "walls"
    # at full depth the tip's own shape ends the wall: its flat is the floor, a ball leaves a fillet before it
    if not blunt and rays.inside[j] >= joint.pocket_full - 1e-9 and distance > axis - pocket.actual.flank_start + 1e-6:
        kind = "fillet" if pocket.actual.rounding and distance < axis else "floor"
    if max(short_pocket, short_plug) < SLIGHT or (kind in ("fillet", "floor") and short_plug < SLIGHT):
        return Contact(kind=kind, side="pocket", half_angle=None, width=None, lost=0.0, at=at, lift=lift)
    side = "pocket" if short_pocket >= short_plug else "plug"
    bit, error = (pocket, cut.pocket_v_error) if side == "pocket" else (plug, cut.plug_v_error)
    radius = float(rays.inside[j] if side == "pocket" else rays.outside[j])
    sine = _opening(joint, rays, j, side)
    if sine >= STEEP:
        # a wedge that ends in a rounding the tip enters, not in a corner, loses nothing at the face
        vertex = _vertex_of(joint, place, side, 1.1 * radius / sine + 0.01)
        lost = 0.0 if vertex is None else lost_at_corner(bit.declared, bit.actual, sine, error)
        return Contact(
            kind="corner", side=side, half_angle=float(np.degrees(np.arcsin(sine))), width=None,
            lost=lost, at=vertex or at, lift=lift,
        )  # fmt: skip
    uncut = radius < bit.declared.flank_radius
    return Contact(
        kind="stroke" if side == "pocket" else "gap", side=side, half_angle=None, width=2 * radius,
        lost=2 * radius if uncut else 0.0, at=at, lift=lift,
    )  # fmt: skip


def _vertex_of(joint: Overlap, place: Array, side: str, within: float) -> tuple[float, float] | None:
    """The nearest corner of that side's wedge, if one is so near: a place along its bisector is told by it."""
    edges = joint.inside
    corner = edges.start[edges.turn * (1 if side == "pocket" else -1) > TURN]
    if not len(corner):
        return None
    far = np.hypot(*(corner - place).T)
    nearest = int(far.argmin())
    return (float(corner[nearest, 0]), float(corner[nearest, 1])) if far[nearest] <= within else None


def lost_at_corner(declared: Profile, actual: Profile, sine: float, error: float) -> float:
    """Length missing at the face along the bisector of a corner whose half-angle has this sine [mm]."""
    sine, deepest = max(sine, 1e-6), max(0.0, -error)
    # a ball widens faster than it draws back at first, and comes nearest where both are as fast
    if actual.rounding:
        run = declared.slope / sine
        deepest = max(deepest, actual.rounding * (1 - run / (1 + run**2) ** 0.5) - error)
    away = (declared.flank_radius + deepest * declared.slope) / sine
    return max(0.0, away - actual.half_width_at(deepest + error))


def _opening(joint: Overlap, rays: Rays, j: int, side: str) -> float:
    """Sine of the half-angle at which the walls on both sides of the disc at this ray part."""
    sign = 1.0 if side == "pocket" else -1.0
    full = joint.pocket_full if side == "pocket" else joint.plug_full
    along = np.array([rays.normal[j, 1], -rays.normal[j, 0]])
    step = 0.05 * max(0.02, min(float(rays.width[j]), 0.5))
    feet = np.stack([rays.foot[j] - step * along, rays.foot[j] + step * along])
    radius = joint.boundary.discs(feet, np.repeat(sign * rays.normal[j][None], 2, 0), full)
    tangent = abs(float(radius[1] - radius[0])) / (2 * step)
    return tangent / (1 + tangent**2) ** 0.5


def _floors(joint: Overlap, rays: Rays) -> list[Contact]:
    """Contact with the floor: where the clearing bit ran, and where the V-bit had to clean up."""
    cut = joint.cut
    out: list[Contact] = []
    straight = (rays.corner < 0) & (rays.inside >= joint.pocket_full)
    if not straight.any():
        return out
    foot, normal = rays.foot[straight], rays.normal[straight]
    room = cut.pocket_depth * cut.pocket_bit.declared.slope
    enters = np.zeros(len(foot), bool)
    if cut.clearing_radius is not None:
        radius = max(joint.pocket_full, room + cut.clearing_radius)
        largest, walls = raised(radius), rays.corner < 0
        room_at = joint.analysis.shelf(RayShelf).room.get(
            (rays.grain, largest), lambda: joint.boundary.discs(rays.foot[walls], rays.normal[walls], largest)
        )
        enters = room_at[straight[walls]] >= radius
    for there, lift in ((enters, cut.floor_lift), (~enters, cut.ridge_lift)):
        if there.any():
            i = int(np.flatnonzero(there)[0])
            at = foot[i] + joint.pocket_full * normal[i]
            place = (float(at[0]), float(at[1]))
            out.append(Contact(kind="floor", side="pocket", at=place, lift=lift, half_angle=None, width=None, lost=0.0))
    return out
