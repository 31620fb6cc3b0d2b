"""What of a drawing counts, where the user chose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.quantity import LengthUnit

Take = Literal["filled", "closed", "strokes", "all"]

JOIN: Final = 0.005
"""Ends of lines that lie this near, in mm at the final size, are one end."""

MOST_JOIN: Final = 0.508
"""The most that ``join`` may be, in mm (0.02 in): wider openings show, and how to bridge them is the draughtsman's."""


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What to take of a drawing.

    Filled areas, all of them whatever their colours, strokes beside them, or closed lines; layers of a DXF, fill
    colours of an SVG, its page alone; how wide an opening between ends of lines is joined, in mm at the final size.
    Without a choice everything that is shown counts.
    """

    take: Take | None = None
    layers: tuple[str, ...] = ()
    colours: tuple[str, ...] = ()
    clip_page: bool = False
    join: float = JOIN
    unit: LengthUnit = "mm"
    """What openings are told in."""


EVERYTHING = Choice()
