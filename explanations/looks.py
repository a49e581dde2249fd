"""How a kind of node looks, the same in every picture of a graph, and the legend that says so.

Facts are ellipses and rules rectangles, in the colours in which W3C PROV draws entities and activities. How a fact is
known shows in its outline. Every other kind has a shape of its own, so that nothing hangs on colour or shade.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from textwrap import wrap

import graphviz

from explanations.graph import Graph, speaks_against
from explanations.reading import theirs
from explanations.wording import wording

WRAP = {"ellipse": 18, "box": 25}  # characters of a line by shape: narrow, so that it can be read at a page's width
WRAP_OTHERS, WRAP_LIST = 20, 34
SHORTEN = 150  # characters of a label, to the end of a sentence; the full text is in the tooltip
ANSWER = 320  # of the answer: it may name the finish, what it waits for and what it costs too much for only at its end
ENTITY, ACTIVITY = "#FFFC87", "#9FB1FC"  # the colours of PROV's own figures


@dataclass(frozen=True)
class Look:
    """How a kind of node is drawn: shape, fill, style and number of its outlines."""

    shape: str
    fill: str
    style: str = "filled"
    outlines: int = 1


LOOKS = {
    "given": Look("ellipse", ENTITY),
    "assumed": Look("ellipse", "#FFFFFF", "filled,dashed"),
    "computed": Look("ellipse", "#FFFFFF", outlines=2),
    "unknown": Look("ellipse", "#FFFFFF", "filled,dotted"),
    "found": Look("box", "#E6E6E6", "filled,rounded"),
    "rule": Look("box", ACTIVITY),
    "limit": Look("component", "#FFFFFF"),
    "source": Look("note", "#FFFFFF"),
    "conclusion": Look("tab", "#F2F2F2"),
    "standing": Look("octagon", ENTITY),
    "besides": Look("octagon", "#FFFFFF", "filled,dashed"),
    "turning": Look("box", "#FFFFFF", "filled,dashed"),
    "answer": Look("octagon", ENTITY, outlines=2),
}
# Sign before the label and pen of the outline, for what changed between two answers.
CHANGES = {"added": ("+", "3"), "removed": ("-", "1"), "changed": ("~", "2"), "same": ("", "1")}


def look_of(kind: str) -> Look:
    """How nodes of a kind look; what rules conclude, other than findings, looks alike."""
    return LOOKS.get(kind, LOOKS["conclusion"])


def draw_node(
    dot: graphviz.Digraph,
    graph: Graph[str],
    node: str,
    key: str,
    label: str,
    width: int | None = None,
    most: int | None = None,
    **more: str,
) -> None:
    """One node, its label wrapped, in whole sentences or cut after so many characters; what changed is marked by a sign
    and by the outline."""
    data = graph.nodes[node]
    sign, pen = CHANGES[data.get("change", "same")]
    if was := data.get("was"):
        label, text = (wording("pictures.was", what=each, was=was) for each in (label, data["text"]))
    else:
        text = data["text"]
    label, text = theirs(label), theirs(text)
    shown = f"{sign} {label}".strip()
    look = look_of(data["kind"])
    if data["kind"] == "turning":  # a list, of which nothing may be lost
        width, most = WRAP_LIST, len(shown)
    room = ANSWER if data["kind"] == "answer" else SHORTEN
    wide = width or (WRAP_LIST if room == ANSWER and len(shown) > SHORTEN else WRAP.get(look.shape, WRAP_OTHERS))
    _node(dot, key, _wrapped(shown, wide, most, room), look, text, pen, **more)


def draw_legend(dot: graphviz.Digraph, graph: Graph[str], **attributes: str) -> None:
    """The kinds and changes that the graph has, in a frame; drawing programs stack it from the bottom up."""
    kinds = {graph.nodes[node]["kind"] for node in graph}
    drawn = {kind if kind in LOOKS else "conclusion" for kind in kinds}
    changes = {graph.nodes[node].get("change", "same") for node in graph} - {"same"}
    with dot.subgraph(name="cluster_legend") as legend:
        title = wording("pictures.legend")
        legend.attr(label=title, style="dotted", tooltip=title, **attributes)
        for number, kind in enumerate(kind for kind, look in LOOKS.items() if kind in drawn):
            words = wording(f"pictures.kind.{kind}")
            _node(legend, f"l{number}", words, LOOKS[kind], words, sortv=str(number))
        for change in sorted(changes):
            sign, pen = CHANGES[change]
            words = wording(f"pictures.change.{change}")
            _node(legend, f"l_{change}", f"{sign} {words}", Look("plaintext", "#FFFFFF"), words, pen, sortv="99")


def on_arrow(graph: Graph[str], source: str, target: str) -> str:
    """What stands on an arrow: the points of a rule, as they are and were, and that it speaks against; what weighs."""
    edge, told = graph.edges[source, target], ""
    if graph.nodes[source]["kind"] == "rule" and (points := edge.get("points") or 0):
        told = f"{points:+d}"
    if edge.get("was") is not None:
        told = wording("pictures.was", what=f"{edge.get('points') or 0:+d}", was=f"{edge['was']:+d}")
    if edge.get("counts"):
        told = wording("pictures.counts", now=edge["counts"], was=edge["counted"])
    return wording("pictures.against", points=told).strip() if speaks_against(graph, source, target) else told


def _node(dot: graphviz.Digraph, key: str, label: str, look: Look, text: str, pen: str = "1", **more: str) -> None:
    style = f"{look.style},dashed" if label.startswith("- ") and look.shape != "plaintext" else look.style
    more |= {"peripheries": str(look.outlines)} if look.outlines > 1 else {}
    dot.node(
        key,
        label,
        shape=look.shape,
        fillcolor=look.fill,
        style=style,
        penwidth=pen,
        tooltip=escape(text),
        id=key,
        **more,
    )


def _wrapped(text: str, width: int, most: int | None, room: int) -> str:
    if most is None:
        short = _whole_sentences(text, room)
    else:
        short = text if len(text) <= most else f"{text[:most].rsplit(' ', 1)[0]} ..."
    literal: str = graphviz.nohtml("\\n".join(escape(line) for line in wrap(short, width)))
    return literal


def _whole_sentences(text: str, room: int) -> str:
    """As many sentences as there is room for, the first in any case.

    >>> _whole_sentences("A rule. It says " + "very " * 40 + "much. And more.", SHORTEN)
    'A rule.'
    """
    first, *others = re.split(r"(?<=[.?!]) ", text.strip())
    for each in others:
        if len(first) + 1 + len(each) > room:
            break
        first += f" {each}"
    return first


def escape(text: str) -> str:
    """Text as DOT reads it back; one in angle brackets would be taken for HTML."""
    literal: str = graphviz.nohtml(text.replace("\\", "\\\\"))
    return literal


def numbered(nodes: Iterable[str]) -> dict[str, str]:
    """A short id for each node, the same for the same nodes; a colon in a node's own key would become a port."""
    return {node: f"n{number}" for number, node in enumerate(sorted(nodes))}
