"""At the counter: facts by their first letters, the answer beside them, and what goes to the customer."""

from __future__ import annotations

import html
import re

import pytest

from advisor.asking.typed_short import read_short
from advisor.errors import BadRequest
from advisor.pages.shop import Shop
from advisor.web.app import make_app
from advisor.web.asked import House
from advisor.web.counter import _suggested
from advisor.web.rendering import static_files
from advisor.web.visit import unpack
from advisor.web.work import Here
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in, hidden
from tests.web.test_home import words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("slab_humidity: 85 %", [("slab_humidity", "85 %")]),
        ("slab hum 85 to 90 %", [("slab_humidity", "85 to 90 %")]),
        ("garage; country=canada", [("room", "garage"), ("country", "canada")]),
        ("  sl hu 80 %  ;;\n area 400 ft2", [("slab_humidity", "80 %"), ("area", "400 ft2")]),
        ("look: flakes; floor paint", [("wanted_look", "flakes"), ("on_floor", "paint")]),  # one of them has it
        ("dog; cheap", [("pets", "yes"), ("importance_cost", "high")]),  # as at the opening questions
        ("", []),
    ],
)
def test_facts_are_read_by_their_first_letters(typed: str, said: list[tuple[str, str]]) -> None:
    assert read_short(BASE, typed) == said


@pytest.mark.parametrize("typed", ["s: 5", "nonsuch: 5", "moon", "area:", "<b>"])
def test_what_may_mean_several_facts_or_none_is_refused(typed: str) -> None:
    with pytest.raises(BadRequest):
        read_short(BASE, typed)


def test_each_entry_changes_the_answer_beside_it_and_can_be_taken_back(visitor: Visitor) -> None:
    blank = visitor.get("/counter")
    sent = visitor.post("/counter", data={"case": "", "said": "room garage; area 440 ft2; slab hum 85 %"})
    assert sent.status_code == 303
    assert unpack(case_in(sent.headers["location"]), BASE).answers == (
        ("room", "garage"),
        ("area", "440 ft2"),
        ("slab_humidity", "85 %"),
    )
    page = visitor.get(sent.headers["location"])
    assert "What to ask next" in words(page)
    assert words(page) != words(blank)
    assert all(finish.name in words(page) for finish in BASE.finishes.values())
    again = visitor.post("/counter", data={"case": hidden(page, "case"), "said": "slab hum 140 %"})
    assert again.status_code == 422
    assert 'role="alert"' in again.text
    assert 'value="slab hum 140 %"' in again.text
    assert hidden(again, "case") == hidden(page, "case")
    assert "<i>" not in visitor.post("/counter", data={"case": "", "said": "<i>" * 3000}).text


def test_finishes_are_compared_and_letter_and_list_carry_the_shop(runner: object) -> None:
    own = Visitor(make_app(Here(REASONER, House(Shop("Corner Shop", ("1 Some Street",))))), runner)  # type: ignore[arg-type]
    try:
        case = case_in(own.get("/example?floor=untested_garage&way=counter").headers["location"])
        letter = own.get("/counter/letter", params={"case": case, "to": "Jo <Doe>\n2 Any Street"})
        assert "Corner Shop" in words(letter)
        assert "Jo <Doe>" in words(letter)
        beside = words(own.get(f"/counter/compare?case={case}&finish=epoxy_solid&finish=floor_paint"))
        assert all(BASE.finishes[each].name in beside for each in ("epoxy_solid", "floor_paint"))
        many = "&".join(f"finish={each}" for each in list(BASE.finishes)[:4])
        assert own.get(f"/counter/compare?case={case}&{many}").status_code == 422
        assert own.get(f"/counter/shopping?case={case}").status_code == 200
    finally:
        own.close()


def test_no_script_or_style_stands_in_the_page(visitor: Visitor) -> None:
    page = visitor.get("/counter").text
    assert "style=" not in page
    assert page.count("<script") == page.count("<script src=") == 2
    assert all(b"innerHTML" not in static_files()[name][0] for name in ("live.js", "match.js"))


def test_whatever_the_list_offers_is_read_as_what_it_says() -> None:
    for typed, _ in _suggested(BASE):
        fact, _, value = typed.partition(": ")
        assert read_short(BASE, typed if value else f"{typed}1") == [(fact, value or "1")]


def test_the_letter_is_had_as_a_pdf_to_the_same_addressee(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])
    shown = visitor.get("/counter/letter", params={"case": case, "to": "A customer\nA street"})
    to = html.unescape(re.findall(r'href="(/counter/letter.pdf[^"]*)"', shown.text)[0])
    made = visitor.get(to)
    assert made.headers["content-type"] == "application/pdf"
    assert made.content.startswith(b"%PDF")
    assert made.content != visitor.get("/counter/letter.pdf", params={"case": case}).content
    assert "to=A+customer%0AA+street" in to
