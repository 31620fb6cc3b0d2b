"""The choice of a set-up, as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inlayfit import __version__
from inlayfit.choose.catalogue import Catalogue
from inlayfit.choose.chooser import Choice
from inlayfit.choose.set_up import Tried
from inlayfit.quantity import MM_PER_UNIT
from inlayfit.report.data import FORMAT, data

if TYPE_CHECKING:
    from inlayfit.advice.search import Advice


def choice_data(choice: Choice, advice: Advice | None = None) -> dict[str, Any]:
    """One sheet's choice: the best set-ups, how many were looked at, and what to change where none fits."""
    found: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "sheet": choice.trial.sheet,
        "title": choice.best[0].plan.job.title,
        "unit": choice.best[0].plan.job.unit,
        "verdict": choice.best[0].plan.verdict,
        "prefer": choice.prefer,
        "looked_at": choice.looked_at,
        "seated": choice.seated,
        "set_ups": [_set_up(one, choice) for one in choice.best],
    }
    if advice is not None:
        found["advice"] = data(choice.best[0].plan, sheet=choice.trial.sheet, inputs={}, advice=advice)["advice"]
    return found


def _set_up(one: Tried, choice: Choice) -> dict[str, Any]:
    job, depths = one.plan.job, one.plan.facts.depths
    unit = MM_PER_UNIT[job.unit]
    found: dict[str, Any] = {
        "verdict": one.plan.verdict,
        "v": job.bits.pocket_v.name,
        "clearing": [bit.name for bit in job.bits.clearing],
        "pocket_depth": round(depths.pocket_depth / unit, 6),
        "stepover": round(job.bits.pocket_v.stepover / unit, 6),
        "set": [f"{change.key}={change.value}" for change in one.set_up.changes],
        "fails": list(one.fails),
        "doubtful": list(one.doubts),
        "margin": round(one.margin, 6),
        "detail": round(one.detail, 6),
        "points": round(one.points(choice.prefer), 3),
    }
    if one.plan.facts.outline is not None:
        left, _, right, _ = one.plan.facts.outline.survey.bounds
        found["width"] = round((right - left) / unit, 6)
    if one.minutes is not None:
        found["minutes"] = round(one.minutes, 3)
    if one.nearest is not None:
        found["nearest"] = {"check": one.nearest[0], "spare": round(one.nearest[1], 6)}
    return found


def catalogue_data(catalogue: Catalogue) -> dict[str, Any]:
    """Every sheet's choice, and the fewest bits where they were asked for."""
    found: dict[str, Any] = {
        "format": FORMAT,
        "inlayfit": __version__,
        "choices": [choice_data(choice) for _, choice in catalogue.choices],
        "unread": [{"sheet": name, "error": "\n".join(mistakes)} for name, mistakes in catalogue.unread],
        "not_served": list(catalogue.not_served),
    }
    if catalogue.fewest is not None:
        found["fewest"] = [bit.name for bit in catalogue.fewest]
        found["served"] = {name: [bit.name for bit in bits] for name, bits in catalogue.served}
    return found
