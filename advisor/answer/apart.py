"""What sets the leading finish apart from the next: reasons that do not hold just as well for the runner-up."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.model.advice import Advice, FinishStanding


@dataclass(frozen=True)
class Told:
    """A reason with points: its rule, its sentence, its criterion, and how many weighted points it makes."""

    rule: str
    because: str
    criterion: str
    points: int  # weighted; of reasons that set two finishes apart, by how much they do
    shared: bool = False  # holds just as well for the runner-up


def reasons(advice: Advice, most: int) -> tuple[Told, ...]:
    """The best reasons for the leading finish: what it has before the runner-up, then what speaks against that one.

    Only where nothing sets them apart are these reasons that both have, marked as shared.

    Args:
        advice: the answer.
        most: how many.
    """
    first, second = advice.leading, advice.standing(advice.answer.runner_up)
    if first is None:
        return ()
    mine, theirs = _by_rule(first), _by_rule(second) if second else {}
    found = [
        _less(each, theirs[name].points if name in theirs else 0) for name, each in mine.items() if each.points > 0
    ]
    apart = [each for each in found if each.points > 0]
    against = [
        _less(each, mine[name].points if name in mine else 0) for name, each in theirs.items() if each.points < 0
    ]
    worse = [Told(each.rule, each.because, each.criterion, -each.points) for each in against if each.points < 0]
    chosen = _weightiest(apart)[:most]
    for each in _weightiest(worse):
        if len(chosen) < most and each.criterion not in {other.criterion for other in chosen}:  # nothing said twice
            chosen.append(each)
    if chosen:
        return tuple(chosen)
    both = [Told(each.rule, each.because, each.criterion, each.points, True) for each in mine.values()]
    return tuple(_weightiest([each for each in both if each.points > 0])[:most])


def drawbacks(standing: FinishStanding, most: int) -> tuple[Told, ...]:
    """The worst of what speaks against a finish, whether or not any rival shares it."""
    against = [each for each in _by_rule(standing).values() if each.points < 0]
    return tuple(sorted(against, key=lambda each: each.points)[:most])


def _by_rule(standing: FinishStanding) -> dict[str, Told]:
    """A finish's points by rule: under one rule all of them count as one reason."""
    found: dict[str, Told] = {}
    for award in standing.points:
        before = found.get(award.rule)
        points = award.weighted + (before.points if before else 0)
        found[award.rule] = Told(award.rule, before.because if before else award.because, award.criterion, points)
    return found


def _less(each: Told, other: int) -> Told:
    return Told(each.rule, each.because, each.criterion, each.points - other)


def _weightiest(some: list[Told]) -> list[Told]:
    return sorted(some, key=lambda each: -each.points)
