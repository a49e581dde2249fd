"""What programs look up in the rule base: facts, rules, sources, each as the command of that name prints it."""

from __future__ import annotations

from collections.abc import Callable

from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.model.published import Published
from advisor.web import api_forms as forms
from advisor.web.asked import Asked, Desk, Reply
from advisor.web.keeper import rule_named
from advisor.web.problems import fault_problem
from explanations.wording import speaking_of, wording

JSON = "application/json"
SLOW = ("lessons", "audit")  # some 40 and 20 s of work: asked for in a line of their own


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


def _lessons(desk: Desk, asked: Asked) -> Published:
    from advisor.asking.causes import inquiry_of
    from advisor.teaching.lesson_sets import lesson_set, rules_of
    from advisor.teaching.set_record import set_record

    topics, causes = list(asked.all("topic")), _is_yes("causes", asked)
    of_causes = causes or (bool(topics) and {*topics} <= {each.topic for each in desk.base.cause_rules.values()})
    reasoner = inquiry_of(desk.reasoner).reasoner if of_causes else desk.reasoner
    with speaking_of("causes" if of_causes else ""):
        return set_record(lesson_set(reasoner, rules_of(reasoner.base, topics)), ())


def _is_yes(name: str, asked: Asked) -> bool:
    said = asked.one(name) or "no"
    if said not in ("yes", "no"):
        raise BadRequest([Fault(name, wording("web_api.misformed", name=name), "yes, no")])
    return said == "yes"


def _audit(desk: Desk, asked: Asked) -> Published:
    from advisor.validation.audit import audit, check_names
    from advisor.validation.audit.record import audit_record

    claims = asked.all("claim")
    check_names(desk.base, claims)
    return audit_record(audit(desk.base, claims))


LOOKED_UP: dict[str, Callable[[Desk, Asked], Published]] = {
    "facts": _facts,
    "rules": _rules,
    "rule": _rule,
    "sources": _sources,
    "lessons": _lessons,
    "audit": _audit,
}
