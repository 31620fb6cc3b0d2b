"""``inlayfit outline``: outlines to cut from."""

from __future__ import annotations

import click

from inlayfit.cli.completion import FILES
from inlayfit.cli.endings import emit
from inlayfit.cli.options import SheetOptions, result_file, sheet_options
from inlayfit.errors import InputError


@click.command()
@click.argument("sheet", metavar="SHEET", type=FILES)
@click.option("--part", type=click.Choice(["pocket", "plug"]), default="pocket", show_default=True,
              help="The pocket as seen on the finished face, or the plug, mirrored and with its border.")  # fmt: skip
@click.option("--eased", "is_eased", is_flag=True, help="Round corners so that the tips of the sheet's bits fit them.")
@result_file
@sheet_options
def outline(
    sheet: str,
    output: str,
    part: str,
    is_eased: bool,
    force: bool,
    given: SheetOptions,
) -> None:
    """Write the outline to cut from as SVG, DXF or GeoJSON.

    The ending of FILE says which: .svg, .dxf, .geojson or .json.

    - as SHEET reads standard input. SVG is in mm; DXF and GeoJSON are in the sheet's unit, or --unit.

    Example:

    \b
        inlayfit outline box-lid.yaml -o plug.svg --part plug --eased
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.drawings.part_drawing import drawing_writer
    from inlayfit.report.outline_text import easing_words, written_outline
    from inlayfit.result_file import refuse_input, refuse_unwritable, write_result

    refuse_unwritable(output, force=force)
    write = drawing_writer(output)
    intake = given.take_in(sheet)
    refuse_input(output, intake.inputs)
    job, drawn = intake.job, intake.outline
    with intake.placing():
        if drawn is None:
            raise InputError("there is none to write: give a file or shapes", where=("outline",))
    from inlayfit.outline.easing import eased
    from inlayfit.outline.part_outline import plug_outline, pocket_outline

    told = ""
    if is_eased:
        radii = {
            name: max(bit.shape.flank_radius, bit.real.flank_radius)
            for name, bit in (("opened_by", job.bits.pocket_v), ("closed_by", job.bits.plug_v))
        }
        with intake.placing():
            found = eased(drawn, **radii)
        told = easing_words(found, drawn, job.unit, **radii)
        drawn = found.outline
    outlined = pocket_outline(drawn) if part == "pocket" else plug_outline(drawn, job.plug.border)
    write_result(output, write(outlined, job.title, job.unit), force=force)
    emit(written_outline(output, outlined, job.unit, border=job.plug.border, notes=drawn.notes) + told)
