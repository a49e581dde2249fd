"""What a worksheet is: inputs, a calculation in steps, a source; and how its inputs are read."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf
from typing import TYPE_CHECKING, Any

from advisor.errors import BadCase, Fault, nearest
from advisor.model.as_written import NUMBER, is_number
from advisor.model.quantities import UNITS, NotAQuantity, read_quantity, show, show_both, show_number, spell_units
from advisor.physics.bounds import Interval, bounds
from advisor.worksheets.figures import blanks, taken
from explanations.wording import wording
from explanations.words import in_short

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase


@dataclass(frozen=True)
class Input:
    """One thing a sheet asks for: a number in a unit, or one of some words.

    Left out, it is its `default` or a `figure` of the rule base (`figures.figure_of`); without either it must be given.
    """

    name: str
    unit: str = ""
    low: float = 0.0
    high: float = inf
    default: str | None = None
    figure: str = ""
    choices: tuple[str, ...] = ()
    many: bool = False
    one: bool = False  # one figure: the calculation takes no range
    ask: str = ""  # the key of its text, where several sheets ask the same

    @property
    def allowed(self) -> str:
        """What may be given, in one line."""
        if self.choices:
            return ", ".join(self.choices)
        if not self.unit:
            return wording("worksheets.a_text")
        if self.high == inf:
            limits = wording("worksheets.or_more", low=show_number(self.low))
        else:
            limits = show(Interval(self.low, self.high), self.unit)
        kind = "many" if self.many else "one" if self.one else "range"
        return wording("worksheets.numbers", limits=limits, units=spell_units(self.unit), kind=kind)

    def when_left_out(self, base: RuleBase) -> str | None:
        """What is taken where it is not given."""
        return taken(base, self.figure, self.unit) if self.figure else self.default


@dataclass(frozen=True)
class Step:
    """One line of the calculation."""

    what: str
    formula: str
    value: str


def step(key: str, value: str, /, **given: object) -> Step:
    """A step from its texts: what it works out under `key`, the formula under `key` with `_by`."""
    return Step(wording(key, **given), wording(f"{key}_by", **given), value)


@dataclass(frozen=True)
class Result:
    """The steps, the conclusion in a sentence or more, and data for a picture where the sheet has one."""

    steps: tuple[Step, ...]
    conclusion: tuple[str, ...]
    picture: Any = None


class Given:
    """The inputs of a sheet as read, by name; the rule base; and the sheet's texts."""

    def __init__(self, sheet: Sheet, values: Mapping[str, Any], base: RuleBase) -> None:
        self._sheet, self._values, self.base = sheet, values, base

    @cached_property
    def _blanks(self) -> dict[str, str]:
        return self._sheet.blanks(self.base)

    def says(self, name: str, /, **given: object) -> str:
        """A text of the sheet."""
        return wording(f"{self._sheet.key}.{name}", **self._blanks, **given)

    def step(self, name: str, value: str, /, **given: object) -> Step:
        """A step of the sheet."""
        return step(f"{self._sheet.key}.{name}", value, **self._blanks, **given)

    def norm(self, name: str, scale: float = 1.0) -> Interval:
        """A figure of a test's standard or of the trade, in its unit times `scale`."""
        interval = self.base.norms[name].interval
        return Interval(interval.low * scale, interval.high * scale)

    def span(self, name: str, scale: float = 1.0) -> Interval:
        """A number as the interval it can lie in, times `scale`."""
        interval: Interval = self._values[name]
        return Interval(interval.low * scale, interval.high * scale)

    def exact(self, name: str, scale: float = 1.0) -> float:
        """A number that is one figure (its input says so), times `scale`."""
        interval: Interval = self._values[name]
        return interval.low * scale

    def several(self, name: str, scale: float = 1.0) -> list[float]:
        """A list of numbers, each times `scale`."""
        return [each.low * scale for each in self._values[name]]

    def word(self, name: str) -> str:
        """One of the input's words, or a text."""
        return str(self._values[name])

    def yes(self, name: str) -> bool | None:
        """Whether it is yes; None if unknown."""
        return {"yes": True, "no": False}.get(self.word(name))

    def has(self, name: str) -> bool:
        """Whether an optional input was given."""
        return self._values.get(name) is not None


@dataclass(frozen=True)
class Sheet:
    """A worksheet by its name on the command line; its texts stand under `key`."""

    name: str
    key: str
    inputs: tuple[Input, ...]
    work: Callable[[Given], Result]
    pictured: bool = False
    optional: frozenset[str] = field(default_factory=frozenset)

    @property
    def title(self) -> str:
        """What it works out."""
        return wording(f"{self.key}.title")

    def blanks(self, base: RuleBase) -> dict[str, str]:
        """What may stand in the braces of its texts."""
        return blanks(base, {each.name: each.figure for each in self.inputs if each.figure})

    def read(self, stated: Mapping[str, str], base: RuleBase) -> Given:
        """Read the inputs as stated.

        Args:
            stated: the inputs as texts, by name.
            base: the rule base, for what is taken where an input is left out.

        Raises:
            BadCase: every fault: unknown names, missing inputs, wrong units, what is out of range.
        """
        names = [each.name for each in self.inputs]
        faults = [
            Fault(self.name, wording("worksheets.no_input", name=name), ", ".join(names), nearest(name, names))
            for name in stated
            if name not in names
        ]
        values: dict[str, Any] = {}
        for each in self.inputs:
            text = stated.get(each.name, each.when_left_out(base))
            if text is None:
                values[each.name] = None
                if each.name not in self.optional:
                    asked = wording(each.ask, **self.blanks(base))
                    what = wording("worksheets.missing_input", name=each.name, ask=asked)
                    faults.append(Fault(self.name, what, each.allowed))
                continue
            try:
                values[each.name] = _read(each, text)
            except ValueError as error:
                what = wording("worksheets.given_as", name=each.name, text=in_short(text), why=error)
                faults.append(Fault(self.name, what, each.allowed))
        if faults:
            raise BadCase(faults)
        return Given(self, values, base)


def _read(each: Input, text: str) -> Any:
    if each.choices:
        word = text.strip().lower().replace(" ", "_")
        if word not in each.choices:
            raise ValueError(f"{wording('worksheets.no_value')} {nearest(word, each.choices)}".strip())
        return word
    if not each.unit:
        return text
    plausible = Interval(each.low, min(each.high, 1e15))
    if not each.many:
        interval = read_quantity(text, each.unit, plausible)
        if each.one and interval.low != interval.high:
            raise NotAQuantity(wording("worksheets.one_figure"))
        return interval
    readings = [read_quantity(part, each.unit, plausible) for part in _listed(text)]
    if any(reading.low != reading.high for reading in readings):
        raise NotAQuantity(wording("worksheets.each_one_figure"))
    return readings


def _listed(text: str) -> list[str]:
    """The figures of a list; a unit at its end holds for those that have none.

    >>> _listed("78, 80 and 84 %"), _listed("3 lb, 4 lb"), _listed("7, 8")
    (['78 %', '80 %', '84 %'], ['3 lb', '4 lb'], ['7', '8'])
    """
    parts = [part.strip() for part in re.split(r"[,;]\s*and\b|[,;]|\band\b", text)]
    unit = re.sub(rf"^{NUMBER}\s*", "", parts[-1])
    return [f"{part} {unit}".strip() if is_number(part) else part for part in parts]


def across(function: Callable[..., Any], scale: float = 1.0, /, **arguments: float | Interval) -> Interval:
    """True bounds of a physics function over ranges, times `scale`."""
    found = bounds(function, **arguments)
    return Interval(found.low * scale, found.high * scale)


def spanned(interval: Interval, unit: str) -> str:
    """A span for reading: in the reader's unit for one of `UNITS`, else in a unit's own sign, as `13 to 15 Pa`."""
    if unit in UNITS and unit:
        return show_both(interval, unit, 4)
    low, high = show_number(interval.low), show_number(interval.high)
    return (f"{low} {unit}" if low == high else wording("worksheets.span", low=low, high=f"{high} {unit}")).strip()


def figure(value: float, unit: str, digits: int = 3) -> str:
    """One figure for reading, in the reader's unit."""
    return show_both(Interval(value, value), unit, digits)


SHEETS: dict[str, Sheet] = {}


def sheet(
    name: str,
    key: str,
    inputs: Iterable[Input],
    pictured: bool = False,
    optional: Iterable[str] = (),
    ranges: bool = True,
) -> Callable[[Callable[[Given], Result]], Callable[[Given], Result]]:
    """Register a calculation as a worksheet.

    Args:
        name: on the command line.
        key: of its texts: `title`, `source`, `leaves_out`, `ask.INPUT`, what its picture shows, its steps and results.
        inputs: what it asks for.
        pictured: whether it has a picture.
        optional: inputs that may be left out though nothing is taken in their place.
        ranges: whether the calculation takes ranges.
    """

    def register(work: Callable[[Given], Result]) -> Callable[[Given], Result]:
        asked = (each if ranges else replace(each, one=True) for each in inputs)
        worded = tuple(each if each.ask else replace(each, ask=f"{key}.ask.{each.name}") for each in asked)
        SHEETS[name] = Sheet(name, key, worded, work, pictured, frozenset(optional))
        return work

    return register
