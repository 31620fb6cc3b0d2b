"""The section drawing: the joint as it will sit, the plug before it is turned over, the wall magnified."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.breaks import draw_breaks
from inlayfit.pictures.canvas import Canvas, text_width, wrapped
from inlayfit.pictures.cross_section import CrossSection, cross_section
from inlayfit.pictures.dimension import LINE_HEIGHT, Dimension, dimension_chain, halo, upright_dimension
from inlayfit.pictures.joint_shapes import Fills, fills, overlaps, plug_face_up, seated_shapes
from inlayfit.pictures.palette import INK, LEVEL, LEVEL_DASH, OPEN, PAPER, START_DASH
from inlayfit.pictures.scale import View, fitted_view, scale_text
from inlayfit.pictures.seat_words import draw_sign, finding, seat_words
from inlayfit.pictures.wall_detail import CAPTION, DETAIL, detail_at_face, detail_at_foot
from inlayfit.plan import Plan
from inlayfit.quantity import length_text
from inlayfit.report.layout import setting_digits
from inlayfit.report.text import headline

WIDTH: Final = 180.0
"""mm: fits both A4 and Letter."""
HEADING: Final = 3.3
SEATED_ROOM: Final = (86.0, 80.0)
ALONE_ROOM: Final = (54.0, 46.0)
"""Width and height on paper of the joint and of the plug alone, mm."""
SEATED_MIDDLE: Final = 68.0
ALONE_MIDDLE: Final = 40.0
NO_BREAK: Final = "\N{NO-BREAK SPACE}"
WORDS_ROOM: Final = 6.0
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


def section(
    plan: Plan, *, name: str = "section", seated_height: float = SEATED_ROOM[1], telling: bool = True
) -> Canvas:
    """The section drawing of a plan; all lengths follow from the plan's own numbers.

    ``seated_height`` is the room for the joint on paper, in mm; without ``telling`` the drawing leaves it to the page
    around it to say whether the plug seats.
    """
    facts = plan.facts
    half_width, stroke = _stroke(plan)
    cut = cross_section(facts, half_width, lift=facts.seat.lift if facts.seat is not None else 0.0)
    reasons = _headline(plan) if telling else []
    top = 14 + len(reasons) * LINE_HEIGHT + 9 if telling else 9.0
    seated = _seated_view(cut, top, (SEATED_ROOM[0], seated_height))
    second = seated.down(cut.base_thickness) + 12
    alone = _alone_view(cut, second + 5)
    height = max(alone.down(cut.plug_thickness) + 4, second + 5 + DETAIL + 3.4 + 1.5 * 1.2 * CAPTION)
    canvas = Canvas(
        name=name,
        title=f"{plan.job.title}: section of the joint",
        description=_description(plan, cut, stroke),
        width=WIDTH,
        height=height,
    )
    filled = fills(canvas)
    if telling:
        words = seat_words(plan)
        draw_sign(canvas, words.sign, (8, 8))
        canvas.text((15, 7.4), words.words, font_weight="bold", font_size=4.6)
    for number, line in enumerate(reasons):
        canvas.text((15, 11.6 + number * LINE_HEIGHT), line)
    heading = f"Seated, before levelling: {stroke} ({scale_text(seated.down.scale)})"
    canvas.text((4, top - 5), heading, font_weight="bold", font_size=HEADING)
    _seated(canvas, plan, cut, seated, filled)
    heading = f"Plug as cut, face up ({scale_text(alone.down.scale)})"
    canvas.text((4, second), heading, font_weight="bold", font_size=HEADING)
    _alone(canvas, plan, cut, alone, filled)
    unit, level = plan.job.unit, plan.job.joint.level_below
    detail_at_face(canvas, cut, filled, left=WIDTH - 2 * DETAIL - 6, top=second + 5, unit=unit, level=level)
    detail_at_foot(canvas, cut, filled, left=WIDTH - DETAIL - 1, top=second + 5, unit=unit)
    return canvas


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


def _seated_view(cut: CrossSection, top: float, room: tuple[float, float]) -> View:
    deep, half = cut.start_depth, cut.plug_at(cut.plug_face)
    web = _left_out(cut.plug_back, cut.plug_floor, 0.25 * deep, 0.5 * deep)
    under = _left_out(cut.pocket_floor, cut.base_thickness, 0.5 * deep, 0.25 * deep)
    return fitted_view(
        across=(-_side(cut), _side(cut)),
        down=(min(0.0, cut.plug_back, cut.plug_floor), max(cut.base_thickness, cut.pocket_floor)),
        hidden_across=_left_out(-half, half, 0.5 * deep, 0.5 * deep),
        hidden_down=(*web, *under),
        room=room,
        middle=SEATED_MIDDLE,
        top=top,
    )


def _alone_view(cut: CrossSection, top: float) -> View:
    deep, half = cut.start_depth, cut.plug_at(cut.plug_face)
    total = cut.start_depth + cut.depth_below_start
    return fitted_view(
        across=(-_side(cut), _side(cut)),
        down=(0.0, max(cut.plug_thickness, total)),
        hidden_across=_left_out(-half, half, 0.5 * deep, 0.5 * deep),
        hidden_down=_left_out(total, cut.plug_thickness, 0.5 * deep, 0.25 * deep),
        room=ALONE_ROOM,
        middle=ALONE_MIDDLE,
        top=top,
    )


def _headline(plan: Plan) -> list[str]:
    """Why the plug seats or not, and what of the whole job, in lines."""
    return [line for words in (seat_words(plan).reason, f"The whole job: {headline(plan)}")
            for line in wrapped(words, WIDTH - 20)]  # fmt: skip


def _seated(canvas: Canvas, plan: Plan, cut: CrossSection, view: View, filled: Fills) -> None:
    job, unit, side = plan.job, plan.job.unit, _side(cut)
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
    canvas.line((left - 3, level), (right + 1, level), group, stroke=LEVEL, stroke_width=0.45,
                stroke_dasharray=LEVEL_DASH, class_="level")  # fmt: skip
    middle = view.across(0)
    said = f"levelled here, {length_text(job.joint.level_below, unit)} below the face"
    if text_width(said, CAPTION) > right - left:
        said = "levelled here"
    halo(canvas, (middle, (view.down(cut.plug_floor) + level) / 2 - 0.6), said, group,
         colour=LEVEL, size=CAPTION)  # fmt: skip
    lifted = abs(view.down(0.0) - view.down(-cut.lift)) > SEEN
    if lifted:
        canvas.line((left, view.down(-cut.lift)), (right, view.down(-cut.lift)), group, stroke_width=0.25,
                    stroke_dasharray=START_DASH, class_="start")  # fmt: skip
    _name_woods(canvas, plan, cut, view, left, group)
    floor_words = "glue gap" if cut.full_depth else "at the V-bottom"
    chain = [
        _Stretch(name="plug_web", words="plug web", low=cut.plug_back, high=cut.plug_floor, check="plug-web"),
        _Stretch(name="surface_gap", words="surface gap", low=cut.plug_floor, high=0.0, check="surface-gap"),
        _Stretch(name="joint_depth", words="wood joined by the walls", low=0.0, high=cut.plug_face),
        _Stretch(name="glue_gap", words=floor_words, low=cut.plug_face, high=cut.pocket_floor, check="glue-gap"),
        _Stretch(name="base_floor", words="base left under it", low=cut.pocket_floor, high=cut.base_thickness,
                 check="base-floor"),
    ]  # fmt: skip
    dimension_chain(
        canvas, [_dimension(plan, entry, view) for entry in chain if entry.high - entry.low > EQUAL],
        x=right + 4, reach_from=right, room=WIDTH - right - 11, low=view.down(cut.plug_back) - 2,
        high=view.down(cut.base_thickness) + 8, parent=group,
    )  # fmt: skip
    above = _Stretch(name="above_face", words="above the face", low=cut.plug_back, high=0.0)
    deep = _Stretch(name="pocket_depth", words="pocket depth" if cut.full_depth else "cut", low=0.0,
                    high=cut.pocket_floor)  # fmt: skip
    upright = [entry for entry in (deep, above) if entry.high - entry.low > EQUAL]
    if lifted:
        words = "stays up" if cut.lift > 0 else "sinks"
        upright.append(_Stretch(name="lift", words=words, low=min(0.0, -cut.lift), high=max(0.0, -cut.lift)))
    # each in a column of its own, since its words may be longer than it is
    for number, entry in enumerate(upright):
        upright_dimension(canvas, _dimension(plan, entry, view), x=left - 5 - 6 * number, reach_from=left,
                          low=view.down(min(0.0, cut.plug_back, cut.plug_floor)) - 2,
                          high=view.down(cut.base_thickness) + 6, parent=group)  # fmt: skip


def _name_woods(
    canvas: Canvas, plan: Plan, cut: CrossSection, view: View, left: float, parent: ElementTree.Element
) -> None:
    """Part and wood, where there is room for words; what is in the way by its own name."""
    room = view.across(_side(cut)) - left - 3
    web = view.down(cut.plug_floor) - view.down(cut.plug_back)
    words = _wood("plug", plan.job.plug.wood.name, room)
    joined = view.down(cut.plug_face) - view.down(max(0.0, plan.job.joint.level_below))
    if web > WORDS_ROOM:
        # the words on levelling stand in the surface gap, and reach above a narrow one
        low = view.down(cut.plug_floor) - 2.2
        gap = view.down(plan.job.joint.level_below) - view.down(cut.plug_floor)
        halo(canvas, (left + 2, low - max(0.0, 4 - gap)), words, parent, anchor="start")
    elif joined > 2 * WORDS_ROOM:
        halo(canvas, (view.across(0), view.down(cut.plug_face) - 2.2), words, parent)
    in_the_way = max((-cut.opening(depth) for shape in overlaps(cut) for _, depth in shape), default=0.0)
    named = in_the_way * view.across.scale > NAMED
    at = view.down(cut.plug_face) - 7
    if named and at - view.down(plan.job.joint.level_below) > WORDS_ROOM - 2:
        # what the clamp crushes on the way to this lift, or what no clamp does
        home = seat_words(plan).sign in ("yes", "doubt")
        halo(canvas, (view.across(0), at), "wood crushed" if home else "wood in the way", parent, colour=OPEN)
    words = _wood("base", plan.job.base.wood.name, room)
    under = view.down(cut.base_thickness) - view.down(cut.pocket_floor)
    beside = text_width(words) < view.across(-cut.pocket[0][0]) - left
    y = view.down(cut.pocket_floor) + 4.4 if under > WORDS_ROOM else view.down(plan.job.joint.level_below) + 4.6
    if (under > WORDS_ROOM or beside) and not (named and abs(y - at) < WORDS_ROOM):
        halo(canvas, (left + 2, y), words, parent, anchor="start")


def _alone(canvas: Canvas, plan: Plan, cut: CrossSection, view: View, filled: Fills) -> None:
    side, total = _side(cut), cut.start_depth + cut.depth_below_start
    group = canvas.group(class_="alone", data_scale=view.down.scale)
    canvas.shape([[view(point) for point in plug_face_up(cut, side)]], group, class_="plug", fill=filled.plug,
                 stroke=INK, stroke_width=0.3)  # fmt: skip
    left, right = view.across(-side), view.across(side)
    start = view.down(cut.start_depth)
    canvas.line((left, start), (right, start), group, stroke_width=0.3, stroke_dasharray=START_DASH, class_="start")
    for x in (view.across(-cut.half_width), view.across(cut.half_width)):
        canvas.line((x, start - 1.2), (x, start + 1.2), group, stroke_width=0.35, class_="outline-edge")
    if not cut.full_depth:
        canvas.line((left, view.down(0)), (right, view.down(0)), group, stroke_width=0.2, stroke_dasharray="0.6 0.6")
    chain = [
        _Stretch(name="start_depth", words="start depth", low=0.0, high=cut.start_depth),
        _Stretch(name="depth_below_start", words="below start", low=cut.start_depth, high=total),
        _Stretch(name="plug_web", words="web", low=total, high=cut.plug_thickness, check="plug-web"),
    ]
    dimension_chain(
        canvas, [_dimension(plan, entry, view) for entry in chain if entry.high - entry.low > EQUAL],
        x=right + 3, reach_from=right, room=WIDTH - 2 * DETAIL - 13 - right, low=view.down(0) - 2,
        high=view.down(cut.plug_thickness) + 6, parent=group,
    )  # fmt: skip
    whole = _Stretch(name="plug_total_depth", words="in all", low=0.0, high=total)
    upright_dimension(canvas, _dimension(plan, whole, view), x=left - 4, reach_from=left, low=view.down(0) - 1,
                      high=view.down(cut.plug_thickness) + 4, parent=group)  # fmt: skip
    draw_breaks(canvas, view, (-side, side), (0.0, cut.plug_thickness), group)
    halo(canvas, (view.across(0), start - 0.9), "drawing's size", group, size=2.3)


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
    )


def _wood(part: str, name: str | None, room: float) -> str:
    """The part with its wood, where that has the room on paper."""
    words = part if name is None else f"{part}, {name}"
    return words if text_width(words) < room else part


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
