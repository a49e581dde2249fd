"""The facts that a case may state, and those worked out from them, as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from advisor.facts.case import describe_allowed
from advisor.model.knowledge import RuleBase
from advisor.model.published import Part, Published
from advisor.model.vocabulary import FactKind
from advisor.reference.glossary import known_facts


class FactListed(Part):
    """A fact: what is asked, what it may be, how to find out, why it matters."""

    fact: str
    type: str
    unit: str = Field(description="In which a bare number is read and kept; empty where it has none.")
    ask: str = Field(description="Empty where it is only worked out.")
    allowed: str = Field(description="In one line, with the units that are read.")
    choices: tuple[str, ...]
    plausible: tuple[float, float] | None = Field(description="The range of a number, in the unit; none for a choice.")
    find_out: str
    why: str
    worked_out_from: tuple[str, ...] = Field(description="Where nobody states it.")


class FactList(Published):
    """The vocabulary as data."""

    format: Literal["slab-finish-facts/1"] = "slab-finish-facts/1"
    facts: tuple[FactListed, ...]


def fact_list(base: RuleBase, names: Iterable[str]) -> FactList:
    """All facts, or those named.

    Raises:
        BadCase: a name is not in the vocabulary.
    """
    return FactList(facts=tuple(_listed(base, name, kind) for name, kind in known_facts(base, names).items()))


def _listed(base: RuleBase, name: str, kind: FactKind) -> FactListed:
    span = kind.plausible if kind.type == "number" else None
    return FactListed(
        fact=name,
        type=kind.type,
        unit=kind.unit or "",
        ask=kind.ask or "",
        allowed=describe_allowed(base, kind),
        choices=tuple(kind.choices),
        plausible=(span.low, span.high) if span else None,
        find_out=kind.find_out,
        why=kind.why,
        worked_out_from=tuple(kind.computed.inputs) if kind.computed else (),
    )
