"""What programs look up in the rule base: facts, rules, sources, each as the command of that name prints it."""

from __future__ import annotations

from collections.abc import Callable

from advisor.errors import AdvisorError
from advisor.model.published import Published
from advisor.web import api_forms as forms
from advisor.web.asked import Asked, Desk, Reply
from advisor.web.keeper import rule_named
from advisor.web.problems import fault_problem
from explanations.wording import speaking_of

JSON = "application/json"


def data(record: Published) -> Reply:
    """A record as a program reads it."""
    return Reply(record.model_dump_json(indent=2, by_alias=True).encode(), kind=JSON)


def look_up(what: str, desk: Desk, asked: Asked) -> Reply:
    """What the rule base says of something; what is wrong with the words it is asked for by is a problem in detail."""
    with speaking_of(""):
        try:
            forms.read_looked_up(what, asked.fields)
            return data(LOOKED_UP[what](desk, asked))
        except AdvisorError as error:
            return fault_problem(error.faults, {}, desk.base)


def _facts(desk: Desk, asked: Asked) -> Published:
    from advisor.reference.fact_list import fact_list

    return fact_list(desk.base, asked.all("fact"))


def _rules(desk: Desk, asked: Asked) -> Published:
    from advisor.reference.rule_list import causes_holding, find_rules, list_record

    words, topic = list(asked.all("word")), asked.one("topic") or None
    found = find_rules(desk.base, topic, words)
    return list_record(desk.base, found, () if topic else causes_holding(desk.base, words))


def _rule(desk: Desk, asked: Asked) -> Published:
    return rule_named(desk, asked.one("id"))


def _sources(desk: Desk, asked: Asked) -> Published:
    from advisor.reference.source_list import sources_record

    return sources_record(desk.base, asked.all("id"))


LOOKED_UP: dict[str, Callable[[Desk, Asked], Published]] = {
    "facts": _facts,
    "rules": _rules,
    "rule": _rule,
    "sources": _sources,
}
