"""Names of the job sheet's keys: which types a key path leads to, and what an unknown name may have meant."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final

from inlayfit.errors import key_path
from inlayfit.sheet.keys import BITS, SHAPES, SHEET, STRAIGHT_BIT, V_BIT
from inlayfit.sheet.keytypes import Either, KeyType, Listing, Pair, Scalar, Section

_START: Final = "the plug's start depth is worked out: pocket_depth less glue_gap"
_TOTAL: Final = "the plug's total depth is worked out: pocket_depth less glue_gap, and surface_gap below that"
_BELOW: Final = "the plug is cut surface_gap deep below its start; the start is worked out: pocket_depth less glue_gap"
_WORKED_OUT: Final = {
    **dict.fromkeys(("start_depth", "plug_start", "plug_start_depth", "start"), _START),
    **dict.fromkeys(("plug_depth", "total_depth", "plug_total_depth", "max_depth"), _TOTAL),
    **dict.fromkeys(("flat_depth", "depth_below_start", "below_start", "plug_below_start"), _BELOW),
}
"""Words of the trade for depths that no key gives, since they follow from others."""
_SHAPE_WORDS: Final = {
    "square": "a square is rectangle: with its side twice, such as rectangle: [20, 20]",
    **dict.fromkeys(("radius", "diameter"), "circle: holds the diameter"),
    "triangle": "expected polygon: with its three corners, or regular: {sides: 3, ...}",
    "hexagon": "expected regular: {sides: 6, across_flats: ...}",
    **dict.fromkeys(("width", "height", "size"), "rectangle: and ellipse: hold width and height, such as [20, 10]"),
    **dict.fromkeys(("angle", "rotate", "rotation"), "the key is turn"),
    **dict.fromkeys(("x", "y", "position", "centre", "center"), "the key is at, such as at: [15, 0]"),
}
"""Words for shapes that another key says."""


def section_in(type: KeyType | None) -> Section | None:
    """The named keys that ``type`` can hold."""
    if isinstance(type, Section):
        return type
    if isinstance(type, Either):
        return next((option for option in type.options if isinstance(option, Section)), None)
    return None


def list_in(type: KeyType | None) -> Pair | Listing | None:
    """The list in brackets that ``type`` can hold."""
    if isinstance(type, Pair | Listing):
        return type
    if isinstance(type, Either):
        return next((option for option in type.options if isinstance(option, Pair | Listing)), None)
    return None


def scalar_in(either: Either) -> Scalar | None:
    """The single value among the alternatives."""
    return next((option for option in either.options if isinstance(option, Scalar)), None)


def type_at(table: Section, path: Sequence[str]) -> KeyType | None:
    """What the key at a path holds, the scalar where it may be that; None where there is no such key."""
    type: KeyType | None = table
    for step in path:
        if step.startswith("["):
            listed = list_in(type)
            type = listed.item if listed is not None else None
        else:
            section = section_in(type)
            type = section.keys[step].type if section is not None and step in section.keys else None
    return scalar_in(type) if isinstance(type, Either) else type


def rivals(section: Section, name: str) -> frozenset[str]:
    """Keys of ``section`` that cannot stand beside ``name``."""
    found: set[str] = set()
    for group in (section.just_one_of, section.at_most_one_of):
        if name in group:
            found.update(group)
    if section is BITS:
        # one V-bit for both walls, or one for each
        if name == "v":
            found.update(("pocket_v", "plug_v"))
        elif name in ("pocket_v", "plug_v"):
            found.add("v")
    return frozenset(found - {name})


def sizes_of_bit(section: KeyType | None) -> tuple[str, ...]:
    """Keys that say which bit a bit is, the required one first; empty where ``section`` is no bit."""
    if section is V_BIT:
        return ("angle", "tip", "ball", "diameter")
    return ("diameter",) if section is STRAIGHT_BIT else ()


def advice(name: str, section: Section, inside: tuple[str, ...]) -> str:
    """What to say of a ``name`` that ``section``, found at the path ``inside``, does not know."""
    if name.isdecimal():
        return "found a number where a key is expected: a decimal comma is not read, write a point"
    here = tuple(section.keys)
    plain = _plain(name)
    said = _WORKED_OUT.get(plain) or (_SHAPE_WORDS.get(plain) if section is SHAPES else None)
    if said:
        return f"unknown key: {said}"
    alike = [key for key in here if _plain(key) == plain]
    if alike:
        return f"unknown key, the name is written {alike[0]}"
    homes = _homes().get(plain, ())
    if homes:
        return f"unknown key here, {homes[0][-1]} belongs {_listed(homes)}"
    if len(name) <= 60:
        import difflib  # wanted for a typo only

        if near := difflib.get_close_matches(plain, here, n=1):
            return f"unknown key, the nearest is {near[0]}"
        if near := difflib.get_close_matches(plain, list(_homes()), n=1, cutoff=0.8):
            homes = _homes()[near[0]]
            return f"unknown key, the nearest is {homes[0][-1]} {_listed(homes)}"
    where = f" of {key_path(inside)}" if inside else ""
    return f"unknown key, the keys{where} are {', '.join(here)}"


def _plain(name: str) -> str:
    return "_".join(name.lower().replace("-", " ").replace("_", " ").split())


def _listed(homes: tuple[tuple[str, ...], ...]) -> str:
    """Where a key lives, for people: the first three places."""
    if len(homes[0]) == 1:
        return "at the top of the sheet"
    parts = [key_path(home[:-1]) for home in homes[:3]]
    return "under " + (parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + f" or {parts[-1]}")


@cache
def _homes() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Every path that ends in a name, the shortest first."""
    found: dict[str, list[tuple[str, ...]]] = {}

    def walk(type: KeyType, path: tuple[str, ...]) -> None:
        listing = list_in(type)
        if isinstance(listing, Listing):
            walk(listing.item, (*path, "[1]"))
        section = section_in(type)
        for name, key in section.keys.items() if section else ():
            found.setdefault(name, []).append((*path, name))
            walk(key.type, (*path, name))

    walk(SHEET, ())
    return {name: _likeliest(paths) for name, paths in found.items()}


def _likeliest(paths: list[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """The shortest first; limits and tolerances repeat other parts' names and give way to them."""
    own = [path for path in paths if path[0] not in ("limits", "tolerance")]
    return tuple(sorted(own or paths, key=len))
