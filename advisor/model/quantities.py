"""Numbers with units, read as people write them (`4 in`, `8 ft 6 in`, `80 to 85 %`, `over 10 years`), and shown."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from math import gcd
from types import MappingProxyType
from typing import Literal, NamedTuple, TypeAlias

from advisor.model.as_written import LONGEST as LONGEST
from advisor.model.as_written import NUMBER, plain
from advisor.model.as_written import NotAQuantity as NotAQuantity
from advisor.model.measures import MEASURES, read_measure
from advisor.model.units import THEIRS
from advisor.model.units import UNITS as UNITS
from advisor.physics.bounds import Interval
from explanations.reading import Reading, in_other_units, reading
from explanations.wording import listed, wording

Several = Literal["span", "highest", "lowest"]  # what counts of several readings
Rates: TypeAlias = Mapping[str, Interval]  # by the name of a currency, what one of it is worth in US dollars

ANY_NUMBER = Interval(-1e15, 1e15)
DECIMALS = 9  # numbers are kept to so many places, so that every reader of the rule base sees the same one

_RANGE = re.compile(rf"(?P<low>{NUMBER})\s*(?P<unit_low>.*?)\s*(?:\bto\b|–|—|-|\.\.)\s*(?P<high>{NUMBER})(?P<unit>.*)")
_BETWEEN = re.compile(r"\s*(?:[,;] | and |[,;] and )\s*")
_READING = re.compile(rf"({NUMBER})([^\d,;]*)")
_UPWARD = ("over", "above", "at least", "more than", "after", "since", ">", ">=", "≥")
_DOWNWARD = ("under", "below", "at most", "less than", "up to", "before", "<", "<=", "≤")
_OR_MORE = ("+", "or more", "or over", "and up", "and over")
_OR_LESS = ("or less", "or under")


def _one_of(words: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


_SINGLE = re.compile(
    rf"(?P<before>{_one_of((*_UPWARD, *_DOWNWARD))})?\s*(?P<value>{NUMBER})\s*(?P<plus>\+(?!\d))?"
    rf"(?P<unit>.*?)\s*(?P<after>{_one_of((*_OR_MORE, *_OR_LESS))})?"
)


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
    text = plain(text, unit)
    if readings := _readings(text):
        several_read = [_convert(number, spelled, unit, rates) for number, spelled in readings]
        for (_, spelled), (_, next_spelled), after in zip(readings, readings[1:], several_read[1:], strict=False):
            if spelled != next_spelled and after.high < _convert("1", spelled, unit, rates).low:  # 2 m and 30 cm
                raise NotAQuantity(wording("quantity.in_parts"))
        low, high = min(each.low for each in several_read), max(each.high for each in several_read)
        low, high = (high, high) if several == "highest" else (low, low) if several == "lowest" else (low, high)
    elif match := _RANGE.fullmatch(text):
        if unit == "usd" and match["unit_low"] and match["unit_low"].strip() != match["unit"].strip():
            raise NotAQuantity(wording("quantity.two_currencies"))
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


@lru_cache(maxsize=8192)  # the same limit is compared with by many rules, and for each finish
def read_figure(text: str, unit: str) -> Interval:
    """A figure of the rule base, as `read_quantity` reads it; whether it is plausible is asked elsewhere.

    Raises:
        NotAQuantity: as there.
    """
    return read_quantity(text, unit, ANY_NUMBER)


def _readings(text: str) -> list[tuple[str, str]]:
    """Several readings with their units, the last one's where they have none; nothing where it is one."""
    found = [_READING.fullmatch(part.strip()) for part in _BETWEEN.split(text)]
    if len(found) < 2 or not all(found):
        return []
    parts = [(each[1], each[2].strip()) for each in found if each]
    return [(number, spelled or parts[-1][1]) for number, spelled in parts]


def keep(value: float) -> float:
    """The number as the working memory keeps it: nine decimals, no negative zero.

    >>> keep(0.1 + 0.2)
    0.3
    """
    return round(value, DECIMALS) + 0.0


def _convert(number: str, spelled: str, unit: str, rates: Rates) -> Interval:
    known, spelled = UNITS[unit].spellings, " ".join(spelled.split())
    if not spelled and "" not in known:
        raise NotAQuantity(wording("quantity.no_unit", ways=_ways(number, unit, rates)))
    value = float(number)
    if unit == "usd" and (rate := _rate(spelled, rates)):
        low, high = sorted((value * rate.low, value * rate.high))
    else:
        scale, offset = known.get(spelled) or _alike(unit).get(_simple(spelled)) or (_scale(spelled, unit, rates), 0.0)
        low = high = value * scale + offset
    if not math.isfinite(low) or not math.isfinite(high):
        raise NotAQuantity(wording("quantity.infinite"))
    return Interval(keep(low), keep(high))


def _rate(spelled: str, rates: Rates) -> Interval | None:
    """What one of a currency is worth, however it is written large or small."""
    return next((rate for name, rate in rates.items() if name.casefold() == spelled.casefold()), None)


def _simple(spelled: str) -> str:
    """A spelling without its dots and capitals: `Lbs.`, `ach`, `deg. F`."""
    return re.sub(r"\.(?=\s|$)", "", spelled).lower()


@cache
def _alike(unit: str) -> Mapping[str, tuple[float, float]]:
    """The spellings of a unit without dots and capitals, where that leaves no doubt which is meant."""
    found: dict[str, set[tuple[float, float]]] = {}
    for name, scaled in UNITS[unit].spellings.items():
        found.setdefault(_simple(name), set()).add(scaled)
    return {name: next(iter(some)) for name, some in found.items() if len(some) == 1}


def _ways(number: str, unit: str, rates: Rates) -> str:
    """How a number may be written with a unit."""
    units = [*_shortest(unit), *(each for each in rates if unit == "usd" and each.isalpha() and each.isupper())]
    return listed((f"`{number} {each}`" for each in units), "or")


def _scale(spelled: str, unit: str, rates: Rates) -> float:
    """By what a figure in a unit that the table lacks is multiplied."""
    theirs, ours = read_measure(spelled), read_measure(UNITS[unit].made_of)
    if theirs is not None and ours is not None and theirs.powers == ours.powers:
        return theirs.size / ours.size
    if unit == "usd":
        known = ", ".join(("USD", *(name for name in rates if name.isalpha() and name.isupper())))
        raise NotAQuantity(wording("quantity.other_currency", unit=spelled[:40], currencies=known))
    if theirs is None:
        raise NotAQuantity(wording("quantity.other_unit", unit=spelled[:40], units=spell_units(unit)))
    what = wording(f"quantity.measures.{MEASURES.get(theirs.powers, 'other')}")
    raise NotAQuantity(wording("quantity.other_measure", unit=spelled, what=what, units=spell_units(unit)))


def spell_units(unit: str) -> str:
    """The spellings to name in a message, the shortest few.

    >>> spell_units("percent")
    '%'
    """
    return ", ".join(_shortest(unit)) or wording("quantity.plain")


_ODD = re.compile(r'[_"\'|]|^usd|°|^K$|^kelvin$|^degR$')  # read, not named in messages


def _shortest(unit: str) -> list[str]:
    """The first plain spelling of each unit that the fact may be given in."""
    named = [name for name in UNITS[unit].spellings if name and not _ODD.search(name)]
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


def show(interval: Interval, unit: str, digits: int | None = None) -> str:
    """An interval with its unit, as `75 %` or `80 to 85 %`; for a reader, in theirs.

    Unless it is said, with four significant digits, and converted with three.

    >>> from explanations.reading import measuring
    >>> with measuring(Reading("us")):
    ...     show(Interval(4.8, 4.8), "mm"), show(Interval(20.0, 30.0), "degC")
    ('3/16 in', '68 to 86 °F')
    """
    reader = reading()
    return (_shown_to(reader, interval, unit, digits) if reader else "") or write(interval, unit, digits or 4)


def show_both(interval: Interval, unit: str, digits: int | None = None) -> str:
    """An interval with its unit, and where nobody said who reads it, in that of the other system too.

    >>> show_both(Interval(20.0, 30.0), "degC"), show_both(Interval(75.0, 75.0), "percent")
    ('20 to 30 °C (68 to 86 °F)', '75 %')
    """
    if reading():
        return show(interval, unit, digits)
    other = next((_shown_to(Reading(each), interval, unit, digits) for each in THEIRS if unit in THEIRS[each]), "")
    return write(interval, unit, digits or 4) + (f" ({other})" if other else "")


def show_sum(interval: Interval) -> str:
    """Money that was worked out, with three significant digits, two where it is of another currency.

    >>> show_sum(Interval(28.8, 950.0)), show_sum(Interval(4284.0, 161116.0))
    ('USD 29 to 950', 'USD 4,280 to 161,000')
    """
    reader = reading()
    foreign = reader is not None and _foreign(reader, "usd")
    scale, digits = scale_for(reader, "usd"), 2 if foreign else 3
    ends = (scale.there(each) for each in (interval.low, interval.high))
    low, high = (f"{float(f'{each:.{digits}g}'):,.0f}" for each in ends)
    return f"{scale.sign} {low if low == high else wording('page.to', low=low, high=high)}"


def write(interval: Interval, unit: str, digits: int = 4) -> str:
    """An interval in the vocabulary's own unit, so that it can be read again."""
    return _with_unit(interval, UNITS[unit].shown, digits, unit)


def in_own_unit(said: str, unit: str) -> str:
    """One figure that was said in the vocabulary's unit, however spelled, with the unit as it is shown; else as said.

    >>> in_own_unit("5 day", "day"), in_own_unit("1 day", "day"), in_own_unit("2 week", "day")
    ('5 days', '1 day', '2 week')
    """
    match = _ONE_FIGURE.fullmatch(said)
    if not match or UNITS.get(unit) is None or UNITS[unit].spellings.get(match[2]) != (1.0, 0.0):
        return said
    return f"{match[1]} {_sign(UNITS[unit].shown, match[1], unit)}".strip()


_ONE_FIGURE = re.compile(r"([\d.]+) (\S+)")


def show_text(text: str) -> str:
    """A quantity as it is written somewhere, for a reader in theirs; any other text as it is.

    >>> from explanations.reading import measuring
    >>> with measuring(Reading("us")):
    ...     show_text("7 USD/m²"), show_text("75 %")
    ('0.65 USD/ft²', '75 %')
    """
    if in_other_units(text) or "USD" in text:
        for unit in dict.fromkeys(each for units in THEIRS.values() for each in units):
            try:
                return show(read_quantity(text, unit, ANY_NUMBER), unit)
            except NotAQuantity:
                pass
    return text


_MONEY = ("usd", "usd_m2")


class Scale(NamedTuple):
    """A reader's unit: how much of the vocabulary's is one of it, where it begins, and its sign."""

    size: float
    begins: float
    sign: str

    def there(self, value: float) -> float:
        """A figure in the vocabulary's unit, in this one."""
        return (value - self.begins) / self.size

    def back(self, value: float) -> float:
        """A figure in this unit, in the vocabulary's.

        >>> round(scale_for(Reading("us"), "degC").back(68.0), 3)
        20.0
        """
        return keep(value * self.size + self.begins)


def scale_for(reader: Reading | None, unit: str) -> Scale:
    """The unit and money in which a reader wants figures that the vocabulary has in `unit`."""
    size, begins, sign = 1.0, 0.0, UNITS[unit].shown
    if reader is None:
        return Scale(size, begins, sign)
    if unit in THEIRS[reader.system]:
        spelling, sign = THEIRS[reader.system][unit]
        size, begins = UNITS[unit].spellings.get(spelling) or (_scale(spelling, unit, {}), 0.0)
    if _foreign(reader, unit):
        size, sign = size * reader.worth, sign.replace("USD", reader.currency)
    return Scale(size, begins, sign)


def _foreign(reader: Reading, unit: str) -> bool:
    return unit in _MONEY and reader.currency != "USD"


def _shown_to(reader: Reading, interval: Interval, unit: str, digits: int | None) -> str:
    """An interval in a reader's unit; empty where it is the vocabulary's own."""
    rough = _foreign(reader, unit)  # what a currency is worth
    if unit not in THEIRS[reader.system] and not rough:
        return ""
    scale = scale_for(reader, unit)
    there = Interval(scale.there(interval.low), scale.there(interval.high))
    return _with_unit(there, scale.sign, 2 if rough else digits or 3, fractions=scale.sign == "in")


def _with_unit(interval: Interval, sign: str, digits: int, unit: str = "", fractions: bool = False) -> str:
    ends = (interval.low, interval.high)
    low, high = ((_inches(each) if fractions else "") or show_number(each, digits) for each in ends)
    number = low if low == high else wording("page.to", low=low, high=high)
    return f"{number} {_sign(sign, number, unit)}".strip()


def _sign(sign: str, number: str, unit: str) -> str:
    return sign.removesuffix("s") if number == "1" and unit in ("day", "year") else sign


# A rule's divisions, coarsest first, each taken where it lies so near (part of the value): trade pairs are as rough.
_BELOW_AN_INCH = ((16, 0.02), (32, 0.02), (64, 0.02), (16, 0.06))
_FROM_AN_INCH = ((1, 0.02), (2, 0.02), (4, 0.02), (8, 0.02), (16, 0.02))


def _inches(value: float) -> str:
    """Inches as a rule shows them, whole ones and fractions; empty where no division lies near enough.

    >>> _inches(12 / 25.4), _inches(3 / 25.4), _inches(100 / 25.4), _inches(38 / 25.4), _inches(0.04)
    ('15/32', '1/8', '4', '1 1/2', '')
    """
    for parts, near in _FROM_AN_INCH if value >= 1 else _BELOW_AN_INCH:
        count = round(value * parts)
        if count >= 1 and abs(value * parts - count) <= near * count:
            whole, left = divmod(count, parts)
            up = gcd(left, parts)
            return " ".join(filter(None, (str(whole or ""), f"{left // up}/{parts // up}" if left else "")))
    return ""
