"""Units of the trade in SI, from the exact definitions of the inch, pound, grain and gallon.

Multiply by the constant to get SI, divide by it to leave SI:

>>> round(0.1 * US_PERM * 1e12, 4)          # ng/(Pa s m2)
5.7213
>>> round(GRAM_PER_M2_DAY / POUND_PER_1000FT2_DAY, 5)
0.20482

Sources: NIST Handbook 44, Appendix C (inch, pound, grain, gallon; from memory); ASTM E96/E96M-10, Table 1
(perm 5.72e-11 kg/(Pa s m2), perm-inch 1.45e-12 kg/(Pa s m), rounded there).  Temperatures have an offset,
so they have functions.
"""

from __future__ import annotations

from advisor.physics.validity import Number, within

INCH = 0.0254  # m
FOOT = 12 * INCH  # m
SQUARE_FOOT = FOOT**2  # m2
CUBIC_FOOT = FOOT**3  # m3
MIL = INCH / 1000  # m
POUND = 0.45359237  # kg
GRAIN = POUND / 7000  # kg
GALLON = 231 * INCH**3  # m3, US
PSI = POUND * 9.80665 / INCH**2  # Pa
INCH_OF_MERCURY = 3386.389  # Pa, at 0 °C
HOUR = 3600.0  # s
DAY = 86400.0  # s
YEAR = 365.25 * DAY  # s

US_PERM = GRAIN / (HOUR * SQUARE_FOOT * INCH_OF_MERCURY)  # kg/(m2 s Pa), permeance
PERM_INCH = US_PERM * INCH  # kg/(m s Pa), permeability
POUND_PER_1000FT2_DAY = POUND / (1000 * SQUARE_FOOT * DAY)  # kg/(m2 s), emission of the dish test
GRAM_PER_M2_DAY = 1e-3 / DAY  # kg/(m2 s)

ZERO_CELSIUS = 273.15  # K
ATMOSPHERE = 101325.0  # Pa


def celsius_from_fahrenheit(temp_f: Number) -> Number:
    """Temperature in °C from °F; from absolute zero to 10 000 °F, else OutsideValidity.

    >>> celsius_from_fahrenheit(68.0)
    20.0
    """
    return (within("temperature", temp_f, -459.67, 1e4, "°F") - 32.0) / 1.8


def fahrenheit_from_celsius(temp_c: Number) -> Number:
    """Temperature in °F from °C; from absolute zero to 10 000 °C, else OutsideValidity.

    >>> fahrenheit_from_celsius(20.0)
    68.0
    """
    return within("temperature", temp_c, -273.15, 1e4, "°C") * 1.8 + 32.0
