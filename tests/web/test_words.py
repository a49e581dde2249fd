"""No page tells what only the command line knows: its options, and the names of its verbs."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Visitor, case_in
from tests.web.test_home import words

TYPED = re.compile(r"(?<![\w-])--[a-z]\w+|\badvisor [a-z]+\b")
OF_A_FLOOR = ["home/answer", "home/full", "home/why", "home/takes", "home/plan", "home/letter", "home/settled", "wrong"]
OF_A_FLOOR += ["wrong/handover", "counter", "counter/compare", "counter/shopping", "whatif/turns", "reasons", "lesson"]


@pytest.mark.parametrize("demo", ["untested_garage", "old_tile_kitchen"])
@pytest.mark.parametrize("path", OF_A_FLOOR)
def test_a_page_about_a_floor_names_no_command(visitor: Visitor, path: str, demo: str) -> None:
    case = case_in(visitor.get(f"/example?floor={demo}&way=counter").headers["location"])
    page = visitor.get(f"/{path}", params={"case": case})
    assert page.status_code in (200, 422)
    assert TYPED.findall(words(page)) == []


@pytest.mark.parametrize("path", ["rules?words=zz", "rules/rule?name=zz", "rules/cause?name=zz", "whatif?fact=zz"])
def test_what_is_refused_names_no_command(visitor: Visitor, path: str) -> None:
    assert TYPED.findall(words(visitor.get(f"/{path}"))) == []


@pytest.mark.parametrize("said", ["zz: 5", "s: 5", "slab hum 400 %", "slab hum:"])
def test_what_does_not_fit_names_no_command(visitor: Visitor, said: str) -> None:
    assert TYPED.findall(words(visitor.post("/counter", data={"case": "", "said": said}))) == []


def test_where_nothing_went_wrong_one_can_say_what_did(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=wrong").headers["location"])
    page = visitor.get("/wrong", params={"case": case})
    assert "Say what went wrong" in words(page)
    assert visitor.get("/wrong/ask", params={"case": case, "asked": "trouble"}).status_code == 200
