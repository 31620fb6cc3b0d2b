"""Root-sum-square, worst case and drawn pairs' machinery against published worked examples.

Sources, each again at its test:

- JCGM 100:2008 (GUM): G.4.1 (from memory) and H.1, read in the documentation of a metrology library that quotes it
- EURACHEM/CITAC guide, third edition, example A1, read in the same way
- JCGM 101:2008 (Supplement 1): 9.2.2 and 9.2.3, read as above; 9.2.4 and 9.4 from memory
- NPL report DEM-ES-011, 9.2, read as above
- NIST Technical Note 1900, example E3, read as above
- textbook stacks of parts in a row: tutorials that print the figures

A function's root-sum-square is given standard uncertainties here as the numbers' moves; the program gives it worst
cases. Tolerances are half a unit of the last printed digit; drawn results have three standard errors of 400,000 draws
on top. Left out: the first-order uncertainty that TN 1900 prints beside E3 (1.11, which is the drawn one).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np
import pytest

from inlayfit.joint.error_sources import Source
from inlayfit.joint.spread import Spread
from inlayfit.tolerance.budget import changes, root_sum_square, worst_case
from inlayfit.tolerance.draws import drawn

COUNT = 400_000


def uncertainty(
    function: Callable[[Mapping[str, float]], float], at: Mapping[str, float], u: Mapping[str, float]
) -> float:
    def named(values: Mapping[str, float]) -> dict[str, float]:
        return {"y": function(values)}

    moves = changes(named, at, {name: (-value, value) for name, value in u.items()})["y"]
    low, high = root_sum_square(0.0, moves)
    return (high - low) / 2


def printed(value: float, digits: int, *, more: float = 0.0) -> object:
    return pytest.approx(value, abs=0.5 * 10**-digits + more)


# --- root-sum-square and worst case ---------------------------------------------------------------------------------


def test_gum_product_of_three() -> None:
    # G.4.1: 0.25 %, 0.57 %, 0.82 % give 1.03 %
    at = {"a": 1.0, "b": 1.0, "c": 1.0}
    found = uncertainty(lambda v: v["a"] * v["b"] * v["c"], at, {"a": 0.0025, "b": 0.0057, "c": 0.0082})
    assert 100 * found == printed(1.03, 2)


def test_gum_end_gauge() -> None:
    # H.1, in nm: l = ls + d - ls (da theta + as dtheta)
    at = {
        "ls": 50_000_623.0, "d": 215.0, "random": 0.0, "systematic": 0.0, "as": 11.5e-6, "da": 0.0, "dtheta": 0.0,
        "theta": -0.1, "cyclic": 0.0,
    }  # fmt: skip
    u = {
        "ls": 25.0, "d": 5.8, "random": 3.9, "systematic": 6.7, "as": 2e-6 / math.sqrt(3), "da": 1e-6 / math.sqrt(3),
        "dtheta": 0.05 / math.sqrt(3), "theta": 0.2, "cyclic": 0.5 / math.sqrt(2),
    }  # fmt: skip

    def length(v: Mapping[str, float]) -> float:
        difference = v["d"] + v["random"] + v["systematic"]
        return v["ls"] + difference - v["ls"] * (v["da"] * (v["theta"] + v["cyclic"]) + v["as"] * v["dtheta"])

    assert length(at) == printed(50_000_838, 0)
    assert uncertainty(length, at, u) == printed(32, 0)
    for names, component in ((("ls",), 25), (("d", "random", "systematic"), 9.7), (("da",), 2.9), (("dtheta",), 16.6)):
        assert uncertainty(length, at, {name: u[name] for name in names}) == printed(component, 1)


def test_eurachem_standard_solution() -> None:
    # A1: c = 1000 m P / V with V off in three ways; u = 0.835199 before the guide rounds
    at = {"m": 100.28, "P": 0.9999, "V": 100.0, "filling": 0.0, "warmth": 0.0}
    u = {
        "m": 0.05, "P": 0.0001 / math.sqrt(3), "V": 0.1 / math.sqrt(6), "filling": 0.02,
        "warmth": 0.084 / math.sqrt(3),
    }  # fmt: skip
    found = uncertainty(lambda v: 1000 * v["m"] * v["P"] / (v["V"] + v["filling"] + v["warmth"]), at, u)
    assert 1000 * at["m"] * at["P"] / at["V"] == printed(1002.7, 1)
    # finite moves differ from the guide's derivatives by the third order
    assert found == printed(0.835199, 6, more=1e-6)


@pytest.mark.parametrize(
    ("parts", "worst", "likely", "digits"), [((0.1,) * 10, 1.0, 0.316, 3), ((0.20, 0.10, 0.15), 0.45, 0.27, 2)]
)
def test_textbook_stacks(parts: tuple[float, ...], worst: float, likely: float, digits: int) -> None:
    at = {str(number): 10.0 for number in range(len(parts))}
    bounds = {str(number): (-part, part) for number, part in enumerate(parts)}

    def total(values: Mapping[str, float]) -> dict[str, float]:
        return {"y": sum(values.values())}

    low, high = worst_case(total, at, bounds)["y"]
    assert (10 * len(parts) - low, high - 10 * len(parts)) == pytest.approx((worst, worst))
    assert uncertainty(lambda v: sum(v.values()), at, {str(n): part for n, part in enumerate(parts)}) == printed(
        likely, digits
    )


def test_even_spread_has_the_guides_standard_deviation() -> None:
    # JCGM 100:2008, 4.3.7: a / sqrt(3)
    assert Spread(value=0.5).standard == pytest.approx(0.5 / math.sqrt(3))


# --- drawn ----------------------------------------------------------------------------------------------------------


def draw(*spreads: Spread) -> list[np.ndarray]:
    rng = np.random.default_rng(17)
    return [drawn(Source(name="pocket_v", spread=spread), COUNT, rng) for spread in spreads]


def even(standard: float) -> Spread:
    return Spread(value=standard * math.sqrt(3))


def normal(standard: float) -> Spread:
    return Spread(kind="sd", value=standard)


@pytest.mark.parametrize(
    ("spreads", "u", "end", "digits"),
    [
        ((normal(1),) * 4, 2.0, 3.92, (1, 2)),  # 9.2.2, table 2
        ((even(1),) * 4, 2.0, 3.88, (1, 2)),  # 9.2.3, table 3
        ((even(1),) * 3 + (even(10),), 10.1, 17.0, (1, 1)),  # 9.2.4
    ],
)
def test_sums_of_supplement_1(spreads: tuple[Spread, ...], u: float, end: float, digits: tuple[int, int]) -> None:
    total = sum(draw(*spreads))
    assert np.std(total) == printed(u, digits[0])
    low, high = np.quantile(total, [0.025, 0.975])
    assert (-low, high) == (printed(end, digits[1], more=0.02), printed(end, digits[1], more=0.02))


@pytest.mark.parametrize(
    ("x", "mean", "u", "ends"),
    [(0.0, 50, 50, (0, 150)), (0.010, 150, 112, (0, 367)), (0.050, 2550, 502, (1590, 3543))],
)
def test_comparison_loss_of_supplement_1(x: float, mean: float, u: float, ends: tuple[float, float]) -> None:
    # 9.4: Y = X1^2 + X2^2, u = 0.005 each, in 1e-6; the printed ends are those of the shortest interval
    one, two = draw(normal(0.005), normal(0.005))
    loss = 1e6 * ((x + one) ** 2 + two**2)
    assert loss.mean() == printed(mean, 0, more=3 * loss.std() / math.sqrt(COUNT))
    assert loss.std() == printed(u, 0, more=0.01 * u)
    ordered = np.sort(loss)
    inside = round(0.95 * COUNT)
    start = int((ordered[inside:] - ordered[:-inside]).argmin())
    assert ordered[start] == pytest.approx(ends[0], abs=0.01 * u + 15)
    assert ordered[start + inside] == pytest.approx(ends[1], abs=0.02 * u + 2)


def test_logarithm_of_an_even_spread() -> None:
    # NPL DEM-ES-011, 9.2: x even from 0.1 to 1.1
    (x,) = draw(Spread(value=0.5))
    y = np.log(0.6 + x)
    assert y.mean() == printed(-0.665, 3, more=0.003)
    assert y.std() == printed(0.606, 3, more=0.003)
    assert y.mean() == pytest.approx(1.1 * math.log(1.1) - 0.1 * math.log(0.1) - 1, abs=0.003)


def test_viscometer() -> None:
    # NIST TN 1900, E3: mu = muc tm (rb - rm) / (tc (rb - rc))
    mean = (4.63, 61.0, 2217.0, 1180.0, 36.6, 810.0)
    muc, tm, rb, rm, tc, rc = (
        value + off for value, off in zip(mean, draw(*(normal(u) for u in (0.0463, 6.1, 0.5, 0.5, 5.49, 0.5))))
    )
    mu = muc * tm * (rb - rm) / (tc * (rb - rc))
    assert mu.mean() == printed(5.82, 2, more=0.006)
    assert mu.std() == printed(1.11, 2, more=0.01)
    assert np.quantile(mu, [0.025, 0.975]) == pytest.approx([4.05, 8.39], abs=0.02)
