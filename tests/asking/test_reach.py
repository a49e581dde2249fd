"""Sets of facts that turn an answer together: bounds leave none out; sets of three against all values of all threes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations, product
from random import Random

import numpy as np
import pytest

from advisor.answer.many_answers import Answers, ManyAnswers
from advisor.answer.variants import variants_of
from advisor.asking.bearing_facts import bearing_facts
from advisor.asking.scanning import Scan
from advisor.asking.searching import Search, changing
from advisor.engines.columns import columns_of
from advisor.facts.case import Case
from advisor.model.values import Value
from tests.asking.test_bearing_facts import SMALL, some_values
from tests.asking.test_turning import FLOORS, facts, floor
from tests.draws import draws
from tests.explained import demos, the_reasoner
from tests.floors import limits_of, random_case
from tests.scenario_files import shelf

MANY = ManyAnswers(SMALL.base)
COMPUTED = {"budget", "area"}  # a fact is computed from both, so that with the one the regions of the other move


def searched(case: Case) -> Search:
    """The search among all facts of a floor of the trade's rules for what turns the answer."""
    scan = Scan(variants_of(the_reasoner()), case)
    scan.search.goal = changing(scan.variants, scan.recommended)
    return scan.search


@pytest.mark.parametrize("number", range(3 + draws(2)))
def test_no_pair_that_is_left_out_turns_the_answer(number: int) -> None:
    floors = [*(each.case for each in demos().values()), *shelf().cases(the_reasoner().base).values()]
    search = searched(floors[number if number < 3 else -37 * number % len(floors)])
    assert search.goal
    every = Search(search.variants, search.given, search.changes, replace(search.goal, any_other=False), apart=())
    found = {frozenset(each.places) for each in search.minimal(2)}
    assert found == {frozenset(each.places) for each in every.minimal(2)}
    assert search.tried[2] < every.tried[2] / 5


def test_what_may_turn_it_is_less_than_all_threes_and_holds_all_that_do() -> None:
    """Of sets of three that the bounds leave out some thousand are tried."""
    search = searched(demos()["untested_garage"].case)
    assert search.goal
    reach = search.reach
    facts_of_three = list(combinations(range(len(reach.facts)), 3))[:: 40_000 // draws(100)]
    could = reach.could_turn(np.array(facts_of_three))
    idle = [some for some, so in zip(facts_of_three, could, strict=True) if not so]
    assert len(idle) > len(facts_of_three) / 2
    places = [[at for at, each in enumerate(search.changes) if each.fact == name] for name in reach.facts]
    turning = {each.places[0] for each in search.minimal(1)}
    threes = [
        three for some in idle for three in product(*(places[fact] for fact in some)) if turning.isdisjoint(three)
    ]
    assert len(threes) > 1_000
    assert not search.works(threes)


def answers(given: Mapping[str, Value], more: list[dict[str, Value]]) -> list[tuple[int, int]]:
    found: Answers = MANY.answer(columns_of(SMALL.base, [{**given, **each} for each in more]))
    return [
        (int(kind), int(leading) if named else -1)
        for kind, leading, named in zip(found.kind, found.leading, found.names_a_finish, strict=True)
    ]


def by_trying(given: Mapping[str, Value]) -> tuple[set[frozenset[str]], set[frozenset[str]]]:
    """The pairs and threes of facts of which some values turn the answer, and no fewer of those values do."""
    names = [name for name, kind in SMALL.base.facts.items() if kind.ask and kind.of == "floor"]
    (now,) = answers(given, [{}])

    def split(tried: list[dict[str, Value]]) -> tuple[list[dict[str, Value]], set[frozenset[str]]]:
        """Those that turn nothing, and the facts of those that do."""
        came = answers(given, tried) if tried else []
        idle = [each for each, so in zip(tried, came, strict=True) if so == now]
        return idle, {frozenset(each) for each, so in zip(tried, came, strict=True) if so != now}

    alone, _ = split([{name: value} for name in names for value in some_values(name)])
    left = {name: [value for each in alone for key, value in each.items() if key == name] for name in names}
    two = [
        dict(zip(some, both, strict=True)) for some in combinations(names, 2) for both in product(*map(left.get, some))
    ]
    idle, pairs = split(two)
    kept = {frozenset(each.items()) for each in idle}
    three = [
        dict(zip(some, all_, strict=True)) for some in combinations(names, 3) for all_ in product(*map(left.get, some))
    ]
    return pairs, split([e for e in three if all(frozenset(both) in kept for both in combinations(e.items(), 2))])[1]


def test_on_a_small_rule_base_sets_of_two_and_three_are_those_that_brute_force_finds() -> None:
    rng, variants, seen = Random(17), variants_of(SMALL), Counter[int]()
    drawn = [random_case(SMALL.base, rng, bounds=limits_of(SMALL.program)) for _ in range(draws(40))]
    for given in [*(facts(SMALL.base, **each) for each in FLOORS), *drawn]:
        scan = Scan(variants, floor(given))
        scan.search.goal = changing(variants, scan.recommended)
        changes, (now,) = scan.search.changes, answers(given, [{}])
        works = [[changes[place] for place in each.places] for each in scan.search.minimal(3, everything=True)]
        for some in works:
            fewer = [each for size in range(len(some)) for each in combinations(some, size)]
            came = answers(given, [{each.fact: each.value for each in made} for made in (some, *fewer)])
            assert came[0] != now
            assert set(came[1:]) == {now}
        found = {frozenset(each.fact for each in some) for some in works if len(some) > 1}
        pairs, threes = by_trying(given)
        assert all(some >= COMPUTED for some in (pairs | threes) - found)
        told = {
            frozenset([b.fact, *(o.fact for o in b.others)])
            for b in bearing_facts(Scan(variants_of(SMALL), floor(given)), 3)
        }
        named = set[str]().union(*(some for some in told if len(some) > 1))
        alone = {some[0].fact for some in works if len(some) == 1}
        assert named | alone >= set[str]().union(*pairs, *threes) | {each.fact for some in works for each in some}
        seen.update(map(len, found))
    assert seen[2] > 20
    assert seen[3]
