"""How a cut lies against its outline: shift, turn and mirror are found as they were made."""

from __future__ import annotations

import numpy as np
import outlines
import pytest
from jobs import CUT_OUT, job
from posted import Planned, cuts, planned, texts
from programme_writer import STYLES

from inlayfit.proof.lie import CutLie, Lie, lie_of_cut
from inlayfit.proof.part_cut import PartCut
from inlayfit.proof.posted_pair import as_declared

FORMS = {"star": outlines.star, "square": outlines.square}


@pytest.fixture(scope="module", params=FORMS)
def cut_pair(request: pytest.FixtureRequest) -> tuple[Planned, PartCut, PartCut]:
    made = planned(job({"bits.cut_out": CUT_OUT}), FORMS[request.param]())
    return made, *cuts(made, *texts(made, STYLES["incremental"]))


def found(made: Planned, cut: PartCut) -> CutLie:
    facts = made.plan.facts
    plane = facts.depths.start_depth if cut.part == "plug" else 0.0
    meant = as_declared(made.job, facts.depths, facts.passes, made.analysis)
    side = meant.plug if cut.part == "plug" else meant.pocket
    return lie_of_cut(
        cut.removed(real=False, plane=plane), side.removed, made.analysis, cut.part, cut.bounds(plane)  # type: ignore
    )


def test_as_it_should_lie(cut_pair: tuple[Planned, PartCut, PartCut]) -> None:
    made, base, plug = cut_pair
    for cut in (base, plug):
        lie = found(made, cut)
        assert lie.lie.shift < 1e-4 and abs(lie.lie.turn) < 1e-3 and not lie.lie.mirrored
        assert abs(lie.wider) < 2e-4 and lie.largest < 1e-3
        assert lie.missing == 0 and lie.agrees == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(
    ("x", "y", "turn"), [(0.05, -0.02, 0.1), (30.0, -12.0, 0.0)]
)
def test_shifted_and_turned(cut_pair: tuple[Planned, PartCut, PartCut], x: float, y: float, turn: float) -> None:
    made, base, plug = cut_pair
    low_x, low_y, high_x, high_y = made.outline.bounds
    laid = Lie(x=x, y=y, turn=turn, about=((low_x + high_x) / 2, (low_y + high_y) / 2))
    for cut in (base, plug):
        lie = found(made, cut.moved(laid))
        assert (lie.lie.x, lie.lie.y) == pytest.approx((x, y), abs=5e-4)
        assert lie.lie.turn == pytest.approx(turn, abs=2e-3)
        assert not lie.lie.mirrored and lie.largest < 2e-3
        # laid back by it, the cut is where it should be
        again = found(made, cut.moved(laid).moved(lie.lie.back))
        assert again.lie.shift < 5e-4


def test_not_mirrored(cut_pair: tuple[Planned, PartCut, PartCut]) -> None:
    made, base, plug = cut_pair
    low_x, low_y, high_x, high_y = made.outline.bounds
    about = ((low_x + high_x) / 2, (low_y + high_y) / 2)
    for cut in (base, plug):
        lie = found(made, cut.moved(Lie(mirrored=True, about=about)))
        # these are their own mirror images, so that nothing is wrong
        assert not lie.lie.mirrored and lie.largest < 2e-3


def test_a_lopsided_plug_not_mirrored() -> None:
    made = planned(job({"bits.cut_out": CUT_OUT}), outlines.polygon([(0, 0), (22, 0), (22, 6), (8, 7), (5, 15)]))
    base, plug = cuts(made, *texts(made, STYLES["incremental"]))
    low_x, low_y, high_x, high_y = made.outline.bounds
    about = ((low_x + high_x) / 2, (low_y + high_y) / 2)
    lie = found(made, plug.moved(Lie(mirrored=True, about=about)))
    assert lie.lie.mirrored and lie.largest < 2e-3
    turned = found(made, plug.moved(Lie(mirrored=True, turn=180.0, about=about)))
    assert turned.lie.mirrored and abs(turned.lie.turn) == pytest.approx(180, abs=1e-3)
    assert found(made, base).agrees == pytest.approx(1.0, abs=0.02)


def test_another_shape_and_nothing_cut() -> None:
    made = planned(job({"bits.cut_out": CUT_OUT}), outlines.square(20.0))
    other = planned(job({"bits.cut_out": CUT_OUT}), outlines.polygon([(0, 0), (20, 0), (20, 20), (0, 19.7)]))
    base, plug = cuts(other, *texts(other, STYLES["incremental"]))
    for cut in (base, plug):
        lie = found(made, cut)
        assert 0.05 < lie.largest < 0.3
    nothing = PartCut(
        part="pocket", files=(), bits=(), start=np.zeros((0, 3)), end=np.zeros((0, 3)), file=np.zeros(0, int),
        line=np.zeros(0, int), bit=np.zeros(0, int), rapid=np.zeros(0, bool), feed=np.zeros(0),
    )  # fmt: skip
    lie = found(made, nothing)
    assert lie.missing == 1 and lie.largest == np.inf
