"""How well causes fit what went wrong with a floor, and which together explain all of it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from itertools import combinations

from advisor.answer.ranking import Standing
from advisor.asking.cause_forms import CauseFound, Fit
from advisor.model.knowledge import RuleBase
from advisor.model.standing import Points, Reason
from advisor.rulebase.causes import SIGNS, USUAL_SIGN, explained
from explanations.trace import Trace

MOST_TOGETHER = 3  # causes in a set that explains all
MOST_SETS = 3


def fits(base: RuleBase, ranked: list[Standing], wrong: tuple[str, ...], seen: Container[str] = ()) -> list[CauseFound]:
    """How well each cause fits; the best for a complaint is possible, however near the best for another comes.

    Args:
        base: the whole rule base.
        ranked: where the causes stand, best first.
        wrong: the complaints, the worst first.
        seen: the causes of which some complaint is a usual sign.
    """
    found = list(_fitting(base, ranked, wrong, seen))
    best = {_best_for(base, each, found) for each in wrong}
    return [
        each.model_copy(update={"fit": "possible", "in_sight": bool(each.danger)})
        if each.cause in best and each.fit == "hardly"
        else each
        for each in found
    ]


def _best_for(base: RuleBase, complaint: str, found: Iterable[CauseFound]) -> str:
    """The cause of which a complaint is a usual sign, and that has most for it; empty where none can be."""
    able = [each for each in found if complaint in each.explains and each.fit != "excluded" and each.points > 0]
    return max(able, key=lambda each: (complaint in _usual(base, [each]), each.points)).cause if able else ""


def _fitting(
    base: RuleBase, ranked: list[Standing], wrong: tuple[str, ...], seen: Container[str]
) -> Iterator[CauseFound]:
    norms = {
        name: base.norms[name].interval.high
        for name in ("likely_points", "likely_gap", "possible_points", "possible_gap")
    }
    best = max((each.total for each in ranked if each.verdict != "ruled out"), default=0)
    for standing in ranked:
        cause = base.causes[standing.finish]
        explains = tuple(each for each in wrong if each in explained(cause))
        if not explains:
            continue
        behind = best - standing.total
        fit: Fit = "hardly"
        if standing.verdict == "ruled out":
            fit = "excluded"
        elif standing.total >= norms["likely_points"] and behind <= norms["likely_gap"]:
            fit = "likely"
        elif standing.total >= norms["possible_points"] and behind <= norms["possible_gap"]:
            fit = "possible"
        points = [
            Points(
                rule=each.rule,
                because=each.because,
                criterion=each.criterion,
                points=each.points,
                weighted=each.points,
            )
            for each in standing.awards
            if each.criterion == SIGNS
        ]
        points.sort(key=lambda each: -abs(each.points))
        yield CauseFound(
            cause=standing.finish,
            name=cause.name,
            what=cause.what,
            family=cause.family,
            fit=fit,
            points=standing.total,
            explains=explains,
            speaks_for=tuple(each for each in points if each.points > 0),
            speaks_against=tuple(each for each in points if each.points < 0),
            excluded_by=tuple(
                dict.fromkeys(Reason(rule=each.rule, because=each.because) for each in standing.ruled_out_by)
            ),
            danger=cause.danger,
            in_sight=bool(cause.danger) and fit != "excluded" and (fit != "hardly" or standing.finish in seen),
        )


def together(base: RuleBase, told: list[CauseFound], wrong: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The smallest sets of causes that explain all complaints that any of them explains, the best first."""
    wanted = {each for each in wrong if any(each in cause.explains for cause in told)}
    for size in range(1, MOST_TOGETHER + 1):
        found = [
            some
            for some in combinations(told, size)
            if wanted <= {each for cause in some for each in cause.explains} and wanted
        ]
        if found:
            found.sort(key=lambda some: (-len(_usual(base, some) & wanted), -sum(cause.points for cause in some)))
            return tuple(tuple(cause.cause for cause in some) for some in found[:MOST_SETS])
    return ()


def _usual(base: RuleBase, causes: Iterable[CauseFound]) -> set[str]:
    """The complaints that are usual signs of some of these causes."""
    return {one for each in causes for one in base.causes[each.cause].fits.get("trouble", ())}


def usual_signs_of(trace: Trace) -> set[str]:
    """The causes of which some complaint is a usual sign."""
    drawn = ((firing.finish, each) for firing in trace.firings for each in firing.conclusions)
    return {cause for cause, each in drawn if each.kind == "finding" and each.name == USUAL_SIGN}


def settled(found: Iterable[CauseFound]) -> bool:
    """Whether one cause is likely and no other possible."""
    return [each.fit for each in found if each.fit in ("likely", "possible")] == ["likely"]
