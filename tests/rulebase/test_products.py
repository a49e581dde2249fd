"""A maker's data sheet as a file of one's own: what is read, refused and changed. All products are invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from random import Random

import pytest

import advisor
from advisor.answer.step_cautions import step_cautions
from advisor.asking.explaining import Explained
from advisor.asking.why import why_text
from advisor.errors import BadFile
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Limit, Rule
from advisor.model.standing import FinishStanding
from advisor.model.values import Value
from advisor.pages.compare import compare_page, compared
from advisor.pages.markdown import to_markdown
from advisor.physics.units import GALLON, SQUARE_FOOT
from advisor.rulebase.data_sheets import starter_sheet
from advisor.rulebase.products import with_products
from advisor.validation.loading import load_rulebase
from advisor.work.needed import materials_needed
from advisor.work.phases import phases
from advisor.work.settings import LOW
from explanations.trace import Trace
from tests.draws import draws
from tests.floors import random_case

TODAY = date(2026, 11, 27)
BASE = load_rulebase()
GARAGE = {"room": "garage", "area": "440 ft2", "air_temperature": "25 C", "exposure": "indoors"}

Sheet = Callable[..., Path]


@pytest.fixture
def sheet(tmp_path: Path) -> Sheet:
    """Writes a data sheet; keys with blanks instead of underscores, as people write them."""

    def write(text: str, like: str = "epoxy_flake", name: str = "Invented Floor", ending: str = "yaml") -> Path:
        path = tmp_path / f"sheet{len(list(tmp_path.iterdir()))}.{ending}"
        path.write_text(f"product: {name}\nlike: {like}\n{text}\n" if ending == "yaml" else text)
        return path

    return write


def by_sheet(path: Path) -> tuple[advisor.Adviser, str]:
    adviser = advisor.load(products=[path])
    return adviser, adviser.base.products[0].finish


def standing(adviser: advisor.Adviser, finish: str, **facts: str) -> FinishStanding:
    advice = adviser.advise(adviser.case({**GARAGE, **facts}, today=TODAY), TODAY, certainty=False)
    return next(each for each in advice.standings if each.finish == finish)


def interval(base: RuleBase, finish: str, name: str) -> tuple[float, float]:
    found = base.finishes[finish].properties[name].interval
    assert found
    return found.low, found.high


# ---- reading and refusals


def test_a_sheet_in_the_words_of_the_trade_is_read(sheet: Sheet) -> None:
    text = "In-situ humidity: up to 85 %\nemission: 5 lb\nLowest temperature: at least 41 F\n"
    text += "sheet: {title: Data, date: 2026-03-01}"
    adviser, finish = by_sheet(sheet(text, like="flake epoxy with a clear coat"))
    assert interval(adviser.base, finish, "humidity_limit") == (85.0, 85.0)
    assert interval(adviser.base, finish, "emission_limit") == (5.0, 5.0)
    assert interval(adviser.base, finish, "lowest_temperature") == (5.0, 5.0)
    cited = adviser.base.sources[adviser.base.finishes[finish].properties["humidity_limit"].source[0]]
    assert (cited.kind, cited.edition) == ("data_sheet", "2026-03-01")
    assert "Invented Floor" in cited.title
    assert finish != "epoxy_flake"
    assert adviser.base.finishes["epoxy_flake"] == BASE.finishes["epoxy_flake"]


def test_json_and_toml_say_the_same(sheet: Sheet) -> None:
    said = {"product": "Invented Floor", "like": "epoxy_flake", "humidity": "85 %"}
    as_json = sheet(json.dumps(said), ending="json")
    as_toml = sheet("\n".join(f'{name} = "{text}"' for name, text in said.items()), ending="toml")
    bases = [with_products(BASE, [path]) for path in (as_json, as_toml, sheet("humidity: 85 %"))]
    assert len({base.fingerprint for base in bases}) == 1
    assert bases[0].fingerprint != BASE.fingerprint


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("humdity: 85 %", 'Did you mean "humidity"?'),
        ("humidity: 85 lb", "measures a weight"),
        ("humidity: 20 %", "outside what is possible"),
        ("humidity: 75 to 85 %", "one figure is wanted"),
        ("humidity: [85 %]", "one text"),
        ("humidity: 85 %\nrelative humidity: 80 %", "a second time"),
        ("hardener: cyanate", 'Did you mean "isocyanate"?'),
        ("pot life: 30 minutes", "at which temperature"),
        ("pot life: 30 minutes at 400 F", "-20 to 60"),
        ("pot life: 4 minutes at 5 C\nhighest temperature: 60 C", "rule of thumb"),
        ("lowest temperature: 30 C\nhighest temperature: 20 C", "lies above"),
        ("coat: ceiling\nhumidity: 85 %", "has no coat"),
        ("sheet: {title: X, date: soon}\nhumidity: 85 %", "not a date"),
        ("sheet: {page: 2}\nhumidity: 85 %", "title: TEXT"),
        ("", "says nothing"),
    ],
)
def test_what_is_wrong_is_told_with_what_is_allowed(sheet: Sheet, text: str, told: str) -> None:
    with pytest.raises(BadFile) as caught:
        with_products(BASE, [sheet(text)])
    assert told in " ".join(str(caught.value).split())


def test_what_does_not_go_with_the_finish_is_refused(sheet: Sheet) -> None:
    with pytest.raises(BadFile, match="sets while one works"):
        with_products(BASE, [sheet("pot life: 30 minutes at 20 C", like="floor_paint")])
    with pytest.raises(BadFile, match="no thickness"):
        with_products(BASE, [sheet("film thickness: 10 mil", like="penetrating_repellent")])
    with pytest.raises(BadFile, match='Did you mean "floor_paint"'):
        with_products(BASE, [sheet("humidity: 85 %", like="floor_pain")])
    with pytest.raises(BadFile, match="another sheet"):
        with_products(BASE, [sheet("humidity: 85 %"), sheet("humidity: 80 %")])


def test_a_value_at_either_end_of_what_is_allowed_can_be_reasoned_from(sheet: Sheet) -> None:
    """Nothing that is read lies outside what the physics holds for."""
    rng = Random(3)
    for like, left_out in (("fast_cure_aliphatic", {"pot_life"}), ("floor_paint", {"pot_life", "hardener"})):
        for end in ("low", "high"):
            lines = ["times_at: 20 C"]
            for name, entry in BASE.sheet.items():
                if entry.type == "number" and name not in left_out and not name.endswith("_temperature"):
                    lines.append(f"{name}: {getattr(entry.plausible, end)!r} {entry.unit.replace('ph', '')}")
            adviser, _ = by_sheet(sheet("\n".join(lines), like=like))
            for _ in range(8):
                adviser.reasoner.reason(random_case(adviser.base, rng))


def test_the_starter_holds_every_entry_and_reads_once_filled_in(tmp_path: Path) -> None:
    text = starter_sheet(BASE)
    assert all(f"# {name}: " in text for name in BASE.sheet)
    filled = text.replace("product:\n", "product: Invented\n").replace("like:\n", "like: epoxy_flake\n")
    wanted = [f"# {name}: " for name in BASE.sheet] + ["# times_at"]
    lines = [line[2:] if line.startswith(tuple(wanted)) else line for line in filled.splitlines()]
    path = tmp_path / "starter.yaml"
    path.write_text("\n".join(lines))
    (product,) = with_products(BASE, [path]).products
    assert {each.entry for each in product.numbers} == set(BASE.sheet)


# ---- what it changes


@pytest.mark.parametrize(
    ("limit", "slab", "out"), [("85 %", "84 %", False), ("85 %", "86 %", True), ("70 %", "72 %", True)]
)
def test_the_makers_limit_counts_upwards_and_downwards(sheet: Sheet, limit: str, slab: str, out: bool) -> None:
    adviser, finish = by_sheet(sheet(f"humidity: {limit}\nemission: 10 lb"))
    found = standing(adviser, finish, slab_humidity=slab)
    assert (found.verdict == "ruled out") is out
    if out:
        because = found.ruled_out_by[0].because
        assert f"{limit} (the maker's sheet of Invented Floor; 75 % by default)" in because
    assert "makers_moisture_limit" not in {each.need for each in found.first}


def test_where_the_maker_speaks_nothing_is_left_to_ask_him(sheet: Sheet) -> None:
    """Rules on the gap between the default and what makers usually allow do not judge a finish by its own sheet."""
    usual = Limit.model_validate({"is": "85 %", "means": "what makers usually allow", "source": "common_practice"})
    rules = {
        name: Rule.model_validate(
            {
                "id": name,
                "judges": {"humidity_limit": f"{order} limit.usual_makers_humidity"},
                "when": {"slab_humidity": "above finish.humidity_limit"},
                "then": {"rule_out": True},
                "because": "So it is.",
                "source": "common_practice",
            }
        )
        for name, order in (("vapour.ask", "below"), ("vapour.at_most", "at most"), ("vapour.out", "above"))
    }
    base = BASE.model_copy(update={"limits": {**BASE.limits, "usual_makers_humidity": usual}, "rules": rules})
    variant = with_products(base, [sheet("humidity: 80 %")])
    finish = variant.products[0].finish
    judged = {(rule.rule, each) for rule in ground(variant).rules for each in rule.finishes}
    assert {rule for rule, each in judged if each == finish} == {"vapour.out"}
    assert {rule for rule, each in judged if each == "epoxy_flake"} == {"vapour.ask", "vapour.at_most"}


def test_both_numbers_are_shown_in_why_and_in_the_comparison(sheet: Sheet) -> None:
    adviser, finish = by_sheet(sheet("humidity: 85 %\nvehicles: 5 days at 77 F"))
    case = adviser.case({**GARAGE, "slab_humidity": "82 %", "on_floor": "bare"}, today=TODAY)
    told = why_text(Explained(adviser.reasoner, case, TODAY), finish, "", "paragraph", False)
    assert "85 %; by default 75 %" in " ".join(told.split())
    study = adviser.take_off(case, today=TODAY)
    page = to_markdown(compare_page(study, compared(study, [finish, "epoxy_flake"], 0.03)))
    assert "85 %; by default 75 %" in " ".join(page.split())
    found = standing(adviser, finish, slab_humidity="82 %")
    assert found.by_sheet
    assert {each.given for each in found.by_sheet.numbers} == {"85 %", "120 h at 25 °C (77 °F)"}


def test_the_answer_tells_that_a_sheet_was_read(sheet: Sheet) -> None:
    adviser, finish = by_sheet(sheet("humidity: 85 %"))
    mark = adviser.advise(adviser.case(GARAGE, today=TODAY), TODAY, certainty=False).rule_base
    assert mark.products == ("Invented Floor",)
    assert mark.fingerprint != BASE.fingerprint
    order = list(adviser.base.finishes)
    assert order.index(finish) + 1 == order.index("epoxy_flake")  # where both suit alike, the maker's own lead


def test_a_product_is_asked_about_by_its_own_name(sheet: Sheet) -> None:
    adviser, finish = by_sheet(sheet("humidity: 85 %"))
    for said in ("Invented Floor", "invented floor", finish):
        case = adviser.case({**GARAGE, "asked_about": said}, today=TODAY)
        assert case.facts["asked_about"].choice == finish
    case = adviser.case({**GARAGE, "asked_about": BASE.finishes["epoxy_flake"].name}, today=TODAY)
    assert case.facts["asked_about"].choice == "epoxy_flake"


def test_two_products_stand_beside_each_other(sheet: Sheet) -> None:
    paths = [sheet("humidity: 85 %", name="Invented One"), sheet("humidity: 80 %", name="Invented Two")]
    base = with_products(BASE, paths)
    limits = {each.name: interval(base, each.finish, "humidity_limit") for each in base.products}
    assert limits == {"Invented One": (85.0, 85.0), "Invented Two": (80.0, 80.0)}


# ---- hazards


def carried(base: RuleBase, memory: dict[str, Value], trace: Trace, finish: str) -> set[str]:
    concluded = [each for firing in trace.about(finish) for each in firing.conclusions]
    return {each.name for each in concluded if each.kind in ("caution", "refer")} | set(
        step_cautions(base, memory, finish)
    )


WIDE = """\
times_at: 20 C
humidity: 98 %
emission: 12 lb
ph: 13
lowest temperature: 2 C
highest temperature: 40 C
air humidity: 95 %
dew point margin: 2 C
slab age: 3 days
permeance: 1 perm
voc: 0 g/L
foot traffic: 4 h
furniture: 8 h
vehicles: 24 h
water: 24 h
"""


@pytest.mark.parametrize("like", ["epoxy_flake", "floor_paint", "fast_cure_aliphatic", "penetrating_repellent"])
def test_no_hazard_is_lost_to_a_sheet(sheet: Sheet, like: str) -> None:
    adviser, finish = by_sheet(sheet(WIDE, like=like))
    rng = Random(5)
    for _ in range(draws(15)):
        memory, trace = adviser.reasoner.reason(random_case(adviser.base, rng))
        lost = carried(adviser.base, memory, trace, like) - carried(adviser.base, memory, trace, finish)
        found = {each.name for firing in trace.about(finish) for each in firing.conclusions if each.kind == "finding"}
        assert not lost or (lost == {"tendons"} and "drilled_or_cut" not in found)  # nothing is drilled for it


def test_a_low_voc_takes_no_fire_hazard_away(sheet: Sheet) -> None:
    """A VOC leaves out exempt solvents, some of which burn; a higher one than the default counts."""
    for said, low, high in (("0 g/L", 0.0, 340.0), ("500 g/L", 500.0, 500.0)):
        adviser, finish = by_sheet(sheet(f"voc: {said}"))
        assert interval(adviser.base, finish, "voc") == (low, high)


@pytest.mark.parametrize(
    ("like", "hardener", "shown", "gone"),
    [
        ("fast_cure_aliphatic", "amine", {"amines"}, {"isocyanates"}),  # one mixed material: its own hardener alone
        ("floor_paint", "isocyanate", {"isocyanates"}, set()),
        ("epoxy_flake", "isocyanate", {"isocyanates", "amines"}, set()),  # the other coats keep theirs
    ],
)
def test_the_hazards_follow_the_hardener(
    sheet: Sheet, like: str, hardener: str, shown: set[str], gone: set[str]
) -> None:
    adviser, finish = by_sheet(sheet(f"hardener: {hardener}", like=like))
    memory, trace = adviser.reasoner.reason({})
    before, now = (carried(adviser.base, memory, trace, each) for each in (like, finish))
    assert shown <= now
    assert before - now <= {"isocyanates", "amines"}
    judging = {firing.rule for firing in trace.about(finish)}
    assert not {f"hazards.{each}" for each in gone} & judging  # what else brings it, such as a joint filler, stays
    if "isocyanates" in shown:  # and so what is worn
        study = adviser.take_off(adviser.case(GARAGE, today=TODAY), today=TODAY)
        assert {"vapour_respirator", "gloves"} <= materials_needed(study.job(finish), LOW).keys()


# ---- amounts and days


def test_take_off_uses_the_makers_coverage(sheet: Sheet) -> None:
    """160.42 ft2/gal is 10 mil of a coating without solvent: a gallon is 231 in3 (NIST Handbook 44, Appendix C)."""
    coverage = sheet("coverage: 160.42 ft2/gal\nsolids: 100 %", like="epoxy_solid", name="Invented One")
    film = sheet("film thickness: 10 mil\nsolids: 100 %", like="epoxy_solid", name="Invented Two")
    adviser = advisor.load(products=[coverage, film])
    study = adviser.take_off(adviser.case(GARAGE, today=TODAY), today=TODAY)
    one, two, shipped = (
        materials_needed(study.job(each), LOW)
        for each in (*(product.finish for product in adviser.base.products), "epoxy_solid")
    )
    assert one["epoxy_body"] == pytest.approx(two["epoxy_body"], rel=1e-3)
    assert one["epoxy_body"] != pytest.approx(shipped["epoxy_body"], rel=1e-2)
    bare = 440 * SQUARE_FOOT / (160.42 * SQUARE_FOOT / GALLON) * 1000  # L, without loss
    coats = sum("epoxy_body" in step.uses for step in study.job(adviser.base.products[0].finish).steps)
    assert bare * coats < one["epoxy_body"] < bare * coats * 1.25


def test_the_liquid_of_a_penetrant_goes_as_far_as_its_maker_says(sheet: Sheet) -> None:
    adviser, finish = by_sheet(sheet("coverage: 10 m2/L", like="penetrating_repellent"))
    study = adviser.take_off(adviser.case(GARAGE, today=TODAY), today=TODAY)
    litres = materials_needed(study.job(finish), LOW)["water_repellent"]
    assert litres == pytest.approx(440 * SQUARE_FOOT / 10, rel=0.06)


def test_plan_uses_the_makers_times(sheet: Sheet) -> None:
    text = "times at: 77 F\nrecoat window: 6 to 20 h\npot life: 45 minutes\nfoot traffic: 12 h\nvehicles: 3 days\n"
    text += "coat: clear coat"
    adviser, finish = by_sheet(sheet(text))
    study = adviser.take_off(adviser.case(GARAGE, today=TODAY), today=TODAY)
    job = study.job(finish)
    clear, primer = (next(each for each in job.steps if each.id == name) for name in ("clear_coat", "primer_coat"))
    assert clear.task.pot_life
    assert clear.task.pot_life.given.low == pytest.approx(0.75)
    assert primer.task == adviser.base.tasks["coat_two_part"]  # another product's coat keeps its own
    phase = next(each for each in phases(job, LOW) if each.id == "clear_coat")
    assert (phase.wait, phase.latest) == (pytest.approx(6.0), pytest.approx(20.0))
    ready = job.procedure.ready
    assert (ready.walked_on.high, ready.vehicles.high) == (pytest.approx(12.0), pytest.approx(72.0))
    assert [each.id for each in job.steps] == [each.id for each in study.job("epoxy_flake").steps]
    walked = interval(adviser.base, finish, "days_until_walked")
    shipped = interval(BASE, "epoxy_flake", "days_until_walked")
    before = BASE.procedures["epoxy_flake"].ready.walked_on
    assert walked == pytest.approx((shipped[0] + (12 - before.low) / 24, shipped[1] + (12 - before.high) / 24))
