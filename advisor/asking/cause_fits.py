"""How well causes fit what went wrong with a floor, and which together explain all of it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from itertools import combinations

from advisor.answer.ranking import Standing
from advisor.asking.cause_forms import CauseFound, Fit
from advisor.facts.complaints import COMPLAINTS
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Rule
from advisor.model.standing import Points, Reason
from advisor.rulebase.causes import EXPLAINS_FIRST, SIGNS, USUAL_SIGN, explained
from explanations.trace import Trace

MOST_TOGETHER = 3  # causes in a set that explains all
MOST_SETS = 3


def fits(
    base: RuleBase, ranked: list[Standing], wrong: Mapping[str, str], seen: Container[str] = ()
) -> list[CauseFound]:
    """How well each cause fits; the best for a complaint is possible, however near the best for another comes.

    Args:
        base: the whole rule base.
        ranked: where the causes stand, best first.
        wrong: the complaints, the worst first, each with the fact that tells it.
        seen: the causes of which some complaint is a usual sign.
    """
    found = list(_fitting(base, ranked, wrong, seen))
    best = {_best_for(base, each, told_by, found) for each, told_by in wrong.items()}
    return [
        each.model_copy(update={"fit": "possible", "in_sight": bool(each.danger)})
        if each.cause in best and each.fit == "hardly"
        else each
        for each in found
    ]


def _best_for(base: RuleBase, complaint: str, told_by: str, found: Iterable[CauseFound]) -> str:
    """The cause of which a complaint is a usual sign, and that has most for it; empty where none can be."""
    able = [each for each in found if complaint in each.explains and each.fit != "excluded" and each.points > 0]
    if not able:
        return ""
    return max(able, key=lambda each: (complaint in _usual(base, [each]), points_for(base, each, told_by))).cause


def points_for(base: RuleBase, cause: CauseFound, told_by: str) -> int:
    """What a cause has for one complaint: without what other complaints, their place and their time give it.

    Args:
        base: the whole rule base.
        cause: it explains the complaint.
        told_by: the fact that tells the complaint.
    """
    spoken = (*cause.speaks_for, *cause.speaks_against)
    return sum(each.points for each in spoken if _complaint_of(base.cause_rules[each.rule]) in ("", told_by))


def explaining(base: RuleBase, complaint: str, told_by: str, told: Iterable[CauseFound]) -> tuple[str, ...]:
    """The causes that explain a complaint, those with most for it first."""
    able = [each for each in told if complaint in each.explains]
    return tuple(each.cause for each in sorted(able, key=lambda each: -points_for(base, each, told_by)))


def _complaint_of(rule: Rule) -> str:
    """The fact that tells the complaint that a rule speaks of; empty where it speaks of the floor."""
    if EXPLAINS_FIRST in rule.when:
        return COMPLAINTS[0]
    return next((name for name in COMPLAINTS if any("among" in each for each in rule.when.get(name, ()))), "")


def _fitting(
    base: RuleBase, ranked: list[Standing], wrong: Iterable[str], seen: Container[str]
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


def together(base: RuleBase, told: list[CauseFound], wrong: Mapping[str, str]) -> tuple[tuple[str, ...], ...]:
    """The smallest sets of causes that explain all complaints that any of them explains, the best first.

    A complaint is put down only to causes that come near the best that explains it: else one that nothing special
    speaks for would stand for two that much speaks for.
    """
    put_down = {each: _near(base, each, told_by, told) for each, told_by in wrong.items()}
    wanted = [causes for causes in put_down.values() if causes]
    able = [each for each in told if any(each.cause in causes for causes in wanted)]
    for size in range(1, MOST_TOGETHER + 1):
        found = [
            some
            for some in combinations(able, size)
            if wanted and all(causes.intersection(each.cause for each in some) for causes in wanted)
        ]
        if found:
            found.sort(key=lambda some: (-len(_usual(base, some) & wrong.keys()), -sum(cause.points for cause in some)))
            return tuple(tuple(cause.cause for cause in some) for some in found[:MOST_SETS])
    return ()


def _near(base: RuleBase, complaint: str, told_by: str, told: Iterable[CauseFound]) -> set[str]:
    """The causes that come near the best for a complaint."""
    points = {each.cause: points_for(base, each, told_by) for each in told if complaint in each.explains}
    least = max(points.values(), default=0) - base.norms["likely_gap"].interval.high
    return {cause for cause, each in points.items() if each >= least}


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
