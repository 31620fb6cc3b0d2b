"""What a run reads from disk: sheets, shop files, drawings; with a digest of each."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from inlayfit.errors import InputError, InputErrors
from inlayfit.job import Job, OutlineSource
from inlayfit.job_defaults import job_from_values
from inlayfit.jobsheet import read_sheet
from inlayfit.quantity import MM_PER_UNIT, LengthUnit

if TYPE_CHECKING:
    from inlayfit.outline import Outline

STANDARD_INPUT = "-"


@dataclass(frozen=True, kw_only=True)
class Intake:
    """A job, its outline where it has one, and the sha256 of every file that was read."""

    job: Job
    outline: Outline | None
    inputs: dict[str, str]
    place_of: Callable[[Sequence[str]], str]
    """``file:line:column`` of a key path, for mistakes that show later."""


def take_in(
    sheet: str, *, settings: Sequence[str] = (), shops: Sequence[str] = (), unit: LengthUnit | None = None
) -> Intake:
    """Read a sheet (a path, or ``-`` for standard input) with its shop files and its drawing.

    ``unit`` is what results are written in, the sheet's own by default. Raises
    :class:`inlayfit.errors.InputError` with the place of every mistake.
    """
    inputs: dict[str, str] = {}
    data = _read(sheet, inputs)
    shop_data = [(name, _read(name, inputs)) for name in shops]
    name = "standard input" if sheet == STANDARD_INPUT else sheet
    values = read_sheet(data, name, settings=settings, shops=shop_data)
    try:
        job = job_from_values(
            values.values,
            unit=values.unit,
            unit_given=values.unit_given,
            title="job sheet" if sheet == STANDARD_INPUT else Path(sheet).stem,
            unused=values.unused,
            notes=values.notes,
        )
        job = replace(job, unit=unit or job.unit)
        outline = None
        if job.outline is not None:
            folder = Path() if sheet == STANDARD_INPUT else Path(sheet).parent
            outline = _outline(job.outline, folder, inputs)
            job = replace(job, notes=(*job.notes, *outline.notes))
    except InputError as error:
        raise placed(error, values.place_of) from error
    return Intake(job=job, outline=outline, inputs=inputs, place_of=values.place_of)


def placed(error: InputError, place_of: Callable[[Sequence[str]], str]) -> InputError:
    """The mistake, or each of several, with the place of its key."""
    if isinstance(error, InputErrors):
        return InputErrors(placed(mistake, place_of) for mistake in error.mistakes)
    return error.at(place_of(error.where))


def _read(name: str, inputs: dict[str, str]) -> bytes:
    """A file's bytes; notes its digest under its name."""
    try:
        data = sys.stdin.buffer.read() if name == STANDARD_INPUT else Path(name).read_bytes()
    except OSError as error:
        reason = "it is a folder" if isinstance(error, IsADirectoryError) else (error.strerror or str(error)).lower()
        raise InputError(f"cannot be read: {reason}", place=name) from error
    inputs[name] = hashlib.sha256(data).hexdigest()
    return data


def _outline(source: OutlineSource, folder: Path, inputs: dict[str, str]) -> Outline:
    from inlayfit.outline import outline_of
    from inlayfit.outline_file import Size, read_outline_file
    from inlayfit.shapes import drawn

    if source.file is None:
        return outline_of(drawn(source.shapes, width=source.width, height=source.height, scale=source.scale))
    size = Size(width=source.width, height=source.height, scale=source.scale, unit_mm=MM_PER_UNIT[source.unit])
    path = folder / source.file
    try:
        data = _read(str(path), inputs)
        read = read_outline_file(data, path.name, size=size)
        return outline_of(read.polygons, read.notes)
    except InputError as error:
        where = error.where or ("outline", "file")
        problem = error.problem if error.place else f"{source.file}: {error.problem}"
        raise InputError(problem, where=where) from error
