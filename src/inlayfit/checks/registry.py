"""The registry of checks: name, what each needs, and how it is judged."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Final, Literal, cast

from inlayfit.checks import depth_checks, tolerance_checks
from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding
from inlayfit.joint.depths import cone_spare

SHORT_CONE: Final = "not known where a cone is too short"
Needs = Literal["depths", "outline", "shop", "fit", "partner", "stack"]


@dataclass(frozen=True, kw_only=True)
class CheckEntry:
    """One check, and what it needs to be judged."""

    id: str
    needs: Needs

    def find(self, facts: Facts) -> Finding:
        """Judge, or say why it was not judged."""
        name = self.id.replace("-", "_")
        if self.needs == "depths":
            return cast(Finding, getattr(depth_checks, name)(facts))
        if self.needs == "stack":
            if facts.stack is None:
                return self._not_checked(SHORT_CONE)
            return cast(Finding, getattr(tolerance_checks, name)(facts, facts.stack))
        if facts.outline is None:
            return self._not_checked("needs an outline")
        # imported late: they bring numpy, which a sheet without an outline does without
        if self.needs == "outline":
            return cast(Finding, getattr(import_module("inlayfit.checks.outline_checks"), name)(facts, facts.outline))
        if self.needs == "shop":
            return cast(Finding, getattr(import_module("inlayfit.checks.shop_checks"), name)(facts, facts.outline))
        if self.needs == "partner":
            if facts.outline.partner is None:
                return self._not_checked("no drawing of the plug to compare")
            checks = import_module("inlayfit.checks.partner_checks")
            return cast(Finding, getattr(checks, name)(facts, facts.outline.partner))
        if facts.outline.fit is None:
            short = cone_spare(facts.job, facts.depths) < 0
            return self._not_checked(SHORT_CONE if short else "needs the fit as cut")
        return cast(Finding, getattr(import_module("inlayfit.checks.seat_checks"), name)(facts, facts.outline.fit))

    def _not_checked(self, why: str) -> Finding:
        return Finding(id=self.id, status="not checked", message=why)


CHECKS: Final = (
    CheckEntry(id="glue-gap", needs="depths"),
    CheckEntry(id="surface-gap", needs="depths"),
    CheckEntry(id="base-floor", needs="depths"),
    CheckEntry(id="plug-web", needs="depths"),
    CheckEntry(id="cone-reach", needs="depths"),
    CheckEntry(id="bit-reach", needs="depths"),
    CheckEntry(id="pass-load", needs="depths"),
    CheckEntry(id="floor-ridges", needs="depths"),
    CheckEntry(id="clearing-access", needs="outline"),
    CheckEntry(id="fine-strokes", needs="outline"),
    CheckEntry(id="fine-gaps", needs="outline"),
    CheckEntry(id="survives-levelling", needs="outline"),
    CheckEntry(id="thin-walls", needs="outline"),
    CheckEntry(id="corners", needs="fit"),
    CheckEntry(id="seat", needs="fit"),
    CheckEntry(id="joint-line", needs="fit"),
    CheckEntry(id="mirror", needs="partner"),
    CheckEntry(id="blank-margin", needs="shop"),
    CheckEntry(id="hold-downs", needs="shop"),
    CheckEntry(id="levelling", needs="depths"),
    CheckEntry(id="stack", needs="stack"),
    CheckEntry(id="touch-off", needs="stack"),
    CheckEntry(id="warp", needs="stack"),
    CheckEntry(id="wood-movement", needs="shop"),
)


FIT_CHECKS: Final = ("seat", "joint-line", "corners", "fine-strokes", "fine-gaps", "survives-levelling")
"""Checks that say whether an outline can be cut and closed with these bits at this size."""


def findings(facts: Facts) -> tuple[Finding, ...]:
    """Findings of all checks, in the registry's order."""
    return tuple(entry.find(facts) for entry in CHECKS)
