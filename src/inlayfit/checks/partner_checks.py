"""The check on the plug's own drawing. docs/checks.md has a page on it."""

from __future__ import annotations

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Place, Status
from inlayfit.outline.partner import SAME_SIZE, Lack, Partner

DOUBTFUL = 0.4
"""Share of the limit over which drawings that agree are in doubt: 0.02 of 0.05 mm."""
WAYS = (("wider", "narrower", "as wide"), ("higher", "lower", "as high"))
TURNED = 0.05
"""A turn of less, in degrees, is how the drawings lie, not how they were meant."""


def mirror(facts: Facts, found: Partner) -> Finding:
    """Whether the plug's drawing is the pocket's, mirrored, and nothing else was done to it."""
    limit = facts.job.limits.mirror
    reasons: list[str] = []
    remedies: list[str] = []
    status: Status = "pass"
    if not found.mirrored:
        reasons.append("the plug's drawing is not mirrored: it lies on the pocket's as it is")
        remedies.append("mirror the plug's drawing left to right")
    if found.stretch is not None:
        wide, high = (_stretched(share, words) for share, words in zip(found.stretch, WAYS, strict=True))
        reasons.append(f"against the pocket's, the plug's drawing is {wide} and {high}: it was stretched")
        remedies.append("scale both ways alike")
    elif abs(found.scale - 1) > SAME_SIZE:
        reasons.append(f"the plug's drawing is {_size(found.scale)}")
        remedies.append("bring both drawings to one size")
    lacking = [*_lacking("the plug's drawing lacks", found.missing), *_lacking("the pocket's lacks", found.extra)]
    if lacking:
        reasons += lacking
        remedies.append("put into one drawing what it lacks")
    if reasons:
        status = "fail"
    elif found.largest > limit:
        status = "fail"
        apart = facts.text(found.largest)
        reasons.append(f"mirrored and placed as well as may be, the drawings differ by up to {apart}")
        remedies.append("make the plug's drawing anew by mirroring the pocket's")
    elif found.largest > DOUBTFUL * limit:
        status = "doubtful"
        reasons.append(f"mirrored, the drawings differ by up to {facts.text(found.largest)}")
        remedies.append("make the plug's drawing anew by mirroring the pocket's")
    if abs(found.turn) > TURNED:
        turned = f"the plug's drawing is turned by {abs(found.turn):.3g} degrees"
        if abs(abs(found.turn) - 180) < TURNED and found.mirrored:
            turned = "the plug's drawing is turned by 180 degrees: mirrored top to bottom, not left to right"
        reasons.append(turned)
        remedies.append("turn it back, or turn the plug round when it goes in and mind its grain")
        status = status if status == "fail" else "doubtful"
    if not reasons:
        reasons.append(f"mirrored, the plug's drawing agrees with the pocket's within {facts.text(found.largest)}")
    lacks = (*found.missing, *found.extra)
    places = [Place(at=lack.at, value=lack.distance, message="without its like") for lack in lacks]
    if status != "pass" and not places and found.largest_mirrored > DOUBTFUL * limit:
        apart = f"{facts.text(found.largest_mirrored)} apart as drawn"
        places.append(Place(at=found.at_mirrored, value=found.largest_mirrored, message=apart))
    return Finding(
        id="mirror",
        status=status,
        value=found.largest_mirrored,
        limit=limit,
        message="; ".join(reasons),
        remedy=" and ".join(remedies),
        places=tuple(places[:5]),
    )


def _size(scale: float) -> str:
    for factor, size, one, other in (
        (25.4, "25.4 times as large as", "millimetres", "inches"),
        (1 / 25.4, "1/25.4 the size of", "inches", "millimetres"),
    ):
        if abs(scale / factor - 1) < 0.01:
            return f"{size} the pocket's: {one} were taken for {other}"
    if 0.8 < scale < 1.25:
        return f"{abs(scale - 1) * 100:.2f} % {'larger' if scale > 1 else 'smaller'} than the pocket's"
    return f"{scale:.4g} times as large as the pocket's"


def _stretched(share: float, words: tuple[str, str, str]) -> str:
    more, less, same = words
    return same if abs(share - 1) < SAME_SIZE else f"{abs(share - 1) * 100:.2f} % {more if share > 1 else less}"


def _lacking(words: str, lacks: tuple[Lack, ...]) -> list[str]:
    counts = {"region": sum(not lack.is_hole for lack in lacks), "hole": sum(lack.is_hole for lack in lacks)}
    named = [f"{count} {what}{'s' if count > 1 else ''}" for what, count in counts.items() if count]
    return [f"{words} {' and '.join(named)} that the other has"] if named else []
