"""Lengths that a bit runs in one pass: round a wall, over a floor, along a V-bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from inlayfit.cutters import Cutter
from inlayfit.outline.regions import Outline, polygons_of
from inlayfit.outline.survey import Discs, Survey
from inlayfit.shop.plug_border import cut_out, far_offset, filled, ring

# a length for a clock may be this far off the outline, in mm
_COARSE: Final = 0.02
_DRAWN: Final = 6


@dataclass(frozen=True, kw_only=True)
class CutPath:
    """What one pass runs, in mm: side by side over a floor, and along lines; and how often it goes down."""

    floor: float = 0.0
    lines: float = 0.0
    plunges: int = 0

    @property
    def length(self) -> float:
        """All of it."""
        return self.floor + self.lines


class CutPaths:
    """Paths for one outline; passes and offsets that several sets of bits share are worked out once."""

    def __init__(self, outline: Outline, survey: Survey, border: float) -> None:
        self.area: BaseGeometry = shapely.simplify(outline.area, _COARSE)
        self.survey = survey
        self.border = border
        self._paths: dict[tuple[object, ...], CutPath] = {}
        self._centres: dict[tuple[str, float, float], BaseGeometry] = {}
        self._reached: dict[tuple[str, float, float, float], BaseGeometry] = {}

    def cut_out(self, diameter: float) -> CutPath:
        """Once round the plug's border."""
        cut = cut_out(self.area, self.border, diameter)
        return CutPath(lines=float(cut.line.length), plunges=cut.pieces)

    def clearing(self, part: str, wall: float, bit: Cutter, larger: Sequence[Cutter]) -> CutPath:
        """A straight bit's pass whose edge stops ``wall`` short of the outline, after the ``larger`` bits.

        It takes what they left, fillets of rounded corners too.
        """
        key = (part, round(wall, 9), bit, *larger)
        if key not in self._paths:
            self._paths[key] = self._clearing(part, wall, bit, larger)
        return self._paths[key]

    def _clearing(self, part: str, wall: float, bit: Cutter, larger: Sequence[Cutter]) -> CutPath:
        centres = self.centres(part, wall, bit.diameter)
        done = [self.reached(part, wall, other.diameter, corner=other.shape.rounding) for other in larger]
        plunges = max(len(polygons_of(centres)), 0 if centres.is_empty else 1)
        if centres.area == 0:
            return CutPath(lines=float(centres.length), plunges=plunges)
        edge = float(centres.length)
        if not done:
            return CutPath(floor=_offsets(centres, bit.stepover) - edge, lines=edge, plunges=plunges)
        rest = self.reached(part, wall, bit.diameter).difference(shapely.union_all(done))
        return CutPath(floor=float(rest.area) / bit.stepover, lines=edge, plunges=plunges)

    def walls(self, part: str, wall: float, foot: float, stepover: float, cleared: Sequence[float]) -> CutPath:
        """A V-bit's pass: along the wall's foot, down the V-bottoms, and over the floor that nothing else reached.

        ``foot`` is half the width of the bit's own cut at that depth, ``wall`` how far from the outline the bits of
        ``cleared`` diameters stopped.
        """
        key = (part, round(wall, 9), round(foot, 9), stepover, *cleared)
        if key not in self._paths:
            self._paths[key] = self._walls(part, wall, foot, stepover, cleared)
        return self._paths[key]

    def _walls(self, part: str, wall: float, foot: float, stepover: float, cleared: Sequence[float]) -> CutPath:
        inside = part == "pocket"
        contour = far_offset(self.area, -foot if inside else foot)
        floor = contour if inside else filled(far_offset(self.area, self.border)).difference(contour)
        for diameter in cleared:
            floor = floor.difference(self.reached(part, wall, diameter))
        discs = self.survey.inside if inside else self.survey.outside
        return CutPath(
            floor=float(floor.area) / stepover,
            lines=float(contour.length) + v_bottoms(discs, foot),
            plunges=max(1, len(polygons_of(contour))),
        )

    def centres(self, part: str, wall: float, diameter: float) -> BaseGeometry:
        """Where a straight bit's centre may be; a line where it just fits once round a plug's border."""
        key = (part, round(wall, 9), diameter)
        if key not in self._centres:
            offset = wall + diameter / 2
            self._centres[key] = (
                far_offset(self.area, -offset)
                if part == "pocket"
                else ring(self.area, offset, max(offset, self.border - diameter / 2))
            )
        return self._centres[key]

    def reached(self, part: str, wall: float, diameter: float, *, corner: float = 0.0) -> BaseGeometry:
        """What such a bit clears, to its edge or to where a rounded corner of this radius begins."""
        key = (part, round(wall, 9), diameter, corner)
        if key not in self._reached:
            self._reached[key] = far_offset(self.centres(part, wall, diameter), diameter / 2 - corner)
        return self._reached[key]


def _offsets(area: BaseGeometry, stepover: float) -> float:
    """Length of the area's edge and of all its offsets inwards, a stepover apart.

    The first ones are drawn, since a narrow place may end after one or two; what is left takes area / s + edge / 2.
    """
    total = 0.0
    for number in range(_DRAWN):
        left = far_offset(area, -number * stepover)
        if left.is_empty:
            return total
        total += float(left.length)
    left = far_offset(area, -_DRAWN * stepover)
    return total + float(left.area) / stepover + float(left.length) / 2


def v_bottoms(discs: Discs, foot: float) -> float:
    """Length in mm of the lines in which both flanks cut: once along a stroke's middle, into a corner and out again.

    ``foot`` is half the width at full depth. Places whose disc is smaller make up the V-bottoms' two sides. The line
    is longer than its side where the disc's radius changes along it.
    """
    along, radius, place = discs.length, discs.radius, discs.place
    # places follow each other along a ring; the last of one and the first of the next are no neighbours
    apart = np.hypot(*(np.roll(place, -1, axis=0) - np.roll(place, 1, axis=0)).T)
    change = np.where(apart < 4 * along, np.abs(np.roll(radius, -1) - np.roll(radius, 1)) / 2, 0.0)
    line = np.hypot(along, change)
    shallow = (radius < foot) & (along > 0)
    return float(line[shallow & discs.stroke].sum() / 2 + line[shallow & ~discs.stroke].sum())
