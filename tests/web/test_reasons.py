"""The reasons walked: from the answer each link leads on, down to what was said or published."""

from __future__ import annotations

import html
import re
from datetime import date
from urllib.parse import parse_qs, urlsplit

from networkx import DiGraph

from advisor.answer.picturing import advice_graph
from advisor.web.reasons import MOST_DRAWN, MOST_LISTED, _listed
from advisor.web.visit import case_of, unpack
from advisor.work.fit import study_fully
from explanations.graph import Graph
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in
from tests.web.test_home import words


def test_from_the_answer_links_lead_down_to_the_visitors_own_facts(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])
    page, steps = visitor.get(f"/reasons?case={case}"), 0
    while "On nothing further" not in words(page):
        down = page.text.split("It rests on</h2>")[1].split("<h2>")[0]
        page, steps = visitor.get(html.unescape(re.findall(r'href="([^"]*)"', down)[0])), steps + 1
        assert page.status_code == 200
        assert steps < 40
    assert steps >= 2
    drawn = visitor.get(f"/reasons/picture.svg?case={case}")
    assert drawn.headers["content-type"].startswith("image/svg")
    assert visitor.get(f"/reasons?case={case}&node=nothing").status_code == 422


def test_each_node_is_reached_in_the_list_and_the_picture_and_read_by_itself(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])
    study = study_fully(REASONER, case_of(BASE, unpack(case, BASE), date.today()), date.today())
    graph = advice_graph(study.advice, BASE)
    rule = next(node for node, data in graph.nodes(data=True) if data["kind"] == "rule" and graph.pred[node])
    page = visitor.get("/reasons", params={"case": case, "node": rule})
    linked = {
        parse_qs(urlsplit(html.unescape(to)).query)["node"][0]
        for to in re.findall(r'href="(/reasons\?[^"]*node[^"]*)"', page.text)
    }
    assert linked >= {*graph.pred[rule], *graph.succ[rule]}
    drawn = page.text.split('class="drawn"')[1]
    assert drawn.count("xlink:href=") == min(len({*graph.pred[rule], *graph.succ[rule]}), MOST_DRAWN[0]) + 1
    assert f"/rules/rule?name={graph.nodes[rule]['rule']}" in page.text
    limit = next(node for node in graph if node.removeprefix("limit:") in BASE.limits)
    named = visitor.get("/reasons", params={"case": case, "node": limit})
    assert f"/rules/limit?name={limit.removeprefix('limit:')}" in named.text
    wider = visitor.get("/reasons", params={"case": case, "node": rule, "steps": "3"})
    assert wider.text.count("xlink:href=") > page.text.count("xlink:href=")
    assert visitor.get("/reasons", params={"case": case, "node": rule, "steps": "<b>"}).status_code == 200


def test_the_nested_list_goes_down_as_the_graph_does() -> None:
    graph: Graph[str] = DiGraph([("c", "b"), ("b", "a"), ("d", "a")])
    for node in graph:
        graph.nodes[node]["text"] = node
    first, second = _listed(graph, "a")
    assert (first.node, [each.node for each in first.below], second.node, second.below) == ("b", ["c"], "d", [])
    wide: Graph[str] = DiGraph([*((f"x{n}", "b") for n in range(MOST_LISTED + 1)), ("b", "a")])
    for node in wide:
        wide.nodes[node]["text"] = node
    (only,) = _listed(wide, "a")
    assert only.more
    assert not only.below


def test_nodes_are_opened_one_by_one_and_each_finish_tells_why_or_why_not(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])
    first = visitor.get("/reasons", params={"case": case, "node": "standing:epoxy_flake"})
    offered = re.findall(r'<option value="(standing:\w+)"', first.text)
    assert set(offered) == {f"standing:{name}" for name in BASE.finishes}
    drawn = first.text.split('class="drawn"')[1]
    to = [html.unescape(each) for each in re.findall(r'xlink:href="([^"]*)"', drawn)]
    on = next(each for each in to if "node=standing" not in each)
    assert parse_qs(urlsplit(on).query)["open"] == ["standing:epoxy_flake"]
    second = visitor.get(on)
    shown = second.text.split('class="drawn"')[1]
    assert shown.count("xlink:href=") > len(to) - 1
    nodes = {
        parse_qs(urlsplit(html.unescape(each)).query)["node"][0] for each in re.findall(r'xlink:href="([^"]*)"', shown)
    }
    assert {parse_qs(urlsplit(each).query)["node"][0] for each in to} <= nodes
    assert "Close what was opened before" in words(second)
    assert visitor.get("/reasons", params={"case": case, "open": ["<b>", "nothing"]}).status_code == 200
