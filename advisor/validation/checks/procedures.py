"""What procedures must satisfy: names that exist, amounts in the material's unit, steps in a possible order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.model.materials import BASES, Spots, Use
from advisor.model.procedures import ComesFirst, Procedure, Task, Upkeep
from advisor.physics.bounds import Interval
from advisor.validation.checks.known import is_known
from explanations.wording import wording

NOTHING = Interval(0.0, 0.0)
Where = Callable[..., str]


def check_procedures(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Every fault of tasks, demands and procedures. That each finish has one is left to the tests of the rule base."""
    for name, demand in base.demands.items():
        kind = base.facts.get(demand.experience)
        allowed = {*kind.choices, "unknown"} if kind else {"any"}
        for grade in (demand.some, demand.much):
            if (demand.experience and kind is None) or set(grade) != allowed:
                what = wording("rules.work.judgements", demand=name)
                yield Fault(where("demands", name), what, ", ".join(sorted(allowed)))
    for name, first in base.comes_first.items():
        yield from _check_first(base, name, first, where("comes_first", name))
    for name, spots in base.spots.items():
        yield from _check_spots(base, name, spots, where("spots", name))
    for name in base.edges:
        yield from is_known(name, base.facts, "fact", where("edges", name))
    for name, material in base.materials.items():
        for caution in (*material.against, *material.brings):
            yield from is_known(caution, base.cautions, "caution", where("materials", name))
        if material.against and not (material.unit == "each" and material.kind == "protection" and material.source):
            what = wording("rules.work.worn", material=name)
            yield Fault(where("materials", name), what, wording("rules.work.worn_allowed"))
    for name, substance in base.substances.items():
        for caution in substance.cautions:
            yield from is_known(caution, base.cautions, "caution", where("substances", name))
    for name, task in base.tasks.items():
        yield from _check_task(base, task, where("tasks", name))
    taken: dict[str, str] = {}
    for name, procedure in base.procedures.items():
        at = where("procedures", name)
        for finish in procedure.finishes:
            yield from is_known(finish, base.finishes, "finish", at)
            if finish in taken:
                what = wording("rules.work.two_procedures", finish=finish, other=taken[finish])
                yield Fault(at, what, wording("rules.work.two_procedures_allowed"))
            taken[finish] = name
        yield from _check_procedure(base, procedure, at)


def _check_first(base: RuleBase, name: str, first: ComesFirst, at: str) -> Iterator[Fault]:
    yield from is_known(name, base.needs, "need", at)
    yield from _check_uses(base, first.uses, at)
    for task in first.steps:
        yield from is_known(task, base.tasks, "task", at)
    for fact in filter(None, (first.since, first.by_calculation)):
        yield from is_known(fact, base.facts, "fact", at)
        if fact in base.facts and base.facts[fact].unit != "day":
            yield Fault(at, wording("rules.work.no_days", fact=fact), wording("rules.work.no_days_allowed"))
    kind, _, named = first.until.partition(".")
    if kind == "finish":
        yield from is_known(named, base.properties, "property", at)
    elif kind:
        yield from is_known(named if kind == "limit" else first.until, base.limits, "limit", at)


def _check_spots(base: RuleBase, name: str, spots: Spots, at: str) -> Iterator[Fault]:
    yield from is_known(name, base.facts, "fact", at)
    if spots.measured:
        yield from is_known(spots.measured, base.facts, "fact", at)
    lines = bool(spots.wide) or (spots.measured in base.facts and base.facts[spots.measured].unit == "m")
    for value in (base.facts[name].choices or ("usual",)) if name in base.facts else ():
        yield from is_known(f"{name}_{value}", base.norms, "norm", at)
        norm = base.norms.get(f"{name}_{value}")
        if lines and norm and norm.interval.high > 0 and spots.wide.get(value, NOTHING).low <= 0:
            what = wording("rules.work.no_width", fact=name, value=value)
            yield Fault(at, what, wording("rules.work.no_width_allowed"))


def _check_task(base: RuleBase, task: Task, at: str) -> Iterator[Fault]:
    for item in task.hired:
        yield from is_known(item, base.hire, "hire", at)
    if task.edge_hire and task.edge_speed is None:
        yield Fault(at, wording("rules.work.edges"), "edge_speed")
    for demand in task.demands:
        yield from is_known(demand, base.demands, "demand", at)
    for caution in task.cautions:
        yield from is_known(caution, base.cautions, "caution", at)
    yield from _check_uses(base, task.uses, at)
    for each in task.elsewhere:
        yield from _check_where(base, each.where, at)
        for name in each.without:
            yield from is_known(name, task.uses, "material_used", at)
    if task.spots:
        yield from is_known(task.spots, base.spots, "spots", at)
    if task.run_speed and not (task.spots in base.spots and base.spots[task.spots].wide):
        yield Fault(at, wording("rules.work.lines"), wording("rules.work.lines_allowed"))
    if task.pot_life and (task.speed is None or not task.together):
        yield Fault(at, wording("rules.work.pot_life"), wording("rules.work.pot_life_allowed"))
    for speed in (task.speed, task.edge_speed, task.run_speed, *(each.speed for each in task.larger)):
        if speed and speed.low <= 0:
            yield Fault(at, wording("rules.work.speed"))
    if task.people.least > task.people.most:
        yield Fault(at, wording("rules.work.people"), wording("rules.work.people_allowed"))


def _check_procedure(base: RuleBase, procedure: Procedure, at: str) -> Iterator[Fault]:
    yield from is_known(f"fills_{procedure.profile}", base.norms, "norm", at)
    before: set[str] = set()
    for step in procedure.steps:
        yield from is_known(step.do, base.tasks, "task", at)
        yield from _check_uses(base, step.uses, at)
        if step.id in before:
            what = wording("rules.work.step_twice", step=step.id)
            yield Fault(at, what, wording("rules.work.step_twice_allowed"))
        for other in (*step.after, *((step.alongside,) if step.alongside else ())):
            if other not in before:
                yield Fault(at, wording("rules.work.no_step", step=step.id, other=other))
        yield from _check_where(base, step.where, at)
        for fact, limit in step.above.items():
            yield from is_known(fact, base.facts, "fact", at)
            yield from is_known(limit, base.limits, "limit", at)
            if fact in base.facts and base.facts[fact].type != "number":
                yield Fault(at, wording("rules.work.no_number", fact=fact))
        for fact in set(step.told) - set(step.where):
            what = wording("rules.work.told", step=step.id, fact=fact)
            yield Fault(at, what, ", ".join(step.where))
        before.add(step.id)
    for upkeep in procedure.upkeep:
        yield from _check_upkeep(base, upkeep, at)


def _check_where(base: RuleBase, where: Mapping[str, Collection[str]], at: str) -> Iterator[Fault]:
    for fact, values in where.items():
        yield from is_known(fact, base.facts, "fact", at)
        for value in set(values) - set(base.facts[fact].choices if fact in base.facts else values):
            what = wording("rules.no_value", value=value, fact=fact)
            yield Fault(at, what, ", ".join(base.facts[fact].choices))


def _check_upkeep(base: RuleBase, upkeep: Upkeep, at: str) -> Iterator[Fault]:
    yield from is_known(upkeep.do, base.tasks, "task", at)
    if upkeep.do in base.tasks and base.tasks[upkeep.do].kind != "upkeep":
        yield Fault(at, wording("rules.work.no_upkeep", task=upkeep.do))
    yield from _check_uses(base, upkeep.uses, at)


def _check_uses(base: RuleBase, uses: Mapping[str, Use], at: str) -> Iterator[Fault]:
    for name, use in uses.items():
        yield from is_known(name, base.materials, "material", at)
        if name in base.materials and base.materials[name].unit not in BASES[use.basis]:
            unit = base.materials[name].unit
            fitting = ", ".join(basis for basis, units in BASES.items() if unit in units)
            what = wording("rules.work.basis", material=name, unit=unit, basis=use.basis)
            yield Fault(at, what, fitting)
        if use.share:
            yield from is_known(use.share, base.spots, "spots", at)
        if use.deep:
            yield from is_known(use.deep, base.facts, "fact", at)
