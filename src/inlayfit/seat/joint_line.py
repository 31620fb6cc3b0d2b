"""The joint line that will be seen: the sideways clearance between plug and pocket along the whole outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inlayfit.outline.edges import Array
from inlayfit.seat.pair import Pair
from inlayfit.seat.rays import Rays


@dataclass(frozen=True, kw_only=True)
class JointLine:
    """Clearance at one level [mm]: the largest and where, the mean, and the share of the outline over the limit."""

    largest: float
    at: tuple[float, float]
    mean: float
    share_over_limit: float


@dataclass(frozen=True, kw_only=True)
class Openings:
    """How far each wall stands open for a plug at lift 0, `open` [mm], and its change with lift, `growth`.

    `foot` (n, 2), `normal` (n, 2) into the inlay, and `width` [mm] are each wall's, in order along it. Where wood is
    in the way `open` is negative: the joint is closed by crushing.
    """

    open: Array
    growth: float
    foot: Array
    normal: Array
    width: Array

    def line(self, lift: float) -> Array:
        """The joint line at each wall for a plug at this lift; 0 where it is closed [mm]."""
        return np.maximum(self.open + self.growth * lift, 0.0)

    def at_lift(self, lift: float, limit: float) -> JointLine:
        """The joint line for a plug at this lift [mm], judged by a limit [mm]."""
        line = self.line(lift)
        worst = int(np.argmax(line))
        total = self.width.sum()
        return JointLine(
            largest=float(line[worst]),
            at=(float(self.foot[worst, 0]), float(self.foot[worst, 1])),
            mean=float((line * self.width).sum() / total),
            share_over_limit=float(self.width[line > limit].sum() / total),
        )

    def lift_that_closes(self, limit: float, share: float) -> float:
        """The greatest lift at which no more than this share of the outline is open by more than the limit [mm]."""
        order = np.argsort(-self.open)
        passed = np.cumsum(self.width[order]) / self.width.sum()
        i = min(int(np.searchsorted(passed, share, side="right")), len(order) - 1)
        return float((limit - self.open[order[i]]) / self.growth)


def openings(pair: Pair, rays: Rays, level: float = 0.0) -> Openings:
    """Openings at `level` [mm] below the base's original face."""
    pocket, plug = pair.sides
    shown = level * pocket.declared.slope
    use = (rays.corner < 0) & (rays.inside > shown + (pocket.declared.flank_radius if level > 0 else 0.0))
    # from the node on the wall itself both walls run on at their cutter's slope
    depth, below = rays.depth[use, rays.wall[use]], rays.below[use, rays.wall[use]]
    finite = np.isfinite(depth) & np.isfinite(below)
    edge_of_plug = (level + np.where(finite, below, 0.0)) * plug.actual.slope
    edge_of_pocket = (level - np.where(finite, depth, 0.0)) * pocket.actual.slope
    # a place that one of the bits never reached has wood against wood
    return Openings(
        open=np.where(finite, edge_of_plug - edge_of_pocket, -np.inf),
        growth=plug.actual.slope, foot=rays.foot[use], normal=rays.normal[use], width=rays.width[use],
    )  # fmt: skip
