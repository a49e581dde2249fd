from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics import units
from advisor.physics.exposure import mg_m3_per_ppm
from advisor.physics.validity import OutsideValidity

PINT = pint.UnitRegistry()
PINT.define("inch_of_mercury_0c = 3386.389 * pascal")
PINT.define("kilosquare_foot = 1000 * foot**2")
NUMBERS = st.floats(1e-6, 1e6)


@pytest.mark.parametrize(
    ("constant", "unit", "si"),
    [
        (units.INCH, "inch", "m"),
        (units.FOOT, "foot", "m"),
        (units.MIL, "thou", "m"),
        (units.SQUARE_FOOT, "foot**2", "m**2"),
        (units.CUBIC_FOOT, "foot**3", "m**3"),
        (units.POUND, "pound", "kg"),
        (units.GRAIN, "grain", "kg"),
        (units.GALLON, "gallon", "m**3"),
        (units.PSI, "psi", "Pa"),
        (units.HOUR, "hour", "s"),
        (units.DAY, "day", "s"),
        (units.YEAR, "year", "s"),
        (units.ATMOSPHERE, "atm", "Pa"),
        (units.US_PERM, "grain/(hour*foot**2*inch_of_mercury_0c)", "kg/(m**2*s*Pa)"),
        (units.PERM_INCH, "grain*inch/(hour*foot**2*inch_of_mercury_0c)", "kg/(m*s*Pa)"),
        (units.POUND_PER_1000FT2_DAY, "pound/(kilosquare_foot*day)", "kg/(m**2*s)"),
        (units.GRAM_PER_M2_DAY, "gram/(m**2*day)", "kg/(m**2*s)"),
    ],
)
@given(NUMBERS)
def test_constants_against_pint(constant, unit, si, number):
    there = PINT.Quantity(number, unit).to(si).magnitude
    assert number * constant == pytest.approx(there, rel=1e-9)
    back = PINT.Quantity(number * constant, si).to(unit).magnitude
    assert back == pytest.approx(number, rel=1e-9)


@given(st.floats(-400.0, 9000.0))
def test_temperatures_against_pint(temp_f):
    outside = PINT.Quantity(temp_f, "degF").to("degC").magnitude
    assert units.celsius_from_fahrenheit(temp_f) == pytest.approx(outside, abs=1e-9)
    assert units.fahrenheit_from_celsius(units.celsius_from_fahrenheit(temp_f)) == pytest.approx(temp_f, abs=1e-9)


@pytest.mark.table("emission_units")
def test_emission_units(row):
    rate = float(row["lb"]) * units.POUND_PER_1000FT2_DAY / units.GRAM_PER_M2_DAY
    assert rate == pytest.approx(float(row["g_per_m2_day"]), abs=0.006)


def test_published_factors():
    # ASTM E96/E96M-10, Table 1: perm, perm-inch, and 1 g/(h m2) in gr/(h ft2), as rounded there.
    perm, perm_inch = units.US_PERM * 1e12, units.PERM_INCH * 1e12
    assert perm == pytest.approx(57.2, abs=0.05)
    assert perm_inch == pytest.approx(1.45, abs=0.005)
    grains = 1e-3 / units.GRAIN * units.SQUARE_FOOT
    assert grains == pytest.approx(1.43, abs=0.005)
    # The exact ones, computed.
    assert perm == pytest.approx(57.2135, abs=6e-5)
    assert perm_inch == pytest.approx(1.45322, abs=6e-6)
    # NIST Handbook 44, Appendix C (from memory): 231 in3.
    litres = units.GALLON * 1000
    assert litres == pytest.approx(3.785412, abs=6e-7)


def test_ppm():
    # 28.01 g/mol over the NIOSH Pocket Guide's rounded 24.45 L/mol (from memory) is 1.1456 mg/m3.
    assert mg_m3_per_ppm(28.01) == pytest.approx(1.1456, rel=7e-4)
    molar_volume = (PINT.Quantity(298.15, "K") * PINT("molar_gas_constant/atm")).to("L/mol").magnitude
    assert mg_m3_per_ppm(28.01) == pytest.approx(28.01 / molar_volume, rel=1e-9)
    # NIOSH: the ceiling of 200 ppm is 229 mg/m3; OSHA: 50 ppm is 55 (29 CFR 1910.1000), there rounded down.
    assert 200 * mg_m3_per_ppm(28.01) == pytest.approx(229.0, abs=0.5)


def test_one_and_many_agree(agree):
    agree(units.celsius_from_fahrenheit, 70.0)
    agree(units.fahrenheit_from_celsius, 21.0)
    agree(mg_m3_per_ppm, 28.01, 20.0, 95_000.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: units.celsius_from_fahrenheit(-500.0),
        lambda: units.fahrenheit_from_celsius(float("nan")),
        lambda: mg_m3_per_ppm(0.0),
        lambda: mg_m3_per_ppm(28.01, 25.0, 0.0),
    ],
)
def test_refusals(call):
    with pytest.raises(OutsideValidity):
        call()
