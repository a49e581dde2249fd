"""Which steps of a finish's procedure stand on a floor, for the hazards that they carry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from advisor.facts.values import Value
from advisor.rulebase.knowledge import UNKNOWN, RuleBase
from advisor.rulebase.procedures import Procedure, Step, Task


def needed(step: Step, facts: Mapping[str, Value]) -> bool | None:
    """True: surely; False: perhaps, for a fact is unknown; None: surely not."""
    certain = True
    for name, values in step.where.items():
        choice = facts[name].choice
        if choice == UNKNOWN:
            certain = False
        elif choice not in values:
            return None
    return certain


def standing_steps(procedure: Procedure, facts: Mapping[str, Value]) -> Iterator[Step]:
    """The steps that are or may be needed; one done alongside another falls with it."""
    left_out: set[str] = set()
    for step in procedure.steps:
        if needed(step, facts) is None or step.alongside in left_out:
            left_out.add(step.id)
        else:
            yield step


def cautions_of(base: RuleBase, task: Task, uses: Iterable[str] = ()) -> tuple[str, ...]:
    """What a step warns of: its task's cautions and those that its materials bring, of `uses` and of the task's own."""
    brought = [name for used in (*task.uses, *uses) for name in base.materials[used].brings]
    return tuple(dict.fromkeys((*task.cautions, *brought)))


def step_cautions(base: RuleBase, facts: Mapping[str, Value], finish: str) -> dict[str, list[str]]:
    """The cautions of the work of putting a finish on a floor, each with the titles of the steps that carry it."""
    found: dict[str, list[str]] = {}
    for procedure in base.procedures.values():
        if finish in procedure.finishes:
            for step in standing_steps(procedure, facts):
                task = base.tasks[step.do]
                for name in cautions_of(base, task, step.uses):
                    found.setdefault(name, []).append(step.title or task.title)
    return found
