"""The rule base as a whole: every section of the files under `rules/`, and what it came from.

Plain, frozen data. `rulebase` reads it, `grounding` turns its rules into rules without variables; nothing here reasons.
The models of its sections: `vocabulary`, `finishes`, `rules`, `causes`, `opening`, `materials`, `procedures`,
`quoting`, `care`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.model.care import Care
from advisor.model.causes import Cause, Due, NotNow, Sign
from advisor.model.entry import Entry, Sources, Text, Texts, reads
from advisor.model.finishes import Finish, Product, Property, SheetEntry
from advisor.model.materials import Edge, Hire, Material, Norm, Spots
from advisor.model.opening import Opening
from advisor.model.procedures import ComesFirst, Demand, Procedure, Task
from advisor.model.quoting import AcceptanceTest, QuotedLine
from advisor.model.rules import Caution, Claim, Criterion, Finding, Limit, Need, Referral, Rule
from advisor.model.vocabulary import Change, Contradiction, Effort, FactKind, Prior
from advisor.physics.bounds import Interval


class Source(Entry):
    """Where a value or rule comes from."""

    kind: Literal[
        "regulation",
        "standard",
        "data_sheet",
        "handbook",
        "paper",
        "trade_publication",
        "common_practice",
        "from_memory",
    ]
    title: Text
    edition: str = ""
    seen: Literal["quoted", "from memory", ""] = ""


class Overlay(Entry):
    """A folder laid over the shipped rule base, and what it added and replaced, each as `section id`."""

    name: str
    version: str
    added: tuple[str, ...]
    replaced: tuple[str, ...]
    safety: tuple[str, ...] = ()  # what it changes in matters of safety, in sentences


class ExposureLimit(Entry):
    """A published limit of what may be breathed, averaged over so long; 0 h is a ceiling."""

    name: Text
    given: str = Field(alias="is")
    averaged: str
    source: Sources


class Substance(Entry):
    """What can be in the air of a room while working."""

    name: Text
    molar_mass: str = ""
    density: str = ""
    lower_explosive: str = ""
    cautions: Texts = ()  # shown wherever it is in the air
    source: Sources
    limits: tuple[ExposureLimit, ...] = ()


class Currency(Entry):
    """What one of a currency is worth in US dollars, roughly, and when it was; and how people write it."""

    names: Texts
    worth: Annotated[Interval, reads("usd")]
    of: Text
    country: str = ""  # whose readers count in it
    source: Sources


class RuleBase(Entry):
    """All sections, merged, each by id; and the fingerprint of the files it came from.

    A section added here is read from any file under its name.
    """

    facts: dict[str, FactKind] = Field(default={})
    properties: dict[str, Property] = Field(default={})
    finishes: dict[str, Finish] = Field(default={})
    limits: dict[str, Limit] = Field(default={})
    findings: dict[str, Finding] = Field(default={})
    needs: dict[str, Need] = Field(default={})
    cautions: dict[str, Caution] = Field(default={})
    referrals: dict[str, Referral] = Field(default={})
    criteria: dict[str, Criterion] = Field(default={})
    importance: dict[str, int] = Field(default={})
    contradictions: dict[str, Contradiction] = Field(default={})
    claims: dict[str, Claim] = Field(default={})
    changes: dict[str, Change] = Field(default={})
    efforts: dict[str, Effort] = Field(default={})
    priors: dict[str, Prior] = Field(default={})
    conversation: dict[str, Opening] = Field(default={})
    materials: dict[str, Material] = Field(default={})
    hire: dict[str, Hire] = Field(default={})
    demands: dict[str, Demand] = Field(default={})
    norms: dict[str, Norm] = Field(default={})
    comes_first: dict[str, ComesFirst] = Field(default={})
    spots: dict[str, Spots] = Field(default={})
    edges: dict[str, Edge] = Field(default={})
    tasks: dict[str, Task] = Field(default={})
    procedures: dict[str, Procedure] = Field(default={})
    care: dict[str, Care] = Field(default={})
    quoted: dict[str, QuotedLine] = Field(default={})
    acceptance: dict[str, AcceptanceTest] = Field(default={})
    substances: dict[str, Substance] = Field(default={})
    currencies: dict[str, Currency] = Field(default={})
    sheet: dict[str, SheetEntry] = Field(default={})
    causes: dict[str, Cause] = Field(default={})
    signs: dict[str, Sign] = Field(default={})
    not_now: dict[str, NotNow] = Field(default={})
    due: dict[str, Due] = Field(default={})
    sources: dict[str, Source] = Field(default={})
    rules: dict[str, Rule] = Field(default={})
    cause_rules: dict[str, Rule] = Field(default={})  # judge causes, by the same language; see `rulebase.causes`
    cause_claims: dict[str, Claim] = Field(default={})
    fingerprint: str = ""
    version: str = ""
    overlays: tuple[Overlay, ...] = ()
    products: tuple[Product, ...] = ()

    def product(self, finish: str) -> Product | None:
        """The product by whose data sheet a finish is; None for one of the rule base's own."""
        return next((each for each in self.products if each.finish == finish), None)
