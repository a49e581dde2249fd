"""Humid air and the surfaces it meets: saturation, dew point, humidity, condensation.

PsychroLib holds the psychrometrics (ASHRAE Handbook of Fundamentals 2017, chapter 1, equations 5 and 6 after
Hyland and Wexler).  It works on one float at a time, so for arrays its saturation curve is tabulated once,
every 0.01 K, and interpolated in straight lines: within 1e-6 relative of PsychroLib (pressure) and 1e-5 K
(dew point), which the tests measure.

Valid for -50 to 100 °C; every function raises OutsideValidity beyond its range.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import psychrolib

from advisor.physics.bounds import monotone_in
from advisor.physics.units import ATMOSPHERE, ZERO_CELSIUS
from advisor.physics.validity import Number, within

if TYPE_CHECKING:
    from advisor.physics.validity import Array

COLDEST_C, HOTTEST_C = -50.0, 100.0
DRIEST_PERCENT = 1.0  # perfectly dry air has no dew point
WATER_TO_DRY_AIR = 0.621945  # ratio of molar masses, ASHRAE Handbook of Fundamentals 2017, chapter 1
GAS_CONSTANT_VAPOUR = 461.52  # J/(kg K)

# The table reaches lower than the air: dry cold air has a dew point far below it.
_TABLE_START_C, _STEPS_PER_K = -100.0, 100.0


_KNOTS = int((HOTTEST_C - _TABLE_START_C) * _STEPS_PER_K) + 1
_TRIPLE_POINT_C = 0.01
# ln of the pressure [Pa] over the temperature [K]: 1/T, 1, T, T2, T3, T4, ln T; equations 5 (ice) and 6 (water).
_OVER_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_OVER_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


@cache
def _saturation_table() -> tuple[Array, Array]:
    """Temperatures [°C] every 0.01 K, so that the kink at the triple point is a knot, and pressures [Pa].

    The tests hold every knot to PsychroLib, which would take twenty times as long.
    """
    import numpy as np

    temps = _TABLE_START_C + np.arange(_KNOTS) / _STEPS_PER_K
    kelvin = temps + ZERO_CELSIUS
    icy = temps <= _TRIPLE_POINT_C
    over, one, t, t2, t3, t4, log = (
        np.where(icy, ice, water) for ice, water in zip(_OVER_ICE, _OVER_WATER, strict=True)
    )
    polynomial = one + kelvin * (t + kelvin * (t2 + kelvin * (t3 + kelvin * t4)))
    return temps, np.exp(over / kelvin + polynomial + log * np.log(kelvin))


@monotone_in("temp_c")
def saturation_pressure(temp_c: Number) -> Number:
    """Vapour pressure of saturated air [Pa] over water (over ice below 0.01 °C).

    Valid: -50 to 100 °C.  Checked against: tests/tables/saturation_pressure.csv, and CoolProp.

    >>> round(saturation_pressure(20.0), 1)
    2338.8
    """
    temp = within("temperature", temp_c, COLDEST_C, HOTTEST_C, "°C")
    if isinstance(temp, float):
        psychrolib.SetUnitSystem(psychrolib.SI)  # a global of the library that others may have changed
        return float(psychrolib.GetSatVapPres(temp))
    import numpy as np

    if not temp.size:
        return temp.copy()
    place = (temp - _TABLE_START_C) * _STEPS_PER_K
    knot = place.astype(np.intp)
    pressures = _saturation_table()[1]
    below: Array = pressures.take(knot)
    above: Array = pressures.take(knot + 1, mode="clip")
    return below + (above - below) * (place - knot)


@monotone_in("temp_c", "rh_percent")
def vapour_pressure(temp_c: Number, rh_percent: Number) -> Number:
    """Partial pressure of water vapour [Pa].  Valid: -50 to 100 °C, 0 to 100 %.

    >>> round(vapour_pressure(20.0, 50.0), 1)
    1169.4
    """
    return saturation_pressure(temp_c) * within("relative_humidity", rh_percent, 0.0, 100.0, "%") / 100.0


@monotone_in("temp_c", "rh_percent")
def dew_point(temp_c: Number, rh_percent: Number) -> Number:
    """Temperature [°C] at which this air starts to wet a surface (frost point below 0.01 °C).

    Valid: -50 to 100 °C, 1 to 100 %.  Checked against: tests/tables/dew_point.csv, and CoolProp.

    >>> round(dew_point(20.0, 50.0), 2)
    9.27
    """
    temp = within("air_temperature", temp_c, COLDEST_C, HOTTEST_C, "°C")
    rh = within("relative_humidity", rh_percent, DRIEST_PERCENT, 100.0, "%")
    if isinstance(temp, float) and isinstance(rh, float):
        psychrolib.SetUnitSystem(psychrolib.SI)
        return float(psychrolib.GetTDewPointFromRelHum(temp, rh / 100.0))
    import numpy as np

    temps, pressures = _saturation_table()
    return np.interp(vapour_pressure(temp, rh), pressures, temps)


@monotone_in("temp_c", "rh_percent", "pressure_pa")
def humidity_ratio(temp_c: Number, rh_percent: Number, pressure_pa: float = ATMOSPHERE) -> Number:
    """Water vapour per dry air [kg/kg].

    Valid: -50 to 60 °C, 0 to 100 %, air pressure 50 000 to 110 000 Pa.
    Source: ASHRAE Handbook of Fundamentals 2017, chapter 1, equation 20.

    >>> round(humidity_ratio(20.0, 50.0), 5)
    0.00726
    """
    within("air_temperature", temp_c, COLDEST_C, 60.0, "°C")  # below the boiling point at the least pressure
    pressure = within("air_pressure", pressure_pa, 50_000.0, 110_000.0, "Pa")
    vapour = vapour_pressure(temp_c, rh_percent)
    return WATER_TO_DRY_AIR * vapour / (pressure - vapour)


@monotone_in("rh_percent")
def absolute_humidity(temp_c: Number, rh_percent: Number) -> Number:
    """Water vapour per volume of air [kg/m3], as an ideal gas.  Valid: -50 to 100 °C, 0 to 100 %.

    >>> round(absolute_humidity(20.0, 50.0) * 1000, 2)
    8.64
    """
    vapour = vapour_pressure(temp_c, rh_percent)
    return vapour / (GAS_CONSTANT_VAPOUR * (temp_c + ZERO_CELSIUS))


@monotone_in("air_temp_c", "rh_percent", "surface_temp_c")
def rh_at_surface(air_temp_c: Number, rh_percent: Number, surface_temp_c: Number) -> Number:
    """Relative humidity [%] of the room's air where it touches a surface; above 100 it condenses there.

    Valid: -50 to 100 °C, 0 to 100 %.  Source: its definition, p(air)/p_sat(surface).

    >>> round(rh_at_surface(30.0, 60.0, 21.0), 1)
    102.4
    """
    return vapour_pressure(air_temp_c, rh_percent) / saturation_pressure(surface_temp_c) * 100.0


@monotone_in("surface_temp_c", "air_temp_c", "rh_percent")
def dew_margin(surface_temp_c: Number, air_temp_c: Number, rh_percent: Number) -> Number:
    """How far a surface is above the dew point [K]; below 0 it is wet.

    Valid: -50 to 100 °C, 1 to 100 %.  The trade wants 3 K (5 °F) while coating (common practice).

    >>> round(dew_margin(13.0, 21.0, 50.0), 2)
    2.81
    """
    surface = within("surface_temperature", surface_temp_c, COLDEST_C, HOTTEST_C, "°C")
    return surface - dew_point(air_temp_c, rh_percent)
