"""What went wrong with a floor: one meaning in every reading, nothing dangerous hidden, and pages that say so."""

from __future__ import annotations

import re
from datetime import date
from itertools import combinations
from random import Random

import pytest
from typer.testing import CliRunner

from advisor.answer.advising import conclude
from advisor.answer.judging import Floors, judge_of
from advisor.answer.many_answers import ManyAnswers
from advisor.answer.ranking import standings, weights
from advisor.asking.cause_forms import CauseFound
from advisor.asking.causes import Inquiry, cause_named, find_causes
from advisor.asking.explaining import Explained
from advisor.asking.went_wrong import dangerous, went_wrong
from advisor.cli.verbs import app
from advisor.engines.columns import columns_of
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase, BadRequest
from advisor.facts.case import Case, make_case, say
from advisor.facts.complaints import COMPLAINTS, complaints
from advisor.facts.memory import working_memory
from advisor.facts.statements import read_statement
from advisor.model.rules import Rule
from advisor.model.values import Value, choice
from advisor.pages.blocks import Table
from advisor.pages.causes_page import causes_page, handover_page
from advisor.pages.text import length
from advisor.reference.rule_list import causes_holding
from advisor.rulebase.causes import WAYS
from advisor.teaching.exercises import LEADING, WhatToAsk
from advisor.teaching.known_so_far import KnownSoFar
from advisor.teaching.lessons import Lesson
from advisor.validation.audit import audit, in_words
from explanations.graph import untraced
from tests.draws import draws

TODAY = date(2026, 11, 27)
SCREEN = 40  # lines of a terminal
BY_COMPLAINT = (("complaint", "fits"), ("now_and_then", "may_fit"), ("usual", "mostly"))  # rules about one complaint


def case(inquiry: Inquiry, **given: str) -> Case:
    said = {name: read_statement(name, text, name, TODAY) for name, text in given.items()}
    return make_case(inquiry.base, said, TODAY, "Floor")


def chance_floor(inquiry: Inquiry, random: Random) -> dict[str, Value]:
    """Some facts that causes speak of, at random, with something gone wrong."""
    base = inquiry.base
    spoken = sorted({fact for cause in base.causes.values() for way in WAYS for fact in getattr(cause, way)})
    facts = {name: choice(random.choice(base.facts[name].choices)) for name in random.sample(spoken, 12)}
    return {**facts, "trouble": choice(random.choice(base.facts["trouble"].choices[1:]))}


def test_engine_columns_and_bits_agree_on_the_leading_cause(inquiry: Inquiry) -> None:
    reasoner, random = inquiry.reasoner, Random(15)
    base = reasoner.base
    floors = [chance_floor(inquiry, random) for _ in range(draws(20))]
    many = ManyAnswers(base, reasoner.program).answer(columns_of(base, floors))
    judge = judge_of(reasoner)
    for place, facts in enumerate(floors):
        memory, trace = reasoner.reason(facts)
        left = [each for each in standings(base, memory, trace) if each.verdict != "ruled out"]
        leads = many.leading[place]
        assert many.finishes[leads] == left[0].finish
        floor = Floors(1, {name: [(value, 1)] for name, value in memory.items()})
        (recommendation,) = judge.recommend(floor, weights(base, memory))
        assert recommendation.finish == left[0].finish


def test_every_claim_about_causes_is_proved(inquiry: Inquiry) -> None:
    for finding in audit(inquiry.reasoner.base):
        assert finding.outcome == "proved", in_words(finding)


def test_the_audit_proves_claims_about_causes_too(inquiry: Inquiry) -> None:
    (finding,) = audit(inquiry.base, ["gas_is_in_sight"])
    assert finding.outcome == "proved"
    assert finding.questions > 1
    done = CliRunner().invoke(app, ["audit", "gas_is_in_sight"], catch_exceptions=False)
    assert done.exit_code == 0
    assert "gas_is_in_sight" in done.stdout


@pytest.mark.parametrize(
    ("claim", "cause", "way", "entry"),
    [
        ("gas_is_in_sight", "fuel_or_gas_below", "excluded", {"trouble_where": ["at_walls"]}),
        ("mould_is_in_sight", "mould_on_damp", "fits", {"trouble": ["smell"]}),
        ("ground_that_may_have_moved_is_in_sight", "settlement", "excluded", {"cracks": ["hairline"]}),
        ("electricity_in_leaking_water_is_in_sight", "leak_or_spill", "excluded", {"active_leak": ["no"]}),
    ],
)
def test_a_danger_that_falls_out_of_sight_is_found(
    inquiry: Inquiry, claim: str, cause: str, way: str, entry: dict[str, list[str]]
) -> None:
    """A cause excluded where it can be, or without its usual sign, refutes the claim, with such a floor."""
    before = inquiry.base.causes[cause]
    changed = before.model_copy(update={way: {**getattr(before, way), **{k: tuple(v) for k, v in entry.items()}}})
    rule = "danger.tried"
    tried = Rule.model_validate(
        {
            "id": rule,
            "judges": {"id": cause},
            "when": {fact: values[0] for fact, values in entry.items()},
            "then": {"rule_out": "yes"},
            "because": "For a test.",
            "source": "common_practice",
        }
    )
    rules = {**inquiry.base.cause_rules, rule: tried} if way == "excluded" else inquiry.base.cause_rules
    base = inquiry.base.model_copy(update={"causes": {**inquiry.base.causes, cause: changed}, "cause_rules": rules})
    (finding,) = audit(base, [claim])
    assert finding.outcome == "refuted", in_words(finding)
    (broken, *_) = finding.breaks
    assert broken.real
    assert set(entry) & set(broken.floor)


def test_old_paint_and_flooring_are_spoken_of_before_anybody_scrapes(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """Whatever went wrong: wherever the advice warns of them, proved in claims.yaml; not where they cannot be."""
    says = inquiry.base.not_now["sand_unknown"].says
    for complaint in inquiry.base.facts["trouble"].choices[1:]:
        floor = case(inquiry, trouble=complaint, on_floor="paint", building_year="1970")
        assert find_causes(reasoner, floor, TODAY).not_now[0] == says, complaint
    young = case(inquiry, trouble="dusting", on_floor="bare", building_year="2015", slab_age="11 years")
    assert says not in find_causes(reasoner, young, TODAY).not_now


@pytest.mark.parametrize(
    "lies",
    [
        {"on_floor": "resilient_tile", "building_year": "1950", "layer_beneath": "black_adhesive"},
        {"on_floor": "thick_coating", "building_year": "1955", "layer_beneath": "black_adhesive"},
        {"on_floor": "thick_coating"},
        {"on_floor": "other_adhesive", "covering_age": "30 years"},
        {"on_floor": "paint", "asbestos_test": "found"},
    ],
)
def test_nothing_is_scraped_or_picked_at_before_the_laboratory(
    inquiry: Inquiry, reasoner: Reasoner, lies: dict[str, str]
) -> None:
    """Where a layer may hold asbestos, by the rules that the advice warns by; the remedy begins with the test."""
    waited = set()
    for complaint in ("peels", "blisters", "edges_lift", "cloudy", "popouts", "craters", "flakes", "glue_oozes"):
        found = find_causes(reasoner, case(inquiry, room="basement_room", trouble=complaint, **lies), TODAY)
        assert not [each.fact for each in found.looks if inquiry.base.facts[each.fact].disturbs], complaint
        waited.update(found.waiting)
        assert "asbestos" in found.first[0]
        assert all(each.first == found.first for each in found.remedies)
        for page in (causes_page(inquiry.base, found), handover_page(inquiry.base, found)):
            words = page.words()
            assert "labelled bags" not in words
            assert "back of loose chips" not in words
            assert not [n for n, kind in inquiry.base.facts.items() if kind.disturbs and kind.find_out in words]
        assert found.first[0] in handover_page(inquiry.base, found).words()
    assert waited


def test_where_asbestos_is_excluded_everything_may_be_looked_at(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for lies in ({"building_year": "2015"}, {"slab_age": "3 years"}, {"coating_age": "2 years"}):
        found = find_causes(reasoner, case(inquiry, trouble="peels", on_floor="thick_coating", **lies), TODAY)
        assert (found.first, found.waiting) == ((), ())
        assert "chip_back" in {each.fact for each in found.looks}
        words = handover_page(inquiry.base, found).words()
        assert "labelled bags" in words
        assert "asbestos before" not in words


def test_what_breaks_scrapes_or_picks_is_marked_so(inquiry: Inquiry) -> None:
    """Whatever tells how to find a fact out by breaking into what lies there waits where that may hold asbestos."""
    spoken = {fact for each in inquiry.base.causes.values() for way in WAYS for fact in getattr(each, way)}
    for name in spoken - {"on_floor", "coating_bond", "layer_beneath"}:  # these say themselves where to touch nothing
        kind = inquiry.base.facts[name]
        breaks = re.search(r"\b(scrape|scratch|chisel|prick|pick up|drill|sand|lift)\b", kind.find_out.lower())
        assert kind.disturbs or not breaks or "do not scrape" in kind.find_out, name


def test_tests_that_remedies_name_are_due_on_the_page_to_hand_over(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """It said that none was due where no look was left, though the remedies named tests."""
    wet = {"on_floor": "thick_coating", "coating_age": "1 year", "trouble": "blisters", "trouble_course": "spreads"}
    wet |= {"trouble_since": "months", "blister_inside": "alkaline_liquid", "prepared_how": "ground_or_blasted"}
    map_ = {"on_floor": "bare", "trouble": "cracks", "second_trouble": "popouts", "trouble_since": "years"}
    map_ |= {"crack_pattern": "map", "hole_bottom": "gel_or_rim", "exposure": "open_air"}
    for given, cause in ((wet, "osmotic_blisters"), (map_, "alkali_silica")):
        found = find_causes(reasoner, case(inquiry, **given), TODAY)
        assert cause in {each.cause for each in found.remedies}
        words = handover_page(inquiry.base, found).words()
        for each in inquiry.base.causes[cause].remedy.due:
            assert inquiry.base.due[each].says in words, each
    measured = find_causes(reasoner, case(inquiry, **wet, slab_humidity="95 %"), TODAY)
    assert inquiry.base.due["drilled_probes"].says not in measured.due


def test_dangers_in_sight_have_their_tests_on_the_page_to_hand_over(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for complaint in ("cracks", "damp_spots", "sweating", "mould"):
        found = find_causes(reasoner, case(inquiry, trouble=complaint, building_year="2015"), TODAY)
        words = handover_page(inquiry.base, found).words()
        for danger in dangerous(found):
            assert all(inquiry.base.due[each].says in words for each in inquiry.base.causes[danger.cause].remedy.due)


def test_coring_brings_cables_and_grinding_silica(inquiry: Inquiry, reasoner: Reasoner) -> None:
    cored = {"room": "garage", "on_floor": "bare", "trouble": "popouts", "hole_bottom": "gel_or_rim"}
    tendons = inquiry.base.cautions["tendons"]
    for post_tensioned, told in (("yes", True), ("unknown", True), ("no", False)):
        found = find_causes(reasoner, case(inquiry, **cored, post_tensioned=post_tensioned), TODAY)
        full = causes_page(inquiry.base, found, full=True).words()
        assert (tendons.says in full) is told, post_tensioned
        assert (tendons.named("tendons") in causes_page(inquiry.base, found).words().lower()) is told
        assert (tendons.brief.lower() in handover_page(inquiry.base, found).words().lower()) is told
    for name, cause in inquiry.base.causes.items():  # what its remedy says is done, it says as data too
        told = f"{cause.remedy.take_off} {cause.remedy.mend}".lower()
        for word, works in (
            ("grind", {"grind"}),
            ("blast", {"grind"}),
            ("sand", {"sand", "grind"}),
            ("drill", {"cut"}),
        ):
            assert not re.search(rf"\b{word}(ed|ing)?\b", told) or works & {*cause.remedy.does}, (name, word)
    ground = {"on_floor": "thick_coating", "trouble": "peels", "chip_back": "clean", "prepared_how": "etched"}
    found = find_causes(reasoner, case(inquiry, **ground, building_year="2015"), TODAY)
    assert "too_smooth" in {each.cause for each in found.remedies}
    assert "silica dust" in causes_page(inquiry.base, found).words()
    assert inquiry.base.cautions["silica_dust"].says in causes_page(inquiry.base, found, full=True).words()


def test_every_test_that_is_due_somewhere_is_named(inquiry: Inquiry) -> None:
    named = {each for cause in inquiry.base.causes.values() for each in cause.remedy.due}
    assert named | {name for name, each in inquiry.base.due.items() if each.warned_of} == inquiry.base.due.keys()


def test_every_stop_is_handed_over_whatever_went_wrong(inquiry: Inquiry, reasoner: Reasoner) -> None:
    random, stops = Random(3), {"active_leak": "yes", "lead_suspected": "yes", "crack_growing": "yes"}
    for _ in range(draws(5)):
        facts = chance_floor(inquiry, random) | {name: choice(value) for name, value in stops.items()}
        floor = Case("Floor", "", facts)
        found = find_causes(reasoner, floor, TODAY)
        assert found.stops == conclude(reasoner, floor, TODAY).stops
        assert len(found.stops) >= len(stops)
        assert all(stop.tell in causes_page(inquiry.base, found).words() for stop in found.stops)


def test_a_stop_stays_whatever_the_cause(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for complaint in ("peels", "cracks", "smell"):
        floor = case(inquiry, trouble=complaint, asbestos_suspected="yes", on_floor="black_adhesive")
        found = find_causes(reasoner, floor, TODAY)
        assert found.stops
        assert found.stops == conclude(reasoner, floor, TODAY).stops


@pytest.mark.parametrize(
    ("given", "cause"),
    [
        ({"trouble": "smell"}, "fuel_or_gas_below"),
        ({"trouble": "smell", "trouble_where": "at_walls", "trouble_comes_with": "humid_weather"}, "fuel_or_gas_below"),
        ({"trouble": "cracks"}, "settlement"),
        ({"trouble": "damp_spots", "trouble_where": "one_area"}, "leak_or_spill"),
        ({"trouble": "mould"}, "mould_on_damp"),
        ({"trouble": "sweating"}, "room_air_sweating"),
    ],
)
def test_what_would_hurt_somebody_is_in_sight_while_it_can_be(
    inquiry: Inquiry, reasoner: Reasoner, given: dict[str, str], cause: str
) -> None:
    found = find_causes(reasoner, case(inquiry, **given), TODAY)
    assert cause in {each.cause for each in dangerous(found)}
    words = causes_page(inquiry.base, found).words()
    assert inquiry.base.causes[cause].danger in words


def test_what_is_excluded_is_not_shouted(inquiry: Inquiry, reasoner: Reasoner) -> None:
    found = find_causes(reasoner, case(inquiry, trouble="cracks", crack_pattern="fine_net"), TODAY)
    assert "settlement" in {each.cause for each in found.told("excluded")}
    assert "settlement" not in {each.cause for each in dangerous(found)}


def test_peeling_by_itself_says_nothing_of_vapour(inquiry: Inquiry, reasoner: Reasoner) -> None:
    _, trace = reasoner.reason(case(inquiry, coating_peeled="yes").facts)
    assert not {"vapour_drive_possible", "damp_signs"} & {
        each.name for each in trace.facts if each.origin == "found" and "peel" in each.note
    }
    rules = {firing.rule for firing in trace.firings if firing.topic == "peeling"}
    assert rules == {"peeling.cause_open"}


def test_other_facts_tell_what_went_wrong_too(inquiry: Inquiry, reasoner: Reasoner) -> None:
    floor = case(inquiry, coating_peeled="yes", white_powder="yes")
    assert complaints(inquiry.base, floor.facts) == {"peels": "trouble", "white_powder": "second_trouble"}
    found = find_causes(reasoner, floor, TODAY)
    assert {each.complaint for each in found.complaints} == {"peels", "white_powder"}
    assert found.together
    assert all(len(some) == len(found.together[0]) for some in found.together)
    for some in found.together:
        assert {"peels", "white_powder"} <= {each for cause in some for each in _explains(inquiry, cause)}


def test_a_complaint_tells_other_facts_and_goes_with_it(inquiry: Inquiry) -> None:
    floor = case(inquiry, trouble="blisters")
    assert floor.facts["coating_peeled"].choice == "yes"
    assert complaints(inquiry.base, floor.facts) == {"blisters": "trouble"}
    after = say(inquiry.base, floor, {"trouble": read_statement("trouble", "none", "trouble", TODAY)}, TODAY)
    assert "coating_peeled" not in after.facts
    with pytest.raises(BadCase, match="came off"):
        case(inquiry, trouble="blisters", coating_peeled="no")


def _explains(inquiry: Inquiry, cause: str) -> tuple[str, ...]:
    entry = inquiry.base.causes[cause]
    return (*entry.fits.get("trouble", ()), *entry.may_fit.get("trouble", ()))


def test_causes_at_work_together_are_told_in_the_smallest_sets(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """By brute force: each set explains all that can be explained, and no smaller one of the causes told does.

    A complaint counts as explained by a cause that is near the best for it.
    """
    random = Random(7)
    for _ in range(draws(6)):
        facts = chance_floor(inquiry, random)
        others = random.sample(inquiry.base.facts["trouble"].choices[1:], 2)
        facts |= {"second_trouble": choice(others[0]), "third_trouble": choice(others[1])}
        found = find_causes(reasoner, Case("Floor", "", facts), TODAY)
        able = {one for each in found.causes if each.fit != "excluded" and each.points > 0 for one in each.explains}
        explained = {each.complaint for each in found.complaints if each.explained_by}
        assert explained == able & {each.complaint for each in found.complaints}
        told = {each.cause: each for each in found.told("likely", "possible")}
        explains: dict[str, set[str]] = {cause: set() for cause in told}
        for complaint, told_by in complaints(inquiry.base, facts).items():
            points = {
                name: _has_for(inquiry, each, told_by) for name, each in told.items() if complaint in each.explains
            }
            for name in points:
                if points[name] >= max(points.values()) - inquiry.base.norms["likely_gap"].interval.high:
                    explains[name].add(complaint)
        size = next(
            (
                n
                for n in range(1, 4)
                if any(explained <= set().union(*some) for some in combinations(explains.values(), n))
            ),
            0,
        )
        assert {len(some) for some in found.together} == ({size} if explained else set())
        assert all(explained <= set().union(*(explains[each] for each in some)) for some in found.together)


def _has_for(inquiry: Inquiry, cause: CauseFound, told_by: str) -> int:
    """A cause's points but for those that another complaint gives it, or that tell of the first complaint alone."""
    others = [name for name in COMPLAINTS if name != told_by]
    beside = {f"{topic}.{name}_{way}" for name in others for topic, way in BY_COMPLAINT}
    if told_by != "trouble":
        beside |= {rule.id for rule in inquiry.base.cause_rules.values() if "explains_first" in rule.when}
    return cause.points - sum(each.points for each in (*cause.speaks_for, *cause.speaks_against) if each.rule in beside)


def test_place_and_time_of_the_first_complaint_bear_on_no_cause_of_another(
    inquiry: Inquiry, reasoner: Reasoner
) -> None:
    """A cause that explains only the second complaint stands the same wherever and whenever the first one shows."""
    random = Random(11)
    tried = 0
    for _ in range(draws(15)):
        facts = {name: each for name, each in chance_floor(inquiry, random).items() if not name.startswith("trouble_")}
        first, second = random.sample(inquiry.base.facts["trouble"].choices[1:], 2)
        facts |= {"trouble": choice(first), "second_trouble": choice(second)}
        told = {
            name: choice(random.choice(inquiry.base.facts[name].choices))
            for name in ("trouble_where", "trouble_since", "trouble_comes_with", "trouble_course")
        }
        without, with_it = (
            {each.cause: each for each in find_causes(reasoner, Case("Floor", "", some), TODAY).causes}
            for some in (facts, facts | told)
        )
        for cause, each in without.items():
            if each.explains == (second,):
                assert with_it[cause].points == each.points
                tried += 1
    assert tried > draws(15)


def test_two_causes_that_much_speaks_for_come_before_one_that_nothing_special_speaks_for(
    inquiry: Inquiry, reasoner: Reasoner
) -> None:
    """A coat too early explains soft spots and pinholes alike; but the bucket was scraped out, and the sun rose."""
    soft = {"trouble": "soft", "trouble_where": "scattered_spots", "second_trouble": "pinholes"}
    work = {"mixed_how": "hardly_stirred", "day_of_coating": "warming", "trouble_since": "at_once"}
    found = find_causes(reasoner, case(inquiry, on_floor="thick_coating", **soft, **work), TODAY)
    assert found.together == (("poor_mixing", "air_from_pores"),)
    pinholes = next(each for each in found.complaints if each.complaint == "pinholes")
    assert pinholes.explained_by[0] == "air_from_pores"


def test_each_of_three_complaints_has_its_own_cause(inquiry: Inquiry, reasoner: Reasoner) -> None:
    given = {
        "trouble": "peels",
        "trouble_where": "under_tyres",
        "second_trouble": "yellowed",
        "third_trouble": "popouts",
    }
    floor = case(
        inquiry, room="garage", vehicles="cars", on_floor="thick_coating", trouble_also_where="in_sun", **given
    )
    found = find_causes(reasoner, floor, TODAY)
    first = {each.complaint: each.explained_by[0] for each in found.complaints}
    assert first == {"peels": "hot_tyres", "yellowed": "sunlight_damage", "popouts": "stone_popouts"}
    assert set(found.together[0]) == set(first.values())


def test_a_second_cause_is_told_for_what_the_first_does_not_explain(inquiry: Inquiry, reasoner: Reasoner) -> None:
    floor = {"trouble": "soft", "third_trouble": "joint_edges", "mixed_how": "guessed", "trouble_where": "one_area"}
    found = find_causes(reasoner, case(inquiry, on_floor="thick_coating", **floor), TODAY)
    assert found.together[0] == ("wrong_ratio", "joint_edges_broken")
    assert {"wrong_ratio", "joint_edges_broken"} <= {each.cause for each in found.remedies}
    (soft, *_) = found.remedies
    assert "coating_recoat" in soft.fail_again
    assert "epoxy_solid" not in soft.fail_again


def test_a_smell_of_gas_stops_whatever_the_complaint(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """The advice stopped only where somebody called the smell a complaint."""
    for complaint in (*inquiry.base.facts["trouble"].choices, "unknown"):
        for more in ({}, {"second_trouble": "cracks", "third_trouble": "dusting"}):
            floor = case(inquiry, room="garage", trouble=complaint, smell_kind="gas", **more)
            advice = conclude(reasoner, floor, TODAY)
            assert advice.answer.kind == "professional", complaint
            assert "gas_supplier" in {each.referral for each in find_causes(reasoner, floor, TODAY, advice).stops}


def test_where_it_smells_of_gas_nobody_is_asked_to_look(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for given in (
        {"trouble": "smell", "smell_kind": "gas"},
        {"trouble": "peels", "second_trouble": "smell", "smell_kind": "petrol"},
    ):
        found = find_causes(reasoner, case(inquiry, **given), TODAY)
        assert [each.referral for each in found.stops] == ["gas_supplier"]
        assert (found.looks, found.remedies, found.not_now) == ((), (), ())
        for page in (causes_page(inquiry.base, found), handover_page(inquiry.base, found)):
            assert "nobody stays or goes back in" in page.words()


def test_what_is_measured_carries_its_day_on_the_page_to_hand_over(inquiry: Inquiry, reasoner: Reasoner) -> None:
    measured = {"is": "88 %", "on": "2026-10-12", "by": "the floor tester"}
    said = {"trouble": read_statement("trouble", "peels", "trouble", TODAY)}
    said["slab_humidity"] = read_statement("slab_humidity", measured, "slab_humidity", TODAY)
    found = find_causes(reasoner, make_case(inquiry.base, said, TODAY, "Floor"), TODAY)
    assert "88 % (2026-10-12, the floor tester)" in dict(found.seen).values()
    page = handover_page(inquiry.base, found)
    (table,) = [block for block in page.blocks if isinstance(block, Table)]
    assert table.rows == found.seen
    assert "[chip_back]" not in page.words()


def test_what_nothing_explains_is_said_to_be_unexplained(inquiry: Inquiry, reasoner: Reasoner) -> None:
    floor = case(
        inquiry, trouble="joint_edges", second_trouble="air_bubbles", joint_kind="contraction", on_floor="bare"
    )
    found = find_causes(reasoner, floor, TODAY)
    (unexplained,) = [each for each in found.complaints if not each.explained_by]
    assert unexplained.complaint == "pinholes"
    words = causes_page(inquiry.base, found).words()
    assert "unexplained" in words
    assert "explain all of it but this (pinholes, small bubbles)" in words
    assert "explain all of it:" not in words


def test_nothing_wrong_is_said_so(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for given in ({"trouble": "none"}, {"room": "garage"}):
        found = find_causes(reasoner, case(inquiry, **given), TODAY)
        assert not found.causes
        assert not found.looks
        assert "trouble" in found.sentence
        assert went_wrong(reasoner, case(inquiry, **given), conclude(reasoner, case(inquiry, **given)), TODAY) is None


def test_a_look_tells_the_leading_causes_apart(inquiry: Inquiry, reasoner: Reasoner) -> None:
    found = find_causes(reasoner, case(inquiry, trouble="peels", on_floor="thick_coating", building_year="2015"), TODAY)
    chip = next(look for look in found.looks if look.fact == "chip_back")
    means = {each.value: each.first for each in chip.outcomes}
    assert "weak_skin" in means["concrete"]
    assert "weak_skin" not in means["clean"]
    assert len({each.first for each in chip.outcomes}) > 2


@pytest.mark.parametrize(
    ("complaint", "on_floor", "look"),
    [
        ("peels", "thick_coating", "chip_back"),
        ("blisters", "thick_coating", "blister_inside"),
        ("soft", "thick_coating", "film_hardness"),
        ("cloudy", "film_sealer", "haze_goes"),
        ("yellowed", "thick_coating", "mark_kind"),
        ("damp_spots", "bare", "trouble_comes_with"),
        ("popouts", "bare", "hole_bottom"),
        ("smell", "bare", "smell_kind"),
    ],
)
def test_the_first_look_is_the_one_that_the_trade_takes(
    inquiry: Inquiry, reasoner: Reasoner, complaint: str, on_floor: str, look: str
) -> None:
    """Common practice: the back of a chip, a blister pricked, a coin, a drop of vinegar, when it comes, the nose."""
    young = {} if on_floor == "bare" else {"coating_age": "2 years"}  # of no age told, it may hold asbestos
    floor = case(inquiry, trouble=complaint, on_floor=on_floor, **young)
    assert find_causes(reasoner, floor, TODAY).looks[0].fact == look


def test_a_look_is_proposed_only_where_it_can_tell_something(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for given in ({"trouble": "peels"}, {"trouble": "cracks", "second_trouble": "sweating"}, {"trouble": "craters"}):
        found = find_causes(reasoner, case(inquiry, **given), TODAY)
        told = found.told("likely", "possible")
        first = tuple(each.cause for each in told if each.points == told[0].points)[:3]
        assert found.looks
        for look in found.looks:
            assert any(each.first != first or each.settles for each in look.outcomes), look.fact


def test_where_one_cause_is_left_no_look_is_proposed(inquiry: Inquiry, reasoner: Reasoner) -> None:
    floor = case(inquiry, trouble="cracks", crack_pattern="fine_net", trouble_where="all_over", trouble_since="weeks")
    found = find_causes(reasoner, floor, TODAY)
    assert [each.cause for each in found.told("likely", "possible")] == ["skin_crazing"]
    assert not found.looks
    assert "Nothing more need be looked at" in causes_page(inquiry.base, found).words()


def test_what_is_beside_the_point_for_every_complaint_is_not_looked_for(inquiry: Inquiry, reasoner: Reasoner) -> None:
    damp = {"trouble": "smell", "second_trouble": "damp_spots", "third_trouble": "mould", "on_floor": "paint"}
    damp["building_year"] = "2015"
    assert "blister_inside" not in {each.fact for each in find_causes(reasoner, case(inquiry, **damp), TODAY).looks}
    blistered = {"trouble": "damp_spots", "second_trouble": "blisters", "on_floor": "paint", "building_year": "2015"}
    assert "blister_inside" in {each.fact for each in find_causes(reasoner, case(inquiry, **blistered), TODAY).looks}


def test_many_dangers_and_stops_still_take_two_screens_and_none_is_lost(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for given in (
        {"trouble": "smell", "second_trouble": "damp_spots", "third_trouble": "mould"},
        {"trouble": "cracks", "second_trouble": "slippery", "third_trouble": "sweating", "water_pressure": "yes"},
        {"trouble": "smell", "second_trouble": "peels", "third_trouble": "scaling", "active_leak": "yes"},
        {"trouble": "blisters", "second_trouble": "hollow", "smell_kind": "fishy", "lead_suspected": "yes"},
    ):
        stops = {"asbestos_suspected": "yes", "heaving_or_settling": "yes"}
        found = find_causes(reasoner, case(inquiry, on_floor="paint", **given, **stops), TODAY)
        page = causes_page(inquiry.base, found)
        assert length(page) <= 2 * SCREEN
        assert dangerous(found)
        assert all(each.danger in page.words() for each in dangerous(found))
        assert all(stop.tell in page.words() for stop in found.stops)
        full = causes_page(inquiry.base, found, full=True).words()
        assert all(each.name in full for each in found.told("likely", "possible", "excluded"))


def test_five_stops_and_three_complaints_still_take_two_screens(inquiry: Inquiry, reasoner: Reasoner) -> None:
    stops = {
        "static_control_needed": "yes",
        "heaving_or_settling": "yes",
        "active_leak": "yes",
        "flooded": "repeatedly",
    }
    wrong = {"trouble": "yellowed", "second_trouble": "cracks", "third_trouble": "sweating", "lead_suspected": "yes"}
    found = find_causes(reasoner, case(inquiry, on_floor="paint", building_year="1950", **wrong, **stops), TODAY)
    assert len(found.stops) > 3
    assert length(causes_page(inquiry.base, found)) <= 2 * SCREEN


def test_remedies_name_finishes_that_stand_and_that_fail_again(inquiry: Inquiry, reasoner: Reasoner) -> None:
    found = find_causes(reasoner, case(inquiry, trouble="yellowed", trouble_where="in_sun", sunlight="strong"), TODAY)
    (remedy,) = found.remedies
    assert remedy.cause == "sunlight_damage"
    assert remedy.stand
    assert not set(remedy.stand) & set(remedy.fail_again)
    assert "epoxy_solid" in remedy.fail_again


def test_every_cause_leads_on_the_floor_that_it_fits(inquiry: Inquiry) -> None:
    """A cause that never can come first is useless; on a floor with all its signs it does, or ties."""
    reasoner, base = inquiry.reasoner, inquiry.reasoner.base
    for name, cause in inquiry.base.causes.items():
        excluded = {fact: set(values) for fact, values in cause.excluded.items()}
        facts = {
            fact: choice(next(each for each in values if each not in excluded.get(fact, ())))
            for fact, values in cause.fits.items()
        }
        memory, trace = reasoner.reason(facts)
        left = [each for each in standings(base, memory, trace) if each.verdict != "ruled out"]
        best = [each.finish for each in left if each.total == left[0].total]
        assert name in best, (name, best, facts)


def test_why_and_graph_work_for_a_cause(inquiry: Inquiry) -> None:
    told = Explained(inquiry.reasoner, inquiry.case(case(inquiry, trouble="soft", film_hardness="hard")), TODAY)
    assert told.finish("wrong ratio".replace(" ", "_")) == "wrong_ratio"
    assert set(told.out_rests_on("wrong_ratio")) == {"film_hardness"}
    assert not [each for each in untraced(told.graph) if told.graph.nodes[each]["kind"] != "standing"]  # idle causes


def test_two_screens_and_a_page_to_hand_over(inquiry: Inquiry, reasoner: Reasoner) -> None:
    floor = case(inquiry, trouble="peels", trouble_where="under_tyres", on_floor="thick_coating", vehicles="cars")
    found = find_causes(reasoner, floor, TODAY)
    page = handover_page(inquiry.base, found)
    assert "liability" in page.words()
    assert not any(word in page.words().lower() for word in ("fault of", "to blame", "guilty", "negligen"))
    assert len(page.words().split()) > 100


@pytest.mark.parametrize(
    ("words", "cause"),
    [
        ("bubble", "air_from_pores"),
        ("bloom", "white_bloom"),
        ("blush", "amine_blush"),
        ("efflorescence", "white_bloom"),
        ("fish eye", "silicone"),
        ("hot tyres", "hot_tyres"),
        ("sweat", "room_air_sweating"),
    ],
)
def test_words_of_the_street_find_their_causes(inquiry: Inquiry, words: str, cause: str) -> None:
    assert cause in {each.cause for each in causes_holding(inquiry.base, words.split())}


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ("bubble", "blisters"),
        ("bloom", "white_powder"),
        ("blush", "greasy_film"),
        ("efflorescence", "white_powder"),
        ("hot tire pickup", "peels"),
        ("fish eye", "craters"),
        ("went white", "cloudy"),
        ("Stays sticky", "soft"),
        ("spalling", "scaling"),
        ("drummy", "hollow"),
        ("condensation", "sweating"),
        ("black mold", "mould"),
    ],
)
def test_a_complaint_is_typed_in_the_customers_words(inquiry: Inquiry, words: str, complaint: str) -> None:
    for fact in ("trouble", "second_trouble", "third_trouble"):
        assert case(inquiry, **{fact: words}).facts[fact].choice == complaint


def test_a_cause_is_named_by_its_id_or_name(inquiry: Inquiry) -> None:
    assert cause_named(inquiry.base, "amine blush") == "amine_blush"
    assert cause_named(inquiry.base, "Amine_Blush") == "amine_blush"
    assert cause_named(inquiry.base, "epoxy_solid") == ""
    assert cause_named(inquiry.base, "no such thing") == ""


def test_the_main_reading_asks_no_more_than_before(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """Only facts that bear on finishes are asked for where nothing went wrong."""
    asked = set(judge_of(reasoner).asked_for)
    only_causes = {"pour_day", "mixed_how", "coat_wait", "coat_build", "crack_pattern", "film_hardness"}
    assert not only_causes & asked


def test_the_verb_answers_in_two_screens(tmp_path) -> None:
    file = tmp_path / "floor.yaml"
    file.write_text("floor: Garage\nfacts: {room: garage, trouble: peels, chip_back: clean, on_floor: thick_coating}\n")
    done = CliRunner().invoke(app, ["causes", str(file)], catch_exceptions=False)
    assert done.exit_code == 0
    assert len(done.stdout.splitlines()) <= 2 * SCREEN
    for ending in ("html", "pdf"):
        out = tmp_path / f"page.{ending}"
        done = CliRunner().invoke(app, ["causes", str(file), "--handover", "--out", str(out)], catch_exceptions=False)
        assert done.exit_code == 0
        assert out.stat().st_size > 1000


def test_lessons_rules_and_why_speak_of_causes(tmp_path) -> None:
    """A set of lessons on topics that judge causes, a rule named in brackets, and why: none speaks of finishes."""

    def said(*arguments: str) -> str:
        return CliRunner().invoke(app, [*arguments], catch_exceptions=False).stdout

    told = said("lessons", "--topic", "usual", "--out", str(tmp_path / "set"))
    assert "lesson FILE --causes" in told
    (first, *_) = sorted((tmp_path / "set").iterdir())
    sheet = tmp_path / "sheet.txt"
    said("lesson", str(first), "--causes", "--sheet", str(sheet))
    assert "Which of the causes that are left are excluded now?" in sheet.read_text()
    assert "the cause is excluded" in said("rule", "look.chip_back_excludes")
    file = tmp_path / "soft.yaml"
    file.write_text("facts: {trouble: soft, film_hardness: hard, on_floor: thick_coating, day_of_coating: cold}\n")
    for arguments in (("wrong_ratio",), ("too_cold", "amine_blush")):
        words = said("why", str(file), *arguments)
        assert "excluded" in words or "excludes" in words
        assert "ruled out" not in words
        assert "rules out" not in words


def test_a_lesson_on_causes_wants_a_case_that_says_what_went_wrong() -> None:
    """It asked again and again what went wrong, and never told."""
    with pytest.raises(BadRequest, match="does not say what went wrong"):
        CliRunner().invoke(app, ["lesson", "untested_garage", "--causes"], catch_exceptions=False)


def test_a_lesson_tells_of_each_answer_what_the_page_of_causes_tells(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """Concrete on the back of a chip is a weak skin there too, whatever else such floors may turn out to have."""
    floor = case(inquiry, trouble="peels", trouble_since="weeks", on_floor="thick_coating")
    young = say(inquiry.base, floor, {"coating_age": read_statement("coating_age", "2 years", "", TODAY)}, TODAY)
    found = find_causes(reasoner, young, TODAY)
    look = next(each for each in found.looks if each.fact == "chip_back")
    concrete = next(each for each in look.outcomes if "concrete" in each.value)
    asked = WhatToAsk(KnownSoFar.begun(inquiry.reasoner, inquiry.case(floor), TODAY))
    assert concrete.first == ("weak_skin",)
    assert "Concrete: then first a weak skin of the concrete." in asked.mark("chip_back").because


def test_a_lesson_offers_no_more_causes_than_one_can_read(inquiry: Inquiry) -> None:
    floor = case(inquiry, trouble="soft", on_floor="thick_coating", room="garage", trouble_where="one_area",
                 trouble_since="days", film_hardness="hard", day_of_coating="cold", mixed_how="whole_kits")  # fmt: skip
    lesson, seen = Lesson(inquiry.reasoner, floor, today=TODAY), 0
    for exercise in lesson.exercises():
        mark = lesson.answer(exercise, "none")
        if exercise.kind == "fall":
            offered, seen = [name for _, name in exercise.question.options], seen + 1
            assert len(offered) <= 2 * LEADING
            fell = [each.name for each in inquiry.base.causes.values() if each.name in mark.best]
            assert set(fell) <= set(offered)
    assert seen


def test_what_is_told_of_the_place_is_not_asked_again(inquiry: Inquiry, reasoner: Reasoner) -> None:
    found = find_causes(reasoner, case(inquiry, trouble="peels", peeled_where="all_over"), TODAY)
    assert found.looks
    assert "trouble_where" not in {look.fact for look in found.looks}


def test_a_smell_is_told_apart_by_the_nose(inquiry: Inquiry, reasoner: Reasoner) -> None:
    """Not by drilled probes; and that air condenses on a floor is no cause of a smell by itself."""
    found = find_causes(reasoner, case(inquiry, trouble="smell"), TODAY)
    assert found.looks[0].fact == "smell_kind"
    assert "slab_humidity" not in {look.fact for look in found.looks}
    assert "room_air_sweating" not in {each.cause for each in found.told("likely", "possible")}


def test_the_working_memory_has_no_finish_in_it(inquiry: Inquiry) -> None:
    view = inquiry.reasoner.base
    assert not any("@" in name for name in working_memory(view, {}))
