"""The elements of an SVG file as a plain tree, read safely and within bounds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from inlayfit.errors import InputError

SVG_NAMESPACE = "http://www.w3.org/2000/svg"
XLINK_HREF = "http://www.w3.org/1999/xlink href"

MAX_DEPTH = 150
MAX_ELEMENTS = 200_000
MAX_ENTITIES = 50
MAX_ENTITY_LENGTH = 120

_ASIDE = re.compile(r"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>", re.DOTALL)
_ENTITY = re.compile(r"&([A-Za-z_:\u0080-\uffff][\w:.\-]*);")

_TEXT_TAGS = frozenset({"style", "text", "tspan", "textPath", "flowRoot", "flowPara", "flowSpan"})


@dataclass(eq=False)
class Node:
    """One element: its name without the SVG namespace (empty for other namespaces), where it stands."""

    tag: str
    attributes: dict[str, str]
    line: int
    parent: Node | None = None
    children: list[Node] = field(default_factory=list)
    text: list[str] = field(default_factory=list)

    @property
    def label(self) -> str:
        """How a message names the element: ``line 12: path 'leaf'``."""
        name = self.attributes.get("id")
        return f"line {self.line}: {self.tag} '{name}'" if name else f"line {self.line}: {self.tag}"

    @property
    def classes(self) -> list[str]:
        return self.attributes.get("class", "").split()

    @property
    def href(self) -> str | None:
        return self.attributes.get("href", self.attributes.get("xlink:href"))

    def subtree(self) -> Iterator[Node]:
        """This element and everything in it, in the order of the file."""
        waiting = [self]
        while waiting:
            node = waiting.pop()
            yield node
            waiting.extend(reversed(node.children))

    def parents(self) -> Iterator[Node]:
        """The elements around this one, the nearest first."""
        node = self.parent
        while node is not None:
            yield node
            node = node.parent

    def words(self) -> str:
        """The text written in the element and below it."""
        return " ".join(" ".join("".join(node.text).split()) for node in self.subtree()).strip()


@dataclass
class SvgTree:
    """A read file: its outermost element and what was met beside the elements."""

    root: Node
    outside_style_sheet: bool = False

    def by_id(self) -> dict[str, Node]:
        """Elements by their id; of a repeated id the first counts."""
        found: dict[str, Node] = {}
        for node in self.root.subtree():
            name = node.attributes.get("id")
            if name:
                found.setdefault(name, node)
        return found


class _TreeReader:
    """Handlers of the XML parser that build the tree and refuse what could explode."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self.open: list[Node] = []
        self.count = 0
        self.entities = 0
        self.outside_style_sheet = False
        self.declared: set[str] | None = None
        """Entities of a document that names rules outside the file, which lets the parser pass unknown ones over."""
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.characters
        self.parser.StartDoctypeDeclHandler = self.doctype
        self.parser.EntityDeclHandler = self.entity
        self.parser.SkippedEntityHandler = self.skipped_entity
        self.parser.ProcessingInstructionHandler = self.instruction

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.count += 1
        line = self.parser.CurrentLineNumber
        if self.count > MAX_ELEMENTS:
            raise InputError(f"over {MAX_ELEMENTS:,} elements: simplify the drawing")
        if len(self.open) >= MAX_DEPTH:
            raise InputError(f"line {line}: elements nested over {MAX_DEPTH} deep: ungroup the drawing")
        namespace, _, tag = name.rpartition(" ")
        kept = {key: value for key, value in attributes.items() if " " not in key}
        if XLINK_HREF in attributes:
            kept["xlink:href"] = attributes[XLINK_HREF]
        parent = self.open[-1] if self.open else None
        node = Node(tag if namespace in ("", SVG_NAMESPACE) else "", kept, line, parent)
        if parent is None:
            self.root = node
        else:
            parent.children.append(node)
        self.open.append(node)

    def end(self, _name: str) -> None:
        self.open.pop()

    def characters(self, text: str) -> None:
        if self.open and self.open[-1].tag in _TEXT_TAGS:
            self.open[-1].text.append(text)

    def doctype(self, _name: str, system: str | None, _public: str | None, _internal: bool) -> None:
        if system is not None:
            self.declared = {"amp", "lt", "gt", "quot", "apos"}

    def entity(
        self,
        name: str,
        _is_parameter: bool,
        value: str | None,
        _base: str | None,
        _system: str | None,
        _public: str | None,
        _notation: str | None,
    ) -> None:
        # Old drawing programs shorten namespace names with entities; those are short and refer to nothing.
        self.entities += 1
        if self.declared is not None:
            self.declared.add(name)
        harmless = value is not None and len(value) <= MAX_ENTITY_LENGTH and not set(value) & set("&%<")
        if not harmless or self.entities > MAX_ENTITIES:
            raise InputError(
                f"line {self.parser.CurrentLineNumber}: entity '{name[:40]}' is not read: save as plain SVG"
            )

    def skipped_entity(self, name: str, _is_parameter: bool) -> None:
        raise InputError(f"line {self.parser.CurrentLineNumber}: entity '{name[:40]}' is not read: save as plain SVG")

    def instruction(self, target: str, _text: str) -> None:
        self.outside_style_sheet |= target == "xml-stylesheet"


def read_svg_tree(data: bytes) -> SvgTree:
    """Read the XML of an SVG file.

    Raises ``InputError`` for what is no XML or no SVG, for entities that could explode or reach outside
    the file, and above the limits of depth and number of elements.
    """
    if data[:2] == b"\x1f\x8b":
        raise InputError("compressed SVG is not read: unpack it, or save as plain SVG")
    reader = _TreeReader()
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as error:
        problem = f"not XML: {expat.ErrorString(error.code)}; save the drawing again"
        raise InputError(f"line {error.lineno}, column {error.offset + 1}: {problem}") from None
    except (LookupError, ValueError) as error:  # an encoding that Python does not know
        raise InputError(f"not XML: {error}; save as UTF-8") from None
    if reader.declared is not None:
        _refuse_undeclared(data, reader.declared)
    root = reader.root
    if root is None or root.tag != "svg":
        found = root.tag if root is not None and root.tag else "another kind of XML"
        raise InputError(f"not an SVG drawing: found {found}, expected svg")
    return SvgTree(root, reader.outside_style_sheet)


def _refuse_undeclared(data: bytes, declared: set[str]) -> None:
    """Refuse a reference to an entity that the file does not declare."""
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "latin-1"  # names are ASCII in either
    text = data.decode(encoding, errors="replace")
    plain = _ASIDE.sub(lambda aside: "\n" * aside[0].count("\n"), text)
    for match in _ENTITY.finditer(plain):
        if match[1] not in declared:
            line = plain.count("\n", 0, match.start()) + 1
            raise InputError(f"line {line}: entity '{match[1][:40]}' is not read: save as plain SVG")
