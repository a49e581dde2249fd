"""The reasons to walk in: each node with what it rests on and what rests on it, as a nested list and as a picture."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from markupsafe import Markup

from advisor.answer.picturing import advice_graph
from advisor.errors import BadRequest, Fault
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.floors import study_of
from advisor.web.recent import Recent
from advisor.web.rendering import address, page
from advisor.web.visit import Visit, case_of, pack, unpack
from advisor.work.takeoff import TakeOff
from explanations.graph import ANSWER, CONCLUSIONS, Graph
from explanations.looks import numbered
from explanations.pictures import as_svg
from explanations.reading import measuring, theirs
from explanations.wording import wording

MOST_DRAWN = (14, 40, 90)  # nodes beside the one looked at, by how many steps are shown
MOST_OPENED = 8  # nodes whose neighbours stay in the picture
MOST_LISTED, DEEPEST = 160, 4  # nodes of the nested list, and how far down it goes
MOST_GRAPHS = 6  # of the visitors that came last, in each process

_graphs: Recent[Graph[str]] = Recent(MOST_GRAPHS)


@dataclass
class Listed:
    """A node as an item of a list, and those beneath it; more of them are on its own page."""

    node: str
    says: str
    below: list[Listed] = field(default_factory=list)
    more: bool = False


def reasons(desk: Desk, asked: Asked) -> Reply:
    """One node of the reasons; first of all the answer."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    case, steps = pack(visit, desk.base), _steps(asked)
    with measuring(study.reading):
        graph, node = _at(desk, visit, study, asked)
        opened, data = _opened(graph, node, asked), graph.nodes[node]
        kind = "conclusion" if data["kind"] in CONCLUSIONS - {"found"} else data["kind"]
        return page(
            "reasons/node.html",
            way="counter",
            case=case,
            node=node,
            kind=wording(f"pictures.kind.{kind}"),
            text=theirs(data["text"]),
            means=theirs(data.get("means", "")),
            read_at=_read_at(desk, node, data.get("rule", "")),
            rests_on=_listed(graph, node),
            carries=_told(graph, graph.successors(node)),
            finishes=[
                (name, theirs(graph.nodes[name]["text"]))
                for each in study.advice.standings
                if (name := f"standing:{each.finish}") in graph
            ],
            drawn=_linked(_near(graph, node, steps, opened), case, (*opened, node)),
            opened=opened,
            steps=steps,
            most_steps=len(MOST_DRAWN),
        )


def picture(desk: Desk, asked: Asked) -> Reply:
    """A node with what it rests on and what rests on it, as a file."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        graph, node = _at(desk, visit, study, asked)
        drawn = as_svg(_near(graph, node, _steps(asked), _opened(graph, node, asked)), wording("web_reasons.title"))
    return Reply(drawn.encode(), kind="image/svg+xml")


def _at(desk: Desk, visit: Visit, study: TakeOff, asked: Asked) -> tuple[Graph[str], str]:
    key = visit, desk.today, id(desk.base)
    graph = _graphs.of(key, lambda: advice_graph(study.advice, desk.base))
    node = asked.one("node") or ANSWER
    if node not in graph:
        raise BadRequest([Fault("", wording("web_reasons.no_node", name=node[:60]))])
    return graph, node


def _steps(asked: Asked) -> int:
    """How many steps away from its node a picture shows."""
    said = asked.one("steps")
    return int(said) if said in {str(n + 1) for n in range(len(MOST_DRAWN))} else 1


def _read_at(desk: Desk, node: str, rule: str) -> str:
    """The address at which what a node names is read by itself; empty where it is not."""
    kind, _, name = node.partition(":")
    if rule in desk.base.rules:
        return address("/rules/rule", name=rule)
    if kind in ("limit", "source") and name in (desk.base.limits if kind == "limit" else desk.base.sources):
        return address(f"/rules/{kind}", name=name)
    return ""


def _opened(graph: Graph[str], node: str, asked: Asked) -> tuple[str, ...]:
    """The nodes opened in the picture before this one, the latest last."""
    return tuple(dict.fromkeys(each for each in asked.all("open") if each in graph and each != node))[-MOST_OPENED:]


def _near(graph: Graph[str], node: str, steps: int, opened: Iterable[str] = ()) -> Graph[str]:
    """What is so many steps away from a node either way, and next to those opened before, as far as it can be drawn."""
    shown = list(_around(graph, node, steps))[: MOST_DRAWN[steps - 1] + 1]
    for each in opened:
        shown += list(_around(graph, each, 1))[: MOST_DRAWN[0] + 1]
    return graph.subgraph(list(dict.fromkeys(shown))[: MOST_DRAWN[-1] + 1]).copy()


def _around(graph: Graph[str], node: str, steps: int) -> dict[str, None]:
    near, edge = {node: None}, [node]
    for _ in range(steps):
        edge = [next_ for each in edge for next_ in (*sorted(graph.pred[each]), *sorted(graph.succ[each]))]
        near |= dict.fromkeys(edge)
    return near


def _linked(near: Graph[str], case: str, opened: tuple[str, ...]) -> Markup:
    """A picture for the page itself, each node of which leads on to its own, with what was opened still open."""
    drawn = as_svg(near, wording("web_reasons.title"))
    for node, key in numbered(near).items():
        to = html.escape(address("/reasons", case=case, node=node, open=[each for each in opened if each != node]))
        drawn = drawn.replace(f'<g id="a_{key}"><a ', f'<g id="a_{key}"><a xlink:href="{to}" ', 1)
    drawn = drawn[drawn.index("<svg") :].replace('role="img"', 'role="group"', 1)
    return Markup(re.sub(r"<!--.*?-->", "", drawn, flags=re.S))  # its writer escapes every text


def _listed(graph: Graph[str], node: str) -> list[Listed]:
    """What a node rests on, and that in turn, step by step down until it is enough."""
    root, left = Listed(node, ""), MOST_LISTED
    edge = [root]
    for depth in range(DEEPEST):
        following: list[Listed] = []
        for each in edge:
            beneath = _told(graph, graph.predecessors(each.node))
            if beneath and depth and len(beneath) > left:
                each.more = True
                continue
            each.below = [Listed(*one) for one in beneath]
            left -= len(beneath)
            following += each.below
        edge = following
    for each in edge:
        each.more = graph.in_degree(each.node) > 0
    return root.below


def _told(graph: Graph[str], nodes: Iterable[str]) -> list[tuple[str, str]]:
    """Nodes with what they say, in the order of what they say."""
    return sorted(((each, theirs(graph.nodes[each]["text"])) for each in nodes), key=lambda each: each[1])


ROUTES = (Route("/reasons", reasons), Route("/reasons/picture.svg", picture))
