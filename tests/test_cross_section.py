"""The cut across a stroke, against its closed forms and against a cutter swept through the wood place by place."""

from __future__ import annotations

from itertools import product
from math import radians, tan

import numpy as np
import pytest
from jobs import job

from inlayfit.pictures.cross_section import CrossSection, cross_section
from inlayfit.plan import plan

F, G, U = 6.0, 0.5, 2.5
S, R = F - G, 0.05
T = tan(radians(15))


def cut(half_width: float, changes: dict[str, object] | None = None, lift: float = 0.0) -> CrossSection:
    return cross_section(plan(job(changes or {})).facts, half_width, lift=lift)


def test_wide_stroke_is_the_taper_joint() -> None:
    found = cut(5.0, lift=0.2)

    np.testing.assert_allclose(found.pocket, [(5.0, 0.0), (5.0 - F * T, F), (0.0, F)], atol=1e-9)
    foot = 5.0 + U * T
    np.testing.assert_allclose(found.plug, [(foot, -U - 0.2), (5.0 - S * T, S - 0.2), (0.0, S - 0.2)], atol=1e-9)
    assert found.full_depth
    assert found.opening(1.0) == pytest.approx(0.2 * T)
    assert found.plug_back == pytest.approx(S - 0.2 - 12.0)


def test_narrow_stroke_ends_in_the_v_that_the_tip_leaves() -> None:
    found = cut(0.8)

    deep = (0.8 - R) / T
    np.testing.assert_allclose(found.pocket, [(0.8, 0.0), (R, deep), (0.0, deep)], atol=1e-9)
    assert found.plug_face == pytest.approx(0.8 / T, abs=1e-6)
    assert not found.full_depth


def test_stroke_narrower_than_the_tip_is_not_cut() -> None:
    found = cut(0.8 * R)

    assert found.pocket == ((0.8 * R, 0.0), (0.0, 0.0))
    assert found.plug_face == pytest.approx(0.8 * R / T, abs=1e-6)


@pytest.mark.parametrize(
    ("angle", "tip", "lift"), list(product((29.0, 30.0, 31.5), (0.02, 0.1, 0.2), (-0.1, 0.0, 0.3)))
)
def test_opening_is_the_clearance_of_the_theory(angle: float, tip: float, lift: float) -> None:
    # c = 2 (r_a - r_n) + (D + D') (T_a - T_n) + lift T_a, with one pass each
    found = cut(
        5.0, {"bits.v.measured": {"angle": angle, "tip": tip}, "bits.v.depth_of_cut": 20.0, "bits.v.diameter": 12.0},
        lift,
    )  # fmt: skip

    real = tan(radians(angle / 2))
    clearance = 2 * (tip / 2 - R) + (F + U) * (real - T) + lift * real
    for depth in (0.0, 1.0, 5.0):
        assert found.opening(depth) == pytest.approx(clearance, abs=1e-6)


CUTTERS = {
    "point": {"bits.v.tip": 0.0},
    "blunt": {"bits.v.tip": 0.6, "bits.v.measured.angle": 33.0},
    "sharper than declared": {"bits.v.measured.angle": 27.0},
    "ball": {"bits.v": {"angle": 40.0, "ball": 0.4, "diameter": 8.0, "reach": 20.0, "depth_of_cut": 2.0,
                        "stepover": 0.1}},
    "short cone": {"bits.v.angle": 60.0},
}  # fmt: skip


@pytest.mark.parametrize("half_width", [5.0, 1.1, 0.45])
@pytest.mark.parametrize("cutter", CUTTERS)
def test_profiles_are_what_a_swept_cutter_leaves(cutter: str, half_width: float) -> None:
    # the duller way: the wood at (x, depth) is gone where a tip that ran there is wide enough at that height
    made = plan(job(CUTTERS[cutter]))
    found = cross_section(made.facts, half_width)
    bits = made.job.bits
    declared, real, most = bits.pocket_v.shape, bits.pocket_v.real, bits.pocket_v.diameter / 2
    heights = np.linspace(0, 20, 20001)
    width = np.minimum([real.half_width_at(height) for height in heights], most)

    def gone(x: float, depth: float, tips: list[tuple[float, float]]) -> bool:
        return any(
            tip >= depth and abs(x - at) <= np.interp(tip - depth, heights, width) for at, tip in tips
        )

    deepest = min(F, declared.depth_in(half_width))
    pocket_tips = [
        (half_width - declared.half_width_at(tip), tip)
        for tip in {min(entry.total_depth, deepest) for entry in made.facts.passes
                    if (entry.part, entry.step) == ("pocket", "walls")}
    ]  # fmt: skip
    plug_tips = [
        (half_width + declared.half_width_at(entry.depth_below_start), entry.total_depth)
        for entry in made.facts.passes
        if (entry.part, entry.step) == ("plug", "walls")
    ]
    for depth in np.linspace(0.01, 0.99, 23):
        at = depth * found.pocket_floor
        edge = found.pocket_at(at)
        assert gone(edge - 2e-3, at, pocket_tips) or edge < 2e-3
        assert not gone(edge + 2e-3, at, pocket_tips)
        height = found.plug[0][1] + depth * (found.plug_face - found.plug[0][1])
        edge = found.plug_at(height)
        # the plug lies face up when it is cut, its wall seen from outside
        assert not gone(edge - 2e-3, S - height, plug_tips) or edge < 2e-3
        assert gone(edge + 2e-3, S - height, plug_tips)
