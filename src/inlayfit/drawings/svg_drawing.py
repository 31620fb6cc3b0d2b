"""The filled area of an SVG drawing, and what had to be left out of it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from inlayfit.drawings.positions import MAX_VERTICES, too_many_vertices
from inlayfit.drawings.svg_frame import Affine, Page, length_px, read_page, transform_matrix
from inlayfit.drawings.svg_path import PathOutline, checked_path_data, load_svgelements
from inlayfit.drawings.svg_shapes import PATH_DATA, Measures
from inlayfit.drawings.svg_style import INHERITED, StyleSheet, is_painted, is_zero
from inlayfit.drawings.svg_tree import MAX_DEPTH, Node, SvgTree, read_svg_tree
from inlayfit.errors import InputError

MAX_DRAWN = 20_000  # elements that are drawn, those that `use` repeats counted each time

_CONTAINERS = frozenset({"g", "a", "svg", "switch"})
_TEXTS = frozenset({"text", "flowRoot", "foreignObject"})
_UNTURNED_ORIGIN = re.compile(r"0(px|%)?(\s+0(px|%)?){0,2}|(left|top)(\s+(left|top))?")


@dataclass(frozen=True)
class FilledShape:
    """A shape with a fill, as drawn: its path, where it goes in px, its colour and rule."""

    path: PathOutline
    to_px: Affine
    colour: str
    even_odd: bool


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file draws: filled shapes, whether the file tells their size, and what was left out."""

    shapes: tuple[FilledShape, ...]
    has_size: bool
    in_px: bool
    """Whether that size rests on 96 px to the inch."""
    notes: tuple[str, ...]


@dataclass
class _Found:
    """What a walk over the drawing meets."""

    shapes: list[FilledShape] = field(default_factory=list)
    drawn: int = 0
    segments: int = 0
    unfilled: int = 0
    stroked: int = 0
    left_out: Counter[str] = field(default_factory=Counter)
    words: list[str] = field(default_factory=list)


def read_svg_drawing(data: bytes) -> SvgDrawing:
    """Read the bytes of an SVG file.

    Raises ``InputError``, naming the element and its line, for what is no SVG, for what would make the
    outline wrong if it were left out (clip paths, masks, symbols in use, nested svg with a frame of its own,
    unknown units), where nothing is filled, and above the limits.
    """
    load_svgelements()
    tree = read_svg_tree(data)
    walk = _Walk(tree)
    found = walk.found
    walk.element(tree.root, walk.page.to_px, {}, ())
    if not found.shapes:
        raise InputError(_nothing_filled(found))
    notes = _notes(found)
    if tree.outside_style_sheet or walk.styles.left_out:
        notes.append("left out style rules from outside the file or within an @ block: check the fills")
    return SvgDrawing(tuple(found.shapes), walk.page.has_size, walk.page.in_px, tuple(notes))


def _notes(found: _Found) -> list[str]:
    notes = []
    texts = found.left_out.pop("text", 0)
    if texts:
        notes.append(f"left out {_counted(texts, 'text')}{_quoted(found.words)}: convert text to paths")
    notes += [f"left out {_counted(count, kind)}" for kind, count in found.left_out.items()]
    if found.unfilled:
        whole = found.unfilled + len(found.shapes)
        notes.append(f"left out {found.unfilled} of {whole} shapes, which have no fill: only fills are read")
    if found.stroked:
        have = "have" if found.stroked > 1 else "has"
        stroked = f"{_counted(found.stroked, 'filled shape')} also {have} a stroke"
        notes.append(f"{stroked}: the outline is the edge of the fill")
    return notes


def _nothing_filled(found: _Found) -> str:
    if found.unfilled:
        return (
            f"{_counted(found.unfilled, 'shape')}, all without fill; fill them, or convert strokes to paths"
            if found.unfilled > 1
            else "1 shape, without fill; fill it, or convert its stroke to a path"
        )
    if found.left_out:
        kinds = ", ".join(_counted(count, kind) for kind, count in found.left_out.items())
        convertible = found.left_out.keys() & {"text", "image"}
        cure = "; convert text and images to filled paths" if convertible else ""
        return f"no shapes, only {kinds}{_quoted(found.words)}{cure}"
    return "no shapes in the drawing, expected filled ones"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 or " of '" in noun else f"{count} {noun}s"


def _quoted(words: list[str]) -> str:
    first = next((text for text in words if text), "")
    return f" ('{first if len(first) <= 30 else first[:27] + '...'}')" if first else ""


class _Walk:
    """Goes through a drawing as a renderer does: transforms, styles and ``use`` worked in."""

    def __init__(self, tree: SvgTree) -> None:
        self.root = root = tree.root
        self.styles = StyleSheet(root)
        self.found = _Found()
        self._ids = tree.by_id()
        self._paths: dict[Node, tuple[PathOutline, int]] = {}
        look = self.styles.properties(root)
        get = root.attributes.get
        try:
            self.page: Page = read_page(
                look.get("width"), look.get("height"), get("viewBox"), get("preserveAspectRatio")
            )
        except InputError as error:
            raise _at(root, error) from None

    def element(
        self, node: Node, to_px: Affine, inherited: dict[str, str], uses: tuple[Node, ...], depth: int = 0
    ) -> None:
        """Draw an element and what is in it. ``uses`` are the ``use`` elements that led here."""
        look = self.styles.properties(node)
        tag = node.tag
        drawable = tag in _CONTAINERS or tag in _TEXTS or tag in PATH_DATA or tag in ("use", "image")
        if not drawable or look.get("display") == "none" or is_zero(look.get("opacity", "1")):
            return
        if node.attributes.get("requiredExtensions", "").strip():
            return
        found = self.found
        found.drawn += 1
        if found.drawn > MAX_DRAWN:
            raise _at(node, InputError(f"over {MAX_DRAWN:,} elements are drawn: join shapes"))
        if depth > MAX_DEPTH:
            raise _at(node, InputError(f"nested over {MAX_DEPTH} deep with its clones: ungroup the drawing"))
        before = len(found.shapes)
        inherited = inherited | {name: look[name] for name in INHERITED & look.keys()}
        try:
            to_px = to_px @ self._transform(node, look)
            if tag in _CONTAINERS:
                for child in self._children(node):
                    self.element(child, to_px, inherited, uses, depth + 1)
            elif tag == "use":
                self._use(node, look, to_px, inherited, uses, depth)
            elif tag in PATH_DATA:
                self._shape(node, look, to_px, inherited)
            elif inherited.get("visibility", "visible") == "visible":
                found.left_out["image" if tag == "image" else "text"] += 1
                found.words.append(node.words())
            if len(found.shapes) > before:
                self._refuse_framed(node, look)
        except _Located:
            raise
        except InputError as error:
            raise _at(node, error) from None

    def _transform(self, node: Node, look: dict[str, str]) -> Affine:
        for name in ("translate", "rotate", "scale"):
            if look.get(name, "none") != "none":
                raise InputError(f"style property '{name}' is not read: use a transform")
        text = look.get("transform", "none")
        if text in ("", "none"):
            return Affine()
        origin = look.get("transform-origin", "0 0")
        if node is self.root or not _UNTURNED_ORIGIN.fullmatch(origin.lower()):
            what = f"transform-origin '{origin[:30]}'" if node is not self.root else "transform on the page"
            raise InputError(f"{what} is not read: apply the transform in the drawing program")
        return transform_matrix(text)

    def _children(self, node: Node) -> list[Node]:
        if node.tag != "switch":
            return node.children
        # The first alternative that asks for nothing; one for a certain language only if no other is there.
        able = [child for child in node.children if child.tag in _CONTAINERS | PATH_DATA.keys() | {"use"}]
        able = [child for child in able if not child.attributes.get("requiredExtensions", "").strip()]
        plain = [child for child in able if not child.attributes.get("systemLanguage")]
        return (plain or able)[:1]

    def _use(
        self,
        node: Node,
        look: dict[str, str],
        to_px: Affine,
        inherited: dict[str, str],
        uses: tuple[Node, ...],
        depth: int,
    ) -> None:
        href = (node.href or "").strip()
        target = self._ids.get(href[1:]) if href.startswith("#") else None
        if target is None:
            self.found.left_out[f"use of '{href[:40]}', which is not in the file"] += 1
            return
        if node in uses or target in node.parents():
            raise InputError("refers to itself: unlink the clone in the drawing program")
        if target.tag in ("symbol", "svg"):
            raise InputError(f"use of a {target.tag} is not read: unlink it in the drawing program")
        x = length_px(look.get("x", "0"), self.page.width)
        y = length_px(look.get("y", "0"), self.page.height)
        self.element(target, to_px @ Affine(e=x, f=y), inherited, (*uses, node), depth + 1)

    def _shape(self, node: Node, look: dict[str, str], to_px: Affine, inherited: dict[str, str]) -> None:
        if inherited.get("visibility", "visible") != "visible":
            return
        colour, stroke = (_colour(inherited, name) for name in ("fill", "stroke"))
        if not is_painted(colour, inherited.get("fill-opacity", "1")):
            self.found.unfilled += 1
            return
        if node not in self._paths:
            data, segments = checked_path_data(PATH_DATA[node.tag](Measures(node, look, self.page)))
            if segments > MAX_VERTICES:
                raise too_many_vertices(segments)
            self._paths[node] = PathOutline(data), segments
        path, segments = self._paths[node]
        self.found.segments += segments
        if self.found.segments > MAX_VERTICES:
            raise too_many_vertices(self.found.segments)
        if not to_px.is_sound():
            raise InputError("its transforms are out of range")
        even_odd = inherited.get("fill-rule", "nonzero") == "evenodd"
        self.found.shapes.append(FilledShape(path, to_px, colour, even_odd))
        self.found.stroked += is_painted(stroke, "1") and not is_zero(inherited.get("stroke-width", "1"))

    def _refuse_framed(self, node: Node, look: dict[str, str]) -> None:
        """Refuse what would cut or place the shapes within it otherwise than they were read."""
        for name in ("clip-path", "mask"):
            if look.get(name, "none") != "none":
                raise InputError(f"{name} is not read: cut the shapes themselves in the drawing program")
        if look.get("filter", "none") != "none":
            self.found.left_out["filter"] += 1
        if node.tag == "svg" and node is not self.root:
            frame = {look.get(name, "0") for name in ("x", "y", "width", "height")}
            if "viewBox" in node.attributes or frame - {"0", "100%"}:
                raise InputError("a svg within the svg is not read: ungroup it in the drawing program")


class _Located(InputError):
    """A mistake that names its element already."""


def _at(node: Node, error: InputError) -> InputError:
    return _Located(f"{node.label}: {error.problem}")


def _colour(inherited: dict[str, str], name: str) -> str:
    colour = inherited.get(name, "black" if name == "fill" else "none")
    if colour.lower() == "currentcolor":
        colour = inherited.get("color", "black")
    if re.fullmatch("#[0-9A-Fa-f]{3}", colour):
        colour = "#" + "".join(2 * digit for digit in colour[1:])
    colour = "".join(colour.lower().split())
    return {"black": "#000000", "white": "#ffffff"}.get(colour, colour)
