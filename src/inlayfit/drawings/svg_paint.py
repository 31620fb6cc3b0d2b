"""What a fill or stroke is painted with, and whether anything of it is to be seen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from inlayfit.drawings.svg_colour import plain_colour
from inlayfit.drawings.svg_drawn import Stroke
from inlayfit.drawings.svg_frame import length_px
from inlayfit.drawings.svg_style import StyleSheet, is_zero
from inlayfit.drawings.svg_tree import Node
from inlayfit.errors import InputError

_SERVER = re.compile(r"""url\(\s*["']?#([^"')]+)["']?\s*\)\s*(.*)""", re.DOTALL)
_FUNCTION = re.compile(r"(?:rgba?|hsla?|hwb|lab|lch|oklab|oklch|color|device-cmyk)\([^()]+\)")
_MOST_LINKS = 20


@dataclass(frozen=True)
class Paint:
    """A colour as ``#rrggbb`` or the paint as written, None where nothing shows; and what is to be said of it."""

    colour: str | None
    remark: str = ""


NOTHING = Paint(None)


def read_paint(text: str, opacity: str, ids: Mapping[str, Node], styles: StyleSheet) -> Paint:
    """What ``fill`` or ``stroke`` of this text and opacity paints.

    ``ids`` are the file's elements by their id. Raises ``InputError`` for what is no paint that is known.
    """
    text = text.strip()
    match = _SERVER.fullmatch(text)
    if match is None:
        return NOTHING if is_zero(opacity) else _colour(text.partition(" icc-color(")[0])
    node = ids.get(match[1].strip())
    if node is None or node.tag not in ("linearGradient", "radialGradient", "pattern"):
        if match[2].strip():
            return read_paint(match[2], opacity, ids, styles)
        return Paint(None, f"paint '#{match[1].strip()[:40]}', which is not in the file")
    if is_zero(opacity):
        return NOTHING
    if node.tag == "pattern":
        return Paint(plain_colour(text), "a pattern")
    shown = [_stop_shows(stop, styles) for stop in _stops(node, ids)]
    if not any(shown):
        return NOTHING
    return Paint(plain_colour(text), "" if all(shown) else "a colour that fades out")


@lru_cache(maxsize=1000)
def _colour(text: str) -> Paint:
    plain = plain_colour(text)
    if plain.startswith("var("):
        raise InputError(f"fill '{plain[:40]}' is not read: give the shape a colour of its own")
    if plain in ("none", "transparent"):
        return NOTHING
    if plain.startswith("#") and len(plain) in (4, 5, 7, 9) and not set(plain[1:]) - set("0123456789abcdef"):
        clear = (len(plain) == 5 and plain[4] == "0") or (len(plain) == 9 and plain[7:] == "00")
        return NOTHING if clear else Paint(plain)
    if not _FUNCTION.fullmatch(plain):
        raise InputError(f"colour '{text[:40]}' is not read: give the shape a plain colour")
    alpha = re.fullmatch(r"(?:rgb|hsl)a?\((?:[^,/]+,){3}([^,/]+)\)|\w+\([^,/]+/([^,/]+)\)", plain)
    return NOTHING if alpha and is_zero(alpha[1] or alpha[2]) else Paint(plain)


def _stops(node: Node, ids: Mapping[str, Node]) -> list[Node]:
    """The stops of a gradient, or of the one that it refers to."""
    for _ in range(_MOST_LINKS):
        stops = [child for child in node.children if child.tag == "stop"]
        href = (node.href or "").strip()
        linked = ids.get(href[1:]) if href.startswith("#") else None
        if stops or linked is None:
            return stops
        node = linked
    return []


def _stop_shows(stop: Node, styles: StyleSheet) -> bool:
    look = styles.properties(stop)
    clear = "".join(look.get("stop-color", "black").lower().split())
    return not is_zero(look.get("stop-opacity", "1")) and clear != "transparent"


def read_stroke(look: Mapping[str, str], diagonal: float | None) -> Stroke:
    """How a stroke is drawn; ``diagonal`` is what shares of its width are of. Raises ``InputError`` for dashes."""
    if look.get("stroke-dasharray", "none") not in ("none", "0"):
        raise InputError("a dashed stroke is not read: convert it to paths in the drawing program")
    width = length_px(look.get("stroke-width", "1"), diagonal)
    cap, join = look.get("stroke-linecap", "butt"), look.get("stroke-linejoin", "miter")
    try:
        limit = float(look.get("stroke-miterlimit", "4"))
    except ValueError:
        limit = 4.0
    if width < 0 or cap not in ("butt", "round", "square") or join not in ("miter", "round", "bevel") or limit < 1:
        raise InputError(f"a stroke {width:g} wide, {cap}, {join} is not read: convert it to paths")
    return Stroke(width, cap, join, limit)  # type: ignore[arg-type]


def is_whole(share: str) -> bool:
    """Whether an opacity lets nothing through; what is no number counts as 1."""
    try:
        text = share.strip()
        return float(text.removesuffix("%")) / (100 if text.endswith("%") else 1) >= 1
    except ValueError:
        return True
