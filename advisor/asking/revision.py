"""Revising an answer: what was believed, what is new, what falls, what stands, and what comes back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from advisor.answer.ranking import weights
from advisor.answer.shifting import Reasoned, Turner, turners
from advisor.asking.advice import advise
from advisor.asking.typed_answers import say_typed
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice, Unused
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.standing import FinishStanding, Reason
from explanations.trace import Firing
from explanations.wording import wording

Change = Literal["fell", "came back", "stands", "stays out"]


@dataclass(frozen=True)
class FactChange:
    """A fact that is believed otherwise now, as it was and is said; `unknown` where nothing was or is believed."""

    fact: str
    was: str
    now: str


@dataclass(frozen=True)
class FinishChange:
    """What became of one finish: its standings before and after, and reasons and conditions that came or went."""

    finish: str
    change: Change
    before: FinishStanding
    after: FinishStanding

    @property
    def why(self) -> tuple[Reason, ...]:
        """Of one that fell, what rules it out now; of one that came back, what ruled it out before."""
        if self.change == "fell":
            return self.after.ruled_out_by
        return self.before.ruled_out_by if self.change == "came back" else ()

    @property
    def conditions_gone(self) -> tuple[str, ...]:
        """Needs that come first no more."""
        still = {each.need for each in self.after.first}
        return tuple(each.need for each in self.before.first if each.need not in still)

    @property
    def conditions_new(self) -> tuple[str, ...]:
        """Needs that came first not before."""
        had = {each.need for each in self.before.first}
        return tuple(each.need for each in self.after.first if each.need not in had)


@dataclass(frozen=True)
class Revision:
    """Two answers for one floor, the difference between them, and what of it turns the one into the other."""

    case: Case
    before: Advice
    after: Advice
    facts: tuple[FactChange, ...]
    finishes: tuple[FinishChange, ...]
    turned_by: tuple[Turner, ...] = ()

    def which(self, change: Change) -> tuple[FinishChange, ...]:
        """The finishes to which this happened, best first by the new answer."""
        return tuple(each for each in self.finishes if each.change == change)

    @property
    def otherwise_out(self) -> tuple[tuple[FinishChange, tuple[Reason, ...]], ...]:
        """The finishes that stay ruled out, but by other rules than before, with those."""
        found = []
        for each in self.which("stays out"):
            was = {reason.rule for reason in each.before.ruled_out_by}
            if not was & {reason.rule for reason in each.after.ruled_out_by}:
                found.append((each, each.after.ruled_out_by))
        return tuple(found)

    @property
    def no_longer(self) -> tuple[Firing, ...]:
        """What was concluded about the floor and is no more."""
        return _less(self.before, self.after)

    @property
    def new(self) -> tuple[Firing, ...]:
        """What is concluded about the floor now and was not."""
        return _less(self.after, self.before)

    @property
    def stated(self) -> frozenset[str]:
        """The facts that are stated now."""
        return frozenset(name for name, value in self.case.facts.items() if value.known)

    @property
    def set_aside(self) -> tuple[Unused, ...]:
        """What was said and the new answer does not rest on."""
        return self.after.set_aside


def revise(reasoner: Reasoner, case: Case, said: Iterable[str], today: date | None = None) -> Revision:
    """Answer anew with facts added, changed or withdrawn.

    Args:
        reasoner: a rule base made ready.
        case: the floor as it was.
        said: each `FACT=VALUE`, the value perhaps with `on DATE` and `by NAME`; `unknown` withdraws it.
        today: the date against which tests age; the current one if not given.

    Raises:
        BadCase: with every fault found.
    """
    today, base = today or date.today(), reasoner.base
    after_case = say_typed(base, case, said, today)
    return compared(base, case, advise(reasoner, case, today), after_case, advise(reasoner, after_case, today))


def compared(base: RuleBase, case: Case, before: Advice, after_case: Case, after: Advice) -> Revision:
    """The difference between two answers, and the floors that they are for."""
    was = {each.finish: each for each in before.standings}
    finishes = (FinishChange(s.finish, _change(was[s.finish], s), was[s.finish], s) for s in after.standings)
    turned = turned_between((base, case, before), (base, after_case, after))
    return Revision(after_case, before, after, tuple(_fact_changes(base, case, after_case)), tuple(finishes), turned)


def turned_between(before: tuple[RuleBase, Case, Advice], after: tuple[RuleBase, Case, Advice]) -> tuple[Turner, ...]:
    """What turns one answer into another, each by a rule base, for a floor."""
    one, other = (
        Reasoned(advice.trace, weights(base, working_memory(base, case.facts, finishes=False)), tuple(base.finishes))
        for base, case, advice in (before, after)
    )
    return turners(after[0], one, other)


def _fact_changes(base: RuleBase, before: Case, after: Case) -> Iterator[FactChange]:
    for name in base.facts:
        change = FactChange(name, _believed(before, name), _believed(after, name))
        if change.was != change.now or _source(before, name) != _source(after, name):
            yield change


def _believed(case: Case, name: str) -> str:
    value = case.facts.get(name)
    if value and value.known:
        return value.shown
    aside = any(name in each.facts for each in case.set_aside)
    if aside and name in case.stated:
        return wording("asking.revised.set_aside", text=case.stated[name].text)
    return UNKNOWN


def _source(case: Case, name: str) -> str:
    return case.stated[name].source if name in case.stated else ""


def _change(before: FinishStanding, after: FinishStanding) -> Change:
    was, now = before.verdict == "ruled out", after.verdict == "ruled out"
    changes: Mapping[tuple[bool, bool], Change] = {
        (False, True): "fell",
        (True, False): "came back",
        (False, False): "stands",
        (True, True): "stays out",
    }
    return changes[was, now]


def _less(one: Advice, other: Advice) -> tuple[Firing, ...]:
    """Firings about the floor in the one and not in the other, each with something that the answer shows or uses."""
    there = {firing.rule for firing in other.trace.firings if not firing.finish}
    return tuple(firing for firing in one.trace.firings if not firing.finish and firing.rule not in there)
