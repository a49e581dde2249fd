"""What if: the change is that of `revise`, in words and in the picture."""

from __future__ import annotations

import re
from datetime import date
from itertools import pairwise

import httpx
import pytest

from advisor.answer.judging import judge_of
from advisor.asking.revision import revise
from advisor.asking.revision_words import revision_told
from advisor.model.quantities import read_quantity
from advisor.model.reader import reading_of
from advisor.model.values import number, unknown
from advisor.physics.bounds import Interval
from advisor.web.sliding import FAR, slider_of, typed_at
from advisor.web.visit import case_of, unpack
from explanations.reading import Reading, measuring
from explanations.wording import speaking_of
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor, case_in
from tests.web.test_home import words

ANY = Interval(-1e12, 1e12)


@pytest.fixture
def case(visitor: Visitor) -> str:
    return case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])


def asked(visitor: Visitor, path: str = "/whatif", **said: str) -> httpx.Response:
    return visitor.get(path, params=said)


def test_a_fact_moved_by_slider_or_choice_tells_what_revising_tells(visitor: Visitor, case: str) -> None:
    slid = asked(visitor, case=case, fact="slab_humidity", at="97", moved="vehicles=none")
    floor = case_of(BASE, unpack(case, BASE), date.today())
    with speaking_of("web"), measuring(reading_of(BASE, floor.facts)):
        told = list(revision_told(revise(REASONER, floor, ["vehicles=none", "slab_humidity=97 %"], date.today())))
    shown = words(slid)
    assert all(" ".join(line.strip(" -").split()) in shown for line in told if line)
    assert "Put back" in shown


def test_limits_are_marked_and_what_does_not_fit_is_said(visitor: Visitor, case: str) -> None:
    page = asked(visitor, case=case, fact="slab_humidity")
    marked = re.findall(r'<li data-at="([\d.]+)" class="limit">', page.text)
    assert list(map(float, marked)) == sorted(judge_of(REASONER).limits["slab_humidity"])
    assert '<li data-at="1">' in page.text
    assert 'name="at" type="number"' in page.text
    assert asked(visitor, case=case, fact="slab_humidity", at="400").status_code == 422
    assert asked(visitor, case=case, fact="slab_humidity", at="<b>").status_code == 422
    assert asked(visitor, case=case, fact="slab_humidity", at="nan").status_code == 422
    assert asked(visitor, case=case, fact="nothing").status_code == 422


def test_a_reader_moves_and_reads_in_own_units(visitor: Visitor, case: str) -> None:
    thick = asked(visitor, case=case, fact="slab_thickness", at="6")
    floor = case_of(BASE, unpack(case, BASE), date.today())
    assert floor.facts["country"].choice == "united_states"
    assert "(in)" in words(thick)
    assert "slab thickness: 6 in" in words(thick)
    assert 'name="moved" value="slab_thickness=152.4 mm"' in thick.text


def test_what_was_said_is_withdrawn(visitor: Visitor, case: str) -> None:
    page = asked(visitor, case=case, fact="vehicles", to="unknown")
    assert page.status_code == 200
    assert 'name="moved" value="vehicles=unknown"' in page.text


NUMBERS = [name for name, kind in BASE.facts.items() if kind.type == "number" and kind.ask]


@pytest.mark.parametrize("reader", [None, Reading("us"), Reading("si", "GBP", 1.3)])
def test_each_stop_is_what_it_says_and_each_limit_itself(reader: Reading | None) -> None:
    for name in NUMBERS:
        kind, limits = BASE.facts[name], judge_of(REASONER).limits.get(name, ())
        with measuring(reader):
            slider = slider_of(kind, limits, None)
            places = [float(stop.at) for stop in slider.stops]
            assert places == sorted(set(places)), name
            meant = [read_quantity(typed_at(kind, limits, stop.at), kind.unit, ANY) for stop in slider.stops]
        assert {at.low for at, stop in zip(meant, slider.stops, strict=True) if stop.limit} == {*limits}, name
        assert meant[0].low == pytest.approx(kind.plausible.low, rel=1e-5)
        assert meant[-1].low == pytest.approx(kind.plausible.high, rel=1e-5)
        assert all(other <= FAR * (one or 1.0) for one, other in pairwise(places) if one >= 0), name


def test_a_range_has_no_figure_and_stands_in_its_middle() -> None:
    kind = BASE.facts["slab_humidity"]
    slider = slider_of(kind, (), number(Interval(80.0, 86.0), kind.unit))
    assert (slider.value, slider.stands) == ("", "83")
    assert slider_of(kind, (), unknown(kind)).stands == ""
    assert slider_of(kind, (), number(Interval(85.0, 85.0), kind.unit)).value == "85"


def test_the_picture_and_the_smallest_changes_are_there(visitor: Visitor, case: str) -> None:
    drawn = asked(visitor, "/whatif/picture.svg", case=case, moved="slab_humidity=97 %")
    assert drawn.headers["content-type"].startswith("image/svg")
    assert "97 %" in drawn.text
    assert asked(visitor, "/whatif/picture.svg", case=case).status_code == 422
    assert "turn" in words(asked(visitor, "/whatif/turns", case=case))


def test_what_falls_are_items_beside_each_other(visitor: Visitor, case: str) -> None:
    page = asked(visitor, case=case, fact="slab_humidity", at="88").text
    falls = page[page.index(">Falls</h2>") :]
    assert falls[: falls.index("</ul>")].count("<li>") >= 5
    assert "<ul" not in falls[: falls.index("</ul>")].split("<ul", 1)[1]
