"""Unit factors as publications print them.

Sources: drawing-exchange reference pages (39.37007874 in and 3.280839895 ft in a metre; 70 in = 1.778 m; 7 ft =
2.1336 m); Machinery's Handbook, 31st ed., p. 89 (29.25 cubic inches = 479.32162 cm3); Wood Handbook (FPL-GTR-113)
chapter 9, clamping pressures of 100 and 247 lb/in2 beside 700 and 1,700 kPa, from memory and fairly sure, hence
compared as the handbook rounds them. Left out: its board of '232 mm (9.15 in)', two round figures and not a conversion.
"""

from __future__ import annotations

import pytest

from inlayfit.quantity import read_length, read_pressure


def test_inches_and_feet_in_a_metre() -> None:
    assert 1000 / read_length("1 in", None) == pytest.approx(39.37007874, abs=5e-9)
    assert 1000 / read_length("1 ft", None) == pytest.approx(3.280839895, abs=5e-10)
    assert read_length("70 in", None) == pytest.approx(1778, abs=0.5)
    assert read_length("7 ft", None) == pytest.approx(2133.6, abs=0.05)


def test_cubic_inches() -> None:
    assert 29.25 * read_length("1 in", None) ** 3 / 1000 == pytest.approx(479.32162, abs=5e-6)


@pytest.mark.parametrize(("psi", "kpa"), [(100, 700), (247, 1700)])
def test_clamping_pressures(psi: int, kpa: int) -> None:
    assert read_pressure(f"{psi} psi") * 1000 == pytest.approx(kpa, abs=50)
