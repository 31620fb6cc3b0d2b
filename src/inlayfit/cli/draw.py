"""``inlayfit draw``: drawings of one joint, true to scale."""

from __future__ import annotations

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import exit_status
from inlayfit.cli.options import JudgingOptions, options, result_file
from inlayfit.errors import InputError


@click.command()
@click.argument("sheet", metavar="SHEET", type=FILES)
@click.option("--view", type=click.Choice(["section", "outline", "spread", "all"]), default="section",
              show_default=True,
              help="The joint cut across, the outline from above, what tolerances do to it, or all of them.")
@result_file
@options
@click.pass_context
def draw(
    ctx: click.Context,
    sheet: str,
    output: str,
    view: str,
    force: bool,
    given: JudgingOptions,
) -> None:
    """Draw a joint as SVG, true to scale.

    - as SHEET reads standard input.

    The exit status is that of inlayfit plan; the drawing is written whatever the verdict.

    Example:

    \b
        inlayfit draw box-lid.yaml -o joint.svg
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.pictures.canvas import stacked
    from inlayfit.pictures.section import section
    from inlayfit.pictures.spread import spread
    from inlayfit.result_file import refuse_input, refuse_unwritable, write_result

    refuse_unwritable(output, force=force)
    intake = given.take_in(sheet)
    refuse_input(output, intake.inputs)
    found = given.planned(intake)
    with intake.placing():
        if view == "outline" and intake.outline is None:
            raise InputError("there is none to draw: give a file or shapes", where=("outline",))
        spread_drawn = spread(found) if view in ("spread", "all") else None
        if view == "spread" and spread_drawn is None:
            raise InputError("the V-bit's cone is too short for these depths: there is no spread to draw")
    drawings = [section(found)] if view in ("section", "all") else []
    if view in ("outline", "all") and intake.outline is not None:
        from inlayfit.pictures.boards import boards
        from inlayfit.pictures.outline_plan import outline_plan

        drawings.append(outline_plan(found, intake.outline))
        boards_drawn = boards(found)
        if boards_drawn is not None:
            drawings.append(boards_drawn)
    if spread_drawn is not None:
        drawings.append(spread_drawn)
    write_result(output, stacked(drawings), force=force)
    ctx.exit(exit_status(found.verdict, given.strict))
