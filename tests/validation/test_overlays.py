"""Folders laid over the rules: what they may add and replace, what they may not take away; the advice says so."""

from __future__ import annotations

import inspect
import json
import re
import subprocess
import sys
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from advisor.answer.advising import mark
from advisor.cli.verbs import app
from advisor.errors import BadRuleBase
from advisor.facts.memory import working_memory
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from advisor.validation.read_by_formulas import read_by
from advisor.validation.safeguards import protected_rules
from tests.floors import random_case
from tests.referees import fixpoint
from tests.rule_folders import OIL, PAINT, WORK, faults_of, finish_entry, kept_unproved, sound, write

CHEAP = """\
rules:
  - id: care.cheap
    judges: every finish
    when: {care: high}
    then: {points: {cost: 2}}
    because: "{finish} is cheap."
    source: handbook
"""
DAMP_WET = "rules:\n  - id: damp.wet\n    when: {W}\n    then: {T}\n    because: {B}\n    source: handbook\n"
DAMP_FILM = (
    "rules:\n  - id: damp.film\n    judges: {J}\n    when: {W}\n    then: {T}\n"
    '    because: "{{finish}} blisters on a damp floor."\n    source: {S}\n'
)
LEAK = "rules:\n  - id: stop.leak\n    when: {W}\n    then: {T}\n    because: {B}\n    source: law\n"


def wet(w: str = "{wetness: above limit.wet}", t: str = "{finding: damp}", b: str = "") -> str:
    because = b or '"It holds {wetness}, over {limit.wet}."'
    return DAMP_WET.replace("{W}", w).replace("{T}", t).replace("{B}", because)


def film(
    w: str = "{damp: holds, room: not hall}",
    t: str = "{rule_out: yes, caution: fumes}",
    j: str = "{film: dense}",
    s: str = '[handbook, "law, section 3"]',
) -> str:
    text = DAMP_FILM.replace("{W}", w).replace("{T}", t).replace("{J}", j).replace("{S}", s)
    return text.replace("{{", "{").replace("}}", "}")


def leak(w: str = "{leak: yes}", t: str = "{refer: plumber, hold: test_first}", b: str = "It leaks.") -> str:
    return LEAK.replace("{W}", w).replace("{T}", t).replace("{B}", b)


def caution(
    severity: str = "warning", step: str = "mixing", says: str = "The fumes are harmful.", by: str = "law"
) -> str:
    return f"cautions:\n  fumes: {{severity: {severity}, step: {step}, says: {says}, source: {by}}}\n"


def referral(who: str = "a licensed plumber", stop: str = "yes", tell: str = "Say where it drips.") -> str:
    return f"referrals:\n  plumber: {{who: {who}, stop: {stop}, tell: {tell}, source: law}}\n"


WEAKER = {
    "a condition more": film(w="{damp: holds, room: not hall, leak: yes}"),
    "a narrower condition": film(w="{damp: holds, room: kitchen}"),
    "a condition that no longer takes the unknown": leak(w="{leak: yes, room: known}"),
    "fewer finishes": film(j="{film: dense, looks: flecked}", w="{damp: holds}").replace("dense,", "open,"),
    "no caution": film(t="{rule_out: yes}"),
    "no referral": leak(t="{hold: test_first}"),
    "no hold": leak(t="{refer: plumber}"),
    "another reason": leak(b="It may leak a little."),
    "a source less": film(s="handbook"),
    "no finding behind a caution": wet(t="{hold: test_first}"),
    "a narrower finding behind a caution": wet(w="{wetness: above limit.wet, room: garage}"),
    "a higher limit": "limits:\n  wet: {is: 76 percent, means: where wet begins, source: handbook}\n",
    "a lesser severity": caution("caution"),
    "a shorter caution": caution("danger", says="Fumes."),
    "a caution at another step": caution("danger", step="use"),
    "a caution without its source": caution("danger", by="handbook"),
    "a stop less": referral(stop="no"),
    "somebody else": referral(who="a neighbour"),
    "less to tell": referral(tell="Nothing."),
    "a shorter hold": "needs:\n  test_first: {kind: test, decides: yes, says: Relax., source: handbook}\n",
    "a finish said to be harmless": PAINT.replace("is: dense", "is: open"),
    "a fact set aside": "contradictions:\n  x: {when: {leak: yes, room: hall}, says: Halls hardly leak, test: Look}\n",
    "a doubt without its caution": (
        "contradictions:\n  small_hall: {when: {thickness: above limit.deep}, says: It is thick, test: Drill}\n"
    ),
    "a limit that sets a fact aside": "limits:\n  deep: {is: 8 in, means: where deep begins, source: handbook}\n",
    "a fact with fewer values": (
        "facts:\n  room: {type: choice, values: [kitchen, hall], ask: Which room, find_out: Look, why: Use}\n"
    ),
    "a fact taken for granted": (
        "facts:\n  leak: {type: yes/no, ask: Does it leak, find_out: Look, why: Water,\n"
        "         assume: {is: no, source: handbook, note: it seldom does}}\n"
    ),
}
NOT_WEAKER = {
    "a lower limit": "limits:\n  wet: {is: 70 percent, means: where wet begins, source: handbook}\n",
    "at least in place of above": wet(w="{wetness: at least limit.wet}"),
    "a condition less": film(w="{damp: holds}"),
    "a wider condition": film(w="{damp: holds, room: may be not hall}"),
    "all finishes": film(j="every finish"),
    "a conclusion more": leak(t="{refer: plumber, hold: test_first, caution: fumes}"),
    "more to a reason": leak() + "    adds: Water ruins every finish.\n",
    "a source more": film(s='[handbook, "law, section 3", "law, section 4"]'),
    "a greater severity": caution("danger"),
    "more to a caution": caution().replace("source:", "adds: Wear a mask., source:"),
    "a limit of no safeguard": "limits:\n  thick: {is: 6 in, means: where thick begins, source: handbook}\n",
    "a finish judged more sternly": OIL.replace("is: open", "is: dense"),
    "a doubt about other facts": (
        "contradictions: {thick: {when: {thickness: above limit.deep, area: known}, says: It is thick, test: Drill}}\n"
    ),
    "more to a question": (
        "facts:\n  leak: {type: yes/no, ask: Does it leak, find_out: Look, why: Water, adds: Listen.}\n"
    ),
    "an entry as it was": leak(),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sound(tmp_path / "rules")


def test_an_overlay_adds_and_replaces_by_id_and_says_so(folder: Path, tmp_path: Path) -> None:
    below = read_rulebase(folder)
    limit = "limits:\n  thick: {is: 6 in, means: where thick begins, source: handbook}\n"
    shop = write(tmp_path / "shop", {"a.yaml": CHEAP, "deep/b.yaml": limit, "about.yaml": 'about: {version: "7"}\n'})
    above = read_rulebase(folder, shop)
    assert [*above.rules] == [*below.rules, "care.cheap"]
    assert above.limits["thick"].given == "6 in"
    assert [*above.limits] == [*below.limits]
    assert above.version == below.version
    (overlay,) = above.overlays
    assert (overlay.name, overlay.version) == ("shop", "7")
    assert (overlay.added, overlay.replaced) == (("rules care.cheap",), ("limits thick",))
    assert above.fingerprint != below.fingerprint
    assert below.overlays == ()
    write(shop, {"a.yaml": CHEAP.replace("cost: 2", "cost: 3")})
    assert read_rulebase(folder, shop).fingerprint not in (above.fingerprint, below.fingerprint)


def test_overlays_lie_over_each_other_in_the_order_given(folder: Path, tmp_path: Path) -> None:
    first = write(tmp_path / "first", {"a.yaml": CHEAP})
    second = write(tmp_path / "second", {"a.yaml": CHEAP.replace("cost: 2", "cost: 3")})
    there, back = read_rulebase(folder, first, second), read_rulebase(folder, second, first)
    assert [each.name for each in there.overlays] == ["first", "second"]
    assert [each.replaced for each in there.overlays] == [(), ("rules care.cheap",)]
    assert (there.rules["care.cheap"].then.points, back.rules["care.cheap"].then.points) == ({"cost": 3}, {"cost": 2})
    assert there.fingerprint != back.fingerprint


def test_a_new_finish_is_judged_by_the_rules_beneath(folder: Path, tmp_path: Path) -> None:
    own = PAINT.replace("id: paint, name: floor paint", "id: own_paint, name: our own paint")
    shop = write(tmp_path / "shop", {"own.yaml": own, "work.yaml": WORK.replace("NAMES", "own_paint")})
    base = read_rulebase(folder, shop)
    judging = {form.rule: form.finishes for form in ground(base).rules}
    assert set(judging["damp.film"]) == {"paint", "varnish", "own_paint"}


@pytest.mark.parametrize("name", WEAKER)
def test_no_safeguard_is_removed_or_weakened(folder: Path, tmp_path: Path, name: str) -> None:
    shop = write(tmp_path / "shop", {"own.yaml": f"# our own\n{WEAKER[name]}"})
    faults = faults_of(folder, shop)
    assert {re.sub(r"\d+", "N", fault.where) for fault in faults} == {"shop/own.yaml, line N"}
    assert all(2 <= int(fault.where.rsplit(" ", 1)[1]) <= 3 for fault in faults)
    assert all(fault.remedy.startswith("Add to it") for fault in faults)


def test_a_rule_far_behind_a_safeguard_is_protected_too(folder: Path, tmp_path: Path) -> None:
    """The caution builds on a finding that builds on another; what concludes the other may not fire less often."""
    head = "findings:\n  soaked: {says: it is soaked}\n"
    behind = wet(w="{soaked: holds}", b="It is soaked.").replace("damp.wet", "damp.soaked").removeprefix("rules:\n")
    first = wet(w="{leak: yes}", t="{finding: soaked}", b="It leaks.").replace("damp.wet", "damp.first")
    write(folder, {"chain.yaml": head + first + behind})
    read_rulebase(folder)
    (fault,) = faults_of(
        folder, write(tmp_path / "shop", {"own.yaml": first.replace("{leak: yes}", "{leak: yes, room: hall}")})
    )
    assert fault.where == "shop/own.yaml, line 2"
    assert "damp.first" in fault.what


@pytest.mark.parametrize("name", NOT_WEAKER)
def test_a_safeguard_may_be_added_to(folder: Path, tmp_path: Path, name: str) -> None:
    base = read_rulebase(folder, write(tmp_path / "shop", {"own.yaml": NOT_WEAKER[name]}))
    assert len(base.overlays[0].replaced) == (name not in ("an entry as it was", "a doubt about other facts"))
    assert len(base.overlays[0].added) == (name == "a doubt about other facts")


def test_a_fault_that_an_overlay_brings_into_the_rules_beneath_names_it(folder: Path, tmp_path: Path) -> None:
    other = "findings:\n  damp: {says: the finish is damp, of: finish}\n"
    faults = faults_of(folder, write(tmp_path / "shop", {"own.yaml": other}))
    assert {fault.where.split(",")[0] for fault in faults} == {"base.yaml"}
    assert all("It came with the overlay shop." in fault.remedy for fault in faults)


def test_a_second_overlay_may_not_weaken_what_the_first_added(folder: Path, tmp_path: Path) -> None:
    stern = CHEAP.replace("{points: {cost: 2}}", "{caution: fumes}")
    first, second = write(tmp_path / "first", {"a.yaml": stern}), write(tmp_path / "second", {"b.yaml": CHEAP})
    (fault,) = faults_of(folder, first, second)
    assert fault.where == "second/b.yaml, line 2"
    read_rulebase(folder, second, first)


def test_faults_of_an_overlay_name_its_folder(folder: Path, tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {"a.yaml": CHEAP + CHEAP.removeprefix("rules:\n"), "b.yaml": "limmits: {}\n"})
    twice, section = faults_of(folder, shop)
    assert twice.where == "shop/a.yaml, line 8"
    assert "the first is in shop/a.yaml, line 2" in twice.what
    assert section.where == "shop/b.yaml, line 1"
    (missing,) = faults_of(folder, tmp_path / "nowhere")
    assert missing.where == "nowhere"


def test_a_rule_written_anew_that_would_count_twice_is_refused(folder: Path, tmp_path: Path) -> None:
    read_rulebase(folder, write(tmp_path / "once", {"a.yaml": CHEAP}))
    again = CHEAP + CHEAP.removeprefix("rules:\n").replace("care.cheap", "care.cheap_again")
    (fault,) = faults_of(folder, write(tmp_path / "shop", {"a.yaml": again}))
    assert "count twice" in fault.what
    assert "to put it in its place" in fault.remedy
    # What every value meets is no other thing to ask for.
    wider = again.replace("{care: high}", "{care: high, leak: 'one of yes, no'}", 1)
    (fault,) = faults_of(folder, write(tmp_path / "wider", {"a.yaml": wider}))
    assert "count twice" in fault.what
    narrower = again.replace("{care: high}", "{care: high, leak: yes}", 1)
    read_rulebase(folder, write(tmp_path / "narrower", {"a.yaml": narrower}))


@pytest.mark.parametrize(
    ("text", "what", "allowed", "remedy"),
    [
        ("", "the file is empty", "", "`rules:`"),
        (CHEAP.replace("judges:", "judge:"), '"judge" is not known here', "because, id, judges", '"judges"'),
        (CHEAP.replace("id: ", "id: My "), "cannot be the id of an entry", "topic.what_it_says", ""),
    ],
)
def test_what_a_keeper_mistypes_is_told_with_what_is_allowed(
    folder: Path, tmp_path: Path, text: str, what: str, allowed: str, remedy: str
) -> None:
    found = faults_of(folder, write(tmp_path / "shop", {"a.yaml": text}))
    fault = next(each for each in found if what in each.what)
    assert allowed in fault.allowed
    assert remedy in fault.remedy


# ---- the shipped rule base, and the command line -------------------------------------------------------------------


def advisor(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    text = CHEAP.replace("care.cheap", "shop.own").replace("{care: high}", "{room: garage}")
    return write(tmp_path / "shop", {"own.yaml": text.replace("source: handbook", "source: common_practice")})


def test_the_advice_names_the_overlays_and_its_fingerprint_changes(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept_unproved(monkeypatch, tmp_path / "store", shop)
    floor = write(tmp_path, {"floor.yaml": "facts: {room: garage}\n"}) / "floor.yaml"
    plain, laid = advisor("advise", str(floor)), advisor("advise", str(floor), "--rules", str(shop))
    assert (plain.returncode, laid.returncode) == (0, 0), laid.stderr
    assert ", with shop" in " ".join(laid.stdout.split())
    assert ", with shop" not in " ".join(plain.stdout.split())
    assert "Laid over it: shop, 1 new entry." in advisor("advise", str(floor), "--full", "--rules", str(shop)).stdout
    data = json.loads(advisor("advise", str(floor), "--rules", str(shop), "--json").stdout)
    assert data["rule_base"]["overlays"] == [
        {"name": "shop", "version": "", "added": ["rules shop.own"], "replaced": [], "safety": []}
    ]
    assert data["rule_base"]["fingerprint"] != load_rulebase().fingerprint
    assert "shop.own" in {firing["rule"] for firing in data["trace"]["firings"]}
    assert mark(load_rulebase()).overlays == ()


def test_a_refused_overlay_gives_no_answer(tmp_path: Path) -> None:
    name, caution = next(iter(load_rulebase().cautions.items()))
    entry = {**caution.model_dump(), "says": "It is nothing.", "source": list(caution.source)}
    bad = write(tmp_path / "bad", {"own.yaml": yaml.safe_dump({"cautions": {name: entry}})})
    done = advisor("advise", "untested_garage", "--rules", str(bad))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("bad/own.yaml, line 2:")
    assert "Traceback" not in done.stderr


def test_every_verb_that_reads_the_rule_base_takes_overlays() -> None:
    reading = [
        command.callback
        for command in app.registered_commands
        if command.callback
        and re.search(r"rule_base\(|load_rulebase|: CaseArgument", inspect.getsource(command.callback))
    ]
    assert len(reading) >= 6
    assert [verb.__name__ for verb in reading if "rules" not in inspect.signature(verb).parameters] == []
    assert [verb.__name__ for verb in reading if "load_rulebase(" in inspect.getsource(verb)] == []


def test_what_goes_into_a_fact_behind_a_safeguard_is_protected(tmp_path: Path) -> None:
    """Fumes are worked out from the solvent in a finish; a finish said to hold less of it warns of less."""
    base = load_rulebase()
    resting = {fact for rule in protected_rules(base) for fact in rule.when if fact in base.facts}
    data = read_by(base, [fact for fact in resting if base.facts[fact].computed])
    norm, value = (min(name for section, name in data if section == each) for each in ("norms", "properties"))
    finish = next(f for f in base.finishes.values() if f.properties[value].interval)
    entry = finish_entry(base, finish.id)
    entry["properties"][value]["is"] = scaled(entry["properties"][value]["is"], 0.5)
    stated = base.norms[norm]
    changed = {"is": scaled(stated.given, 0.5), "unit": stated.unit, "means": stated.means}
    half = {"norms": {norm: {**changed, "source": list(stated.source)}}}
    for number, (overlay, what) in enumerate(((entry, f"{value} of {finish.id}"), (half, norm))):
        shop = write(tmp_path / f"shop{number}", {"own.yaml": yaml.safe_dump(overlay)})
        assert any(fault.what.startswith(what) for fault in faults_of(rules_folder(), shop))
    entry["finish"]["id"] = "our_own"
    work = (
        WORK[WORK.index("tasks:") :]
        .replace("NAMES", "our_own")
        .replace("fumes", "amines")
        .replace("handbook", "from_memory")
    )
    read_rulebase(rules_folder(), write(tmp_path / "shop", {"own.yaml": yaml.safe_dump(entry), "work.yaml": work}))


def safeguards(base: RuleBase, floors: list[dict[str, Any]]) -> list[set[tuple[str, str, str]]]:
    """The cautions, referrals and holds of each floor, by the naive fixpoint."""
    program, blank = ground(base), working_memory(base, {})
    fired = [fixpoint(program, working_memory(base, floor, blank)) for floor in floors]
    return [
        {
            (c.kind, c.name, c.finish)
            for form in program.rules
            if form.name in names
            for c in form.conclusions
            if c.kind in ("caution", "refer", "hold")
        }
        for names in fired
    ]


def limit_entry(base: RuleBase, name: str, given: str) -> dict[str, Any]:
    limit = base.limits[name]
    return {"limits": {name: {"is": given, "means": limit.means, "source": list(limit.source)}}}


def scaled(given: str, factor: float) -> str:
    return re.sub(r"[\d.]+", lambda number: f"{float(number[0]) * factor:g}", given)


def random_edit(base: RuleBase, rng: Random) -> dict[str, Any]:
    """An overlay that changes one limit, rule or finish at random: stricter, laxer or sideways."""
    kind = rng.choice(["limit", "rule", "rule", "finish"])
    factor = rng.choice([0.5, 0.9, 1.1, 2])
    if kind == "limit":
        name = rng.choice(list(base.limits))
        return limit_entry(base, name, scaled(base.limits[name].given, factor))
    if kind == "finish":
        entry = finish_entry(base, rng.choice(list(base.finishes)))
        name, value = rng.choice(list(entry["properties"].items()))
        choices = base.properties[name].choices
        value["is"] = rng.choice(choices) if choices else scaled(value["is"], factor)
        return entry
    rule = rng.choice(protected_rules(base))
    when = {fact: list(texts) for fact, texts in rule.when.items()}
    then = rule.model_dump(include={"then"}, exclude_defaults=True)["then"]
    match rng.choice(["drop", "add", "swap", "conclude"]):
        case "drop" if len(when) > 1:
            del when[rng.choice(list(when))]
        case "add":
            fact = rng.choice([name for name, kind in base.facts.items() if kind.type == "yes/no"])
            when.setdefault(fact, [rng.choice(["yes", "may be yes", "unknown"])])
        case "swap":
            fact = rng.choice(list(when or {"room": []}))
            when[fact] = [text.removeprefix("may be ") if "may be" in text else text for text in when.get(fact, [])]
        case _:
            then = {
                "caution" if rule.judges else "hold": [rng.choice(list(base.cautions if rule.judges else base.needs))]
            }
    judges = rule.judges if not isinstance(rule.judges, dict) else {k: list(v) for k, v in rule.judges.items()}
    then = {key: "yes" if value is True else value for key, value in then.items()}
    then = {key: list(value) if isinstance(value, tuple) else value for key, value in then.items()}
    entry = {"id": rule.id, "when": when, "then": then, "because": rule.because, "source": list(rule.source)}
    return {"rules": [{**entry, "judges": judges} if judges else entry]}


def test_no_overlay_that_is_taken_loses_a_safeguard_of_any_random_floor(tmp_path: Path) -> None:
    """What `overlay` decides rule by rule holds for whole floors: the safeguards beneath are all there above."""
    below, rng = load_rulebase(), Random(4)
    floors = [random_case(below, rng) for _ in range(6)]
    owed = safeguards(below, floors)
    taken = refused = 0
    for number in range(28):
        text = yaml.safe_dump(random_edit(below, rng))
        try:
            above = read_rulebase(rules_folder(), write(tmp_path / f"shop{number}", {"own.yaml": text}))
        except BadRuleBase:
            refused += 1
            continue
        taken += 1
        assert all(safe <= now for safe, now in zip(owed, safeguards(above, floors), strict=True)), text
    assert taken >= 5
    assert refused >= 5


def test_an_entry_may_only_add_and_does_not_talk_down_what_it_adds_to(tmp_path: Path) -> None:
    adds = 'cautions:\n  silica_dust:\n    adds: "{}"\n'
    shop = write(tmp_path / "shop", {"a.yaml": adds.format("Our saws have a water tap.")})
    before = read_rulebase(rules_folder()).cautions["silica_dust"]
    now = read_rulebase(rules_folder(), shop).cautions["silica_dust"]
    assert now.says.startswith(before.says)
    assert now.says.endswith("The shop adds: Our saws have a water tap.")
    assert now.model_copy(update={"says": before.says, "brief": before.brief}) == before
    milder = write(tmp_path / "milder", {"a.yaml": adds.format("All of this is exaggerated and a paper mask will do.")})
    (fault,) = faults_of(rules_folder(), milder)
    assert "exaggerated" in fault.what
    missing = faults_of(rules_folder(), write(tmp_path / "new", {"a.yaml": adds.replace("silica_dust", "noise_x")}))
    assert any("missing" in each.what for each in missing)


def test_an_entry_of_a_finish_may_say_only_what_differs(tmp_path: Path) -> None:
    text = (
        "finish: {id: epoxy_solid}\nproperties:\n"
        "  humidity_limit: {is: 80 percent, source: common_practice}\n"
    )  # fmt: skip
    before = read_rulebase(rules_folder()).finishes
    now = read_rulebase(rules_folder(), write(tmp_path / "shop", {"a.yaml": text})).finishes
    moved = {
        name: each
        for name, each in now["epoxy_solid"].properties.items()
        if each != before["epoxy_solid"].properties[name]
    }
    assert {name: each.given for name, each in moved.items()} == {"humidity_limit": "80 percent"}
    assert now["epoxy_solid"].model_copy(update={"properties": {}}) == before["epoxy_solid"].model_copy(
        update={"properties": {}}
    )
    assert [name for name in before if before[name] != now[name]] == ["epoxy_solid"]
    new = faults_of(rules_folder(), write(tmp_path / "new", {"a.yaml": text.replace("epoxy_solid", "epoxy_ours")}))
    assert any("missing" in each.what for each in new)
