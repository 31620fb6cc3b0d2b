"""Readings of a dry fit from far too low to far too high: what is said never turns from loose to good and back."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

import numpy as np
import pytest
import shapely
from jobs import job
from outlines import outline_of, plus

from inlayfit.dryfit.answer import DryFit, dry_fit
from inlayfit.dryfit.readings import reading_of
from inlayfit.errors import InputError
from inlayfit.joint.job import Held
from inlayfit.joint.reading import MeasuredDepths, Reading
from inlayfit.plan import Plan, plan
from inlayfit.report.dryfit_text import dryfit_text

WOODS: Final = {"base.wood": "cherry", "plug.wood": "hard maple"}
RING: Final = shapely.Point(20, 20).buffer(20).difference(shapely.Point(20, 20).buffer(9))
# a house number's sign, 3 by 1.5 in with a round hole, in a shallow pocket by a blunt bit
SIGN: Final = shapely.box(0, 0, 76.2, 38.1).difference(shapely.Point(23, 19).buffer(10.2))
SHEETS: Final[dict[str, tuple[dict[str, Any], Any]]] = {
    "sign": (
        {**WOODS, "joint.pocket_depth": 5.08, "joint.glue_gap": 0.508, "joint.surface_gap": 2.032, "bits.v.angle": 60.0,
         "bits.v.tip": 0.127, "bits.v.diameter": 12.7},
        SIGN,
    ),
    "ring": ({**WOODS, "joint.pocket_depth": 4.0, "joint.glue_gap": 0.4, "bits.v.tip": 0.1}, RING),
    "cross": (WOODS, None),
}  # fmt: skip


@cache
def planned(name: str) -> Plan:
    changes, shape = SHEETS[name]
    return plan(job(changes), plus() if shape is None else outline_of([shape]))


def answered(name: str, over_floor: float, held: Held | None = None, **measured: float) -> DryFit | None:
    """The answer to one gap reading so far over that of a plug on the floor; None where it is refused."""
    made = planned(name)
    depths = made.facts.depths
    on_floor = reading_of("gap", -depths.glue_gap, made.job, depths)
    try:
        return dry_fit(made, [Reading(kind="gap", value=on_floor + over_floor)], held, MeasuredDepths(**measured))
    except InputError:
        return None


def harshness(found: DryFit | None) -> int:
    """0 for nothing to cut, 1 for a cut of a part at hand, 2 for a new plug, 3 for both parts made anew."""
    assert found is not None
    if not found.corrections:
        assert found.no_cut is not None
        return 0 if found.no_cut.reason in ("as expected", "sunk") else 3
    return 2 if found.corrections[0].step == "new plug" else 1


# far below the floor, about it in fine steps, about the seat, and up to a plug that hardly enters
LOW: Final = [-1.5, -0.8, -0.45, -0.4, -0.35, -0.3, -0.25, -0.2, -0.15, -0.1, -0.05, 0.0, 0.05]
HIGH: Final = [0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 1.2, 2.0, 3.0, 3.75, 4.0, 4.45, 4.75, 5.0, 5.45, 9.0]


@pytest.mark.parametrize("name", SHEETS)
def test_good_readings_are_one_interval_between_loose_and_proud(name: str) -> None:
    told = []
    for found in (answered(name, over) for over in (*LOW, *HIGH)):
        told.append("refused" if found is None else "good" if found.mends
                    else "on the floor" if found.excess < 0 and not found.unproved else "proud")  # fmt: skip
    in_turn = [word for at, word in enumerate(told) if at == 0 or word != told[at - 1]]
    assert in_turn == ["refused", "on the floor", "good", "proud", "refused"]


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("held", [None, "both"])
def test_advice_is_no_harsher_for_a_smaller_excess(name: str, held: Held | None) -> None:
    glue_gap = planned(name).facts.depths.glue_gap
    excesses = np.linspace(0.05, 0.65, 9 if held else 25)
    harsh = [harshness(answered(name, glue_gap + excess, held)) for excess in excesses]
    assert harsh == sorted(harsh)
    assert harsh[0] == 0
    assert harsh[-1] == (1 if held else 2)


def test_reading_under_the_floor_by_more_than_its_uncertainty_is_refused_with_what_tells() -> None:
    made = planned("sign")
    with pytest.raises(InputError, match="read --above too, to tell"):
        dry_fit(made, [Reading(kind="gap", value=1.27)], None)
    # with a second kind of reading it can be told: the plug's own floor is shallow
    depths = made.facts.depths
    above = reading_of("above", 0.17, made.job, depths)
    found = dry_fit(made, [Reading(kind="gap", value=1.27), Reading(kind="above", value=above)], None)
    assert not found.on_floor
    assert found.diagnosis.causes[0].code == "plug_clear"


@pytest.mark.parametrize("name", SHEETS)
def test_loose_walls_have_no_joint_line_to_tell(name: str) -> None:
    found = answered(name, 0.0)
    assert found is not None
    assert found.on_floor
    assert found.joint_line is None
    (row,) = [line for line in dryfit_text(found, planned(name)).splitlines() if "joint line" in line]
    assert row.split("joint line")[1].split() == "not told how loose the walls are nobody has read".split()


def test_what_a_part_still_held_would_allow_comes_before_anything_is_made_anew() -> None:
    found = answered("sign", 1.2)
    assert found is not None
    assert not found.held_told
    assert [(held, cut.part, cut.step) for held, cut in found.if_held] == [
        ("plug", "plug", "walls"), ("base", "base", "walls"),
    ]  # fmt: skip
    for held, cut in found.if_held:
        asked = answered("sign", 1.2, held)
        assert asked is not None
        assert asked.corrections[0] == cut
    words = " ".join(dryfit_text(found, planned("sign")).split())
    assert "--held is not given" in words
    assert words.index("--held plug: the plug, walls again: start depth") < words.index("1. A new plug")
    said = answered("sign", 1.2, "none")
    assert said is not None
    assert said.if_held == ()
    assert "--held is not given" not in dryfit_text(said, planned("sign"))


def test_headline_and_body_say_the_same_of_a_plug_at_its_nominal_seat() -> None:
    made = planned("sign")
    found = answered("sign", made.facts.depths.glue_gap)
    assert found is not None
    words = " ".join(dryfit_text(found, made).split())
    assert ", at its nominal seat How it sits" in words
    assert "sunk" not in words
    assert "lift worked out 0.00 at the nominal seat" in words
    answers = [answer for over in (0.0, 1.2) if (answer := answered("sign", over)) is not None]
    low, proud = (" ".join(dryfit_text(answer, made).split()) for answer in answers)
    assert "lift worked out 0.51 low, under the nominal seat" in low
    assert "lift worked out 0.69 proud, over the nominal seat" in proud
    assert "lift read" not in low


@pytest.mark.parametrize("over", [0.2, 0.21, 0.22, 0.24, 0.26, 0.3])
def test_new_plug_makes_up_for_no_more_than_the_pocket_is_to_blame_for(over: float) -> None:
    # a small excess may be either part's: a start moved by the whole of it would leave the next plug too low
    made = planned("ring")
    found = answered("ring", made.facts.depths.glue_gap + over)
    assert found is not None
    assert not found.as_expected
    assert [cut.start_depth for cut in found.corrections] == pytest.approx([made.facts.depths.start_depth])
    assert found.ruled_out == ()


def test_floor_that_nobody_measured_is_no_reason_to_call_the_pair_good() -> None:
    # a pocket typed in inches lifts the plug about as high as walls with their start left out
    found = answered("sign", 4.75)
    assert found is not None
    assert found.no_cut is not None
    assert found.no_cut.reason == "floor not read"
    assert not found.mends
    assert "ask again with --pocket" in " ".join(dryfit_text(found, planned("sign")).split())
    sure = answered("sign", 4.75, pocket=planned("sign").facts.depths.pocket_depth - 4.75)
    assert sure is not None
    assert sure.no_cut is not None
    assert sure.no_cut.reason == "floor, base not held"
    assert sure.mends


def test_plug_that_is_good_only_if_its_own_floor_is_off_is_not_called_good() -> None:
    # a total typed as the depth below the start has its own floor 5.5 too deep, and its plug may sit right
    found = answered("cross", 5.45)
    assert found is not None
    assert found.unproved
    assert found.no_cut is not None
    assert found.no_cut.reason == "own floor or seat"
    assert not found.mends
    words = " ".join(dryfit_text(found, planned("cross")).split())
    assert "How the plug sits cannot be told by this reading" in words
    assert "read --above first, and ask again with both" in words
