"""What an overlay may not do: take away or weaken what protects people.

Entries are held against themselves before and after: which words stand, what may only grow (`kept_entries`). Then the
rules: each protected rule is compared as ground rules, so that it does not matter whether the rule, a limit, a finish
or a property was replaced. Where one no longer stands as it did, the every-case reading is asked whether some floor
loses what it concluded; so too for the work with each finish (`audit.no_weaker`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING

from advisor.errors import Fault
from advisor.model.grounding import ground_one
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule
from advisor.model.rules import Rule
from advisor.model.values import Value
from advisor.validation.figures import owed_program
from advisor.validation.implied import implies
from advisor.validation.kept_entries import Where, lost_entries
from advisor.validation.safeguards import guards, is_owed, limits_of, protected_rules
from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.validation.audit.no_weaker import NoWeaker


def weakened(below: RuleBase, above: RuleBase, where: Where) -> list[Fault]:
    """What an overlay takes away of the safeguards beneath it.

    Args:
        below: the rule base without the overlay, sound in itself.
        above: the rule base with it, sound in itself.
        where: gives file and line of an entry of the upper one.
    """
    faults = list(dict.fromkeys(lost_entries(below, above, where)))
    compared = _Compared(below, above)
    lost: dict[str, Fault] = {}
    for rule, finish, floor in compared.lost(unproved=bool(faults)):
        section, name = _culprit(below, above, rule, finish)
        what = wording("overlays.weaker_for" if finish else "overlays.weaker", rule=rule.id, entry=name, finish=finish)
        lost.setdefault(rule.id, Fault(where(section, name), what, _shown(floor), wording("overlays.instead")))
    faults += lost.values()
    return faults if faults else list(_lost_work(compared, where))


class _Compared:
    """The two rule bases, and the prover once it is needed: z3 takes a while to load."""

    def __init__(self, below: RuleBase, above: RuleBase) -> None:
        self.below, self.above = below, above
        self.owed = owed_program(below, above)

    @cached_property
    def prover(self) -> NoWeaker:
        """The every-case reading of both."""
        from advisor.validation.audit.no_weaker import NoWeaker

        return NoWeaker(self.below, self.above, self.owed)

    def lost(self, unproved: bool) -> Iterator[tuple[Rule, str, dict[str, Value] | None]]:
        """The protected rules that no longer conclude all they did, for which finish (or "" for the floor), and where.

        Args:
            unproved: take what no longer stands as it did for lost, without a floor.
        """
        protected = {rule.id: rule for rule in protected_rules(self.below, guards)}
        builds_on = {fact for rule in protected.values() for fact in rule.when}
        kept = {name: ground_one(self.above, self.above.rules[name]) for name in protected}
        for form in (each for each in self.owed.rules if each.rule in protected):
            rule = protected[form.rule]
            for finish in form.finishes or ("",):
                about = [c for c in form.conclusions if c.finish in ("", finish)]
                owed = {c for c in about if is_owed(self.below, rule, c, builds_on)}
                if any(owed <= {*now.conclusions} and implies(form.patterns, now.patterns) for now in kept[rule.id]):
                    continue
                if unproved:
                    yield rule, finish, None
                elif (floor := self._floor(form, owed)) is not None:
                    yield rule, finish, floor

    def _floor(self, form: GroundRule, owed: Iterable[Conclusion]) -> dict[str, Value] | None:
        floors = (self.prover.floor_that_loses(form, conclusion) for conclusion in owed)
        return next((floor for floor in floors if floor is not None), None)


def _lost_work(compared: _Compared, where: Where) -> Iterator[Fault]:
    """What the work with a finish no longer warns of, or has people wear; a finish whose work nobody knows."""
    below, above = compared.below, compared.above
    made = {finish: name for name, each in above.procedures.items() for finish in each.finishes}
    was = {finish: name for name, each in below.procedures.items() for finish in each.finishes}
    for finish in above.finishes:
        if finish not in made and (finish in was or finish not in below.finishes):
            section, entry = ("procedures", was[finish]) if finish in was else ("finishes", finish)
            remedy = wording("overlays.state_its_work", finish=finish)
            yield Fault(where(section, entry), wording("overlays.no_work", finish=finish), remedy=remedy)
        elif finish in was and _work(below, was[finish]) != _work(above, made[finish]):
            for (kind, name, _), floor in compared.prover.work_that_loses(finish):
                what = wording(f"overlays.lost.{kind}", finish=finish, name=name)
                yield Fault(where("procedures", made[finish]), what, _shown(floor), wording("overlays.instead"))


def _work(base: RuleBase, procedure: str) -> list[object]:
    """All that a procedure's hazards and protective gear rest on."""
    steps, upkeep = base.procedures[procedure].steps, base.procedures[procedure].upkeep
    return [steps, upkeep, [base.tasks[each.do] for each in steps], [base.tasks[each.do] for each in upkeep]]


def _shown(floor: dict[str, Value] | None) -> str:
    if floor is None:
        return ""
    facts = ", ".join(f"{name} {value.shown}" for name, value in floor.items() if "@" not in name)
    return wording("overlays.on_this_floor", facts=facts or "-")


def _culprit(below: RuleBase, above: RuleBase, rule: Rule, finish: str) -> tuple[str, str]:
    """The replaced entry that weakened the rule: the rule itself, or else what it compares with."""
    candidates = [("rules", rule.id), *(("limits", name) for name in limits_of(rule))]
    candidates += [("finishes", finish)] if finish else []
    candidates += [("findings", name) for name in (*rule.when, *rule.then.finding) if name in below.findings]
    candidates += [("properties", name) for name in below.properties]
    candidates += [("facts", name) for name in rule.when if name in below.facts]
    changed = [(s, n) for s, n in candidates if getattr(below, s).get(n) != getattr(above, s).get(n)]
    return changed[0] if changed else ("rules", rule.id)
