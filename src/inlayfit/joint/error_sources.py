"""What can be off in this job, each as one named number with its spread, and how the numbers add up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final, NamedTuple

from inlayfit.cutters import Profile
from inlayfit.joint.job import Job
from inlayfit.joint.spread import Spread
from inlayfit.statement import Statement, told

TOUCH_OFFS: Final = ("pocket_v", "pocket_clear", "plug_v", "plug_clear")
WARPS: Final = ("base_warp", "plug_warp")


@dataclass(frozen=True, kw_only=True)
class Source:
    """One thing that can be off. ``one_sided``: only its size counts, as of runout."""

    name: str
    spread: Spread
    one_sided: bool = False

    @property
    def what(self) -> Statement:
        """What it is."""
        return told(f"source.{self.name}")

    @property
    def bounds(self) -> tuple[float, float]:
        """How far it goes down and up from what is known of it, at the worst."""
        return (0.0 if self.one_sided else -self.spread.worst, self.spread.worst)


class DepthErrors(NamedTuple):
    """How much too deep each tool ran, in mm: floats, or arrays of one shape."""

    pocket_v: Any
    pocket_floor: Any
    plug_v: Any
    plug_floor: Any


def sources(job: Job, *, outline: bool) -> tuple[Source, ...]:
    """All that can be off: out of square only tells against an outline, thickness only where zero is the bed."""
    shop = job.tolerance
    found = {"pocket_v": shop.pocket_v, "plug_v": shop.plug_v}
    if job.bits.clearing:
        found |= {"pocket_clear": shop.pocket_clear, "plug_clear": shop.plug_clear}
    if job.joint.pocket_measured is not None:
        # what was measured is known, and no more a matter of touching off
        found["pocket_clear" if job.bits.clearing else "pocket_v"] = Spread(kind="known", value=job.joint.pocket_off)
    if job.bits.one_v:
        found |= {"angle": shop.angle, "tip": shop.tip}
    else:
        found |= {"pocket_angle": shop.angle, "plug_angle": shop.angle, "pocket_tip": shop.tip, "plug_tip": shop.tip}
    found |= {"runout": shop.runout, "base_warp": shop.warp, "plug_warp": shop.warp}
    if job.touch_off == "bed":
        found |= {"base_thickness": shop.thickness, "plug_thickness": shop.thickness}
    if outline:
        found["square"] = shop.square
    return tuple(
        Source(name=name, spread=spread, one_sided=name in ("runout", "square")) for name, spread in found.items()
    )


class KnownErrors(NamedTuple):
    """What is off for certain: depths, the V-bits as they really cut, and how much thicker the boards are; mm."""

    depth: DepthErrors
    pocket_bit: Profile
    plug_bit: Profile
    base_board: float
    plug_board: float


def known_errors(job: Job) -> KnownErrors:
    """The known errors of a job's tolerances; out of square is none of them, since no single cut shows it."""
    values = {source.name: source.spread.known for source in sources(job, outline=False)}
    pocket, plug = job.bits.pocket_v.real, job.bits.plug_v.real
    return KnownErrors(
        depth=depth_errors(values),
        pocket_bit=pocket.off_by(angle_of(values, "pocket"), wider(values, "pocket")),
        plug_bit=plug.off_by(angle_of(values, "plug"), wider(values, "plug")),
        base_board=job.tolerance.thickness.known,
        plug_board=job.tolerance.thickness.known,
    )


def depth_errors(values: Mapping[str, Any]) -> DepthErrors:
    """How the numbers add up to depths that are off.

    A face that stands high when it is cut, and a board thicker than said where zero is the bed, let every tool of that
    part cut deeper. Where the V-bit clears the floors itself they are as deep as its walls.
    """
    base = values.get("base_warp", 0.0) + values.get("base_thickness", 0.0)
    plug = values.get("plug_warp", 0.0) + values.get("plug_thickness", 0.0)
    pocket_v, plug_v = values.get("pocket_v", 0.0), values.get("plug_v", 0.0)
    return DepthErrors(
        pocket_v=pocket_v + base,
        pocket_floor=values.get("pocket_clear", pocket_v) + base,
        plug_v=plug_v + plug,
        plug_floor=values.get("plug_clear", plug_v) + plug,
    )


def angle_of(values: Mapping[str, Any], part: str) -> Any:
    """Error of the angle of a part's V-bit, in degrees."""
    return values.get("angle", values.get(f"{part}_angle", 0.0))


def wider(values: Mapping[str, Any], part: str) -> Any:
    """How much wider to each side a part's V-bit cuts, in mm: half the tip's error and half the runout."""
    return (values.get("tip", values.get(f"{part}_tip", 0.0)) + values.get("runout", 0.0)) / 2


@lru_cache(maxsize=64)  # asked for again whenever something else moves
def flank(shape: Profile, *, angle: float, wider: float) -> Profile:
    """The bit whose flank is off by this much, as one with a flat; no flat is narrower than nothing."""
    return shape.off_by(angle, wider)
