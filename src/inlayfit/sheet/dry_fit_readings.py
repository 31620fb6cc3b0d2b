"""Readings of the dry fit from the command line: ``VALUE``, or ``X,Y=VALUE`` with its place on the outline."""

from __future__ import annotations

from inlayfit.errors import InputError
from inlayfit.joint.reading import Kind, Reading
from inlayfit.quantity import LengthUnit, read_length


def read_reading(kind: Kind, text: str, unit: LengthUnit) -> Reading:
    """A reading; bare numbers are in ``unit``. Raises :class:`InputError` with the option as its place."""
    try:
        place, equals, value = text.rpartition("=")
        return Reading(kind=kind, value=read_length(value, unit), at=_place(place, unit) if equals else None)
    except InputError as error:
        raise error.at(f"--{kind} '{text}'") from error


def _place(text: str, unit: LengthUnit) -> tuple[float, float]:
    parts = text.split(",")
    if len(parts) != 2:
        raise InputError(f"found {text!r} for the place, expected X,Y from the lower left of the outline's bounds")
    return read_length(parts[0], unit), read_length(parts[1], unit)
