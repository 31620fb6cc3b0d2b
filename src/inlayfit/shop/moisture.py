"""Moisture of wood: what it comes to in the air of a room, and how much a dimension changes with it.

Source: Forest Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010), chapters 4 and 13. Moisture contents are in
percent of the ovendry mass, temperatures in degrees Celsius, relative humidities fractions of 1.
"""

from __future__ import annotations

from typing import Final

from inlayfit.errors import InputError
from inlayfit.joint.job import Air

TEMPERATURES: Final = (-1.2, 100.0)
"""Air temperatures that the equation is used for; its table begins at 30 deg F."""
COEFFICIENT_RANGE: Final = (6.0, 14.0)
"""Moisture contents between which a coefficient of dimensional change holds."""
FIBRE_SATURATION: Final = 30.0
"""Wetter than this, wood neither swells nor shrinks."""


def moisture_in(air: Air) -> float:
    """Moisture content in % that wood has, or comes to, in ``air``.

    A moisture content given stands before the air's. Raises :class:`InputError` where neither is complete.
    """
    if air.moisture is not None:
        return air.moisture
    if air.temperature is None or air.humidity is None:
        found = "no humidity" if air.humidity is None else "no temperature"
        raise InputError(f"found {found}, expected moisture, or temperature and humidity together")
    return equilibrium_moisture(air.temperature, air.humidity)


def equilibrium_moisture(temperature: float, humidity: float) -> float:
    """Moisture content in % that wood comes to in still air (Wood Handbook Eq. 4-5).

    ``temperature`` -1 to 100 deg C, ``humidity`` 0 to 1; raises :class:`InputError` outside. The printed Table 4-2
    agrees within 0.065.

    >>> round(equilibrium_moisture(21.1, 0.5), 1)
    9.2
    """
    low, high = TEMPERATURES
    if not low <= temperature <= high:
        raise InputError(
            f"found air at {temperature:.4g} C, expected {low:.0f} to {high:.0f} C (give the wood's moisture instead)"
        )
    if not 0 <= humidity <= 1:
        raise InputError(f"found a relative humidity of {100 * humidity:.4g} %, expected 0 to 100 %")
    t, h = temperature, humidity
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    layers = k1 * kh + k1 * k2 * kh**2
    return 1800 / w * (kh / (1 - kh) + (layers + k1 * k2 * kh**2) / (1 + layers))


def equilibrium_humidity(temperature: float, moisture: float) -> float:
    """Relative humidity, 0 to 1, in which wood keeps a moisture content in %: inverse of the equation above.

    Raises :class:`InputError` where no air does, that is above the moisture content at full humidity.
    """
    most = equilibrium_moisture(temperature, 1.0)
    if not 0 <= moisture <= most:
        raise InputError(
            f"found a moisture content of {moisture:.4g} %, expected 0 to {most:.1f} % at {temperature:.4g} C"
        )
    low, high = 0.0, 1.0
    # moisture only grows with humidity; 50 halvings leave nothing of the interval
    for _ in range(50):
        middle = (low + high) / 2
        if equilibrium_moisture(temperature, middle) < moisture:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def change_by_coefficient(size: float, coefficient: float, before: float, after: float) -> float:
    """Change of a dimension, in the unit of ``size``, by the coefficient (Eq. 13-2): D C (M2 - M1).

    ``size`` is that before, ``before`` and ``after`` moisture contents within 6 to 14 %; raises :class:`InputError`
    outside. Swelling is positive.
    """
    low, high = COEFFICIENT_RANGE
    for moisture in (before, after):
        if not low <= moisture <= high:
            raise InputError(f"found a moisture content of {moisture:.4g} %, expected {low:g} to {high:g} %")
    return size * coefficient * (after - before)


def change_by_shrinkage(size: float, shrinkage: float, before: float, after: float) -> float:
    """Change of a dimension by the shrinkage in % from green to ovendry (Eq. 13-3, from memory).

    D (M2 - M1) / (30 x 100 / S - 30 + M1), for moisture contents of 0 to 30 %; wetter counts as 30 %. Raises
    :class:`InputError` for a shrinkage that is not above 0.
    """
    if shrinkage <= 0:
        raise InputError(f"found a shrinkage of {shrinkage:.4g} %, expected more than 0")
    first, last = min(before, FIBRE_SATURATION), min(after, FIBRE_SATURATION)
    return size * (last - first) / (FIBRE_SATURATION * 100 / shrinkage - FIBRE_SATURATION + first)


def shrinkage_from_coefficient(coefficient: float) -> float:
    """Shrinkage in % that belongs to a coefficient: S = 3000 C / (1 + 20 C), the inverse of C = S / (3000 - 20 S)."""
    return 3000 * coefficient / (1 + 20 * coefficient)


def dimensional_change(size: float, coefficient: float, before: float, after: float) -> float:
    """Change of a dimension: by the coefficient within 6 to 14 %, by the shrinkage that belongs to it outside."""
    low, high = COEFFICIENT_RANGE
    if low <= min(before, after) and max(before, after) <= high:
        return change_by_coefficient(size, coefficient, before, after)
    return change_by_shrinkage(size, shrinkage_from_coefficient(coefficient), before, after)
