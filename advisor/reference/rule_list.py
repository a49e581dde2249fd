"""The rules by topic, and a search in what they say and rest on."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.errors import BadRequest, Fault, nearest
from advisor.model.knowledge import RuleBase
from advisor.model.plain_words import sentence_words
from advisor.model.published import Part, Published
from advisor.model.rules import Rule
from advisor.reference.rule_page import concluded
from advisor.reference.seeking import holds
from advisor.rulebase.bibliography import source_id
from explanations.wording import label, wording
from explanations.words import wrapped


class RuleListed(Part):
    """A rule, its reason in words, and its sources."""

    rule: str
    says: str
    sources: tuple[str, ...]


class CauseListed(Part):
    """A cause of what went wrong, what it is, and its sources."""

    cause: str
    name: str
    says: str
    sources: tuple[str, ...]


class RuleList(Published):
    """Rules by topic, as data."""

    format: Literal["slab-finish-rules/1"] = "slab-finish-rules/1"
    topics: dict[str, tuple[RuleListed, ...]]
    causes: tuple[CauseListed, ...] = Field(default=(), description="With words: the causes that hold them all.")


def find_rules(base: RuleBase, topic: str | None, words: list[str]) -> dict[str, list[Rule]]:
    """The rules by topic that hold every word in their id, reason, facts, conclusions or sources.

    Raises:
        BadRequest: no rule has that topic.
    """
    by_topic: dict[str, list[Rule]] = {}
    for rule in base.rules.values():
        by_topic.setdefault(rule.topic, []).append(rule)
    if topic is not None and topic not in by_topic:
        raise BadRequest(
            [Fault("--topic", wording("reference.no_topic", name=topic), ", ".join(by_topic), nearest(topic, by_topic))]
        )
    chosen = {topic: by_topic[topic]} if topic else by_topic
    found = {name: [r for r in rules if _matches(base, r, words)] for name, rules in chosen.items()}
    return {name: rules for name, rules in found.items() if rules}


def _matches(base: RuleBase, rule: Rule, words: list[str]) -> bool:
    judged = rule.judges if isinstance(rule.judges, dict) else {}
    titles = (base.sources[source_id(named)].title for named in rule.source)
    conclusions = (name for _, name in concluded(rule))
    texts = (rule.id, rule.because, *rule.when, *judged, *conclusions, *rule.source, *titles)
    return holds(texts, words)


def causes_holding(base: RuleBase, words: list[str]) -> tuple[CauseListed, ...]:
    """The causes that hold every word: in id, name, what they are, or the complaints they cause.

    Args:
        base: the rule base.
        words: sought for; none finds none.
    """
    found = []
    for name, cause in base.causes.items():
        signs = [
            spelling
            for complaint in cause.fits.get("trouble", ())
            for spelling in (complaint, *base.facts["trouble"].also.get(complaint, ()))
        ]
        if words and holds((name, cause.name, cause.what, *signs), words):
            found.append(CauseListed(cause=name, name=cause.name, says=cause.what, sources=cause.source))
    return tuple(found)


def causes_text(causes: tuple[CauseListed, ...]) -> str:
    """The causes for reading: id, name, what they are."""
    lines = [wrapped(f"{each.cause}: {each.name}. {each.says}", "  ") for each in causes]
    return "\n".join((wording("causes.listed"), *lines))


def list_text(base: RuleBase, found: dict[str, list[Rule]]) -> str:
    """The list for reading: topic, then each rule's id and reason."""
    parts = []
    for topic, rules in found.items():
        lines = [wording("reference.topic", topic=label("topic", topic), n=len(rules))]
        for rule in rules:
            lines += [f"  {rule.id}", wrapped(sentence_words(base, rule), "      ")]
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def list_record(base: RuleBase, found: dict[str, list[Rule]], causes: tuple[CauseListed, ...] = ()) -> RuleList:
    """The list as data."""
    return RuleList(
        topics={
            topic: tuple(RuleListed(rule=r.id, says=sentence_words(base, r), sources=r.source) for r in rules)
            for topic, rules in found.items()
        },
        causes=causes,
    )
