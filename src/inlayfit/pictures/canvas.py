"""A sheet of paper to draw on, in mm: builds one SVG drawing as text.

x to the right, y downwards, as SVG has it. Text stays text; every drawing carries a title and a description.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final
from xml.etree import ElementTree

from inlayfit.pictures.palette import INK, PAPER

Point = tuple[float, float]
FONT: Final = "sans-serif"
TEXT_SIZE: Final = 2.9
"""mm: about 8 points."""
WIDE: Final = frozenset("mwMW@%&—")
NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
NARROW: Final = frozenset("iljtfrI.,:;!|'()[]/ -")


class Canvas:
    """One drawing. ``name`` keeps its ids apart from those of other drawings on the same page."""

    def __init__(self, *, name: str, title: str, description: str, width: float, height: float) -> None:
        self.name, self.width, self.height = name, width, height
        self.root = ElementTree.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "width": f"{written(width)}mm",
                "height": f"{written(height)}mm",
                "viewBox": f"0 0 {written(width)} {written(height)}",
                "role": "img",
                "aria-labelledby": f"{name}-title {name}-desc",
                "font-family": FONT,
                "font-size": written(TEXT_SIZE),
                "fill": INK,
            },
        )
        self.add("title", id=f"{name}-title").text = printable(title)
        self.add("desc", id=f"{name}-desc").text = printable(description)
        self.definitions = self.add("defs")
        self.paper = self.add("rect", x=0, y=0, width=width, height=height, fill=PAPER, class_="paper")

    def add(
        self, tag: str, parent: ElementTree.Element | None = None, **attributes: str | float | None
    ) -> ElementTree.Element:
        """An element; ``class_`` is class, other underscores are hyphens, None leaves an attribute out."""
        named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items() if value is not None}
        return ElementTree.SubElement(
            self.root if parent is None else parent,
            tag,
            {name: value if isinstance(value, str) else written(value) for name, value in named.items()},
        )

    def group(self, parent: ElementTree.Element | None = None, **attributes: str | float | None) -> ElementTree.Element:
        """A group of elements."""
        return self.add("g", parent, **attributes)

    def line(
        self, start: Point, end: Point, parent: ElementTree.Element | None = None, **attributes: str | float | None
    ) -> ElementTree.Element:
        """A straight line."""
        given: dict[str, str | float | None] = {"stroke": INK, "stroke_width": 0.25, **attributes}
        return self.add("line", parent, x1=start[0], y1=start[1], x2=end[0], y2=end[1], **given)

    def shape(
        self,
        rings: Iterable[Sequence[Point]],
        parent: ElementTree.Element | None = None,
        *,
        closed: bool = True,
        **attributes: str | float | None,
    ) -> ElementTree.Element:
        """A path through each ring's points; rings inside others are holes."""
        end = "Z" if closed else ""
        parts = ["M" + " ".join(f"{written(x)} {written(y)}" for x, y in ring) + end for ring in rings if len(ring)]
        return self.add("path", parent, d="".join(parts), fill_rule="evenodd", **attributes)

    def text(
        self, at: Point, words: str, parent: ElementTree.Element | None = None, **attributes: str | float | None
    ) -> ElementTree.Element:
        """Words with their baseline at a point."""
        element = self.add("text", parent, x=at[0], y=at[1], **attributes)
        element.text = printable(words)
        return element

    def hatch(
        self, name: str, *, angle: float, apart: float, width: float, colour: str, ground: str, dash: str | None = None
    ) -> str:
        """Parallel lines to fill with, as a value for ``fill``; lengths in mm, angle in degrees."""
        tile = 8 * apart if dash else apart
        pattern = self.add(
            "pattern", self.definitions, id=f"{self.name}-{name}", patternUnits="userSpaceOnUse", width=tile,
            height=apart, patternTransform=f"rotate({written(angle)})",
        )  # fmt: skip
        self.add("rect", pattern, width=tile, height=apart, fill=ground)
        self.line((0, apart / 2), (tile, apart / 2), pattern, stroke=colour, stroke_width=width, stroke_dasharray=dash)
        return f"url(#{self.name}-{name})"

    def window(self, name: str, corner: Point, width: float, height: float) -> str:
        """A rectangle to look through, as a value for ``clip_path``."""
        clip = self.add("clipPath", self.definitions, id=f"{self.name}-{name}")
        self.add("rect", clip, x=corner[0], y=corner[1], width=width, height=height)
        return f"url(#{self.name}-{name})"

    def resize(self, height: float) -> None:
        """Another height, for what grows while it is drawn."""
        self.height = height
        self.root.set("height", f"{written(height)}mm")
        self.root.set("viewBox", f"0 0 {written(self.width)} {written(height)}")
        self.paper.set("height", written(height))

    def svg(self) -> str:
        """The drawing as text."""
        ElementTree.indent(self.root, space=" ")
        return ElementTree.tostring(self.root, encoding="unicode") + "\n"


def stacked(drawings: Sequence[Canvas]) -> str:
    """Several drawings below each other, as one SVG; one alone as it is."""
    if len(drawings) == 1:
        return drawings[0].svg()
    width, height = max(one.width for one in drawings), sum(one.height for one in drawings)
    sheet = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{written(width)}mm",
            "height": f"{written(height)}mm",
            "viewBox": f"0 0 {written(width)} {written(height)}",
        },
    )
    top = 0.0
    for one in drawings:
        # lengths without a unit are those of the sheet's own viewBox
        placed = ElementTree.SubElement(
            sheet, "svg", {**one.root.attrib, "y": written(top), "width": written(one.width),
                           "height": written(one.height)}
        )  # fmt: skip
        placed.attrib.pop("xmlns")
        placed.extend(one.root)
        top += one.height
    ElementTree.indent(sheet, space=" ")
    return ElementTree.tostring(sheet, encoding="unicode") + "\n"


def written(number: float) -> str:
    """A number of mm, to a tenth of a micrometre."""
    return f"{round(number, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


def printable(words: str) -> str:
    """Words without the characters that XML cannot hold, such as a file's name may have."""
    return NOT_XML.sub("\N{REPLACEMENT CHARACTER}", words)


def text_width(words: str, size: float = TEXT_SIZE) -> float:
    """About how wide words are at most, in mm, whatever sans-serif font there is."""
    ems = 0.0
    for letter in words:
        if unicodedata.east_asian_width(letter) in "WF":
            ems += 1.05
        elif letter in WIDE:
            ems += 1.0
        elif letter in NARROW:
            ems += 0.42
        else:
            ems += 0.72 if letter.isupper() else 0.64
    return ems * size


def wrapped(words: str, width: float, size: float = TEXT_SIZE) -> list[str]:
    """Words in lines no wider than this, in mm; a longer word is broken, words with a no-break space are not parted."""
    lines: list[str] = []
    for word in filter(None, words.split(" ")):
        while text_width(word, size) > width and len(word) > 1:
            fits = next(count for count in range(len(word) - 1, 0, -1) if count == 1 or
                        text_width(word[:count], size) <= width)  # fmt: skip
            lines.append(word[:fits])
            word = word[fits:]
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines
