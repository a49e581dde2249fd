"""What people write otherwise made plain, before a quantity is read: fractions, feet and inches, rooms, money."""

from __future__ import annotations

import math
import re
from unicodedata import numeric

from advisor.model.units import UNITS
from explanations.wording import wording

LONGEST = 200  # characters of a quantity

NUMBER = r"[+-]?(?:\d{1,15}(?:\.\d{1,15})?|\.\d{1,15})(?:[eE][+-]?\d{1,3})?(?!\d|\.\d)"


def is_number(text: str) -> bool:
    """Whether a text is one bare number and nothing else, as a table has them.

    >>> is_number("129.00"), is_number("1_0"), is_number("nan"), is_number("12 m")
    (True, False, False, False)
    """
    return re.fullmatch(NUMBER, text.strip()) is not None


class NotAQuantity(ValueError):
    """The text is not a number with a unit; the message says why."""


_ALIKE = str.maketrans({"−": "-", "\u00a0": " ", "…": "..", "’": "'", "′": "'", "”": '"', "″": '"', "％": "%"})
_DATE = re.compile(r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4}")
_A_DATE_FOR = {  # by unit, what is said of a date
    **dict.fromkeys(("day", "hour", "year"), "quantity.date.since"),
    "calendar_year": "quantity.date.year",
}
_FRACTION = re.compile(r"(?<![\w/])(?<!\d\.)(?:(\d{1,6})[ -])?(\d{1,6})/([1-9]\d?)(?=\s|\"|'|-?in|-?ft|-\d|$)")
_FRACTION_SIGN = re.compile(r"(\d{0,6}) ?([¼½¾⅓⅔⅛⅜⅝⅞])")
_FEET = re.compile(
    r"(\d{1,9})\s*(?:-?(?:ft|feet|foot)\b,?(?:\s+and\b)?|'-?)\s*(\d+(?:\.\d+)?)\s*(?:-?(?:inches|inch|in)(?!\w)|\"|'')"
)
_IN_PARTS = re.compile(
    r"(?<![\w.])(\d{1,6})\s*([a-z]+)\.?,?\s+(?:and\s+)?(\d{1,6}(?:\.\d{1,6})?)\s*([a-z]+)(?![\w²³])\.?"
)
_ROOM = re.compile(rf"({NUMBER})\s*([^\d\s.x×]*)\s*(?:x|×|by)\s*({NUMBER})\s*(\D+)")
_SIGN = re.compile(rf"([$€£]|\b[A-Z]{{1,3}}\$)\s*(\d{{1,3}}(?:,\d{{3}})+|{NUMBER})(k\b)?")
_THOUSAND = re.compile(r"(?<![\w.])(\d{1,6}(?:\.\d{1,3})?)\s?k\b")
_THOUSANDS_TO = re.compile(r"(?<![\w.])(\d{1,3}(?:\.\d{1,3})?)(\s*(?:to|-|–)\s*)(\d{1,3}(?:\.\d{1,3})?)\s?k\b")
_SHARE = re.compile(r"(?:%|\bpercent|\bpct|\bper cent|(?<=\d))\s*(?:r\.?\s?h\b\.?|relative humidity)", re.IGNORECASE)
_FORCE = re.compile(r"(\d\s*)(?:lbs?\.?|pounds?)\s?(?:/|per)\s?(?:sq\.? ?in\w*\.?|square inch|in2|in²)", re.IGNORECASE)
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")


_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_COUNTED = re.compile(rf"\b({'|'.join(_NUMBERS)})\b", re.IGNORECASE)
_WEEKENDS = re.compile(r"(?:\b(\d{1,3}) |\ba )weekends?\b", re.IGNORECASE)
_A_TIME = re.compile(r"(?<!half )\ban? (?=(?:hour|day|week|month|year)\b)", re.IGNORECASE)


def plain(text: str, unit: str) -> str:
    """The text with what people write otherwise made plain: fractions, feet and inches, rooms, thousands, `about`."""
    if len(text) > LONGEST:
        raise NotAQuantity(wording("quantity.too_long"))
    text = re.sub(r"\.{3,}", "..", " ".join(text.translate(_ALIKE).split()))  # 0.5...8 is no .8
    text = _FRACTION_SIGN.sub(lambda m: f"{int(m[1] or 0) + numeric(m[2]):.12g}", text)
    if _DATE.fullmatch(text):
        raise NotAQuantity(wording(_A_DATE_FOR.get(unit, "quantity.date.number")))
    if text.endswith(("?", "!")):
        raise NotAQuantity(wording("quantity.unsure", sign=text[-1]))
    text = re.sub(r"^(?:about|around|approx\.?|approximately|roughly|circa|ca\.|~)\s*", "", text)
    text = _COUNTED.sub(lambda m: str(_NUMBERS.index(m[1].lower()) + 1), text)
    if unit == "day":
        text = _WEEKENDS.sub(lambda m: f"{2 * int(m[1] or 1)} days", text)
        text = _A_TIME.sub("1 ", text)
    text = re.sub(r"(?<=\w)\s+(?:thick|deep|wide|high|tall|long|old)$", "", text)
    text = re.sub(r"^between\s+(.*)\s+and\s+", r"\1 to ", text)
    text = re.sub(r"^from\s+(?=.*\d)(?=.*(?:\bto\b|-))", "", text)
    text = _SIGN.sub(r"\2\3 \1", text)
    if unit == "calendar_year":
        text = re.sub(r"^(?:the )?(\d{3})0'?s$", r"\g<1>0 to \g<1>9", text)
    if unit == "percent":  # 78/80/84 % are three readings, and `RH` says of what they are
        text = _SHARE.sub("%", re.sub(r"(?<=[\d%])\s*/\s*(?=\d)", ", ", text))
    if unit == "usd":
        text = _THOUSANDS_TO.sub(lambda m: f"{m[1]}k{m[2]}{m[3]}k" if float(m[1]) < float(m[3]) else m[0], text)
        text = _THOUSAND.sub(lambda m: f"{float(m[1]) * 1000:.12g}", text)
    text = _FORCE.sub(r"\1psi", text)
    text = _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.12g}", text)
    text = _FEET.sub(lambda m: f"{12 * int(m[1]) + float(m[2]):.12g} in", text)
    text = _IN_PARTS.sub(_time, text)
    text = re.sub(r"(?<=\d)-(?=[a-zA-Z])", " ", text)  # 4-inch
    if room := _ROOM.fullmatch(text):
        text = _area(*room.groups()) or text
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", text)
    text = _THOUSANDS.sub(lambda m: m[0].replace(",", ""), text)
    if re.search(r"\d,\d", text):
        raise NotAQuantity(wording("quantity.comma"))
    return text


def _time(match: re.Match[str]) -> str:
    """Years and months, weeks and days, as one time; as written where these are none, or could be two readings."""
    days = UNITS["day"].spellings
    large, small = days.get(match[2]), days.get(match[4])
    if not large or not small or float(match[3]) * small[0] >= large[0]:
        return match[0]
    return f"{float(match[1]) * large[0] + float(match[3]) * small[0]:.12g} days"


def _area(length: str, spelled: str, width: str, shared: str) -> str:
    """The area of a room from its sides, each in its own unit; empty where these are no lengths."""
    lengths = UNITS["mm"].spellings
    sides = [lengths.get(each.strip()) for each in (spelled or shared, shared)]
    if None in sides:
        return ""
    square_mm = math.prod(float(side) * scale[0] for side, scale in zip((length, width), sides, strict=True) if scale)
    return f"{square_mm / 1e6:.12g} m2" if math.isfinite(square_mm) else ""
