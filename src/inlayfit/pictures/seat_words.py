"""Whether the plug seats, in a few words and with a sign that is told by its shape, not by its colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, cast
from xml.etree import ElementTree

from inlayfit.checks.finding import Finding, Verdict
from inlayfit.pictures.canvas import Canvas
from inlayfit.pictures.palette import INK, OPEN, PAPER
from inlayfit.plan import Plan
from inlayfit.report.wording import reasons_text

Sign = Literal["yes", "doubt", "no", "open"]


@dataclass(frozen=True, kw_only=True)
class SeatWords:
    """The sign, the short words and the reason."""

    sign: Sign
    words: str
    reason: str


SEATING: Final = ("seat", "cone-reach", "glue-gap", "surface-gap")
"""Checks that say whether the plug comes home."""


def seat_words(plan: Plan) -> SeatWords:
    """Of a plan's seat; where it was not looked at and nothing else speaks against it, that."""
    found = [entry for entry in (finding(plan, name) for name in SEATING) if entry is not None]
    for status, sign, words in (
        ("fail", "no", "The plug does not seat"),
        ("doubtful", "doubt", "The plug seats, in doubt"),
    ):
        reasons = [reasons_text(entry, plan.job.unit) for entry in found if entry.status == status]
        if reasons:
            return SeatWords(sign=cast(Sign, sign), words=words, reason="; ".join(reasons))
    if plan.facts.seat is None:
        return SeatWords(
            sign="open", words="Where the plug seats is not checked", reason="drawn as programmed, all the way home"
        )
    return SeatWords(sign="yes", words="The plug seats", reason=reasons_text(found[0], plan.job.unit))


def job_sign(plan: Plan) -> Sign:
    """The sign of the whole job: any check that fails or is in doubt gives it, not only the seat's."""
    signs: dict[Verdict, Sign] = {"does not fit": "no", "doubtful": "doubt", "fits": seat_words(plan).sign}
    return signs[plan.verdict]


def finding(plan: Plan, name: str) -> Finding | None:
    """The finding of one check."""
    return next((entry for entry in plan.findings if entry.id == name), None)


def draw_sign(canvas: Canvas, sign: Sign, at: tuple[float, float], parent: ElementTree.Element | None = None) -> None:
    """A disc with a tick, a triangle with a stroke, a square with a cross, or an empty ring; 7 mm across."""
    x, y = at
    group = canvas.group(parent, class_="sign", data_sign=sign)
    if sign == "yes":
        canvas.add("circle", group, cx=x, cy=y, r=3.5, fill=INK)
        canvas.shape([[(x - 1.7, y + 0.1), (x - 0.4, y + 1.5), (x + 1.9, y - 1.5)]], group, closed=False, fill="none",
                     stroke=PAPER, stroke_width=1.0, stroke_linecap="round")  # fmt: skip
    elif sign == "doubt":
        canvas.shape([[(x, y - 3.6), (x + 3.9, y + 3.2), (x - 3.9, y + 3.2)]], group, fill=PAPER, stroke=INK,
                     stroke_width=0.9, stroke_linejoin="round")  # fmt: skip
        for top, bottom in ((-1.2, 0.9), (2.2, 2.25)):
            canvas.line((x, y + top), (x, y + bottom), group, stroke_width=1.0, stroke_linecap="round")
    elif sign == "no":
        canvas.add("rect", group, x=x - 3.4, y=y - 3.4, width=6.8, height=6.8, fill=OPEN)
        for rise in (-1.9, 1.9):
            canvas.line((x - 1.9, y - rise), (x + 1.9, y + rise), group, stroke=PAPER, stroke_width=1.0,
                        stroke_linecap="round")  # fmt: skip
    else:
        canvas.add("circle", group, cx=x, cy=y, r=3.1, fill="none", stroke=INK, stroke_width=0.8,
                   stroke_dasharray="1.6 1.2")  # fmt: skip
