"""Claims are proved where they hold and refuted, with a floor, where a change of the rules breaks them."""

from __future__ import annotations

from typing import Any

import pytest
import z3

from advisor.answer.advising import conclude
from advisor.engines.reasoning import Reasoner
from advisor.engines.smt import GaveUp
from advisor.errors import BadRuleBase
from advisor.facts.case import Case
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Claim, Rule
from advisor.validation.audit import Finding, audit, in_words, refuse_broken
from advisor.validation.loading import load_rulebase


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def findings(base: RuleBase) -> dict[str, Finding]:
    return {finding.claim: finding for finding in audit(base)}


def altered(base: RuleBase, **sections: dict[str, Any]) -> RuleBase:
    """The rule base with some entries replaced, added, or (None) taken away."""
    changed = {}
    for name, entries in sections.items():
        merged = {**getattr(base, name), **entries}
        changed[name] = {key: entry for key, entry in merged.items() if entry is not None}
    return base.model_copy(update=changed)


def rule(identity: str, when: dict[str, Any], then: dict[str, Any], judges: Any = None) -> Rule:
    content = {"id": identity, "when": when, "then": then, "because": "For a test.", "sources": ["common_practice"]}
    return Rule.model_validate(content | ({"judges": judges} if judges else {}))


def outcome(base: RuleBase, claim: str, below: RuleBase | None = None) -> Finding:
    (finding,) = audit(base, [claim], below=below)
    return finding


@pytest.mark.parametrize("claim", ["film_over_humidity_limit", "wetter_slab_keeps_out", "unknown_is_never_bolder"])
def test_what_z3_neither_finds_nor_excludes_is_no_proof(claim: str, base: RuleBase, monkeypatch) -> None:
    monkeypatch.setattr(z3.Solver, "check", lambda *_: z3.unknown)
    monkeypatch.setattr(z3.Solver, "reason_unknown", lambda *_: "canceled")
    with pytest.raises(GaveUp, match="canceled"):
        outcome(base, claim)


SAFETY = (
    "film_over_humidity_limit", "film_over_emission_limit", "film_over_default_humidity",
    "film_over_default_emission", "dense_film_on_unmeasured_damp", "damp_is_never_proved_away",
    "business_is_measured", "asbestos_stops", "lead_stops", "leak_stops", "water_under_pressure_stops",
    "moving_ground_stops", "offset_crack_stops", "silica_is_shown", "acid_is_shown", "isocyanates_are_shown",
    "engine_indoors_is_shown", "always_an_answer", "one_standing", "wetter_slab_keeps_out", "no_dead_rule",
    "boundaries",
)  # fmt: skip


@pytest.mark.parametrize("claim", SAFETY)
def test_what_protects_people_is_proved_of_the_shipped_rules(claim: str, findings: dict[str, Finding]) -> None:
    finding = findings[claim]
    assert finding.outcome == "proved", in_words(finding)
    assert finding.questions > 0


def test_each_proof_states_its_abstraction(findings: dict[str, Finding]) -> None:
    assert "exactly" in findings["asbestos_stops"].abstraction
    assert findings["always_an_answer"].free
    assert not any("slab_age" in each.free for each in findings.values())  # z3 works it out from use and building
    for finding in findings.values():
        assert all(name in finding.abstraction for name in finding.free)
        assert ("exactly" in finding.abstraction) == (not finding.free)


def test_every_claim_is_proved_of_the_shipped_rules(findings: dict[str, Finding]) -> None:
    assert {name: in_words(each) for name, each in findings.items() if each.outcome != "proved"} == {}


def test_boldness_is_shown_on_a_floor_that_the_one_case_reading_confirms(base: RuleBase) -> None:
    """Without the rule that covers both, a damp sheet stops an old slab or a young one, but not one of unknown age."""
    without = altered(base, rules={"vapour.film_on_damp_sheet": None})
    finding = outcome(without, "unknown_is_never_bolder", base)
    assert finding.outcome == "refuted"
    assert "slab_age" in finding.breaks[0].what
    for broken in (each for each in finding.breaks if each.real):
        finish = broken.what.split("nothing stands before ")[1].split()[0]
        advice = conclude(Reasoner(without), Case("", "", broken.floor))
        standing = next(each for each in advice.standings if each.finish == finish)
        assert not advice.stops
        assert not advice.holds
        assert standing.verdict != "ruled out"
        assert not any(need.decides for need in standing.first)


def test_a_film_let_over_its_limit_is_found(base: RuleBase) -> None:
    finding = outcome(altered(base, rules={"vapour.over_humidity_limit": None}), "film_over_humidity_limit")
    assert finding.outcome == "refuted"
    assert all("slab_humidity" in broken.floor for broken in finding.breaks)


def test_a_stop_that_no_longer_stops_is_found(base: RuleBase) -> None:
    milder = base.referrals["asbestos_laboratory"].model_copy(update={"stop": False})
    finding = outcome(altered(base, referrals={"asbestos_laboratory": milder}), "asbestos_stops")
    assert finding.outcome == "refuted"
    assert finding.breaks[0].floor["asbestos_suspected"].choice == "yes"
    assert conclude(Reasoner(base), Case("", "", finding.breaks[0].floor)).answer.kind == "professional"


def test_a_hazard_that_is_not_shown_is_found(base: RuleBase) -> None:
    finding = outcome(altered(base, rules={"hazards.acid_handled": None}), "acid_is_shown")
    assert finding.outcome == "refuted"
    elsewhere = base.cautions["acid_burns"].model_copy(update={"step": "use"})
    assert outcome(altered(base, cautions={"acid_burns": elsewhere}), "acid_is_shown").outcome == "refuted"


def test_a_rule_that_brings_a_film_back_is_found(base: RuleBase) -> None:
    """Ruled out only between two humidities: a wetter slab would bring it back."""
    band = rule(
        "vapour.over_humidity_limit",
        {"slab_humidity": ["above finish.humidity_limit", "below limit.saturated"]},
        {"rule_out": "yes"},
        "every finish",
    )
    finding = outcome(altered(base, rules={band.id: band}), "wetter_slab_keeps_out")
    assert finding.outcome == "refuted"
    assert "100 %, and it no longer is" in finding.breaks[0].then


def test_a_dead_rule_is_found(base: RuleBase) -> None:
    never = rule(
        "vapour.never",
        {"vapour_retarder": "absent", "retarder_permeance": "known"},
        {"finding": "damp_signs"},
    )
    finding = outcome(altered(base, rules={never.id: never}), "no_dead_rule", base)
    assert finding.outcome == "refuted"
    assert [broken.what for broken in finding.breaks] == ["vapour.never fires on no floor"]


def test_an_implied_rule_is_found(base: RuleBase) -> None:
    narrower = rule(
        "vapour.narrower",
        {"active_leak": "yes", "flooded": "once"},
        {"refer": "leak_repair"},
    )
    finding = outcome(altered(base, rules={narrower.id: narrower}), "no_implied_rule", base)
    assert "all that vapour.narrower concludes is concluded by other rules" in {b.what for b in finding.breaks}


# Claims about the rules as a set are asked anew only of what differs from the rule base beneath.

SETS = ("no_dead_rule", "no_implied_rule", "unknown_is_never_bolder")


def asked_anew(base: RuleBase, below: RuleBase) -> dict[str, int]:
    return {each.claim: each.questions for each in audit(base, SETS, below=below)}


def test_nothing_is_asked_where_nothing_changed(base: RuleBase) -> None:
    assert asked_anew(altered(base), base) == dict.fromkeys(SETS, 0)


def test_points_of_one_s_own_are_asked_only_whether_they_are_ever_given(base: RuleBase) -> None:
    own = rule("shop.polish", {"wanted_look": "natural"}, {"points": {"look": "1"}}, {"film": "none"})
    assert asked_anew(altered(base, rules={own.id: own}), base) == {**dict.fromkeys(SETS, 0), "no_dead_rule": 1}


def test_a_rule_beneath_that_a_new_one_makes_superfluous_is_found(base: RuleBase) -> None:
    """The old rule stands as it did; what else concludes the same does not."""
    wider = rule("vapour.leak_or_not", {}, {"refer": "leak_repair", "hold": "stop_the_water"})
    finding = outcome(altered(base, rules={wider.id: wider}), "no_implied_rule", base)
    assert "all that vapour.leak_first concludes is concluded by other rules" in {b.what for b in finding.breaks}


def test_a_rule_said_twice_is_found(base: RuleBase) -> None:
    name = next(each.id for each in base.rules.values() if each.then.refer)
    again = base.rules[name].model_copy(update={"id": "shop.again"})
    finding = outcome(altered(base, rules={again.id: again}), "no_implied_rule", base)
    assert {name, "shop.again"} <= {broken.what.split()[2] for broken in finding.breaks}


def test_a_rule_whose_finding_nothing_concludes_any_more_is_found_dead(base: RuleBase) -> None:
    """The rule itself stands as it did; what it builds on does not."""
    finding = next(name for name in base.findings if any(each.when.get(name) for each in base.rules.values()))
    users = {each.id for each in base.rules.values() if each.when.get(finding) == ("holds",)}
    makers = {each.id for each in base.rules.values() if finding in each.then.finding}
    dead = outcome(altered(base, rules=dict.fromkeys(makers)), "no_dead_rule", base)
    assert {broken.what.split()[0] for broken in dead.breaks} == users


def test_a_need_that_decides_no_longer_is_asked_anew(base: RuleBase) -> None:
    """No rule changed, but what stands before a finish did."""
    waiting: dict[str, set[str]] = {}
    for each in (c for form in ground(base).rules for c in form.conclusions if c.kind == "first"):
        waiting.setdefault(each.name, set()).add(each.finish)
    need = min((name for name in waiting if base.needs[name].decides), key=lambda name: len(waiting[name]))
    light = base.needs[need].model_copy(update={"decides": False})
    assert outcome(altered(base, needs={need: light}), "unknown_is_never_bolder", base).questions > 0


def test_a_fact_of_another_range_is_asked_anew(base: RuleBase) -> None:
    wider = base.facts["surface_ph"].model_copy(update={"range": "7 to 13"})
    resting = {each.rule for each in ground(base).rules if any(p.fact == "surface_ph" for p in each.patterns)}
    asked = outcome(altered(base, facts={"surface_ph": wider}), "no_dead_rule", base).questions
    assert len(resting) <= asked < len(base.rules)


@pytest.mark.parametrize("condition", ["below limit.radon_action", "at most limit.radon_action"])
def test_an_overlap_at_a_limit_is_found(condition: str, base: RuleBase) -> None:
    """Another rule divides radon at the same limit; at least and at most would both hold at the limit itself."""
    low = rule("vapour.radon_low", {"radon_level": condition}, {"finding": "damp_signs"})
    finding = outcome(altered(base, rules={low.id: low}), "boundaries")
    assert finding.outcome == ("proved" if condition.startswith("below") else "refuted")


def test_boldness_from_ignorance_is_found(base: RuleBase) -> None:
    """Out for each pet or none, but not while nobody has said: that would reward not asking."""
    rules = [
        rule(f"people.pets_{value}", {"pets": value}, {"rule_out": "yes"}, "every finish") for value in ("yes", "no")
    ]
    finding = outcome(altered(base, rules={each.id: each for each in rules}), "unknown_is_never_bolder", base)
    assert finding.outcome == "refuted"
    assert any("while pets is open" in broken.what and broken.real for broken in finding.breaks)


def test_an_overlay_that_breaks_a_claim_is_refused(base: RuleBase) -> None:
    only = {name: claim for name, claim in base.claims.items() if name == "film_over_humidity_limit"}
    few = base.model_copy(update={"claims": only})
    refuse_broken(few)  # sound: nothing is raised
    with pytest.raises(BadRuleBase, match=r"film_over_humidity_limit.*slab_humidity"):
        refuse_broken(altered(few, rules={"vapour.over_humidity_limit": None}))


def test_a_claim_that_is_too_strong_is_refuted(base: RuleBase) -> None:
    claim = Claim.model_validate(
        {"kind": "answers", "says": "Never a leak.", "when": {"active_leak": "no"}, "answer": "professional"}
    )
    assert outcome(altered(base, claims={"too_strong": claim}), "too_strong").outcome == "refuted"
