"""Which sheets a batch is about: files, folders, names listed in a file, standard input."""

from __future__ import annotations

import codecs
import os
import stat
from collections.abc import Sequence
from contextlib import suppress
from typing import Final, NamedTuple

from inlayfit.errors import InputError
from inlayfit.intake import STANDARD_INPUT, input_file
from inlayfit.sheet.jobsheet import read_partial

ENDINGS: Final = (".yaml", ".yml")
COMMENT: Final = "#"
"""Begins a line of a list that names no sheet; a file of such a name is listed as ./#name."""


class SheetList(NamedTuple):
    """Names of sheets in the order given, and the files of folders that were passed over."""

    sheets: tuple[str, ...]
    passed_over: tuple[str, ...]
    """They have no ``base``."""
    other_ending: tuple[str, ...] = ()
    """They would be looked at if their ending were in small letters."""


def sheet_list(names: Sequence[str], *, listed_in: str | None = None) -> SheetList:
    """The sheets that ``names`` stand for, then those named in the file ``listed_in``, one a line.

    Lines of the list that are empty or begin with ``#`` name none.

    A folder stands for its .yaml and .yml files that have a ``base``, in the order of their names, not deeper; one
    that cannot be read counts as a sheet, so that its mistakes are told. Raises :class:`InputError` where standard
    input is asked for twice, and where there is no sheet at all.
    """
    if (listed_in, *names).count(STANDARD_INPUT) > 1:
        raise InputError("found - twice, expected it once: standard input is read once")
    every = list(names)
    if listed_in is not None:
        every += _listed(listed_in)
    sheets, passed_over, other_ending = list[str](), list[str](), list[str]()
    for name in every:
        if name != STANDARD_INPUT and os.path.isdir(name):
            inside, upper_case = _inside(name)
            other_ending += upper_case
            found = [path for path in inside if _has_base(path)]
            if not found:
                found_none = f"found no sheets in this folder ({len(inside)} without a base)"
                if upper_case:
                    found_none += f", and passed over {', '.join(map(os.path.basename, upper_case))} for the ending"
                expected = "expected *.yaml or *.yml with a base; folders inside it are not searched"
                raise InputError(f"{found_none}, {expected}", place=name)
            sheets += found
            passed_over += [path for path in inside if path not in found]
        else:
            sheets.append(name)
    if not sheets:
        raise InputError("found no sheets, expected names of sheets or folders", place=listed_in or "")
    return SheetList(tuple(sheets), tuple(passed_over), tuple(other_ending))


def _listed(name: str) -> list[str]:
    lines = os.fsdecode(input_file(name).data.removeprefix(codecs.BOM_UTF8)).splitlines()
    names = [line.strip() for line in lines if line.strip() and not line.lstrip().startswith(COMMENT)]
    if name == STANDARD_INPUT and STANDARD_INPUT in names:
        raise InputError("found - in the list, expected names: standard input holds the list itself")
    return names


def _inside(folder: str) -> tuple[list[str], list[str]]:
    """Files of a folder that may be sheets, and those whose ending has other letters than small ones."""
    try:
        with os.scandir(folder) as entries:
            names = sorted(
                entry.name
                for entry in entries
                if entry.name.lower().endswith(ENDINGS) and not entry.name.startswith(".") and _may_hold_text(entry)
            )
    except OSError as error:
        raise InputError(f"cannot be read: {(error.strerror or str(error)).lower()}", place=folder) from error
    paths = [os.path.join(folder, name) for name in names]
    return [path for path in paths if path.endswith(ENDINGS)], [path for path in paths if not path.endswith(ENDINGS)]


def _may_hold_text(entry: os.DirEntry[str]) -> bool:
    """Whether an entry of a folder is read: no folder, and no pipe, which would be waited for."""
    with suppress(OSError):
        return not entry.is_dir() and not stat.S_ISFIFO(os.stat(entry.path).st_mode)
    return True  # a link that leads nowhere is told as such


def _has_base(path: str) -> bool:
    try:
        return "base" in read_partial(input_file(path).data, path).fields
    except InputError:
        return True
