"""The bench card: a page to print and pin up, with the depths in large type, boxes to tick and the drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from inlayfit.pictures import card_parts
from inlayfit.pictures.card_style import STYLE
from inlayfit.pictures.html import Element, html, page, put
from inlayfit.pictures.section import section
from inlayfit.plan import Plan

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

SIDE: Final = 255.0
"""Height in mm that a side of A4 and of Letter both have for print."""
SECTION_HEIGHT, LEAST_SECTION = 52.0, 26.0
LEAST_OUTLINE, MOST_OUTLINE = 34.0, 120.0
RINGS_ELSEWHERE: Final = "What the numbers in rings are is in the report of inlayfit plan."
HEADING: Final = 17.0
"""Height of the drawings' heading and margins, mm."""


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
    plan = entry.plan
    used = card_parts.head(body, plan, name, entry.sheet)
    used += card_parts.depths(body, plan)
    used += card_parts.schedule(body, plan)
    pair = put(body, "div", class_="two")
    used += max(card_parts.touch_off(pair, plan), card_parts.dry_fit(pair, plan, entry.sheet))
    used += card_parts.attention(body, plan)
    cautions = card_parts.safety(body, plan)
    # words that are too long for the first side end on the second, and cautions are not divided between them; the
    # drawings are as large as the rest of the second allows
    words = max(0.0, used - SIDE) + (cautions if used + cautions > SIDE else 0.0)
    drawings = put(body, "section")
    put(drawings, "h2", "Drawings")
    room = SIDE - words - HEADING
    joint = section(plan, name=f"{name}-section", seated_height=SECTION_HEIGHT, telling=False)
    if entry.outline is None:
        put(drawings, "figure").append(joint.root)
        return
    # imported late: it brings shapely, which a sheet without an outline does without
    from inlayfit.pictures.outline_plan import OVERHEAD, outline_plan

    numbers = Element("div")
    told = card_parts.rings(numbers, plan)
    room -= told
    if room - joint.height - OVERHEAD < LEAST_OUTLINE:
        joint = section(plan, name=f"{name}-section", seated_height=LEAST_SECTION, telling=False)
    if told and room - joint.height - OVERHEAD < LEAST_OUTLINE:
        # no side is left for them: the report has them in full
        numbers = Element("div")
        put(numbers, "p", RINGS_ELSEWHERE)
    put(drawings, "figure").append(joint.root)
    height = min(max(LEAST_OUTLINE, room - joint.height - OVERHEAD), MOST_OUTLINE)
    shown = outline_plan(plan, entry.outline, name=f"{name}-outline", height=height, telling=False)
    put(drawings, "figure").append(shown.root)
    drawings.append(numbers)
