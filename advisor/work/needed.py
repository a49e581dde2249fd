"""How much of each material, of one floor or of many."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.answer.step_cautions import protection
from advisor.model.materials import Use
from advisor.model.procedures import Task
from advisor.physics.elementwise import ceil, choose, greatest, least
from advisor.physics.film import volume_needed
from advisor.work.job import EVEN, Job
from advisor.work.pace import at_work
from advisor.work.settings import AREA, EDGES, PROFILE, WASTE, Setting, Work, counted
from advisor.work.spots import MM, share_of, spot_area

UM, LITRE = 1e-6, 1e-3  # in SI


def materials_needed(job: Work, setting: Setting) -> dict[str, Any]:
    """How much of each material, in its unit."""
    needed: dict[str, Any] = {}
    bare: Any = True  # no film has filled the profile yet
    for step, here in counted(job, setting):
        if here is False:
            continue
        film = step.task.kind == "application" and _films(step.uses)
        for name, amount in _amounts(job, step.uses, step.task, setting, fills=here & bare & film).items():
            amount, material = choose(here, amount, 0.0), job.base.materials[name]
            if material.kind == "protection" and not material.once:
                needed[name] = greatest(needed.get(name, 0.0), amount)  # worn again in the next step
            else:
                needed[name] = needed.get(name, 0.0) + amount
        if film:
            bare = bare & (here ^ True)
    for need, here in job.firsts():
        for name, amount in _tests(job, need, setting).items():
            amount = choose(here, amount, 0.0)
            needed[name] = greatest(needed.get(name, 0.0), amount)  # one visit serves all that ask for it
    return needed


def to_buy(job: Work, setting: Setting) -> dict[str, Any]:
    """How much of each material is bought: a crew brings what it wears."""
    needs = materials_needed(job, setting)
    worn = {name for name in needs if job.base.materials[name].kind == "protection"} if job.hired else set()
    return {name: need for name, need in needs.items() if name not in worn}


def _tests(job: Work, need: str, setting: Setting) -> dict[str, Any]:
    """What is bought for something that comes first."""
    first = job.base.comes_first.get(need)
    return amounts_of(job, first.uses, setting) if first else {}


def upkeep_needed(job: Job, do: str, uses: Mapping[str, Use], setting: Setting) -> dict[str, float]:
    """How much one round of upkeep takes."""
    task = job.base.tasks[do]
    return _amounts(job, {**task.uses, **uses}, task, setting, fills=False)


def dust(job: Work, setting: Setting) -> Any:
    """What the work turns to dust [kg], dry."""
    heavy = setting.at("amount:dust", job.norm("ground_density"))  # kg/L, so kg/m2 for each mm
    total: Any = 0.0
    for step, here in counted(job, setting):
        if step.task.removes:
            area = setting.at(AREA, job.extent.area)
            taken = area * setting.at("amount:dust", step.task.removes) * UM / MM * heavy
            total = total + choose(here, taken, 0.0)
    return total


def amounts_of(job: Work, uses: Mapping[str, Use], setting: Setting) -> dict[str, Any]:
    """How much of each material uses come to that belong to no task."""
    return {name: _amount(job, name, use, None, setting, fills=False) for name, use in uses.items()}


def _films(uses: Mapping[str, Use]) -> bool:
    return any(use.dry is not None for use in uses.values())


def _amounts(job: Work, uses: Mapping[str, Use], task: Task, setting: Setting, fills: Any) -> dict[str, Any]:
    amounts = {name: _amount(job, name, use, task, setting, fills) for name, use in uses.items()}
    worn = {name: at_work(job, task) for name in protection(job.base, task, uses)}
    return {**worn, **{name: greatest(amount, worn.get(name, 0.0)) for name, amount in amounts.items()}}


def _amount(job: Work, name: str, use: Use, task: Task | None, setting: Setting, fills: Any) -> Any:
    area = spot_area(job, use.share, setting) if use.share else setting.at(AREA, job.extent.area)
    waste = 1.0 + setting.at(WASTE, job.norm("cutting_waste")) / 100.0
    driver = f"amount:{name}"
    match use.basis:
        case "dry":
            assert use.dry
            microns = setting.at(driver, use.dry)
            if fills is not False:
                microns = microns + choose(fills, least(_filling(job, setting), microns), 0.0)  # a thin film follows
            solids = setting.against(driver, use.solids) / 100.0
            loss = setting.at(driver, use.loss) / 100.0
            loss = loss / (1.0 + loss) if setting.on_top else loss
            return volume_needed(area, microns * UM, solids, loss) / LITRE * waste
        case "covers":
            assert use.covers
            return area / setting.against(driver, use.covers) * waste
        case "weight":
            assert use.weight
            return area * setting.at(driver, use.weight) * waste * _depth(job, use, setting)
        case "one_for":
            assert use.one_for
            more = setting.at(driver, use.plus)
            return ceil(area / setting.against(driver, use.one_for) - EVEN) + more
        case "pieces":
            assert use.pieces
            return ceil(setting.at(driver, use.pieces))
        case "each_person":
            assert use.each_person
            assert task
            return ceil(setting.at(driver, use.each_person)) * at_work(job, task)
        case "one_along":
            assert use.one_along
            return ceil(setting.at(EDGES, job.extent.edges) / setting.against(driver, use.one_along) - EVEN)
    assert use.along_edges
    return setting.at(EDGES, job.extent.edges) * setting.at(driver, use.along_edges)


def _depth(job: Work, use: Use, setting: Setting) -> Any:
    """What is filled [mm], where a weight is for each mm of it; else 1."""
    if not use.deep:
        return 1.0
    known, depth = job.told(use.deep)
    return choose(known, setting.at(share_of(use.deep), depth), 0.0)


def _filling(job: Work, setting: Setting) -> Any:
    """Film [um] that the valleys of the surface take before the coat stands on them."""
    filling = setting.at(PROFILE, job.norm(f"fills_{job.procedure.profile}"))
    for texture in job.base.facts["surface_texture"].choices:
        if f"fills_{texture}" in job.base.norms:
            more = setting.at(PROFILE, job.norm(f"fills_{texture}"))
            filling = filling + choose(job.surely("surface_texture", texture), more, 0.0)
    return filling
