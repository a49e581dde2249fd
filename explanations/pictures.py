"""Pictures of an explanation graph, drawn by graphviz; hovering, or a screen reader, gets the full text of a node."""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import sys
import sysconfig
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import graphviz
from graphviz.backend import dot_command

from explanations.chapters import LARGE, chapters, in_chapters
from explanations.comparing import ranked_standings
from explanations.errors import CannotExplain, CannotWrite
from explanations.files import check_place, write_whole
from explanations.graph import ANSWER, Graph, of_kind, speaks_against
from explanations.looks import draw_legend, draw_node, escape, numbered, on_arrow
from explanations.panels import panels
from explanations.wording import label, wording

ENDINGS = (".svg", ".png", ".pdf", ".dot")
DOTS, MOST_PIXELS = 150.0, 9000  # of a PNG: dots an inch, and pixels of its longer side
_SIZE = re.compile(r'<svg[^>]* width="([\d.]+)pt"\s+height="([\d.]+)pt"')
_TITLE = re.compile(r"<title>([^<]*)</title>")  # the first is the whole picture's
_NODE_TITLE = re.compile(r"<title>(\w+)</title>")
FONTS, ROOM = "Helvetica", "0.17,0.06"  # room for the wider letters that some programs put in place of the font


def check_picture(path: Path) -> None:
    """Refuse an ending that cannot be drawn, or a place where no file can be put.

    Raises:
        CannotWrite: saying what is allowed.
    """
    check_place(path, ENDINGS)


def dot_source(graph: Graph[str], title: str) -> graphviz.Digraph:
    """The graph in DOT, left to right from facts to answer. The same graph gives the same text, byte for byte.

    Rules and conclusions of one topic stand together in a frame; a large graph is laid out in panels. A graph from
    `views.difference` has its changes marked by a sign before the label and by the outline.
    """
    if len(graph) > LARGE:
        return panels(graph, title)
    attributes = {
        "rankdir": "LR",
        "fontname": "Helvetica",
        "label": escape(title),
        "labelloc": "t",
        "tooltip": escape(title),
        "ranksep": "0.35",
        "nodesep": "0.15",
    }
    dot = graphviz.Digraph(
        graph_attr=attributes,
        node_attr={"fontname": FONTS, "fontsize": "10", "margin": ROOM},
        edge_attr={"color": "#555555", "arrowsize": "0.6", "fontname": "Helvetica", "fontsize": "9"},
    )
    ids = numbered(graph)
    ranked = ranked_standings(graph) if ANSWER in graph else []
    place = {node: number for number, node in enumerate(ranked, 1)}  # finishes best first, down the page
    drawn_so = sorted(ids, key=lambda node: (place.get(node, 0), node))
    for topic in sorted({graph.nodes[node]["topic"] for node in graph}):
        members = [node for node in drawn_so if graph.nodes[node]["topic"] == topic]
        if not topic:
            _draw_nodes(dot, graph, ids, members)
            continue
        with dot.subgraph(name=f"cluster_{topic}") as frame:
            name = label("topic", topic)
            tooltip = wording("pictures.topic", name=name)
            frame.attr(label=name, style="rounded", color="#999999", fontsize="10", tooltip=tooltip)
            _draw_nodes(frame, graph, ids, members)
    arrows = graph.edges(data="change", default="same")
    for source, target, change in sorted(arrows, key=lambda arrow: (place.get(arrow[0], 0), arrow)):
        against = speaks_against(graph, source, target)
        does = "pictures.speaks_against" if against else "pictures.supports"
        more = {"arrowhead": "tee"} if against else {}
        if told := on_arrow(graph, source, target):
            more["label"] = escape(told)
        both = wording(does, what=graph.nodes[source]["label"], to=graph.nodes[target]["label"])
        style = {"removed": "dashed", "added": "bold"}.get(change, "solid")
        dot.edge(ids[source], ids[target], tooltip=escape(both), style=style, **more)
    draw_legend(dot, graph)
    return dot


def _draw_nodes(dot: graphviz.Digraph, graph: Graph[str], ids: Mapping[str, str], nodes: Iterable[str]) -> None:
    for node in nodes:
        draw_node(dot, graph, node, ids[node], graph.nodes[node]["label"])


def draw(graph: Graph[str], title: str, path: Path) -> None:
    """Write the picture in the format of the file's ending; a half-written file never stays behind.

    Raises:
        CannotWrite: the ending is none of svg, png, pdf, dot, no file can be put there, or one sheet is too small.
    """
    check_picture(path)
    try:
        content = drawn(graph, title, path.suffix.lower().removeprefix("."))
    except CannotExplain as error:
        raise CannotWrite(path, str(error)) from None
    write_whole(path, content)


def drawn(graph: Graph[str], title: str, form: str) -> bytes:
    """The picture as svg, png, dot, or pdf, which has a page for each chapter.

    Raises:
        CannotExplain: it has more boxes than can be read on one sheet, and a sheet was asked for.
    """
    if form == "dot":
        source: str = dot_source(graph, title).source
        return source.encode()
    if form == "pdf":
        return _set([as_svg(each.graph, each.title) for each in chapters(graph, title)], title, form)
    if in_chapters(graph):
        raise CannotExplain(wording("pictures.too_large", n=len(graph)))
    svg = as_svg(graph, title)
    return svg.encode() if form == "svg" else _set([svg], title, form)


def as_svg(graph: Graph[str], title: str) -> str:
    """The picture as SVG, with its words for a screen reader."""
    return _describe(_lay_out(dot_source(graph, title)), title, graph)


def _lay_out(source: graphviz.Digraph) -> str:
    dot_command.DOT_BINARY = drawing_program()
    svg: bytes = source.pipe(format="svg", quiet=True)
    return svg.decode()


def _set(pictures: Sequence[str], title: str, form: str) -> bytes:
    """Pictures as a PDF, each on a page of its own size, or one as a PNG; without a date.

    typst sets them: the drawing program writes no PDF, and takes half a minute for a PNG of a thousand nodes.
    """
    import typst

    longest = max(float(side) for svg in pictures for side in _SIZE.search(svg).groups())  # type: ignore[union-attr]
    with TemporaryDirectory() as folder:
        lines = [
            f"#set document(title: {json.dumps(title, ensure_ascii=False)}, date: none)",
            "#set page(width: auto, height: auto, margin: 5mm)",
        ]
        for number, svg in enumerate(pictures):
            (Path(folder) / f"{number}.svg").write_text(svg, encoding="utf-8")
            alt = json.dumps(html.unescape(_TITLE.search(svg)[1]), ensure_ascii=False)  # type: ignore[index]
            lines.append(f'#page(image("{number}.svg", alt: {alt}))')
        page = Path(folder) / "page.typ"
        page.write_text("\n".join(lines), encoding="utf-8")
        sharp = min(DOTS, MOST_PIXELS / longest * 72)
        content: bytes = typst.compile(str(page), format=form, ppi=sharp)  # type: ignore[call-overload]
    return content


def drawing_program() -> Path:
    """The self-contained program of the package graphviz-pure, whose output is the same on every platform."""
    scripts = f"{Path(sys.executable).parent}{os.pathsep}{sysconfig.get_path('scripts')}"
    found = shutil.which("graphviz-pure", path=f"{scripts}{os.pathsep}{os.environ.get('PATH', '')}")
    if found is None:
        raise CannotExplain(wording("pictures.no_program"))
    return Path(found)


def _describe(svg: str, title: str, graph: Graph[str]) -> str:
    """Give the picture a title and a description for screen readers, and each node its text in place of its id."""
    texts = {key: graph.nodes[node]["text"] for node, key in numbered(graph).items()}
    svg = _NODE_TITLE.sub(lambda m: f"<title>{html.escape(texts[m[1]])}</title>" if m[1] in texts else m[0], svg)
    rules = len(of_kind(graph, {"rule"}))
    answer = graph.nodes[ANSWER]["label"] if ANSWER in graph else ""
    text = wording("pictures.described", nodes=len(graph), rules=rules, answer=answer)
    start = svg.index("<g ", svg.index("<svg"))
    described = f"<title>{html.escape(title)}</title>\n<desc>{html.escape(text)}</desc>\n"
    head = svg[:start].replace("<svg ", '<svg role="img" ', 1)
    return head + described + svg[start:]
