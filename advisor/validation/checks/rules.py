"""Whether a rule says something, about what it may, in a reason whose blanks can be filled."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

from advisor.engines.packing import MOST_PATTERNS
from advisor.errors import Fault, nearest
from advisor.model.conditions import allowed_values, parse_condition
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Rule
from advisor.validation.checks.conditions import check_conditions, check_judges
from explanations.wording import label, wording
from explanations.words import blanks_in

Where = Callable[..., str]
SCOPED = {"rule_out": "finish", "first": "finish", "points": "finish", "hold": "floor"}


def check_rule(base: RuleBase, rule: Rule, where: Where) -> Iterator[Fault]:
    """Every fault of one rule as written."""
    at = where("rules", rule.id)
    if len(rule.when) > MOST_PATTERNS:
        yield Fault(
            at,
            wording("rules.conditions_of", rule=rule.id, n=len(rule.when)),
            wording("rules.conditions_of_allowed", n=MOST_PATTERNS),
        )
    if not rule.when and rule.judges is None:
        yield Fault(at, wording("rules.about_nothing", rule=rule.id))
    for fact, texts in rule.when.items():
        yield from check_conditions(
            base, fact, texts, where("rules", rule.id, "when", fact), "finish" if rule.judges else "floor"
        )
    if isinstance(rule.judges, dict):
        for name, texts in rule.judges.items():
            yield from check_judges(base, name, texts, where("rules", rule.id, "judges", name))
    yield from _check_then(base, rule, at)
    yield from _check_reason(base, rule, where("rules", rule.id, "because"))


def check_twice(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Rules that ask for the same as an earlier one and give points the same way under one criterion.

    Conditions are compared by what they leave: one that leaves every value of a fact, if it is known, asks for nothing.
    """
    first: dict[tuple[frozenset[tuple[str, frozenset[str]]], str, bool], str] = {}
    for rule in base.rules.values():
        judges = rule.judges if isinstance(rule.judges, dict) else {"": (str(rule.judges),)}
        asked: list[tuple[str, Sequence[str], tuple[str, ...]]] = [
            (f"judges {name}", texts, ()) for name, texts in judges.items()
        ]
        asked += [
            (fact, texts, base.facts[fact].choices if fact in base.facts else ()) for fact, texts in rule.when.items()
        ]
        asks = frozenset((name, left) for name, texts, choices in asked if (left := _left(texts, choices)))
        for criterion, points in rule.then.points.items():
            other = first.setdefault((asks, criterion, points > 0), rule.id)
            if other != rule.id:
                named = label("criterion", criterion)
                what = wording("rules.counts_twice", rule=rule.id, other=other, criterion=named)
                yield Fault(where("rules", rule.id), what, remedy=wording("rules.counts_twice_remedy", other=other))


def _left(texts: Iterable[str], choices: Collection[str]) -> frozenset[str]:
    """What conditions on one fact ask for: the values that they leave, or the other texts; nothing if all are left."""
    left, others = {*choices, UNKNOWN}, set()
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError:
            return frozenset(texts)  # said to be wrong elsewhere
        if asks.kind == "values" and choices:
            left &= allowed_values(asks, asks.values, tuple(choices))
        elif asks.kind != "known":
            others.add(" ".join(text.split()))
    return frozenset(others | (left if choices and not {*choices} <= left else set()))


def _check_then(base: RuleBase, rule: Rule, at: str) -> Iterator[Fault]:
    then = rule.then
    named: dict[str, tuple[Iterable[str], Collection[str]]] = {
        "finding": (then.finding, base.findings),
        "first": (then.first, base.needs),
        "hold": (then.hold, base.needs),
        "points": (then.points, base.criteria),
        "caution": (then.caution, base.cautions),
        "refer": (then.refer, base.referrals),
    }
    for key, (names, known) in named.items():
        for name in names:
            if name not in known:
                what = wording("rules.no.concluded", rule=rule.id, key=key, name=name)
                yield Fault(at, what, remedy=nearest(name, known))
    said = {key for key, (names, _) in named.items() if names} | ({"rule_out"} if then.rule_out else set())
    if not said:
        yield Fault(at, wording("rules.concludes_nothing", rule=rule.id))
    about = "finish" if rule.judges else "floor"
    for key in said:
        if SCOPED.get(key, about) != about:
            yield Fault(at, wording(f"rules.scope_{SCOPED[key]}", rule=rule.id, key=key))
    for name in then.finding:
        if name in base.findings and base.findings[name].of == "finish" and about == "floor":
            yield Fault(at, wording("rules.finding_of_finish", rule=rule.id, finding=name))


def _check_reason(base: RuleBase, rule: Rule, at: str) -> Iterator[Fault]:
    for name in blanks_in(rule.because):
        if not _can_be_filled(base, rule, name):
            what = wording("rules.reason", rule=rule.id, blank=f"{{{name}}}")
            yield Fault(at, what, wording("rules.reason_allowed"))


def _can_be_filled(base: RuleBase, rule: Rule, name: str) -> bool:
    where, _, inner = name.partition(".")
    if where == "limit":
        return inner in base.limits
    if where == "finish":
        return rule.judges is not None and (not inner or inner in base.properties)
    return name in rule.when and name in base.facts
