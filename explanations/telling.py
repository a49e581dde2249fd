"""The graph told in words, at three levels: one sentence, one paragraph, in full."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal, get_args

from explanations.briefly import (
    answer_paragraph,
    answer_sentence,
    finish_alone,
    finish_paragraph,
    finish_sentence,
    floor_reasons,
    left_over,
    name_of,
    ranked,
    standing_of,
    turning_alone,
)
from explanations.comparing import Reason, awards, beneath, compare, reasons, standing_node
from explanations.errors import CannotExplain
from explanations.graph import ANSWER, Graph, of_kind
from explanations.wording import label, wording
from explanations.words import sentence

Level = Literal["sentence", "paragraph", "full"]


def check_level(level: str) -> Level:
    """The level of that name.

    Raises:
        CannotExplain: there is none.
    """
    for known in get_args(Level):
        if level == known:
            return known  # type: ignore[no-any-return]
    raise CannotExplain(wording("telling.no_level", level=level, levels=", ".join(get_args(Level))))


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
        return finish_alone(graph, finish) if finish else answer_sentence(graph)
    if level == "paragraph":
        parts = finish_paragraph(graph, finish, alone=True) if finish else answer_paragraph(graph)
        return " ".join(parts)
    return "\n".join(_finish_full(graph, finish, alone=True) if finish else _answer_full(graph))


def _answer_full(graph: Graph[str]) -> Iterator[str]:
    left, order = left_over(graph), ranked(graph)
    yield " ".join(answer_paragraph(graph))
    for kind in ("refer", "hold"):
        floor = floor_reasons(graph, kind)
        if floor:
            yield from ("", wording(f"telling.{kind}"))
            yield from _bullets(graph, floor)
    for finish in order:
        yield ""
        yield from (_finish_full(graph, finish) if left and finish == left[0] else [_finish_line(graph, finish)])
    for lead in turning_alone(graph):
        yield from ("", lead)
    yield from _footing(graph)


def _finish_line(graph: Graph[str], finish: str) -> str:
    return " ".join(finish_paragraph(graph, finish))


def _finish_full(graph: Graph[str], finish: str, alone: bool = False) -> Iterator[str]:
    data, name, left = standing_of(graph, finish), name_of(graph, finish), left_over(graph)
    yield (finish_alone if alone else finish_sentence)(graph, finish)
    out = reasons(graph, finish, "rule_out").get("", [])
    if out:
        yield from ("", wording("telling.ruled_out_by"))
        yield from _bullets(graph, out)
    first = reasons(graph, finish, "first")
    if graph.nodes[ANSWER]["answer"] == "professional":
        yield from ("", wording("telling.call_first"))
    elif first:
        yield from ("", wording("telling.comes_first"))
        for need, some in first.items():
            yield f"- {sentence(graph.nodes[f'first:{need}@{finish}']['text'])}"
            yield from (f"  {line}" for line in _bullets(graph, some))
    points = awards(graph, finish)
    if points:
        yield from ("", wording("telling.points", total=data["total"]))
        yield from _bullets(graph, points)
    if left and finish != left[0] and not out:
        yield from _against(graph, left[0], finish)
    hazards = sorted(
        node for node in graph.predecessors(f"standing:{finish}") if graph.nodes[node]["kind"] == "caution"
    )
    if hazards:
        yield from ("", wording("telling.hazards", finish=name))
        yield from (f"- {sentence(graph.nodes[node]['text'])}" for node in hazards)


def _against(graph: Graph[str], first: str, second: str) -> Iterator[str]:
    """Point by point, where the leading finish is ahead and where it is behind."""
    leader, name = name_of(graph, first), name_of(graph, second)
    yield from ("", wording("telling.against", first=leader))
    for aspect in compare(graph, first, second):
        words = wording(
            "telling.aspect",
            how="ahead" if aspect.lead > 0 else "behind" if aspect.lead else "level",
            criterion=label("criterion", aspect.criterion),
            first=leader,
            its=f"{aspect.first:+d}",
            second=name,
            other=f"{aspect.second:+d}",
            n=abs(aspect.lead),
        )
        yield f"- {words}"
        for reason in (*aspect.only_first, *aspect.only_second):
            yield f"  - {_counted(reason)}: {reason.because} [{reason.rule}]"
            yield from (f"    {line}" for line in _from(graph, reason.node))


def _bullets(graph: Graph[str], some: Iterable[Reason]) -> Iterator[str]:
    for reason in some:
        points = f"{_counted(reason, label('criterion', reason.criterion))}: " if reason.criterion else ""
        yield f"- {points}{reason.because} [{reason.rule}]"
        yield from (f"  {line}" for line in _from(graph, reason.node))


def _counted(reason: Reason, criterion: str = "") -> str:
    """Points as counted, and where one does not count one, times how much."""
    counted = f"{reason.points:+d} {criterion}".rstrip()
    if not reason.times:
        return counted
    points = f"{reason.points // reason.times:+d}"
    return wording("telling.counted", counted=counted, points=points, times=str(reason.times))


def _from(graph: Graph[str], rule: str) -> Iterator[str]:
    yield from (f"{'  ' * depth}- {text}" for depth, text in beneath(graph, rule))


def _footing(graph: Graph[str]) -> Iterator[str]:
    """What was given, taken for granted and unknown, and the sources."""
    for kind in ("given", "assumed", "computed", "unknown", "source"):
        nodes = sorted(of_kind(graph, {kind}))
        if nodes:
            yield from ("", wording(f"telling.{kind}"))
            yield from (f"- {graph.nodes[node]['text']}" for node in nodes)
