"""What people say of a failed floor, in the words that they use, and what follows from few words."""

from __future__ import annotations

from datetime import date

import pytest

from advisor.answer.variants import variants_of
from advisor.asking.cause_forms import Causes
from advisor.asking.causes import Inquiry, find_causes
from advisor.asking.changes import candidates
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import make_case
from advisor.facts.statements import read_statement
from advisor.teaching.known_so_far import KnownSoFar
from advisor.validation.checks import check

TODAY = date(2026, 11, 27)
PEELS = {"trouble": "peels", "on_floor": "paint", "prepared_how": "etched"}
SPOKEN = {
    "trouble": {
        "turned slippery": "slippery",
        "cracks coming through": "cracks",
        "gloss lost in lanes": "dull_lanes",
        "edges of joints breaking": "joint_edges",
        "lifting at edges": "edges_lift",
        "heaving": "sinks",
        "frost heave": "sinks",
        "white film": "white_film",
    },
    "trouble_since": {
        "after the first rain": "first_rain",
        "within hours": "at_once",
        "within days": "days",
        "within weeks": "weeks",
    },
    "trouble_where": {"following the roller": "along_roller_or_pour", "following the pour": "along_roller_or_pour"},
}


def found(inquiry: Inquiry, reasoner: Reasoner, **given: str) -> Causes:
    said = {name: read_statement(name, text, name, TODAY) for name, text in given.items()}
    return find_causes(reasoner, make_case(inquiry.base, said, TODAY, "Floor"), TODAY)


@pytest.mark.parametrize(
    ("fact", "words", "value"), [(fact, *each) for fact, some in SPOKEN.items() for each in some.items()]
)
def test_what_people_say_is_read(inquiry: Inquiry, fact: str, words: str, value: str) -> None:
    case = make_case(inquiry.base, {fact: read_statement(fact, words, fact, TODAY)}, TODAY)
    assert case.facts[fact].choice == value


@pytest.mark.parametrize("prepared", ["etched", "washed", "nothing"])
def test_dust_of_grinding_is_not_blamed_where_nobody_ground(
    inquiry: Inquiry, reasoner: Reasoner, prepared: str
) -> None:
    """Nor would any look put it first; after grinding it leads."""
    floor = {"trouble": "peels", "on_floor": "paint", "chip_back": "powdery", "surface_hardness": "hard"}
    causes = found(inquiry, reasoner, **floor, prepared_how=prepared)
    assert "dust_left" in {each.cause for each in causes.told("excluded")}
    assert "dust_left" not in {first for look in causes.looks for each in look.outcomes for first in each.first}
    ground = found(inquiry, reasoner, **floor, prepared_how="ground_or_blasted")
    assert ground.causes[0].cause == "dust_left"


def test_where_a_film_on_an_etched_floor_is_chalky_below_its_acid_is_looked_for(
    inquiry: Inquiry, reasoner: Reasoner
) -> None:
    floor = {"trouble": "peels", "trouble_where": "scattered_spots", "trouble_since": "weeks", "on_floor": "paint"}
    floor |= {"chip_back": "powdery", "prepared_how": "etched", "surface_hardness": "hard"}
    causes = found(inquiry, reasoner, **floor)
    assert {"surface_ph", "haze_goes"} & {look.fact for look in causes.looks}
    points = {"": _points(causes, "acid_residue")}
    points |= {ph: _points(found(inquiry, reasoner, **floor, surface_ph=ph), "acid_residue") for ph in ("7", "11")}
    assert points["7"] > points[""] > points["11"]


def _points(causes: Causes, cause: str) -> int:
    return next(each.points for each in causes.causes if each.cause == cause)


@pytest.mark.parametrize(
    "floor",
    [
        {"on_floor": "paint", "trouble": "wrinkled", "coat_build": "thick", "made_of": "oil_based"},
        {
            "on_floor": "thick_coating",
            "trouble": "blisters",
            "coat_build": "thick",
            "made_of": "solvent_based",
            "blister_inside": "uncured_resin",
        },
    ],
)
def test_a_paint_laid_too_thick_is_not_redissolved(inquiry: Inquiry, reasoner: Reasoner, floor: dict[str, str]) -> None:
    causes = found(inquiry, reasoner, **floor)
    assert causes.causes[0].cause == "too_thick_coat"
    assert "re-dissolve" not in causes.remedies[0].take_off


def test_a_sealer_laid_too_thick_still_is(inquiry: Inquiry, reasoner: Reasoner) -> None:
    for made_of in ({}, {"made_of": "solvent_based"}):
        causes = found(inquiry, reasoner, on_floor="film_sealer", trouble="blisters", coat_build="thick", **made_of)
        assert causes.causes[0].cause == "too_thick_sealer"


def test_a_film_soft_all_over_for_weeks_is_not_put_down_to_a_second_coat_of_which_nobody_spoke(
    inquiry: Inquiry, reasoner: Reasoner
) -> None:
    soft = {"room": "garage", "on_floor": "thick_coating", "trouble": "soft", "trouble_where": "all_over"}
    causes = found(inquiry, reasoner, **soft, trouble_since="weeks")
    assert not causes.told("likely")
    assert {each.cause for each in causes.causes[:2]} == {"wrong_ratio", "too_cold"}
    early = found(inquiry, reasoner, **soft, trouble_since="weeks", coat_wait="too_early")
    assert early.causes[0].cause == "recoated_too_early"


def test_where_there_is_no_film_what_lifts_is_the_slab(inquiry: Inquiry, reasoner: Reasoner) -> None:
    bare = found(inquiry, reasoner, on_floor="bare", trouble="lifts", trouble_comes_with="frost")
    assert bare.causes[0].cause == "settlement"
    assert {each.cause for each in found(inquiry, reasoner, on_floor="bare", trouble="lifts").causes[:2]} == {
        "settlement",
        "edges_curled",
    }


@pytest.mark.parametrize(
    ("floor", "cause"),
    [
        ({"on_floor": "polish", "trouble_since": "days"}, "hardener_whitening"),
        ({"on_floor": "bare", "trouble_since": "first_rain"}, "white_bloom"),
        ({"on_floor": "polish", "trouble_where": "where_wet", "trouble_comes_with": "washing"}, "mineral_deposit"),
    ],
)
def test_a_white_film_that_is_no_powder_has_its_causes(
    inquiry: Inquiry, reasoner: Reasoner, floor: dict[str, str], cause: str
) -> None:
    assert found(inquiry, reasoner, trouble="white film", **floor).causes[0].cause == cause


@pytest.mark.parametrize(("second", "wanted"), [("none", False), ("blisters", True)])
def test_what_no_complaint_wants_is_asked_for_nowhere(inquiry: Inquiry, second: str, wanted: bool) -> None:
    """In a lesson as in what would turn it: a blister is looked into only where there is one."""
    said = {**PEELS, "second_trouble": second}
    case = make_case(
        inquiry.base, {name: read_statement(name, text, name, TODAY) for name, text in said.items()}, TODAY
    )
    lesson = KnownSoFar.begun(inquiry.reasoner, inquiry.case(case), TODAY).whole_floor()
    assert ("blister_inside" in lesson.worth) is wanted
    changed = {each.fact for each in candidates(variants_of(inquiry.reasoner), inquiry.case(case))}
    assert ("blister_inside" in changed) is wanted
    assert {"came_off_depth", "trouble_where"} <= changed


@pytest.mark.parametrize(
    ("fact", "words", "also"),
    [
        ("trouble", "hot tire pickup", {"trouble": "peels", "trouble_where": "under_tyres"}),
        ("trouble", "mould under mats", {"trouble": "mould", "trouble_where": "under_mats"}),
        ("trouble", "gas smell", {"trouble": "smell", "smell_kind": "fuel_or_gas"}),
        ("second_trouble", "smells of gas", {"second_trouble": "smell", "smell_kind": "fuel_or_gas"}),
    ],
)
def test_words_that_say_more_than_the_complaint_lose_nothing_of_it(
    inquiry: Inquiry, fact: str, words: str, also: dict[str, str]
) -> None:
    """As the place that they name; what somebody states otherwise stands."""
    base = inquiry.base
    case = make_case(base, {fact: read_statement(fact, words, fact, TODAY)}, TODAY)
    assert {name: case.facts[name].choice for name in also} == also
    (more, _), *_ = ((name, value) for name, value in also.items() if name != fact)
    other = next(each for each in base.facts[more].choices if each != also[more])
    stated = {fact: read_statement(fact, words, fact, TODAY), more: read_statement(more, other, more, TODAY)}
    assert make_case(base, stated, TODAY).facts[more].choice == other


def test_where_somebody_says_that_it_smells_of_gas_the_supplier_comes_first(
    inquiry: Inquiry, reasoner: Reasoner
) -> None:
    causes = found(inquiry, reasoner, trouble="peels", second_trouble="gas smell")
    assert [each.referral for each in causes.stops] == ["gas_supplier"]


def test_words_that_say_something_of_no_fact_are_refused_at_load(inquiry: Inquiry) -> None:
    base = inquiry.base
    for other, value in (("trouble_where", "nowhere"), ("no_such_fact", "yes")):
        kind = base.facts["trouble"].model_copy(update={"says_too": {"gas_smell": {other: value}}})
        changed = base.model_copy(update={"facts": {**base.facts, "trouble": kind}})
        assert any("says_too" in fault.where for fault in check(changed, lambda *at: "/".join(map(str, at))))
