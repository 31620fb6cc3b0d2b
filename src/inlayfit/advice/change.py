"""A change of a sheet, as it would be typed, and the plan made again with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol

if TYPE_CHECKING:
    from inlayfit.plan import Plan

Stage = Literal["depths", "drawn", "cut", "whole"]
"""How much is worked out: depths alone; the outline as drawn; the cuts and the seat; trial pairs and shop as well."""
STAGES: tuple[Stage, ...] = ("depths", "drawn", "cut", "whole")


class Change(NamedTuple):
    """One key of the sheet with its new value, both as typed; an empty value takes the key out."""

    key: str
    value: str

    @property
    def line(self) -> str:
        """What to paste on a command line; quoted where a shell would take it apart."""
        setting = f"{self.key}={self.value}"
        return f"--set '{setting}'" if set(setting) & set(' []{}"<>|&;*?$()') else f"--set {setting}"


Changes = tuple[Change, ...]


class Replanner(Protocol):
    """The sheet at hand, planned again with changes laid over it."""

    def plan(self, changes: Sequence[Change], stage: Stage) -> Plan | None:
        """The plan with these changes; None where no joint is possible with them."""

    def holds(self, *path: str) -> bool:
        """Whether the sheet itself gives this key."""

    def clearing_key(self, diameter: float) -> str | None:
        """Key of the sheet's clearing bit of this diameter in mm, such as ``bits.clearing[2]``; None without one."""


def merged(changes: Sequence[Change], more: Sequence[Change]) -> Changes:
    """The changes with more laid over them: the later value of a key stands."""
    kept = {change.key: change for change in changes}
    for change in more:
        kept[change.key] = change
    return tuple(kept.values())
