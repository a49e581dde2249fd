"""Case files written for an earlier rule base are still read: names and values that changed stay as other spellings."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from advisor.facts.case import make_case
from advisor.facts.statements import Statement
from advisor.rulebase.documents import read_document
from advisor.validation.loading import load_rulebase

TABLE = Path(__file__).parent.parent / "tables" / "facts_of_0_3_0.yaml"
SAID: dict[str, Any] = read_document(TABLE).content


@pytest.mark.parametrize("fact", SAID)
def test_a_fact_of_rule_base_0_3_0_is_read_in_each_of_its_spellings(fact: str) -> None:
    base = load_rulebase()
    for given in (*SAID[fact], "unknown"):
        (name,) = make_case(base, {fact: Statement(given)}, date(2026, 11, 25)).stated
        assert name in base.facts
