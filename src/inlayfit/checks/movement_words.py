"""How plug and pocket move against each other, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inlayfit.shop.wood_movement import WoodMovement


def movement_words(moved: WoodMovement, number: Callable[[float], str], *, drying: bool) -> str:
    """What the plug does against its pocket: both swell, or both shrink, one more than the other."""
    return f"the plug {'shrinks' if drying else 'swells'} {_by(moved.movement, number, drying=drying)} than its pocket"


def sawing_words(moved: WoodMovement, number: Callable[[float], str], *, drying: bool) -> str:
    """Both ends over how the boards may be sawn, in brackets; nothing where it makes no difference."""
    ends = [_by(end, number, drying=drying) for end in (moved.lowest, moved.highest)]
    if ends[0] == ends[1]:
        return ""
    # from the end that is told in the same words as the usual case
    first, last = ends if moved.movement < 0 else reversed(ends)
    return f" ({first} to {last} by how the boards are sawn)"


def _by(movement: float, number: Callable[[float], str], *, drying: bool) -> str:
    # below 0 the plug gets smaller against its pocket: it shrinks more, or swells less
    return f"{number(abs(movement))} {'more' if (movement < 0) == drying else 'less'}"
