"""The rules read in the page: what `advisor rules`, `rule` and `sources` print, as links that lead on."""

from __future__ import annotations

import html
import re

import httpx

from advisor.asking.causes import inquiry_of
from advisor.model.plain_words import sentence_words
from advisor.reference.limit_list import find_limits, limit_page
from advisor.reference.rule_list import find_rules
from advisor.reference.rule_page import rule_page
from advisor.reference.source_list import sources_holding
from advisor.reference.witness import Floors
from explanations.wording import label, speaking_of, wording
from tests.answer.test_judging import BASE, REASONER
from tests.web.conftest import Visitor

MARKUP = '"><script>alert(1)</script>'
FILM = "vapour.humidity_about_the_makers_limit"


def told(page: httpx.Response) -> str:
    """What a page holds, as it was before it was escaped."""
    return html.unescape(page.text).replace("\u00a0", " ")


def test_a_search_finds_what_the_commands_find(visitor: Visitor) -> None:
    page = visitor.get("/rules", params={"words": "humidity film"})
    found = [rule for some in find_rules(BASE, None, ["humidity", "film"]).values() for rule in some]
    assert len(found) > 3
    for rule in found[:20]:
        assert f"/rules/rule?name={rule.id}" in page.text
        assert sentence_words(BASE, rule) in told(page)
    for limit in find_limits(BASE, ["humidity", "film"]):
        assert f"/rules/limit?name={limit}" in page.text
    astm = visitor.get("/rules", params={"words": "ASTM F2170"})
    assert sources_holding(BASE, ["astm", "f2170"])
    assert all(f"/rules/source?name={name}" in astm.text for name in sources_holding(BASE, ["astm", "f2170"]))


def test_a_topic_is_shown_whole_and_nothing_found_is_said(visitor: Visitor) -> None:
    topic, rules = max(find_rules(BASE, None, []).items(), key=lambda pair: len(pair[1]))
    page = visitor.get("/rules", params={"topic": topic})
    assert all(f"/rules/rule?name={rule.id}" in page.text for rule in rules)
    assert wording("cli.no_rule") in visitor.get("/rules", params={"words": "qqzz"}).text
    assert visitor.get("/rules", params={"topic": MARKUP}).status_code == 422
    assert MARKUP not in visitor.get("/rules", params={"words": MARKUP}).text


def test_a_rule_stands_with_its_example_floor_and_links_to_all_it_names(visitor: Visitor) -> None:
    page, shown = visitor.get("/rules/rule", params={"name": FILM}), rule_page(Floors(REASONER), FILM)
    text = told(page)
    assert shown.example
    assert shown.example.because in text
    assert all(each.words in text for each in (*shown.when, *shown.then))
    assert all(value in text for value in shown.example.facts.values())
    assert all(f"/rules/source?name={each.source}" in page.text for each in shown.sources)
    limits = re.findall(r"/rules/limit\?name=(\w+)", page.text)
    for name in limits:
        assert FILM in limit_page(BASE, name).rules
        assert f"/rules/rule?name={FILM}" in visitor.get("/rules/limit", params={"name": name}).text
    for source in shown.sources:
        assert f"/rules/rule?name={FILM}" in visitor.get("/rules/source", params={"name": source.source}).text


def test_causes_are_found_and_read_with_their_signs_remedy_and_rules(visitor: Visitor) -> None:
    page = visitor.get("/rules", params={"words": "osmotic"})
    assert "/rules/cause?name=osmotic_blisters" in page.text
    for name, cause in BASE.causes.items():
        page = visitor.get("/rules/cause", params={"name": name})
        text = told(page)
        assert page.status_code == 200
        assert all(each in text for each in (cause.name, cause.what, cause.remedy.mend, cause.remedy.take_off))
        assert all(label("fact", fact) in text for fact in (*cause.fits, *cause.against))
        assert cause.danger in text
        assert all(BASE.not_now[each].says in text for each in cause.remedy.not_now)
    hard = visitor.get("/rules/source", params={"name": "astm_f2170"})
    assert "/rules/cause?name=vapour_from_below" in hard.text


def test_a_rule_about_causes_is_found_and_read_with_a_floor(visitor: Visitor) -> None:
    rule = next(iter(BASE.cause_rules))
    found = visitor.get("/rules", params={"words": rule})
    assert f"/rules/rule?name={rule}" in found.text
    page = visitor.get("/rules/rule", params={"name": rule})
    with speaking_of("causes"):
        shown = rule_page(Floors(inquiry_of(REASONER).reasoner), rule)
    assert shown.example
    assert shown.example.because in told(page)
    judged = inquiry_of(REASONER).reasoner.base.finishes
    assert judged[shown.example.finish].name in told(page)
    topic = BASE.cause_rules[rule].topic
    assert f"/rules/rule?name={rule}" in visitor.get("/rules", params={"topic": topic}).text


def test_what_is_not_there_is_told_with_the_nearest(visitor: Visitor) -> None:
    for what in ("rule", "cause", "limit", "source"):
        for name in ("no_such_thing", MARKUP, ""):
            page = visitor.get(f"/rules/{what}", params={"name": name})
            assert page.status_code == 422
            assert MARKUP not in page.text
    assert FILM in visitor.get("/rules/rule", params={"name": FILM + "s"}).text
