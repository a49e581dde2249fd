"""The explanation graph: complete, acyclic, true to the trace; its parts minimal; two graphs set against each other."""

from __future__ import annotations

import re

import networkx as nx
import pytest

from advisor.answer.picturing import view
from advisor.asking.explaining import Explained
from advisor.asking.typed_answers import say_typed
from advisor.model.knowledge import RuleBase
from explanations.comparing import compare, deciding
from explanations.graph import ANSWER, BELIEFS, CONCLUSIONS, FACTS, Graph, conclusion_key, of_kind, untraced
from explanations.telling import tell
from explanations.trace import ConclusionRecord, FactRecord, Firing, Trace
from explanations.views import (
    BESIDES,
    GIST,
    ONE_SUFFICES,
    TURNING,
    besides,
    carrying,
    difference,
    gist,
    proof,
    without_sources,
)
from tests.explained import demos, random_floors, small_floor, some, the_reasoner


def test_graphs_are_acyclic_and_every_conclusion_traces_back_to_facts() -> None:
    for told in some():
        assert nx.is_directed_acyclic_graph(told.graph)
        assert untraced(told.graph) == []
        reached = {ANSWER} | nx.ancestors(told.graph, ANSWER)
        loose = set(told.graph) - reached
        # what does not carry the answer: facts that no rule used, and floor findings that nothing was built on
        assert {told.graph.nodes[node]["kind"] for node in loose} <= FACTS | BELIEFS | {"found", "rule"}


def test_a_conclusion_without_support_is_found_out() -> None:
    graph = next(iter(demos().values())).graph.copy()
    node = sorted(of_kind(graph, {"rule_out"}))[0]
    graph.remove_edges_from(list(graph.in_edges(node)))
    assert untraced(graph) == [node]


def test_every_firing_fact_and_source_of_the_trace_is_there_with_its_edges() -> None:
    for told in some():
        graph, trace = told.graph, told.advice.trace
        assert len(of_kind(graph, {"rule"})) == len(trace.firings)
        assert len(of_kind(graph, FACTS | {"found"})) == len(trace.facts)
        for firing in trace.firings:
            key = f"rule:{firing.rule}@{firing.finish}" if firing.finish else f"rule:{firing.rule}"
            facts = {node for node in graph.predecessors(key) if node.startswith("fact:")}
            assert facts == {f"fact:{name}" for name in firing.antecedents}
            sources = {node.removeprefix("source:") for node in graph.predecessors(key) if node.startswith("source:")}
            assert sources == {cited.partition(",")[0].strip() for cited in firing.sources}
            assert set(graph.successors(key)) == {conclusion_key(each) for each in firing.conclusions}
            assert graph.nodes[key]["text"] == firing.because


def test_points_add_up_to_the_standings_totals() -> None:
    for told in some():
        for standing in told.advice.standings:
            node = f"standing:{standing.finish}"
            points = [told.graph.nodes[each].get("points", 0) for each in told.graph.predecessors(node)]
            assert sum(points) == standing.total == told.graph.nodes[node]["total"]


def test_an_assumed_fact_and_a_rule_rest_on_their_sources_by_title() -> None:
    base = the_reasoner().base
    for told in demos().values():
        for node in of_kind(told.graph, {"source"}):
            assert told.graph.nodes[node]["text"] == base.sources[node.removeprefix("source:")].title
        for node in of_kind(told.graph, {"assumed"}):
            assert any(each.startswith("source:") for each in told.graph.predecessors(node)), node


def test_the_customers_weight_carries_the_points() -> None:
    told = next(iter(demos().values()))
    heavier = Explained(the_reasoner(), say_typed(told.base, told.case, ["importance_cost=high"], told.today))
    node = next(each for each in of_kind(heavier.graph, {"points"}) if heavier.graph.nodes[each]["name"] == "cost")
    assert heavier.graph.has_edge("fact:importance_cost", node)
    assert heavier.graph.nodes[node]["points"] == 2 * told.graph.nodes[node]["points"]


def test_what_carries_a_conclusion_is_it_and_its_ancestors_and_no_less() -> None:
    for told in some()[:10]:
        for node in sorted(of_kind(told.graph, {"rule_out", "refer", "hold"}))[:10]:
            part = carrying(told.graph, [node])
            assert set(part) == {node} | nx.ancestors(told.graph, node)
            for each in part:
                assert set(part.predecessors(each)) == set(told.graph.predecessors(each))


def test_a_proof_holds_up_and_nothing_in_it_can_be_spared() -> None:
    """Checked by an evaluation of the and-or graph that shares nothing with the search for the proof."""
    for told in some():
        for node in sorted(of_kind(told.graph, CONCLUSIONS - {"points"}))[:8]:
            part = proof(told.graph, node)
            assert holds(told.graph, part, node)
            for each in set(part) - {node}:
                if told.graph.nodes[each]["kind"] not in BELIEFS:
                    assert not holds(told.graph, part.subgraph(set(part) - {each}), node), (node, each)


def holds(whole: Graph[str], part: Graph[str], target: str) -> bool:
    """Whether a part supports the target: all that an "and" node needs is there, and one of what an "or" node needs."""
    upheld: set[str] = set()
    for node in nx.topological_sort(whole):
        if node not in part:
            continue
        before = [each for each in whole.predecessors(node) if whole.nodes[each]["kind"] not in BELIEFS]
        test = any if whole.nodes[node]["kind"] in ONE_SUFFICES else all
        if not before or test(each in upheld for each in before):
            upheld.add(node)
    return target in upheld


def test_the_proof_is_the_one_with_the_fewest_facts() -> None:
    """Two rules rule a finish out, one by two facts and one by a single fact."""

    def firing(rule: str, *facts: str) -> Firing:
        out = ConclusionRecord(kind="rule_out", finish="paint")
        return Firing(
            rule=rule, topic="t", finish="paint", antecedents=facts, conclusions=(out,), because="So.", sources=("s",)
        )

    from explanations.graph import Outcome, Verdict, explanation_graph

    facts = tuple(FactRecord(name=name, value="yes", origin="given") for name in ("a", "b", "c"))
    trace = Trace(facts=facts, firings=(firing("t.two", "a", "b"), firing("t.one", "c")))
    graph = explanation_graph(trace, Outcome("None.", {"paint": Verdict("paint", "ruled out")}))
    assert set(proof(graph, "out:@paint")) == {"out:@paint", "rule:t.one@paint", "fact:c", "source:s"}


def test_the_gist_has_fifteen_nodes_at_most_and_every_one_carries_the_answer() -> None:
    sizes = []
    for told in some():
        small = gist(told.graph)
        sizes.append(len(small))
        assert len(small) <= GIST == 15
        assert nx.is_directed_acyclic_graph(small)
        assert set(small) == {ANSWER} | nx.ancestors(small, ANSWER)
        for node in set(small) - {TURNING}:
            here, there = small.nodes[node], told.graph.nodes[node]
            if here["kind"] == "found":  # which says what else leads to it
                assert here["label"].startswith(there["label"])
            elif node != f"standing:{told.advice.answer.runner_up}" or not told.advice.tie_broken_by:
                assert here == there
        for source, target in small.edges:
            if source != TURNING:
                assert nx.has_path(told.graph, source, target), "a gist shortens paths, it invents none"
    assert min(sizes) > 2, "a gist says something: an answer, its rule and what that rests on at least"


def test_the_gist_of_a_stop_shows_why_to_call() -> None:
    stopped = [told for told in some() if told.advice.answer.kind == "professional"]
    assert stopped
    for told in stopped:
        assert of_kind(gist(told.graph), {"refer"})


def test_views_by_depth() -> None:
    for told in demos().values():
        leading = told.advice.answer.leading
        answer = view(told.graph, told.advice, "answer")
        assert of_kind(answer, {"standing"}) == {f"standing:{leading}"}
        assert not of_kind(answer, BELIEFS)
        assert view(told.graph, told.advice, "everything") is told.graph
        one = view(told.graph, told.advice, "gist", "floor_paint")
        assert of_kind(one, {"standing"}) == {"standing:floor_paint"}
        assert ANSWER not in one


def test_a_finish_is_shown_by_what_carries_its_verdict_and_no_hazard_leads_to_ruled_out() -> None:
    outs = ifs = 0
    for told in demos().values():
        for each in told.advice.standings:
            standing = f"standing:{each.finish}"
            for depth in ("answer", "everything"):
                part = view(told.graph, told.advice, depth, each.finish)
                kinds = {part.nodes[node]["kind"] for node in part.predecessors(standing)}
                assert kinds <= ({"rule_out"} if each.verdict == "ruled out" else {"first", "points"})
                outs += each.verdict == "ruled out"
                hazards = {node for node in told.graph.predecessors(standing) if node.startswith("caution:")}
                assert (hazards <= set(part)) if depth == "everything" else not hazards & set(part)
            waits = {f"first:{need.need}@{each.finish}" for need in each.first if need.decides}
            if waits and each.verdict != "ruled out":
                ifs += 1
                assert waits & set(view(told.graph, told.advice, "gist", each.finish))
    assert outs > 10
    assert ifs > 3


def test_what_else_is_wrong_is_a_picture_of_its_own() -> None:
    shown = 0
    for told in some():
        part, told_here = besides(told.graph), {each.node for each in deciding(told.graph)}
        shown += len(part) > 1
        assert len(part) <= GIST
        assert ANSWER not in part
        assert not {node for node in part.predecessors(BESIDES) if told_here & set(told.graph.predecessors(node))}
    assert shown > 3


def test_the_difference_of_an_answer_with_itself_is_the_answer_alone() -> None:
    for told in some()[:8]:
        assert list(difference(told.graph, told.graph)) == [ANSWER]


@pytest.mark.parametrize("said", ["wetness=60 %", "age=10 day", "leak=yes", "room=hall"])
def test_a_new_fact_shows_as_difference(said: str) -> None:
    told = small_floor()
    other = Explained(told.reasoner, say_typed(told.base, told.case, [said], told.today))
    shown = difference(told.graph, other.graph)
    name = said.partition("=")[0]
    assert shown.nodes[f"fact:{name}"]["change"] in ("added", "changed")
    for node in shown:
        there = node in told.graph, node in other.graph
        assert shown.nodes[node]["change"] == {(True, False): "removed", (False, True): "added"}.get(
            there, shown.nodes[node]["change"]
        )
    removed = {node for node in shown if shown.nodes[node]["change"] == "removed"}
    added = {node for node in shown if shown.nodes[node]["change"] == "added"}
    assert removed == set(told.graph) - set(other.graph)
    assert added == set(other.graph) - set(told.graph)


def test_two_finishes_point_by_point_add_up_to_what_lies_between_them() -> None:
    for told in some():
        totals = {standing.finish: standing.total for standing in told.advice.standings}
        first, *others = totals
        for second in others[:6]:
            aspects = compare(told.graph, first, second)
            assert sum(aspect.lead for aspect in aspects) == totals[first] - totals[second]
            for aspect in aspects:
                sides = (aspect.only_first, aspect.only_second)
                only = [sum(reason.points for reason in side) for side in sides]
                assert only[0] - only[1] == aspect.lead
                alike = [{(reason.rule, reason.points) for reason in side} for side in sides]
                assert not alike[0] & alike[1], "what both have alike cancels out"


def compared_with(base: RuleBase, rule: str, finish: str) -> set[str]:
    """The limits and properties that a rule names, read from its words, not by the parser of conditions."""
    written = base.rules[rule]
    judged = written.judges if isinstance(written.judges, dict) else {}
    text = " ; ".join(each for texts in (*judged.values(), *written.when.values()) for each in texts)
    own = {*re.findall(r"\bfinish\.(\w+)", text), *(set(judged) - {"id"})}
    return {*re.findall(r"\blimit\.(\w+)", text), *(f"{name}@{finish}" for name in own)}


def test_every_limit_and_property_that_a_fired_rule_compared_with_is_there_with_its_sources() -> None:
    seen = 0
    for told in some()[:20]:
        graph, base = told.graph, told.base
        for firing in told.advice.trace.firings:
            key = f"rule:{firing.rule}@{firing.finish}" if firing.finish else f"rule:{firing.rule}"
            limits = {node.removeprefix("limit:") for node in graph.predecessors(key) if node.startswith("limit:")}
            assert limits == compared_with(base, firing.rule, firing.finish), key
        for node in of_kind(graph, {"limit"}):
            name, _, finish = node.removeprefix("limit:").partition("@")
            cited = base.finishes[finish].properties[name].source if finish else base.limits[name].source
            ids = {each.partition(",")[0].strip() for each in cited}
            assert set(graph.predecessors(node)) == {f"source:{each}" for each in ids}
            assert all(base.sources[each].title in graph.nodes[node]["text"] for each in ids)
            assert graph.out_degree(node), "none stands there unused"
            seen += 1
    assert seen > 2000


def test_a_limit_is_shown_with_its_value_and_told_with_its_source() -> None:
    told = demos()["shop_over_ground"]
    node = told.graph.nodes["limit:humidity_limit@epoxy_flake"]
    given = told.base.finishes["epoxy_flake"].properties["humidity_limit"]
    assert node["value"] == "75 %"
    assert given.given == "75 percent"
    proved = proof(told.graph, "out:@epoxy_flake")
    assert "limit:humidity_limit@epoxy_flake" in proved
    assert {f"source:{each.partition(',')[0]}" for each in given.source} <= set(proved)
    assert f"- {node['text']}" in tell(told.graph, "full", "epoxy_flake")


def test_sources_can_be_left_out() -> None:
    graph = next(iter(demos().values())).graph
    assert set(graph) - set(without_sources(graph)) == of_kind(graph, BELIEFS)


def test_the_gist_shows_what_speaks_most_against_the_leading_finish() -> None:
    seen = 0
    for told in (*demos().values(), *random_floors(24)):
        answer = told.advice.answer
        if answer.kind not in ("finish", "test first"):
            continue
        leading = next(each for each in told.advice.standings if each.finish == answer.leading)
        sums: dict[str, int] = {}
        for award in leading.points:
            sums[award.rule] = sums.get(award.rule, 0) + award.weighted
        shown = gist(told.graph)
        worst = min(sums.values(), default=0)
        against = {
            rule
            for rule, _, points in shown.in_edges(f"standing:{leading.finish}", data="points", default=0)
            if points < 0
        }
        if worst < 0:
            assert any(sums[rule.removeprefix("rule:").partition("@")[0]] == worst for rule in against)
            seen += 1
    assert seen >= 3


def test_a_reason_against_a_rival_in_the_gist_hits_the_leading_finish_less() -> None:
    for told in some():
        shown, leading = gist(told.graph), told.advice.answer.leading
        sums = {each.finish: {award.rule: 0 for award in each.points} for each in told.advice.standings}
        for each in told.advice.standings:
            for award in each.points:
                sums[each.finish][award.rule] += award.weighted
        for rule, standing, points in shown.edges(data="points", default=0):
            finish = standing.removeprefix("standing:")
            if standing.startswith("standing:") and points and points < 0 and finish != leading and leading:
                name = rule.removeprefix("rule:").partition("@")[0]
                assert sums[leading].get(name, 0) > sums[finish].get(name, -99)
