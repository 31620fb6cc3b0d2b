"""One sheet after the other, in its variants, with what they share kept at hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from inlayfit import plan as planning
from inlayfit.batch.bounds import MOST_SECONDS, TooLong, limit_memory, limited_time
from inlayfit.batch.variants import Variant, Varied, combinations
from inlayfit.errors import InputError, key_path
from inlayfit.intake import STANDARD_INPUT, InputFile, input_file, intake_of, shown_name
from inlayfit.outline_shelf import OutlineShelf
from inlayfit.quantity import LengthUnit
from inlayfit.report.data import data
from inlayfit.sheet.jobsheet import SheetFiles, read_files, read_partial, sheet_values
from inlayfit.sheet.keys import SHEET
from inlayfit.sheet.layers import Setting, lay_over, read_setting
from inlayfit.sheet.tree import Keys, Place, Source


@dataclass(frozen=True, kw_only=True)
class Request:
    """What a run is to do, with all that its sheets have in common. Plain values: it goes to other processes."""

    sheets: tuple[str, ...]
    variants: tuple[Variant, ...] = ((),)
    settings: tuple[str, ...] = ()
    shops: tuple[InputFile, ...] = ()
    bit_sets: Mapping[str, InputFile] = field(default_factory=dict)
    """Files of the varied bit sets, by name."""
    unit: LengthUnit | None = None
    nominal: bool = False
    """Leave the fit as cut out."""
    draws: int = 0
    """Pairs to draw from the tolerances; 0 for none."""
    standard_input: InputFile | None = None


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one variant of one sheet: a record of the plan, or why there is none."""

    number: int
    """Which sheet of the run, from 0."""
    sheet: str
    variant: Mapping[str, str]
    record: Mapping[str, Any] | None = None
    """The plan as plain data."""
    mistakes: tuple[str, ...] = ()
    """The user's, a line each."""
    trouble: str = ""
    """What broke, where neither a plan nor a mistake of the user's came out: a traceback, or how a worker died."""
    varied: Mapping[str, float] = field(default_factory=dict)
    """Varied lengths and angles as numbers, in the sheet's unit and in degrees."""
    rank: int | None = None
    """Place among the sheet's variants, from 1, where they are ranked."""

    @property
    def error(self) -> str:
        """Why there is no record; empty where there is one."""
        if self.mistakes:
            return "\n".join(self.mistakes)
        return f"inlayfit failed: {self.trouble.strip().splitlines()[-1]}" if self.trouble else ""


def request(
    sheets: Sequence[str],
    *,
    varied: Sequence[Varied] = (),
    settings: Sequence[str] = (),
    shops: Sequence[str] = (),
    unit: LengthUnit | None = None,
    nominal: bool = False,
    draws: int = 0,
) -> Request:
    """Gather what all sheets share. Raises :class:`InputError` for what would spoil every one of them."""
    given = [read_setting(setting) for setting in settings]
    first_varied = [_varied(entry.key, entry.values[0]) for entry in varied]
    for setting in [*given, *first_varied]:
        _known(setting)
    for entry, first in zip(varied, first_varied, strict=True):
        if any(setting.path == first.path for setting in given):
            raise InputError(f"{entry.key} is set and varied, expected one of --set and --vary", place="--vary")
    bit_sets = {name: input_file(name) for entry in varied if entry.from_files for name in entry.values}
    for file in bit_sets.values():
        if "bits" not in read_partial(file.data, file.name).fields:
            raise InputError("found no bits, expected a file with a bits part", place=file.name)
    shop_files = tuple(input_file(name) for name in shops)
    for file in shop_files:
        read_partial(file.data, file.name)
    return Request(
        sheets=tuple(sheets),
        variants=combinations(varied),
        settings=tuple(settings),
        shops=shop_files,
        bit_sets=bit_sets,
        unit=unit,
        nominal=nominal,
        draws=draws,
        standard_input=input_file(STANDARD_INPUT) if STANDARD_INPUT in sheets else None,
    )


def _known(setting: Setting) -> None:
    """Refuse a key that no sheet can have. Of a list's items only a sheet can tell."""
    if not any(step.startswith("[") for step in setting.path):
        lay_over(Keys(Place(Source("a sheet")), {}), setting, SHEET)


def _varied(key: str, value: str) -> Setting:
    return read_setting(f"{key}={value}", option="--vary")


def bounded_checker(request: Request, workers: int) -> Checker:
    """A checker for a process of its own, one of so many that share the memory."""
    limit_memory(workers)
    return Checker(request)


Item = tuple[int, int]
"""Numbers of a sheet and of a variant."""


class Checker:
    """Checks sheets of a request one after the other, and keeps what the next may share."""

    def __init__(self, request: Request, *, most_seconds: float = MOST_SECONDS) -> None:
        self.request = request
        self.most_seconds = most_seconds
        self.shelf = OutlineShelf()
        self.settings = [read_setting(setting) for setting in request.settings]
        self.bit_sets = {name: read_partial(file.data, name) for name, file in request.bit_sets.items()}
        self.opened: tuple[int, InputFile, SheetFiles] | None = None
        """The sheet at hand, parsed, with its number."""

    def __call__(self, item: Item) -> Outcome:
        number, which = item
        sheet, variant = self.request.sheets[number], self.request.variants[which]
        outcome = Outcome(number=number, sheet=sheet, variant=dict(variant))
        try:
            with limited_time(self.most_seconds):
                record, numbers = self._record(number, variant)
        except InputError as error:
            return replace(outcome, mistakes=error.lines())
        except (MemoryError, TooLong) as error:
            # what is half worked out is of no use to the next
            self.shelf = OutlineShelf()
            wants = "more memory than a sheet of many may take"
            if isinstance(error, TooLong):
                wants = f"longer than the {self.most_seconds:g} s that a sheet of many may take"
            advice = "simplify its outline, or run inlayfit plan on it alone"
            return replace(outcome, mistakes=(f"{shown_name(sheet)}: takes {wants}: {advice}",))
        except Exception:
            import traceback

            # one sheet that the program trips over must not cost the others
            return replace(outcome, trouble=traceback.format_exc())
        return replace(outcome, record={**record, "variant": dict(variant)}, varied=numbers)

    def _record(self, number: int, variant: Variant) -> tuple[dict[str, Any], dict[str, float]]:
        """The plan as plain data, and the varied lengths and angles."""
        sheet = self.request.sheets[number]
        file, files = self._opened(number)
        sets, varied = list[Setting](), list[Setting]()
        used = [name for _, name in variant if name in self.bit_sets]
        for key, value in variant:
            if key == "bits" and value in self.bit_sets:
                bits = self.bit_sets[value].fields["bits"]
                sets.append(Setting(path=("bits",), value=bits.value, place=bits.place))
            else:
                varied.append(_varied(key, value))
        # a whole set first, so that what is set or varied of it counts
        values = sheet_values(files, [*sets, *self.settings, *varied], bit_sets=[self.bit_sets[name] for name in used])
        intake = intake_of(
            values,
            sheet,
            files=[file, *self.request.shops, *(self.request.bit_sets[name] for name in used)],
            unit=self.request.unit,
            outline_maker=self.shelf.outline,
        )
        with intake.placing():
            analysis = self.shelf.analysis(intake.outline) if intake.outline is not None else None
            found = planning.plan(
                intake.job, intake.outline, analysis, nominal=self.request.nominal, draws=self.request.draws
            )
        numbers = {key_path(setting.path): values.number(setting.path) for setting in varied}
        return (
            data(found, sheet=sheet, inputs=intake.inputs),
            {key: number for key, number in numbers.items() if number is not None},
        )

    def _opened(self, number: int) -> tuple[InputFile, SheetFiles]:
        if self.opened is None or self.opened[0] != number:
            name = self.request.sheets[number]
            file = self.request.standard_input if name == STANDARD_INPUT else None
            file = file or input_file(name)
            shops = [(shop.name, shop.data) for shop in self.request.shops]
            self.opened = (number, file, read_files(file.data, shown_name(name), shops=shops))
        return self.opened[1:]
