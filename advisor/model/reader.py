"""Amounts in a reader's units: US or SI, money with its currency, days and hours."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import show_number
from advisor.model.units import THEIRS, UNITS
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from explanations.reading import Reading
from explanations.reading import System as System
from explanations.wording import wording

SYSTEMS: dict[str, System] = {"united_states": "us"}  # by country; elsewhere SI
MEASURED = ("m2", "m", "l", "kg")  # the units in which work is measured; all else is counted
METRIC = {  # how they, and their tenths and thousandths, are spelled
    name for unit in MEASURED for name, (scale, _) in UNITS[unit].spellings.items() if math.log10(scale).is_integer()
}


def _american(unit: str) -> tuple[float, str]:
    """How much of a unit is in the one that is usual in the United States, and how that is shown."""
    spelling, shown = THEIRS["us"][unit]
    return UNITS[unit].spellings[spelling][0], shown


@dataclass(frozen=True)
class Reader:
    """How one reader wants figures."""

    system: System
    currency: str

    def amount(self, value: float, unit: str, up: bool = False) -> str:
        """An amount of something counted in m2, m, l, kg, each or days; `up` rounds towards more."""
        if unit not in MEASURED:
            number = str(math.ceil(value - 1e-9)) if up else show_number(round(value, 2))
            if unit == "days":
                return wording("page.days", days=number)
            return number if unit == "each" else f"{number} {unit}"
        size, name = _american(unit) if self.system == "us" else (1.0, UNITS[unit].shown)
        shown = value / size
        step = 0.1 if shown < 100 else 1.0
        rounded = math.ceil(shown / step - 1e-9) * step if up else round(shown / step) * step
        return f"{show_number(rounded)} {name}"

    def pack(self, holds: float, unit: str, sold_as: str) -> str:
        """A pack as the book names it; for a reader of SI units by what it holds, where that is not named so.

        >>> Reader("si", "USD").pack(54.864, "m", "180 ft"), Reader("us", "USD").pack(54.864, "m", "180 ft")
        ('55 m', '180 ft')
        """
        if self.system == "us" or unit not in MEASURED or sold_as.split(" ")[-1] in METRIC:
            return sold_as
        return f"{show_number(holds, 2)} {UNITS[unit].shown}"

    def span(self, interval: Interval, unit: str) -> str:
        """A range of amounts."""
        low, high = self.amount(interval.low, unit), self.amount(interval.high, unit)
        return low if low == high else to(low.split(" ")[0], high)

    def temperature(self, celsius: float) -> str:
        """A temperature."""
        return f"{celsius * 1.8 + 32:.0f} °F" if self.system == "us" else f"{celsius:.0f} °C"

    def money(self, low: float, high: float | None = None) -> str:
        """A sum, or a range of sums: whole, the low end rounded down and the high end up."""
        if high is None:
            return f"{self.currency} {low:,.2f}"
        first, last = math.floor(low + 1e-6), math.ceil(high - 1e-6)
        return f"{self.currency} {f'{first:,}' if first == last else to(f'{first:,}', f'{last:,}')}"

    def roughly(self, amount: float, step: float) -> str:
        """A sum that is known no closer than a step.

        >>> Reader("us", "USD").roughly(1232.3, 20.0), Reader("us", "USD").roughly(4.2, 20.0)
        ('USD 1,240', 'USD 5')
        """
        return f"{self.currency} {round(amount / step) * step or math.ceil(amount):,.0f}"

    def by_area(self, low: float, high: float, area: Interval) -> str:
        """A cost for each square foot or metre."""
        size, per = _american("m2") if self.system == "us" else (1.0, UNITS["m2"].shown)
        span = to(f"{low / area.high * size:.2f}", f"{high / area.low * size:.2f}")
        return wording("page.each_area", money=f"{self.currency} {span}", unit=per)


def fineness(spread: float) -> float:
    """The step to which a sum is told that is so far from low to high: 1, 2 or 5 times a power of ten, and a unit at
    least; about a twentieth of that.

    >>> fineness(977.0), fineness(117.0), fineness(3.0)
    (20.0, 5.0, 1.0)
    """
    if spread < 20.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(spread / 20.0))
    return max(each * power for each in (1.0, 2.0, 5.0) if each * power <= spread / 20.0)


def reading_of(
    base: RuleBase, facts: Mapping[str, Value], system: System | None = None, currency: str = ""
) -> Reading | None:
    """The reader of a floor: the units and the currency of its country; None where nobody said which.

    Args:
        base: for what currencies are worth.
        facts: the floor's.
        system: asked for, in place of the country's.
        currency: of a price book, in place of the country's.
    """
    country = facts["country"].choice if "country" in facts else UNKNOWN
    if country in ("", UNKNOWN) and not (system or currency):
        return None
    known = next(
        (
            each
            for each in base.currencies.values()
            if currency in each.names or (not currency and each.country == country)
        ),
        None,
    )
    worth = (known.worth.low + known.worth.high) / 2.0 if known else 1.0
    return Reading(system or SYSTEMS.get(country, "si"), known.names[0] if known else "USD", worth)


def to(low: str, high: str) -> str:
    """A range in words."""
    return wording("page.to", low=low, high=high)


def hours_words(low: float, high: float) -> str:
    """Hours of work: whole, or by the half below three.

    >>> hours_words(1.2, 4.4), hours_words(0.2, 0.3)
    ('1 to 5 h', '0.5 h')
    """
    if high <= 3:
        first, last = math.floor(low * 2) / 2, math.ceil(high * 2) / 2
    else:
        first, last = float(math.floor(low)), float(math.ceil(high))
    if first in (last, 0.0):
        return wording("page.hours", hours=f"{last:g}")
    return wording("page.hour_span", low=f"{first:g}", high=f"{last:g}")


def days_words(low: float, high: float) -> str:
    """Days, to the half, or whole from three weeks on.

    >>> days_words(2.9, 5.1), days_words(1.0, 1.0)
    ('2.5 to 5.5 days', '1 day')
    """
    parts = 2 if high < 21 else 1
    first, last = math.floor(low * parts) / parts, math.ceil(high * parts) / parts
    if first == last:
        return wording("page.days", days=f"{last:g}")
    return wording("page.day_span", low=f"{first:g}", high=f"{last:g}")
