"""The bench card: a page to print and pin up, with the depths in large type, boxes to tick and the drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from inlayfit.pictures import card_bench, card_bits, card_parts, card_passes
from inlayfit.pictures.card_style import STYLE
from inlayfit.pictures.html import Element, html, page, put
from inlayfit.pictures.section import small_section
from inlayfit.plan import Plan

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

SIDE: Final = 255.0
"""Height in mm that a side of A4 and of Letter both have for print."""
LEAST_OUTLINE, MOST_OUTLINE = 30.0, 120.0
DENSE: Final = 1.1
"""A first side that would be higher than this many sides gets the smallest type."""
FIGURE: Final = 2.0
"""Margin above a drawing, mm."""


@dataclass(frozen=True, kw_only=True)
class CardInput:
    """One sheet's plan, with its outline and the name under which the sheet was read."""

    plan: Plan
    outline: Outline | None
    sheet: str


def card(entries: Sequence[CardInput]) -> str:
    """A page with one card for each entry, as HTML that needs nothing else."""
    titles = ", ".join(dict.fromkeys(entry.plan.job.title for entry in entries))
    root, body = page(f"Bench card: {titles}", STYLE)
    for number, entry in enumerate(entries, start=1):
        _card(put(body, "article", class_="card"), entry, f"card{number}")
    return html(root)


def _card(body: Element, entry: CardInput, name: str) -> None:
    """All numbers on the first side, what else the bench asks for and the drawings on the second."""
    plan = entry.plan
    to_cut = plan.verdict != "does not fit"
    front = put(body, "div", class_="front")
    used = card_parts.head(front, plan, name, entry.sheet)
    if not to_cut:
        used += card_parts.stop(front) + card_parts.attention(front, plan)
    used += card_parts.depths(front, plan, to_cut=to_cut)
    used += card_bits.bits(front, plan)
    used += card_passes.schedule(front, plan, to_cut=to_cut)
    if to_cut:
        used += card_bench.programmes(front, plan, entry.sheet)
        pair = put(front, "div", class_="two")
        used += max(card_bench.touch_off(pair, plan), card_bench.dry_fit(pair, plan, entry.sheet))
        used += card_bench.gluing(front, plan)
    if used > SIDE:
        front.set("class", "front dense" if used < DENSE * SIDE else "front dense denser")
    back = put(body, "div", class_="back")
    used = card_parts.attention(back, plan) if to_cut else 0.0
    drawings = put(back, "section")
    used += card_parts.safety(back, plan)
    _drawings(drawings, entry, name, SIDE - used)


def _drawings(part: Element, entry: CardInput, name: str, room: float) -> None:
    """The section, the plan of the outline as large as the rest of the room allows, its rings' words, the boards."""
    plan, outline = entry.plan, entry.outline
    joint = small_section(plan, name=f"{name}-section")
    put(part, "figure").append(joint.root)
    if outline is None:
        return
    # imported late: they bring shapely, which a sheet without an outline does without
    from inlayfit.pictures.boards import boards
    from inlayfit.pictures.outline_plan import OVERHEAD, outline_plan

    numbers = Element("div")
    room -= joint.height + FIGURE + card_parts.rings(numbers, plan) + OVERHEAD + FIGURE
    boards_drawn = boards(plan, name=f"{name}-boards", small=True)
    if boards_drawn is not None:
        room -= boards_drawn.height + FIGURE
    height = min(max(LEAST_OUTLINE, room), MOST_OUTLINE)
    put(part, "figure").append(outline_plan(plan, outline, name=f"{name}-outline", height=height, telling=False).root)
    part.append(numbers)
    if boards_drawn is not None:
        put(part, "figure").append(boards_drawn.root)
