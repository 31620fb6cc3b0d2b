"""A straight line through readings, and its uncertainties, against a published worked example.

Source: JCGM 100:2008 (GUM), annex H.3, calibration of a thermometer: corrections b at temperatures t, the line
b = y1 + y2 (t - 20), all readings alike. Read in the documentation of a metrology library that quotes the annex.
The annex takes the readings' own uncertainty from their scatter; the line here is given 1 for each, so that its
``scatter`` is the annex's residual standard deviation, and its uncertainties have to be multiplied by that.

Tolerances are half a unit of the last printed digit.
"""

from __future__ import annotations

import pytest

from inlayfit.joint.straight_line import straight_line

TEMPERATURES = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
CORRECTIONS = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)


def printed(value: float, digits: int) -> object:
    return pytest.approx(value, abs=0.5 * 10**-digits)


def test_calibration_of_a_thermometer() -> None:
    line = straight_line([t - 20 for t in TEMPERATURES], CORRECTIONS, [1.0] * 11)
    assert line.scatter is not None
    assert line.intercept == printed(-0.1712, 4)
    assert line.slope == printed(0.00218, 5)
    assert line.scatter == printed(0.0035, 4)
    assert line.scatter * line.intercept_u == printed(0.0029, 4)
    assert line.scatter * line.slope_u == printed(0.00067, 5)
    assert line.covariance / (line.intercept_u * line.slope_u) == printed(-0.930, 3)
    assert line.at(10) == printed(-0.1494, 4)  # at 30 degrees
    assert line.scatter * line.at_u(10) == printed(0.0041, 4)
