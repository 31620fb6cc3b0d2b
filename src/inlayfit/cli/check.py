"""``inlayfit check``: many sheets and variants, a line each."""

from __future__ import annotations

import os
from contextlib import closing
from typing import TYPE_CHECKING, Any

import click

from inlayfit.cli.completion import FILES, key_names
from inlayfit.cli.endings import BUG, FITS, WRONG_INPUT, emit, exit_status, is_watched, painter, tell
from inlayfit.cli.options import JudgingOptions, options

if TYPE_CHECKING:
    from inlayfit.batch.lines import BatchReport
    from inlayfit.batch.run import Run, Tally


@click.command()
@click.argument("sheets", metavar="SHEET...", type=FILES, nargs=-1)
@click.option("--list", "listed_in", metavar="FILE", type=FILES,
              help="Also the sheets named in FILE, one a line; - for standard input.")  # fmt: skip
@click.option("--vary", "varied", metavar="KEY=V1,V2", multiple=True, shell_complete=key_names,
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
    given: JudgingOptions,
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
        tell(f"passed over, since they have no base: {', '.join(listed.passed_over)}")
    if listed.other_ending:
        named = ", ".join(listed.other_ending)
        tell(f"passed over for the ending, which is not .yaml or .yml in small letters: {named}")
    wanted = request(
        listed.sheets,
        varied=[read_varied(text) for text in varied],
        settings=given.settings,
        shops=given.shops,
        # rows of one table are in one unit
        unit=given.unit or ("mm" if form == "csv" else None),
        nominal=given.nominal,
        draws=given.draws,
    )
    run = Run(wanted, workers=jobs or cores())
    report = BatchReport(form, wanted, paint=painter())
    ctx.exit(carry_out(run, report, best=best, strict=given.strict))


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
    if is_watched():
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
                    tell(line)
                told.add(line)
    progress.clear()
    tell(summary(tally, run.request, run.finished))
    if run.interrupted:
        raise KeyboardInterrupt
    return batch_status(tally, strict)


def cores() -> int:
    """How many processes can work at a time."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
