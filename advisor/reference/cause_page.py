"""One cause of what went wrong, as the rule base has it: its signs, what helps, and the rules that judge it."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.causes import Cause
from advisor.model.grounding import ground_one, meets_all
from advisor.model.knowledge import RuleBase
from advisor.rulebase.causes import WAYS, as_causes
from explanations.wording import label, wording


@dataclass(frozen=True)
class CausePage:
    """A cause for reading.

    Attributes:
        name: its id.
        cause: its entry.
        signs: by way (fits, may_fit, against, excluded), facts with the values that speak so, in words.
        fails_again: the finishes that would fail the same way.
        not_now: what would do harm before it is known or put right.
        rules: those that judge it.
    """

    name: str
    cause: Cause
    signs: dict[str, list[tuple[str, list[str]]]]
    fails_again: list[str]
    not_now: list[str]
    rules: list[str]


def cause_page(base: RuleBase, name: str) -> CausePage:
    """The page of one cause.

    Args:
        base: the whole rule base.
        name: the cause's id.

    Raises:
        BadRequest: there is none of that id; the nearest is named.
    """
    if name not in base.causes:
        what = wording("causes.no_cause", name=name[:60])
        raise BadRequest([Fault("", what, remedy=nearest(name, base.causes))])
    cause, view = base.causes[name], as_causes(base)
    again = cause.remedy.fails_again
    return CausePage(
        name,
        cause,
        {
            way: [(fact, [label("value", v) for v in values]) for fact, values in getattr(cause, way).items()]
            for way in WAYS
        },
        [each.name for each in base.finishes.values() if again and meets_all(base, each, again)],
        [base.not_now[each].says for each in cause.remedy.not_now],
        [
            rule
            for rule in base.cause_rules
            if any(name in each.finishes for each in ground_one(view, view.rules[rule]))
        ],
    )
