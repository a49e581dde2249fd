"""Whether causes speak of facts that are there, and their rules are sound: checked as the rules of finishes are."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.errors import Fault, nearest
from advisor.model.causes import Cause
from advisor.model.grounding import ground_one
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule
from advisor.rulebase.causes import WAYS, as_causes
from advisor.validation.checks.conditions import check_judges
from advisor.validation.checks.engine import check_acyclic, check_engine_limits, check_grounded
from advisor.validation.checks.rules import check_rule
from explanations.wording import wording

Where = Callable[..., str]
INSTEAD = {"rules": "cause_rules", "finishes": "causes"}  # what is read in place of what


# All that is looked at here.
RESTING_ON = (
    "facts", "findings", "limits", "properties", "rules", "cautions", "causes", "cause_rules", "signs", "not_now",
    "due",
)  # fmt: skip


def check_causes(base: RuleBase, where: Where, below: RuleBase | None = None) -> Iterator[Fault]:
    """Every fault of the causes, of the signs that tell of them, and of their rules.

    Args:
        base: whose causes are checked.
        where: gives file and line of an entry.
        below: a sound rule base that it is laid over; what is the same in both needs no second look.
    """
    if below is not None and all(getattr(base, each) == getattr(below, each) for each in RESTING_ON):
        return
    faults = [fault for name, cause in base.causes.items() for fault in _check_cause(base, name, cause, where)]
    faults += _check_signs(base, where)
    faults += _check_not_now(base, where)
    faults += _check_due(base, where)
    yield from faults
    if faults or not base.causes:
        return
    view = as_causes(base)

    def there(section: str, name: str, *inner: str) -> str:
        own = name in base.cause_rules or section != "rules"
        return where(INSTEAD.get(section, section) if own else section, name, *inner)

    grounded: list[GroundRule] = []
    for name in base.cause_rules:
        rule = view.rules[name]
        found = list(check_rule(view, rule, there))
        yield from found
        if not found:
            forms = ground_one(view, rule)
            yield from check_grounded(view, rule, forms, there)
            grounded += forms
    yield from check_acyclic(grounded, there)
    yield from check_engine_limits(grounded, there)


def _check_cause(base: RuleBase, name: str, cause: Cause, where: Where) -> Iterator[Fault]:
    for way in WAYS:
        for fact, values in getattr(cause, way).items():
            at, kind = where("causes", name, way, fact), base.facts.get(fact)
            if kind is None or kind.of != "floor" or not kind.choices:
                what = wording("causes.no_choice", cause=name, fact=fact)
                yield Fault(at, what, remedy=nearest(fact, base.facts))
                continue
            for value in set(values) - set(kind.choices):
                what = wording("causes.no_value", cause=name, fact=fact, value=value)
                yield Fault(at, what, ", ".join(kind.choices), nearest(value, kind.choices))
    for property_name, texts in cause.remedy.fails_again.items():
        yield from check_judges(base, property_name, texts, where("causes", name, "remedy", "fails_again"))
    for each in set(cause.remedy.not_now) - base.not_now.keys():
        what = wording("causes.no_not_now", cause=name, name=each)
        yield Fault(where("causes", name, "remedy", "not_now"), what, remedy=nearest(each, base.not_now))
    for each in set(cause.remedy.due) - base.due.keys():
        what = wording("causes.no_due", cause=name, name=each)
        yield Fault(where("causes", name, "remedy", "due"), what, remedy=nearest(each, base.due))


def _check_not_now(base: RuleBase, where: Where) -> Iterator[Fault]:
    for name, entry in base.not_now.items():
        for each in set(entry.warned_of) - base.cautions.keys():
            what = wording("causes.no_caution", name=each)
            yield Fault(where("not_now", name, "warned_of"), what, remedy=nearest(each, base.cautions))


def _check_due(base: RuleBase, where: Where) -> Iterator[Fault]:
    for name, entry in base.due.items():
        for each in set(entry.warned_of) - base.cautions.keys():
            what = wording("causes.no_caution", name=each)
            yield Fault(where("due", name, "warned_of"), what, remedy=nearest(each, base.cautions))
        for each in {*entry.clears, *filter(None, (entry.finds,))} - base.facts.keys():
            yield Fault(where("due", name), wording("facts.no_fact", name=each), remedy=nearest(each, base.facts))


def _check_signs(base: RuleBase, where: Where) -> Iterator[Fault]:
    complaints = base.facts["trouble"].choices if "trouble" in base.facts else ()
    for fact, sign in base.signs.items():
        at = where("signs", fact)
        if fact not in base.facts:
            yield Fault(at, wording("facts.no_fact", name=fact), remedy=nearest(fact, base.facts))
            continue
        for value, complaint in sign.comes_to.items():
            if value not in base.facts[fact].choices or complaint not in complaints:
                yield Fault(at, wording("causes.no_sign", fact=fact, value=value, complaint=complaint))
