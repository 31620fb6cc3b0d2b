"""The registry of checks: name, what each needs, and how it is judged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Final, Literal, cast

from inlayfit import depth_checks
from inlayfit.check import Finding
from inlayfit.facts import Facts, OutlineFacts

Needs = Literal["depths", "outline", "later"]


@dataclass(frozen=True, kw_only=True)
class CheckEntry:
    """One check. ``judge`` is None for a check this version does not compute."""

    id: str
    needs: Needs
    judge: Callable[[Facts], Finding] | None = None

    def find(self, facts: Facts) -> Finding:
        """Judge, or say why it was not judged."""
        if self.needs == "depths" and self.judge is not None:
            return self.judge(facts)
        if self.needs == "outline":
            if facts.outline is None:
                return Finding(id=self.id, status="not checked", message="needs an outline")
            # imported late: it brings numpy, which a sheet without an outline does without
            module = import_module("inlayfit.outline_checks")
            judge = cast(Callable[[Facts, OutlineFacts], Finding], getattr(module, self.id.replace("-", "_")))
            return judge(facts, facts.outline)
        return Finding(id=self.id, status="not checked", message="not computed by this version")


CHECKS: Final = (
    CheckEntry(id="glue-gap", needs="depths", judge=depth_checks.glue_gap),
    CheckEntry(id="surface-gap", needs="depths", judge=depth_checks.surface_gap),
    CheckEntry(id="base-floor", needs="depths", judge=depth_checks.base_floor),
    CheckEntry(id="plug-web", needs="depths", judge=depth_checks.plug_web),
    CheckEntry(id="cone-reach", needs="depths", judge=depth_checks.cone_reach),
    CheckEntry(id="bit-reach", needs="depths", judge=depth_checks.bit_reach),
    CheckEntry(id="pass-load", needs="depths", judge=depth_checks.pass_load),
    CheckEntry(id="floor-ridges", needs="depths", judge=depth_checks.floor_ridges),
    CheckEntry(id="clearing-access", needs="outline"),
    CheckEntry(id="fine-strokes", needs="outline"),
    CheckEntry(id="fine-gaps", needs="later"),
    CheckEntry(id="survives-levelling", needs="outline"),
    CheckEntry(id="thin-walls", needs="later"),
    CheckEntry(id="corners", needs="later"),
    CheckEntry(id="seat", needs="later"),
    CheckEntry(id="joint-line", needs="later"),
    CheckEntry(id="mirror", needs="later"),
    CheckEntry(id="blank-margin", needs="later"),
    CheckEntry(id="hold-downs", needs="later"),
    CheckEntry(id="levelling", needs="depths", judge=depth_checks.levelling),
    CheckEntry(id="stack", needs="later"),
    CheckEntry(id="touch-off", needs="later"),
    CheckEntry(id="warp", needs="later"),
    CheckEntry(id="wood-movement", needs="later"),
)


def findings(facts: Facts) -> tuple[Finding, ...]:
    """Findings of all checks, in the registry's order."""
    return tuple(entry.find(facts) for entry in CHECKS)
