"""Whether a rule says something, about what it may, in a reason whose blanks can be filled."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator

from advisor.engines.packing import MOST_PATTERNS
from advisor.errors import Fault, nearest
from advisor.model.knowledge import Rule, RuleBase
from advisor.validation.checks.conditions import check_conditions, check_judges
from explanations.words import blanks_in

Where = Callable[..., str]
SCOPED = {"rule_out": "finish", "first": "finish", "points": "finish", "hold": "floor"}


def check_rule(base: RuleBase, rule: Rule, where: Where) -> Iterator[Fault]:
    """Every fault of one rule as written."""
    at = where("rules", rule.id)
    if len(rule.when) > MOST_PATTERNS:
        yield Fault(
            at,
            f"{rule.id} has {len(rule.when)} conditions",
            f"{MOST_PATTERNS} at most; the engine would silently never fire it",
        )
    if not rule.when and rule.judges is None:
        yield Fault(at, f"{rule.id} has no conditions and judges no finish")
    for fact, texts in rule.when.items():
        yield from check_conditions(
            base, fact, texts, where("rules", rule.id, "when", fact), "finish" if rule.judges else "floor"
        )
    if isinstance(rule.judges, dict):
        for name, texts in rule.judges.items():
            yield from check_judges(base, name, texts, where("rules", rule.id, "judges", name))
    yield from _check_then(base, rule, at)
    yield from _check_reason(base, rule, where("rules", rule.id, "because"))


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
                yield Fault(at, f'{rule.id}, {key}: there is no "{name}"', remedy=nearest(name, known))
    said = {key for key, (names, _) in named.items() if names} | ({"rule_out"} if then.rule_out else set())
    if not said:
        yield Fault(at, f"{rule.id} concludes nothing")
    about = "finish" if rule.judges else "floor"
    for key in said:
        if SCOPED.get(key, about) != about:
            yield Fault(at, f"{rule.id}: `{key}` is about the {SCOPED[key]}, but the rule is about the {about}")
    for name in then.finding:
        if name in base.findings and base.findings[name].of == "finish" and about == "floor":
            yield Fault(at, f"{rule.id}: the finding {name} is about a finish, but the rule judges none")


def _check_reason(base: RuleBase, rule: Rule, at: str) -> Iterator[Fault]:
    for name in blanks_in(rule.because):
        if not _can_be_filled(base, rule, name):
            allowed = "a fact in its `when`, finish, finish.PROPERTY, limit.NAME"
            yield Fault(at, f'{rule.id}: the reason names "{{{name}}}"', allowed)


def _can_be_filled(base: RuleBase, rule: Rule, name: str) -> bool:
    where, _, inner = name.partition(".")
    if where == "limit":
        return inner in base.limits
    if where == "finish":
        return rule.judges is not None and (not inner or inner in base.properties)
    return name in rule.when and name in base.facts
