"""A quote beside the job: expected remarks were written by hand from the procedure before the first run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadFile
from advisor.model.knowledge import RuleBase
from advisor.pages.quote_page import quote_page
from advisor.work.quote import LINES, QuoteCheck, check_quote
from advisor.work.quote_reading import may_name, read_quote
from advisor.work.takeoff import begin
from explanations.reading import measuring
from tests.views_of_work import flat

from .conftest import TODAY, MakeCase

# a flake garage: primer, colour and clear coat, 15 to 30 mil in all, ground, an aliphatic clear coat on top
FAIR = """
finish: epoxy_flake
area: 440 ft2
preparation: grind
includes: [degrease, fill_cracks]
coats: 3
dry_thickness: 18 mil
top_coat: aliphatic_clear
tests: [measure_slab_humidity, measured_on_the_day]
price: 4,000 USD
days: 6 days
warranty: 2 years against peeling
"""
CHEAP = """
finish: epoxy_flake
area: 400 ft2
preparation: etch
coats: 2
dry_thickness: 8 mil
top_coat: epoxy_clear
price: USD 900
days: 1 day
"""


Check = Callable[..., QuoteCheck]


@pytest.fixture
def check(tmp_path: Path, base: RuleBase, reasoner: Reasoner, make_case: MakeCase) -> Check:
    def run(text: str, finish: str = "epoxy_flake", **facts: str | None) -> QuoteCheck:
        path = tmp_path / "quote.yaml"
        path.write_text(text)
        study = begin(reasoner, make_case(who_works="hired", **facts), TODAY)
        return check_quote(study, finish, read_quote(path, base, study.book.currency))

    return run


def stands(check: QuoteCheck) -> dict[str, str]:
    return {each.line: each.stands for each in check.remarks}


def test_a_fair_quote_has_nothing_odd(check: Check) -> None:
    found = check(FAIR, oil_stains="few", cracks="hairline")
    assert set(stands(found).values()) == {"alike"}, stands(found)
    assert not any(each.ask for each in found.remarks)


def test_a_cheap_quote_is_told_line_by_line(check: Check) -> None:
    found = check(CHEAP, oil_stains="few", cracks="hairline")
    expected = dict.fromkeys(("area", "preparation", "coats", "dry_thickness", "days", "price"), "less")
    expected |= {"top_coat": "other", "includes": "missing", "tests": "missing", "warranty": "missing"}
    assert stands(found) == expected
    assert all(each.ask for each in found.remarks)
    left_out = next(each.here for each in found.remarks if each.line == "includes")
    assert "Degrease" in left_out
    assert "cracks" in left_out


def test_what_the_floor_does_not_need_is_not_missed(check: Check) -> None:
    assert stands(check(FAIR.replace("includes: [degrease, fill_cracks]\n", "")))["includes"] == "alike"


def test_a_price_above_the_job_s_is_odd_too(check: Check) -> None:
    assert stands(check(FAIR.replace("4,000", "40,000")))["price"] == "more"


@pytest.mark.parametrize(("area", "said"), [(417, "less"), (419, "alike"), (461, "alike"), (463, "more")])
def test_an_area_may_lie_a_twentieth_from_the_floor_s(check: Check, area: int, said: str) -> None:
    assert stands(check(FAIR.replace("area: 440 ft2", f"area: {area} ft2")))["area"] == said


def test_a_polished_floor_has_no_coats_to_ask_for(check: Check) -> None:
    found = check("area: 440 ft2\n", "polished_natural")
    assert stands(check("area: 440 ft2\ncoats: 3\n", "polished_natural"))["coats"] == "other"
    assert not {"coats", "dry_thickness", "top_coat"} & set(stands(found))
    assert not {"pull_off", "thickness"} & set(found.acceptance)
    assert "gloss" in found.acceptance


def test_a_film_is_pulled_and_measured_by_the_standards(check: Check) -> None:
    found = check(FAIR)
    assert "astm_d7234" in found.acceptance["pull_off"].source  # pull-off on concrete
    assert "astm_d6132" in found.acceptance["thickness"].source  # dry films over concrete, by ultrasound
    assert "ansi_a326_3" in found.acceptance["grip"].source


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("aera: 440 ft2\n", "area"),
        ("area: large\n", "440 ft2"),
        ("area: -3 ft2\n", "440 ft2"),
        ("price: 3000 GBP\n", "USD"),
        ("price: cheap\n", "USD"),
        ("preparation: sanding\n", "grind"),
        ("top_coat: aliphatic_claer\n", "aliphatic_clear"),
        ("finish: epoxy_flakes\n", "epoxy_flake"),
        ("area: [1 ft2, 2 ft2]\n", "440 ft2"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_can(tmp_path: Path, base: RuleBase, text: str, named: str) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text(text)
    with pytest.raises(BadFile) as error:
        read_quote(path, base, "USD")
    assert named in str(error.value)


def test_every_line_of_the_rules_is_compared(base: RuleBase) -> None:
    assert set(LINES) == {name for name, line in base.quoted.items() if line.kind != "beside"}


def test_every_test_of_acceptance_names_figures_that_finishes_have(base: RuleBase) -> None:
    for finish in base.finishes.values():
        given = {name: each.given for name, each in finish.properties.items()}
        for test in base.acceptance.values():
            assert test.agree.format(**given)


# as contractors write; what each comes to was written down first
AS_WRITTEN = """
Finish: flake epoxy with a clear coat
Size: 440 sq ft
Prep: Diamond grind
coats: 3
Total thickness: 18 mil
Topcoat: polyaspartic
Total: 4,000 USD
"""


def test_a_quote_is_read_in_the_words_of_contractors(tmp_path: Path, base: RuleBase) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text(AS_WRITTEN)
    quote = read_quote(path, base, "USD")
    assert quote.finish == "epoxy_flake"
    assert quote.named == {"preparation": ("grind",), "top_coat": ("aliphatic_clear",)}
    assert (quote.amounts["price"].low, quote.amounts["coats"].low) == (4000.0, 3.0)
    assert quote.amounts["dry_thickness"].low == pytest.approx(457.2)  # 18 x 25.4
    assert quote.amounts["area"].low == pytest.approx(40.877, abs=0.001)


@pytest.mark.parametrize(
    ("currency", "written", "low", "high"),
    [
        ("USD", "$4,340", 4340, 4340),
        ("USD", "USD 4,340.50", 4340.5, 4340.5),
        ("USD", "4340 dollars plus tax", 4340, 4340),
        ("USD", "$4,300 - $4,800, all in", 4300, 4800),
        ("USD", "4.3k", 4300, 4300),
        ("USD", "$9 per sq ft", 9 * 440, 9 * 440),
        ("USD", "9.50/ft2", 9.5 * 440, 9.5 * 440),
        ("GBP", "£2,950 inc VAT", 2950, 2950),
        ("EUR", "3900 €", 3900, 3900),
        ("EUR", "EUR 95 per m2", 95 * 40.877, 95 * 40.877),
        ("EUR", "3.900,50 €", None, None),
        ("EUR", "3.900 €", None, None),  # a point where it may part thousands
        ("USD", "£2,950", None, None),
        ("USD", "3000 CHF", None, None),
        ("USD", "3000 A$", None, None),
        ("USD", "4,000 for 440 ft2", None, None),
        ("USD", "4,000 or 4,500 with flakes", None, None),
        ("USD", "free", None, None),
    ],
)
def test_a_price_is_read_as_people_write_it(
    tmp_path: Path, base: RuleBase, currency: str, written: str, low: float | None, high: float
) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text(f"area: 440 ft2\nprice: {written!r}\n")
    if low is None:
        with pytest.raises(BadFile, match="is no price"):
            read_quote(path, base, currency)
        return
    read = read_quote(path, base, currency).amounts["price"]
    assert (read.low, read.high) == pytest.approx((low, high), rel=1e-4)


@pytest.mark.parametrize(
    ("line", "written", "said"),
    [
        ("price", "-4 USD", "is no price"),
        ("price", "total -$40", "is no price"),
        ("price", f"{'9' * 5000} USD", "too long"),
        ("area", f"{'9' * 5000} ft2", "too long"),
    ],
)
def test_what_no_contractor_asks_is_refused(base: RuleBase, tmp_path: Path, line: str, written: str, said: str) -> None:
    (tmp_path / "quote.yaml").write_text(f"{line}: {written!r}\n")
    with pytest.raises(BadFile, match=said):
        read_quote(tmp_path / "quote.yaml", base, "USD")


@pytest.mark.parametrize(
    ("line", "written", "comes_to"),
    [
        ("coats", "2 coats epoxy 10 mils and chips", 2),
        ("coats", "3 (primer, colour, clear)", 3),
        ("days", "4 days, weather allowing", 4),
        ("dry_thickness", "10 mils total", 254),
        ("area", "620 sq ft incl. closets", 57.6),
        ("area", "400 ft2 + 60 ft2 closet", None),  # two amounts: which of them, or both?
        ("days", "a while", None),
    ],
)
def test_words_may_follow_an_amount(
    tmp_path: Path, base: RuleBase, line: str, written: str, comes_to: float | None
) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text(f"{line}: {written!r}\n")
    if comes_to is None:
        with pytest.raises(BadFile, match="cannot be read"):
            read_quote(path, base, "USD")
        return
    quote = read_quote(path, base, "USD")
    assert quote.amounts[line].low == pytest.approx(comes_to, rel=1e-3)
    assert quote.said[line] == written


def test_what_is_said_besides_is_passed_over_and_a_warranty_is_asked_for(check: Check) -> None:
    found = check(FAIR + "contractor: Lane Floors\ndeposit: 30 %\nPhone: 555 0100\n")
    assert not found.odd
    assert [each.line for each in check(CHEAP).missing if each.line == "warranty"]


def test_a_warranty_that_is_said_is_not_called_fitting(check: Check, reasoner: Reasoner, make_case: MakeCase) -> None:
    study = begin(reasoner, make_case(who_works="hired"), TODAY)
    told = flat(quote_page(study, check(FAIR)).blocks)
    assert "said, and not weighed here" in told


def test_a_line_that_stands_twice_is_refused(tmp_path: Path, base: RuleBase) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text("price: 4000 USD\ntotal: 5000 USD\n")
    with pytest.raises(BadFile, match='"total" says again what "price" says'):
        read_quote(path, base, "USD")


def test_every_word_of_a_contractor_means_one_thing(base: RuleBase) -> None:
    headings = [name for key, line in base.quoted.items() for name in (key, *line.also)]
    assert len(headings) == len(set(headings))
    for key, line in base.quoted.items():
        assert set(line.spellings) <= set(may_name(base, key)), key
        words = [word for some in line.spellings.values() for word in some]
        assert len(words) == len(set(words)), key
        assert not set(words) & set(may_name(base, key)), key


def test_what_to_agree_on_is_told_in_the_readers_units(check: Check, reasoner: Reasoner, make_case: MakeCase) -> None:
    study = begin(reasoner, make_case(who_works="hired", country="united_states"), TODAY)
    with measuring(study.reading):
        told = flat(quote_page(study, check(FAIR)).blocks)
    assert "at least 10 ft² made on this slab" in told
    assert "1 m²" not in told


def test_a_quote_may_say_that_there_is_none(check: Check) -> None:
    found = check("area: 440 ft2\ntop_coat: none\ntests: no\nincludes: [nothing]\n", oil_stains="few")
    assert {line: found for line, found in stands(found).items() if line in ("top_coat", "tests", "includes")} == {
        "top_coat": "less",
        "tests": "less" if next(each.here for each in found.remarks if each.line == "tests") else "alike",
        "includes": "less",
    }


def test_repairs_and_tests_are_read_in_contractors_words(tmp_path: Path, base: RuleBase) -> None:
    path = tmp_path / "quote.yaml"
    path.write_text("includes: [crack repair, Paint removal, patching]\ntests: [moisture test, pH]\n")
    named = read_quote(path, base, "USD").named
    assert named["includes"] == ("fill_cracks", "scrape_off_paint", "patch_holes")
    assert named["tests"] == ("measure_slab_humidity", "measure_surface_ph")


def test_what_contractors_write_names_one_thing_that_there_is(base: RuleBase) -> None:
    for key, line in base.quoted.items():
        words = [word for each in line.spellings.values() for word in each]
        assert len(words) == len(set(words)), key
        assert set(line.spellings) <= set(may_name(base, key)), key
