"""The rule base that ships: sound, nothing declared in vain, every pointer into the bibliography good."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from advisor.model.conditions import parse_condition
from advisor.reference.source_list import sources_text
from advisor.rulebase.bibliography import bearing, citations
from advisor.rulebase.causes import as_causes
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from advisor.validation.read_by_formulas import read_by
from tests.rule_folders import faults_of


def test_the_shipped_rule_base_is_sound() -> None:
    base = load_rulebase()
    assert base.rules
    assert len(base.finishes) > 10
    assert re.fullmatch(r"[0-9a-f]{16}", base.fingerprint)
    assert load_rulebase() is base


@pytest.mark.parametrize(
    ("name", "old", "new", "what"),
    [
        ("vapour.yaml", "surface_ph: above finish.ph_limit", "surface_hp: above finish.x", "surface_hp"),
        ("vapour.yaml", "sources: astm_f2170", "sources: astm_f2171", "astm_f2171"),
        ("vapour.yaml", "then: {rule_out: yes}", "then: {rule_out: perhaps}", "perhaps"),
        ("hazards.yaml", "severity: danger", "severity: harmless", "harmless"),
        ("stop.yaml", "refer: structural_engineer", "refer: structural_enginer", "structural_enginer"),
        ("vocabulary.yaml", "type: yes/no", "type: maybe", "maybe"),
    ],
)
def test_one_broken_entry_of_the_shipped_rules_is_found(
    tmp_path: Path, name: str, old: str, new: str, what: str
) -> None:
    copy = shutil.copytree(rules_folder(), tmp_path / "rules")
    text = (copy / name).read_text(encoding="utf-8")
    assert old in text
    (copy / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    number = text[: text.index(old)].count("\n") + 1
    (fault,) = [each for each in faults_of(copy) if what in each.what]
    assert fault.where.startswith(f"{name}, line ")
    assert abs(int(fault.where.rsplit(" ", 1)[1]) - number) <= 6  # a rule's source is named at its first line


def test_the_fingerprint_changes_with_any_file(tmp_path: Path) -> None:
    copy = shutil.copytree(rules_folder(), tmp_path / "rules")
    same = shutil.copytree(copy, tmp_path / "same")
    before = read_rulebase(copy).fingerprint
    assert read_rulebase(same).fingerprint == before
    with (copy / "about.yaml").open("a", encoding="utf-8") as file:
        file.write("# a word more\n")
    assert read_rulebase(copy).fingerprint != before


def _words(value: object) -> set[str]:
    """Every name that stands in an entry."""
    match value:
        case str():
            return set(re.findall(r"[a-z_0-9]+", value))
        case dict():
            return set().union(*(_words(key) | _words(inner) for key, inner in value.items()))
        case list() | tuple():
            return set().union(*map(_words, value))
    return set()


def test_every_fact_is_used() -> None:
    base = load_rulebase()
    sections = [name for name in type(base).model_fields if name not in ("facts", "priors", "sources")]
    users = {name: getattr(base, name) for name in sections}
    entries = [entry for some in users.values() if isinstance(some, dict) for entry in some.values()]
    dumped = [entry.model_dump() for entry in entries if hasattr(entry, "model_dump")]
    used = _words(dumped) | {each for kind in base.facts.values() if kind.computed for each in kind.computed.inputs}
    asked_about = {name for name, kind in base.facts.items() if kind.values_from}  # the answer itself speaks of it
    laid_out = {*base.edges, "room_count", "perimeter", "in_parts", "night_work"}  # the take-off speaks of these
    assert base.facts.keys() - asked_about - laid_out <= used


def test_every_limit_finding_and_conclusion_is_used() -> None:
    base = load_rulebase()
    rules = [*base.rules.values(), *as_causes(base).rules.values()]
    operands = {
        parse_condition(text).operand
        for each in (*rules, *base.contradictions.values())
        for part in (each.when, getattr(each, "judges", None))
        if isinstance(part, dict)
        for texts in part.values()
        for text in texts
    }
    operands |= {
        parse_condition(text).operand
        for prior in base.priors.values()
        for each in prior.where
        for texts in each.when.values()
        for text in texts
    }
    named = {blank for each in rules for blank in re.findall(r"\{(limit\.\w+)\}", each.because)}
    computed = read_by(base, [name for name, kind in base.facts.items() if kind.computed])
    used = operands | named | {f"limit.{name}" for section, name in computed if section == "limits"}
    assert {name for name in base.limits if f"limit.{name}" not in used} == set()
    built_on = {fact for each in rules for fact in each.when}
    concluded = {name for each in rules for name in each.then.finding}
    claimed = {name for each in base.cause_claims.values() for name in each.then.finding}  # what the page shows by it
    assert base.findings.keys() - built_on - claimed == set()
    assert base.findings.keys() - concluded == set()
    assert base.cautions.keys() - {name for each in rules for name in each.then.caution} == set()
    assert base.referrals.keys() - {name for each in rules for name in each.then.refer} == set()
    assert base.needs.keys() - {name for each in rules for name in (*each.then.first, *each.then.hold)} == set()


def test_every_source_is_used_or_flagged() -> None:
    base = load_rulebase()
    unused = [name for name, resting in bearing(base).items() if not resting]
    text = sources_text(base, [])
    assert text.count("nothing rests on it") == len(unused)
    for name in unused:
        assert re.search(rf"{name}: [^\n]*(\n    [^\n]*)*\n      nothing rests on it", text)
    assert {citation.source for citation in citations(base)} <= base.sources.keys()
