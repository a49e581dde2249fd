"""Numbers with units, read as people write them (`4 in`, `8 ft 6 in`, `80 to 85 %`, `over 10 years`), and shown."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from functools import reduce
from types import MappingProxyType
from typing import Literal, TypeAlias

from advisor.model.measures import read_measure
from advisor.model.units import AMERICAN
from advisor.model.units import UNITS as UNITS
from advisor.physics.bounds import Interval
from explanations.wording import wording

Several = Literal["span", "highest", "lowest"]  # what counts of several readings
Rates: TypeAlias = Mapping[str, Interval]  # by the name of a currency, what one of it is worth in US dollars

DECIMALS = 9  # numbers are kept to so many places, so that every reader of the rule base sees the same one

LONGEST = 200  # characters of a quantity

_NUMBER = r"[+-]?(?:\d{1,15}(?:\.\d{1,15})?|\.\d{1,15})(?:[eE][+-]?\d{1,3})?(?!\d|\.\d)"
_RANGE = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<unit_low>.*?)\s*(?:\bto\b|–|—|-|\.\.)\s*(?P<high>{_NUMBER})(?P<unit>.*)"
)
_LIST = re.compile(rf"(?P<numbers>{_NUMBER}(?:(?:[,;] |[,;]? and )\s*{_NUMBER})+)(?P<unit>.*)")
_UPWARD = ("over", "above", "at least", "more than", ">", ">=", "≥")
_DOWNWARD = ("under", "below", "at most", "less than", "up to", "<", "<=", "≤")
_OR_MORE = ("+", "or more", "or over", "and up", "and over")
_OR_LESS = ("or less", "or under")


def _one_of(words: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


_SINGLE = re.compile(
    rf"(?P<before>{_one_of((*_UPWARD, *_DOWNWARD))})?\s*(?P<value>{_NUMBER})\s*(?P<plus>\+(?!\d))?"
    rf"(?P<unit>.*?)\s*(?P<after>{_one_of((*_OR_MORE, *_OR_LESS))})?"
)


class NotAQuantity(ValueError):
    """The text is not a number with a unit; the message says why."""


def read_quantity(
    text: str, unit: str, plausible: Interval, several: Several = "span", rates: Rates = MappingProxyType({})
) -> Interval:
    """Read `text` as an interval in `unit`, one of `UNITS`.

    Half-open wordings (`over 10 years`, `95+ %`) reach to the end of the plausible range; both ends count as possible.

    Args:
        text: as people write it.
        unit: what it is wanted in.
        plausible: what it may be.
        several: what counts of several readings, as `78, 80, 84 %`: all, from the lowest to the highest, or one.
        rates: by the name of a currency, what one of it is worth in US dollars.

    Raises:
        NotAQuantity: no number, no or another unit, ends swapped, not finite, or outside the plausible range.

    >>> read_quantity("4 in", "mm", Interval(0, 1000))
    Interval(low=101.6, high=101.6)
    >>> read_quantity("80 to 85 %", "percent", Interval(0, 100))
    Interval(low=80.0, high=85.0)
    >>> read_quantity("78, 80, 84 %", "percent", Interval(0, 100), "highest")
    Interval(low=84.0, high=84.0)
    """
    text = _plain(text, unit)
    if match := _LIST.fullmatch(text):
        several_read = [_convert(each, match["unit"], unit, rates) for each in re.findall(_NUMBER, match["numbers"])]
        low, high = min(each.low for each in several_read), max(each.high for each in several_read)
        low, high = (high, high) if several == "highest" else (low, low) if several == "lowest" else (low, high)
    elif match := _RANGE.fullmatch(text):
        first = _convert(match["low"], match["unit_low"] or match["unit"], unit, rates)
        last = _convert(match["high"], match["unit"], unit, rates)
        if first.low > last.high:
            raise NotAQuantity(wording("quantity.swapped"))
        low, high = first.low, last.high
    elif match := _SINGLE.fullmatch(text):
        read = _convert(match["value"], match["unit"], unit, rates)
        words = [word for word in (match["before"], match["plus"], match["after"]) if word]
        if len(words) > 1:
            raise NotAQuantity(wording("quantity.twice"))
        low = min(plausible.low, read.low) if words and words[0] in (*_DOWNWARD, *_OR_LESS) else read.low
        high = max(plausible.high, read.high) if words and words[0] in (*_UPWARD, *_OR_MORE) else read.high
    else:
        raise NotAQuantity(wording("quantity.no_number"))
    if low < plausible.low or high > plausible.high:
        raise NotAQuantity(wording("quantity.impossible"))
    return Interval(low, high)


_ALIKE = str.maketrans({"−": "-", "\u00a0": " ", "…": "..", "’": "'", "′": "'", "”": '"', "″": '"'})
_DATE = re.compile(r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4}")
_A_DATE_FOR = {  # by unit, what is said of a date
    **dict.fromkeys(("day", "hour", "year"), "quantity.date.since"),
    "calendar_year": "quantity.date.year",
}
_FRACTION = re.compile(r"(?<![\w/])(?<!\d\.)(?:(\d{1,6})[ -])?(\d{1,6})/([1-9]\d?)(?=\s|\"|'|-?in|-?ft|$)")
_FEET = re.compile(
    r"(\d{1,9})\s*(?:-?(?:ft|feet|foot)\b,?|'-?)\s*(\d+(?:\.\d+)?)\s*(?:-?(?:inches|inch|in)(?!\w)|\"|'')"
)
_ROOM = re.compile(rf"({_NUMBER})\s*([^\d\s.x×]*)\s*(?:x|×|by)\s*({_NUMBER})\s*(\D+)")
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")


def _plain(text: str, unit: str) -> str:
    """The text with what people write otherwise made plain: fractions, feet and inches, rooms, thousands, `about`."""
    if len(text) > LONGEST:
        raise NotAQuantity(wording("quantity.too_long"))
    text = " ".join(text.translate(_ALIKE).split())
    if _DATE.fullmatch(text):
        raise NotAQuantity(wording(_A_DATE_FOR.get(unit, "quantity.date.number")))
    if text.endswith(("?", "!")):
        raise NotAQuantity(wording("quantity.unsure", sign=text[-1]))
    text = re.sub(r"^(?:about|approx\.?|approximately|roughly|circa|ca\.|~)\s*", "", text)
    text = re.sub(r"^between\s+(.*)\s+and\s+", r"\1 to ", text)
    text = _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.12g}", text)
    text = _FEET.sub(lambda m: f"{12 * int(m[1]) + float(m[2]):.12g} in", text)
    text = re.sub(r"(?<=\d)-(?=[a-zA-Z])", " ", text)  # 4-inch
    if room := _ROOM.fullmatch(text):
        text = _area(*room.groups()) or text
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", text)
    text = re.sub(r"^([$€£]|[A-Z]{1,3}\$)\s*(.*)$", r"\2 \1", text)
    text = _THOUSANDS.sub(lambda m: m[0].replace(",", ""), text)
    if re.search(r"\d,\d", text):
        raise NotAQuantity(wording("quantity.comma"))
    return text


def _area(length: str, spelled: str, width: str, shared: str) -> str:
    """The area of a room from its sides, each in its own unit; empty where these are no lengths."""
    lengths = UNITS["mm"].spellings
    sides = [lengths.get(each.strip()) for each in (spelled or shared, shared)]
    if None in sides:
        return ""
    square_mm = math.prod(float(side) * scale[0] for side, scale in zip((length, width), sides, strict=True) if scale)
    return f"{square_mm / 1e6:.12g} m2" if math.isfinite(square_mm) else ""


def keep(value: float) -> float:
    """The number as the working memory keeps it: nine decimals, no negative zero.

    >>> keep(0.1 + 0.2)
    0.3
    """
    return round(value, DECIMALS) + 0.0


def _convert(number: str, spelled: str, unit: str, rates: Rates) -> Interval:
    known, spelled = UNITS[unit].spellings, " ".join(spelled.split())
    if not spelled and "" not in known:
        ways = (f"`{number} {each}`" for each in _shortest(unit))
        either = reduce(lambda first, last: wording("grammar.either", first=first, last=last), ways)
        raise NotAQuantity(wording("quantity.no_unit", ways=either))
    value = float(number)
    if unit == "usd" and (rate := rates.get(spelled)):
        low, high = sorted((value * rate.low, value * rate.high))
    else:
        scale, offset = known.get(spelled) or (_scale(spelled, unit, rates), 0.0)
        low = high = value * scale + offset
    if not math.isfinite(low) or not math.isfinite(high):
        raise NotAQuantity(wording("quantity.infinite"))
    return Interval(keep(low), keep(high))


def _scale(spelled: str, unit: str, rates: Rates) -> float:
    """By what a figure in a unit that the table lacks is multiplied."""
    theirs, ours = read_measure(spelled), read_measure(UNITS[unit].made_of)
    if theirs is None:
        if unit == "usd":
            known = ", ".join(("USD", *(name for name in rates if name.isalpha())))
            raise NotAQuantity(wording("quantity.other_currency", unit=spelled[:40], currencies=known))
        raise NotAQuantity(wording("quantity.other_unit", unit=spelled[:40]))
    if ours is None or theirs.powers != ours.powers:
        raise NotAQuantity(wording("quantity.other_measure", unit=spelled))
    return theirs.size / ours.size


def spell_units(unit: str) -> str:
    """The spellings to name in a message, the shortest few.

    >>> spell_units("percent")
    '%'
    """
    return ", ".join(_shortest(unit)) or wording("quantity.plain")


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
    if unit not in AMERICAN:
        return ours
    spelling, shown = AMERICAN[unit]
    scale, offset = UNITS[unit].spellings[spelling]
    low, high = (show_number((end - offset) / scale, 3) for end in (interval.low, interval.high))
    return f"{ours} ({low if low == high else f'{low} to {high}'} {shown})"
