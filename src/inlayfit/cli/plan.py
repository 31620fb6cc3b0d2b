"""``inlayfit plan``: one sheet, worked out."""

from __future__ import annotations

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import columns, emit, exit_status, is_watched, painter, tell
from inlayfit.cli.options import JudgingOptions, options


def _parts(ctx: click.Context, parameter: click.Parameter, value: str | None) -> tuple[str, ...]:
    """The parts named, each of which there is."""
    from inlayfit.report.text import PARTS

    named = tuple(name.strip() for name in value.split(",")) if value else ()
    for name in named:
        if name not in PARTS:
            raise click.BadParameter(f"found {name!r}, expected some of {', '.join(PARTS)}")
    return named


@click.command()
@click.argument("sheet", metavar="SHEET", type=FILES)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for people, JSON for programs.")  # fmt: skip
@click.option("--full", is_flag=True, help="Everything, not the first screen and the passes alone.")
@click.option("--part", "parts", metavar="NAMES", callback=_parts,
              help="Some of it in full: depths, outline, seat, tolerance, passes, shop, checks, change, assumed, "
              "cautions; a comma parts them.")  # fmt: skip
@click.option("--no-advice", is_flag=True, help="Do not work out what to change where a check asks for it.")
@options
@click.pass_context
def plan(
    ctx: click.Context,
    sheet: str,
    form: str,
    full: bool,
    parts: tuple[str, ...],
    no_advice: bool,
    given: JudgingOptions,
) -> None:
    """Depths, passes and checks for one job sheet.

    - as SHEET reads standard input.

    Example:

    \b
        inlayfit plan box-lid.yaml --set joint.glue_gap=0.5mm
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    intake = given.take_in(sheet)
    found = given.planned(intake)
    from inlayfit.advice.search import is_wanted

    advised = None
    if not no_advice and is_wanted(found, intake.outline):
        from inlayfit.advice.search import advice

        if is_watched():
            tell("working out what to change ...")
        trial = given.trial(sheet, draws=given.draws, nominal=given.nominal, read=intake.files)
        advised = advice(found, trial)
    if form == "json":
        import json

        from inlayfit.report.data import data

        found_data = data(found, sheet=sheet, inputs=intake.inputs, advice=advised)
        emit(json.dumps(found_data, indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.text import PARTS, full_text, text

        if full or parts:
            emit(full_text(found, parts or PARTS, advice=advised, paint=painter(), width=columns()))
        else:
            emit(text(found, advice=advised, paint=painter(), width=columns()))
    ctx.exit(exit_status(found.verdict, given.strict))
