"""The main path: from a job and its outline to a plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from inlayfit.check import Finding, Verdict, verdict
from inlayfit.checks import findings
from inlayfit.depths import depths
from inlayfit.facts import Facts, OutlineFacts
from inlayfit.job import Assumed, Job
from inlayfit.schedule import schedule

if TYPE_CHECKING:
    from inlayfit.outline import Outline
    from inlayfit.survey import Survey


@dataclass(frozen=True, kw_only=True)
class Plan:
    """All that was worked out for a job."""

    facts: Facts
    findings: tuple[Finding, ...]

    @property
    def job(self) -> Job:
        """The job, with what was derived among its assumptions."""
        return self.facts.job

    @property
    def verdict(self) -> Verdict:
        """Whether it fits, as far as it was looked at."""
        return verdict(self.findings)


def plan(job: Job, outline: Outline | None = None, survey: Survey | None = None) -> Plan:
    """Depths, passes, what the outline says, checks; in the order a maker thinks.

    ``survey`` is the outline's own, where it has been made already. Raises
    :class:`inlayfit.errors.InputError` where no joint is possible.
    """
    nominal, bound = depths(job)
    if bound:
        derived = Assumed(key="joint.pocket_depth", value=nominal.pocket_depth, why=f"derived: bound by {bound}")
        job = replace(job, assumed=(derived, *job.assumed))
    passes = schedule(job, nominal)
    looked_at: OutlineFacts | None = None
    if outline is not None:
        from inlayfit import floor
        from inlayfit import survey as surveying

        looked_at = OutlineFacts(
            survey=survey or surveying.survey(outline), floor=floor.floor_access(outline, job, nominal)
        )
    facts = Facts(job=job, depths=nominal, passes=passes, outline=looked_at)
    return Plan(facts=facts, findings=findings(facts))
