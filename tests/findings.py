"""Checks judged and put into words, for tests."""

from __future__ import annotations

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Place
from inlayfit.checks.registry import CHECKS
from inlayfit.quantity import LengthUnit
from inlayfit.report.wording import reasons_text, remedies_text, say


def judged(check: str, facts: Facts) -> Finding:
    """The finding of one check, by its id."""
    return next(entry for entry in CHECKS if entry.id == check).find(facts)


def message(finding: Finding, unit: LengthUnit = "mm") -> str:
    """Its reasons, in words."""
    return reasons_text(finding, unit)


def remedy(finding: Finding) -> str:
    """What to change, in words."""
    return remedies_text(finding, "mm")


def place_words(place: Place) -> str:
    """What is said of a place."""
    return say(place.reason, "mm")
