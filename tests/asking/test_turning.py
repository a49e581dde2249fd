"""What would turn an answer: every set shown works in the engine, none smaller does; checked by trying everything."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from itertools import combinations, product
from pathlib import Path
from random import Random

import numpy as np
import pytest
import yaml

from advisor.answer.advising import answer_alone
from advisor.answer.many_answers import NOBODY
from advisor.answer.ranking import KINDS, NAMING, Recommendation, Standing
from advisor.answer.variants import Changed, Variants, variants_of
from advisor.asking.bearing_facts import turning_alone
from advisor.asking.changes import Change, candidates, said
from advisor.asking.scanning import Scan
from advisor.asking.searching import ALONE
from advisor.asking.turning import GROUPS, SHOWN, SHOWN_ALIKE, SHOWN_EACH, would_turn
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case, read_fact, say
from advisor.facts.complaints import told_by_complaints
from advisor.facts.implied import with_implied
from advisor.facts.statements import Statement
from advisor.model.advice import Answer
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import read_quantity
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase
from tests.draws import draws
from tests.explained import demos, random_floors, small_reasoner, the_reasoner
from tests.floors import random_case
from tests.scenario_files import shelf


@pytest.fixture(scope="module")
def small() -> Reasoner:
    return small_reasoner()


TODAY = date(2026, 11, 27)


def floor(given: Mapping[str, Value]) -> Case:
    return Case("", "", given)


def facts(base: RuleBase, **said: str) -> dict[str, Value]:
    return {name: read_fact(base, name, text, "test") for name, text in said.items()}


FLOORS = (
    {"wetness": "90 %", "shine": "glossy", "budget": "500 usd", "area": "20 m2", "age": "100 day", "leak": "no"},
    {"wetness": "60 %", "shine": "matt", "budget": "900 usd", "area": "20 m2", "leak": "no", "room": "kitchen"},
    {"wetness": "90 %", "leak": "yes", "age": "10 day", "shine": "glossy", "budget": "300 usd", "area": "30 m2"},
    {"budget": "100 usd", "area": "50 m2", "shine": "glossy", "leak": "no"},
    {},
)


def stated(given: Mapping[str, Value], changes: Sequence[Change]) -> Mapping[str, Value]:
    """The facts to reason from once the changes are stated."""
    return say(the_reasoner().base, floor(given), said(changes), TODAY).facts


def values(base: RuleBase, name: str, given: Mapping[str, Value]) -> list[Value]:
    """Many values of a fact other than its present one: all choices, or a grid far finer than the limits."""
    kind = base.facts[name]
    if kind.type != "number":
        return [choice(each) for each in kind.choices if name not in given or given[name].choice != each]
    span = kind.plausible
    points = {*np.linspace(span.low, span.high, 60).round(3), 27.0, 28.0, 29.0, 74.9, 75.0, 75.1}
    return [number(Interval(float(p), float(p)), kind.unit) for p in sorted(points) if span.low <= p <= span.high]


def outcome(reasoner: Reasoner, given: Mapping[str, Value]) -> tuple[Answer, list[Standing]]:
    return answer_alone(reasoner, given)


def reached(now: Answer, finish: str | None, answer: Answer, ranked: list[Standing]) -> bool:
    if finish:
        return any(each.finish == finish and each.verdict != "ruled out" for each in ranked)
    return (answer.kind, answer.leading) != (now.kind, now.leading)


@pytest.mark.parametrize("number", range(len(FLOORS)))
@pytest.mark.parametrize("finish", [None, "paint", "wax"])
def test_on_a_small_rule_base_all_single_changes_are_found_and_no_others(
    small: Reasoner, number: int, finish: str | None
) -> None:
    """Everything is tried: every value of every fact, by the engine."""
    given = facts(small.base, **FLOORS[number])
    now, ranked = outcome(small, given)
    if finish and next(each for each in ranked if each.finish == finish).verdict != "ruled out":
        return
    found = would_turn(small, floor(given), finish, most=1, everything=True)
    by_search = {turn.changes[0].fact for turn in found.turns}
    by_trying = {
        name
        for name, kind in small.base.facts.items()
        if kind.ask
        for value in values(small.base, name, given)
        if reached(now, finish, *outcome(small, {**given, name: value}))
    }
    assert by_search == by_trying


@pytest.mark.parametrize(("number", "finish"), [(0, "wax"), (2, "paint"), (2, "wax"), (3, "paint"), (3, "wax")])
def test_on_a_small_rule_base_none_smaller_works(small: Reasoner, number: int, finish: str) -> None:
    """Where the search finds pairs only, no single change works; where it finds threes only, no pair does."""
    given = facts(small.base, **FLOORS[number])
    now, _ = outcome(small, given)
    found = would_turn(small, floor(given), finish, everything=True)
    assert found.turns, found.question
    least = min(len(turn.changes) for turn in found.turns)
    names = [name for name, kind in small.base.facts.items() if kind.ask]
    for size in range(1, least):
        for some in combinations(names, size):
            tried = [coarse(small.base, name, given) if size > 1 else values(small.base, name, given) for name in some]
            for combined in product(*tried):
                more = {**given, **dict(zip(some, combined, strict=True))}
                assert not reached(now, finish, *outcome(small, more)), some


def coarse(base: RuleBase, name: str, given: Mapping[str, Value]) -> list[Value]:
    fine = values(base, name, given)
    return fine if len(fine) < 10 else fine[::8] + fine[-1:]


def test_on_a_small_rule_base_every_minimal_pair_is_found(small: Reasoner) -> None:
    given = facts(small.base, **FLOORS[2])
    now, _ = outcome(small, given)
    works: set[frozenset[str]] = set()
    names = [name for name, kind in small.base.facts.items() if kind.ask and way_open(small.base, name, given)]
    for some in combinations(names, 2):
        for combined in product(*(coarse(small.base, name, given) for name in some)):
            more = dict(zip(some, combined, strict=True))
            alone = [reached(now, "oil", *outcome(small, {**given, name: value})) for name, value in more.items()]
            if not any(alone) and reached(now, "oil", *outcome(small, {**given, **more})):
                works.add(frozenset(some))
    found = {
        frozenset(c.fact for c in turn.changes)
        for turn in would_turn(small, floor(given), "oil", everything=True).turns
    }
    assert works <= found | {s for s in works if any(single < s for single in found)}


def way_open(base: RuleBase, name: str, given: Mapping[str, Value]) -> bool:
    return name not in given or base.facts[name].change != "fixed"


def shown() -> list[tuple[dict[str, Value], str | None]]:
    rng = Random(3)
    floors = [told.case.facts for told in (*list(demos().values())[:2], *random_floors(2))]
    finishes = list(the_reasoner().base.finishes)
    return [(dict(given), finish) for given in floors for finish in (None, rng.choice(finishes))]


@cache
def turned() -> list:  # type: ignore[type-arg]
    return [(given, finish, would_turn(the_reasoner(), floor(given), finish)) for given, finish in shown()]


def test_every_set_shown_works_when_it_is_run_again_and_no_part_of_it_does() -> None:
    reasoner, sets = the_reasoner(), 0
    for given, finish, found in turned():
        now, ranked = outcome(reasoner, given)
        back = finish and next(each for each in ranked if each.finish == finish).verdict == "ruled out"

        def does(changes: tuple[Change, ...]) -> bool:
            answer, others = outcome(reasoner, stated(given, changes))  # noqa: B023
            if finish and not back:  # noqa: B023
                return answer.leading == finish and answer.kind in NAMING  # noqa: B023
            if back:  # noqa: B023
                return reached(now, finish, answer, others)  # noqa: B023
            same = answer.kind == now.kind and (answer.leading == now.leading or now.kind not in NAMING)  # noqa: B023
            return not same

        for turn in found.turns[:3]:
            sets += 1
            assert does(turn.changes)
            for size in range(len(turn.changes)):
                for part in combinations(turn.changes, size):
                    assert not does(part), (turn, part)
    assert sets > 5


@cache
def drawn(seed: int) -> Case:
    """A random floor that no stop holds up: facts added while none does; measurements, which may clash, come first."""
    reasoner, rng = the_reasoner(), Random(seed)
    whole = list(random_case(reasoner.base, rng, known=0.5).items())
    rng.shuffle(whole)
    case = Case("drawn", "", {})
    for name, value in sorted(whole, key=lambda each: reasoner.base.facts[each[0]].change != "test")[:30]:
        try:
            more = say(reasoner.base, case, {name: Statement(value.choice or value.shown)}, TODAY)
        except BadCase:
            continue
        if outcome(reasoner, more.facts)[0].kind != "professional":
            case = more
    return case


def in_short(answer: Answer) -> tuple[str, str | None]:
    return answer.kind, answer.leading if answer.kind in KINDS[:2] else None


def test_every_outcome_told_is_that_of_the_advice_when_the_same_is_stated() -> None:
    """Sets of all sizes on random floors, stated from what was said in the beginning."""
    reasoner, told = the_reasoner(), 0
    for seed in range(draws(1)):
        case = drawn(seed)
        found = would_turn(reasoner, case, today=TODAY)
        for turn in found.turns:
            after = make_case(reasoner.base, {**case.stated, **said(turn.changes)}, TODAY)
            answer, _ = outcome(reasoner, after.facts)
            assert answer == turn.answer
            told += 1
    assert told > 15


def tried(base: RuleBase, name: str, rng: Random) -> list[str]:
    """Values of a fact as somebody would state them."""
    kind = base.facts[name]
    if kind.type != "number":
        return list(kind.choices)
    low, high = kind.plausible.low, kind.plausible.high
    points = [rng.uniform(low, high) for _ in range(2)] + [low + (high - low) * rng.random() ** 6 for _ in range(2)]
    points = [
        float(f"{point:.0f}" if kind.unit in ("count", "day", "calendar_year") else f"{point:.3g}") for point in points
    ]
    return [number(Interval(p, p), kind.unit).shown for p in points if low <= p <= high]


@pytest.mark.parametrize("seed", range(3))
def test_every_single_change_that_turns_the_answer_is_told(seed: int) -> None:
    """By trying: values of every fact, stated beside what was said before; contradictions and doubts as they come."""
    reasoner, rng = the_reasoner(), Random(seed)
    base, case = reasoner.base, drawn(seed)
    now, _ = outcome(reasoner, case.facts)
    found = would_turn(reasoner, case, most=1, everything=True, today=TODAY)
    told = {(turn.changes[0].fact, in_short(turn.answer)) for turn in found.turns}
    for name in rng.sample([name for name, kind in base.facts.items() if kind.ask], draws(8)):
        for text in tried(base, name, rng):
            try:
                after = say(base, case, {name: Statement(text)}, TODAY)
            except BadCase:
                continue
            answer, _ = outcome(reasoner, after.facts)
            if in_short(answer) != in_short(now):
                assert (name, in_short(answer)) in told, (name, text, answer.sentence)


def test_a_reading_that_puts_another_in_doubt_is_told_with_what_the_advice_then_says() -> None:
    """On a garage whose holes read well a sheet that turns damp leaves neither to rest on, and it must be measured."""
    reasoner = the_reasoner()
    good = {"slab_humidity": "70 %", "humidity_holes": "3", "at_service_conditions": "yes"}
    more = {name: Statement(text) for name, text in good.items()}
    case = say(reasoner.base, demos()["untested_garage"].case, more, TODAY)
    found = would_turn(reasoner, case, most=1, everything=True, today=TODAY)
    told = [turn.answer for turn in found.turns if turn.changes[0].fact == "plastic_sheet_test"]
    damp = say(reasoner.base, case, {"plastic_sheet_test": Statement("damp")}, TODAY)
    assert {name for each in damp.set_aside for name in each.facts} == {"slab_humidity", "plastic_sheet_test"}
    answer, _ = outcome(reasoner, damp.facts)
    assert told == [answer]
    assert answer.kind == "test first"


def test_what_is_likely_lies_between_no_two_points_of_a_grid() -> None:
    """A budget may be ten million and turns the answer at some hundreds; what `advise` tells of it, all tell."""
    case = demos()["untested_garage"].case
    case = make_case(the_reasoner().base, {k: v for k, v in case.stated.items() if k != "budget"}, TODAY)
    (alone,) = [each for each in turning_alone(Scan(variants_of(the_reasoner()), case)) if each.fact == "budget"]
    now = answer_alone(the_reasoner(), case.facts)[0]
    for likely in ("500 USD", "800 USD"):
        told = answer_alone(the_reasoner(), say(the_reasoner().base, case, {"budget": Statement(likely)}, TODAY).facts)[
            0
        ]
        assert told.leading != now.leading
        assert f"{told.kind}: {told.leading}" in alone.to


def test_what_one_can_do_comes_before_what_nobody_can_and_the_cheapest_first() -> None:
    for given, _, found in turned():
        groups = [GROUPS.index(turn.group) for turn in found.turns]
        assert groups == sorted(groups)
        for group, most in SHOWN.items():
            turns = [turn for turn in found.turns if turn.group == group]
            assert len(turns) <= most
            for more in (False, True):
                alike = [t.cost for t in turns if any(c.way != "find out" for c in t.changes) == more]
                assert alike == sorted(alike)
        for turn in found.turns:
            ways = {change.way for change in turn.changes}
            for change in turn.changes:
                kind = the_reasoner().base.facts[change.fact]
                known = change.fact in given and given[change.fact].known
                assert (
                    change.way == kind.change
                    or (not known and change.way == "find out")
                    or (kind.change == "wait" and change.way == "fixed")
                )
            assert (turn.group == "finding out") == (bool(ways & {"find out", "test"}) and not ways & {"use", "fixed"})
            if ways & {"fixed", "use"}:
                assert len(turn.changes) == 1, "what nobody can bring about is tried alone"


def test_no_fact_and_no_outcome_fills_the_list() -> None:
    for _, _, found in turned():
        facts = Counter(frozenset(change.fact for change in turn.changes) for turn in found.turns)
        assert max(facts.values(), default=0) <= SHOWN_ALIKE
        outcomes = Counter((turn.group, turn.answer.kind, turn.answer.leading) for turn in found.turns)
        assert max(outcomes.values(), default=0) <= SHOWN_EACH


def test_an_untested_garage_is_told_of_the_humidity_test_first_and_of_forklifts_after_what_one_can_do() -> None:
    """A wet reading turns it alone; a dry one only with the holes and the conditions that make it count."""
    found = would_turn(the_reasoner(), demos()["untested_garage"].case)
    sets = {frozenset(change.fact for change in turn.changes): turn for turn in found.turns}
    assert sets[frozenset({"slab_humidity"})].answer.leading == "polished_natural"
    full = sets[frozenset({"slab_humidity", "humidity_holes", "at_service_conditions"})]
    assert (full.answer.kind, full.answer.leading) == ("finish", "epoxy_flake")
    assert {full.group, sets[frozenset({"slab_humidity"})].group} == {"finding out"}
    assert [turn.group for turn in found.turns].index("use") > list(found.turns).index(full)
    assert sets[frozenset({"vehicles"})].group == "use"


@pytest.mark.parametrize(("covering", "test"), [("black_adhesive", "asbestos_test"), ("paint", "lead_test")])
def test_a_stop_is_not_got_round_by_taking_the_thing_off(covering: str, test: str) -> None:
    """What may hold asbestos or lead is not taken up to turn the answer; the laboratory's result is named."""
    reasoner = the_reasoner()
    given = facts(reasoner.base, building_year="1962", on_floor=covering, room="garage", area="40 m2")
    found = would_turn(reasoner, floor(given))
    changed = {change.fact for each in found.turns for change in each.changes}
    assert test in changed
    assert "on_floor" not in changed


def test_what_a_finding_keeps_untouched_is_no_change_to_offer() -> None:
    """Glue from 1983 waits for a sample by way of a finding; taking it up is not offered either."""
    reasoner = the_reasoner()
    variants = Variants(reasoner.base, reasoner.program)
    for year, offered in (("1983", False), ("2015", True)):
        given = facts(reasoner.base, building_year=year, on_floor="black_adhesive", room="garage", area="40 m2")
        assert any(each.fact == "on_floor" for each in candidates(variants, floor(given))) == offered


def test_a_measurement_that_is_not_listed_turns_nothing() -> None:
    """Alone or with one more change: tried again here by the engine, on all its values and many others."""
    reasoner, rng = the_reasoner(), Random(5)
    given = demos()["untested_garage"].case.facts
    found, variants = would_turn(reasoner, floor(given)), Variants(reasoner.base, reasoner.program)
    changes = candidates(variants, floor(given))

    def comes_to(some: tuple[Change, ...]) -> tuple[str, str | None]:
        answer, _ = outcome(reasoner, stated(given, some))
        return answer.kind, answer.leading

    now = comes_to(())
    assert found.idle
    assert not {change.fact for turn in found.turns for change in turn.changes} & set(found.idle)
    for change in (each for each in changes if each.fact in found.idle):
        assert change.way == "find out"
        assert reasoner.base.facts[change.fact].change == "test"
        others = [each for each in changes if each.way not in ALONE and each.fact != change.fact]
        for more in ((), *((other,) for other in rng.sample(others, 2))):
            if more and comes_to(more) != now:
                continue  # it does it alone
            assert comes_to((change, *more)) == now, (change, more)


def test_what_was_searched_is_said(small: Reasoner) -> None:
    from advisor.asking.why import turning_text

    three = would_turn(small, floor(facts(small.base, **FLOORS[2])), "paint")
    assert three.nearest
    assert {len(turn.changes) for turn in three.turns} == {3}
    said = " ".join(turning_text(three, small.base).split())
    assert f"No one or two of those do it; of three, only {three.tried[3]} sets were tried" in said
    one = would_turn(small, floor(facts(small.base, **FLOORS[0])), "wax", most=1)
    assert list(one.tried) == [1]
    assert "of two or three facts none" in " ".join(turning_text(one, small.base).split())


def test_time_does_not_run_backwards(small: Reasoner) -> None:
    """A slab that is too young can be waited for; nobody can make one younger."""
    young = facts(small.base, age="10 day", wetness="50 %", shine="glossy")
    found = would_turn(small, floor(young), "paint", most=1, everything=True)
    (turn,) = [each for each in found.turns if each.changes[0].fact == "age"]
    assert (turn.group, turn.changes[0].way, turn.changes[0].value.shown) == ("yours", "wait", "28 days")
    old = facts(small.base, age="100 day", wetness="50 %", shine="glossy")
    back = [t for t in would_turn(small, floor(old), most=1, everything=True).turns if t.changes[0].fact == "age"]
    assert [t.group for t in back] == ["fixed"]


def test_the_least_step_is_named(small: Reasoner) -> None:
    """20 m2 at 40 USD/m2 is 800 USD: that is what the wax costs, and not a dollar less."""
    given = facts(small.base, **FLOORS[0])
    turn = next(t for t in would_turn(small, floor(given), "wax").turns if t.changes[0].fact == "budget")
    assert turn.changes[0].value.interval == Interval(800.0, 800.0)


def test_variants_are_judged_as_the_engine_judges() -> None:
    """The fast reading that the search uses, against the engine, for changes of up to three facts."""
    reasoner, rng = the_reasoner(), Random(12)
    variants = Variants(reasoner.base, reasoner.program)
    for told in random_floors(draws(4)):
        given = told.case.facts
        other = random_case(reasoner.base, rng, known=1.0)
        changes = [Changed(name, value) for name, value in other.items()]
        rows = np.array([rng.sample(range(len(changes)), 3) for _ in range(12)])
        judged = variants.judge(variants.memory(given, changes, rows))
        for at, row in enumerate(rows):
            told_now = {**given, **{changes[place].fact: changes[place].value for place in row}}
            unknown = {name for name, value in given.items() if not value.known}
            told_now = with_implied(reasoner.base, told_by_complaints(reasoner.base, told_now, told_now), unknown)
            answer, ranked = outcome(reasoner, told_now)
            assert KINDS[judged.kind[at]] == answer.kind
            leading = judged.leading[at]
            assert (None if leading == NOBODY else variants.finishes[leading]) == answer.leading
            for standing in ranked:
                place = variants.finishes.index(standing.finish)
                assert judged.out[place, at] == (standing.verdict == "ruled out")
                assert judged.reasons_out[place, at] == len(standing.ruled_out_by)
                assert judged.total[place, at] == standing.total


def test_a_candidate_stands_for_each_region_between_limits(small: Reasoner) -> None:
    variants = Variants(small.base, small.program)
    found = {
        c.value.shown for c in candidates(variants, floor(facts(small.base, wetness="60 %"))) if c.fact == "wetness"
    }
    assert found == {"75.1 %"}, "one region is left, and its nearest value stands for it"


def test_an_unknown_finish_is_refused_by_name(small: Reasoner) -> None:
    with pytest.raises(BadCase, match="no finish"):
        would_turn(small, floor({}), "marble")


def test_how_facts_can_be_changed_is_data() -> None:
    base = load_rulebase()
    assert {kind.change for kind in base.facts.values()} == set(base.changes) | {"fixed"}
    assert base.facts["slab_age"].change == "wait"
    assert base.facts["slab_position"].change == "fixed"
    assert base.facts["slab_humidity"].change == "test"
    assert base.facts["budget"].change == "choose"


def test_text_and_data_say_the_same() -> None:
    from advisor.asking.why import turning_text
    from advisor.asking.why_record import turning_record

    for _, _, found in turned()[:6]:
        text = " ".join(turning_text(found, the_reasoner().base).split())
        data = turning_record(found)
        assert len(data.turns) == len(found.turns)
        for turn in found.turns:
            assert turn.answer.sentence in text
            for change in turn.changes:
                assert change.to in text
        assert data.measurements_not_listed == found.idle
        assert data.tried == found.tried


def test_each_importance_is_tried_though_a_shops_rule_asks_for_one(tmp_path: Path) -> None:
    """Every value of an importance weighs otherwise, so values of which that rule asks the same are not alike."""
    rule = {"id": "shop.looks", "judges": {"film": "none"}, "when": {"importance_look": "high"}}
    rule |= {"then": {"points": {"look": 1}}, "because": "It looks well.", "source": "common_practice"}
    (tmp_path / "shop.yaml").write_text(yaml.safe_dump({"rules": [rule]}), encoding="utf-8")
    reasoner = Reasoner(load_rulebase(tmp_path))
    found = candidates(Variants(reasoner.base, reasoner.program), make_case(reasoner.base, {}, date(2026, 11, 28)))
    assert {each.value.choice for each in found if each.fact == "importance_look"} == {"low", "high"}


def test_a_change_is_stated_to_its_last_digit() -> None:
    """Forty-five years are 16436.25 days: stated as 16436 they would lie on the other side of a limit at 45 years."""
    base = load_rulebase()
    edge = number(Interval(16436.25, 16436.25), "day")
    text = said([Change("covering_age", edge)])["covering_age"].text
    assert read_fact(base, "covering_age", text, "").interval == edge.interval


A_DAY, TIME = 1.0, r"\d+ years?(?: and \d+ days?)?"


def _edges(values: str) -> list[tuple[str, str]]:
    """The edges told in years: `or more`, `or less`, `over` or `under`, and the time."""
    found = [(how, told) for told, how in re.findall(rf"(?<!over )(?<!under )\b({TIME}) (or more|or less)", values)]
    return [*found, *re.findall(rf"\b(over|under) ({TIME})", values)]


def test_an_edge_told_in_years_is_one_by_the_engine() -> None:
    """A time told turns the answer when it is stated, one a day on the other side does not; so with over and under,
    of which the limit itself is on the other side."""
    reasoner, seen = the_reasoner(), Counter[str]()

    def gives(case: Case, fact: str, days: float) -> Recommendation | None:
        try:
            changed = say(reasoner.base, case, {fact: Statement(f"{days!r} days")}, TODAY)
        except BadCase:
            return None
        answer, _ = answer_alone(reasoner, changed.facts)
        return Recommendation.of(answer.kind, answer.leading)

    def enough() -> bool:
        return seen["or more"] + seen["over"] > 2 and seen["or less"] + seen["under"] > 2

    cases, step = list(shelf().cases(reasoner.base).values()), max(1, 12 // draws(1))
    for at, each_case in enumerate([*cases[::step], *cases[1::step]]):
        if at * step > len(cases) and enough():  # which edges are told hangs on which floors those are
            break
        case = say(reasoner.base, each_case, {}, TODAY)  # a twin may hold what hardly goes together
        answer, _ = answer_alone(reasoner, case.facts)
        now = Recommendation.of(answer.kind, answer.leading)
        for each in turning_alone(Scan(variants_of(reasoner), case)):
            kind = reasoner.base.facts[each.fact]
            for how, told in _edges(each.values) if kind.unit == "day" else ():
                days = read_quantity(told, kind.unit, kind.plausible).low
                inside = {"over": A_DAY, "under": -A_DAY}.get(how, 0.0)
                outside = {"or more": -A_DAY, "or less": A_DAY}.get(how, 0.0)
                assert gives(case, each.fact, days + inside) != now, (case.floor, each.values)
                assert gives(case, each.fact, days + outside) in (now, None), (case.floor, each.values)
                seen[how] += 1
    assert enough()
