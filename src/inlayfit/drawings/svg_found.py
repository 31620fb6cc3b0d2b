"""What a walk over an SVG drawing meets, and what is said of what does not count."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from inlayfit.drawings.svg_drawn import DrawnShape


@dataclass
class Found:
    """What a walk over the drawing meets: shapes that count, and counts of what does not."""

    shapes: list[DrawnShape] = field(default_factory=list)
    drawn: int = 0
    segments: int = 0
    unpainted: int = 0
    stroked: int = 0
    """Filled shapes whose stroke is left out."""
    left_out: Counter[str] = field(default_factory=Counter)
    remarks: Counter[str] = field(default_factory=Counter)
    """Paints that are taken as plain fills."""
    words: list[str] = field(default_factory=list)
    is_font: bool = False

    def notes(self, *, strokes: bool) -> list[str]:
        """Lines on what was left out; ``strokes``: strokes count as well."""
        notes = []
        left_out = self.left_out.copy()
        texts = left_out.pop("text", 0)
        if texts:
            notes.append(f"left out {_counted(texts, 'text')}{_quoted(self.words)}: convert text to paths")
        notes += [f"left out {_counted(count, kind)}" for kind, count in left_out.items()]
        notes += [f"painted with {what}, taken as filled: {_counted(count, 'shape')}"
                  for what, count in self.remarks.items()]  # fmt: skip
        if self.unpainted:
            whole = self.unpainted + len(self.shapes)
            nothing = "neither fill nor stroke" if strokes else "no fill: only fills are read"
            notes.append(f"left out {self.unpainted} of {whole} shapes, which have {nothing}")
        if self.stroked:
            have = "have" if self.stroked > 1 else "has"
            stroked = f"{_counted(self.stroked, 'filled shape')} also {have} a stroke"
            notes.append(f"{stroked}: the outline is the edge of the fill")
        return notes

    def nothing_painted(self, *, strokes: bool) -> str:
        """Why there is no shape that counts."""
        if self.unpainted and strokes:
            return f"{_counted(self.unpainted, 'shape')} without fill or stroke: nothing is to be seen"
        cure = "or set outline.take to closed (what lines enclose) or strokes (with their width)"
        if self.unpainted > 1:
            return f"{self.unpainted} shapes, all without fill; fill them, convert strokes to paths, {cure}"
        if self.unpainted:
            return f"1 shape, without fill; fill it, convert its stroke to a path, {cure}"
        if self.is_font:
            return "a font, no drawing: set the letters in a drawing program, and convert them to paths"
        if self.left_out:
            kinds = ", ".join(_counted(count, kind) for kind, count in self.left_out.items())
            convertible = self.left_out.keys() & {"text", "image"}
            cure = "; convert text and images to filled paths" if convertible else ""
            return f"no shapes, only {kinds}{_quoted(self.words)}{cure}"
        return "no shapes in the drawing, expected filled ones"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 or " of '" in noun or "', which" in noun else f"{count} {noun}s"


def _quoted(words: list[str]) -> str:
    first = next((text for text in words if text), "")
    return f" ('{first if len(first) <= 30 else first[:27] + '...'}')" if first else ""
