"""Dry fits with something hidden in the cuts: the pair as it was really cut, and what is read of it.

The pair is cut and seated in the as-cut model from the hidden errors alone; what the answer makes of the readings has
no part in it. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np
import shapely
from jobs import job
from joints import MIXED
from outlines import outline_of, plus

from inlayfit.cutters import Profile
from inlayfit.dryfit.answer import DryFit, dry_fit
from inlayfit.dryfit.cuts import Correction
from inlayfit.joint.reading import Kind, MeasuredDepths, Reading
from inlayfit.outline.regions import Outline
from inlayfit.plan import Plan, plan
from inlayfit.seat.as_cut import AsCut, AsCutBit
from inlayfit.seat.load import overlap_areas
from inlayfit.seat.rays import rays_of

WOODS = {"base.wood": "black walnut", "plug.wood": "sugar maple", "joint.clamp_pressure": 0.3, "plug.thickness": 20.0}
F, G, U, BASE, PLUG = 6.0, 0.5, 2.5, 18.0, 20.0  # of the plain job, its plug's blank thicker
S = F - G


def scaled(name: str) -> Outline:
    return outline_of([shapely.affinity.scale(MIXED[name](), 3, 3, origin=(0, 0))])


SHAPES = {
    "plus": plus,
    "ring": lambda: outline_of([shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(8))]),
    "bar": lambda: outline_of([shapely.box(0, 0, 60, 14)]),
    "star": lambda: scaled("star"),
    "comb": lambda: scaled("comb"),
    "leaf": lambda: scaled("leaf"),
}


@dataclass(frozen=True, kw_only=True)
class BenchStory:
    """What is hidden, what is read, and what counts as having found it.

    ``off`` are fields of :class:`AsCut` and how much they are off; ``chip``, ``plug_board`` and ``base_board`` are
    thicknesses; ``declared`` and ``actual`` replace the bits' profiles. ``read`` are the kinds of measurement.
    ``truths`` has a set of codes for each hidden thing: to name one of the set is to have found it.
    """

    name: str
    truths: tuple[frozenset[str], ...]
    read: tuple[str, ...] = ("gap",)
    held: Any = "both"
    shape: str = "plus"
    off: dict[str, float] = field(default_factory=dict)
    chip: float = 0.0
    plug_board: float = 0.0
    base_board: float = 0.0
    declared: Profile | None = None
    actual: Profile | None = None


@cache
def planned(shape: str) -> Plan:
    return plan(job(WOODS), SHAPES[shape]())


def nominal(shape: str) -> float:
    seat = planned(shape).facts.seat
    assert seat is not None
    return seat.lift


def hidden_cut(story: BenchStory) -> AsCut:
    fit = planned(story.shape).facts.outline.fit
    cut = fit.pair.cut
    cut = replace(cut, **{name: getattr(cut, name) + value for name, value in story.off.items()})
    for part in ("pocket_bit", "plug_bit"):
        bit: AsCutBit = getattr(cut, part)
        cut = replace(
            cut,
            **{part: AsCutBit(declared=story.declared or bit.declared, actual=story.actual or bit.actual)},
        )
    return cut


def lift_of_cut(shape: str, cut: AsCut, *, clamped: bool) -> float:
    """Lift over the plane of the first programme; the wood twice as strong as the table has it by hand."""
    fit, seat = planned(shape).facts.outline.fit, planned(shape).facts.seat
    joint = fit.pair.recut(cut)
    areas = overlap_areas(joint, rays_of(joint))
    force, strength = (seat.clamp_force, 1.0) if clamped else (100.0, 2.0)
    lift = areas.lift_under(force, strength * fit.strength.across)
    return max(lift, -cut.depth_below_start - cut.plug_floor_error) - (cut.start_depth - S)


def measured(story: BenchStory, seed: int) -> tuple[list[Reading], MeasuredDepths]:
    """Three readings of each kind, to 0.01 mm and off by up to 0.02."""
    rng = np.random.default_rng(seed)
    cut = hidden_cut(story)
    lift = lift_of_cut(story.shape, cut, clamped=False) + story.chip
    true = {
        "gap": U + cut.plug_floor_error + lift,
        "above": PLUG + story.plug_board - S + lift,
        "over": BASE + story.base_board + PLUG + story.plug_board - S + lift,
        "pocket": F + cut.pocket_floor_error,
        "plug": S + U + cut.plug_floor_error,
    }

    def read(what: str) -> float:
        return round(max(0.0, true[what] + rng.uniform(-0.02, 0.02)), 2)

    kinds: tuple[Kind, ...] = ("gap", "above", "over")
    readings = [Reading(kind=kind, value=read(kind)) for kind in kinds if kind in story.read for _ in range(3)]
    depths = {what: read(what) for what in ("pocket", "plug") if what in story.read}
    return readings, MeasuredDepths(**depths)


ANSWERS: dict[str, DryFit] = {}


def answered(story: BenchStory, seed: int = 1) -> DryFit:
    """The answer, worked out once for each story and seed."""
    key = f"{story!r}, {seed}"
    if key not in ANSWERS:
        readings, depths = measured(story, seed)
        ANSWERS[key] = dry_fit(planned(story.shape), readings, story.held, depths)
    return ANSWERS[key]


def cut_again(story: BenchStory, correction: Correction) -> AsCut:
    """The pair as it really is after the cut: the same zeros and bits as before, the numbers typed."""
    cut = hidden_cut(story)
    if correction.part == "base":
        if correction.step == "walls":
            return replace(cut, pocket_v_error=cut.pocket_v_error - correction.zero_shift)
        if correction.step == "clear":
            return replace(cut, pocket_floor_error=correction.total_depth - F)
        return replace(cut, pocket_depth=correction.total_depth, pocket_passes=(F,))
    if correction.step == "clear":
        return replace(cut, plug_floor_error=correction.total_depth - S - U)
    # a start that was typed wrong is no error of the zero
    typed = -S if any("start_at_0" in codes for codes in story.truths) else 0.0
    again = replace(
        cut, start_depth=correction.start_depth, depth_below_start=correction.depth_below_start,
        plug_v_error=cut.plug_v_error - typed, plug_floor_error=cut.plug_floor_error,
        plug_passes=() if typed else ((cut.start_depth, cut.depth_below_start),),
    )  # fmt: skip
    if correction.step == "new plug":
        return replace(again, plug_v_error=0.0, plug_floor_error=0.0, plug_passes=())
    return again


def found(story: BenchStory, answer: DryFit) -> bool:
    """Whether each hidden thing stands first or second, or is told as not to be told apart from what does.

    Causes that are told as not to be told apart take one place together.
    """
    telling = answer.diagnosis.telling
    alike = {code for code, _ in telling.readings} if telling is not None else set()
    places: list[set[str]] = []
    for cause in answer.diagnosis.causes:
        together = next((place for place in places if cause.code in alike and place & alike), None)
        if together is None:
            places.append({cause.code})
        else:
            together.add(cause.code)
    told = set().union(*places[:2])
    return all(codes & told for codes in story.truths)


V_SHALLOW = frozenset({"pocket_v", "plug_v"})


def one(*codes: str) -> tuple[frozenset[str], ...]:
    return tuple(frozenset({code}) for code in codes)


POINT = Profile(angle=30.0)
STORIES: tuple[BenchStory, ...] = (
    BenchStory(name="plug V shallow, gap", off={"plug_v_error": -0.6}, truths=one("plug_v")),
    BenchStory(name="pocket V shallow, gap", off={"pocket_v_error": -0.4}, truths=one("pocket_v"), shape="ring"),
    BenchStory(name="plug V shallow, gap and plug", off={"plug_v_error": -0.5}, truths=one("plug_v"),
               read=("gap", "plug", "pocket")),
    BenchStory(name="pocket V shallow, gap and above", off={"pocket_v_error": -0.35}, truths=one("pocket_v"),
               read=("gap", "above", "plug", "pocket"), shape="bar", held="base"),
    BenchStory(name="plug's floor deep, gap", off={"plug_floor_error": 0.5}, truths=one("plug_clear"), shape="ring"),
    BenchStory(name="plug's floor deep, gap and above", off={"plug_floor_error": 0.5}, truths=one("plug_clear"),
               read=("gap", "above")),
    BenchStory(name="pocket's floor shallow, gap and pocket", off={"pocket_floor_error": -0.9},
               truths=one("pocket_clear"), read=("gap", "pocket"), held="base"),
    BenchStory(name="pocket's floor a little shallow", off={"pocket_floor_error": -0.7}, truths=one("pocket_clear"),
               read=("above", "pocket"), shape="bar"),
    BenchStory(name="start left at 0 for the walls", off={"plug_v_error": -S}, truths=one("start_at_0"),
               shape="bar"),
    BenchStory(name="start left at 0, above too", off={"plug_v_error": -S}, truths=one("start_at_0"),
               read=("gap", "above"), shape="ring", held="plug"),
    BenchStory(name="total typed as below", off={"plug_floor_error": S}, truths=one("total_as_below")),
    BenchStory(name="total typed as below, plug measured", off={"plug_floor_error": S},
               truths=one("total_as_below"), read=("gap", "plug"), shape="bar"),
    BenchStory(name="start left at 0 for the floor", off={"plug_floor_error": -S}, truths=one("start_at_0_clear"),
               read=("gap", "above"), shape="ring"),
    BenchStory(name="chip under the plug", chip=0.4, truths=one("chip"), read=("gap", "above")),
    BenchStory(name="programme told a point", declared=POINT, truths=one("told_a_point"),
               read=("gap", "plug"), shape="bar"),
    BenchStory(name="60 degrees for 30", actual=Profile(angle=60.0, tip_radius=0.05),
               truths=(frozenset({"other_angle_60", "other_angle_45", "other_angle_90"}),), read=("gap", "pocket"),
               shape="ring"),
    BenchStory(name="both V-bits too deep, on the floor", off={"pocket_v_error": 0.5, "plug_v_error": 0.3},
               truths=(V_SHALLOW,), read=("gap", "pocket"), held="base", shape="bar"),
    BenchStory(name="plug's board thick, above", plug_board=0.8, truths=one("plug_thickness"), read=("above",)),
    BenchStory(name="plug's board thick, gap and above", plug_board=0.8, truths=one("plug_thickness"),
               read=("gap", "above"), shape="ring"),
    BenchStory(name="base thick, over and above", base_board=-0.6, truths=one("base_thickness"),
               read=("over", "above"), shape="bar"),
    BenchStory(name="plug V shallow and its floor deep", off={"plug_v_error": -0.4, "plug_floor_error": 0.4},
               truths=one("plug_v", "plug_clear"), read=("gap", "plug", "pocket")),
    BenchStory(name="pocket V shallow and its floor deep", off={"pocket_v_error": -0.5, "pocket_floor_error": 0.5},
               truths=one("pocket_v", "pocket_clear"), read=("gap", "plug", "pocket"), shape="ring"),
    BenchStory(name="start left at 0 and the pocket's floor shallow",
               off={"plug_v_error": -S, "pocket_floor_error": -0.4}, truths=one("start_at_0", "pocket_clear"),
               read=("gap", "above", "pocket"), shape="bar"),
    BenchStory(name="plug V shallow and its board thick", off={"plug_v_error": -0.5}, plug_board=0.6,
               truths=one("plug_v", "plug_thickness"), read=("gap", "above", "plug", "pocket"), shape="bar",
               held="plug"),
)  # fmt: skip
