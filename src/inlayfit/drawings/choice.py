"""What of a drawing counts, where the user chose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Take = Literal["filled", "closed"]


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What to take of a drawing: filled areas or closed lines, layers of a DXF, fill colours of an SVG.

    Without a choice everything that is shown counts.
    """

    take: Take | None = None
    layers: tuple[str, ...] = ()
    colours: tuple[str, ...] = ()


EVERYTHING = Choice()
