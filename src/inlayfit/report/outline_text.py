"""What a written outline holds, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlayfit.quantity import MM_PER_UNIT, LengthUnit, length_text
from inlayfit.report.layout import place_text, wrapped

if TYPE_CHECKING:
    from inlayfit.outline.easing import Eased
    from inlayfit.outline.part_outline import PartOutline
    from inlayfit.outline.regions import Outline


def written_outline(name: str, drawn: PartOutline, unit: LengthUnit, *, border: float, notes: tuple[str, ...]) -> str:
    """Lines on a file that was written: part, size, counts; ``border`` in mm."""
    low_x, low_y, high_x, high_y = drawn.outline.bounds
    size = f"{length_text(high_x - low_x, unit, with_unit=False)} x {length_text(high_y - low_y, unit)}"
    points = sum(len(ring) for _, ring in drawn.outline.rings())
    counts = f"{_count(len(drawn.outline.regions), 'region')} with {_count(drawn.outline.holes, 'hole')}"
    part = drawn.part if drawn.part == "pocket" else "plug, mirrored"
    lines = [f"{name}: {part}: {size}, {counts}, {points:,} points"]
    if drawn.border:
        lines.append(f"Border {length_text(border, unit)} wide, drawn as a line of its own.")
    for note in notes:
        lines += wrapped("Note: ", note)
    return "\n".join(lines) + "\n"


def easing_words(found: Eased, before: Outline, unit: LengthUnit, *, opened_by: float, closed_by: float) -> str:
    """Lines on what easing changed, and where most; radii in mm."""
    low_x, low_y, _, _ = before.bounds
    radii = length_text(opened_by, unit)
    if closed_by != opened_by:
        radii += f" outside, {length_text(closed_by, unit)} inside"
    if opened_by == closed_by == 0:
        return "Nothing rounded: the bits come to a point.\n"
    if found.most is None:
        return f"Nothing to round with a tip radius of {radii}.\n"
    share = (found.added + found.taken) / before.area.area

    def area(value: float) -> str:
        return f"{value / MM_PER_UNIT[unit] ** 2:.3g} {unit}2"

    at = place_text(found.most.at, (low_x, low_y), unit)
    did = "added" if found.most.added else "taken away"
    lines = wrapped(
        "",
        f"Rounded by the tip radius, {radii}: {area(found.added)} added and {area(found.taken)} taken away, "
        f"{100 * share:.2g} % of the area; most at {at}, where {area(found.most.area)} was {did} (from the lower left "
        "of the outline, as seen on the finished face).",
    )
    if found.regions_lost:
        lines.append(f"{_count(found.regions_lost, 'region')} narrower than the tip left out.")
    lines.append("Points are then cut as drawn; what touches first is rounded at inner corners only.")
    return "\n".join(lines) + "\n"


def _count(number: int, one: str) -> str:
    return f"{number} {one}" + ("" if number == 1 else "s")
