"""The command group, and the one place where every run ends."""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from typing import Any, Final

import click

from inlayfit import __version__
from inlayfit.cli.bit import bit
from inlayfit.cli.card import card
from inlayfit.cli.check import check
from inlayfit.cli.choose import choose
from inlayfit.cli.draw import draw
from inlayfit.cli.dryfit import dryfit
from inlayfit.cli.endings import (
    BUG,
    FITS,
    INTERRUPTED,
    READER_GONE,
    WRONG_INPUT,
    ReaderGone,
    keep_writable,
    shown,
    tell,
)
from inlayfit.cli.outline import outline
from inlayfit.cli.plan import plan
from inlayfit.cli.prove import prove
from inlayfit.cli.starter import new, schema
from inlayfit.errors import InputError

_UNWRITABLE: Final = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EBADF, errno.EIO)
"""A full disk or quota, a file that may grow no more, an output not open for writing, a terminal that is gone.

Result files tell of theirs by name.
"""


class BadInput(click.ClickException):
    """The user's mistakes, a line each on standard error."""

    exit_code = WRONG_INPUT

    def __init__(self, error: InputError) -> None:
        super().__init__(str(error))
        self.error = error

    def show(self, file: Any = None) -> None:
        for line in self.error.lines():
            click.echo(shown(line), err=True, file=file)


class Group(click.Group):
    """Turns the user's mistakes into lines on standard error, in one place."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as error:
            raise BadInput(error) from error


@click.group(cls=Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="inlayfit", message="%(prog)s %(version)s")
def main() -> None:
    """Depths, pass schedule and fit of V-cut wood inlays, from a job sheet.

    Exit status: 0 it fits, 1 it does not fit, 2 the sheet or the command line is wrong, 70 a bug.
    """


for command in (plan, check, prove, choose, dryfit, bit, draw, outline, card, new, schema):
    main.add_command(command)


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit status, for every way a run can end."""
    keep_writable()
    try:
        status = main.main(args=arguments, prog_name="inlayfit", standalone_mode=False)
        return status if isinstance(status, int) else FITS
    except click.ClickException as error:
        with suppress(OSError):  # standard error may be full, and the status tells as well
            error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        tell("interrupted")
        return INTERRUPTED
    except ReaderGone:
        _drop_output()
        return READER_GONE
    except Exception as error:
        if isinstance(error, OSError) and error.errno in _UNWRITABLE:
            _drop_output()
            with suppress(OSError):
                tell(f"standard output: cannot be written: {str(error.strerror).lower()}")
            return WRONG_INPUT
        import traceback

        traceback.print_exc()
        tell("This is a bug in inlayfit, not in your sheet. Please report it with the lines above.")
        return BUG


def _drop_output() -> None:
    """What is still buffered for an output that takes no more must not be flushed at exit."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
