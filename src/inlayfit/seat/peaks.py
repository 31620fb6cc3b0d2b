"""Peaks of the overlap that stand between the rays: on the medial axis, where its branches meet, and beside a place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.outline.edges import Array, Index
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays

RIDGES = 96  # rays searched along the medial axis
RIDGE_RISE = 0.2  # by as much may the overlap rise along the axis between two rays [mm]
CLIMBED = 0.1  # places are climbed from that lie no further below the highest known [mm]
BESIDE = 0.05  # one of places closer together than this is climbed from [mm]
CLIMBS = 16  # places whose neighbourhood is searched for the highest overlap
FOLLOWED = 4  # of the highest of them the ridges are followed, if they are
NEARLY = 0.02  # so nearly as high as the highest [mm]
BEARINGS = np.linspace(0, 2 * np.pi, 96, endpoint=False)  # looked at on a circle, for where a ridge crosses it
WORTH = 1e-5  # a step along a ridge that gains less is not taken [mm]
SHORTEST = 2e-4  # way along a ridge looked at [mm]
TURNS = 8  # of the search round each of them
SHELLS = np.array([1.0, 0.5, 0.25, 0.12])  # distances looked at in a turn, as shares of the largest
FURTHER = np.array([0.5, 1.0, 2.0, 4.0])  # looked at on the way a place came, as shares of that way
SURE = 1e-4  # lifts that differ by less are one [mm]
LEVEL = 1e-9  # what rises by less is level: on a crest the last digit would lead anywhere [mm]


@dataclass(frozen=True, kw_only=True)
class Peak:
    """A place of greatest overlap: where, the lift of a plug that just touches there, and the stroke's width [mm]."""

    at: tuple[float, float]
    lift: float
    width: float


def junction_peaks(pair: Pair, known: float) -> list[Peak]:
    """Peaks beside places where branches of the medial axis meet, if they are above the highest one known."""
    places, bound = pair.junctions()
    order = np.argsort(-bound, kind="stable")[:CLIMBS]
    order = order[bound[order] > known - CLIMBED]
    if not len(order):
        return []
    # the peak lies beside the meeting point, on one of the branches
    at, lift = climbed(pair, places[order], pair.at(places[order, None])[:, 0], known)
    width = 2 * np.hypot(*(pair.boundary.nearest(at) - at).T)
    return [
        Peak(at=(float(x), float(y)), lift=float(value), width=float(wide))
        for (x, y), value, wide in zip(at, lift, width, strict=True)
        if value > known + SURE
    ]


def ridge_peaks(pair: Pair, rays: Rays, lift: Array, known: float) -> list[Peak]:
    """The highest place on the medial axis between the rays, if it is above the highest one known.

    Over a narrow stroke the overlap is a ridge along the axis, and its peak need not lie on a ray: it may stand
    where the plug's ridge reaches its uncut face, or across from a corner of the base. The search slides the foot
    along its wall, or turns round its corner, and so stays on the ridge.
    """
    axis = np.flatnonzero((rays.inside < pair.pocket.full) & (rays.inside > 0) & ~rays.bisector)
    order = axis[np.argsort(-lift[axis], kind="stable")]
    rows = order[lift[order] > known - RIDGE_RISE][:RIDGES]
    if not len(rows):
        return []
    fan = rays.corner[rows] >= 0
    start = np.arctan2(rays.normal[rows, 1], rays.normal[rows, 0])
    along = np.stack([rays.normal[rows, 1], -rays.normal[rows, 0]], 1)
    # the plug's own ridge lies aside from the pocket's axis where a gap's corner is across, by about a tip's radius
    grain = max(side.declared.flank_radius for side in pair.sides)
    short = np.where(fan, 0.75 * grain, 0.0)
    top: Array = lift[rows]
    middle, depth, half = np.zeros(len(rows)), short.copy(), rays.width[rows] / 2
    seen: list[tuple[Array, Array]] = []
    slides, offs = np.linspace(-1, 1, 9), np.linspace(-1, 1, 5)
    for turn in range(6):
        keep = np.ones(len(rows), bool) if turn == 0 else top > max(known, top.max()) - RIDGE_RISE * 0.4**turn
        if not keep.any():
            break
        rows, fan, start, along = rows[keep], fan[keep], start[keep], along[keep]
        short, middle, depth, half = short[keep], middle[keep], depth[keep], half[keep]
        slide = middle[:, None] + half[:, None] * slides
        angle = start[:, None] + np.where(fan[:, None], slide, 0.0)
        normal = np.stack([np.cos(angle), np.sin(angle)], -1)
        foot = rays.foot[rows, None] + np.where(fan[:, None], 0.0, slide)[..., None] * along[:, None]
        radius = pair.boundary.discs(foot.reshape(-1, 2), normal.reshape(-1, 2), pair.pocket.full).reshape(slide.shape)
        # aside from the axis only round a corner: (rows, offs, slides)
        off = depth[:, None, None] + short[:, None, None] * (offs if fan.any() else np.zeros(1))[:, None]
        points = foot[:, None] + np.maximum(radius[:, None] - off, 0.0)[..., None] * normal[:, None]
        points = points.reshape(len(rows), -1, 2)
        off, slide, radius = (
            np.broadcast_to(x, (len(rows), points.shape[1] // len(slides), len(slides))).reshape(len(rows), -1)
            for x in (off, slide[:, None], radius[:, None])
        )
        value = pair.at(points)
        one, pick = np.arange(len(rows)), value.argmax(1)
        middle, depth, half, short = slide[one, pick], off[one, pick], half / 4, short / 2
        top = value[one, pick]
        seen.append((points[one, pick], top))
    place, lift = (np.concatenate(column) for column in zip(*seen, strict=True))
    order = np.argsort(-lift, kind="stable")
    order = order[lift[order] > max(known, lift[order[0]]) - CLIMBED]
    if not len(order):
        return []
    # under a flat tip the peak may lie aside from the axis
    at, lift = climbed(pair, *_apart(place[order], lift[order]), known)
    best = int(lift.argmax())
    if lift[best] <= known + SURE:
        return []
    width = 2 * float(np.hypot(*(pair.boundary.nearest(at[best, None]) - at[best]).T)[0])
    return [Peak(at=(float(at[best, 0]), float(at[best, 1])), lift=float(lift[best]), width=width)]


def _apart(place: Array, lift: Array) -> tuple[Array, Array]:
    """The first of these places and lifts and those that are not beside one before, `CLIMBS` at most."""
    chosen: list[int] = []
    left = np.arange(len(place))
    while len(left) and len(chosen) < CLIMBS:
        chosen.append(int(left[0]))
        left = left[np.hypot(*(place[left] - place[left[0]]).T) > BESIDE]
    return place[chosen], lift[chosen]


def climbed(pair: Pair, centre: Array, top: Array, known: float = -np.inf) -> tuple[Array, Array]:
    """The places (n, 2) of greatest overlap near these, and the overlap there [mm].

    Places that stay too far below the highest one `known` are left where they are.

    A turn looks round each place at several distances, and further on the way that it came: peaks stand on ridges.
    """
    centre, top = centre.copy(), top.copy()
    step, way = np.full(len(centre), 0.04), np.zeros_like(centre)
    # within a shorter step the overlap, no steeper than both flanks, rises by less than makes a difference
    least = SURE / 2 * min(side.actual.slope for side in pair.sides)
    for turn in range(TURNS):
        rows = np.flatnonzero((step > least) & (top > known - CLIMBED * 0.5**turn))
        if not len(rows):
            break
        angle = np.arange(8 * len(SHELLS)) * np.pi / 4 + turn
        ring = np.repeat(SHELLS, 8)[:, None] * np.stack([np.cos(angle), np.sin(angle)], 1)
        ahead = way[rows, None] * FURTHER[:, None]
        points = centre[rows, None] + np.concatenate([step[rows, None, None] * ring, ahead], 1)
        value = pair.at(points)
        one, pick = np.arange(len(rows)), value.argmax(1)
        better = value[one, pick] > top[rows] + LEVEL
        moved = np.where(better[:, None], points[one, pick] - centre[rows], 0.0)
        centre[rows] += moved
        top[rows] = np.where(better, value[one, pick], top[rows])
        far = np.hypot(*moved.T)
        # a short way to the crest of a ridge does not tell where the ridge runs, but it and the next one do
        so_far = np.where(far < np.hypot(*way[rows].T), 1.0, 0.0)[:, None] * way[rows]
        way[rows] = np.where(better[:, None], moved + so_far, way[rows])
        step[rows] = np.where(better, np.clip(2 * far, 0.2 * step[rows], 0.08), 0.1 * step[rows])
    best = np.argsort(-top, kind="stable")[:FOLLOWED]
    best = best[top[best] > max(known, top[best[0]]) - NEARLY]
    centre[best], top[best] = _along_ridges(pair, centre[best], top[best])
    return centre, top


def _along_ridges(pair: Pair, centre: Array, top: Array) -> tuple[Array, Array]:
    """The highest places along ridges that are steep to both sides and run on nearly level.

    Such a ridge is met on a circle round a place within a degree or so: there the two highest bearings are looked for.
    """
    centre, top = centre.copy(), top.copy()
    step = np.full(len(centre), 0.04)
    for _ in range(2 * TURNS):
        rows = np.flatnonzero(step > SHORTEST)
        if not len(rows):
            break

        def on_circle(angle: Array, rows: Index = rows) -> tuple[Array, Array]:
            points = centre[rows, None] + step[rows, None, None] * np.stack([np.cos(angle), np.sin(angle)], -1)
            return points, pair.at(points)

        one = np.arange(len(rows))
        bearing = np.broadcast_to(BEARINGS, (len(rows), len(BEARINGS)))
        _, value = on_circle(bearing)
        first = bearing[one, value.argmax(1)]
        other = np.where(np.cos(bearing - first[:, None]) < 0.5, value, -np.inf).argmax(1)
        closer = np.linspace(-1, 1, 9) * BEARINGS[1]
        points, value = on_circle(
            np.concatenate([first[:, None] + closer, bearing[one, other][:, None] + closer], axis=1)
        )
        pick = value.argmax(1)
        better = value[one, pick] > top[rows] + WORTH
        centre[rows] = np.where(better[:, None], points[one, pick], centre[rows])
        top[rows] = np.where(better, value[one, pick], top[rows])
        step[rows] *= np.where(better, 1.5, 0.25)
    return centre, top
