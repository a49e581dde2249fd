"""Facts that were stated and that the answer does not rest on: tests out of date, and facts in contradiction.

They are taken as unknown, which is never "no": the rules that guard against the unknown apply to them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement, out_of_date
from advisor.model.contradictions import clashes
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import show_number
from advisor.model.values import Value, unknown
from explanations.wording import label, wording


@dataclass(frozen=True)
class SetAside:
    """Facts not reasoned from: which, why, what would explain it, what would decide, and hazards meanwhile."""

    facts: tuple[str, ...]
    says: str
    explanations: tuple[str, ...] = ()
    test: str = ""
    cautions: tuple[str, ...] = ()


def outdated(
    base: RuleBase, stated: Mapping[str, Statement], facts: Mapping[str, Value], today: date
) -> Iterator[SetAside]:
    """The tests that are older than they count for."""
    for name, statement in stated.items():
        kind = base.facts[name]
        aged = out_of_date(kind, statement.on, today) if facts[name].known else None
        if aged:
            says = wording(
                "facts.out_of_date",
                fact=label("fact", name),
                value=facts[name].shown,
                date=statement.on,
                age=aged.age,
                most=show_number(aged.counts_for),
            )
            yield SetAside((name,), says, test=kind.find_out)


def doubts(base: RuleBase, facts: Mapping[str, Value]) -> list[SetAside]:
    """What was stated together and hardly goes together."""
    soft = clashes(base, soft=True)
    memory = working_memory(base, facts, finishes=False) if soft else {}
    found = []
    for name, clash in soft.items():
        if clash.holds(memory):
            contradiction = base.contradictions[name]
            names = _given(base, memory, clash.asserted)
            shown = "; ".join(f"{label('fact', name)}: {memory[name].shown}" for name in names)
            found.append(
                SetAside(
                    names,
                    wording("facts.contradiction", says=contradiction.says, stated=shown),
                    contradiction.explanations,
                    contradiction.test or "",
                    contradiction.caution,
                )
            )
    return found


def without(base: RuleBase, facts: Mapping[str, Value], aside: Iterable[SetAside]) -> dict[str, Value]:
    """The facts, with what was set aside unknown."""
    return {**facts, **{name: unknown(base.facts[name]) for each in aside for name in each.facts}}


def _given(base: RuleBase, memory: Mapping[str, Value], names: Sequence[str]) -> tuple[str, ...]:
    """These facts as far as they were given, and for one that was worked out what it was worked out from."""
    found: dict[str, None] = {}
    for name in names:
        inner = memory[name].inputs if memory[name].origin == "computed" else (name,)
        found.update(dict.fromkeys(each for each in inner if memory[each].origin == "given"))
    return tuple(name for name in base.facts if name in found)
