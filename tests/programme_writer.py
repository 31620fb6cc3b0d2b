"""Writes posted programmes for the tests: a plan's own way of the bits, in the open language, in several styles.

What a maker types into another program is in `Typed`; a mistake is one of its numbers changed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Profile, end_mill
from inlayfit.joint.schedule import Pass
from inlayfit.outline.analysis import OutlineAnalysis
from inlayfit.outline.regions import Outline
from inlayfit.outline.wall_discs import wall_pieces
from inlayfit.plan import Plan
from inlayfit.proof.part_cut import Frame
from inlayfit.seat.course import course

Array = np.ndarray
SAFE = 5.0
V, CLEARING, CUT_OUT = 2, 1, 3
"""T numbers."""


class Stroke(NamedTuple):
    """One way of the tip without lifting: (n, 3) x, y of the outline and depth below the part's face [mm]."""

    tool: int
    way: Array


@dataclass(frozen=True, kw_only=True)
class Typed:
    """The numbers that are typed into another program for a job; mm."""

    pocket_depth: float
    start_depth: float
    below_start: float
    v: Profile
    """Of the bit list."""
    v_stepover: float
    clearing: float | None
    """Diameter."""
    clearing_stepover: float
    border: float
    cut_out: float | None
    """Diameter of the bit that cuts the plug out."""
    plug_through: float
    pocket_walls: tuple[float, ...]
    """Depths of the wall passes."""
    plug_walls: tuple[tuple[float, float], ...]
    """Start depth and depth below it of each."""
    pocket_clear: tuple[float, ...]
    plug_clear: tuple[float, ...]
    cut_out_passes: tuple[float, ...] = ()
    offset_less: float = 0.0
    """How much nearer to the wall than it should the clearing bit runs."""


def typed(plan: Plan) -> Typed:
    """What the plan says to type."""
    job, depths = plan.job, plan.facts.depths
    bits = job.bits

    def passes(part: str, step: str) -> list[Pass]:
        return [entry for entry in plan.facts.passes if entry.part == part and entry.step == step]

    clearing = bits.clearing[-1] if bits.clearing else None

    def of_bit(entries: list[Pass]) -> list[Pass]:
        name = bits.pocket_v.name if clearing is None else clearing.name
        return [entry for entry in entries if entry.bit == name] or entries

    return Typed(
        pocket_depth=depths.pocket_depth, start_depth=depths.start_depth, below_start=depths.depth_below_start,
        v=bits.pocket_v.shape, v_stepover=bits.pocket_v.stepover,
        clearing=None if clearing is None else clearing.diameter,
        clearing_stepover=1.0 if clearing is None else clearing.stepover, border=job.plug.border,
        cut_out=bits.cut_out.diameter if bits.cut_out and job.plug.cut_out else None,
        plug_through=job.plug.thickness + job.plug.through,
        pocket_walls=tuple(entry.total_depth for entry in passes("pocket", "walls")),
        plug_walls=tuple((e.start_depth or 0.0, e.depth_below_start or 0.0) for e in passes("plug", "walls")),
        pocket_clear=tuple(entry.total_depth for entry in of_bit(passes("pocket", "clear"))),
        plug_clear=tuple(entry.total_depth for entry in of_bit(passes("plug", "clear"))),
        cut_out_passes=tuple(entry.total_depth for entry in passes("plug", "cut out")),
    )  # fmt: skip


# --- the way of the bits ---------------------------------------------------------------------------------------------


def joined(start: Array, end: Array) -> list[Array]:
    """Pieces as ways: one after the other where the next begins where the last ends."""
    ways: list[list[Array]] = []
    for a, b in zip(start, end):
        if ways and np.allclose(ways[-1][-1], a, atol=1e-7):
            ways[-1].append(b)
        else:
            ways.append([a, b])
    return [np.array(way) for way in ways]


def walls(analysis: OutlineAnalysis, profile: Profile, depth: float, *, inside: bool) -> list[Array]:
    """The tip's ways along the walls in one pass, as a plan has them; depths from the plane that the wall starts at."""
    largest = profile.flank_radius + depth * profile.slope
    side = analysis.inside if inside else analysis.outside
    pieces = wall_pieces(side, analysis.boundary, profile.flank_radius, largest)
    path = course(pieces, profile, (depth,)).path
    start = np.column_stack([path.start, path.depth])
    flat = path.start + path.along * path.length[:, None]
    end = np.column_stack([flat, path.depth + path.descent * path.length])
    return joined(start, end)


def lanes(area: BaseGeometry, apart: float, depth: float, *, rim: bool = True) -> list[Array]:
    """Ways over an area for a bit's centre: rows side by side, and its rim."""
    found: list[Array] = []
    if area.is_empty:
        return found
    low_x, low_y, high_x, high_y = area.bounds
    count = max(1, math.ceil((high_y - low_y) / apart))
    rows = [
        shapely.LineString([(low_x - 1, y), (high_x + 1, y)])
        for y in np.linspace(low_y, high_y, count + 1)[1:-1]
    ]
    if rows:
        cut = shapely.intersection(shapely.MultiLineString(rows), area)
        for line in getattr(cut, "geoms", [cut]):
            if isinstance(line, shapely.LineString) and line.length > 1e-6:
                found.append(np.array(line.coords))
    if rim:
        for polygon in getattr(area, "geoms", [area]):
            if isinstance(polygon, shapely.Polygon):
                found += [np.array(ring.coords) for ring in (polygon.exterior, *polygon.interiors)]
    return [np.column_stack([way, np.full(len(way), depth)]) for way in found]


def grown(area: BaseGeometry, by: float) -> BaseGeometry:
    return area.buffer(by, quad_segs=32)


def pocket_strokes(outline: Outline, analysis: OutlineAnalysis, numbers: Typed) -> list[Stroke]:
    """Clearing, then the walls pass by pass, then what the clearing bit left of the floor."""
    area, v, depth = outline.area, numbers.v, numbers.pocket_depth
    found: list[Stroke] = []
    foot = grown(area, -(depth * v.slope + v.flank_radius))
    reached: BaseGeometry = shapely.Polygon()
    if numbers.clearing is not None:
        radius = numbers.clearing / 2
        centres = grown(area, -(depth * v.slope + radius - numbers.offset_less))
        for level in numbers.pocket_clear:
            found += [Stroke(CLEARING, way) for way in lanes(centres, numbers.clearing_stepover, level)]
        reached = grown(centres, radius - v.flank_radius - 1e-3)
    for level in numbers.pocket_walls:
        found += [Stroke(V, way) for way in walls(analysis, v, level, inside=True)]
    rest = foot.difference(reached)
    found += [Stroke(V, way) for way in lanes(rest, numbers.v_stepover, depth)]
    return found


def plug_strokes(outline: Outline, analysis: OutlineAnalysis, numbers: Typed) -> list[Stroke]:
    """Clearing round the plug, its walls, what the clearing bit left between them, the cut-out."""
    area, v, below = outline.area, numbers.v, numbers.below_start
    total = numbers.start_depth + below
    found: list[Stroke] = []
    edge = grown(area, numbers.border)
    reached: BaseGeometry = shapely.Polygon()
    if numbers.clearing is not None:
        radius = numbers.clearing / 2
        centres = edge.difference(grown(area, below * v.slope + radius - numbers.offset_less))
        for level in numbers.plug_clear:
            found += [Stroke(CLEARING, way) for way in lanes(centres, numbers.clearing_stepover, level)]
        reached = grown(centres, radius - v.flank_radius - 1e-3)
    for start, depth in numbers.plug_walls:
        ways = walls(analysis, v, depth, inside=False)
        found += [Stroke(V, way + np.array([0, 0, start])) for way in ways]
    rest = edge.difference(grown(area, below * v.slope + v.flank_radius)).difference(reached)
    found += [Stroke(V, way) for way in lanes(rest, numbers.v_stepover, total)]
    if numbers.cut_out is not None:
        line = grown(area, numbers.border + numbers.cut_out / 2)
        rings = [np.array(polygon.exterior.coords) for polygon in getattr(line, "geoms", [line])]
        for level in numbers.cut_out_passes or (numbers.plug_through,):
            found += [Stroke(CUT_OUT, np.column_stack([ring, np.full(len(ring), level)])) for ring in rings]
    return found


# --- posting ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Style:
    """How a programme is written."""

    inch: bool = False
    incremental: bool = False
    arcs: bool = False
    numbered: bool = False
    subprograms: bool = False
    digits: int = 4
    feed: float = 1200.0
    plunge: float = 400.0
    speed: float = 18000.0


STYLES = {
    "absolute with arcs": Style(arcs=True),
    "incremental": Style(incremental=True, digits=5),
    "numbered, subprograms, inch": Style(inch=True, numbered=True, subprograms=True, digits=6),
}


def on_machine(frame: Frame, way: Array) -> Array:
    """From the outline's frame and depths to the machine's x, y and z: the other way round than `Frame.drawn`."""
    x, y = way[:, 0] - frame.middle[0], way[:, 1] - frame.middle[1]
    c, s = math.cos(math.radians(frame.turn)), math.sin(math.radians(frame.turn))
    x, y = x * c - y * s, x * s + y * c
    if frame.mirrored:
        x = -x
    return np.column_stack([x + frame.at[0], y + frame.at[1], frame.face - way[:, 2]])


@dataclass
class Post:
    """A programme as it is written."""

    style: Style
    safe: float
    """Height of rapids over the zero."""
    lines: list[str] = field(default_factory=list)
    subs: list[list[str]] = field(default_factory=list)
    place: Array = field(default_factory=lambda: np.full(3, np.nan))
    said: Array = field(default_factory=lambda: np.full(3, np.nan))
    """Where the control stands by the numbers written so far, so that rounding does not add up."""
    tool: int = 0
    feed: float = 0.0
    into: list[str] | None = None

    def write(self, text: str) -> None:
        (self.lines if self.into is None else self.into).append(text)

    def number(self, value: float) -> str:
        scale = 25.4 if self.style.inch else 1.0
        text = f"{value / scale:.{self.style.digits}f}"
        return "0." if float(text) == 0 else text

    def rounded(self, value: float) -> float:
        return float(self.number(value)) * (25.4 if self.style.inch else 1.0)

    def go(self, code: str, to: Array, more: str = "") -> None:
        """One move; axes that do not change are left out."""
        words = []
        for axis, letter in enumerate("XYZ"):
            target = self.rounded(float(to[axis]))
            if target == self.said[axis]:
                continue
            if self.style.incremental and not math.isnan(self.said[axis]) and self.into is None:
                step = self.rounded(target - self.said[axis])
                if float(self.number(step)) == 0:
                    continue
                words.append(letter + self.number(step))
                self.said[axis] += step
            else:
                words.append(letter + self.number(target))
                self.said[axis] = target
        if words or more:
            self.write(" ".join([code, *words]) + more)

    def cut(self, code: str, to: Array, feed: float, more: str = "") -> None:
        unit = 25.4 if self.style.inch else 1.0
        if feed != self.feed:
            more += f" F{feed / unit:.1f}"
            self.feed = feed
        self.go(code, to, more)


def arcs_in(way: Array) -> list[tuple[int, int, tuple[float, float] | None, bool]]:
    """The way as runs: first and last point, centre (None: straight) and whether clockwise."""
    runs: list[tuple[int, int, tuple[float, float] | None, bool]] = []
    at = 0
    while at < len(way) - 1:
        last = at + 1
        if at + 3 < len(way) and np.ptp(way[at : at + 4, 2]) < 1e-9:
            centre, radius = circle_through(*way[at : at + 3, :2])
            if centre is not None and radius < 200:
                sign = turning(*way[at : at + 3, :2])
                end = at + 2
                while (
                    end + 1 < len(way)
                    and abs(math.dist(way[end + 1, :2], centre) - radius) < 2e-5
                    and abs(way[end + 1, 2] - way[at, 2]) < 1e-9
                    and turning(*way[end - 1 : end + 2, :2]) == sign
                    and math.dist(way[end + 1, :2], way[end, :2]) < 0.2 * radius
                ):
                    end += 1
                swept = sum(math.dist(way[i, :2], way[i + 1, :2]) for i in range(at, end)) / radius
                if end >= at + 4 and swept < 5:
                    runs.append((at, end, centre, sign < 0))
                    at = end
                    continue
        runs.append((at, last, None, False))
        at = last
    return runs


def turning(a: Array, b: Array, c: Array) -> int:
    return int(np.sign((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])))


def circle_through(a: Array, b: Array, c: Array) -> tuple[tuple[float, float] | None, float]:
    twice = 2 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    if abs(twice) < 1e-9:
        return None, math.inf
    ab, ac = (b**2).sum() - (a**2).sum(), (c**2).sum() - (a**2).sum()
    x = (ab * (c[1] - a[1]) - ac * (b[1] - a[1])) / twice
    y = (ac * (b[0] - a[0]) - ab * (c[0] - a[0])) / twice
    return (float(x), float(y)), math.dist((x, y), a)


def posted(strokes: list[Stroke], frame: Frame, style: Style = STYLES["absolute with arcs"], name: str = "part") -> str:
    """The programme of the strokes, each tool's own in their order."""
    post = Post(style=style, safe=frame.face + SAFE)
    post.write("%")
    if style.subprograms:
        post.write(f"O100 ({name})")
    post.write("G20 G17 G90 G94 G40 G49 G80" if style.inch else "G21 G17 G90 G94 G40 G49 G80")
    post.write("G54")
    for number, stroke in enumerate(strokes):
        way = on_machine(frame, stroke.way)
        if stroke.tool != post.tool:
            if post.tool:
                post.write("M5")
            post.write(f"T{stroke.tool} M6")
            post.write(f"S{style.speed:.0f} M3")
            post.tool, post.feed = stroke.tool, 0.0
            post.said[2] = math.nan
            if style.incremental:
                post.write("G90")
                post.said[:] = math.nan
            post.go("G0", np.array([way[0, 0], way[0, 1], post.safe]))
            if style.incremental:
                post.write("G91")
        else:
            post.go("G0", np.array([way[0, 0], way[0, 1], post.said[2]]))
        if style.subprograms:
            post.into = []
        post.cut("G1", way[0], style.plunge)
        for _, last, centre, clockwise in arcs_in(way) if style.arcs else straight(way):
            if centre is None:
                post.cut("G1", way[last], style.feed)
            else:
                i, j = centre[0] - post.said[0], centre[1] - post.said[1]
                post.cut("G2" if clockwise else "G3", way[last], style.feed, f" I{post.number(i)} J{post.number(j)}")
        post.go("G0", np.array([*post.said[:2], post.safe]))
        if post.into is not None:
            post.subs.append(post.into)
            post.into = None
            post.write(f"M98 P{1000 + number}")
    post.write("M5")
    post.write("M30")
    for number, sub in enumerate(post.subs):
        post.lines += [f"O{1000 + number}", *sub, "M99"]
    post.write("%")
    lines = post.lines
    if style.numbered:
        lines = [f"N{10 * n} {line}" if line[0] not in "%O" else line for n, line in enumerate(lines)]
    return "\n".join(lines) + "\n"


def straight(way: Array) -> list[tuple[int, int, None, bool]]:
    return [(at, at + 1, None, False) for at in range(len(way) - 1)]



def declared(numbers: Typed) -> dict[int, Profile]:
    """Profile of each T number."""
    found = {V: numbers.v}
    if numbers.clearing is not None:
        found[CLEARING] = end_mill(numbers.clearing)
    if numbers.cut_out is not None:
        found[CUT_OUT] = end_mill(numbers.cut_out)
    return found
