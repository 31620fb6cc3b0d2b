"""Checks on posted programmes: the faults found in them, as findings. docs/proving.md has a part on each."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from inlayfit.checks.finding import MOST_PLACES, Finding, Place
from inlayfit.proof.faults import Fault
from inlayfit.statement import Statement, told

PROGRAMME_CHECKS: Final = (
    "programme-read", "programme-units", "programme-datum", "programme-mirror", "programme-depths", "programme-bit",
    "wall-gouged", "uncut-rest",
)  # fmt: skip
"""In the order of what causes what: a fault higher up may be the reason of those below."""


def programme_findings(faults: Iterable[Fault], unknown: Iterable[str] = ()) -> tuple[Finding, ...]:
    """A finding for each check on programmes; ``unknown`` names those that could not be made for a fault above them."""
    found, skipped = list(faults), set(unknown)
    return tuple(_finding(name, [fault for fault in found if fault.check == name], name in skipped)
                 for name in PROGRAMME_CHECKS)  # fmt: skip


def _finding(name: str, faults: list[Fault], skipped: bool) -> Finding:
    if not faults:
        if skipped:
            return Finding(id=name, status="not checked", reasons=(told("programme.not_known"),))
        return Finding(id=name, status="pass", reasons=(told(f"programme.as_planned_{name.replace('-', '_')}"),))
    fails = any(fault.severity == "fail" for fault in faults)
    ranked = sorted(faults, key=lambda fault: (fault.severity != "fail", -fault.cost))
    return Finding(
        id=name,
        status="fail" if fails else "doubtful",
        reasons=tuple(fault.what for fault in ranked),
        value=ranked[0].off,
        remedies=_each_once([fault.remedy for fault in ranked if fault.remedy is not None]),
        places=tuple(
            Place(at=fault.at, value=fault.off, reason=fault.what)
            for fault in ranked
            if fault.at is not None and fault.off is not None
        )[:MOST_PLACES],
    )


def _each_once(remedies: list[Statement]) -> tuple[Statement, ...]:
    found: list[Statement] = []
    for remedy in remedies:
        if remedy not in found:
            found.append(remedy)
    return tuple(found)
