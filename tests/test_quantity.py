"""Quantities as a shop writes them.

Facts used, from memory and sure: an inch is 25.4 mm and a pound 0.45359237 kg, both exact (international yard
and pound agreement, 1959); standard gravity is 9.80665 m/s2 (3rd General Conference on Weights and Measures,
1901). So a pound-force is 4.4482216152605 N, and a psi 6.894757 kPa as NIST Special Publication 811, appendix
B, prints it.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inlayfit.errors import InputError
from inlayfit.quantity import (
    MM_PER_INCH,
    MPA_PER_PSI,
    NEWTON_PER_LBF,
    is_share,
    length_text,
    read_angle,
    read_feed,
    read_force,
    read_length,
    read_number,
    read_pressure,
    read_share,
    read_slope,
    read_temperature,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("6 mm", 6),
        ("6mm", 6),
        ("0.6cm", 6),
        ("0.006 m", 6),
        ("150 um", 0.15),
        ("150 µm", 0.15),
        ("3/16 in", 4.7625),
        ("1 1/2 in", 38.1),
        ('1-1/2"', 38.1),
        ('1/4"', 6.35),
        ("1/4 ″", 6.35),
        ("¼ in", 6.35),
        ("1½ inches", 38.1),
        ("3 inch", 76.2),
        ("5 thou", 0.127),
        ("1 ft", 304.8),
        ("1/4 IN", 6.35),
        ("6 MM", 6),
        ("6\u00a0mm", 6),
        ("  6   mm ", 6),
        ("-2 mm", -2),
        ("+2 mm", 2),
        ("- 1 1/2 in", -38.1),
        ("1e-1 mm", 0.1),
        ("1. mm", 1),
        (".5 mm", 0.5),
    ],
)
def test_length_with_its_unit_is_the_same_in_every_sheet(text, mm):
    assert read_length(text, "in") == read_length(text, "mm") == read_length(text, None) == mm


@pytest.mark.parametrize(
    ("text", "number"), [("0.25", 0.25), ("1/4", 0.25), ("1 1/4", 1.25), ("2", 2), ("1e-3", 0.001)]
)
def test_bare_length_is_in_the_sheets_unit(text, number):
    assert read_length(text, "mm") == number
    assert read_length(text, "in") == pytest.approx(number * 25.4, rel=1e-15)


def test_inch_fractions_come_out_as_the_nearest_float():
    for n in range(1, 65):
        # n/64 in is exactly n * 0.396875 mm, with few enough digits for decimal text to name it
        assert read_length(f"{n}/64 in", None) == float(f"{n * 396875}e-6")


def test_bare_zero_needs_no_unit_but_other_numbers_do():
    assert read_length("0", None) == 0
    with pytest.raises(InputError, match=r"found '3', expected a length with its unit"):
        read_length("3", None)


BAD_NUMBERS = {
    "": "found nothing",
    "  ": "found nothing",
    "1,5": "decimal comma",
    "1 1,5": "decimal comma",
    "010": "spare 0",
    "00.5": "spare 0",
    "-01": "spare 0",
    "1:30": "colons",
    "1_000": "without _",
    ".nan": "not a finite",
    "NaN": "not a finite",
    "inf": "not a finite",
    "-.inf": "not a finite",
    "1/0": "over 0",
    "1e999": "out of all bounds",
    "1e10": "out of all bounds",
    "yes": "found 'yes'",
    "true": "found 'true'",
    "null": "found 'null'",
    "0x10": "found '0x10'",
    "1 2": "found '1 2'",
    "1/2/3": "found '1/2/3'",
    "1.2.3": "found '1.2.3'",
    "1/2 1/2": "found '1/2 1/2'",
    "1/-2": "found '1/-2'",
    "--1": "found '--1'",
    "3 apples": "found '3 apples'",
    "\u0663": "found '\u0663'",  # a digit, but not one that a shop types
    "9" * 100: "100 characters",
}


@pytest.mark.parametrize("text", BAD_NUMBERS)
def test_no_reader_takes_what_is_no_number(text):
    for read in (
        read_number,
        lambda text: read_length(text, "mm"),
        read_angle,
        lambda text: read_feed(text, "mm"),
    ):
        with pytest.raises(InputError) as caught:
            read(text)
        assert BAD_NUMBERS[text] in caught.value.problem
        assert ", expected a" in caught.value.problem


@pytest.mark.parametrize("text", ["6 miles", "6 in.", "6 mm mm", "6 %", "6 deg", "6 mm/min", "1500/min"])
def test_unknown_length_unit_is_named(text):
    with pytest.raises(InputError, match=r"no unit '.+'\), expected a length .*units are mm, cm, m, in, ft and thou"):
        read_length(text, "mm")


def test_a_number_takes_no_unit():
    assert read_number("3/4") == 0.75
    with pytest.raises(InputError, match="found '3 mm', expected a number"):
        read_number("3 mm")


@pytest.mark.parametrize(
    ("text", "degrees"), [("30", 30), ("30 deg", 30), ("30°", 30), ("29.6 degrees", 29.6), ("1 Deg", 1)]
)
def test_angle(text, degrees):
    assert read_angle(text) == degrees


@pytest.mark.parametrize("text", ["30 rad", "30 %", "30 mm"])
def test_angle_in_something_else(text):
    with pytest.raises(InputError, match="expected an angle in degrees"):
        read_angle(text)


def test_share():
    assert read_share("2 %") == read_share("2%") == 0.02
    assert is_share("2 % ")
    assert not is_share("2 mm")
    with pytest.raises(InputError, match=r"the % is missing\), expected a share such as 2 %"):
        read_share("0.02")


def test_force():
    assert read_force("100 N") == 100
    assert read_force("1 kn") == 1000
    assert read_force("1 lbf") == NEWTON_PER_LBF
    with pytest.raises(InputError, match="write lbf, the force"):
        read_force("25lb")
    assert round(NEWTON_PER_LBF, 13) == 4.4482216152605
    with pytest.raises(InputError, match="the unit is missing"):
        read_force("100")


def test_pressure():
    assert read_pressure("0.7 MPa") == 0.7
    assert read_pressure("700 kPa") == pytest.approx(0.7, rel=1e-15)
    assert read_pressure("1 psi") == MPA_PER_PSI == 0.45359237 * 9.80665 / 25.4**2
    # kPa for a psi, to the digits printed
    assert round(MPA_PER_PSI * 1000, 6) == 6.894757
    # MPa for clamping pressures in psi, to the three digits common in gluing tables
    for psi, mpa in ((100, 0.689), (150, 1.034), (175, 1.207), (250, 1.724)):
        assert round(read_pressure(f"{psi} psi"), 3) == mpa
    for text in ("100", "7 bar"):
        with pytest.raises(InputError, match="expected a pressure with its unit"):
            read_pressure(text)


def test_temperature():
    assert read_temperature("21 C") == read_temperature("21 °C") == read_temperature("21°C") == 21
    assert read_temperature("32 F") == 0
    assert read_temperature("212 F") == 100
    assert read_temperature("-40 F") == read_temperature("-40 C") == -40
    for text in ("21", "300 K"):
        with pytest.raises(InputError, match="expected a temperature with its unit"):
            read_temperature(text)


def test_feed():
    assert read_feed("1500 mm/min", "in") == 1500
    assert read_feed("60 in/min", "mm") == 60 * MM_PER_INCH
    assert read_feed("60 in / minute", "mm") == 60 * MM_PER_INCH
    assert read_feed("1.5 m/min", "mm") == 1500
    assert read_feed("60", "in") == read_feed("60/min", "in") == 60 * MM_PER_INCH
    with pytest.raises(InputError, match=r"the unit is missing\), expected a feed such as"):
        read_feed("60", None)
    with pytest.raises(InputError, match=r"no unit 'knots'\), expected a feed such as"):
        read_feed("5 knots", "mm")


def test_slope():
    assert read_slope("0.1 mm in 300 mm", "in") == 0.1 / 300
    assert read_slope("0.1 in 300", "mm") == 0.1 / 300
    assert read_slope("5 thou in 1 ft", "mm") == pytest.approx(0.005 / 12, rel=1e-15)
    assert read_slope("0.01 in in 12 in", "mm") == pytest.approx(0.01 / 12, rel=1e-15)
    for text in ("0.02 in 12 in", "0.02 in in 12", "0.1 mm in 300"):
        with pytest.raises(InputError, match="one length has a unit, the other has none"):
            read_slope(text, "in")
    for text in ("0.1", "0.1 mm in 0 mm", "0.1 mm per 300 mm", "1 in " * 100):
        with pytest.raises(InputError, match="expected one length in another"):
            read_slope(text, "mm")


def test_length_text():
    assert length_text(6.35, "in") == "0.250 in"
    assert length_text(6.35, "mm") == "6.35 mm"
    assert length_text(-0.001, "mm") == "0.00 mm"
    assert length_text(-1, "mm", with_unit=False) == "-1.00"


@given(st.floats(-500, 500), st.sampled_from(["mm", "in"]))
def test_what_is_written_is_read_back_to_its_last_digit(mm, unit):
    step = 0.01 if unit == "mm" else 0.001 * MM_PER_INCH
    assert read_length(length_text(mm, unit), None) == pytest.approx(mm, abs=step / 2 + 1e-9)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text):
    for read in (
        read_number, read_angle, read_share, read_force, read_pressure, read_temperature,
        lambda text: read_length(text, "in"), lambda text: read_feed(text, "mm"),
        lambda text: read_slope(text, "mm"),
    ):  # fmt: skip
        try:
            value = read(text)
        except InputError as error:
            problem, value = error.problem, 0.0
        else:
            problem = ""
        assert (", expected " in problem) if problem else abs(value) < 1e15


@pytest.mark.parametrize("text", ["½4", "½ 4 in", "1½4 mm", "¼3"])
def test_a_digit_behind_a_fraction_is_no_fraction(text):
    with pytest.raises(InputError, match="a fraction comes after the whole number"):
        read_length(text, "in")


def test_a_lone_capital_is_no_unit():
    with pytest.raises(InputError, match="no unit 'M'"):
        read_length("5 M", "mm")
    assert read_length("5 MM", "in") == 5
    assert read_length("0.5 m", "in") == 500
