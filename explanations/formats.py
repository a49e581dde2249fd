"""The graph in open formats: W3C PROV (PROV-JSON), GraphML, Mermaid and JSON (node-link). Deterministic to the byte."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import networkx as nx

from explanations.errors import CannotExplain
from explanations.files import check_place, write_whole
from explanations.graph import Graph, of_kind, speaks_against
from explanations.looks import CHANGES, numbered, on_arrow
from explanations.pictures import ENDINGS, draw
from explanations.wording import wording

FORMAT = "slab-finish-explanation/1"
NAMESPACE = "urn:slab-finish-explanation:"
WRITTEN = (".prov.json", ".graphml", ".mmd", ".json")
# Mermaid's brackets for a kind of node; what rules conclude, other than findings, is a flag.
_BRACKETS = {
    "given": ("([", "])"),
    "assumed": ("([", "])"),
    "unknown": ("([", "])"),
    "computed": ("[[", "]]"),
    "found": ("(", ")"),
    "rule": ("[", "]"),
    "source": ("[/", "/]"),
    "limit": ("[\\", "\\]"),
    "standing": ("{{", "}}"),
    "answer": ("((", "))"),
}
_FLAG = (">", "]")
MOST_LINKS = 500  # that Mermaid draws unless `maxEdges` is set higher; a text may not set it itself
MOST_TEXT = 50_000  # characters that it draws unless `maxTextSize` is set higher, from memory
ROOM = 40  # characters of a node or link besides its label, at most
# As in the drawn pictures; what changed is named before the label too.
_OUTLINES = {
    "assumed": "stroke-dasharray: 8 4",
    "unknown": "stroke-dasharray: 2 3",
    "removed": "stroke-dasharray: 8 4",
    "added": "stroke-width: 3px",
    "changed": "stroke-width: 2px",
}
_LINES = {"removed": "-.-", "added": "=="}  # of an arrow


def check_file(path: Path) -> str:
    """The ending of a file that `save` can write.

    Raises:
        CannotWrite: naming those that it can, or why no file can be put there.
    """
    return check_place(path, (*ENDINGS, *WRITTEN))


def save(graph: Graph[str], title: str, path: Path) -> None:
    """Write the graph as a picture or in an open format, by the file's ending.

    Raises:
        CannotWrite: the ending is of neither, or no file can be put there.
    """
    ending = check_file(path)
    if ending in ENDINGS:
        draw(graph, title, path)
        return
    text = {".prov.json": prov_json, ".graphml": graphml, ".mmd": mermaid, ".json": node_link}[ending]
    write_whole(path, text(graph, title).encode())


def node_link(graph: Graph[str], title: str) -> str:
    """JSON in networkx's node-link form, with a title and the name of the format."""
    data = nx.node_link_data(_sorted(graph, title), edges="edges")
    return json.dumps({"format": FORMAT, **data}, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def graphml(graph: Graph[str], title: str) -> str:
    """GraphML."""
    return "\n".join(nx.generate_graphml(_sorted(graph, title))) + "\n"


def mermaid(graph: Graph[str], title: str) -> str:
    """A Mermaid flowchart, with the title in its front matter."""
    ids = numbered(graph)
    lines = ["---", f"title: {json.dumps(title, ensure_ascii=False)}", "---", "flowchart LR"]
    if note := links_note(graph):
        lines.append(f"    %% {note}")
    for node, key in ids.items():
        left, right = _BRACKETS.get(graph.nodes[node]["kind"], _FLAG)
        lines.append(f'    {key}{left}"{_entities(_changed(graph, node))}"{right}')
    for source, target in sorted(graph.edges):
        line = _LINES.get(graph.edges[source, target].get("change", "same"), "--")
        arrow = line + ("x" if speaks_against(graph, source, target) else ">")
        told = _entities(on_arrow(graph, source, target))
        words = f'|"{told}"|' if told else ""
        lines.append(f"    {ids[source]} {arrow}{words} {ids[target]}")
    marks = {kind: sorted(of_kind(graph, {kind})) for kind in ("assumed", "unknown")}
    marks |= {change: [node for node in ids if graph.nodes[node].get("change") == change] for change in CHANGES}
    for kind, outline in _OUTLINES.items():
        if alike := marks[kind]:
            lines += [f"    classDef {kind} {outline}", f"    class {','.join(ids[node] for node in alike)} {kind}"]
    return "\n".join(lines) + "\n"


def _changed(graph: Graph[str], node: str) -> str:
    """A node's label with what became of it, and what it was; a sign before it would be read as a list's."""
    data = graph.nodes[node]
    told = wording("pictures.was", what=data["label"], was=data["was"]) if data.get("was") else data["label"]
    if (change := data.get("change", "same")) == "same":
        return told
    return wording("pictures.named", name=wording(f"pictures.change.{change}"), value=told)


def links_note(graph: Graph[str]) -> str:
    """What to do so that Mermaid draws a graph with many links or long texts; nothing if it does so as it is."""
    links, long = graph.number_of_edges(), sum(len(label) + ROOM for _, label in graph.nodes(data="label"))
    long += links * ROOM
    notes = [wording("pictures.links", n=links)] if links > MOST_LINKS else []
    notes += [wording("pictures.long", n=long)] if long > MOST_TEXT else []
    return "; ".join(notes)


def _entities(text: str) -> str:
    """Text inside Mermaid's quotes: what would end or style it goes as an entity code."""
    for character, code in (("#", "#35;"), ('"', "#quot;"), ("`", "#96;"), ("<", "#lt;"), (">", "#gt;")):
        text = text.replace(character, code)  # the number sign first, for the codes hold it
    return " ".join(text.split())


def prov_json(graph: Graph[str], title: str) -> str:
    """PROV-JSON: what is known or concluded are entities, firings activities, sources plans that they used.

    A firing used its facts and generated its conclusions; what is worked out or ranked without a rule was derived.
    """
    try:
        from prov.model import ProvDocument
    except ImportError:
        raise CannotExplain(wording("pictures.no_package")) from None
    document = ProvDocument()
    document.set_default_namespace(NAMESPACE)
    ids = numbered(graph)
    for node, key in ids.items():
        data = graph.nodes[node]
        attributes: dict[str, Any] = {"prov:label": data["label"], "key": node, "kind": data["kind"]}
        attributes |= {name: data[name] for name in ("change", "was") if data.get(name)}
        if data["kind"] == "rule":
            document.activity(key, other_attributes=attributes | {"rule": data["rule"]})
        else:
            more = {"prov:type": "prov:Plan"} if data["kind"] == "source" else {}
            document.entity(key, attributes | more)
    for source, target in sorted(graph.edges):
        first, second = ids[source], ids[target]
        if graph.nodes[target]["kind"] == "rule":
            document.usage(second, first, other_attributes=_weighed(graph, source, target))
        elif graph.nodes[source]["kind"] == "rule":
            document.generation(second, first, other_attributes=_weighed(graph, source, target))
        else:
            document.derivation(second, first, other_attributes=_weighed(graph, source, target))
    document.entity("explanation", {"prov:label": title, "prov:type": "prov:Bundle"})
    text = document.serialize(format="json")
    return json.dumps(json.loads(str(text)), indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _weighed(graph: Graph[str], source: str, target: str) -> dict[str, Any]:
    """What an edge says beyond support: its points, what they were, whether it came or went, and speaks against."""
    edge = graph.edges[source, target]
    said = {name: edge[name] for name in ("points", "change", "counts", "counted") if edge.get(name)}
    said |= {"was": edge["was"]} if edge.get("was") is not None else {}
    return said | ({"against": True} if speaks_against(graph, source, target) else {})


def _sorted(graph: Graph[str], title: str) -> Graph[str]:
    """The same graph, its nodes and edges in the order of their keys."""
    ordered: Graph[str] = nx.DiGraph(title=title)
    ordered.add_nodes_from((node, graph.nodes[node]) for node in sorted(graph))
    ordered.add_edges_from((u, v, graph.edges[u, v]) for u, v in sorted(graph.edges))
    return ordered
