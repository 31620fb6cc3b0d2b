"""``inlayfit dryfit``: from readings of the dry fit to the correcting cut."""

from __future__ import annotations

from typing import Any

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import emit, exit_status
from inlayfit.cli.options import SheetOptions, sheet_options


@click.command()
@click.argument("sheet", metavar="SHEET", type=FILES)
@click.option("--gap", "gaps", metavar="[X,Y=]VALUE", multiple=True,
              help="The surface gap: base's face to the plug's own floor. Repeatable; three places or more give tilt.")
@click.option("--above", "above", metavar="[X,Y=]VALUE", multiple=True,
              help="The plug's back over the base's face, by a depth rod. Repeatable.")
@click.option("--over", "over", metavar="[X,Y=]VALUE", multiple=True,
              help="Base's back to plug's back, by callipers over both. Repeatable.")
@click.option("--pocket", metavar="DEPTH", help="The pocket's depth as measured, base's face to its floor.")
@click.option("--plug", metavar="DEPTH", help="The plug's total depth as measured, its face to its own floor.")
@click.option("--held", type=click.Choice(["base", "plug", "both", "none"]),
              help="What is still clamped on its zero.  [default: as in the sheet, or none]")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for people, JSON for programs.")
@sheet_options
@click.pass_context
def dryfit(
    ctx: click.Context,
    sheet: str,
    gaps: tuple[str, ...],
    above: tuple[str, ...],
    over: tuple[str, ...],
    pocket: str | None,
    plug: str | None,
    held: Any,
    form: str,
    given: SheetOptions,
) -> None:
    """How the plug sits at the dry fit, why, and the cut that helps.

    Readings on the command line stand in for those of the sheet's dry_fit. The exit status is 1 where no cut helps.

    Example:

    \b
        inlayfit dryfit box-lid.yaml --gap 0.131 --gap 0.133 --held plug
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit import plan as planning
    from inlayfit.dryfit.answer import dry_fit
    from inlayfit.joint.reading import Kind, MeasuredDepths, Reading
    from inlayfit.sheet.dry_fit_readings import read_reading
    from inlayfit.sheet.groove_readings import read_option

    intake = given.take_in(sheet)
    job, written_in = intake.job, intake.job.sheet_unit
    named: tuple[tuple[Kind, tuple[str, ...]], ...] = (("gap", gaps), ("above", above), ("over", over))
    readings = [read_reading(kind, text, written_in) for kind, texts in named for text in texts]
    if not readings:
        kinds: tuple[tuple[Kind, tuple[float, ...]], ...] = (
            ("gap", job.dry_fit.gaps), ("above", job.dry_fit.above), ("over", job.dry_fit.over),
        )  # fmt: skip
        readings = [Reading(kind=kind, value=value) for kind, values in kinds for value in values]
    measured = MeasuredDepths(
        pocket=None if pocket is None else read_option("--pocket", pocket, written_in),
        plug=None if plug is None else read_option("--plug", plug, written_in),
    )
    with intake.placing():
        plan = planning.plan(job, intake.outline)
        # the sheet's none is what it says by itself too: then the answer tells what a part still held would allow
        in_sheet = None if job.dry_fit.held == "none" else job.dry_fit.held
        found = dry_fit(plan, readings, held or in_sheet, measured)
    if form == "json":
        import json

        from inlayfit.report.dryfit_data import dryfit_data

        data = dryfit_data(found, plan, sheet=sheet, inputs=intake.inputs)
        emit(json.dumps(data, indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.dryfit_text import dryfit_text

        emit(dryfit_text(found, plan))
    ctx.exit(exit_status("fits" if found.mends else "does not fit", strict=False))
