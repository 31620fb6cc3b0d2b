"""A part's wood as far as it swells and weighs: the sheet's own figures first, then the table's."""

from __future__ import annotations

from dataclasses import dataclass

from inlayfit.joint.job import Face, Wood
from inlayfit.joint.woods import find_wood
from inlayfit.statement import Statement, told


@dataclass(frozen=True, kw_only=True)
class Grain:
    """How the grain lies, as seen on the finished face; degrees anticlockwise from the x axis.

    ``long``: ``direction`` is along the grain. ``end``: the face shows end grain and ``direction`` runs along the
    growth rings. The plug's blank lies mirrored under the cutter: there its direction is 180 degrees less this.
    """

    face: Face = "long"
    direction: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Timber:
    """A part's wood: its coefficients (fraction for 1 % of moisture) and its grain."""

    radial: float
    tangential: float
    grain: Grain = Grain()


def timber_of(wood: Wood, *, turned: float = 0.0) -> Timber | None:
    """How a part's wood moves; None where neither the sheet nor the table tells.

    ``turned`` is how far the outline is turned on the board, degrees: the grain is given to the board's own x, and
    wanted to the outline's.
    """
    grain = Grain(face=wood.face, direction=wood.direction - turned)
    if wood.movement is not None:
        return Timber(radial=wood.movement.radial, tangential=wood.movement.tangential, grain=grain)
    found = None if wood.name is None else find_wood(wood.name).wood
    if found is None or found.radial.value is None or found.tangential.value is None:
        return None
    return Timber(radial=found.radial.value, tangential=found.tangential.value, grain=grain)


def specific_gravity_of(wood: Wood) -> float | None:
    """Specific gravity at 12 % moisture content; None where neither the sheet nor the table tells."""
    if wood.specific_gravity is not None:
        return wood.specific_gravity
    found = None if wood.name is None else find_wood(wood.name).wood
    return None if found is None else found.gravity.value


def without_movement(part: str, wood: Wood) -> Statement:
    """What to put in the sheet for a part of which :func:`timber_of` knows nothing."""
    own = f"{part}.movement"
    if wood.name is None:
        return told("movement.name_the_wood", wood=f"{part}.wood", own=own)
    answer = find_wood(wood.name)
    if answer.kind == "several":
        return told("movement.which", own=own, name=wood.name, names=answer.names)
    if answer.kind == "unknown" and answer.names:
        return told("movement.none_but_near", own=own, name=wood.name, names=answer.names)
    return told("movement.none", own=own, name=wood.name)
