"""Where the words of a drawing lie on paper and what else is drawn there, read back from the SVG without a browser."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import shapely
from drawn import SVG, rings
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from inlayfit.pictures.canvas import TEXT_SIZE, text_width
from inlayfit.pictures.palette import PAPER

NARROWER = 0.88
"""Words are set with widths that no font exceeds; a usual one takes this share."""
ROTATED = re.compile(r"rotate\((-?[\d.]+) (-?[\d.]+) (-?[\d.]+)\)")


def faults(svg: str) -> list[str]:
    """Labels that lie on another label, on a line, or off the paper, in words."""
    root = ElementTree.fromstring(svg)
    width, height = (float(number) for number in root.attrib["viewBox"].split()[2:])
    windows = {
        f"url(#{clip.attrib['id']})": _rectangle(clip[0]) for clip in root.iter(f"{SVG}clipPath")
    }  # fmt: skip
    labels: list[tuple[str, BaseGeometry]] = []
    lines: list[BaseGeometry] = []
    told: list[str] = []

    def walk(element: ElementTree.Element, window: BaseGeometry | None) -> None:
        nonlocal lines
        kind = element.tag.removeprefix(SVG)
        if kind in ("defs", "title", "desc"):
            return
        window = windows.get(element.attrib.get("clip-path", ""), window)
        if kind == "text":
            box = _box(element)
            words = element.text or ""
            told.extend(f"{words} / {other}" for other, there in labels if box.intersects(there))
            told.extend(f"{words} on a line drawn before" for line in lines if box.intersects(line))
            labels.append((words, box))
            if not shapely.box(0, 0, width, height).covers(box):
                told.append(f"{words} off the paper")
            return
        area, line = _shape(element, kind)
        if area is not None and element.attrib.get("fill") == PAPER and element.attrib.get("fill-opacity") is None:
            # paper hides what was drawn under it
            lines = [left for left in (one.difference(area) for one in lines) if not left.is_empty]
        if line is not None and element.attrib.get("stroke", "none") != "none":
            line = line if window is None else line.intersection(window)
            told.extend(f"{words} under a line" for words, box in labels if box.intersects(line))
            lines.append(line)
        for below in element:
            walk(below, window)

    walk(root, None)
    return told


def _box(element: ElementTree.Element) -> BaseGeometry:
    """The room that the letters of a text take."""
    size = float(element.attrib.get("font-size", TEXT_SIZE))
    bold = 1.06 if element.attrib.get("font-weight") == "bold" else 1.0
    wide = text_width(element.text or "", size) * NARROWER * bold
    x, y = float(element.attrib["x"]), float(element.attrib["y"])
    left = {"middle": x - wide / 2, "end": x - wide}.get(element.attrib.get("text-anchor", ""), x)
    box = shapely.box(left, y - 0.72 * size, left + wide, y + 0.14 * size)
    turned = ROTATED.fullmatch(element.attrib.get("transform", ""))
    if turned:
        angle, *about = (float(number) for number in turned.groups())
        box = affinity.rotate(box, angle, origin=tuple(about))
    return box


def _rectangle(element: ElementTree.Element) -> BaseGeometry:
    x, y, wide, high = (float(element.attrib.get(name, 0)) for name in ("x", "y", "width", "height"))
    return shapely.box(x, y, x + wide, y + high)


def _shape(element: ElementTree.Element, kind: str) -> tuple[BaseGeometry | None, BaseGeometry | None]:
    """Area and line of an element; None where it has none."""
    if kind == "line":
        x1, y1, x2, y2 = (float(element.attrib[name]) for name in ("x1", "y1", "x2", "y2"))
        return None, shapely.LineString([(x1, y1), (x2, y2)])
    if kind == "rect":
        area = _rectangle(element)
        return area, area.exterior
    if kind == "circle":
        at, radius = [float(element.attrib[name]) for name in ("cx", "cy")], float(element.attrib["r"])
        area = shapely.Point(at).buffer(radius, quad_segs=16)
        return area, area.exterior
    if kind == "path":
        closed = element.attrib["d"].endswith("Z")
        found = [shapely.LineString([*ring, ring[0]] if closed else ring) for ring in rings(element) if len(ring) > 1]
        return (shapely.Polygon(found[0]) if closed and len(found) == 1 else None), shapely.union_all(found)
    return None, None
