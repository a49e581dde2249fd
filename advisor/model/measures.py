"""Spellings of units as products of measures with whole powers: `ft2`, `sq ft`, `lb/1000 ft²/24h`, `g per m2 per day`.

The grammar is small and closed: known measures, powers 2 and 3, whole factors up to four digits, `/`, `per`, `*` and
one level of brackets. Whatever else stands in a spelling makes it none, so that nothing that people type is evaluated.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import NamedTuple

from advisor.physics.units import DAY, FOOT, GALLON, HOUR, INCH, MIL, POUND, PSI, US_PERM, YEAR

LONGEST = 40  # characters of a spelling

# length, mass, time, temperature, money, activity, amount of substance
Powers = tuple[int, int, int, int, int, int, int]
NOTHING: Powers = (0, 0, 0, 0, 0, 0, 0)


class Measure(NamedTuple):
    """A measure: its size in SI, and the powers of what it is made of."""

    size: float
    powers: Powers

    def times(self, other: Measure, power: int = 1) -> Measure:
        """The product with a power of another."""
        powers = tuple(one + power * two for one, two in zip(self.powers, other.powers, strict=True))
        return Measure(self.size * other.size**power, powers)  # type: ignore[arg-type]


ONE = Measure(1.0, NOTHING)
_LENGTH, _MASS, _TIME = (1, 0, 0, 0, 0, 0, 0), (0, 1, 0, 0, 0, 0, 0), (0, 0, 1, 0, 0, 0, 0)
_AREA, _VOLUME = (2, 0, 0, 0, 0, 0, 0), (3, 0, 0, 0, 0, 0, 0)
_PRESSURE, _FORCE = (-1, 1, -2, 0, 0, 0, 0), (1, 1, -2, 0, 0, 0, 0)
# What people call a few of them, in messages.
MEASURES: dict[Powers, str] = {
    NOTHING: "share",
    _LENGTH: "length",
    _AREA: "area",
    _VOLUME: "volume",
    _MASS: "weight",
    _TIME: "time",
    _PRESSURE: "pressure",
    (0, 0, 0, 1, 0, 0, 0): "temperature",
    (0, 0, 0, 0, 1, 0, 0): "money",
}
_PREFIXED: dict[str, tuple[float, Powers, str]] = {  # of the SI's prefixes those that are in use with it
    "m|meter|metre": (1.0, _LENGTH, "kdcmun"),
    "g|gram": (1e-3, _MASS, "kmun"),
    "s|second": (1.0, _TIME, "mu"),
    "L|l|liter|litre": (1e-3, _VOLUME, "hdcmu"),
    "Pa|pascal": (1.0, _PRESSURE, "hkMG"),
    "bar": (1e5, _PRESSURE, "m"),
    "N|newton": (1.0, _FORCE, "kM"),
    "Bq|becquerel": (1.0, (0, 0, -1, 0, 0, 0, 0), "mkM"),
    "Ci|curie": (3.7e10, (0, 0, -1, 0, 0, 0, 0), "munp"),
    "mol|mole": (1.0, (0, 0, 0, 0, 0, 0, 1), "mk"),
}
_OTHERS: dict[str, tuple[float, Powers]] = {
    "in|inch|inches|\"|''": (INCH, _LENGTH),
    "ft|foot|feet|'": (FOOT, _LENGTH),
    "yd|yard": (3 * FOOT, _LENGTH),
    "mi|mile": (5280 * FOOT, _LENGTH),
    "mil|thou": (MIL, _LENGTH),
    "micron": (1e-6, _LENGTH),
    "sqft|sf": (FOOT**2, _AREA),
    "sqyd": (9 * FOOT**2, _AREA),
    "sqin": (INCH**2, _AREA),
    "sqm": (1.0, _AREA),
    "acre": (43_560 * FOOT**2, _AREA),
    "ha|hectare": (1e4, _AREA),
    "cuft|cf": (FOOT**3, _VOLUME),
    "cfm": (FOOT**3 / 60, (3, 0, -1, 0, 0, 0, 0)),
    "gal|gallon": (GALLON, _VOLUME),
    "qt|quart": (GALLON / 4, _VOLUME),
    "pint": (GALLON / 8, _VOLUME),
    "lb|lbs|pound": (POUND, _MASS),
    "oz|ounce": (POUND / 16, _MASS),
    "tonne": (1000.0, _MASS),
    "min|minute": (60.0, _TIME),
    "h|hr|hrs|hour": (HOUR, _TIME),
    "d|day": (DAY, _TIME),
    "wk|week": (7 * DAY, _TIME),
    "fortnight": (14 * DAY, _TIME),
    "month": (YEAR / 12, _TIME),
    "yr|yrs|year": (YEAR, _TIME),
    "psi": (PSI, _PRESSURE),
    "ksi": (1000 * PSI, _PRESSURE),
    "K|kelvin|degC|C|°C": (1.0, (0, 0, 0, 1, 0, 0, 0)),
    "degF|F|°F|degR": (5 / 9, (0, 0, 0, 1, 0, 0, 0)),
    "perm": (US_PERM, (-1, 0, 1, 0, 0, 0, 0)),
    "USD|usd|$|dollar": (1.0, (0, 0, 0, 0, 1, 0, 0)),
    "%|percent": (0.01, NOTHING),
    "ppm": (1e-6, NOTHING),
}
_PREFIXES: dict[str, tuple[float, str]] = {
    "G": (1e9, "giga"), "M": (1e6, "mega"), "k": (1e3, "kilo"), "h": (1e2, "hecto"), "d": (1e-1, "deci"),
    "c": (1e-2, "centi"), "m": (1e-3, "milli"), "u": (1e-6, "micro"), "n": (1e-9, "nano"), "p": (1e-12, "pico"),
}  # fmt: skip
_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d{1,4})(?!\d)|(?P<sign>[/*·()])|(?P<word>[a-zA-Z°µ%$\"']+)(?:(?:\^|\*\*)?(?P<power>[23])(?!\d))?)"
)


@lru_cache(maxsize=4096)
def read_measure(text: str) -> Measure | None:
    """What a spelling of a unit measures; None if it is none.

    >>> read_measure("sq ft") == read_measure("ft²"), read_measure("m**9**9")
    (True, None)
    """
    if len(text) > LONGEST:
        return None
    text = re.sub(r"\.(?=\s|$)", "", text)  # sq. ft.
    tokens = _tokens(text.replace("²", "2").replace("³", "3").replace("μ", "µ"))
    return _product(tokens, nested=False) if tokens else None


def _tokens(text: str) -> list[re.Match[str]]:
    """The words and signs; nothing if something stands between them."""
    found, at = [], 0
    while match := _TOKEN.match(text, at):
        found.append(match)
        at = match.end()
    return found[::-1] if at == len(text.rstrip()) else []


def _product(tokens: list[re.Match[str]], nested: bool) -> Measure | None:
    """Factors up to the end or the closing bracket; what follows a stroke or `per` divides."""
    whole, power, root, open_, begun = ONE, 1, 0, True, False
    while tokens:
        token = tokens.pop()
        sign, word, first, begun = token["sign"], token["word"], not begun, True
        if sign == ")":
            return whole if nested and not open_ and not root else None
        if sign in ("/", "*", "·") or word in ("per", "a", "an"):
            if open_ and not (first and sign == "/"):
                return None
            power, open_ = (1 if sign in ("*", "·") else -1), True
            continue
        if word in ("sq", "square", "cu", "cubic"):
            root = 2 if word[0] == "s" else 3
            continue
        if sign == "(":
            factor = None if nested else _product(tokens, nested=True)
        elif word:
            factor = _named(word)
        else:  # a figure stands only below a stroke, and counts what follows: neither `8 ft 6` nor `in/10` is a unit
            figure = int(token["number"])
            counts = bool(tokens) and (tokens[-1]["word"] or tokens[-1]["sign"] == "(")
            allowed = open_ and (figure == 1 or (figure and counts and (nested or power == -1)))
            factor = Measure(float(figure), NOTHING) if allowed else None
        if factor is None or (root and (not word or token["power"])):
            return None
        whole = whole.times(factor, power * (root or int(token["power"] or 1)))
        root, open_ = 0, False
        power = power if token["number"] else 1  # `/1000 ft2` divides by both
    return None if nested or open_ or root else whole


def _named(word: str) -> Measure | None:
    """A measure by its name, in the plural too; in other capitals where that leaves no doubt."""
    exact, any_case = _names()
    for names, name in ((exact, word), (any_case, word.lower())):
        found = names.get(name) or (names.get(name[:-1]) if len(name) > 2 and name.endswith("s") else None)
        if found:
            return found
    return None


@cache
def _names() -> tuple[dict[str, Measure], dict[str, Measure]]:
    """All names of measures as written, and those that differ in more than capitals from any that means another."""
    exact: dict[str, Measure] = {}
    for names, (size, powers, prefixes) in _PREFIXED.items():
        for name in names.split("|"):
            exact[name] = Measure(size, powers)
            for each in prefixes:
                scale, word = _PREFIXES[each]
                exact[f"{word if len(name) > 3 else each}{name}"] = Measure(scale * size, powers)
    exact |= {f"µ{name[1:]}": each for name, each in exact.items() if name[0] == "u"}
    for names, other in _OTHERS.items():
        exact |= dict.fromkeys(names.split("|"), Measure(*other))
    folded: dict[str, set[Measure]] = {}
    for name, measure in exact.items():
        folded.setdefault(name.lower(), set()).add(measure)
    any_case = {name: next(iter(some)) for name, some in folded.items() if len(some) == 1}
    return exact, any_case
