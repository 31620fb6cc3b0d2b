"""Peaks of the overlap that stand between the rays: on the medial axis, where its branches meet, and beside a place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.outline.edges import Array
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays

RIDGES = 96  # rays searched along the medial axis
RIDGE_RISE = 0.2  # by as much may the overlap rise along the axis between two rays [mm]
CLIMBS = 16  # places whose neighbourhood is searched for the highest overlap
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
    """Peaks where branches of the medial axis meet, if they are above the highest one known."""
    places, bound = pair.junctions()
    order = np.argsort(-bound, kind="stable")[:CLIMBS]
    order = order[bound[order] > known + SURE]
    if not len(order):
        return []
    # the peak lies beside the meeting point, on one of the branches
    at, lift = climbed(pair, places[order], pair.at(places[order, None])[:, 0])
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
    slides, offs = np.linspace(-1, 1, 9), np.linspace(-1, 1, 5)
    for turn in range(6):
        keep = np.ones(len(rows), bool) if turn == 0 else top > max(known, top.max()) - RIDGE_RISE * 0.4**turn
        if not keep.any():
            return []
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
        best = int(top.argmax())
        at, width = points[best, pick[best]], 2 * radius[best, pick[best]]
    if top[best] <= known + SURE:
        return []
    return [Peak(at=(float(at[0]), float(at[1])), lift=float(top[best]), width=float(width))]


def climbed(pair: Pair, centre: Array, top: Array) -> tuple[Array, Array]:
    """The places (n, 2) of greatest overlap near these, and the overlap there [mm].

    A turn looks round each place at several distances, and further on the way that it came: peaks stand on ridges.
    """
    centre, top = centre.copy(), top.copy()
    step, way = np.full(len(centre), 0.04), np.zeros_like(centre)
    # within a shorter step the overlap, no steeper than both flanks, rises by less than makes a difference
    least = SURE / 2 * min(side.actual.slope for side in pair.sides)
    for turn in range(TURNS):
        rows = np.flatnonzero(step > least)
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
    return centre, top
