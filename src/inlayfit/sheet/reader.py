"""Reads what stands in a sheet by the table of keys, and collects every mistake on the way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from inlayfit.errors import InputError, key_path
from inlayfit.sheet.key_names import advice, list_in, scalar_in, section_in
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.keytypes import Either, Key, KeyType, Listing, Numbered, Pair, Scalar, Section
from inlayfit.sheet.scalar import BareUnit, expected_words, is_bare, quoted, read_scalar
from inlayfit.sheet.syntax import NO_SPACE_AFTER_COLON, missing_space
from inlayfit.sheet.tree import Entry, Field, Items, Keys, Place, Source, Text, short_name

_ENOUGH: Final = 1_000
"""Mistakes after which reading on helps nobody; keeps a hostile sheet from costing time."""
_ADVISED: Final = 100
"""Mistakes after which the nearest known key is no longer looked for."""
_WITH_UNIT: Final = ("length", "length or share", "feed")

Path = tuple[str, ...]


class _EnoughMistakes(Exception):
    """Ends the reading of a sheet that is wrong all through."""


class SheetReader:
    """Reads one sheet, its layers put together.

    ``bare`` is the unit of bare numbers, ``units`` the same for sources that may have another. Mistakes go to
    the list that is handed in; ``unused`` collects the paths of keys that nothing uses yet, ``bare_in`` the
    sources of lengths without a unit.
    """

    def __init__(self, bare: BareUnit, units: Mapping[Source, BareUnit], mistakes: list[InputError]) -> None:
        self.bare = bare
        self.units = units
        self.mistakes = mistakes
        self.unused: list[str] = []
        self.bare_in: set[Source] = set()

    def read(self, root: Keys, table: Section = SHEET) -> dict[str, Any]:
        """Values of a whole file with the keys of a table; only worth having where no mistake came up."""
        try:
            return self._section(root, table, (), root.place, in_use=True)
        except _EnoughMistakes:
            return {}

    def _value(self, entry: Entry, type: KeyType, path: Path, place: Place, *, in_use: bool) -> Any:
        """``place`` is the key's own, for what is missing inside."""
        if isinstance(type, Either):
            match entry:
                case Text():
                    option: KeyType | None = scalar_in(type)
                case Items():
                    option = list_in(type)
                case Keys():
                    option = section_in(type)
            if option is None or (isinstance(entry, Text) and entry.nothing):
                return self._mistake(f"found {_form(entry)}, expected {_words(type)}", entry.place, path)
            type = option
        match type, entry:
            case Scalar(), Text(nothing=False):
                return self._scalar(entry, type, path)
            case Pair(), Items():
                return self._pair(entry, type, path)
            case Listing(), Items():
                return self._listing(entry, type, path, in_use=in_use)
            case Section(), Keys():
                return self._section(entry, type, path, place, in_use=in_use)
            case Numbered(), Keys():
                return self._numbered(entry, type, path)
        if isinstance(type, Section) and isinstance(entry, Text):
            match = NO_SPACE_AFTER_COLON.match(entry.text)
            if match and match["name"] in type.keys:
                return self._mistake(missing_space(entry.text), entry.place, path)
        return self._mistake(f"found {_form(entry)}, expected {_words(type)}", entry.place, path)

    def _section(self, entry: Keys, section: Section, path: Path, place: Place, *, in_use: bool) -> dict[str, Any]:
        values: dict[str, Any] = {}
        given: dict[str, Field] = {}
        for name, field in entry.fields.items():
            key = section.keys.get(name)
            where = (*path, short_name(name))
            if key is None:
                told = len(self.mistakes) < _ADVISED
                self._mistake(advice(name, section, path) if told else "unknown key", field.place, where)
                continue
            value = field.value
            if isinstance(key.type, Section) and isinstance(value, Text) and value.nothing:
                value = Keys(value.place, {})
            if _left_out(value, key):
                continue
            given[name] = field
            if in_use and not key.used:
                self.unused.append(key_path(where))
            values[name] = self._value(value, key.type, where, field.place, in_use=in_use and key.used)
        self._missing(section, given, path, place)
        self._rivals(section, given, path, place)
        return values

    def _missing(self, section: Section, given: Mapping[str, Field], path: Path, place: Place) -> None:
        for name, key in section.keys.items():
            if not key.required or name in given:
                continue
            inner = key.type.keys if isinstance(key.type, Section) else {}
            if isinstance(key.type, Section) and any(part.required for part in inner.values()):
                self._missing(key.type, {}, (*path, name), place)
            else:
                self._mistake(f"missing, expected {_words(key.type)}", place, (*path, name))

    def _rivals(self, section: Section, given: Mapping[str, Field], path: Path, place: Place) -> None:
        for group, needed in ((section.just_one_of, True), (section.at_most_one_of, False)):
            found = [name for name in given if name in group]
            if group and needed and not found:
                self._mistake(f"missing, expected one of {', '.join(group)}", place, path)
            for name in found[1:]:
                problem = f"found beside {found[0]}, expected only one of {', '.join(group)}"
                self._mistake(problem, given[name].place, (*path, name))

    def _listing(self, entry: Items, listing: Listing, path: Path, *, in_use: bool) -> Any:
        found = len(entry.items)
        if found < listing.least:
            self._mistake(f"found a list of {found}, expected at least {listing.least}", entry.place, path)
        if found > listing.most:
            problem = f"found a list of {found:,}, expected at most {listing.most:,}"
            return self._mistake(problem, entry.place, path)
        return tuple(
            self._value(item, listing.item, (*path, f"[{number}]"), item.place, in_use=in_use)
            for number, item in enumerate(entry.items, 1)
        )

    def _numbered(self, entry: Keys, numbered: Numbered, path: Path) -> Any:
        values: dict[int, Any] = {}
        for name, field in entry.fields.items():
            where = (*path, short_name(name))
            number = int(name) if name.isascii() and name.isdecimal() and len(name) < 10 else -1
            if not 0 <= number <= numbered.most:
                problem = f"found {quoted(name)}, expected a whole number up to {numbered.most:,}"
                self._mistake(problem, field.place, where)
            elif number in values:
                self._mistake(f"found {number} twice", field.place, where)
            else:
                values[number] = self._value(field.value, numbered.item, where, field.place, in_use=False)
        return values

    def _pair(self, entry: Items, pair: Pair, path: Path) -> Any:
        found = len(entry.items)
        if found != 2:
            hint = " (a decimal comma is not read, write a point)" if found > 2 else ""
            return self._mistake(f"found a list of {found}, expected 2{hint}", entry.place, path)
        return tuple(
            self._value(item, pair.item, (*path, f"[{number}]"), item.place, in_use=False)
            for number, item in enumerate(entry.items, 1)
        )

    def _scalar(self, entry: Text, scalar: Scalar, path: Path) -> Any:
        source = entry.place.source
        if source not in self.bare_in and scalar.kind in _WITH_UNIT and is_bare(entry.text):
            self.bare_in.add(source)
        try:
            return read_scalar(entry.text, scalar, self.units.get(source, self.bare))
        except InputError as error:
            return self._mistake(error.problem, entry.place, path)

    def _mistake(self, problem: str, place: Place, path: Path) -> Any:
        """Note a mistake; what is returned stands for the value that could not be read."""
        self.mistakes.append(InputError(problem, where=path, place=str(place)))
        if len(self.mistakes) >= _ENOUGH:
            raise _EnoughMistakes
        return None


def _left_out(value: Entry, key: Key) -> bool:
    """Whether a part stands there with nothing in it and needs nothing: the same as leaving it out."""
    if not isinstance(value, Keys) or value.fields or not isinstance(key.type, Section):
        return False
    return not any(part.required for part in key.type.keys.values())


def _form(entry: Entry) -> str:
    match entry:
        case Items():
            return "a list"
        case Keys():
            return "named keys"
    return "nothing" if entry.nothing or not entry.text.strip() else quoted(entry.text)


def _words(type: KeyType) -> str:
    match type:
        case Scalar():
            return expected_words(type)
        case Pair():
            return "two values in brackets such as [9, 7]"
        case Listing():
            return "a list in brackets"
        case Section():
            return f"named keys: {', '.join(type.keys)}"
        case Numbered():
            return f"{expected_words(type.item)} for each number, such as {{1: clearing, 2: v}}"
        case Either():
            return " or ".join(_words(option) for option in type.options)
