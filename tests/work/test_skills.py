"""How hard it is, and whether the crew can place it: each from the steps' own properties and the people's own words."""

from __future__ import annotations

import re
from random import Random

import pytest

from advisor.model.knowledge import RuleBase
from advisor.model.procedures import JUDGEMENTS, Grade
from advisor.work.batches import placings
from advisor.work.pricebook import PriceBook
from advisor.work.skills import Asked, StepSkill, judge

from .conftest import MakeJob


def test_every_demand_of_every_step_is_judged_by_the_experience_that_it_names(
    base: RuleBase, make_job: MakeJob
) -> None:
    for finish in base.finishes:
        job = make_job(finish)
        for each in judge(job).steps:
            assert [asked.grade for asked in each.asked] == list(each.step.task.demands.values())
            for name, asked in zip(each.step.task.demands, each.asked, strict=True):
                demand = base.demands[name]
                value = job.facts[demand.experience].choice if demand.experience else "any"
                assert asked.judgement == (demand.some if asked.grade == "some" else demand.much)[value]


def test_the_crux_of_epoxy_is_mixing_against_the_clock_for_someone_who_never_did(make_job: MakeJob) -> None:
    """Common practice, no source."""
    skills = judge(make_job("epoxy_solid", mixed_coatings_before="never", floor_machine_before="often"))
    assert skills.crux.step.id in ("primer_coat", "body_coat")
    assert skills.crux.judgement == "hire"
    assert "against the clock" in skills.words
    assert "cannot be undone" in skills.words
    assert skills.practise


def test_experience_moves_the_crux(make_job: MakeJob) -> None:
    often = judge(make_job("epoxy_solid", mixed_coatings_before="often", floor_machine_before="never"))
    assert often.crux.step.id == "grind_surface"
    assert not often.hire_for


def test_of_two_steps_judged_alike_the_one_with_more_great_demands_weighs_more(make_job: MakeJob) -> None:
    step = make_job("epoxy_solid").steps[0]

    def asked(*grades: Grade) -> StepSkill:
        return StepSkill(step, tuple(Asked("a demand", grade, "", "careful", "Practise it.") for grade in grades))

    assert asked("some", "some", "some").weight < asked("much").weight < asked("some", "much", "much").weight


def test_acid_is_the_crux_of_a_reactive_stain(make_job: MakeJob) -> None:
    """Common practice, no source."""
    skills = judge(make_job("reactive_stain_sealed", handled_acid_before="never"))
    assert skills.crux.step.id == "stain"
    assert any("acid" in line for line in skills.practise)


def test_more_experience_never_makes_a_step_harder(base: RuleBase, make_job: MakeJob) -> None:
    facts = ("mixed_coatings_before", "floor_machine_before", "handled_acid_before")
    for finish in base.finishes:
        ladder = [judge(make_job(finish, **dict.fromkeys(facts, value))) for value in ("never", "few_times", "often")]
        for steps in zip(*(skills.steps for skills in ladder), strict=True):
            order = [JUDGEMENTS.index(each.judgement) for each in steps]
            assert order == sorted(order, reverse=True)


def test_unknown_experience_is_not_taken_for_experience(base: RuleBase) -> None:
    for demand in base.demands.values():
        for judged in (demand.some, demand.much):
            if "unknown" in judged:
                assert JUDGEMENTS.index(judged["unknown"]) > JUDGEMENTS.index("fine")


def test_a_polish_is_easier_than_a_film_for_a_beginner(make_job: MakeJob) -> None:
    """Common practice, no source: a low-speed machine forgives, mixed material does not."""
    beginner = dict.fromkeys(("mixed_coatings_before", "floor_machine_before"), "never")
    polish, film = judge(make_job("polished_natural", **beginner)), judge(make_job("epoxy_solid", **beginner))
    assert polish.crux.weight < film.crux.weight
    assert not polish.hire_for


@pytest.mark.parametrize("people", [1, 2, 3])
def test_batches_hold_no_more_than_is_placed_and_cover_the_floor(
    base: RuleBase, make_job: MakeJob, book: PriceBook, people: int
) -> None:
    for finish in base.finishes:
        job = make_job(finish, people=people)
        for each in placings(job, book):
            assert each.count[0] <= each.count[1]
            assert each.count[1] * each.placed.low >= job.extent.area.high - 1e-6
            assert (each.possible == "yes") == (each.kit is None or each.kit <= each.placed.low)
            assert each.helps or each.possible == "yes"


def test_what_is_said_to_help_does_help(make_job: MakeJob, book: PriceBook) -> None:
    """A beginner alone in a warm room cannot place a kit; with the people or the coolness named, it goes."""
    warm = {"air_temperature": "86 F"}
    alone = {each.step.id: each for each in placings(make_job("epoxy_solid", people=1, **warm), book)}
    tight = alone["body_coat"]
    assert tight.possible != "yes"
    text = " ".join(tight.helps)
    enough = re.search(r"(\d+) people instead of 1", text)
    cooler = re.search(r"A slab at (\d+) °C", text)
    assert enough or cooler
    if enough:
        more = placings(make_job("epoxy_solid", people=int(enough[1]), **warm), book)
        assert next(each for each in more if each.step.id == "body_coat").possible == "yes"
    if cooler:
        cool = placings(make_job("epoxy_solid", people=1, air_temperature=f"{cooler[1]} C"), book)
        assert next(each for each in cool if each.step.id == "body_coat").possible == "yes"


def test_ten_degrees_warmer_halves_what_is_placed(make_job: MakeJob, book: PriceBook) -> None:
    """Common practice, no source: pot life halves for every 10 °C (18 F)."""
    cool, warm = (placings(make_job("epoxy_solid", air_temperature=value), book)[0] for value in ("15 C", "25 C"))
    assert cool.pot_life.low == pytest.approx(2 * warm.pot_life.low)
    assert cool.placed.high == pytest.approx(2 * warm.placed.high)


def test_a_wide_room_and_small_batches_need_joints(make_job: MakeJob, book: PriceBook) -> None:
    wide = placings(make_job("fast_cure_aliphatic", area=None, rooms=("40 m x 30 m",)), book)[0]
    narrow = placings(make_job("fast_cure_aliphatic", area=None, rooms=("100 m x 3 m",)), book)[0]
    assert wide.joints > narrow.joints == 0


def test_the_rules_reason_and_the_plan_count_the_same_batches(
    base: RuleBase, make_job: MakeJob, book: PriceBook
) -> None:
    """On many floors: the sentence of `placing_batches` is that of the plan's worst step, warm or cool, few or many."""
    rng, compared = Random(11), 0
    for _ in range(60):
        facts = {
            "area": f"{rng.choice([20, 41, 100, 160])} m2",
            "helpers": str(rng.randrange(7)),
            "slab_temperature": f"{rng.randrange(-5, 45)} C",
            "air_temperature": f"{rng.randrange(5, 40)} C",
        }
        finish = rng.choice(list(base.finishes))
        job = make_job(finish, **facts)
        by_rule, by_plan = job.facts[f"placing_batches@{finish}"], [each.count for each in placings(job, book)]
        assert by_rule.known
        assert by_rule.interval is not None
        ends = by_rule.interval.low, by_rule.interval.high
        assert ends == (max((low for low, _ in by_plan), default=0), max((high for _, high in by_plan), default=0))
        compared += bool(by_plan)
    assert compared > 10


def test_the_floor_of_the_review(make_job: MakeJob, book: PriceBook) -> None:
    """100 m2, one helper, slab 10 C, air 25 C: the rule said 2 to 7 batches where the plan said 7 to 10."""
    facts = {"area": "100 m2", "helpers": "1", "slab_temperature": "10 C", "air_temperature": "25 C"}
    told = {}
    for finish in ("epoxy_solid", "epoxy_flake", "fast_cure_aliphatic"):
        job = make_job(finish, **facts)
        counts = [each.count for each in placings(job, book)]
        told[finish] = max(low for low, _ in counts), max(high for _, high in counts)
        by_rule = job.facts[f"placing_batches@{finish}"]
        assert by_rule.shown == f"{told[finish][0]} to {told[finish][1]}"
