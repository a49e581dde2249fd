"""Two finishes point by point, and the reasons of one finish in the order of their weight: read from the graph."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import networkx as nx

from explanations.errors import CannotExplain
from explanations.graph import ANSWER, FACTS, Graph
from explanations.wording import wording


@dataclass(frozen=True)
class Reason:
    """A rule that spoke about a finish: its node, its sentence, and the weighted points it gave under a criterion."""

    node: str
    rule: str
    because: str
    criterion: str = ""
    points: int = 0
    times: int = 0  # what one point under it counts, where that is not one or the customer said so
    over: str = ""  # the other finish, where it sets one before another
    bears: str = ""  # on the answer


@dataclass(frozen=True)
class Aspect:
    """One criterion: what each of two finishes has under it, and the reasons that only one of them has."""

    criterion: str
    first: int
    second: int
    only_first: tuple[Reason, ...]
    only_second: tuple[Reason, ...]

    @property
    def lead(self) -> int:
        """By how many weighted points the first is ahead."""
        return self.first - self.second


def standing_node(graph: Graph[str], finish: str) -> str:
    """The node of a finish's standing.

    Raises:
        CannotExplain: no such finish was judged.
    """
    node = f"standing:{finish}"
    if node not in graph:
        known = ", ".join(sorted(each.removeprefix("standing:") for each in graph if each.startswith("standing:")))
        raise CannotExplain(wording("telling.not_judged", finish=finish, finishes=known))
    return node


def ranked_standings(graph: Graph[str]) -> list[str]:
    """The nodes of all standings, best first, those ruled out at the end."""
    data = graph.nodes
    judged = (node for node in graph.predecessors(ANSWER) if data[node]["kind"] == "standing")
    return sorted(judged, key=lambda node: (data[node]["rank"] or len(graph), -data[node]["total"], node))


def reasons(graph: Graph[str], finish: str, kind: str) -> dict[str, list[Reason]]:
    """The rules that concluded something of a kind about a finish, by its name; what comes first, in its order."""
    found: dict[str, list[Reason]] = {}
    concluded = graph.predecessors(standing_node(graph, finish))
    for node in sorted(concluded, key=lambda each: (graph.nodes[each].get("place", 0), each)):
        data = graph.nodes[node]
        if data["kind"] == kind:
            found[data["name"]] = [reason_of(graph, rule) for rule in sorted(_rules(graph, node))]
    return found


def awards(graph: Graph[str], finish: str) -> list[Reason]:
    """The points of a finish, weighted, best first."""
    found = []
    for node in graph.predecessors(standing_node(graph, finish)):
        if graph.nodes[node]["kind"] == "points":
            criterion = graph.nodes[node]["name"]
            found += [
                Reason(
                    rule,
                    graph.nodes[rule]["rule"],
                    graph.nodes[rule]["text"],
                    criterion,
                    points,
                    graph.nodes[node]["times"],
                )
                for rule in graph.predecessors(node)
                if (points := graph.edges[rule, node].get("points", 0))
            ]
    return sorted(found, key=lambda each: (-each.points, each.node))


def reason_of(graph: Graph[str], node: str) -> Reason:
    """A rule's node as a reason without points."""
    return Reason(node, graph.nodes[node]["rule"], graph.nodes[node]["text"])


def compare(graph: Graph[str], first: str, second: str) -> list[Aspect]:
    """All criteria under which two finishes have different points or reasons; the first's largest lead first.

    A rule that gave both the same points cancels out and is not among the reasons. What says more than the other has
    for the same facts comes first.
    """
    sides = [awards(graph, finish) for finish in (first, second)]
    found = []
    for criterion in sorted({each.criterion for side in sides for each in side}):
        here = [[each for each in side if each.criterion == criterion] for side in sides]
        sums = [sum(each.points for each in side) for side in here]
        only = [_only(graph, side, other) for side, other in zip(here, reversed(here), strict=True)]
        if only[0] or only[1]:
            found.append(Aspect(criterion, sums[0], sums[1], *only))
    return sorted(found, key=lambda aspect: (-aspect.lead, aspect.criterion))


def _only(graph: Graph[str], side: list[Reason], other: list[Reason]) -> tuple[Reason, ...]:
    """The reasons that the other finish lacks, the largest lead first."""
    theirs = {(each.rule, each.points) for each in other}
    own = [each for each in side if (each.rule, each.points) not in theirs]
    return tuple(sorted(own, key=lambda each: -_lead(graph, each, other)))


def _lead(graph: Graph[str], reason: Reason, others: list[Reason]) -> int:
    """By how many points a reason is ahead of what another finish has for the same facts."""
    same = [each.points for each in others if set(_given(graph, each.node)) == set(_given(graph, reason.node))]
    return reason.points - sum(same)


def _given(graph: Graph[str], rule: str) -> Iterator[str]:
    """The facts that a rule rests on, but for what other rules found."""
    return (node for node in _facts(graph, rule) if graph.nodes[node]["kind"] != "found")


def deciding(graph: Graph[str]) -> list[Reason]:
    """The reasons that the answer hangs on, as they are told: each was left out, and the answer was another then."""
    return _in_order(graph, "told", "apart", "over", "bears")


def leading_by(graph: Graph[str]) -> list[Reason]:
    """The reasons by which the leading finish comes first: each was left out, and another led then. What stops or holds
    the floor is no such reason, and takes none away."""
    return _in_order(graph, "leads", "leads_points", "leads_over", "leads_bears")


def _in_order(graph: Graph[str], place: str, points: str, over: str, bears: str) -> list[Reason]:
    places, data = nx.get_node_attributes(graph, place), graph.nodes
    return [
        replace(reason_of(graph, node), points=data[node][points], over=data[node][over], bears=data[node][bears])
        for node in sorted(places, key=lambda each: places[each])
    ]


def mattering(graph: Graph[str]) -> list[Reason]:
    """What the customer said matters more or less than usual, where that alone turns the answer; at the fact's node."""
    return [Reason(node, "", because) for node, because in nx.get_node_attributes(graph, "matters").items()]


def stopping(graph: Graph[str]) -> list[Reason]:
    """Why the floor is stopped or held: of each stop or hold on which the answer hangs one reason, then the others."""
    seen: set[str] = set()
    first: list[Reason] = []
    more: list[Reason] = []
    for each in deciding(graph):
        for node in sorted(graph.successors(each.node)):
            if graph.nodes[node]["kind"] in ("refer", "hold") and graph.has_edge(node, ANSWER):
                (more if node in seen or each in first else first).append(each)
                seen.add(node)
    return [*first, *(each for each in dict.fromkeys(more) if each not in first)]


def against(graph: Graph[str], finish: str) -> list[Reason]:
    """What speaks against a finish, each rule once, the worst first."""
    by_rule: dict[str, Reason] = {}
    for each in awards(graph, finish):
        before = by_rule.get(each.rule)
        by_rule[each.rule] = replace(each, points=each.points + (before.points if before else 0))
    return sorted((each for each in by_rule.values() if each.points < 0), key=lambda each: (each.points, each.rule))


def leaves(graph: Graph[str], node: str) -> list[str]:
    """The facts that a node rests on in the end: those not worked out from others, as `name: value`."""
    beneath = sorted(
        each
        for each in nx.ancestors(graph, node)
        if graph.nodes[each]["kind"] in FACTS and not any(True for _ in _facts(graph, each))
    )
    return [graph.nodes[each]["label"] for each in beneath]


def beneath(graph: Graph[str], rule: str, seen: frozenset[str] = frozenset()) -> Iterator[tuple[int, str]]:
    """What a rule rests on, step by step: depth, and a fact, the reason of a rule behind a finding, or a limit."""
    depth = len(seen)
    for node in sorted(_facts(graph, rule)):
        data = graph.nodes[node]
        if data["kind"] != "found":
            yield depth, data["text"]
            for inner in sorted(_facts(graph, node)):
                yield depth + 1, graph.nodes[inner]["text"]
            continue
        yield depth, data["value"]
        for behind in sorted(_rules(graph, node)):
            if behind not in seen:
                yield depth + 1, f"{graph.nodes[behind]['text']} [{graph.nodes[behind]['rule']}]"
                yield from ((d + 1, text) for d, text in beneath(graph, behind, seen | {behind}))
    for node in sorted(graph.predecessors(rule)):
        if graph.nodes[node]["kind"] == "limit":
            yield depth, graph.nodes[node]["text"]


def _rules(graph: Graph[str], node: str) -> Iterator[str]:
    return (each for each in graph.predecessors(node) if graph.nodes[each]["kind"] == "rule")


def _facts(graph: Graph[str], node: str) -> Iterator[str]:
    return (each for each in graph.predecessors(node) if graph.nodes[each]["kind"] in FACTS | {"found"})
