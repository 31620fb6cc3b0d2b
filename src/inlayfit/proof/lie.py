"""How a cut lies against the outline it should have: shift, turn, mirror, size, and what is left after them.

The cut's edge is looked for along the outline's normals, from the solid's exact depth. Where it is not near the
outline, places just inside and just outside it tell which of the usual slips the cut agrees with: not mirrored, turned
by quarters, laid off by its bounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, degrees, hypot, radians, sin
from typing import Final

import numpy as np

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import Array
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.seat.side import Part

SAMPLES: Final = 700
LOOKED: Final = 0.6
"""How far from the outline the edge is looked for, in mm, where there is room."""
NODES: Final = 13
HALVINGS: Final = 14
GOOD: Final = 0.9
"""Share of places on their right side of the cut from which a lie is the right one."""
ROUNDS: Final = 4


@dataclass(frozen=True, kw_only=True)
class Lie:
    """Where something lies against where it should: mirrored left to right and turned about a place, shifted.

    mm; degrees anticlockwise.
    """

    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0
    mirrored: bool = False
    about: tuple[float, float] = (0.0, 0.0)

    @property
    def shift(self) -> float:
        """How far it is shifted."""
        return hypot(self.x, self.y)

    def of(self, places: Array) -> Array:
        """Where places (n, 2 or more: x, y and what stays) lie."""
        laid = places.copy()
        laid[:, :2] = self.directed(places[:, :2] - self.about) + self.about + np.array([self.x, self.y])
        return laid

    def directed(self, directions: Array) -> Array:
        """Directions (n, 2), mirrored and turned."""
        c, s = cos(radians(self.turn)), sin(radians(self.turn))
        x, y = -directions[:, 0] if self.mirrored else directions[:, 0], directions[:, 1]
        return np.column_stack([x * c - y * s, x * s + y * c])

    @property
    def back(self) -> Lie:
        """The lie that undoes a turn and a shift."""
        c, s = cos(radians(-self.turn)), sin(radians(-self.turn))
        return Lie(x=-(self.x * c - self.y * s), y=-(self.x * s + self.y * c), turn=-self.turn, about=self.about)


@dataclass(frozen=True, kw_only=True)
class CutLie:
    """The lie of a cut, and how its edge runs then.

    wider: how far its edge lies outside where it should on the whole [mm]; largest, at: the most that it is off, that
    left out, and where on the outline; agrees: share of places just inside and just outside the outline that are on the
    right side of the cut; missing: share of the places looked at near which there should be an edge and is none.
    """

    lie: Lie
    wider: float
    largest: float
    at: tuple[float, float]
    agrees: float
    missing: float


@dataclass(frozen=True)
class _Samples:
    """Places along the outline: foot, inward normal, room inside and outside."""

    foot: Array
    normal: Array
    inner: Array
    outer: Array


def lie_of_cut(
    removed: RemovedSolid,
    planned: RemovedSolid,
    analysis: OutlineAnalysis,
    part: Part,
    bounds: tuple[float, float, float, float],
) -> CutLie:
    """The lie of what was cut against what was planned; depths count from the plane where the edge is the outline's.

    ``bounds`` are those of what was cut. A pocket is cut inside its outline, a plug outside.
    """
    samples = _samples(analysis)
    # fine strokes and points are not cut by plan, so that no edge is asked for there
    meant = _edge(planned, samples, Lie(), part)
    middle = _middle(analysis.outline.bounds)
    best = Lie(about=middle)
    agrees = _agreement(removed, samples, best, part)
    if agrees < GOOD:
        for tried in _usual(middle, bounds):
            share = _agreement(removed, samples, tried, part)
            if share > agrees + 1e-9:
                best, agrees = tried, share
    wider = 0.0
    for _ in range(ROUNDS):
        found, wider = _fitted(samples, _edge(removed, samples, best, part) - meant, best)
        moved = hypot(found.x - best.x, found.y - best.y) + abs(radians(found.turn - best.turn)) * 100
        best = found
        if moved < 1e-5:
            break
    off = np.abs(_edge(removed, samples, best, part) - meant - wider)
    known, asked = np.isfinite(off), np.isfinite(meant)
    worst = int(np.nanargmax(off)) if known.any() else 0
    return CutLie(
        lie=best,
        wider=wider,
        largest=float(off[worst]) if known.any() else np.inf,
        at=(float(samples.foot[worst, 0]), float(samples.foot[worst, 1])),
        agrees=_agreement(removed, samples, best, part),
        missing=float((~known & asked).sum() / max(asked.sum(), 1)),
    )


def _middle(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2


def _samples(analysis: OutlineAnalysis) -> _Samples:
    """Evenly along the outline, at least one for each ring, where there is room on both sides."""
    edges = analysis.inside
    apart = float(edges.ring_length.sum()) / SAMPLES
    count = np.maximum(np.round(edges.length / apart), edges.length > apart / 2).astype(int)
    for ring in range(len(edges.ring_length)):
        mine = np.flatnonzero(edges.ring == ring)
        # of a ring of short edges every so many-th
        if count[mine].sum() < 12:
            steps = np.floor(edges.station[mine] / (edges.ring_length[ring] / 24))
            count[mine] = np.maximum(count[mine], np.diff(steps, prepend=-1) > 0)
    row = np.repeat(np.arange(len(count)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(row)) - first + 0.5) / count[row]
    foot = edges.start[row] + (share * edges.length[row])[:, None] * edges.along[row]
    normal = edges.normal[row]
    inner = analysis.boundary.discs(foot, normal, 3 * LOOKED)
    outer = analysis.boundary.discs(foot, -normal, 3 * LOOKED)
    use = (inner > 0.1) & (outer > 0.1)
    if not use.any():
        use[:] = True
    return _Samples(foot[use], normal[use], inner[use], outer[use])


def _usual(middle: tuple[float, float], bounds: tuple[float, float, float, float]) -> Iterator[Lie]:
    """The slips that are usual: turned by quarters, mirrored; laid by the middle of the bounds."""
    cut = _middle(bounds)
    for mirrored in (False, True):
        for turn in (0.0, 90.0, 180.0, 270.0):
            tried = Lie(turn=turn, mirrored=mirrored, about=middle)
            yield tried
            yield replace(tried, x=cut[0] - middle[0], y=cut[1] - middle[1])


def _agreement(removed: RemovedSolid, samples: _Samples, lie: Lie, part: Part) -> float:
    """Share of places just inside and just outside the outline that are on their right side of the cut."""
    inside = samples.foot + (0.4 * np.minimum(samples.inner, 1.0))[:, None] * samples.normal
    outside = samples.foot - (0.4 * np.minimum(samples.outer, 1.0))[:, None] * samples.normal
    cut_in = removed.depth_at(lie.of(inside)) > 0
    cut_out = removed.depth_at(lie.of(outside)) > 0
    right = (cut_in, ~cut_out) if part == "pocket" else (~cut_in, cut_out)
    return float((right[0].mean() + right[1].mean()) / 2)


def _edge(removed: RemovedSolid, samples: _Samples, lie: Lie, part: Part) -> Array:
    """How far outside the outline, laid so, the cut's edge lies along each normal [mm]; NaN where none is near."""
    normal = lie.directed(samples.normal)
    foot = lie.of(samples.foot)
    low, high = -np.minimum(0.9 * samples.outer, LOOKED), np.minimum(0.9 * samples.inner, LOOKED)
    share = np.linspace(0, 1, NODES)
    at = low[:, None] + (high - low)[:, None] * share
    points = foot[:, None] + at[..., None] * normal[:, None]
    cut = removed.depth_at(points.reshape(-1, 2)).reshape(at.shape) > 0
    if part == "plug":
        cut = ~cut
    # the change from uncut to cut, going in, that is nearest to the outline
    change = ~cut[:, :-1] & cut[:, 1:]
    away = np.where(change, np.abs(at[:, :-1] + at[:, 1:]), np.inf)
    which = np.argmin(away, 1)
    rows = np.arange(len(at))
    known = change[rows, which]
    a, b = at[rows, which], at[rows, which + 1]
    for _ in range(HALVINGS):
        middle = (a + b) / 2
        there = removed.depth_at(foot + middle[:, None] * normal) > 0
        there = ~there if part == "plug" else there
        a, b = np.where(there, a, middle), np.where(there, middle, b)
    return np.where(known, -(a + b) / 2, np.nan)


def _fitted(samples: _Samples, edge: Array, lie: Lie) -> tuple[Lie, float]:
    """The lie moved so that what is left of the edge's distances is least, far ones counting little; and its width."""
    known = np.isfinite(edge)
    if known.sum() < 8:
        return lie, 0.0
    foot, normal, e = lie.of(samples.foot)[known], lie.directed(samples.normal)[known], edge[known]
    about = np.array(lie.about) + np.array([lie.x, lie.y])
    arm = foot - about
    size = max(float(np.abs(arm).max()), 1e-9)
    across = normal[:, 1] * arm[:, 0] - normal[:, 0] * arm[:, 1]
    columns = np.column_stack([-normal, -across / size, np.ones(len(e))])
    weight: Array = np.ones(len(e))
    found: Array = np.zeros(4)
    for _ in range(8):
        # a circle can be turned at will, so the least turn is taken
        found = np.asarray(np.linalg.lstsq(columns * weight[:, None], e * weight, rcond=1e-6)[0], float)
        left = np.abs(e - columns @ found)
        weight = 1 / np.sqrt(1 + (left / max(2 * float(np.median(left)), 1e-4)) ** 2)
    x, y, turn, wider = (float(v) for v in found)
    return replace(lie, x=lie.x + x, y=lie.y + y, turn=lie.turn + degrees(turn / size)), wider
