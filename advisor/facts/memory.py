"""Working memory: every fact that the reasoning starts from, completed from what a case states."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.facts.computing import compute
from advisor.facts.formulas import FORMULAS
from advisor.model.knowledge import RuleBase
from advisor.model.program import bound
from advisor.model.quantities import read_quantity
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import FactKind


def working_memory(
    base: RuleBase, given: Mapping[str, Value], like: Mapping[str, Value] | None = None, finishes: bool = True
) -> dict[str, Value]:
    """All facts of the floor, and of each finish on it: given, assumed, computed or unknown.

    Args:
        base: the rule base, for the vocabulary and the finishes.
        given: the facts that the case states.
        like: the working memory of another floor; what is computed from the same inputs is taken over from it.
        finishes: whether what is about a finish is wanted too, most of the work.
    """
    stated = {name: value for name, value in given.items() if value.known}
    facts = {name: stated.get(name) or _unstated(kind) for name, kind in base.facts.items() if kind.of == "floor"}
    for name, kind in base.facts.items():
        if kind.computed is None or name in stated:
            continue
        if kind.of == "floor":
            facts[name] = _same(kind, name, facts, like) or compute(base, name, facts)
        elif finishes:
            formula, alike = FORMULAS[kind.computed.by], {}
            for finish in base.finishes.values():
                about, read = bound(name, finish.id), formula.reads(finish)
                if read not in alike:
                    alike[read] = _same(kind, about, facts, like) or compute(base, name, facts, finish)
                facts[about] = alike[read]
    return facts


def _same(kind: FactKind, name: str, facts: Mapping[str, Value], like: Mapping[str, Value] | None) -> Value | None:
    """The value in another working memory, if it was computed there, and from the same inputs."""
    if like is None or kind.computed is None or like[name].origin == "given":
        return None
    return like[name] if all(like[each] == facts[each] for each in kind.computed.inputs) else None


def _unstated(kind: FactKind) -> Value:
    if kind.assume is None:
        return unknown(kind)
    note = f"{kind.assume.note} ({kind.assume.source})"
    if kind.type != "number":
        return choice(kind.assume.given, "assumed", note)
    interval = read_quantity(kind.assume.given, kind.unit, kind.plausible)
    return number(interval, kind.unit, "assumed", note=note)
