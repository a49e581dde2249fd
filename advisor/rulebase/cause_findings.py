"""What went wrong as findings that rules about finishes build on: ordinary rules, made from what a cause's entry says.

A cause is *found* where one of its `found_by` holds: then its finding holds, whoever is to be called is named, its
remedy comes first, finishes that would fail the same way lose points and those that keep what holds gain some. Where
one of its `tests` holds it is only possible, and the need that tells comes first. All of it only adds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.model.causes import Cause
from advisor.model.entry import Texts
from advisor.model.rules import Finding, Rule, Then
from explanations.wording import label, listed, wording

TOPIC = "cause"
AGAIN: Mapping[str, int] = {"durability": -3}  # a finish that would fail the same way
KEPT: Mapping[str, int] = {"durability": 3, "cost": 2, "ease": 2}  # one with which stays what holds
FINISH = "{finish}"  # a blank of the reason
FINISH = "{finish}"  # a blank of the reason
FINISH = "{finish}"  # a blank of the reason
NOT_SAID = ("none of", "not ", "may be", "unknown")  # conditions that tell nothing of the floor


def likely(cause: str) -> str:
    """The finding that a cause is likely."""
    return f"likely_{cause}"


def findings_of(causes: Mapping[str, Cause]) -> dict[str, Finding]:
    """By id, the findings of the causes that bear on finishes."""
    return {
        likely(name): Finding(says=wording("causes.advice.finding", cause=cause.name))
        for name, cause in causes.items()
        if cause.found_by
    }


def rules_of(causes: Mapping[str, Cause]) -> dict[str, tuple[str, Rule]]:
    """By id, the rules by which causes bear on finishes, each with the cause that it is made from."""
    return {rule.id: (name, rule) for name, cause in causes.items() for rule in _rules(name, cause)}


def _rules(name: str, cause: Cause) -> Iterator[Rule]:
    remedy, found = cause.remedy, {likely(name): ("holds",)}
    for place, when in enumerate(cause.found_by, start=1):
        then = Then(finding=(likely(name), *remedy.is_also), refer=remedy.refer)
        yield _rule(f"{name}_{place}", None, when, then, _signs(cause, when), cause)
    for need, judges in remedy.first.items() if cause.found_by else ():
        because = wording("causes.advice.first", cause=cause.name, finish=FINISH)
        yield _rule(f"{name}_{need}", judges, found, Then(first=(need,)), because, cause)
    for key, judges, points in (("again", remedy.fails_again, AGAIN), ("kept", remedy.keeps, KEPT)):
        if judges and cause.found_by:
            because = wording(f"causes.advice.{key}", cause=cause.name, finish=FINISH)
            yield _rule(f"{name}_{key}", judges, found, Then(points=dict(points)), because, cause)
    for need, ways in cause.tests.items():
        for place, when in enumerate(ways, start=1):
            because = wording("causes.advice.test", cause=cause.name, finish=FINISH)
            yield _rule(f"{name}_{need}_{place}", "every finish", when, Then(first=(need,)), because, cause)


def _rule(
    name: str,
    judges: str | dict[str, Texts] | None,
    when: Mapping[str, Texts],
    then: Then,
    because: str,
    cause: Cause,
) -> Rule:
    return Rule.model_construct(
        id=f"{TOPIC}.{name}", judges=judges, when=dict(when), then=then, because=because, source=cause.source
    )


def _signs(cause: Cause, when: Mapping[str, Texts]) -> str:
    """The reason, with a blank for each fact that tells something of the floor."""
    told = [fact for fact, texts in when.items() if not any(text.startswith(NOT_SAID) for text in texts)]
    signs = listed(wording("causes.advice.sign", fact=label("fact", fact), value=f"{{{fact}}}") for fact in told)
    return wording("causes.advice.found", cause=cause.name, signs=signs)
