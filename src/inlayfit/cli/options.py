"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import click

USUAL_DRAWS: Final = 20_000
"""Pairs drawn where the command line names no number."""


def sheet_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that reads a sheet."""
    for option in reversed(
        (
            click.option("--set", "settings", metavar="KEY=VALUE", multiple=True,
                         help="Override a key of the sheet; KEY= removes it. Repeatable."),
            click.option("--shop", "shops", metavar="FILE", multiple=True,
                         help="A partial sheet laid under the sheet: the shop's bits, limits, tolerance. Repeatable."),
            click.option("--unit", type=click.Choice(["in", "mm"]), help="Unit of the results."),
        )
    ):  # fmt: skip
        command = option(command)
    return command


def options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that judges sheets."""
    for option in reversed(
        (
            sheet_options,
            click.option("--nominal", is_flag=True, help="Skip the fit as cut: depths, and the outline as drawn."),
            click.option("--draws", type=click.IntRange(0, 1_000_000), default=USUAL_DRAWS, show_default=True,
                         metavar="N", help="Pairs to draw from the tolerances; 0 leaves the draws out."),
            click.option("--strict", is_flag=True, help="Doubtful counts as failed."),
        )
    ):  # fmt: skip
        command = option(command)
    return command


def result_file(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that writes a file: ``output``, a name, and ``force``."""
    for option in reversed(
        (
            click.option("-o", "--output", metavar="FILE", required=True, help="The file to write."),
            click.option("--force", is_flag=True, help="Replace the file if it exists."),
        )
    ):
        command = option(command)
    return command
