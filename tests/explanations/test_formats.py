"""The graph in open formats, each read back by a library that is not ours.

Mermaid's text is held to a grammar written here from the published syntax of flowcharts (the project's documentation,
"Flowcharts - Basic Syntax": header, nodes with quoted text in their brackets, entity codes in it, links), which accepts
less than Mermaid does. Mermaid's own parser reads it back too where the package mermaid-parser-py is installed; it
brings a JavaScript engine, and so is not among the requirements.
"""

from __future__ import annotations

import html
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import jsonschema
import networkx as nx
import pytest
import rdflib
from prov.model import ProvActivity, ProvDerivation, ProvDocument, ProvEntity, ProvGeneration, ProvUsage

from advisor.asking.explaining import Explained
from advisor.facts.case import say
from advisor.facts.statements import Statement
from explanations.errors import CannotExplain
from explanations.formats import MOST_LINKS, NAMESPACE, WRITTEN, graphml, mermaid, node_link, prov_json, save
from explanations.graph import Graph, of_kind, speaks_against
from explanations.shift import shift
from explanations.views import gist
from tests.explained import demos, random_floors, small_floor, the_reasoner

PROV = rdflib.Namespace("http://www.w3.org/ns/prov#")


def graphs() -> list[Graph[str]]:
    told = [*demos().values(), *random_floors(3)]
    return [small_floor().graph, *(each.graph for each in told), *(gist(each.graph) for each in told)]


def test_networkx_reads_the_graphml_back_whole() -> None:
    for graph in graphs():
        read = nx.read_graphml(io.BytesIO(graphml(graph, "Why").encode()))
        assert dict(read.nodes(data=True)) == dict(graph.nodes(data=True))
        assert {(u, v): d for u, v, d in read.edges(data=True)} == {(u, v): d for u, v, d in graph.edges(data=True)}
        assert read.is_directed()


def test_networkx_reads_the_json_back_whole() -> None:
    schema = {
        "type": "object",
        "required": ["format", "directed", "nodes", "edges", "graph"],
        "properties": {
            "format": {"const": "slab-finish-explanation/1"},
            "directed": {"const": True},
            "nodes": {"type": "array", "items": {"required": ["id", "kind", "label", "text", "topic"]}},
            "edges": {"type": "array", "items": {"required": ["source", "target"]}},
        },
    }
    for graph in graphs():
        data = json.loads(node_link(graph, "Why"))
        jsonschema.validate(data, schema)
        read = nx.node_link_graph(data, edges="edges")
        assert dict(read.nodes(data=True)) == dict(graph.nodes(data=True))
        assert set(read.edges) == set(graph.edges)
        assert read.graph["title"] == "Why"


def prov_ids(graph: Graph[str]) -> dict[str, str]:
    return {f"n{number}": node for number, node in enumerate(sorted(graph))}


def test_prov_reads_the_prov_json_back_whole() -> None:
    for graph in graphs():
        document = ProvDocument.deserialize(content=prov_json(graph, "Why"), format="json")
        ids = prov_ids(graph)
        activities = {ids[each.identifier.localpart] for each in document.get_records(ProvActivity)}
        assert activities == of_kind(graph, {"rule"})
        entities = {each.identifier.localpart for each in document.get_records(ProvEntity)} - {"explanation"}
        assert {ids[key] for key in entities} == set(graph) - activities
        edges = set()
        for kind, first, second in ((ProvUsage, 1, 0), (ProvGeneration, 1, 0), (ProvDerivation, 1, 0)):
            for record in document.get_records(kind):
                names = [value.localpart for _, value in record.formal_attributes if value is not None]
                edges.add((ids[names[first]], ids[names[second]]))
        assert edges == set(graph.edges)


@pytest.mark.filterwarnings("ignore:.*deprecated:DeprecationWarning")  # prov's own use of rdflib
def test_rdflib_reads_the_same_provenance_as_prov_o() -> None:
    """PROV-O (W3C Recommendation, 30 April 2013): used, wasGeneratedBy, wasDerivedFrom between Entity and Activity."""
    for graph in (small_floor().graph, gist(next(iter(demos().values())).graph)):
        document = ProvDocument.deserialize(content=prov_json(graph, "Why"), format="json")
        rdf = rdflib.Graph().parse(data=document.serialize(format="rdf", rdf_format="trig"), format="trig")
        ids = {rdflib.URIRef(NAMESPACE + key): node for key, node in prov_ids(graph).items()}
        assert {ids[s] for s in rdf.subjects(rdflib.RDF.type, PROV.Activity)} == of_kind(graph, {"rule"})
        edges = set()
        for relation in (PROV.used, PROV.wasGeneratedBy, PROV.wasDerivedFrom):
            edges |= {(ids[o], ids[s]) for s, o in rdf.subject_objects(relation) if s in ids and o in ids}
        for qualified, names in ((PROV.qualifiedGeneration, PROV.activity), (PROV.qualifiedDerivation, PROV.entity)):
            edges |= {(ids[o], ids[s]) for s, each in rdf.subject_objects(qualified) for o in rdf.objects(each, names)}
        assert edges == set(graph.edges)


OPEN, CLOSE = r"\(\[|\(\(|\[\[|\[/|\[\\|\{\{|\[|\(|>", r"\]\)|\)\)|\]\]|/\]|\\\]|\}\}|\]|\)"
TEXT = r'(?:[^"#`<>\n]|#(?:\d+|[a-z]+);)*'
NODE = re.compile(rf'    (?P<id>n\d+)(?P<open>{OPEN})"(?P<text>{TEXT})"(?P<close>{CLOSE})')
LINK = re.compile(rf'    (n\d+) (?:--|==|-\.-)([>x])(?:\|"({TEXT}?)( ?against)?"\|)? (n\d+)')
COMMENT = re.compile(r"    %% \d+ (?:links|characters): [A-Za-z ]+(?:; \d+ characters: [A-Za-z ]+)?")
STYLE = re.compile(r"    classDef (?P<kind>[a-z]+) (?:stroke-dasharray: \d+ \d+|stroke-width: \d+px)")
STYLED = re.compile(r"    class (?P<ids>n\d+(,n\d+)*) (?P<kind>[a-z]+)")
PAIRS = {">": "]", "([": "])", "((": "))", "[[": "]]", "[/": "/]", "[\\": "\\]", "{{": "}}", "[": "]", "(": ")"}


def read_mermaid(text: str) -> tuple[str, dict[str, str], list[tuple[str, str]]]:
    """Title, texts by id, links. A line that is none of these is refused."""
    lines = text.splitlines()
    assert (lines[0], lines[2], lines[3]) == ("---", "---", "flowchart LR")
    nodes: dict[str, str] = {}
    links: list[tuple[str, str]] = []
    styles: set[str] = set()
    for line in lines[4:]:
        if COMMENT.fullmatch(line):
            assert not nodes, "a comment stands on top"
        elif match := NODE.fullmatch(line):
            assert PAIRS[match["open"]] == match["close"]
            assert not links, "nodes come before links"
            named = re.sub(r"#([a-z]+);", r"&\1;", match["text"])
            nodes[match["id"]] = html.unescape(re.sub(r"#(\d+);", r"&#\1;", named))
        elif match := STYLE.fullmatch(line):
            styles.add(match["kind"])
        elif match := STYLED.fullmatch(line):
            assert match["kind"] in styles, "a style is said before it is used"
            assert set(match["ids"].split(",")) <= set(nodes)
        else:
            match = LINK.fullmatch(line)
            assert match, line
            links.append((match[1], match[5]))
            assert (match[2] == "x") == bool(match[4]), "what speaks against is crossed, and says so"
    return json.loads(lines[1].removeprefix("title: ")), nodes, links


def test_the_mermaid_text_is_of_the_grammar_and_reads_back_whole() -> None:
    for graph in graphs():
        title, nodes, links = read_mermaid(mermaid(graph, 'Why "so"'))
        ids = prov_ids(graph)
        assert title == 'Why "so"'
        assert {ids[key]: text for key, text in nodes.items()} == {
            node: " ".join(graph.nodes[node]["label"].split()) for node in graph
        }
        assert {(ids[a], ids[b]) for a, b in links} == set(graph.edges)


def test_what_speaks_against_is_kept_by_mermaid_and_prov() -> None:
    some = 0
    for graph in graphs():
        against = {edge for edge in graph.edges if speaks_against(graph, *edge)}
        ids, some = prov_ids(graph), some + len(against)
        crossed = re.findall(r"^    (n\d+) --x\|.*\| (n\d+)$", mermaid(graph, "Why"), re.MULTILINE)
        assert {(ids[a], ids[b]) for a, b in crossed} == against
        written = json.loads(prov_json(graph, "Why"))
        relations = [each for kind in ("wasGeneratedBy", "wasDerivedFrom") for each in written.get(kind, {}).values()]
        told = {
            (ids[each.get("prov:activity") or each["prov:usedEntity"]],
             ids[each.get("prov:entity") or each["prov:generatedEntity"]])
            for each in relations if each.get("against")
        }  # fmt: skip
        assert told == against
    assert some > 20


def test_what_changed_is_kept_by_mermaid_and_prov() -> None:
    """What fell, came or is otherwise: nodes and arrows, and points as they were."""
    told = demos()["untested_garage"]
    otherwise = {"importance_look": Statement("high"), "must_be_reversible": Statement("yes")}
    heavy = say(told.base, told.case, otherwise, told.today)
    small = shift(told.graph, Explained(the_reasoner(), heavy, told.today).graph)
    changed = {node: data["change"] for node, data in small.nodes(data=True) if data["change"] != "same"}
    assert set(changed.values()) == {"added", "removed", "changed"}
    ids = prov_ids(small)
    text = mermaid(small, "What changes")
    _, nodes, links = read_mermaid(text)
    assert {ids[key]: label.partition(":")[0] for key, label in nodes.items() if ids[key] in changed} == changed
    assert {(ids[a], ids[b]) for a, b in links} == set(small.edges)
    for change, line in (("added", "=="), ("removed", "-.-")):
        moved = {edge for edge in small.edges if small.edges[edge]["change"] == change}
        drawn = re.findall(rf"(n\d+) {re.escape(line)}[>x].* (n\d+)$", text, re.MULTILINE)
        assert {(ids[a], ids[b]) for a, b in drawn} == moved != set()
    written = json.loads(prov_json(small, "What changes"))
    marked = {
        ids[key]: each["change"]
        for kind in ("entity", "activity")
        for key, each in written[kind].items()
        if each.get("change", "same") != "same"
    }
    assert marked == changed
    was = [each for kind in ("wasGeneratedBy", "wasDerivedFrom") for each in written[kind].values() if "was" in each]
    assert len(was) == sum("was" in data for _, _, data in small.edges(data=True)) > 0


def test_mermaids_own_parser_reads_the_text_back_whole() -> None:
    parser = pytest.importorskip("mermaid_parser").MermaidParser()
    for graph in graphs():
        if graph.number_of_edges() > MOST_LINKS:
            continue
        read, ids = parser.parse(mermaid(graph, 'Why "so"'))["graph_data"], prov_ids(graph)
        coded = {key: re.sub(r"ﬂ°°(\d+)¶ß", r"&#\1;", each["text"]) for key, each in dict(read["vertices"]).items()}
        texts = {ids[key]: html.unescape(re.sub(r"ﬂ°(\w+)¶ß", r"&\1;", text)) for key, text in coded.items()}
        assert texts == {node: " ".join(graph.nodes[node]["label"].split()) for node in graph}
        assert {(ids[each["start"]], ids[each["end"]]) for each in read["edges"]} == set(graph.edges)


def test_a_graph_with_more_links_than_mermaid_draws_says_so() -> None:
    told = next(iter(demos().values()))
    number = told.graph.number_of_edges()
    assert number > MOST_LINKS
    assert f"%% {number} links: set maxEdges" in mermaid(told.graph, "Why")
    assert "%%" not in mermaid(gist(told.graph), "Why")


@pytest.mark.parametrize(
    "bad",
    [
        '    n1["a "quote" in it"]',
        "    n1[no quotes]",
        '    n1["#1"]',
        "    n1 -> n2",
        '    n1("x"]',
        "    class n1 odd",
    ],
)
def test_the_grammar_refuses_what_mermaid_would_misread(bad: str) -> None:
    with pytest.raises(AssertionError):
        read_mermaid(f'---\ntitle: "t"\n---\nflowchart LR\n{bad}\n')


def test_texts_with_every_awkward_character_come_through_every_format() -> None:
    text = 'a "b" #1 `c` <d> & é ] ) } end; % {{x}} \\n'
    graph: Graph[str] = nx.DiGraph()
    graph.add_node("fact:x@y", kind="given", label=text, text=text, topic="")
    graph.add_node("rule:t.r", kind="rule", label=text, text=text, topic="t", rule="t.r")
    graph.add_edge("fact:x@y", "rule:t.r")
    assert nx.read_graphml(io.BytesIO(graphml(graph, text).encode())).nodes["fact:x@y"]["label"] == text
    assert set(read_mermaid(mermaid(graph, text))[1].values()) == {text}
    document = ProvDocument.deserialize(content=prov_json(graph, text), format="json")
    labels = {str(label) for each in document.get_records(ProvActivity) for label in each.get_attribute("prov:label")}
    assert labels == {text}


def test_every_format_is_written_whole_under_its_ending(tmp_path: Path) -> None:
    graph = small_floor().graph
    for ending in WRITTEN:
        path = tmp_path / f"why{ending}"
        save(graph, "Why", path)
        again = tmp_path / f"again{ending}"
        save(graph, "Why", again)
        assert path.read_bytes() == again.read_bytes() != b""
    with pytest.raises(CannotExplain, match="allowed"):
        save(graph, "Why", tmp_path / "why.xlsx")
    assert len(list(tmp_path.iterdir())) == 2 * len(WRITTEN)


@pytest.mark.parametrize(
    ("ending", "write"),
    [("mmd", mermaid), ("prov.json", prov_json), ("graphml", graphml), ("json", node_link)],
)
def test_formats_are_the_same_to_the_byte(
    ending: str, write: Callable[[Graph[str], str], str], golden: Callable[[str, str], None]
) -> None:
    golden(f"small.{ending}", write(gist(small_floor().graph), "Why: a small floor"))
