"""The bench card's bits: what each is, and how it is run."""

from __future__ import annotations

from typing import Final

from inlayfit.cutters import Cutter
from inlayfit.joint.job import Feed
from inlayfit.pictures.card_parts import HEADING, LINE, lines_of
from inlayfit.pictures.html import Element, put, table
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit, length_text
from inlayfit.report.bit_text import fine

TABLE_HEAD, ROW = 5.0, 4.6
NAME: Final = 36.0
SIZE: Final = 58.0
"""Widths of columns, mm."""


def bits(body: Element, plan: Plan) -> float:
    """A row for each bit with its size, stepover, most depth of a pass and feeds. Height in print, mm."""
    unit = plan.job.unit
    part = put(body, "section")
    put(part, "h2", f"Bits ({unit})")
    feeds = any(feed is not None for _, _, feed in bits_of(plan))
    head = ["bit", "is", "for", "stepover", "most a pass"] + (["feed, plunge a minute"] if feeds else [])
    rows: list[list[str | Element]] = []
    high = HEADING + TABLE_HEAD
    for bit, uses, feed in bits_of(plan):
        cells = [bit.name, size_words(bit, unit), ", ".join(uses), short(bit.stepover, unit),
                 short(bit.depth_of_cut, unit)]  # fmt: skip
        rows.append([*cells, *([_feed_words(feed, plan)] if feeds else [])])
        high += ROW + (max(lines_of(cells[0], NAME), lines_of(cells[1], SIZE), lines_of(cells[2], 40)) - 1) * LINE
    table(part, "", head, rows, kind="bits")
    return high


def bits_of(plan: Plan) -> list[tuple[Cutter, list[str], Feed | None]]:
    """Each bit that cuts, in the order of the work, with what it is for and its feeds."""
    job, uses = plan.job, dict[int, list[str]]()
    feeds, found = job.feeds, list[tuple[Cutter, Feed | None]]()
    roles: list[tuple[Cutter | None, str, Feed | None]] = [
        *((bit, "clearing", feeds and feeds.clearing) for bit in job.bits.clearing),
        *(
            [(job.bits.pocket_v, "both walls", feeds and feeds.v)]
            if job.bits.one_v
            else [
                (job.bits.pocket_v, "the pocket's walls", feeds and feeds.v),
                (job.bits.plug_v, "the plug's walls", feeds and feeds.v),
            ]
        ),
        (job.bits.cut_out if job.plug.cut_out else None, "cut-out", feeds and (feeds.cut_out or feeds.clearing)),
        (job.bits.levelling, "levelling", feeds and (feeds.levelling or feeds.clearing)),
    ]
    for bit, use, feed in roles:
        if bit is None:
            continue
        place = next((number for number, entry in enumerate(found) if entry == (bit, feed)), None)
        if place is None:
            place = len(found)
            found.append((bit, feed))
        uses.setdefault(place, []).append(use)
    return [(bit, uses[number], feed) for number, (bit, feed) in enumerate(found)]


def short(mm: float, unit: LengthUnit) -> str:
    """A size without the zeros behind it: 0.0625 and 6.

    >>> short(1.5875, "in"), short(6.0, "mm"), short(0.0998, "mm")
    ('0.0625', '6', '0.1')
    """
    return fine(mm, unit).rstrip("0").rstrip(".")


def size_words(bit: Cutter, unit: LengthUnit) -> str:
    """Angle, tip and diameter of a V-bit, declared and as it measures; diameter and corner of another."""
    diameter = f"{short(bit.diameter, unit)} diameter"
    shape, real = bit.shape, bit.real
    if not bit.tapers:
        return f"{diameter}, corner radius {short(shape.rounding, unit)}" if shape.rounding else diameter

    def told(angle: float, tip: float, ball: float) -> str:
        if ball:
            return f"{angle:g} deg, ball radius {short(ball, unit)}"
        return f"{angle:g} deg, tip {short(2 * tip, unit)}" if tip else f"{angle:g} deg, sharp point"

    words = f"{told(shape.angle, shape.tip_radius, shape.rounding)}, {diameter}"
    if real != shape:
        words += f"; measures {told(round(real.angle, 2), real.tip_radius, real.rounding)}"
    return words


def _feed_words(feed: Feed | None, plan: Plan) -> str:
    if feed is None:
        return "not given"
    numbers = [feed.along, *([feed.plunge] if feed.plunge is not None else [])]
    unit = plan.job.unit
    return ", ".join(length_text(number, unit, with_unit=False, digits=1).removesuffix(".0") for number in numbers)
