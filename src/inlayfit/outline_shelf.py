"""Outlines kept within a run, so that sheets and variants that share one read and analyse it once."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from inlayfit.intake import InputFile, make_outline
from inlayfit.joint.job import OutlineSource

if TYPE_CHECKING:
    from inlayfit.outline.analysis import OutlineAnalysis
    from inlayfit.outline.regions import Outline

MOST_KEPT: Final = 16


class OutlineShelf:
    """The outlines used last, with their analyses.

    Only what is equal to the last digit is shared: the same drawing, byte by byte, or the same shapes, at the same
    size. Another size is read anew, since curves are flattened for the size they are cut at.
    """

    def __init__(self) -> None:
        self._outlines: dict[Hashable, Outline] = {}
        self._analyses: list[OutlineAnalysis] = []

    def outline(
        self, source: OutlineSource, drawing: InputFile | None, plug: InputFile | None = None
    ) -> Outline:
        """The outline of a source, read where it is not at hand. Raises :class:`inlayfit.errors.InputError`."""
        files = tuple((file.data, file.name.rpartition(".")[2]) for file in (drawing, plug) if file is not None)
        key = (files, _hashable(source.shapes), replace(source, file=None, plug=None, shapes=()))
        outline = self._outlines.pop(key, None) or make_outline(source, drawing, plug)
        self._outlines[key] = outline
        while len(self._outlines) > MOST_KEPT:
            del self._outlines[next(iter(self._outlines))]
        return outline

    def analysis(self, outline: Outline) -> OutlineAnalysis:
        """The analysis of an outline from this shelf."""
        from inlayfit.outline.analysis import OutlineAnalysis

        for kept in self._analyses:
            if kept.outline is outline:
                return kept
        self._analyses = [OutlineAnalysis(outline), *self._analyses[: MOST_KEPT - 1]]
        return self._analyses[0]


def _hashable(value: Any) -> Hashable:
    if isinstance(value, Mapping):
        return tuple((name, _hashable(entry)) for name, entry in value.items())
    if isinstance(value, tuple):
        return tuple(_hashable(entry) for entry in value)
    return value
