"""The text report of a proof: whether these will seat, what to change, what was found in the files."""

from __future__ import annotations

from typing import Final

from inlayfit.proof.faults import Fault
from inlayfit.proving import PLAN_CHECKS, Proof
from inlayfit.quantity import length_text
from inlayfit.report.layout import Paint, place_text, plain, stands_text, wrapped
from inlayfit.report.wording import reasons_text, say

MOST_TOLD: Final = 5
CAUTION: Final = (
    "Cautions: a proof is no licence to leave the machine. Dry run above the work first, hand on the stop; look at "
    "every bit and its zero before it cuts; eye and ear protection, and nothing in reach of a sweep."
)


def proof_text(proof: Proof, paint: Paint = plain) -> str:
    """The whole report."""
    parts = [
        [proof.job.title, *wrapped("", proof_headline(proof, paint))],
        _changes(proof),
        _depths(proof),
        _seat(proof),
        _files(proof),
        _checks(proof, paint),
        wrapped("", CAUTION),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def proof_headline(proof: Proof, paint: Paint = plain) -> str:
    """Verdict in one line."""
    failing = [entry.id for entry in proof.findings if entry.status == "fail"]
    doubtful = [entry.id for entry in proof.findings if entry.status == "doubtful"]
    own = [name for name in failing if name not in PLAN_CHECKS]
    if own:
        words = "These two will not seat as programmed"
    elif proof.seat is None:
        why = next(reasons_text(entry, proof.job.unit) for entry in proof.findings if entry.id == "seat")
        words = f"It cannot be told whether these two will seat, because {why}"
    else:
        words = "These two are not to be cut: the plan itself fails" if failing else "These two will seat"
    words = paint(words, proof.verdict)
    if failing:
        return f"{words}; failing: {', '.join(failing)}"
    return f"{words}; in doubt: {', '.join(doubtful)}" if doubtful else words


def fault_text(fault: Fault, proof: Proof) -> str:
    """One fault with its line, and what to type."""
    place = f"{fault.spot.file}:{fault.spot.line}: " if fault.spot is not None else ""
    remedy = f": {say(fault.remedy, proof.job.unit)}" if fault.remedy is not None else ""
    where = ""
    outline = proof.plan.facts.outline
    if fault.at is not None and outline is not None:
        where = f" at {place_text(fault.at, outline.survey.bounds[:2], proof.job.unit)}"
    return f"{place}{say(fault.what, proof.job.unit)}{where}{remedy}"


def _changes(proof: Proof) -> list[str]:
    if not proof.faults:
        return []
    lines = ["To change (places from the lower left of the outline's bounds)"]
    for number, fault in enumerate(proof.faults[:MOST_TOLD], 1):
        lines += wrapped(f"  {number}. ", fault_text(fault, proof))
    more = len(proof.faults) - MOST_TOLD
    if more > 0:
        lines.append(f"  and {more} more, under the checks")
    return lines


def _depths(proof: Proof) -> list[str]:
    unit = proof.job.unit

    def number(value: float) -> str:
        return length_text(value, unit, with_unit=False)

    if not proof.depths:
        return []
    lines = [f"Planned beside programmed ({unit}, below the part's face)", f"  {'':<32}{'planned':>9}{'found':>9}"]
    for entry in proof.depths:
        name = f"{entry.part} {entry.step}, {entry.bit}"
        lines.append(
            f"  {name:<32}{number(entry.planned):>9}{number(entry.found):>9}   {entry.spot.file}:{entry.spot.line}"
        )
    return lines


def _seat(proof: Proof) -> list[str]:
    seat, planned, unit = proof.seat, proof.plan.facts.seat, proof.job.unit
    if planned is None:
        return wrapped("Seat: ", "cannot be told: the plan has none, see the checks.")
    if seat is None:
        return wrapped("Seat: ", "cannot be told while the faults above stand.")
    lines = [f"Seat ({unit}; how far the plug stands proud of home)", f"  {'':<32}{'planned':>14}{'found':>14}"]
    for name, meant, found in (
        ("first touch", planned.first_touch, seat.first_touch),
        ("pressed by hand, at the most", max(planned.by_hand), max(seat.by_hand)),
        ("clamped", planned.lift, seat.lift),
    ):
        lines.append(f"  {name:<32}" + "".join(f"{stands_text(lift, unit):>14}" for lift in (meant, found)))
    for name, meant, found in (
        ("glue gap", planned.glue_gap, seat.glue_gap),
        ("joint line, widest", planned.seen.largest, seat.seen.largest),
    ):
        values = (length_text(value, unit, with_unit=False) for value in (meant, found))
        lines.append(f"  {name:<32}" + "".join(f"{value:>14}" for value in values))
    return lines


def _files(proof: Proof) -> list[str]:
    unit = proof.job.unit
    lines = [f"Programmes ({unit})"]
    for entry in proof.files:
        depth = length_text(entry.deepest, unit, with_unit=False)
        lines.append(f"  {entry.part:<7}{entry.file}, {entry.bit}: to {depth} deep, {entry.minutes:.0f} min of cutting")
    return lines


def _checks(proof: Proof, paint: Paint) -> list[str]:
    lines = ["Checks"]
    for entry in proof.findings:
        name = f"  {paint(entry.status, entry.status) if entry.status != 'not checked' else entry.status}  {entry.id}: "
        lines += wrapped(name, reasons_text(entry, proof.job.unit))
    return lines
