"""The section drawing: the joint as it will sit, the plug before it is turned over, the wall magnified."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.breaks import draw_breaks
from inlayfit.pictures.canvas import Canvas, Point, wrapped
from inlayfit.pictures.cross_section import CrossSection, cross_section
from inlayfit.pictures.dimension import LINE_HEIGHT, WORDS_FROM, Dimension, Mark, dimension_chain
from inlayfit.pictures.joint_shapes import Fills, fills, overlaps, plug_face_up, seated_shapes
from inlayfit.pictures.legend import Entry, draw_legend
from inlayfit.pictures.palette import INK, LEVEL, LEVEL_DASH, PAPER, START_DASH
from inlayfit.pictures.scale import View, fitted_view, scale_text
from inlayfit.pictures.seat_words import draw_sign, finding, seat_words
from inlayfit.pictures.wall_detail import DETAIL, detail_at_face, detail_at_foot
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.text import headline

WIDTH: Final = 180.0
"""mm: fits both A4 and Letter."""
HEADING: Final = 3.3
SEATED_ROOM: Final = (82.0, 80.0)
ALONE_ROOM: Final = (44.0, 46.0)
"""Width and height on paper of the joint and of the plug alone, mm."""
SEATED_MIDDLE: Final = 76.0
ALONE_MIDDLE: Final = 52.0
ALONE_RIGHT: Final = 103.0
"""Where the words of the plug alone end, mm."""
SMALL_ROOM: Final = (28.0, 34.0)
SMALL_MIDDLES: Final = (46.0, 135.0)
SMALL_PARTED: Final = 90.0
"""Of the two views beside each other: room, middles, and where the first one's words end, mm."""
NO_BREAK: Final = "\N{NO-BREAK SPACE}"
WORDS_BELOW: Final = 4.0
"""How far words may stand below the wood they belong to, mm."""
NAMED: Final = 0.8
"""Overlaps wider than this on paper, in mm, get words."""
EQUAL: Final = 1e-6
SEEN: Final = 0.3
"""A length of less on paper, in mm, is left to the magnified details."""
STATUS_WORDS: Final = {"fail": " (fails)", "doubtful": " (in doubt)"}


@dataclass(frozen=True, kw_only=True)
class _Stretch:
    """A length of the section: its name, its words, between which depths, the check that judges it."""

    name: str
    words: str
    low: float
    high: float
    check: str = ""
    inner: bool = False


@dataclass(frozen=True, kw_only=True)
class _Paper:
    """Between which edges of the paper a view and its words lie, mm."""

    left: float
    right: float


def section(plan: Plan, *, name: str = "section") -> Canvas:
    """The section drawing of a plan, with the wall magnified; all lengths follow from the plan's own numbers."""
    cut, stroke = _cut_across(plan)
    reasons = _headline(plan)
    top = 14 + len(reasons) * LINE_HEIGHT + 9
    seated = _seated_view(cut, top, SEATED_ROOM, SEATED_MIDDLE)
    canvas = _canvas(plan, cut, stroke, name)
    filled = fills(canvas)
    words = seat_words(plan)
    draw_sign(canvas, words.sign, (8, 8))
    canvas.text((15, 7.4), words.words, font_weight="bold", font_size=4.6)
    for number, line in enumerate(reasons):
        canvas.text((15, 11.6 + number * LINE_HEIGHT), line)
    heading = f"Seated, before levelling: {stroke} ({scale_text(seated.down.scale)})"
    _heading(canvas, heading, (4, top - 5), WIDTH)
    second = _seated(canvas, plan, cut, seated, filled, _Paper(left=2, right=WIDTH - 2)) + 7
    alone = _alone_view(cut, second + 5, ALONE_ROOM, ALONE_MIDDLE)
    _heading(canvas, f"Plug as cut, face up ({scale_text(alone.down.scale)})", (4, second), ALONE_RIGHT)
    ends = [_alone(canvas, plan, cut, alone, filled, _Paper(left=2, right=ALONE_RIGHT))]
    unit, level = plan.job.unit, plan.job.joint.level_below
    ends.append(
        detail_at_face(canvas, cut, filled, left=WIDTH - 2 * DETAIL - 8, top=second + 5, unit=unit, level=level)
    )
    ends.append(detail_at_foot(canvas, cut, filled, left=WIDTH - DETAIL - 2, top=second + 5, unit=unit))
    low = max(ends) + 3
    canvas.resize(low + _woods(canvas, plan, cut, seated, filled, (4, low)) + 1)
    return canvas


def small_section(plan: Plan, *, name: str = "section") -> Canvas:
    """The joint as it sits and the plug as cut beside each other, for a page that says the rest in words."""
    cut, stroke = _cut_across(plan)
    scale = _seated_view(cut, 0.0, SMALL_ROOM, SMALL_MIDDLES[0]).down.scale
    words = f"Seated: {stroke} ({scale_text(scale)})"
    top = 9.0 + 1.2 * HEADING * (len(wrapped(words, SMALL_PARTED - 4, HEADING)) - 1)
    seated = _seated_view(cut, top, SMALL_ROOM, SMALL_MIDDLES[0])
    alone = _alone_view(cut, top, SMALL_ROOM, SMALL_MIDDLES[1])
    canvas = _canvas(plan, cut, stroke, name)
    filled = fills(canvas)
    _heading(canvas, words, (4, 4), SMALL_PARTED)
    ends = [_seated(canvas, plan, cut, seated, filled, _Paper(left=2, right=SMALL_PARTED))]
    _heading(canvas, f"Plug as cut, face up ({scale_text(alone.down.scale)})", (SMALL_PARTED + 4, 4), WIDTH)
    ends.append(_alone(canvas, plan, cut, alone, filled, _Paper(left=SMALL_PARTED + 2, right=WIDTH - 2)))
    low = max(ends) + 2
    canvas.resize(low + _woods(canvas, plan, cut, seated, filled, (4, low)) + 1)
    return canvas


def _cut_across(plan: Plan) -> tuple[CrossSection, str]:
    """The section at the plug's clamped lift, and what it is cut across."""
    half_width, stroke = _stroke(plan)
    seat = plan.facts.seat
    return cross_section(plan.facts, half_width, lift=0.0 if seat is None else seat.lift), stroke


def _canvas(plan: Plan, cut: CrossSection, stroke: str, name: str) -> Canvas:
    return Canvas(name=name, title=f"{plan.job.title}: section of the joint",
                  description=_description(plan, cut, stroke), width=WIDTH, height=1)  # fmt: skip


def _stroke(plan: Plan) -> tuple[float, str]:
    """Half the width of the stroke to cut across, and what it is: the outline's widest, or an example."""
    depths, outline = plan.facts.depths, plan.facts.outline
    if outline is None:
        width = 1.5 * (depths.clearing_width or depths.full_depth_width)
        return width / 2, f"an example, a stroke {length_text(width, plan.job.unit)} wide"
    half = float(outline.survey.inside.radius.max())
    return half, f"the widest stroke, {length_text(2 * half, plan.job.unit)}"


def _side(cut: CrossSection) -> float:
    """How far to both sides of the middle the wood is shown."""
    return cut.plug[0][0] + 0.8 * cut.start_depth


def _left_out(low: float, high: float, keep_low: float, keep_high: float) -> tuple[tuple[float, float], ...]:
    """The stretch between what is kept at both ends, where leaving it out is worth a break."""
    start, end = low + keep_low, high - keep_high
    return ((start, end),) if end - start > (keep_low + keep_high) / 2 else ()


def _seated_view(cut: CrossSection, top: float, room: tuple[float, float], middle: float) -> View:
    deep, half = cut.start_depth, cut.plug_at(cut.plug_face)
    web = _left_out(cut.plug_back, cut.plug_floor, 0.25 * deep, 0.5 * deep)
    under = _left_out(cut.pocket_floor, cut.base_thickness, 0.5 * deep, 0.25 * deep)
    return fitted_view(
        across=(-_side(cut), _side(cut)),
        down=(min(0.0, cut.plug_back, cut.plug_floor), max(cut.base_thickness, cut.pocket_floor)),
        hidden_across=_left_out(-half, half, 0.5 * deep, 0.5 * deep),
        hidden_down=(*web, *under),
        room=room,
        middle=middle,
        top=top,
    )


def _alone_view(cut: CrossSection, top: float, room: tuple[float, float], middle: float) -> View:
    deep, half = cut.start_depth, cut.plug_at(cut.plug_face)
    total = cut.start_depth + cut.depth_below_start
    return fitted_view(
        across=(-_side(cut), _side(cut)),
        down=(0.0, max(cut.plug_thickness, total)),
        hidden_across=_left_out(-half, half, 0.5 * deep, 0.5 * deep),
        hidden_down=_left_out(total, cut.plug_thickness, 0.5 * deep, 0.25 * deep),
        room=room,
        middle=middle,
        top=top,
    )


def _headline(plan: Plan) -> list[str]:
    """Why the plug seats or not, and what of the whole job, in lines."""
    return [line for words in (seat_words(plan).reason, f"The whole job: {headline(plan)}")
            for line in wrapped(words, WIDTH - 20)]  # fmt: skip


def _heading(canvas: Canvas, words: str, at: Point, end: float) -> None:
    """A heading in bold, in as many lines as it needs up to ``end``."""
    for number, line in enumerate(wrapped(words, end - at[0], HEADING)):
        canvas.text((at[0], at[1] + number * 1.2 * HEADING), line, font_weight="bold", font_size=HEADING)


def _seated(canvas: Canvas, plan: Plan, cut: CrossSection, view: View, filled: Fills, paper: _Paper) -> float:
    """The joint before levelling; where it ends on paper."""
    job, side = plan.job, _side(cut)
    group = canvas.group(class_="seated", data_scale=view.down.scale)
    for kind, shape in seated_shapes(cut, side):
        canvas.shape([[view(point) for point in shape]], group, class_=kind, fill=filled.of(kind), stroke=INK,
                     stroke_width=0.3)  # fmt: skip
    left, right = view.across(-side), view.across(side)
    level = view.down(job.joint.level_below)
    top = view.down(cut.plug_back)
    canvas.add("rect", group, x=left - 0.2, y=top - 0.2, width=right - left + 0.4, height=max(0.0, level - top + 0.2),
               fill=PAPER, fill_opacity=0.45, class_="cut-off")  # fmt: skip
    draw_breaks(canvas, view, (-side, side), (cut.plug_back, cut.base_thickness), group)
    canvas.line((left - 2, level), (right + 1, level), group, stroke=LEVEL, stroke_width=0.45,
                stroke_dasharray=LEVEL_DASH, class_="level")  # fmt: skip
    marks = [Mark(at=(left - 2, level), words=_level_words(plan), colour=LEVEL)]
    above = _Stretch(name="above_face", words="above the face", low=cut.plug_back, high=0.0)
    deep = _Stretch(name="pocket_depth", words="pocket depth" if cut.full_depth else "cut", low=0.0,
                    high=cut.pocket_floor)  # fmt: skip
    upright = [above, deep]
    if abs(view.down(0.0) - view.down(-cut.lift)) > SEEN:
        canvas.line((left, view.down(-cut.lift)), (right, view.down(-cut.lift)), group, stroke_width=0.25,
                    stroke_dasharray=START_DASH, class_="start")  # fmt: skip
        words = "stands proud by" if cut.lift > 0 else "sinks by"
        upright.append(_Stretch(name="lift", words=words, low=min(0.0, -cut.lift), high=max(0.0, -cut.lift),
                                inner=True))  # fmt: skip
    chain = [
        _Stretch(name="plug_web", words="plug left", low=cut.plug_back, high=cut.plug_floor, check="plug-web"),
        _Stretch(name="surface_gap", words="surface gap", low=cut.plug_floor, high=0.0, check="surface-gap"),
        _Stretch(name="joint_depth", words="wall on wall", low=0.0, high=cut.plug_face),
        _Stretch(name="glue_gap", words="glue gap" if cut.full_depth else "at the V-bottom", low=cut.plug_face,
                 high=cut.pocket_floor, check="glue-gap"),
        _Stretch(name="base_floor", words="base left", low=cut.pocket_floor, high=cut.base_thickness,
                 check="base-floor"),
    ]  # fmt: skip
    down = (view.down(min(0.0, cut.plug_back, cut.plug_floor)) - 2, view.down(cut.base_thickness) + WORDS_BELOW)
    return _dimensions(canvas, plan, view, paper, (left, right), down, (upright, chain), marks, group)


def _alone(canvas: Canvas, plan: Plan, cut: CrossSection, view: View, filled: Fills, paper: _Paper) -> float:
    """The plug as it is cut, face up; where it ends on paper."""
    side, total = _side(cut), cut.start_depth + cut.depth_below_start
    group = canvas.group(class_="alone", data_scale=view.down.scale)
    canvas.shape([[view(point) for point in plug_face_up(cut, side)]], group, class_="plug", fill=filled.plug,
                 stroke=INK, stroke_width=0.3)  # fmt: skip
    left, right = view.across(-side), view.across(side)
    start = view.down(cut.start_depth)
    canvas.line((left - 2, start), (right, start), group, stroke_width=0.3, stroke_dasharray=START_DASH, class_="start")
    for x in (view.across(-cut.half_width), view.across(cut.half_width)):
        canvas.line((x, start - 1.2), (x, start + 1.2), group, stroke_width=0.35, class_="outline-edge")
    if not cut.full_depth:
        canvas.line((left, view.down(0)), (right, view.down(0)), group, stroke_width=0.2, stroke_dasharray="0.6 0.6")
    draw_breaks(canvas, view, (-side, side), (0.0, cut.plug_thickness), group)
    whole = [_Stretch(name="plug_total_depth", words="total depth", low=0.0, high=total)]
    chain = [
        _Stretch(name="start_depth", words="start depth", low=0.0, high=cut.start_depth),
        _Stretch(name="depth_below_start", words="below start", low=cut.start_depth, high=total),
        _Stretch(name="plug_web", words="plug left", low=total, high=cut.plug_thickness, check="plug-web"),
    ]
    marks = [Mark(at=(left - 2, start), words="drawing's size")]
    down = (view.down(0) - 2, view.down(cut.plug_thickness) + WORDS_BELOW)
    return _dimensions(canvas, plan, view, paper, (left, right), down, (whole, chain), marks, group)


def _level_words(plan: Plan) -> str:
    """Where levelling stops."""
    below = plan.job.joint.level_below
    where = f"{length_text(below, plan.job.unit).replace(' ', NO_BREAK)} below the face" if below else "at the face"
    return f"levelled {where}"


def _dimensions(
    canvas: Canvas, plan: Plan, view: View, paper: _Paper, wood: tuple[float, float], down: tuple[float, float],
    chains: tuple[Sequence[_Stretch], Sequence[_Stretch]], marks: Sequence[Mark], parent: ElementTree.Element,
) -> float:  # fmt: skip
    """Chains of dimensions on both sides of the ``wood``, between ``down`` on paper, marks to the left; their end."""
    low = down[1]
    places = (
        (wood[0] - 4, wood[0], wood[0] - 4 - WORDS_FROM - paper.left, marks),
        (wood[1] + 4, wood[1], paper.right - wood[1] - 4 - WORDS_FROM, ()),
    )
    for chain, (x, reach_from, room, named) in zip(chains, places, strict=True):
        found = [_dimension(plan, entry, view) for entry in chain if entry.high - entry.low > EQUAL]
        low = max(low, dimension_chain(canvas, found, x=x, reach_from=reach_from, room=room, low=down[0], high=down[1],
                                       marks=named, parent=parent))  # fmt: skip
    return low


def _woods(canvas: Canvas, plan: Plan, cut: CrossSection, view: View, filled: Fills, at: Point) -> float:
    """The key to the woods, and to wood that is in the way where it shows; how high it is."""
    entries = [Entry(words=_wood("plug", plan.job.plug.wood.name), fill=filled.plug),
               Entry(words=_wood("base", plan.job.base.wood.name), fill=filled.base)]  # fmt: skip
    in_the_way = max((-cut.opening(depth) for shape in overlaps(cut) for _, depth in shape), default=0.0)
    if in_the_way * view.across.scale > NAMED:
        # what the clamp crushes on the way to this lift, or what no clamp does
        home = seat_words(plan).sign in ("yes", "doubt")
        entries.append(Entry(words="wood crushed" if home else "wood in the way", fill=filled.overlap))
    return draw_legend(canvas, entries, at, WIDTH - at[0] - 2, columns=3)


def _dimension(plan: Plan, entry: _Stretch, view: View) -> Dimension:
    found = finding(plan, entry.check)
    length = entry.high - entry.low
    # where it is one of the plan's own depths it is written like that: a difference may round the other way
    planned = getattr(plan.facts.depths, entry.name, None)
    if planned is not None and abs(planned - length) < EQUAL:
        length = planned
    return Dimension(
        name=entry.name,
        length=length,
        top=view.down(entry.low),
        bottom=view.down(entry.high),
        # a number stays on one line with its unit
        words=f"{entry.words} {length_text(length, plan.job.unit, digits=setting_digits(plan)).replace(' ', NO_BREAK)}"
        + (STATUS_WORDS.get(found.status, "") if found is not None else ""),
        broken=view.down.breaks(entry.low, entry.high),
        inner=entry.inner,
    )


def _wood(part: str, name: str | None) -> str:
    """The part with its wood."""
    return part if name is None else f"{part}, {name}"


def _description(plan: Plan, cut: CrossSection, stroke: str) -> str:
    """All that the drawing shows, for whoever has it read out."""
    unit = plan.job.unit

    def said(mm: float) -> str:
        return length_text(mm, unit)

    seat = seat_words(plan)
    return (
        f"{seat.words}: {seat.reason}. Cut across {stroke}. Pocket {said(cut.pocket_floor)} deep in a base "
        f"{said(cut.base_thickness)} thick. The plug sits {said(cut.lift)} over its nominal seat; "
        f"{said(cut.pocket_floor - cut.plug_face)} between its face and the pocket's floor, {said(-cut.plug_floor)} "
        f"between its own floor and the base's face, {said(-cut.plug_back)} of it above the face. Plug start depth "
        f"{said(cut.start_depth)}, {said(cut.depth_below_start)} below start. Levelled "
        f"{said(plan.job.joint.level_below)} below the face."
    )
