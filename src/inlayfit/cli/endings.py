"""How a run ends: what it writes, and its exit status."""

from __future__ import annotations

import codecs
import io
import os
import re
import shutil
import sys
from collections.abc import Callable
from typing import Final

import click

from inlayfit.errors import InputError

FITS: Final = 0
DOES_NOT_FIT: Final = 1
WRONG_INPUT: Final = 2
BUG: Final = 70
INTERRUPTED: Final = 130
READER_GONE: Final = 141
NARROWEST, WIDEST = 40, 100
_STEERING: Final = re.compile(
    # all controls but tab and line feed, and of escapes only those that colour
    r"[\x00-\x08\x0b-\x1a\x1c-\x1f\x7f-\x9f]|\x1b(?!\[(?:3[123]|1|0)m)"
    # marks, embeddings, overrides and isolates of direction; separators of lines and paragraphs; half characters
    "|[\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)


class ReaderGone(Exception):
    """The reader of our standard output went away."""


def exit_status(verdict: str, strict: bool) -> int:
    """The one place that decides between 0 and 1."""
    fails = verdict == "does not fit" or (strict and verdict == "doubtful")
    return DOES_NOT_FIT if fails else FITS


def columns() -> int:
    """How wide a text may be: as the terminal or COLUMNS says, and no more than 100."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))


def emit(words: str) -> None:
    """Write a result to standard output. Raises :class:`InputError` where that is closed."""
    if sys.stdout is None:
        raise InputError("cannot be written: it is closed", place="standard output")
    try:
        click.echo(shown(words), nl=False)
        sys.stdout.flush()
    except BrokenPipeError:
        raise ReaderGone from None


def tell(words: str, *, nl: bool = True) -> None:
    """Write words about a run to standard error."""
    click.echo(shown(words), err=True, nl=nl)


def is_watched() -> bool:
    """Whether words about a run go to a terminal."""
    return sys.stderr is not None and sys.stderr.isatty()


def shown(words: str) -> str:
    """Words with what would steer a terminal, or turn the way they run, written out as JSON may write it.

    Within JSON that is the same text. Colour, which :func:`painter` gives, stays.
    """
    return _STEERING.sub(lambda found: escaped(found[0]), words)


def escaped(characters: str) -> str:
    """Characters as JSON writes them where it keeps to ASCII."""
    units = characters.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at] << 8 | units[at + 1]:04x}" for at in range(0, len(units), 2))


def keep_writable() -> None:
    """A character that the output's encoding lacks is written out, so that it ends no run."""
    codecs.register_error("written out", _written_out)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="written out")


def _written_out(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError), "only writing meets characters that an encoding lacks"
    return escaped(error.object[error.start : error.end]), error.end


def painter() -> Callable[[str, str], str]:
    """Colour by status on a terminal, never with NO_COLOR."""
    colours = {"fits": "green", "pass": "green", "doubtful": "yellow", "does not fit": "red", "fail": "red"}
    if sys.stdout is None or not sys.stdout.isatty() or os.environ.get("NO_COLOR"):
        return lambda words, status: words
    return lambda words, status: click.style(words, fg=colours[status], bold=True)
