"""Parts of an explanation graph: what carries a question, one proof, the gist, one finish, and a difference."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

import networkx as nx

from explanations.comparing import ranked_standings, telling_apart
from explanations.graph import ANSWER, BELIEFS, FACTS, Graph, of_kind

Told = tuple[list[str], str]  # a reason: the nodes from its facts to its rule, and what the rule decides
GIST = 15  # nodes, at most
SHORT_CHAIN = 4  # nodes of a reason that leaves room for others
LONGEST_CHAIN = 7  # nodes of one reason in a gist; a longer one is not told in passing
# Conclusions that any one of the rules before them carries alone; in all other nodes everything before them counts.
ONE_SUFFICES = frozenset({"found", "rule_out", "first", "caution", "refer", "hold"})


def carrying(graph: Graph[str], targets: Iterable[str]) -> Graph[str]:
    """Only what carries the targets: they and all that supports them."""
    kept: set[str] = set()
    for target in targets:
        kept |= {target} | nx.ancestors(graph, target)
    return _part(graph, kept)


def proof(graph: Graph[str], target: str) -> Graph[str]:
    """One support of a conclusion, not all: where several rules conclude the same, the one with the fewest facts."""
    kept: dict[str, frozenset[str]] = {}
    for node in nx.topological_sort(graph.subgraph({target} | nx.ancestors(graph, target))):
        before = [kept[inner] for inner in graph.predecessors(node)]
        if graph.nodes[node]["kind"] in ONE_SUFFICES:
            before = [min(before, key=lambda part: (_facts(graph, part), len(part), sorted(part)))]
        kept[node] = frozenset({node}).union(*before)
    return _part(graph, kept[target])


def _facts(graph: Graph[str], part: Iterable[str]) -> int:
    return sum(graph.nodes[node]["kind"] in FACTS for node in part)


def given_facts(graph: Graph[str]) -> list[str]:
    """The names of the facts that a person stated."""
    return sorted(node.removeprefix("fact:") for node in of_kind(graph, {"given"}))


def without_sources(graph: Graph[str]) -> Graph[str]:
    """The graph as it is, less the nodes of sources and of the limits that they give."""
    return _part(graph, set(graph) - of_kind(graph, BELIEFS))


def one_finish(graph: Graph[str], finish: str) -> Graph[str]:
    """All that carries the standing of one finish."""
    return carrying(graph, [f"standing:{finish}"])


def leading_part(graph: Graph[str], leading: str | None) -> Graph[str]:
    """What carries the answer itself: all about the leading finish, and the floor's own stops, holds and hazards."""
    others = of_kind(graph, {"standing"}) - {f"standing:{leading}"}
    return carrying(_part(graph, set(graph) - others), [ANSWER])


def gist(graph: Graph[str], most: int = GIST) -> Graph[str]:
    """The few reasons that weigh most, each from its facts straight to what it decides: at most `most` nodes.

    What stops or holds the floor, and nothing else where that is the answer. Else what puts the leading finish before
    the next, what speaks against it all the same, and what puts it before the one after: what two finishes have alike
    is no reason for either. Conclusions between rule and standing are left out.
    """
    return _few(graph, ANSWER, _reasons(graph), most)


def finish_gist(graph: Graph[str], finish: str, most: int = GIST) -> Graph[str]:
    """Why one finish stands where it stands, on few nodes: what rules it out, or its best and worst points."""
    standing, out = f"standing:{finish}", f"out:@{finish}"
    if out in graph:
        return _few(graph, standing, ((chain(graph, rule), standing) for rule in sorted(graph.predecessors(out))), most)
    best = list(_weighty(graph, standing, best_first=True))
    worst = list(_against(graph, standing))
    return _few(graph, standing, iter([*best[:2], *worst[:2], *best[2:4], *worst[2:]]), most)


def _few(graph: Graph[str], target: str, reasons: Iterator[Told], most: int) -> Graph[str]:
    small: Graph[str] = nx.DiGraph()
    small.add_node(target, **graph.nodes[target])
    for some, end in reasons:
        if len(some) > LONGEST_CHAIN or len(set(small) | {*some, end}) > most:
            continue
        for node in (*some, end):
            small.add_node(node, **graph.nodes[node])
        small.add_edges_from((u, v) for u in some for v in graph.successors(u) if v in small)
        rule = some[-1]
        small.add_edge(rule, end, points=_weight(graph, rule, end))
        if end != target:
            small.add_edge(end, target)
    return small


def _reasons(graph: Graph[str]) -> Iterator[Told]:
    """What carries the answer, weightiest first."""
    kind = graph.nodes[ANSWER]["answer"]
    for stop in ("refer", "hold"):
        for node in sorted(of_kind(graph, {stop})):
            if graph.has_edge(node, ANSWER) and (stop == "hold" or kind == "professional"):
                yield _short(graph, node), node
    standings = ranked_standings(graph)
    if not standings or kind in ("professional", "none yet", "ask first"):
        return
    if kind == "test first":
        tests = [node for node in sorted(graph.predecessors(standings[0])) if graph.nodes[node].get("decides")]
        yield from ((_short(graph, node, SHORT_CHAIN), node) for node in tests[:1])
    yield from _of_the_first(graph, standings)


def _of_the_first(graph: Graph[str], standings: list[str]) -> Iterator[Told]:
    """What puts the first before the next, what speaks against it all the same, what puts it before the one after."""
    first, *others = standings
    if graph.nodes[first]["rank"] == 0:  # none is left: what rules them out
        yield from (out for node in standings[:3] for out in islice(_weighty(graph, node, best_first=False), 1))
        return
    apart = [list(_putting_first(graph, first, node)) for node in others[:2]]
    best = apart[0] if apart else list(_weighty(graph, first, best_first=True))
    against = list(_against(graph, first))
    yield from (*best[:1], *against[:1], *best[1:2], *against[1:2])
    yield from (reason for reasons in apart[1:] for reason in reasons[:1])
    yield from best[2:4]


def _against(graph: Graph[str], standing: str) -> Iterator[Told]:
    """What speaks against a finish that is not ruled out, the worst first."""
    found = {some[-1]: (some, end) for some, end in _weighty(graph, standing, best_first=False)}
    weight = {rule: _weight(graph, rule, standing) for rule in found}  # under all criteria together
    yield from (found[rule] for rule in sorted(found, key=lambda each: (weight[each], each)) if weight[rule] < 0)


def _weight(graph: Graph[str], rule: str, end: str) -> int:
    """The points of a rule towards a standing, which it reaches through conclusions; below 0 where it rules out."""
    between = [node for node in graph.successors(rule) if graph.has_edge(node, end)]
    return sum(-1 if graph.nodes[n]["kind"] == "rule_out" else graph.edges[rule, n].get("points", 0) for n in between)


def _weighty(graph: Graph[str], standing: str, best_first: bool) -> Iterator[Told]:
    """The reasons of one standing: what rules it out, else its points, from the best or from the worst."""
    conclusions = sorted(graph.predecessors(standing))
    out = [node for node in conclusions if graph.nodes[node]["kind"] == "rule_out"]
    if out:
        yield chain(graph, out[0]), standing
        return
    awards: list[tuple[int, str]] = [
        (-points if best_first else points, rule)
        for node in conclusions
        if graph.nodes[node]["kind"] == "points"
        for rule in graph.predecessors(node)
        if (points := graph.edges[rule, node].get("points", 0))
    ]
    for _, rule in sorted(awards):
        yield _short(graph, rule, SHORT_CHAIN), standing


def _putting_first(graph: Graph[str], first: str, second: str) -> Iterator[Told]:
    """The reasons that put one standing before another: what rules the other out, else what tells them apart."""
    if graph.nodes[second]["rank"] == 0:
        yield from _weighty(graph, second, best_first=False)
        return
    one, other = (graph.nodes[node]["finish"] for node in (first, second))
    for reason in telling_apart(graph, one, other):
        yield _short(graph, reason.node, SHORT_CHAIN), f"standing:{graph.nodes[reason.node]['finish']}"


def chain(graph: Graph[str], target: str) -> list[str]:
    """The proof of a conclusion or rule without sources, ending in the rule."""
    whole = without_sources(proof(graph, target))
    order = [node for node in nx.lexicographical_topological_sort(whole) if node != target]
    last = target if target.startswith("rule:") else [node for node in order if node.startswith("rule:")][-1]
    return [*(node for node in order if node != last), last]


def difference(before: Graph[str], after: Graph[str]) -> Graph[str]:
    """What changed between two answers: nodes added, removed and changed, what they touch, and the answer.

    Each node carries `change`: added, removed, changed or same; each edge added, removed or same.
    """
    union: Graph[str] = nx.compose(before, after)  # attributes of `after` where both have the node
    for node in union:
        union.nodes[node]["change"] = change_of(before, after, node)
        if union.nodes[node]["change"] == "changed":
            was, now = before.nodes[node]["label"], after.nodes[node]["label"]
            union.nodes[node]["was"] = was if was != now else ""
    for edge in union.edges:
        inside = before.has_edge(*edge), after.has_edge(*edge)
        union.edges[edge]["change"] = {(True, False): "removed", (False, True): "added"}.get(inside, "same")
    touched = {node for node in union if union.nodes[node]["change"] != "same"}
    touched |= {end for edge in union.edges if union.edges[edge]["change"] != "same" for end in edge}
    return _part(union, touched | {ANSWER})


def _short(graph: Graph[str], target: str, longest: int = LONGEST_CHAIN) -> list[str]:
    """The proof of a conclusion or rule; of a long one its last rule with what that rests on at once."""
    whole = chain(graph, target)
    if len(whole) <= longest:
        return whole
    near = [node for node in whole if graph.has_edge(node, whole[-1])]
    return [*near[: longest - 1], whole[-1]]


def change_of(before: Graph[str], after: Graph[str], node: str) -> str:
    """Whether a node was added, removed, changed, or is the same."""
    if node not in after:
        return "removed"
    if node not in before:
        return "added"
    kept = ("kind", "text", "label", "points", "total", "rank")
    was, now = before.nodes[node], after.nodes[node]
    return "same" if all(was.get(key) == now.get(key) for key in kept) else "changed"


def _part(graph: Graph[str], nodes: Iterable[str]) -> Graph[str]:
    part: Graph[str] = graph.subgraph(nodes).copy()
    return part
