"""The units that facts, limits and prices are stated in, and how people spell them.

Common spellings stand in a table of exact factors. Any other is read by `measures` as a product of measures with whole
powers, as `lb/1000 sq ft/24h`; a test holds both against pint, an outside referee.
"""

from __future__ import annotations

from typing import NamedTuple

from advisor.physics.units import FOOT, GALLON, INCH, POUND, POUND_PER_1000FT2_DAY, PSI, US_PERM
from explanations.reading import System

MM, GRAM, MPA = 1e-3, 1e-3, 1e6  # in SI
LITRES = GALLON / 1e-3  # in a US gallon
GRAMS_PER_M2_DAY = POUND_PER_1000FT2_DAY * 86400 / GRAM  # in one lb/(1000 ft2 24 h)

# What readers know better than the unit that a fact is kept in, by system: as a spelling, and as it is shown.
THEIRS: dict[System, dict[str, tuple[str, str]]] = {
    "us": {
        "usd_m2": ("usd_ft2", "USD/ft²"),
        "degC": ("°F", "°F"),
        "delta_degC": ("°F", "°F"),
        "mpa": ("psi", "psi"),
        "mm": ("in", "in"),
        "um": ("mil", "mil"),
        "m": ("ft", "ft"),
        "m2": ("ft2", "ft²"),
        "m3": ("ft3", "ft³"),
        "m3_h": ("cfm", "ft³/min"),
        "m2_l": ("ft2/gal", "ft²/gal"),
        "m2_h": ("ft2/h", "ft²/h"),
        "m_h": ("ft/h", "ft/h"),
        "kg_m2": ("lb/ft2", "lb/ft²"),
        "kg_l": ("lb/gal", "lb/gal"),
        "bq_m3": ("pCi/L", "pCi/L"),
        "l": ("gal", "gal"),
        "kg": ("lb", "lb"),
    },
    "si": {
        "lb_1000ft2_day": ("g/m2/day", "g/m²/24 h"),
        "perm": ("ng/(Pa s m2)", "ng/(Pa s m²)"),
    },
}


class Unit(NamedTuple):
    """How a unit is shown, what it is made of as `measures` reads it, and its spellings as (scale, offset) into it."""

    shown: str
    made_of: str
    spellings: dict[str, tuple[float, float]]
    whole: bool = False  # a fact in it has no fractions: there are no half holes, and no half years of a calendar


def _scales(*groups: tuple[str, float]) -> dict[str, tuple[float, float]]:
    return {name: (scale, 0.0) for names, scale in groups for name in names.split("|")}


_C = "C|c|°C|° C|degC|deg C|degrees C|Celsius|celsius|degrees Celsius"
_F = "F|f|°F|° F|degF|deg F|degrees F|Fahrenheit|fahrenheit|degrees Fahrenheit"
_CELSIUS = dict.fromkeys(_C.split("|"), (1.0, 0.0))
_FAHRENHEIT = dict.fromkeys(_F.split("|"), (5 / 9, -160 / 9))
_ABSOLUTE = {"K": (1.0, -273.15), "kelvin": (1.0, -273.15), "degR": (5 / 9, -273.15)}
_KELVINS = _scales((f"delta_degC|{_C}|K", 1.0), (f"delta_degF|{_F}", 5 / 9))

UNITS: dict[str, Unit] = {
    "percent": Unit(
        "%", "%", _scales(("%|percent|pct|per cent|% RH|%RH|% rh|%rh|percent RH|% relative humidity", 1.0))
    ),
    "ratio": Unit("", "", _scales(("|ratio", 1.0), ("%|percent", 0.01))),
    "count": Unit("", "", _scales(("|count", 1.0)), whole=True),
    "ph": Unit("", "", _scales(("|ph|pH", 1.0))),
    "year": Unit("years", "year", _scales(("|year|years|yr", 1.0), ("month|months", 1 / 12), ("day|days", 1 / 365.25))),
    "calendar_year": Unit("", "", _scales(("|year", 1.0)), whole=True),
    "day": Unit(
        "days",
        "day",
        _scales(
            ("day|days|d", 1.0),
            ("week|weeks", 7.0),
            ("month|months", 365.25 / 12),
            ("year|years|yr", 365.25),
            ("hour|hours|h", 1 / 24),
        ),
    ),
    "hour": Unit("h", "hour", _scales(("hour|hours|h|hr", 1.0), ("minute|minutes|min", 1 / 60), ("day|days", 24.0))),
    "mm": Unit(
        "mm",
        "mm",
        _scales(
            ("mm", 1.0),
            ("cm", 10.0),
            ("m", 1000.0),
            ('in|inch|inches|"', INCH / MM),
            ("ft|feet|foot|'", FOOT / MM),
        ),
    ),
    "um": Unit("µm", "um", _scales(("um|µm|micron|microns", 1.0), ("mm", 1000.0), ("mil|mils", 25.4))),
    "m2": Unit("m²", "m2", _scales(("m2|m²|m^2|sqm|sq m", 1.0), ("ft2|ft²|ft^2|sqft|sq ft|square feet", FOOT**2))),
    "degC": Unit("°C", "K", {**_CELSIUS, **_FAHRENHEIT, **_ABSOLUTE}),
    "delta_degC": Unit("°C", "K", _KELVINS),
    "g": Unit("g", "g", _scales(("g|gram|grams", 1.0), ("oz", POUND / GRAM / 16))),
    "g_l": Unit("g/L", "g/L", _scales(("g_l|g/L|g/l", 1.0), ("lb/gal", POUND / GRAM / 3.785411784))),
    "mpa": Unit("MPa", "MPa", _scales(("mpa|MPa|N/mm2", 1.0), ("psi", PSI / MPA))),
    "bq_m3": Unit("Bq/m³", "Bq/m3", _scales(("bq_m3|Bq/m3|Bq/m³", 1.0), ("pCi/L|pCi/l", 37.0))),
    "perm": Unit("perm", "perm", _scales(("perm|perms|US perm", 1.0), ("ng/Pa/s/m2|ng/(Pa s m2)", 1e-12 / US_PERM))),
    "perm_in": Unit("perm-in", "perm in", _scales(("perm_in|perm-in|perm inch|perm-inch", 1.0))),
    "lb_1000ft2_day": Unit(
        "lb/1000 ft²/24 h",
        "lb/(1000 ft2)/d",
        _scales(
            (
                "lb_1000ft2_day|lb|lbs|pound|pounds|lb/1000ft2/24h|lb/1000 ft2/24 h|"
                "lb/1000ft²/24h|lb/1000 ft²/24 h|lb/1000ft2/24hr",
                1.0,
            ),
            ("g/m2/day|g/m2/d|g/m2/24h|g/(m2 d)", 1 / GRAMS_PER_M2_DAY),
        ),
    ),
    "l": Unit(
        "L",
        "liter",
        _scales(("L|l|litre|litres|liter", 1.0), ("mL|ml", 1e-3), ("gal|gallon|gallons", LITRES), ("qt", LITRES / 4)),
    ),
    "kg": Unit("kg", "kg", _scales(("kg", 1.0), ("g", 1e-3), ("lb|lbs", POUND), ("oz", POUND / 16))),
    "m": Unit("m", "m", _scales(("m", 1.0), ("ft|feet", FOOT), ("in", INCH))),
    "m2_l": Unit("m²/L", "m2/L", _scales(("m2_l|m2/L|m²/L", 1.0), ("ft2/gal", FOOT**2 / LITRES))),
    "kg_m2": Unit("kg/m²", "kg/m2", _scales(("kg_m2|kg/m2|kg/m²", 1.0), ("lb/ft2", POUND / FOOT**2))),
    "m2_h": Unit("m²/h", "m2/h", _scales(("m2_h|m2/h|m²/h", 1.0), ("ft2/h", FOOT**2))),
    "m_h": Unit("m/h", "m/h", _scales(("m_h|m/h", 1.0), ("ft/h", FOOT))),
    "second": Unit("s", "second", _scales(("second|seconds|s", 1.0), ("minute|minutes|min", 60.0))),
    "minute": Unit(
        "min", "minute", _scales(("minute|minutes|min", 1.0), ("hour|hours|h", 60.0), ("second|seconds|s", 1 / 60))
    ),
    "per_hour": Unit(
        "/h",
        "1/h",
        _scales(
            (
                "per_hour|/h|1/h|an hour|ACH|air changes an hour|air changes per hour|air change per hour|"
                "air change an hour|air changes/h|air changes/hr",
                1.0,
            )
        ),
    ),
    "m3": Unit("m³", "m3", _scales(("m3|m³", 1.0), ("ft3", FOOT**3))),
    "m3_h": Unit("m³/h", "m3/h", _scales(("m3_h|m3/h|m³/h", 1.0), ("ft3/min|cfm", FOOT**3 * 60))),
    "mg_h": Unit("mg/h", "mg/h", _scales(("mg_h|mg/h", 1.0), ("g/h", 1000.0))),
    "ppm": Unit("ppm", "ppm", _scales(("ppm", 1.0))),
    "mg_m3": Unit("mg/m³", "mg/m3", _scales(("mg_m3|mg/m3|mg/m³", 1.0), ("ug/m3|µg/m3|µg/m³", 1e-3))),
    "g_m3": Unit("g/m³", "g/m3", _scales(("g_m3|g/m3|g/m³", 1.0), ("mg/m3|mg/m³", 1e-3))),
    "kg_l": Unit("kg/L", "kg/L", _scales(("kg_l|kg/L|g/mL|g/cm3", 1.0), ("lb/gal", POUND / LITRES))),
    "g_mol": Unit("g/mol", "g/mol", _scales(("g_mol|g/mol", 1.0))),
    "m2k_w": Unit("m²K/W", "m**2*kelvin/watt", _scales(("m2k_w|m2K/W|m²K/W", 1.0))),
    "usd": Unit("USD", "USD", _scales(("usd|USD|$|dollars", 1.0))),
    "usd_m2": Unit(
        "USD/m²",
        "USD/m2",
        _scales(("usd_m2|USD/m2|$/m2|USD/m²", 1.0), ("usd_ft2|USD/ft2|$/ft2|$/sqft|USD/sqft", 1 / FOOT**2)),
    ),
}
