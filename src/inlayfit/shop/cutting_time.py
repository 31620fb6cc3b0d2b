"""How long the cutting takes, from the lengths that the bits run.

Lengths are those of the outline's own offsets. Where there are many of them, an area cleared at stepover s takes a
path of area / s and half its edge: the trapezoidal rule for the area as the integral of the offsets' lengths.
Acceleration, moves in the air and bit changes are not counted, so a machine takes longer.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from inlayfit.errors import InputError
from inlayfit.joint.depths import Depths
from inlayfit.joint.job import Feed, Feeds, Job, LevelledOver
from inlayfit.joint.schedule import Part, Pass, Step, schedule
from inlayfit.outline.regions import Outline
from inlayfit.outline.survey import Survey
from inlayfit.shop.blanks import LevellingField
from inlayfit.shop.cut_paths import CutPath, CutPaths

Fields = Mapping[LevelledOver, LevellingField]
"""Of the levelling passes that run over the plug's back, and of those over the board."""


@dataclass(frozen=True, kw_only=True)
class StepTime:
    """Time of one step with one bit, all its passes; mm and minutes."""

    part: Part
    step: Step
    bit: str
    path: float
    """Length of the cut."""
    floor: float
    """How much of it is side by side passes over a floor: this part grows as the stepover shrinks."""
    plunged: float
    """Depth plunged, all together."""
    minutes: float


@dataclass(frozen=True, kw_only=True)
class ClearingChoice:
    """Time of clearing and walls with these clearing bits, in the order they are used; none: the V-bit alone."""

    bits: tuple[str, ...]
    minutes: float


@dataclass(frozen=True, kw_only=True)
class CuttingTime:
    """Time of a job's steps, in minutes."""

    steps: tuple[StepTime, ...]
    left_out: tuple[tuple[str, str], ...]
    """Steps that are cut and have no time, each with the key that it needs."""
    finer_stepover: float | None
    """Minutes more with the V-bits' stepover halved; None where they clear no floor, or have no feed."""
    choices: tuple[ClearingChoice, ...]
    """Clearing bits alone and two in turn, quickest first; empty where there are not several, or a feed is missing."""

    @property
    def total(self) -> float:
        """Minutes of the steps that have a time."""
        return sum(step.minutes for step in self.steps)


def cutting_time(
    job: Job, depths: Depths, outline: Outline, survey: Survey, feeds: Feeds, fields: Fields | None
) -> CuttingTime:
    """Time of a job, of a finer stepover and of other clearing bits."""
    paths = CutPaths(outline, survey, job.plug.border)
    steps = step_times(job, depths, paths, feeds, fields)
    needs: dict[str, str] = {}
    for entry in schedule(job, depths):
        by_v = entry.cutter.tapers
        if by_v and entry.step == "clear":
            continue  # part of its walls
        if feed_of(feeds, entry) is None:
            needs[f"{entry.part} {entry.step}"] = "cutting.v" if by_v else "cutting.clearing"
        elif entry.step == "level" and fields is None:
            needs["base level"] = "base.blank"
    more = minutes_more(steps, feeds, finer=0.5)
    several = len(job.bits.clearing) > 1 and feeds.v is not None and feeds.clearing is not None
    return CuttingTime(
        steps=steps,
        left_out=tuple(needs.items()),
        finer_stepover=more if more > 0 else None,
        choices=clearing_choices(job, depths, paths, feeds) if several else (),
    )


def feed_of(feeds: Feeds, entry: Pass) -> Feed | None:
    """The feed of a pass."""
    if entry.step == "cut out":
        return feeds.cut_out or feeds.clearing
    if entry.step == "level":
        return feeds.levelling or feeds.clearing
    return feeds.v if entry.cutter.tapers else feeds.clearing


def step_times(
    job: Job, depths: Depths, paths: CutPaths, feeds: Feeds, fields: Fields | None = None
) -> tuple[StepTime, ...]:
    """Time of each step that has a feed, in working order.

    With several clearing bits each later one clears what those before it left, and runs once round the wall. A floor
    is cleared whole in every pass; where no clearing bit reaches it, by the V-bit at its own stepover, as part of its
    walls. Levelling is counted where its fields are known.
    """
    found = []
    for (part, step, cutter), group in itertools.groupby(
        schedule(job, depths), key=lambda entry: (entry.part, entry.step, entry.cutter)
    ):
        entries = list(group)
        feed = feed_of(feeds, entries[0])
        runs = [run for run in (_path(job, paths, entry, fields) for entry in entries) if run is not None]
        if feed is None or not runs:
            continue
        length = sum(run.length for run in runs)
        plunged = sum(run.plunges * entry.total_depth for run, entry in zip(runs, entries, strict=True))
        found.append(
            StepTime(
                part=part,
                step=step,
                bit=cutter.name,
                path=length,
                floor=sum(run.floor for run in runs),
                plunged=plunged,
                minutes=length / feed.along + (plunged / feed.plunge if feed.plunge else 0.0),
            )
        )
    return tuple(found)


def minutes_more(times: Iterable[StepTime], feeds: Feeds, *, finer: float) -> float:
    """Minutes that the V-bits' floors take longer with their stepover times ``finer`` (0.5: half of it).

    Raises :class:`InputError` where ``finer`` is not above 0.
    """
    if finer <= 0:
        raise InputError(f"found a stepover of {finer:g} times the present one, expected above 0")
    if feeds.v is None:
        return 0.0
    return sum(entry.floor for entry in times if entry.step == "walls") / feeds.v.along * (1 / finer - 1)


def clearing_choices(job: Job, depths: Depths, paths: CutPaths, feeds: Feeds) -> tuple[ClearingChoice, ...]:
    """The V-bit alone, each clearing bit alone and every two in turn, quickest first.

    Raises :class:`InputError` where a feed of the V-bit or the clearing bits is missing.
    """
    if feeds.v is None or feeds.clearing is None:
        raise InputError("expected feeds of both v and clearing", where=("cutting",))
    bits = job.bits.clearing
    choices = []
    for some in ((), *((bit,) for bit in bits), *itertools.combinations(bits, 2)):
        other = replace(job, bits=replace(job.bits, clearing=some, cut_out=None, levelling=None))
        times = step_times(other, depths, paths, feeds)
        choices.append(
            ClearingChoice(bits=tuple(bit.name for bit in some), minutes=sum(entry.minutes for entry in times))
        )
    return tuple(sorted(choices, key=lambda choice: choice.minutes))


def _path(job: Job, paths: CutPaths, entry: Pass, fields: Fields | None) -> CutPath | None:
    """What a pass runs; None where it is not counted, or is part of another step."""
    bit = entry.cutter
    if entry.step == "level":
        return None if fields is None or entry.over is None else _rows(fields[entry.over], bit.stepover)
    if entry.step == "cut out":
        return paths.cut_out(bit.diameter)
    depth = entry.depth_below_start or 0.0
    # the clearing bit's line follows the part's own wall
    v = job.bits.pocket_v if entry.part == "pocket" else job.bits.plug_v
    wall = depth * v.shape.slope + job.joint.wall_allowance
    if not bit.tapers:
        larger = [other for other in job.bits.clearing if other.diameter > bit.diameter]
        return paths.clearing(entry.part, wall, bit, larger)
    if entry.step == "clear":
        return None
    cleared = [other.diameter for other in job.bits.clearing]
    return paths.walls(entry.part, wall, bit.shape.half_width_at(depth), bit.stepover, cleared)


def _rows(field: LevellingField, stepover: float) -> CutPath:
    """Rows along the field's longer side, a stepover apart, and the steps between them."""
    short, long = sorted(field.size)
    return CutPath(floor=(math.ceil(short / stepover) + 1) * long, lines=short)
