"""Computed facts of one floor, worked out by the formulas; of many, see `engines.computed_columns`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from advisor.facts.formula import Subject, Work
from advisor.facts.formulas import FORMULAS
from advisor.model.entry import UNKNOWN
from advisor.model.finishes import Finish
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.quantities import keep
from advisor.model.values import Value, number
from advisor.physics.bounds import Interval, Span
from explanations.wording import label


@dataclass(frozen=True)
class OneFloor:
    """The facts of one floor."""

    facts: Mapping[str, Value]

    def span(self, name: str, scale: float = 1.0) -> Span:
        """Its two ends."""
        interval = self.facts[name].interval
        assert interval is not None
        return Span(interval.low * scale, interval.high * scale)

    def has(self, name: str, value: str) -> bool:
        """Whether it is known to have a value."""
        return self.facts[name].choice == value

    def once(self, _: object, work: Callable[[], Work], /) -> Work:
        """Worked out anew: a working memory is still being filled."""
        return work()


def compute(base: RuleBase, name: str, facts: Mapping[str, Value], finish: Finish | None = None) -> Value:
    """Work out one fact. Its bounds follow from the inputs' bounds; it is unknown while an input it needs is.

    Args:
        base: for the fact's kind and unit.
        name: the fact.
        facts: all facts it is computed from.
        finish: the finish it is about, if any.
    """
    kind = base.facts[name]
    assert kind.computed is not None
    exact = FORMULAS[kind.computed.by].function(OneFloor(facts), Subject(base, finish))
    low = min(max(exact.low, kind.plausible.low), kind.plausible.high)
    high = max(min(exact.high, kind.plausible.high), kind.plausible.low)
    interval = Interval(keep(low), keep(high))
    inputs = tuple(n for n in kind.computed.inputs if not any(p.holds(facts[p.fact]) for p in needless_where(base, n)))
    if all(facts[each].known for each in inputs):
        rate = next((facts[each].rate for each in inputs if facts[each].rate), "")
        return number(interval, kind.unit, "computed", note=kind.computed.method, inputs=inputs, rate=rate)
    return Value("unknown", False, label("value", UNKNOWN), interval=interval, note=kind.computed.method, inputs=inputs)


def needless_where(base: RuleBase, name: str) -> list[Pattern]:
    """Where a fact is not missing though nobody knows it: any of these choices of other facts."""
    patterns = (pattern_on(base, other, texts, None) for other, texts in base.facts[name].needless_where.items())
    return [pattern for pattern in patterns if pattern]
