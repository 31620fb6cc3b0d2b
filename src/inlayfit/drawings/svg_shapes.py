"""Basic shapes of SVG as path data (SVG 2, chapter 10)."""

from __future__ import annotations

import re
from collections.abc import Callable

from inlayfit.drawings.svg_frame import NUMBER, Page, length_px
from inlayfit.drawings.svg_tree import Node
from inlayfit.errors import InputError

_ENDS = ("x1", "y1", "x2", "y2")


class Measures:
    """The measures of a basic shape in user units."""

    def __init__(self, node: Node, look: dict[str, str], page: Page) -> None:
        self.node, self._look, self._page = node, look, page

    def get(self, name: str) -> float:
        return self.find(name) or 0.0

    def find(self, name: str) -> float | None:
        """The measure, None where it is not given; raises ``InputError`` where a size is negative."""
        # the ends of a line are attributes only, no properties of style
        text = self._look.get(name, self.node.attributes.get(name, "auto") if name in _ENDS else "auto")
        if text == "auto":
            return None
        page = self._page
        across = page.width if name in ("x", "x1", "x2", "cx", "width", "rx") else page.height
        value = length_px(text, page.diagonal if name == "r" else across)
        if value < 0 and name not in ("x", "y", "cx", "cy", *_ENDS):
            raise InputError(f"{name} is {text}: must not be negative")
        return value


def _rect(measures: Measures) -> str:
    x, y, width, height = (measures.get(name) for name in ("x", "y", "width", "height"))
    if not (width and height):
        return ""
    rx, ry = measures.find("rx"), measures.find("ry")
    rx = (ry or 0.0) if rx is None else rx
    ry = rx if ry is None else ry
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if not (rx and ry):
        return f"M{x!r},{y!r} h{width!r} v{height!r} h{-width!r} z"
    across, up = width - 2 * rx, height - 2 * ry
    corner = f"a{rx!r},{ry!r} 0 0 1"
    return (
        f"M{x + rx!r},{y!r} h{across!r} {corner} {rx!r},{ry!r} v{up!r} {corner} {-rx!r},{ry!r} "
        f"h{-across!r} {corner} {-rx!r},{-ry!r} v{-up!r} {corner} {rx!r},{-ry!r} z"
    )


def _ellipse(measures: Measures) -> str:
    if measures.node.tag == "circle":
        rx = ry = measures.get("r")
    else:
        given = measures.find("rx"), measures.find("ry")
        rx = (given[0] if given[0] is not None else given[1]) or 0.0
        ry = given[1] if given[1] is not None else rx
    cx, cy = measures.get("cx"), measures.get("cy")
    if not (rx and ry):
        return ""
    # Quarters, so that the points furthest out are ends of arcs and the bounds exact.
    arc = f"a{rx!r},{ry!r} 0 0 1"
    return f"M{cx + rx!r},{cy!r} {arc} {-rx!r},{ry!r} {arc} {-rx!r},{-ry!r} {arc} {rx!r},{-ry!r} {arc} {rx!r},{ry!r} z"


def _polygon(measures: Measures) -> str:
    points = measures.node.attributes.get("points", "")
    numbers = re.findall(NUMBER, points)
    if len(numbers) % 2 or re.sub(NUMBER, " ", points).strip(" ,\t\r\n\f"):
        raise InputError(f"points '{points.strip()[:30]}' are not read: expected pairs of numbers")
    return f"M{' '.join(numbers)} z" if numbers else ""


def _polyline(measures: Measures) -> str:
    return _polygon(measures).removesuffix(" z")


def _line(measures: Measures) -> str:
    x1, y1, x2, y2 = (measures.get(name) for name in _ENDS)
    return f"M{x1!r},{y1!r} L{x2!r},{y2!r}"


def _path(measures: Measures) -> str:
    data = measures.node.attributes.get("d", "").strip()
    return "" if data == "none" else data


PATH_DATA: dict[str, Callable[[Measures], str]] = {
    "rect": _rect, "circle": _ellipse, "ellipse": _ellipse, "polygon": _polygon, "polyline": _polyline,
    "line": _line, "path": _path,
}  # fmt: skip


def straight_points(measures: Measures) -> tuple[list[tuple[float, float]], bool] | None:
    """Corners of an upright rectangle without rounding, a polygon, polyline or line, and whether they close.

    None for every other shape.
    """
    tag = measures.node.tag
    if tag == "rect":
        x, y, width, height = (measures.get(name) for name in ("x", "y", "width", "height"))
        if measures.get("rx") or measures.get("ry"):
            return None
        if not (width and height):
            return [], True
        return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)], True
    if tag == "line":
        x1, y1, x2, y2 = (measures.get(name) for name in _ENDS)
        return [(x1, y1), (x2, y2)], False
    return None
