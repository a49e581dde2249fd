"""The answer on one screen: nothing of a hazard is lost on it, its reasons decide, and it fits a screen."""

from __future__ import annotations

import math
import re
from collections import Counter
from datetime import date
from io import StringIO
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rich.console import Console

from advisor.answer.apart import drawbacks, nearest, reasons
from advisor.demo import demo_cases
from advisor.errors import AdvisorError
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Fit
from advisor.model.standing import FinishStanding, Hazard
from advisor.pages.advice_report import advice_page
from advisor.pages.blocks import Notice, Page, Term, Terms
from advisor.pages.compare import compared
from advisor.pages.reason_words import of_it
from advisor.pages.short_answer import OF_A_STOP, SCREEN, SHORTER, page_in, short_page
from advisor.pages.text import print_page
from advisor.rulebase.documents import read_document
from advisor.work.fit import fit, most_days, study_fully
from advisor.work.takeoff import TakeOff
from explanations.wording import label, wording
from explanations.words import first_sentence
from tests.answer.test_judging import BASE, REASONER
from tests.views import Views

TODAY = date(2026, 11, 27)
GOLDEN = Path(__file__).parent.parent / "golden"


def text_of(advice: Advice, full: bool = False) -> str:
    return printed((advice_page if full else short_page)(advice))


def printed(page: Page) -> str:
    file = StringIO()
    print_page(page, Console(file=file, width=80, color_system=None))
    return file.getvalue()


def flat(text: str) -> str:
    return " ".join(text.split())


def study_of(case: Case) -> TakeOff:
    return study_fully(REASONER, case, TODAY)


@pytest.fixture(scope="module")
def studies() -> list[TakeOff]:
    """Random floors: half as they are met, half of any kind."""
    found = []
    for case in Views(REASONER, TODAY).floors(Random(216), 14):
        try:
            found.append(study_of(case))
        except AdvisorError:  # a size of which no job can be made
            continue
    return found


@pytest.fixture(scope="module")
def demos() -> dict[str, TakeOff]:
    return {name: study_of(read_case(path, BASE, TODAY)) for name, path in demo_cases().items()}


def test_no_hazard_that_concerns_a_floor_is_missing(studies: list[TakeOff]) -> None:
    for study in studies:
        advice = study.advice
        page = flat(" ".join(item for term in short_page(advice).blocks[-1].terms for item in term.items))  # type: ignore[union-attr]
        named = page.rpartition("Dangers of the work:")[2]  # "lifting" may stand in a sentence before
        others = 0
        for hazard in advice.concerning:
            if hazard.in_full and (hazard.floor or not advice.stops):
                assert flat(hazard.says) in page or flat(hazard.brief) in page
            elif hazard.title not in named:  # only where nothing may be begun are some that the work brings counted
                assert advice.stops
                assert not hazard.floor
                others += 1
        assert others == 0 or f"and {others} other" in page or f": {others} lesser" in page


def test_what_is_special_to_a_floor_has_one_sentence_for_where_room_is_shortest() -> None:
    """It says what not to do, or what to do first, and names a danger that its title names."""
    for name, caution in BASE.cautions.items():
        if caution.usual or first_sentence(caution.says) == caution.says.rstrip("."):
            continue
        assert caution.brief, name
        assert first_sentence(caution.brief) == caution.brief.rstrip("."), name
        assert len(caution.brief) < len(caution.says), name
        assert re.search(r"\b([Dd]o not|runs indoors|before|have|draw|stays out|keep)\b", caution.brief), name


def test_where_everybody_leaves_that_is_said_first_and_whole() -> None:
    facts = {"trouble": "smell", "smell_kind": "fuel_or_gas", "crack_growing": "yes"}
    facts |= {"exposure": "indoors", "on_floor": "paint", "lead_test": "found"}
    advice = study_of(make_case(BASE, {name: Statement(value) for name, value in facts.items()}, TODAY)).advice
    first, *others = advice.stops
    assert first.leave
    assert len(others) > 1
    for detail in SHORTER:
        page = flat(printed(page_in(advice, detail)).replace("!", ""))
        assert flat(first.tell) in page
        assert all(each.who in page or each.brief in page for each in others)
        later = [page.find(flat(who)) for each in others for who in (each.who, each.brief)]
        assert page.index(flat(first.tell)) < min(place for place in later if place >= 0)


def test_the_full_answer_tells_each_hazard_in_full_exactly_once(studies: list[TakeOff]) -> None:
    for study in studies:
        page = flat(text_of(study.advice, full=True).replace("  !", " ").replace("- ", " "))
        for hazard in study.advice.concerning:
            said = flat(hazard.says.replace("- ", " "))
            others = [each for each in study.advice.concerning if said in flat(each.says) and each != hazard]
            assert page.count(said) == 1 + len(others), hazard.caution


def test_what_is_stated_and_special_is_told_in_full() -> None:
    """By the facts a case states, not by the rules: whatever else is unknown."""
    for fact, value, caution in (
        ("floor_heating", "yes", "heating_pipes"),
        ("post_tensioned", "yes", "tendons"),
        ("fuel_engine_indoors", "yes", "carbon_monoxide"),
        ("on_floor", "black_adhesive", "asbestos_unknown"),
        ("sensitive_people", "yes", "people_who_must_stay_away"),
    ):
        for known in (False, True):
            stated = {"exposure": Statement("indoors"), "room": Statement("garage")}
            if known:
                stated[fact] = Statement(value)
            advice = study_of(make_case(BASE, stated, TODAY)).advice
            found = next((each for each in advice.hazards if each.caution == caution), None)
            assert found is not None or not known, caution
            if found:
                assert found.in_full == known, caution
                assert bool(found.hangs_on) != known, caution


def test_a_stated_no_shouts_no_more_than_what_nobody_knows() -> None:
    """In the open air: the tin still burns, so fire is named; but with a flame near it is told in full."""
    document: Any = read_document(Path(__file__).parent.parent / "scenarios" / "adviser.yaml").content
    patio = next(each["given"] for each in document["scenarios"] if each["name"].startswith("Stamped patio"))
    told = {}
    for said in ("yes", "no", "unknown"):
        case = make_case(BASE, {**texts(patio), "ignition_sources": Statement(said)}, TODAY)
        found = {each.caution: each for each in study_of(case).advice.hazards}
        told[said] = found["solvent_fire"].in_full
        shown = "says" if told[said] else "title"
        assert flat(getattr(found["solvent_fire"], shown)) in flat(text_of(study_of(case).advice))
    assert told == {"yes": True, "no": False, "unknown": False}


def texts(facts: dict[str, str]) -> dict[str, Statement]:
    return {name: Statement(text) for name, text in facts.items()}


def points_of(standing: FinishStanding) -> Counter[str]:
    sums = Counter[str]()
    for each in standing.points:
        sums[each.rule] += each.weighted
    return sums


def test_no_reason_holds_as_well_for_the_runner_up(studies: list[TakeOff], demos: dict[str, TakeOff]) -> None:
    told = 0
    for study in [*studies, *demos.values()]:
        advice = study.advice
        first, second = advice.leading, advice.standing(advice.answer.runner_up)
        if first is None or second is None or advice.stops or advice.holds:
            continue
        mine, theirs = points_of(first), points_of(second)
        differ = any(mine[rule] > theirs[rule] for rule in {*mine, *theirs})
        hangs_on = {each.rule: each for each in advice.bearing}
        for each in reasons(advice, 3):
            assert not (each.shared and differ)
            if not each.shared:  # it sets the first apart from the finish over which it is told, or excludes that one
                over = advice.standing(hangs_on[each.rule].over)
                if hangs_on[each.rule].does == "points" and over:
                    assert mine[each.rule] > points_of(over)[each.rule]
                told += 1
        worst = sorted(value for value in mine.values() if value < 0)[:2]
        assert [each.points for each in drawbacks(first, 2)] == worst
    assert told


def test_the_worst_drawbacks_stand_on_the_page_whoever_shares_them(demos: dict[str, TakeOff]) -> None:
    for study in demos.values():
        leading = study.advice.leading
        if leading is None or study.advice.stops or study.advice.holds:
            continue
        text = flat(text_of(study.advice))
        for each in drawbacks(leading, 2):
            assert flat(of_it(each.because, leading.name)) in text


def test_however_short_no_danger_call_cost_or_first_thing_is_left_out(studies: list[TakeOff]) -> None:
    kept = {wording(f"short.margin.{name}") for name in ("against", "cost", "days", "usual")}
    shortened = 0
    for study in studies:
        advice, whole = study.advice, page_in(study.advice, SHORTER[0])
        for detail in SHORTER[1:]:
            page = page_in(advice, detail)
            assert terms_of(page, kept) == terms_of(whole, kept)
            text = flat(page.words() + " ".join(e.title for e in page.blocks if isinstance(e, Notice)))
            assert all(each.who in text or each.brief in text for each in advice.stops)
            assert not advice.stops or re.search(
                "[Bb]efore anything is measured|Nothing is measured|before any work", text
            )
            asked, leave = advice.answer.asked, any(each.leave for each in advice.stops)
            assert not asked or leave or text.startswith(first_sentence(asked.sentence))
            assert not advice.stops or "Local codes and licensed practice come first" in text
            assert all(flat(e.says if detail.whole else e.brief) in text for e in told_in_full(advice))
            assert all(each.title in text for each in advice.concerning if each.floor and not each.in_full)
            assert all(each.title in text for each in advice.concerning if each.hangs_on and not advice.stops)
            first = " ".join(" ".join(each.items) for each in terms_of(page, {wording("short.margin.first")}))
            needs = advice.leading.first if advice.leading and not advice.stops and not advice.holds else ()
            named = [each for each in needs if detail.then or each.decides]
            assert all(label("need", each.need) in first for each in named)
            assert len(named) == len(needs) or wording("short.then", n=len(needs) - len(named)) in first
            shortened += page != whole
    assert shortened


def told_in_full(advice: Advice) -> list[Hazard]:
    return [each for each in advice.concerning if each.in_full and (each.floor or not advice.stops)]


def terms_of(page: Page, names: set[str]) -> list[Term]:
    return [term for each in page.blocks if isinstance(each, Terms) for term in each.terms if term.name in names]


def test_a_reason_that_begins_with_its_finish_says_it() -> None:
    assert of_it("Floor paint wears through in 2 years. Then more.", "floor paint") == "It wears through in 2 years"
    assert of_it("As commonly sold, floor paint wears.", "floor paint") == "As commonly sold, floor paint wears"
    assert of_it("Floor paints wear.", "floor paint") == "Floor paints wear"
    assert of_it("Floor paint itself wears.", "floor paint") == "Floor paint itself wears"


@pytest.mark.parametrize(
    ("stated", "beyond"), [({"static_control_needed": "yes"}, True), ({"heaving_or_settling": "yes"}, False)]
)
def test_a_stop_names_what_leads_unless_no_finish_is_for_such_a_floor(stated: dict[str, str], beyond: bool) -> None:
    facts = {"exposure": "indoors", "room": "server_room", "building_year": "2015", "on_floor": "bare", **stated}
    advice = study_of(make_case(BASE, {name: Statement(value) for name, value in facts.items()}, TODAY)).advice
    assert advice.leading
    assert any(each.beyond for each in advice.stops) == beyond
    said = flat(wording("short.after_stop", name=advice.leading.name))
    assert (said in flat(text_of(advice))) != beyond


def test_demo_cases_fit_their_screen(demos: dict[str, TakeOff]) -> None:
    for study in demos.values():
        lines = len(text_of(study.advice).splitlines())
        assert lines <= (OF_A_STOP if study.advice.stops else SCREEN)


@pytest.mark.parametrize("name", demo_cases())
def test_the_answer_is_as_it_was(name: str, demos: dict[str, TakeOff], request: pytest.FixtureRequest) -> None:
    path, text = GOLDEN / f"advise_{name}.txt", text_of(demos[name].advice)
    mark = study_mark(demos[name])  # which changes with every rule
    text = "".join(f"{line.rstrip()}\n" for line in text.splitlines()).replace(mark, "MARK")
    if request.config.getoption("--update-golden"):
        path.write_text(text, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text


SHARED = 15  # the floors of a seasoned adviser's review come first in their file


def test_the_answers_to_the_floors_of_the_review_are_as_they_were(request: pytest.FixtureRequest) -> None:
    document: Any = read_document(Path(__file__).parent.parent / "scenarios" / "adviser.yaml").content
    some = [(each["name"], each["given"]) for each in document["scenarios"][:SHARED]]
    told, lines = [], list[int]()
    for floor, given in some:
        study = study_of(make_case(BASE, {name: Statement(text) for name, text in given.items()}, TODAY, floor))
        text = "".join(f"{line.rstrip()}\n" for line in text_of(study.advice).splitlines())
        told.append(text.replace(study_mark(study), "MARK"))
        lines.append(len(text.splitlines()))
    assert sum(each > SCREEN for each in lines) <= 1  # a heated bathroom, whose two dangers take ten lines
    assert max(lines) <= SCREEN + 2
    path = GOLDEN / "advise_review.txt"
    if request.config.getoption("--update-golden"):
        path.write_text("\n".join(told), encoding="utf-8")
    assert path.read_text(encoding="utf-8") == "\n".join(told)


def study_mark(study: TakeOff) -> str:
    return study.advice.rule_base.fingerprint


FLOOR = {
    "room": "garage", "exposure": "indoors", "slab_position": "on_ground", "building_year": "2001", "on_floor": "bare",
    "slab_age": "20 years", "area": "40 m2", "who_works": "self", "vehicles": "cars", "wanted_look": "flecked",
    "country": "united_states",
}  # fmt: skip


@pytest.mark.parametrize(
    ("budget", "days"), [("100 USD", "60 days"), ("90000 USD", "1 days"), ("90000 USD", "60 days")]
)
def test_what_does_not_fit_is_said_in_the_first_sentence(budget: str, days: str) -> None:
    stated = {**FLOOR, "budget": budget, "days_shut": days}
    study = study_of(make_case(BASE, {name: Statement(text) for name, text in stated.items()}, TODAY))
    advice = study.advice
    if advice.fit is None:  # nothing may be had for so little money, or in so short a time
        assert advice.answer.leading is None
        return
    (column,) = compared(study, [advice.fit.finish], 0.03)
    assert advice.fit.money == ("short" if budget == "100 USD" else "enough"), column.figures.own
    first = flat(text_of(advice)).partition(" Why ")[0]
    assert ("more than the 100 USD" in first) == (budget == "100 USD")
    assert ("and you have" in first) == (advice.fit.time != "enough")
    assert advice.opening.rstrip(".").startswith(advice.answer.sentence.rstrip("."))


def test_where_nothing_is_left_the_nearest_are_named_and_what_rules_them_out() -> None:
    stated = {**FLOOR, "budget": "60 USD"}
    advice = study_of(make_case(BASE, {name: Statement(text) for name, text in stated.items()}, TODAY)).advice
    assert all(each.verdict == "ruled out" for each in advice.standings)
    near, told = nearest(advice, 3), flat(text_of(advice))
    assert near
    assert min(len(each.ruled_out_by) for each in advice.standings) == len(near[0].ruled_out_by)
    assert wording("short.margin.nearest") in told
    assert all(f"{each.name[1:]}: " in told for each in near)


def test_cost_and_days_are_those_of_the_cost_page_and_of_compare(demos: dict[str, TakeOff]) -> None:
    for study in demos.values():
        fit = study.advice.fit
        if fit is None:
            continue
        (column,) = compared(study, [fit.finish], 0.03)
        low, high = column.figures.hired if study.hired else column.figures.own
        assert fit.cost == (low.total, high.total)
        assert fit.days == column.shut


def test_where_one_open_fact_makes_a_cost_wide_it_is_named_with_what_is_left_without_it() -> None:
    said = {"room": "warehouse", "area": "20000 ft2", "slab_age": "45 days", "vehicles": "forklifts",
            "who_works": "hired", "dust_free_needed": "yes", "country": "us"}  # fmt: skip

    def told(**more: str) -> Fit:
        stated = {name: Statement(text) for name, text in {**said, **more}.items()}
        found = study_of(make_case(BASE, stated, TODAY)).advice.fit
        assert found is not None
        return found

    wide, bare = told(), told(on_floor="bare")
    assert wide.cost[1] > 4 * bare.cost[1]
    most = f"at most USD {math.ceil(bare.cost[1]):,}, unless {label('fact', 'on_floor')} calls for more"
    assert most in wide.says[0]
    assert f"at most {most_days(bare.days)}, unless {label('fact', 'on_floor')}" in wide.says[1]
    assert "unless" not in " ".join(bare.says)


def test_how_it_fits_is_told_in_the_readers_money_whoever_asks() -> None:
    said = {"country": "european_union", "area": "75 m2", "budget": "15000 USD"}
    known = read_case(demo_cases()["untested_garage"], BASE, TODAY).stated
    study = study_of(make_case(BASE, {**known, **{name: Statement(text) for name, text in said.items()}}, TODAY, "it"))
    found = fit(study)
    assert found is not None
    assert found == study.advice.fit
    assert "EUR" in found.says[0]
    assert "USD" not in found.says[0].replace("15000 USD (about EUR 13,514)", "")  # as stated, and what it comes to
