"""What a rule base concludes just as the one beneath it does: what is proved of that there needs no second proof.

A question to z3 about some conclusions is made of the rules that draw them, of the findings and facts beneath, and of
the contradictions among facts. Where all these are the same in two rule bases, so is the question, and its answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TypeAlias

from advisor.engines.smt import EveryCase
from advisor.engines.smt_logic import Logic
from advisor.model.contradictions import clashes
from advisor.model.program import Conclusion, GroundRule, Pattern, unbound

Body: TypeAlias = frozenset["Pattern | tuple[Pattern, Bodies]"]  # a finding stands with all that concludes it
Bodies: TypeAlias = frozenset[tuple[str, Body]]  # with the rule's id


class Alike:
    """Two rule bases made ready to be compared, the one above laid over the one below."""

    def __init__(self, below: EveryCase, above: EveryCase) -> None:
        self.below, self.above = below, above
        self._under, self._over = _Meaning(below.logic), _Meaning(above.logic)
        self._facts: dict[str, bool] = {}

    def has_rule(self, rule: str) -> bool:
        """Whether all that a rule below concludes, it concludes above where it did below."""
        kept = {(self._over.body(form), each) for form in self.above.forms(rule) for each in form.conclusions}
        forms = self.below.forms(rule)
        owed = {(self._under.body(form), each) for form in forms for each in form.conclusions}
        return bool(owed) and owed <= kept and self._same_facts(self.below.logic.cone(forms))

    def concluded(self, rule: str) -> set[Conclusion]:
        """What a rule concludes below."""
        return {each for form in self.below.forms(rule) for each in form.conclusions}

    def draws(self, conclusions: Iterable[Conclusion]) -> bool:
        """Whether each of some conclusions is drawn where it is drawn below, by the same rules."""
        logic = self.above.logic
        return all(
            self._under.drawing(each) == self._over.drawing(each) and self._same_facts(logic.cone(logic.drawing(each)))
            for each in conclusions
        )

    def _same_facts(self, names: Iterable[str]) -> bool:
        """Whether facts, and what they are worked out from, can be what they can be below."""
        return self._same_clashes and all(map(self._same_fact, self.above.vocabulary.beneath(names)))

    @cached_property
    def _same_clashes(self) -> bool:
        return clashes(self.below.base, soft=False) == clashes(self.above.base, soft=False)

    def _same_fact(self, name: str) -> bool:
        if name not in self._facts:
            self._facts[name] = self._is_same(name)
        return self._facts[name]

    def _is_same(self, name: str) -> bool:
        below, above = self.below.base, self.above.base
        fact, finish = unbound(name)
        if below.facts.get(fact) != above.facts[fact]:
            return False
        if above.facts[fact].computed is None:
            return True
        read = self.above.vocabulary.formula(name).properties
        was, now = below.finishes.get(finish), above.finishes.get(finish)
        if finish and read is not None and was and now:
            return below.norms == above.norms and all(was.properties[p] == now.properties[p] for p in read)
        return below.norms == above.norms and was == now


class _Meaning:
    """Ground rules by what they rest on: patterns over facts, and findings with all that concludes them."""

    def __init__(self, logic: Logic) -> None:
        self._logic = logic
        self._found: dict[str, Bodies] = {}

    def drawing(self, conclusion: Conclusion) -> Bodies:
        """All that draws a conclusion."""
        return self._bodies(self._logic.drawing(conclusion))

    def body(self, rule: GroundRule) -> Body:
        """When a rule fires."""
        facts = self._logic.terms
        return frozenset(p if p.fact in facts else (p, self._concluding(p.fact)) for p in rule.patterns)

    def _concluding(self, finding: str) -> Bodies:
        if finding not in self._found:
            self._found[finding] = self._bodies(self._logic.finding(finding))
        return self._found[finding]

    def _bodies(self, rules: Iterable[GroundRule]) -> Bodies:
        return frozenset((rule.rule, self.body(rule)) for rule in rules)
