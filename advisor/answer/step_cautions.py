"""Which steps of a finish's procedure stand on a floor, for the hazards that they carry."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from advisor.model.entry import NONNEGATIVE, UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Procedure, Step, Task
from advisor.model.quantities import read_quantity
from advisor.model.values import Value
from advisor.physics.bounds import Span


def needed(base: RuleBase, step: Step, facts: Mapping[str, Value]) -> bool | None:
    """True: surely; False: perhaps, for a fact is unknown; None: surely not."""
    if not all(facts[name].choice in step.open_to(name) for name in step.where):
        return None
    certain = all(facts[name].choice != UNKNOWN for name in step.where)
    for may, surely in above(base, step, lambda name: _told(facts[name])):
        if not may:
            return None
        certain = certain and surely
    return certain


def _told(value: Value) -> tuple[bool, Span]:
    number = value.interval if value.known else None
    return (True, Span(number.low, number.high)) if number else (False, Span(0.0, 0.0))


def most_of(base: RuleBase, fact: str, limit: str) -> float:
    """A limit in the unit of a number."""
    return read_quantity(base.limits[limit].given, base.facts[fact].unit, NONNEGATIVE).high


def above(base: RuleBase, step: Step, told: Callable[[str], tuple[Any, Span]]) -> Iterator[tuple[Any, Any]]:
    """Whether each number that a step asks for may be, and surely is, above its limit; no where nobody told it.

    Args:
        base: for the limits.
        step: one of a procedure.
        told: whether a number is known, and its ends; of one floor or of many.
    """
    for name, limit in step.above.items():
        known, number = told(name)
        most = most_of(base, name, limit)
        yield known & (number.high > most), known & (number.low > most)


def standing(procedure: Procedure, may_be_needed: Callable[[Step], Any]) -> Iterator[tuple[Step, Any]]:
    """Each step with whether (or on which floors) it stands; one done alongside another falls with it.

    Args:
        procedure: of the finish.
        may_be_needed: of a step by itself, as a truth value or as flags of many floors.
    """
    stands: dict[str, Any] = {}
    for step in procedure.steps:
        here = may_be_needed(step)
        stands[step.id] = here & stands[step.alongside] if step.alongside in stands else here
        yield step, stands[step.id]


def standing_steps(base: RuleBase, procedure: Procedure, facts: Mapping[str, Value]) -> Iterator[Step]:
    """The steps that are or may be needed on a floor."""
    return (step for step, stands in standing(procedure, lambda step: needed(base, step, facts) is not None) if stands)


def cautions_of(base: RuleBase, task: Task, uses: Iterable[str] = ()) -> tuple[str, ...]:
    """What a step warns of: its task's cautions and those that its materials bring, of `uses` and of the task's own."""
    brought = [name for used in (*task.uses, *uses) for name in base.materials[used].brings]
    return tuple(dict.fromkeys((*task.cautions, *brought)))


def step_cautions(base: RuleBase, facts: Mapping[str, Value], finish: str) -> dict[str, list[str]]:
    """The cautions of the work of putting a finish on a floor, each with the titles of the steps that carry it."""
    found: dict[str, list[str]] = {}
    for procedure in base.procedures.values():
        if finish in procedure.finishes:
            for step in standing_steps(base, procedure, facts):
                task = base.tasks[step.do]
                for name in cautions_of(base, task, step.uses):
                    found.setdefault(name, []).append(step.title or task.title)
    return found


def protection(base: RuleBase, task: Task, uses: Iterable[str] = ()) -> list[str]:
    """What each person at a step wears: by its cautions, those of its materials among them, and by what it lists."""
    cautions, used = set(cautions_of(base, task, uses)), {*task.uses, *uses}
    worn = [(name, each) for name, each in base.materials.items() if each.kind == "protection"]
    return [name for name, each in worn if name in used or set(each.against) & cautions]
