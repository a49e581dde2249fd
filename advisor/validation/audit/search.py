"""One claim's search for a floor that breaks it, and what became of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from advisor.engines.columns import Columns, Flags
from advisor.engines.many_cases import Firing
from advisor.engines.smt import EveryCase, Goal
from advisor.engines.smt_terms import Bool
from advisor.model.grounding import ground_one, judged
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule, Pattern
from advisor.model.rules import Claim, Rule
from advisor.model.values import Value
from advisor.validation.audit.alike import Alike
from explanations.wording import wording

Outcome = Literal["proved", "refuted", "open"]


@dataclass(frozen=True)
class Break:
    """A floor that breaks a claim: what is broken there, its stated facts, and what differs on a second floor."""

    what: str
    floor: Mapping[str, Value]
    real: bool = True
    then: str = ""


@dataclass(frozen=True)
class Finding:
    """What became of one claim."""

    claim: str
    says: str
    outcome: Outcome
    breaks: tuple[Break, ...]
    questions: int  # put to z3
    seconds: float
    free: tuple[str, ...]  # computed facts that were left free
    held: str = ""  # what of them was held all the same

    @property
    def abstraction(self) -> str:
        """What the proof leaves open, in one sentence."""
        if not self.free:
            return wording("audit.exact")
        free = wording("audit.free", facts=", ".join(self.free))
        return f"{free} {self.held}".rstrip()


@dataclass
class Search:
    """The state of one claim's search."""

    every: EveryCase
    claim: Claim
    read_in: Sequence[RuleBase] = ()  # whose finishes and limits the claim is about; left out: the rule base's own
    below: Alike | None = None  # the rule base beneath, of which the claim is proved: what is alike there is not asked
    breaks: list[Break] = field(default_factory=list)
    questions: int = 0
    facts: set[str] = field(default_factory=set)
    free: set[str] = field(default_factory=set)  # computed facts that were left free, though z3 could work them out
    held: str = ""  # what of computed facts is held, in a sentence

    @property
    def readings(self) -> Sequence[RuleBase]:
        """The rule bases in which the claim is read: what it says must be so in each."""
        return self.read_in or (self.every.base,)

    def finishes(self) -> list[str]:
        """The finishes that the claim is about."""
        rule = as_rule(self.claim)
        return list(dict.fromkeys(finish.id for base in self.readings for finish in judged(base, rule)))

    def ask(self, what: str, condition: Bool, facts: Iterable[str], goal: Goal | None = None) -> bool:
        """Look for a floor that meets a condition; note it as a break. True if there is none."""
        names = set(facts)
        self.questions += 1
        self.facts |= names
        found = self.every.floor_where(condition, names)
        if found is None:
            return True
        self.note(what, found, names, goal)
        return False

    def note(
        self,
        what: str,
        found: dict[str, Value],
        facts: Iterable[str],
        goal: Goal | None,
        confirm: Callable[[dict[str, Value]], bool] | None = None,
        then: str = "",
    ) -> bool:
        """Keep a floor that z3 found, made real if it can be, and as short as it can be. True if it is real."""
        if goal is None:
            real = not any(self.every.worked_out(name) for name in facts)
        else:
            floor = self.every.realised(found, facts, goal, confirm)
            real = floor is not None
            found = self.every.shrunk(floor, facts, goal, confirm) if floor is not None else found
        self.breaks.append(Break(what, found, real, then))
        return real


def forms(search: Search) -> list[GroundRule]:
    """The claim as a rule without variables, one form for each group of finishes."""
    found = (form for base in search.readings for form in ground_one(base, as_rule(search.claim)))
    return list({(form.patterns, form.conclusions): form for form in found}.values())


def as_rule(claim: Claim) -> Rule:
    """A claim's finishes, conditions and conclusions as a rule."""
    return Rule.model_construct(
        id="claims.claim", judges=claim.judges, when=claim.when, then=claim.then, because="", source=()
    )


def rules_for(every: EveryCase, conclusions: Iterable[Conclusion]) -> list[GroundRule]:
    """The ground rules that draw some conclusions."""
    found = {rule.name: rule for conclusion in conclusions for rule in every.logic.drawing(conclusion)}
    return list(found.values())


def missing(
    every: EveryCase, patterns: Iterable[Pattern], conclusions: Iterable[Conclusion], _: Columns, firing: Firing
) -> Flags:
    """The floors on which patterns hold and none of some conclusions is drawn."""
    return holding(patterns, firing) & ~drawn_any(every, conclusions, firing)


def holding(patterns: Iterable[Pattern], firing: Firing) -> Flags:
    """The floors on which patterns hold, on facts or findings."""
    met: Flags = np.logical_and.reduce([np.ones(firing.floors, np.bool), *map(firing.holding, patterns)])
    return met


def drawn_any(every: EveryCase, conclusions: Iterable[Conclusion], firing: Firing) -> Flags:
    """The floors on which at least one of some conclusions is drawn."""
    rules = [rule.name for rule in rules_for(every, conclusions)]
    drawn: Flags = np.logical_or.reduce([np.zeros(firing.floors, np.bool), *map(firing.where, rules)])
    return drawn
