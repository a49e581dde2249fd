"""Pages for readers: every form says the same, nothing that can hurt is left out, and a homeowner can read it."""

from __future__ import annotations

import re
import sys
from datetime import datetime
from html.parser import HTMLParser
from io import StringIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
import textstat
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from advisor.answer.step_cautions import step_cautions
from advisor.charts.plots import as_svg, check_plot, save
from advisor.charts.ranges import ranges
from advisor.charts.tornado import tornado
from advisor.demo import demo_cases, find_case
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import read_case
from advisor.model.knowledge import RuleBase
from advisor.model.reader import Reader
from advisor.model.rules import SEVERITIES
from advisor.pages.blocks import Heading, Item, Listing, Notice, Page, Paragraph, Picture, Table
from advisor.pages.calendar_page import laid_out, plan_picture
from advisor.pages.compare import compare_page, compared, panels
from advisor.pages.files import check_file, write_page
from advisor.pages.html import to_html
from advisor.pages.letter import letter_page, usual_hazards
from advisor.pages.lists import cost_page, materials_page
from advisor.pages.markdown import to_markdown
from advisor.pages.pdf import PAPERS, SIZES, page_count, to_pdf
from advisor.pages.plan_page import plan_page, step_words
from advisor.pages.text import print_page
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.book_rows import BadPriceBook
from advisor.work.extent import BadJob
from advisor.work.needed import materials_needed
from advisor.work.settings import HIGH
from advisor.work.takeoff import TakeOff, begin, hazards_of
from explanations.errors import CannotWrite
from explanations.wording import wording

from .conftest import TODAY, MakeCase

RATE = 0.03
START = datetime(2026, 12, 1)
EASIEST_FOR_A_HOMEOWNER = 60.0  # Flesch reading ease: plain English from 60 on (Flesch 1948, from memory)
HIGHEST_GRADE = 7.0  # of school, read at about twelve (Kincaid and others 1975, from memory)
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><rect width="10" height="10"/></svg>'


@pytest.fixture(scope="module")
def study(reasoner: Reasoner, make_case: MakeCase) -> TakeOff:
    return begin(reasoner, make_case(slab_humidity="60 %", wanted_look="solid_colour", country="united_states"), TODAY)


def demo(reasoner: Reasoner, name: str) -> TakeOff:
    return begin(reasoner, read_case(find_case(Path(name)), reasoner.base), TODAY)


def as_text(page: Page) -> str:
    file = StringIO()
    print_page(page, Console(file=file, width=80, highlight=False))
    return file.getvalue()


class Seen(HTMLParser):
    """The text that a page shows, and the tags that it leaves open."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "br", "img"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text.append(data)


def as_seen(page: Page) -> str:
    seen = Seen()
    seen.feed(to_html(page))
    assert not seen.open
    return plain(" ".join(seen.text))


def plain(text: str) -> str:
    return " ".join(re.sub(r"[\\>*|]", " ", text).split())


def pages(study: TakeOff, finish: str) -> dict[str, Page]:
    return {
        "materials": materials_page(study, finish),
        "cost": cost_page(study, finish, RATE),
        "plan": plan_page(study, finish, START),
        "compare": compare_page(study, compared(study, [finish, "polished_natural"], RATE)),
        "letter": letter_page(study, RATE),
    }


TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40).filter(str.strip)


@given(texts=st.lists(TEXTS, min_size=6, max_size=6))
def test_whatever_a_person_typed_is_text_in_every_form(texts: list[str]) -> None:
    first, second, third, fourth, fifth, sixth = texts
    page = Page(
        first,
        (
            Heading(second, 1),
            Paragraph(third),
            Listing((fourth, Item(second, (third, fourth)))),
            Notice("a", (Item(fifth, (second,)),)),
            Table((sixth, "b"), (("c", "d"),)),
        ),
    )
    seen = Seen()
    seen.feed(to_html(page))
    assert plain("".join(seen.text)).count(plain(third)) >= 1
    assert to_pdf(page).startswith(b"%PDF")
    assert to_markdown(page)


@pytest.mark.parametrize(
    "sly", ['#read("/etc/passwd")', "$x$", "<script>alert(1)</script>", '"] #let a = 1 [', "\\u{41}", "@x <y>", "| a |"]
)
def test_no_text_is_read_as_code(sly: str) -> None:
    page = Page(sly, (Heading(sly, 1), Paragraph(sly), Table((sly,), ((sly,),)), Picture(SVG, sly)))
    assert "<script>" not in to_html(page)
    assert to_pdf(page).startswith(b"%PDF")
    table = to_markdown(page).split("\n\n")[2].splitlines()
    assert all(len(re.findall(r"(?<!\\)\|", line)) == 2 for line in table)


def test_every_page_in_every_form_says_who_comes_first_and_what_it_rests_on(study: TakeOff) -> None:
    for name, page in pages(study, "epoxy_solid").items():
        for form in (as_text(page), to_markdown(page), as_seen(page)):
            said = plain(form)
            assert plain(wording("answer.deference")) in said, name
            assert study.advice.rule_base.fingerprint in said
            assert "USD" in said
            assert "tax" in said
            assert TODAY.isoformat() in said


def test_hazards_stand_in_full_in_the_plan_and_by_name_at_least_elsewhere(study: TakeOff) -> None:
    finish = study.advice.answer.leading
    assert finish
    every = pages(study, finish)
    dangers = hazards_of(study, finish)
    floor = {each.caution for each in study.advice.hazards if each.floor or finish in each.finishes}
    steps = {name for step in study.job(finish).steps for name in step.task.cautions}
    assert floor - steps
    assert {each.name for each in dangers} == floor | steps
    assert {"danger", "warning"} <= {each.severity for each in dangers}
    for form in (as_text(every["plan"]), to_markdown(every["plan"]), as_seen(every["plan"])):
        assert all(plain(each.says) in plain(form) for each in dangers)
    for form in (as_text(every["letter"]), to_markdown(every["letter"]), as_seen(every["letter"])):
        usual = usual_hazards(study)
        assert all(plain(each.says) in plain(form) for each in dangers if each.name not in usual)
        assert all(plain(each.says) in plain(form) or each.title in plain(form) for each in dangers)
    for name in ("materials", "cost", "compare"):
        for form in (as_text(every[name]), to_markdown(every[name]), as_seen(every[name])):
            missing = [each.name for each in dangers if each.title not in plain(form)]
            assert not missing or (name == "compare" and not set(missing) - _of_one(study, finish)), name


def test_hazards_of_a_page_are_told_gravest_first_and_those_of_the_steps_even_of_a_ruled_out_finish(
    study: TakeOff,
) -> None:
    out = [each.finish for each in study.advice.standings if each.verdict == "ruled out"]
    of_steps_alone = set()
    for finish in (study.advice.standings[0].finish, *out):
        hazards = hazards_of(study, finish)
        places = [SEVERITIES.index(each.severity) for each in hazards]
        assert places == sorted(places)
        assert len(set(places)) > 1
        of_steps = set(step_cautions(study.base, study.facts, finish))
        assert of_steps <= {each.name for each in hazards}
        told = {each.caution for each in study.advice.hazards if each.floor or finish in each.finishes}
        of_steps_alone |= of_steps - told
    assert of_steps_alone


def _of_one(study: TakeOff, finish: str) -> set[str]:
    """Hazards that text at 80 columns may break over lines within a narrow column of the comparison."""
    return {each.name for each in hazards_of(study, finish)} - {
        each.name for each in hazards_of(study, "polished_natural")
    }


@pytest.mark.parametrize("sign", ["asbestos_suspected", "active_leak", "lead_suspected", "heaving_or_settling"])
def test_a_stop_stands_on_top_of_every_page(reasoner: Reasoner, make_case: MakeCase, sign: str) -> None:
    stopped = begin(reasoner, make_case(**{sign: "yes"}), TODAY)
    assert stopped.advice.stops
    for name, page in pages(stopped, "epoxy_solid").items():
        first = next(block for block in page.blocks if isinstance(block, Notice))
        place = page.blocks.index(first)
        assert place <= (3 if name == "letter" else 2), name  # below date and greeting
        said = " ".join(first.items)
        assert all(stop.who in said and stop.tell in said for stop in stopped.advice.stops), name
        assert not any(isinstance(block, Table) for block in page.blocks[:place])
    letter = as_seen(letter_page(stopped, RATE))
    assert "buy nothing yet" in letter
    assert "What to buy and hire" not in letter


def test_a_letter_that_stops_the_work_needs_no_size_and_any_other_page_does(
    reasoner: Reasoner, make_case: MakeCase
) -> None:
    stopped = begin(reasoner, make_case(asbestos_suspected="yes", area=None), TODAY)
    assert "asbestos laboratory" in as_seen(letter_page(stopped, RATE))
    with pytest.raises(BadJob, match="size of the floor is unknown"):
        letter_page(begin(reasoner, make_case(slab_humidity="60 %", area=None), TODAY), RATE)


def test_a_ruled_out_finish_is_told_so_on_top(study: TakeOff) -> None:
    out = next(each for each in study.advice.standings if each.verdict == "ruled out")
    for name in ("materials", "cost", "plan"):
        blocks = pages(study, out.finish)[name].blocks
        assert isinstance(blocks[1], Notice)
        assert out.ruled_out_by[0].because in blocks[1].items


@pytest.mark.parametrize("name", demo_cases())
def test_text_fits_80_columns_for_every_demo_case(reasoner: Reasoner, name: str) -> None:
    looked = demo(reasoner, name)
    columns = compared(looked, [], RATE)
    some = [letter_page(looked, RATE), compare_page(looked, columns, abreast=2)]
    if looked.advice.answer.leading:
        leading = looked.advice.answer.leading
        some += [materials_page(looked, leading), cost_page(looked, leading, RATE), plan_page(looked, leading, START)]
    for page in some:
        text = as_text(page)
        assert max(len(line) for line in text.splitlines()) <= 80
        assert "\x1b" not in text
        assert "…" not in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", demo_cases())
def test_a_letter_takes_two_sheets_at_most_and_a_comparison_one(reasoner: Reasoner, name: str, paper: str) -> None:
    looked = demo(reasoner, name)
    assert page_count(letter_page(looked, RATE), paper, SIZES[-1]) <= 2  # type: ignore[arg-type]
    columns = compared(looked, [], RATE)
    drawn = as_svg(ranges([each.finish.name for each in columns], panels(columns, "USD"), "Ranges"))
    assert page_count(compare_page(looked, columns, drawn), paper, SIZES[-1]) == 1  # type: ignore[arg-type]


def test_the_letter_is_plain_english(
    reasoner: Reasoner, study: TakeOff, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Flesch reading ease by textstat, its syllables by hyphenation (the pronouncing dictionary needs a network)."""
    counting = sys.modules["textstat.backend.counts._count_syllables"]
    monkeypatch.setattr(counting, "get_cmudict", lambda lang: None)
    hard = "Notwithstanding organisational considerations, implementation necessitates interdisciplinary coordination."
    assert textstat.flesch_reading_ease(hard) < 0
    for looked in (study, *(demo(reasoner, name) for name in demo_cases())):
        words = letter_page(looked, RATE).words()
        ease, index = textstat.flesch_reading_ease(words), textstat.coleman_liau_index(words)
        grade = textstat.flesch_kincaid_grade(words)
        with capsys.disabled():
            print(f"\n{looked.case.floor}: reading ease {ease:.0f}, Coleman-Liau {index:.1f}, grade {grade:.1f}")
        assert grade <= HIGHEST_GRADE
        assert ease >= EASIEST_FOR_A_HOMEOWNER
        assert index <= 10.0


def test_units_follow_the_reader(reasoner: Reasoner, make_case: MakeCase) -> None:
    case = make_case(slab_humidity="60 %")
    us, si = (begin(reasoner, case, TODAY, system=system) for system in ("us", "si"))  # type: ignore[arg-type]
    finish = us.chosen("epoxy_solid")
    first, second = as_text(materials_page(us, finish)), as_text(materials_page(si, finish))
    assert "440 ft²" in first
    assert "40.9 m²" in second
    assert re.search(r"\d gal", first)
    assert re.search(r"\d L", second)
    assert "x 180 ft" in plain(first)
    assert "x 55 m" in plain(second)
    assert "180 ft" not in plain(second)


@pytest.mark.parametrize(
    ("country", "shown", "taxed"),
    [
        ("united_states", "440 ft²", True),
        ("united_kingdom", "40.9 m²", False),
        ("european_union", "40.9 m²", False),
        ("elsewhere", "40.9 m²", False),
        (None, "40.9 m²", True),  # nobody said that it is not the country of the book's tax
    ],
)
def test_units_and_tax_are_those_of_the_country(
    reasoner: Reasoner, make_case: MakeCase, country: str | None, shown: str, taxed: bool
) -> None:
    study = begin(reasoner, make_case(slab_humidity="60 %", country=country), TODAY)
    said = plain(as_text(materials_page(study, study.chosen("epoxy_solid"))))
    assert shown in said
    assert ("7.25 % tax is added" in said) == taxed
    assert ("what is due where the floor is comes on top" in said) != taxed
    asked = begin(reasoner, make_case(slab_humidity="60 %", country=country), TODAY, system="us")
    assert "440 ft²" in as_text(materials_page(asked, "epoxy_solid"))


def test_a_shops_own_tax_holds_wherever_the_shop_is(
    reasoner: Reasoner, make_case: MakeCase, tmp_path: Path, base: RuleBase
) -> None:
    text = demo_book().read_text(encoding="utf-8").replace("tax,united_states,", "tax,,")
    (tmp_path / "own.csv").write_text(text, encoding="utf-8")
    case = make_case(slab_humidity="60 %", country="united_kingdom")
    study = begin(reasoner, case, TODAY, prices=tmp_path / "own.csv")
    assert "7.25 % tax is added" in as_text(materials_page(study, "epoxy_solid"))
    (tmp_path / "wrong.csv").write_text(text.replace("tax,,", "tax,untied_states,"), encoding="utf-8")
    with pytest.raises(BadPriceBook, match="no country whose tax"):
        read_pricebook(tmp_path / "wrong.csv", base, TODAY)


def test_outdoors_nothing_speaks_of_a_room(reasoner: Reasoner, make_case: MakeCase) -> None:
    """A terrace, invented: nothing to close, air or keep warm, no walls to sheet; the temperature is called unknown."""
    outside = make_case(
        room="covered_porch", exposure="open_air", freezes="yes", air_temperature=None, country="elsewhere"
    )
    study = begin(reasoner, outside, TODAY)
    job = study.job("penetrating_repellent")
    assert "Clear the floor and cover what is near" in [step.title for step in job.steps]
    assert "covering_sheet" not in materials_needed(job, HIGH)
    steps = " ".join(step_words(job, Reader("us", "USD")))
    assert not re.search(r"\b(room|walls and doors|keep it warm|airing|the door)\b", steps)
    plan = plain(as_text(plan_page(study, "penetrating_repellent", START)))
    assert "The floor is shut for" in plan
    assert "room is" not in plan
    assert "How warm it will be outdoors is not known" in plan
    assert "needs 5 to 32 °C" in plan
    assert "plan for the warm season" in plan
    assert "Outdoors the weather decides" in plan
    inside = begin(reasoner, make_case(exposure="indoors", air_temperature=None), TODAY)
    said = plain(as_text(plan_page(inside, "penetrating_repellent", START)))
    assert "The room is taken at 20 °C" in said
    assert "The room is shut for" in said
    unknown = begin(reasoner, make_case(exposure=None), TODAY).job("penetrating_repellent")
    assert "Clear the room and mask the walls" in [step.title for step in unknown.steps]


def test_the_comparison_holds_what_was_asked(study: TakeOff) -> None:
    asked = ["epoxy_solid", "floor_paint", "polished_natural"]
    columns = compared(study, asked, RATE)
    page = compare_page(study, columns, SVG)
    table = next(block for block in page.blocks if isinstance(block, Table))
    assert list(table.head[1:]) == [study.base.finishes[each].name for each in asked]
    rows = {row[0] for row in table.rows}
    assert {"Look", "Cost, yourself", "Cost, hired", "Over 20 years", "How hard", "Room shut", "Lets vapour through",
            "Chemicals", "Wear, vehicles", "Grip when wet", "Upkeep"} <= rows  # fmt: skip
    listed = next(block for block in page.blocks if isinstance(block, Listing))
    for each in study.advice.standings:
        if each.verdict == "ruled out" and each.finish not in asked:
            alike = [other for other in study.advice.standings if other.verdict == "ruled out"]
            reasons = [o.ruled_out_by[0].because for o in alike if o.ruled_out_by[0].rule == each.ruled_out_by[0].rule]
            (item,) = [item for item in listed.items if each.name in item.lower()]
            assert any(reason in item for reason in reasons)


def test_figures_are_drawn_the_same_each_time_and_hold_every_name(study: TakeOff, tmp_path: Path) -> None:
    plan = laid_out(study, "epoxy_solid", START)
    assert plan
    figures = {
        "ranges": lambda: ranges(["one", "two"], {"cost": {"now": [(1.0, 2.0), (2.0, 4.0)]}}, "Ranges"),
        "tornado": lambda: tornado([("pace", 1.0, 3.0), ("price", 1.5, 2.0)], 1.8, "What drives", "USD"),
        "calendar": lambda: plan_picture(plan, "Days"),
    }
    for name, make in figures.items():
        svg = as_svg(make())
        assert svg == as_svg(make())
        ElementTree.fromstring(svg[svg.index("<svg") :])
        for ending in (".svg", ".png", ".pdf"):
            save(make(), tmp_path / f"{name}{ending}")
            assert (tmp_path / f"{name}{ending}").stat().st_size > 1000
    assert not list(tmp_path.glob(".*"))


def test_bars_stand_where_the_numbers_are() -> None:
    axes = tornado([("pace", 1.0, 3.0)], 1.8, "What drives", "USD").axes[0]
    spans = sorted((bar.get_x(), bar.get_x() + bar.get_width()) for bar in axes.patches)
    assert spans == [(1.0, pytest.approx(1.8)), (1.8, pytest.approx(3.0))]
    panel = ranges(["one"], {"cost": {"now": [(2.0, 5.0)]}}, "Ranges").axes[0]
    assert [(bar.get_x(), bar.get_width()) for bar in panel.patches] == [(2.0, 3.0)]


@pytest.mark.parametrize("name", ["page.txt", "page", "nowhere/page.pdf"])
def test_a_page_is_refused_before_anything_is_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(CannotWrite):
        check_file(tmp_path / name)
    with pytest.raises(CannotWrite):
        write_page(Page("a", (Paragraph("b"),)), tmp_path / name)
    with pytest.raises(CannotWrite):
        check_plot(tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_one_day_of_hire_is_a_day() -> None:
    reader = Reader("us", "USD")
    assert (reader.amount(1.0, "days", up=True), reader.amount(3.0, "days", up=True)) == ("1 day", "3 days")


def test_dates_tell_that_holidays_are_not_known(base: RuleBase, study: TakeOff) -> None:
    dated = {}
    for finish in base.finishes:
        if plan := laid_out(study, finish, START):
            dated[finish] = plan.first.dated
            told = "Public holidays are not known" in plain(as_text(plan_page(study, finish, START)))
            assert told == plan.first.dated, finish
    assert set(dated.values()) == {True, False}
