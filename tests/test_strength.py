"""Which strength a joint rests on: the weaker wood, given, published, estimated or assumed."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import job

from inlayfit.joint.strength import UNKNOWN_CRUSH, Strength, joint_strength
from inlayfit.joint.woods import Wood, find_wood
from inlayfit.report.wording import say


def strength(**changes: Any) -> Strength:
    return joint_strength(job({key.replace("__", "."): value for key, value in changes.items()}))


def wood(name: str) -> Wood:
    found = find_wood(name).wood
    assert found is not None
    return found


def test_weaker_of_the_two_woods_counts() -> None:
    one, other = wood("black walnut"), wood("sugar maple")
    assert one.crush.value is not None and other.crush.value is not None
    assert one.crush.value < other.crush.value
    for base, plug in (("black walnut", "sugar maple"), ("sugar maple", "black walnut")):
        found = strength(base__wood=base, plug__wood=plug)
        assert (found.across, found.along) == (one.crush.value, one.parallel.value)
        assert say(found.words, "mm") == "black walnut"
        assert found.assumed == ()


def test_given_strength_stands_in_for_the_table() -> None:
    found = strength(base__wood="black walnut", base__crush_strength=3.3, plug__wood="sugar maple")
    assert (found.across, found.along) == (3.3, None)
    assert "as given" in say(found.words, "mm")


def test_unnamed_and_unknown_woods_are_assumed_and_say_so() -> None:
    unnamed = strength()
    assert unnamed.across == UNKNOWN_CRUSH
    assert [entry.key for entry in unnamed.assumed] == ["base.crush_strength", "plug.crush_strength"]
    unknown = strength(base__wood="wulnut", plug__wood="sugar maple")
    (entry,) = unknown.assumed
    assert entry.key == "base.crush_strength"
    assert "'wulnut'" in entry.why


def test_several_woods_of_a_name_are_taken_at_their_weakest() -> None:
    weakest = min(wood(name).crush.value or 0.0 for name in find_wood("maple").names)
    found = strength(base__wood="maple", plug__wood="hickory, shagbark")
    assert found.across == weakest
    assert "may be" in found.assumed[0].why


def test_estimate_is_marked() -> None:
    assert wood("purpleheart").crush.estimated
    found = strength(base__wood="purpleheart", plug__wood="hickory, shagbark")
    assert found.across == pytest.approx(wood("purpleheart").crush.value)
    assert "estimate" in say(found.words, "mm") and "estimate" in found.assumed[0].why


def test_end_grain_is_uncertain_unless_a_strength_is_given() -> None:
    end = {"plug.wood": "sugar maple", "base.wood": "black walnut", "plug.grain.face": "end"}
    assert joint_strength(job(end)).end_grain
    assert not joint_strength(job({**end, "plug.crush_strength": 30.0})).end_grain
    assert not joint_strength(job({**end, "plug.grain.face": "long"})).end_grain
