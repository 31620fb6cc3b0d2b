"""Woods by name: what the table knows of one, what stands in for a gap, and which names were probably meant."""

from __future__ import annotations

import difflib
import itertools
import re
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from inlayfit.joint.wood_table import WOOD_TABLE, Status, WoodRecord

# crushing strength in MPa for each N of side hardness: median of the table's hardwoods, which run from 1.02 to 1.78
CRUSH_PER_HARDNESS: Final = 1.42e-3
SCATTER_FROM_HARDNESS: Final = 0.3
SCATTER_FROM_GRAVITY: Final = 0.36
SCATTER_OF_PIECES: Final = 0.28
"""Coefficient of variation of crushing strength between pieces of one wood (Wood Handbook, Table 5-6)."""

# words that say how a board was sawn or sold, not which wood it is
_QUALIFIERS: Final = frozenset(
    "wood timber lumber board solid american north quartersawn flatsawn riftsawn quarter flat rift sawn figured curly "
    "flamed birdseye kiln air dried the a".split()
)
# kinds of which the trade sells others, much unlike the one in the table
_TOO_GENERAL: Final = frozenset({"pine", "fir", "cedar", "redcedar"})
_MOST_NAMES: Final = 6


@dataclass(frozen=True, kw_only=True)
class WoodValue:
    """A value, what it rests on, and its spread: a fraction of it, plus or minus (0 where none is stated).

    ``value`` is None, and ``status`` ``none``, where there is nothing to go by.
    """

    value: float | None
    status: Status
    spread: float = 0.0

    @property
    def estimated(self) -> bool:
        """Whether a report has to call it an estimate."""
        return self.status.startswith("estimate") or self.status == "trade figure"


@dataclass(frozen=True, kw_only=True)
class Wood:
    """A wood with gaps filled by marked estimates. Values at 12 % moisture content unless green is said."""

    name: str
    """The handbook's: 'Maple, sugar'."""
    softwood: bool
    crush: WoodValue
    """Compression across the grain at the proportional limit, MPa."""
    crush_green: WoodValue
    """The same for green wood, MPa."""
    parallel: WoodValue
    """Maximum crushing strength along the grain, MPa."""
    hardness: WoodValue
    """Side hardness, N."""
    gravity: WoodValue
    """Specific gravity: ovendry mass over volume at 12 %."""
    radial: WoodValue
    """Fraction of its size a radial dimension changes for 1 % of moisture content, 6 to 14 %."""
    tangential: WoodValue
    meeting_point: float
    """Moisture content in % for :func:`strength_at`."""

    @property
    def plain_name(self) -> str:
        """The name as spoken: 'sugar maple'."""
        return _spoken(self.name)


@dataclass(frozen=True, kw_only=True)
class WoodAnswer:
    """Answer to a name: a wood, or (``several``) the woods it may mean, or (``unknown``) the nearest names."""

    kind: Literal["found", "several", "unknown"]
    wood: Wood | None = None
    names: tuple[str, ...] = ()
    """Spoken names, best first; empty where found, or where nothing is near."""


def find_wood(name: str) -> WoodAnswer:
    """Look a wood up by any usual name, in any word order and case; raises nothing.

    >>> find_wood("Walnut, black").wood == find_wood("walnut").wood
    True
    >>> find_wood("maple").names
    ('sugar maple', 'red maple', 'silver maple')
    """
    words = _words(name)
    fewer = [word for word in words if word not in _QUALIFIERS]
    for some in (words, fewer):
        exact = _by_squashed().get("".join(some), ())
        # a soft maple is a red or a silver one; a name that has only one wood is that wood
        if len(exact) == 1:
            return WoodAnswer(kind="found", wood=exact[0])
        if exact:
            return _several(exact)
    if fewer:
        within = tuple(wood for wood, names in _names().items() if any(set(fewer) <= set(_words(n)) for n in names))
        if len(within) == 1 and not _TOO_GENERAL.intersection(fewer):
            return WoodAnswer(kind="found", wood=within[0])
        if within:
            return _several(within)
    return WoodAnswer(kind="unknown", names=_nearest(words))


def crush_from_hardness(hardness: float) -> float:
    """Estimate of crushing strength across the grain in MPa from side hardness in N, for hardwoods.

    The ratio is the median over the table's hardwoods; they scatter by 30 % about it.
    """
    return CRUSH_PER_HARDNESS * hardness


def crush_from_gravity(gravity: float, *, softwood: bool = False) -> float:
    """Estimate of crushing strength across the grain in MPa from specific gravity at 12 %.

    Hardwoods 21.37 G^2.06 (a fit to the table, one sigma 18 %); softwoods 16.5 G^1.57 (Wood Handbook, Table 5-11a,
    quoted from memory).
    """
    return 16.5 * gravity**1.57 if softwood else 21.37 * gravity**2.06


def coefficient_from_shrinkage(shrinkage: float) -> float:
    """Dimensional change for 1 % of moisture content, from shrinkage in % from green to ovendry.

    Shrinkage runs straight from 30 % down to 0 and the fraction is of the size at 10 %: S / (3000 - 20 S). It gives
    the Wood Handbook's Table 13-5 for single woods of Table 4-3, not for commercial groups and imported woods.

    >>> round(coefficient_from_shrinkage(7.8), 5)
    0.00274
    """
    return shrinkage / (3000 - 20 * shrinkage)


def strength_at(moisture: float, dry: float, green: float, meeting_point: float = 25.0) -> float:
    """Strength at a moisture content in %, from the values at 12 % and green, in their unit.

    Wood Handbook Eq. 5-3: P12 (P12 / Pg)^((12 - M) / (Mp - 12)); wetter than ``meeting_point`` wood is green.
    """
    if moisture >= meeting_point:
        return green
    return dry * (dry / green) ** ((12 - moisture) / (meeting_point - 12))


def _wood(record: WoodRecord) -> Wood:
    crush = _printed(record, "crush", 1e-3, SCATTER_OF_PIECES)
    hardness = _printed(record, "hardness")
    gravity = _gravity(record)
    if crush.value is None and hardness.value is not None:
        crush = WoodValue(
            value=crush_from_hardness(hardness.value), status="estimate from hardness", spread=SCATTER_FROM_HARDNESS
        )
    elif crush.value is None and gravity.value is not None:
        crush = WoodValue(
            value=crush_from_gravity(gravity.value, softwood=record.softwood),
            status="estimate from specific gravity",
            spread=SCATTER_FROM_GRAVITY,
        )
    return Wood(
        name=record.name,
        softwood=record.softwood,
        crush=crush,
        crush_green=_printed(record, "crush_green", 1e-3, SCATTER_OF_PIECES),
        parallel=_printed(record, "parallel", 1e-3),
        hardness=hardness,
        gravity=gravity,
        radial=_printed(record, "radial"),
        tangential=_printed(record, "tangential"),
        meeting_point=float(record.meeting_point),
    )


def _printed(record: WoodRecord, name: str, factor: float = 1.0, spread: float = 0.0) -> WoodValue:
    value: float | None = getattr(record, name)
    if value is None:
        return WoodValue(value=None, status="none")
    status = record.status.get(name, "from memory" if name == "parallel" else "published")
    return WoodValue(value=value * factor, status=status, spread=spread)


def _gravity(record: WoodRecord) -> WoodValue:
    """At 12 %, or from the green one: G = Gg / (1 - 0.265 Gg (1 - 12/30)) (Wood Handbook chapter 4, from memory)."""
    if record.gravity is None and record.gravity_green is not None:
        green = record.gravity_green
        return WoodValue(value=green / (1 - 0.265 * green * 0.6), status="estimate from specific gravity", spread=0.05)
    return _printed(record, "gravity")


@cache
def _names() -> dict[Wood, tuple[str, ...]]:
    return {_wood(record): (_spoken(record.name), *record.also) for record in WOOD_TABLE}


@cache
def _by_squashed() -> dict[str, tuple[Wood, ...]]:
    """Woods by every order of a name's words, run together, so that 'red cedar' and 'redcedar' are one."""
    found: dict[str, tuple[Wood, ...]] = {}
    for wood, names in _names().items():
        keys = {"".join(order) for name in names for order in itertools.permutations(_words(name))}
        for key in keys:
            found[key] = (*found.get(key, ()), wood)
    return found


def _several(woods: tuple[Wood, ...]) -> WoodAnswer:
    return WoodAnswer(kind="several", names=tuple(wood.plain_name for wood in woods[:_MOST_NAMES]))


def _nearest(words: list[str]) -> tuple[str, ...]:
    """Woods that share a word with the name, or have one that it misspells; best first, none where none is near."""
    lately = {word: name for wood, names in _names().items() for name in names for word in _words(name)}
    meant = {near for word in words for near in _misspelt(word[:40], list(lately))}
    by_word = [
        (-len(meant.intersection(w for name in names for w in _words(name))), wood.plain_name)
        for wood, names in _names().items()
    ]
    return tuple(name for shared, name in sorted(by_word) if shared)[:_MOST_NAMES]


def _misspelt(word: str, known: list[str]) -> list[str]:
    """Known words that differ from ``word`` by a slip: a letter more, less or other, or letters in another order.

    Likeness is 2 M / L, with M letters in common of L in both. Above 0.8 it takes in one slip in most words, and
    leaves apart whole other woods, such as rosewood and redwood (0.8).
    """
    near = difflib.get_close_matches(word, known, n=2, cutoff=0.75)
    return [
        other
        for other in near
        if difflib.SequenceMatcher(None, other, word).ratio() > 0.8 or sorted(other) == sorted(word)
    ]


def _spoken(name: str) -> str:
    """'Maple, sugar' as spoken: 'sugar maple'; proper names keep their capital.

    >>> _spoken("Beech, American")
    'American beech'
    """
    kind, _, which = name.partition(", ")
    kind = kind if kind.startswith(("Douglas", "Spanish")) else kind.lower()
    return f"{which} {kind}" if which else kind


def _words(name: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", name.lower())
