"""Reading drawings back: SVG parsed as XML, in mm on paper."""

from __future__ import annotations

import re
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


class Drawn:
    """One drawing, parsed."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        assert self.root.tag == f"{SVG}svg"
        self.width, self.height = (float(number) for number in self.root.attrib["viewBox"].split()[2:])

    def all(self, tag: str = "*", kind: str | None = None, within: ElementTree.Element | None = None):
        """Elements of a tag whose class holds this word."""
        found = (self.root if within is None else within).iter(f"{SVG}{tag}" if tag != "*" else "*")
        return [one for one in found if kind is None or kind in one.attrib.get("class", "").split()]

    def one(self, tag: str, kind: str, within: ElementTree.Element | None = None) -> ElementTree.Element:
        (found,) = self.all(tag, kind, within)
        return found

    def words(self) -> list[str]:
        return [(one.text or "").replace("\N{NO-BREAK SPACE}", " ") for one in self.all("text")]

    def dimension(self, name: str, within: ElementTree.Element | None = None) -> tuple[float, float, float, bool]:
        """True length in mm, both ends on paper (top and bottom), and whether part of it is left out."""
        (group,) = [one for one in self.all("g", "dimension", within) if one.attrib["data-name"] == name]
        measure = self.one("line", "measure", group)
        ends = sorted((float(measure.attrib["y1"]), float(measure.attrib["y2"])))
        if ends[0] == ends[1]:
            ends = sorted((float(measure.attrib["x1"]), float(measure.attrib["x2"])))
        return float(group.attrib["data-mm"]), ends[0], ends[1], "data-broken" in group.attrib

    def names(self, within: ElementTree.Element | None = None) -> list[str]:
        return [one.attrib["data-name"] for one in self.all("g", "dimension", within)]


def rings(path: ElementTree.Element) -> list[list[Point]]:
    """Points of each ring of a path made of straight lines."""
    found = []
    for part in path.attrib["d"].split("M")[1:]:
        numbers = [float(number) for number in NUMBER.findall(part)]
        found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def points(path: ElementTree.Element) -> list[Point]:
    (ring,) = rings(path)
    return ring


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb, 0 to 1 (Web Content Accessibility Guidelines 2.1, definition)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
