"""The text of a programme: its lines without comments and blanks, and places in it for messages."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

from inlayfit.errors import InputError

MOST_CHARACTERS: Final = 150_000_000

# a comment right before a digit would part a number, so it is left standing and refused
_COMMENT: Final = re.compile(r"\([^()\n]*\)(?![-+.0-9])|;[^\n]*")
_COMMENT_AS_WRITTEN: Final = re.compile(r"\([^()\n]*\)(?![ \t]*[-+.0-9])|;[^\n]*")
_MESSAGE: Final = re.compile(r"\(MSG,", re.IGNORECASE)
_CAPITALS: Final = {ord(small): small.upper() for small in "abcdefghijklmnopqrstuvwxyz"}


@dataclass(frozen=True, kw_only=True)
class ProgrammeText:
    """A programme as written, and as the language sees it: no comments, spaces or tabs, capital letters only."""

    name: str
    """Of the file, for messages."""
    written: str = field(repr=False)
    bare: str = field(repr=False)
    lines: list[str] = field(repr=False)
    """Of ``bare``."""
    messages: tuple[int, ...] = ()
    """Lines (from 1) with a message to the operator."""

    def place(self, line: int, position: int = 0) -> str:
        """``file:line:column`` of a character of ``lines[line - 1]``, as an editor counts them in the file."""
        as_written = self.written.split("\n", line)[line - 1]
        skipped = {at for match in _COMMENT_AS_WRITTEN.finditer(as_written) for at in range(*match.span())}
        seen = [at for at, mark in enumerate(as_written) if at not in skipped and mark not in " \t"]
        column = seen[position] if position < len(seen) else len(as_written.rstrip())
        return f"{self.name}:{line}:{column + 1}"


def programme_text(text: str, name: str) -> ProgrammeText:
    """The lines of a file's text; raises :class:`InputError` where it is too long to be a programme."""
    if len(text) > MOST_CHARACTERS:
        raise InputError(
            f"the file has {len(text):,} characters, more than the {MOST_CHARACTERS:,} that are read: "
            "split it by bit", place=name,
        )  # fmt: skip
    written = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    bare = written.replace(" ", "").replace("\t", "")
    messages = [bare.count("\n", 0, match.start()) + 1 for match in _MESSAGE.finditer(bare)][:1000]
    if "(" in bare or ";" in bare:
        bare = _COMMENT.sub("", bare)
    # of other scripts a capital may be longer than the letter, and places would be lost
    bare = bare.upper() if bare.isascii() else bare.translate(_CAPITALS)
    return ProgrammeText(name=name, written=written, bare=bare, lines=bare.split("\n"), messages=tuple(messages))
