"""A large explanation in chapters, each of which can be read: where all finishes stand, the floor, then each finish.

An arrow stands in the chapter of what it leads to, together with what it comes from: so every arrow is in one chapter
and no other, and nothing is left out.
"""

from __future__ import annotations

from typing import NamedTuple

from explanations.comparing import ranked_standings
from explanations.graph import ANSWER, Graph
from explanations.wording import wording

LARGE = 300  # nodes from which one sheet can no longer be read


class Chapter(NamedTuple):
    """A part of a picture, with what stands above it."""

    title: str
    graph: Graph[str]


def in_chapters(graph: Graph[str]) -> bool:
    """Whether a graph is too large for one sheet, and is an explanation, which has chapters."""
    return len(graph) > LARGE and ANSWER in graph


def chapters(graph: Graph[str], title: str) -> list[Chapter]:
    """The chapters, finishes best first; a graph that one sheet takes is one chapter.

    Args:
        graph: an explanation, or the difference of two.
        title: of the whole.
    """
    if not in_chapters(graph):
        return [Chapter(title, graph)]
    of: dict[str, list[str]] = {graph.nodes[node]["finish"]: [] for node in ranked_standings(graph)}
    for node in graph:
        if node != ANSWER:
            of.setdefault(graph.nodes[node].get("finish", ""), []).append(node)
    floor = Chapter(wording("pictures.the_floor"), _leading_to(graph, of.pop("", [])))
    finishes = (Chapter(_name(graph, finish), _leading_to(graph, nodes)) for finish, nodes in of.items())
    return [Chapter(title, _leading_to(graph, [ANSWER])), floor, *finishes]


def _leading_to(graph: Graph[str], nodes: list[str]) -> Graph[str]:
    """These nodes with every arrow that leads to one of them."""
    arrows = [edge for node in nodes for edge in graph.in_edges(node)]
    part: Graph[str] = graph.edge_subgraph(arrows).copy()
    part.add_nodes_from((node, graph.nodes[node]) for node in nodes)
    return part


def _name(graph: Graph[str], finish: str) -> str:
    standing = f"standing:{finish}"
    return str(graph.nodes[standing]["name"]) if standing in graph else finish
