"""Units, page and transforms of an SVG drawing, after SVG 2 and CSS Values."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from inlayfit.errors import InputError

# CSS Values: 1 in = 96 px = 25.4 mm = 72 pt = 6 pc; 1 Q is a quarter of a millimetre.
MM_PER_PX = 25.4 / 96
PX_PER_UNIT = {
    "": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 960 / 25.4, "pt": 96 / 72, "pc": 16.0,
    "q": 96 / 101.6,
}  # fmt: skip

MAX_FACTOR = 1e12

NUMBER = r"[-+]?+(?:\d++\.?+\d*+|\.\d++)(?:[eE][-+]?+\d++)?+"
_LENGTH = re.compile(rf"\s*({NUMBER})([A-Za-z]*|%)\s*")  # a space before the unit makes it no length
_IN_PX = re.compile(rf"\s*{NUMBER}\s*(?:px)?\s*", re.IGNORECASE)
_UNSIZED = re.compile(r"(%|em|ex|ch|rem|vw|vh|vmin|vmax)\s*$", re.IGNORECASE)  # of a font or a window
_SEPARATOR = re.compile(r"[\s,]+")
_WORD = re.compile(rf"{NUMBER}[A-Za-z%]*")  # numbers need nothing between them: 'translate(4-3)'
_FUNCTION = re.compile(r"[\s,]*([A-Za-z0-9]+)\s*\(([^()]*)\)\s*")
_ANGLE = re.compile(rf"({NUMBER})(deg|rad|grad|turn)?")
_DEGREES = {"deg": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}
_ALIGN = re.compile(r"(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?")
_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


@dataclass(frozen=True)
class Affine:
    """The matrix (a b c d e f) of SVG: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __matmul__(self, inner: Affine) -> Affine:
        """The matrix that does ``inner`` first, then this one."""
        return Affine(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    def is_sound(self) -> bool:
        """Whether all six are numbers that can be reckoned with."""
        return all(abs(part) <= MAX_FACTOR for part in (self.a, self.b, self.c, self.d, self.e, self.f))


@dataclass(frozen=True)
class Page:
    """The page of a drawing: its user units in px, and whether the file says how large it is.

    ``width`` and ``height`` are those of the viewport in user units, for percentages; None where neither
    a viewBox nor a size is given.
    """

    to_px: Affine
    has_size: bool
    in_px: bool
    """Whether that size rests on 96 px to the inch: it is written in px, or no viewBox ties the page to it."""
    width: float | None
    height: float | None
    sides_px: tuple[float, float] | None = None
    """Width and height of the outermost page in px; None where the file does not tell both."""

    @property
    def diagonal(self) -> float | None:
        """Reference of percentages that belong to no direction: the diagonal over the root of 2."""
        if self.width is None or self.height is None:
            return None
        return math.hypot(self.width, self.height) / math.sqrt(2)


def length_px(text: str, percent_of: float | None = None) -> float:
    """A length of SVG in px: ``12``, ``3.5mm``, ``50%`` of ``percent_of``.

    Raises ``InputError`` for other units, for units that depend on a font or a window, for percentages
    of an unknown size and for numbers out of range.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise InputError(f"length '{text[:40]}' is not read: expected a number with mm, cm, in, px, pt or pc")
    value, unit = float(match[1]), match[2].lower()
    if unit != match[2] != unit.upper():
        raise InputError(f"unit of '{text[:40]}' is not read: write it in small letters")
    if unit == "%":
        if percent_of is None:
            raise InputError(f"length '{text}' is a share of an unknown size: give it in mm, in or px")
        value *= percent_of / 100
    elif unit in PX_PER_UNIT:
        value *= PX_PER_UNIT[unit]
    else:
        raise InputError(f"unit of '{text[:40]}' is not read: expected mm, cm, in, px, pt or pc")
    if not math.isfinite(value):
        raise InputError(f"length '{text[:40]}' is not a finite number")
    return value


def view_box(text: str) -> tuple[float, float, float, float]:
    """The four numbers of a viewBox; raises ``InputError`` where they are not four or span no area."""
    try:
        parts = _SEPARATOR.split(text.strip())
        if not all(re.fullmatch(NUMBER, part) for part in parts):
            raise ValueError
        x, y, width, height = map(float, parts)
    except ValueError:
        raise InputError(f"viewBox '{text[:60]}' is not read: expected four numbers") from None
    if not (all(map(math.isfinite, (x, y, width, height))) and width > 0 and height > 0):
        raise InputError(f"viewBox '{text[:60]}': width and height must be above 0")
    return x, y, width, height


def view_box_matrix(
    box: tuple[float, float, float, float], width: float, height: float, align: str = "xMidYMid meet"
) -> Affine:
    """From viewBox units to a viewport of ``width`` by ``height`` px (SVG 2, 8.2)."""
    x, y, box_width, box_height = box
    match = _ALIGN.fullmatch(align.strip())
    if match is None:
        raise InputError(f"preserveAspectRatio '{align[:40]}' is not read: expected e.g. xMidYMid meet")
    across, up = width / box_width, height / box_height
    if match[1] == "none":
        return Affine(across, 0, 0, up, -x * across, -y * up)
    scale = max(across, up) if match[4] == "slice" else min(across, up)
    return Affine(
        scale,
        0,
        0,
        scale,
        (width - box_width * scale) * _SHARE[match[2]] - x * scale,
        (height - box_height * scale) * _SHARE[match[3]] - y * scale,
    )


def read_page(width: str | None, height: str | None, box: str | None, align: str | None) -> Page:
    """The page from the outermost svg's width, height, viewBox and preserveAspectRatio.

    ``100%``, ``auto`` and ``1em`` say nothing about a size. Where only one of width and height is given, the other
    follows from the viewBox's proportions.
    """
    sides: list[float | None] = []
    for name, text in (("width", width), ("height", height)):
        given = text is not None and text.strip() != "auto" and not _UNSIZED.search(text)
        side = length_px(text) if text is not None and given else None
        if side is not None and side <= 0:
            raise InputError(f"{name} of the drawing is {text}: must be above 0")
        sides.append(side)
    wide, high = sides
    if box is None:
        known = None if wide is None or high is None else (wide, high)
        return Page(Affine(), wide is not None or high is not None, True, wide, high, known)
    numbers = view_box(box)
    _, _, box_width, box_height = numbers
    has_size = wide is not None or high is not None
    in_px = any(text is not None and _IN_PX.fullmatch(text) for text in (width, height))
    if wide is None:
        wide = box_width if high is None else high * box_width / box_height
    if high is None:
        high = wide * box_height / box_width
    to_px = view_box_matrix(numbers, wide, high, align or "xMidYMid")
    return Page(to_px, has_size, in_px, box_width, box_height, (wide, high))


def frame(
    measures: dict[str, str], box: str | None, align: str | None, outer: Page
) -> tuple[Affine, Page, tuple[float, float, float, float]]:
    """What an svg within the svg, or a symbol in use, is drawn in: its matrix, its own page, its x, y, width, height.

    ``measures`` are those four as written; what is left out is 0, or the whole of the page around.
    """
    x = length_px(measures.get("x", "0"), outer.width)
    y = length_px(measures.get("y", "0"), outer.height)
    sides = []
    for name, whole in (("width", outer.width), ("height", outer.height)):
        text = measures.get(name, "100%")
        sides.append(length_px("100%" if text == "auto" else text, whole))
    width, height = sides
    if width < 0 or height < 0:
        raise InputError("its width or height is negative")
    place = (x, y, width, height)
    if box is None:
        return Affine(e=x, f=y), Page(Affine(), True, False, width, height), place
    numbers = view_box(box)
    inner = view_box_matrix(numbers, width, height, align or "xMidYMid")
    return Affine(e=x, f=y) @ inner, Page(Affine(), True, False, numbers[2], numbers[3]), place


def origin_point(text: str, page: Page) -> tuple[float, float]:
    """The point of a transform-origin in user units; shares and words are of the page.

    Raises ``InputError`` for what is none.
    """
    words = text.lower().split()[:2]
    if len(words) == 1:
        words.insert(0 if words[0] in ("top", "bottom") else 1, "center")
    elif words[0] in ("top", "bottom") or words[1] in ("left", "right"):
        words.reverse()
    shares = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
    x, y = (shares.get(word, word) for word in words)
    return length_px(x, page.width), length_px(y, page.height)


def transform_matrix(text: str) -> Affine:
    """The matrix of a transform list, leftmost outermost.

    Reads the functions of SVG and their CSS forms in the plane; raises ``InputError`` for anything else.
    """
    matrix = Affine()
    if text.strip() in ("", "none"):
        return matrix
    position = 0
    while position < len(text):
        match = _FUNCTION.match(text, position)
        if match is None:
            raise InputError(f"transform '{text[:60]}' is not read from character {position + 1} on")
        position = match.end()
        words = _WORD.findall(match[2])
        reader = _FUNCTIONS.get(match[1])
        rest = _WORD.sub(" ", match[2]).strip(" ,\t\r\n")
        if reader is None or len(words) not in reader[0] or rest:
            raise InputError(f"transform '{match[0].strip()[:60]}' is not read: write it as a matrix")
        matrix = matrix @ reader[1](words)
    if not matrix.is_sound():
        raise InputError(f"transform '{text[:60]}' is out of range")
    return matrix


def _factor(word: str) -> float:
    if not re.fullmatch(NUMBER, word):
        raise InputError(f"transform holds '{word[:40]}': expected a number")
    return float(word)


def _radians(word: str) -> float:
    match = _ANGLE.fullmatch(word)
    if match is None:
        raise InputError(f"transform holds '{word[:40]}': expected an angle")
    return math.radians(float(match[1]) * _DEGREES[match[2] or "deg"])


def _translate(words: list[str]) -> Affine:
    x, y = length_px(words[0]), length_px(words[1]) if len(words) > 1 else 0.0
    return Affine(e=x, f=y)


def _scale(words: list[str]) -> Affine:
    return Affine(a=_factor(words[0]), d=_factor(words[-1]))


def _rotate(words: list[str]) -> Affine:
    angle = _radians(words[0])
    turn = Affine(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle))
    if len(words) == 1:
        return turn
    x, y = length_px(words[1]), length_px(words[2])
    return Affine(e=x, f=y) @ turn @ Affine(e=-x, f=-y)


_FUNCTIONS: dict[str, tuple[tuple[int, ...], Callable[[list[str]], Affine]]] = {
    "matrix": ((6,), lambda words: Affine(*map(_factor, words))),
    "translate": ((1, 2), _translate),
    "translateX": ((1,), _translate),
    "translateY": ((1,), lambda words: Affine(f=length_px(words[0]))),
    "scale": ((1, 2), _scale),
    "scaleX": ((1,), lambda words: Affine(a=_factor(words[0]))),
    "scaleY": ((1,), lambda words: Affine(d=_factor(words[0]))),
    "rotate": ((1, 3), _rotate),
    "skewX": ((1,), lambda words: Affine(c=math.tan(_radians(words[0])))),
    "skewY": ((1,), lambda words: Affine(b=math.tan(_radians(words[0])))),
}
