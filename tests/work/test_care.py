"""How a floor is kept: by its finish and its use; what is told was chosen by hand from the finish's kind."""

from __future__ import annotations

import pytest

from advisor.engines.reasoning import Reasoner
from advisor.model.knowledge import RuleBase
from advisor.pages.letter import letter_page
from advisor.pages.pdf import fitted_pdf
from advisor.work.care import care_plan
from advisor.work.cost import price, priced
from advisor.work.needed import upkeep_needed
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW
from advisor.work.takeoff import begin
from tests.views_of_work import flat

from .conftest import TODAY, MakeCase, MakeJob


def kept(make_job: MakeJob, book: PriceBook, finish: str, **facts: str | None) -> set[str]:
    plan = care_plan(make_job(finish, **facts), book)
    return {each.title for each in plan.tasks}


def test_a_polish_is_burnished_and_a_film_is_not(make_job: MakeJob, book: PriceBook) -> None:
    assert "Burnish the polish" in kept(make_job, book, "polished_natural")
    assert "Burnish the polish" not in kept(make_job, book, "epoxy_flake")
    assert "Look the film over" in kept(make_job, book, "epoxy_flake")
    assert "Look whether the sealer is still there" in kept(make_job, book, "grind_and_clear_seal")


def test_cars_ask_for_other_care_than_chairs(make_job: MakeJob, book: PriceBook) -> None:
    garage = kept(make_job, book, "epoxy_solid", vehicles="cars")
    kitchen = kept(make_job, book, "epoxy_solid", vehicles="none", room="kitchen", exposure="indoors")
    assert "Tyres and road salt" in garage - kitchen
    assert {"Glides under chairs and tables", "Mats at the doors"} <= kitchen - garage


def test_polished_concrete_is_never_washed_with_acid(base: RuleBase) -> None:
    says = base.care["wash_polish"].says
    assert "pH 7 to 9" in says
    assert "No vinegar" in says


def test_the_first_year_is_a_usual_one_with_mats_and_glides(make_job: MakeJob, book: PriceBook) -> None:
    """Kitchen of 40.9 m2: 1 to 2 mats of 48.00, 3 to 6 sets of glides (one for 8 to 15 m2) of 7.50, taxed 7.25 %."""
    job = make_job("epoxy_solid", vehicles="none", room="kitchen", exposure="indoors")
    plan = care_plan(job, book)
    assert plan.first_year.low - plan.usual_year.low == pytest.approx((48.0 + 3 * 7.5) * 1.0725)
    assert plan.first_year.high - plan.usual_year.high == pytest.approx((2 * 48.0 + 6 * 7.5) * 1.0725)
    for end, setting in ((plan.usual_year.low, LOW), (plan.usual_year.high, HIGH)):
        cleaning = upkeep_needed(job, "clean_floor", {}, setting)
        assert end == pytest.approx(priced(price(job, book, cleaning, {})).total)


def test_a_renewal_is_told_with_its_years_and_price(make_job: MakeJob, book: PriceBook) -> None:
    ((what, years, cost),) = care_plan(make_job("epoxy_flake"), book).renewals
    assert "fresh coat" in what
    assert (years.low, years.high) == (5.0, 15.0)  # the finish's own renewal
    assert 0 < cost.low < cost.high


def test_every_care_names_what_there_is_and_every_finish_has_some(
    base: RuleBase, make_job: MakeJob, book: PriceBook
) -> None:
    for name, each in base.care.items():
        for about, values in each.where.items():
            assert set(values) <= set(base.properties[about].choices), name
        for fact, values in each.when.items():
            assert set(values) <= set(base.facts[fact].choices), name
        assert set(each.uses) <= set(base.materials), name
    for finish in base.finishes:
        if finish != "loose_cover":
            assert kept(make_job, book, finish), finish


def test_the_letter_tells_it_on_request(reasoner: Reasoner, make_case: MakeCase) -> None:
    study = begin(reasoner, make_case(), TODAY)
    plain, more = letter_page(study, 0.03), letter_page(study, 0.03, care=True)
    assert "Dust-mop dry" not in flat(plain.blocks)
    blocked = study.advice.answer.leading is None or study.advice.stops or study.advice.holds
    assert ("The maker's care sheet comes first" in flat(more.blocks)) != bool(blocked)
    assert flat(more.blocks).startswith(flat(plain.blocks)[:400])
    assert fitted_pdf(more, "letter", 3)
