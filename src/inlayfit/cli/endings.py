"""How a run ends: what it writes, and its exit status."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from typing import Final

import click

FITS: Final = 0
DOES_NOT_FIT: Final = 1
WRONG_INPUT: Final = 2
BUG: Final = 70
INTERRUPTED: Final = 130
READER_GONE: Final = 141


class ReaderGone(Exception):
    """The reader of our standard output went away."""


def exit_status(verdict: str, strict: bool) -> int:
    """The one place that decides between 0 and 1."""
    fails = verdict == "does not fit" or (strict and verdict == "doubtful")
    return DOES_NOT_FIT if fails else FITS


def emit(words: str) -> None:
    """Write a result to standard output."""
    try:
        click.echo(words, nl=False)
        sys.stdout.flush()
    except BrokenPipeError:
        raise ReaderGone from None


def painter() -> Callable[[str, str], str]:
    """Colour by status on a terminal, never with NO_COLOR."""
    colours = {"fits": "green", "pass": "green", "doubtful": "yellow", "does not fit": "red", "fail": "red"}
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR"):
        return lambda words, status: words
    return lambda words, status: click.style(words, fg=colours[status], bold=True)
