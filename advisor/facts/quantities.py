"""Numbers with units as people write them: `4 in`, `80 to 85 %`, `3 lb/1000ft2/24h`, `over 10 years`.

Common spellings are converted by a table of exact factors, so that pint (a third of a second to import) is loaded
only for a spelling that the table lacks; a test holds every entry of the table against pint.
"""

from __future__ import annotations

import math
import re
from typing import Any, NamedTuple

from advisor.physics.bounds import Interval
from advisor.physics.units import FOOT, GALLON, INCH, POUND, POUND_PER_1000FT2_DAY, PSI, US_PERM

MM, GRAM, MPA = 1e-3, 1e-3, 1e6  # in SI
LITRES = GALLON / 1e-3  # in a US gallon
GRAMS_PER_M2_DAY = POUND_PER_1000FT2_DAY * 86400 / GRAM  # in one lb/(1000 ft2 24 h)

DECIMALS = 9  # numbers are kept to so many places, so that every reader of the rule base sees the same one


class Unit(NamedTuple):
    """How a unit is shown, what pint calls it, and its spellings as (scale, offset) into it."""

    shown: str
    pint: str
    spellings: dict[str, tuple[float, float]]


def _scales(*groups: tuple[str, float]) -> dict[str, tuple[float, float]]:
    return {name: (scale, 0.0) for names, scale in groups for name in names.split("|")}


_CELSIUS = {"degC": (1.0, 0.0), "°C": (1.0, 0.0), "C": (1.0, 0.0)}
_FAHRENHEIT = dict.fromkeys(("degF", "°F", "F"), (5 / 9, -160 / 9))
_KELVINS = _scales(("delta_degC|°C|C|K", 1.0), ("delta_degF|°F|F", 5 / 9))

UNITS: dict[str, Unit] = {
    "percent": Unit("%", "percent", _scales(("%|percent|% RH|%RH|percent RH", 1.0))),
    "ratio": Unit("", "dimensionless", _scales(("|ratio", 1.0))),
    "count": Unit("", "dimensionless", _scales(("|count", 1.0))),
    "ph": Unit("", "dimensionless", _scales(("|ph|pH", 1.0))),
    "year": Unit(
        "years", "year", _scales(("|year|years|yr", 1.0), ("month|months", 1 / 12), ("day|days", 1 / 365.25))
    ),
    "calendar_year": Unit("", "dimensionless", _scales(("|year", 1.0))),
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
    "hour": Unit(
        "h", "hour", _scales(("hour|hours|h|hr", 1.0), ("minute|minutes|min", 1 / 60), ("day|days", 24.0))
    ),
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
    "m2": Unit(
        "m²", "m**2", _scales(("m2|m²|m^2|sqm|sq m", 1.0), ("ft2|ft²|ft^2|sqft|sq ft|square feet", FOOT**2))
    ),
    "degC": Unit("°C", "degC", {**_CELSIUS, **_FAHRENHEIT}),
    "delta_degC": Unit("°C", "delta_degC", _KELVINS),
    "g": Unit("g", "g", _scales(("g|gram|grams", 1.0), ("oz", POUND / GRAM / 16))),
    "g_l": Unit("g/L", "g/L", _scales(("g_l|g/L|g/l", 1.0), ("lb/gal", POUND / GRAM / 3.785411784))),
    "mpa": Unit("MPa", "MPa", _scales(("mpa|MPa|N/mm2", 1.0), ("psi", PSI / MPA))),
    "bq_m3": Unit("Bq/m³", "Bq/m**3", _scales(("bq_m3|Bq/m3|Bq/m³", 1.0), ("pCi/L|pCi/l", 37.0))),
    "perm": Unit(
        "perm", "perm_us", _scales(("perm|perms|US perm", 1.0), ("ng/Pa/s/m2|ng/(Pa s m2)", 1e-12 / US_PERM))
    ),
    "perm_in": Unit("perm-in", "perm_us*inch", _scales(("perm_in|perm-in|perm inch|perm-inch", 1.0))),
    "lb_1000ft2_day": Unit(
        "lb/1000 ft²/24 h",
        "mver_us",
        _scales(
            (
                "lb_1000ft2_day|lb|lbs|lb/1000ft2/24h|lb/1000 ft2/24 h|lb/1000ft²/24h|lb/1000 ft²/24 h|lb/1000ft2/24hr",
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
    "m2_l": Unit("m²/L", "m**2/liter", _scales(("m2_l|m2/L|m²/L", 1.0), ("ft2/gal", FOOT**2 / LITRES))),
    "kg_m2": Unit("kg/m²", "kg/m**2", _scales(("kg_m2|kg/m2|kg/m²", 1.0), ("lb/ft2", POUND / FOOT**2))),
    "m2_h": Unit("m²/h", "m**2/hour", _scales(("m2_h|m2/h|m²/h", 1.0), ("ft2/h", FOOT**2))),
    "m_h": Unit("m/h", "m/hour", _scales(("m_h|m/h", 1.0), ("ft/h", FOOT))),
    "second": Unit("s", "second", _scales(("second|seconds|s", 1.0), ("minute|minutes|min", 60.0))),
    "minute": Unit(
        "min", "minute", _scales(("minute|minutes|min", 1.0), ("hour|hours|h", 60.0), ("second|seconds|s", 1 / 60))
    ),
    "per_hour": Unit("/h", "1/hour", _scales(("per_hour|/h|1/h|an hour", 1.0))),
    "m3": Unit("m³", "m**3", _scales(("m3|m³", 1.0), ("ft3", FOOT**3))),
    "m3_h": Unit("m³/h", "m**3/hour", _scales(("m3_h|m3/h|m³/h", 1.0), ("ft3/min|cfm", FOOT**3 * 60))),
    "mg_h": Unit("mg/h", "mg/hour", _scales(("mg_h|mg/h", 1.0), ("g/h", 1000.0))),
    "ppm": Unit("ppm", "ppm", _scales(("ppm", 1.0))),
    "mg_m3": Unit("mg/m³", "mg/m**3", _scales(("mg_m3|mg/m3|mg/m³", 1.0), ("ug/m3|µg/m3|µg/m³", 1e-3))),
    "g_m3": Unit("g/m³", "g/m**3", _scales(("g_m3|g/m3|g/m³", 1.0), ("mg/m3|mg/m³", 1e-3))),
    "kg_l": Unit("kg/L", "kg/liter", _scales(("kg_l|kg/L|g/mL|g/cm3", 1.0), ("lb/gal", POUND / LITRES))),
    "g_mol": Unit("g/mol", "g/mol", _scales(("g_mol|g/mol", 1.0))),
    "usd": Unit("USD", "USD", _scales(("usd|USD|$|dollars", 1.0))),
    "usd_m2": Unit(
        "USD/m²",
        "USD/m**2",
        _scales(("usd_m2|USD/m2|$/m2|USD/m²", 1.0), ("usd_ft2|USD/ft2|$/ft2|$/sqft|USD/sqft", 1 / FOOT**2)),
    ),
}

# What readers in the United States know better, as a spelling and as it is shown: named beside ours.
_BESIDE = {
    "usd_m2": ("usd_ft2", "USD/ft²"),
    "degC": ("°F", "°F"),
    "delta_degC": ("°F", "°F"),
    "mpa": ("psi", "psi"),
    "mm": ("in", "in"),
    "m2": ("ft2", "ft²"),
}

_NUMBER = r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?"
_RANGE = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<unit_low>(?!to\b)[^\d\s+.-]\D*?)?\s*(?:to|–|—|-|\.\.)\s*(?P<high>{_NUMBER})(?P<unit>.*)"
)
_SINGLE = re.compile(
    rf"(?P<word>over|above|at least|more than|under|below|at most|less than|up to)?\s*(?P<value>{_NUMBER})(?P<unit>.*)"
)
_UPWARD = {"over", "above", "at least", "more than"}


class NotAQuantity(ValueError):
    """The text is not a number with a unit; the message says why."""


def read_quantity(text: str, unit: str, plausible: Interval) -> Interval:
    """Read `text` as an interval in `unit`, one of `UNITS`.

    Half-open wordings (`over 10 years`) reach to the end of the plausible range; both ends count as possible.

    Raises:
        NotAQuantity: no number, no or another unit, ends swapped, not finite, or outside the plausible range.

    >>> read_quantity("4 in", "mm", Interval(0, 1000))
    Interval(low=101.6, high=101.6)
    >>> read_quantity("80 to 85 %", "percent", Interval(0, 100))
    Interval(low=80.0, high=85.0)
    """
    text = _plain(text)
    if match := _RANGE.fullmatch(text):
        shared = match["unit"].strip()
        low = _convert(match["low"], (match["unit_low"] or shared).strip(), unit)
        high = _convert(match["high"], shared, unit)
        if low > high:
            raise NotAQuantity("the first end of the range is larger than the second")
    elif match := _SINGLE.fullmatch(text):
        low = high = _convert(match["value"], match["unit"].strip(), unit)
        if match["word"]:
            upward = match["word"] in _UPWARD
            low, high = (low, max(plausible.high, low)) if upward else (min(plausible.low, low), high)
    else:
        raise NotAQuantity("there is no number in it that I can read")
    if low < plausible.low or high > plausible.high:
        raise NotAQuantity("it lies outside what is possible")
    return Interval(low, high)


_FRACTION = re.compile(r"(?<!\w)(?:(\d+)[ -])?(\d+)/([1-9]\d?)(?=\s|\"|'|in|ft|$)")
_ROOM = re.compile(r"([\d.]+)\s*([^\d\s.x×]*)\s*(?:x|×|by)\s*([\d.]+)\s*(\D+)")
_SQUARES = {"ft": "ft2", "'": "ft2", "feet": "ft2", "m": "m2"}


def _plain(text: str) -> str:
    """The text with what people write otherwise made plain: fractions, rooms, thousands, `about`."""
    text = text.strip().replace("−", "-").replace("\u00a0", " ").replace("…", "..")
    text = re.sub(r"^(?:about|approx\.?|approximately|roughly|~)\s*", "", text)
    text = _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.6g}", text)
    if (room := _ROOM.fullmatch(text)) and (square := _SQUARES.get(room[4].strip())):
        text = f"{float(room[1]) * float(room[3]):.6g} {square}"
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", text)
    text = re.sub(r"^\$\s*(.*)$", r"\1 $", text)
    return re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)


def keep(value: float) -> float:
    """The number as the working memory keeps it: nine decimals, no negative zero.

    >>> keep(0.1 + 0.2)
    0.3
    """
    return round(value, DECIMALS) + 0.0


def _convert(number: str, spelled: str, unit: str) -> float:
    known = UNITS[unit].spellings
    spelled = " ".join(spelled.split())
    if spelled in known:
        scale, offset = known[spelled]
        value = float(number) * scale + offset
    elif spelled:
        value = _by_pint(float(number), spelled, unit)
    else:
        raise NotAQuantity("it has no unit")
    if not math.isfinite(value):
        raise NotAQuantity("it is not a finite number")
    return keep(value)


_registry: Any = None


def pint_registry() -> Any:
    """The pint registry with the trade's units, made once. Slow to import, so called only when needed."""
    global _registry
    if _registry is None:
        import pint

        _registry = pint.UnitRegistry()
        _registry.define("perm_us = 64.79891 mg / (hour * foot**2 * 3386.389 Pa)")
        _registry.define("mver_us = lb / (1000 * foot**2) / day")
        _registry.define("USD = [currency]")
    return _registry


def _by_pint(number: float, spelled: str, unit: str) -> float:
    import pint

    registry = pint_registry()
    try:
        powers = re.sub(r"(?<=[a-zA-Z])\^?([23])\b", r"**\1", spelled.replace("²", "2").replace("³", "3"))
        quantity = registry.Quantity(number, registry.parse_units(powers))
        return float(quantity.to(UNITS[unit].pint).magnitude)
    except pint.DimensionalityError:
        raise NotAQuantity(f'"{spelled}" measures something else') from None
    except Exception:  # pint lets through whatever its tokeniser raises on odd text
        raise NotAQuantity(f'"{spelled}" is not a unit that I know') from None


def spell_units(unit: str) -> str:
    """The spellings to name in a message, the shortest few.

    >>> spell_units("percent")
    '%'
    """
    named = [name for name in UNITS[unit].spellings if name and not re.search(r'[_"\'|]|^usd|°', name)]
    shown: dict[tuple[float, float], str] = {}
    for name in named:
        shown.setdefault(UNITS[unit].spellings[name], name)
    return ", ".join(shown.values()) or "a plain number"


def show_number(value: float, digits: int = 4) -> str:
    """A number for reading: so many significant digits at most (whole ones all), never an exponent.

    >>> show_number(101.6), show_number(0.026000), show_number(12345.6), show_number(-0.0)
    ('101.6', '0.026', '12346', '0')
    """
    if value == 0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{min(decimals, DECIMALS)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def show(interval: Interval, unit: str, digits: int = 4) -> str:
    """An interval with its unit, as `75 %` or `80 to 85 %`."""
    low, high = show_number(interval.low, digits), show_number(interval.high, digits)
    number = low if low == high else f"{low} to {high}"
    shown = UNITS[unit].shown
    return f"{number} {shown}".strip()


def show_both(interval: Interval, unit: str, digits: int = 4) -> str:
    """An interval with its unit, and in the unit that is usual in the United States where that is another.

    >>> show_both(Interval(20.0, 30.0), "degC"), show_both(Interval(75.0, 75.0), "percent")
    ('20 to 30 °C (68 to 86 °F)', '75 %')
    """
    ours = show(interval, unit, digits)
    if unit not in _BESIDE:
        return ours
    spelling, shown = _BESIDE[unit]
    scale, offset = UNITS[unit].spellings[spelling]
    low, high = (show_number((end - offset) / scale, 3) for end in (interval.low, interval.high))
    return f"{ours} ({low if low == high else f'{low} to {high}'} {shown})"
