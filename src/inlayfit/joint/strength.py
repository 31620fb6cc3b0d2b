"""How much the joint's wood bears: the weaker of the two woods, and what that rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inlayfit.joint.job import Assumed, Job, Wood
from inlayfit.joint.woods import find_wood
from inlayfit.statement import Statement, told

SPREAD: Final = 4.0
"""Very small contacts bear two to seven times the strength across the grain."""
FRICTION: Final = 0.3
"""Of wood on wood, assumed: a taper whose slope is less holds itself."""
UNKNOWN_CRUSH: Final = 5.0
"""MPa across the grain where no wood is known: about black cherry, on the soft side of what is inlaid."""


@dataclass(frozen=True, kw_only=True)
class Strength:
    """Strength in MPa of the weaker wood: across the grain, and along it where that is known."""

    across: float
    along: float | None
    words: Statement
    """Which wood it is and where the value comes from."""
    assumed: tuple[Assumed, ...]
    end_grain: bool
    """A part shows end grain and no ``crush_strength`` is given for it: stronger by an unknown amount."""


def joint_strength(job: Job) -> Strength:
    """The weaker of base and plug."""
    parts = [_part("base", job.base.wood), _part("plug", job.plug.wood)]
    weaker = min(parts, key=lambda part: part.across)
    return Strength(
        across=weaker.across,
        along=weaker.along,
        words=weaker.words,
        assumed=tuple(entry for part in parts for entry in part.assumed),
        end_grain=any(part.end_grain for part in parts),
    )


def _part(part: str, wood: Wood) -> Strength:
    """Strength of one part; the given one, the table's, an estimate, or what stands for an unknown wood."""
    if wood.crush_strength is not None:
        return Strength(
            across=wood.crush_strength,
            along=None,
            words=told("strength.given", wood=wood.name or part),
            assumed=(),
            end_grain=False,
        )
    end_grain = wood.face == "end"
    key = f"{part}.crush_strength"

    def unknown(words: Statement, why: str) -> Strength:
        assumed = Assumed(key=key, value=UNKNOWN_CRUSH, why=why, kind="pressure")
        return Strength(across=UNKNOWN_CRUSH, along=None, words=words, assumed=(assumed,), end_grain=end_grain)

    if wood.name is None:
        return unknown(told("strength.unnamed", part=part), f"no wood is named for the {part}: that of a soft hardwood")
    answer = find_wood(wood.name)
    candidates = [answer.wood] if answer.wood else [find_wood(name).wood for name in answer.names]
    known = [(entry.crush.value, entry) for entry in candidates if entry and entry.crush.value is not None]
    if answer.kind == "unknown" or not known:
        near = f"; near it: {', '.join(answer.names)}" if answer.kind == "unknown" and answer.names else ""
        why = f"the table has no strength for {wood.name!r}: that of a soft hardwood{near}; a known one goes into {key}"
        return unknown(told("strength.unknown", wood=wood.name), why)
    across, found = min(known, key=lambda entry: entry[0])
    assumed: tuple[Assumed, ...] = ()
    words = told("strength.published", wood=found.plain_name)
    if answer.kind == "several":
        why = f"{wood.name!r} may be {', '.join(answer.names)}: the weakest"
        assumed = (Assumed(key=key, value=across, why=why, kind="pressure"),)
        words = told("strength.weakest", wood=found.plain_name, name=wood.name)
    elif found.crush.estimated:
        why = f"{found.plain_name}: {found.crush.status}, plus or minus {found.crush.spread:.0%}"
        assumed = (Assumed(key=key, value=round(across, 2), why=why, kind="pressure"),)
        words = told("strength.estimated", wood=found.plain_name, status=found.crush.status)
    return Strength(
        across=across, along=found.parallel.value, words=words, assumed=assumed, end_grain=end_grain
    )
