"""What comes before day 1: dates only where nothing open comes first, known waits in days, no plan under a stop."""

from __future__ import annotations

import re
from datetime import datetime
from io import StringIO

import pytest
from matplotlib import pyplot
from rich.console import Console

from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case as case_of
from advisor.facts.statements import Statement
from advisor.model.knowledge import RuleBase
from advisor.pages.blocks import Notice, Page
from advisor.pages.calendar_page import laid_out, plan_picture
from advisor.pages.compare import compare_page, compared
from advisor.pages.letter import letter_page
from advisor.pages.plan_page import plan_page
from advisor.pages.records import plan_record
from advisor.pages.text import print_page
from advisor.physics.bounds import Interval
from advisor.work.before import before
from advisor.work.takeoff import TakeOff, begin
from explanations.words import first_sentence

from .conftest import TODAY, MakeCase

START = datetime(2026, 11, 26)
NEW = {  # a slab of six weeks in a house, its mix wet; an invented floor
    "room": "living_area",
    "exposure": "indoors",
    "slab_age": "6 weeks",
    "slab_thickness": "4 in",
    "drying_sides": "one",
    "water_cement_ratio": "0.5 to 0.55",
    "vapour_retarder": "present",
    "wanted_look": "solid_colour",
    "air_humidity": "50 %",
    "country": "united_states",
}
DATE = re.compile(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d{1,2} [A-Z]|\d{4}-\d\d-\d\dT")


@pytest.fixture
def study_of(reasoner: Reasoner, make_case: MakeCase):  # type: ignore[no-untyped-def]
    def make(**changed: str | None) -> TakeOff:
        return begin(reasoner, make_case(**changed), TODAY)

    return make


def text(page: Page) -> str:
    """All that a page shows, cells of tables included."""
    file = StringIO()
    print_page(page, Console(file=file, width=400, highlight=False))
    return " ".join(file.getvalue().split())


def test_a_known_wait_moves_the_first_day(study_of, base: RuleBase) -> None:  # type: ignore[no-untyped-def]
    """A repellent needs no dry slab, only an old one: 28 days less 20; the calendar begins 8 days from today."""
    study = study_of(**{**NEW, "slab_age": "20 days"})
    needed = base.finishes["penetrating_repellent"].properties["least_age"].interval
    assert needed == Interval(28.0, 28.0)
    first = before(study, "penetrating_repellent")
    wait = next(each for each in first.steps if each.need == "wait_for_age")
    assert wait.more == Interval(8.0, 8.0)
    assert "28 days old at least" in wait.words
    assert "8 days more" in wait.words
    plan = laid_out(study, "penetrating_repellent", START)
    assert plan
    assert plan.first.dated
    assert plan.begins == datetime(2026, 12, 3)
    assert all(start >= plan.begins for each in plan.slow.planned for start, _ in each.pieces)
    late = laid_out(study, "penetrating_repellent", datetime(2026, 12, 24))
    assert late
    assert late.begins == datetime(2026, 12, 24)
    assert "The work begins on Thursday 3 December 2026" in text(plan_page(study, "penetrating_repellent", START))


def test_an_estimate_that_spans_all_that_can_be_is_no_estimate(reasoner: Reasoner) -> None:
    """A slab of which only age and thickness are known: how long it still dries is not told as 0 to 274 years."""
    said = {
        "room": "living_area",
        "exposure": "indoors",
        "area": "40 m2",
        "slab_age": "6 weeks",
        "slab_thickness": "4 in",
    }
    case = case_of(reasoner.base, {name: Statement(text) for name, text in said.items()}, TODAY)
    study = begin(reasoner, case, TODAY)
    steps = [each for finish in study.base.finishes for each in before(study, finish).steps]
    drying = [each for each in steps if each.need == "let_slab_dry"]
    assert drying
    assert [each for each in drying if each.estimate or each.days] == []


def test_only_who_works_himself_is_told_what_to_practise(study_of) -> None:  # type: ignore[no-untyped-def]
    himself, crew = (
        text(plan_page(study_of(**{**NEW, "slab_age": "20 days", "who_works": who}), "penetrating_repellent", START))
        for who in ("self", "hired")
    )
    assert "How hard it is for you" in himself
    assert "How hard it is for you" not in crew
    assert "Hire a crew" not in crew


def test_a_plan_before_which_a_test_decides_has_no_date(study_of) -> None:  # type: ignore[no-untyped-def]
    study = study_of(**NEW)
    finish = "floor_paint"
    first = before(study, finish)
    opens = {each.need for each in first.steps if each.opens}
    assert "let_slab_dry" in opens
    assert not first.dated
    page = plan_page(study, finish, START)
    said = text(page)
    assert not DATE.search(said)
    assert "day 1, 8:00" in said
    assert "Day 1 is the first day after that" in said
    assert "cannot be before Sunday 13 December 2026" in said  # 60 days less 42, from 25 November
    assert re.search(r"By calculation some \d+ to \d+ days more; only the test tells", said)
    notice = next(block for block in page.blocks if isinstance(block, Notice))
    assert notice.title == "Before day 1"
    record = plan_record(study, finish, START)
    assert record.dated is False
    assert record.not_before == "2026-12-13"
    assert record.quick
    assert record.slow
    assert not DATE.search(record.quick.model_dump_json() + record.slow.model_dump_json())
    assert record.slow.phases[0].work[0][0] == "day 1, 08:00:00"


@pytest.mark.parametrize(
    "changed",
    [
        {"slab_age": "3 days"},
        {"active_leak": "yes"},
        {"asbestos_suspected": "yes"},
        {"lead_suspected": "yes"},
        {"heaving_or_settling": "yes"},
    ],
    ids=lambda each: next(iter(each)),
)
def test_under_a_stop_or_hold_there_is_no_plan(study_of, changed: dict[str, str]) -> None:  # type: ignore[no-untyped-def]
    study = study_of(**{**NEW, **changed})
    assert study.advice.stops or study.advice.holds
    assert laid_out(study, "floor_paint", START) is None
    said = text(plan_page(study, "floor_paint", START))
    assert "There is no plan yet" in said
    assert "day 1" not in said
    assert not DATE.search(said)
    for each in (*study.advice.stops, *study.advice.holds):
        assert each.reasons[0].because in said
    record = plan_record(study, "floor_paint", START)
    assert (record.quick, record.slow, record.not_before) == (None, None, None)
    first = record.before[: len(study.advice.stops) + len(study.advice.holds)]
    assert all(each.open and each.why for each in first)


def test_the_wait_of_a_hold_is_told_in_days(study_of) -> None:  # type: ignore[no-untyped-def]
    said = text(plan_page(study_of(**{**NEW, "slab_age": "3 days"}), "floor_paint", START))
    assert "The slab is 3 days old" in said
    assert "It takes 4 days more" in said


def test_a_finish_that_is_ruled_out_gets_no_dates(study_of) -> None:  # type: ignore[no-untyped-def]
    study = study_of(slab_humidity="99 %")
    out = next(each.finish for each in study.advice.standings if each.verdict == "ruled out")
    assert not DATE.search(text(plan_page(study, out, START)))


def test_a_floor_before_which_nothing_open_comes_has_dates(study_of) -> None:  # type: ignore[no-untyped-def]
    dated = study_of(slab_age="over 20 years", slab_humidity="60 %", exposure="indoors")
    finish = next(
        each.finish
        for each in dated.advice.standings
        if each.verdict != "ruled out" and before(dated, each.finish).dated
    )
    assert DATE.search(text(plan_page(dated, finish, START)))


def test_every_need_that_waits_is_known_or_leaves_day_1_open(base: RuleBase) -> None:
    for name, need in base.needs.items():
        if need.kind == "wait":
            first = base.comes_first[name]
            assert first.over != "day_1" or first.until or first.by_calculation or first.days or first.free, name


def test_the_plan_tells_the_reason_of_each_thing_that_comes_first_and_the_letter_of_what_decides(study_of) -> None:  # type: ignore[no-untyped-def]
    study = study_of(**NEW)
    leading = study.advice.answer.leading
    assert leading
    plan, letter = text(plan_page(study, leading, START)), text(letter_page(study, 0.03))
    for to_do in study.standing(leading).first:
        assert " ".join(to_do.says.split()) in plan
        assert " ".join(to_do.reasons[0].because.split()) in plan
        assert " ".join(first_sentence(to_do.says).split()) in letter
        if to_do.decides:
            assert " ".join(first_sentence(to_do.reasons[0].because).split()) in letter


def test_a_room_that_may_be_shut_too_briefly_is_told_so(study_of) -> None:  # type: ignore[no-untyped-def]
    tight = study_of(days_shut="3 days", area="90 m2", slab_humidity="60 %", spalls=None, cracks=None, oil_stains=None)
    finish = tight.advice.answer.leading
    assert finish
    columns = compared(tight, [finish], 0.03)
    assert columns[0].shut[0] < 3 < columns[0].shut[1]
    for page in (plan_page(tight, finish, START), letter_page(tight, 0.03)):
        assert re.search(
            r"ou have 3 days; until the floor may be walked on, this may take up to [\d.]+ days", text(page)
        )
    assert "; you have 3 days" in text(compare_page(tight, columns))
    ample = study_of(days_shut="60 days", slab_humidity="60 %")
    assert "ou have 60 days; until" not in text(letter_page(ample, 0.03))


def test_a_long_plan_is_told_by_weeks(study_of) -> None:  # type: ignore[no-untyped-def]
    large = study_of(area="3000 m2", slab_age="over 20 years", slab_humidity="60 %", who_works="hired")
    page = plan_page(large, "polished_natural", START)
    plan = laid_out(large, "polished_natural", START)
    assert plan
    assert plan.coarse
    assert (plan.slow.planned[-1].free - plan.begins).days > plan.longest
    table = next(block for block in page.blocks if getattr(block, "head", ("",))[0] == "Work")
    assert table.head[1] == "Week"  # type: ignore[union-attr]
    assert "more sets shorten it" not in text(page)  # a crew comes in gangs to a floor of this size
    own = study_of(area="300 m2", slab_age="over 20 years", slab_humidity="60 %", who_works="self", helpers="3")
    assert "worked out for one set of tools and" in text(plan_page(own, "polished_natural", START))
    assert not any(re.search(r"\d:\d\d", cell) for row in table.rows for cell in row)  # type: ignore[union-attr]


def test_the_picture_of_numbered_days_names_no_date(study_of) -> None:  # type: ignore[no-untyped-def]
    plan = laid_out(study_of(**NEW), "floor_paint", START)
    assert plan
    figure = plan_picture(plan, "Days")
    figure.canvas.draw()
    labels = [each.get_text() for each in figure.axes[0].get_xticklabels()]
    assert labels
    assert all(re.fullmatch(r"day -?\d+", label) for label in labels)
    pyplot.close(figure)
