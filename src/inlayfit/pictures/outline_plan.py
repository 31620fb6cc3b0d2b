"""The plan of the outline: what each bit reaches, how wide the joint line will be, and the weak places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree

import shapely
from shapely.geometry.base import BaseGeometry

from inlayfit.joint.floor import plan_areas
from inlayfit.joint.limits import JOINT_LINE
from inlayfit.outline.regions import Outline
from inlayfit.pictures import palette
from inlayfit.pictures.canvas import Canvas, Point, text_width, wrapped
from inlayfit.pictures.legend import LINE, SMALL, Entry, draw_legend
from inlayfit.pictures.line_runs import SHARE_OF_LIMIT, Width, line_runs
from inlayfit.pictures.markers import RADIUS, draw_markers, draw_ring
from inlayfit.pictures.plan_paper import PlanPaper
from inlayfit.pictures.scale import largest_scale, round_length, scale_text
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text
from inlayfit.report.layout import place_text
from inlayfit.report.weak_places import WeakPlace, weak_places

WIDTH: Final = 180.0
"""mm: fits both A4 and Letter."""
ROOM: Final = (156.0, 128.0)
LEFT, TOP = 16.0, 13.0
HEADING: Final = 3.3
OVERHEAD: Final = 24.0
"""Height in mm that heading and sizes take besides the outline."""
KEY_BESIDE: Final = 52.0
"""Width of the key where it stands beside the outline, mm."""
FINENESS: Final = 0.01
"""On paper, curves are drawn to within this many mm."""
MOST_PLACES: Final = 20
SPECK: Final = 0.2
"""mm2 on paper that are not worth a line in the legend."""
LINES: Final[dict[Width, tuple[str, float, str | None]]] = {
    "within": (palette.GLUE, 0.8, "1.6 0.8"),
    "over": (palette.OPEN, 1.2, None),
}


def outline_plan(
    plan: Plan, outline: Outline, *, name: str = "outline", height: float = ROOM[1], telling: bool = True
) -> Canvas:
    """The plan of a job's outline; shapes and numbers follow from the plan.

    ``height`` is the room for the outline on paper, in mm. Without ``telling`` the drawing leaves it to the page around
    it to say what is weak about each place, and has its key beside it, :data:`OVERHEAD` higher than the outline.
    """
    unit, (low_x, low_y, high_x, high_y) = plan.job.unit, outline.bounds
    wide = ROOM[0] if telling else ROOM[0] - KEY_BESIDE
    scale = min(largest_scale(high_x - low_x, wide), largest_scale(high_y - low_y, height))
    tall = scale * (high_y - low_y)
    paper = PlanPaper(scale=scale, low=(low_x, low_y), corner=(LEFT, TOP + tall), fineness=FINENESS)
    places = weak_places(plan)
    canvas = Canvas(name=name, title=f"{plan.job.title}: plan of the outline", description=_description(plan, places),
                    width=WIDTH, height=1)  # fmt: skip
    canvas.text((4, 6), f"Plan of the outline, as seen on the finished face ({scale_text(scale)})", font_weight="bold",
                font_size=HEADING)  # fmt: skip
    group = canvas.group(class_="plan", data_scale=scale)
    entries = _areas(canvas, plan, outline, paper, group)
    entries += _joint_line(canvas, plan, paper, group)
    lines, words = _sizes(canvas, paper, (high_x, high_y), unit, group)
    right, bottom = LEFT + scale * (high_x - low_x), TOP + tall
    shown = [shapely.LinearRing(ring) for ring in paper.rings(outline.area)]
    draw_markers(canvas, places[:MOST_PLACES], [paper(place.at) for place in places[:MOST_PLACES]],
                 (2, 7.5, min(right + 45, WIDTH - 2 if telling else WIDTH - KEY_BESIDE + 2), bottom + 11),
                 lines=shapely.GeometryCollection([*lines, *shown]), words=words, parent=group)  # fmt: skip
    if not telling:
        left = WIDTH - KEY_BESIDE + 4
        _scale_bar(canvas, scale, unit, (left, TOP), longest=30)
        low = TOP + 6 + draw_legend(canvas, entries, (left, TOP + 6), KEY_BESIDE - 6, columns=1)
        canvas.resize(max(tall + OVERHEAD, low))
        return canvas
    y = bottom + 12
    _scale_bar(canvas, scale, unit, (LEFT, y), longest=50)
    y += 8
    y += draw_legend(canvas, entries, (LEFT, y), WIDTH - LEFT - 4, columns=3) + 3
    canvas.resize(_tell(canvas, plan, places, y) + 1)
    return canvas


def _areas(
    canvas: Canvas, plan: Plan, outline: Outline, paper: PlanPaper, parent: ElementTree.Element
) -> list[Entry]:
    """The outline with its areas; what they are called."""
    areas = plan_areas(outline, plan.job, plan.facts.depths)
    bits = plan.job.bits
    kinds: list[tuple[str, BaseGeometry, str, str]] = [
        ("walls", outline.area, palette.WALLS, "walls, cut by the V-bit"),
        ("cleared", areas.cleared,
         canvas.hatch("cleared", angle=0, apart=1.6, width=0.25, colour=palette.CLEARED_MARK, ground=palette.CLEARED,
                      dash="0.3 1.3"),
         f"floor that {'the clearing bits reach' if len(bits.clearing) > 1 else 'the clearing bit reaches'}"),
        ("left-to-v", areas.left_to_v,
         canvas.hatch("left", angle=45, apart=0.9, width=0.28, colour=palette.LEFT_TO_V_MARK,
                      ground=palette.LEFT_TO_V),
         "floor left to the V-bit"),
        ("v-bottomed", areas.v_bottomed,
         canvas.hatch("v", angle=-45, apart=0.7, width=0.28, colour=palette.V_BOTTOM_MARK, ground=palette.V_BOTTOM),
         "strokes and corners that end in a V"),
    ]  # fmt: skip
    entries = []
    for kind, area, fill, words in kinds:
        if area.area * paper.scale**2 < SPECK:
            continue
        canvas.shape(paper.rings(area), parent, class_=kind, fill=fill)
        entries.append(Entry(words=words, fill=fill))
    canvas.shape(paper.rings(outline.area), parent, class_="outline", fill="none", stroke=palette.INK,
                 stroke_width=0.25)  # fmt: skip
    return entries


def _joint_line(canvas: Canvas, plan: Plan, paper: PlanPaper, parent: ElementTree.Element) -> list[Entry]:
    """The outline drawn the heavier, the wider the joint line is."""
    seat, limit, unit = plan.facts.seat, plan.job.limits[JOINT_LINE], plan.job.unit
    if seat is None:
        return [Entry(words="outline; the joint line is not checked")]
    seen: set[Width] = set()
    for width, points in line_runs(seat.walls_seen, seat.lift, limit):
        seen.add(width)
        if width != "closed":
            colour, heavy, dash = LINES[width]
            canvas.shape([[paper(point) for point in points]], parent, closed=False, class_=f"line {width}",
                         fill="none", stroke=colour, stroke_width=heavy, stroke_dasharray=dash)  # fmt: skip
    narrow, most = length_text(SHARE_OF_LIMIT * limit, unit), length_text(limit, unit)
    words: dict[Width, str] = {
        "closed": f"joint line closed, up to {narrow}",
        "within": f"joint line over {narrow}, up to its limit of {most}",
        "over": f"joint line over its limit of {most}",
    }
    styles = {"closed": (palette.INK, 0.25, None), **LINES}
    return [
        Entry(words=words[width], stroke=styles[width][0], stroke_width=styles[width][1], dash=styles[width][2])
        for width in words
        if width in seen
    ]


def _sizes(
    canvas: Canvas, paper: PlanPaper, high: Point, unit: LengthUnit, parent: ElementTree.Element
) -> tuple[list[BaseGeometry], BaseGeometry]:
    """Width below and height beside the outline; their lines and their words on paper."""
    lines, boxes = list[BaseGeometry](), list[BaseGeometry]()
    left, bottom = paper(paper.low)
    right, top = paper(high)
    for name, length, ends, at in (
        ("width", high[0] - paper.low[0], ((left, bottom + 5), (right, bottom + 5)), (left + right) / 2),
        ("height", high[1] - paper.low[1], ((left - 5, top), (left - 5, bottom)), (top + bottom) / 2),
    ):
        group = canvas.group(parent, class_="dimension", data_name=name, data_mm=f"{length:.6f}")
        canvas.line(*ends, group, stroke_width=0.2, class_="measure")
        for x, y in ends:
            canvas.line((x - 0.45, y + 0.45), (x + 0.45, y - 0.45), group, stroke_width=0.35)
        lines.append(shapely.LineString(ends))
        words = length_text(length, unit)
        half = text_width(words) / 2
        if name == "width":
            boxes.append(shapely.box(at - half, bottom + 6.5, at + half, bottom + 10))
            canvas.text((at, bottom + 9), words, group, text_anchor="middle")
        else:
            boxes.append(shapely.box(left - 8.5, at - half, left - 5.5, at + half))
            canvas.text((left - 6, at), words, group, text_anchor="middle",
                        transform=f"rotate(-90 {left - 6:.4f} {at:.4f})")  # fmt: skip
    return lines, shapely.union_all(boxes)


def _scale_bar(canvas: Canvas, scale: float, unit: LengthUnit, at: Point, *, longest: float) -> None:
    """A bar of a round length in the job's unit, one half filled."""
    x, y = at
    length = round_length(longest / scale / MM_PER_UNIT[unit])
    half = length * MM_PER_UNIT[unit] * scale / 2
    group = canvas.group(class_="scale-bar", data_mm=f"{length * MM_PER_UNIT[unit]:.6f}")
    canvas.add("rect", group, x=x, y=y, width=half, height=1.6, fill=palette.INK)
    canvas.add("rect", group, x=x, y=y, width=2 * half, height=1.6, fill="none", stroke=palette.INK, stroke_width=0.3,
               class_="bar")  # fmt: skip
    canvas.text((x + 2 * half + 2, y + 1.9), f"{length:g} {unit}", group)


def _tell(canvas: Canvas, plan: Plan, places: Sequence[WeakPlace], y: float) -> float:
    """What is weak about each place, below each other from ``y`` on; where it ends."""
    outline = plan.facts.outline
    assert outline is not None, "a plan of an outline has one"
    low, unit = outline.survey.bounds[:2], plan.job.unit
    for place in places[:MOST_PLACES]:
        draw_ring(canvas, place.number, (LEFT + RADIUS, y + 0.2))
        words = f"{place_text(place.at, low, unit)} {'; '.join(place.words)}"
        lines = wrapped(words, WIDTH - LEFT - 2 * RADIUS - 6, SMALL)
        for number, line in enumerate(lines):
            canvas.text((LEFT + 2 * RADIUS + 2, y + 1 + number * LINE), line, font_size=SMALL)
        y += max(2 * RADIUS + 0.6, len(lines) * LINE + 1)
    if len(places) > MOST_PLACES:
        canvas.text((LEFT, y + 1), f"and {len(places) - MOST_PLACES} places more in the report", font_size=SMALL)
        y += LINE
    return y


def _description(plan: Plan, places: Sequence[WeakPlace]) -> str:
    """What the drawing shows, for whoever has it read out."""
    outline, seat = plan.facts.outline, plan.facts.seat
    assert outline is not None, "a plan of an outline has one"
    survey, unit = outline.survey, plan.job.unit
    low_x, low_y, high_x, high_y = survey.bounds
    words = (
        f"{length_text(high_x - low_x, unit)} wide and {length_text(high_y - low_y, unit)} high, "
        f"{survey.regions} regions with {survey.holes} holes."
    )
    floor = outline.floor.pocket
    if floor.area > 0:
        words += f" The clearing bits reach {1 - floor.left_to_v:.0%} of the pocket's floor."
    if seat is not None:
        words += f" The joint line is {length_text(seat.seen.largest, unit)} at its widest."
    return f"{words} {len(places)} weak places." if places else f"{words} No weak place."
