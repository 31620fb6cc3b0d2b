"""A sheet on trial: planned again, as often as asked, with changes laid over it as if they had been typed."""

from __future__ import annotations

import os.path
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import replace
from functools import cached_property
from typing import Any, Final

from inlayfit import plan as planning
from inlayfit.advice.change import Change, Stage
from inlayfit.errors import InputError
from inlayfit.intake import DRAWINGS, STANDARD_INPUT, InputFile, Intake, input_file, intake_of, shown_name
from inlayfit.joint.job import Feeds
from inlayfit.outline_shelf import OutlineShelf
from inlayfit.plan import Plan
from inlayfit.quantity import LengthUnit
from inlayfit.sheet.jobsheet import SheetValues, read_files, sheet_values, unit_in
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.layers import lay_over, read_setting
from inlayfit.sheet.tree import Keys, Place, Source, Text
from inlayfit.sheet.writer import sheet_text

SAME: Final = 1e-6
"""Diameters closer than this, in mm, are one bit's."""


class SheetOnTrial:
    """A sheet with its shop files and settings; its outline, at each size, is read and looked at once."""

    def __init__(
        self,
        sheet: str,
        *,
        settings: Sequence[str] = (),
        shops: Sequence[str] = (),
        unit: LengthUnit | None = None,
        draws: int = 0,
        nominal: bool = False,
        read: Sequence[InputFile] = (),
    ) -> None:
        """``read``: the sheet's and the shop files' bytes, where they were read before. Raises :class:`InputError`."""
        self.sheet, self.unit, self.draws, self.nominal = sheet, unit, draws, nominal
        self.read = list(read) or [input_file(name) for name in (sheet, *shops)]
        self.settings = [read_setting(setting) for setting in settings]
        self.shelf = OutlineShelf()
        self.files = read_files(
            self.read[0].data, shown_name(sheet), shops=[(file.name, file.data) for file in self.read[1:]]
        )

    def with_changes(self, changes: Sequence[Change]) -> SheetOnTrial:
        """The same sheet with these changes made for good, on the same shelf of outlines."""
        other = copy(self)
        other.settings = [*self.settings, *map(_setting, changes)]
        other.__dict__.pop("values", None)
        other.__dict__.pop("intake", None)
        return other

    @property
    def bare_unit(self) -> LengthUnit:
        """Unit of the sheet's bare numbers; mm where neither the sheet nor a shop file names one."""
        layers = [layer for layer in (self.files.sheet, *self.files.shops) if layer is not None]
        units = (unit_in(layer) for layer in layers)
        return next((bare.unit for bare in units if bare is not None), "mm")

    @cached_property
    def values(self) -> SheetValues:
        """What stands in the sheet with its settings. Raises :class:`InputErrors`."""
        return sheet_values(self.files, self.settings)

    @cached_property
    def intake(self) -> Intake:
        """The sheet's job and outline as they are. Raises :class:`InputError`."""
        return self._intake(self.values)

    def _intake(self, values: SheetValues) -> Intake:
        return intake_of(values, self.sheet, files=self.read, unit=self.unit, outline_maker=self.shelf.outline)

    def sheet_with(self, changes: Sequence[Change], name: str) -> str:
        """The sheet with these changes as YAML, to be written to a file of this name; shop files stay apart.

        Posted programmes are left out: they were posted for what the sheet was before.
        """
        assert self.files.sheet is not None, "a sheet that was planned"
        root = self.files.sheet
        root = Keys(root.place, {name: field for name, field in root.fields.items() if name != "programmes"})
        for setting in [*self.settings, *map(_setting, changes)]:
            root = lay_over(root, setting, SHEET).root
        folder = "" if self.sheet == STANDARD_INPUT else os.path.dirname(self.sheet)
        moved = os.path.relpath(folder or ".", os.path.dirname(name) or ".")
        outline = root.fields.get("outline")
        if moved != "." and outline is not None and isinstance(outline.value, Keys):
            for key in DRAWINGS:
                drawing = outline.value.fields.get(key)
                if drawing is not None and isinstance(drawing.value, Text) and not os.path.isabs(drawing.value.text):
                    path = os.path.join(moved, drawing.value.text)
                    root = lay_over(root, read_setting(f"outline.{key}='{path}'"), SHEET).root
        return sheet_text(root)

    def part_with(self, changes: Sequence[Change]) -> str:
        """The changes alone as YAML, to be put into the sheet by hand."""
        root = Keys(Place(Source("changes")), {})
        for setting in map(_setting, changes):
            root = lay_over(root, setting, SHEET).root
        return sheet_text(root)

    def taken_in(self, changes: Sequence[Change]) -> Intake:
        """Job and outline with these changes. Raises :class:`InputError`."""
        return self._intake(sheet_values(self.files, [*self.settings, *map(_setting, changes)]))

    def plan(self, changes: Sequence[Change], stage: Stage) -> Plan | None:
        """The plan with these changes, as far as the stage goes; None where no joint is possible with them."""
        try:
            return self.planned(self.taken_in(changes), stage)
        except InputError:
            return None

    def planned(self, intake: Intake, stage: Stage, *, feeds: Feeds | None = None) -> Plan:
        """The plan of what was taken in, with its cutting time where feeds are given. Raises :class:`InputError`."""
        outline = None if stage == "depths" else intake.outline
        analysis = None if outline is None else self.shelf.analysis(outline)
        # cutting time takes longer than much else and is no check's concern
        return planning.plan(
            replace(intake.job, feeds=feeds),
            outline,
            analysis,
            nominal=self.nominal or stage == "drawn",
            draws=self.draws if stage == "whole" else 0,
        )

    def holds(self, *path: str) -> bool:
        """Whether the sheet itself gives this key."""
        entry: Any = self.values.values
        for step in path:
            if not isinstance(entry, Mapping) or step not in entry:
                return False
            entry = entry[step]
        return True

    def clearing_key(self, diameter: float) -> str | None:
        """Key of the sheet's clearing bit of this diameter in mm, such as ``bits.clearing[2]``; None without one."""
        given = self.values.values.get("bits", {}).get("clearing", ())
        if isinstance(given, Mapping):
            return "bits.clearing"
        numbers = (number for number, bit in enumerate(given, 1) if abs(bit["diameter"] - diameter) < SAME)
        number = next(numbers, None)
        return None if number is None else f"bits.clearing[{number}]"


def _setting(change: Change) -> Any:
    return read_setting(f"{change.key}={change.value}")
