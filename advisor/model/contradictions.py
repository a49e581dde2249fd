"""What cannot be true of one floor together, or hardly: the one meaning of a contradiction, for every reading of it.

One without a `test` is hard: a case that states it is refused. One with a test is soft: its facts are set aside.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from advisor.model.conditions import Comparison, compare, parse_condition
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.remembered import OncePerBase
from advisor.model.values import Value
from advisor.model.vocabulary import Contradiction
from advisor.physics.bounds import Interval

End = Literal["low", "high"]
Op = Literal[">", ">=", "<", "<="]
OPERATORS: Mapping[Op, Callable[[Any, Any], Any]] = {
    ">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le,
}  # fmt: skip
_MIRRORED: Mapping[Op, Op] = {">": "<", ">=": "<=", "<": ">", "<=": ">="}


@dataclass(frozen=True)
class Between:
    """One end of a number against one end of another fact's number."""

    fact: str
    end: End
    op: Op
    other: str
    other_end: End

    def mirrored(self) -> Between:
        """The same, said of the other fact."""
        return Between(self.other, self.other_end, _MIRRORED[self.op], self.fact, self.end)

    def met_by(self, ends: Callable[[str, End], Any]) -> Any:
        """Whether it holds of what `ends` gives for a fact's end: numbers, arrays, or z3's terms."""
        return OPERATORS[self.op](ends(self.fact, self.end), ends(self.other, self.other_end))

    def given(self, other: Value) -> Pattern:
        """What it asks of its fact once the other is known."""
        assert other.interval is not None
        bound = other.interval.low if self.other_end == "low" else other.interval.high
        return Pattern(self.fact, comparisons=(Comparison(self.end, self.op, bound),))


@dataclass(frozen=True)
class Clash:
    """All that a contradiction asks. It holds of facts that are all stated and meet every part.

    Attributes:
        patterns: what it asks of single facts.
        between: how it compares two facts.
        asserted: the facts that it is about; one asked with `may be` only says when it applies.
    """

    patterns: tuple[Pattern, ...]
    between: tuple[Between, ...]
    asserted: tuple[str, ...]

    @property
    def facts(self) -> tuple[str, ...]:
        """All facts that it asks of."""
        compared = (name for each in self.between for name in (each.fact, each.other))
        return tuple(dict.fromkeys((*(pattern.fact for pattern in self.patterns), *compared)))

    def holds(self, facts: Mapping[str, Value]) -> bool:
        """Whether these facts are surely this contradiction; one that needs a fact not among them cannot hold."""
        return (
            all(name in facts for name in self.facts)
            and all(pattern.holds(facts[pattern.fact]) for pattern in self.patterns)
            and all(each.met_by(lambda name, end: getattr(facts[name].interval, end)) for each in self.between)
        )


_ASKED: OncePerBase[dict[tuple[tuple[str, tuple[str, ...]], ...], Clash]] = OncePerBase(lambda _: {})


def asked(base: RuleBase, contradiction: Contradiction, of: Collection[str] | None = None) -> Clash:
    """What a contradiction asks.

    Args:
        base: the rule base.
        contradiction: one of its own.
        of: only what it asks of these facts.
    """
    known = _ASKED(base)
    when = tuple((name, texts) for name, texts in contradiction.when.items() if of is None or name in of)
    if when not in known:
        known[when] = _asked(base, when)
    return known[when]


def _asked(base: RuleBase, when: Iterable[tuple[str, tuple[str, ...]]]) -> Clash:
    patterns: list[Pattern] = []
    between: list[Between] = []
    asserted: list[str] = []
    for name, texts in when:
        conditions = [parse_condition(text) for text in texts]
        alone = tuple(t for t, asks in zip(texts, conditions, strict=True) if not asks.operand.startswith("fact."))
        if alone:
            pattern = pattern_on(base, name, alone, None)
            assert pattern is not None  # it compares with no finish
            patterns.append(pattern)
        for asks in conditions:
            if asks.order and asks.operand.startswith("fact."):
                one = compare(asks.order, asks.may, Interval(0.0, 1.0))  # its bound tells which end it takes
                end: End = "low" if one.bound == 0.0 else "high"
                between.append(Between(name, one.end, one.op, asks.operand.removeprefix("fact."), end))
        if not all(asks.may for asks in conditions):
            asserted.append(name)
    return Clash(tuple(patterns), tuple(between), tuple(asserted))


def clashes(base: RuleBase, soft: bool) -> dict[str, Clash]:
    """What the hard contradictions ask, or the soft ones, by id."""
    some = base.contradictions.items()
    return {name: asked(base, each) for name, each in some if (each.test is not None) == soft}


def contradicted(base: RuleBase, facts: Mapping[str, Value]) -> list[Contradiction]:
    """What the stated facts surely are that cannot be."""
    return [each for each in base.contradictions.values() if each.test is None and contradicts(base, each, facts)]


def contradicts(base: RuleBase, contradiction: Contradiction, facts: Mapping[str, Value]) -> bool:
    """Whether the stated facts are surely this contradiction."""
    return contradiction.when.keys() <= facts.keys() and asked(base, contradiction).holds(facts)


def compared_facts(contradiction: Contradiction) -> set[str]:
    """The facts that a contradiction compares others with."""
    conditions = (parse_condition(text) for texts in contradiction.when.values() for text in texts)
    return {asks.operand.removeprefix("fact.") for asks in conditions if asks.operand.startswith("fact.")}
