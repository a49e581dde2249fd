"""The rule base against floors in the trade's words, and against its published limits from both sides."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from functools import cache

import pytest

from advisor.answer.advising import conclude
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.conditions import parse_condition
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import read_figure
from advisor.model.rules import Limit
from advisor.rulebase.bibliography import source_id
from advisor.validation.loading import load_rulebase
from explanations.trace import Firing
from tests.scenario_files import Scenario, Twins, shelf

PUBLISHED = {"regulation", "standard", "handbook", "paper", "trade_publication"}
DAY = datetime.date(2026, 1, 2)
SEAM = re.compile(r"[{}_@]|\b(unknown|None|nan)\b|\s[,.;]|[,;]{2}|\.\.|\ba a|\b(\w+) \2\b")


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def reasoner(base: RuleBase) -> Reasoner:
    return Reasoner(base)


@pytest.fixture(scope="module")
def cases(base: RuleBase) -> dict[str, Case]:
    """Every floor on the shelf."""
    return shelf().cases(base)


def fired(firings: Iterable[Firing], finish: str = "") -> set[str]:
    """The rules that fired, for any finish or for the one named."""
    return {each.rule for each in firings if not finish or each.finish in ("", finish)}


@cache  # most floors say the same
def is_sound(sentence: str) -> bool:
    """Filled in, it reads as a sentence: no blanks, no names of data, no `unknown` where a value should stand."""
    begins = sentence[0].isupper() or sentence[0].isdigit()
    return begins and sentence[-1] in ".!?" and not SEAM.search(sentence)


@pytest.mark.parametrize("scenario", shelf().scenarios, ids=lambda each: each.name)
def test_scenario(scenario: Scenario, reasoner: Reasoner, cases: dict[str, Case]) -> None:
    advice = conclude(reasoner, cases[scenario.name], DAY)
    standing = {each.finish: each for each in advice.standings}
    out = {finish for finish, each in standing.items() if each.verdict == "ruled out"}
    first = {finish: {to_do.need for to_do in each.first} for finish, each in standing.items()}
    hazards = {each.caution for each in advice.hazards}
    referred = {each.referral for each in (*advice.stops, *advice.referrals)}

    assert not scenario.answer or advice.answer.kind == scenario.answer, advice.answer.sentence
    assert not scenario.recommended or advice.answer.finish == scenario.recommended, advice.answer.sentence
    assert not scenario.leads or advice.answer.leading == scenario.leads, advice.answer.sentence
    assert set(scenario.ruled_out) <= out
    assert not set(scenario.allowed) & out, [standing[each].ruled_out_by for each in scenario.allowed]
    assert set(scenario.allowed) <= standing.keys()
    for finish, needs in scenario.asks_first.items():
        assert set(needs) <= first[finish], finish
    for finish, needs in scenario.asks_not.items():
        assert not set(needs) & first[finish], finish
    assert set(scenario.holds) <= {each.need for each in advice.holds}
    assert set(scenario.warns) <= hazards
    assert not set(scenario.warns_not) & hazards
    assert set(scenario.refers) <= referred
    assert not set(scenario.refers_not) & referred
    assert set(scenario.because_of) <= fired(advice.trace.firings)
    assert not set(scenario.not_because_of) & fired(advice.trace.firings)
    told = [to_do.says for each in advice.standings for to_do in each.first]
    told += [each.because for each in advice.trace.firings]
    assert [sentence for sentence in told if not is_sound(sentence)] == []


@pytest.mark.parametrize("scenario", shelf().scenarios, ids=lambda each: each.name)
def test_scenario_names_what_exists(scenario: Scenario, base: RuleBase) -> None:
    """A name that is nowhere would let `not` checks pass for ever."""
    finishes = {scenario.recommended, scenario.leads, *scenario.ruled_out, *scenario.allowed}
    assert (finishes | scenario.asks_first.keys() | scenario.asks_not.keys()) - {""} <= base.finishes.keys()
    needs = {need for some in (scenario.asks_first, scenario.asks_not) for each in some.values() for need in each}
    assert needs | set(scenario.holds) <= base.needs.keys()
    assert {*scenario.warns, *scenario.warns_not} <= base.cautions.keys()
    assert {*scenario.refers, *scenario.refers_not} <= base.referrals.keys()
    assert {*scenario.because_of, *scenario.not_because_of} <= base.rules.keys()
    assert named(scenario.source) <= base.sources.keys()


@pytest.mark.parametrize("twins", shelf().twins, ids=lambda each: each.name)
def test_just_under_at_and_just_over(twins: Twins, reasoner: Reasoner, cases: dict[str, Case]) -> None:
    """The rule fires on the sides of the limit that its wording says, and on no other."""
    firings = {side: reasoner.reason(cases[f"{twins.name}, {side}"].facts)[1].firings for side in twins.values()}
    assert {side for side, some in firings.items() if twins.rule in fired(some, twins.finish)} == set(twins.fires)
    assert [each.because for some in firings.values() for each in some if not is_sound(each.because)] == []


@pytest.mark.parametrize("twins", shelf().twins, ids=lambda each: each.name)
def test_twins_stand_about_the_limit(twins: Twins, base: RuleBase, cases: dict[str, Case]) -> None:
    """`at` is the limit itself; `under` and `over` lie beside it, nearer than a twentieth of it or than one unit."""
    compared = twins.compared or twins.fact
    if twins.limit.startswith("finish."):
        entry = base.finishes[twins.finish].properties[twins.limit.removeprefix("finish.")]
        bound = entry.interval
    else:
        entry = base.limits[twins.limit]
        bound = read_figure(entry.given, base.facts[compared].unit)
    assert bound is not None
    assert named(twins.source) & named(entry.source)
    assert named(twins.source) <= base.sources.keys()
    sides = {
        side: working_memory(base, cases[f"{twins.name}, {side}"].facts)[compared].interval for side in twins.values()
    }
    under, at, over = sides["under"], sides["at"], sides["over"]
    assert under
    assert at
    assert over
    assert at.low == at.high
    edge = bound.low if at.low == bound.low else bound.high
    near = max(abs(edge) / 20, 1.0)
    assert at.low == edge
    assert edge - near <= under.high < edge < over.low <= edge + near


def named(sources: Iterable[str]) -> set[str]:
    """The ids of sources given with their sections."""
    return {source_id(each) for each in sources}


def limits_of_rules(base: RuleBase) -> dict[str, set[str]]:
    """By limit (or finish.PROPERTY) the rules whose conditions on a fact compare with it."""
    found: dict[str, set[str]] = {}
    for rule in base.rules.values():
        for fact, texts in rule.when.items():
            if fact not in base.facts:
                continue
            for asks in map(parse_condition, texts):
                if asks.kind == "order":
                    found.setdefault(asks.operand.removeprefix("limit."), set()).add(rule.id)
    return found


def published(base: RuleBase, entry: Limit) -> bool:
    return any(base.sources[each].kind in PUBLISHED for each in named(entry.source))


def test_every_published_limit_has_twins(base: RuleBase) -> None:
    twinned = {each.limit for each in shelf().twins}
    named = {name for name in limits_of_rules(base) if name in base.limits and published(base, base.limits[name])}
    assert named - twinned == set()


def test_every_published_value_of_a_finish_has_twins(base: RuleBase) -> None:
    """Of each property that rules compare a fact with: each different published value."""
    wanted = set()
    for name in limits_of_rules(base):
        inner = name.removeprefix("finish.")
        if not name.startswith("finish."):
            continue
        for finish in base.finishes.values():
            value = finish.properties[inner]
            kinds = {base.sources[each].kind for each in named(value.source)}
            if value.interval is not None and kinds & PUBLISHED:
                wanted.add((inner, value.interval))
    held = {
        (name, base.finishes[each.finish].properties[name].interval)
        for each in shelf().twins
        if each.limit.startswith("finish.") and (name := each.limit.removeprefix("finish."))
    }
    assert wanted - held == set()


def test_sixty_floors_and_every_kind_of_answer() -> None:
    assert len(shelf().scenarios) >= 60
    kinds = {each.answer for each in shelf().scenarios}
    assert {"finish", "test first", "none yet", "professional"} <= kinds


def test_every_family_and_every_finish_is_recommended_somewhere(base: RuleBase) -> None:
    recommended = {each.recommended for each in shelf().scenarios if each.recommended and each.answer == "finish"}
    assert {base.finishes[each].family for each in recommended} == {f.family for f in base.finishes.values()}
    assert recommended == base.finishes.keys()
