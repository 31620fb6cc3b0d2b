"""Readings of test grooves: ``DEPTH=WIDTH`` from the command line, or a file with a list of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inlayfit.errors import InputError, InputErrors
from inlayfit.joint.groove_fit import READING, Groove
from inlayfit.quantity import MM_PER_UNIT, LengthUnit, read_length
from inlayfit.sheet.keytypes import Key, Listing, Scalar, Section
from inlayfit.sheet.reader import SheetReader
from inlayfit.sheet.scalar import UNITS, BareUnit, is_bare
from inlayfit.sheet.tree import Keys, Source, Text, read_tree

MOST: Final = 100.0
"""A groove deeper or wider than this many mm is a slip of the unit."""
_POSITIVE: Final = Scalar(kind="length", above=0, most=MOST)
GROOVES: Final = Section(
    keys={
        "unit": Key(type=Scalar(kind="choice", choices=UNITS), help="Unit of bare numbers."),
        "grooves": Key(
            type=Listing(
                item=Section(
                    keys={
                        "depth": Key(type=_POSITIVE, help="Depth of the groove.", required=True),
                        "width": Key(type=_POSITIVE, help="Width at the face.", required=True),
                        "plus_minus": Key(type=_POSITIVE, help="How well this width was read."),
                    }
                ),
                most=1_000,
            ),
            help="The test grooves.",
            required=True,
        ),
    }
)


def read_grooves(texts: Sequence[str], unit: LengthUnit | None, plus_minus: float = READING) -> list[Groove]:
    """Grooves written ``DEPTH=WIDTH``. Raises :class:`InputErrors` with every mistake."""
    found, mistakes = [], []
    for text in texts:
        try:
            found.append(read_groove(text, unit, plus_minus))
        except InputError as error:
            mistakes.append(error)
    if mistakes:
        raise InputErrors(mistakes)
    return found


def read_groove(text: str, unit: LengthUnit | None, plus_minus: float = READING) -> Groove:
    """A groove written ``DEPTH=WIDTH``; bare numbers are in ``unit`` (None: units must be written out)."""
    place = f"--groove '{text}'"
    depth, equals, width = text.partition("=")
    if not equals:
        raise InputError("expected DEPTH=WIDTH, such as 3mm=1.72mm", place=place)
    try:
        return Groove(
            depth=read_reading(depth, unit, "depth"), width=read_reading(width, unit, "width"), plus_minus=plus_minus
        )
    except InputError as error:
        raise error.at(place) from error


def read_option(option: str, text: str, unit: LengthUnit | None) -> float:
    """A length above 0 given to an option."""
    try:
        return read_reading(text, unit, "length")
    except InputError as error:
        raise error.at(f"{option} '{text}'") from error


def read_reading(text: str, unit: LengthUnit | None, what: str, most: float = MOST) -> float:
    """A length above 0 in mm, refused beyond ``most`` mm with what was probably meant."""
    value = read_length(text, unit)
    if value <= 0:
        raise InputError(f"found a {what} of {text.strip()}, expected more than 0")
    if value > most:
        other: LengthUnit = "mm" if unit == "in" else "in"
        meant = value / MM_PER_UNIT[unit or "mm"] * MM_PER_UNIT[other]
        hint = ""
        if is_bare(text) and unit is not None and meant <= most:
            here = "inches" if unit == "in" else "millimetres"
            hint = f" (bare numbers are in {here} here: probably {text.strip()} {other} was meant)"
        raise InputError(f"found a {what} of {value:.10g} mm, expected at most {most:.4g} mm{hint}")
    return value


def read_groove_file(data: bytes, name: str, unit: LengthUnit | None, plus_minus: float = READING) -> list[Groove]:
    """Grooves of a YAML file; bare numbers are in the file's ``unit``, or else in ``unit``.

    Raises :class:`InputErrors` with the place of every mistake.
    """
    source = Source(name)
    tree = read_tree(data, source)
    if not isinstance(tree.root, Keys):
        problem = "expected named keys: unit:, and grooves: with a list such as [{depth: 3, width: 1.72}]"
        raise InputErrors([*tree.mistakes, InputError(problem, place=name)])
    written = tree.root.fields.get("unit")
    given: LengthUnit | None = unit
    if written is not None and isinstance(written.value, Text):
        given = "in" if written.value.text == "in" else "mm"
    mistakes = list(tree.mistakes)
    reader = SheetReader(BareUnit(given or "mm", given=given is not None), {}, mistakes)
    values = reader.read(tree.root, GROOVES)
    if not mistakes and given is None and reader.bare_in:
        problem = "found bare numbers and no unit, expected unit: mm or unit: in at the top, or 3 mm and the like"
        mistakes.append(InputError(problem, place=name))
    if mistakes:
        raise InputErrors(mistakes)
    return [
        Groove(depth=entry["depth"], width=entry["width"], plus_minus=entry.get("plus_minus", plus_minus))
        for entry in values["grooves"]
    ]
