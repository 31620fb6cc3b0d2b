"""Two magnified looks at the wall: where it meets the base's face, and at its foot."""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.canvas import Canvas, wrapped
from inlayfit.pictures.cross_section import CrossSection
from inlayfit.pictures.dimension import Dimension, measured
from inlayfit.pictures.joint_shapes import Fills, seated_shapes
from inlayfit.pictures.palette import INK, LEVEL, LEVEL_DASH, OPEN, PAPER, START_DASH
from inlayfit.pictures.scale import Axis, View, magnification
from inlayfit.quantity import LengthUnit, length_text

DETAIL: Final = 34.0
"""Side of a detail on paper, mm."""
CAPTION: Final = 2.6
GAP_ON_PAPER: Final = 10.0
CLOSED: Final = 50.0
"""How many times as large a closed joint is shown."""
VISIBLE: Final = 0.005
"""A gap of less, in mm, is written as 0 and shown as closed."""


def detail_at_face(
    canvas: Canvas, cut: CrossSection, fills: Fills, *, left: float, top: float, unit: LengthUnit, level: float
) -> float:
    """The joint line, where the wall meets the base's face; where its words end on paper."""
    opening = cut.opening(0.0)
    times = magnification(opening, GAP_ON_PAPER) if opening > VISIBLE else CLOSED
    if opening > VISIBLE:
        words = f"joint line {length_text(opening, unit)}, before levelling"
    elif opening < -VISIBLE:
        words = f"joint closed, the wood crushed by {length_text(-opening, unit)}"
    else:
        words = "joint closed, wood on wood"
    edge = cut.pocket[0][0]
    view = _view((edge, 0.0), times, left, top)
    lines = [
        (depth, colour, dash, said)
        for depth, colour, dash, said in (
            (level, LEVEL, LEVEL_DASH, "long dashes: levelled here"),
            (-cut.lift, INK, START_DASH, "short dashes: plug's start plane"),
        )
        if abs(depth) > VISIBLE and top < view.down(depth) < top + DETAIL
    ]
    words = "; ".join([words, *(said for *_, said in lines)])
    group, end = _detail(canvas, cut, fills, view, "face", f"At the face ({times:g}:1)", words, left, top)
    for depth, colour, dash, _ in lines:
        y = view.down(depth)
        canvas.line((left, y), (left + DETAIL, y), group, stroke=colour, stroke_width=0.35, stroke_dasharray=dash)
    if opening > VISIBLE:
        y, ends = view.down(0.0) - 2.0, (view.across(edge - opening), view.across(edge))
        line = canvas.group(group, class_="dimension", data_name="opening", data_mm=f"{opening:.6f}")
        for x in ends:
            canvas.line((x, y - 1), (x, view.down(0.0)), line, stroke=OPEN, stroke_width=0.2, class_="reference")
        canvas.line((ends[0], y), (ends[1], y), line, stroke=OPEN, stroke_width=0.4, class_="measure")
    return end


def detail_at_foot(
    canvas: Canvas, cut: CrossSection, fills: Fills, *, left: float, top: float, unit: LengthUnit
) -> float:
    """The glue gap, between the plug's face and the pocket's floor; where its words end on paper."""
    gap = cut.pocket_floor - cut.plug_face
    times = magnification(gap, GAP_ON_PAPER) if gap > VISIBLE else CLOSED
    where = "wall's foot" if cut.full_depth else "V's bottom"
    view = _view((cut.plug_at(cut.plug_face), cut.pocket_floor - gap / 2), times, left, top)
    words = f"glue gap {length_text(gap, unit)}" if gap > VISIBLE else "no glue gap, wood on wood"
    group, end = _detail(canvas, cut, fills, view, "foot", f"At the {where} ({times:g}:1)", words, left, top)
    if gap > VISIBLE:
        x = left + DETAIL / 4 if cut.full_depth else left + DETAIL / 2
        entry = Dimension(
            name="glue_gap_detail", length=gap, top=view.down(cut.plug_face), bottom=view.down(cut.pocket_floor),
            words=words,
        )  # fmt: skip
        measured(canvas, entry, x, x, group)
    return end


def _view(centre: tuple[float, float], times: float, left: float, top: float) -> View:
    return View(
        across=Axis(origin=left + DETAIL / 2 - times * centre[0], scale=times),
        down=Axis(origin=top + DETAIL / 2 - times * centre[1], scale=times),
    )


def _detail(
    canvas: Canvas, cut: CrossSection, fills: Fills, view: View, name: str, heading: str, words: str,
    left: float, top: float,
) -> tuple[ElementTree.Element, float]:  # fmt: skip
    """The joint seen through a square window, its heading above and its caption below; the window, where that ends."""
    canvas.text((left, top - 1.6), heading, font_weight="bold", font_size=CAPTION)
    window = canvas.window(f"{name}-window", (left, top), DETAIL, DETAIL)
    group = canvas.group(clip_path=window, class_=f"detail {name}", data_scale=view.down.scale)
    canvas.add("rect", group, x=left, y=top, width=DETAIL, height=DETAIL, fill=PAPER)
    # far enough to both sides for the ends of the wood to lie outside the window
    side = cut.plug[0][0] + DETAIL / view.down.scale + 1.0
    for kind, shape in seated_shapes(cut, side):
        canvas.shape([[view(point) for point in shape]], group, class_=kind, fill=fills.of(kind), stroke=INK,
                     stroke_width=0.3)  # fmt: skip
    canvas.add("rect", x=left, y=top, width=DETAIL, height=DETAIL, fill="none", stroke=INK, stroke_width=0.4)
    lines = wrapped(words, DETAIL + 5, CAPTION)
    for number, line in enumerate(lines):
        canvas.text((left, top + DETAIL + 3.4 + number * 1.2 * CAPTION), line, font_size=CAPTION)
    return group, top + DETAIL + 3.4 + (len(lines) - 1) * 1.2 * CAPTION
