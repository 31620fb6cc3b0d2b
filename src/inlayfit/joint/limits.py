"""Limits of the checks: each stands once, with its key, its default and what it is for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, Generic, Literal, NamedTuple, TypeVar

T = TypeVar("T", float, tuple[float, float])
LimitKind = Literal["length", "share"]


class Limit(NamedTuple, Generic[T]):
    """A limit that the sheet may set under ``limits``: lengths in mm, shares as fractions of 1."""

    key: str
    kind: LimitKind
    default: T
    help: str
    like: Limit[T] | None = None
    """Where the sheet leaves it out, it is as this one."""
    one_sets: Literal["first", "second"] = "first"
    """Of a pair, which one a single value sets; the other is then no further than it."""


class Limits:
    """The limits that a sheet sets, by their keys; the others have their defaults."""

    def __init__(self, given: Mapping[str, Any] | None = None) -> None:
        self._given = dict(given or {})

    def __repr__(self) -> str:
        return f"Limits({self._given})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Limits) and self._given == other._given

    def __hash__(self) -> int:
        return hash(frozenset(self._given.items()))

    def __getitem__(self, limit: Limit[T]) -> T:
        if limit.like is not None and limit.key not in self._given:
            return self[limit.like]
        value: T = self._given.get(limit.key, limit.default)
        return value


JOINT_LINE: Final = Limit("joint_line", "length", 0.1, "Widest joint line.")
LEAST_SKIN: Final = Limit("least_skin", "length", 0.5, "Least skin over the surface gap that holds at levelling.")
SEAT: Final = Limit("seat", "share", 0.05, "Most of the outline whose joint line may be over its limit.")
