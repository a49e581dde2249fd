"""Pictures: well-formed, described for screen readers, told apart in grey, the same to the byte, drawn when large."""

from __future__ import annotations

import json
import re
import subprocess
from collections import Counter
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import graphviz
import networkx as nx
import pytest
from PIL import Image

from advisor.answer.picturing import view
from advisor.asking.explaining import Explained
from advisor.asking.typed_answers import say_typed
from advisor.demo import demo_cases
from explanations.chapters import LARGE, chapters, in_chapters
from explanations.comparing import ranked_standings
from explanations.errors import CannotExplain
from explanations.graph import ANSWER, Graph, of_kind
from explanations.looks import LOOKS, WRAP, draw_node
from explanations.panels import ENGINE, NARROW, SHORT
from explanations.pictures import dot_source, draw, drawing_program
from explanations.views import difference, gist, without_sources
from tests.explained import demos, small_floor, the_reasoner

SVG = "{http://www.w3.org/2000/svg}"


def luminance(colour: str) -> float:
    """Relative luminance (W3C WCAG 2.2, definition of relative luminance) of #RRGGBB."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(share * c for share, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_black_text_on_every_fill_has_the_contrast_that_wcag_asks_for_small_text() -> None:
    """WCAG 2.2, success criterion 1.4.6 (enhanced): 7 to 1."""
    for look in LOOKS.values():
        assert (luminance(look.fill) + 0.05) / (luminance("#000000") + 0.05) >= 7


def test_no_two_kinds_look_alike_without_colour() -> None:
    """In grey, and to the colour-blind, shape and outline alone tell every kind from every other."""
    for one, other in combinations(LOOKS.values(), 2):
        assert (one.shape, one.style, one.outlines) != (other.shape, other.style, other.outlines), (one, other)


def test_what_is_said_of_looks_is_what_is_drawn(tmp_path: Path) -> None:
    """In the layout program's output a kind has the outlines, the dashes and the corners that its look says."""
    graph: Graph[str] = nx.DiGraph()
    for kind in (*(each for each in LOOKS if each != "conclusion"), "caution"):
        graph.add_node(kind, kind=kind, label=kind, text=kind, topic="", finish="", name="")
    draw(graph, "All kinds", tmp_path / "kinds.svg")
    drawn = {}
    for g in ElementTree.parse(tmp_path / "kinds.svg").getroot().iter(f"{SVG}g"):
        if g.get("class") == "node":
            shapes = [each for each in g.iter() if each.tag in {f"{SVG}{s}" for s in ("ellipse", "polygon", "path")}]
            corners = (len(each.get("points", "").split()) for each in shapes)
            dashes = (each.get("stroke-dasharray", "") for each in shapes)
            drawn[g.get("id")] = (*(each.tag for each in shapes), *corners, *dashes)
    kinds = {key: value for key, value in drawn.items() if key and key.startswith("n")}
    legend = {key: value for key, value in drawn.items() if key and key.startswith("l")}
    assert len(kinds) == len(set(kinds.values())) == len(LOOKS), "each kind is drawn unlike every other"
    assert set(legend.values()) == set(kinds.values()), "the legend shows each as it is drawn"


def test_the_colours_are_those_of_the_w3c_prov_figures() -> None:
    """PROV-O (W3C Recommendation, 30 April 2013), figure 1: entity yellow oval, activity blue rectangle."""
    assert (LOOKS["given"].shape, LOOKS["given"].fill) == ("ellipse", "#FFFC87")
    assert (LOOKS["rule"].shape, LOOKS["rule"].fill) == ("box", "#9FB1FC")


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_an_svg_is_well_formed_titled_and_described(name: str, tmp_path: Path) -> None:
    told = demos()[name]
    for depth in ("gist", "answer"):
        part = view(told.graph, told.advice, depth)
        path = tmp_path / f"{depth}.svg"
        draw(part, f"Why: {told.advice.floor}", path)
        root = ElementTree.parse(path).getroot()
        assert root.get("role") == "img"
        title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert title.text == f"Why: {told.advice.floor}"
        assert description is not None
        assert told.advice.answer.sentence in (description.text or "")
        titles = {each.text for each in root.iter(f"{SVG}title")}
        assert {part.nodes[node]["text"] for node in part} <= titles, "each node can be read out in full"
        drawn = [g for g in root.iter(f"{SVG}g") if g.get("class") == "node" and re.fullmatch(r"n\d+", g.get("id", ""))]
        assert len(drawn) == len(part)
        edges = [g for g in root.iter(f"{SVG}g") if g.get("class") == "edge"]
        assert len(edges) == part.number_of_edges()


def test_labels_are_wrapped_and_topics_framed() -> None:
    told = next(iter(demos().values()))
    source = dot_source(view(told.graph, told.advice, "answer"), "Why").source
    for label in re.findall(r'label="((?:[^"\\]|\\.)*)"', source):
        assert all(len(line) <= max(*WRAP.values(), 60) for line in label.split("\\n") if " " in line)
    topics = {told.graph.nodes[node]["topic"] for node in view(told.graph, told.advice, "answer")} - {""}
    for topic in topics:
        assert f"subgraph cluster_{topic}" in source
    assert "rankdir=LR" in source
    assert "cluster_legend" in source


def test_facts_stand_left_of_the_answer(tmp_path: Path) -> None:
    """By graphviz's own plain output: x grows along every edge of the gist."""
    for told in demos().values():
        small = gist(told.graph)
        source = tmp_path / "gist.dot"
        draw(small, "Gist", source)
        plain = subprocess.run(
            [drawing_program(), "-Tplain", source], capture_output=True, text=True, check=True
        ).stdout
        x = {line.split()[1]: float(line.split()[2]) for line in plain.splitlines() if line.startswith("node ")}
        ids = {node: f"n{number}" for number, node in enumerate(sorted(small))}
        assert all(x[ids[a]] < x[ids[b]] for a, b in small.edges)


@pytest.mark.parametrize("ending", ["png", "pdf", "dot", "svg"])
def test_every_ending_is_written_and_is_what_it_says(ending: str, tmp_path: Path) -> None:
    begins = {"png": b"\x89PNG", "pdf": b"%PDF", "dot": b"digraph", "svg": b"<?xml"}
    path = tmp_path / f"gist.{ending}"
    draw(gist(next(iter(demos().values())).graph), "Gist", path)
    assert path.read_bytes().startswith(begins[ending])
    assert [each.name for each in tmp_path.iterdir()] == [path.name], "nothing else is left behind"


def test_a_png_and_a_dot_file_are_read_back_whole(tmp_path: Path) -> None:
    """The picture by Pillow, the DOT by the layout program: as large as the SVG says, with every node and edge."""
    small = gist(next(iter(demos().values())).graph)
    for ending in ("png", "dot", "svg"):
        draw(small, "Gist", tmp_path / f"gist.{ending}")
    with Image.open(tmp_path / "gist.png") as picture:
        picture.load()
        wide, high = picture.size
        shades = picture.convert("L").getextrema()
    root = ElementTree.parse(tmp_path / "gist.svg").getroot()
    sides = [float(root.get(side, "").removesuffix("pt")) for side in ("width", "height")]
    assert abs(wide / high - sides[0] / sides[1]) < 0.1
    assert shades == (0, 255), "it is no blank sheet"
    out = subprocess.run(
        [drawing_program(), "-Tjson", tmp_path / "gist.dot"], capture_output=True, text=True, check=True
    ).stdout
    read = json.loads(out)
    nodes = {each["name"] for each in read["objects"] if re.fullmatch(r"n\d+", each["name"])}
    assert len(nodes) == len(small)
    assert len(read["edges"]) == small.number_of_edges()


def test_an_ending_that_cannot_be_drawn_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    graph = gist(next(iter(demos().values())).graph)
    with pytest.raises(CannotExplain, match=r"\.svg, \.png, \.pdf, \.dot"):
        draw(graph, "Gist", tmp_path / "gist.gif")
    with pytest.raises(CannotExplain, match="no folder"):
        draw(graph, "Gist", tmp_path / "nowhere" / "gist.svg")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_a_large_explanation_has_chapters_which_lose_nothing(name: str) -> None:
    """Every node is in some chapter, every arrow in one and no other; each chapter is a sheet that can be read."""
    whole = demos()[name].graph
    first, floor, *finishes = some = chapters(whole, "Everything")
    assert first.title == "Everything"
    assert set(first.graph) == {ANSWER, *whole.predecessors(ANSWER)}
    assert "facts" in floor.title
    assert [each.title for each in finishes] == [whole.nodes[node]["name"] for node in ranked_standings(whole)]
    assert set().union(*(each.graph for each in some)) == set(whole)
    drawn = Counter(edge for each in some for edge in each.graph.edges)
    assert set(drawn) == set(whole.edges)
    assert set(drawn.values()) == {1}
    assert max(len(each.graph) for each in some) <= LARGE < len(whole)
    assert [each.title for each in chapters(gist(whole), "Gist")] == ["Gist"]


def test_a_difference_of_everything_has_chapters_too() -> None:
    told = demos()["untested_garage"]
    said = ["who_works=hired", "country=united_kingdom", "wanted_look=natural", "vehicles=forklifts"]
    other = Explained(told.reasoner, say_typed(told.base, told.case, said, told.today))
    shown = difference(told.graph, other.graph)
    assert in_chapters(shown)
    assert {edge for each in chapters(shown, "What changes") for edge in each.graph.edges} == set(shown.edges)


def test_a_pdf_has_a_page_for_each_chapter_and_one_sheet_is_refused(tmp_path: Path) -> None:
    told = demos()["untested_garage"]
    finishes = {"epoxy_flake", "polished_natural"}
    others = {node for node, finish in told.graph.nodes(data="finish", default="") if finish not in {"", *finishes}}
    few = told.graph.subgraph(set(told.graph) - others).copy()  # as all of it, in less time
    draw(few, "Everything", tmp_path / "all.pdf")
    pages = re.search(rb"/Type/Pages/Count (\d+)", (tmp_path / "all.pdf").read_bytes())
    assert pages is not None
    assert int(pages[1]) == 2 + len(finishes)
    for ending in ("svg", "png"):
        with pytest.raises(CannotExplain, match=r"cannot be read; name a \.pdf"):
            draw(told.graph, "Everything", tmp_path / f"all.{ending}")
    assert [each.name for each in tmp_path.iterdir()] == ["all.pdf"]


def frames(dot: str) -> dict[str, tuple[float, float, float, float]]:
    """The frames that the layout program made, by name: left, bottom, right, top in points."""
    out = subprocess.run(
        [drawing_program(), f"-K{ENGINE}", "-Tjson"], input=dot, capture_output=True, text=True, check=True
    ).stdout
    return {
        each["name"].removeprefix("cluster_"): tuple(float(side) for side in each["bb"].split(","))
        for each in json.loads(out)["objects"]
        if "bb" in each
    }


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_a_large_graph_goes_from_facts_to_the_answer_in_frames_by_topic(name: str) -> None:
    """By the layout program's own output: no frame overlaps another, each is right of what comes before it."""
    told = demos()[name]
    placed = frames(dot_source(told.graph, "Everything").source)
    topics = {told.graph.nodes[node]["topic"] for node in told.graph} - {""}
    assert topics <= set(placed)
    for topic in topics:
        left, right = placed[topic][0], placed[topic][2]
        assert all(placed[each][2] <= left for each in {"source", "given", "unknown"} & set(placed))
        assert right <= placed["standing"][0]
    assert placed["standing"][2] <= placed["answer"][0]
    for one, other in combinations(topics, 2):
        (l1, b1, r1, t1), (l2, b2, r2, t2) = placed[one], placed[other]
        assert r1 <= l2 or r2 <= l1 or t1 <= b2 or t2 <= b1, (one, other)
    wide, high = (max(each[side + 2] for each in placed.values()) for side in (0, 1))  # the corner below left is 0, 0
    assert 1 / 3 < wide / high < 3, "a sheet, not a strip"


def test_labels_of_a_large_graph_are_short_and_told_in_full_on_demand() -> None:
    told = next(iter(demos().values()))
    source = dot_source(told.graph, "Everything").source
    for label in re.findall(r'n\d+ \[label="((?:[^"\\]|\\.)*)"', source):
        lines = label.split("\\n")
        assert all(len(line) <= NARROW for line in lines if " " in line)
        assert len(" ".join(lines)) <= SHORT + len(" ...")
    for node in of_kind(told.graph, {"rule"}):
        assert f'tooltip="{told.graph.nodes[node]["text"]}"' in source


def test_a_difference_is_told_apart_by_signs_and_outlines() -> None:
    told = small_floor()
    other = Explained(told.reasoner, say_typed(told.base, told.case, ["wetness=60 %", "room=hall"], told.today))
    shown = without_sources(difference(told.graph, other.graph))
    source = dot_source(shown, "What changes").source
    changes = {shown.nodes[node]["change"] for node in shown}
    assert {"added", "removed"} <= changes
    for change, sign in (("added", "+ "), ("removed", "- "), ("changed", "~ ")):
        assert (f'label="{sign}' in source) == (change in changes)
    assert "dashed" in source


def test_texts_with_quotes_and_backslashes_come_through(tmp_path: Path) -> None:
    graph: Graph[str] = nx.DiGraph()
    text = 'a "quoted" back\\slash <tag> & {brace} é'
    graph.add_node("fact:x:y", kind="given", label=text, text=text, topic="")
    draw(graph, text, tmp_path / "odd.svg")
    root = ElementTree.parse(tmp_path / "odd.svg").getroot()
    assert text in {each.text for each in root.iter(f"{SVG}title")}
    words = " ".join(each.text or "" for each in root.iter(f"{SVG}text"))
    assert text in words


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_pictures_are_the_same_to_the_byte(name: str, golden: Callable[[str, str], None]) -> None:
    told = demos()[name]
    golden(f"gist_{name}.dot", dot_source(gist(told.graph), f"Why: {told.advice.floor}").source)


def test_the_pictures_of_a_small_floor_are_the_same_to_the_byte(
    golden: Callable[[str, str], None], tmp_path: Path
) -> None:
    """The layout too: the drawing program is the same on every platform."""
    told = small_floor()
    golden("small_everything.dot", dot_source(told.graph, "Why: a small floor").source)
    draw(told.graph, "Why: a small floor", tmp_path / "small.svg")
    golden("small_everything.svg", (tmp_path / "small.svg").read_text(encoding="utf-8"))
    other = Explained(told.reasoner, say_typed(told.base, told.case, ["wetness=60 %"], told.today))
    golden("small_difference.dot", dot_source(difference(told.graph, other.graph), "What changes").source)


def test_the_same_case_reasoned_again_gives_the_same_picture() -> None:
    told = next(iter(demos().values()))
    again = Explained(the_reasoner(), told.case)
    for depth in ("gist", "answer", "everything"):
        pictures = [dot_source(view(each.graph, each.advice, depth), "Why").source for each in (told, again)]
        assert pictures[0] == pictures[1]


def test_a_title_in_angle_brackets_is_no_markup() -> None:
    """Graphviz takes a label in angle brackets for HTML; a source may be titled so."""
    dot = graphviz.Digraph()
    graph: Graph[str] = nx.DiGraph()
    title = '<IMG SRC="/a.png"/>'
    graph.add_node("s", kind="source", label=title, text=title)
    draw_node(dot, graph, "s", "n0", title)
    assert "label=<" not in dot.source
    assert "tooltip=<" not in dot.source


def test_the_answers_box_holds_the_whole_answer() -> None:
    """Cut to its first sentence it would say that something must be settled, and not for which finish."""
    graph: Graph[str] = nx.DiGraph()
    said = (
        "Something must be settled first. If that allows it, flake epoxy with a clear coat; otherwise the least bad, "
    )
    said += "cementitious urethane; but flake epoxy with a clear coat may take up to 12 days, and you have 9 days."
    graph.add_node(ANSWER, kind="answer", label=said, text=said)
    dot = graphviz.Digraph()
    draw_node(dot, graph, ANSWER, "n0", said)
    shown = re.search(r'label="(.*?)"', dot.source)
    assert shown
    assert shown[1].replace("\\n", " ") == said
