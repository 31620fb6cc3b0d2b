"""The places that hold a plug up: where each is, what it is, and at which lift it touches."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from inlayfit.outline.analysis import raised
from inlayfit.outline.edges import Array, Index
from inlayfit.seat.lines import TURN
from inlayfit.seat.pair import Pair
from inlayfit.seat.peaks import CLIMBS, SURE, Peak, climbed, junction_peaks, ridge_peaks
from inlayfit.seat.rays import Rays, RayShelf
from inlayfit.seat.side import Side

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


def points_lost(pair: Pair) -> tuple[LostPoint, ...]:
    """Corners by what they lose at the face, most first, at most `MOST`; corners of either side."""
    edges = pair.inside
    found = []
    for side in pair.sides:
        corner = np.flatnonzero(side.sign * edges.turn > TURN)
        sine = np.cos(edges.turn[corner] / 2)
        # a point that is blunted, but by less than the tip is wide, is as far from the tip as the sharp one
        seen = side.declared.flank_radius / np.maximum(side.removed.distance(edges.start[corner]), 1e-9)
        sine = np.where((seen < sine) & (seen > SHARPEST), seen, sine)
        # the sharper, the more is lost; some are the other end of a point that is told already
        sharpest = np.argsort(sine, kind="stable")[: 8 * MOST]
        for vertex, opening in zip(edges.start[corner[sharpest]], sine[sharpest], strict=True):
            lost = lost_at_corner(side, float(opening))
            half = float(np.degrees(np.arcsin(opening)))
            at = (float(vertex[0]), float(vertex[1]))
            found.append(LostPoint(side=side.part, at=at, half_angle=half, lost=lost))
    kept: list[LostPoint] = []
    for point in sorted(found, key=lambda point: -point.lost):
        # both ends of a blunt point are one point to a person
        if all(np.hypot(point.at[0] - k.at[0], point.at[1] - k.at[1]) > BLUNT for k in kept):
            kept.append(point)
        if len(kept) == MOST:
            break
    return tuple(kept)


def contacts(pair: Pair, rays: Rays) -> list[Contact]:
    """Contacts in order of lift, highest first."""
    best, lift = _verified(pair, rays)
    which = rays.each.which
    rays, best, lift = rays.every, best[which], lift[which]
    row = np.arange(len(best))
    # a corner's own place is its vertex: of equal lifts it is told first
    order = np.argsort(-(lift + np.where(rays.bisector, 2e-3, 0.0)), kind="stable")
    point = rays.foot + rays.at[row, best][:, None] * rays.normal
    place = np.where((rays.corner >= 0)[:, None], rays.foot, point)
    chosen = _spread(place, order)
    found = [_described(pair, rays, j, int(best[j]), place[j], float(lift[j])) for j in chosen]
    found = _refined(pair, rays, chosen, best, lift, found) + _floors(pair, rays)
    found += [_at_peak(pair, peak) for peak in junction_peaks(pair, max(c.lift for c in found))]
    found += [_at_peak(pair, peak) for peak in ridge_peaks(pair, rays, lift, max(c.lift for c in found))]
    return _told_once(sorted(found, key=lambda c: -c.lift))


def _verified(pair: Pair, rays: Rays) -> tuple[Index, Array]:
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
                value = pair.at(rays.foot[some, None] + at[..., None] * rays.normal[some, None])
                highest = value.argmax(1)
                lift[some] = value[np.arange(len(some)), highest]
                best[some] = np.broadcast_to(pick, value.shape)[np.arange(len(some)), highest]
        top = max(top, float(lift[rows].max()))
    return best, lift


def _at_peak(pair: Pair, peak: Peak) -> Contact:
    """A peak over the pocket's axis: of a corner where the disc there lies in the corner's wedge, else of a stroke."""
    edges = pair.inside
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
    vertex = edges.start[corner[nearest]]
    return Contact(
        kind="corner", side="pocket", half_angle=float(np.degrees(half[nearest])), width=None,
        lost=lost_at_corner(pair.pocket, float(np.sin(half[nearest]))),
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
    pair: Pair, rays: Rays, chosen: list[int], best: Index, lift: Array, found: list[Contact]
) -> list[Contact]:
    """The contacts with their lifts from every tip in reach, the highest ones searched for in their neighbourhood."""
    start = np.array([rays.foot[j] + rays.at[j, best[j]] * rays.normal[j] for j in chosen])
    exact = lift[chosen].copy()
    # walls are exact as they are; beside them lie the corners that only a curve's flattening has made
    rounded = any(side.floor.rounded for side in pair.sides)
    exact_kinds = ("walls", "rib") if rounded else ("walls", "fillet", "rib")
    walls = np.array([c.kind in exact_kinds for c in found])
    high = np.flatnonzero((exact > exact.max() - 0.03) & ~walls)[:CLIMBS]
    if len(high):
        _, exact[high] = climbed(pair, start[high], exact[high])
    return [replace(c, lift=float(v)) for c, v in zip(found, exact, strict=True)]


def _described(pair: Pair, rays: Rays, j: int, node: int, place: Array, lift: float) -> Contact:
    pocket, plug = pair.sides
    distance, deep, below = (float(of[j, node]) for of in (rays.at, rays.depth, rays.below))
    tip, low = (float(side.tip_depth(rays.discs(side)[j])) for side in pair.sides)
    blunt = rays.corner[j] >= 0
    # what a finished wall would be cut to here, and by how much each cut falls short of it
    deep_wall = pocket.error + tip + (
        distance - pocket.declared.flank_radius - tip * pocket.declared.slope + pocket.actual.flank_radius
    ) / pocket.actual.slope  # fmt: skip
    below_wall = plug.error + low - (
        distance + plug.declared.flank_radius + low * plug.declared.slope - plug.actual.flank_radius
    ) / plug.actual.slope  # fmt: skip
    short_pocket = max(0.0, deep_wall) - max(0.0, deep)
    short_plug = max(-pair.start_depth, below_wall) - max(-pair.start_depth, below)
    at = (float(place[0]), float(place[1]))
    if (blunt and rays.half_angle[j] > 0 and rays.width[j] == 0) or (blunt and short_plug > SLIGHT):
        side = pocket if rays.inside[j] == 0 else plug
        half = rays.half_angle[j]
        return Contact(
            kind="corner", side=side.part, half_angle=float(np.degrees(half)), width=None,
            lost=lost_at_corner(side, float(np.sin(half))), at=at, lift=lift,
        )  # fmt: skip
    axis = pocket.declared.flank_radius + pocket.depth * pocket.declared.slope
    kind = "rib" if distance < 0 and deep <= 0 and lift < 0 else "walls"
    # at full depth the tip's own shape ends the wall: its flat is the floor, a ball leaves a fillet before it
    if not blunt and rays.inside[j] >= pocket.full - 1e-9 and distance > axis - pocket.actual.flank_start + 1e-6:
        kind = "fillet" if pocket.actual.rounding and distance < axis else "floor"
    for side in pair.sides:
        if not rays.bisector[j] and rays.discs(side)[j] >= side.full and side.on_fillet(distance):
            return Contact(kind="fillet", side=side.part, half_angle=None, width=None, lost=0.0, at=at, lift=lift)
    if max(short_pocket, short_plug) < SLIGHT or (kind in ("fillet", "floor") and short_plug < SLIGHT):
        return Contact(kind=kind, side="pocket", half_angle=None, width=None, lost=0.0, at=at, lift=lift)
    side = pocket if short_pocket >= short_plug else plug
    radius, sine = float(rays.discs(side)[j]), _opening(pair, rays, j, side)
    if sine >= STEEP:
        # a wedge that ends in a rounding the tip enters, not in a corner, loses nothing at the face
        vertex = _vertex_of(pair, place, side, 1.1 * radius / sine + 0.01)
        return Contact(
            kind="corner", side=side.part, half_angle=float(np.degrees(np.arcsin(sine))), width=None,
            lost=0.0 if vertex is None else lost_at_corner(side, sine), at=vertex or at, lift=lift,
        )  # fmt: skip
    uncut = radius < side.declared.flank_radius
    return Contact(
        kind="stroke" if side is pocket else "gap", side=side.part, half_angle=None, width=2 * radius,
        lost=2 * radius if uncut else 0.0, at=at, lift=lift,
    )  # fmt: skip


def _vertex_of(pair: Pair, place: Array, side: Side, within: float) -> tuple[float, float] | None:
    """The nearest corner of that side's wedge, if one is so near: a place along its bisector is told by it."""
    edges = pair.inside
    corner = edges.start[edges.turn * side.sign > TURN]
    if not len(corner):
        return None
    far = np.hypot(*(corner - place).T)
    nearest = int(far.argmin())
    return (float(corner[nearest, 0]), float(corner[nearest, 1])) if far[nearest] <= within else None


def lost_at_corner(side: Side, sine: float) -> float:
    """Length missing at the face along the bisector of a corner whose half-angle has this sine [mm]."""
    declared, actual, error = side.declared, side.actual, side.error
    sine, deepest = max(sine, 1e-6), max(0.0, -error)
    # a ball widens faster than it draws back at first, and comes nearest where both are as fast
    if actual.rounding:
        run = declared.slope / sine
        deepest = max(deepest, actual.rounding * (1 - run / (1 + run**2) ** 0.5) - error)
    away = (declared.flank_radius + deepest * declared.slope) / sine
    return max(0.0, away - actual.half_width_at(deepest + error))


def _opening(pair: Pair, rays: Rays, j: int, side: Side) -> float:
    """Sine of the half-angle at which the walls on both sides of the disc at this ray part."""
    along = np.array([rays.normal[j, 1], -rays.normal[j, 0]])
    step = 0.05 * max(0.02, min(float(rays.width[j]), 0.5))
    feet = np.stack([rays.foot[j] - step * along, rays.foot[j] + step * along])
    radius = pair.boundary.discs(feet, np.repeat(side.sign * rays.normal[j][None], 2, 0), side.full)
    tangent = abs(float(radius[1] - radius[0])) / (2 * step)
    return tangent / (1 + tangent**2) ** 0.5


def _floors(pair: Pair, rays: Rays) -> list[Contact]:
    """Contact with the open floors, at a place of each."""
    out: list[Contact] = []
    straight = (rays.corner < 0) & (rays.inside >= pair.pocket.full)
    foot, normal = rays.foot[straight], rays.normal[straight]
    left = np.ones(len(foot), bool)
    for floor in pair.floors:
        there = left.copy()
        if floor.room > 0 and len(foot):
            radius = max(pair.pocket.full, floor.room)
            there &= _room(pair, rays, radius)[straight[rays.corner < 0]] >= radius
        left &= ~there
        if there.any():
            i = int(np.flatnonzero(there)[0])
            at = foot[i] + pair.pocket.full * normal[i]
            place = (float(at[0]), float(at[1]))
            out.append(
                Contact(
                    kind="floor",
                    side="pocket",
                    at=place,
                    lift=floor.first_lift,
                    half_angle=None,
                    width=None,
                    lost=0.0,
                )
            )
    return out


def _room(pair: Pair, rays: Rays, radius: float) -> Array:
    """Radii of the largest discs inside at the straight walls' feet, as far as this one [mm]."""
    largest, walls = raised(radius), rays.corner < 0
    return pair.analysis.shelf(RayShelf).room.get(
        (rays.grain, largest), lambda: pair.boundary.discs(rays.foot[walls], rays.normal[walls], largest)
    )
