"""What went wrong, without a browser: the complaint, the causes that the command tells, a look, what is due."""

from __future__ import annotations

import html
import re
from datetime import date

from advisor.asking.causes import find_causes
from advisor.web.visit import case_of, unpack
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in, hidden
from tests.web.test_home import words


def test_from_the_complaint_to_the_causes_and_the_look_that_decides(visitor: Visitor) -> None:
    asked = visitor.get("/wrong")
    assert hidden(asked, "asked") == "trouble"
    told = visitor.answer(asked, {"answer": "blisters"}, "/wrong")
    today = date.today()
    found = find_causes(REASONER, case_of(BASE, unpack(case_in(str(told.url)), BASE), today), today)
    assert found.sentence in words(told)
    assert found.looks
    offered = [html.unescape(each) for each in re.findall(r'name="asked" value="([^"]*)"', told.text)]
    assert offered == [each.fact for each in found.looks[: len(offered)]]
    assert offered
    look = visitor.get(f"/wrong/ask?case={case_in(str(told.url))}&asked={offered[0]}")
    assert found.looks[0].ask in words(look)
    after = visitor.answer(look, {"dont_know": "yes"}, "/wrong")
    assert offered[0] not in re.findall(r'name="asked" value="([^"]*)"', after.text)
    assert "advisor " not in words(after).replace("finish advisor", "")
    handed = visitor.get(f"/wrong/handover?case={case_in(str(after.url))}")
    assert handed.status_code == 200
    assert "blisters" in words(handed)


def test_nothing_went_wrong_is_an_answer_too(visitor: Visitor) -> None:
    told = visitor.answer(visitor.get("/wrong"), {"answer": "none"}, "/wrong")
    assert told.status_code == 200
    assert "Nothing went wrong" in words(told)
