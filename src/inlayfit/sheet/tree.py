"""YAML text to a small tree of what was written and where; the one importer of yaml.

Nothing is decided about values here: the text of a scalar is taken as it stands, so that ``010``, ``1:30``,
``yes`` and ``1/4"`` reach the reader of the sheet as the shop wrote them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import yaml

from inlayfit.errors import InputError, InputErrors
from inlayfit.sheet.syntax import NO_SPACE_AFTER_COLON, Position, in_plain_words, missing_space

MOST_BYTES: Final = 4_000_000
MOST_NODES: Final = 100_000
"""Keys, values and brackets after aliases are expanded: some 30,000 points of a polygon."""
MOST_DEPTH: Final = 30

_LONG_OUTLINE: Final = "(a long outline belongs in a file of its own)"
_COMMENT: Final = re.compile(r"[ \t]+#")
# YAML 1.1, 5.1: the characters that no text may hold
_NOT_TEXT: Final = yaml.reader.Reader.NON_PRINTABLE
_LOADER: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, eq=False)
class Source:
    """Where text comes from: a file, standard input, or one ``--set``.

    Two sources of one name stay two: each may have a unit of its own.
    """

    name: str
    has_lines: bool = True


class Place(NamedTuple):
    """A place in a source; line and column count from 1."""

    source: Source
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.source.name}:{self.line}:{self.column}" if self.source.has_lines else self.source.name


class Text(NamedTuple):
    """A scalar as written; ``plain`` where it stands without quotes."""

    place: Place
    text: str
    plain: bool = True
    cut_off: bool = False
    """Whether what follows on its line begins with `` #``, which YAML takes for a comment."""

    @property
    def nothing(self) -> bool:
        """Whether the value was left empty, as in ``depth:`` or ``depth: ~``."""
        return self.plain and self.text in ("", "~", "null")


class Field(NamedTuple):
    """A key's value, with the place of the key."""

    place: Place
    value: Entry


class Keys(NamedTuple):
    """Named keys in the order written."""

    place: Place
    fields: Mapping[str, Field]


class Items(NamedTuple):
    """A list."""

    place: Place
    items: tuple[Entry, ...]


Entry = Text | Keys | Items


class Tree(NamedTuple):
    """What a source holds: its root, None if it holds nothing, and mistakes that did not end the reading."""

    root: Entry | None
    mistakes: tuple[InputError, ...]


def short_name(name: str) -> str:
    """A key's name on one line of a message."""
    name = " ".join(name.split())
    return name if len(name) <= 60 else name[:57] + "..."


def read_tree(data: bytes, source: Source) -> Tree:
    """Read a whole file.

    Raises :class:`InputErrors` at the first mistake of syntax, for text that is not UTF-8, and for what is
    too large or nested too deep to be a job sheet.
    """
    if len(data) > MOST_BYTES:
        found = f"{len(data) / 1e6:.1f} MB, expected at most {MOST_BYTES / 1e6:.0f} MB"
        raise InputErrors([InputError(f"found {found} {_LONG_OUTLINE}", place=source.name)])
    return _parse(_decode(data, source), source)


def read_text(text: str, source: Source) -> Tree:
    """Read a piece of YAML, such as ``[9, 7]`` from the command line; errors as :func:`read_tree`."""
    return read_tree(text.encode("utf-8", "replace"), source)


def _decode(data: bytes, source: Source) -> str:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        start = error.start + (3 if data.startswith(b"\xef\xbb\xbf") else 0)
        lines = data[:start].decode("utf-8-sig", "replace").split("\n")
        place = Place(source, len(lines), len(lines[-1]) + 1)
        problem = "found bytes that are not UTF-8 text, expected a sheet saved as UTF-8"
        raise InputErrors([InputError(problem, place=str(place))]) from None
    if bad := _NOT_TEXT.search(text):
        lines = text[: bad.start()].split("\n")
        place = Place(source, len(lines), len(lines[-1]) + 1)
        problem = f"found the control character {ord(bad[0]):#04x}, expected plain text"
        raise InputErrors([InputError(problem, place=str(place))])
    return text


def _parse(text: str, source: Source) -> Tree:
    builder = _Builder(yaml.parse(text, Loader=_LOADER), source, text)
    try:
        return builder.tree()
    except yaml.YAMLError as error:
        raise InputErrors([*builder.mistakes, _syntax_mistake(error, text, source)]) from None
    except InputError as error:
        raise InputErrors([*builder.mistakes, error]) from None


def _syntax_mistake(error: yaml.YAMLError, text: str, source: Source) -> InputError:
    problem = str(getattr(error, "problem", None) or error)
    if "nesting depth" in problem:
        return _too_deep(Place(source))
    mark, opened = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
    at = Position(mark.line, mark.column) if mark else Position(0, 0)
    doing = str(getattr(error, "context", None) or "")
    complaint = in_plain_words(text, problem, doing, at, Position(opened.line, opened.column) if opened else None)
    return InputError(complaint.problem, place=str(Place(source, complaint.at.line + 1, complaint.at.column + 1)))


def _too_deep(place: Place) -> InputError:
    return InputError(f"found brackets or parts nested deeper than {MOST_DEPTH}", place=str(place))


class _Anchored(NamedTuple):
    entry: Entry
    nodes: int
    height: int


class _Builder:
    """One bounded pass over the parser's events; recursion ends at MOST_DEPTH."""

    def __init__(self, events: Iterator[Any], source: Source, text: str) -> None:
        self.events = events
        self.text = text
        self.source = source
        self.nodes = 0
        self.anchored: dict[str, _Anchored | None] = {}
        """By anchor; None while what the anchor names is still being read."""
        self.mistakes: list[InputError] = []

    def tree(self) -> Tree:
        root: Entry | None = None
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise self._error("found a second document (---), expected one job sheet a file", event)
            elif isinstance(event, yaml.NodeEvent):
                root = self.entry(event, (), 0)[0]
        if isinstance(root, Text) and root.nothing:
            root = None
        return Tree(root, tuple(self.mistakes))

    def entry(self, event: Any, path: tuple[str, ...], depth: int) -> tuple[Entry, int]:
        """The entry that begins with ``event``, and its height (0 for a scalar)."""
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event, path, depth)
        before = self.nodes
        self._count(1, event)
        if depth > MOST_DEPTH:
            raise _too_deep(self._place(event))
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")[:40]
            self._mistake(f"found the YAML tag {tag}, expected the plain value", event, path)
        if event.anchor is not None:
            self.anchored[event.anchor] = None
        entry: Entry
        height = 0
        if isinstance(event, yaml.ScalarEvent):
            plain = not event.style
            end = event.end_mark
            cut_off = plain and end is not None and _COMMENT.match(self.text, end.index) is not None
            entry = Text(self._place(event), self._clean(event, path), plain, cut_off)
        elif isinstance(event, yaml.SequenceStartEvent):
            entry, height = self._items(event, path, depth)
        else:
            entry, height = self._keys(event, path, depth)
        if event.anchor is not None:
            self.anchored[event.anchor] = _Anchored(entry, self.nodes - before, height)
        return entry, height

    def _alias(self, event: Any, path: tuple[str, ...], depth: int) -> tuple[Entry, int]:
        if event.anchor not in self.anchored:
            problem = f"found *{event.anchor}, expected &{event.anchor} somewhere before it"
            raise self._error(problem, event, path)
        anchored = self.anchored[event.anchor]
        if anchored is None:
            problem = f"found *{event.anchor} inside what it stands for, expected it outside"
            raise self._error(problem, event, path)
        self._count(anchored.nodes, event)
        if depth + anchored.height > MOST_DEPTH:
            raise _too_deep(self._place(event))
        return anchored.entry, anchored.height

    def _items(self, start: Any, path: tuple[str, ...], depth: int) -> tuple[Items, int]:
        items: list[Entry] = []
        height = 0
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            item, below = self.entry(event, (*path, f"[{len(items) + 1}]"), depth + 1)
            items.append(item)
            height = max(height, below)
        return Items(self._place(start), tuple(items)), height + 1

    def _keys(self, start: Any, path: tuple[str, ...], depth: int) -> tuple[Keys, int]:
        fields: dict[str, Field] = {}
        height = 0
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            if not isinstance(event, yaml.ScalarEvent):
                raise self._error("found brackets or an alias as a key, expected a name", event, path)
            self._count(1, event)
            name = self._clean(event, path)
            value, below = self.entry(next(self.events), (*path, short_name(name)), depth + 1)
            height = max(height, below)
            if isinstance(value, Text) and value.nothing:
                # nothing is nowhere, so its place is the key's
                value = Text(self._place(event), "")
                if not event.style:
                    name, value = self._spaced(event, name, value, path)
            if name == "<<" and not event.style:
                problem = "found a merge (<<), expected common keys in a file given with --shop"
                self._mistake(problem, event, path)
            elif name in fields:
                line = fields[name].place.line
                first = f"line {line}" if self.source.has_lines else "further left"
                problem = f"found this key twice, expected it once (the first is on {first})"
                self._mistake(problem, event, (*path, short_name(name)))
            else:
                fields[name] = Field(self._place(event), value)
        return Keys(self._place(start), fields), height + 1

    def _spaced(self, event: Any, name: str, value: Text, path: tuple[str, ...]) -> tuple[str, Text]:
        """``{angle:30}`` is told as a mistake and then read as meant, so that the rest is checked as well."""
        match = NO_SPACE_AFTER_COLON.fullmatch(name)
        if match is None:
            return name, value
        self._mistake(missing_space(name), event, (*path, match["name"]))
        return match["name"], Text(self._place(event), match["value"])

    def _clean(self, event: Any, path: tuple[str, ...]) -> str:
        text: str = event.value
        if event.style == '"' and (bad := _NOT_TEXT.search(text)):
            # an escape such as \0 can bring in what the file itself may not hold
            problem = f"found the control character {ord(bad[0]):#04x}, expected plain text"
            raise self._error(problem, event, path)
        return text

    def _count(self, nodes: int, event: Any) -> None:
        self.nodes += nodes
        if self.nodes > MOST_NODES:
            found = f"more than {MOST_NODES:,} keys and values, aliases counted in full"
            raise self._error(f"found {found} {_LONG_OUTLINE}", event)

    def _place(self, event: Any) -> Place:
        mark = event.start_mark
        return Place(self.source, mark.line + 1, mark.column + 1)

    def _error(self, problem: str, event: Any, path: tuple[str, ...] = ()) -> InputError:
        return InputError(problem, where=path, place=str(self._place(event)))

    def _mistake(self, problem: str, event: Any, path: tuple[str, ...]) -> None:
        self.mistakes.append(self._error(problem, event, path))
