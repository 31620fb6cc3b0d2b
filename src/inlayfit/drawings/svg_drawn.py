"""What an SVG drawing draws: shapes placed on the page, their strokes, what they are clipped by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inlayfit.drawings.svg_frame import Affine
from inlayfit.drawings.svg_path import PathOutline

Cap = Literal["butt", "round", "square"]
Join = Literal["miter", "round", "bevel"]


@dataclass(frozen=True)
class Stroke:
    """A stroke in the units of its path: width, the shape of its ends and corners, and SVG's mitre limit."""

    width: float
    cap: Cap
    join: Join
    miter_limit: float


@dataclass(frozen=True)
class DrawnShape:
    """A fill or a stroke that counts.

    Its path, where that goes in px, its fill rule; what messages call it, its colour, what it is clipped by; its
    stroke, None for a fill; whether nothing shows through it.
    """

    path: PathOutline
    to_px: Affine
    even_odd: bool
    label: str = ""
    colour: str = ""
    clips: tuple[Clip, ...] = ()
    stroke: Stroke | None = None
    opaque: bool = True


@dataclass(frozen=True, eq=False)
class Clip:
    """What of a drawing is shown: the area of shapes put together in their order, of which some cut."""

    shapes: tuple[DrawnShape, ...]
    cutting: tuple[bool, ...] = ()
    """Which of the shapes cut; empty where none does."""
