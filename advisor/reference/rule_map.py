"""The rule base as a whole: which facts feed which rules feed which conclusions, and what rests on what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import BadRuleBase, Fault, nearest
from advisor.model.knowledge import RuleBase
from advisor.reference.rule_page import find_rule
from explanations.graph import NAMED
from explanations.wording import label, wording

if TYPE_CHECKING:
    import networkx as nx

    Graph = nx.DiGraph[str]

MOST_NAMED = 10  # of a list in the printed summary


def rule_map(base: RuleBase) -> Graph:
    """The graph of the rules as written: computed facts follow from their inputs, findings from rules.

    Nodes are named `fact:ID`, `rule:ID` and `KIND:NAME` of what is concluded, and carry kind, label, text and topic.
    """
    import networkx as nx

    graph: Graph = nx.DiGraph()
    for name, kind in base.facts.items():
        drawn = "computed" if kind.computed else "assumed" if kind.assume else "given"
        graph.add_node(f"fact:{name}", kind=drawn, label=label("fact", name), text=kind.why, topic="")
    for name, kind in base.facts.items():
        for each in kind.computed.inputs if kind.computed else ():
            graph.add_edge(f"fact:{each}", f"fact:{name}")
    for rule in base.rules.values():
        node = f"rule:{rule.id}"
        graph.add_node(node, kind="rule", label=rule.id, text=rule.because, topic=rule.topic)
        for fact in rule.when:
            graph.add_edge(f"finding:{fact}" if fact in base.findings else f"fact:{fact}", node)
        for kind_of, name in _concluded(base, rule.id):
            graph.add_edge(node, f"{kind_of}:{name}")
    for node in graph:
        if "kind" not in graph.nodes[node]:
            kind_of, _, name = node.partition(":")
            called = _called(node)
            said = base.findings[name].says if kind_of == "finding" else called
            drawn = "found" if kind_of == "finding" else "conclusion"
            graph.nodes[node].update(kind=drawn, label=called, text=said, topic="")
    return graph


def _called(node: str) -> str:
    """A conclusion's kind and name, in words."""
    kind, _, name = node.partition(":")
    return (
        f"{label('conclusion', kind)}: {label(NAMED.get(kind, kind), name)}"
        if kind != "rule_out"
        else label("conclusion", kind)
    )


def _concluded(base: RuleBase, rule: str) -> Iterable[tuple[str, str]]:
    then = base.rules[rule].then
    yield from (("finding", name) for name in then.finding)
    if then.rule_out:
        yield "rule_out", "finish"
    yield from (("first", name) for name in then.first)
    yield from (("hold", name) for name in then.hold)
    yield from (("points", name) for name in then.points)
    yield from (("caution", name) for name in then.caution)
    yield from (("refer", name) for name in then.refer)


@dataclass(frozen=True)
class Measures:
    """Sizes of the rule base: how deep conclusions rest, and on what most depends."""

    facts: int
    rules: int
    conclusions: int
    depth: int  # most rules in a row from a stated fact to a conclusion
    fan_in: tuple[tuple[str, int], ...]  # conclusion: the facts that it rests on, most first
    reach: tuple[tuple[str, int], ...]  # fact: the rules that rest on it, most first
    unused: tuple[str, ...]  # facts on which no rule rests


def measure(base: RuleBase, graph: Graph) -> Measures:
    """Measure the whole rule base."""
    import networkx as nx

    def of(kind: str, nodes: Iterable[str]) -> list[str]:
        return [node for node in nodes if node.startswith(f"{kind}:")]

    rules, facts = of("rule", graph), of("fact", graph)
    ends = [node for node in graph if not node.startswith(("rule:", "fact:"))]
    depth: dict[str, int] = {}
    for node in nx.topological_sort(graph):
        before = max((depth[each] for each in graph.predecessors(node)), default=0)
        depth[node] = before + node.startswith("rule:")
    fan_in = [(node, len(of("fact", nx.ancestors(graph, node)))) for node in ends]
    reach = [(node.partition(":")[2], len(of("rule", nx.descendants(graph, node)))) for node in facts]
    weighing = {criterion.importance for criterion in base.criteria.values()}
    return Measures(
        len(facts),
        len(rules),
        len(ends),
        max(depth.values(), default=0),
        tuple(sorted(fan_in, key=lambda each: (-each[1], each[0]))),
        tuple(sorted(reach, key=lambda each: (-each[1], each[0]))),
        tuple(name for name, count in sorted(reach) if not count and name not in weighing),
    )


def part_of(graph: Graph, topic: str) -> Graph:
    """One topic's rules with what they rest on and conclude directly.

    Raises:
        BadRuleBase: no rule has the topic.
    """
    topics = sorted({graph.nodes[node]["topic"] for node in graph} - {""})
    if topic not in topics:
        raise BadRuleBase(
            [Fault(topic, wording("reference.no_topic", name=topic), ", ".join(topics), nearest(topic, topics))]
        )
    rules = [node for node in graph if graph.nodes[node]["topic"] == topic]
    beside = {each for rule in rules for each in (*graph.predecessors(rule), *graph.successors(rule))}
    return graph.subgraph([*rules, *beside])


def touched(base: RuleBase, graph: Graph, rule: str) -> Graph:
    """Everything that a change of one rule can touch, and what the rule rests on.

    Raises:
        BadRequest: there is no such rule.
    """
    import networkx as nx

    find_rule(base, rule)
    node = f"rule:{rule}"
    return graph.subgraph({node, *nx.ancestors(graph, node), *nx.descendants(graph, node)})


def by_topic(graph: Graph) -> Graph:
    """The whole, small enough to look at: topics in place of their rules, and each kind of conclusion once."""
    import networkx as nx

    small: Graph = nx.DiGraph()
    names = {node: _gathered(graph, node) for node in graph}
    for node, name in names.items():
        data = graph.nodes[node]
        if name not in small:
            kind = "rule" if data["topic"] else data["kind"]
            other = data["label"] if name == node else label("conclusion", name.partition(":")[2])
            called = label("topic", data["topic"]) if data["topic"] else other
            small.add_node(name, kind=kind, label=called, text=called, topic="")
    small.add_edges_from((names[a], names[b]) for a, b in graph.edges if names[a] != names[b])
    return small


def _gathered(graph: Graph, node: str) -> str:
    if graph.nodes[node]["topic"]:
        return f"topic:{graph.nodes[node]['topic']}"
    kind = node.partition(":")[0]
    return node if kind in ("fact", "finding", "refer", "hold", "points") else f"kind:{kind}"


def in_words(measures: Measures) -> str:
    """The measures as text."""
    lines = [
        wording("map.sizes", facts=measures.facts, rules=measures.rules, conclusions=measures.conclusions),
        wording("map.depth", depth=measures.depth),
        wording("map.most_rules"),
        *(
            wording("map.rules_of", name=f"{label('fact', name):50}", padded=f"{count:5}", n=count)
            for name, count in measures.reach[:MOST_NAMED]
        ),
        wording("map.most_facts"),
        *(
            wording("map.facts_of", name=f"{_called(name):50}", padded=f"{count:5}", n=count)
            for name, count in measures.fan_in[:MOST_NAMED]
        ),
    ]
    if measures.unused:
        lines += [wording("map.no_rule"), *(f"  {label('fact', name)}" for name in measures.unused)]
    return "\n".join(lines)


def touched_in_words(graph: Graph, rule: str) -> str:
    """What a rule rests on and what a change of it can touch, as text."""
    import networkx as nx

    node = f"rule:{rule}"
    lines = [wording("map.rests_on", rule=rule)]
    lines += [f"  {graph.nodes[n]['label']}" for n in sorted(nx.ancestors(graph, node)) if not n.startswith("rule:")]
    lines.append(wording("map.can_touch"))
    lines += [f"  {graph.nodes[each]['label']}" for each in sorted(nx.descendants(graph, node))]
    return "\n".join(lines)
