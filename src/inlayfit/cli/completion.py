"""What a shell offers to complete: files and the sheet's keys; choices of an option it knows by itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

FILES: Final = click.Path(allow_dash=True)
"""A file's name or ``-``; whether it can be read is told by whoever reads it."""


def key_names(ctx: click.Context, parameter: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Keys of a sheet as ``--set`` and ``--vary`` take them, or the words that a key may hold behind its ``=``."""
    from click.shell_completion import CompletionItem

    from inlayfit.sheet.key_names import type_at
    from inlayfit.sheet.keys import SHEET
    from inlayfit.sheet.keytypes import Scalar

    key, equals, begun = incomplete.partition("=")
    if equals:
        type = type_at(SHEET, key.split("."))
        words: tuple[str, ...] = type.choices if isinstance(type, Scalar) else ()
        if isinstance(type, Scalar) and type.kind == "yes or no":
            words = ("yes", "no")
        return [CompletionItem(f"{key}={word}") for word in words if word.startswith(begun)]
    return [CompletionItem(f"{name}=") for name in _names() if name.startswith(incomplete)]


def _names() -> Iterator[str]:
    """Every key of a sheet with a value of its own; what stands in a list is left out."""
    from inlayfit.sheet.key_names import section_in
    from inlayfit.sheet.keys import SHEET
    from inlayfit.sheet.keytypes import Section

    def walk(section: Section, path: str) -> Iterator[str]:
        for name, key in section.keys.items():
            inner = section_in(key.type)
            if inner is None or inner is not key.type:
                yield f"{path}{name}"
            if inner is not None:
                yield from walk(inner, f"{path}{name}.")

    yield from walk(SHEET, "")
