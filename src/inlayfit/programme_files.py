"""Posted programmes read from disk: which files a sheet or a command line names, and what they tell the machine."""

from __future__ import annotations

import os.path
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inlayfit.errors import InputError
from inlayfit.intake import InputFile, input_file
from inlayfit.joint.job import Job, Programmes, ProgrammeSource
from inlayfit.programme.moves import RAPID
from inlayfit.programme.reader import Programme, read_programme
from inlayfit.proving import Posted

MOST_BYTES: Final = 150_000_000


@dataclass(frozen=True, kw_only=True)
class ProgrammeFiles:
    """Programmes as read, and the files they came from."""

    posted: Posted
    files: tuple[InputFile, ...]


def named_on_command_line(
    job: Job, pocket: Sequence[str], plug: Sequence[str], tools: Sequence[str], folder: str
) -> Programmes:
    """The sheet's programmes, each part's replaced by what the command line names: FILE or FILE=BIT.

    ``tools`` are ``NUMBER=BIT``, for the files without a bit of their own, refused where there is none. The sheet's
    files are looked for in its ``folder``. Raises :class:`InputError`.
    """
    numbered = tuple(_tool(text) for text in tools)

    def sources(option: str, texts: Sequence[str], given: tuple[ProgrammeSource, ...]) -> tuple[ProgrammeSource, ...]:
        if not texts:
            return tuple(source._replace(file=os.path.join(folder, source.file)) for source in given)
        return tuple(_source(option, text) for text in texts)

    def with_tools(sources: tuple[ProgrammeSource, ...]) -> tuple[ProgrammeSource, ...]:
        return tuple(source._replace(tools=numbered) if _bitless(source) else source for source in sources)

    given = job.programmes
    named = Programmes(
        pocket=sources("--pocket", pocket, given.pocket), plug=sources("--plug", plug, given.plug), level=given.level
    )
    if numbered and not any(_bitless(source) for source in (*named.pocket, *named.plug)):
        raise InputError(f"found {tools[0]!r}, expected a file without a bit of its own: each has one", place="--tool")
    return named._replace(pocket=with_tools(named.pocket), plug=with_tools(named.plug))


def _bitless(source: ProgrammeSource) -> bool:
    return source.bit is None and not source.tools


def _source(option: str, text: str) -> ProgrammeSource:
    file, equals, bit = text.rpartition("=")
    if not equals:
        return ProgrammeSource(text)
    if not file or not bit:
        raise InputError(f"found {text!r}, expected FILE or FILE=BIT", place=option)
    return ProgrammeSource(file, bit=bit)


def _tool(text: str) -> tuple[int, str]:
    number, equals, bit = text.partition("=")
    number = number.strip().removeprefix("T").removeprefix("t")
    if not equals or not bit or not (number.isascii() and number.isdecimal() and len(number) < 6):
        raise InputError(f"found {text!r}, expected NUMBER=BIT such as 2=v", place="--tool")
    return int(number), bit


def read_programmes(job: Job, named: Programmes, tools: Sequence[str], *, block_delete: bool) -> ProgrammeFiles:
    """Read every programme of pocket and plug. Raises :class:`InputError` with file, line and column.

    Of the ``tools`` named for all files at once each file has those that cut in it.
    """
    shared = tuple(_tool(text) for text in tools)
    files: list[InputFile] = []
    called: set[int] = set()

    def read(sources: tuple[ProgrammeSource, ...]) -> tuple[tuple[ProgrammeSource, Programme], ...]:
        found = []
        for source in sources:
            file = input_file(source.file, most=MOST_BYTES)
            files.append(file)
            text = _text(file.data)
            programme = read_programme(text, name=source.file, unit=job.sheet_unit, block_delete=block_delete)
            moves = programme.moves
            there = set(moves.tool[moves.motion != RAPID].tolist())
            if source.tools and source.tools == shared:
                called.update(there)
                source = source._replace(tools=tuple(entry for entry in shared if entry[0] in there) or shared)
            found.append((source, programme))
        return tuple(found)

    posted = Posted(pocket=read(named.pocket), plug=read(named.plug))
    for number, bit in shared:
        if number not in called:
            problem = f"found {number}={bit}, expected a T number that cuts in a file without a bit of its own"
            raise InputError(problem, place="--tool")
    return ProgrammeFiles(posted=posted, files=tuple(files))


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # comments in an older code page; outside comments any such letter is refused
        return data.decode("latin-1")
