"""For whoever keeps the rules: rules, causes, limits and sources searched and read, each rule with an example floor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager, nullcontext
from functools import cache

from advisor.asking.causes import inquiry_of
from advisor.model.knowledge import RuleBase
from advisor.model.plain_words import sentence_words
from advisor.model.remembered import OncePerBase
from advisor.model.rules import Rule
from advisor.reference.cause_page import cause_page
from advisor.reference.limit_list import find_limits, limit_page
from advisor.reference.rule_list import causes_holding, find_rules
from advisor.reference.rule_page import RulePage, rule_page, source_shown, source_words
from advisor.reference.source_list import choose_sources, sources_holding, sources_record
from advisor.reference.witness import Floors
from advisor.rulebase.bibliography import source_id
from advisor.validation.safeguards import limits_of
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.rendering import page
from explanations.wording import speaking_of

LONGEST_SOUGHT = 120
MOST_FOUND = 60  # of a kind; more words find fewer

_floors_of = cache(Floors)  # one reasoner in each process


def rules(desk: Desk, asked: Asked) -> Reply:
    """What holds the words sought; without words the topics, and the limits and sources in full."""
    base, sought = _every_rule(desk.base), " ".join(asked.one("words").split())[:LONGEST_SOUGHT]
    topic = asked.one("topic")[:LONGEST_SOUGHT] or None
    found = find_rules(base, topic, sought.split())
    told = bool(sought or topic)
    of_all = told and topic is None
    return page(
        "rules/rules.html",
        case="",
        sought=sought,
        topic=topic or "",
        topics={name: len(some) for name, some in find_rules(base, None, []).items()},
        rules=_listed(desk, found.values())[: None if topic else MOST_FOUND] if told else [],
        limits=list(find_limits(base, sought.split()).items())[:MOST_FOUND] if of_all else [],
        sources=list(sources_holding(base, sought.split()).items())[:MOST_FOUND] if of_all else [],
        causes=causes_holding(base, sought.split())[:MOST_FOUND] if of_all else (),
        told=told,
        most=MOST_FOUND if sum(map(len, found.values())) > MOST_FOUND and not topic else 0,
        n=len(base.rules),
    )


def _listed(desk: Desk, found: Iterable[list[Rule]]) -> list[tuple[str, str]]:
    told = []
    for rule in (rule for some in found for rule in some):
        with _about(desk, rule.id) as floors:
            told.append((rule.id, sentence_words(floors.base, floors.base.rules[rule.id])))
    return told


@OncePerBase
def _every_rule(base: RuleBase) -> RuleBase:
    """To search in: rules about finishes and about causes."""
    return base.model_copy(update={"rules": {**base.rules, **base.cause_rules}})


@contextmanager
def _about(desk: Desk, name: str) -> Iterator[Floors]:
    """The rule base that a rule is of, finishes or causes, and within it the words for these."""
    of_causes = name in desk.base.cause_rules
    with speaking_of("causes") if of_causes else nullcontext():
        yield _floors_of(inquiry_of(desk.reasoner).reasoner if of_causes else desk.reasoner)


def rule_named(desk: Desk, name: str) -> RulePage:
    """One rule, of finishes or of causes.

    Raises:
        BadRequest: there is none of that id.
    """
    with _about(desk, name) as floors:
        return rule_page(floors, name)


def rule(desk: Desk, asked: Asked) -> Reply:
    """One rule: what it says and rests on, its neighbours, and a floor on each side of its edge."""
    name = asked.one("name")[:LONGEST_SOUGHT]
    with _about(desk, name) as floors:
        return _rule_shown(floors.base, rule_page(floors, name))


def _rule_shown(base: RuleBase, told: RulePage) -> Reply:
    example = told.example
    return page(
        "rules/rule.html",
        case="",
        rule=told,
        finishes=[base.finishes[each].name for each in told.finishes],
        all_finishes=len(base.finishes),
        limits=[(each, base.limits[each]) for each in limits_of(base.rules[told.rule])],
        sources=[(each.source, source_words(each)) for each in told.sources],
        judged=base.finishes[example.finish].name if example and example.finish else "",
        instead=base.finishes[example.instead].name if example and example.instead else "",
    )


def cause(desk: Desk, asked: Asked) -> Reply:
    """One cause of what went wrong: what speaks for it and against, what helps, and the rules that judge it."""
    told = cause_page(desk.base, asked.one("name")[:LONGEST_SOUGHT])
    named = [(source_id(each), source_words(source_shown(desk.base, each))) for each in told.cause.source]
    return page("rules/cause.html", case="", told=told, cause=told.cause, sources=named)


def limit(desk: Desk, asked: Asked) -> Reply:
    """One limit: its figure, what it means, its source, and the rules that compare with it."""
    told = limit_page(desk.base, asked.one("name")[:LONGEST_SOUGHT])
    named = [(source_id(each), source_words(source_shown(desk.base, each))) for each in told.limit.source]
    return page("rules/limit.html", case="", limit=told, sources=named)


def source(desk: Desk, asked: Asked) -> Reply:
    """One source, and all that rests on it."""
    name = asked.one("name")[:LONGEST_SOUGHT]
    chosen = choose_sources(desk.base, [name])
    record = sources_record(desk.base, chosen).sources[name]
    return page("rules/source.html", case="", name=name, source=record)


ROUTES = (
    Route("/rules", rules),
    Route("/rules/rule", rule),
    Route("/rules/cause", cause),
    Route("/rules/limit", limit),
    Route("/rules/source", source),
)
