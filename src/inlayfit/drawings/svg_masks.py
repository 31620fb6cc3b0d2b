"""Masks of an SVG drawing that are plain shapes: the white ones show, the black ones over them hide."""

from __future__ import annotations

from inlayfit.drawings.svg_drawn import Clip, DrawnShape
from inlayfit.drawings.svg_found import Found
from inlayfit.drawings.svg_frame import Affine, Page, length_px
from inlayfit.drawings.svg_path import PathOutline
from inlayfit.drawings.svg_tree import Node
from inlayfit.errors import InputError

_SIDES = ("x", "y", "width", "height")
_USUAL = ("-10%", "-10%", "120%", "120%")
_WHOLE = (_USUAL, ("0", "0", "1", "1"), ("0", "0", "100%", "100%"), ("0%", "0%", "100%", "100%"))
_WHITE, _BLACK = "#ffffff", "#000000"


def refuse_other_masks(node: Node, look: dict[str, str]) -> None:
    """Refuse with ``InputError`` a mask that is measured by the shape it masks, or masked itself."""
    get = node.attributes.get
    if get("maskContentUnits", "userSpaceOnUse") != "userSpaceOnUse" or "mask" in look or "clip-path" in look:
        raise InputError("it is of a kind of its own")
    if get("maskUnits") != "userSpaceOnUse":  # also where the name is none
        sides = tuple(get(name, usual).strip() for name, usual in zip(_SIDES, _USUAL, strict=True))
        if sides not in _WHOLE:
            raise InputError("it is cut to a part of the shape")


def mask_clips(node: Node, look: dict[str, str], met: Found, to_px: Affine, page: Page) -> list[Clip]:
    """What is shown through a mask that draws what was ``met``; raises ``InputError`` for shades."""
    if met.left_out or met.remarks:
        raise InputError("it holds more than plain shapes")
    by_alpha = look.get("mask-type", "luminance") == "alpha"
    if not all(shape.opaque and (by_alpha or shape.colour in (_WHITE, _BLACK)) for shape in met.shapes):
        raise InputError("it holds shades, not white and black alone")
    clips = [Clip(tuple(met.shapes), tuple(shape.colour == _BLACK and not by_alpha for shape in met.shapes))]
    if node.attributes.get("maskUnits") == "userSpaceOnUse":
        whole = (page.width, page.height) * 2
        x, y, width, height = (
            length_px(node.attributes.get(name, usual), of)
            for name, usual, of in zip(_SIDES, _USUAL, whole, strict=True)
        )
        edge = PathOutline(f"M{x!r},{y!r} h{width!r} v{height!r} h{-width!r} z")
        clips.append(Clip((DrawnShape(edge, to_px, False),)))
    return clips
