"""``inlayfit prove``: posted programmes read and proved as a pair."""

from __future__ import annotations

import os.path

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import emit, exit_status, is_watched, painter, tell
from inlayfit.cli.options import SheetOptions, sheet_options


@click.command()
@click.argument("sheet", metavar="SHEET", type=FILES)
@click.option("--pocket", metavar="FILE[=BIT]", type=FILES, multiple=True,
              help="A programme that cuts the base, and its bit: v, clearing, or a bit's name. Repeatable.")
@click.option("--plug", metavar="FILE[=BIT]", type=FILES, multiple=True,
              help="A programme that cuts the plug's blank, likewise. Repeatable.")
@click.option("--tool", "tools", metavar="NUMBER=BIT", multiple=True,
              help="The bit of a T number, for files with several. Repeatable.")
@click.option("--block-delete", is_flag=True, help="Leave out lines that start with /.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for people, JSON for programs.")
@click.option("--strict", is_flag=True, help="Doubtful counts as failed.")
@sheet_options
@click.pass_context
def prove(
    ctx: click.Context,
    sheet: str,
    pocket: tuple[str, ...],
    plug: tuple[str, ...],
    tools: tuple[str, ...],
    block_delete: bool,
    form: str,
    strict: bool,
    given: SheetOptions,
) -> None:
    """Prove the posted programmes as a pair, before anything is cut.

    The files come from the sheet's programmes, or from --pocket and --plug. - as SHEET reads standard input.

    Example:

    \b
        inlayfit prove box-lid.yaml --pocket base.nc --plug plug.nc --tool 1=clearing --tool 2=v
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit import plan as planning
    from inlayfit.errors import InputError
    from inlayfit.intake import STANDARD_INPUT
    from inlayfit.programme_files import named_on_command_line, read_programmes
    from inlayfit.proving import prove as proof_of

    intake = given.take_in(sheet)
    if intake.outline is None:
        raise InputError("missing, expected the outline that the programmes cut", where=("outline",), place=sheet)
    folder = "" if sheet == STANDARD_INPUT else os.path.dirname(sheet)
    named = named_on_command_line(intake.job, pocket, plug, tools, folder)
    if is_watched():
        tell("reading the programmes ...")
    read = read_programmes(intake.job, named, tools, block_delete=block_delete)
    with intake.placing():
        plan = planning.plan(intake.job, intake.outline)
        found = proof_of(plan, intake.outline, read.posted)
    if form == "json":
        import json

        from inlayfit.report.proof_data import proof_data

        inputs = {**intake.inputs, **{file.name: file.sha256 for file in read.files}}
        emit(json.dumps(proof_data(found, sheet=sheet, inputs=inputs), indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.proof_text import proof_text

        emit(proof_text(found, paint=painter()))
    ctx.exit(exit_status(found.verdict, strict))
