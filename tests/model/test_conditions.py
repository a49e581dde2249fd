"""Conditions against their definition: a condition surely holds if it does in every world, and may if it does in one.

The worlds are enumerated: every whole number of an interval, every value that a choice can have. Nothing here looks at
the ends of an interval, which is how the code does it.
"""

from __future__ import annotations

import operator
from itertools import combinations, product

import pytest

from advisor.model.conditions import Comparison, allowed_values, compare, parse_condition
from advisor.model.contradictions import contradicted, contradicts
from advisor.model.entry import UNKNOWN
from advisor.model.finishes import Finish, PropertyValue
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern
from advisor.model.rules import Limit
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import Contradiction, FactKind
from advisor.physics.bounds import Interval

MEANING = {"above": operator.gt, "at least": operator.ge, "below": operator.lt, "at most": operator.le}
SPANS = [(low, high) for low in range(5) for high in range(low, 5)]
COLOURS = ("red", "green", "blue")


def whole(span: tuple[int, int]) -> range:
    return range(span[0], span[1] + 1)


def interval(span: tuple[int, int]) -> Interval:
    return Interval(float(span[0]), float(span[1]))


def in_the_worlds(order: str, may: bool, value: tuple[int, int], operand: tuple[int, int]) -> bool:
    """The definition: for every, or for some, value and every, or some, operand."""
    return (any if may else all)(MEANING[order](v, w) for v, w in product(whole(value), whole(operand)))


@pytest.mark.parametrize("may", [False, True])
@pytest.mark.parametrize("order", MEANING)
def test_an_order_holds_as_in_the_worlds(order: str, may: bool) -> None:
    for value, operand in product(SPANS, SPANS):
        comparison = compare(order, may, interval(operand))  # type: ignore[arg-type]
        assert comparison.holds(interval(value)) == in_the_worlds(order, may, value, operand), (value, operand)


def kind(**rest: object) -> FactKind:
    return FactKind.model_validate({"why": "so that it can be tried", "ask": "What is it?", **rest})


def rules(**contradictions: Contradiction) -> RuleBase:
    """Three numbers and a colour, limits 0 to 4, a finish for each interval of a property and each set of colours."""
    plausible = {"unit": "percent", "type": "number", "plausible": Interval(0.0, 4.0)}
    facts = {name: kind(**plausible) for name in ("wet", "dry", "old")}
    facts["colour"] = kind(type="choice", values=COLOURS)
    finishes = {
        f"f{low}{high}": Finish.model_construct(
            id=f"f{low}{high}",
            properties={"edge": PropertyValue.model_construct(interval=interval((low, high)), choices=())},
        )
        for low, high in SPANS
    }
    for place, some in enumerate(sets_of_colours()):
        suits = PropertyValue.model_construct(interval=None, choices=some)
        finishes[f"c{place}"] = Finish.model_construct(id=f"c{place}", properties={"suits": suits, "edge": suits})
    limits = {
        f"l{n}": Limit.model_validate({"is": f"{n} percent", "means": "a limit", "source": "x"}) for n in range(5)
    }
    return RuleBase.model_construct(
        facts=facts, finishes=finishes, limits=limits, findings={}, contradictions=contradictions
    )


def asked(base: RuleBase, fact: str, *texts: str, finish: str = "") -> Pattern:
    pattern = pattern_on(base, fact, texts, base.finishes[finish] if finish else None)
    assert pattern is not None
    return pattern


def sets_of_colours() -> list[tuple[str, ...]]:
    return [some for size in range(len(COLOURS) + 1) for some in combinations(COLOURS, size)]


@pytest.mark.parametrize("order", MEANING)
def test_a_condition_of_a_rule_reads_its_operand(order: str) -> None:
    """By a limit, which is one figure, and by a finish's interval; a finish without the limit is not judged."""
    base = rules()
    for value in SPANS:
        there = number(interval(value), "percent")
        for may, word in ((False, ""), (True, "may be ")):
            for limit in range(5):
                pattern = asked(base, "wet", f"{word}{order} limit.l{limit}")
                assert pattern.holds(there) == in_the_worlds(order, may, value, (limit, limit))
            for low, high in SPANS:
                pattern = asked(base, "wet", f"{word}{order} finish.edge", finish=f"f{low}{high}")
                assert pattern.holds(there) == in_the_worlds(order, may, value, (low, high))
    assert pattern_on(base, "wet", (f"{order} finish.edge",), base.finishes["c1"]) is None


def test_conditions_on_one_fact_stand_together() -> None:
    base = rules()
    for first, second in product(MEANING, MEANING):
        texts = (f"{first} limit.l1", f"may be {second} limit.l3")
        pattern = asked(base, "wet", *texts)
        known, not_known = (asked(base, "wet", *texts, each) for each in ("known", "unknown"))
        for value in SPANS:
            both = in_the_worlds(first, False, value, (1, 1)) and in_the_worlds(second, True, value, (3, 3))
            stated, unstated = number(interval(value), "percent"), Value("unknown", False, UNKNOWN, interval(value))
            assert [pattern.holds(each) for each in (stated, unstated)] == [both, both]
            assert [known.holds(each) for each in (stated, unstated)] == [both, False]
            assert [not_known.holds(each) for each in (stated, unstated)] == [False, both]


def test_an_unknown_number_can_be_all_that_is_plausible() -> None:
    base = rules()
    for order, (may, word), limit in product(MEANING, ((False, ""), (True, "may be ")), range(5)):
        pattern = asked(base, "wet", f"{word}{order} limit.l{limit}")
        assert pattern.holds(unknown(base.facts["wet"])) == in_the_worlds(order, may, (0, 4), (limit, limit))


CHOICES = [
    *((choice(each), {each}) for each in COLOURS),
    (Value("unknown", False, UNKNOWN, choice=UNKNOWN), set(COLOURS)),
]


@pytest.mark.parametrize("negated", [False, True])
@pytest.mark.parametrize("may", [False, True])
@pytest.mark.parametrize("named", sets_of_colours())
def test_a_choice_is_among_values_as_in_the_worlds(named: tuple[str, ...], may: bool, negated: bool) -> None:
    """Surely only of a value that is known, even where it is true of all that there are."""
    base, word = rules(), "may be " if may else ""
    texts = [f"{word}{'not ' if negated else ''}among finish.suits"]
    if named:
        texts.append(f"{word}{'none of' if negated else 'one of'} {', '.join(named)}")
    if len(named) == 1:
        texts.append(f"{word}{'not' if negated else 'is'} {named[0]}")
    finish = f"c{sets_of_colours().index(named)}"
    for text, (value, worlds) in product(texts, CHOICES):
        meets = [(world in named) != negated for world in worlds]
        expected = any(meets) if may else value.known and all(meets)
        pattern = asked(base, "colour", text, finish=finish)
        assert pattern.holds(value) == expected, (text, value)
        asks = parse_condition(text)
        assert (value.choice in allowed_values(asks, named, COLOURS)) == expected


def test_known_and_unknown_choices() -> None:
    base = rules()
    for text, expected in (("known", [True] * 3 + [False]), ("unknown", [False] * 3 + [True])):
        pattern = asked(base, "colour", text)
        assert [pattern.holds(value) for value, _ in CHOICES] == expected
    joined = asked(base, "colour", "may be not red", "not green")
    assert [joined.holds(value) for value, _ in CHOICES] == [False, False, True, False]


def test_a_pattern_is_satisfiable_if_some_interval_meets_it() -> None:
    """Every set of up to three comparisons with two bounds, against all intervals over quarters."""
    quarters = [each / 4 for each in range(16)]
    intervals = [Interval(low, high) for low in quarters for high in quarters if low <= high]
    every = [Comparison(e, o, b) for e in ("low", "high") for o in (">", ">=", "<", "<=") for b in (1.0, 2.0)]
    for size in (1, 2, 3):
        for some in combinations(every, size):
            met = any(all(_by_operator(c, each) for c in some) for each in intervals)
            assert Pattern("wet", comparisons=some).satisfiable == met, some
    assert not Pattern("colour", values=frozenset()).satisfiable
    assert Pattern("colour", values=frozenset({UNKNOWN})).satisfiable


def _by_operator(comparison: Comparison, interval: Interval) -> bool:
    signs = {">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le}
    return bool(signs[comparison.op](getattr(interval, comparison.end), comparison.bound))


@pytest.mark.parametrize("order", MEANING)
def test_facts_contradict_each_other_in_every_world_or_not_at_all(order: str) -> None:
    hard = Contradiction(when={"wet": (f"{order} fact.dry",)}, says="cannot be")
    soft = Contradiction(when={"wet": (f"{order} fact.dry",)}, says="hardly", test="try it")
    base = rules(hard=hard, soft=soft)
    for wet, dry in product(SPANS, SPANS):
        facts = {"wet": number(interval(wet), "percent"), "dry": number(interval(dry), "percent")}
        expected = in_the_worlds(order, False, wet, dry)
        assert contradicts(base, hard, facts) == contradicts(base, soft, facts) == expected
        assert contradicted(base, facts) == ([hard] if expected else [])
        assert not contradicts(base, hard, {"wet": facts["wet"]})
        assert not contradicts(base, hard, {"dry": facts["dry"]})


def test_a_contradiction_needs_all_its_facts() -> None:
    both = Contradiction(when={"wet": ("above limit.l2",), "colour": ("not red",)}, says="cannot be")
    base = rules(both=both)
    for wet, (colour, _) in product(SPANS, CHOICES):
        expected = wet[0] > 2 and colour.choice in ("green", "blue")
        assert contradicts(base, both, {"wet": number(interval(wet), "percent"), "colour": colour}) == expected


def test_a_condition_is_sure_unless_it_says_otherwise() -> None:
    for text in ("wet", "unknown", "known", "holds", "above limit.wet", "not wet", "among finish.film"):
        assert not parse_condition(text).may


def test_absent_is_a_value_and_no_condition_on_what_was_not_concluded() -> None:
    assert parse_condition("absent").values == ("absent",)
    for text in ("missing", "not concluded", "a leak absent", "is absent"):
        with pytest.raises(ValueError, match="absence"):
            parse_condition(text)


def test_unknown_named_among_values_stays_among_them() -> None:
    """Whether or not the condition says `may be`."""
    for text in ("one of wet, unknown", "may be one of wet, unknown"):
        asks = parse_condition(text)
        assert allowed_values(asks, asks.values, ("wet", "dry")) == {"wet", "unknown"}
