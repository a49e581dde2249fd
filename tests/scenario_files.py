"""Reads the scenarios in the trade's words that lie in tests/scenarios/: floors, and what must be said of each.

`bases.yaml` holds facts that many scenarios share. Every other file holds `scenarios`, `twins` or both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from advisor.facts.case import Case, read_fact
from advisor.model.contradictions import contradicted
from advisor.model.entry import Texts
from advisor.model.knowledge import RuleBase
from advisor.rulebase.documents import read_document

FOLDER = Path(__file__).parent / "scenarios"


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Scenario(Part):
    """A floor, and what must hold of the answer; what is left out is not asked."""

    name: str
    on: Texts = ()  # bases, each over the ones before it
    given: dict[str, str] = {}
    source: Texts = ()
    answer: str = ""
    recommended: str = ""
    leads: str = ""
    ruled_out: Texts = ()
    allowed: Texts = ()
    asks_first: dict[str, Texts] = {}  # by finish the needs that come first
    asks_not: dict[str, Texts] = {}
    holds: Texts = ()
    warns: Texts = ()
    warns_not: Texts = ()
    refers: Texts = ()
    refers_not: Texts = ()
    because_of: Texts = ()
    not_because_of: Texts = ()


class Twins(Part):
    """One floor thrice: just under, at, and just over a published limit; and on which of them a rule fires."""

    limit: str  # a named limit, or finish.PROPERTY
    source: Texts
    fact: str
    under: str
    at: str
    over: str
    rule: str
    fires: Texts  # of under, at, over
    compared: str = ""  # the fact compared with the limit, where it is worked out from `fact`
    finish: str = ""  # the finish judged
    on: Texts = ()
    given: dict[str, str] = {}

    @property
    def name(self) -> str:
        about = f" {self.finish}" if self.finish else ""
        return f"{self.rule}{about}: {self.fact} about {self.limit}"

    def values(self) -> dict[str, str]:
        return {"under": self.under, "at": self.at, "over": self.over}


class File(Part):
    bases: dict[str, dict[str, str]] = {}
    scenarios: tuple[Scenario, ...] = ()
    twins: tuple[Twins, ...] = Field(default=())


@dataclass(frozen=True)
class Shelf:
    """All files together."""

    bases: Mapping[str, Mapping[str, str]]
    scenarios: tuple[Scenario, ...]
    twins: tuple[Twins, ...]

    def case(self, base: RuleBase, on: tuple[str, ...], given: Mapping[str, str], name: str) -> Case:
        """The floor as a case; a contradiction or an unknown fact is an error of the scenario."""
        texts: dict[str, str] = {}
        for each in on:
            texts |= self.bases[each]
        texts |= given
        facts = {fact: read_fact(base, fact, text, name) for fact, text in texts.items()}
        assert not contradicted(base, facts), f"{name}: {contradicted(base, facts)}"
        return Case(name, "", facts)

    def cases(self, base: RuleBase) -> dict[str, Case]:
        """Every floor of every scenario and twin."""
        found = {each.name: self.case(base, each.on, each.given, each.name) for each in self.scenarios}
        for twins in self.twins:
            for side, value in twins.values().items():
                name = f"{twins.name}, {side}"
                found[name] = self.case(base, twins.on, {**twins.given, twins.fact: value}, name)
        return found


@cache
def shelf() -> Shelf:
    """Read all files once."""
    bases: dict[str, dict[str, str]] = {}
    scenarios: list[Scenario] = []
    twins: list[Twins] = []
    for path in sorted(FOLDER.glob("*.yaml")):
        content: Any = read_document(path).content
        file = File.model_validate(content)
        bases |= file.bases
        scenarios += file.scenarios
        twins += file.twins
    names = [each.name for each in (*scenarios, *twins)]
    assert len(names) == len(set(names)), "two scenarios of one name"
    return Shelf(bases, tuple(scenarios), tuple(twins))
