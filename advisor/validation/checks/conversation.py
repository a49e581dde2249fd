"""Checks of the opening questions: facts that there are, values that they can have, answers that can be told apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from explanations.wording import wording


def check_conversation(base: RuleBase, where: Callable[..., str]) -> Iterator[Fault]:
    """What is wrong with the opening questions.

    Args:
        base: the rule base.
        where: gives file and line of an entry.
    """
    for name, opening in base.conversation.items():
        at = where("conversation", name)
        for fact in {*opening.settles, *opening.when, *opening.or_facts}:
            if fact not in base.facts:
                yield Fault(at, wording("rules.no.fact", name=fact), remedy=nearest(fact, base.facts))
        plainer = [{opening.fact: value} for value in opening.says]
        for sets in (opening.rest, *plainer, *(each.sets for each in opening.answers)):
            for fact, text in sets.items():
                try:
                    read_fact(base, fact, text, at)
                except BadCase as error:
                    yield from (each for each in error.faults if fact in base.facts)
        if sum(map(bool, (opening.answers, opening.facts, opening.fact))) != 1:
            yield Fault(at, wording("rules.one_way_to_answer", name=name))
