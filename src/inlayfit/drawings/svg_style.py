"""How an SVG element looks: presentation attributes, style sheet and style attribute in one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from inlayfit.drawings.svg_tree import Node
from inlayfit.errors import InputError

# What decides about an outline; everything else in a style is of no consequence here.
INHERITED = frozenset(
    {
        "clip-rule", "color", "fill", "fill-opacity", "fill-rule", "marker-end", "marker-mid", "marker-start", "stroke",
        "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-opacity", "stroke-width",
        "visibility",
    }
)  # fmt: skip
_GEOMETRY = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry"})
_PROPERTIES = INHERITED | _GEOMETRY | {
    "clip-path", "display", "filter", "marker", "mask", "mask-type", "opacity", "overflow", "rotate", "scale",
    "stop-color", "stop-opacity", "transform", "transform-box", "transform-origin", "translate", "vector-effect",
}  # fmt: skip
_ATTRIBUTES = _PROPERTIES - {"marker", "rotate", "scale", "translate"}
_INITIAL = {
    "fill": "black", "fill-opacity": "1", "fill-rule": "nonzero", "clip-rule": "nonzero",
    "stroke": "none", "visibility": "visible",
}  # fmt: skip

MAX_SELECTOR_TESTS = 500_000

_NAMES = r"(?:[.#][\w\-\u0080-\uffff]++)"
_COMPOUND = re.compile(rf"(\*|[A-Za-z][\w-]*)?({_NAMES}*+)((?::not\([^()\s]++\))*+)")
_NOT = re.compile(r":not\(([^()]*)\)")
_STATE = re.compile(r":(hover|focus|active|visited|link|target|focus-within|focus-visible)\b")
_BRACE = re.compile(r"[{}]")


@dataclass(frozen=True)
class _Compound:
    """Part of a selector that speaks of one element: ``path.leaf``."""

    tag: str
    names: tuple[str, ...]  # '.class' and '#id' as written
    others: tuple[_Compound, ...] = ()
    """What the element must not be: ``:not(.vein)``."""

    def matches(self, node: Node) -> bool:
        if self.tag not in ("", "*", node.tag) or any(other.matches(node) for other in self.others):
            return False
        own = {f".{name}" for name in node.classes} | {f"#{node.attributes.get('id', '')}"}
        return own.issuperset(self.names)

    def weight(self) -> tuple[int, int, int]:
        """Ids, classes and tags, by which rules rank; of what it must not be the heaviest counts."""
        ids = sum(name[0] == "#" for name in self.names)
        own = ids, len(self.names) - ids, int(self.tag not in ("", "*"))
        other = max((other.weight() for other in self.others), default=(0, 0, 0))
        return own[0] + other[0], own[1] + other[1], own[2] + other[2]


@dataclass(frozen=True)
class _Rule:
    """A style rule: compounds from the outermost to the element's own, each with 'child only' or not."""

    chain: tuple[tuple[_Compound, bool], ...]
    declarations: dict[str, tuple[str, bool]]
    rank: tuple[int, int, int, int]

    def matches(self, node: Node, above: list[Node]) -> bool:
        """``above`` are the element's parents, the nearest first."""
        *outer, (own, child_only) = self.chain
        if not own.matches(node):
            return False
        starts = [0]  # where in ``above`` the next compound may stand
        for compound, next_child_only in reversed(outer):
            places = starts if child_only else range(starts[0], len(above))
            starts = [place + 1 for place in places if place < len(above) and compound.matches(above[place])]
            if not starts:
                return False
            child_only = next_child_only
        return True


class StyleSheet:
    """All style rules of a drawing; tells the properties that an element sets itself.

    Simple selectors (element, class, id, all) and their nesting by space and ``>`` are read. Rules with
    other selectors that would change an outline raise ``InputError``; rules within ``@`` blocks are
    counted in ``left_out``.
    """

    def __init__(self, root: Node) -> None:
        self.left_out = 0
        self._tests = 0
        self._rules: dict[str, list[_Rule]] = {}
        self._cache: dict[Node, dict[str, str]] = {}
        order = 0
        for node in root.subtree():
            if node.tag != "style" or node.attributes.get("type", "text/css") not in ("", "text/css"):
                continue
            media = node.attributes.get("media", "").lower().replace(",", " ").split()
            if media and not {"all", "screen"} & set(media):
                self.left_out += 1
                continue
            for selectors, body in self._blocks(_without_comments("".join(node.text))):
                declarations = dict(_declarations(body))
                if not declarations:
                    continue
                # an alternative within :not() is set off by a bar, so that the others can be parted at their commas
                for selector in _NOT.sub(_with_bars, selectors).split(","):
                    order += 1
                    self._add(" ".join(selector.split()), declarations, order, node)

    def _blocks(self, text: str) -> Iterator[tuple[str, str]]:
        position = 0
        while (opening := text.find("{", position)) >= 0:
            selectors = text[position:opening].rpartition(";")[2].strip()
            closing = text.find("}", opening)
            if selectors.startswith("@"):
                closing = _block_end(text, opening)
                self.left_out += selectors.startswith(("@media", "@supports", "@layer"))
            elif closing >= 0:
                yield selectors, text[opening + 1 : closing]
            if closing < 0:
                return
            position = closing + 1

    def _add(self, selector: str, declarations: dict[str, tuple[str, bool]], order: int, node: Node) -> None:
        chain: list[tuple[_Compound, bool]] = []
        child_only = False
        for word in selector.replace(">", " > ").split():
            if word == ">":
                child_only = True
                continue
            compound = _compound(word)
            if compound is None:
                if _STATE.search(word):
                    return  # how it looks under a pointer
                raise InputError(
                    f"line {node.line}: style rule '{selector.replace('|', ', ')[:40]}' is not read: "
                    "put fill and the like on the shapes themselves"
                )
            chain.append((compound, child_only))
            child_only = False
        if not chain:
            return
        weights = [compound.weight() for compound, _ in chain]
        ids, classes, tags = (sum(column) for column in zip(*weights, strict=True))
        rank = (ids, classes, tags, order)
        own = chain[-1][0]
        key = own.names[0] if own.names else own.tag or "*"
        self._rules.setdefault(key, []).append(_Rule(tuple(chain), declarations, rank))

    def properties(self, node: Node) -> dict[str, str]:
        """The properties that matter for an outline, as this element itself sets them."""
        if node not in self._cache:
            self._cache[node] = self._resolve(node)
        return self._cache[node]

    def _resolve(self, node: Node) -> dict[str, str]:
        found = {name: node.attributes[name].strip() for name in _ATTRIBUTES & node.attributes.keys()}
        ranked: list[tuple[bool, tuple[int, ...], str, str]] = []
        above = list(node.parents())
        keys = ["*", node.tag, f"#{node.attributes.get('id', '')}", *(f".{name}" for name in node.classes)]
        for rule in (rule for key in dict.fromkeys(keys) for rule in self._rules.get(key, ())):
            self._tests += 1 + (len(rule.chain) - 1) * len(above)
            if self._tests > MAX_SELECTOR_TESTS:
                raise InputError("too many style rules: put fill on the shapes themselves")
            if rule.matches(node, above):
                set_here = rule.declarations.items()
                ranked += [(strong, rule.rank, name, value) for name, (value, strong) in set_here]
        own = _declarations(node.attributes.get("style", ""))
        ranked += [(strong, (1_000_000,), name, value) for name, (value, strong) in own]
        for _, _, name, value in sorted(ranked, key=lambda item: item[:2]):
            found[name] = value
        for name in ("marker-start", "marker-mid", "marker-end") if "marker" in found else ():
            found.setdefault(name, found["marker"])
        for name, value in list(found.items()):
            word = value.lower()
            # an empty value is none, and leaves what is inherited
            if word in ("", "inherit", "unset", "revert") or (word == "initial" and name not in _INITIAL):
                del found[name]
            elif word == "initial":
                found[name] = _INITIAL[name]
        return found


def _with_bars(match: re.Match[str]) -> str:
    alternatives = [" ".join(part.split()) for part in match[1].split(",")]
    return f":not({'|'.join(alternatives)})"


def _compound(word: str) -> _Compound | None:
    match = _COMPOUND.fullmatch(word)
    if match is None:
        return None
    others: list[_Compound] = []
    for inner in _NOT.findall(match[3]):
        for alternative in inner.split("|"):
            found = _compound(alternative)
            if found is None or not alternative:
                return None
            others.append(found)
    return _Compound(match[1] or "", tuple(re.findall(r"[.#][^.#]+", match[2])), tuple(others))


def _without_comments(text: str) -> str:
    kept: list[str] = []
    position = 0
    while (opening := text.find("/*", position)) >= 0:
        kept.append(text[position:opening])
        closing = text.find("*/", opening + 2)
        if closing < 0:
            return "".join(kept)
        position = closing + 2
    kept.append(text[position:])
    return " ".join(kept).replace("<!--", " ").replace("-->", " ")


def _block_end(text: str, opening: int) -> int:
    depth = 0
    for brace in _BRACE.finditer(text, opening):
        depth += 1 if brace[0] == "{" else -1
        if depth == 0:
            return brace.start()
    return -1


def _declarations(text: str) -> Iterator[tuple[str, tuple[str, bool]]]:
    for declaration in text.split(";"):
        name, colon, value = declaration.partition(":")
        name = name.strip().lower()
        if colon and name in _PROPERTIES:
            value, strong, _ = value.strip().partition("!")
            yield name, (value.strip(), strong == "!")


def is_zero(share: str) -> bool:
    """Whether an opacity such as ``0``, ``0.0`` or ``0%`` is zero or less; what is no number counts as 1."""
    try:
        return float(share.strip().removesuffix("%")) <= 0
    except ValueError:
        return False
