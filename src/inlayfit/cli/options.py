"""Options that several commands share, and what was given for them as one record."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import TYPE_CHECKING, Any, Final

import click

from inlayfit.cli.completion import FILES, key_names

if TYPE_CHECKING:
    from inlayfit.intake import InputFile, Intake
    from inlayfit.plan import Plan
    from inlayfit.quantity import LengthUnit
    from inlayfit.trials import SheetOnTrial

USUAL_DRAWS: Final = 20_000
"""Pairs drawn where the command line names no number."""
Command = Callable[..., Any]


class SheetOptions:
    """What the command line lays over and under a sheet, and the unit of results."""

    NAMES: tuple[str, ...] = ("settings", "shops", "unit")

    def __init__(self, *, settings: tuple[str, ...], shops: tuple[str, ...], unit: LengthUnit | None) -> None:
        self.settings, self.shops, self.unit = settings, shops, unit

    def take_in(self, sheet: str) -> Intake:
        """Read a sheet with them. Raises :class:`inlayfit.errors.InputError`."""
        from inlayfit.intake import take_in

        return take_in(sheet, settings=self.settings, shops=self.shops, unit=self.unit)

    def trial(
        self, sheet: str, *, draws: int, nominal: bool = False, read: Sequence[InputFile] = ()
    ) -> SheetOnTrial:
        """The sheet with them, to be planned again with changes; ``read``: its files, where they were read before.

        Raises :class:`inlayfit.errors.InputError`.
        """
        from inlayfit.trials import SheetOnTrial

        return SheetOnTrial(
            sheet, settings=self.settings, shops=self.shops, unit=self.unit, draws=draws, nominal=nominal,
            read=read[: 1 + len(self.shops)],
        )


class JudgingOptions(SheetOptions):
    """These, and how far a sheet is looked at."""

    NAMES = (*SheetOptions.NAMES, "nominal", "draws", "strict")

    def __init__(self, *, nominal: bool, draws: int, strict: bool, **sheet: Any) -> None:
        super().__init__(**sheet)
        self.nominal, self.draws, self.strict = nominal, draws, strict

    def planned(self, intake: Intake) -> Plan:
        """The plan of what was taken in. Raises :class:`inlayfit.errors.InputError`."""
        from inlayfit.plan import plan

        with intake.placing():
            return plan(intake.job, intake.outline, nominal=self.nominal, draws=self.draws)


def sheet_options(command: Command) -> Command:
    """Options of every command that reads a sheet; the command gets them as ``given``, a :class:`SheetOptions`."""
    return _with_options(command, SheetOptions, _SHEET)


def options(command: Command) -> Command:
    """Options of every command that judges sheets; it gets them as ``given``, a :class:`JudgingOptions`."""
    return _with_options(command, JudgingOptions, (*_SHEET, *_JUDGING))


def result_file(command: Command) -> Command:
    """Options of every command that writes a file: ``output``, a name, and ``force``."""
    for option in reversed(
        (
            click.option("-o", "--output", metavar="FILE", type=FILES, required=True, help="The file to write."),
            click.option("--force", is_flag=True, help="Replace the file if it exists."),
        )
    ):
        command = option(command)
    return command


_SHEET: Final = (
    click.option("--set", "settings", metavar="KEY=VALUE", multiple=True, shell_complete=key_names,
                 help="Override a key of the sheet; KEY= removes it. Repeatable."),
    click.option("--shop", "shops", metavar="FILE", type=FILES, multiple=True,
                 help="A partial sheet laid under the sheet: the shop's bits, limits, tolerance. Repeatable."),
    click.option("--unit", type=click.Choice(["in", "mm"]), help="Unit of the results."),
)  # fmt: skip
_JUDGING: Final = (
    click.option("--nominal", is_flag=True, help="Leave out the fit as cut: depths, and the outline as drawn."),
    click.option("--draws", type=click.IntRange(0, 1_000_000), default=USUAL_DRAWS, show_default=True, metavar="N",
                 help="Trial pairs made at random from the tolerances; 0 leaves them out."),
    click.option("--strict", is_flag=True, help="Doubtful counts as failed."),
)  # fmt: skip


def _with_options(
    command: Command, record: type[SheetOptions], wanted: Sequence[Callable[[Command], Command]]
) -> Command:
    @wraps(command)
    def gathered(*arguments: Any, **more: Any) -> Any:
        given = record(**{name: more.pop(name) for name in record.NAMES})
        return command(*arguments, given=given, **more)

    found: Command = gathered
    for option in reversed(wanted):
        found = option(found)
    return found
