"""The painted shapes of an SVG drawing, and what had to be left out of it."""

from __future__ import annotations

from dataclasses import dataclass

from inlayfit.drawings.svg_drawn import DrawnShape
from inlayfit.drawings.svg_path import load_svgelements
from inlayfit.drawings.svg_tree import read_svg_tree
from inlayfit.drawings.svg_walk import Counted, Walk
from inlayfit.errors import InputError


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file draws: shapes that count, the size it names, and what was left out."""

    shapes: tuple[DrawnShape, ...]
    has_size: bool
    in_px: bool
    """Whether that size rests on 96 px to the inch."""
    page_px: tuple[float, float] | None
    """Width and height of the page, from its upper left corner; None where the file tells of none."""
    notes: tuple[str, ...]


def read_svg_drawing(data: bytes, counted: Counted = "fills") -> SvgDrawing:
    """Read the bytes of an SVG file: its fills, its fills and strokes, or its lines, which are of all that is painted.

    Raises ``InputError``, naming the element and its line, for what is no SVG, for what would make the
    outline wrong if it were left out (masks of shades, unknown units), where nothing counts, and above the limits.
    """
    load_svgelements()
    tree = read_svg_tree(data)
    walk = Walk(tree, counted)
    found = walk.found
    walk.element(tree.root, walk.page.to_px, {}, ())
    strokes = counted != "fills"
    if not found.shapes:
        found.is_font = any(node.tag == "font" for node in tree.root.subtree())
        raise InputError(found.nothing_painted(strokes=strokes))
    notes = found.notes(strokes=strokes)
    if tree.outside_style_sheet or walk.styles.left_out:
        notes.append("left out style rules from outside the file, for print or within an @ block: check the fills")
    page = walk.page
    return SvgDrawing(tuple(found.shapes), page.has_size, page.in_px, page.sides_px, tuple(notes))
