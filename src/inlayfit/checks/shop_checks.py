"""Checks of the shop round the joint: blanks, hold-downs and the woods' movement. docs/checks.md has a page on each."""

from __future__ import annotations

from collections.abc import Iterable

from inlayfit.checks.facts import Facts, OutlineFacts
from inlayfit.checks.finding import Finding, Status
from inlayfit.checks.movement_words import movement_words, sawing_words
from inlayfit.joint.job import SetUp
from inlayfit.joint.schedule import Step
from inlayfit.quantity import length_text
from inlayfit.shop.hold_downs import Clearance
from inlayfit.shop.timber import without_movement

STEP_WORDS: dict[Step, str] = {
    "clear": "clearing",
    "walls": "the walls' cut",
    "cut out": "the cut-out",
    "level": "levelling",
}
_PART_WORDS = {"base": "base", "plug": "plug's blank"}
_PLACES: dict[SetUp, str] = {"base": "on the base", "plug": "on the plug's blank", "level": "at levelling"}


def blank_margin(facts: Facts, outline: OutlineFacts) -> Finding:
    """Whether outline, border and every cut lie inside the blanks."""
    margins, limit = outline.shop.margins, facts.job.limits.blank_margin
    if not margins:
        return _not_checked("blank-margin", "base.blank or plug.blank")
    worst = min(margins, key=lambda entry: entry.margin.least)
    least, edge, part = worst.margin.least, worst.margin.tightest, _PART_WORDS[worst.part]
    cut = "the outline" if worst.part == "base" else f"{STEP_WORDS[worst.step]} with {worst.bit}"
    message = f"{cut} leaves {facts.text(least)} of the {part} at its {edge} edge"
    status: Status = "pass"
    remedy = ""
    if least < -1e-9:
        status = "fail"
        message = f"{cut} runs {facts.text(-least)} off the {part} at its {edge} edge"
    elif least < limit - 1e-9:
        status = "doubtful"
    if status != "pass":
        at = "outline.at" if worst.part == "base" else "plug.at"
        remedy = f"a larger blank, another place on it ({at}) or a smaller design"
        remedy += "" if worst.part == "base" else "; a narrower border or a smaller cut-out bit"
    known = {entry.part for entry in margins}
    message += "".join(f"; {part}.blank is not given" for part in ("base", "plug") if part not in known)
    return Finding(
        id="blank-margin",
        status=status,
        value=least,
        limit=limit,
        message=message,
        remedy=remedy,
        rests_on=_assumed_of_the_plug(facts) if worst.part == "plug" else (),
    )


def hold_downs(facts: Facts, outline: OutlineFacts) -> Finding:
    """Hold-downs against the sweep of every step: clear by how much, or struck where and by what."""
    found, limit = outline.shop.hold_downs, facts.job.limits.hold_downs
    if not found:
        return _not_checked("hold-downs", "hold_downs")
    needs = {entry.set_up: _needs(facts, outline, entry.set_up) for entry in found}
    checked = [entry for entry in found if not needs[entry.set_up]]
    left_open = [key for key in dict.fromkeys(needs.values()) if key]
    if not checked:
        return _not_checked("hold-downs", *left_open)
    struck = [entry for entry in checked if entry.strikes]
    nearest = min(
        (entry for entry in checked if entry.clear_by is not None),
        key=lambda entry: entry.clear_by or 0.0,
        default=None,
    )
    status: Status = "pass"
    remedy = ""
    if struck:
        status, remedy = "fail", "move it, or hold the part down another way"
        message = "; ".join(_strike(facts, entry) for entry in struck)
    elif nearest is None:
        message = "they stay under all that is cut"
    else:
        message = f"{_clear(facts, nearest)} at the least"
        if (nearest.clear_by or 0.0) < limit - 1e-9:
            status, remedy = "doubtful", "more room: a clamp slips, and a bit runs out"
    unknown = _holders_unknown(facts)
    if left_open or unknown:
        status = "doubtful" if status == "pass" else status
        remedy = remedy or f"set {' and '.join((*left_open, *unknown))}"
        message += f"; not all of it is looked at without {', '.join((*left_open, *unknown))}"
    elif facts.job.bits.collet is None:
        message += "; the collet nut is not looked at without bits.collet"
    return Finding(
        id="hold-downs",
        status=status,
        value=None if nearest is None else nearest.clear_by,
        limit=limit,
        message=message,
        remedy=remedy,
        rests_on=_assumed_of_the_plug(facts) if any(entry.set_up == "plug" for entry in checked) else (),
    )


def wood_movement(facts: Facts, outline: OutlineFacts) -> Finding:
    """How far plug and base want to move against each other in the climate given."""
    job, moved = facts.job, outline.shop.movement
    if moved is None:
        places = ("climate.cutting", job.climate.cutting), ("climate.use", job.climate.use)
        needs = [key for key, place in places if place is None]
        if outline.shop.unknown_woods:
            parts = {"base": job.base.wood, "plug": job.plug.wood}
            needs += [without_movement(part, parts[part]) for part in outline.shop.unknown_woods]
        return _not_checked("wood-movement", *needs)
    limit = job.limits.joint_line if job.limits.wood_movement is None else job.limits.wood_movement
    by = abs(moved.movement)
    before, after = outline.shop.moisture or (0.0, 0.0)
    drying = after < before
    message = (
        f"from {before:.1f} % to {after:.1f} % moisture {movement_words(moved, facts.text, drying=drying)} over the "
        f"{facts.text(moved.width)} of region {moved.region}, half of it at each wall"
        f"{sawing_words(moved, facts.text, drying=drying)}"
    )
    over = by > limit + 1e-9
    return Finding(
        id="wood-movement",
        status="doubtful" if over else "pass",
        value=by,
        limit=limit,
        message=message,
        remedy=(
            "woods that move alike, grain in one direction, smaller pieces, or wood at the moisture it will live at"
            if over
            else ""
        ),
    )


def _not_checked(check: str, *needs: str) -> Finding:
    return Finding(id=check, status="not checked", message=f"needs {' and '.join(needs)}")


def _needs(facts: Facts, outline: OutlineFacts, set_up: SetUp) -> str:
    """The key that a set-up's sweeps still need; empty where they are known."""
    shop = outline.shop
    if set_up == "level":
        if facts.job.bits.levelling is None:
            return "bits.levelling"
        return "" if shop.field is not None else "base.blank"
    placement = shop.base if set_up == "base" else shop.plug
    return "" if placement is not None else f"{set_up}.blank"


def _holders_unknown(facts: Facts) -> tuple[str, ...]:
    """What is not known of a shank or collet that the sheet gives: from where upwards it counts."""
    bits = dict.fromkeys(entry.cutter for entry in facts.passes)
    shanks = [f"the reach of {bit.name}" for bit in bits if bit.shank is not None and bit.reach is None]
    collet = facts.job.bits.collet
    collets = [f"the stick_out of {bit.name}" for bit in bits if collet is not None and bit.stick_out is None]
    return (*shanks, *collets)


def _assumed_of_the_plug(facts: Facts) -> tuple[str, ...]:
    return facts.assumed("plug.border", *(("bits.cut_out",) if facts.job.plug.cut_out else ()))


def _named(entry: Clearance) -> str:
    return f"hold-down {entry.number} {_PLACES[entry.set_up]}"


def _clear(facts: Facts, entry: Clearance) -> str:
    by = f"{entry.by} of {entry.bit}" if entry.by != "cutter" else entry.bit
    step = STEP_WORDS[entry.step] if entry.step is not None else ""
    return f"{_named(entry)} is clear of {step} by {facts.text(entry.clear_by or 0.0)} ({by})"


def _strike(facts: Facts, entry: Clearance) -> str:
    first = entry.strikes[0]
    x, y = (length_text(value, facts.job.unit, with_unit=False) for value in first.at)
    by = f"the {first.by} of {first.bit}" if first.by != "cutter" else first.bit
    others = _listed(STEP_WORDS[step] for step in dict.fromkeys(s.step for s in entry.strikes) if step != first.step)
    more = f", and in {others}" if others else ""
    return f"{_named(entry)} is struck in {STEP_WORDS[first.step]} by {by}, at ({x}, {y}) from the datum{more}"


def _listed(words: Iterable[str]) -> str:
    return " and ".join(words)
