"""No overlay takes a safeguard away: each way round that was found, built again, is refused in a sentence.

The ways are those of a trial that tried to break the rule base; each was accepted, and took a hazard out of an answer.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.errors import BadRuleBase
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from tests.rule_folders import WORK, faults_of, finish_entry, shipped_files, write

Data = dict[str, Any]


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@cache
def shipped(section: str) -> Data:
    """A section of the shipped files as written."""
    found: Data = {}
    for data in shipped_files():
        inner = data.get(section) or {}
        found.update(inner if isinstance(inner, dict) else {each["id"]: each for each in inner})
    return found


def procedure(steps: Callable[[list[Data]], list[Data]], **changed: Any) -> Data:
    written = {**shipped("procedures")["epoxy_flake"], **changed}
    return {"procedures": {"epoxy_flake": {**written, "steps": steps(written["steps"])}}}


def rule(name: str, **changed: Any) -> Data:
    return {"rules": [{**shipped("rules")[name], **changed}]}


def turned(section: str, name: str, /, **changed: str) -> Data:
    """An entry with words put around those that it had."""
    written = shipped(section)[name]
    return {section: {name: {**written, **{part: text.format(written[part]) for part, text in changed.items()}}}}


def refusing(**when: str) -> Data:
    return {"contradictions": {"no_such_thing": {"when": when, "says": "No such thing in this country"}}}


def only_ends(steps: list[Data]) -> list[Data]:
    return [step for step in steps if step["do"] in ("clear_and_mask", "keep_off")]


def with_own_task(steps: list[Data]) -> list[Data]:
    return [
        {**step, "do": "paint_it", "as": step.get("as", step["do"])} if step["do"] == "grind_surface" else step
        for step in steps
    ]


def never(steps: list[Data]) -> list[Data]:
    return [{**{k: v for k, v in e.items() if k != "told"}, "where": {"stairs_or_ramp": ["yes"]}} for e in steps]


def entry(section: str, name: str, /, **changed: Any) -> Data:
    return {section: {name: {**shipped(section)[name], **changed}}}


def greeting(sets: dict[str, str]) -> Data:
    question = {
        "always": "yes",
        "ask": "Shall we begin?",
        "why": "So we begin.",
        "answers": [{"says": "yes", "sets": sets}],
    }
    return {"conversation": {"welcome": question}}


def dangerous_cause() -> str:
    return next(name for name, each in shipped("causes").items() if each.get("danger"))


def warned_cause() -> str:
    return next(name for name, each in shipped("causes").items() if each["remedy"].get("not_now"))


def excluding(cause: str) -> Data:
    because = "It is never that: {trouble}."
    when = {"trouble": "not none"}
    about = {"id": "shop.not_that", "because": because, "source": "common_practice"}
    return {**about, "judges": {"id": cause}, "when": when, "then": {"rule_out": "yes"}}


OWN_FACT = {"type": "yes/no", "ask": "Is it ours", "find_out": "Look", "why": "Ours"}
BARE_TASK = yaml.load(WORK.replace("[fumes]", "[]").replace("handbook", "from_memory"), yaml.BaseLoader)["tasks"]

WAYS_ROUND: dict[str, tuple[Callable[[], Data], str]] = {
    # C1: the hazards of the work go with its steps
    "steps left out": (lambda: procedure(only_ends), "would no longer warn of"),
    "no procedure": (lambda: procedure(lambda steps: steps, **{"for": []}), "how it is made is not stated"),
    "steps that do something else": (
        lambda: {**procedure(with_own_task), "tasks": BARE_TASK},
        "would no longer warn of",
    ),
    "steps where they never are": (
        lambda: procedure(never),
        "would no longer warn of",
    ),
    # C2b: first and rule_out
    "a sample that need not come first": (
        lambda: rule("hazards.sample_before_it_comes_up", then={"points": {"ease": "-1"}}),
        "hazards.sample_before_it_comes_up protects people",
    ),
    "flames that need not be out": (
        lambda: rule("hazards.solvent_and_flames", then={"caution": ["solvent_fire"]}),
        "hazards.solvent_and_flames protects people",
    ),
    "an engine that need not be left outside": (
        lambda: rule("hazards.machine_may_have_an_engine", then={"caution": ["carbon_monoxide"]}),
        "hazards.machine_may_have_an_engine protects people",
    ),
    **{
        f"fumes not ruled out: {name}": (
            lambda name=name: rule(name, then={"points": {"health": "-1"}}),
            f"{name} protects people",
        )
        for name in (
            "people.fumes_with_no_way_out",
            "people.some_fumes_on_sensitive_people",
            "people.isocyanates_with_no_way_out",
        )
    },
    # C3: what decides, and the claims that would say so
    "nothing decides": (
        lambda: {"needs": {name: {**each, "decides": "no"} for name, each in shipped("needs").items()}},
        "decides whether a finish is recommended",
    ),
    "claims emptied": (
        lambda: {"claims": {name: {"kind": "one_standing", "says": "So it is."} for name in shipped("claims")}},
        "asbestos_stops protects people",
    ),
    # C4: the fact that stops cannot be refused
    **{
        f"{fact} refused": (lambda fact=fact: refusing(**{fact: "yes", "country": "none of elsewhere"}), fact)
        for fact in (
            "asbestos_suspected",
            "lead_suspected",
            "active_leak",
            "water_pressure",
            "heaving_or_settling",
            "crack_offset",
        )
    },
    "a fact that stops refused with a fact of one's own": (
        lambda: {
            **refusing(active_leak="yes", our_own="yes"),
            "facts": {"our_own": {"type": "yes/no", "ask": "Is it ours", "find_out": "Look", "why": "Ours"}},
        },
        "active_leak",
    ),
    # C5: words turned round
    "a caution called outdated": (
        lambda: turned("cautions", "silica_dust", says="This is outdated; ignore it: {} (End.)"),
        "its `says` stands as it is",
    ),
    "a referral made a joke": (
        lambda: turned("referrals", "structural_engineer", who="nobody, although others would call {}"),
        "its `who` stands as it is",
    ),
    "a reason belittled": (
        lambda: rule("hazards.silica", because="Some fear that dust harms. It does not."),
        "its `because` stands as it is",
    ),
    "a question turned round": (
        lambda: turned("facts", "asbestos_suspected", ask="Can you rule out what is asked here: {}"),
        "its `ask` stands as it is",
    ),
    "help that misleads": (
        lambda: turned("facts", "asbestos_suspected", find_out="Say no. {}"),
        "its `find_out` stands as it is",
    ),
    # C6: what is worn, done and breathed
    "gloves of paper": (lambda: turned("materials", "gloves", name="a paper towel, not {}"), "its `name`"),
    "a task that says otherwise": (
        lambda: turned("tasks", "grind_surface", says="Do it dry; no mask is needed. {}"),
        "its `says`",
    ),
    "a task told otherwise everywhere": (
        lambda: {
            "tasks": {
                "keep_off": {
                    **shipped("tasks")["keep_off"],
                    "elsewhere": [{"where": {"country": ["united_states"]}, "says": "Come in."}],
                }
            }
        },
        "its `elsewhere`",
    ),
    "a limit in the air beyond all": (
        lambda: {
            "substances": {
                "carbon_monoxide": {
                    **shipped("substances")["carbon_monoxide"],
                    "limits": [{"name": "ours", "is": "1000000 ppm", "averaged": "8 h", "source": "osha_co"}],
                }
            }
        },
        "its `limits`",
    ),
    "a broom for a dust collector": (
        lambda: turned("hire", min(shipped("hire")), name="a broom, not {}"),
        "its `name`",
    ),
    "a stop that may be forestalled": (
        lambda: {
            "referrals": {
                name: {**each, "untouched": []} for name, each in shipped("referrals").items() if each.get("untouched")
            }
        },
        "its `untouched`",
    ),
    "an answer that is asked for last": (
        lambda: {
            "priors": {
                "asbestos_test": {
                    "likely": {"found": "1", "clear": "1"},
                    "effort": "question",
                    **shipped("priors").get("asbestos_test", {}),
                    "after": ["cracks"],
                }
            }
        },
        "asbestos_test: how likely its answers are, and when it is asked for, stands",
    ),
    # second trial: words and answers that nobody had thought of
    "an answer as good as never met": (
        lambda: entry("priors", "asbestos_test", likely={"clear": "999999", "found": "0.000001"}, where=[]),
        "asbestos_test: how likely its answers are",
    ),
    "a test that nobody would bother with": (lambda: entry("efforts", "laboratory", cost="1000"), "(laboratory)"),
    "an opening question turned round": (lambda: entry("conversation", "place", ask="Where is it not?"), "its `ask`"),
    "an opening question never asked": (
        lambda: entry("conversation", "place", when={"room": ["garage"]}, always="no"),
        "its `when`",
    ),
    "a greeting that denies the leak": (
        lambda: greeting({"active_leak": "no", "asbestos_suspected": "no"}),
        "would tell what safeguards rest on by the way: active_leak and asbestos_suspected",
    ),
    "a complaint that denies the leak": (
        lambda: {
            "signs": {"active_leak": {"comes_to": {}, "told_by": {"damp_spots": "no"}, "source": "common_practice"}}
        },
        "what is said of something else does not tell it",
    ),
    "an unknown that airs the room": (
        lambda: {"facts": {"our_own": {**OWN_FACT, "unknown_means": "can_ventilate"}}},
        "safeguards rest on can_ventilate",
    ),
    "a word that denies the asbestos": (
        lambda: {"facts": {"our_own": {**OWN_FACT, "says_too": {"yes": {"asbestos_suspected": "no"}}}}},
        "safeguards rest on asbestos_suspected",
    ),
    "a smell of gas that says nothing of gas": (
        lambda: entry("facts", "trouble", says_too={}),
        "safeguards rest on smell_kind",
    ),
    "a reason to say no": (
        lambda: turned("facts", "asbestos_suspected", why="Say no here; it saves you money."),
        "its `why`",
    ),
    "a source called withdrawn": (lambda: turned("sources", "osha_silica", title="Withdrawn: {}"), "its `title`"),
    "a limit belittled": (lambda: turned("limits", "lead_paint_year", means="of no importance"), "its `means`"),
    "a dangerous cause called for by nothing": (
        lambda: entry("causes", dangerous_cause(), against={"trouble": ["peels", "damp_spots"]}),
        "its `against`",
    ),
    "a dangerous cause excluded by a rule": (
        lambda: {"cause_rules": [excluding(dangerous_cause())]},
        "shop.not_that would exclude, or speak against",
    ),
    "what not to do left out": (
        lambda: entry("causes", warned_cause(), remedy={**shipped("causes")[warned_cause()]["remedy"], "not_now": []}),
        "remedy.not_now",
    ),
    "a remedy that names no test": (
        lambda: entry("causes", "alkali_silica", remedy={**shipped("causes")["alkali_silica"]["remedy"], "due": []}),
        "remedy.due",
    ),
    "a remedy that cuts and does not say so": (
        lambda: entry("causes", "stone_popouts", remedy={**shipped("causes")["stone_popouts"]["remedy"], "does": []}),
        "remedy.does",
    ),
    "a sample that comes first nowhere": (lambda: entry("due", "asbestos_sample", warned_of=[]), "its `warned_of`"),
    "a look that scrapes and does not say so": (lambda: entry("facts", "laid_bare", disturbs="no"), "laid_bare"),
    "a sign that comes to nothing": (lambda: entry("signs", min(shipped("signs")), comes_to={}), "its `comes_to`"),
    # third trial: needs that decide nothing, and what is done after the work
    "a sample that is skipped": (lambda: entry("needs", "asbestos_survey_uk", says="Skip this."), "its `says`"),
    "old glue scraped at once": (lambda: entry("needs", "remove_tile_or_glue", says="Scrape it."), "its `says`"),
    "no survey before a refit": (
        lambda: rule("jurisdiction.survey_before_a_business_refits", then={"points": {"ease": "-1"}}),
        "jurisdiction.survey_before_a_business_refits protects people",
    ),
    "a sealer with isocyanates in a closed room": (
        lambda: rule("people.sealer_with_no_way_out", then={"points": {"health": "-1"}}),
        "people.sealer_with_no_way_out protects people",
    ),
    "heating pipes drilled into": (
        lambda: rule("slab.heated_and_cut", when={"drilled_or_cut": "holds", "floor_heating": "yes", "pets": "yes"}),
        "slab.heated_and_cut protects people",
    ),
    "an engine that burnishes indoors": (
        lambda: entry("care", "burnish", says="A petrol burnisher brings the gloss back."),
        "its `says`",
    ),
    "no practice with the mask": (lambda: turned("demands", "hazard", practise="No mask is needed."), "its `practise`"),
    "a step called needless": (
        lambda: procedure(lambda steps: [{**step, "title": "Skip this one"} for step in steps]),
        'it is called as it was, not "Skip this one"',
    ),
    "a sheet that brings no caution": (
        lambda: entry("sheet", next(name for name, each in shipped("sheet").items() if each.get("brings")), brings={}),
        "its `brings`",
    ),
    "a sheet that guards nothing": (
        lambda: entry("sheet", next(n for n, each in shipped("sheet").items() if each.get("guards")), guards="no"),
        "its `guards`",
    ),
}


@pytest.mark.parametrize("way", WAYS_ROUND)
def test_a_way_round_a_safeguard_is_refused(tmp_path: Path, way: str) -> None:
    made, said = WAYS_ROUND[way]
    faults = faults_of(rules_folder(), write(tmp_path / "shop", {"own.yaml": yaml.safe_dump(made())}))
    assert all(fault.where.startswith("shop/own.yaml, line ") for fault in faults), faults
    assert any(said in fault.what for fault in faults), [fault.what for fault in faults]


def test_a_finish_of_ones_own_states_its_work_or_is_refused(tmp_path: Path, base: RuleBase) -> None:
    """C2: a true copy of a finish, without a procedure, led, and nothing warned of its work."""
    own = finish_entry(base, "epoxy_flake")
    own["finish"]["id"] = "flake_plus"
    (fault,) = faults_of(rules_folder(), write(tmp_path / "shop", {"own.yaml": yaml.safe_dump(own)}))
    assert fault.where == "shop/own.yaml, line 1"
    assert "how it is made is not stated" in fault.what


def test_hazards_of_a_finish_follow_from_its_properties_whatever_its_procedure_says(
    tmp_path: Path, base: RuleBase
) -> None:
    """A copy of flake epoxy whose only step warns of nothing still warns of all that its properties mean."""
    own = finish_entry(base, "epoxy_flake")
    own["finish"]["id"] = "flake_plus"
    text = WORK[WORK.index("tasks:") :].replace("[fumes]", "[]").replace("handbook", "from_memory")
    shop = write(tmp_path / "shop", {"own.yaml": yaml.safe_dump(own), "work.yaml": text.replace("NAMES", "flake_plus")})
    program = ground(read_rulebase(rules_folder(), shop))
    warned = {
        finish: {
            (form.patterns, c.name)
            for form in program.rules
            for c in form.conclusions
            if (c.kind, c.finish) == ("caution", finish)
        }
        for finish in ("epoxy_flake", "flake_plus")
    }
    assert {name for _, name in warned["flake_plus"]} >= {
        "amines", "mixed_material", "silica_dust", "carbon_monoxide", "people_who_must_stay_away", "lifting",
        "solvent_fire",
    }  # fmt: skip
    assert len(warned["flake_plus"]) == len(warned["epoxy_flake"])


# ---- honest use ------------------------------------------------------------------------------------------------------

HONEST: dict[str, Callable[[], Data]] = {
    "our epoxy stands 80 %": lambda: own_figure("epoxy_flake", "humidity_limit", "80 %"),
    "our epoxy stands more alkali": lambda: own_figure("epoxy_flake", "ph_limit", "11"),
    "our prices": lambda: own_figure("epoxy_flake", "hired_cost", "70 to 90 usd_m2"),
    "a limit tightened": lambda: limit("lead_paint_year", "1990"),
    "more is said of a hazard": lambda: added(
        "cautions", "silica_dust", "Our hall has a fixed extractor: switch it on."
    ),
    "more help": lambda: added("facts", "slab_humidity", "We measure it for you."),
    "another reason to ask": lambda: added("facts", "asbestos_suspected", "We will not work near it."),
    "a greeting of our own": lambda: greeting({"importance_look": "high"}),
    "what is usual here": lambda: entry("priors", "foot_traffic", likely={"light": "1", "heavy": "9"}),
    "more of a reason": lambda: {
        "rules": [{**shipped("rules")["hazards.silica"], "adds": "We lend a dust collector."}]
    },
    "our hours": lambda: {"norms": {"workday": {**shipped("norms")["workday"], "is": "9 hour"}}},
    "a limit in the air of our own": lambda: {
        "substances": {
            "xylene": {
                **shipped("substances")["xylene"],
                "limits": [
                    *shipped("substances")["xylene"]["limits"],
                    {"name": "our own", "is": "20 ppm", "averaged": "8 h", "source": "common_practice"},
                ],
            }
        }
    },
    "a step more": lambda: procedure(lambda steps: [*steps, {"do": "clear_and_mask", "as": "clear_again"}]),
    "a doubt of our own": lambda: {
        "contradictions": {"cheap": {"when": {"our_own": "yes", "rooms_rented": "yes"}, "says": "Not both of these"}},
        "facts": {
            name: {"type": "yes/no", "ask": "Is it ours", "find_out": "Look", "why": "Ours"}
            for name in ("our_own", "rooms_rented")
        },
    },
    "a caution of our own": lambda: {
        "cautions": {
            "our_cat": {"severity": "danger", "step": "any", "says": "The cat bites.", "source": "common_practice"}
        },
        "rules": [
            {
                "id": "shop.cat",
                "judges": "every finish",
                "then": {"caution": "our_cat"},
                "because": "It bites.",
                "source": "common_practice",
            }
        ],
    },
}


def own_figure(finish: str, name: str, value: str) -> Data:
    data = finish_entry(load_rulebase(), finish)
    data["properties"][name]["is"] = value
    return data


def limit(name: str, value: str) -> Data:
    return {"limits": {name: {**shipped("limits")[name], "is": value}}}


def added(section: str, name: str, text: str) -> Data:
    return {section: {name: {**shipped(section)[name], "adds": text}}}


@pytest.fixture(scope="module")
def laid_over(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], RuleBase]:
    """The shipped rules with an honest use laid over them, read once for all tests."""

    @cache
    def read(use: str) -> RuleBase:
        shop = write(tmp_path_factory.mktemp("shops") / "shop", {"own.yaml": yaml.safe_dump(HONEST[use]())})
        return read_rulebase(rules_folder(), shop)

    return read


@pytest.mark.parametrize("use", HONEST)
def test_honest_use_is_taken(laid_over: Callable[[str], RuleBase], use: str) -> None:
    (overlay,) = laid_over(use).overlays
    assert overlay.added or overlay.replaced


def test_what_is_added_stands_after_the_shipped_words_and_is_marked(
    laid_over: Callable[[str], RuleBase], base: RuleBase
) -> None:
    above = laid_over("more is said of a hazard")
    before, now = (each.cautions["silica_dust"].says for each in (base, above))
    assert now == f"{before} The shop adds: Our hall has a fixed extractor: switch it on."
    assert above.overlays[0].safety == ("It adds words of its own, marked as such, to: silica_dust.",)


def test_a_hazard_of_the_shops_own_is_marked_as_its_word(tmp_path: Path) -> None:
    text = yaml.safe_dump(HONEST["a caution of our own"]())
    above = read_rulebase(rules_folder(), write(tmp_path / "shop", {"own.yaml": text}))
    assert above.cautions["our_cat"].says == "The shop adds: The cat bites."


def test_what_changes_in_matters_of_safety_is_told(laid_over: Callable[[str], RuleBase]) -> None:
    told = {
        use: " ".join(laid_over(use).overlays[0].safety)
        for use in ("our epoxy stands 80 %", "a limit tightened", "a caution of our own", "our prices")
    }
    assert "humidity_limit 80 % in place of 75 percent" in told["our epoxy stands 80 %"]
    assert "lead_paint_year: 1990 in place of 1978" in told["a limit tightened"]
    assert "It warns of more, by rules of its own: our cat." in told["a caution of our own"]
    assert told["our prices"] == ""


def test_what_upkeep_warns_of_makes_up_for_no_step_of_the_work(tmp_path: Path) -> None:
    """The densifier of a polish comes again with its renewal: its lye, left out of the work, is warned of too late."""
    file = rules_folder() / "procedures" / "polished_cream.yaml"
    procedure = yaml.safe_load(file.read_text(encoding="utf-8"))["procedures"]["polished_cream"]
    assert any("densifier" in each.get("uses", {}) for each in procedure["upkeep"])
    left = [step for step in procedure["steps"] if step["do"] != "soak_densifier"]
    assert len(left) < len(procedure["steps"])
    (tmp_path / "own.yaml").write_text(
        yaml.safe_dump({"procedures": {"polished_cream": {**procedure, "steps": left}}}, sort_keys=False)
        .replace(": true", ": yes")
        .replace(": false", ": no"),
        encoding="utf-8",
    )
    with pytest.raises(BadRuleBase, match="alkaline_densifier"):
        read_rulebase(rules_folder(), tmp_path)
