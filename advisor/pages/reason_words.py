"""Reasons in few words, beside the name of the finish that they stand under; for the one screen and the letter."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.answer.apart import Told
from advisor.model.advice import Advice
from advisor.model.standing import FinishStanding
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, inside, sentence


def of_it(because: str, name: str) -> str:
    """The first sentence of a reason, short where it begins with the name of the finish that it stands under."""
    said, named = first_sentence(because), sentence(name).rstrip(".")
    does = said.removeprefix(f"{named} ")
    return said if does == said or does.startswith("itself ") else wording("short.it", does=does)


def of_another(told: Told, before: Told | None) -> str:
    """A reason that speaks of another finish, as a sentence that names it; empty where it speaks of the leading one,
    or goes on about the finish of the one told before."""
    if before and told.against and told.against == before.against:
        return ""
    key, other = ("excluded", told.excluded) if told.excluded else ("against_other", told.against)
    given = {"finish": other, "clause": inside(told.because), "reason": of_it(told.because, other)}
    return sentence(wording(f"short.{key}", **given)) if other else ""


def weighed_words(advice: Advice) -> Iterator[str]:
    """What the customer said matters, and whether that alone turned the answer."""
    other = advice.standing(advice.leads_unweighed)
    leads = other.name if other and other.finish != advice.answer.leading else "same"
    by_importance = {
        importance: [label("criterion", each.criterion) for each in advice.weighed if each.importance == importance]
        for importance in ("high", "low")
    }
    told = [
        wording("short.matters", what=listed(some), n=len(some), importance=importance)
        for importance, some in by_importance.items()
        if some
    ]
    alone = [
        wording("short.alone", what=label("criterion", each.criterion), leads=other.name if other else "none")
        for each in advice.weighed
        if each.alone
        for other in [advice.standing(each.otherwise)]
    ]
    if told:
        yield " ".join([*told, *(alone or [wording("short.unweighed", leads=leads)])])


def nearest_words(standing: FinishStanding) -> str:
    """A finish that is ruled out, by what, and by how many rules more."""
    first, *more = standing.ruled_out_by
    clause = inside(first_sentence(first.because))
    return sentence(wording("short.nearest", finish=standing.name, clause=clause, more=len(more)))
