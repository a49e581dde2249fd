"""The outlook of a case in plain sentences: what is certain, and what it may still come to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from advisor.answer.kind_words import outlook
from advisor.answer.ranking import Recommendation
from advisor.asking.outlook import Turn
from advisor.asking.proof import Verdict
from advisor.model.knowledge import RuleBase
from explanations.words import counted, listing, sentence

MOST_TURNS = 5
EXACTLY = "exactly "  # before a single number
LEAST_SHARE = 0.02  # rarer turns are counted, not named


def recommended(base: RuleBase, recommendation: Recommendation) -> str:
    """A recommendation in a few words."""
    name = base.finishes[recommendation.finish].name if recommendation.finish else ""
    return outlook(recommendation.kind, name)


def percent(share: float) -> str:
    """A share as people say it.

    >>> percent(0.004), percent(0.637), percent(0.997)
    ('under 1 %', '64 %', 'over 99 %')
    """
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < share < 1 else f"{share * 100:.0f} %"


def turns_told(base: RuleBase, turns: Iterable[Turn]) -> Iterator[str]:
    """What the case may still come to, likeliest first."""
    turns = list(turns)
    named = [turn for turn in turns[:MOST_TURNS] if turn.share >= LEAST_SHARE] or turns[:1]
    for turn in named:
        yield f"{percent(turn.share)}: {recommended(base, turn.recommendation)}"
    rest = turns[len(named) :]
    if len(rest) == 1:
        yield f"{percent(rest[0].share)}: {recommended(base, rest[0].recommendation)}"
    elif rest:
        yield f"{percent(sum(turn.share for turn in rest))}: {counted(len(rest), 'other outcome')}"


def verdict_told(base: RuleBase, verdict: Verdict, turns: tuple[Turn, ...], open_facts: int) -> str:
    """Whether the recommendation is certain, in one or two sentences."""
    facts = counted(open_facts, "open fact")
    if verdict.recommendation:
        what = recommended(base, verdict.recommendation)
        return sentence(
            f"certain: {what}. Whatever the {facts} may still turn out to be, it stays so "
            f"(proved over {counted(verdict.tried, 'combination')} of the values that matter)"
        )
    if len(turns) == 1 and not verdict.decided:
        return sentence(f"not proved, though every floor tried came to {recommended(base, turns[0].recommendation)}")
    if len(turns) == 1:
        others = [each for each in verdict.exceptions if each != turns[0].recommendation]
        return sentence(
            f"nearly certain: {recommended(base, turns[0].recommendation)}; only values that are hardly met would "
            f"make it {listing((recommended(base, each) for each in others), 'or')}"
        )
    return f"Not certain yet; with the {facts} it may come to"


def values_told(stretches: Iterable[str]) -> str:
    """Values in a few words; single ones that only bound a stretch are left out.

    >>> values_told(["0 to 4 in", "exactly 4 in"])
    '0 to 4 in'
    """
    stretches = list(stretches)
    between = [each for each in stretches if not each.startswith(EXACTLY)]
    return listing(joined(between or stretches), "or")


_STRETCH = re.compile(r"(\S+)(?: to (\S+))?( .+)?")


def joined(stretches: Iterable[str]) -> list[str]:
    """Stretches of a number that follow each other told as one: `2 to 3 days`, `3 to 9 days` are `2 to 9 days`."""
    joined: list[str] = []
    for stretch in stretches:
        before, now = (_STRETCH.fullmatch(each) for each in (joined[-1] if joined else "", stretch))
        if before and now and before[2] == now[1] and before[3] == now[3]:
            joined[-1] = f"{before[1]} to {now[2] or now[1]}{now[3] or ''}"
        else:
            joined.append(stretch)
    return joined
