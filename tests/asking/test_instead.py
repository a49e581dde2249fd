"""This finish and not that one: points as counted, exclusions, ties, and what would put the second first."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest

from advisor.asking.explaining import Explained
from advisor.asking.instead import Instead, instead
from advisor.asking.instead_words import instead_told
from advisor.demo import demo_cases
from advisor.facts.case import read_case, say
from advisor.facts.statements import Statement
from explanations.comparing import deciding
from explanations.telling import tell
from tests.draws import draws
from tests.explained import demos, random_floors, the_reasoner

TODAY = date(2026, 11, 25)
REASONER = the_reasoner()
BASE = REASONER.base


@pytest.fixture(scope="module")
def garage() -> Explained:
    return Explained(REASONER, read_case(demo_cases()["untested_garage"], BASE, TODAY), TODAY)


def first_two(told: Explained) -> Instead:
    one, other = (each.finish for each in told.advice.standings[:2])
    return instead(told, one, other)


def test_the_swings_add_up_to_the_gap(garage: Explained) -> None:
    """Points times weight, of the rules that set the two apart and of no other, are the difference of the totals."""
    for told in [garage, *random_floors(draws(5))]:
        left = [each for each in told.advice.standings if each.rank]
        for other in left[1:4]:
            found = instead(told, left[0].finish, other.finish, preferring=False)
            for each in found.swings:
                assert each.counted == each.points * each.weight
            moved = {side.finish: sum(e.counted for e in found.swings if e.finish == side.finish)
                     for side in (found.first, found.second)}  # fmt: skip
            assert moved[found.first.finish] - moved[found.second.finish] == left[0].total - other.total


def test_a_finish_ruled_out_is_told_by_its_rule_and_number() -> None:
    told = Explained(REASONER, read_case(demo_cases()["shop_over_ground"], BASE, TODAY), TODAY)
    leading = told.advice.answer.leading
    assert leading is not None
    found = instead(told, leading, "epoxy_flake")
    assert found.second.verdict == "ruled out"
    text = "\n".join(instead_told(found))
    assert "is ruled out" in text.splitlines()[0]
    assert all(because in text for because in found.second.ruled_out_by)
    assert "86 %" in text


def test_what_would_put_the_second_first_does(garage: Explained) -> None:
    """Each set of changes handed out, stated and reasoned through again, makes the second lead."""
    found = first_two(garage)
    assert found.to_prefer
    for turn in found.to_prefer:
        said = {each.fact: Statement(each.to) for each in turn.changes}
        changed = Explained(REASONER, say(BASE, garage.case, said, TODAY), TODAY)
        assert changed.advice.answer.leading == found.second.finish
    assert "to put" in "\n".join(instead_told(found))


def test_a_tie_is_told_as_one() -> None:
    tied = [(told, told.advice.standings[:2]) for told in random_floors(draws(60))
            if len([s for s in told.advice.standings if s.rank]) > 1
            and told.advice.standings[0].total == told.advice.standings[1].total]  # fmt: skip
    assert tied
    for told, (one, other) in tied[:3]:
        found = instead(told, one.finish, other.finish, preferring=False)
        assert found.broken_by == ("conditions" if len(one.first) != len(other.first) else "order")
        assert "the same points" in next(instead_told(found))


def test_the_first_reason_separates_the_first_from_the_second() -> None:
    """Of a finish that leads by points, the reason told is not one that the next has as well (or it is a tie)."""
    seen = 0
    for told in [*demos().values(), *random_floors(draws(60))]:
        left = [each for each in told.advice.standings if each.rank]
        if len(left) < 2 or left[0].total == left[1].total or told.advice.stops or told.advice.holds:
            continue  # what stops a floor is the answer, and is told alone
        seen += 1
        mine, theirs = (Counter({p.rule: 0 for p in side.points}) for side in left[:2])
        for sums, side in ((mine, left[0]), (theirs, left[1])):
            for award in side.points:
                sums[award.rule] += award.weighted
        apart = [each.because.split(".")[0][1:] for each in deciding(told.graph) if mine[each.rule] > theirs[each.rule]]
        said = tell(told.graph, "sentence", left[0].finish)
        assert any(each in said for each in apart), said
    assert seen > 3
