"""The proof of posted programmes: what they cut, held against the plan, and where the pair will seat."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, NamedTuple

from inlayfit.checks.facts import Facts
from inlayfit.checks.finding import Finding, Verdict, verdict
from inlayfit.checks.programme_checks import PROGRAMME_CHECKS, programme_findings
from inlayfit.checks.registry import CHECKS
from inlayfit.errors import InputError
from inlayfit.joint.job import Job, ProgrammeSource
from inlayfit.plan import Plan
from inlayfit.proof.faults import Fault, Spot
from inlayfit.quantity import MM_PER_INCH
from inlayfit.statement import Statement, told

if TYPE_CHECKING:
    from inlayfit.outline.analysis import OutlineAnalysis
    from inlayfit.outline.regions import Outline
    from inlayfit.programme.reader import Programme
    from inlayfit.proof.depths_cut import DepthCut
    from inlayfit.proof.lie import CutLie
    from inlayfit.proof.part_cut import PartCut
    from inlayfit.seat.seat import Seat

SEAT_CHECKS: Final = ("seat", "joint-line", "corners")
PLAN_CHECKS: Final = ("glue-gap", "surface-gap", "base-floor", "plug-web", "cone-reach", "bit-reach")
"""What may be wrong with the plan's own depths: programmes that keep to them are no better."""
LAID_OFF: Final = (0.1, 0.02)
"""A base's mouth that lies off by more, in mm, fails, or is in doubt; a plug is laid in by hand."""
PLUG_LAID_OFF: Final = 0.1
DIFFERS: Final = 0.05
TURNED: Final = 0.02
"""Degrees."""
AGREES: Final = 0.8
"""With less of the outline on its right side of the cut what was cut is something else."""
UNIT_SLIP: Final = 0.15
MISSING: Final = 0.02
EVEN: Final = 0.15
"""An edge that is off by one distance all round but for so much, in mm, may be another bit's."""


class Posted(NamedTuple):
    """The programmes of each part as they were read, with the sheet's word for their bits."""

    pocket: tuple[tuple[ProgrammeSource, Programme], ...]
    plug: tuple[tuple[ProgrammeSource, Programme], ...]


class FileProved(NamedTuple):
    """What a programme does with a bit: its deepest cut below the part's face, lengths in mm, minutes of cutting."""

    part: str
    file: str
    bit: str
    deepest: float
    length: float
    minutes: float


@dataclass(frozen=True, kw_only=True)
class Proof:
    """All that was found of a pair of programmes."""

    plan: Plan
    faults: tuple[Fault, ...]
    """Those to mend first stand first."""
    findings: tuple[Finding, ...]
    depths: tuple[DepthCut, ...]
    files: tuple[FileProved, ...]
    seat: Seat | None
    """Where the plug seats, as programmed; None where it cannot be told."""

    @property
    def job(self) -> Job:
        """The plan's job."""
        return self.plan.job

    @property
    def verdict(self) -> Verdict:
        """Whether these will seat."""
        return verdict(self.findings)


def prove(plan: Plan, outline: Outline, posted: Posted, analysis: OutlineAnalysis | None = None) -> Proof:
    """Read programmes held against the plan of their sheet, and seated as a pair.

    Raises :class:`InputError` where a bit or a place cannot be told.
    """
    from inlayfit.outline.analysis import analysis_of
    from inlayfit.proof.depths_cut import cut_out_faults, depth_faults, depths_cut
    from inlayfit.proof.floors_cut import rest_faults, rests
    from inlayfit.proof.part_cut import frame_of, part_cut
    from inlayfit.shop.placement import base_placement, plug_placement

    job, depths = plan.job, plan.facts.depths
    analysis = analysis_of(outline, analysis)
    frames, cuts = [], []
    for part, programmes, placement, key in (
        ("pocket", posted.pocket, base_placement(job, outline), "base.blank"),
        ("plug", posted.plug, plug_placement(job, outline), "plug.blank"),
    ):
        if not programmes:
            raise InputError(f"found none, expected what cuts the {part}", where=("programmes", part))
        if placement is None:
            raise InputError("missing, expected the board's size: the datum is on it", where=tuple(key.split(".")))
        frame = frame_of(job, part, placement)  # type: ignore[arg-type]
        try:
            cuts.append(part_cut(part, programmes, job.bits, frame))  # type: ignore[arg-type]
        except InputError as error:
            raise InputError(error.problem, where=("programmes", part, *error.where), place=error.place) from None
        frames.append(frame)
    faults = _reading(posted)
    base, plug = cuts
    deep = depths_cut(job, depths, base, plug)
    files = _files(base, plug)
    faults += depth_faults(job, depths, base, plug, (frames[0], frames[1]), deep)
    wrong_size = _sizes(analysis, base, plug)
    faults += wrong_size
    wrong_depth = {part for part in ("pocket", "plug") if any(
        f.check == "programme-depths" and f.severity == "fail" and f.spot and f.spot.file in cuts[part == "plug"].files
        for f in faults)}  # fmt: skip
    faults += cut_out_faults(job, depths, plug, frames[1], deep)
    seated: Seat | None = None
    unknown: set[str] = set()
    if wrong_size or any(not (cut.deeper > 0).any() for cut in cuts):
        unknown |= {"programme-datum", "programme-mirror", "programme-bit", "wall-gouged", "uncut-rest"}
    else:
        laid = []
        right = True
        even: dict[str, bool] = {}
        for cut, lie in zip(cuts, _lies(plan, analysis, base, plug), strict=True):
            faults += _lie_faults(job, cut, lie, wrong_depth)
            right &= lie.agrees > AGREES and not lie.lie.mirrored
            if lie.agrees <= AGREES:
                unknown |= {"programme-datum", "programme-mirror"}
            even[cut.part] = lie.largest < EVEN
            laid.append(cut.moved(lie.lie.back) if not lie.lie.mirrored else cut)
        if right:
            walls = _wall_faults(plan, analysis, laid[0], laid[1], wrong_depth, even)
            of_bit = {f.spot.file for f in walls if f.check == "programme-bit" and f.spot}
            wrong_bit = {cut.part for cut in cuts if of_bit & set(cut.files)}
            # walls of another bit do not lie on the outline, and leave rests beside them
            faults = [f for f in faults if not (f.check == "programme-mirror" and f.spot and f.spot.file in of_bit)]
            faults += walls
            stands = rests(job, depths, analysis, laid[0].removed(), laid[1].removed())
            faults += rest_faults([r for r in stands if r.part not in wrong_depth | wrong_bit])
            seated = _seat(plan, analysis, laid[0], laid[1])
        else:
            unknown |= {"programme-bit", "wall-gouged", "uncut-rest"}
    of_plan = tuple(f for f in plan.findings if f.id in PLAN_CHECKS and f.status in ("fail", "doubtful"))
    found = programme_findings(faults, unknown)
    findings = (*found, *_seat_findings(plan, seated, faulty=verdict(found) == "does not fit"), *of_plan)
    return Proof(plan=plan, faults=tuple(sorted(faults, key=_rank)), findings=findings, depths=tuple(deep), files=files,
                 seat=seated)  # fmt: skip


def _rank(fault: Fault) -> tuple[bool, int, float]:
    """What fails first, causes before what follows from them, the costliest first."""
    order = ("programme-units", "programme-depths", "programme-mirror", "programme-datum", "programme-bit")
    where = order.index(fault.check) if fault.check in order else len(order)
    if fault.check == "programme-read":
        where = len(PROGRAMME_CHECKS)
    return fault.severity != "fail", where, -fault.cost


def _reading(posted: Posted) -> list[Fault]:
    faults = []
    for programmes in posted:
        offsets: dict[str, Spot] = {}
        for _, programme in programmes:
            for remark in programme.remarks:
                if remark.kind == "doubtful":
                    check = "programme-units" if remark.word == "G20/G21" else "programme-read"
                    what = told("programme.remark", word=remark.word, message=remark.message)
                    faults.append(Fault(check, "doubtful", 0.0, Spot(programme.name, remark.line), what))
            spot = Spot(programme.name, programme.work_offset_line or 1)
            offsets.setdefault(programme.work_offset, spot)
        if len(offsets) > 1:
            (one, first), (other, second), *_ = offsets.items()
            raise InputError(
                f"{other} beside {one} in {first.file}:{first.line}: how far apart the two lie is not in the files; "
                "post each part with one work offset", place=f"{second.file}:{second.line}",
            )  # fmt: skip
    return faults


def _files(*cuts: PartCut) -> tuple[FileProved, ...]:
    import numpy as np

    found = []
    for cut in cuts:
        length = np.linalg.norm(cut.end - cut.start, axis=1)
        for file, name in enumerate(cut.files):
            for row, bit in enumerate(cut.bits):
                mine = (cut.file == file) & (cut.bit == row) & ~cut.rapid
                if mine.any():
                    minutes = float(np.nansum(length[mine] / cut.feed[mine]))
                    deepest = float(cut.deeper[mine].max())
                    found.append(
                        FileProved(cut.part, name, bit.cutter.name, deepest, float(length[mine].sum()), minutes)
                    )
    return tuple(found)


def _sizes(analysis: OutlineAnalysis, *cuts: PartCut) -> list[Fault]:
    """A part cut as many times too large or small as an inch has millimetres."""
    low_x, low_y, high_x, high_y = analysis.outline.bounds
    faults = []
    for cut in cuts:
        left, lower, right, upper = cut.bounds()
        times = (right - left + upper - lower) / (high_x - low_x + high_y - low_y)
        for expected, code in ((MM_PER_INCH, "programme_units.large"), (1 / MM_PER_INCH, "programme_units.small")):
            # a plug's cut is wider than its outline by the border
            if abs(times / expected - 1) < UNIT_SLIP + (2.0 if cut.part == "plug" else 0.0) and not 0.2 < times < 5:
                what = told(code, part=told(f"programme.part_{cut.part}"), times=expected)
                faults.append(
                    Fault("programme-units", "fail", 1000.0, Spot(cut.files[0], 1), what, told("programme_units.state"))
                )
                break
    return faults


def _lies(plan: Plan, analysis: OutlineAnalysis, base: PartCut, plug: PartCut) -> tuple[CutLie, CutLie]:
    from inlayfit.proof.lie import lie_of_cut
    from inlayfit.proof.posted_pair import as_declared

    start = plan.facts.depths.start_depth
    meant = as_declared(plan.job, plan.facts.depths, plan.facts.passes, analysis)
    return (
        lie_of_cut(base.removed(real=False), meant.pocket.removed, analysis, "pocket", base.bounds()),
        lie_of_cut(plug.removed(real=False, plane=start), meant.plug.removed, analysis, "plug", plug.bounds(start)),
    )


def _lie_faults(job: Job, cut: PartCut, found: CutLie, wrong_depth: set[str]) -> list[Fault]:
    part, lie = told(f"programme.part_{cut.part}"), found.lie
    spot = cut.first_at(cut.deeper > 0)
    if lie.mirrored and found.agrees > AGREES:
        code = "programme_mirror.not_mirrored" if cut.part == "plug" else "programme_mirror.base_mirrored"
        return [Fault("programme-mirror", "fail", 500.0, spot, told(code), told(f"programme_mirror.mirror_{cut.part}"))]
    if found.agrees <= AGREES:
        if cut.part in wrong_depth:
            return []
        what = told("programme_mirror.another", part=part, share=found.agrees)
        return [Fault("programme-mirror", "fail", 400.0, spot, what, told("programme_mirror.post_again"))]
    faults = []
    fails, doubts = LAID_OFF if cut.part == "pocket" else (float("inf"), PLUG_LAID_OFF)
    if lie.shift > doubts:
        what = told("programme_datum.shifted", part=part, x=lie.x, y=lie.y, by=lie.shift)
        remedy = told("programme_datum.move_zero", datum=job.datum or "centre")
        severity = "fail" if lie.shift > fails else "doubtful"
        faults.append(Fault("programme-datum", severity, lie.shift, spot, what, remedy, off=lie.shift))  # type: ignore[arg-type]
    if abs(lie.turn) > TURNED:
        what = told("programme_datum.turned", part=part, turn=lie.turn)
        faults.append(Fault("programme-datum", "doubtful", abs(lie.turn), spot, what))
    if cut.part in wrong_depth:
        return faults
    if found.largest > DIFFERS or found.missing > MISSING:
        differs = found.largest if found.largest < float("inf") else 1.0
        what = told("programme_mirror.differs", part=part, by=differs)
        if found.missing > MISSING:
            what = told("programme_mirror.lacks", part=part, share=found.missing)
        severity = "fail" if differs > 2 * DIFFERS else "doubtful"
        faults.append(
            Fault(
                "programme-mirror", severity, differs, spot, what, told("programme_mirror.post_again"), at=found.at,  # type: ignore[arg-type]
                off=found.largest if found.largest < float("inf") else None,
            )
        )
    return faults


def _wall_faults(
    plan: Plan,
    analysis: OutlineAnalysis,
    base: PartCut,
    plug: PartCut,
    wrong_depth: set[str],
    even: dict[str, bool],
) -> list[Fault]:
    from inlayfit.proof.bit_typed import bit_faults
    from inlayfit.proof.walls_cut import gouges

    job, depths, faults = plan.job, plan.facts.depths, []
    for cut, bit, plane in ((base, job.bits.pocket_v, 0.0), (plug, job.bits.plug_v, depths.start_depth)):
        if cut.part in wrong_depth:
            continue
        typed = bit_faults(analysis, cut, bit.shape, plane, even=even[cut.part])
        gouged = gouges(job, depths, analysis, cut, bit.shape)
        if typed:
            # a V-bit of another list cuts past the wall for that reason
            gouged = [fault for fault in gouged if fault.remedy is None or fault.remedy.code != "wall_gouged.v"]
        faults += [*typed, *gouged]
    return faults


def _seat(plan: Plan, analysis: OutlineAnalysis, base: PartCut, plug: PartCut) -> Seat | None:
    from inlayfit.joint.limits import JOINT_LINE, SEAT
    from inlayfit.proof.posted_pair import posted_pair
    from inlayfit.seat.seat import Loads, Standard, Touch, seat

    outline = plan.facts.outline
    if outline is None or outline.fit is None:
        return None
    job, fit = plan.job, outline.fit
    loads = Loads(
        crush_strength_mpa=fit.strength.across, clamp_force_n=fit.seat.clamp_force, hand_force_n=job.joint.hand_force,
        strength_along_mpa=fit.strength.along,
    )  # fmt: skip
    standard = Standard(level_below=job.joint.level_below, joint_line=job.limits[JOINT_LINE], share=job.limits[SEAT])
    return seat(Touch(posted_pair(job, plan.facts.depths, analysis, base, plug)), loads, standard)


def _seat_findings(plan: Plan, seated: Seat | None, *, faulty: bool) -> tuple[Finding, ...]:
    """The checks on the seat, made on what the programmes cut; no pair passes whose seat is not known."""
    outline = plan.facts.outline
    if outline is None or outline.fit is None:
        causes = ("cone-reach", "surface-gap")
        reasons = next((entry.reasons for entry in plan.findings if entry.id in causes and entry.status == "fail"),
                       (told("programme.seat_not_planned"),))  # fmt: skip
        return _seat_unknown(reasons)
    if seated is None and faulty:
        return tuple(
            Finding(id=name, status="not checked", reasons=(told("programme.not_known"),)) for name in SEAT_CHECKS
        )
    if seated is None:
        return _seat_unknown((told("programme.seat_hidden"),))
    facts: Facts = replace(plan.facts, outline=replace(outline, fit=replace(outline.fit, seat=seated)))
    return tuple(check.find(facts) for check in CHECKS if check.id in SEAT_CHECKS)


def _seat_unknown(reasons: tuple[Statement, ...]) -> tuple[Finding, ...]:
    """The seat in doubt for these reasons, and what is not known without it."""
    seat, *others = SEAT_CHECKS
    rest = (Finding(id=name, status="not checked", reasons=(told("programme.no_seat"),)) for name in others)
    return Finding(id=seat, status="doubtful", reasons=reasons), *rest
