"""Each rule shows itself; its example floors are checked by a fixpoint that shares nothing with search or engine."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest
from advisor.facts.case import read_fact
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from advisor.reference.rule_list import find_rules, list_text
from advisor.reference.rule_page import RulePage, page_text, rule_page
from advisor.reference.witness import Floors
from advisor.validation.loading import load_rulebase, read_rulebase
from tests.referees import fixpoint
from tests.rule_folders import kept_unproved, sound, write

MORE = """\
rules:
  - id: money.little
    when: {budget_per_area: below limit.cheap, area: above limit.small}
    then: {hold: test_first}
    because: "{budget_per_area} is less than {limit.cheap}."
    source: handbook
  - id: damp.between
    judges: {looks: plain}
    when: {wetness: [known, may be above finish.most_wetness, may be at most finish.most_wetness]}
    then: {first: test_first}
    because: "{wetness} is about the limit."
    source: handbook
  - id: damp.nobody_looked
    when: {leak: unknown}
    then: {hold: test_first}
    because: "Nobody looked."
    source: handbook
  - id: hazards.dense
    judges: {film: dense}
    then: {caution: fumes}
    because: "{finish} gives off fumes."
    source: law
  - id: hazards.all
    judges: every finish
    then: {caution: fumes}
    because: "{finish} must cure."
    source: law
limits:
  cheap: {is: 10 usd_m2, means: what little is, source: handbook}
  small: {is: 20 m2, means: where small ends, source: handbook}
"""


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@pytest.fixture(scope="module")
def pages(reasoner: Reasoner) -> dict[str, RulePage]:
    """The page of every shipped rule."""
    floors = Floors(reasoner)
    return {name: rule_page(floors, name) for name in reasoner.base.rules}


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Floors:
    folder = sound(tmp_path_factory.mktemp("small") / "rules")
    return Floors(Reasoner(read_rulebase(write(folder, {"more.yaml": MORE}))))


def stated(base: RuleBase, facts: dict[str, str]) -> dict[str, Value]:
    """The facts read as a case file would have them."""
    return {name: read_fact(base, name, text, "the page") for name, text in facts.items()}


class Referee:
    """Whether a rule fires, by the naive fixpoint."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.base, self.program = reasoner.base, reasoner.program
        self.blank = working_memory(self.base, {})

    def fires(self, rule: str, finish: str, given: dict[str, str]) -> bool:
        facts = stated(self.base, given)
        assert not contradicted(self.base, facts)
        fired = fixpoint(self.program, working_memory(self.base, facts, self.blank))
        forms = (form for form in self.program.rules if form.rule == rule and form.name in fired)
        return any(finish in (form.finishes or ("",)) for form in forms)


def test_every_shipped_rule_fires_on_its_example_floor(reasoner: Reasoner, pages: dict[str, RulePage]) -> None:
    assert {name for name, page in pages.items() if page.example is None} == set()
    referee = Referee(reasoner)
    for name, page in pages.items():
        assert page.example
        assert referee.fires(name, page.example.finish, page.example.facts), name
        assert not page.example.finish or page.example.finish in page.finishes


def test_no_shipped_rule_fires_once_its_one_change_is_made(reasoner: Reasoner, pages: dict[str, RulePage]) -> None:
    referee = Referee(reasoner)
    for name, page in pages.items():
        example = page.example
        assert example
        if page.when:  # a rule with conditions has an edge
            assert example.change, name
            assert not example.instead
            assert not referee.fires(name, example.finish, {**example.facts, example.change: example.to}), name
        elif example.instead:  # one without is told apart by what it judges
            assert example.instead not in page.finishes
            assert not referee.fires(name, example.instead, example.facts)
        else:
            assert set(page.finishes) == set(reasoner.base.finishes)


def test_memory_taken_over_from_another_floor_is_the_same(reasoner: Reasoner, pages: dict[str, RulePage]) -> None:
    """What saves working out facts anew changes none of them."""
    base = reasoner.base
    blank = working_memory(base, {})
    for page in list(pages.values())[::23]:
        assert page.example
        facts = stated(base, page.example.facts)
        assert working_memory(base, facts, blank) == working_memory(base, facts)


def test_a_changed_number_crosses_the_edge_by_a_small_step(reasoner: Reasoner, pages: dict[str, RulePage]) -> None:
    """The two figures differ by 1 % of the larger or two whole units at most, unless one of the two is unknown.

    A range that becomes one figure is as far from it as its nearer end: the other end is what the rule asks for.
    """
    crossed = 0
    for name, page in pages.items():
        if not page.example or reasoner.base.facts.get(page.example.change, None) is None:
            continue
        facts = {**page.example.facts, page.example.change: page.example.to}
        before = stated(reasoner.base, page.example.facts).get(page.example.change)
        after = stated(reasoner.base, facts)[page.example.change]
        if before and before.interval and after.known and after.interval:
            ends = (*vars(before.interval).values(), *vars(after.interval).values())
            step = max(ends) - min(ends)
            if before.interval.low < before.interval.high and after.interval.low == after.interval.high:
                step = min(abs(end - after.interval.low) for end in vars(before.interval).values())
            assert step <= max(2.0, 0.01 * max(map(abs, ends))) * 1.0001, name
            crossed += 1
    assert crossed > 20


@pytest.mark.parametrize(
    ("rule", "finish", "facts", "change"),
    [
        ("damp.wet", "", {"wetness": "75.1 %"}, ("wetness", "75 %")),
        ("stop.leak", "", {"leak": "yes"}, ("leak", "no")),
        ("damp.film", "paint", {"room": "kitchen", "wetness": "75.1 %"}, ("room", "hall")),
        ("damp.between", "paint", {"wetness": "75 to 75.1 %"}, ("wetness", "74.9 to 75 %")),
        ("damp.nobody_looked", "", {}, ("leak", "yes")),
        ("money.little", "", {"area": "20.1 m²", "budget": "200 USD"}, ("budget", "201 USD")),
    ],
)
def test_examples_lie_at_the_edge(
    small: Floors, rule: str, finish: str, facts: dict[str, str], change: tuple[str, str]
) -> None:
    example = rule_page(small, rule).example
    assert example
    assert (example.finish, example.facts) == (finish, facts)
    assert (example.change, example.to) == change


def test_a_rule_that_asks_nothing_of_the_floor_names_a_finish_it_does_not_judge(small: Floors) -> None:
    dense, everything = rule_page(small, "hazards.dense").example, rule_page(small, "hazards.all").example
    assert dense
    assert everything
    assert (dense.facts, dense.change, dense.instead) == ({}, "", "oil")
    assert (everything.facts, everything.change, everything.instead) == ({}, "", "")


def test_a_rule_that_can_never_fire_has_no_example(tmp_path: Path) -> None:
    """Its conditions fit one by one, and the facts that they leave are contradictory."""
    dead = (
        "rules:\n  - id: dead.leak\n    when: {leak: yes, wetness: below limit.wet}\n    then: {hold: test_first}\n"
        "    because: So it is.\n    source: handbook\n"
    )
    floors = Floors(Reasoner(read_rulebase(write(sound(tmp_path / "rules"), {"dead.yaml": dead}))))
    assert floors.witness("dead.leak") is None
    page = rule_page(floors, "dead.leak")
    assert page.example is None
    assert "no floor was found on which it fires" in page_text(floors.base, page)


def test_pages_name_neighbours_both_ways(pages: dict[str, RulePage]) -> None:
    for name, page in pages.items():
        assert all(name in pages[other].feeds for other in page.built_on)
        assert all(name in pages[other].built_on for other in page.feeds)
        assert all(name in pages[other].beside for other in page.beside)
        assert name not in (*page.built_on, *page.feeds, *page.beside)
    assert any(page.built_on for page in pages.values())


def test_the_small_rules_neighbours(small: Floors) -> None:
    film, wet, leak = (rule_page(small, name) for name in ("damp.film", "damp.wet", "stop.leak"))
    assert (film.built_on, film.feeds, film.beside) == (("damp.wet",), (), ("hazards.dense", "hazards.all"))
    assert (wet.built_on, wet.feeds, wet.beside) == ((), ("damp.film",), ())
    assert set(leak.beside) == {"damp.between", "damp.nobody_looked", "money.little"}


def test_a_page_says_it_in_plain_words(small: Floors) -> None:
    text = page_text(small.base, rule_page(small, "damp.film"))
    for words in (
        "[finish] blisters on a damp floor.",
        "every finish whose film is dense, 2 of 3: floor paint and floor varnish",
        "it was found that the floor is damp [damp: holds]",
        "room is known and not hall [room: not hall]",
        "the finish is ruled out",
        "WARNING (mixing): The fumes are harmful.",
        "A law (regulation), section 3 [law]",
    ):
        assert words in text
    text = page_text(small.base, rule_page(small, "damp.between"))
    assert "wetness is or may be above the finish's own most wetness (the wettest floor it stands)" in " ".join(
        text.split()
    )
    assert "It holds [wetness], over 75 percent." in page_text(small.base, rule_page(small, "damp.wet"))


def test_every_page_fits_and_leaves_no_blank_open(reasoner: Reasoner, pages: dict[str, RulePage]) -> None:
    for page in pages.values():
        text = page_text(reasoner.base, page)
        assert max(map(len, text.splitlines())) <= 80
        shown = (page.says, page.judges, *(each.words for each in (*page.when, *page.then)))
        assert not [words for words in shown if re.search(r"[{}]|\b(limit|finish)\.\w", words)]
        assert page.sources
        assert page.then


def test_the_list_is_by_topic_and_searches_ids_reasons_facts_and_sources(small: Floors) -> None:
    def ids(*words: str, topic: str | None = None) -> list[str]:
        return [rule.id for rules in find_rules(small.base, topic, list(words)).values() for rule in rules]

    assert set(ids()) == set(small.base.rules)
    assert ids("LEAK", topic="stop") == ["stop.leak"]
    assert ids("budget") == ["money.little"]
    assert ids("blisters", "fumes") == ["damp.film"]
    assert ids("blisters", "plumber") == []
    assert "stop.leak" in ids("a law")
    assert ids(topic="damp") == [name for name in small.base.rules if name.startswith("damp.")]
    assert list_text(small.base, find_rules(small.base, "stop", [])) == "stop (1 rule)\n  stop.leak\n      It leaks."
    with pytest.raises(BadRequest, match='Did you mean "damp"'):
        find_rules(small.base, "dampp", [])


# ---- the command line ----------------------------------------------------------------------------------------------


def advisor(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


def test_the_verb_prints_the_page_and_its_data(pages: dict[str, RulePage]) -> None:
    name = next(iter(pages))
    assert advisor("rule", name).stdout.startswith(name)
    data = json.loads(advisor("rule", name, "--json").stdout)
    assert RulePage.model_validate(data) == pages[name]


def test_an_overlay_s_rule_says_where_it_comes_from(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = (
        "rules:\n  - id: shop.own\n    when: {room: garage}\n    then: {finding: own_finding}\n"
        "    because: So it is.\n    source: common_practice\n"
        "findings:\n  own_finding: {says: it is a garage}\n"
    )
    shop = write(tmp_path / "shop", {"own.yaml": own})
    kept_unproved(monkeypatch, tmp_path / "store", shop)
    done = advisor("rule", "shop.own", "--rules", str(shop))
    assert done.stdout.startswith("shop.own (from shop, laid over the shipped rules)")
    listed = json.loads(advisor("rules", "--topic", "shop", "--rules", str(shop), "--json").stdout)
    assert [each["rule"] for each in listed["topics"]["shop"]] == ["shop.own"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("rule", "vapour.over_humidity_limt"), 'Did you mean "vapour.over_humidity_limit"?'),
        (("rules", "--topic", "vapuor"), 'Did you mean "vapour"?'),
    ],
)
def test_what_does_not_exist_is_refused_with_the_nearest(arguments: tuple[str, ...], message: str) -> None:
    done = advisor(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert message in done.stderr
    assert "Traceback" not in done.stderr


def test_a_search_that_finds_nothing_says_so_beside_the_result() -> None:
    done = advisor("rules", "no_such_word_anywhere")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "No rule holds all of these words.\n")
