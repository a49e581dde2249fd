"""The way at home, without a browser: the same questions and answer as the commands', and what is refused."""

from __future__ import annotations

import html
import re
from datetime import date
from typing import Any
from xml.etree import ElementTree

import httpx
import pytest

from advisor.asking.interview import OPENING, interview_about
from advisor.asking.opening import read_opening
from advisor.facts.case import make_case
from advisor.facts.statements import Statement
from advisor.web.rendering import static, static_files
from advisor.web.visit import Visit, case_of, going_on, pack, unpack, visit_of
from explanations.wording import wording
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in, hidden

TODAY = date.today()
SAID: dict[str, dict[str, Any]] = {
    "reason": {"answer": "1"},
    "country": {"answer": "2"},
    "place": {"answer": "6"},
    "whose": {"answer": "1"},
    "size": {"fact_area": "20 x 22 ft", "fact_building_year": "1998", "fact_slab_age": "25 years"},
    "on_floor": {"answer": "bare"},
    "stands": {"picked": ["1", "6"]},
}
TYPED = {"size": "area=20 x 22 ft; building_year=1998; slab_age=25 years", "stands": "1, 6"}


def words(page: httpx.Response) -> str:
    """What a reader sees."""
    shown = re.sub(r"<[^>]+>", " ", page.text.split("<main", 1)[1])
    return " ".join(html.unescape(shown).split())


def test_the_questions_are_those_of_the_interview_in_its_order(visitor: Visitor) -> None:
    held = interview_about(BASE, today=TODAY)
    try:
        page = visitor.get("/home")
        for _ in range(len(SAID)):
            coming = held.upcoming()
            opening = BASE.conversation[coming.opening]
            assert hidden(page, "asked") == OPENING + coming.opening
            assert opening.ask in words(page)
            assert opening.why in words(page)
            assert "I don't know" in words(page)
            given = SAID[coming.opening]
            text = TYPED.get(coming.opening, given.get("answer", ""))
            held.tell(OPENING + coming.opening, read_opening(BASE, opening, text, TODAY, held.case.stated))
            page = visitor.answer(page, given)
        with going_on(REASONER, unpack(case_in(str(page.url)), BASE), TODAY) as (there, _):
            assert there.case == held.case
            assert there.asked == held.asked
    finally:
        held.close()


def test_what_does_not_fit_is_said_beside_the_question_and_kept_in_its_field(visitor: Visitor) -> None:
    page = visitor.get(f"/home/ask?asked=slab_humidity&case={GARAGE}")
    for typed in ("wet", "<script>alert(1)</script>", "7" * 10_000, "80 % on yesterday"):
        answer = visitor.answer(page, {"answer": typed})
        assert answer.status_code == 422
        assert "<script>" not in answer.text
        assert 'role="alert"' in answer.text
        assert html.escape(typed)[:100] in answer.text or len(typed) > 400
    assert "Answer, or press" in words(visitor.answer(page, {"answer": " "}))
    measured = visitor.answer(page, {"answer": "88 %", "on": TODAY.isoformat(), "by": "testing firm"})
    said = unpack(case_in(str(measured.url)), BASE).answers[-1]
    assert said == ("slab_humidity", f"88 % on {TODAY.isoformat()} by testing firm")


def test_back_is_the_page_before_and_another_answer_there_begins_another_branch(visitor: Visitor) -> None:
    first = visitor.get("/home")
    one = visitor.answer(first, {"answer": "1"})
    two = visitor.answer(first, {"dont_know": "yes"})
    assert case_in(str(one.url)) != case_in(str(two.url))
    assert visitor.get(str(one.url)).text == one.text
    back = re.search(r'href="([^"]*)" rel="prev"', one.text)
    assert back is not None
    assert visitor.get(back[1]).text == first.text


GARAGE = pack(
    visit_of(make_case(BASE, {"room": Statement("garage"), "country": Statement("united_states")}, TODAY, "Mine")), BASE
)


def test_every_further_page_of_an_answer_is_there(visitor: Visitor) -> None:
    begun = visitor.get("/example?floor=untested_garage&way=home")
    answer = visitor.get(begun.headers["location"])
    case = case_in(begun.headers["location"])
    assert "Test first." in words(answer)
    assert "advisor " not in words(answer).replace("finish advisor", "")
    assert " --" not in words(answer)
    for name in ("full", "why", "picture", "takes", "plan", "letter", "said"):
        page = visitor.get(f"/home/{name}?case={case}")
        assert page.status_code == 200, name
        assert "<style" not in page.text
        assert "style=" not in page.text
    assert visitor.get(f"/home/letter.pdf?case={case}").content.startswith(b"%PDF")
    assert visitor.get(f"/home/picture.svg?case={case}").text.lstrip().startswith("<?xml")
    assert visitor.get(f"/home/picture.pdf?case={case}&depth=answer").content.startswith(b"%PDF")
    whole = visitor.get(f"/home/picture.svg?case={case}&depth=everything")
    assert whole.status_code == 422
    assert "cannot be read" in words(whole)
    assert "facts:" in visitor.get(f"/home/floor.yaml?case={case}").text


@pytest.mark.parametrize("case", ["x", "eJw", GARAGE[:-4], "A" * 6001, "%F0%9F%98%80"])
def test_an_address_that_holds_no_floor_is_refused_in_words(visitor: Visitor, case: str) -> None:
    page = visitor.get(f"/home?case={case}")
    assert page.status_code == 422
    assert "holds no floor" in words(page)


def test_a_visit_is_read_back_as_it_was_packed() -> None:
    visit = Visit("Ömer's <b>", (("room", "garage"),), (("opening:reason", "1"), ("area", "440 ft2")))
    assert unpack(pack(visit, BASE), BASE) == visit
    assert pack(Visit(), BASE) == ""


def test_a_floor_that_was_saved_is_gone_on_with(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=home").headers["location"])
    saved = visitor.get("/home/floor.yaml", params={"case": case}).content
    sent = visitor.post("/open", files={"file": ("floor.yaml", saved)})
    assert sent.status_code == 303
    again, before = (case_of(BASE, unpack(each, BASE), TODAY) for each in (case_in(sent.headers["location"]), case))
    assert again.facts == before.facts
    broken = (b"", b"\xff\x00", b"{", b"facts: {x: 1}", b"facts: {slab_age: <b>}")
    for name, content in (*(("floor.yaml", each) for each in broken), ("../../x", b"x"), ("floor.json", b"{")):
        refused = visitor.post("/open", files={"file": (name, content)})
        assert refused.status_code == 422
        assert "/tmp" not in refused.text


def test_each_drawing_is_shown_where_its_fact_is_asked_for_with_its_words_from_the_texts(visitor: Visitor) -> None:
    drawn = [name for name in static_files() if name.startswith("drawings/")]
    assert {"drawings/slab_humidity.svg", "drawings/emission_rate.svg", "drawings/coating_peeled.svg"} <= {*drawn}
    for name in drawn:
        fact = name.partition("/")[2].removesuffix(".svg")
        page = visitor.get("/home/ask", params={"asked": fact})
        picture = visitor.get(static(name))
        assert f'src="{static(name)}"' in page.text
        assert wording(f"web_drawings.{fact}.says") in html.unescape(page.text)
        assert picture.headers["content-type"] == "image/svg+xml"
        words = [each.text for each in ElementTree.fromstring(picture.text).iter("{http://www.w3.org/2000/svg}text")]
        assert words
        assert all(words)


def test_a_floor_without_a_name_leaves_no_heading_half_said(visitor: Visitor) -> None:
    typed = visitor.post("/counter", data={"case": "", "said": "room garage; area 40 m2; trouble peels"})
    case = {"case": case_in(typed.headers["location"])}
    pages = [
        "/home/answer",
        "/home/full",
        "/home/why",
        "/home/letter",
        "/counter/compare",
        "/wrong",
        "/wrong/handover",
        "/lesson",
    ]
    for path in pages:
        heads = re.findall(r"<h1[^>]*>(.*?)</h1>", visitor.get(f"/{path}", params=case).text)
        assert heads
        assert not [each for each in heads if each.rstrip().endswith(":")], path
    assert "<p>Date: 20" in visitor.get("/wrong/handover", params=case).text
    assert "Why: <" not in visitor.get("/home/picture.svg", params=case).text
    assert visitor.get("/lesson", params=case).text.count("<h1>Lesson</h1>") == 1
