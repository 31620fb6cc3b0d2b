"""The pieces of wood of a cross-section as closed shapes, in mm at the bench, and how they are filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inlayfit.pictures.canvas import Canvas, Point
from inlayfit.pictures.cross_section import CrossSection
from inlayfit.pictures.palette import BASE_GRAIN, BASE_WOOD, GLUE, GLUE_GROUND, OPEN, PAPER, PLUG_GRAIN, PLUG_WOOD

SLICES: Final = 60
HAIR: Final = 1e-6
"""Wood that overlaps by less, in mm, just touches."""


@dataclass(frozen=True, kw_only=True)
class Fills:
    """Values for ``fill``: each wood by its own hatching, the glue's room, wood in the way."""

    base: str
    plug: str
    glue: str
    overlap: str

    def of(self, kind: str) -> str:
        """The filling of a shape of this kind."""
        return str(getattr(self, kind))


def fills(canvas: Canvas) -> Fills:
    """The hatchings of one drawing; they differ in direction, distance and dashes."""
    return Fills(
        base=canvas.hatch("base", angle=45, apart=1.7, width=0.3, colour=BASE_GRAIN, ground=BASE_WOOD),
        plug=canvas.hatch("plug", angle=-30, apart=2.2, width=0.25, colour=PLUG_GRAIN, ground=PLUG_WOOD, dash="5 2"),
        glue=canvas.hatch("glue", angle=90, apart=1.1, width=0.3, colour=GLUE, ground=GLUE_GROUND, dash="0.3 0.8"),
        overlap=canvas.hatch("overlap", angle=0, apart=0.7, width=0.35, colour=PAPER, ground=OPEN),
    )


def mirrored(half: Sequence[Point]) -> list[Point]:
    """A profile from its outer end on the left over the middle to its outer end on the right."""
    return [*((-x, depth) for x, depth in half), *reversed(half)]


def base_shape(cut: CrossSection, side: float) -> list[Point]:
    """The base with its pocket, ``side`` to both sides of the middle."""
    return [(-side, 0.0), *mirrored(cut.pocket), (side, 0.0), (side, cut.base_thickness), (-side, cut.base_thickness)]


def plug_shape(cut: CrossSection, side: float) -> list[Point]:
    """The plug as it sits, ``side`` to both sides of the middle."""
    floor, back = cut.plug_floor, cut.plug_back
    return [(-side, floor), *mirrored(cut.plug), (side, floor), (side, back), (-side, back)]


def plug_face_up(cut: CrossSection, side: float) -> list[Point]:
    """The plug as it is cut; depths are from its blank's face."""
    top = cut.start_depth - cut.lift
    return [(x, top - depth) for x, depth in plug_shape(cut, side)]


def seated_shapes(cut: CrossSection, side: float) -> list[tuple[str, list[Point]]]:
    """Base, glue, plug and overlaps as they lie on each other, ``side`` to both sides of the middle."""
    shapes = [("base", base_shape(cut, side))]
    face = cut.plug_face
    if cut.pocket_floor - face > HAIR:
        room = [(cut.pocket_at(face), face), *(point for point in cut.pocket if point[1] > face)]
        shapes.append(("glue", mirrored(room)))
    return [*shapes, ("plug", plug_shape(cut, side)), *(("overlap", shape) for shape in overlaps(cut))]


def overlaps(cut: CrossSection) -> list[list[Point]]:
    """Where pocket and plug would both be wood: on the right wall, on the left one, or right across."""
    low, high = 0.0, cut.plug_face
    depths = [low + (high - low) * number / SLICES for number in range(SLICES + 1)]
    runs: list[list[float]] = [[]]
    for depth in depths:
        if cut.opening(depth) < -HAIR:
            runs[-1].append(depth)
        elif runs[-1]:
            runs.append([])
    shapes = []
    for run in runs:
        if len(run) < 2:
            continue
        right = [(cut.pocket_at(depth), depth) for depth in run] + [(cut.plug_at(depth), depth) for depth in run[::-1]]
        shapes += [right, [(-x, depth) for x, depth in right]]
    return shapes
