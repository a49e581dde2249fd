"""From rules with variables to rules without: the one program that every reading of the rule base shares.

A rule that judges finishes is read once for each finish whose properties meet its `judges`, with that finish's own
values in place of `finish.PROPERTY`. Finishes for which the conditions come out the same share one ground rule.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from advisor.model.conditions import Asks, Comparison, allowed_values, compare, parse_condition
from advisor.model.entry import UNKNOWN
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.program import HOLDS, Conclusion, GroundRule, Pattern, Program, bound
from advisor.model.quantities import read_figure
from advisor.model.remembered import OncePerBase
from advisor.model.rules import Rule
from advisor.model.vocabulary import Quality
from advisor.physics.bounds import Interval
from explanations.wording import wording

BELOW_ALL = Interval(-1e15, -1e15)  # what nothing reaches


def ground(base: RuleBase) -> Program:
    """Ground every rule; once for each rule base.

    Raises:
        ValueError: a condition that does not fit the fact it is about. `checks` finds these one by one beforehand.
    """
    return programs(base)


def _ground(base: RuleBase) -> Program:
    patterns: dict[Pattern, Pattern] = {}  # equal ones are one object: less to keep on disk, and found sooner
    rules = tuple(
        replace(each, patterns=tuple(patterns.setdefault(pattern, pattern) for pattern in each.patterns))
        for rule in base.rules.values()
        for each in ground_one(base, rule)
    )
    by_topic: dict[str, list[GroundRule]] = defaultdict(list)
    for each in rules:
        by_topic[each.topic].append(each)
    return Program(rules, {topic: tuple(some) for topic, some in by_topic.items()})


programs = OncePerBase(_ground)


_FORMS: OncePerBase[dict[str, list[GroundRule]]] = OncePerBase(lambda _: {})
_BENEATH: OncePerBase[tuple[RuleBase, frozenset[str]] | None] = OncePerBase(lambda _: None)


def laid_over(below: RuleBase, base: RuleBase) -> None:
    """Let a rule base that differs little from another take over what is grounded there and is the same here.

    Args:
        below: what it is laid over.
        base: nothing of it is grounded yet.
    """
    alike = (below.facts, below.findings, below.limits, below.properties, below.products)
    if alike == (base.facts, base.findings, base.limits, base.properties, base.products):
        same = (name for name, finish in base.finishes.items() if below.finishes.get(name) == finish)
        _BENEATH.keep(base, (below, frozenset(same)))


def ground_one(base: RuleBase, rule: Rule) -> list[GroundRule]:
    """The ground forms of one rule; of a rule of the rule base itself, made once."""
    if base.rules.get(rule.id) is not rule:  # a claim, read as a rule
        return _forms(base, rule)
    known = _FORMS(base)
    if rule.id not in known:
        known[rule.id] = _taken_over(base, rule)
    return known[rule.id]


def _taken_over(base: RuleBase, rule: Rule) -> list[GroundRule]:
    """The forms of a rule that is the same beneath, made anew for those finishes only that are not."""
    beneath = _BENEATH(base)
    if beneath is None or beneath[0].rules.get(rule.id) is not rule:
        return _forms(base, rule)
    below, same = beneath
    forms = ground_one(below, rule)
    if rule.judges is None or same == below.finishes.keys() == base.finishes.keys():
        return forms
    return _forms(base, rule, {name: _patterns_beneath(forms, name) for name in same})


def _patterns_beneath(forms: list[GroundRule], finish: str) -> tuple[Pattern, ...] | None:
    return next((form.patterns for form in forms if finish in form.finishes), None)


def _forms(
    base: RuleBase, rule: Rule, known: Mapping[str, tuple[Pattern, ...] | None] = MappingProxyType({})
) -> list[GroundRule]:
    """Ground a rule.

    Args:
        base: gives what the rule names.
        rule: of that rule base, or a claim read as one.
        known: what it asks of some finishes; None: it does not judge that one, or can never hold of it.
    """
    if rule.judges is None:
        patterns = tuple(pattern_on(base, fact, texts, None) for fact, texts in rule.when.items())
        form = GroundRule(rule.id, rule.id, rule.topic, _present(patterns), _conclusions(rule, base, ("",)))
        return [form] if form.satisfiable else []
    groups: dict[tuple[Pattern, ...], list[str]] = defaultdict(list)
    fixed = {  # what is the same for every finish
        fact: pattern_on(base, fact, texts, None) for fact, texts in rule.when.items() if not _varies(base, fact, texts)
    }
    for finish in base.finishes.values():
        asked = known[finish.id] if finish.id in known else _asked_of(base, rule, finish, fixed)
        if asked is not None:
            groups[asked].append(finish.id)
    return [
        GroundRule(
            rule.id if len(groups) == 1 else f"{rule.id}/{number}",
            rule.id,
            rule.topic,
            patterns,
            _conclusions(rule, base, tuple(finishes)),
            tuple(finishes),
        )
        for number, (patterns, finishes) in enumerate(groups.items(), start=1)
    ]


def _asked_of(
    base: RuleBase, rule: Rule, finish: Finish, fixed: Mapping[str, Pattern | None]
) -> tuple[Pattern, ...] | None:
    """What a rule asks where it judges this finish; None where it does not, or can never hold."""
    if not judges(base, rule, finish):
        return None
    patterns = tuple(
        fixed[fact] if fact in fixed else pattern_on(base, fact, texts, finish) for fact, texts in rule.when.items()
    )
    present = _present(patterns)
    return present if None not in patterns and all(pattern.satisfiable for pattern in present) else None


def _varies(base: RuleBase, fact: str, texts: tuple[str, ...]) -> bool:
    """Whether a condition asks something else of each finish."""
    about = base.findings[fact].of if fact in base.findings else base.facts[fact].of
    return about == "finish" or any("finish." in text for text in texts)


def _present(patterns: tuple[Pattern | None, ...]) -> tuple[Pattern, ...]:
    return tuple(pattern for pattern in patterns if pattern is not None)


def judged(base: RuleBase, rule: Rule) -> list[Finish]:
    """The finishes whose properties surely meet (or, if so written, may meet) the rule's `judges`."""
    return [finish for finish in base.finishes.values() if judges(base, rule, finish)]


def judges(base: RuleBase, rule: Rule, finish: Finish) -> bool:
    """Whether a rule that judges finishes judges this one."""
    if rule.judges == "every finish":
        return True
    assert isinstance(rule.judges, dict)
    return meets_all(base, finish, rule.judges)


def meets_all(base: RuleBase, finish: Finish, judges: Mapping[str, tuple[str, ...]]) -> bool:
    """Whether a finish's properties meet all that is asked of them, written as in a rule's `judges`."""
    return all(_meets(base, finish, name, texts) for name, texts in judges.items())


def _meets(base: RuleBase, finish: Finish, name: str, texts: tuple[str, ...]) -> bool:
    product = base.product(finish.id)
    if name == "id":
        called = {finish.id, product.like if product else finish.id}
        return all(called & set(parse_condition(text).values) for text in texts)
    kind, value = base.properties[name], finish.properties[name]
    without = {f"limit.{each}" for each in product.without} if product else set()
    for asks in map(parse_condition, texts):
        if kind.type == "number":
            # the maker has spoken, so nothing is left to ask: judged as a finish beyond what makers usually allow
            operand = BELOW_ALL if asks.operand in without else _operand(base, asks, kind, finish)
            if value.interval is None or operand is None:
                return False
            assert asks.order is not None
            if not compare(asks.order, asks.may, operand).holds(value.interval):
                return False
        elif set(asks.values).isdisjoint(value.choices) != asks.negated:
            return False
    return True


def _operand(base: RuleBase, asks: Asks, kind: Quality, finish: Finish | None) -> Interval | None:
    where, name = asks.operand.split(".")
    if where == "limit":
        return read_figure(base.limits[name].given, kind.unit)
    if finish is None:
        raise ValueError(wording("rules.condition_of.no_finish", operand=asks.operand))
    return finish.properties[name].interval


_FOR_ANY: OncePerBase[dict[tuple[str, tuple[str, ...]], Pattern | None]] = OncePerBase(lambda _: {})


def pattern_on(base: RuleBase, fact: str, texts: tuple[str, ...], finish: Finish | None) -> Pattern | None:
    """All conditions on one fact joined; None if one compares with a limit that the finish does not have."""
    if finish is not None:
        return _joined(base, fact, texts, finish)
    known = _FOR_ANY(base)  # priors and contradictions ask the same of every floor that is drawn
    if (fact, texts) not in known:
        known[fact, texts] = _joined(base, fact, texts, None)
    return known[fact, texts]


def _joined(base: RuleBase, fact: str, texts: tuple[str, ...], finish: Finish | None) -> Pattern | None:
    if fact in base.findings:
        about = finish.id if finish and base.findings[fact].of == "finish" else ""
        return Pattern(bound(fact, about), values=frozenset({HOLDS}))
    kind = base.facts[fact]
    name = bound(fact, finish.id if finish and kind.of == "finish" else "")
    if kind.type == "number":
        return _number_pattern(base, name, kind, [parse_condition(text) for text in texts], finish)
    allowed = frozenset((*kind.choices, UNKNOWN))
    for asks in map(parse_condition, texts):
        allowed &= _choice_values(asks, kind, finish)
    return Pattern(name, values=allowed)


def _choice_values(asks: Asks, kind: Quality, finish: Finish | None) -> frozenset[str]:
    if asks.kind == "unknown":
        return frozenset({UNKNOWN})
    if asks.kind == "known":
        return frozenset(kind.choices)
    if asks.kind == "order":
        raise ValueError(wording("rules.condition_of.order"))
    values = asks.values
    if asks.kind == "among":
        if finish is None:
            raise ValueError(wording("rules.condition_of.no_finish", operand=asks.operand))
        values = finish.properties[asks.operand.removeprefix("finish.")].choices
    return allowed_values(asks, values, kind.choices)


def _number_pattern(
    base: RuleBase,
    name: str,
    kind: Quality,
    conditions: list[Asks],
    finish: Finish | None,
) -> Pattern | None:
    comparisons: list[Comparison] = []
    known: bool | None = None
    for asks in conditions:
        if asks.kind in ("unknown", "known"):
            known = asks.kind == "known"
        elif asks.order is not None:
            operand = _operand(base, asks, kind, finish)
            if operand is None:
                return None
            comparisons.append(compare(asks.order, asks.may, operand))
        else:
            raise ValueError(wording("rules.condition_of.compared"))
    return Pattern(name, comparisons=tuple(comparisons), known=known)


def _conclusions(rule: Rule, base: RuleBase, finishes: tuple[str, ...]) -> tuple[Conclusion, ...]:
    then, found = rule.then, []
    for finish in finishes:
        found += [Conclusion("finding", n, finish if base.findings[n].of == "finish" else "") for n in then.finding]
        found += [Conclusion("rule_out", finish=finish)] if then.rule_out else []
        found += [Conclusion("first", n, finish) for n in then.first]
        found += [Conclusion("points", n, finish, points) for n, points in then.points.items()]
        found += [Conclusion("caution", n, finish) for n in then.caution]
        found += [Conclusion("refer", n, finish) for n in then.refer]
        found += [Conclusion("hold", n) for n in then.hold]
    return tuple(dict.fromkeys(found))
