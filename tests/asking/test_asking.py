"""What to ask next: worth asking, able to change the answer, and quicker to the answer than other orders."""

from __future__ import annotations

import statistics
from datetime import date
from itertools import islice
from random import Random

import pytest

from advisor.answer.advising import conclude
from advisor.answer.judging import Floors, Judge, judge_of
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.advice import advise
from advisor.asking.answer_words import effects_told
from advisor.asking.interview import Interview, interview_about
from advisor.asking.next_record import next_record
from advisor.asking.next_words import outlook_told, stop_told
from advisor.asking.outlook import WORTH_ASKING, Outlook, Question
from advisor.asking.outlook_words import recommended
from advisor.asking.sampling import open_facts
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case, read_case, read_fact
from advisor.facts.likelihoods import check_priors, has_its_turn, outcomes
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.advice import Advice
from advisor.model.rules import Rule
from advisor.model.units import UNITS
from advisor.model.vocabulary import Prior, Where
from explanations.wording import label
from tests.answer.test_judging import BASE, JUDGE, REASONER, engine
from tests.asking.test_proof import part_of_a_floor
from tests.asking_trials import answers_needed, asked_in_turn, complete, trials
from tests.draws import draws

MOISTURE_TESTS = {
    "slab_humidity", "humidity_holes", "at_service_conditions", "emission_rate", "plastic_sheet_test", "damp_when"
}  # fmt: skip
SAFETY = {"asbestos_test", "asbestos_suspected", "lead_test", "lead_suspected"}
SPILLS = {fact for fact in BASE.facts if fact in {
    "food_acids", "strong_acids", "strong_alkalis", "oil_and_fuel", "solvents", "road_salt", "pool_chemicals", "urine",
    "standing_water", "hot_water",
}}  # fmt: skip


DAY = date(2026, 11, 27)


def outlook(facts: dict[str, str] | None = None) -> Interview:
    interview = interview_about(BASE)
    for name, text in (facts or {}).items():
        interview.answer(name, Statement(text))
    return interview


# ---- priors ------------------------------------------------------------------------------------------------


def test_every_outcome_has_a_share_and_together_they_are_one() -> None:
    memory = working_memory(BASE, {})
    for name, kind in BASE.facts.items():
        if kind.ask and kind.of == "floor":
            found = outcomes(BASE, name, memory[name], JUDGE.limits.get(name, ()))
            assert sum(outcome.share for outcome in found) == pytest.approx(1.0), name
            assert all(outcome.share >= 0 for outcome in found)


def test_a_limit_is_an_outcome_of_its_own_and_no_stretch_crosses_one() -> None:
    memory = working_memory(BASE, {})
    for name in open_facts(JUDGE, memory):
        limits, possible = JUDGE.limits.get(name, []), BASE.facts[name].plausible
        values = [o.value for o in outcomes(BASE, name, memory[name], limits)]
        points = {value.interval.low for value in values if value.interval}
        assert points >= {limit for limit in limits if limit in possible}


def test_a_stretch_of_a_fact_without_fractions_is_stated_by_a_whole_number() -> None:
    memory = working_memory(BASE, {})
    whole = [
        name
        for name in open_facts(JUDGE, memory)
        if BASE.facts[name].type == "number" and UNITS[BASE.facts[name].unit].whole
    ]
    assert {"building_year", "humidity_holes"} <= set(whole)
    for name in whole:
        found = outcomes(BASE, name, memory[name], JUDGE.limits.get(name, ()))
        assert [each.value.shown for each in found if each.value.interval.low % 1] == [], name  # type: ignore[union-attr]
        assert len({each.value.shown for each in found if each.share}) >= 2


@pytest.mark.parametrize(("given", "stated"), [("3 to 4", [3.0, 4.0]), ("4 to 5", [4.0]), ("3 to 7", [3.0, 4.0, 6.0])])
def test_between_two_holes_there_is_no_other(given: str, stated: list[float]) -> None:
    holes = read_fact(BASE, "humidity_holes", given, "")
    found = outcomes(BASE, "humidity_holes", holes, [3.0])
    assert [each.value.interval.low for each in found] == stated  # type: ignore[union-attr]
    assert sum(each.share for each in found) == pytest.approx(1.0)


def test_a_range_leaves_only_what_lies_within_it() -> None:
    interview = outlook({"slab_humidity": "80 to 90 %"})
    found = interview.outlook.undecided["slab_humidity"]
    assert len(found) > 1
    assert all(o.value.interval and 80 <= o.value.interval.low <= o.value.interval.high <= 90 for o in found)
    interview.close()


def test_priors_that_do_not_fit_are_named() -> None:
    prior = BASE.priors["pets"]
    wrong = {
        "petz": prior,
        "pets": prior.model_copy(update={"likely": {"maybe": 1.0}}),
        "cracks": prior.model_copy(update={"likely": {"none": 0.0}, "effort": "hours"}),
        "slab_humidity": prior.model_copy(update={"likely": {"50 to 500 %": 1.0}, "after": ("slab_humid",)}),
    }
    base = BASE.model_copy(update={"priors": wrong})
    said = " ".join(str(fault) for fault in check_priors(base, lambda *_: "priors.yaml, line 1"))
    for word in ("petz", "maybe", "hours", "no value is likely", "50 to 500 %", "slab_humid"):
        assert word in said
    assert not list(check_priors(BASE, lambda *_: ""))


def test_shares_hang_on_other_facts_where_the_prior_says_so() -> None:
    def share(facts: dict[str, str], fact: str, value: str) -> float:
        interview = outlook(facts)
        floors = interview.outlook.floors
        interview.close()
        some = next(have for each, have in floors.facts[fact] if each.choice == value)
        return (some & floors.real).bit_count() / floors.real.bit_count()

    (garage, *_), usual = BASE.priors["vehicles"].where, BASE.priors["vehicles"].likely
    for facts, likely in (({"room": "garage"}, garage.likely), ({"room": "kitchen"}, usual)):
        expected = likely["cars"] / sum(likely.values())
        assert share(facts, "vehicles", "cars") == pytest.approx(expected, abs=0.03)
    # An open room: the shares of each kind of room count as often as it is met.
    rooms, cars = BASE.priors["room"].likely, {each.when["room"][0].removeprefix("is "): each.likely["cars"]
                                               for each in BASE.priors["vehicles"].where}  # fmt: skip
    mixed = sum(often * cars.get(room, usual["cars"]) for room, often in rooms.items()) / sum(rooms.values()) / 100
    assert share({}, "vehicles", "cars") == pytest.approx(mixed, abs=0.03)


def test_what_is_known_is_evidence_of_what_it_hangs_on() -> None:
    """A damp plastic sheet makes a wet slab likelier, by Bayes' rule: damp on 100, 30 and 0 of 100 of such slabs."""

    def shares(facts: dict[str, str]) -> tuple[float, float]:
        interview = outlook(facts)
        floors = interview.outlook.floors
        interview.close()
        spread = floors.facts["slab_humidity"]
        found = {value.interval.low: have & floors.real for value, have in spread if value.interval}
        wet = sum(have for low, have in found.items() if low >= 90)
        dry = sum(have for low, have in found.items() if low <= 75)
        total = floors.real.bit_count()
        return wet.bit_count() / total, 1 - (wet | dry).bit_count() / total

    wet, between = shares({})
    expected = wet / (wet + between * 0.30)
    assert shares({"plastic_sheet_test": "damp"})[0] == pytest.approx(expected, abs=0.05)
    assert expected > 2 * wet


def test_likelihoods_that_wait_for_each_other_or_for_what_is_worked_out_are_named() -> None:
    prior = BASE.priors["pets"]

    def waiting(fact: str) -> Prior:
        when = Where(when={fact: ("known",)}, likely={"yes": 1.0})
        return prior.model_copy(update={"where": (when,)})

    rings = BASE.model_copy(update={"priors": {"pets": waiting("freezes"), "freezes": waiting("pets")}})
    assert "waits for the next" in " ".join(str(fault) for fault in check_priors(rings, lambda *_: ""))
    worked_out = next(name for name, kind in BASE.facts.items() if not kind.ask)
    base = BASE.model_copy(update={"priors": {"pets": waiting(worked_out)}})
    assert f"{worked_out} is worked out" in " ".join(str(fault) for fault in check_priors(base, lambda *_: ""))


def test_a_shops_own_prior_changes_what_is_asked_first() -> None:
    look = Outlook(JUDGE, working_memory(BASE, {"on_floor": read_fact(BASE, "on_floor", "bare", "test")}))
    assert not look.pressing  # what everything waits for is asked first whatever it costs
    first = next(look.questions())
    dear = {**BASE.efforts, "dear": BASE.efforts["know"].model_copy(update={"cost": 500.0})}
    own = BASE.priors[first.fact].model_copy(update={"effort": "dear"})
    base = BASE.model_copy(update={"efforts": dear, "priors": {**BASE.priors, first.fact: own}})
    judge = Judge(base, REASONER.program)
    assert next(Outlook(judge, look.memory).questions()).fact != first.fact


# ---- the next question -------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(draws(3)))
def test_a_question_asked_can_change_the_recommendation_by_the_engine(seed: int) -> None:
    """Two whole floors that differ in that fact alone, each reasoned by the engine, get different recommendations."""
    rng = Random(seed)
    facts = part_of_a_floor(rng, 25)
    memory = working_memory(BASE, facts)
    look = Outlook(JUDGE, memory, 1024)
    for question in islice(look.questions(), 2):
        witness = look.witness(question.fact)
        assert witness is not None
        one, other = ({n: v for n, v in floor.items() if v.known and v.origin == "given"} for floor in witness)
        assert {name for name in one if one[name] != other.get(name)} <= {question.fact}
        assert engine(one) != engine(other)


def test_a_fact_that_no_rule_asks_for_is_never_asked() -> None:
    memory = working_memory(BASE, {})
    assert set(open_facts(JUDGE, memory)) <= set(JUDGE.asked_for)


def test_what_hangs_on_another_fact_waits_for_it() -> None:
    memory = working_memory(BASE, {})
    asked = {question.fact for question in islice(Outlook(JUDGE, memory, 1024).questions(), 12)}
    for fact in asked:
        assert not BASE.priors[fact].after if fact in BASE.priors else True


def test_a_question_settles_what_it_says_on_average() -> None:
    """Expected uncertainty after the answer, worked out anew for each answer, is what the question promised."""
    memory = working_memory(BASE, {})
    look = Outlook(JUDGE, memory, 8192)
    question = next(each for each in look.questions() if each.fact not in look.pressing)
    shares = {branch.stretch: branch.share for branch in question.branches}
    after = 0.0
    for outcome in look.undecided[question.fact]:
        if outcome.stretch in shares:
            told = {**memory, question.fact: outcome.value}
            after += shares[outcome.stretch] * Outlook(JUDGE, told, 8192).uncertainty
    assert look.uncertainty - after == pytest.approx(question.settles, abs=0.06)


def test_branches_are_real_and_add_up() -> None:
    memory = working_memory(BASE, {})
    look = Outlook(JUDGE, memory, 1024)
    question = next(look.questions())
    assert sum(branch.share for branch in question.branches) == pytest.approx(1.0)
    for branch in question.branches:
        assert sum(turn.share for turn in branch.turns) == pytest.approx(1.0)
        turn = branch.turns[-1]
        floor = look.floors.one(turn.place)
        memory_there = working_memory(BASE, {n: v for n, v in floor.items() if v.known and v.origin == "given"})
        one = Floors(1, {name: [(value, 1)] for name, value in memory_there.items()})
        assert set(JUDGE.recommend(one, weights(BASE, memory))) == {turn.recommendation}


def test_what_is_to_be_seen_comes_first_where_the_answer_waits_for_nobody_having_said_it() -> None:
    said = {"room": "warehouse", "area": "20000 ft2", "slab_age": "45 days", "vehicles": "forklifts",
            "who_works": "hired", "dust_free_needed": "yes", "country": "us"}  # fmt: skip
    case = make_case(BASE, {name: Statement(text) for name, text in said.items()}, DAY)
    advice = advise(REASONER, case, DAY)
    assert advice.answer.kind == "test first"
    first = next(Outlook(JUDGE, working_memory(BASE, case.facts)).questions())
    assert advice.ask_next[0].fact == first.fact == "on_floor"
    tested = read_case(demo_cases()["untested_garage"], BASE, DAY)  # waits for a measurement: no word of mouth helps
    assert not Outlook(JUDGE, working_memory(BASE, tested.facts)).pressing


def test_a_shops_rule_may_ask_that_what_is_worked_out_of_a_finish_is_unknown() -> None:
    """It presses for no answer, since nobody could give one."""
    rule = Rule.model_validate({
        "id": "shop.unknown_dry", "judges": {"film": "dense"}, "when": {"drying_days_left": "unknown"},
        "then": {"first": "coating_proved"}, "because": "For a test.", "sources": ["common_practice"],
    })  # fmt: skip
    base = BASE.model_copy(update={"rules": {**BASE.rules, rule.id: rule}})
    reasoner = Reasoner(base)
    said = {"room": "garage", "on_floor": "bare", "area": "40 m2", "wanted_look": "flecked"}
    case = make_case(base, {name: Statement(text) for name, text in said.items()}, DAY)
    advice = advise(reasoner, case, DAY)
    leading = advice.answer.leading
    assert (rule.id, leading) in {(firing.rule, firing.finish) for firing in advice.trace.firings}
    assert not Outlook(judge_of(reasoner), working_memory(base, case.facts)).pressing


def test_under_a_stop_no_test_is_ordered() -> None:
    for name, path in demo_cases().items():
        interview = interview_about(BASE, read_case(path, BASE), keep_declined=False)
        said = "order no test on the floor" in "\n".join(outlook_told(interview, 3))
        assert said == bool(interview.advice().stops) == (name == "old_tile_kitchen")
        interview.close()


@pytest.mark.parametrize("name", demo_cases())
@pytest.mark.parametrize("answering", ["don't know", "the likeliest"])
def test_the_first_three_questions_are_a_practitioners(name: str, answering: str) -> None:
    """What a floor hides, what is spilled on it, what those at work can lift; before all else what can hurt."""
    interview = interview_about(BASE, read_case(demo_cases()[name], BASE), keep_declined=False)
    asked: list[str] = []
    while len(asked) < 3 and (question := interview.next_question()):
        asked.append(question.fact)
        likeliest = max(question.branches, key=lambda branch: branch.share).said
        interview.answer(question.fact, Statement("unknown" if answering == "don't know" else likeliest))
    free = {
        "vapour_retarder",
        "on_floor",
        "patches",
        "content_with_floor",
        "heavy_work_possible",
        "someone_fell",
        "budget",
        "worn_depth",
    }
    assert set(asked) <= MOISTURE_TESTS | SPILLS | SAFETY | free | {"surface_ph"}
    assert not SAFETY & set(asked) or asked[0] in SAFETY
    assert MOISTURE_TESTS & set(asked) or SPILLS & set(asked)
    interview.close()


@pytest.mark.parametrize("name", demo_cases())
def test_the_questions_are_told_in_their_order_in_words_and_as_data(name: str) -> None:
    interview = interview_about(BASE, read_case(demo_cases()[name], BASE), keep_declined=False)
    asked = [question.fact for question in islice(interview.questions(), 3)]
    assert asked
    lines, data = list(outlook_told(interview, 3)), next_record(interview, 3)
    numbered = [line for line in lines if line[:1].isdigit()]
    assert [line.partition(". ")[2] for line in numbered] == [BASE.facts[each].ask for each in asked]
    assert [each.fact for each in data.questions] == asked
    interview.close()


@pytest.mark.parametrize("name", demo_cases())
def test_the_advice_lists_first_what_is_worth_asking_first(name: str) -> None:
    """Its order is found quickly, so the first question may differ a little, never by much."""
    interview = interview_about(BASE, read_case(demo_cases()[name], BASE), keep_declined=False)
    listed = [question.fact for question in advise(REASONER, interview.case).ask_next]
    best = [question.fact for question in islice(interview.questions(), 3)]
    assert set(best) & set(listed[:3])
    assert listed[0] in best
    interview.close()


@pytest.mark.parametrize("name", demo_cases())
@pytest.mark.parametrize("answering", ["don't know", "the likeliest", "the second"])
def test_it_stops_by_itself_and_says_why(name: str, answering: str) -> None:
    interview = interview_about(BASE, read_case(demo_cases()[name], BASE), keep_declined=False)
    while question := interview.next_question():
        likely = sorted(question.branches, key=lambda branch: -branch.share)
        said = {"don't know": "unknown", "the likeliest": likely[0].said, "the second": likely[:2][-1].said}[answering]
        interview.answer(question.fact, Statement(said))
    if not interview.certainty.settled:
        told = stop_told(interview)
        for fact, settles, cost in interview.outlook.ranked():
            if settles / cost >= WORTH_ASKING and fact not in interview.declined:  # left out for a reason
                assert not has_its_turn(BASE, fact, interview.memory) or not interview.outlook.witness(fact)
        named = [fact for fact in BASE.facts if label("fact", fact) in told]
        assert set(named) <= interview.outlook.undecided.keys()
        assert ("what you do not know" in told) == (answering == "don't know")
        assert named or "more than it costs." in told
    interview.close()


# ---- what each answer would do -----------------------------------------------------------------------------


def told_effects_held_to_the_advice(interview: Interview, question: Question) -> int:
    """Every told effect against the advice for the case with the answer stated; how many effects change something."""
    base, case, today = interview.base, interview.case, interview.today
    before, changing = interview.advice(), 0
    for effect in interview.effects(question):
        stated = {**case.stated, question.fact: Statement(effect.branch.said)}
        after = conclude(REASONER, make_case(base, stated, today), today)
        was, now = ({s.finish: s for s in advice.standings} for advice in (before, after))
        fell = {f for f in now if now[f].verdict == "ruled out" != was[f].verdict}
        back = {f for f in now if was[f].verdict == "ruled out" != now[f].verdict}
        assert (set(effect.fell), set(effect.came_back)) == (fell, back)
        assert effect.after.recommendation == gist(after)
        leading = after.answer.leading or ""
        first = [{each.need for each in standings[leading].first} if leading else set() for standings in (was, now)]
        assert (set(effect.needs_gone), set(effect.needs_new)) == (first[0] - first[1], first[1] - first[0])
        (line,) = effects_told(base, interview.outlook, [effect])
        changes = gist(before) != gist(after)
        assert (f"the answer becomes: {recommended(base, gist(after))}" in line) == (changes and not effect.set_aside)
        if effect.set_aside:
            assert effect.set_aside == tuple(set(make_case(base, stated, today).set_aside) - set(case.set_aside))
            continue
        assert len(fell) > 3 or all(base.finishes[each].name in line for each in fell)
        assert all(label("need", need) in line for need in first[0] ^ first[1])
        leads = [_lead(advice) for advice in (before, after)]
        same_leading = before.answer.leading == leading
        if same_leading and leads[1] is not None and leads[0] != leads[1]:
            assert f"leads by {leads[1]} point" in line
        something = changes or fell or back or first[0] ^ first[1] or (same_leading and leads[0] != leads[1])
        assert ("nothing changes at once" in line) == (not something)
        changing += bool(something)
    return changing


def gist(advice: Advice) -> Recommendation:
    kind, leading = advice.answer.kind, advice.answer.leading
    return Recommendation(kind, (leading or "") if kind in ("finish", "test first") else "")


def _lead(advice: Advice) -> int | None:
    left = [each.total for each in advice.standings if each.verdict != "ruled out"]
    return left[0] - left[1] if len(left) > 1 else None


@pytest.mark.parametrize("name", demo_cases())
def test_what_an_answer_would_do_is_what_the_advice_says_once_it_is_stated(name: str) -> None:
    interview = interview_about(BASE, read_case(demo_cases()[name], BASE), keep_declined=False)
    assert sum(told_effects_held_to_the_advice(interview, each) for each in islice(interview.questions(), 4)) > 0
    interview.close()


@pytest.mark.parametrize("seed", range(draws(8)))
def test_what_an_answer_would_do_on_floors_drawn_at_random(seed: int) -> None:
    rng = Random(300 + seed)
    facts = part_of_a_floor(rng, rng.choice([8, 25, 60]))
    stated = {name: Statement(value.choice or value.shown) for name, value in facts.items()}
    interview = interview_about(BASE, make_case(BASE, stated, date.today()))
    for question in islice(interview.questions(), 2):
        told_effects_held_to_the_advice(interview, question)
    interview.close()


def test_answers_that_do_the_same_are_told_together_and_all_are_told() -> None:
    interview = interview_about(BASE, read_case(demo_cases()["untested_garage"], BASE), keep_declined=False)
    for question in islice(interview.questions(), 4):
        found = list(interview.effects(question))
        lines = list(effects_told(BASE, interview.outlook, found))
        assert len(lines) <= len(found)
        told_alone = {line for each in found for line in effects_told(BASE, interview.outlook, [each])}
        assert {line.partition(": ")[2].partition(". ")[0] for line in lines} == {
            line.partition(": ")[2].partition(". ")[0] for line in told_alone
        }
    interview.close()


# ---- orders ------------------------------------------------------------------------------------------------


def test_half_of_the_questions_of_the_vocabularys_order_and_never_wrongly_certain() -> None:
    some = trials(JUDGE, Random(3), 10, usual=True, hidden=0.5)
    asked = [asked_in_turn(JUDGE, trial) for trial in some]
    for trial, (_, said) in zip(some, asked, strict=True):
        assert said in (None, complete(JUDGE, trial))
    whole = [[*order, *(f for f in t.hidden if f not in order)] for (order, _), t in zip(asked, some, strict=True)]
    ours = answers_needed(JUDGE, some, whole)
    vocabulary = answers_needed(JUDGE, some, [trial.hidden for trial in some])
    assert statistics.median(ours) <= statistics.median(vocabulary) / 2


def test_the_complete_floors_of_the_trials_are_judged_as_the_engine_does() -> None:
    for usual in (True, False):
        for trial in trials(JUDGE, Random(4), 3, usual, hidden=0.5):
            assert complete(JUDGE, trial) == engine(dict(trial.floor))


def test_a_question_of_which_no_floor_drawn_tells_what_it_settles_is_told_without_a_share() -> None:
    """Forklifts on a sound coating of a damp slab, by a pool: met together so seldom that no floor drawn is like it."""
    said = {"plastic_sheet_test": "damp", "coating_bond": "sound", "cracks": "moving", "vehicles": "forklifts"}
    said |= {"sunlight": "little", "pool_chemicals": "often", "less_sure_feet": "yes"}
    case = make_case(BASE, {name: Statement(text) for name, text in said.items()}, DAY)
    interview = Interview(REASONER, JUDGE, DAY, case)
    told, drawn = "\n".join(outlook_told(interview, 1)), interview.outlook.real
    interview.close()
    assert not drawn
    assert BASE.facts["crack_offset"].ask in told
    assert "The answer given now waits for it" in told
    assert "Settles about" not in told
    assert "may come to" not in told
