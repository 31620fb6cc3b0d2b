"""Moisture and movement of wood against printed tables and worked examples.

Sources: Forest Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010). Table 4-2, equilibrium moisture content
(rows from memory, fifteen cells seen in a copy); Table 13-5 and the worked example of pages 13-15 to 13-17 (a
flat-grained white fir board; final lines read in the handbook's own page). The equation differs from the printed
table by up to 0.065, where the table is cut off rather than rounded. A magazine chart that quotes the method: red
alder.
"""

import pytest

from inlayfit.errors import InputError
from inlayfit.joint.job import Air
from inlayfit.joint.woods import coefficient_from_shrinkage
from inlayfit.shop.moisture import (
    change_by_coefficient,
    change_by_shrinkage,
    dimensional_change,
    equilibrium_humidity,
    equilibrium_moisture,
    moisture_in,
    shrinkage_from_coefficient,
)

# deg F: moisture content in % at 5, 10, ... 95 % relative humidity
TABLE = {
    30: "1.4 2.6 3.7 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.4 11.3 12.4 13.5 14.9 16.5 18.5 21.0 24.3",
    40: "1.4 2.6 3.7 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.4 11.3 12.3 13.5 14.9 16.5 18.5 21.0 24.3",
    50: "1.4 2.6 3.6 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.3 11.2 12.3 13.4 14.8 16.4 18.4 20.9 24.3",
    60: "1.3 2.5 3.6 4.6 5.4 6.2 7.0 7.8 8.6 9.4 10.2 11.1 12.1 13.3 14.6 16.2 18.2 20.7 24.1",
    70: "1.3 2.5 3.5 4.5 5.4 6.2 6.9 7.7 8.5 9.2 10.1 11.0 12.0 13.1 14.4 16.0 17.9 20.5 23.9",
    80: "1.3 2.4 3.5 4.4 5.3 6.1 6.8 7.6 8.3 9.1 9.9 10.8 11.7 12.9 14.2 15.7 17.7 20.2 23.6",
    90: "1.2 2.3 3.4 4.3 5.1 5.9 6.7 7.4 8.1 8.9 9.7 10.5 11.5 12.6 13.9 15.4 17.3 19.8 23.3",
    100: "1.2 2.3 3.3 4.2 5.0 5.8 6.5 7.2 7.9 8.7 9.5 10.3 11.2 12.3 13.6 15.1 17.0 19.5 22.9",
}
CELLS = [
    (fahrenheit, 0.05 * column, float(cell))
    for fahrenheit, row in TABLE.items()
    for column, cell in enumerate(row.split(), start=1)
] + [(140, 0.5, 7.7), (180, 0.65, 8.6)]


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize(("fahrenheit", "humidity", "printed"), CELLS)
def test_equilibrium_moisture_is_the_printed_table(fahrenheit, humidity, printed):
    assert equilibrium_moisture(celsius(fahrenheit), humidity) == pytest.approx(printed, abs=0.065)


@pytest.mark.parametrize(("fahrenheit", "humidity", "printed"), [cell for cell in CELLS if cell[0] in (30, 50, 70, 90)])
def test_humidity_from_a_printed_cell_is_its_column(fahrenheit, humidity, printed):
    assert equilibrium_humidity(celsius(fahrenheit), printed) == pytest.approx(humidity, abs=0.0035)


def test_the_equation_in_degrees_fahrenheit_gives_the_same():
    """The other published set of constants, written out."""
    for f in range(30, 181, 10):
        for percent in range(5, 96, 5):
            h = percent / 100
            w = 330 + 0.452 * f + 0.00415 * f**2
            k = 0.791 + 0.000463 * f - 0.000000844 * f**2
            k1 = 6.34 + 0.000775 * f - 0.0000935 * f**2
            k2 = 1.09 + 0.0284 * f - 0.0000904 * f**2
            kh = k * h
            expected = 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))
            assert equilibrium_moisture(celsius(f), h) == pytest.approx(expected, abs=0.02)


def test_moisture_grows_with_humidity_and_the_inverse_returns_it():
    for temperature in (0, 20, 35, 60):
        steps = [equilibrium_moisture(temperature, h / 50) for h in range(51)]
        assert steps == sorted(steps)
        assert steps[0] == 0
        for h in range(51):
            assert equilibrium_humidity(temperature, steps[h]) == pytest.approx(h / 50, abs=1e-9)


@pytest.mark.parametrize(("temperature", "humidity"), [(-20, 0.5), (120, 0.5), (20, -0.1), (20, 1.1), (20, 40)])
def test_air_outside_the_equation_is_refused(temperature, humidity):
    with pytest.raises(InputError, match=r"found .* expected"):
        equilibrium_moisture(temperature, humidity)


def test_no_air_keeps_wood_wetter_than_full_humidity():
    with pytest.raises(InputError, match="moisture content of 60 %"):
        equilibrium_humidity(20, 60)


def test_worked_example_white_fir():
    """232 mm (9.15 in) wide at 8 %, going to 11 %, C_T = 0.00245: printed 1.7 and 233.7 mm, 0.067 and 9.217 in."""
    change = change_by_coefficient(232, 0.00245, 8, 11)

    assert change == pytest.approx(1.705, abs=0.0005)
    assert change == pytest.approx(1.7, abs=0.05)
    assert 232 + change == pytest.approx(233.7, abs=0.05)
    assert change_by_coefficient(9.15, 0.00245, 8, 11) == pytest.approx(0.067, abs=0.0005)
    assert 9.15 + change_by_coefficient(9.15, 0.00245, 8, 11) == pytest.approx(9.217, abs=0.0005)


def test_both_equations_agree_within_half_a_percent_on_the_worked_example():
    """Shrinkage of white fir is printed as 7.0 %."""
    assert change_by_shrinkage(232, 7.0, 8, 11) == pytest.approx(1.712, abs=0.0005)
    assert change_by_shrinkage(232, 7.0, 8, 11) == pytest.approx(change_by_coefficient(232, 0.00245, 8, 11), rel=0.005)


def test_red_alder_of_the_chart():
    """8 in flatsawn, 6 % change, C = 0.0026: printed 0.1248 in."""
    assert change_by_coefficient(8, 0.0026, 6, 12) == pytest.approx(0.1248, abs=0.00005)


def test_green_to_ovendry_is_the_shrinkage_itself():
    assert change_by_shrinkage(100, 9.9, 30, 0) == pytest.approx(-9.9)
    assert change_by_shrinkage(100, 9.9, 45, 0) == pytest.approx(-9.9)
    assert change_by_shrinkage(100, 9.9, 45, 35) == 0


def test_shrinkage_there_and_back_returns_the_size():
    dry = 100 + change_by_shrinkage(100, 9.9, 14, 5)

    assert dry + change_by_shrinkage(dry, 9.9, 5, 14) == pytest.approx(100)


@pytest.mark.parametrize("shrinkage", [2.1, 4.8, 7.8, 9.9, 11.9])
def test_shrinkage_and_coefficient_are_inverse(shrinkage):
    assert shrinkage_from_coefficient(coefficient_from_shrinkage(shrinkage)) == pytest.approx(shrinkage)


def test_the_coefficient_is_refused_outside_its_range_and_shrinkage_takes_over():
    with pytest.raises(InputError, match="expected 6 to 14 %"):
        change_by_coefficient(100, 0.00274, 5, 9)
    assert dimensional_change(100, 0.00274, 5, 9) == pytest.approx(change_by_shrinkage(100, 7.8, 5, 9), rel=0.001)
    assert dimensional_change(100, 0.00274, 6, 9) == pytest.approx(100 * 0.00274 * 3)
    with pytest.raises(InputError, match="shrinkage of 0 %"):
        change_by_shrinkage(100, 0, 5, 9)


def test_moisture_given_stands_before_the_air():
    assert moisture_in(Air(moisture=8.0, temperature=20, humidity=0.5)) == 8.0
    assert moisture_in(Air(temperature=20, humidity=0.5)) == equilibrium_moisture(20, 0.5)
    for air in (Air(), Air(temperature=20), Air(humidity=0.5)):
        with pytest.raises(InputError, match="temperature and humidity together"):
            moisture_in(air)
