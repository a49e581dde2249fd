"""A rule base read with the figures that its finishes have in another: another product, another limit."""

from __future__ import annotations

from advisor.model.finishes import Finish, PropertyValue
from advisor.model.grounding import ground_one, laid_over
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Program
from advisor.validation.safeguards import keeps_from_harm


def with_figures_of(below: RuleBase, above: RuleBase) -> RuleBase:
    """The rule base below, its finishes with the figures that they have above: another product, another limit."""
    finishes = {name: _figured(finish, above.finishes[name]) for name, finish in below.finishes.items()}
    return below.model_copy(update={"finishes": finishes}) if finishes != below.finishes else below


def _figured(finish: Finish, now: Finish) -> Finish:
    def value(name: str, before: PropertyValue) -> PropertyValue:
        after = now.properties[name]
        return after if before.interval is not None and after.interval is not None else before

    values = {name: value(name, before) for name, before in finish.properties.items()}
    return finish.model_copy(update={"properties": values})


def owed_program(below: RuleBase, above: RuleBase) -> Program:
    """The rules below as what lies above must keep them: only those that keep from harm with the figures from below."""
    figured = with_figures_of(below, above)
    if figured is not below:
        laid_over(below, figured)
    rules: list[GroundRule] = []
    for rule in below.rules.values():
        rules += ground_one(below if keeps_from_harm(below, rule) else figured, rule)
    return Program(tuple(rules), {})
