"""``inlayfit new`` and ``inlayfit schema``: what a sheet starts from."""

from __future__ import annotations

from typing import Any

import click

from inlayfit.cli.endings import emit


@click.command()
@click.option("--unit", type=click.Choice(["in", "mm"]), default="mm", show_default=True, help="Unit of the sheet.")
def new(unit: Any) -> None:
    """Print an annotated starter sheet.

    Example:

    \b
        inlayfit new > box-lid.yaml
    """  # noqa: D301 (a backspace keeps the lines of an example apart)
    from inlayfit.sheet.starter import starter_sheet

    emit(starter_sheet(unit))


@click.command()
def schema() -> None:
    """Print the job sheet's JSON Schema, for editors.

    Editors that know YAML schemas complete and check a sheet with it.
    """
    import json

    from inlayfit.sheet.schema import sheet_schema

    emit(json.dumps(sheet_schema(), indent=2, ensure_ascii=False) + "\n")
