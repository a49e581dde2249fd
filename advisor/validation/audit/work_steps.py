"""Claims about the work: what is worn in every step, and what every substance brings."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.answer.step_cautions import cautions_of, protection
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Step, Task, Upkeep
from advisor.validation.audit.search import Break, Search
from explanations.wording import label, listed, wording

SUBSTANCES = {"material", "consumable"}  # kinds of what stays in the floor or is used up
POURED = {"l", "kg"}  # units of what flows, crumbles or dusts


def worn(search: Search) -> None:
    """`worn`: in every step of every procedure that carries one of the cautions, everybody wears all that is named."""
    base, claim = search.every.base, search.claim
    for where, task, uses in _steps(base):
        search.questions += 1
        met = [name for name in claim.then.caution if name in cautions_of(base, task, uses)]
        bare = [name for name in claim.wear if name not in protection(base, task, uses)]
        if met and bare:
            gear = listed(base.materials[name].name for name in bare)
            what = wording("audit.not_worn", where=where, gear=gear, caution=listed(label("caution", n) for n in met))
            search.breaks.append(Break(what, {}))


def brought(search: Search) -> None:
    """`brought`: every substance brings its cautions into every step that uses it, or is said to be harmless."""
    for name, each in search.every.base.materials.items():
        if each.kind in SUBSTANCES and each.unit in POURED:
            search.questions += 1
            if bool(each.brings) == each.harmless:
                search.breaks.append(Break(wording("audit.not_brought", what=each.name, id=name), {}))


def _steps(base: RuleBase) -> Iterator[tuple[str, Task, tuple[str, ...]]]:
    """Every step and every upkeep, however it may be told: where it stands, its task, and its own materials."""
    for name, procedure in base.procedures.items():
        steps: tuple[Step | Upkeep, ...] = (*procedure.steps, *procedure.upkeep)
        for step in steps:
            task = base.tasks[step.do]
            for without in {(), *(each.without for each in task.elsewhere)}:
                kept = {each: use for each, use in task.uses.items() if each not in without}
                told = task.model_copy(update={"uses": kept}) if without else task
                yield wording("audit.step_of", step=task.title, procedure=name), told, tuple(step.uses)
