"""Layers of a job sheet: shop files laid under it, single settings laid over it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, NamedTuple

from inlayfit.errors import InputError, key_path
from inlayfit.sheet.key_names import advice, list_in, rivals, section_in, sizes_of_bit
from inlayfit.sheet.keytypes import KeyType, Section
from inlayfit.sheet.scalar import quoted
from inlayfit.sheet.tree import Entry, Field, Items, Keys, Place, Source, Text, read_text, short_name

_PATH: Final = re.compile(r"[A-Za-z_][\w-]*(?:\[-?\d+\]|\.[A-Za-z_][\w-]*)*")
_STEP: Final = re.compile(r"\[-?\d+\]|[^.\[\]]+")

Path = tuple[str, ...]


class Layered(NamedTuple):
    """A sheet with another layer, and what to tell the user about it."""

    root: Keys
    notes: tuple[str, ...] = ()
    mistakes: tuple[InputError, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One ``--set KEY=VALUE``; ``value`` None removes the key."""

    path: Path
    value: Entry | None
    place: Place
    mistakes: tuple[InputError, ...] = ()


def lay_under(sheet: Keys, shop: Keys, table: Section) -> Layered:
    """Fill what ``sheet`` leaves out from ``shop``.

    Named keys are merged key by key and the sheet's own win; lists and single values replace whole. Where
    the sheet names one of several keys that cannot stand together, the shop's others are left out: a sheet
    with ``bits.v`` can lie over a shop file with ``pocket_v`` and ``plug_v``. A bit whose size the sheet gives
    is the sheet's alone, since name, reach and passes of the shop's belong to another bit; a note says so.
    """
    merging = _Merging()
    root = merging.merged(sheet, shop, table, ())
    return Layered(root, tuple(merging.notes), tuple(merging.mistakes))


class _Merging:
    """Two layers on their way to one."""

    def __init__(self) -> None:
        self.notes: list[str] = []
        self.mistakes: list[InputError] = []

    def merged(self, upper: Keys, lower: Keys, section: Section | None, path: Path) -> Keys:
        sizes = sizes_of_bit(section)
        if any(size in upper.fields for size in sizes):
            return self._sheets_bit(upper, lower, sizes, path)
        fields = dict(upper.fields)
        taken: list[str] = []
        for name, field in lower.fields.items():
            type = section.keys[name].type if section and name in section.keys else None
            own = upper.fields.get(name)
            if own is None:
                if section is None or not rivals(section, name) & upper.fields.keys():
                    fields[name] = field
                    taken.append(name)
            elif isinstance(own.value, Keys) and isinstance(field.value, Keys):
                fields[name] = Field(own.place, self.merged(own.value, field.value, section_in(type), (*path, name)))
            elif _says_nothing(own.value) and isinstance(field.value, Keys) and section_in(type):
                # 'joint:' with nothing under it says as much as leaving it out
                fields[name] = field
        if sizes and taken and upper.fields:
            self.notes.append(
                f"{key_path(path)} is the bit of {lower.place.source.name}, with {_names(upper.fields)} from "
                f"{upper.place.source.name}"
            )
        return Keys(upper.place, fields)

    def _sheets_bit(self, upper: Keys, lower: Keys, sizes: Path, path: Path) -> Keys:
        """The upper layer's bit alone, since it says which bit it is."""
        above, below = upper.place.source.name, lower.place.source.name
        given = [size for size in sizes if size in upper.fields]
        needed = sizes[0]
        if needed not in given and needed in lower.fields:
            problem = f"found {' and '.join(given)} without {needed}, expected {needed} as well: with its size a bit is"
            where = upper.fields[given[0]].place
            self.mistakes.append(
                InputError(f"{problem} taken whole, and the one in {below} is left out", where=path, place=str(where))
            )
            # told once
            return Keys(upper.place, {**upper.fields, needed: lower.fields[needed]})
        if left := [name for name in lower.fields if name not in upper.fields]:
            self.notes.append(
                f"{key_path(path)} is the bit of {above}, which gives its {needed}; left out, as another bit's: "
                f"{_names(left)} in {below}"
            )
        return upper


def _names(keys: Iterable[str]) -> str:
    return ", ".join(short_name(name) for name in keys)


def _alike(old: Entry, new: Entry) -> bool:
    return isinstance(old, Text) and isinstance(new, Text) and old.text == new.text


def _says_nothing(entry: Entry) -> bool:
    return isinstance(entry, Text) and entry.nothing


def read_setting(text: str, *, option: str = "--set") -> Setting:
    """Read ``KEY=VALUE``; ``option`` is where messages say it stands.

    A value that begins with a bracket is read as YAML, one in quotes without them, anything else as it
    stands, so that ``1/4"``, ``5 %`` and ``#2`` need no second pair of quotes. Raises :class:`InputError`.
    """
    key, equals, value = text.partition("=")
    key, value = key.strip(), value.strip()
    source = Source(f"{option} {short_name(key)}", has_lines=False)
    place = Place(source)
    if not equals or not _PATH.fullmatch(key):
        expected = "KEY=VALUE such as joint.glue_gap=0.4 mm or bits.clearing[2].diameter=3"
        raise InputError(f"found {quoted(text)}, expected {expected}", place=option)
    path = tuple(_STEP.findall(key))
    if not value:
        return Setting(path=path, value=None, place=place)
    if value[0] in "[{":
        tree = read_text(value, source)
        mistakes = (
            InputError(error.problem, where=(*path, *error.where), place=error.place) for error in tree.mistakes
        )
        return Setting(path=path, value=tree.root, place=place, mistakes=tuple(mistakes))
    if len(value) > 1 and value[0] == value[-1] and value[0] in "'\"":
        return Setting(path=path, value=Text(place, value[1:-1], plain=False), place=place)
    return Setting(path=path, value=Text(place, value), place=place)


def lay_over(sheet: Keys, setting: Setting, table: Section) -> Layered:
    """Put one setting into the sheet, or take its key out; parts that are missing are made.

    Keys that cannot stand beside the one that is set are taken out, and a note says so, unless another
    setting brought them. Raises :class:`InputError` for a key that is not known or lies inside a value.
    """
    notes: list[str] = []
    root = _Placing(setting, notes).into(sheet, table, 0)
    if not isinstance(root, Keys):
        raise AssertionError("the root of a sheet holds named keys")
    return Layered(root, tuple(notes))


class _Placing:
    """One setting on its way down the sheet."""

    def __init__(self, setting: Setting, notes: list[str]) -> None:
        self.setting = setting
        self.notes = notes

    def into(self, entry: Entry | None, type: KeyType | None, depth: int) -> Entry | None:
        """``entry`` with the setting in it; None where nothing is left or nothing was there."""
        if depth == len(self.setting.path):
            return self.setting.value
        if entry and _says_nothing(entry):
            entry = None
        step = self.setting.path[depth]
        if step.startswith("["):
            return self._into_list(entry, type, step, depth)
        return self._into_keys(entry, type, step, depth)

    def _into_keys(self, entry: Entry | None, type: KeyType | None, name: str, depth: int) -> Entry | None:
        inside = self.setting.path[:depth]
        section = section_in(type)
        if isinstance(entry, Items):
            found = f"is a list of {len(entry.items)} here"
            raise self._mistake(f"{found}, expected a number such as [1] before .{short_name(name)}", depth)
        if section is None:
            number = ", expected a number such as [1]" if list_in(type) else ""
            raise self._mistake(f"holds no keys such as {short_name(name)}{number}", depth)
        if name not in section.keys:
            raise self._mistake(advice(name, section, inside), depth + 1)
        if isinstance(entry, Text):
            if self.setting.value is None:
                return entry
            found = f"holds {quoted(entry.text)}, which has no keys"
            raise self._mistake(f"{found}: set it whole, as {{...}}", depth)
        fields = dict(entry.fields) if entry else {}
        old = fields.get(name)
        new = self.into(old.value if old else None, section.keys[name].type, depth + 1)
        if new is None:
            fields.pop(name, None)
            return Keys(entry.place, fields) if entry else None
        self._drop_rivals(fields, section, name, inside)
        if old and name in sizes_of_bit(section) and not _alike(old.value, new):
            self._drop_name(fields, inside)
        goes_on = depth + 1 < len(self.setting.path)
        fields[name] = Field(old.place if old and goes_on else self.setting.place, new)
        return Keys(entry.place if entry else self.setting.place, fields)

    def _into_list(self, entry: Entry | None, type: KeyType | None, step: str, depth: int) -> Entry | None:
        listing = list_in(type)
        if listing is None or isinstance(entry, Keys | Text):
            raise self._mistake(f"is no list here, so there is no {step} in it", depth)
        if entry is None:
            if self.setting.value is None:
                return None
            raise self._mistake(f"is not given, so there is no {step} in it: set it whole, as [...]", depth)
        number = int(step[1:-1])
        if not 1 <= number <= len(entry.items):
            raise self._mistake(f"found {step}, expected a number from [1] to [{len(entry.items)}]", depth)
        new = self.into(entry.items[number - 1], listing.item, depth + 1)
        kept = (entry.items[: number - 1], (new,) if new is not None else (), entry.items[number:])
        return Items(entry.place, tuple(item for part in kept for item in part))

    def _drop_rivals(self, fields: dict[str, Field], section: Section, name: str, inside: Path) -> None:
        for rival in sorted(rivals(section, name) & fields.keys()):
            if not fields[rival].place.source.has_lines:
                continue
            dropped = fields.pop(rival)
            stands = key_path((*inside, rival))
            self.notes.append(f"{self.setting.place}: stands in place of {stands} ({dropped.place})")

    def _drop_name(self, fields: dict[str, Field], inside: Path) -> None:
        """A bit of another size is not what its name says; the rest stays, since one key was asked for."""
        name = fields.get("name")
        if name is None or not name.place.source.has_lines or not isinstance(name.value, Text):
            return
        del fields["name"]
        called = key_path((*inside, "name"))
        self.notes.append(f"{self.setting.place}: {called} {quoted(name.value.text)} is left out, its other keys stay")

    def _mistake(self, problem: str, depth: int) -> InputError:
        return InputError(problem, where=self.setting.path[:depth], place=str(self.setting.place))
