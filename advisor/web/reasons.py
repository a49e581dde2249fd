"""The reasons to walk in: each node with what it rests on and what rests on it, as links and as a picture."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.answer.picturing import advice_graph
from advisor.errors import BadRequest, Fault
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.floors import study_of
from advisor.web.rendering import page
from advisor.web.visit import case_of, pack, unpack
from advisor.work.takeoff import TakeOff
from explanations.graph import ANSWER, Graph
from explanations.pictures import as_svg
from explanations.reading import measuring, theirs
from explanations.wording import wording

MOST_DRAWN = 14  # nodes beside the one looked at


def reasons(desk: Desk, asked: Asked) -> Reply:
    """One node of the reasons; first of all the answer."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        graph, node = _at(desk, study, asked)
        data = graph.nodes[node]
        return page(
            "reasons/node.html",
            way="counter",
            case=pack(visit, desk.base),
            node=node,
            text=theirs(data["text"]),
            rule=data.get("rule", ""),
            rests_on=_told(graph, graph.predecessors(node)),
            carries=_told(graph, graph.successors(node)),
        )


def picture(desk: Desk, asked: Asked) -> Reply:
    """A node with what it rests on and what rests on it."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        graph, node = _at(desk, study, asked)
        near = [*sorted(graph.predecessors(node)), *sorted(graph.successors(node))][:MOST_DRAWN]
        drawn = as_svg(graph.subgraph([node, *near]).copy(), wording("web_reasons.title"))
    return Reply(drawn.encode(), kind="image/svg+xml")


def _at(desk: Desk, study: TakeOff, asked: Asked) -> tuple[Graph[str], str]:
    graph, node = advice_graph(study.advice, desk.base), asked.one("node") or ANSWER
    if node not in graph:
        raise BadRequest([Fault("", wording("web_reasons.no_node", name=node[:60]))])
    return graph, node


def _told(graph: Graph[str], nodes: Iterable[str]) -> list[tuple[str, str]]:
    """Nodes with what they say, in the order of what they say."""
    return sorted(((each, theirs(graph.nodes[each]["text"])) for each in nodes), key=lambda each: each[1])


ROUTES = (Route("/reasons", reasons), Route("/reasons/picture.svg", picture))
