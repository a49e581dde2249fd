"""What rests on which source, and how much of an answer on which kind."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from advisor.asking.advice import advise
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_case
from advisor.model.knowledge import RuleBase, Source
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.reference.source_list import AnswerSources, answer_record, sources_text
from advisor.rulebase.bibliography import (
    KINDS,
    bearing,
    by_kind,
    citations,
    number_of,
    rests_on,
    shares,
    source_id,
    strongest,
)
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.rule_folders import shipped_files, sound


def advisor(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


@pytest.fixture
def small(tmp_path: Path) -> RuleBase:
    return read_rulebase(sound(tmp_path / "rules"))


def named_in(value: object) -> Counter[str]:
    """Every source that raw YAML names under `source` or `sources`."""
    found: Counter[str] = Counter()
    if isinstance(value, dict):
        for name, inner in value.items():
            if name in ("source", "sources") and not isinstance(inner, dict):
                found.update([inner] if isinstance(inner, str) else inner)
            else:
                found += named_in(inner)
    elif isinstance(value, list):
        for inner in value:
            found += named_in(inner)
    return found


def test_every_pointer_in_the_files_is_gathered() -> None:
    written: Counter[str] = Counter()
    for file in shipped_files():
        written += named_in(file)
    base = read_rulebase(rules_folder())
    gathered = Counter(f"{c.source}, {c.clause}" if c.clause else c.source for c in citations(base))
    assert gathered == Counter({re.sub(r"\s+", " ", name): number for name, number in written.items()})


def test_every_entry_that_must_have_a_source_has_one() -> None:
    base = load_rulebase()
    named = {(c.section, c.entry) for c in citations(base)}
    for section in ("rules", "limits", "needs", "cautions", "referrals", "finishes"):
        assert {(section, name) for name in getattr(base, section)} <= named
    assert {("facts", name) for name, kind in base.facts.items() if kind.assume} <= named
    parts = {(c.entry, c.part) for c in citations(base) if c.section == "finishes"}
    assert {(f.id, ("properties", name)) for f in base.finishes.values() for name in f.properties} <= parts


def test_every_kind_of_source_has_its_place_in_the_line() -> None:
    assert set(KINDS) == set(Source.model_fields["kind"].annotation.__args__)  # type: ignore[union-attr]


def test_every_section_that_names_sources_has_its_noun() -> None:
    for section in {citation.section for citation in citations(load_rulebase())}:
        assert number_of(section, 2).startswith("2 ")


def test_what_rests_on_a_source_is_listed_with_its_clause(small: RuleBase) -> None:
    on_law = {(c.section, c.entry, c.clause) for c in bearing(small)["law"]}
    assert on_law == {
        ("cautions", "fumes", ""),
        ("referrals", "plumber", ""),
        ("rules", "damp.film", "section 3"),
        ("rules", "stop.leak", ""),
    }
    assert "rules: damp.film (section 3)" in sources_text(small, ["law"])


def test_an_entry_counts_once_under_its_strongest_source(small: RuleBase) -> None:
    assert strongest(small, ["handbook", "law, section 3"]) == "regulation"
    counts = by_kind(small)
    assert counts["rules"] == {"handbook": 1, "regulation": 2}
    assert counts["finishes"] == {"handbook": 9}
    assert counts["limits"] == {"handbook": 3}


def _floor(**facts: Value) -> Case:
    return Case("a floor", "", facts)


def test_the_line_counts_the_rules_that_fired(small: RuleBase) -> None:
    reasoner = Reasoner(small)
    wet = number(Interval(80, 80), "percent")
    _, trace = reasoner.reason({"wetness": wet, "room": choice("kitchen")})
    assert rests_on(small, trace) == "2 rules: 1 from regulations or standards, 1 from handbooks or papers."
    _, trace = reasoner.reason({"leak": choice("yes")})
    assert rests_on(small, trace) == "1 rule: 1 from regulations or standards."
    told = AnswerSources(rules={"regulation": 1}, leading=None, rules_about_leading_or_floor={}, values={})
    assert answer_record(small, trace, None) == told


def test_values_that_fired_rules_compare_with_are_counted(small: RuleBase) -> None:
    _, trace = Reasoner(small).reason({"wetness": number(Interval(80, 80), "percent"), "room": choice("kitchen")})
    data = answer_record(small, trace, "paint")
    # The limit in damp.wet, and the film of paint and of varnish by which damp.film judges them.
    assert data.values == {"handbook": 3}
    assert data.rules_about_leading_or_floor == {"handbook": 1, "regulation": 1}


@pytest.mark.parametrize("name", demo_cases())
def test_the_line_of_the_advice_agrees_with_its_sources(name: str) -> None:
    base = load_rulebase()
    advice = advise(Reasoner(base), read_case(demo_cases()[name], base))
    kinds = {each.source: each.kind for each in advice.sources}
    strength = list(KINDS)
    by_rule = {f.rule: min((kinds[source_id(s)] for s in f.sources), key=strength.index) for f in advice.trace.firings}
    assert advice.rests_on == f"{len(by_rule)} rules: {shares(Counter(by_rule.values()))}."
    numbers = [int(each) for each in re.findall(r"\d+", advice.rests_on)]
    assert numbers[0] == sum(numbers[1:])


def test_the_verb_lists_sources_and_what_an_answer_rests_on() -> None:
    base = load_rulebase()
    listed = advisor("sources")
    assert listed.returncode == 0
    assert max(map(len, listed.stdout.splitlines())) <= 80
    assert all(re.search(rf"^  {name}: ", listed.stdout, re.MULTILINE) for name in base.sources)
    case = next(iter(demo_cases()))
    rest = advisor("sources", "--case", case)
    line = json.loads(advisor("advise", case, "--json").stdout)["rests_on"]
    assert f"The whole answer: {line}" in " ".join(rest.stdout.split())


def test_the_verb_gives_data() -> None:
    data = json.loads(advisor("sources", "astm_f2170", "--json").stdout)
    assert list(data["sources"]) == ["astm_f2170"]
    assert data["sources"]["astm_f2170"]["kind"] == "standard"
    assert len(data["sources"]["astm_f2170"]["bears"]) == len(bearing(load_rulebase())["astm_f2170"])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("astm_f2171",), 'Did you mean "astm_f2170"?'),
        (("astm_f2170", "--case", "untested_garage"), "one or the other"),
        (("--case", "no_such_floor"), "no such file"),
    ],
)
def test_what_does_not_exist_is_refused(arguments: tuple[str, ...], message: str) -> None:
    done = advisor("sources", *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert message in done.stderr
    assert "Traceback" not in done.stderr
