"""What a run reads from disk: sheets, shop files, drawings; with a digest of each."""

from __future__ import annotations

import os
import os.path
import re
import stat
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

from inlayfit.errors import InputError, InputErrors
from inlayfit.joint.job import Job, OutlineSource
from inlayfit.quantity import MM_PER_UNIT, LengthUnit
from inlayfit.sheet.defaults import job_from_values
from inlayfit.sheet.jobsheet import SheetValues, read_sheet
from inlayfit.sheet.tree import MOST_BYTES

if TYPE_CHECKING:
    from inlayfit.outline.regions import Outline

STANDARD_INPUT = "-"
PLUG = ("outline", "plug")
DRAWINGS = ("file", "pocket", "plug")
"""Keys of an outline that name a drawing."""
_SHOWS_LENGTH = re.compile(r"\d (mm|in)\b")


@dataclass(frozen=True, kw_only=True)
class InputFile:
    """A file that was read, under the name it was asked for."""

    name: str
    data: bytes

    @property
    def sha256(self) -> str:
        """Digest of its bytes, in hexadecimal digits."""
        import hashlib  # costs a text report time it has no use for

        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True, kw_only=True)
class Intake:
    """A job, its outline where it has one, and every file that was read."""

    job: Job
    outline: Outline | None
    files: tuple[InputFile, ...]
    place_of: Callable[[Sequence[str]], str]
    """``file:line:column`` of a key path."""

    @contextmanager
    def placing(self) -> Iterator[None]:
        """Mistakes that show only in this block get the place of their key."""
        try:
            yield
        except InputError as error:
            raise placed(error, self.place_of, unit_given=not self.job.is_assumed("unit")) from error

    @property
    def inputs(self) -> dict[str, str]:
        """The sha256 of every file that was read."""
        return {file.name: file.sha256 for file in self.files}


class OutlineMaker(Protocol):
    """Makes an outline from its source; the drawing's file is None for inline shapes, the plug's is its own."""

    def __call__(
        self, source: OutlineSource, drawing: InputFile | None, plug: InputFile | None = None
    ) -> Outline: ...


def take_in(
    sheet: str, *, settings: Sequence[str] = (), shops: Sequence[str] = (), unit: LengthUnit | None = None
) -> Intake:
    """Read a sheet (a path, or ``-`` for standard input) with its shop files and its drawing.

    ``unit`` is what results are written in, the sheet's own by default. Raises
    :class:`inlayfit.errors.InputError` with the place of every mistake.
    """
    if os.path.isdir(sheet):
        raise InputError("cannot be read: it is a folder, expected a sheet (inlayfit check takes folders)", place=sheet)
    files = [input_file(name) for name in (sheet, *shops)]
    values = read_sheet(
        files[0].data, shown_name(sheet), settings=settings, shops=[(file.name, file.data) for file in files[1:]]
    )
    return intake_of(values, sheet, files=files, unit=unit)


def input_file(name: str, *, most: int = MOST_BYTES) -> InputFile:
    """Read a file (``-`` for standard input) of at most so many bytes; one without end is read no further.

    Raises :class:`InputError`.
    """
    try:
        if name == STANDARD_INPUT:
            if sys.stdin is None:
                raise InputError("cannot be read: it is closed", place=shown_name(name))
            data = sys.stdin.buffer.read(most + 1)
        else:
            with open(name, "rb") as file:
                data = file.read(most + 1)
    except (OSError, ValueError) as error:
        # a name with a null character is a ValueError
        reason = str(getattr(error, "strerror", None) or error).lower()
        problem = "it is a folder" if isinstance(error, IsADirectoryError) else reason
        raise InputError(f"cannot be read: {problem}", place=shown_name(name)) from error
    if len(data) > most:
        raise InputError(f"found more than {most / 1e6:.0f} MB, expected at most that", place=shown_name(name))
    return InputFile(name=name, data=data)


def _drawing(name: str, most: int) -> InputFile:
    """A drawing's file; a pipe, which may never end or begin, is none."""
    with suppress(OSError, ValueError):
        if stat.S_ISFIFO(os.stat(name).st_mode):
            raise InputError("found a pipe, expected a file", place=name)
    return input_file(name, most=most)


def shown_name(sheet: str) -> str:
    """What messages call a sheet."""
    return "standard input" if sheet == STANDARD_INPUT else sheet


def make_outline(source: OutlineSource, drawing: InputFile | None, plug: InputFile | None = None) -> Outline:
    """The outline at its final size, with the drawing of the plug where it has one. Raises :class:`InputError`."""
    from inlayfit.drawings.choice import JOIN, Choice
    from inlayfit.drawings.outline_file import read_outline_file, read_pair
    from inlayfit.drawings.size import Size
    from inlayfit.outline.regions import outline_of
    from inlayfit.outline.shapes import drawn

    if drawing is None:
        polygons = drawn(
            source.shapes, width=source.width, height=source.height, scale=source.scale, unit=source.unit
        )
        return outline_of(polygons)
    size = Size(
        width=source.width,
        height=source.height,
        scale=source.scale,
        unit_mm=MM_PER_UNIT[source.unit],
        unit_given=source.unit_given,
    )
    choice = Choice(
        take=source.take,
        layers=source.layers,
        colours=source.colours,
        clip_page=source.clip_page,
        join=source.join or JOIN,
        unit=source.unit,
    )
    name = os.path.basename(drawing.name)
    if plug is not None:
        read, partner = read_pair((drawing.data, name), (plug.data, os.path.basename(plug.name)), size, choice)
        return replace(outline_of(read.polygons, read.notes), partner=outline_of(partner.polygons, partner.notes))
    read = read_outline_file(drawing.data, name, size=size, choice=choice)
    return outline_of(read.polygons, read.notes)


def intake_of(
    values: SheetValues,
    sheet: str,
    *,
    files: Sequence[InputFile],
    unit: LengthUnit | None = None,
    outline_maker: OutlineMaker = make_outline,
) -> Intake:
    """The job that a sheet's values make, and its outline; ``files`` were read for the values.

    Raises :class:`InputError` with the place of every mistake.
    """
    at_input = sheet == STANDARD_INPUT
    try:
        job = job_from_values(
            values.values,
            unit=values.unit,
            unit_given=values.unit_given,
            title="job sheet" if at_input else os.path.splitext(os.path.basename(sheet))[0],
            unused=values.unused,
            notes=values.notes,
        )
        job = replace(job, unit=unit or job.unit)
        outline, drawings = None, list[InputFile]()
        if job.outline is not None:
            folder = "" if at_input else os.path.dirname(sheet)
            outline = _outline(job.outline, folder, drawings, outline_maker)
            job = replace(job, notes=(*job.notes, *outline.notes))
    except InputError as error:
        # lengths in a mistake of a drawing are the drawing's, whose unit is not the sheet's
        of_drawing = any(error.where[:2] == ("outline", key) for key in DRAWINGS)
        raise placed(error, values.place_of, unit_given=values.unit_given or of_drawing) from error
    return Intake(job=job, outline=outline, files=(*files, *drawings), place_of=values.place_of)


def placed(error: InputError, place_of: Callable[[Sequence[str]], str], *, unit_given: bool = True) -> InputError:
    """The mistake, or each of several, with the place of its key.

    Where the sheet names no unit and the mistake is about a length, it may well be one of inches taken as mm.
    """
    if isinstance(error, InputErrors):
        return InputErrors(placed(mistake, place_of, unit_given=unit_given) for mistake in error.mistakes)
    if not unit_given and _SHOWS_LENGTH.search(error.problem):
        problem = f"{error.problem} (no unit is given, so bare numbers are mm: for inches write unit: in)"
        error = InputError(problem, where=error.where, place=error.place)
    return error.at(place_of(error.where))


def _outline(source: OutlineSource, folder: str, drawings: list[InputFile], make: OutlineMaker) -> Outline:
    """The outline; its drawing's file, where it has one, goes to ``drawings``."""
    if source.file is None:
        return make(source, None)
    from inlayfit.drawings.outline_file import MAX_FILE_BYTES

    key = "file" if source.plug is None else "pocket"
    for name, its_key in ((source.file, key), (source.plug, "plug")):
        if name is not None:
            try:
                drawings.append(_drawing(os.path.join(folder, name), MAX_FILE_BYTES))
            except InputError as error:
                raise InputError(f"{name}: {error.problem}", where=("outline", its_key)) from error
    try:
        return make(source, *drawings)
    except InputError as error:
        name, its_key = (source.plug, "plug") if error.where == PLUG else (source.file, key)
        where = error.where or ("outline", its_key)
        raise InputError(f"{name}: {error.problem}", where=where) from error
