"""Outlines written as well-known text (OGC 06-103r4): its polygons, with the place of every mistake."""

from __future__ import annotations

import re
from typing import Any

from inlayfit.drawings.positions import Positions, RingedShape
from inlayfit.errors import InputError

MAX_NESTING = 20
MAX_GEOMETRIES = 5_000

_PREFIX = re.compile(r"\s*SRID\s*=\s*\d+\s*;", re.IGNORECASE)
_BETWEEN = re.compile(r"[\s;]*")
_WORD = re.compile(r"\s*([A-Za-z]+)")
_TOKEN = re.compile(r"\s*([(),]|[^\s(),]+)")
_DIMENSIONS = ("Z", "M", "ZM")
# How deep the lists of numbers lie: a point 1, a line of points 1, a polygon of rings 2, ...
_DEPTHS = {
    "POINT": 1, "LINESTRING": 1, "MULTIPOINT": 2, "MULTILINESTRING": 2, "POLYGON": 2, "MULTIPOLYGON": 3,
}  # fmt: skip


class _WktText:
    """The text with a position in it, and what has been read so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.position = 0
        self.found = Positions("linestring")

    def error(self, problem: str) -> InputError:
        start = self.position + len(self.text[self.position :]) - len(self.text[self.position :].lstrip())
        line = self.text.count("\n", 0, start) + 1
        column = start - self.text.rfind("\n", 0, start)
        return InputError(f"line {line}, column {column}: {problem}")

    def next_token(self) -> str:
        match = _TOKEN.match(self.text, self.position)
        return f"'{match[1][:30]}'" if match else "the end"

    def take(self, token: str) -> bool:
        match = _TOKEN.match(self.text, self.position)
        if match is None or match[1].upper() != token:
            return False
        self.position = match.end()
        return True

    def pass_separators(self) -> None:
        """Go past semicolons between geometries."""
        match = _BETWEEN.match(self.text, self.position)
        self.position = match.end() if match else self.position

    def expect(self, token: str) -> None:
        if not self.take(token):
            raise self.error(f"found {self.next_token()}, expected '{token}'")

    def word(self) -> str:
        match = _WORD.match(self.text, self.position)
        if match is None:
            raise self.error(f"found {self.next_token()}, expected POLYGON or MULTIPOLYGON")
        self.position = match.end()
        return match[1].upper()

    def geometry(self, depth: int = 0) -> None:
        """One tagged geometry; polygons and lines are kept, points are noted."""
        start = self.position
        name = self.word()
        for suffix in ("ZM", "Z", "M"):  # PostGIS writes POLYGONZ, the standard POLYGON Z
            if name.endswith(suffix) and name[: -len(suffix)] in (*_DEPTHS, "GEOMETRYCOLLECTION"):
                name = name[: -len(suffix)]
                break
        else:
            any(self.take(dimension) for dimension in _DIMENSIONS)
        if name == "GEOMETRYCOLLECTION":
            self._collection(depth)
            return
        if name not in _DEPTHS:
            self.position = start
            raise self.error(f"found {name}, expected POLYGON, MULTIPOLYGON or GEOMETRYCOLLECTION")
        if self.take("EMPTY"):
            if name.endswith("POLYGON"):
                self.position = start
                raise self.error(f"{name} is empty")
            return
        numbers = self.lists(_DEPTHS[name], bare_points=name == "MULTIPOINT")
        if name == "POLYGON":
            self._add(numbers)
        elif name == "MULTIPOLYGON":
            for rings in numbers:
                self._add(rings)
        elif name == "LINESTRING":
            self._add_line(numbers)
        elif name == "MULTILINESTRING":
            for line in numbers:
                self._add_line(line)
        else:
            self.found.left_out.append(name.removeprefix("MULTI").lower())

    def _add(self, rings: list[Any]) -> None:
        polygons = self.found.polygons
        if len(polygons) >= MAX_GEOMETRIES:
            raise InputError(f"over {MAX_GEOMETRIES:,} polygons: simplify the outline")
        polygons.append(RingedShape(f"polygon {len(polygons) + 1}", rings))

    def _add_line(self, points: list[Any]) -> None:
        self.found.lines.append((f"linestring {len(self.found.lines) + 1}", points))

    def _collection(self, depth: int) -> None:
        if depth >= MAX_NESTING:
            raise self.error(f"collections nested over {MAX_NESTING} deep")
        if self.take("EMPTY"):
            return
        self.expect("(")
        self.geometry(depth + 1)
        while self.take(","):
            self.geometry(depth + 1)
        self.expect(")")

    def lists(self, depth: int, *, bare_points: bool = False) -> list[Any]:
        """Bracketed lists, ``depth`` deep, of points; an empty part is an empty list.

        ``bare_points``: a multipoint is seen with and without brackets around each of its points.
        """
        if self.take("EMPTY"):
            return []
        self.expect("(")
        if depth == 1 or (bare_points and not self._opens()):
            return self._points()
        items = [self.lists(depth - 1)]
        while self.take(","):
            items.append(self.lists(depth - 1))
        self.expect(")")
        return items

    def _opens(self) -> bool:
        match = _TOKEN.match(self.text, self.position)
        return match is not None and (match[1] == "(" or match[1].upper() == "EMPTY")

    def _points(self) -> list[list[float]]:
        end = self.text.find(")", self.position)
        if end < 0:
            self.position = len(self.text)
            raise self.error("found the end, expected ')'")
        points: list[list[float]] = []
        for part in self.text[self.position : end].split(","):
            points.append(self._numbers(part))
            self.position += len(part) + 1
        self.position = end + 1
        return points

    def _numbers(self, part: str) -> list[float]:
        words = part.split()
        try:
            numbers = [float(word) for word in words]
        except ValueError:
            numbers = []
        if not 2 <= len(numbers) <= 4 or "_" in part:
            found = f"'{part.strip()[:30]}'" if words else "nothing"
            raise self.error(f"found {found}, expected a point: x y")
        return numbers


def read_wkt(text: str) -> Positions:
    """The polygons and lines of a text, and the points beside them.

    Reads polygons, lines, their multiples and collections, one after another, with Z or M (which are dropped),
    ``SRID=...;`` prefixes and comment lines starting with ``#``. Raises ``InputError`` with line and column.
    """
    lines = ["" if line.lstrip().startswith("#") else line for line in text.splitlines()]
    reader = _WktText("\n".join(lines))
    while True:
        prefix = _PREFIX.match(reader.text, reader.position)
        if prefix:
            reader.position = prefix.end()
        reader.geometry()
        reader.pass_separators()
        if reader.next_token() == "the end":
            return reader.found
