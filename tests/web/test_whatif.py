"""What if: the change is that of `revise`, in words and in the picture."""

from __future__ import annotations

from datetime import date

import httpx
import pytest

from advisor.asking.revision import revise
from advisor.asking.revision_words import revision_told
from advisor.model.reader import reading_of
from advisor.web.visit import case_of, unpack
from explanations.reading import measuring
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in
from tests.web.test_home import words


@pytest.fixture
def case(visitor: Visitor) -> str:
    return case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])


def asked(visitor: Visitor, path: str = "/whatif", **said: str) -> httpx.Response:
    return visitor.get(path, params=said)


def test_a_fact_moved_by_slider_or_choice_tells_what_revising_tells(visitor: Visitor, case: str) -> None:
    slid = asked(visitor, case=case, fact="slab_humidity", to="97", slid="yes", moved="vehicles=none")
    floor = case_of(BASE, unpack(case, BASE), date.today())
    with measuring(reading_of(BASE, floor.facts)):
        told = list(revision_told(revise(REASONER, floor, ["vehicles=none", "slab_humidity=97 %"], date.today())))
    shown = words(slid)
    assert all(" ".join(line.strip(" -").split()) in shown for line in told if line)
    assert "Put back" in shown


def test_limits_are_marked_and_what_does_not_fit_is_said(visitor: Visitor, case: str) -> None:
    page = asked(visitor, case=case, fact="slab_humidity")
    assert 'type="range" min="1.0" max="100.0"' in page.text
    assert '<option value="75.0"' in page.text
    assert asked(visitor, case=case, fact="slab_humidity", to="400", slid="yes").status_code == 422
    assert asked(visitor, case=case, fact="slab_humidity", to="<b>", slid="yes").status_code == 422
    assert asked(visitor, case=case, fact="nothing").status_code == 422


def test_the_picture_and_the_smallest_changes_are_there(visitor: Visitor, case: str) -> None:
    drawn = asked(visitor, "/whatif/picture.svg", case=case, moved="slab_humidity=97 %")
    assert drawn.headers["content-type"].startswith("image/svg")
    assert "97 %" in drawn.text
    assert asked(visitor, "/whatif/picture.svg", case=case).status_code == 422
    assert "turn" in words(asked(visitor, "/whatif/turns", case=case))
