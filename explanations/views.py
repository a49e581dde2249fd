"""Parts of an explanation graph: what carries a question, one proof, the gist, one finish, and a difference."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import networkx as nx

from explanations.comparing import against, deciding, mattering, ranked_standings
from explanations.graph import ANSWER, BELIEFS, FACTS, SOONEST, Graph, of_kind
from explanations.wording import listed, wording
from explanations.words import first_sentence

Told = tuple[list[str], str]  # a reason: the nodes from its facts to its rule, and what the rule decides
TURNING = "turning"  # the node that names what else turns the answer alone
BESIDES = "besides"  # the node of what else is wrong
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


def one_finish(graph: Graph[str], finish: str, whole: bool = True) -> Graph[str]:
    """What carries the standing of one finish; no hazard and no points lead to "ruled out".

    Args:
        graph: the whole graph.
        finish: the finish.
        whole: with all else that was concluded of it, though that does not carry the standing.
    """
    standing = f"standing:{finish}"
    carries = {"rule_out"} if f"out:@{finish}" in graph else {"first", "points"}
    others = [node for node in graph.predecessors(standing) if graph.nodes[node]["kind"] not in carries]
    kept = graph.copy()
    kept.remove_edges_from((node, standing) for node in others)
    return carrying(kept, [standing, *others] if whole else [standing])


def leading_part(graph: Graph[str], leading: str | None) -> Graph[str]:
    """What carries the answer itself: all about the leading finish, and the floor's own stops, holds and hazards."""
    others = of_kind(graph, {"standing"}) - {f"standing:{leading}"}
    return carrying(_part(graph, set(graph) - others), [ANSWER])


def gist(graph: Graph[str], most: int = GIST) -> Graph[str]:
    """What the answer hangs on, each reason from its facts straight to what it decides: at most `most` nodes.

    No reason stands in it but those that were left out, and gave another answer then (`comparing.deciding`), and what
    speaks most against the leading finish, even if against others too. First those that turn the answer alone; what
    else turns it alone, facts too, is named in one node where there is no room for more. Conclusions between rule and
    standing are left out; a finding says what else leads to it.
    """
    tied = bool(graph.nodes[ANSWER]["tie"]) and graph.nodes[ANSWER]["answer"] in ("finish", "test first")
    small = _few(graph, ANSWER, _reasons(graph), most - 1 - tied)
    for node in of_kind(small, {"found"}):
        if others := _leading_too(graph, small, node):
            words = wording("pictures.found_too", what=small.nodes[node]["label"], facts=listed(others))
            small.nodes[node].update(label=words, text=words)
    if tied:
        first, second = ranked_standings(graph)[:2]
        words = _tie(graph, first, second)
        small.add_node(second, **{**graph.nodes[second], "label": words, "text": words})
        small.add_edge(second, ANSWER)
    if words := _turning_too(graph, small):
        small.add_node(TURNING, kind="turning", label=words, text=words, topic="", finish="")
        small.add_edge(TURNING, ANSWER)
    return small


def _leading_too(graph: Graph[str], small: Graph[str], finding: str) -> list[str]:
    """What the case says that leads to a finding as well, each by a rule not shown that asks nothing else known."""
    known = (FACTS | {"found"}) - {"unknown"}
    behind = [rule for rule in sorted(graph.predecessors(finding)) if rule not in small]
    facts = [[node for node in graph.predecessors(rule) if graph.nodes[node]["kind"] in known] for rule in behind]
    single = dict.fromkeys(some[0] for some in facts if len(some) == 1)
    return [graph.nodes[node]["label"] for node in single if graph.nodes[node]["kind"] == "given" and node not in small]


def _tie(graph: Graph[str], first: str, second: str) -> str:
    """What puts the leading finish before the next, that has as many points, by their nodes."""
    names = {"first": graph.nodes[first]["name"], "second": graph.nodes[second]["name"]}
    return wording("pictures.tie", by=graph.nodes[ANSWER]["tie"], **names)


def _turning_too(graph: Graph[str], small: Graph[str]) -> str:
    """What turns the answer alone and stands in no reason shown: reasons left out, and facts that are otherwise."""
    reasons = [
        first_sentence(each.because)
        for each in deciding(graph)
        if graph.nodes[each.node]["bears"] == "alone" and each.node not in small
    ]
    answer = graph.nodes[ANSWER]
    facts, more = answer.get(SOONEST, ""), answer.get(f"{SOONEST}_further", 0)
    told = [wording("pictures.turning_reasons", what="; ".join(dict.fromkeys(reasons)))] if reasons else []
    told += [wording("pictures.turning_facts", what=facts, n=more)] if facts else []
    return " ".join(told)


def finish_gist(graph: Graph[str], finish: str, most: int = GIST) -> Graph[str]:
    """Why one finish stands where it stands, on few nodes: what rules it out, or its best and worst points."""
    standing, out = f"standing:{finish}", f"out:@{finish}"
    if out in graph:
        return _few(graph, standing, ((chain(graph, rule), standing) for rule in sorted(graph.predecessors(out))), most)
    needs = sorted(node for node in graph.predecessors(standing) if graph.nodes[node]["kind"] == "first")
    needs.sort(key=lambda node: not graph.nodes[node]["decides"])
    ifs = [(short_chain(graph, node, SHORT_CHAIN), node) for node in needs]
    best = list(_weighty(graph, standing, best_first=True))
    worst = [(short_chain(graph, each.node, SHORT_CHAIN), standing) for each in against(graph, finish)]
    return _few(graph, standing, iter([*ifs[:2], *best[:2], *worst[:2], *best[2:4], *worst[2:]]), most)


def besides(graph: Graph[str], most: int = GIST) -> Graph[str]:
    """What else is wrong with the floor, that the answer does not hang on: calls, waits and hazards, on few nodes."""
    told = {each.node for each in deciding(graph)}
    order = ("refer", "hold", "caution")
    nodes = [node for node in sorted(graph.predecessors(ANSWER)) if graph.nodes[node]["kind"] in order]
    nodes = [node for node in nodes if told.isdisjoint(graph.predecessors(node))]
    nodes.sort(key=lambda node: order.index(graph.nodes[node]["kind"]))
    words = wording("pictures.besides", n=len(nodes))
    whole = graph.copy()
    whole.add_node(BESIDES, kind="besides", label=words, text=words, topic="", finish="")
    return _few(whole, BESIDES, ((short_chain(graph, node, SHORT_CHAIN), node) for node in nodes), most)


def _few(graph: Graph[str], target: str, reasons: Iterator[Told], most: int) -> Graph[str]:
    small: Graph[str] = nx.DiGraph()
    small.add_node(target, **graph.nodes[target])
    for some, end in reasons:
        if some[-1] in small or len(some) > LONGEST_CHAIN or len(set(small) | {*some, end}) > most:
            continue
        for node in (*some, end):
            small.add_node(node, **graph.nodes[node])
        small.add_edges_from((u, v) for u in some for v in graph.successors(u) if v in small)
        rule = some[-1]
        if rule != end:
            small.add_edge(rule, end, points=weight_between(graph, rule, end), out=rules_out(graph, rule, end))
        if end != target:
            small.add_edge(end, target)
    for rule in list(small.predecessors(target)):  # what it finds leads there by what rests on the finding
        if (
            small.nodes[rule]["kind"] == "rule"
            and small.out_degree(rule) > 1
            and not small.edges[rule, target]["points"]
        ):
            small.remove_edge(rule, target)
    return small


def _reasons(graph: Graph[str]) -> Iterator[Told]:
    """What the answer hangs on, what does so alone first; after the first of it the worst against it."""
    found = deciding(graph)
    alone = [each for each in found if graph.nodes[each.node]["bears"] == "alone"]
    others = [each for each in found if each not in alone]
    left = [graph.nodes[node]["finish"] for node in ranked_standings(graph) if graph.nodes[node]["rank"]]
    leading = left[0] if left else None
    held = graph.nodes[ANSWER]["answer"] in ("professional", "none yet", "ask first")
    worst = against(graph, leading) if leading and not held else []
    if not held:
        yield from (([each.node], f"standing:{leading}") for each in mattering(graph))
    order = found[:1] + worst[:1] + [each for each in (*alone, *others) if each is not found[0]] + worst[1:2]
    for each in order:
        yield short_chain(graph, each.node, LONGEST_CHAIN if held else SHORT_CHAIN), decides(graph, each.node, leading)


def decides(graph: Graph[str], rule: str, leading: str | None) -> str:
    """What a reason decides: what stops or holds the floor, what must come first, or where a finish stands."""
    for node in sorted(graph.successors(rule), key=lambda node: (graph.nodes[node]["kind"] != "refer", node)):
        data = graph.nodes[node]
        if data["kind"] in ("refer", "hold") and graph.has_edge(node, ANSWER):
            return node
        if data.get("decides") and data["finish"] == leading:
            return node
    speaks_of = [
        f"standing:{each}" for each in (graph.nodes[rule]["finish"], leading, graph.nodes[rule].get("over")) if each
    ]
    return next((node for node in speaks_of if nx.has_path(graph, rule, node)), ANSWER)


def weight_between(graph: Graph[str], rule: str, end: str) -> int:
    """The points of a rule towards a standing, which it reaches through conclusions."""
    between = [node for node in graph.successors(rule) if graph.has_edge(node, end)]
    return sum(graph.edges[rule, node].get("points", 0) for node in between)


def rules_out(graph: Graph[str], rule: str, end: str) -> bool:
    """Whether a rule rules a finish out, which it does through a conclusion."""
    return any(graph.nodes[node]["kind"] == "rule_out" and graph.has_edge(node, end) for node in graph.successors(rule))


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
        yield short_chain(graph, rule, SHORT_CHAIN), standing


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


def short_chain(graph: Graph[str], target: str, longest: int = LONGEST_CHAIN) -> list[str]:
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
