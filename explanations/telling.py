"""The graph told in words, at three levels: one sentence, one paragraph, in full.

Every number comes from the case, by way of the rules' own reasons; the words here only join them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal, get_args

from explanations.comparing import Reason, awards, beneath, compare, leaves, reason_of, reasons, standing_node
from explanations.errors import CannotExplain
from explanations.graph import ANSWER, Graph, of_kind
from explanations.words import counted, listing, sentence

Level = Literal["sentence", "paragraph", "full"]
SOME = 3  # reasons told in a paragraph
_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")


def check_level(level: str) -> Level:
    """The level of that name.

    Raises:
        CannotExplain: there is none.
    """
    for known in get_args(Level):
        if level == known:
            return known  # type: ignore[no-any-return]
    raise CannotExplain(f'"{level}" is no level of words; allowed: {", ".join(get_args(Level))}')


def tell(graph: Graph[str], level: Level, finish: str | None = None) -> str:
    """Why the answer is what it is; or with a finish, why that one stands where it stands.

    Args:
        graph: the whole graph, with sources.
        level: how much.
        finish: the finish asked about.

    Raises:
        CannotExplain: the finish was not judged.
    """
    if finish is not None:
        standing_node(graph, finish)
    if level == "sentence":
        return _finish_sentence(graph, finish) if finish else _answer_sentence(graph)
    if level == "paragraph":
        parts = _finish_paragraph(graph, finish) if finish else _answer_paragraph(graph)
        return " ".join(parts)
    return "\n".join(_finish_full(graph, finish) if finish else _answer_full(graph))


def inside(text: str) -> str:
    """The first sentence of a reason, as it reads after a "because".

    >>> inside("The slab is 3 days old. In its first week it needs water.")
    'the slab is 3 days old'
    >>> inside("pH 12 was measured.")
    'pH 12 was measured'
    """
    first = _END.split(text)[0].rstrip(".!?")
    proper = first[1:2].isupper() or first.startswith("I ")
    return first if proper else first[:1].lower() + first[1:]


def _ranked(graph: Graph[str]) -> list[str]:
    """The finishes, best first, those ruled out at the end."""
    nodes = sorted(
        of_kind(graph, {"standing"}),
        key=lambda node: (graph.nodes[node]["rank"] or len(graph), -graph.nodes[node]["total"], node),
    )
    return [graph.nodes[node]["finish"] for node in nodes]


def _data(graph: Graph[str], finish: str) -> dict[str, object]:
    return graph.nodes[f"standing:{finish}"]


def _name(graph: Graph[str], finish: str) -> str:
    return str(_data(graph, finish)["name"])


def _left(graph: Graph[str]) -> list[str]:
    return [finish for finish in _ranked(graph) if _data(graph, finish)["rank"]]


def _floor_reasons(graph: Graph[str], kind: str) -> list[Reason]:
    """The rules behind what stops or holds the floor."""
    nodes = sorted(node for node in graph.predecessors(ANSWER) if graph.nodes[node]["kind"] == kind)
    return [
        reason_of(graph, rule)
        for node in nodes
        for rule in sorted(graph.predecessors(node))
        if graph.nodes[rule]["kind"] == "rule"
    ]


def _main_reason(graph: Graph[str]) -> str:
    """What carries the answer most, for a "because"."""
    kind, left = graph.nodes[ANSWER]["answer"], _left(graph)
    if kind == "professional":
        return inside(_floor_reasons(graph, "refer")[0].because)
    if kind == "none yet" and (holds := _floor_reasons(graph, "hold")):
        return inside(holds[0].because)
    if not left:
        return f"each of the {counted(len(_ranked(graph)), 'finish', 'finishes')} is ruled out"
    if kind == "test first":
        return inside(_deciding(graph, left[0])[0].because)
    return _for_the_first(graph, left)


def _for_the_first(graph: Graph[str], left: list[str]) -> str:
    """What puts the leading finish first, for a "because"."""
    best = awards(graph, left[0])
    if best and best[0].points > 0:
        return inside(best[0].because)
    return "less speaks against it than against the others" if len(left) > 1 else "it is the only one left"


def _deciding(graph: Graph[str], finish: str) -> list[Reason]:
    return [
        reason
        for name, some in reasons(graph, finish, "first").items()
        if graph.nodes[f"first:{name}@{finish}"]["decides"]
        for reason in some
    ]


def _answer_sentence(graph: Graph[str]) -> str:
    kind, left = graph.nodes[ANSWER]["answer"], _left(graph)
    answer = graph.nodes[ANSWER]["text"].rstrip(".")
    if kind == "test first":
        answer = f"Test before you choose {_name(graph, left[0])}"
    elif kind == "none yet" and left:
        answer = "No finish yet"
    return sentence(f"{answer}, because {_main_reason(graph)}")


def _answer_paragraph(graph: Graph[str]) -> Iterator[str]:
    kind, left = graph.nodes[ANSWER]["answer"], _left(graph)
    if kind == "test first":
        yield graph.nodes[ANSWER]["text"]
    yield _answer_sentence(graph)
    if left:
        yield from _for_and_against(graph, left[0], skip=1 if kind == "finish" else 0)
        yield from _comes_first(graph, left[0])
    if len(left) > 1:
        yield _runner_up(graph, left[0], left[1])
    fallen = len(_ranked(graph)) - len(left)
    if fallen and left:
        yield sentence(f"{counted(fallen, 'finish is', 'finishes are')} ruled out")
    yield _rests_on(graph)


def _for_and_against(graph: Graph[str], finish: str, skip: int) -> Iterator[str]:
    points = awards(graph, finish)
    good = [each for each in points if each.points > 0][skip:SOME]
    bad = [each for each in reversed(points) if each.points < 0][:1]
    for number, each in enumerate(good):
        lead = "Also," if number else "Besides," if skip else f"What speaks for {_name(graph, finish)}:"
        yield sentence(f"{lead} {inside(each.because)}")
    for each in bad:
        yield sentence(f"Against it counts that {inside(each.because)}")


def _comes_first(graph: Graph[str], finish: str) -> Iterator[str]:
    needs = [name.replace("_", " ") for name in reasons(graph, finish, "first")]
    if len(needs) > SOME:
        needs = [*needs[:SOME], counted(len(needs) - SOME, "further thing")]
    if needs:
        yield sentence(f"To be done or tested first: {listing(needs)}")


def _runner_up(graph: Graph[str], first: str, second: str) -> str:
    gap = int(str(_data(graph, first)["total"])) - int(str(_data(graph, second)["total"]))
    behind = f"{counted(gap, 'point')} behind" if gap else "with the same points"
    return sentence(f"Next comes {_name(graph, second)}, {behind}")


def _rests_on(graph: Graph[str]) -> str:
    rules = len({graph.nodes[node]["rule"] for node in of_kind(graph, {"rule"})})
    used = {node for node in graph if graph.out_degree(node)}
    given, unknown = (len(used & of_kind(graph, {kind})) for kind in ("given", "unknown"))
    known = counted(given, "fact") + " that you gave" if given else "no fact that you gave"
    open_ = f", with {counted(unknown, 'fact')} still unknown" if unknown else ""
    return sentence(f"The answer rests on {counted(rules, 'rule')} and {known}{open_}")


def _finish_sentence(graph: Graph[str], finish: str) -> str:
    data, name, left = _data(graph, finish), _name(graph, finish), _left(graph)
    if data["verdict"] == "ruled out":
        out = reasons(graph, finish, "rule_out")[""]
        return sentence(f"{name} is ruled out, because {inside(out[0].because)}")
    if finish == left[0]:
        return sentence(f"{name} comes first, because {_for_the_first(graph, left)}")
    gap = int(str(_data(graph, left[0])["total"])) - int(str(data["total"]))
    first = _name(graph, left[0])
    if not gap:
        more = len(reasons(graph, finish, "first")) - len(reasons(graph, left[0], "first"))
        why = f"but asks for {counted(more, 'more thing')} first" if more else "and comes after it in the list"
        return sentence(f"{name} has as many points as {first}, {why}")
    aspect = compare(graph, left[0], finish)[0]
    chief = (aspect.only_first or aspect.only_second)[0]
    return sentence(f"{name} stands {counted(gap, 'point')} behind {first}, chiefly because {inside(chief.because)}")


def _finish_paragraph(graph: Graph[str], finish: str) -> Iterator[str]:
    yield _finish_sentence(graph, finish)
    data, left = _data(graph, finish), _left(graph)
    if data["verdict"] == "ruled out":
        further = reasons(graph, finish, "rule_out")[""][1:SOME]
        for reason in further:
            yield sentence(f"Besides, {inside(reason.because)}")
        yield from _resting(graph, f"out:@{finish}")
        return
    yield from _for_and_against(graph, finish, skip=1 if finish == left[0] else 0)
    yield from _comes_first(graph, finish)


def _resting(graph: Graph[str], node: str) -> Iterator[str]:
    facts = leaves(graph, node)
    if facts:
        yield sentence(f"This rests on {listing(facts)}")


def _answer_full(graph: Graph[str]) -> Iterator[str]:
    left, ranked = _left(graph), _ranked(graph)
    yield " ".join(_answer_paragraph(graph))
    for kind, title in (("refer", "Who to call"), ("hold", "What holds the floor")):
        floor = _floor_reasons(graph, kind)
        if floor:
            yield from ("", f"{title}:")
            yield from _bullets(graph, floor)
    for finish in ranked:
        yield ""
        yield from (_finish_full(graph, finish) if left and finish == left[0] else [_finish_line(graph, finish)])
    yield from _footing(graph)


def _finish_line(graph: Graph[str], finish: str) -> str:
    return " ".join(_finish_paragraph(graph, finish))


def _finish_full(graph: Graph[str], finish: str) -> Iterator[str]:
    data, name, left = _data(graph, finish), _name(graph, finish), _left(graph)
    yield _finish_sentence(graph, finish)
    out = reasons(graph, finish, "rule_out").get("", [])
    if out:
        yield from ("", "Ruled out by:")
        yield from _bullets(graph, out)
    first = reasons(graph, finish, "first")
    if first:
        yield from ("", "What comes first:")
        for need, some in first.items():
            yield f"- {sentence(graph.nodes[f'first:{need}@{finish}']['text'])}"
            yield from (f"  {line}" for line in _bullets(graph, some))
    points = awards(graph, finish)
    if points:
        yield from ("", f"Points, {data['total']} in all:")
        yield from _bullets(graph, points)
    if left and finish != left[0] and not out:
        yield from _against(graph, left[0], finish)
    hazards = sorted(
        node for node in graph.predecessors(f"standing:{finish}") if graph.nodes[node]["kind"] == "caution"
    )
    if hazards:
        yield from ("", f"Hazards of {name}:")
        yield from (f"- {sentence(graph.nodes[node]['text'])}" for node in hazards)


def _against(graph: Graph[str], first: str, second: str) -> Iterator[str]:
    """Point by point, where the leading finish is ahead and where it is behind."""
    leader, name = _name(graph, first), _name(graph, second)
    yield from ("", f"Against {leader}, which comes first:")
    for aspect in compare(graph, first, second):
        ahead = f"{counted(abs(aspect.lead), 'point')} {'ahead' if aspect.lead > 0 else 'behind'}"
        how = ahead if aspect.lead else "level, for different reasons"
        yield f"- {aspect.criterion}: {leader} has {aspect.first:+d}, {name} {aspect.second:+d} ({how})"
        for reason in (*aspect.only_first, *aspect.only_second):
            yield f"  - {reason.points:+d}: {reason.because} [{reason.rule}]"
            yield from (f"    {line}" for line in _from(graph, reason.node))


def _bullets(graph: Graph[str], some: Iterable[Reason]) -> Iterator[str]:
    for reason in some:
        points = f"{reason.points:+d} {reason.criterion}: " if reason.criterion else ""
        yield f"- {points}{reason.because} [{reason.rule}]"
        yield from (f"  {line}" for line in _from(graph, reason.node))


def _from(graph: Graph[str], rule: str) -> Iterator[str]:
    yield from (f"{'  ' * depth}- {text}" for depth, text in beneath(graph, rule))


def _footing(graph: Graph[str]) -> Iterator[str]:
    """What was given, taken for granted and unknown, and the sources."""
    titles = {
        "given": "Facts you gave",
        "assumed": "Facts assumed",
        "computed": "Facts worked out",
        "unknown": "Facts unknown",
        "source": "Sources",
    }
    for kind, title in titles.items():
        nodes = sorted(of_kind(graph, {kind}))
        if nodes:
            yield from ("", f"{title}:")
            yield from (f"- {graph.nodes[node]['text']}" for node in nodes)
