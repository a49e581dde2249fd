"""What the advice puts first is in the list, the hours, the price and the days of every view, or named as left out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

import advisor.demo
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, read_case
from advisor.model.contradictions import contradicted
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, number
from advisor.pages.compare import compared
from advisor.pages.lists import figures
from advisor.pages.records import cost_record
from advisor.physics.bounds import Interval
from advisor.work.before import before
from advisor.work.cost import cost_range, shopping
from advisor.work.fit import days_shut, fitted
from advisor.work.granted import left_to_others
from advisor.work.job import Job
from advisor.work.needed import materials_needed
from advisor.work.pace import work_hours
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW
from advisor.work.takeoff import TakeOff, begin
from explanations.wording import label

from ..floors import random_case
from .conftest import TODAY, MakeCase, MakeJob


@pytest.fixture
def study_of(reasoner: Reasoner, make_case: MakeCase):  # type: ignore[no-untyped-def]
    def make(**changed: str | None) -> TakeOff:
        return begin(reasoner, make_case(**changed), TODAY)

    return make


def test_everything_that_can_come_first_says_what_it_takes(base: RuleBase) -> None:
    """But what is asked or chosen, which takes no work."""
    for name, need in base.needs.items():
        if need.kind in ("test", "prepare", "repair", "wait"):
            first = base.comes_first[name]
            waits = bool(first.until or first.by_calculation or first.over != "day_1")
            ways = [bool(first.uses), bool(first.steps), first.others, first.free, waits]
            assert sum(ways) == 1, name
            assert not first.others or first.days or name == "people_moved_out", name


@pytest.mark.parametrize(("area", "holes"), [("440 ft2", 3), ("1000 ft2", 3), ("1001 ft2", 4), ("4500 ft2", 7)])
def test_humidity_is_measured_in_as_many_holes_as_the_standard_asks(make_job: MakeJob, area: str, holes: int) -> None:
    """ASTM F2170: three for the first 1000 ft2 and at least one for each additional 1000 ft2."""
    job = make_job("epoxy_flake", area=area, first=("measure_slab_humidity",))
    for setting in (LOW, HIGH):
        assert materials_needed(job, setting)["humidity_probe"] == holes
        assert materials_needed(job, setting)["testing_visit"] == 1


def test_one_visit_serves_two_needs(make_job: MakeJob) -> None:
    both = make_job("epoxy_flake", first=("measure_slab_humidity", "find_why_it_failed"))
    needed = materials_needed(both, HIGH)
    assert (needed["testing_visit"], needed["humidity_probe"], needed["pull_off_dolly"]) == (1, 3, 3)


def test_tests_are_in_the_price_whoever_works(make_job: MakeJob, book: PriceBook) -> None:
    for hired in (False, True):
        bare = make_job("epoxy_flake", hired=hired)
        tested = make_job("epoxy_flake", hired=hired, first=("measure_slab_humidity",))
        fee = sum(line.cost for line in shopping(tested, book) if line.part == "tests")
        assert fee > 0
        for plain, full in zip(cost_range(bare, book), cost_range(tested, book), strict=True):
            assert full.tests >= fee
            assert full.total == pytest.approx(plain.total + full.tests)


def test_a_wet_basement_names_what_is_left_to_others_and_how_long_it_takes(study_of) -> None:  # type: ignore[no-untyped-def]
    damp = study_of(
        room="basement_room", slab_position="below_ground", on_floor="film_sealer", white_powder="yes",
        dark_spots="yes", musty_smell="yes", exposure="indoors",
    )  # fmt: skip
    told = [
        left
        for each in damp.advice.standings
        if each.verdict != "ruled out"
        for left in left_to_others(damp.job(each.finish))
    ]
    assert any("days" in each for each in told), told


DRAWN = (  # what an estimator walks over; all else is as in a sound garage
    "on_floor", "coating_bond", "oil_stains", "cracks", "spalls", "dusting", "surface_hardness", "tyre_marks",
    "joint_fill", "joint_edges", "joints_move", "water_drop_test", "white_powder", "wanted_look", "who_works",
    "vehicles", "coating_peeled", "room", "wanted_gloss", "slab_humidity", "curing_method",
)  # fmt: skip


def floors(base: RuleBase, many: int) -> Iterator[dict[str, Value]]:
    """Garages with a few things wrong, by chance, free of contradictions."""
    rng = Random(18)
    garage = read_case(Path(advisor.demo.__file__).parent / "untested_garage.yaml", base, TODAY).facts
    while many:
        drawn = random_case(base, rng, known=1.0)
        facts = {**garage, **{name: drawn[name] for name in rng.sample(DRAWN, 9) if name in drawn}}
        facts["area"] = number(Interval(*[round(rng.uniform(8, 400), 1)] * 2), "m2")
        if not contradicted(base, facts):
            many -= 1
            yield facts


def test_no_thing_that_comes_first_is_lost_and_all_views_say_the_same(reasoner: Reasoner, base: RuleBase) -> None:
    seen = 0
    for facts in floors(base, 12):
        study = begin(reasoner, Case("drawn by chance", "", facts), TODAY)
        leading = study.advice.answer.leading
        if leading and not study.advice.stops and not study.advice.holds:
            seen += 1
            job = study.job(leading)
            held_to_the_advice(study, job)
            same_everywhere(study, job)
    assert seen >= 5


def held_to_the_advice(study: TakeOff, job: Job) -> None:
    """Each thing that comes first is bought, done, left to others, waited for, or free."""
    left, high = " ".join(left_to_others(job)), materials_needed(job, HIGH)
    done, told = {step.do for step in job.steps}, {each.need for each in before(study, job.finish.id).steps}
    for to_do in study.standing(job.finish.id).first:
        assert to_do.need in told
        first = study.base.comes_first.get(to_do.need)
        if first is None:
            assert to_do.kind in ("ask", "choose"), to_do.need
            continue
        assert all(high[name] > 0 for name in first.uses), to_do.need
        if first.others or (first.steps and not done & set(first.steps)):
            assert label("need", to_do.need) in left


def same_everywhere(study: TakeOff, job: Job) -> None:
    """Money, hours and days of one finish on one floor."""
    finish = job.finish.id
    low, high = cost_range(job, study.book)
    hours, shut = work_hours(job), days_shut(study, job)
    fit = fitted(study).advice.fit
    assert fit is not None
    assert (fit.cost, fit.days) == ((low.total, high.total), shut)
    shown = figures(study, finish, 0.03)
    assert (shown.hired if study.hired else shown.own) == (low, high)
    column = compared(study, [finish], 0.03)[0]
    assert (column.figures.hired if study.hired else column.figures.own) == (low, high)
    assert column.shut == shut
    record = cost_record(study, finish, 0.03)
    mine = record.hired if study.hired else record.own
    assert [each.total for each in mine] == pytest.approx([low.total, high.total], abs=0.01)
    assert hours[0] <= hours[1]
