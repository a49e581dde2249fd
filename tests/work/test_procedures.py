"""Procedures as data: one for every finish, complete, in agreement with the finish, and refused where malformed."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from advisor.errors import BadRuleBase
from advisor.model.knowledge import RuleBase
from advisor.model.materials import BASES, Use
from advisor.model.procedures import Procedure, Step
from advisor.validation.checks.procedures import check_procedures
from advisor.validation.loading import read_rulebase, rules_folder
from advisor.work.needed import UM

from .conftest import MakeJob

GRINDS = {
    "grind": {"grind_surface"},
    "shot_blast": {"shot_blast"},
    "etch": {"etch_surface"},
    "clean": {"wash_surface", "pressure_wash"},
    "grind_and_refine": {"polish_coarse", "polish_medium", "hone_dull_places"},
    "untouched": {"clear_and_clean"},
}
# They renew, cover or leave what lies there; where it is of another kind they are ruled out, or it stays.
KEEPS = {"acrylic_reseal", "coating_recoat", "sealer_renewed", "polish_renewed", "loose_cover", "left_as_it_is"}


def test_every_finish_has_one_procedure(base: RuleBase) -> None:
    named = Counter(finish for procedure in base.procedures.values() for finish in procedure.finishes)
    assert named == Counter(dict.fromkeys(base.finishes, 1))


def test_every_task_material_demand_and_norm_is_used(base: RuleBase) -> None:
    steps = [step for procedure in base.procedures.values() for step in procedure.steps]
    upkeep = [each for procedure in base.procedures.values() for each in procedure.upkeep]
    done = {each.do for each in (*steps, *upkeep)}
    assert done == set(base.tasks)
    used = {name for each in (*steps, *upkeep) for name in (*each.uses, *base.tasks[each.do].uses)}
    used |= {name for some in (base.comes_first, base.care) for each in some.values() for name in each.uses}
    warned = {caution for name in done for caution in base.tasks[name].cautions}
    worn = {name for name, material in base.materials.items() if warned & set(material.against)}
    assert used | worn == set(base.materials)
    assert {name for task in base.tasks.values() for name in task.hired} == set(base.hire)
    assert {name for task in base.tasks.values() for name in task.demands} == set(base.demands)


def test_every_procedure_prepares_applies_cures_and_is_kept(base: RuleBase) -> None:
    for procedure in base.procedures.values():
        kinds = [base.tasks[step.do].kind for step in procedure.steps]
        assert kinds[0] == "preparation"
        assert "application" in kinds
        assert kinds[-1] == "cure"
        wears = any(base.finishes[each].properties["renewal"].interval for each in procedure.finishes)
        assert any(each.every == "renewal" for each in procedure.upkeep) == wears


def test_every_step_says_what_makes_it_hard_and_whether_it_can_be_undone(base: RuleBase) -> None:
    for name, task in base.tasks.items():
        assert task.cautions, f"{name} names no hazard"
        assert len(task.hard) > 10
        assert len(task.mistake) > 10


def test_films_are_as_thick_as_the_finish_says(base: RuleBase) -> None:
    """The procedure's coats together, and the finish's dry thickness: two statements that must overlap."""
    for procedure in base.procedures.values():
        films = [use.dry for step in procedure.steps for use in step.uses.values() if use.dry]
        for finish in procedure.finishes:
            stated = base.finishes[finish].properties["dry_thickness"].interval
            pure = all(use.dry for step in procedure.steps for use in step.uses.values())
            if stated is None:
                assert not films, finish
            elif films and pure:
                assert sum(each.low for each in films) <= stated.high, finish
                assert sum(each.high for each in films) >= stated.low, finish


def test_the_procedure_prepares_as_the_finish_says(base: RuleBase) -> None:
    for procedure in base.procedures.values():
        done = {step.do for step in procedure.steps}
        for finish in procedure.finishes:
            wanted = base.finishes[finish].properties["preparation"].choices[0]
            assert done & GRINDS[wanted], finish


def test_what_sets_while_one_works_has_a_pot_life_and_the_clock(base: RuleBase) -> None:
    for procedure in base.procedures.values():
        timed = any(base.tasks[step.do].pot_life for step in procedure.steps)
        for finish in procedure.finishes:
            assert timed == (base.finishes[finish].properties["timed_work"].choices == ("yes",)), finish
    for task in base.tasks.values():
        assert (task.pot_life is None) or task.demands.get("clock") == "much"


@pytest.mark.parametrize(
    ("demand", "cautions"),
    [
        ("acid", {"acid_burns", "acid_residue"}),
        ("machine", {"electric_shock", "slips_while_wet"}),
    ],
)
def test_hazardous_steps_carry_their_caution(base: RuleBase, demand: str, cautions: set[str]) -> None:
    for name, task in base.tasks.items():
        if demand in task.demands:
            assert cautions & set(task.cautions), name


def test_grinding_always_warns_of_silica(base: RuleBase) -> None:
    """29 CFR 1926.1153. That an engine's gas is warned of wherever one may run indoors is a claim of the audit."""
    for name in ("grind_surface", "shot_blast", "polish_coarse", "polish_medium", "grind_deep"):
        assert "silica_dust" in base.tasks[name].cautions
    assert any("carbon_monoxide" in claim.then.caution for claim in base.claims.values() if claim.then)


def test_old_layers_are_taken_off_only_once_a_laboratory_has_cleared_them(base: RuleBase) -> None:
    """That asbestos and lead are warned of wherever a layer may hold them is a claim of the audit."""
    for procedure in base.procedures.values():
        for step in procedure.steps:
            if {"black_adhesive", "other_adhesive", "resilient_tile"} & takes_off(step):
                assert step.where["asbestos_test"] == ("clear",)
                assert "coating_stripper" not in base.tasks[step.do].uses


def test_every_layer_that_may_lie_on_the_slab_is_taken_off_where_bare_concrete_is_needed(base: RuleBase) -> None:
    layers = set(base.facts["on_floor"].values) - {"bare", "stain", "polish"}  # these are the concrete itself
    for procedure in taken_down(base):
        removed = {layer for step in procedure.steps for layer in takes_off(step)}
        cuts = {"grind_surface", "shot_blast"} & {step.do for step in procedure.steps}
        over_paint = all(base.finishes[f].properties["covers_sound_coating"].given == "yes" for f in procedure.finishes)
        thin = {"paint", "penetrating_sealer"} if cuts or over_paint else set()  # cut off with the skin, or coated over
        assert removed | thin >= layers, procedure.finishes


def taken_down(base: RuleBase) -> list[Procedure]:
    """The procedures that go down to concrete, or over a sound coating."""
    return [each for each in base.procedures.values() if not set(each.finishes) & KEEPS]


def takes_off(step: Step) -> set[str]:
    """The layers that a step is there for; one that is done on bare concrete too takes none off."""
    layers = set(step.where.get("on_floor", ()))
    return set() if "bare" in layers else layers


def test_a_coating_goes_by_what_it_is(base: RuleBase) -> None:
    """Loose two-part coatings are ground off, loose paint scraped, sound ones sanded, none etched; common practice."""
    for procedure in taken_down(base):
        by_task: dict[str, set[str]] = {}
        for step in procedure.steps:
            by_task.setdefault(step.do, set()).update(takes_off(step))
        assert "thick_coating" in by_task["grind_off_coating"]
        assert "thick_coating" not in by_task.get("strip_old_coating", set())
        for step in procedure.steps:
            if step.do == "etch_surface":
                assert not {"paint", "film_sealer", "thick_coating"} & set(step.where["on_floor"])
        if all(base.finishes[each].properties["covers_sound_coating"].given == "yes" for each in procedure.finishes):
            assert {"sand_coating", "scrape_off_paint"} <= set(by_task)


def test_what_moves_is_sealed_and_what_rests_is_filled(base: RuleBase) -> None:
    """Rigid fillers for dormant cracks only (ACI 224.1R, from memory); every finish has its repairs."""
    for procedure in base.procedures.values():
        if set(procedure.finishes) & {"loose_cover", "left_as_it_is"}:  # nothing is put on the slab
            continue
        where = {step.do: step.where for step in procedure.steps}
        assert "moving" not in where["fill_cracks"]["cracks"]
        assert where["seal_moving_crack"]["cracks"] == ("moving",)
        assert where["seal_joints"]["joints_move"] == ("yes",)
        assert where["patch_holes"]["spalls"] == ("few", "many")


def test_the_profile_is_that_of_the_film(base: RuleBase) -> None:
    """ICRI 310.2R (quoted): to 3 mil CSP 1 to 2, to 10 mil 1 to 3, 10 to 40 mil 3 to 5, 50 mil and more 4 to 6.

    A film between two bands may have the profile of either; trowelled and poured overlays are left out.
    """
    bands = [(0.0, 3.0, {1, 2}), (3.0, 10.0, {1, 2, 3}), (10.0, 45.0, {3, 4, 5}), (45.0, 125.0, {4, 5, 6})]
    for procedure in base.procedures.values():
        films = [use.dry for step in procedure.steps for use in step.uses.values() if use.dry]
        overlaid = any(use.weight for step in procedure.steps for use in step.uses.values() if not step.alongside)
        if not films or overlaid or procedure.profile == "old_coat":  # over a coat that stays, none is made
            continue
        low, high = (sum(getattr(each, end) for each in films) / 25.4 for end in ("low", "high"))  # mil
        allowed: set[int] = set().union(*(profiles for least, most, profiles in bands if least <= high and low <= most))
        assert int(procedure.profile[-1]) in allowed, (procedure.finishes, low, high)


def test_amounts_are_in_the_materials_unit(base: RuleBase) -> None:
    for task in base.tasks.values():
        for name, use in task.uses.items():
            assert base.materials[name].unit in BASES[use.basis]
    assert UM == 1e-6


@pytest.mark.parametrize(
    "text",
    [
        {"source": "common_practice"},
        {"dry": "4 mil", "covers": "8 m2/L", "source": "common_practice"},
        {"covers": "0 m2/L", "source": "common_practice"},
        {"dry": "4 mil", "solids": "0 %", "source": "common_practice"},
        {"dry": "4 mil", "loss": "99 %", "source": "common_practice"},
        {"dry": "4 kg", "source": "common_practice"},
        {"dry": "-4 mil", "source": "common_practice"},
        {"dry": "4 mil"},
    ],
)
def test_a_use_without_one_possible_basis_is_refused(text: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"(?s).+"):
        Use.model_validate(text)


BREAKS = {
    "unknown task": ("do: grind_surface", "do: grind_surfase", 'no task "grind_surfase"'),
    "unknown material": ("epoxy_primer:", "epoxy_primmer:", 'no material "epoxy_primmer"'),
    "unknown finish": ("for: [epoxy_solid]", "for: [epoxy_solit]", 'no finish "epoxy_solit"'),
    "taken finish": ("for: [epoxy_solid]", "for: [floor_paint]", "has a procedure already"),
    "same step twice": ("as: body_coat", "as: primer_coat", "is there twice"),
    "no such step before": ("after: [fill_cracks,", "after: [fill_crakcs,", "which is no step before it"),
    "told of nothing": ("told: joints_move", "told: cracks", "but not under where"),
    "no such value": ("[few, deep]", "[few, depe]", '"depe" is not a value of oil_stains'),
    "wrong unit": ("epoxy_body: {dry: 9 to 11 mil", "epoxy_body: {weight: 9 to 11 kg/m2", "does not give"),
}


@pytest.mark.parametrize("name", BREAKS)
def test_a_procedure_that_names_what_is_not_there_is_refused(name: str, tmp_path: Path) -> None:
    before, after, words = BREAKS[name]
    text = (rules_folder() / "procedures" / "epoxy_solid.yaml").read_text(encoding="utf-8")
    assert before in text
    if "weight" in after:
        text = text.replace("dry: 9 to 11 mil, solids: 100 %, loss: 5 to 12 %", "weight: 9 to 11 kg/m2")
    else:
        text = text.replace(before, after, 1)
    (tmp_path / "own.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(Exception, match=words) as refused:
        read_rulebase(rules_folder(), tmp_path)
    assert ".yaml, line" in str(refused.value)


def test_the_shipped_procedures_have_no_fault(base: RuleBase) -> None:
    assert not list(check_procedures(base, lambda *place: ".".join(place)))


def test_a_step_left_out_is_stood_for_by_those_before_it(make_job: MakeJob) -> None:
    job = make_job("epoxy_solid")  # no oil, no cracks, no spalls, nothing on the floor
    after = {step.id: step.after for step in job.steps}
    assert "degrease" not in after
    assert after["grind_surface"] == ("clear_and_mask",)
    assert after["vacuum_floor"] == ("grind_surface", "clear_and_mask")


def test_an_overlay_may_add_to_what_a_task_warns_of_and_not_take_away(tmp_path: Path) -> None:
    text = (rules_folder() / "procedures" / "preparation.yaml").read_text(encoding="utf-8")
    start, end = text.index("  grind_surface:"), text.index("  shot_blast:")
    task = "tasks:\n" + text[start:end]
    (tmp_path / "own.yaml").write_text(task.replace("silica_dust, ", ""), encoding="utf-8")
    with pytest.raises(BadRuleBase, match="grind_surface protects people; its `cautions` may be added to"):
        read_rulebase(rules_folder(), tmp_path)
    (tmp_path / "own.yaml").write_text(task.replace("[silica_dust, ", "[amines, silica_dust, "), encoding="utf-8")
    assert "amines" in read_rulebase(rules_folder(), tmp_path).tasks["grind_surface"].cautions
