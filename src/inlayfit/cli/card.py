"""``inlayfit card``: a page to print for the bench."""

from __future__ import annotations

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import exit_status
from inlayfit.cli.options import JudgingOptions, options, result_file
from inlayfit.errors import InputError, InputErrors


@click.command()
@click.argument("sheets", metavar="SHEET...", type=FILES, nargs=-1, required=True)
@result_file
@options
@click.pass_context
def card(
    ctx: click.Context,
    sheets: tuple[str, ...],
    output: str,
    force: bool,
    given: JudgingOptions,
) -> None:
    """Bench card of each sheet, as one HTML page to print.

    - as SHEET reads standard input.

    It needs no network and no script, and prints on A4 or Letter. The exit status is that of inlayfit plan, the worst
    of several; nothing is written where a sheet has mistakes.

    Example:

    \b
        inlayfit card box-lid.yaml -o card.html
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.pictures.card import CardInput
    from inlayfit.pictures.card import card as card_page
    from inlayfit.result_file import refuse_input, refuse_unwritable, write_result

    refuse_unwritable(output, force=force)
    entries, mistakes = list[CardInput](), list[InputError]()
    for sheet in sheets:
        try:
            intake = given.take_in(sheet)
            refuse_input(output, intake.inputs)
            found = given.planned(intake)
        except InputError as error:
            mistakes.append(error)
        else:
            entries.append(CardInput(plan=found, outline=intake.outline, sheet=sheet))
    if mistakes:
        raise InputErrors(mistakes)
    write_result(output, card_page(entries), force=force)
    ctx.exit(max(exit_status(entry.plan.verdict, given.strict) for entry in entries))
