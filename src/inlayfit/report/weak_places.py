"""Places that a report names and a plan of the outline shows, under one number each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist
from typing import Final

from inlayfit.checks.seat_checks import contact_reason
from inlayfit.plan import Plan
from inlayfit.report.wording import say

Point = tuple[float, float]
SHOWN_CONTACTS: Final = 3
SHOWN_PLACES: Final = 2
SAME_PLACE: Final = 0.2
"""Places no further apart than this, in mm, are one to a person."""
SAME_HEIGHT: Final = 0.005
"""Heights this close are one to a person, in mm."""


@dataclass(frozen=True, kw_only=True)
class WeakPlace:
    """A number, where it is on the outline, and all that is said of it."""

    number: int
    at: Point
    words: tuple[str, ...]


def touching(plan: Plan) -> dict[str, list[Point]]:
    """What touches first and is crushed by the clamp, in words, and where each is; the highest first."""
    seat = plan.facts.seat
    if seat is None:
        return {}
    alike: dict[str, list[Point]] = {}
    for contact in seat.contacts:
        # walls bear all along and are no place
        if contact.crushed >= SAME_HEIGHT and contact.kind != "walls":
            alike.setdefault(say(contact_reason(plan.facts, contact), plan.job.unit), []).append(contact.at)
    return alike


def weak_places(plan: Plan) -> tuple[WeakPlace, ...]:
    """In the order in which the report names them: what holds the plug up, then checks that fail or are in doubt."""
    found: list[tuple[Point, list[str]]] = []
    for at, words in _named(plan):
        for place, said in found:
            if dist(place, at) <= SAME_PLACE:
                said.append(words)
                break
        else:
            found.append((at, [words]))
    return tuple(
        WeakPlace(number=number, at=at, words=tuple(dict.fromkeys(words)))
        for number, (at, words) in enumerate(found, start=1)
    )


def number_of(places: tuple[WeakPlace, ...], at: Point) -> int:
    """The number under which a place of the plan goes."""
    return next(place.number for place in places if dist(place.at, at) <= SAME_PLACE)


def _named(plan: Plan) -> Iterator[tuple[Point, str]]:
    for words, places in list(touching(plan).items())[:SHOWN_CONTACTS]:
        for at in places[:SHOWN_PLACES]:
            yield at, words
    for status in ("fail", "doubtful"):
        for entry in plan.findings:
            if entry.status == status and entry.id != "seat":  # its places are the contacts
                for place in entry.places:
                    yield place.at, f"{entry.id}: {say(place.reason, plan.job.unit)}"
