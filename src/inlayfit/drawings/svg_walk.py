"""A walk over the elements of an SVG drawing as a renderer does it: transforms, styles, clones and clips worked in."""

from __future__ import annotations

import re
from typing import Final, Literal

from inlayfit.drawings.positions import MAX_VERTICES, too_many_vertices
from inlayfit.drawings.svg_drawn import Clip, DrawnShape
from inlayfit.drawings.svg_found import Found
from inlayfit.drawings.svg_frame import Affine, Page, frame, length_px, origin_point, read_page, transform_matrix
from inlayfit.drawings.svg_masks import mask_clips, refuse_other_masks
from inlayfit.drawings.svg_paint import Paint, is_whole, read_paint, read_stroke
from inlayfit.drawings.svg_path import PathOutline, checked_path_data
from inlayfit.drawings.svg_shapes import PATH_DATA, Measures, straight_points
from inlayfit.drawings.svg_style import INHERITED, StyleSheet, is_zero
from inlayfit.drawings.svg_tree import MAX_DEPTH, Node, SvgTree
from inlayfit.errors import InputError

MAX_DRAWN = 20_000  # elements that are drawn, those that `use` repeats counted each time

Counted = Literal["fills", "strokes", "lines"]
"""What counts: fills; fills and strokes; or lines, those of all that is painted."""

_CONTAINERS = frozenset({"g", "a", "svg", "switch"})
_TEXTS = frozenset({"text", "flowRoot", "foreignObject"})
_MARKED = frozenset({"path", "line", "polyline", "polygon"})
_REFERENCE = re.compile(r"""url\(\s*["']?#([^"')]+)["']?\s*\)""")
_UNTURNED_ORIGIN = re.compile(r"0(px|%)?(\s+0(px|%)?){0,2}|(left|top)(\s+(left|top))?")
_MARKERS = ("marker-start", "marker-mid", "marker-end")
_FAINT: Final = "faint"
"""Kept with the inherited properties: whether something around an element lets what is under it show."""
_LANGUAGES = "drawn for readers of one language only (systemLanguage): leave the shapes of one in the drawing"


class Walk:
    """Goes through a drawing as a renderer does; ``found`` is what it met."""

    def __init__(self, tree: SvgTree, counted: Counted) -> None:
        self.counted: Counted = counted
        self._clips: list[Clip] = []
        self._masks: list[Node] = []
        self.root = root = tree.root
        self.styles = StyleSheet(root)
        self.found = Found()
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
        if not is_whole(look.get("opacity", "1")):
            inherited[_FAINT] = "yes"
        try:
            to_px = to_px @ self._transform(node, look)
            self._clip(look, to_px)
            unread = self._mask(look, to_px, depth)
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
                self._refuse_misread(node, look, unread)
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
        for child in able:
            if "systemLanguage" in child.attributes and any(inner.tag in PATH_DATA for inner in child.subtree()):
                raise _at(child, InputError(_LANGUAGES))
        plain = [child for child in able if "systemLanguage" not in child.attributes]
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
            self._clips.append(Clip((DrawnShape(edge, to_px, False),)))
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
        parts: list[DrawnShape] = []
        for child in node.children:
            child_look = self.styles.properties(child)
            if child.tag in ("", "title", "desc", "metadata") or child_look.get("display") == "none":
                continue
            place = to_px @ self._transform(child, child_look)
            rules = {name: child_look.get(name, own.get(name)) for name in ("visibility", "clip-rule")}
            if child.tag == "use":
                child, child_look, place = self._cloned(child, child_look, place)
                rules = {name: child_look.get(name, rule) for name, rule in rules.items()}
            if child.tag not in PATH_DATA or "clip-path" in child_look:
                raise InputError(f"clip-path with a {child.tag} is not read: cut the shapes themselves")
            if (rules["visibility"] or "visible") == "visible":
                parts.append(DrawnShape(self._path(child, child_look), place, rules["clip-rule"] == "evenodd"))
        self._clips.append(Clip(tuple(parts)))

    def _cloned(self, use: Node, look: dict[str, str], to_px: Affine) -> tuple[Node, dict[str, str], Affine]:
        """The shape that a ``use`` in a clip path shows, how it looks, and where."""
        href = (use.href or "").strip()
        target = self._ids.get(href[1:]) if href.startswith("#") else None
        if target is None:
            raise InputError(f"clip-path with a use of '{(use.href or '')[:40]}', which is not in the file")
        own = self.styles.properties(target)
        x, y = length_px(look.get("x", "0"), self.page.width), length_px(look.get("y", "0"), self.page.height)
        return target, own, to_px @ Affine(e=x, f=y) @ self._transform(target, own)

    def _mask(self, look: dict[str, str], to_px: Affine, depth: int) -> InputError | None:
        """Enter what a mask of white and black shapes shows; the mistake of a mask that is not read, if any."""
        value = look.get("mask", "none")
        if value == "none":
            return None
        match = _REFERENCE.fullmatch(value)
        node = self._ids.get(match[1].strip()) if match else None
        if match is not None and node is None:
            self.found.left_out[f"mask of '#{match[1][:40]}', which is not in the file"] += 1
            return None
        try:
            if node is None or node.tag != "mask":
                raise InputError(f"mask '{value[:30]}' is not read")
            if node in self._masks:
                raise InputError("it refers to itself")
            self._masks.append(node)
            self._clips += self._mask_clips(node, to_px, depth)
            self._masks.pop()
        except InputError as error:
            cure = "cut the shapes themselves in the drawing program"
            return InputError(f"mask is not read ({error.problem.partition(': ')[2] or error.problem}): {cure}")
        return None

    def _mask_clips(self, node: Node, to_px: Affine, depth: int) -> list[Clip]:
        """What a mask shows: its white shapes, less what is black over them, within its frame."""
        refuse_other_masks(node, self.styles.properties(node))
        kept = self.found, self.counted, self._clips
        self.found, self.counted, self._clips = Found(drawn=kept[0].drawn, segments=kept[0].segments), "strokes", []
        try:
            own = self.styles.properties(node)
            inherited = {name: own[name] for name in INHERITED & own.keys()}
            for child in node.children:
                self.element(child, to_px, inherited, (), depth + 1)
            met = self.found
        finally:
            self.found, self.counted, self._clips = kept
        self.found.drawn, self.found.segments = met.drawn, met.segments
        return mask_clips(node, self.styles.properties(node), met, to_px, self.page)

    def _shape(self, node: Node, look: dict[str, str], to_px: Affine, inherited: dict[str, str]) -> None:
        if inherited.get("visibility", "visible") != "visible":
            return
        self._note_markers(node, inherited)
        fill, stroke = self._paint(inherited, "fill"), self._paint(inherited, "stroke")
        if is_zero(inherited.get("stroke-width", "1")):
            stroke = Paint(None)
        counted, colour = self.counted, fill.colour
        if counted == "lines" and colour is None:
            colour = stroke.colour
        if colour is None and (counted != "strokes" or stroke.colour is None):
            self.found.unpainted += 1
            return
        path = self._path(node, look)
        if not to_px.is_sound():
            raise InputError("its transforms are out of range")
        even_odd = inherited.get("fill-rule", "nonzero") == "evenodd"
        clips, faint = tuple(self._clips), _FAINT in inherited
        shapes = self.found.shapes
        if colour is not None:
            opaque = not faint and is_whole(inherited.get("fill-opacity", "1"))
            shapes.append(DrawnShape(path, to_px, even_odd, node.label, colour, clips, None, opaque))
        if stroke.colour is not None and counted == "strokes":
            opaque = not faint and is_whole(inherited.get("stroke-opacity", "1"))
            if look.get("vector-effect", "none") != "none":
                raise InputError("a stroke that does not scale is not read: convert it to paths")
            how = read_stroke(inherited, self.page.diagonal)
            shapes.append(DrawnShape(path, to_px, False, node.label, stroke.colour, clips, how, opaque))
        self.found.stroked += stroke.colour is not None and counted == "fills"

    def _paint(self, inherited: dict[str, str], name: str) -> Paint:
        text = inherited.get(name, "black" if name == "fill" else "none")
        if text.lower() == "currentcolor":
            text = inherited.get("color", "black")
        paint = read_paint(text, inherited.get(f"{name}-opacity", "1"), self._ids, self.styles)
        if paint.remark and (name == "fill" or self.counted == "strokes"):
            if paint.colour is None:
                self.found.left_out[paint.remark] += 1
            else:
                self.found.remarks[paint.remark] += 1
        return paint

    def _note_markers(self, node: Node, inherited: dict[str, str]) -> None:
        for name in _MARKERS if node.tag in _MARKED else ():
            match = _REFERENCE.fullmatch(inherited.get(name, "none"))
            if match and match[1].strip() in self._ids:
                self.found.left_out["marker"] += 1

    def _path(self, node: Node, look: dict[str, str]) -> PathOutline:
        """The parsed path of a shape, counted each time it is drawn."""
        key = (node, self.page)
        if key not in self._paths:
            measures = Measures(node, look, self.page)
            straight = straight_points(measures)
            if straight is None:
                data, segments = checked_path_data(PATH_DATA[node.tag](measures))
                if segments > MAX_VERTICES:
                    raise too_many_vertices(segments)
                self._paths[key] = PathOutline(data), segments
            else:
                points, closed = straight
                self._paths[key] = PathOutline.straight(points, closed=closed), len(points)
        path, segments = self._paths[key]
        self.found.segments += segments
        if self.found.segments > MAX_VERTICES:
            raise too_many_vertices(self.found.segments)
        return path

    def _refuse_misread(self, node: Node, look: dict[str, str], unread: InputError | None) -> None:
        """Refuse what would cut the shapes within it otherwise than they were read."""
        if unread is not None:
            raise unread
        if "systemLanguage" in node.attributes:
            raise InputError(_LANGUAGES)
        if look.get("filter", "none") != "none":
            self.found.left_out["filter"] += 1


class _Located(InputError):
    """A mistake that names its element already."""


def _at(node: Node, error: InputError) -> InputError:
    return _Located(f"{node.label}: {error.problem}")
