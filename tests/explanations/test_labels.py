"""Each id of the shipped rules that people see has its label, and no label is left of an id that is gone."""

from __future__ import annotations

from collections.abc import Set
from pathlib import Path
from typing import get_args

import pytest

from advisor.answer.ranking import KINDS, VERDICTS
from advisor.asking.cause_forms import FITS
from advisor.model.conditions import UNKNOWN
from advisor.model.knowledge import RuleBase, Source
from advisor.model.rules import SEVERITIES, Caution, NeedKind
from advisor.rulebase.bibliography import citations
from advisor.rulebase.causes import SIGNS
from advisor.validation.loading import read_rulebase
from explanations.graph import NAMED
from explanations.wording import group_of_texts

RULES = Path(__file__).parents[2] / "rules"


def shown(base: RuleBase) -> dict[str, Set[str]]:
    """By kind of label, the ids that people see."""
    qualities = (*base.facts.values(), *base.properties.values())
    return {
        "fact": base.facts.keys(),
        "value": {value for each in qualities for value in each.choices} | {UNKNOWN, "none"},
        "need": base.needs.keys(),
        "caution": base.cautions.keys(),
        "referral": base.referrals.keys(),
        "criterion": {*base.criteria, SIGNS},
        "topic": {rule.topic for rule in (*base.rules.values(), *base.cause_rules.values())},
        "source": base.sources.keys(),
        "source_kind": set(get_args(Source.model_fields["kind"].annotation)),
        "seen": set(filter(None, get_args(Source.model_fields["seen"].annotation))),
        "part": {name for each in citations(base) for name in each.part if name != "properties" and not name.isdigit()},
        "conclusion": {"finding", "rule_out", *NAMED},
        "rule_out": {"finish"},
        "property": base.properties.keys(),
        "limit": base.limits.keys(),
        "material": base.materials.keys(),
        "finding": base.findings.keys(),
        "verdict": set(VERDICTS),
        "answer": set(KINDS),
        "fit": set(FITS),
        "severity": set(SEVERITIES),
        "step": set(get_args(Caution.model_fields["step"].annotation)),
        "need_kind": set(get_args(NeedKind)),
    }


WANTED = {f"{kind}.{name}" for kind, names in shown(read_rulebase(RULES)).items() for name in names}


def test_each_id_that_people_see_has_its_label() -> None:
    missing = sorted(WANTED - group_of_texts("en", "labels").keys())
    assert not missing, f"name these in explanations/texts/en/labels.yaml: {', '.join(missing)}"


def test_no_label_is_left_of_what_is_gone() -> None:
    assert set(group_of_texts("en", "labels")) <= WANTED


@pytest.mark.parametrize("language", ["en"])
def test_no_label_is_an_id(language: str) -> None:
    assert [each for each in group_of_texts(language, "labels").values() if "_" in each or not each.strip()] == []
