"""What a key of the job sheet can hold: scalars of a kind, pairs, lists, sections, alternatives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

ScalarKind = Literal[
    "text", "choice", "yes or no", "count", "number", "length", "angle", "share", "length or share",
    "force", "pressure", "temperature", "feed", "slope",
]  # fmt: skip

KIND_WORDS: Final[dict[str, str]] = {
    "text": "text",
    "choice": "one of the words listed",
    "yes or no": "yes or no (also true, false)",
    "count": "a whole number",
    "number": "a number",
    "length": "a length such as 6.35 mm, 1/4 in or 0.25",
    "angle": "an angle such as 30 or 30 deg",
    "share": "a share such as 2 %",
    "length or share": "a share such as 2 % or a length",
    "force": "a force such as 100 N or 25 lbf",
    "pressure": "a pressure such as 0.7 MPa or 100 psi",
    "temperature": "a temperature such as 21 C or 70 F",
    "feed": "a feed such as 1500 mm/min or 60 in/min",
    "slope": "one length in another, such as 0.1 mm in 300 mm",
}


@dataclass(frozen=True)
class Share:
    """The value of a 'length or share' that was written as a share; ``fraction`` is of 1."""

    fraction: float


class Scalar(NamedTuple):
    """One value. Bounds are in the inside unit of its kind (mm, degrees, fraction of 1, N, MPa, C, mm/min)."""

    kind: ScalarKind
    above: float | None = None
    """The value must be greater than this."""
    least: float | None = None
    below: float | None = None
    """The value must be smaller than this."""
    most: float | None = None
    choices: tuple[str, ...] = ()


class Pair(NamedTuple):
    """Two values of one kind in brackets, such as a width and a height."""

    item: Scalar


class Listing(NamedTuple):
    """A list in brackets or dashes, of one type."""

    item: KeyType
    least: int = 1
    most: int = 10_000


class Section(NamedTuple):
    """Named keys under a key."""

    keys: dict[str, Key]
    just_one_of: tuple[str, ...] = ()
    """Keys of which exactly one must stand."""
    at_most_one_of: tuple[str, ...] = ()
    """Keys of which no two may stand together."""


class Numbered(NamedTuple):
    """One value for each of several whole numbers, such as a bit for each T number."""

    item: Scalar
    most: int = 100
    """Largest number."""


class Either(NamedTuple):
    """Alternatives told apart by their form: a scalar, a list in brackets, or named keys."""

    options: tuple[Scalar | Pair | Listing | Section, ...]


KeyType = Scalar | Pair | Listing | Section | Numbered | Either


class Key(NamedTuple):
    """One key: what it holds, what stands for it when it is left out, and what it is for."""

    type: KeyType
    help: str
    default: str = ""
    """What holds when the key is left out, in words; empty where leaving it out means 'none'."""
    required: bool = False
    used: bool = True
    """False while no command uses it: it is checked, and the report lists it as 'read, not yet used'."""
