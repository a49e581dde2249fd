"""What is worn in the steps of the work, and what substances bring, is proved by claims that can fail.

Expected by hand: OSHA's Table 1 asks for a respirator where concrete is ground indoors for long (29 CFR 1926.1153, as
quoted in the rules' source); isocyanates ask for a mask, gloves and covered skin (the sheet named there); dry quartz
sand thrown by hand makes silica dust (common practice, no source).
"""

from __future__ import annotations

import pytest

from advisor.answer.step_cautions import cautions_of, protection
from advisor.model.knowledge import RuleBase
from advisor.validation.audit import Finding, audit
from advisor.validation.loading import load_rulebase

KINDS = ("worn", "brought")


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


def examined(base: RuleBase, *names: str) -> dict[str, Finding]:
    chosen = names or [name for name, each in base.claims.items() if each.kind in KINDS]
    return dict(zip(chosen, audit(base, chosen), strict=True))


def with_material(base: RuleBase, name: str, **changed: object) -> RuleBase:
    return base.model_copy(
        update={"materials": {**base.materials, name: base.materials[name].model_copy(update=changed)}}
    )


def test_they_are_proved_of_every_step_of_the_shipped_work(base: RuleBase) -> None:
    steps = sum(len(each.steps) + len(each.upkeep) for each in base.procedures.values())
    for name, finding in examined(base).items():
        assert finding.outcome == "proved", (name, finding.breaks)
        assert finding.questions >= (steps if base.claims[name].kind == "worn" else 40)


@pytest.mark.parametrize(
    ("claim", "gear"),
    [
        ("masked_against_isocyanates", "vapour_respirator"),
        ("masked_against_solvents", "vapour_cartridges"),
        ("masked_against_dust", "dust_respirator"),
        ("clad_against_acid", "acid_gloves"),
        ("gloved_against_hardeners_and_lye", "gloves"),
    ],
)
def test_gear_that_asks_for_nothing_is_missed_where_it_is_needed(base: RuleBase, claim: str, gear: str) -> None:
    finding = examined(with_material(base, gear, against=()), claim)[claim]
    assert finding.outcome == "refuted"
    assert base.materials[gear].name in finding.breaks[0].what


@pytest.mark.parametrize("changed", [{"brings": ()}, {"harmless": True}])
def test_a_substance_says_one_thing_about_its_hazards(base: RuleBase, changed: dict[str, object]) -> None:
    finding = examined(with_material(base, "sand", **changed), "substances_tell")["substances_tell"]
    assert [base.materials["sand"].name in each.what for each in finding.breaks] == [True]


@pytest.mark.parametrize(
    ("procedure", "step", "worn"),
    [
        ("epoxy_sand", "broadcast", "dust_respirator"),
        ("dye_sealed", "apply_dye", "vapour_respirator"),
        ("penetrating_repellent", "renew_treatment", "vapour_respirator"),
        ("cementitious_urethane", "trowel_urethane", "vapour_cartridges"),
        ("reactive_stain_sealed", "spray_reactive_stain", "acid_gloves"),
    ],
)
def test_what_is_worn_by_hand(base: RuleBase, procedure: str, step: str, worn: str) -> None:
    work = base.procedures[procedure]
    found = [each for each in (*work.steps, *work.upkeep) if each.do == step]
    assert found
    for each in found:
        task = base.tasks[each.do]
        assert worn in protection(base, task, each.uses), cautions_of(base, task, each.uses)
