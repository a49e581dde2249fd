"""The explanation graph: what supports what, from the facts to the answer.

Nodes are keyed `fact:NAME`, `rule:ID` (or `rule:ID@FINISH`), `need:NAME@FINISH`, `points:...`, `hazard:NAME`,
`refer:NAME`, `hold:NAME`, `standing:FINISH` and `answer`; each carries `kind`, `label` and `topic`. An edge runs from
what supports to what is supported, so the graph is acyclic and every conclusion can be walked back to facts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import networkx as nx

from explanations.trace import ConclusionRecord, Firing, Trace

ANSWER = "answer"
PREFIX = {"first": "need", "caution": "hazard", "rule_out": "out"}


@dataclass(frozen=True)
class Verdict:
    """What the trace came to for one finish: its name and, in words, where it stands."""

    name: str
    words: str


def explanation_graph(trace: Trace, verdicts: Mapping[str, Verdict], answer: str) -> nx.DiGraph[str]:
    """The whole graph of one answer.

    Args:
        trace: the record of the inference.
        verdicts: by finish.
        answer: the recommendation in one sentence.
    """
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node(ANSWER, kind="answer", label=answer, topic="")
    for finish, verdict in verdicts.items():
        graph.add_node(
            f"standing:{finish}", kind="standing", label=f"{verdict.name}: {verdict.words}", topic=""
        )
        graph.add_edge(f"standing:{finish}", ANSWER)
    for fact in trace.facts:
        label = f"{_plain(fact.name, verdicts)}: {fact.note if fact.origin == 'found' else fact.value}"
        graph.add_node(f"fact:{fact.name}", kind=fact.origin, label=label, topic="")
    for fact in trace.facts:
        graph.add_edges_from((f"fact:{inner}", f"fact:{fact.name}") for inner in fact.inputs)
    for firing in trace.firings:
        _add_firing(graph, firing)
    return graph


def _add_firing(graph: nx.DiGraph[str], firing: Firing) -> None:
    key = f"rule:{firing.rule}@{firing.finish}" if firing.finish else f"rule:{firing.rule}"
    graph.add_node(key, kind="rule", label=firing.because, topic=firing.topic, rule=firing.rule)
    graph.add_edges_from((f"fact:{name}", key) for name in firing.antecedents)
    for conclusion in firing.conclusions:
        target = conclusion_key(conclusion)
        if target not in graph:
            graph.add_node(target, kind=conclusion.kind, label=_label(conclusion), topic=firing.topic)
        graph.add_edge(key, target)
        if conclusion.kind in ("hold", "refer", "caution") and not conclusion.finish:
            graph.add_edge(target, ANSWER)
        elif conclusion.kind != "finding":
            graph.add_edge(target, f"standing:{conclusion.finish}")


def conclusion_key(conclusion: ConclusionRecord) -> str:
    """The node of a conclusion; points by different rules under one criterion share a node."""
    if conclusion.kind == "finding":
        return f"fact:{conclusion.fact}"
    kind = PREFIX.get(conclusion.kind, conclusion.kind)
    return f"{kind}:{conclusion.fact}"


def _label(conclusion: ConclusionRecord) -> str:
    name = conclusion.name.replace("_", " ")
    return {
        "rule_out": "ruled out",
        "first": f"first: {name}",
        "points": f"points: {name}",
        "caution": f"hazard: {name}",
        "refer": f"call: {name}",
        "hold": f"hold: {name}",
    }[conclusion.kind]


def _plain(name: str, verdicts: Mapping[str, Verdict]) -> str:
    base, _, finish = name.partition("@")
    about = f" ({verdicts[finish].name})" if finish in verdicts else ""
    return base.replace("_", " ") + about


def carrying(graph: nx.DiGraph[str], targets: Iterable[str]) -> nx.DiGraph[str]:
    """Only what carries the targets: they and all that supports them."""
    kept: set[str] = set()
    for target in targets:
        kept |= {target} | nx.ancestors(graph, target)
    return graph.subgraph(kept).copy()


def untraced(graph: nx.DiGraph[str]) -> list[str]:
    """Conclusions that do not trace back to a fact; a complete explanation has none.

    A rule without conditions speaks of a finish whatever the floor, and counts as its own ground.
    """
    grounds = of_kind(graph, {"given", "assumed", "computed", "unknown", "rule"})
    grounded = set(grounds)
    for node in grounds:
        reached: set[str] = nx.descendants(graph, node)
        grounded |= reached
    return [node for node in graph if node not in grounded]


def of_kind(graph: nx.DiGraph[str], kinds: set[str]) -> set[str]:
    """The nodes of these kinds."""
    return {node for node in graph if graph.nodes[node]["kind"] in kinds}
