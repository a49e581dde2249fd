"""The reasons walked: from the answer each link leads on, down to what was said or published."""

from __future__ import annotations

import html
import re

from tests.web.conftest import Visitor, case_in
from tests.web.test_home import words


def test_from_the_answer_links_lead_down_to_the_visitors_own_facts(visitor: Visitor) -> None:
    case = case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])
    page, steps = visitor.get(f"/reasons?case={case}"), 0
    while "On nothing further" not in words(page):
        down = page.text.split("It rests on</h2>")[1].split("<h2>")[0]
        page, steps = visitor.get(html.unescape(re.findall(r'href="([^"]*)"', down)[0])), steps + 1
        assert page.status_code == 200
        assert steps < 40
    assert steps >= 2
    drawn = visitor.get(f"/reasons/picture.svg?case={case}")
    assert drawn.headers["content-type"].startswith("image/svg")
    assert visitor.get(f"/reasons?case={case}&node=nothing").status_code == 422
