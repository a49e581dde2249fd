"""The reasons told of the leading finish: what the answer hangs on (`bearing`), and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from advisor.model.advice import Advice
from advisor.model.bearing import Bearing
from advisor.model.standing import FinishStanding


@dataclass(frozen=True)
class Told:
    """A reason with points: its rule, its sentence, its criterion, and how many weighted points it makes."""

    rule: str
    because: str
    criterion: str
    points: int  # weighted; of reasons that set two finishes apart, by how much they do
    shared: bool = False  # holds just as well for the runner-up
    excluded: str = ""  # the name of the finish that would lead, were it not ruled out by this
    against: str = ""  # the name of another finish, where this speaks against that one


def reasons(advice: Advice, most: int) -> tuple[Told, ...]:
    """Why the leading finish leads: what the answer hangs on, each rule once, what is said of the same criterion last.

    First what puts it before the runner-up, what speaks for it before what speaks against that one; then the finishes
    that would lead, were it not for one rule that rules them out. Where nothing else is left over, what speaks for it.
    Only where nothing sets two finishes apart are these reasons that the runner-up has too, marked as shared.

    Args:
        advice: the answer.
        most: how many.
    """
    leading, runner_up = advice.leading, advice.answer.runner_up
    if leading is None:
        return ()
    hangs_on = [each for each in advice.bearing if each.puts_ahead(leading.finish)]
    ahead = _ahead(leading, advice.standing(runner_up))
    apart = [each for each in hangs_on if each.does != "excludes"]
    apart.sort(key=lambda each: (each.over != runner_up, each.rule not in ahead, each.finish != leading.finish))
    own = [each for each in _weightiest([*_by_rule(leading).values()]) if each.points > 0]
    found = [
        *_one_a_criterion(advice, apart),
        *(_excluded(advice, each) for each in hangs_on if each.does == "excludes" and each.bears == "alone"),
        *(own if runner_up is None else ()),
        *(_excluded(advice, each) for each in hangs_on if each.does == "excludes" and each.bears != "alone"),
    ]
    chosen = {each.rule: each for each in reversed(found)}  # of a rule that is told twice the first
    told = tuple(each for each in found if chosen[each.rule] is each)
    return (told or tuple(replace(each, shared=True) for each in own))[:most]


def _ahead(leading: FinishStanding, runner_up: FinishStanding | None) -> set[str]:
    """The rules by which the leading finish has more points than the next, whatever else they set it apart from."""
    ours, theirs = _by_rule(leading), _by_rule(runner_up) if runner_up else {}
    points = {rule: (ours[rule].points if rule in ours else 0) for rule in {*ours, *theirs}}
    return {rule for rule, own in points.items() if own > (theirs[rule].points if rule in theirs else 0)}


def _one_a_criterion(advice: Advice, some: Iterable[Bearing]) -> list[Told]:
    """What is said of the same finish by the same criterion as something before comes last."""
    seen: set[tuple[str | None, str]] = set()
    first: list[Told] = []
    again: list[Told] = []
    for each in some:
        key = each.over, each.criterion or each.rule
        other = advice.standing(each.finish) if each.finish != advice.answer.leading else None
        against = other.name if other else ""
        (again if key in seen else first).append(
            Told(each.rule, each.because, each.criterion, each.points, against=against)
        )
        seen.add(key)
    return [*first, *again]


def _excluded(advice: Advice, each: Bearing) -> Told:
    out = advice.standing(each.over)
    return Told(each.rule, each.because, each.criterion, each.points, excluded=out.name if out else "")


def nearest(advice: Advice, most: int) -> tuple[FinishStanding, ...]:
    """Where every finish is ruled out: those ruled out by the fewest rules, of them the ones with most points."""
    if any(each.verdict != "ruled out" for each in advice.standings):
        return ()
    fewest = min((len(each.ruled_out_by) for each in advice.standings), default=0)
    near = [each for each in advice.standings if len(each.ruled_out_by) == fewest]
    return tuple(sorted(near, key=lambda each: -each.total)[:most])


def drawbacks(standing: FinishStanding, most: int) -> tuple[Told, ...]:
    """The worst of what speaks against a finish, whether or not any rival shares it."""
    against = [each for each in _by_rule(standing).values() if each.points < 0]
    return tuple(sorted(against, key=lambda each: (each.points, each.rule))[:most])


def _by_rule(standing: FinishStanding) -> dict[str, Told]:
    """A finish's points by rule: under one rule all of them count as one reason."""
    found: dict[str, Told] = {}
    for award in standing.points:
        before = found.get(award.rule)
        points = award.weighted + (before.points if before else 0)
        found[award.rule] = Told(award.rule, before.because if before else award.because, award.criterion, points)
    return found


def _weightiest(some: list[Told]) -> list[Told]:
    return sorted(some, key=lambda each: -each.points)
