"""Which facts an answer hangs on: each has another value, alone or together with one other, and the answer is seen.

Beside `answer/bearing`, which says the same of rules. All values that some rule tells apart are tried, and of a number
the edge is found from which on the answer turns. A customer's stated importance, and so a weight, is a fact like any
other. With everything else as it is, a fact

- turns it *alone* if with some value of it another answer is given;
- turns it *together* with one other, of which at least one is still open, if with both changed another is given, and
  with neither alone;
- holds it *too* if that is so and the case states both: each as it is holds the answer, whatever the other is;
- else does not bear on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, groupby, product
from typing import Any

import numpy as np

from advisor.asking.changes import Change, stretch
from advisor.asking.outlook_words import in_years
from advisor.asking.scanning import IMPOSSIBLE, Scan, outcome
from advisor.asking.searching import Found, Search, changing
from advisor.facts.case import Case
from advisor.model.bearing import FactBearing, FactValues
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.wording import listed


def turning_alone(scan: Scan) -> tuple[FactBearing, ...]:
    """The facts that turn the answer alone, those that the case states first, in the order of the vocabulary.

    Args:
        scan: of all facts of a case.
    """
    same = {scan.now, IMPOSSIBLE}
    found = []
    for name, some in scan.marks.items():
        turning = [value for value, mark in zip(scan.points[name], some, strict=True) if mark not in same]
        if turning:
            to = tuple(dict.fromkeys(mark.decode() for mark in some if mark not in same))
            words, cost = _words(scan.points[name], turning), scan.cost(name, turning)
            found.append(_bearing(scan.case, name, words, bears="alone", to=to, cost=cost))
    return tuple(sorted(found, key=lambda each: not each.stated))


def bearing_facts(scan: Scan, most: int = 2) -> tuple[FactBearing, ...]:
    """Every fact that some rule asks for, and how it bears on the answer: alone first, what does not bear last.

    Args:
        scan: of all facts of a case.
        most: how many facts are changed together, 2 or 3; three take seconds.
    """
    case, told = scan.case, {each.fact: each for each in turning_alone(scan)}
    for some, to in _sets(scan, most):
        bears = "too" if all(_stated(case, each.fact) for each in some) else "together"
        for each in some:
            if each.fact not in told:
                others = tuple(FactValues(fact=other.fact, values=other.to) for other in some if other is not each)
                told[each.fact] = _bearing(
                    case, each.fact, each.to, bears=bears, to=(to,), cost=each.cost, others=others
                )
    for name in scan.points:
        told.setdefault(name, _bearing(case, name, "", bears="not", cost=0.0))
    order = ("alone", "together", "too", "not")
    return tuple(sorted(told.values(), key=lambda each: (order.index(each.bears), not each.stated)))


def _sets(scan: Scan, most: int) -> Iterator[tuple[tuple[Change, ...], str]]:
    """All sets of up to so many changes that turn the answer, of which none can be spared, and to what; the smallest
    first, of those the cheapest.

    One value stands for all that the same patterns hold of. Where something is computed from both of two facts that is
    not enough, for with the one the regions of the other move: there a grid of values is tried.
    """
    search = scan.search
    search.goal = changing(scan.variants, scan.recommended)
    found = sorted(search.minimal(most, everything=True), key=lambda each: _cost(search, each))
    beside, computed = _beside(scan)
    for searched, some in (
        (search, [each for each in found if len(each.places) == 2]),
        (beside, beside.works(computed)),
        (search, [each for each in found if len(each.places) > 2]),
    ):
        for each in some:
            yield tuple(searched.changes[p] for p in each.places), outcome(scan.variants, each.kind, each.leading)


def _cost(search: Search, found: Found) -> float:
    return sum(search.changes[place].cost for place in found.places)


def _beside(scan: Scan) -> tuple[Search, list[tuple[int, int]]]:
    """Among values of facts from which something is computed, the pairs of which something is, and that could turn."""
    beside_it, at = _computed_with(scan.variants.base), {name: at for at, name in enumerate(scan.search.reach.facts)}
    points = scan.thinned(beside_it)
    both = [(one, other) for one, other in combinations(points, 2) if other in beside_it[one]]
    known = [(at[one], at[other]) for one, other in both if one in at and other in at]
    could = scan.search.reach.could_turn(np.array(known, np.int64).reshape(-1, 2))
    idle = {pair for pair, so in zip(known, could, strict=True) if not so}
    grid = [Change(name, value) for name, some in points.items() for value in some]
    places = {name: [at for at, change in enumerate(grid) if change.fact == name] for name in points}
    tried = [
        pair
        for one, other in both
        if (at.get(one, -1), at.get(other, -1)) not in idle
        for pair in product(places[one], places[other])
    ]
    return Search(scan.variants, scan.case.as_read, grid, scan.search.goal, apart=()), tried


def _computed_with(base: RuleBase) -> dict[str, set[str]]:
    """By fact the others from which, together with it, something is computed."""
    found: dict[str, set[str]] = {}
    for kind in base.facts.values():
        behind = set(kind.computed.inputs) if kind.computed else set()
        for inner in reversed(base.facts):  # a computed fact follows its inputs in the vocabulary, or is checked later
            if inner in behind and (computed := base.facts[inner].computed):
                behind |= set(computed.inputs)
        for name in behind:
            found.setdefault(name, set()).update(behind - {name})
    return found


def _bearing(case: Case, name: str, values: str, **more: Any) -> FactBearing:
    return FactBearing(fact=name, values=values, stated=_stated(case, name), **{"others": (), "to": (), **more})


def _stated(case: Case, name: str) -> bool:
    return name in case.facts and case.facts[name].known


def _words(points: Sequence[Value], turning: Sequence[Value]) -> str:
    """The values in words: of a number the stretches between their edges."""
    if turning[0].interval is None:
        return listed([value.shown for value in turning], "or")
    return listed(_stretches(points, set(turning)), "or")


def _stretches(points: Sequence[Value], turning: set[Value]) -> Iterator[str]:
    for turns, some in groupby(range(len(points)), key=lambda at: points[at] in turning):
        if turns:
            places = list(some)
            yield (stretch(points, places) or (in_years(points[places[0]].shown),))[0]
