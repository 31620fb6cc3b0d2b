"""What a sheet leaves out: values that stand for it, each noted with its reason."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, cast

from inlayfit.errors import InputError
from inlayfit.joint.job import Assumed, AssumedKind
from inlayfit.quantity import MM_PER_INCH, LengthUnit

Values = Mapping[str, Any]

COMMON: Final = "common practice"
# round figures in the sheet's own unit, both in mm
BY_UNIT: Final[dict[str, tuple[float, float]]] = {
    # key: (mm sheet, inch sheet)
    "base.least_floor": (3.0, MM_PER_INCH / 8),
    "plug.border": (6.0, MM_PER_INCH / 4),
    "plug.least_web": (1.5, MM_PER_INCH / 16),
    "joint.glue_gap": (0.5, 0.02 * MM_PER_INCH),
    "joint.surface_gap": (2.5, 0.1 * MM_PER_INCH),
    "joint.level_below": (0.25, 0.01 * MM_PER_INCH),
    "joint.sanding": (0.25, 0.01 * MM_PER_INCH),
    "bits.v.diameter": (6.0, MM_PER_INCH / 4),
}


class Sheet:
    """A sheet's values, with the assumptions and mistakes that come up while a job is made of them."""

    def __init__(self, values: Values, unit: LengthUnit) -> None:
        self.values = values
        self.unit = unit
        self.assumed: list[Assumed] = []
        self.mistakes: list[InputError] = []

    def assume(self, key: str, value: float | str, why: str, *, kind: AssumedKind = "length") -> None:
        if all(entry.key != key for entry in self.assumed):
            self.assumed.append(Assumed(key=key, value=value, why=why, kind=kind))

    def refuse(self, where: tuple[str, ...], problem: str) -> None:
        self.mistakes.append(InputError(problem, where=where))

    def part(self, *path: str) -> Values:
        node: Any = self.values
        for key in path:
            node = node.get(key) or {}
        return cast(Values, node)

    def length(self, section: str, key: str) -> float:
        """A length, or its default in the sheet's unit."""
        value = self.part(section).get(key)
        if value is None:
            value = BY_UNIT[f"{section}.{key}"][self.unit == "in"]
            self.assume(f"{section}.{key}", value, COMMON)
        return float(value)
