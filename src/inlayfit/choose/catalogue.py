"""A whole catalogue: the best set-up for each sheet, and the fewest bits that serve them all."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from inlayfit.choose.chooser import Choice
from inlayfit.choose.drawer import DrawerBit

Bits = tuple[DrawerBit, ...]


@dataclass(frozen=True, kw_only=True)
class Catalogue:
    """What was chosen for each sheet by its name. ``unread``: sheets with their mistakes, a line each.

    ``fewest`` are the fewest bits with which every sheet that any set-up fits has one, None where not asked;
    ``served`` tells which of them each sheet takes, ``not_served`` the sheets that nothing fits.
    """

    choices: tuple[tuple[str, Choice], ...]
    unread: tuple[tuple[str, tuple[str, ...]], ...]
    fewest: Bits | None = None
    served: tuple[tuple[str, Bits], ...] = ()
    not_served: tuple[str, ...] = ()


def catalogue(
    choices: tuple[tuple[str, Choice], ...], unread: tuple[tuple[str, tuple[str, ...]], ...], *, fewest: bool
) -> Catalogue:
    """Gather the choices; ``fewest`` looks for the fewest bits too."""
    not_served = tuple(name for name, choice in choices if not choice.fitting)
    if not fewest:
        return Catalogue(choices=choices, unread=unread, not_served=not_served)
    ways = {name: choice.fitting for name, choice in choices if choice.fitting}
    bits = fewest_bits(tuple(ways.values()))
    served = tuple((name, next(way for way in fitting if set(way) <= set(bits))) for name, fitting in ways.items())
    return Catalogue(choices=choices, unread=unread, fewest=bits, served=served, not_served=not_served)


def fewest_bits(ways: tuple[tuple[Bits, ...], ...]) -> Bits:
    """The fewest bits among which each entry of ``ways`` finds all of one of its own sets.

    All sets of bits are tried, smaller ones first, among those of the same number the one with fewer minutes of change.
    """
    every = tuple(dict.fromkeys(bit for fitting in ways for way in fitting for bit in way))
    for count in range(len(every) + 1):
        found = [
            some
            for some in combinations(every, count)
            if all(any(set(way) <= set(some) for way in fitting) for fitting in ways)
        ]
        if found:
            return min(found, key=lambda some: sum(bit.minutes for bit in some))
    return ()
