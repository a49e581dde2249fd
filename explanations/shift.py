"""The gist of a difference: what a new fact changes, and the rules that turn the answer by it, on a few nodes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

import networkx as nx

from explanations.comparing import ranked_standings
from explanations.graph import ANSWER, Graph, of_kind
from explanations.views import (
    GIST,
    SHORT_CHAIN,
    chain,
    change_of,
    decides,
    rules_out,
    short_chain,
    weight_between,
    without_sources,
)


@dataclass(frozen=True)
class _Move:
    """A reason that one of two answers lacks: its nodes from facts to the rule, what it decides, the graph it is in."""

    nodes: tuple[str, ...]
    end: str
    within: Graph[str]


def shift(
    before: Graph[str],
    after: Graph[str],
    stated: Collection[str] = (),
    turning: Sequence[str] = (),
    most: int = GIST,
) -> Graph[str]:
    """What turns one answer into another: the facts said anew, and the reasons that fall and come, weightiest first.

    Each node carries `change` as in `difference`; a fact that is still stated is never shown as removed. First what was
    found to turn the answer, then what stops or holds the floor, then what rules out, delays or moves the two finishes
    that lead (one before the other, or both from their points), then what befalls others. An edge carries the points of
    its rule as they are now, and as they were.

    Args:
        before: the whole graph of the one answer.
        after: the whole graph of the other.
        stated: the facts that are stated now, whether or not a rule still uses them.
        turning: the rules, and the facts that weigh, of which it was tried that they turn the answer, in order.
        most: nodes, at most; the facts said anew and the first reason are always among them.
    """
    old, new = without_sources(before), without_sources(after)
    union: Graph[str] = nx.compose(old, new)
    small: Graph[str] = nx.DiGraph()
    kept = {f"fact:{name}" for name in stated} - set(new)
    said = [node for node in sorted(of_kind(union, {"given"}) - kept) if change_of(old, new, node) != "same"]
    small.add_nodes_from([ANSWER, *said])
    moves = list(_moves(old, new, turning))
    for move in moves:
        nodes = move.nodes
        if len(set(small) | {*nodes, move.end}) > most:
            if move is not moves[0]:
                continue
            nodes = tuple(short_chain(move.within, nodes[-1], SHORT_CHAIN))
        small.add_nodes_from((*nodes, move.end))
        small.add_edges_from((u, v) for u in nodes for v in move.within.successors(u) if v in nodes)
        small.add_edge(nodes[-1], move.end, **_on_edge(old, new, nodes[-1], move.end))
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


def _on_edge(old: Graph[str], new: Graph[str], node: str, end: str) -> dict[str, object]:
    """What an edge from a rule, or from what weighs, to what it decides says: points, now and before."""
    if node not in of_kind(nx.compose(old, new), {"rule"}):
        counted = [_counts(graph, node) for graph in (old, new)]
        return {"counts": counted[1], "counted": counted[0]} if all(counted) and counted[0] != counted[1] else {}
    was, now = (weight_between(graph, node, end) if node in graph else 0 for graph in (old, new))
    out = any(rules_out(graph, node, end) for graph in (old, new) if node in graph)
    if node in old and node in new:
        return {"points": now, "out": out, **({"was": was} if was != now else {})}
    return {"points": now or was, "out": out}


def _counts(graph: Graph[str], node: str) -> int:
    """What one point counts under the criterion that a fact weighs; 0 where no finish has any."""
    weighed = (
        [each for each in graph.successors(node) if graph.nodes[each]["kind"] == "points"] if node in graph else []
    )
    return graph.nodes[weighed[0]]["counts"] if weighed else 0


def _moves(old: Graph[str], new: Graph[str], turning: Iterable[str]) -> Iterator[_Move]:
    """The reasons that one of the answers has and the other lacks."""
    yield from _turning(old, new, turning)
    yield from _of_the_floor(old, new)
    leading = dict.fromkeys(node for graph in (old, new) for node in ranked_standings(graph)[:1])
    for node in leading:
        yield from _deciding(old, new, node, ("rule_out", "first") if new.nodes[node]["rank"] else ("rule_out",))
    yield from _by_weight(old, new, list(leading))
    for node in ranked_standings(new):
        if node not in leading and bool(new.nodes[node]["rank"]) is not bool(
            old.nodes.get(node, new.nodes[node])["rank"]
        ):
            yield from _deciding(old, new, node, ("rule_out",))


def _turning(old: Graph[str], new: Graph[str], turning: Iterable[str]) -> Iterator[_Move]:
    """What was found to turn the answer, each to what it decides; what weighs, to the finishes that lead."""
    leads = [next((node for node in ranked_standings(each) if each.nodes[node]["rank"]), "") for each in (old, new)]
    for node in turning:
        graph, lead = (new, leads[1]) if node in new else (old, leads[0])
        if graph.nodes[node]["kind"] == "rule":
            end = decides(graph, node, lead.partition(":")[2] or None)
            yield _Move(tuple(short_chain(graph, node, SHORT_CHAIN)), end, graph)
        else:
            yield from (_Move((node,), each, graph) for each in dict.fromkeys(leads[::-1]) if each)


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
    """The points of the leading finishes that are not the same, the widest move first; a weight that changed too.

    What moves both alike separates nothing, and is left out.
    """
    moved = {node: _moved(old, new, node) for node in standings}
    found: list[tuple[int, str, _Move]] = []
    for standing, by_rule in moved.items():
        others = [some for node, some in moved.items() if node != standing]
        for name, (rule, points) in by_rule.items():
            if others and all(name in some and some[name][1] == points for some in others):
                continue
            graph = new if rule in new else old
            found.append((-abs(points), rule, _Move(tuple(chain(graph, rule)), standing, graph)))
            if rule in old and rule in new:  # the rule stands; what one point counts does not
                weighing = {fact for node in new.successors(rule) for fact in _weighing(new, node)}
                found += [(-abs(points), "", _Move((fact,), standing, new)) for fact in sorted(weighing)]
    return [move for *_, move in sorted(found, key=lambda each: each[:2])]


def _moved(old: Graph[str], new: Graph[str], standing: str) -> dict[str, tuple[str, int]]:
    """By rule its node, and by how many weighted points it moves a finish."""
    was, now = (
        {
            graph.nodes[node]["rule"]: (node, weight_between(graph, node, standing))
            for node in _pointing(graph, standing)
        }
        for graph in (old, new)
    )
    found = {}
    for rule, (node, _) in {**was, **now}.items():
        if points := now.get(rule, (node, 0))[1] - was.get(rule, (node, 0))[1]:
            found[rule] = (node, points)
    return found


def _pointing(graph: Graph[str], standing: str) -> set[str]:
    points = [node for node in graph.predecessors(standing) if graph.nodes[node]["kind"] == "points"]
    return {rule for node in points for rule in graph.predecessors(node) if graph.edges[rule, node].get("points")}


def _weighing(graph: Graph[str], node: str) -> list[str]:
    if graph.nodes[node]["kind"] != "points":
        return []
    return [each for each in graph.predecessors(node) if graph.nodes[each]["kind"] in ("given", "assumed")]
