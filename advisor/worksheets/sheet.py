"""What a worksheet is: inputs, a calculation in steps, a source; and how its inputs are read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import inf
from typing import TYPE_CHECKING, Any

from advisor.errors import BadCase, Fault, nearest
from advisor.model.quantities import NotAQuantity, read_quantity, show, show_number, spell_units
from advisor.physics.bounds import Interval, bounds

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase


@dataclass(frozen=True)
class Input:
    """One thing a sheet asks for: a number in a unit, or one of some words. Without a default it must be given."""

    name: str
    ask: str
    unit: str = ""
    low: float = 0.0
    high: float = inf
    default: str | None = None
    choices: tuple[str, ...] = ()
    many: bool = False
    one: bool = False  # one figure: the calculation takes no range

    @property
    def allowed(self) -> str:
        """What may be given, in one line."""
        if self.choices:
            return ", ".join(self.choices)
        if not self.unit:
            return "a text"
        limits = (
            f"{show_number(self.low)} or more" if self.high == inf else show(Interval(self.low, self.high), self.unit)
        )
        more = ", or a range such as A to B"
        if self.many or self.one:
            more = ", several separated by commas" if self.many else ", one figure"
        return f"{limits} (units: {spell_units(self.unit)}){more}"


@dataclass(frozen=True)
class Step:
    """One line of the calculation."""

    what: str
    formula: str
    value: str


@dataclass(frozen=True)
class Result:
    """The steps, the conclusion in a sentence or more, and data for a picture where the sheet has one."""

    steps: tuple[Step, ...]
    conclusion: tuple[str, ...]
    picture: Any = None


class Given:
    """The inputs as read, by name; and the rule base, for sheets that need its data."""

    def __init__(self, values: Mapping[str, Any], rule_base: Callable[[], RuleBase]) -> None:
        self._values = values
        self.rule_base = rule_base

    def norm(self, name: str, scale: float = 1.0) -> Interval:
        """A figure of a test's standard or of the trade, in its unit times `scale`."""
        interval = self.rule_base().norms[name].interval
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
    """A worksheet by its name on the command line."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    work: Callable[[Given], Result]
    source: str
    leaves_out: str = ""
    picture: str = ""  # what its picture shows, if it has one
    optional: frozenset[str] = field(default_factory=frozenset)

    def read(self, stated: Mapping[str, str], rule_base: Callable[[], RuleBase]) -> Given:
        """Read the inputs as stated.

        Args:
            stated: the inputs as texts, by name.
            rule_base: loads the rule base, called only by sheets that need it.

        Raises:
            BadCase: every fault: unknown names, missing inputs, wrong units, what is out of range.
        """
        names = [each.name for each in self.inputs]
        faults = [
            Fault(self.name, f'there is no input "{name}"', ", ".join(names), nearest(name, names))
            for name in stated
            if name not in names
        ]
        values: dict[str, Any] = {}
        for each in self.inputs:
            text = stated.get(each.name, each.default)
            if text is None:
                values[each.name] = None
                if each.name not in self.optional:
                    faults.append(Fault(self.name, f'"{each.name}" is missing: {each.ask}', each.allowed))
                continue
            try:
                values[each.name] = _read(each, text)
            except ValueError as error:
                faults.append(Fault(self.name, f'{each.name} is given as "{text}": {error}', each.allowed))
        if faults:
            raise BadCase(faults)
        return Given(values, rule_base)


def _read(each: Input, text: str) -> Any:
    if each.choices:
        word = text.strip().lower().replace(" ", "_")
        if word not in each.choices:
            raise ValueError(f"it is not one of its values. {nearest(word, each.choices)}".strip())
        return word
    if not each.unit:
        return text
    plausible = Interval(each.low, min(each.high, 1e15))
    if not each.many:
        interval = read_quantity(text, each.unit, plausible)
        if each.one and interval.low != interval.high:
            raise NotAQuantity("one figure is needed here; for a range, work it at both ends")
        return interval
    readings = [read_quantity(part, each.unit, plausible) for part in text.split(",")]
    if any(reading.low != reading.high for reading in readings):
        raise NotAQuantity("each must be one figure")
    return readings


def across(function: Callable[..., Any], scale: float = 1.0, /, **arguments: float | Interval) -> Interval:
    """True bounds of a physics function over ranges, times `scale`."""
    found = bounds(function, **arguments)
    return Interval(found.low * scale, found.high * scale)


def spanned(interval: Interval, unit: str) -> str:
    """A span for reading, in a unit's own sign: `13 to 15 Pa`."""
    low, high = show_number(interval.low), show_number(interval.high)
    return f"{low} {unit}".strip() if low == high else f"{low} to {high} {unit}".strip()


SHEETS: dict[str, Sheet] = {}


def sheet(
    name: str,
    title: str,
    inputs: Iterable[Input],
    source: str,
    leaves_out: str = "",
    picture: str = "",
    optional: Iterable[str] = (),
    ranges: bool = True,
) -> Callable[[Callable[[Given], Result]], Callable[[Given], Result]]:
    """Register a calculation as a worksheet."""

    def register(work: Callable[[Given], Result]) -> Callable[[Given], Result]:
        asked = tuple(each if ranges else replace(each, one=True) for each in inputs)
        SHEETS[name] = Sheet(name, title, asked, work, source, leaves_out, picture, frozenset(optional))
        return work

    return register
