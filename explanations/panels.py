"""The picture of a large graph: panels from left to right, each topic in a frame of its own, short labels.

Sources, limits and facts, then the topics with their rules and what these conclude, then the finishes, then the answer.
The panels are packed by the layout program `osage`, so that a graph of two thousand nodes keeps the shape of a sheet;
edges are faint straight lines, to be followed by their tooltips.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil, sqrt

import graphviz

from explanations.graph import BELIEFS, FACTS, Graph, of_kind
from explanations.looks import LOOKS, draw_legend, draw_node, escape, numbered
from explanations.wording import label, wording

ENGINE = "osage"
NARROW, SHORT = 24, 72  # width of a label, and its length at most
TALL = 3  # rows for each column in a block of nodes that are much wider than high
LONG = 60  # limits in a column
COLUMNS = 3  # of topics
PALE = "#00000038"  # of an edge: where many run side by side they add up
MIDST = ("rule", "found")


def panels(graph: Graph[str], title: str) -> graphviz.Digraph:
    """The graph in DOT, for `osage`. The same graph gives the same text, byte for byte."""
    dot = graphviz.Digraph(
        engine=ENGINE,
        graph_attr={
            "layout": ENGINE,
            "fontname": "Helvetica",
            "fontsize": "28",
            "label": escape(title),
            "labelloc": "t",
            "tooltip": escape(title),
            "outputorder": "edgesfirst",
            "pack": "20",
            "packmode": "array_ut6",
        },
        node_attr={"fontname": "Helvetica", "fontsize": "10", "margin": "0.06,0.03", "height": "0.3"},
        edge_attr={"color": PALE, "penwidth": "0.6", "arrowsize": "0.4"},
    )
    placed = _Panels(graph)
    with dot.subgraph(name="cluster_left") as left:
        left.attr(label="", color="none", packmode="array_utl1", sortv="1")
        draw_legend(left, graph, sortv="1", packmode="array_utl1", pack="4", fontsize="20")
        placed.block(left, "source", wording("pictures.panel.source"), placed.of({"source"}), 2, columns=1)
    limits = placed.of({"limit"})
    placed.block(dot, "limit", wording("pictures.panel.limit"), limits, 2, columns=ceil(len(limits) / LONG))
    with dot.subgraph(name="cluster_facts") as facts:
        facts.attr(label="", color="none", packmode="array_utl1", sortv="3")
        for number, kind in enumerate(kind for kind in LOOKS if kind in FACTS):
            placed.block(facts, kind, wording(f"pictures.panel.{kind}"), placed.of({kind}), number, columns=2)
    with dot.subgraph(name="cluster_topics") as topics:
        topics.attr(label="", color="none", packmode=f"array_ut{COLUMNS}", sortv="4")
        placed.topics(topics)
    with dot.subgraph(name="cluster_right") as right:
        right.attr(label="", color="none", packmode="array_utl1", sortv="5")
        placed.block(right, "other", wording("pictures.panel.other"), placed.rest(), 1)
        placed.block(right, "standing", wording("pictures.panel.standing"), placed.of({"standing"}), 2, columns=1)
    placed.block(dot, "answer", wording("pictures.panel.answer"), placed.of({"answer"}), 6, columns=1)
    for source, target, change in sorted(graph.edges(data="change", default="same")):
        both = wording("pictures.supports", what=graph.nodes[source]["label"], to=graph.nodes[target]["label"])
        faint = "dotted" if graph.nodes[source]["kind"] == "source" else "solid"
        style = {"removed": "dashed", "added": "bold"}.get(change, faint)
        dot.edge(placed.ids[source], placed.ids[target], tooltip=escape(both), style=style)
    return dot


class _Panels:
    """The nodes of a graph, put into frames one after the other."""

    def __init__(self, graph: Graph[str]) -> None:
        self.graph, self.ids = graph, numbered(graph)
        self.names: Mapping[str, str] = {
            graph.nodes[node]["finish"]: graph.nodes[node]["name"] for node in of_kind(graph, {"standing"})
        }

    def of(self, kinds: set[str]) -> list[str]:
        """The nodes of these kinds that belong to no topic."""
        return sorted(node for node in of_kind(self.graph, kinds) if not self.graph.nodes[node]["topic"])

    def rest(self) -> list[str]:
        """What stands in no other frame."""
        framed = of_kind(self.graph, FACTS | BELIEFS | {"standing", "answer"})
        return [node for node in self.ids if not self.graph.nodes[node]["topic"] and node not in framed]

    def topics(self, dot: graphviz.Digraph) -> None:
        """Topics in columns of about the same number of nodes, the largest first."""
        members: dict[str, list[str]] = {}
        for node in self.ids:
            if topic := self.graph.nodes[node]["topic"]:
                members.setdefault(topic, []).append(node)
        columns: list[list[str]] = [[] for _ in range(COLUMNS)]
        for topic in sorted(members, key=lambda each: (-len(members[each]), each)):
            min(columns, key=lambda column: sum(len(members[each]) for each in column)).append(topic)
        for number, column in enumerate(columns):
            with dot.subgraph(name=f"cluster_column_{number}") as stack:
                stack.attr(label="", color="none", packmode="array_utl1", sortv=str(number))
                for place, topic in enumerate(column):
                    self._topic(stack, topic, members[topic], place)

    def _topic(self, dot: graphviz.Digraph, topic: str, nodes: Iterable[str], place: int) -> None:
        """Rules and findings on the left, what else they conclude on the right."""
        name = label("topic", topic)
        middle = [node for node in nodes if self.graph.nodes[node]["kind"] in MIDST]
        with dot.subgraph(name=f"cluster_{topic}") as frame:
            frame.attr(
                label=name,
                style="rounded",
                color="#555555",
                fontsize="28",
                packmode="array_ut2",
                sortv=str(place),
                tooltip=wording("pictures.topic", name=name),
            )
            self.block(frame, f"{topic}_rules", "", middle, 1)
            self.block(frame, f"{topic}_conclusions", "", [node for node in nodes if node not in middle], 2)

    def block(
        self, dot: graphviz.Digraph, key: str, title: str, nodes: list[str], place: int, columns: int = 0
    ) -> None:
        """Nodes in rows, with a heading; none without nodes."""
        if not nodes:
            return
        columns = columns or ceil(sqrt(len(nodes) / TALL))
        with dot.subgraph(name=f"cluster_{key}") as frame:
            frame.attr(
                label=title,
                color="none",
                fontsize="20",
                pack="4",
                packmode=f"array_ut{columns}",
                sortv=str(place),
                tooltip=title or " ",
            )
            for number, node in enumerate(nodes):
                draw_node(frame, self.graph, node, self.ids[node], self.short(node), NARROW, SHORT, sortv=str(number))

    def short(self, node: str) -> str:
        """A rule by its name without the topic, a finding by its name, anything about one finish with the finish."""
        data = self.graph.nodes[node]
        words = str(data["label"])
        if data.get("rule"):
            words = label("rule", str(data["rule"]).partition(".")[2])
        elif data["kind"] == "found" and "name" in data:  # the map of the rules has no floor behind its findings
            words = label("finding", str(data["name"]))
        name = self.names.get(data.get("finish", ""), "")
        return words if not name or name in words else wording("pictures.of_finish", what=words, finish=name)
