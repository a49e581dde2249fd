"""The letter: who writes to whom, what speaks against the advice, and two sheets that one can read."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from random import Random
from typing import Any

import pytest

from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadFile
from advisor.facts.case import Case, read_case
from advisor.facts.case import make_case as case_of
from advisor.facts.statements import Statement
from advisor.model.values import number
from advisor.pages.blocks import Heading, Letterhead, Lines, Listing, Notice, Page, Table
from advisor.pages.html import to_html
from advisor.pages.letter import MOST_AGAINST, MOST_LINES, letter_page, usual_hazards
from advisor.pages.markdown import to_markdown
from advisor.pages.pdf import PAPERS, page_count, to_pdf
from advisor.pages.shop import read_shop
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import read_document
from advisor.work.book_reading import demo_book
from advisor.work.takeoff import TakeOff, begin, hazards_of
from explanations.wording import wording
from tests.floors import random_case
from tests.views_of_work import flat

from .conftest import TODAY, MakeCase
from .test_pages import as_seen

POINTS = 10.0  # what is read without effort on paper, common practice, no source
SHOP = "name: The Corner Counter\naddress:\n- 12 Example Street\n- Sampletown\ncontact: 555 0100\nlogo: mark.png\n"


def png() -> bytes:
    """One grey pixel, written by hand from the PNG specification (ISO/IEC 15948, clauses 5 and 11)."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        body = kind + content
        return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\x00\x80")) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


@pytest.fixture
def shop_file(tmp_path: Path) -> Path:
    (tmp_path / "mark.png").write_bytes(png())
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def studies(reasoner: Reasoner) -> list[TakeOff]:
    return [begin(reasoner, read_case(path, reasoner.base), TODAY) for path in demo_cases().values()]


def under(page: Page, head: str) -> list[str]:
    """What stands in the lists below a heading."""
    found: list[str] = []
    inside = False
    for block in page.blocks:
        if isinstance(block, Heading):
            inside = block.text == wording(head)
        elif inside and isinstance(block, Listing):
            found += map(str, block.items)
    return found


def test_a_letter_has_head_addressee_greeting_date_and_signature(studies: list[TakeOff], shop_file: Path) -> None:
    shop = read_shop(shop_file)
    page = letter_page(studies[0], 0.03, shop, ["A. Customer", "3 Sample Lane"])
    assert isinstance(page.blocks[0], Letterhead)
    assert page.blocks[1:3] == (Lines(("A. Customer", "3 Sample Lane")), Lines(("25 November 2026",)))
    for form in (to_markdown(page), as_seen(page)):
        places = [
            form.find(each) for each in ("12 Example Street", "3 Sample Lane", "Dear A. Customer,", "Yours sincerely,")
        ]
        assert -1 not in places
        assert places == sorted(places)
    assert "data:image/png;base64," in to_html(page)
    assert to_pdf(page, size=POINTS).startswith(b"%PDF")
    bare = as_seen(letter_page(studies[0], 0.03))
    assert "Dear customer," in bare


def test_no_addressee_brings_characters_that_are_obeyed(studies: list[TakeOff]) -> None:
    seen = as_seen(letter_page(studies[0], 0.03, to=["A.\x1b[8m Customer"]))
    assert "\x1b" not in seen
    assert "u001b[8m Customer" in seen


def test_what_marks_the_rule_base_stands_in_the_footer_alone(studies: list[TakeOff]) -> None:
    for study in studies:
        page = letter_page(study, 0.03)
        mark = study.advice.rule_base.fingerprint
        assert mark in page.footer
        assert mark not in page.words()
        assert "from memory" not in page.words()
        assert mark in to_markdown(page)
        assert mark in as_seen(page)


def test_the_worst_that_speaks_against_the_leading_finish_is_in_the_letter(studies: list[TakeOff]) -> None:
    seen = 0
    for study in studies:
        leading = study.advice.answer.leading
        if leading is None or study.advice.stops or study.advice.holds:
            continue
        against: dict[str, int] = {}
        for award in study.standing(leading).points:
            against[award.because] = against.get(award.because, 0) + award.weighted
        worst = sorted((each for each in against if against[each] < 0), key=lambda each: against[each])
        assert worst
        assert under(letter_page(study, 0.03), "letter.against") == worst[:MOST_AGAINST]
        seen += 1
    assert seen >= 2


def test_the_runner_up_is_named_even_where_the_room_is_short(
    studies: list[TakeOff], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The column of a third finish is left out first; a finish to fall back on may have the second."""
    seen = 0
    for most in (None, 0):
        if most is not None:
            monkeypatch.setattr("advisor.pages.letter.MOST_LINES", most)
            monkeypatch.setattr("advisor.pages.letter.MOST_PERHAPS", most)
        for study in studies:
            second = study.advice.standing(study.advice.answer.runner_up)
            if second is not None and not study.advice.stops and not study.advice.holds:
                assert second.name in flat(letter_page(study, 0.03).blocks), study.case.floor
                seen += 1
    assert seen >= 2


def test_who_hires_a_crew_gets_no_kit_list(reasoner: Reasoner, make_case: MakeCase) -> None:
    own, hired = (begin(reasoner, make_case(who_works=who, slab_humidity="60 %"), TODAY) for who in ("self", "hired"))
    assert "To buy and to hire" in as_seen(letter_page(own, 0.03))
    told = as_seen(letter_page(hired, 0.03))
    assert "To buy and to hire" not in told
    assert "The work, in order" not in told
    assert "Ask for a price in writing" in told


def _floors(reasoner: Reasoner) -> list[TakeOff]:
    """Random floors of 40 square metres, most of whose facts are known or few."""
    found = []
    for seed in range(16):
        rng = Random(seed)
        facts = random_case(reasoner.base, rng, rng.choice([0.2, 0.6]))
        facts["area"] = number(Interval(40.0, 40.0), "m2")
        found.append(begin(reasoner, Case(f"Floor {seed}", "", facts), TODAY))
    return found


def test_two_sheets_at_ten_points_and_no_danger_lost(reasoner: Reasoner, studies: list[TakeOff]) -> None:
    floors = [*studies, *_floors(reasoner)]
    assert len(floors) > 5
    for study in floors:
        page = letter_page(study, 0.03)
        for paper in PAPERS:
            assert page_count(page, paper, POINTS) <= 2, study.case.floor
        leading, told = study.advice.answer.leading, as_seen(page)
        if leading is None or study.advice.stops or study.advice.holds:
            assert all(each.says in told for each in study.advice.hazards if each.floor)
            continue
        assert any(isinstance(block, Table) for block in page.blocks)
        usual = usual_hazards(study)
        for each in hazards_of(study, leading):
            assert each.title in told or each.says in told
            assert each.name in usual or each.says in told


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("adress: x\nname: y\n", ["adress", "address"]),
        ("address: x\n", ["name is missing"]),
        ("name: x\nlogo: none.png\n", ["none.png", "no picture"]),
        ("name: x\nlogo: shop.yaml\n", ["no picture that can be the logo", ".svg"]),
        ("name: x\nlogo: false.png\n", ["false.png", "does not hold such a picture"]),
        ("name: x\nlogo: false.svg\n", ["false.svg", "does not hold such a picture"]),
        ("name: x\naddress: {a: b}\n", ["address", "list of lines"]),
        (f"name: {'x' * 130}\n", ["too long", "120"]),
    ],
)
def test_a_shops_file_that_is_wrong_is_told_how(tmp_path: Path, text: str, said: list[str]) -> None:
    (tmp_path / "false.png").write_bytes(b"\x89PNG no picture")
    (tmp_path / "false.svg").write_bytes(b"<svg")
    path = tmp_path / "shop.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadFile) as refused:
        read_shop(path)
    assert all(each in str(refused.value) for each in said), str(refused.value)


def test_a_hazard_stands_framed(studies: list[TakeOff]) -> None:
    for study in studies:
        assert any(isinstance(block, Notice) for block in letter_page(study, 0.03).blocks)


def test_where_the_room_allows_who_does_it_gets_the_list_of_what_to_buy(reasoner: Reasoner) -> None:
    """A floor whose letter the count of lines calls too long for two sheets, and that takes two with the list."""
    document: Any = read_document(Path(__file__).parent.parent / "scenarios" / "adviser.yaml").content
    patio = next(each["given"] for each in document["scenarios"] if each["name"].startswith("Stamped patio"))
    facts = {name: Statement(text) for name, text in patio.items()}
    page = letter_page(begin(reasoner, case_of(reasoner.base, facts, TODAY), TODAY), 0.03)
    assert buying(page).head[-1] == "Roughly, at most"
    assert page.lines() > MOST_LINES
    assert len(buying(page).head) == 3
    assert all(page_count(page, paper, POINTS) <= 2 for paper in PAPERS)


def buying(page: Page) -> Table:
    return next(b for b in page.blocks if isinstance(b, Table) and b.head[0] == wording("letter.buy.part"))


def test_others_to_ask_stand_in_the_letter_as_in_the_advice(reasoner: Reasoner) -> None:
    """Where a question holds the floor too."""
    seen = 0
    for seed in range(12):
        facts = random_case(reasoner.base, Random(seed), 0.3)
        study = begin(reasoner, Case(f"Floor {seed}", "", facts), TODAY)
        told = as_seen(letter_page(study, 0.03))
        for each in study.advice.referrals if not study.advice.stops else ():
            assert flat_words(each.who)[1:] in flat_words(told)
            seen += study.advice.answer.leading is None or bool(study.advice.holds)
    assert seen


def flat_words(text: str) -> str:
    return " ".join(text.split())


def test_a_customer_reads_no_name_of_a_file(reasoner: Reasoner, make_case: MakeCase, tmp_path: Path) -> None:
    (tmp_path / "part.csv").write_text(demo_book().read_text(encoding="utf-8"), encoding="utf-8")
    for who in ("self", "hired"):
        case = make_case(who_works=who, slab_humidity="60 %")
        study = begin(reasoner, case, TODAY, prices=tmp_path / "part.csv")
        told = as_seen(letter_page(study, 0.03))
        assert "part.csv" not in told
        assert "our price book" in told
