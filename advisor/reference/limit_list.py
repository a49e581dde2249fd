"""The limits that rules compare with: a search in what they say, and the rules that each decides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Limit
from advisor.reference.seeking import holds
from advisor.rulebase.bibliography import source_id
from advisor.validation.safeguards import limits_of
from explanations.wording import wording


@dataclass(frozen=True)
class LimitShown:
    """A limit, and the rules that compare with it."""

    name: str
    limit: Limit
    rules: tuple[str, ...]


def find_limits(base: RuleBase, words: Iterable[str]) -> dict[str, Limit]:
    """The limits that hold every word in their id, figure, meaning or sources."""
    found, words = {}, list(words)
    for name, limit in base.limits.items():
        titles = (base.sources[source_id(named)].title for named in limit.source)
        if holds((name, limit.given, limit.means, *limit.source, *titles), words):
            found[name] = limit
    return found


def limit_page(base: RuleBase, name: str) -> LimitShown:
    """One limit.

    Raises:
        BadRequest: there is none of that id; the nearest is named.
    """
    if name not in base.limits:
        raise BadRequest([Fault("", wording("reference.no_limit", name=name), remedy=nearest(name, base.limits))])
    return LimitShown(name, base.limits[name], tuple(r.id for r in base.rules.values() if name in limits_of(r)))
