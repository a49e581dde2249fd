"""Findings of an audit as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from advisor.model.published import Part, Published
from advisor.validation.audit.search import Break, Finding, Outcome


class BrokenBy(Part):
    """A floor that breaks a claim."""

    what: str
    real: bool = Field(
        description="Whether inputs were found that make its computed facts so; else it decides nothing."
    )
    facts: dict[str, str]
    then: str = Field(description="What differs on a second floor; empty where one floor breaks it.")


class ClaimExamined(Part):
    """What became of one claim."""

    claim: str
    says: str
    outcome: Outcome
    abstraction: str = Field(description="What the proof leaves open, in a sentence.")
    questions: int = Field(description="Put to the prover.")
    breaks: tuple[BrokenBy, ...]


class Audit(Published):
    """What became of the claims about every floor."""

    format: Literal["slab-finish-audit/1"] = "slab-finish-audit/1"
    findings: tuple[ClaimExamined, ...]


def audit_record(findings: Iterable[Finding]) -> Audit:
    """The findings as data."""
    return Audit(
        findings=tuple(
            ClaimExamined(
                claim=each.claim,
                says=each.says,
                outcome=each.outcome,
                abstraction=each.abstraction,
                questions=each.questions,
                breaks=tuple(map(_broken, each.breaks)),
            )
            for each in findings
        )
    )


def _broken(each: Break) -> BrokenBy:
    facts = {name: value.shown for name, value in each.floor.items()}
    return BrokenBy(what=each.what, real=each.real, facts=facts, then=each.then)
