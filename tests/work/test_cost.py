"""Quantities and cost: published factors, the gallon, relations of the trade, and what must hold of any floor."""

from __future__ import annotations

import csv
import statistics
from pathlib import Path

import numpy_financial as npf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.model.knowledge import RuleBase
from advisor.model.units import LITRES
from advisor.physics.bounds import Interval
from advisor.work.cost import PARTS, cost, cost_range, drivers, shopping, swings
from advisor.work.extent import BadJob, measure
from advisor.work.granted import granted
from advisor.work.job import Job
from advisor.work.life import (
    Round,
    break_even,
    growing_present_value,
    life_cost,
    present_values,
    real_rate,
    rounds,
    single_present_value,
    uniform_present_value,
)
from advisor.work.needed import materials_needed
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW, Setting

from .conftest import MakeCase, MakeJob

TABLE = Path(__file__).parent.parent / "tables" / "discount_factors.csv"
ROWS = list(csv.DictReader(line for line in TABLE.read_text().splitlines() if not line.startswith("#")))
GARAGE_FT2 = 440.0


@pytest.mark.parametrize("row", ROWS, ids=lambda row: "-".join(row.values()))
def test_discount_factors_agree_with_the_published_ones(row: dict[str, str]) -> None:
    rate, years = float(row["rate"]), int(row["years"])
    found = {
        "spv": lambda: single_present_value(rate, years),
        "upv": lambda: uniform_present_value(rate, years),
        "upv_star": lambda: growing_present_value(rate, float(row["growth"]), years),
    }[row["kind"]]()
    assert found == pytest.approx(float(row["factor"]), abs=5.1e-5)


@given(rate=st.floats(0.001, 0.3), years=st.integers(1, 60))
def test_discount_factors_agree_with_numpy_financial(rate: float, years: int) -> None:
    assert single_present_value(rate, years) == pytest.approx(-npf.pv(rate, years, 0, 1), rel=1e-9)
    assert uniform_present_value(rate, years) == pytest.approx(-npf.pv(rate, years, 1), rel=1e-9)
    flows = [0.0, *((1.02) ** year for year in range(1, years + 1))]
    assert growing_present_value(rate, 0.02, years) == pytest.approx(npf.npv(rate, flows), rel=1e-6)


def test_without_a_rate_the_factors_count_years() -> None:
    assert uniform_present_value(0.0, 12) == 12
    assert growing_present_value(0.02, 0.02, 12) == 12
    assert real_rate(0.05, 0.02) == pytest.approx(0.02941, abs=5e-6)


def test_a_published_case_of_ten_years_at_three_percent() -> None:
    """references K12: 2000 first and 300 at 3, 6, 9 years; 4500 first and 50 a year.  Computed from K1 and K2."""
    assert present_values(2000.0, [Round("renew", 3.0, 300.0)], 0.03, 10)[-1] == pytest.approx(2755.71, abs=0.005)
    assert present_values(4500.0, [Round("clean", 1.0, 50.0)], 0.03, 10)[-1] == pytest.approx(4926.51, abs=0.005)


def test_a_renewal_on_the_last_day_belongs_to_the_years_after() -> None:
    assert present_values(0.0, [Round("renew", 5.0, 100.0)], 0.0, 10)[-1] == 100.0
    assert present_values(0.0, [Round("renew", 5.0, 100.0)], 0.0, 11)[-1] == 200.0


@given(every=st.floats(1.5, 9.0), each=st.floats(1.0, 500.0), rate=st.floats(0.0, 0.2))
def test_cost_over_the_years_is_the_sum_of_dated_payments(every: float, each: float, rate: float) -> None:
    total, time = 100.0, every
    while time < 20 - 1e-9:
        total += each / (1.0 + rate) ** time
        time += every
    assert present_values(100.0, [Round("renew", every, each)], rate, 20)[-1] == pytest.approx(total, rel=1e-9)


def test_a_gallon_covers_1604_square_feet_at_one_mil(make_job: MakeJob) -> None:
    """Definition of the US gallon, 231 in3 (NIST Handbook 44, Appendix C): 440 ft2 at 10 mil are 2.743 gal."""
    job = make_job("epoxy_solid", rooms=("20 ft x 22 ft",))
    use = next(step for step in job.steps if step.id == "body_coat").uses["epoxy_body"]
    assert use.dry is not None
    needed = materials_needed(job, LOW)["epoxy_body"] / LITRES
    waste = 1.0 + job.norm("cutting_waste").low / 100.0
    by_hand = GARAGE_FT2 * (use.dry.low / 25.4) / (231 / 0.144) / (1.0 - use.loss.low / 100.0) * waste
    assert needed == pytest.approx(by_hand, rel=1e-9)


def goods(job: Job, book: PriceBook) -> Interval:
    """Materials and consumables for each square foot, without what is worn; low and high, tax included."""
    low, high = cost_range(job, book)
    return Interval(*((each.material + each.consumables) / GARAGE_FT2 for each in (low, high)))


def test_solid_epoxy_materials_cost_about_1_50_to_2_a_square_foot(make_job: MakeJob, book: PriceBook) -> None:
    """Common practice, no source: what one pays for materials doing it oneself."""
    found = goods(make_job("epoxy_solid"), book)
    assert 1.45 <= found.low <= found.high <= 2.1


def test_a_thin_film_follows_what_it_cannot_fill(make_job: MakeJob) -> None:
    """Broom marks of 2 mil at the least take no more of a sealer of half a mil than it lays, in the first coat."""
    floor = {"exposure": "open_air", "on_floor": "film_sealer", "coating_bond": "sound", "room": "patio"}
    smooth, broomed = (
        materials_needed(make_job("acrylic_reseal", **floor, **more), LOW)["outdoor_acrylic"]
        for more in ({"surface_texture": "floated"}, {"surface_texture": "broomed"})
    )
    assert broomed / smooth == pytest.approx(1.5)  # of two coats alike


def test_stain_with_sealer_costs_a_third_to_half_of_that_under_a_dollar(make_job: MakeJob, book: PriceBook) -> None:
    """Common practice, no source; epoxy goes on a profile of CSP 3, which takes more of it."""
    stain, epoxy = (goods(make_job(name), book) for name in ("reactive_stain_sealed", "epoxy_solid"))
    assert stain.high < 1.0
    assert 0.33 <= (stain.low + stain.high) / (epoxy.low + epoxy.high) <= 0.6


def test_polishing_leaves_little_in_the_floor_and_pays_for_tools_and_hours(
    base: RuleBase, make_job: MakeJob, book: PriceBook
) -> None:
    """Common practice, no source: liquids cost least of all finishes, each grit has its set of tools, and a crew asks
    some 3 to 12 USD/ft2 of a shop of 900 ft2 by gloss and hardness."""
    left = {name: sum(each.material for each in cost_range(make_job(name), book)) for name in base.finishes}
    assert left["polished_natural"] < statistics.median(left.values())
    totals = []
    for gloss in ("matt", "satin", "glossy", "mirror"):
        job = make_job("polished_natural", hired=True, area="900 ft2", wanted_gloss=gloss, surface_hardness="normal")
        needed = materials_needed(job, LOW)
        assert needed["metal_tools"] == 3
        totals.append(sum(each.total for each in cost_range(job, book)) / 2 / 900)
        hard = make_job("polished_natural", hired=True, area="900 ft2", wanted_gloss=gloss, surface_hardness="hard")
        assert materials_needed(hard, LOW)["metal_tools"] == 4
    assert totals == sorted(totals)
    assert 3 <= totals[0] < totals[-1] <= 12


@pytest.mark.parametrize("hired", [False, True])
def test_every_finish_is_priced_and_low_is_below_high_in_every_part(
    base: RuleBase, make_job: MakeJob, book: PriceBook, hired: bool
) -> None:
    for finish in base.finishes:
        low, high = cost_range(make_job(finish, hired=hired), book)
        assert all(0 <= getattr(low, part) <= getattr(high, part) for part in PARTS)
        assert 0 < low.total < high.total
        assert (high.labour > 0) is hired


def test_small_floors_are_dearer_for_their_size(make_job: MakeJob, book: PriceBook) -> None:
    for hired in (False, True):
        by_area = []
        for metres2 in (5, 15, 40, 120):
            job = make_job("epoxy_solid", hired=hired, area=f"{metres2} m2")
            by_area.append(sum(each.total for each in cost_range(job, book)) / metres2)
        assert by_area == sorted(by_area, reverse=True)


def test_doing_it_oneself_costs_no_labour_and_less_than_hiring(make_job: MakeJob, book: PriceBook) -> None:
    own, hired = make_job("epoxy_solid"), make_job("epoxy_solid", hired=True)
    assert cost(own, book, HIGH).total < cost(hired, book, LOW).total + cost(hired, book, HIGH).total
    assert cost(own, book, Setting(0.5)).total < cost(hired, book, Setting(0.5)).total


@given(turned=st.dictionaries(st.integers(0, 30), st.floats(0.0, 1.0), max_size=8), others=st.floats(0.0, 1.0))
def test_low_and_high_are_the_ends_of_every_mixture(
    make_job: MakeJob, book: PriceBook, turned: dict[int, float], others: float
) -> None:
    job = make_job("epoxy_flake", hired=True, oil_stains=None, spalls=None)
    names = drivers(job)
    setting = Setting(others, {names[i % len(names)]: place for i, place in turned.items()})
    low, high = cost_range(job, book)
    assert low.total - 1e-6 <= cost(job, book, setting).total <= high.total + 1e-6


def test_swings_move_the_total_and_the_widest_comes_first(make_job: MakeJob, book: PriceBook) -> None:
    job = make_job("epoxy_solid", hired=True, oil_stains=None)
    found = swings(job, book)
    assert all(each.low != each.high for each in found)
    assert len(found) < len(drivers(job))  # some of what is uncertain moves no total, and is left out
    low, high = cost_range(job, book)
    assert [each.width for each in found] == sorted((each.width for each in found), reverse=True)
    assert all(low.total <= each.low <= each.high <= high.total for each in found)
    assert "the crew's hourly rate" in {each.driver for each in found[:3]}
    assert any(each.driver.startswith("Degrease") and each.driver.endswith("needed or not") for each in found)


def test_a_list_holds_what_is_needed_at_the_most(base: RuleBase, make_job: MakeJob, book: PriceBook) -> None:
    for finish in base.finishes:
        job = make_job(finish)
        lines = {line.name: line for line in shopping(job, book)}
        for name, need in materials_needed(job, HIGH).items():
            assert lines[name].choice.holds >= need - 1e-6
            assert lines[name].left_over >= -1e-6


def test_an_unknown_fact_is_never_taken_for_no(make_job: MakeJob, book: PriceBook) -> None:
    """A stain that may be there counts in the high figure, and one that is there in both."""
    none, unknown, some = (make_job("epoxy_solid", oil_stains=value) for value in ("none", None, "deep"))
    assert cost(unknown, book, LOW).total == cost(none, book, LOW).total
    assert cost(unknown, book, HIGH).total == cost(some, book, HIGH).total > cost(none, book, HIGH).total
    assert any("may not be needed" in line for line in granted(unknown))


def test_a_rougher_surface_takes_more_of_the_first_coat_only(make_job: MakeJob) -> None:
    smooth, broomed = make_job("epoxy_solid"), make_job("epoxy_solid", surface_texture="broomed")
    for setting in (LOW, HIGH):
        before, after = materials_needed(smooth, setting), materials_needed(broomed, setting)
        assert after["epoxy_primer"] > before["epoxy_primer"]
        assert after["epoxy_body"] == before["epoxy_body"]


def test_rooms_edges_and_slope(base: RuleBase, make_job: MakeJob) -> None:
    facts = make_job("floor_paint", area=None, rooms=("10 m x 4 m", "3 m x 2 m")).facts
    extent = measure(("10 m x 4 m", "3 m x 2 m"), "0 %", facts, base)
    assert (extent.area.low, extent.edges.low, extent.across) == (pytest.approx(46.0), pytest.approx(38.0), 4.0)
    sloped = measure(("10 m x 4 m",), "10 %", facts, base)
    assert sloped.area.high == pytest.approx(40.0 * (1 + 0.1**2) ** 0.5)
    narrow = measure(("0.9 m x 10 m",), "0 %", facts, base)
    assert (narrow.area.low, narrow.across) == (pytest.approx(9.0), pytest.approx(0.9))
    square = measure((), "0 %", make_job("floor_paint", area="100 m2").facts, base)
    assert square.edges.low == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("rooms", "slope", "area", "words"),
    [
        ((), "0 %", None, "size of the floor is unknown"),
        (("0 ft x 10 ft",), "0 %", None, "no room"),
        (("wide",), "0 %", None, "length x width"),
        (("5 kg x 4 m",), "0 %", None, "measures"),
        (("10 m x 10 m",), "0 %", "20 m2", "the rooms come to 100 m²"),
        (("10 m x 10 m",), "40 %", None, "ramp"),
        (("10 m x 10 m",), "steep", None, "no number"),
    ],
)
def test_a_floor_that_cannot_be_is_refused(
    base: RuleBase, make_case: MakeCase, rooms: tuple[str, ...], slope: str, area: str | None, words: str
) -> None:
    from advisor.facts.memory import working_memory

    facts = working_memory(base, make_case(area=area).facts)
    with pytest.raises(BadJob, match=words):
        measure(rooms, slope, facts, base)


def test_a_crew_of_nobody_is_refused(make_job: MakeJob) -> None:
    with pytest.raises(BadJob, match="0 people"):
        make_job("epoxy_solid", people=0)


def test_a_wrong_finish_is_named_with_the_nearest(make_job: MakeJob) -> None:
    with pytest.raises(BadJob, match="epoxy_solid"):
        make_job("epoxy_sollid")


def test_life_cost_holds_first_cost_and_grows_with_the_years(make_job: MakeJob, book: PriceBook) -> None:
    for finish in ("floor_paint", "polished_natural", "epoxy_flake"):
        job = make_job(finish)
        first = cost_range(job, book)
        ten, twenty = life_cost(job, book, 0.03, 10), life_cost(job, book, 0.03, 20)
        assert first[0].total < ten.low < twenty.low
        assert first[1].total < ten.high < twenty.high


def test_the_break_even_year_is_where_the_dated_sums_cross(make_job: MakeJob, book: PriceBook) -> None:
    paint, polish = make_job("floor_paint", hired=True), make_job("polished_natural", hired=True)
    found = break_even(paint, polish, book, 0.03)
    assert found.dearer_first == "polished_natural"
    assert found.year is not None

    def total(job: Job, year: int) -> float:
        middle = Setting(0.5)
        each = list(rounds(job, book, middle))
        return present_values(cost(job, book, middle).total, each, 0.03, year)[-1]

    assert total(polish, found.year) <= total(paint, found.year)
    assert total(polish, found.year - 1) > total(paint, found.year - 1)
    assert break_even(polish, paint, book, 0.03) == found


def test_a_crew_brings_what_it_wears_and_has_a_least_charge(make_job: MakeJob, book: PriceBook) -> None:
    """Common practice: masks are the firm's; two people come for no less than half a day."""
    assert all(line.part != "protection" for line in shopping(make_job("epoxy_solid", hired=True), book))
    assert any(line.part == "protection" for line in shopping(make_job("epoxy_solid"), book))
    tiny, small = (make_job("penetrating_repellent", hired=True, area=area) for area in ("1 m2", "3 m2"))
    assert cost(tiny, book, HIGH).labour == cost(small, book, HIGH).labour > 0
    assert cost(tiny, book, LOW).labour >= 8 * 25


def test_without_rooms_one_room_is_assumed_and_said(make_job: MakeJob) -> None:
    """Ten squares of one area together have sqrt(10) = 3.16 times the edges of one square of it."""
    one = make_job("polished_natural", area="2000 ft2")
    ten = make_job("polished_natural", area=None, rooms=("14.142 ft x 14.142 ft",) * 10)
    assert any("Ten rooms" in each for each in granted(one))
    assert not any("Ten rooms" in each for each in granted(ten))
    assert ten.extent.edges.low / one.extent.edges.low == pytest.approx(10**0.5, rel=1e-3)


def test_no_floor_is_set_beside_rooms_that_nobody_builds(make_job: MakeJob) -> None:
    """Of 90 ft2 (8.4 m2) two rooms of 4 m2 (43 ft2), of 60 ft2 none; by hand."""
    said = {size: " ".join(granted(make_job("polished_natural", area=f"{size} ft2"))) for size in (60, 90, 440)}
    assert "No rooms were given" in said[60]
    assert "rooms of the same area" not in said[60]
    assert "2 rooms of the same area" in said[90]
    assert "Ten rooms of the same area" in said[440]
