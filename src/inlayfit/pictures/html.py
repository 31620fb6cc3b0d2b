"""Pieces of an HTML page as elements: what is put into them is text, never markup."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree

from inlayfit.pictures.canvas import printable

Element = ElementTree.Element


def put(parent: Element, tag: str, words: str = "", **attributes: str) -> Element:
    """A new element with its text; ``class_`` is class, other underscores are hyphens."""
    named = {name.rstrip("_").replace("_", "-"): printable(value) for name, value in attributes.items()}
    element = ElementTree.SubElement(parent, tag, named)
    element.text = printable(words)
    return element


def table(
    parent: Element, caption: str, head: Sequence[str], rows: Sequence[Sequence[str | Element]], *, kind: str
) -> Element:
    """A table with a caption, column headers where there are any, and a row header in the first column."""
    made = put(parent, "table", class_=kind)
    if caption:
        put(made, "caption", caption)
    if head:
        line = put(put(made, "thead"), "tr")
        for words in head:
            put(line, "th", words, scope="col")
    body = put(made, "tbody")
    for row in rows:
        line = put(body, "tr")
        for column, cell in enumerate(row):
            tag, more = ("th", {"scope": "row"}) if column == 0 else ("td", {})
            if isinstance(cell, str):
                put(line, tag, cell, **more)
            else:
                put(line, tag, **more).append(cell)
    return made


def page(title: str, style: str) -> tuple[Element, Element]:
    """The page's root and its body; the style sheet is in it, nothing is fetched."""
    root = ElementTree.Element("html", lang="en")
    head = put(root, "head")
    put(head, "meta", charset="utf-8")
    put(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    put(head, "title", title)
    put(head, "style", style)
    return root, put(root, "body")


def html(root: Element) -> str:
    """The page as text."""
    return "<!DOCTYPE html>\n" + ElementTree.tostring(root, encoding="unicode", method="html") + "\n"
