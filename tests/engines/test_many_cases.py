"""The columns reading against the one-case reading, CLIPS and the naive fixpoint, on floors drawn at random."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from advisor.answer.advising import conclude
from advisor.answer.many_answers import NOBODY, ManyAnswers
from advisor.answer.ranking import KINDS, VERDICTS
from advisor.engines import many_cases
from advisor.engines.columns import Columns, NumberColumn, columns_of, floor_at, keep_all, value_at
from advisor.engines.computed_columns import NEAR, working_columns
from advisor.engines.many_cases import Firing, ManyCases, bounds_of
from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import OneCase
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.program import unbound
from advisor.model.quantities import keep
from advisor.model.values import Value
from advisor.validation.loading import load_rulebase
from tests.engines.test_referees import _random_program, _random_value
from tests.floors import limits_of, random_case
from tests.referees import Clips, fixpoint

FLOORS, WORKED_OUT = 1000, 100  # tests/benchmarks/parity.py tries 100,000


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@pytest.fixture(scope="module")
def floors(reasoner: Reasoner) -> list[dict[str, Value]]:
    rng, limits = Random(7), limits_of(reasoner.program)
    return [random_case(reasoner.base, rng, bounds=limits) for _ in range(FLOORS)]


@pytest.fixture(scope="module")
def working(reasoner: Reasoner, floors: list[dict[str, Value]]) -> Columns:
    return working_columns(reasoner.base, columns_of(reasoner.base, floors), bounds_of(reasoner.program))


@pytest.fixture(scope="module")
def memories(reasoner: Reasoner, floors: list[dict[str, Value]], working: Columns) -> list[dict[str, Value]]:
    """The working memories: worked out one by one for some, read from the columns for the others (that is quicker)."""
    kinds = {name: reasoner.base.facts[unbound(name)[0]] for name in working.facts}
    return [working_memory(reasoner.base, floor) for floor in floors[:WORKED_OUT]] + [
        {name: value_at(kinds[name], column, floor) for name, column in working.facts.items()}
        for floor in range(WORKED_OUT, FLOORS)
    ]


def test_working_columns_are_the_working_memories(
    reasoner: Reasoner, working: Columns, memories: list[dict[str, Value]]
) -> None:
    """Choices and known are the same; ends of computed facts agree within what the table of saturation allows."""
    for name, column in working.facts.items():
        kind = reasoner.base.facts[unbound(name)[0]]
        for floor, memory in enumerate(memories[:WORKED_OUT]):
            ours, theirs = value_at(kind, column, floor), memory[name]
            assert (ours.known, ours.choice) == (theirs.known, theirs.choice), (name, floor)
            if ours.interval and theirs.interval:
                for end, other in (
                    (ours.interval.low, theirs.interval.low),
                    (ours.interval.high, theirs.interval.high),
                ):
                    assert end == pytest.approx(other, rel=NEAR, abs=NEAR), (name, floor)


def test_a_rule_asked_for_alone_fires_where_it_fires_among_all(reasoner: Reasoner) -> None:
    rng, cases = Random(8), ManyCases(reasoner.program)
    floors = [random_case(reasoner.base, rng) for _ in range(41)]  # more bits than whole bytes hold
    columns = working_columns(reasoner.base, columns_of(reasoner.base, floors), bounds_of(reasoner.program))
    fired, firing = cases.infer(columns), Firing(cases, columns)
    for rule in reasoner.program.rules:
        assert np.array_equal(firing.where(rule.name), fired.where(rule.name)), rule.name


def test_the_same_rules_fire_in_all_readings(
    reasoner: Reasoner, working: Columns, memories: list[dict[str, Value]]
) -> None:
    fired = ManyCases(reasoner.program).infer(working)
    engine, referee = OneCase(reasoner.program), Clips(reasoner.program)
    for floor, memory in list(enumerate(memories))[::5]:
        ours = fired.rules_at(floor)
        assert ours == fixpoint(reasoner.program, memory), floor
        if floor % 20 == 0:
            assert ours == referee.fired(memory), floor
            assert ours == {rule.name for rule in engine.infer(memory)}, floor


def test_standings_and_answers_are_those_of_one_case(reasoner: Reasoner, floors: list[dict[str, Value]]) -> None:
    reading = ManyAnswers(reasoner.base, reasoner.program)
    all_kinds = reading.answer(columns_of(reasoner.base, floors)).kind
    some = [floors[floor] for kind in range(len(KINDS)) for floor in np.flatnonzero(all_kinds == kind)[:8]]
    answers = reading.answer(columns_of(reasoner.base, some))
    names = (*answers.finishes, None)
    assert NOBODY == -1  # the last of `names`
    kinds = set()
    for floor, facts in enumerate(some):
        advice = conclude(reasoner, Case("", "", facts))
        one = advice.answer
        kinds.add(one.kind)
        assert KINDS[answers.kind[floor]] == one.kind
        places = (answers.finish, answers.leading, answers.runner_up, answers.fallback)
        assert [names[each[floor]] for each in places] == [one.finish, one.leading, one.runner_up, one.fallback]
        for standing in advice.standings:
            place = answers.finishes.index(standing.finish)
            assert VERDICTS[answers.verdicts[place, floor]] == standing.verdict
            assert answers.total[place, floor] == standing.total
            needs = {c.name for c in answers.names("first", standing.finish) if answers.where(c)[floor]}
            assert needs == {each.need for each in standing.first}
        hazards = {(c.name, c.finish) for c in answers.names("caution") if answers.where(c)[floor]}
        drawn = [each for firing in advice.trace.firings for each in firing.conclusions]
        theirs = {(each.name, each.finish) for each in drawn if each.kind == "caution"}
        assert hazards == theirs
        called = {c.name for c in answers.names("refer") if answers.where(c)[floor]}
        assert called == {r.referral for r in (*advice.stops, *advice.referrals)}
        held = {c.name for c in answers.names("hold") if answers.where(c)[floor]}
        assert held == {each.need for each in advice.holds}
    assert kinds >= {*KINDS} - {"ask first"}  # else the agreement above says little


def test_programs_of_random_shape_agree() -> None:
    rng = Random(11)
    for _ in range(60):
        program, facts = _random_program(rng)
        memories = [{name: _random_value(kind, rng) for name, kind in facts.items()} for _ in range(33)]
        columns = Columns(len(memories), {name: _plain([m[name] for m in memories]) for name in facts})
        fired = ManyCases(program).infer(columns)
        for floor, memory in enumerate(memories):
            assert fired.rules_at(floor) == fixpoint(program, memory)


def _plain(values: list[Value]) -> many_cases.Column:
    if values[0].interval is None:
        names = ("a", "b", "c")
        codes = [names.index(v.choice) + 1 if v.choice in names else 0 for v in values]
        return many_cases.ChoiceColumn(np.array(codes, np.uint8), names)
    ends = np.array([(v.interval.low, v.interval.high) for v in values if v.interval])
    return NumberColumn(ends[:, 0], ends[:, 1], np.array([v.known for v in values]))


@pytest.mark.parametrize("broken", ["inclusive", "unknown_is_no", "without_findings"])
def test_a_broken_reading_is_caught(
    broken: str, reasoner: Reasoner, working: Columns, memories: list[dict[str, Value]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three ways in which a careless columns reading would go wrong each differ from the fixpoint on some floor."""
    if broken == "inclusive":
        monkeypatch.setitem(many_cases._OPERATORS, ">", np.greater_equal)
    elif broken == "unknown_is_no":
        facts = {
            name: many_cases.ChoiceColumn(np.where(c.codes == 0, len(c.values), c.codes).astype(np.uint8), c.values)
            if isinstance(c, many_cases.ChoiceColumn) and c.values == ("yes", "no")
            else c
            for name, c in working.facts.items()
        }
        working = Columns(working.floors, facts)
    reading = ManyCases(reasoner.program)
    if broken == "without_findings":
        reading._order = list(reversed(reading._order))
    fired = reading.infer(working)
    assert any(fired.rules_at(floor) != fixpoint(reasoner.program, memories[floor]) for floor in range(200))


def test_chunks_give_what_the_whole_gives(reasoner: Reasoner, floors: list[dict[str, Value]]) -> None:
    reading, stated = ManyAnswers(reasoner.base, reasoner.program), columns_of(reasoner.base, floors)
    whole = reading.answer(stated)
    parts = [reading.answer(chunk) for chunk in stated.chunks(400)]
    assert [part.floors for part in parts] == [400, 400, 200]
    for field in ("kind", "leading", "runner_up", "fallback", "verdicts", "total", "out"):
        assert (np.concatenate([getattr(p, field) for p in parts], axis=-1) == getattr(whole, field)).all(), field


def test_one_floor_and_a_floor_that_states_nothing(reasoner: Reasoner) -> None:
    reading = ManyAnswers(reasoner.base, reasoner.program)
    answers = reading.answer(columns_of(reasoner.base, [{}]))
    assert KINDS[answers.kind[0]] == conclude(reasoner, Case("", "", {})).answer.kind


def test_columns_hold_what_was_stated(reasoner: Reasoner, floors: list[dict[str, Value]]) -> None:
    columns = columns_of(reasoner.base, floors)
    for floor in range(0, FLOORS, 50):
        back = floor_at(reasoner.base, columns, floor)
        assert {n: (v.choice, v.interval) for n, v in back.items()} == {
            n: (v.choice, v.interval) for n, v in floors[floor].items() if v.known
        }


def test_a_value_at_a_limit_is_worked_out_as_one_case_does(reasoner: Reasoner) -> None:
    """Floors placed so that the dew point margin lies within the table's error of a finish's limit."""
    base, limits = reasoner.base, bounds_of(reasoner.program)["dew_point_margin"]
    memory = working_memory(base, {})
    assert memory["dew_point_margin"].interval
    from advisor.model.values import number
    from advisor.physics.air import dew_point
    from advisor.physics.bounds import Interval

    floors = []
    for air in np.linspace(5.0, 30.0, 40):
        for off in (-1e-8, 0.0, 1e-8, 1e-6):
            air_temp = keep(float(air))
            slab = keep(dew_point(air_temp, 55.0) + limits[-1] + off)
            stated = {"air_temperature": air_temp, "air_humidity": 55.0, "slab_temperature": slab}
            floors.append({n: number(Interval(v, v), base.facts[n].unit) for n, v in stated.items()})
    fired = ManyCases(reasoner.program).infer(
        working_columns(base, columns_of(base, floors), bounds_of(reasoner.program))
    )
    for floor, facts in enumerate(floors):
        assert fired.rules_at(floor) == fixpoint(reasoner.program, working_memory(base, facts))


@pytest.mark.parametrize("values", [[0.1 + 0.2, -0.0], [1.2345678915e7, 0.12345678949], [9.0e6 + 0.3, 8.0e6 - 1e-9]])
def test_numbers_of_columns_are_kept_as_those_of_one_case(values: list[float]) -> None:
    """Also beside one so large that nine decimals are finer than it: there nothing may be rounded."""
    assert keep_all(np.array(values)).tolist() == [keep(each) for each in values]
