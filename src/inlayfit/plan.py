"""The main path: from a job and its outline to a plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import Finding, Verdict, verdict
from inlayfit.checks.registry import findings
from inlayfit.joint.depths import Depths, cone_spare, depths
from inlayfit.joint.job import Assumed, Job
from inlayfit.joint.schedule import Pass, schedule
from inlayfit.tolerance.stack import Stack, depth_stack

if TYPE_CHECKING:
    from inlayfit.outline.analysis import OutlineAnalysis
    from inlayfit.outline.regions import Outline
    from inlayfit.seat.fit import Fit
    from inlayfit.shop.shop import Pressed

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


def plan(
    job: Job,
    outline: Outline | None = None,
    analysis: OutlineAnalysis | None = None,
    *,
    nominal: bool = False,
    draws: int = 0,
) -> Plan:
    """Depths, passes, outline, where the plug seats, the shop, what is off, checks; in the order a maker thinks.

    ``analysis`` is the outline's own, for jobs that share it; ``nominal`` leaves the seat out; ``draws`` pairs
    are drawn from the tolerances where there is a seat, 0 leaves the stack to closed forms of wide walls. Raises
    :class:`inlayfit.errors.InputError` where no joint is possible.
    """
    found, bound = depths(job)
    if bound:
        derived = Assumed(key="joint.pocket_depth", value=found.pocket_depth, why=f"derived: bound by {bound}")
        job = replace(job, assumed=(derived, *job.assumed))
    passes = schedule(job, found)
    looked_at: OutlineFacts | None = None
    if outline is not None:
        looked_at = _look_at(job, found, passes, outline, analysis, nominal=nominal)
        if looked_at.fit is not None:
            job = replace(job, assumed=(*job.assumed, *looked_at.fit.strength.assumed))
    stack = _stack(job, found, passes, looked_at, draws)
    facts = Facts(job=job, depths=found, passes=passes, outline=looked_at, stack=stack)
    return Plan(facts=facts, findings=findings(facts))


def _stack(
    job: Job, found: Depths, passes: tuple[Pass, ...], outline: OutlineFacts | None, draws: int
) -> Stack | None:
    if cone_spare(job, found) < 0:
        return None
    # a plug without walls that bear, as of a ball higher than the pocket is deep, has nothing to draw pairs of
    if outline is None or outline.fit is None or draws == 0 or outline.fit.seat.wall_load.low <= 0:
        return depth_stack(job, found)
    from inlayfit.seat import fit as fitting
    from inlayfit.tolerance.draws import drawn_stack

    cleared = bool(job.bits.clearing) and outline.floor.pocket.reached > 0
    fit = outline.fit
    if job.tolerance.has_known or job.joint.pocket_measured is not None:
        # the pairs bring the known errors themselves: they start from the cuts as programmed
        joint = replace(job.joint, pocket_measured=None)
        as_programmed = replace(job, joint=joint, tolerance=job.tolerance.without_known)
        fit = fitting.fit(as_programmed, found, passes, fit.pair.analysis.outline, fit.pair.analysis)
    return drawn_stack(job, found, fit, outline.survey.narrowest_stroke.value, draws, cleared=cleared)


def _look_at(
    job: Job,
    found: Depths,
    passes: tuple[Pass, ...],
    outline: Outline,
    analysis: OutlineAnalysis | None,
    *,
    nominal: bool,
) -> OutlineFacts:
    # imported late: a sheet without an outline does without numpy and shapely
    from inlayfit.joint import floor
    from inlayfit.outline.analysis import analysis_of
    from inlayfit.seat import fit as fitting
    from inlayfit.shop import shop as shopping

    analysis = analysis_of(outline, analysis)
    # a plug that is not cut below its start has no walls outside the outline to seat by: surface-gap fails it; above
    # a cone that is too short the walls stand upright, which the seat's cuts do not: cone-reach fails it
    unknown = nominal or found.depth_below_start == 0 or cone_spare(job, found) < 0
    seated = None if unknown else fitting.fit(job, found, passes, outline, analysis)
    return OutlineFacts(
        survey=analysis.survey,
        floor=floor.floor_access(outline, job, found, analysis),
        fit=seated,
        partner=analysis.partner,
        shop=shopping.shop(job, found, passes, outline, analysis.survey, _pressed(seated)),
    )


def _pressed(seated: Fit | None) -> Pressed | None:
    from inlayfit.shop.shop import Pressed

    if seated is None:
        return None
    seat = seated.seat
    # a plug without walls that bear, as of a ball higher than the pocket is deep, is not told how hard to press them
    return Pressed(lift=seat.lift, bears=seat.wall_load.low or None, closes=seat.closing_force)
