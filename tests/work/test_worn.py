"""What is worn and what is filled: a kit for each person, all that cautions ask for; cracks, edges by the floor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from advisor.answer.step_cautions import cautions_of, protection
from advisor.errors import BadRuleBase
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Procedure, Task
from advisor.model.reader import Reader
from advisor.pages.plan_page import step_words
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from advisor.work.cost import cost, shopping
from advisor.work.needed import materials_needed
from advisor.work.pace import hire_days
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW, active

from .conftest import MakeJob

ACID = {"goggles", "face_shield", "acid_gloves", "acid_apron", "rubber_boots"}
VAPOUR = {"vapour_respirator", "vapour_cartridges", "gloves", "goggles", "coverall"}
ASKED = {
    "silica_dust": {"dust_respirator", "goggles"},
    "acid_burns": ACID,
    "isocyanates": VAPOUR,
    "solvent_vapour": VAPOUR,
    "alkaline_densifier": {"gloves", "goggles"},
    "alkaline_slurry": {"gloves", "goggles", "rubber_boots"},
    "amines": {"gloves", "goggles"},
    "vibration_and_noise": {"ear_defenders"},
}
CARRIED = {  # what a finish's own properties say of it, and the caution that some step of it must then carry
    ("sensitiser", "isocyanate"): "isocyanates",
    ("sensitiser", "isocyanate_in_some"): "isocyanates",
    ("sensitiser", "amine"): "amines",
    ("uses_acid", "yes"): "acid_burns",
    ("solvent", "some"): "solvent_vapour",
    ("solvent", "strong"): "solvent_vapour",
}


@pytest.mark.parametrize("people", [1, 2, 6])
def test_each_person_has_all_that_the_cautions_of_the_work_ask_for(
    base: RuleBase, make_job: MakeJob, people: int
) -> None:
    for finish in base.finishes:
        job = make_job(finish, people=people, cracks="hairline", spalls="few")
        needed = materials_needed(job, HIGH)
        warned = {caution for step in active(job, HIGH) for caution in cautions_of(base, step.task, step.uses)}
        for caution in warned & ASKED.keys():
            for name in ASKED[caution]:
                assert needed[name] >= people, (finish, caution, name)


def test_a_finishs_own_hazards_stand_in_its_steps(base: RuleBase) -> None:
    """What is worn goes by the steps' cautions, so the steps must carry what the finish itself is warned of."""
    for procedure in base.procedures.values():
        carried = {caution for step in procedure.steps for caution in cautions_of(base, base.tasks[step.do], step.uses)}
        for finish in procedure.finishes:
            for name, value in base.finishes[finish].properties.items():
                for choice in value.choices:
                    if caution := CARRIED.get((name, choice)):
                        assert caution in carried, (finish, caution)


def work(base: RuleBase, procedure: Procedure) -> Iterator[tuple[str, Task, Mapping[str, Use]]]:
    """Each step and each round of upkeep, with the materials that it uses."""
    for each in (*procedure.steps, *procedure.upkeep):
        yield each.do, base.tasks[each.do], {**base.tasks[each.do].uses, **each.uses}


def test_every_step_is_worn_for_what_it_warns_of_and_what_it_lists(base: RuleBase) -> None:
    for procedure in base.procedures.values():
        for name, task, uses in work(base, procedure):
            worn = set(protection(base, task, uses))
            asked = {each for caution in cautions_of(base, task, uses) for each in ASKED.get(caution, ())}
            listed = {each for each in uses if base.materials[each].kind == "protection"}
            assert asked | listed <= worn, (procedure.finishes, name)
            assert all(base.materials[each].kind == "protection" for each in worn)


def test_every_step_with_an_isocyanate_hardener_says_so_and_masks_for_it(base: RuleBase) -> None:
    """Two-part aliphatics, urethane mortar, ureas and urethanes among fillers, urethane that cures with damp air."""
    coats = {"aliphatic_clear", "fast_cure_body", "urethane_cement", "film_sealer", "urethane_top", "urethane_clear"}
    holds = coats | {"crack_filler", "joint_sealant", "joint_filler", "urethane_cove"}
    assert {name for name, each in base.materials.items() if "isocyanates" in each.brings} == holds
    seen = 0
    for procedure in base.procedures.values():
        for name, task, uses in work(base, procedure):
            if holds & set(uses):
                seen += 1
                assert "isocyanates" in cautions_of(base, task, uses), (procedure.finishes, name)
                assert set(protection(base, task, uses)) >= VAPOUR, (procedure.finishes, name)
    assert seen > 20


BY_MATERIAL = {  # what the makers' sheets of such materials ask for as a rule; common practice
    "coating_stripper": {"vapour_respirator", "vapour_cartridges", "gloves", "goggles"},
    "reactive_stain": {*ACID, "vapour_respirator", "acid_cartridges"},  # it is sprayed
    "etching_solution": ACID,
    "concrete_dye": VAPOUR,
    "film_sealer": VAPOUR,
    "floor_paint": VAPOUR,
    "outdoor_acrylic": VAPOUR,
    "degreaser": {"gloves", "goggles"},
    "wax_stripper": {"gloves", "goggles"},
    "densifier": {"goggles"},
    "patching_mortar": {"gloves", "goggles"},
    "epoxy_mortar": {"gloves", "goggles"},
    "levelling_overlay": {"gloves", "goggles", "dust_respirator"},
}
MASKS = {"dust_respirator", "vapour_respirator"}
BREAKS_OUT = (
    "take_up_tile",
    "fill_cracks",
    "patch_holes",
    "rebuild_joint_edges",
    "fill_joints",
    "seal_joints",
    "seal_moving_crack",
)


def test_every_step_is_masked_and_gloved_for_its_own_materials(base: RuleBase) -> None:
    seen = set()
    for procedure in base.procedures.values():
        for name, task, uses in work(base, procedure):
            worn = set(protection(base, task, uses))
            for material in BY_MATERIAL.keys() & uses.keys():
                seen.add(material)
                assert BY_MATERIAL[material] <= worn, (procedure.finishes, name, material)
            if task.hire and {"hand_grinder", "planetary_grinder", "floor_grinder", "shot_blaster"} & set(task.hired):
                assert worn >= {"dust_respirator", "goggles", "ear_defenders"}, (procedure.finishes, name)
    assert seen == BY_MATERIAL.keys()


def test_every_substance_that_a_mask_can_stop_has_one(base: RuleBase) -> None:
    """No filter stops carbon monoxide: there the engine goes outdoors."""
    for name, substance in base.substances.items():
        masks = {each for each in MASKS if set(base.materials[each].against) & set(substance.cautions)}
        assert bool(masks) is (name != "carbon_monoxide"), name


def test_nothing_is_broken_out_over_heating_that_was_not_located(base: RuleBase, make_job: MakeJob) -> None:
    facts = {"on_floor": "ceramic_tile", "cracks": "hairline", "spalls": "many", "floor_heating": "yes"}
    job = make_job(
        "epoxy_flake", **facts, joint_edges="spalled", joints_move="yes", joint_fill="open", vehicles="forklifts"
    )
    told = {step.do: step.task.says for step in job.steps}
    moving = make_job("epoxy_flake", **{**facts, "cracks": "moving"})
    told |= {step.do: step.task.says for step in moving.steps if step.do == "seal_moving_crack"}
    for name in BREAKS_OUT:
        assert "located" in told[name], name


def test_a_finish_states_the_sensitisers_of_its_coats_and_renewals(base: RuleBase) -> None:
    """What the materials bring and the finish's own property are two statements; a filler is no part of the finish."""
    for procedure in base.procedures.values():
        used = {name: use for _, _, uses in work(base, procedure) for name, use in uses.items()}
        coats = {name for name, use in used.items() if not use.share}  # what fills a crack or joint has a share
        brought = {caution for name in coats for caution in base.materials[name].brings}
        for finish in procedure.finishes:
            choices = base.finishes[finish].properties["sensitiser"].choices
            stated = {f"{each.removesuffix('_in_some')}s" for each in choices}
            assert brought & {"isocyanates", "amines"} <= stated, finish
            assert ("isocyanates" in stated) == ("isocyanates" in brought), finish


def test_the_plan_tells_of_masks_where_a_coating_is_stripped_and_a_stain_sprayed(make_job: MakeJob) -> None:
    job = make_job("reactive_stain_sealed", on_floor="paint", exposure="indoors")
    told = list(step_words(job, Reader("us", "USD")))
    strip = next(line for line in told if line.startswith("Strip the old sealer or paint"))
    stain = next(line for line in told if line.startswith("Spray the reactive stain"))
    assert "half mask for cartridges" in strip.partition("Wear:")[2]
    worn = stain.partition("Wear:")[2]
    assert "half mask for cartridges" in worn
    assert "acid gas" in worn


def test_disc_and_dust_collector_go_with_every_cut(base: RuleBase) -> None:
    """29 CFR 1926.1153, Table 1: handheld grinders with a shroud and a dust collection system."""
    for name in ("fill_cracks", "patch_holes"):
        assert {"hand_grinder", "dust_collector"} <= set(base.tasks[name].hire)


def test_what_is_worn_again_is_bought_once_and_what_is_not_for_each_step(make_job: MakeJob) -> None:
    needed = materials_needed(make_job("epoxy_solid", people=2), HIGH)
    coats = 2
    assert (needed["vapour_respirator"], needed["dust_respirator"]) == (2, 2)
    assert needed["coverall"] == needed["vapour_cartridges"] == 2 * coats


def test_filler_grows_with_the_floor_and_with_the_cracks(make_job: MakeJob) -> None:
    def filler(area: str, cracks: str | None) -> tuple[float, float]:
        job = make_job("epoxy_solid", area=area, cracks=cracks)
        low, high = (materials_needed(job, end).get("crack_filler", 0.0) for end in (LOW, HIGH))
        return low, high

    small, large = filler("100 m2", "hairline"), filler("10000 m2", "hairline")
    assert large == (pytest.approx(100 * small[0]), pytest.approx(100 * small[1]))
    assert filler("100 m2", "open") > small
    assert filler("100 m2", None) == (0.0, filler("100 m2", "open")[1])
    assert filler("100 m2", "none") == (0.0, 0.0)


def test_hairline_cracks_by_hand(make_job: MakeJob) -> None:
    """100 m2 x 0.3 m of crack a square metre, opened 6 mm wide and 10 mm deep, is 1.8 L; a fifth lost, 5 % spilt."""
    job = make_job("epoxy_solid", area="100 m2", cracks="hairline")
    assert materials_needed(job, HIGH)["crack_filler"] == pytest.approx(1.8 / 0.8 * 1.05)


def test_mortar_grows_with_the_floor_and_with_the_holes(make_job: MakeJob) -> None:
    few, many, large = (
        materials_needed(make_job("epoxy_solid", area=area, spalls=spalls), HIGH)["patching_mortar"]
        for area, spalls in (("100 m2", "few"), ("100 m2", "many"), ("1000 m2", "few"))
    )
    assert few < many
    assert large == pytest.approx(10 * few)


def test_the_edge_grinder_is_hired_for_the_edges_only(make_job: MakeJob) -> None:
    """In a hall the edges are little beside the floor: four times the area is twice the edge, for one gang."""
    job = make_job("polished_natural", area="4000 m2", helpers="0", air_temperature="20 C")
    days = hire_days(job, HIGH)
    assert days["hand_grinder"] * 5 < days["planetary_grinder"]
    larger = hire_days(make_job("polished_natural", area="16000 m2", helpers="0", air_temperature="20 C"), HIGH)
    assert larger["planetary_grinder"] == pytest.approx(4 * days["planetary_grinder"], rel=0.08)
    assert larger["hand_grinder"] == pytest.approx(2 * days["hand_grinder"], rel=0.15)


def test_what_is_worn_is_a_part_of_the_cost_of_its_own(make_job: MakeJob, book: PriceBook) -> None:
    job = make_job("floor_paint")
    worn = [line for line in shopping(job, book) if line.part == "protection"]
    assert {line.name for line in worn} >= ACID
    assert sum(line.cost for line in worn) * (1 + job.norm("price_spread").high / 100) == pytest.approx(
        cost(job, book, HIGH).protection
    )


def test_an_overlay_may_add_to_what_is_worn_and_not_take_away(tmp_path: Path) -> None:
    name = load_rulebase().materials["dust_respirator"].name
    worn = f"name: {name}, unit: each, kind: protection, against: [{{0}}], source: own"
    entry = f"materials:\n  dust_respirator: {{{{{worn}}}}}\n"
    source = "sources:\n  own: {kind: common_practice, title: A shop of our own (invented)}\n"
    (tmp_path / "own.yaml").write_text(source + entry.format("lifting"), encoding="utf-8")
    with pytest.raises(BadRuleBase, match="dust_respirator protects people; its `against`"):
        read_rulebase(rules_folder(), tmp_path)
    (tmp_path / "own.yaml").write_text(source + entry.format("lifting, silica_dust"), encoding="utf-8")
    assert "lifting" in read_rulebase(rules_folder(), tmp_path).materials["dust_respirator"].against


def test_an_overlay_may_not_take_from_what_a_material_brings(tmp_path: Path) -> None:
    entry = "materials:\n  aliphatic_clear: {name: clear coat, unit: l, kind: material, parts: 2, source: own}\n"
    source = "sources:\n  own: {kind: common_practice, title: A shop of our own (invented)}\n"
    (tmp_path / "own.yaml").write_text(source + entry, encoding="utf-8")
    with pytest.raises(BadRuleBase, match="aliphatic_clear protects people; its `brings` may be added to"):
        read_rulebase(rules_folder(), tmp_path)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("against: [acid_burns], source", "against: [acid_bruns], source", 'no caution "acid_bruns"'),
        (
            "kind: protection, against: [vibration_and_noise]",
            "kind: consumable, against: [vibration_and_noise]",
            "worn",
        ),
        ("  spalls_many: {is", "  spalls_plenty: {is", 'no norm "spalls_many"'),
    ],
)
def test_protection_and_shares_that_name_what_is_not_there_are_refused(
    tmp_path: Path, before: str, after: str, words: str
) -> None:
    import shutil

    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    path = folder / "procedures" / "materials.yaml"
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")
    with pytest.raises(BadRuleBase, match=words):
        read_rulebase(folder)
