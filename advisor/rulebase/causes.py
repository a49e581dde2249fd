"""The same rule base, asked another question: not which finish suits, but which cause went to work.

A cause is judged as a finish is: its entry gives properties, rules judge it by them, and it is excluded, or speaks for
itself by points. So the rule base that is read here has the causes in place of the finishes and their rules in place of
those that judge finishes; facts and findings stay, and every reading takes it as it takes any rule base.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import get_args

from advisor.model.causes import Cause, CauseFamily, Usual, Work
from advisor.model.finishes import Finish, Property, PropertyValue
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Criterion, Rule, Then
from advisor.model.vocabulary import FactKind
from explanations.wording import wording

SIGNS = "signs"  # the one criterion by which causes get points
WAYS = ("mostly", "fits", "may_fit", "against", "excluded")  # how an entry speaks of a fact, each a property `FACT_WAY`
USUAL = get_args(Usual)
EXPLAINS_FIRST = "explains_first"  # the finding that rules about the first complaint's place and time build on
USUAL_SIGN = "usual_sign"  # the finding with which a danger is in sight until its cause is excluded


def as_causes(base: RuleBase) -> RuleBase:
    """The rule base of the causes.

    Args:
        base: the whole rule base.
    """
    facts = {name: kind for name, kind in base.facts.items() if kind.of == "floor"}
    properties = _properties(facts, base.causes.values())
    rules = {rule.id: _judging(rule) for rule in base.cause_rules.values()}
    return base.model_copy(
        update={
            "facts": facts,
            "findings": {
                name: each.model_copy(update={"of": "finish"}) if each.of == "cause" else each
                for name, each in base.findings.items()
                if each.of != "finish"
            },
            "properties": properties,
            "finishes": {
                name: _judged(base, name, place, properties)
                for place, name in enumerate(sorted(base.causes, key=lambda each: _usualness(base.causes[each])))
            },
            "criteria": {SIGNS: Criterion(name=SIGNS, importance="")},
            "importance": {"normal": 1},
            "procedures": {},
            "products": (),
            "causes": {},
            "cause_rules": {},
            "claims": base.cause_claims,
            "cause_claims": {},
            "rules": {**_beneath(base, rules.values()), **rules},
        }
    )


def _usualness(cause: Cause) -> tuple[int, bool]:
    """How usual a cause is: of two with equal points, the less usual has more signs of this floor, and comes first."""
    return -USUAL.index(cause.usual), bool(cause.mostly)


def explained(cause: Cause) -> tuple[str, ...]:
    """The complaints that a cause explains."""
    return (*cause.fits.get("trouble", ()), *cause.may_fit.get("trouble", ()))


def _beneath(base: RuleBase, rules: Iterable[Rule]) -> dict[str, Rule]:
    """The rules about the floor whose findings these rules build on, and what is beneath those; findings only."""
    wanted = {name for rule in rules for name in rule.when if name in base.findings}
    found: dict[str, Rule] = {}
    grew = True
    while grew:
        more = {
            rule.id: rule
            for rule in base.rules.values()
            if rule.judges is None and rule.id not in found and wanted.intersection(rule.then.finding)
        }
        wanted |= {name for rule in more.values() for name in rule.when if name in base.findings}
        found |= more
        grew = bool(more)
    order = [name for name in base.rules if name in found]
    return {name: found[name].model_copy(update={"then": Then(finding=found[name].then.finding)}) for name in order}


def _properties(facts: Mapping[str, FactKind], causes: Iterable[Cause]) -> dict[str, Property]:
    """What the causes can be judged by: their family, how usual they are, and how each fact speaks of them."""
    found = {
        "family": Property(type="choice", values=get_args(CauseFamily), means=wording("causes.means.family")),
        "usual": Property(type="choice", values=USUAL, means=wording("causes.means.usual")),
        "danger": Property(type="yes/no", means=wording("causes.means.danger")),
        "does": Property(type="choices", values=get_args(Work), means=wording("causes.means.does")),
    }
    for cause in causes:
        for way in WAYS:
            for fact in getattr(cause, way):
                if fact in facts:
                    means = wording("causes.means.told", fact=fact, way=way)
                    found[f"{fact}_{way}"] = Property(type="choices", values=facts[fact].choices, means=means)
    return found


def work_of(base: RuleBase, cause: Cause) -> tuple[Work, ...]:
    """What the remedy of a cause does to the slab, and the tests that it names."""
    due = (each for name in cause.remedy.due for each in base.due[name].does)
    return tuple(dict.fromkeys((*cause.remedy.does, *due)))


def _judged(base: RuleBase, name: str, place: int, properties: Mapping[str, Property]) -> Finish:
    cause = base.causes[name]
    given: dict[str, tuple[str, ...]] = dict.fromkeys(properties, ())
    given |= {"family": (cause.family,), "usual": (cause.usual,), "danger": ("yes" if cause.danger else "no",)}
    given |= {"does": work_of(base, cause)}
    given |= {f"{fact}_{way}": values for way in WAYS for fact, values in getattr(cause, way).items()}
    return Finish(
        id=name,
        name=cause.name,
        family=cause.family,
        what=cause.what,
        order=place,
        properties={
            each: PropertyValue.model_construct(given=values, source=cause.source, choices=values, interval=None)
            for each, values in given.items()
        },
    )


def _judging(rule: Rule) -> Rule:
    """The rule as it judges what stands in place of the finishes."""
    return rule.model_copy(
        update={
            "judges": "every finish" if rule.judges == "every cause" else rule.judges,
            "when": {fact: tuple(_said(each) for each in texts) for fact, texts in rule.when.items()},
            "because": rule.because.replace("{cause", "{finish"),
        }
    )


def _said(condition: str) -> str:
    return condition.replace("among cause.", "among finish.")
