"""What one fact says of another: nobody need say of a patio that it lies in the open, on the ground."""

from __future__ import annotations

from collections.abc import Container, Mapping

from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, choice
from explanations.wording import label, wording


def with_implied(base: RuleBase, facts: Mapping[str, Value], stated: Container[str]) -> dict[str, Value]:
    """The facts, with what the vocabulary's `implied_by` says of those that nobody stated.

    Args:
        base: for the vocabulary.
        facts: that are known so far.
        stated: the facts that somebody stated, `unknown` too; what is implied by others follows anew.
    """
    found = dict(facts)
    for name, kind in base.facts.items():
        for other, values in kind.implied_by.items() if name not in stated else ():
            notes = {value: _note(other, value) for value in values}
            if name in found and found[name].note in notes.values():  # it followed from what was said before
                del found[name]
            said = found[other].choice if other in found and found[other].known else ""
            if said in values and not (name in found and found[name].known):
                found[name] = choice(values[said], note=notes[said])
    return found


def followed(base: RuleBase, facts: Mapping[str, Value]) -> set[str]:
    """The facts that nobody stated: they followed from what others say of them."""
    return {
        name
        for name, value in facts.items()
        for other, values in base.facts[name].implied_by.items()
        if value.note in {_note(other, each) for each in values}
    }


def _note(fact: str, value: str) -> str:
    return wording("facts.implied_by", fact=label("fact", fact), value=label("value", value))
