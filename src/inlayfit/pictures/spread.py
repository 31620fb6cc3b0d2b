"""What the shop's tolerances make of the joint: its gaps on lines to scale, with their limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree

from inlayfit.checks.depth_checks import GLUE_GAP, SURFACE_GAP
from inlayfit.joint.limits import JOINT_LINE
from inlayfit.pictures import palette
from inlayfit.pictures.canvas import TEXT_SIZE, Canvas, wrapped
from inlayfit.pictures.legend import SMALL, Entry, draw_legend
from inlayfit.pictures.scale import round_length
from inlayfit.plan import Plan
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text
from inlayfit.report.wording import per_cent, say
from inlayfit.tolerance.stack import Contribution, Drawn, Name, Stack

WIDTH: Final = 180.0
HEADING: Final = 3.3
LEFT, ACROSS = 38.0, 134.0
"""Where the lines begin, and how long they are, in mm."""
BLOCK: Final = 23.0
TICKS: Final = 8
SHOWN: Final[tuple[tuple[Name, str], ...]] = (
    ("glue_gap", "Glue gap"),
    ("joint_line", "Joint line"),
    ("surface_gap", "Surface gap"),
    ("lift", "Stands proud by"),
)
MOST_SOURCES: Final = 5
LEAST_SHARE: Final = 0.02


@dataclass(frozen=True, kw_only=True)
class _Zone:
    """A stretch of a line where a check fails or is in doubt, mm; open ends are infinite."""

    low: float
    high: float
    status: str


def spread(plan: Plan, *, name: str = "spread") -> Canvas | None:
    """The stack of a plan; None where there is none."""
    stack = plan.facts.stack
    if stack is None:
        return None
    canvas = Canvas(name=name, title=f"{plan.job.title}: the joint within the shop's tolerances",
                    description=_description(plan, stack), width=WIDTH, height=1)  # fmt: skip
    fills = {
        "fail": canvas.hatch("fail", angle=45, apart=1.1, width=0.45, colour=palette.OPEN, ground=palette.PAPER),
        "doubtful": canvas.hatch("doubt", angle=-45, apart=1.8, width=0.25, colour=palette.LEFT_TO_V_MARK,
                                 ground=palette.PAPER),
    }  # fmt: skip
    canvas.text((4, 6), f"Within the shop's tolerances ({plan.job.unit})", font_weight="bold", font_size=HEADING)
    y = 14.0
    if stack.drawn is not None:
        y = _pairs(canvas, stack.drawn, y) + 6
    for quantity, words in SHOWN:
        _line(canvas, plan, stack, quantity, words, y, fills)
        y += BLOCK
    likely = "19 of 20 pairs" if stack.drawn is not None else "likely"
    y += draw_legend(
        canvas,
        [
            Entry(words="nominal", stroke=palette.INK, stroke_width=0.9),
            Entry(words=likely, fill=palette.GLUE),
            Entry(words="worst case", stroke=palette.INK, stroke_width=0.35),
            Entry(words="the check fails", fill=fills["fail"]),
            Entry(words="the check is in doubt", fill=fills["doubtful"]),
        ],
        (LEFT, y), WIDTH - LEFT - 4, columns=3,
    )  # fmt: skip
    y = _sources(canvas, stack.contributions, plan.job.unit, y + 6)
    canvas.resize(y + 2)
    return canvas


def zones(plan: Plan, quantity: Name) -> tuple[_Zone, ...]:
    """Where the checks of one quantity fail or are in doubt."""
    limits = plan.job.limits
    if quantity == "glue_gap":
        low, high = limits[GLUE_GAP]
        return (
            _Zone(low=-math.inf, high=0.0, status="fail"),
            _Zone(low=0.0, high=low, status="doubtful"),
            _Zone(low=high, high=math.inf, status="doubtful"),
        )
    if quantity == "surface_gap":
        return (
            _Zone(low=-math.inf, high=0.0, status="fail"),
            _Zone(low=0.0, high=limits[SURFACE_GAP], status="doubtful"),
        )
    if quantity == "joint_line":
        return (_Zone(low=limits[JOINT_LINE], high=math.inf, status="fail"),)
    return ()


def _line(
    canvas: Canvas, plan: Plan, stack: Stack, quantity: Name, words: str, top: float, fills: dict[str, str]
) -> None:
    """One quantity: a scale with its zones, the worst case, the likely ends and what it should be."""
    unit, entry = plan.job.unit, stack.quantities[quantity]
    likely = stack.drawn.p95[quantity] if stack.drawn is not None else entry.rss
    ends = [0.0, entry.nominal, *entry.worst, *likely]
    ends += [end for zone in zones(plan, quantity) for end in (zone.low, zone.high) if math.isfinite(end)]
    low, high = min(ends), max(ends)
    margin = 0.06 * (high - low) if high > low else 1.0
    low, high = low - margin, high + margin
    scale = ACROSS / (high - low)

    def x(value: float) -> float:
        return LEFT + scale * (min(max(value, low), high) - low)

    group = canvas.group(class_="quantity", data_name=quantity, data_scale=scale, data_low=f"{low:.6f}")
    canvas.text((4, top + 5), words, group, font_weight="bold")
    canvas.text((4, top + 9), length_text(entry.nominal, unit), group)
    for zone in zones(plan, quantity):
        canvas.add("rect", group, x=x(zone.low), y=top, width=x(zone.high) - x(zone.low), height=10,
                   fill=fills[zone.status], class_=f"zone {zone.status}")  # fmt: skip
    canvas.line((x(entry.worst[0]), top + 5), (x(entry.worst[1]), top + 5), group, stroke_width=0.35, class_="worst")
    for end in entry.worst:
        canvas.line((x(end), top + 2.6), (x(end), top + 7.4), group, stroke_width=0.35)
    canvas.add("rect", group, x=x(likely[0]), y=top + 3.2, width=max(0.3, x(likely[1]) - x(likely[0])), height=3.6,
               fill=palette.GLUE, class_="likely")  # fmt: skip
    canvas.line((x(entry.nominal), top + 0.8), (x(entry.nominal), top + 9.2), group, stroke_width=0.9, class_="nominal")
    canvas.line((LEFT, top + 10), (LEFT + ACROSS, top + 10), group, stroke_width=0.25)
    step = MM_PER_UNIT[unit] * round_length((high - low) / MM_PER_UNIT[unit] / (TICKS / 2))
    for number in range(math.ceil(low / step), math.floor(high / step) + 1):
        at = x(number * step)
        canvas.line((at, top + 10), (at, top + 11.2), group, stroke_width=0.25)
        canvas.text((at, top + 14), _tick_words(quantity, number * step, unit), group, text_anchor="middle",
                    font_size=SMALL)  # fmt: skip


def _tick_words(quantity: Name, value: float, unit: LengthUnit) -> str:
    """A number of the scale; below home a plug has sunk, and no minus is written for it."""
    if quantity == "lift" and value < 0:
        return f"{length_text(-value, unit, with_unit=False)} sunk"
    return length_text(value, unit, with_unit=False)


def _shares(drawn: Drawn) -> list[tuple[str, float, str]]:
    """What became of the pairs: words, share, and how it is filled."""
    found = [
        ("sit tight on their sides", drawn.seats_on_walls, palette.CLEARED),
        ("end on the floor", drawn.bottoms_out, palette.LEFT_TO_V),
        ("are held up by corners and strokes", drawn.held_up, palette.V_BOTTOM),
        ("end with the plug's own floor on the base", drawn.on_own_floor, palette.OPEN),
    ]
    return [entry for entry in found if entry[1] > 0]


def _pairs(canvas: Canvas, drawn: Drawn, top: float) -> float:
    """A bar of all trial pairs, divided by where their plugs come to rest; where it ends."""
    group = canvas.group(class_="pairs")
    canvas.text((4, top + 3.4), f"{drawn.count:,} trial pairs", group, font_weight="bold")
    x, y = LEFT, top + 9.0
    shares = _shares(drawn)
    whole = sum(share for _, share, _ in shares)
    for _, share, fill in shares:
        wide = ACROSS * share / whole
        canvas.add("rect", group, x=x, y=top, width=wide, height=5, fill=fill, stroke=palette.INK, stroke_width=0.3,
                   class_="share", data_share=f"{share:.6f}")  # fmt: skip
        x += wide
    for line in wrapped("; ".join(f"{per_cent(share)} {words}" for words, share, _ in shares), ACROSS):
        canvas.text((LEFT, y), line, group)
        y += 1.25 * TEXT_SIZE
    return y


def _sources(canvas: Canvas, contributions: Sequence[Contribution], unit: LengthUnit, top: float) -> float:
    """What the lift's spread comes from, the most first; where it ends."""
    shares = sorted(((entry.shares["lift"], say(entry.source.what, unit)) for entry in contributions), reverse=True)
    told = [(share, words) for share, words in shares[:MOST_SOURCES] if share >= LEAST_SHARE]
    if not told:
        return top
    canvas.text((4, top), "What makes it stand proud or sink", font_weight="bold", font_size=HEADING)
    y = top + 3
    for share, words in told:
        _share_bar(canvas, share, words, y)
        y += 5.2
    return y


def _share_bar(canvas: Canvas, share: float, words: str, top: float) -> ElementTree.Element:
    group = canvas.group(class_="source", data_share=f"{share:.6f}")
    canvas.add("rect", group, x=LEFT, y=top, width=50 * share, height=3.6, fill=palette.FAINT)
    canvas.text((LEFT - 2, top + 2.8), per_cent(share), group, text_anchor="end", font_size=SMALL)
    canvas.text((LEFT + 53, top + 2.8), words, group, font_size=SMALL)
    return group


def _description(plan: Plan, stack: Stack) -> str:
    """What the drawing shows, for whoever has it read out."""
    unit = plan.job.unit
    parts = []
    for quantity, words in SHOWN:
        entry = stack.quantities[quantity]
        low, high = (length_text(end, unit) for end in entry.worst)
        parts.append(f"{words} {length_text(entry.nominal, unit)}, worst case {low} to {high}")
    if stack.drawn is not None:
        parts.append(", ".join(f"{per_cent(share)} of pairs {words}" for words, share, _ in _shares(stack.drawn)))
    return f"{'. '.join(parts)}."
