"""The map of the rules is the rules; a difference of two rule bases names the cases that it changes."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import networkx as nx
import pytest

from advisor.demo import demo_cases
from advisor.engines.smt import EveryCase
from advisor.errors import AdvisorError
from advisor.facts.memory import working_memory
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import unbound
from advisor.reference.rule_diff import case_files, compare, in_words
from advisor.reference.rule_map import by_topic, measure, part_of, rule_map, touched
from advisor.validation.loading import load_rulebase, read_rulebase, read_whole_or_over, rules_folder
from explanations.pictures import draw
from tests.floors import random_case
from tests.referees import fixpoint


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def graph(base: RuleBase) -> nx.DiGraph[str]:
    return rule_map(base)


def test_every_ground_rule_is_in_the_map_with_its_facts_and_conclusions(base: RuleBase, graph: nx.DiGraph[str]) -> None:
    assert nx.is_directed_acyclic_graph(graph)
    for form in ground(base).rules:
        node = f"rule:{form.rule}"
        before = {each.partition(":")[2] for each in graph.predecessors(node)}
        assert before == {unbound(pattern.fact)[0] for pattern in form.patterns}
        after = set(graph.successors(node))
        for conclusion in form.conclusions:
            assert f"{conclusion.kind}:{conclusion.name or 'finish'}" in after


def test_what_rests_on_a_fact_is_what_z3_sees(base: RuleBase, graph: nx.DiGraph[str]) -> None:
    """The facts above a rule in the map are its cone in the every-case reading, and all that its facts rest on."""
    every = EveryCase(base)
    for rule in dict.fromkeys(form.rule for form in every.program.rules[::9]):
        # The map shows a rule once; a finding about a finish may rest on other facts for each finish.
        forms = [form for form in every.program.rules if form.rule == rule]
        cone = {unbound(name)[0] for name in every.logic.cone(forms)}
        above = {n.partition(":")[2] for n in nx.ancestors(graph, f"rule:{rule}") if n.startswith("fact:")}
        assert above == every.vocabulary.beneath(cone)  # an age may follow from another, and that one from a third


def test_a_change_of_a_rule_touches_nothing_outside_what_the_map_says(base: RuleBase, graph: nx.DiGraph[str]) -> None:
    rng = Random(3)
    floors = [working_memory(base, random_case(base, rng)) for _ in range(6)]
    program = ground(base)
    concluding = [rule for rule in base.rules.values() if rule.then.finding]
    for rule in rng.sample(concluding, 4):
        without = ground(base.model_copy(update={"rules": {n: r for n, r in base.rules.items() if n != rule.id}}))
        reach = {each.partition(":")[2] for each in touched(base, graph, rule.id) if each.startswith("rule:")}
        for memory in floors:
            changed = fixpoint(program, memory) ^ fixpoint(without, memory)
            assert {name.partition("/")[0] for name in changed} <= reach | {rule.id}


def test_measures(base: RuleBase, graph: nx.DiGraph[str]) -> None:
    measures = measure(base, graph)
    assert (measures.facts, measures.rules) == (len(base.facts), len(base.rules))
    assert measures.depth >= 2
    reach = dict(measures.reach)
    direct = sum("slab_humidity" in rule.when for rule in base.rules.values())
    assert reach["slab_humidity"] >= direct > 0
    assert all(not any(name in rule.when for rule in base.rules.values()) for name in measures.unused)


def test_it_can_be_drawn_whole_and_by_topic(base: RuleBase, graph: nx.DiGraph[str], tmp_path: Path) -> None:
    for name, part in (("all", by_topic(graph)), ("stop", part_of(graph, "stop"))):
        draw(part, name, tmp_path / f"{name}.svg")
        draw(part, name, tmp_path / f"{name}.dot")
        assert "</svg>" in (tmp_path / f"{name}.svg").read_text(encoding="utf-8")
    text = (tmp_path / "stop.dot").read_text(encoding="utf-8")
    assert all(rule.id in text.replace("\\n", " ") for rule in base.rules.values() if rule.topic == "stop")


def test_unknown_names_are_refused(base: RuleBase, graph: nx.DiGraph[str]) -> None:
    with pytest.raises(AdvisorError, match="stop"):
        part_of(graph, "stopp")
    with pytest.raises(AdvisorError, match="no rule"):
        touched(base, graph, "stop.nothing")


def test_a_change_names_the_cases_that_it_changes(tmp_path: Path) -> None:
    """Structural movement no longer stops: the case with an offset crack changes, one without does not."""
    shutil.copytree(rules_folder(), tmp_path / "new")
    file = tmp_path / "new" / "stop.yaml"
    text = file.read_text(encoding="utf-8")
    place = text.index("structural_engineer:")
    file.write_text(text[:place] + text[place:].replace("stop: yes", "stop: no", 1), encoding="utf-8")
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "offset.yaml").write_text("facts: {crack_offset: yes}\n", encoding="utf-8")
    (cases / "plain.yaml").write_text("facts: {crack_offset: no}\n", encoding="utf-8")
    old, new = read_rulebase(rules_folder()), read_rulebase(tmp_path / "new")
    changes = {change.case: change for change in compare(old, new, case_files([cases]))}
    assert changes["offset"].answer
    assert "structural engineer" in changes["offset"].differences[0]
    assert not changes["plain"].differences
    assert in_words(changes.values()).endswith("1 of 2 cases change their answer; 1 change in anything.")


def test_a_folder_laid_over_is_compared_with_what_lies_beneath(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    rule = """rules:
  - id: wishes.ours
    judges: {id: is epoxy_solid}
    when: {wanted_look: is flecked}
    then: {points: {look: 5}}
    because: "Our chips go on solid colour too."
    source: common_practice
"""
    (mine / "a.yaml").write_text(rule, encoding="utf-8")
    old, new = read_rulebase(rules_folder()), read_whole_or_over(rules_folder(), mine)
    (change,) = compare(old, new, case_files([demo_cases()["untested_garage"]]))
    assert any("epoxy_solid" in each for each in change.differences)
    assert new.overlays
    assert not read_whole_or_over(rules_folder(), rules_folder()).overlays


def test_the_same_rules_change_nothing(base: RuleBase) -> None:
    changes = list(compare(base, base, case_files(demo_cases().values())))
    assert len(changes) == len(demo_cases())
    assert not any(change.differences for change in changes)


def test_a_folder_without_cases_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AdvisorError, match="no case"):
        case_files([tmp_path])
