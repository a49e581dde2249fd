"""What an overlay may not do to how people are asked, nor to what their answers come to: no fact behind a safeguard is
told by a question about something else, and what the work may stop on is asked for as it was."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from typing import NamedTuple

from advisor.model.knowledge import RuleBase
from advisor.validation.safeguards import facts_in, stop_rules
from explanations.wording import listed, wording

Found = Iterator[tuple[str, str, str]]  # section, entry, what is wrong


def lost_questions(below: RuleBase, above: RuleBase, resting: Set[str]) -> Found:
    """What an overlay does to questions, each with the entry that does it.

    Args:
        below: the rule base without the overlay.
        above: the rule base with it.
        resting: the facts that safeguards rest on.
    """
    yield from _told_by_others(below, above, resting)
    yield from _asked_later(below, above)


def _told_by_others(below: RuleBase, above: RuleBase, resting: Set[str]) -> Found:
    """Facts behind safeguards that opening questions, complaints, or words said of something else would set."""
    for name in above.conversation.keys() - below.conversation.keys():
        opening = above.conversation[name]
        set_ = {*opening.rest, *(fact for each in opening.answers for fact in each.sets)}
        if told := sorted(set_ & resting):
            yield "conversation", name, wording("overlays.opening_sets", entry=name, facts=listed(told))
    for name in above.signs.keys() - below.signs.keys():
        if name in resting and above.signs[name].told_by:
            yield "signs", name, wording("overlays.told_by_another", fact=name)
    for name, kind in above.facts.items():
        before = below.facts[name].unknown_means if name in below.facts else ""
        if kind.unknown_means in resting and kind.unknown_means != before:
            yield "facts", name, wording("overlays.told_by_another", fact=kind.unknown_means)
        had = below.facts[name].says_too if name in below.facts else {}
        for other in sorted(_said_by(kind.says_too) ^ _said_by(had)):
            if other.fact in resting:
                yield "facts", name, wording("overlays.told_by_another", fact=other.fact)


class _SaidToo(NamedTuple):
    """What words for one fact say of another."""

    words: str
    fact: str
    value: str


def _said_by(says_too: Mapping[str, Mapping[str, str]]) -> set[_SaidToo]:
    return {_SaidToo(words, *each) for words, others in says_too.items() for each in others.items()}


def _asked_later(below: RuleBase, above: RuleBase) -> Found:
    """What stops the work is asked for as it was: as likely, as soon, and for no more effort."""
    for name in sorted(facts_in(below, stop_rules(below)) & above.priors.keys()):
        before, now = below.priors.get(name), above.priors[name]
        if before is None and (now.after or now.unless):
            yield "priors", name, wording("overlays.prior_rests", fact=name)
        if before is None:
            continue
        if before.model_copy(update={"source": now.source}) != now:
            yield "priors", name, wording("overlays.prior_rests", fact=name)
        if above.efforts[before.effort].cost > below.efforts[before.effort].cost:
            yield "efforts", before.effort, wording("overlays.effort_rests", effort=before.effort, fact=name)
