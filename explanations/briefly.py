"""The graph told in short: one sentence, or one paragraph, about the answer or about one finish.

Every number comes from the case, by way of the rules' own reasons; the words here only join them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce

from explanations.comparing import (
    Reason,
    against,
    awards,
    compare,
    deciding,
    leading_by,
    leaves,
    mattering,
    ranked_standings,
    reason_of,
    reasons,
    stopping,
)
from explanations.graph import ALONE, ANSWER, Graph, of_kind
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, inside, sentence

SOME, MOST_AGAINST = 3, 2  # reasons told in a paragraph, for a finish and against it


def ranked(graph: Graph[str]) -> list[str]:
    """The finishes, best first, those ruled out at the end."""
    return [graph.nodes[node]["finish"] for node in ranked_standings(graph)]


def standing_of(graph: Graph[str], finish: str) -> dict[str, object]:
    """What the graph holds of a finish's standing."""
    return graph.nodes[f"standing:{finish}"]


def name_of(graph: Graph[str], finish: str) -> str:
    """The finish's name."""
    return str(standing_of(graph, finish)["name"])


def left_over(graph: Graph[str]) -> list[str]:
    """The finishes not ruled out, best first."""
    return [finish for finish in ranked(graph) if standing_of(graph, finish)["rank"]]


def floor_reasons(graph: Graph[str], kind: str) -> list[Reason]:
    """The rules behind what stops or holds the floor."""
    nodes = sorted(node for node in graph.predecessors(ANSWER) if graph.nodes[node]["kind"] == kind)
    return [
        reason_of(graph, rule)
        for node in nodes
        for rule in sorted(graph.predecessors(node))
        if graph.nodes[rule]["kind"] == "rule"
    ]


def _said(key: str, reason: str = "", **given: object) -> str:
    """A sentence; with a reason in it, whole or as it stands inside a sentence, whichever the language takes."""
    return sentence(wording(key, reason=first_sentence(reason), clause=inside(reason), **given))


def held(graph: Graph[str]) -> bool:
    """Whether something stops or holds the floor, or no finish is left."""
    return graph.nodes[ANSWER]["answer"] not in ("finish", "test first")


def _main_reasons(graph: Graph[str]) -> list[str]:
    """What the answer hangs on first, for a "because": of each stop or hold one, what must be tested, or what leads."""
    left = left_over(graph)
    if held(graph):
        firsts = {
            node: each.because
            for each in reversed(stopping(graph))
            for node in graph.successors(each.node)
            if graph.nodes[node]["kind"] in ("refer", "hold")
        }
        told = [each.because for each in stopping(graph) if each.because in firsts.values()]
        return told or [wording("briefly.each_out", n=len(ranked(graph)))]
    if graph.nodes[ANSWER]["answer"] == "test first":
        return [each.because for each in deciding(graph) if _asks_only(graph, each)][:1]
    return _for_the_first(graph, left)


def _for_the_first(graph: Graph[str], left: list[str]) -> list[str]:
    """What puts the leading finish first, for a "because": what matters to the customer, if that alone does; and what
    breaks a tie, that nothing else is left, or what it hangs on first."""
    told = [each.because for each in mattering(graph)]
    if tie := graph.nodes[ANSWER]["tie"]:
        return [*told, wording("briefly.level", by=tie, second=name_of(graph, left[1]))]
    if len(left) == 1:
        facts = graph.nodes[ANSWER][f"{ALONE[0]}_another"]
        return [*told, wording("briefly.only_one_left", facts=facts or "none")]
    # What a rule gives both finishes puts neither first.
    best = sorted(leading_by(graph), key=lambda each: each.points <= 0)
    return [*told, best[0].because if best else wording("briefly.less_against")]


def _joined(some: Sequence[str]) -> str:
    """Reasons as one, for a "because"."""
    if len(some) == 1:
        return some[0]
    return reduce(lambda one, more: wording("briefly.and_because", one=one, more=more), map(inside, some))


def _asks_only(graph: Graph[str], reason: Reason) -> bool:
    """Whether a rule does nothing to the leading finish but ask for what decides."""
    about = set(graph.predecessors(f"standing:{left_over(graph)[0]}"))
    asked = [graph.nodes[node] for node in graph.successors(reason.node) if node in about]
    return any(each.get("decides") for each in asked)


def answer_sentence(graph: Graph[str]) -> str:
    """The answer and its main reasons, in one sentence; of what must be tested first also why it leads."""
    answer, reason = graph.nodes[ANSWER], _joined(_main_reasons(graph))
    given = {"answer": answer.get("short", answer["text"]).rstrip(".")}
    if answer["answer"] != "test first":
        return _said("briefly.because", reason, **given)
    left = left_over(graph)
    leads = inside(_joined(_for_the_first(graph, left)))
    return _said("briefly.because_and_leads", reason, leads=leads, **given)


def answer_paragraph(graph: Graph[str]) -> Iterator[str]:
    """The answer, what speaks for and against it, what comes first, and what stands behind it: its sentences."""
    kind, left = graph.nodes[ANSWER]["answer"], left_over(graph)
    if held(graph):
        yield graph.nodes[ANSWER]["text"]
        told = _main_reasons(graph)
        yield from (sentence(first_sentence(each)) for each in told)
        further = [*stopping(graph), *(each for each in deciding(graph) if each.bears == "alone")]
        for because in dict.fromkeys(each.because for each in further):
            if because not in told:
                yield _said("briefly.also", because)
        yield from _how_many_turn(graph)
        yield _rests_on(graph)  # what stops the floor is not followed by praise for a finish
        return
    if kind == "test first":
        yield graph.nodes[ANSWER]["text"]
    yield answer_sentence(graph)
    yield from _for_and_against(graph, left[0], told=_for_the_first(graph, left))
    yield from _comes_first(graph, left[0])
    if len(left) > 1:
        yield _runner_up(graph, left[0], left[1])
    fallen = len(ranked(graph)) - len(left)
    if fallen:
        yield wording("briefly.ruled_out", n=fallen)
    yield from _how_many_turn(graph)
    yield _rests_on(graph)


def _for_and_against(graph: Graph[str], finish: str, told: Sequence[str] = (), chief: str = "") -> Iterator[str]:
    """What speaks for a finish and against it, each sentence once, without what was told of it before."""
    said = {first_sentence(each) for each in (*told, chief)}
    good = list(_new(_good(graph, finish), said))
    bad = list(_new(against(graph, finish), said))[:MOST_AGAINST]
    sufficing: dict[str, list[str]] = {}
    for each in good:
        if _suffices(graph, each):
            sufficing.setdefault(each.over, []).append(each.because)
    number = 0
    for each in good:
        if number >= SOME - bool(told):
            break
        if _suffices(graph, each):
            if all_of_them := sufficing.pop(each.over, []):
                yield _out_by_all(graph, each.over, all_of_them)
                number += 1
            continue
        number += 1
        if out := _ruled_out_by(graph, each):
            yield _said("briefly.is_out", each.because, finish=name_of(graph, out))
            continue
        if other := _of_another(graph, each, finish):
            yield _said("briefly.why_not", each.because, finish=other)
            continue
        lead = "briefly.also" if number > 1 else "briefly.besides" if told else "briefly.speaks_for"
        yield _said(lead, each.because, finish=name_of(graph, finish))
    for place, each in enumerate(bad):
        yield _said("briefly.also" if place else "briefly.against", each.because, finish=name_of(graph, finish))


def _suffices(graph: Graph[str], reason: Reason) -> bool:
    """Whether it is one of several reasons of which each rules out the same finish."""
    return reason.bears == "too" and bool(_ruled_out_by(graph, reason))


def _out_by_all(graph: Graph[str], finish: str, reasons: Sequence[str]) -> str:
    """All reasons of which each rules out a finish that would else lead."""
    clauses = [inside(each) for each in reasons]
    if len(clauses) == 1:
        return _said("briefly.is_out", reasons[0], finish=name_of(graph, finish))
    return sentence(wording("briefly.out_by_each", finish=name_of(graph, finish), clauses="; ".join(clauses)))


def _new(some: Iterable[Reason], said: set[str]) -> Iterator[Reason]:
    """The reasons whose sentence has not been said, which then is."""
    for each in some:
        if (words := first_sentence(each.because)) not in said:
            said.add(words)
            yield each


def _ruled_out_by(graph: Graph[str], reason: Reason) -> str:
    """The finish that a rule rules out, in the firing that is told; empty if it rules out none."""
    finish = str(graph.nodes[reason.node]["finish"])
    return finish if graph.has_edge(reason.node, f"out:@{finish}") else ""


def _of_another(graph: Graph[str], reason: Reason, finish: str) -> str:
    """The name of the other finish that a reason speaks of; empty where it speaks of this one."""
    other = str(graph.nodes[reason.node]["finish"])
    return name_of(graph, other) if other not in ("", finish) else ""


def _good(graph: Graph[str], finish: str) -> list[Reason]:
    """What speaks for a finish, best first; of the leading one, what the answer hangs on."""
    if finish == left_over(graph)[0]:
        return leading_by(graph)
    return [each for each in awards(graph, finish) if each.points > 0]


def _how_many_turn(graph: Graph[str]) -> Iterator[str]:
    """What turns the answer alone: of what was said each fact, of what is open how many; in full all, with values."""
    said, unsaid = (graph.nodes[ANSWER][f"{key}_number"] for key in ALONE)
    if said or unsaid:
        facts = graph.nodes[ANSWER][f"{ALONE[0]}_names"]
        yield wording("briefly.how_many_alone", said=said, open=unsaid, facts=facts)


def turning_alone(graph: Graph[str]) -> Iterator[str]:
    """Every fact that turns the answer alone, with the values that do."""
    for key in ALONE:
        if facts := graph.nodes[ANSWER][f"{key}_values"]:
            yield wording(f"briefly.{key}", facts=facts)


def _comes_first(graph: Graph[str], finish: str) -> Iterator[str]:
    if graph.nodes[ANSWER]["answer"] == "professional":
        return  # nothing is measured, scraped or wetted before the call
    needs = [label("need", name) for name in reasons(graph, finish, "first")]
    if len(needs) > SOME:
        needs = [*needs[:SOME], wording("briefly.further", n=len(needs) - SOME)]
    if needs:
        yield wording("briefly.comes_first", needs=listed(needs))


def _runner_up(graph: Graph[str], first: str, second: str) -> str:
    gap = int(str(standing_of(graph, first)["total"])) - int(str(standing_of(graph, second)["total"]))
    return wording("briefly.next", gap=gap, finish=name_of(graph, second))


def _rests_on(graph: Graph[str]) -> str:
    rules = len({graph.nodes[node]["rule"] for node in of_kind(graph, {"rule"})})
    used = {node for node in graph if graph.out_degree(node)}
    given, unknown = (len(used & of_kind(graph, {kind})) for kind in ("given", "unknown"))
    return wording("briefly.answer_rests_on", rules=rules, given=given, unknown=unknown)


def finish_sentence(graph: Graph[str], finish: str) -> str:
    """Where a finish stands and why, in one sentence."""
    data, name, left = standing_of(graph, finish), name_of(graph, finish), left_over(graph)
    if data["verdict"] == "ruled out":
        out = reasons(graph, finish, "rule_out")[""]
        return _said("briefly.is_out", out[0].because, finish=name)
    if finish == left[0]:
        key = "briefly.leads_so_far" if held(graph) else "briefly.is_first"
        return _said(key, _joined(_for_the_first(graph, left)), finish=name)
    gap = int(str(standing_of(graph, left[0])["total"])) - int(str(data["total"]))
    first = name_of(graph, left[0])
    if not gap:
        more = len(reasons(graph, finish, "first")) - len(reasons(graph, left[0], "first"))
        key = "briefly.asks_more" if more else "briefly.listed_after"
        return _said(key, finish=name, first=first, n=more)
    return _said("briefly.behind", _chief(graph, finish), finish=name, gap=gap, first=first)


def _chief(graph: Graph[str], finish: str) -> str:
    """What most of all puts another finish before this one; empty where points do not."""
    first = left_over(graph)[0]
    aspects = compare(graph, first, finish)
    if not aspects or standing_of(graph, first)["total"] == standing_of(graph, finish)["total"]:
        return ""
    return (aspects[0].only_first or aspects[0].only_second)[0].because


def finish_alone(graph: Graph[str], finish: str) -> str:
    """The same where nothing else is told: what stops or holds the floor comes before a finish that is left."""
    told = finish_sentence(graph, finish)
    if not held(graph) or not standing_of(graph, finish)["rank"]:
        return told
    return sentence(wording("briefly.stopped", stop=answer_sentence(graph).rstrip("."), clause=inside(told)))


def finish_paragraph(graph: Graph[str], finish: str, alone: bool = False) -> Iterator[str]:
    """Where a finish stands and why: its sentences; alone, where what stops the floor is not told before."""
    yield (finish_alone if alone else finish_sentence)(graph, finish)
    data, left = standing_of(graph, finish), left_over(graph)
    if data["verdict"] == "ruled out":
        further = reasons(graph, finish, "rule_out")[""][1:SOME]
        for reason in further:
            yield _said("briefly.besides", reason.because)
        yield from _resting(graph, f"out:@{finish}")
        return
    if finish == left[0]:
        yield from _for_and_against(graph, finish, told=_for_the_first(graph, left))
    else:
        yield from _for_and_against(graph, finish, chief=_chief(graph, finish))
    yield from _comes_first(graph, finish)


def _resting(graph: Graph[str], node: str) -> Iterator[str]:
    facts = leaves(graph, node)
    if facts:
        yield wording("briefly.rests_on", facts=listed(facts))
