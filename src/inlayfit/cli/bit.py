"""``inlayfit bit``: the V-bit as it really is, from test grooves."""

from __future__ import annotations

from typing import Any

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import emit
from inlayfit.cli.options import SheetOptions, sheet_options


@click.command()
@click.argument("sheet", metavar="[SHEET]", type=FILES, required=False)
@click.option("--groove", "grooves", metavar="DEPTH=WIDTH", multiple=True,
              help="A test groove: its depth and its width at the face. Repeatable; at least two depths.")  # fmt: skip
@click.option("--grooves", "groove_file", metavar="FILE", type=FILES, help="A YAML file with a list of grooves.")
@click.option("--tip", metavar="WIDTH", help="The tip's width as seen under a loupe.")
@click.option("--depths", "depths_are", type=click.Choice(["programmed", "measured"]), default="programmed",
              show_default=True, help="Whether depths are as programmed, or measured from the face.")  # fmt: skip
@click.option("--reading", metavar="LENGTH", default="0.02 mm", show_default=True,
              help="How well a width is read, plus or minus.")  # fmt: skip
@click.option("--bit", "role", type=click.Choice(["pocket_v", "plug_v"]),
              help="Which of the sheet's two V-bits it is.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for people, JSON for programs.")  # fmt: skip
@sheet_options
def bit(
    sheet: str | None,
    grooves: tuple[str, ...],
    groove_file: str | None,
    tip: str | None,
    depths_are: str,
    reading: str,
    role: Any,
    form: str,
    given: SheetOptions,
) -> None:
    """The V-bit's real angle and tip, from test grooves.

    With a sheet, also what the real bit does to its joint.

    Bare numbers are in the sheet's unit. Without SHEET every length needs its unit, or --unit names it for all.

    Example:

    \b
        inlayfit bit --groove 2mm=1.22mm --groove 4mm=2.28mm --groove 6mm=3.35mm
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit import measured_bit
    from inlayfit.intake import input_file
    from inlayfit.joint.groove_fit import Groove, groove_fit, refuse_swapped
    from inlayfit.joint.spread import EXACT, USUAL_TOUCH_OFF, Spread
    from inlayfit.sheet.groove_readings import read_groove_file, read_grooves, read_option

    if sheet is None and (given.settings or given.shops or role):
        raise click.UsageError("--set, --shop and --bit change a sheet, and no SHEET is named")
    intake = given.take_in(sheet) if sheet is not None else None
    written_in = intake.job.sheet_unit if intake else given.unit
    plus_minus = read_option("--reading", reading, written_in)
    read = read_grooves(grooves, written_in, plus_minus)
    files = list(intake.files) if intake else []
    if groove_file is not None:
        files.append(input_file(groove_file))
        read += read_groove_file(files[-1].data, groove_file, written_in, plus_minus)
    seen = Groove(depth=0, width=read_option("--tip", tip, written_in), plus_minus=plus_minus) if tip else None
    results_in = given.unit or written_in or "mm"
    touch_off, declared = Spread(value=USUAL_TOUCH_OFF), None
    if intake is not None:
        declared = measured_bit.declared_bit(intake.job, role or "v")
        touch_off = measured_bit.touch_off_of(intake.job, role or "v")
    if depths_are == "measured":
        touch_off = EXACT
    refuse_swapped(read, touch_off=touch_off, declared=None if declared is None else declared.shape.angle)
    if declared is not None:
        measured_bit.refuse_beyond(declared, read, written_in or "mm")
    real = groove_fit(read, touch_off=touch_off, tip_seen=seen, unit=results_in)
    shape = real.shape(ball=declared is not None and declared.shape.rounding > 0)
    seatings: tuple[measured_bit.Seating, ...] = ()
    if intake is not None:
        with intake.placing():
            seatings = measured_bit.seatings(intake.job, intake.outline, role or "v", shape)
    if form == "json":
        import json

        from inlayfit.report.bit_data import bit_data

        digests = {file.name: file.sha256 for file in files}
        data = bit_data(real, shape, unit=results_in, inputs=digests, sheet=sheet, seatings=seatings)
        emit(json.dumps(data, indent=2, ensure_ascii=False) + "\n")
    else:
        from inlayfit.report.bit_text import bit_text

        has_outline = intake is not None and intake.outline is not None
        emit(
            bit_text(
                real, shape, unit=results_in, under=f"bits.{role or 'v'}", seatings=seatings, outline=has_outline,
                declared=None if declared is None else declared.shape,
            )
        )  # fmt: skip
