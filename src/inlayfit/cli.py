"""The command line: read, one call, render, exit. The only module that imports click."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import closing
from typing import TYPE_CHECKING, Any, Final

import click

from inlayfit import __version__
from inlayfit.errors import InputError

if TYPE_CHECKING:
    from inlayfit.batch.lines import BatchReport
    from inlayfit.batch.run import Run, Tally

FITS: Final = 0
DOES_NOT_FIT: Final = 1
WRONG_INPUT: Final = 2
BUG: Final = 70
INTERRUPTED: Final = 130
READER_GONE: Final = 141


class ReaderGone(Exception):
    """The reader of our standard output went away."""


class BadInput(click.ClickException):
    """The user's mistakes, a line each on standard error."""

    exit_code = WRONG_INPUT

    def __init__(self, error: InputError) -> None:
        super().__init__(str(error))
        self.error = error

    def show(self, file: Any = None) -> None:
        for line in self.error.lines():
            click.echo(line, err=True, file=file)


class Group(click.Group):
    """Turns the user's mistakes into lines on standard error, in one place."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as error:
            raise BadInput(error) from error


def options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Options of every command that reads a sheet."""
    for option in reversed(
        (
            click.option("--set", "settings", metavar="KEY=VALUE", multiple=True,
                         help="Override a key of the sheet; KEY= removes it. Repeatable."),
            click.option("--shop", "shops", metavar="FILE", multiple=True,
                         help="A partial sheet laid under the sheet: the shop's bits, limits, tolerance. Repeatable."),
            click.option("--unit", type=click.Choice(["in", "mm"]), help="Unit of the results."),
            click.option("--nominal", is_flag=True, help="Skip the fit as cut: depths, and the outline as drawn."),
            click.option("--strict", is_flag=True, help="Doubtful counts as failed."),
        )
    ):  # fmt: skip
        command = option(command)
    return command


@click.group(cls=Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="inlayfit", message="%(prog)s %(version)s")
def main() -> None:
    """Depths, pass schedule and fit of V-cut wood inlays, from a job sheet.

    Exit status: 0 it fits, 1 it does not fit, 2 the sheet or the command line is wrong, 70 a bug.
    """


@main.command()
@click.argument("sheet", metavar="SHEET")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for people, JSON for programs.")  # fmt: skip
@options
@click.pass_context
def plan(
    ctx: click.Context,
    sheet: str,
    form: str,
    settings: tuple[str, ...],
    shops: tuple[str, ...],
    unit: Any,
    nominal: bool,
    strict: bool,
) -> None:
    """Depths, pass schedule and checks for one job sheet (- reads standard input).

    Example:

    \b
        inlayfit plan box-lid.yaml --set joint.glue_gap=0.5mm
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit import advice as advising
    from inlayfit import plan as planning
    from inlayfit.intake import placed, take_in

    intake = take_in(sheet, settings=settings, shops=shops, unit=unit)
    try:
        found = planning.plan(intake.job, intake.outline, nominal=nominal)
    except InputError as error:
        raise placed(error, intake.place_of) from error
    advised = None
    if intake.outline is not None and advising.is_wanted(found, intake.outline):
        if sys.stderr.isatty():
            click.echo("working out what would help ...", err=True)
        advised = advising.advice(found, intake.outline)
    if form == "json":
        import json

        from inlayfit.report.data import data

        found_data = data(found, sheet=sheet, inputs=intake.inputs, advice=advised)
        emit(json.dumps(found_data, indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.text import text

        emit(text(found, advice=advised, paint=painter()))
    ctx.exit(exit_status(found.verdict, strict))


@main.command()
@click.argument("sheets", metavar="SHEET...", nargs=-1)
@click.option("--list", "listed_in", metavar="FILE",
              help="Also the sheets named in FILE, one a line; - for standard input.")  # fmt: skip
@click.option("--vary", "varied", metavar="KEY=V1,V2", multiple=True,
              help="Try each value: V1,V2 or first..last..step; bits=FILE,FILE takes whole bit sets. Repeatable: all "
              "combinations.")  # fmt: skip
@click.option("--best", is_flag=True, help="Rank each sheet's variants, the best first.")
@click.option("--jobs", type=click.IntRange(min=1), metavar="N", help="Worker processes.  [default: one a core]")
@click.option("--format", "form", type=click.Choice(["text", "jsonl", "csv"]), default="text", show_default=True,
              help="Text for people; lines of JSON, or comma-separated values (in mm or --unit).")  # fmt: skip
@options
@click.pass_context
def check(
    ctx: click.Context,
    sheets: tuple[str, ...],
    listed_in: str | None,
    varied: tuple[str, ...],
    best: bool,
    jobs: int | None,
    form: Any,
    settings: tuple[str, ...],
    shops: tuple[str, ...],
    unit: Any,
    nominal: bool,
    strict: bool,
) -> None:
    """Verdict on each of many sheets and variants, a line each.

    SHEET is a file, a folder (its *.yaml and *.yml with a base) or - for standard input. Every sheet is tried; the
    exit status is 2 if one could not be read, else 1 if one does not fit.

    Example:

    \b
        inlayfit check lids/ --shop my-bits.yaml
        inlayfit check lid.yaml --vary joint.pocket_depth=1/8..3/8..1/16 --best
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.batch.lines import BatchReport
    from inlayfit.batch.run import Run
    from inlayfit.batch.sheet_checker import request
    from inlayfit.batch.sheet_list import sheet_list
    from inlayfit.batch.variants import read_varied

    listed = sheet_list(sheets, listed_in=listed_in)
    if listed.passed_over:
        click.echo(f"passed over, since they have no base: {', '.join(listed.passed_over)}", err=True)
    wanted = request(
        listed.sheets,
        varied=[read_varied(text) for text in varied],
        settings=settings,
        shops=shops,
        # rows of one table are in one unit
        unit=unit or ("mm" if form == "csv" else None),
        nominal=nominal,
    )
    run = Run(wanted, workers=jobs or cores())
    report = BatchReport(form, wanted, paint=painter())
    ctx.exit(carry_out(run, report, best=best, strict=strict))


@main.command()
@click.option("--unit", type=click.Choice(["in", "mm"]), default="in", show_default=True, help="Unit of the sheet.")
def new(unit: Any) -> None:
    """Print an annotated starter sheet.

    Example:

    \b
        inlayfit new > box-lid.yaml
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.sheet.starter import starter_sheet

    emit(starter_sheet(unit))


@main.command()
def schema() -> None:
    """Print the JSON Schema of the job sheet, for editors that complete and check YAML."""
    import json

    from inlayfit.sheet.schema import sheet_schema

    emit(json.dumps(sheet_schema(), indent=2, ensure_ascii=False) + "\n")


def exit_status(verdict: str, strict: bool) -> int:
    """The one place that decides between 0 and 1."""
    fails = verdict == "does not fit" or (strict and verdict == "doubtful")
    return DOES_NOT_FIT if fails else FITS


def batch_status(tally: Tally, strict: bool) -> int:
    """Of many sheets: a bug before a mistake, a mistake before what does not fit."""
    if tally.broken:
        return BUG
    if tally.unread:
        return WRONG_INPUT
    return max((exit_status(verdict, strict) for verdict in tally.verdicts), default=FITS)


def carry_out(run: Run, report: BatchReport, *, best: bool, strict: bool) -> int:
    """Write a batch's lines as they come, words about it to standard error; the exit status."""
    import time

    from inlayfit.batch.lines import Progress, summary
    from inlayfit.batch.run import Tally

    tally, told = Tally(), set[str]()
    progress = Progress(run.total, write=lambda words: click.echo(words, err=True, nl=False), clock=time.monotonic)
    if sys.stderr.isatty():
        run.notice = progress.show
    emit(report.head())
    with closing(run.ranked() if best else run.outcomes()) as outcomes:
        for outcome in outcomes:
            progress.clear()
            tally.add(outcome)
            emit(report.line(outcome))
            # what is wrong with a sheet is wrong with all its variants
            for line in outcome.mistakes or outcome.trouble.splitlines():
                if line not in told or outcome.trouble:
                    click.echo(line, err=True)
                told.add(line)
    progress.clear()
    click.echo(summary(tally, run.request, run.finished), err=True)
    if run.interrupted:
        raise KeyboardInterrupt
    return batch_status(tally, strict)


def cores() -> int:
    """How many processes can work at a time."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


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


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit status, for every way a run can end."""
    try:
        status = main.main(args=arguments, prog_name="inlayfit", standalone_mode=False)
        return status if isinstance(status, int) else FITS
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted", err=True)
        return INTERRUPTED
    except ReaderGone:
        # what is still buffered for the closed pipe must not be flushed at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_GONE
    except Exception:
        import traceback

        traceback.print_exc()
        click.echo("This is a bug in inlayfit, not in your sheet. Please report it with the lines above.", err=True)
        return BUG
