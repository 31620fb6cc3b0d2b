"""The boards under the cutter: where the outline lies on each blank, what the cuts sweep, and the hold-downs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

import shapely
from shapely.geometry.base import BaseGeometry

from inlayfit.joint.job import Point, SetUp
from inlayfit.pictures import palette
from inlayfit.pictures.canvas import Canvas, wrapped
from inlayfit.pictures.legend import LINE, SMALL, Entry, draw_legend
from inlayfit.pictures.plan_paper import PlanPaper
from inlayfit.pictures.scale import largest_scale, scale_text
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.shop.hold_downs import Clearance, HoldDown, hold_down
from inlayfit.shop.placement import Placement
from inlayfit.shop.plug_border import cut_out
from inlayfit.shop.sweeps import Sweep, sweeps

WIDTH: Final = 180.0
HEADING: Final = 3.3
ROOM: Final = (80.0, 74.0)
SMALL_ROOM: Final = (54.0, 28.0)
"""Width and height of one board on paper, mm; two or three beside each other."""
LEAST_WORDS: Final = (60.0, 56.0)
"""Width of the words below a board, at least, in either room."""
APART: Final = 8.0
SMALL_APART: Final = 3.0
TOP: Final = 16.0
FINENESS: Final = 0.02
TITLES: Final[dict[SetUp, str]] = {
    "base": "base, the pocket",
    "plug": "plug blank, drawing mirrored",
    "level": "base, levelling",
}
"""In the order of the work."""


@dataclass(frozen=True, kw_only=True)
class Board:
    """One set-up: the board, the outline on it and what is swept, in mm from the datum."""

    set_up: SetUp
    placement: Placement
    sweeps: tuple[Sweep, ...]
    hold_downs: tuple[tuple[HoldDown, Clearance], ...]

    @property
    def swept(self) -> BaseGeometry:
        """What the cutters sweep at the face."""
        return shapely.union_all([sweep.face() for sweep in self.sweeps])

    @property
    def swept_above(self) -> BaseGeometry:
        """What cutters and what holds them sweep at the height of the tallest hold-down; empty without one."""
        heights = [entry.height for entry, _ in self.hold_downs]
        if not heights:
            return shapely.Polygon()
        return shapely.union_all([area for sweep in self.sweeps for _, area in sweep.at(max(heights))])

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Of all that is drawn."""
        areas = [self.swept, self.placement.area, *(entry.footprint for entry, _ in self.hold_downs)]
        if self.placement.blank is not None:
            areas.append(shapely.box(*self.placement.blank.bounds))
        low_x, low_y, high_x, high_y = shapely.total_bounds(shapely.union_all([area.envelope for area in areas]))
        return (float(low_x), float(low_y), float(high_x), float(high_y))


def boards_of(plan: Plan) -> tuple[Board, ...]:
    """The set-ups that can be drawn: where a blank's size or a hold-down is given, and the outline has a place."""
    job, depths, outline = plan.job, plan.facts.depths, plan.facts.outline
    if outline is None:
        return ()
    shop = outline.shop
    held = [
        (hold_down(source), clearance) for source, clearance in zip(job.hold_downs, shop.hold_downs, strict=True)
    ]
    found = []
    set_ups: tuple[tuple[SetUp, Placement | None], ...] = (
        ("base", shop.base), ("plug", shop.plug), ("level", shop.base),
    )  # fmt: skip
    for set_up, placement in set_ups:
        here = tuple(entry for entry in held if entry[0].set_up == set_up)
        if placement is None or (placement.blank is None and not here):
            continue
        swept = sweeps(
            job,
            depths,
            plan.facts.passes,
            base=placement.area if set_up == "base" else None,
            plug=placement.area if set_up == "plug" else None,
            field=shop.field if set_up == "level" else None,
            collet=job.bits.collet,
        )
        if swept and (set_up != "level" or here):
            found.append(Board(set_up=set_up, placement=placement, sweeps=swept, hold_downs=here))
    return tuple(found)


def boards(plan: Plan, *, name: str = "boards", small: bool = False) -> Canvas | None:
    """The boards of a job, each as large as its room allows; None where neither blanks nor hold-downs are given.

    ``small``: three beside each other, for a page with other drawings that says where the outline lies.
    """
    room, least = (SMALL_ROOM, LEAST_WORDS[1]) if small else (ROOM, LEAST_WORDS[0])
    shown = boards_of(plan)
    if not shown:
        return None
    canvas = Canvas(name=name, title=f"{plan.job.title}: the boards under the cutter",
                    description=_description(plan, shown), width=WIDTH, height=1)  # fmt: skip
    canvas.text((4, 6), "Boards as they lie under the cutter", font_weight="bold", font_size=HEADING)
    sweep = canvas.hatch("sweep", angle=60, apart=1.3, width=0.2, colour=palette.FAINT, ground=palette.SWEPT)
    edge, top = (4.0, TOP - 3.5) if small else (6.0, TOP)
    x, y, row = edge, top, 0.0
    for board in shown:
        low_x, low_y, high_x, high_y = board.bounds
        scale = min(largest_scale(high_x - low_x, room[0]), largest_scale(high_y - low_y, room[1]))
        wide, tall = scale * (high_x - low_x), scale * (high_y - low_y)
        if x + max(wide, least) > WIDTH - 1 and x > edge:
            x, y, row = edge, y + row + 6, 0.0
        paper = PlanPaper(scale=scale, low=(low_x, low_y), corner=(x, y + tall), fineness=FINENESS)
        told = _draw(canvas, plan, board, paper, sweep, placed=not small)
        lines = [line for words in told for line in wrapped(words, max(wide, least), SMALL)]
        for number, line in enumerate(lines):
            canvas.text((x, y + tall + 5 + number * LINE), line, font_size=SMALL)
        row = max(row, tall + 5 + len(lines) * LINE)
        x += max(wide, least) + (SMALL_APART if small else APART)
    entries = [
        Entry(words="board", fill=palette.BOARD),
        Entry(words="swept by cutters at the face", fill=sweep),
        Entry(words="outline, on the plug mirrored", stroke_width=0.3),
    ]
    if any(board.hold_downs for board in shown):
        entries += [
            Entry(words="reach at the tallest hold-down's height", stroke=palette.LEVEL, dash=palette.LEVEL_DASH,
                  stroke_width=0.35),
            Entry(words="hold-down", fill=palette.HELD),
        ]  # fmt: skip
    if any(board.set_up == "plug" for board in shown):
        entries.append(Entry(words="edge of the border", dash=palette.START_DASH))
    canvas.resize(y + row + 3 + draw_legend(canvas, entries, (edge, y + row + 2), WIDTH - edge - 4, columns=3))
    return canvas


def _draw(canvas: Canvas, plan: Plan, board: Board, paper: PlanPaper, sweep: str, *, placed: bool) -> list[str]:
    """One board; what is said below it, a paragraph each, where the outline lies only if ``placed``."""
    job, unit, placement = plan.job, plan.job.unit, board.placement
    group = canvas.group(class_="board", data_part=board.set_up, data_scale=paper.scale)
    left, top = paper((board.bounds[0], board.bounds[3]))
    title = f"{TITLES[board.set_up].capitalize()} ({scale_text(paper.scale)})"
    canvas.text((left, top - 2), title, group, font_weight="bold", font_size=SMALL)
    told = []
    if placement.blank is not None:
        blank = placement.blank
        canvas.shape(paper.rings(shapely.box(*blank.bounds)), group, class_="blank", fill=palette.BOARD)
        size = f"{length_text(blank.width, unit, with_unit=False)} x {length_text(blank.height, unit)}"
        told.append(f"Board {size}, datum {blank.datum}.")
    canvas.shape(paper.rings(board.swept), group, class_="swept", fill=sweep, fill_opacity=0.85)
    if placement.blank is not None:  # over a sweep that covers it
        canvas.shape(paper.rings(shapely.box(*placement.blank.bounds)), group, class_="edge", fill="none",
                     stroke=palette.INK, stroke_width=0.4)  # fmt: skip
    canvas.shape(paper.rings(placement.area), group, class_="outline", fill="none", stroke=palette.INK,
                 stroke_width=0.3)  # fmt: skip
    if board.set_up == "plug":
        bit = job.bits.cut_out
        edge = cut_out(placement.area, job.plug.border, bit.diameter if bit is not None else 0.0).edge
        canvas.shape(paper.rings(edge), group, class_="border", fill="none", stroke=palette.INK, stroke_width=0.25,
                     stroke_dasharray=palette.START_DASH)  # fmt: skip
    if board.hold_downs:
        canvas.shape(paper.rings(board.swept_above), group, class_="swept-above", fill="none", stroke=palette.LEVEL,
                     stroke_width=0.35, stroke_dasharray=palette.LEVEL_DASH)  # fmt: skip
    _datum(canvas, paper((0.0, 0.0)), group)
    for held, clearance in board.hold_downs:
        _hold_down(canvas, held, clearance, paper, group)
    told += clearance_words(plan, [clearance for _, clearance in board.hold_downs])
    if placed:
        x, y = (length_text(value, unit, with_unit=False) for value in placement.at)
        told.insert(1 if placement.blank is not None else 0, f"Middle of the outline at ({x}, {y}) from the datum.")
    return told


def _hold_down(
    canvas: Canvas, held: HoldDown, clearance: Clearance, paper: PlanPaper, parent: ElementTree.Element
) -> None:
    """A hold-down with its number, crossed out where it is struck."""
    struck = bool(clearance.strikes)
    canvas.shape(paper.rings(held.footprint), parent, class_="hold-down struck" if struck else "hold-down",
                 fill=palette.OPEN if struck else palette.HELD, stroke=palette.INK, stroke_width=0.3,
                 data_number=str(clearance.number))  # fmt: skip
    low_x, low_y, high_x, high_y = held.footprint.bounds
    corners = [paper(point) for point in ((low_x, low_y), (high_x, high_y), (low_x, high_y), (high_x, low_y))]
    if struck:
        for start, end in (corners[:2], corners[2:]):
            canvas.line(start, end, parent, stroke=palette.PAPER, stroke_width=0.7)
    x, y = paper(((low_x + high_x) / 2, (low_y + high_y) / 2))
    canvas.add("circle", parent, cx=x, cy=y, r=1.7, fill=palette.PAPER, stroke=palette.INK, stroke_width=0.25)
    canvas.text((x, y + 0.85), str(clearance.number), parent, text_anchor="middle", font_size=2.4)


def clearance_words(plan: Plan, found: Sequence[Clearance]) -> list[str]:
    """How hold-downs fare, those together that fare alike: struck by what, or clear by how much."""
    alike: dict[str, list[int]] = {}
    for entry in found:
        if entry.strikes:
            told = f"struck: {'; '.join(f'{one.step} with {one.bit}, its {one.by}' for one in entry.strikes)}"
        elif entry.clear_by is None:
            told = "nothing is swept at that height"
        else:
            told = f"clear by {length_text(entry.clear_by, plan.job.unit)}"
        alike.setdefault(told, []).append(entry.number)
    return [
        f"Hold-down{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}: {told}."
        for told, numbers in alike.items()
    ]


def _datum(canvas: Canvas, at: Point, parent: ElementTree.Element) -> None:
    """The work's zero: a ring with a long arm along x and a short one along y."""
    x, y = at
    group = canvas.group(parent, class_="datum")
    canvas.line((x - 2, y), (x + 6, y), group, stroke_width=0.35)
    canvas.line((x, y + 2), (x, y - 4), group, stroke_width=0.35)
    canvas.add("circle", group, cx=x, cy=y, r=1.1, fill=palette.PAPER, stroke=palette.INK, stroke_width=0.35)


def _description(plan: Plan, shown: Sequence[Board]) -> str:
    """What the drawing shows, for whoever has it read out."""
    struck = [entry.number for board in shown for _, entry in board.hold_downs if entry.strikes]
    words = f"Shown are {', '.join(TITLES[board.set_up] for board in shown)}."
    if struck:
        return f"{words} Struck: hold-down {', '.join(str(number) for number in struck)}."
    return f"{words} No hold-down is struck." if plan.job.hold_downs else words
