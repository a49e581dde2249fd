"""What is told in short is what decides: stops each with its reason, then what leads and by what, ties, importances."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from advisor.asking.explaining import Explained
from advisor.asking.instead import instead
from advisor.asking.instead_words import instead_told
from advisor.asking.turning import would_turn
from advisor.asking.why import turning_text
from advisor.facts.case import say
from advisor.facts.statements import Statement
from explanations.comparing import leading_by, mattering
from explanations.telling import tell
from explanations.views import gist
from explanations.wording import label
from explanations.words import first_sentence, inside
from tests.explained import demos, random_floors, the_reasoner
from tests.scenario_files import shelf

REASONER = the_reasoner()
LEAK_AND_CRACK = {"active_leak": "yes", "crack_width": "10 mm"}


@cache
def scenario(name: str) -> Explained:
    return Explained(REASONER, shelf().cases(REASONER.base)[name])


def saying(told: Explained, **said: str) -> Explained:
    more: Mapping[str, Statement] = {name: Statement(value) for name, value in said.items()}
    return Explained(REASONER, say(REASONER.base, told.case, more, told.today), told.today)


def held() -> list[Explained]:
    """Floors that something stops or holds, and of which a finish is left."""
    garage = demos()["untested_garage"]
    some = [demos()["old_tile_kitchen"], saying(garage, **LEAK_AND_CRACK), *random_floors(12)]
    some.append(scenario("Basement rec room, damp, wants grey paint"))
    stopped = [each for each in some if each.advice.stops or each.advice.holds]
    return [each for each in stopped if any(standing.rank for standing in each.advice.standings)]


def test_under_a_stop_a_finish_leads_so_far_by_its_own_reasons() -> None:
    floors = held()
    assert len(floors) > 3
    for told in floors:
        leading = told.advice.answer.leading
        stops = {each.because for each in told.advice.bearing if each.does in ("stops", "holds")}
        said = tell(told.graph, "sentence", leading)
        stop, _, leads = said.partition(" leads so far, because ")
        assert any(inside(each) in stop for each in stops), said
        assert leads
        assert not any(inside(each) in leads for each in stops), said
        assert stops.isdisjoint(each.because for each in leading_by(told.graph))


def test_of_two_stops_each_is_told_with_its_reason() -> None:
    told = saying(demos()["untested_garage"], **LEAK_AND_CRACK)
    assert len(told.advice.stops) == 2
    for level in ("sentence", "paragraph"):
        text = tell(told.graph, level).lower()
        for stop in told.advice.stops:
            assert any(inside(each.because).lower() in text for each in stop.reasons), (level, stop.who)


def test_turn_says_what_it_leaves_out_where_why_tells_a_pair() -> None:
    """Two stops fall only together, by what nobody may do or can change: `why` names the pair, and `turn` says so."""
    told = saying(demos()["untested_garage"], **LEAK_AND_CRACK)
    found = would_turn(told.reasoner, told.case, most=2, today=told.today)
    pairs = [each for each in told.facts() if each.bears == "too" and each.fact in LEAK_AND_CRACK]
    assert pairs
    assert not found.turns
    said = " ".join(turning_text(found, told.base).split())
    assert "No change that I tried does it" not in said
    assert "Left out are what nobody may do before it" in said


def test_where_one_finish_is_left_the_facts_that_bring_another_are_told() -> None:
    told = scenario("Tenant's ground-floor living room, lease says restore")
    others = [each for each in told.advice.turns_alone if each.stated
              if any(finish and finish != told.advice.answer.leading for to in each.to
                     for finish in [to.partition(": ")[2]])]  # fmt: skip
    assert others
    said = tell(told.graph, "sentence")
    assert all(each.values in said for each in others)


def test_reasons_that_each_suffice_are_told_as_one_whole_set() -> None:
    told = scenario("Tenant's ground-floor living room, lease says restore")
    said, seen = tell(told.graph, "paragraph"), 0
    for each in told.advice.bearing:
        if each.bears == "too" and each.does == "excludes" and len(each.others) > 1:
            whole = [other for other in told.advice.bearing if other.rule in each.others and other.over == each.over]
            assert all(inside(other.because) in said for other in (each, *whole))
            seen += 1
    assert seen > 2


def test_an_importance_that_alone_turns_the_answer_is_told_before_anything_else() -> None:
    told = saying(demos()["untested_garage"], importance_look="low", importance_cost="high")
    alone = [each for each in told.advice.weighed if each.alone]
    assert alone
    said = tell(told.graph, "sentence")
    for each in alone:
        assert f"you said that {label('criterion', each.criterion)}" in said
    assert said in tell(told.graph, "paragraph")
    assert {each.node for each in mattering(told.graph)} <= set(gist(told.graph))


def test_what_the_case_says_and_turns_alone_is_named_in_the_paragraph() -> None:
    for told in demos().values():
        text = tell(told.graph, "paragraph")
        assert all(label("fact", each.fact) in text for each in told.advice.turns_alone if each.stated)


def test_a_tie_is_told_with_what_breaks_it_and_the_next() -> None:
    seen = set()
    for name in ("Home garage with a two-post lift", "Peeled, and nobody knows where or how"):
        told = scenario(name)
        second = told.advice.standing(told.advice.answer.runner_up)
        assert told.advice.tie_broken_by
        assert second is not None
        for level in ("sentence", "paragraph"):
            assert f"it is level with {second.name}" in tell(told.graph, level)
        small = gist(told.graph)
        assert "level on points" in small.nodes[f"standing:{second.finish}"]["label"]
        waits = [each for each in told.advice.bearing if each.does == "waits"]
        _, speaking_for, merits = tell(told.graph, "paragraph").partition("What speaks for")
        assert not any(speaking_for and inside(each.because) in merits for each in waits)
        seen.add(told.advice.answer.kind)
    assert seen == {"finish", "test first"}


def test_a_finding_of_a_gist_names_what_else_leads_to_it() -> None:
    """Of several signs of which each suffices one is drawn; the others are said."""
    seen = 0
    for told in (scenario("Basement rec room, damp, wants grey paint"), *demos().values(), *random_floors(6)):
        small = gist(told.graph)
        for node, data in small.nodes(data=True):
            if data["kind"] == "found":
                more = [rule for rule in told.graph.predecessors(node) if rule not in small]
                kinds = told.graph.nodes
                behind = [[f for f in told.graph.predecessors(rule)
                           if f.startswith("fact:") and kinds[f]["kind"] != "unknown"] for rule in more]  # fmt: skip
                single = [some[0] for some in behind if len(some) == 1 and some[0] not in small]
                given = [f for f in single if kinds[f]["kind"] == "given"]
                assert all(told.graph.nodes[f]["label"] in data["label"] for f in given)
                seen += len(given)
    assert seen


def test_what_is_told_of_two_finishes_adds_up_to_the_gap() -> None:
    """Signed towards the first, the lines told and the sum of the rest are its lead; in full no line is left out."""
    for told in (*demos().values(), *random_floors(6)):
        left = [each.finish for each in told.advice.standings if each.rank]
        for other in left[1:3]:
            found = instead(told, left[0], other, preferring=False)
            for everything in (False, True):
                lines = list(instead_told(found, everything))
                points = [line.removeprefix("- ").split()[0] for line in lines if line[:3] in ("- +", "- -")]
                rest = [line.split(": ")[1].split()[0] for line in lines if "smaller one" in line]
                assert sum(map(int, (*points, *rest))) == found.first.total - found.second.total
                assert not (everything and rest)


def test_points_are_told_as_counted_and_times_what() -> None:
    for told in demos().values():
        standing = next(each for each in told.advice.standings if each.points)
        text = tell(told.graph, "full", standing.finish)
        for each in standing.points:
            assert each.points == each.weighted or f"({each.points:+d} times {each.weighted // each.points})" in text
        assert first_sentence(standing.points[0].because) in text
