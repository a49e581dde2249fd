"""How a product is worked, by its maker's data sheet: a copy of a finish's procedure with the sheet's own numbers.

The product is one coat of the finish, in one step or several. Only that coat's amounts, pot life and waits change, and
the times after the last coat; what its hardener brings is added to each of its steps. No step or tool is touched.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from advisor.errors import Fault
from advisor.model.finishes import SheetEntry
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import PotLife, Procedure, Step, Task, Upkeep, scaled
from advisor.physics.bounds import Interval
from advisor.physics.film import coverage
from advisor.rulebase.data_sheets import DataSheet, Said
from advisor.rulebase.rule_values import spelled
from explanations.wording import wording

UM, LITRE, MINUTES = 1e-6, 1e-3, 60.0  # in SI, and in an hour


@dataclass(frozen=True)
class Coat:
    """A material of a finish, and the steps in which it goes on."""

    material: str
    steps: tuple[Step, ...]

    @property
    def use(self) -> Use:
        """How much of it one step takes."""
        return self.steps[0].uses[self.material]

    @property
    def thickness(self) -> float:
        """Of one coat [um]; 0 for what soaks in."""
        return self.use.dry.high if self.use.dry else 0.0


class Work:
    """A procedure as one sheet changes it; what does not go with it is gathered in `faults`."""

    def __init__(self, base: RuleBase, sheet: DataSheet, variant: str, source: str) -> None:
        """Make ready.

        Args:
            base: the rule base.
            sheet: what the maker says.
            variant: the id of the finish by the sheet.
            source: the sheet's id in the bibliography.
        """
        self.base, self.sheet, self.variant, self.source = base, sheet, variant, source
        self.made = next((each for each in base.procedures.values() if sheet.like in each.finishes), None)
        self.faults: list[Fault] = []

    @cached_property
    def coat(self) -> Coat | None:
        """The coat that the product is: the one named, else the thickest, else the first that soaks in."""
        steps = self.made.steps if self.made else ()
        coats = {
            name: Coat(name, tuple(step for step in steps if name in step.uses))
            for step in steps
            for name, use in step.uses.items()
            if self.base.materials[name].kind == "material" and (use.dry or use.covers)
        }
        if not self.sheet.coat:
            return max(coats.values(), key=lambda each: each.thickness, default=None)
        called = {name: each for each in coats.values() for name in (each.material, *(s.id for s in each.steps))}
        called |= {spelled(self.base.materials[each.material].name): each for each in coats.values()}
        if (found := called.get(spelled(self.sheet.coat))) is None:
            finish = self.base.finishes[self.sheet.like].name
            what = wording("product.no_coat", name=finish, given=self.sheet.coat)
            self.faults.append(self.sheet.fault("coat", what, ", ".join(called)))
        return found

    @cached_property
    def alone(self) -> bool:
        """Whether no other material that is mixed goes into the finish or its renewal."""
        if self.made is None or self.coat is None:
            return False
        used = [name for step in self.made.steps for name in step.uses]
        used += [name for upkeep in self.made.upkeep for name in upkeep.uses]
        return {name for name in used if self.base.materials[name].parts == "2"} <= {self.coat.material}

    def procedure(self) -> tuple[Procedure | None, dict[str, Task]]:
        """The procedure, and the tasks of its own that it needs; none where the finish has none."""
        placeless = () if self.coat else ("use", "task") if self.made else ("use", "task", "ready", "procedure")
        for said in (said for kind in placeless for _, said in self.sheet.of(kind)):
            self._no_place(said, wording("product.no_coat_of"))
        if self.made is None:
            return None, {}
        tasks: dict[str, Task] = {}
        times = {field: self.ready(said.entry) for field, said in self.sheet.of("ready")}
        changed: dict[str, Any] = {
            "finishes": (self.variant,),
            "steps": tuple(self._step(step, tasks) for step in self.made.steps),
            "upkeep": tuple(self._upkeep(each, tasks) for each in self.made.upkeep),
            "profile": next((said.choice for _, said in self.sheet.of("procedure")), self.made.profile),
            "source": (*self.made.source, self.source),
        }
        if times:
            changed["ready"] = self.made.ready.model_copy(update={**times, "source": (self.source,)})
        return self.made.model_copy(update=changed), tasks

    def ready(self, entry: SheetEntry) -> Interval:
        """Hours after the last coat until a use, at the temperature of the shipped figures."""
        assert self.made
        ready = self.made.ready
        if (said := self.sheet.said.get(entry.sets)) is None:
            hours: Interval = getattr(ready, entry.sets.partition(".")[2])
            return hours
        assert said.interval
        assert said.at
        return scaled(said.interval, said.at, ready.slows, ready.at)

    def brought(self, cautions: tuple[str, ...]) -> tuple[str, ...]:
        """Cautions with what the hardener brings; those of another hardener go only where it is the only one."""
        for said in (said for _, said in self.sheet.of("finish") if said.entry.brings):
            now, others = said.entry.brings.get(said.choice), set(said.entry.brings.values())
            kept = [each for each in cautions if not self.alone or each not in others]
            return tuple(dict.fromkeys((*([now] if now else []), *kept)))
        return cautions

    def default(self, entry: SheetEntry) -> tuple[Interval | None, Interval | None]:
        """What is taken where the maker names no number of the work, in the entry's unit, and at which temperature."""
        where, _, field = entry.sets.partition(".")
        if where == "ready" and self.made:
            return getattr(self.made.ready, field), self.made.ready.at
        if self.coat is None:
            return None, None
        if where == "use":
            return _of_use(self.coat.use, field), None
        task = self.base.tasks[self.coat.steps[0].do]
        if field == "pot_life" and task.pot_life:
            return _times(task.pot_life.given, MINUTES), task.pot_life.at
        if field == "wait" and task.wait:
            last = (task.wait.latest or task.wait.next).low
            return Interval(min(task.wait.next.low, last), last), task.wait.at
        return None, None

    def _no_place(self, said: Said, why: str) -> None:
        finish = self.base.finishes[self.sheet.like].name
        what = wording("product.no_place", key=said.name, finish=finish, why=why)
        if (fault := self.sheet.fault(said.name, what)) not in self.faults:
            self.faults.append(fault)

    def _step(self, step: Step, tasks: dict[str, Task]) -> Step:
        if self.coat is None or self.coat.material not in step.uses:
            return step
        uses = {**step.uses, self.coat.material: self._use(step.uses[self.coat.material])}
        task = self.base.tasks[step.do]
        changed: dict[str, Any] = {}
        for field, said in self.sheet.of("task"):
            changed |= self._pot_life(task, said) if field == "pot_life" else self._wait(task, said)
        return step.model_copy(update={"do": self._own(step.do, changed, tasks), "named": step.id, "uses": uses})

    def _upkeep(self, upkeep: Upkeep, tasks: dict[str, Task]) -> Upkeep:
        if self.coat is None or self.coat.material not in upkeep.uses:
            return upkeep
        return upkeep.model_copy(update={"do": self._own(upkeep.do, {}, tasks)})

    def _own(self, name: str, changed: dict[str, Any], tasks: dict[str, Task]) -> str:
        """The name of the product's own copy of a task, if anything is otherwise in it."""
        task = self.base.tasks[name]
        if (cautions := self.brought(task.cautions)) != task.cautions:
            changed = {**changed, "cautions": cautions}
        if not changed:
            return name
        tasks[f"{name}_{self.variant}"] = task.model_copy(update=changed)
        return f"{name}_{self.variant}"

    def _pot_life(self, task: Task, said: Said) -> dict[str, Any]:
        if task.pot_life is None:
            self._no_place(said, wording("product.no_pot_life"))
            return {}
        assert said.interval
        hours = _times(said.interval, 1 / MINUTES)
        return {"pot_life": PotLife.model_validate({"is": hours, "at": said.at, "source": (self.source,)})}

    def _wait(self, task: Task, said: Said) -> dict[str, Any]:
        if task.wait is None:
            self._no_place(said, wording("product.no_wait"))
            return {}
        assert said.interval
        earliest, latest = said.interval.low, said.interval.high
        times = {
            "next": Interval(earliest, earliest),
            "latest": Interval(latest, latest) if latest > earliest else None,
        }
        return {"wait": task.wait.model_copy(update={**times, "at": said.at, "source": (self.source,)})}

    def _use(self, use: Use) -> Use:
        """How much of it a step takes. A coverage counts as the film that it leaves, so that loss comes on top."""
        assert self.coat
        said = {field: each.interval for field, each in self.sheet.of("use") if each.interval}
        if not said:
            return use
        for field, each in self.sheet.of("use"):
            if field != "covers" and use.dry is None:
                self._no_place(each, wording("product.not_dry"))
            elif field == "covers" and self.base.materials[self.coat.material].unit != "l":
                self._no_place(each, wording("product.not_liquid"))
        if use.dry and (spread := said.pop("covers", None)):
            solids = said.get("solids", use.solids)
            share = (solids.low + solids.high) / 2.0
            films = sorted(share / 100.0 / each * LITRE / UM for each in (spread.low, spread.high))
            said |= {"dry": Interval(*films), "solids": Interval(share, share)}
        return use.model_copy(update={**said, "source": (self.source,)})


def _times(interval: Interval, factor: float) -> Interval:
    return Interval(interval.low * factor, interval.high * factor)


def _of_use(use: Use, field: str) -> Interval | None:
    """A field of a use; a coverage by the film that is laid, without loss [m2/L]."""
    if field == "covers" and use.dry:
        ends = ((use.dry.high, use.solids.low), (use.dry.low, use.solids.high))
        return Interval(*(float(coverage(dry * UM, solids / 100.0)) * LITRE for dry, solids in ends))
    found: Interval | None = getattr(use, field)
    return found
