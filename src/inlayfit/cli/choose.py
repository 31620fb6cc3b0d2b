"""``inlayfit choose``: the best set-up for a drawing from the bits a shop owns."""

from __future__ import annotations

from typing import Any

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import WRONG_INPUT, emit, exit_status, is_watched, tell
from inlayfit.cli.options import USUAL_DRAWS, SheetOptions, sheet_options
from inlayfit.errors import InputError


@click.command()
@click.argument("sheets", metavar="SHEET...", type=FILES, nargs=-1, required=True)
@click.option(
    "--bits", "drawer", metavar="FILE", type=FILES, required=True, help="The drawer: a file with a list of bits."
)
@click.option(
    "--prefer",
    type=click.Choice(["balance", "time", "detail", "margin"]),
    default="balance",
    show_default=True,
    help="What counts most among set-ups that fit.",
)
@click.option("--fewest", is_flag=True, help="Of several sheets: the fewest bits that serve all of them.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="Text for people, JSON for programs.",
)
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    type=FILES,
    help="Write the sheet of the best set-up; FILE.svg: the drawing with what is in its way marked.",
)
@click.option("--force", is_flag=True, help="Replace the file if it exists.")
@click.option(
    "--draws",
    type=click.IntRange(0, 1_000_000),
    default=USUAL_DRAWS,
    show_default=True,
    metavar="N",
    help="Trial pairs to draw from the tolerances for each set-up that is seated.",
)
@click.option("--strict", is_flag=True, help="Doubtful counts as failed.")
@sheet_options
@click.pass_context
def choose(
    ctx: click.Context,
    sheets: tuple[str, ...],
    drawer: str,
    prefer: Any,
    fewest: bool,
    form: str,
    output: str | None,
    force: bool,
    draws: int,
    strict: bool,
    given: SheetOptions,
) -> None:
    """Find the best set-up for a drawing from a drawer of bits.

    What the sheet leaves out of bits and pocket depth is chosen; `bits: any`, `clearing: any` and ranges such as
    `pocket_depth: 3..8` or `width: 100..160` leave it open in so many words. Where nothing fits, what to change is
    worked out from the nearest set-up. A folder, or several sheets, get a line each.

    Example:

    \b
        inlayfit choose box-lid.yaml --bits drawer.yaml -o chosen.yaml
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.batch.sheet_list import sheet_list
    from inlayfit.choose.catalogue import catalogue
    from inlayfit.choose.chooser import Choice
    from inlayfit.choose.chooser import choose as choose_one
    from inlayfit.choose.drawer import read_drawer
    from inlayfit.intake import input_file
    from inlayfit.result_file import refuse_input, refuse_unwritable

    names = sheet_list(sheets).sheets
    if output is not None and (len(names) > 1 or fewest):
        raise InputError("found several sheets or --fewest, expected one sheet: a file holds one set-up", place="-o")
    if output is not None:
        refuse_unwritable(output, force=force)
        refuse_input(output, [*names, *given.shops, drawer])
    file = input_file(drawer)
    if len(names) == 1 and not fewest:
        trial = given.trial(names[0], draws=draws)
        _say_working(names)
        choice = choose_one(trial, read_drawer(file, trial.bare_unit), prefer=prefer)
        _tell(choice, form, output, force)
        ctx.exit(exit_status(choice.best[0].plan.verdict, strict))
    choices, unread = list[tuple[str, Choice]](), list[tuple[str, tuple[str, ...]]]()
    _say_working(names)
    for name in names:
        try:
            trial = given.trial(name, draws=draws)
            choices.append((name, choose_one(trial, read_drawer(file, trial.bare_unit), prefer=prefer)))
        except InputError as error:
            if error.place.startswith(drawer):
                raise
            unread.append((name, error.lines()))
            tell("\n".join(error.lines()))
    found = catalogue(tuple(choices), tuple(unread), fewest=fewest)
    if form == "json":
        import json

        from inlayfit.report.choose_data import catalogue_data

        emit(json.dumps(catalogue_data(found), indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.choose_text import catalogue_text

        emit(catalogue_text(found))
    statuses = [exit_status(choice.best[0].plan.verdict, strict) for _, choice in choices]
    ctx.exit(WRONG_INPUT if unread else max(statuses, default=0))


def _say_working(names: tuple[str, ...]) -> None:
    if is_watched():
        many = f" for {len(names)} sheets" if len(names) > 1 else ""
        tell(f"trying set-ups{many} ...")


def _tell(choice: Any, form: str, output: str | None, force: bool) -> None:
    from inlayfit.advice.search import advice, is_wanted

    best, advised = choice.best[0], None
    trial = choice.trial.with_changes(best.set_up.changes)
    if best.fails and is_wanted(best.plan, trial.intake.outline):
        advised = advice(best.plan, trial)
    if output is not None:
        from inlayfit.result_file import write_result

        write_result(output, _file(choice, output), force=force)
    if form == "json":
        import json

        from inlayfit.report.choose_data import choice_data

        emit(json.dumps(choice_data(choice, advised), indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.choose_text import choice_text

        emit(choice_text(choice, advised))


def _file(choice: Any, output: str) -> str:
    """The sheet of the best set-up, or its drawing with the weak places marked."""
    best = choice.best[0]
    if not output.lower().endswith(".svg"):
        return choice.trial.sheet_with(best.set_up.changes, output)
    from inlayfit.pictures.canvas import stacked
    from inlayfit.pictures.outline_plan import outline_plan

    outline = choice.trial.with_changes(best.set_up.changes).intake.outline
    if outline is None:
        raise InputError("there is none to draw: give a file or shapes", where=("outline",))
    return stacked([outline_plan(best.plan, outline)])
