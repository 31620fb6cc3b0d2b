"""What a sheet leaves open for a choice: bits, depth and width, left out, `any` or a range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from inlayfit.errors import InputError, InputErrors
from inlayfit.quantity import LengthUnit, read_length
from inlayfit.sheet.jobsheet import SheetFiles
from inlayfit.sheet.tree import Entry, Field, Keys, Text

ANY: Final = "any"
_RANGES: Final = (("joint", "pocket_depth"), ("outline", "width"))
_ROLES: Final = ("v", "pocket_v", "plug_v", "clearing", "levelling")
Range = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What may be chosen. ``depth`` and ``width`` are ranges in mm, None where nothing bounds them.

    ``depth_open`` is False where the sheet fixes the pocket's depth; the width is open only where a range is given.
    """

    v_open: bool
    clearing_open: bool
    levelling_open: bool
    depth_open: bool
    depth: Range | None
    width: Range | None


def wish_of(files: SheetFiles, unit: LengthUnit) -> tuple[SheetFiles, Wish]:
    """The sheet without what it leaves open, which a sheet to plan cannot have, and what that is.

    Raises :class:`InputErrors` for a range that is none.
    """
    if files.sheet is None:
        return files, Wish(
            v_open=True, clearing_open=True, levelling_open=True, depth_open=True, depth=None, width=None
        )
    root, mistakes, ranges = files.sheet, list[InputError](), dict[tuple[str, str], Range | None]()
    for path in _RANGES:
        written = _at(root, path)
        if isinstance(written, Text) and (".." in written.text or written.text == ANY):
            ranges[path] = None if written.text == ANY else _range(written, path, unit, mistakes)
            root = _without(root, path)
    if mistakes:
        raise InputErrors(mistakes)
    bits = _at(root, ("bits",))
    if isinstance(bits, Text) and bits.text == ANY:
        root, bits = _without(root, ("bits",)), None
    fields: Mapping[str, Field] = bits.fields if isinstance(bits, Keys) else {}
    for role in _ROLES:
        entry = fields[role].value if role in fields else None
        if isinstance(entry, Text) and entry.text == ANY:
            root = _without(root, ("bits", role))
    bits = _at(root, ("bits",))
    given = set(bits.fields) if isinstance(bits, Keys) else set[str]()
    depth = ("joint", "pocket_depth")
    wish = Wish(
        v_open=not given & {"v", "pocket_v", "plug_v"},
        clearing_open="clearing" not in given,
        levelling_open="levelling" not in given,
        depth_open=_at(root, depth) is None,
        depth=ranges.get(depth),
        width=ranges.get(("outline", "width")),
    )
    return replace(files, sheet=root), wish


def _range(written: Text, path: tuple[str, str], unit: LengthUnit, mistakes: list[InputError]) -> Range | None:
    first, _, last = written.text.partition("..")
    try:
        low, high = (read_length(part.strip(), unit) for part in (first, last))
        if not 0 < low < high:
            raise InputError(f"found {written.text!r}, expected a range from a smaller to a larger length")
    except InputError as error:
        problem = f"{error.problem}; a range is written first..last, such as 3 mm..8 mm"
        mistakes.append(InputError(problem, where=path, place=str(written.place)))
        return None
    return low, high


def _at(root: Keys, path: tuple[str, ...]) -> Entry | None:
    entry: Entry = root
    for step in path:
        if not isinstance(entry, Keys) or step not in entry.fields:
            return None
        entry = entry.fields[step].value
    return entry


def _without(root: Keys, path: tuple[str, ...]) -> Keys:
    """The keys less the one at a path."""
    name, *rest = path
    fields = dict(root.fields)
    if not rest:
        del fields[name]
    else:
        inner = fields[name]
        assert isinstance(inner.value, Keys), "a path that was found"
        fields[name] = Field(inner.place, _without(inner.value, tuple(rest)))
    return Keys(root.place, fields)
