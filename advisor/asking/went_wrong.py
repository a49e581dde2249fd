"""What went wrong with a floor, in short: what the advice on a finish says of it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.complaints import spoken_of
from advisor.model.advice import Advice, WentWrong
from explanations.wording import listed, wording

if TYPE_CHECKING:
    from advisor.asking.cause_forms import CauseFound, Causes, Look

MOST_OUTCOMES, MOST_NOT_NOW = 5, 2


def went_wrong(reasoner: Reasoner, case: Case, advice: Advice, today: date) -> WentWrong | None:
    """What went wrong, in short; None where nothing did that the advice on a finish must speak of."""
    if not spoken_of(reasoner.base, case.facts):
        return None
    from advisor.asking.causes import find_causes  # most floors have nothing wrong with them

    found = find_causes(reasoner, case, today, advice)
    names = {name: cause.name for name, cause in reasoner.base.causes.items()}
    look = found.looks[0] if found.looks else None
    endanger = dangerous(found)
    briefly = [reasoner.base.causes[each.cause].brief or each.name for each in endanger]
    return WentWrong(
        sentence=found.sentence,
        likely=tuple(each.cause for each in found.told("likely")),
        look=wording("causes.look", ask=look.ask, effort=look.effort) if look else "",
        look_at=look.fact if look else "",
        outcomes=outcomes_told(names, look)[:MOST_OUTCOMES] if look else (),
        dangers=tuple(wording("causes.danger", name=each.name, danger=each.danger) for each in endanger),
        in_sight=wording("causes.in_sight", causes=listed(each.name for each in endanger)) if endanger else "",
        in_sight_briefly=wording("causes.in_sight", causes=listed(briefly)) if endanger else "",
        not_now=found.not_now[:MOST_NOT_NOW],
    )


def dangerous(found: Causes) -> tuple[CauseFound, ...]:
    """The causes that would hurt somebody if they were missed, while they can be."""
    return tuple(each for each in found.causes if each.in_sight)


def outcomes_told(names: Mapping[str, str], look: Look) -> tuple[str, ...]:
    """What each answer would mean; answers that mean the same are told together, likelier ones first."""
    means: dict[tuple[tuple[str, ...], bool], list[str]] = {}
    for each in sorted(look.outcomes, key=lambda each: -each.share):
        means.setdefault((each.first, each.settles), []).append(each.value)
    told = []
    for (causes, settles), values in means.items():
        key = "causes.settles" if settles else "causes.outcome" if causes else "causes.outcome_none"
        told.append(wording(key, values=listed(values, "or"), causes=listed((names[each] for each in causes), "or")))
    return tuple(told)
