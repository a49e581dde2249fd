"""Numbers with units, read as people write them (`4 in`, `8 ft 6 in`, `80 to 85 %`, `over 10 years`), and shown."""

from __future__ import annotations

import math
import re
from typing import Any

from advisor.model.units import UNITS as UNITS
from advisor.physics.bounds import Interval

DECIMALS = 9  # numbers are kept to so many places, so that every reader of the rule base sees the same one

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
    text = _plain(text, unit)
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


_ALIKE = str.maketrans({"−": "-", "\u00a0": " ", "…": "..", "’": "'", "′": "'", "”": '"', "″": '"'})
_DATE = re.compile(r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4}")
_INSTEAD_OF_A_DATE = {
    **dict.fromkeys(("day", "hour", "year"), "give the time since then, as in `8 weeks`"),
    "calendar_year": "give the year alone, as in `1998`",
}
_FRACTION = re.compile(r"(?<!\w)(?:(\d+)[ -])?(\d+)/([1-9]\d?)(?=\s|\"|'|in|ft|$)")
_FEET = re.compile(r"(\d+)\s*(?:(?:ft|feet|foot)\b,?|'-?)\s*(\d+(?:\.\d+)?)\s*(?:(?:inches|inch|in)(?!\w)|\"|'')")
_ROOM = re.compile(r"([\d.]+)\s*([^\d\s.x×]*)\s*(?:x|×|by)\s*([\d.]+)\s*(\D+)")
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")


def _plain(text: str, unit: str) -> str:
    """The text with what people write otherwise made plain: fractions, feet and inches, rooms, thousands, `about`."""
    text = text.strip().translate(_ALIKE)
    if _DATE.fullmatch(text):
        wanted = _INSTEAD_OF_A_DATE.get(unit, "a number is wanted")
        raise NotAQuantity(f"it is a date; {wanted}")
    text = re.sub(r"^(?:about|approx\.?|approximately|roughly|~)\s*", "", text)
    text = _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.12g}", text)
    text = _FEET.sub(lambda m: f"{12 * int(m[1]) + float(m[2]):.12g} in", text)
    if room := _ROOM.fullmatch(text):
        text = _area(*room.groups()) or text
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", text)
    text = re.sub(r"^\$\s*(.*)$", r"\1 $", text)
    text = _THOUSANDS.sub(lambda m: m[0].replace(",", ""), text)
    if re.search(r"\d,\d", text):
        raise NotAQuantity("a comma stands in the number; write a decimal point, as in `7.5`")
    return text


def _area(length: str, spelled: str, width: str, shared: str) -> str:
    """The area of a room from its sides, each in its own unit; empty where these are no lengths."""
    lengths = UNITS["mm"].spellings
    sides = [lengths.get(each.strip()) for each in (spelled or shared, shared)]
    if None in sides:
        return ""
    square_mm = math.prod(float(side) * scale[0] for side, scale in zip((length, width), sides, strict=True) if scale)
    return f"{square_mm / 1e6:.12g} m2"


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
        raise NotAQuantity(f"it has no unit; write {' or '.join(f'`{number} {each}`' for each in _shortest(unit))}")
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
    return ", ".join(_shortest(unit)) or "a plain number"


def _shortest(unit: str) -> list[str]:
    """The first plain spelling of each unit that the fact may be given in."""
    named = [name for name in UNITS[unit].spellings if name and not re.search(r'[_"\'|]|^usd|°', name)]
    shown: dict[tuple[float, float], str] = {}
    for name in named:
        shown.setdefault(UNITS[unit].spellings[name], name)
    return list(shown.values())


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
    return f"{number} {shown.removesuffix('s') if number == '1' and unit in ('day', 'year') else shown}".strip()


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
