"""A drawer of bits: what a shop owns, read from a file of its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from inlayfit.errors import InputError, InputErrors
from inlayfit.intake import InputFile
from inlayfit.quantity import LengthUnit
from inlayfit.sheet.keys import STRAIGHT_BIT, V_BIT
from inlayfit.sheet.keytypes import Key, Scalar, Section
from inlayfit.sheet.reader import SheetReader
from inlayfit.sheet.scalar import UNITS, BareUnit, is_bare
from inlayfit.sheet.tree import Entry, Items, Keys, Source, Text, read_tree
from inlayfit.sheet.writer import flow

Kind = Literal["v", "end mill", "surfacing"]
KINDS: Final = ("v", "end mill", "surfacing")
MOST_BITS: Final = 60
_ONLY_HERE: Final = {
    "kind": Key(type=Scalar(kind="choice", choices=KINDS), help="What it is.", required=True),
    "cost": Key(type=Scalar(kind="number", least=0, most=600), help="Minutes that changing to it takes.", default="0"),
}
_TABLES: Final = {
    kind: Section(keys={**_ONLY_HERE, **table.keys}, at_most_one_of=table.at_most_one_of)
    for kind, table in (("v", V_BIT), ("end mill", STRAIGHT_BIT), ("surfacing", STRAIGHT_BIT))
}
_LENGTHS: Final = ("length", "length or share")
_EXPECTED: Final = "expected a list of bits such as - {kind: v, angle: 30, tip: 0.1 mm, diameter: 6 mm}"


@dataclass(frozen=True, kw_only=True)
class DrawerBit:
    """One bit: its kind, what it is called, the diameter in mm, minutes to change to it, and the text of a sheet."""

    kind: Kind
    name: str
    diameter: float
    minutes: float
    text: str
    """As a sheet would have it, in braces, every length with its unit."""
    has_stepover: bool


def read_drawer(file: InputFile, unit: LengthUnit) -> tuple[DrawerBit, ...]:
    """The bits of a drawer's file: a list, or ``bits:`` with a list beside a ``unit:``.

    ``unit`` is of bare numbers where the file names none. Raises :class:`InputErrors` with every mistake.
    """
    source = Source(file.name)
    tree = read_tree(file.data, source)
    mistakes = list(tree.mistakes)
    root, bare = tree.root, BareUnit(unit, given=True)
    if isinstance(root, Keys):
        for name, field in root.fields.items():
            if name not in ("unit", "bits"):
                mistakes.append(InputError(f"unknown key, {_EXPECTED}", where=(name,), place=str(field.place)))
        bare = _unit(root, bare, mistakes)
        root = root.fields["bits"].value if "bits" in root.fields else None
    if not isinstance(root, Items) or not root.items:
        raise InputErrors([*mistakes, InputError(f"found no list of bits, {_EXPECTED}", place=file.name)])
    if len(root.items) > MOST_BITS:
        problem = f"found {len(root.items)} bits, expected at most {MOST_BITS}"
        raise InputErrors([*mistakes, InputError(problem, place=file.name)])
    bits = [_bit(item, number, bare, mistakes) for number, item in enumerate(root.items, 1)]
    found = [bit for bit in bits if bit is not None]
    for number, bit in enumerate(found):
        if any(bit.name == other.name for other in found[:number]):
            problem = f"found two bits of the name {bit.name!r}, expected a name of its own for each"
            mistakes.append(InputError(problem, place=file.name))
    if mistakes:
        raise InputErrors(mistakes)
    if not any(bit.kind == "v" for bit in found):
        raise InputErrors([InputError("found no V-bit, expected one of kind: v at least", place=file.name)])
    return tuple(found)


def _unit(root: Keys, bare: BareUnit, mistakes: list[InputError]) -> BareUnit:
    if "unit" not in root.fields:
        return bare
    entry = root.fields["unit"].value
    for unit in UNITS:
        if isinstance(entry, Text) and entry.text == unit:
            return BareUnit(unit, given=True)
    mistakes.append(InputError("expected in or mm", where=("unit",), place=str(entry.place)))
    return bare


def _bit(item: Entry, number: int, bare: BareUnit, mistakes: list[InputError]) -> DrawerBit | None:
    where = ("bits", f"[{number}]")
    kind = item.fields["kind"].value if isinstance(item, Keys) and "kind" in item.fields else None
    if not isinstance(item, Keys) or not isinstance(kind, Text) or kind.text not in _TABLES:
        found = f"found the kind {kind.text!r}" if isinstance(kind, Text) else "found no kind"
        problem = f"{found}, expected kind: {', '.join(KINDS[:-1])} or {KINDS[-1]}"
        mistakes.append(InputError(problem, where=where, place=str(item.place)))
        return None
    table, own = _TABLES[kind.text], list[InputError]()
    values = SheetReader(bare, {}, own).read(item, table)
    mistakes += [InputError(error.problem, where=(*where, *error.where), place=error.place) for error in own]
    if own:
        return None
    parts = [
        f"{name}: {_text(field.value, table.keys[name], bare.unit)}"
        for name, field in item.fields.items()
        if name not in _ONLY_HERE and name in values
    ]
    called = values.get("name") or _called(kind.text, item, bare.unit)
    if "name" not in values:
        parts.insert(0, f"name: {flow(Text(item.place, called))}")
    return DrawerBit(
        kind=kind.text,  # type: ignore[arg-type]
        name=called,
        diameter=values.get("diameter", 6.35 if bare.unit == "in" else 6.0),
        minutes=values.get("cost", 0.0),
        text=f"{{{', '.join(parts)}}}",
        has_stepover="stepover" in values,
    )


def _called(kind: str, item: Keys, unit: LengthUnit) -> str:
    """A bit by its size as written."""
    size = item.fields["angle" if kind == "v" else "diameter"].value
    written = size.text.strip() if isinstance(size, Text) else ""
    if kind == "v":
        return f"{written.removesuffix('deg').strip()} deg V-bit"
    sized = f"{written} {unit}" if is_bare(written) else written
    return f"{sized} end mill" if kind == "end mill" else f"{sized} surfacing bit"


def _text(entry: Entry, key: Key, unit: LengthUnit) -> str:
    """A value of a bit as it stands in a sheet of any unit."""
    if isinstance(entry, Keys):
        inner = key.type.keys if isinstance(key.type, Section) else {}
        parts = (f"{name}: {_text(field.value, inner[name], unit)}" for name, field in entry.fields.items())
        return f"{{{', '.join(parts)}}}"
    assert isinstance(entry, Text), "a bit holds values and what it measures"
    written = entry.text
    if isinstance(key.type, Scalar) and key.type.kind in _LENGTHS and is_bare(written):
        written = f"{written} {unit}"
    return flow(Text(entry.place, written))
