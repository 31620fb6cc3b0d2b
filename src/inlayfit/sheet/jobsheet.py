"""The job sheet as values: its layers put together and read by the one table of keys.

Whatever is wrong is told in one go, a line for each mistake, with file, line, column and key path. What the
values mean together (two V-bits or one, gaps against depths) is for whoever builds the job from them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from inlayfit.errors import InputError, InputErrors
from inlayfit.quantity import MM_PER_UNIT, LengthUnit
from inlayfit.sheet.key_names import type_at
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.keytypes import Scalar
from inlayfit.sheet.layers import Setting, lay_over, lay_under, read_setting
from inlayfit.sheet.reader import SheetReader
from inlayfit.sheet.scalar import UNITS, BareUnit, quoted, unit_meant
from inlayfit.sheet.syntax import missing_space
from inlayfit.sheet.tree import Entry, Items, Keys, Place, Source, Text, Tree, read_tree

MOST_MISTAKES: Final = 50
"""Lines of mistakes that are told; the rest is counted."""
_NEEDED: Final = "base.thickness, plug.thickness and bits.v.angle"
_KEYS_EXPECTED: Final = "expected named keys such as base:"
_LONG_UNIT: Final = {"in": "inches", "mm": "mm"}


@dataclass(frozen=True, kw_only=True)
class SheetValues:
    """A job sheet that was read: what stands in it, nothing assumed."""

    values: dict[str, Any]
    """Nested by section; pairs and lists are tuples. Lengths in mm, angles in degrees, shares as fractions
    of 1, forces in N, pressures in MPa, temperatures in C, feeds in mm a minute; a 'length or share' that was
    written as a share is a :class:`inlayfit.sheet.keytypes.Share`. Keys that were left out are absent."""
    unit: LengthUnit
    """Unit of bare numbers and of the report."""
    unit_given: bool
    """Whether the sheet, a shop file or a setting names the unit."""
    unused: tuple[str, ...]
    """Key paths that were checked but that nothing uses yet."""
    notes: tuple[str, ...]
    """What the user should know about how the layers went together."""
    root: Keys = field(repr=False, compare=False)
    """The sheet as written, layers put together."""

    def number(self, where: Sequence[str]) -> float | None:
        """The length or feed at a key path in the sheet's unit, or the angle in degrees; None where it is neither."""
        type = type_at(SHEET, where)
        value: Any = self.values
        for step in where:
            if isinstance(value, dict):
                value = value.get(step)
            elif isinstance(value, tuple) and 0 < _number(step) <= len(value):
                value = value[_number(step) - 1]
            else:
                return None
        if not isinstance(type, Scalar) or not isinstance(value, float):
            return None
        if type.kind == "angle":
            return value
        return round(value / MM_PER_UNIT[self.unit], 9) if type.kind in ("length", "length or share", "feed") else None

    def place_of(self, where: Sequence[str]) -> str:
        """``file:line:column`` of the key at a path such as ``("joint", "glue_gap")``.

        Where the key does not stand in the sheet, the place of the nearest part that it would be in.
        """
        place: Place = self.root.place
        entry: Entry = self.root
        for step in where:
            if isinstance(entry, Keys) and step in entry.fields:
                place, entry = entry.fields[step].place, entry.fields[step].value
            elif isinstance(entry, Items) and (number := _number(step)) and number <= len(entry.items):
                entry = entry.items[number - 1]
                place = entry.place
            else:
                break
        return str(place)


@dataclass(frozen=True, kw_only=True)
class SheetFiles:
    """A sheet and its shop files as they were parsed, good for any number of settings."""

    names: tuple[str, ...]
    """What messages call the sheet and each shop file."""
    sheet: Keys | None
    """None, as a shop file, where the mistakes say why there is nothing to go on with."""
    shops: tuple[Keys | None, ...]
    mistakes: tuple[InputError, ...]


def read_sheet(
    data: bytes, name: str, *, settings: Sequence[str] = (), shops: Sequence[tuple[str, bytes]] = ()
) -> SheetValues:
    """Read a job sheet.

    ``data`` is the sheet's YAML and ``name`` what messages call it. ``shops`` are partial sheets as name and
    data, laid under the sheet, a later one over an earlier one. ``settings`` are ``KEY=VALUE`` (or ``KEY=``
    to take a key out), laid over it all in their order.

    Raises :class:`InputErrors` with every mistake, in the order of the sheet, the shop files, the settings.
    """
    files = read_files(data, name, shops=shops)
    mistakes: list[InputError] = []
    given = _settings(settings, mistakes)
    return sheet_values(files, given, mistakes=mistakes)


def read_files(data: bytes, name: str, *, shops: Sequence[tuple[str, bytes]] = ()) -> SheetFiles:
    """Parse a sheet and its shop files; mistakes are kept for :func:`sheet_values`, which tells them all."""
    mistakes: list[InputError] = []
    return SheetFiles(
        names=(name, *(shop for shop, _ in shops)),
        sheet=_layer(data, Source(name), mistakes),
        shops=tuple(_layer(text, Source(shop), mistakes, partial=True) for shop, text in shops),
        mistakes=tuple(mistakes),
    )


def read_partial(data: bytes, name: str) -> Keys:
    """The keys of a partial sheet by itself; empty where it holds nothing. Raises :class:`InputErrors`."""
    mistakes: list[InputError] = []
    keys = _layer(data, Source(name), mistakes, partial=True)
    if keys is None or mistakes:
        raise _in_order(mistakes, (name,))
    return keys


def sheet_values(
    files: SheetFiles,
    settings: Sequence[Setting] = (),
    *,
    bit_sets: Sequence[Keys] = (),
    mistakes: Iterable[InputError] = (),
) -> SheetValues:
    """Values of a parsed sheet with its layers put together.

    ``bit_sets`` are the partial sheets that values of ``settings`` come from, whose bare numbers are in their
    own unit; ``mistakes`` came up before. Raises :class:`InputErrors` as :func:`read_sheet`.
    """
    mistakes = [*files.mistakes, *mistakes]
    names = [*files.names, *(keys.place.source.name for keys in bit_sets)]
    sheet = files.sheet
    partial = [layer for layer in files.shops if layer is not None]
    if sheet is None or len(partial) < len(files.shops):
        raise _in_order(mistakes, names)

    root, notes = _laid_together(sheet, partial, settings, mistakes)
    partial = [*partial, *bit_sets]
    bare = unit_in(root) or BareUnit("mm", given=False)
    units = {shop.place.source: unit_in(shop) or bare for shop in partial}
    mistakes.extend(_unit_mistakes(partial, root))
    reader = SheetReader(bare, units, mistakes)
    values = reader.read(root)
    if mistakes:
        raise _in_order(mistakes, names)
    return SheetValues(
        values=values,
        unit=bare.unit,
        unit_given=bare.given,
        unused=tuple(reader.unused),
        notes=(*_title_notes(root), *_unit_notes(sheet, partial, root, bare, reader.bare_in), *notes),
        root=root,
    )


def _layer(data: bytes, source: Source, mistakes: list[InputError], *, partial: bool = False) -> Keys | None:
    """The keys of one file; None where there is nothing to go on with, and the mistakes say why."""
    try:
        tree = read_tree(data, source)
    except InputErrors as error:
        mistakes.extend(error.mistakes)
        return None
    mistakes.extend(tree.mistakes)
    match tree:
        case Tree(Keys() as keys, _):
            return keys
        case Tree(None, _):
            if partial:
                return Keys(Place(source), {})
            problem = f"found nothing, expected a job sheet with at least {_NEEDED}"
        case Tree(Text() as written, _):
            problem = missing_space(written.text) or f"found {quoted(written.text)}, {_KEYS_EXPECTED}"
        case _:
            problem = f"found a list, {_KEYS_EXPECTED}"
    place = tree.root.place if tree.root else Place(source)
    mistakes.append(InputError(problem, place=str(place)))
    return None


def _settings(texts: Sequence[str], mistakes: list[InputError]) -> list[Setting]:
    settings: list[Setting] = []
    for text in texts:
        try:
            setting = read_setting(text)
        except InputErrors as error:
            mistakes.extend(error.mistakes)
        except InputError as error:
            mistakes.append(error)
        else:
            mistakes.extend(setting.mistakes)
            settings.append(setting)
    return settings


def _laid_together(
    sheet: Keys, shops: Sequence[Keys], settings: Sequence[Setting], mistakes: list[InputError]
) -> tuple[Keys, list[str]]:
    root, notes = sheet, list[str]()
    for shop in reversed(shops):
        root, told, wrong = lay_under(root, shop, SHEET)
        notes.extend(told)
        mistakes.extend(wrong)
    for setting in settings:
        try:
            root, told, _ = lay_over(root, setting, SHEET)
        except InputError as error:
            mistakes.append(error)
        else:
            notes.extend(told)
    return root, notes


def unit_in(root: Keys) -> BareUnit | None:
    """The unit a layer names; of a word that is refused the unit it means, so that the rest reads well."""
    unit = root.fields.get("unit")
    if unit is None or not isinstance(unit.value, Text) or unit.value.nothing:
        return None
    return BareUnit(unit_meant(unit.value.text) or "mm", given=True)


def _unit_mistakes(shops: Sequence[Keys], root: Keys) -> Iterable[InputError]:
    """A shop file's unit counts for its own numbers even where the sheet's covers it."""
    for shop in shops:
        unit = shop.fields.get("unit")
        if unit is None or unit is root.fields.get("unit"):
            continue
        if not isinstance(unit.value, Text) or unit.value.text not in UNITS:
            found = quoted(unit.value.text) if isinstance(unit.value, Text) else "brackets or keys"
            problem = f"found {found}, expected {' or '.join(UNITS)}"
            yield InputError(problem, where=("unit",), place=str(unit.value.place))


def _title_notes(root: Keys) -> Iterable[str]:
    title = root.fields.get("title")
    if title is not None and isinstance(title.value, Text) and title.value.cut_off:
        yield (
            f"{title.value.place}: the title ends before ' #', which begins a comment: put the whole title in quotes "
            "if that belongs to it"
        )


def _unit_notes(sheet: Keys, shops: Sequence[Keys], root: Keys, bare: BareUnit, bare_in: set[Source]) -> Iterable[str]:
    unit = root.fields.get("unit")
    owner = unit.place.source if unit else None
    read_in = f"names no unit: its bare numbers are read in {_LONG_UNIT[bare.unit]}"
    if any(owner is shop.place.source for shop in shops) and owner is not None:
        yield f"{sheet.place.source.name} {read_in}, the unit of {owner.name}"
    for shop in shops:
        if "unit" not in shop.fields and shop.place.source in bare_in:
            yield f"{shop.place.source.name} {read_in}, the sheet's unit"


def _in_order(mistakes: Iterable[InputError], names: Sequence[str]) -> InputErrors:
    """Mistakes by place: the sheet's, each shop file's, then the settings'."""

    def by_place(mistake: InputError) -> tuple[int, int, int]:
        name, *numbers = mistake.place.rsplit(":", 2)
        if name not in names or len(numbers) < 2:
            return (names.index(mistake.place) if mistake.place in names else len(names), 0, 0)
        return (names.index(name), int(numbers[0]), int(numbers[1]))

    told = sorted(mistakes, key=by_place)
    if len(told) > MOST_MISTAKES:
        rest = InputError(f"and {len(told) - MOST_MISTAKES:,} mistakes more", place=names[0])
        told = [*told[:MOST_MISTAKES], rest]
    return InputErrors(told)


def _number(step: str) -> int:
    """The number in ``[2]``; 0 for a name."""
    inside = step.removeprefix("[").removesuffix("]")
    return int(inside) if step.startswith("[") and inside.isascii() and inside.isdigit() else 0
