"""The filled area of an SVG drawing, and what had to be left out of it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from inlayfit.drawings.positions import MAX_VERTICES, too_many_vertices
from inlayfit.drawings.svg_colour import plain_colour
from inlayfit.drawings.svg_frame import Affine, Page, frame, length_px, origin_point, read_page, transform_matrix
from inlayfit.drawings.svg_path import PathOutline, checked_path_data, load_svgelements
from inlayfit.drawings.svg_shapes import PATH_DATA, Measures
from inlayfit.drawings.svg_style import INHERITED, StyleSheet, is_painted, is_zero
from inlayfit.drawings.svg_tree import MAX_DEPTH, Node, SvgTree, read_svg_tree
from inlayfit.errors import InputError

MAX_DRAWN = 20_000  # elements that are drawn, those that `use` repeats counted each time

_CONTAINERS = frozenset({"g", "a", "svg", "switch"})
_TEXTS = frozenset({"text", "flowRoot", "foreignObject"})
_REFERENCE = re.compile(r"""url\(\s*["']?#([^"')]+)["']?\s*\)""")
_UNTURNED_ORIGIN = re.compile(r"0(px|%)?(\s+0(px|%)?){0,2}|(left|top)(\s+(left|top))?")


@dataclass(frozen=True)
class PlacedPath:
    """A path as drawn: where it goes in px, and its fill rule."""

    path: PathOutline
    to_px: Affine
    even_odd: bool


Clip = tuple[PlacedPath, ...]
"""What of a drawing is shown: the area of these paths together."""


@dataclass(frozen=True)
class DrawnShape(PlacedPath):
    """A shape that counts: what messages call it, its fill colour, and what it is clipped by."""

    label: str
    colour: str
    clips: tuple[Clip, ...]


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file draws: shapes that count, whether the file tells their size, and what was left out."""

    shapes: tuple[DrawnShape, ...]
    has_size: bool
    in_px: bool
    """Whether that size rests on 96 px to the inch."""
    notes: tuple[str, ...]


@dataclass
class _Found:
    """What a walk over the drawing meets."""

    shapes: list[DrawnShape] = field(default_factory=list)
    drawn: int = 0
    segments: int = 0
    unfilled: int = 0
    stroked: int = 0
    left_out: Counter[str] = field(default_factory=Counter)
    words: list[str] = field(default_factory=list)


def read_svg_drawing(data: bytes, *, lines: bool = False) -> SvgDrawing:
    """Read the bytes of an SVG file: its filled shapes, or with ``lines`` all that is filled or stroked.

    Raises ``InputError``, naming the element and its line, for what is no SVG, for what would make the
    outline wrong if it were left out (masks, unknown units), where nothing counts, and above the limits.
    """
    load_svgelements()
    tree = read_svg_tree(data)
    walk = _Walk(tree, lines)
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
            f"{_counted(found.unfilled, 'shape')}, all without fill; fill them, convert strokes to paths, or set "
            "outline.take: closed"
            if found.unfilled > 1
            else "1 shape, without fill; fill it, convert its stroke to a path, or set outline.take: closed"
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

    def __init__(self, tree: SvgTree, lines: bool) -> None:
        self.lines = lines
        self._clips: list[Clip] = []
        self.root = root = tree.root
        self.styles = StyleSheet(root)
        self.found = _Found()
        self._ids = tree.by_id()
        self._paths: dict[tuple[Node, Page], tuple[PathOutline, int]] = {}
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
        before, clipped, page = len(found.shapes), len(self._clips), self.page
        inherited = inherited | {name: look[name] for name in INHERITED & look.keys()}
        try:
            to_px = to_px @ self._transform(node, look)
            self._clip(look, to_px)
            if tag == "svg" and node is not self.root:
                to_px = self._framed(node, look, to_px)
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
                self._refuse_masked(look)
        except _Located:
            raise
        except InputError as error:
            raise _at(node, error) from None
        self.page = page
        del self._clips[clipped:]

    def _transform(self, node: Node, look: dict[str, str]) -> Affine:
        for name in ("translate", "rotate", "scale"):
            if look.get(name, "none") != "none":
                raise InputError(f"style property '{name}' is not read: use a transform")
        text = look.get("transform", "none")
        if text in ("", "none"):
            return Affine()
        if node is self.root:
            raise InputError("transform on the page is not read: apply the transform in the drawing program")
        origin = look.get("transform-origin", "0 0")
        if _UNTURNED_ORIGIN.fullmatch(origin.lower()):
            return transform_matrix(text)
        if look.get("transform-box", "view-box") != "view-box":
            raise InputError("transform-box is not read: apply the transform in the drawing program")
        x, y = origin_point(origin, self.page)
        return Affine(e=x, f=y) @ transform_matrix(text) @ Affine(e=-x, f=-y)

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
        x = length_px(look.get("x", "0"), self.page.width)
        y = length_px(look.get("y", "0"), self.page.height)
        to_px = to_px @ Affine(e=x, f=y)
        if target.tag not in ("symbol", "svg"):
            self.element(target, to_px, inherited, (*uses, node), depth + 1)
            return
        own = self.styles.properties(target)
        inherited = inherited | {name: own[name] for name in INHERITED & own.keys()}
        to_px = to_px @ self._transform(target, own)
        self._clip(own, to_px)
        to_px = self._framed(target, own | {name: look[name] for name in ("width", "height") if name in look}, to_px)
        for child in target.children:
            self.element(child, to_px, inherited, (*uses, node), depth + 1)

    def _framed(self, node: Node, look: dict[str, str], to_px: Affine) -> Affine:
        """Enter the frame of an svg within the svg or a symbol: its page, and what of it is shown."""
        get = node.attributes.get
        inner, page, (x, y, width, height) = frame(look, get("viewBox"), get("preserveAspectRatio"), self.page)
        if look.get("overflow", "hidden") not in ("visible", "auto"):
            edge = PathOutline(f"M{x!r},{y!r} h{width!r} v{height!r} h{-width!r} z")
            self._clips.append((PlacedPath(edge, to_px, False),))
        self.page = page
        return to_px @ inner

    def _clip(self, look: dict[str, str], to_px: Affine) -> None:
        """Enter what a clip path shows."""
        value = look.get("clip-path", "none")
        if value == "none":
            return
        match = _REFERENCE.fullmatch(value)
        node = self._ids.get(match[1].strip()) if match else None
        if match is None or (node is not None and node.tag != "clipPath"):
            raise InputError(f"clip-path '{value[:30]}' is not read: cut the shapes themselves in the drawing program")
        if node is None:
            self.found.left_out[f"clip-path of '#{match[1][:40]}', which is not in the file"] += 1
            return
        own = self.styles.properties(node)
        if node.attributes.get("clipPathUnits", "userSpaceOnUse") != "userSpaceOnUse" or "clip-path" in own:
            raise InputError("clip-path of this kind is not read: cut the shapes themselves in the drawing program")
        to_px = to_px @ self._transform(node, own)
        parts: list[PlacedPath] = []
        for child in node.children:
            child_look = self.styles.properties(child)
            if child.tag in ("", "title", "desc", "metadata") or child_look.get("display") == "none":
                continue
            if child.tag not in PATH_DATA or "clip-path" in child_look:
                raise InputError(f"clip-path with a {child.tag} is not read: cut the shapes themselves")
            if child_look.get("visibility", own.get("visibility", "visible")) == "visible":
                rule = child_look.get("clip-rule", own.get("clip-rule", "nonzero"))
                place = to_px @ self._transform(child, child_look)
                parts.append(PlacedPath(self._path(child, child_look), place, rule == "evenodd"))
        self._clips.append(tuple(parts))

    def _shape(self, node: Node, look: dict[str, str], to_px: Affine, inherited: dict[str, str]) -> None:
        if inherited.get("visibility", "visible") != "visible":
            return
        colour, stroke = (_colour(inherited, name) for name in ("fill", "stroke"))
        filled = is_painted(colour, inherited.get("fill-opacity", "1"))
        stroked = is_painted(stroke, "1") and not is_zero(inherited.get("stroke-width", "1"))
        if not (filled or (self.lines and stroked)):
            self.found.unfilled += 1
            return
        path = self._path(node, look)
        if not to_px.is_sound():
            raise InputError("its transforms are out of range")
        even_odd = inherited.get("fill-rule", "nonzero") == "evenodd"
        shape = DrawnShape(path, to_px, even_odd, node.label, plain_colour(colour), tuple(self._clips))
        self.found.shapes.append(shape)
        self.found.stroked += stroked and not self.lines

    def _path(self, node: Node, look: dict[str, str]) -> PathOutline:
        """The parsed path of a shape, counted each time it is drawn."""
        key = (node, self.page)
        if key not in self._paths:
            data, segments = checked_path_data(PATH_DATA[node.tag](Measures(node, look, self.page)))
            if segments > MAX_VERTICES:
                raise too_many_vertices(segments)
            self._paths[key] = PathOutline(data), segments
        path, segments = self._paths[key]
        self.found.segments += segments
        if self.found.segments > MAX_VERTICES:
            raise too_many_vertices(self.found.segments)
        return path

    def _refuse_masked(self, look: dict[str, str]) -> None:
        """Refuse what would cut the shapes within it otherwise than they were read."""
        if look.get("mask", "none") != "none":
            raise InputError("mask is not read: cut the shapes themselves in the drawing program")
        if look.get("filter", "none") != "none":
            self.found.left_out["filter"] += 1


class _Located(InputError):
    """A mistake that names its element already."""


def _at(node: Node, error: InputError) -> InputError:
    return _Located(f"{node.label}: {error.problem}")


def _colour(inherited: dict[str, str], name: str) -> str:
    colour = inherited.get(name, "black" if name == "fill" else "none")
    if colour.lower() == "currentcolor":
        colour = inherited.get("color", "black")
    return colour
