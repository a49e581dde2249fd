"""The explanation graph: what supports what, from facts and sources to the answer.

Nodes are keyed `source:ID`, `limit:NAME` (or `limit:PROPERTY@FINISH`), `fact:NAME`, `rule:ID` (or `rule:ID@FINISH`),
`out:@FINISH`, `first:NEED@FINISH`, `points:CRITERION@FINISH`, `caution:NAME`, `refer:NAME`, `hold:NAME`,
`standing:FINISH` and `answer`; each carries `kind`, `label` (short), `text` (in full), `topic` and `finish`. An edge
runs from what supports to what is supported, so the graph is acyclic and every conclusion can be walked back to facts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import networkx as nx

from explanations.trace import ConclusionRecord, FactRecord, Firing, LimitRecord, Trace
from explanations.wording import has_text, label, listed, wording

ANSWER = "answer"
ALONE = ("alone_stated", "alone_open")  # at the answer: the facts that turn it alone, by whether the case states them
SOONEST, NAMED_ALONE = "alone_soonest", 5  # at the answer: of those the few that take least
YES_NO = frozenset({"yes", "no"})
FACTS = frozenset({"given", "assumed", "computed", "unknown"})
BELIEFS = frozenset({"source", "limit"})  # why rules are believed and what they compare with: the same for every floor
CONCLUSIONS = frozenset({"found", "rule_out", "first", "points", "caution", "refer", "hold"})
# What the name of a conclusion is the id of.
NAMED = {"first": "need", "hold": "need", "points": "criterion", "caution": "caution", "refer": "referral"}
Graph = nx.DiGraph  # nodes are texts


@dataclass(frozen=True)
class Verdict:
    """Where a finish stands: name, standing in words, points, place (none if ruled out), what comes first in order."""

    name: str
    words: str
    total: int = 0
    rank: int | None = None
    first: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bearing:
    """A rule that the answer hangs on: without it (alone), or without it and others too, another one is given."""

    rule: str
    finish: str  # in its firing about which it is told
    bears: str
    others: tuple[str, ...] = ()
    points: int = 0  # by which it puts the leading finish before the other
    over: str = ""  # the other finish, if it is about one
    otherwise: str = ""  # what the answer would be without them, in a few words


@dataclass(frozen=True)
class Alone:
    """A fact that turns the answer alone, the values that do in words, whether it is stated, what it takes to be so."""

    fact: str
    values: str
    stated: bool
    cost: float = 1.0
    another: bool = False  # whether one of these values puts another finish first


@dataclass(frozen=True)
class Matters:
    """A stated importance that alone turns the answer: its fact, and how it is told as a reason."""

    fact: str
    because: str


@dataclass(frozen=True)
class Outcome:
    """What a trace came to, in words.

    Attributes:
        answer: the recommendation in one sentence.
        kind: finish, test first, none yet, ask first or professional.
        short: the recommendation as it stands before a "because"; `answer` if not given.
        verdicts: by finish.
        leading: the best-ranked finish, if any is left.
        texts: what a need, hazard or referral says, by its name.
        sources: title by source id.
        importance: by criterion, the fact that says how much it matters to the customer.
        weights: by criterion, what one point counts.
        deciding: needs whose outcome can rule a finish out.
        bearing: the rules that the answer hangs on, in the order in which they are told.
        leads_by: the rules by which the leading finish comes first, as if nothing stopped or held the floor.
        matters: what the customer said matters more or less than usual, and alone puts the answer where it is.
        tie: what puts the first finish before the next where both have the same points.
        alone: the facts that turn the answer alone, those stated first.
    """

    answer: str
    verdicts: Mapping[str, Verdict]
    kind: str = "finish"
    short: str = ""
    leading: str | None = None
    texts: Mapping[str, str] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    importance: Mapping[str, str] = field(default_factory=dict)
    weights: Mapping[str, int] = field(default_factory=dict)
    deciding: frozenset[str] = frozenset()
    bearing: tuple[Bearing, ...] = ()
    leads_by: tuple[Bearing, ...] = ()
    matters: tuple[Matters, ...] = ()
    tie: str = ""
    alone: tuple[Alone, ...] = ()


def explanation_graph(trace: Trace, outcome: Outcome) -> Graph[str]:
    """The whole graph of one answer."""
    graph: Graph[str] = nx.DiGraph()
    short = {"short": outcome.short} if outcome.short not in ("", outcome.answer) else {}
    _add(graph, ANSWER, "answer", outcome.answer, answer=outcome.kind, tie=outcome.tie, **short)
    for finish, verdict in outcome.verdicts.items():
        key = f"standing:{finish}"
        _add(graph, key, "standing", _standing(verdict), finish=finish)
        graph.nodes[key].update(name=verdict.name, verdict=verdict.words, total=verdict.total, rank=verdict.rank or 0)
        graph.add_edge(key, ANSWER)
    for fact in trace.facts:
        _add_fact(graph, fact, outcome)
    for fact in trace.facts:
        graph.add_edges_from((f"fact:{inner}", f"fact:{fact.name}") for inner in fact.inputs)
        _add_sources(graph, f"fact:{fact.name}", fact.sources, outcome)
    for limit in trace.limits:
        _add_limit(graph, limit, outcome)
    for firing in trace.firings:
        _add_firing(graph, firing, outcome)
    for node in of_kind(graph, {"points"}):
        weighed = f"fact:{outcome.importance.get(graph.nodes[node]['name'], '')}"
        weight, stated = outcome.weights.get(graph.nodes[node]["name"], 1), False
        if weighed in graph:
            graph.add_edge(weighed, node)
            stated = graph.nodes[weighed]["kind"] == "given"
        graph.nodes[node]["times"] = weight if stated or weight != 1 else 0
    for finish, verdict in outcome.verdicts.items():
        for place, need in enumerate(verdict.first):
            graph.nodes[f"first:{need}@{finish}"]["place"] = place
    for place, each in enumerate(outcome.bearing, start=1):
        graph.nodes[rule_key(each.rule, each.finish)].update(
            told=place,
            bears=each.bears,
            others=", ".join(each.others),
            apart=each.points,
            over=each.over,
            otherwise=each.otherwise,
        )
    for place, each in enumerate(outcome.leads_by, start=1):
        graph.nodes[rule_key(each.rule, each.finish)].update(
            leads=place, leads_bears=each.bears, leads_points=each.points, leads_over=each.over
        )
    for matter in outcome.matters:
        graph.nodes[f"fact:{matter.fact}"]["matters"] = matter.because
    for key, stated in zip(ALONE, (True, False), strict=True):
        named = [each for each in outcome.alone if each.stated is stated]
        graph.nodes[ANSWER][f"{key}_names"] = listed(label("fact", each.fact) for each in named)
        graph.nodes[ANSWER][f"{key}_another"] = "; ".join(_turning(each) for each in named if each.another)
        graph.nodes[ANSWER][f"{key}_number"] = len(named)
        graph.nodes[ANSWER][f"{key}_values"] = "; ".join(map(_turning, named))
    first = sorted(outcome.alone, key=lambda each: (each.cost, each.stated))  # what takes least
    graph.nodes[ANSWER][SOONEST] = "; ".join(_turning(each) for each in first[:NAMED_ALONE])
    graph.nodes[ANSWER][f"{SOONEST}_further"] = len(first[NAMED_ALONE:])
    return graph


def _turning(each: Alone) -> str:
    """A fact and the values that turn it: of yes or no in a clause, where there is one."""
    if each.values in YES_NO and has_text(f"clauses.{each.fact}"):
        return wording(f"clauses.{each.fact}", values=each.values, choice=each.values)
    return wording("pictures.named", name=label("fact", each.fact), value=each.values)


def rule_key(rule: str, finish: str = "") -> str:
    """The node of a rule's firing."""
    return f"rule:{rule}@{finish}" if finish else f"rule:{rule}"


def _standing(verdict: Verdict) -> str:
    value = label("verdict", verdict.words)
    if verdict.words == "suits if" and verdict.first:
        first, *more = verdict.first
        value = wording("pictures.suits_if", verdict=value, need=label("need", first), more=len(more))
    return wording("pictures.named", name=verdict.name, value=value)


def _add(graph: Graph[str], key: str, kind: str, words: str, text: str = "", topic: str = "", **more: object) -> None:
    graph.add_node(key, kind=kind, label=words, text=text or words, topic=topic, **more)


def _add_fact(graph: Graph[str], fact: FactRecord, outcome: Outcome) -> None:
    base, _, finish = fact.name.partition("@")
    name = label("finding" if fact.origin == "found" else "fact", base)
    said = fact.note if fact.origin == "found" else fact.value
    note = fact.note if fact.origin != "found" else ""
    for cited in fact.sources:  # people read a source's title, not its id
        note = note.replace(f"({cited})", f"({outcome.sources.get(cited, cited)})")
    words = _named(name, finish, said, outcome)
    text = wording("pictures.noted", what=words, note=note) if note else words
    _add(graph, f"fact:{fact.name}", fact.origin, words, text, finish=finish)
    graph.nodes[f"fact:{fact.name}"].update(name=base, value=said)


def _add_limit(graph: Graph[str], limit: LimitRecord, outcome: Outcome) -> None:
    name, _, finish = limit.name.partition("@")
    words = _named(label("property" if finish else "limit", name), finish, limit.value, outcome)
    cited = "; ".join(outcome.sources.get(_source(each), _source(each)) for each in limit.sources)
    text = wording("pictures.cited", what=words, sources=cited)
    _add(graph, f"limit:{limit.name}", "limit", words, text, finish=finish, name=name)
    graph.nodes[f"limit:{limit.name}"].update(value=limit.value, means=limit.means)
    _add_sources(graph, f"limit:{limit.name}", limit.sources, outcome)


def _named(name: str, finish: str, value: str, outcome: Outcome) -> str:
    """What a fact or a limit is, and of which finish if it is one's own."""
    if finish in outcome.verdicts:
        return wording("pictures.named_of", name=name, finish=outcome.verdicts[finish].name, value=value)
    return wording("pictures.named", name=name, value=value)


def _source(cited: str) -> str:
    """The id of a source, without the place in it."""
    return cited.partition(",")[0].strip()


def _add_sources(graph: Graph[str], key: str, sources: tuple[str, ...], outcome: Outcome) -> None:
    for cited in sources:
        name, place = _source(cited), cited.partition(",")[2].strip()
        node = f"source:{name}"
        if node not in graph:
            _add(graph, node, "source", outcome.sources.get(name) or label("source", name))
        graph.add_edge(node, key, place=place)


def _add_firing(graph: Graph[str], firing: Firing, outcome: Outcome) -> None:
    key = rule_key(firing.rule, firing.finish)
    _add(graph, key, "rule", firing.because, topic=firing.topic, finish=firing.finish)
    graph.nodes[key].update(rule=firing.rule, always=not firing.antecedents)
    graph.add_edges_from((f"fact:{name}", key) for name in firing.antecedents)
    graph.add_edges_from((f"limit:{name}", key) for name in firing.limits)
    _add_sources(graph, key, firing.sources, outcome)
    for conclusion in firing.conclusions:
        target = conclusion_key(conclusion)
        if target not in graph:
            words, text = _label(conclusion), outcome.texts.get(conclusion.name, "")
            _add(graph, target, conclusion.kind, words, text, firing.topic, finish=conclusion.finish)
            graph.nodes[target].update(name=conclusion.name, decides=conclusion.name in outcome.deciding)
        if conclusion.kind == "points":
            counts = outcome.weights.get(conclusion.name, 1)
            weighted = conclusion.points * counts
            graph.nodes[target]["counts"] = counts
            graph.nodes[target]["points"] = graph.nodes[target].get("points", 0) + weighted
            graph.add_edge(key, target, points=weighted)
        else:
            graph.add_edge(key, target)
        if conclusion.kind == "finding":
            graph.nodes[target]["topic"] = firing.topic
        else:
            graph.add_edge(target, f"standing:{conclusion.finish}" if conclusion.finish else ANSWER)


def conclusion_key(conclusion: ConclusionRecord) -> str:
    """The node of a conclusion; points by different rules under one criterion share a node."""
    if conclusion.kind == "finding":
        return f"fact:{conclusion.fact}"
    if conclusion.kind == "rule_out":
        return f"out:{conclusion.fact}"
    return f"{conclusion.kind}:{conclusion.fact}"


def _label(conclusion: ConclusionRecord) -> str:
    name = label(NAMED[conclusion.kind], conclusion.name) if conclusion.name else ""
    return wording(f"pictures.conclusion.{conclusion.kind}", name=name)


def speaks_against(graph: Graph[str], source: str, target: str) -> bool:
    """Whether what an edge says is against its target: points below none, or that it is ruled out."""
    edge = graph.edges[source, target]
    return (edge.get("points") or 0) < 0 or bool(edge.get("out")) or graph.nodes[source]["kind"] == "rule_out"


def untraced(graph: Graph[str]) -> list[str]:
    """Conclusions that do not trace back to a fact; a complete explanation has none.

    A rule without conditions speaks of a finish whatever the floor, and counts as its own ground. A source or limit
    does not: it says why a rule is believed or what it compares with, not why it fired.
    """
    grounded = of_kind(graph, FACTS) | {node for node in graph if graph.nodes[node].get("always")}
    reached = set(grounded)
    for node in grounded:
        reached |= nx.descendants(graph, node)
    return [node for node in graph if node not in reached and graph.nodes[node]["kind"] not in BELIEFS]


def of_kind(graph: Graph[str], kinds: frozenset[str] | set[str]) -> set[str]:
    """The nodes of these kinds."""
    return {node for node, data in graph.nodes(data=True) if data["kind"] in kinds}
