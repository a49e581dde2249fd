"""The gist of a difference: what a new fact changes, and the rules that turn the answer by it, on a few nodes."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

import networkx as nx

from explanations.comparing import deciding, ranked_standings
from explanations.graph import ANSWER, Graph, of_kind
from explanations.views import GIST, SHORT_CHAIN, chain, change_of, decides, short_chain, without_sources

Point = tuple[str, str]  # a rule's node, and the points that it gives to


@dataclass(frozen=True)
class _Move:
    """A reason that one of two answers lacks: its nodes from facts to the rule, what it decides, the graph it is in."""

    nodes: tuple[str, ...]
    end: str
    within: Graph[str]


def shift(before: Graph[str], after: Graph[str], stated: Collection[str] = (), most: int = GIST) -> Graph[str]:
    """What turns one answer into another: the facts said anew, and the reasons that fall and come, weightiest first.

    Each node carries `change` as in `difference`; a fact that is still stated is never shown as removed. First the
    reasons that one of the two answers hangs on and the other lacks (`comparing.deciding`), then what stops or holds
    the floor, then what rules out, delays or moves the two finishes that lead, then what befalls others.

    Args:
        before: the whole graph of the one answer.
        after: the whole graph of the other.
        stated: the facts that are stated now, whether or not a rule still uses them.
        most: nodes, at most; the facts said anew and the first reason are always among them.
    """
    old, new = without_sources(before), without_sources(after)
    union: Graph[str] = nx.compose(old, new)
    small: Graph[str] = nx.DiGraph()
    kept = {f"fact:{name}" for name in stated} - set(new)
    said = [node for node in sorted(of_kind(union, {"given"}) - kept) if change_of(old, new, node) != "same"]
    small.add_nodes_from([ANSWER, *said])
    moves = list(_moves(old, new))
    for move in moves:
        nodes = move.nodes
        if len(set(small) | {*nodes, move.end}) > most:
            if move is not moves[0]:
                continue
            nodes = tuple(short_chain(move.within, nodes[-1], SHORT_CHAIN))
        small.add_nodes_from((*nodes, move.end))
        small.add_edges_from((u, v) for u in nodes for v in move.within.successors(u) if v in nodes)
        small.add_edge(nodes[-1], move.end)
        if move.end != ANSWER:
            small.add_edge(move.end, ANSWER)
    _mark(small, old, new, union)
    for node in kept & set(small):
        small.nodes[node]["change"] = "same"
    return small


def _mark(small: Graph[str], old: Graph[str], new: Graph[str], union: Graph[str]) -> None:
    for node in small:
        small.nodes[node].update(union.nodes[node], change=change_of(old, new, node))
        if small.nodes[node]["change"] == "changed":
            was, now = old.nodes[node]["label"], new.nodes[node]["label"]
            small.nodes[node]["was"] = was if was != now else ""
    for one, other in small.edges:
        ends = {small.nodes[one]["change"], small.nodes[other]["change"]}
        small.edges[one, other]["change"] = next((each for each in ("removed", "added") if each in ends), "same")


def _moves(old: Graph[str], new: Graph[str]) -> Iterator[_Move]:
    """The reasons that one of the answers has and the other lacks."""
    yield from _turning(old, new)
    yield from _of_the_floor(old, new)
    leading = dict.fromkeys(node for graph in (old, new) for node in ranked_standings(graph)[:1])
    for node in leading:
        yield from _deciding(old, new, node, ("rule_out", "first") if new.nodes[node]["rank"] else ("rule_out",))
    yield from _by_weight(old, new, list(leading))
    for node in ranked_standings(new):
        if node not in leading:
            yield from _deciding(old, new, node, ("rule_out",))


def _turning(old: Graph[str], new: Graph[str]) -> Iterator[_Move]:
    """What the one answer hangs on and the other lacks: the first of each, then what else does so alone."""
    first, further = [], []
    for graph, other in ((new, old), (old, new)):
        data = graph.nodes
        lead = next((data[node]["finish"] for node in ranked_standings(graph) if data[node]["rank"]), None)
        lacking = [each.node for each in deciding(graph) if each.node not in other]
        alone = [node for node in lacking if data[node]["bears"] == "alone"]
        moves = [
            _Move(tuple(short_chain(graph, node, SHORT_CHAIN)), decides(graph, node, lead), graph)
            for node in alone or lacking[:1]
        ]
        first += moves[:1]
        further += moves[1:]
    yield from (*first, *further)


def _of_the_floor(old: Graph[str], new: Graph[str]) -> Iterator[_Move]:
    for graph, other in ((new, old), (old, new)):
        for node in sorted(of_kind(graph, {"refer", "hold"})):
            if graph.has_edge(node, ANSWER) and node not in other:
                yield _Move(tuple(chain(graph, node)), node, graph)


def _deciding(old: Graph[str], new: Graph[str], standing: str, kinds: tuple[str, ...]) -> Iterator[_Move]:
    """What rules a finish out, or comes first for it, in one of the answers only."""
    for kind in kinds:
        for graph, other in ((new, old), (old, new)):
            for node in sorted(graph.predecessors(standing)):
                if graph.nodes[node]["kind"] == kind and node not in other:
                    yield _Move(tuple(chain(graph, node)), standing, graph)


def _by_weight(old: Graph[str], new: Graph[str], standings: list[str]) -> list[_Move]:
    """The points of the leading finishes that are not the same, the widest move first; a weight that changed too."""
    found: list[tuple[int, str, _Move]] = []
    for standing in standings:
        points = [_points(graph, standing) for graph in (old, new)]
        for rule, given in {**points[0], **points[1]}.items():
            moved = points[1].get(rule, 0) - points[0].get(rule, 0)
            if moved:
                graph = new if rule in points[1] else old
                found.append((-abs(moved), rule[0], _Move(tuple(chain(graph, rule[0])), standing, graph)))
                if rule in points[0] and rule in points[1]:  # the rule stands; what one point counts does not
                    found += [(-abs(given), "", _Move((fact,), standing, new)) for fact in _weighing(new, rule[1])]
    return [move for *_, move in sorted(found, key=lambda each: each[:2])]


def _points(graph: Graph[str], standing: str) -> dict[Point, int]:
    return {
        (rule, node): points
        for node in graph.predecessors(standing)
        if graph.nodes[node]["kind"] == "points"
        for rule in graph.predecessors(node)
        if (points := graph.edges[rule, node].get("points", 0))
    }


def _weighing(graph: Graph[str], node: str) -> list[str]:
    return [each for each in graph.predecessors(node) if graph.nodes[each]["kind"] in ("given", "assumed")]
