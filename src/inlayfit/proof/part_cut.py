"""What the programmes of one part cut: every piece of their way in the outline's own frame, as depths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cuts.tool_path import Array, tool_path
from inlayfit.joint.job import Bits, Job, ProgrammeSource
from inlayfit.programme.moves import RAPID, Index
from inlayfit.programme.pieces import WITHIN, pieces
from inlayfit.programme.reader import Programme
from inlayfit.proof.bits_used import BitUsed, Part, bits_of_tools
from inlayfit.proof.faults import Spot
from inlayfit.proof.lie import Lie
from inlayfit.shop.placement import Placement

NO_DEPTH = 0.0
"""Pieces that stay at or above the face cut nothing."""


@dataclass(frozen=True, kw_only=True)
class Frame:
    """From a part's zero to the outline as drawn, and to depths below the part's face. Lengths in mm.

    A plug lies face up under the cutter and mirrored; its places are told from the finished face, as the outline's.
    """

    at: tuple[float, float]
    """Where the middle of the outline lies, from the zero."""
    middle: tuple[float, float]
    """That middle as drawn."""
    turn: float
    """Degrees that the outline is turned by on the board, anticlockwise."""
    mirrored: bool
    face: float
    """Height of the part's face over its zero."""

    def drawn(self, places: Array) -> Array:
        """Places (n, 3) of a programme as (n, 3) x, y of the outline and depth below the face."""
        x, y = places[:, 0] - self.at[0], places[:, 1] - self.at[1]
        if self.mirrored:
            x = -x
        c, s = cos(radians(self.turn)), sin(radians(self.turn))
        return np.column_stack(
            [x * c + y * s + self.middle[0], y * c - x * s + self.middle[1], self.face - places[:, 2]]
        )


def frame_of(job: Job, part: Part, placement: Placement) -> Frame:
    """The frame of a part whose outline lies so on its blank."""
    thickness = job.plug.thickness if part == "plug" else job.base.thickness
    return Frame(
        at=placement.at, middle=placement.middle, turn=placement.turn, mirrored=part == "plug",
        face=0.0 if job.touch_off == "face" else thickness,
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True, eq=False)
class PartCut:
    """The pieces of all programmes of a part, in the order they run.

    `start`, `end` (n, 3): x, y in the outline's frame and depth below the part's face [mm]; `file`, `line` of each;
    `bit` its row in `bits`; `rapid`, `feed` as the programmes say.
    """

    part: Part
    files: tuple[str, ...]
    bits: tuple[BitUsed, ...]
    start: Array = field(repr=False)
    end: Array = field(repr=False)
    file: Index = field(repr=False)
    line: Index = field(repr=False)
    bit: Index = field(repr=False)
    rapid: NDArray[np.bool_] = field(repr=False)
    feed: Array = field(repr=False)

    def __len__(self) -> int:
        return len(self.line)

    @property
    def deeper(self) -> Array:
        """Depth of each piece's lower end."""
        return np.asarray(np.maximum(self.start[:, 2], self.end[:, 2]))

    def first_at(self, use: NDArray[np.bool_]) -> Spot:
        """The line of the first of these pieces."""
        row = int(np.flatnonzero(use)[0])
        return Spot(self.files[int(self.file[row])], int(self.line[row]))

    def moved(self, place: Lie) -> PartCut:
        """The same cut laid elsewhere in the plan."""
        return replace(self, start=place.of(self.start), end=place.of(self.end))

    def bounds(self, plane: float = 0.0) -> tuple[float, float, float, float]:
        """Of the tip's way below a plane so far below the face; of all of it where nothing comes so deep."""
        deep = self.deeper > plane
        use = deep if deep.any() else np.ones(len(self), bool)
        ends = np.concatenate([self.start[use, :2], self.end[use, :2]])
        if not len(ends):
            return 0.0, 0.0, 0.0, 0.0
        (left, lower), (right, upper) = ends.min(axis=0), ends.max(axis=0)
        return float(left), float(lower), float(right), float(upper)

    def removed(
        self, *, real: bool = True, use: NDArray[np.bool_] | None = None, plane: float = 0.0
    ) -> RemovedSolid:
        """The solid that the pieces remove, by the bits as they measure or as declared; of those that `use` picks.

        Depths are told from a `plane` that lies so far below the face [mm]. Pieces that stay above the face remove
        nothing and are left out.
        """
        wanted = self.deeper > NO_DEPTH
        if use is not None:
            wanted &= use
        paths = []
        for row, bit in enumerate(self.bits):
            mine = wanted & (self.bit == row)
            if mine.any():
                profile = bit.cutter.real if real else bit.cutter.shape
                lower = np.array([0.0, 0.0, plane])
                paths.append(tool_path(self.start[mine] - lower, self.end[mine] - lower, profile))
        return RemovedSolid(paths=tuple(paths))


def part_cut(
    part: Part,
    programmes: Sequence[tuple[ProgrammeSource, Programme]],
    bits: Bits,
    frame: Frame,
    within: float = WITHIN,
) -> PartCut:
    """What the programmes of a part cut, with the bit that the sheet gives each T number.

    ``within`` is how far a chord may leave its arc [mm]. Raises :class:`InputError`, its ``where`` from the part's
    list on.
    """
    used: list[BitUsed] = []
    columns: dict[str, list[NDArray[np.generic]]] = {name: [] for name in (
        "start", "end", "file", "line", "bit", "rapid", "feed")}  # fmt: skip
    for number, (source, programme) in enumerate(programmes):
        moves = programme.moves
        cuts = np.flatnonzero(moves.motion != RAPID)
        starts: dict[int, int] = {}
        for tool in np.unique(moves.tool[cuts]):
            starts[int(tool)] = int(moves.line[cuts[moves.tool[cuts] == tool][0]])
        assigned = bits_of_tools(source, starts, bits) if starts else {}
        found = pieces(moves, within)
        rows = {}
        for tool, bit in assigned.items():
            if bit not in used:
                used.append(bit)
            rows[tool] = used.index(bit)
        # rapids before the first bit's T, or of a bit that never cuts, run with a bit that is not known: the first one
        first = rows[min(starts, key=lambda tool: starts[tool])] if starts else 0
        columns["bit"].append(np.array([rows.get(int(tool), first) for tool in found.tool], np.int64))
        columns["start"].append(frame.drawn(found.start))
        columns["end"].append(frame.drawn(found.end))
        columns["file"].append(np.full(len(found), number))
        for name in ("line", "rapid", "feed"):
            columns[name].append(getattr(found, name))
    return PartCut(
        part=part, files=tuple(source.file for source, _ in programmes), bits=tuple(used),
        **{name: np.concatenate(column) for name, column in columns.items()},
    )  # fmt: skip
