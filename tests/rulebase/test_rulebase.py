"""What the loader refuses, each with file and line, and all at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.engines.packing import MOST_CONDITIONS_ON_A_FACT, MOST_NETWORKS_OF_A_TOPIC, MOST_PATTERNS
from advisor.errors import MOST_TOLD, BadRuleBase, Fault
from advisor.validation.loading import read_rulebase
from tests.rule_folders import BASE, OIL, PAINT, faults_of, marked_line, sound, write


def rule(
    when: str = "{leak: yes}", then: str = "{hold: test_first}", judges: str = "", because: str = "So it is."
) -> str:
    """A rule file of one rule; `#!` marks the line that the fault should name."""
    lines = ["rules:", "  - id: new.rule", f"    judges: {judges}" if judges else "", f"    when: {when}"]
    lines += [f"    then: {then}", f"    because: {because}", "    source: handbook"]
    return "\n".join(line for line in lines if line) + "\n"


def also(names: str) -> str:
    """A file with a fact whose values people call otherwise too."""
    return f"facts:\n  place:\n    type: choice\n    values: [kitchen, garage, hall]\n    also: {names} #!\n" + (
        "    ask: Which one is it\n    find_out: Look\n    why: Use\n"
    )


def among(values: str, judges: str = "every finish", fact: str = "style") -> str:
    """A file with a fact of such values, and a rule that holds it against what a finish can look like."""
    style = f"{{type: choice, values: {values}, ask: Which style, find_out: Choose, why: Look}}"
    then = "{rule_out: yes}" if judges else "{hold: test_first}"
    return rule(f"{{{fact}: not among finish.looks}} #!", then, judges) + f"facts:\n  {fact}: {style}\n"


MEANING = {
    "unknown fact": (rule("{wettness: above limit.wet} #!"), 'I do not know the fact "wettness"', '"wetness"'),
    "order on a choice": (rule("{room: above limit.wet} #!"), "room", "it is no number"),
    "order on yes or no": (rule("{leak: above limit.wet} #!"), "leak", "it is no number"),
    "a limit under all that it is compared with": (
        rule("{area: above limit.tiny} #!") + "limits:\n  tiny: {is: 0.5 m2, means: tiny, source: handbook}\n",
        "the limit tiny is 0.5 m2",
        "",
    ),
    "among values that the fact has not": (
        among("[plain, striped]"),
        "finish.looks has values that this fact does not have",
        "",
    ),
    "among what a finish has, judging none": (among("[plain, flecked]", "", "pattern"), "judges none", ""),
    "value of a number": (rule("{wetness: kitchen} #!"), "wetness", "compared by above"),
    "unknown value": (rule("{room: kitchn} #!"), '"kitchn" is not one of its values', '"kitchen"'),
    "another name of two values": (also("{kitchen: [cook], garage: [cook]}"), '"cook" would stand for more', ""),
    "another name that is a value": (also("{kitchen: [hall]}"), '"hall" would stand for more', ""),
    "question about no fact": (
        "needs:\n  ask_it: {kind: ask, asks: wettness, decides: yes, says: How wet, source: handbook} #!\n",
        "cannot be asked for",
        '"wetness"',
    ),
    "test that asks": (
        "needs:\n  try_it: {kind: test, asks: wetness, decides: yes, says: How wet, source: handbook} #!\n",
        "is no question, and yet `asks`",
        "",
    ),
    "sought in vain, told by a number": (
        "facts:\n  dust: {type: yes/no, ask: Is it dusty, find_out: Look, why: Dust, unknown_means: wetness} #!\n",
        '`unknown_means` names "wetness", which is no yes/no fact',
        "",
    ),
    "values of no fact": (
        "facts:\n  place: {type: choice, values_of: rooom, ask: Which, find_out: Look, why: Use} #!\n",
        'takes its values from "rooom"',
        '"room"',
    ),
    "another name of no value": (also("{kitchn: [cook]}"), '"kitchn" is not a value of place', '"kitchen"'),
    "limit of another unit": (rule("{wetness: above limit.thick} #!"), "limit thick", "measures a length"),
    "a sheet that stands in for no limit": (
        "sheet:\n  wet: {type: number, unit: percent, range: 0 to 100 %, means: Wet, example: 80 %, "
        "sets: finish.most_wetness, instead_of: wett} #!\n",
        'there is no limit "wett"',
        '"wet"',
    ),
    "a sheet that stands in for what nothing compares": (
        "sheet:\n  wet: {type: number, unit: percent, range: 0 to 100 %, means: Wet, example: 80 %, "
        "sets: finish.most_wetness, instead_of: wet} #!\n",
        'the limit "wet" is compared with no finish',
        "judges",
    ),
    "a sheet that sets nothing": (
        "sheet:\n  wet: {type: number, unit: percent, range: 0 to 100 %, means: Wet, example: 80 %, "
        "sets: finish.most_wetnes} #!\n",
        'cannot set "finish.most_wetnes"',
        '"most_wetness"',
    ),
    "a year, and none to count from": (
        "limits:\n  old: {end_of: 1980, means: Old, source: handbook} #!\n",
        "there is no year to count from",
        "this_year",
    ),
    "unknown limit": (rule("{wetness: above limit.wett} #!"), 'no limit "wett"', '"wet"'),
    "unknown property": (
        rule("{wetness: above finish.most_wetnes} #!", "{rule_out: yes}", "every finish"),
        'no property "most_wetnes"',
        '"most_wetness"',
    ),
    "property of another unit": (
        rule("{thickness: above finish.most_wetness} #!", "{rule_out: yes}", "every finish"),
        "most_wetness",
        '"mm"',
    ),
    "a finish compared, none judged": (rule("{wetness: above finish.most_wetness} #!"), "judges none", ""),
    "a number in the rule": (rule("{wetness: above 75 percent} #!"), "a number stands in the rule itself", "limits"),
    "absence": (rule("{damp: not holds} #!"), "absence", ""),
    "a finding unknown": (rule("{damp: unknown} #!"), "absence", "holds"),
    "a finding known": (rule("{damp: known} #!"), "absence", "holds"),
    "no condition at all": (rule("{room: above} #!"), "room", ""),
    "may be unknown": (rule("{room: may be unknown} #!"), "no meaning", ""),
    "two facts compared": (rule("{wetness: above fact.wetness} #!"), "only a contradiction compares two facts", ""),
    "finding about a finish": (rule("{blistering: holds} #!"), "about a finish", "judges"),
    "never together": (rule("{room: [kitchen, not kitchen]} #!"), "can never hold together", ""),
    "no number between": (rule("{wetness: [above limit.wet, below limit.wet]} #!"), "can never hold together", ""),
    "judges an unknown property": (
        rule(judges="{flim: dense} #!", then="{rule_out: yes}"),
        'property "flim"',
        '"film"',
    ),
    "judges an unknown finish": (rule(judges="{id: pain} #!", then="{rule_out: yes}"), 'finish "pain"', '"paint"'),
    "judges by what may be unknown": (
        rule(judges="{film: unknown} #!", then="{rule_out: yes}"),
        "a property is always known",
        "",
    ),
    "blank not in when": (rule(because='"It holds {wetness}." #!'), '"{wetness}"', "a fact in its `when`"),
    "blank of an unknown limit": (rule(because='"Over {limit.wett}." #!'), '"{limit.wett}"', ""),
    "blank of the finish, none judged": (rule(because='"Not {finish}." #!'), '"{finish}"', ""),
}
WHOLE_RULE = {  # faults of a rule as a whole stand at its first line
    "judges no finish": (
        rule(judges="{film: dense, looks: flecked}", then="{rule_out: yes}"),
        "judges no finish at all",
    ),
    "rules out, but judges none": (rule(then="{rule_out: yes}"), "`rule_out` is about the finish"),
    "first, but judges none": (rule(then="{first: test_first}"), "`first` is about the finish"),
    "points, but judges none": (rule(then="{points: {cost: 1}}"), "`points` is about the finish"),
    "holds, but judges": (rule(judges="every finish"), "`hold` is about the floor"),
    "finding of a finish, judging none": (rule(then="{finding: blistering}"), "but the rule judges none"),
    "concludes nothing": (rule(then="{}"), "concludes nothing"),
    "neither conditions nor finishes": (rule("{}"), "has no conditions and judges no finish"),
    "unknown finding": (rule(then="{finding: dampp}"), 'finding: there is no "dampp"'),
    "unknown need": (rule(then="{hold: test_frist}"), 'hold: there is no "test_frist"'),
    "unknown caution": (rule(then="{caution: fume}"), 'caution: there is no "fume"'),
    "unknown referral": (rule(then="{refer: plumer}"), 'refer: there is no "plumer"'),
    "unknown criterion": (rule(then="{points: {costs: 1}}", judges="every finish"), 'points: there is no "costs"'),
}
FORM = {
    "unknown section": ("limmits: {} #!\n", 'the section "limmits"', "limits"),
    "a section that is a list": ("limits: [a] #!\n", "must be names with entries", ""),
    "rules that are no list": ("rules: {a: b} #!\n", "must be a list of rules", ""),
    "no source": (
        "limits:\n  cold: {is: 3 percent, means: where cold begins} #!\n",
        '"source" is missing',
        "",
    ),
    "a source that is not there": (
        "limits:\n  cold: {is: 3 percent, means: where cold begins, source: handbok} #!\n",
        'there is no source "handbok"',
        '"handbook"',
    ),
    "an unknown entry": (
        "limits:\n  cold: {is: 3, mean: x, means: xyz, source: law} #!\n",
        '"mean" is not known',
        "",
    ),
    "an empty source": ("limits:\n  cold: {is: 3, means: xyz, source: []} #!\n", '"source" is wrong', ""),
    "the same id twice": (
        "limits:\n  wet: {is: 80 percent, means: another, source: law} #!\n",
        '"wet" is there a second time; the first is in base.yaml, line',
        "once",
    ),
    "the same name twice in a file": (
        "limits:\n  cold: {is: 3, means: xyz, source: law}\n  cold: {is: 3, means: xyz, source: law} #!\n",
        '"cold" stands here a second time',
        "once",
    ),
    "an alias": ("limits:\n  a: &x {is: 3, means: xyz, source: law} #!\n  b: *x\n", "anchors and aliases", ""),
    "not YAML": ("limits: {a: [}\n#!", "not YAML", ""),
    "points beyond five": (
        "rules:\n  - id: new.rule\n    judges: every finish\n    because: Six.\n    source: law\n"
        "    then:\n      points:\n        cost: 6 #!\n",
        "less than or equal to 5",
        "",
    ),
    "an id without a topic": (
        "rules:\n  - id: new #!\n    when: {leak: yes}\n    then: {hold: test_first}\n    because: Yes.\n"
        "    source: law\n",
        '"new" cannot be the id of an entry',
        "",
    ),
    "a unit that is not known": (
        "facts:\n  x: {type: number, unit: furlong, range: 0 to 1 furlong, ask: Far, find_out: Walk, why: Yes} #!\n",
        'the unit "furlong" is not known',
        "percent",
    ),
    "a range that is none": (
        "facts:\n  x: {type: number, unit: mm, range: short, ask: How far is it, find_out: Walk, why: Yes} #!\n",
        "no number",
        "",
    ),
    "neither asked nor computed": ("facts:\n  x: {type: yes/no, why: Because} #!\n", "neither a question nor", ""),
    "a choice of nothing": (
        "facts:\n  x: {type: choice, ask: Which one is it, find_out: Look, why: Because} #!\n",
        "lists no values",
        "",
    ),
    "a need that leaves alone what is no fact": (
        "needs:\n  x: {kind: test, decides: yes, says: Look at it first, source: handbook, untouched: wetnes} #!\n",
        '"wetnes"',
        '"wetness"',
    ),
    "computed by nothing known": (
        "facts:\n  x: {type: number, unit: mm, range: 0 to 1 mm, means: computed, why: Yes,\n"
        "      computed: {by: dew_point_margn, from: [wetness], method: by hand, source: handbook}} #!\n",
        '"dew_point_margn"',
        '"dew_point_margin"',
    ),
    "computed from more than it names": (
        "facts:\n  x: {type: number, unit: usd_m2, range: 0 to 1 usd_m2, means: computed, why: Yes,\n"
        "      computed: {by: budget_per_area, from: [budget], method: by hand, source: handbook}} #!\n",
        "needs area",
        "",
    ),
    "computed from what is not there": (
        "facts:\n  x: {type: number, unit: mm, range: 0 to 1 mm, means: computed, why: Yes,\n"
        "      computed: {by: dew_point, from: [wettness], method: by hand, source: handbook}} #!\n",
        '"wettness"',
        '"wetness"',
    ),
    "an importance that is no weight": ("importance: {low: heavy} #!\n", "must be a whole number", ""),
    "a criterion nobody weighs": ("criteria:\n  look: {name: good looks, importance: room} #!\n", '"room" must be', ""),
    "a contradiction of nothing known": (
        "contradictions:\n  x: {when: {wettness: unknown}, says: It cannot be} #!\n",
        '"wettness"',
        '"wetness"',
    ),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sound(tmp_path / "rules")


def test_the_small_rule_base_is_sound(folder: Path) -> None:
    base = read_rulebase(folder)
    assert list(base.rules) == ["damp.wet", "damp.film", "stop.leak"]
    assert base.finishes["paint"].properties["most_wetness"].interval is not None


@pytest.mark.parametrize("values", ["[plain, flecked]", "[plain, flecked, striped]"])
def test_a_fact_may_be_held_against_a_property_whose_values_it_has(folder: Path, values: str) -> None:
    write(folder, {"more.yaml": among(values)})
    assert "new.rule" in read_rulebase(folder).rules


@pytest.mark.parametrize("name", [*MEANING, *FORM])
def test_a_fault_is_refused_with_its_file_and_line(folder: Path, name: str) -> None:
    text, what, hint = {**MEANING, **FORM}[name]
    write(folder, {"broken.yaml": text})
    (fault,) = faults_of(folder)
    number = marked_line(text) - (name == "not YAML")
    assert fault.where == f"broken.yaml, line {number}"
    assert what in fault.what
    assert hint in fault.what + fault.allowed + fault.remedy


@pytest.mark.parametrize("name", WHOLE_RULE)
def test_a_fault_of_a_whole_rule_is_refused_at_its_first_line(folder: Path, name: str) -> None:
    text, what = WHOLE_RULE[name]
    write(folder, {"broken.yaml": text})
    (fault,) = faults_of(folder)
    assert fault.where == "broken.yaml, line 2"
    assert what in fault.what


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("is: dense", "is: dence", '"dence" is not a value of film'),
        ("is: 75 percent", "is: 75 in", "measures a length"),
        ("is: plain", "is: [plain, striped]", '"striped" is not a value of looks'),
        ("is: dense", "is: [dense, open]", "film has one value, not 2"),
        ("  film:", "  flim:", '"flim"'),
        ("film: {is: dense, source: handbook}", "film: {is: dense, source: handbok}", 'no source "handbok"'),
        ("film: {is: dense, source: handbook}", "film: {is: dense}", '"source" is missing'),
    ],
)
def test_a_fault_of_a_finish_is_refused_at_the_property(folder: Path, old: str, new: str, what: str) -> None:
    text = PAINT.replace(old, new, 1)
    assert text != PAINT
    write(folder, {"finishes/paint.yaml": text})
    faults = faults_of(folder)
    number = next(n for n, (a, b) in enumerate(zip(text.splitlines(), PAINT.splitlines(), strict=True), 1) if a != b)
    assert [fault.where for fault in faults if what in fault.what] == [f"paint.yaml, line {number}"]
    others = {fault.what for fault in faults if what not in fault.what}
    assert others <= {'paint: the property "film" is missing'}


def test_a_finish_that_leaves_a_property_out_is_refused(folder: Path) -> None:
    write(folder, {"finishes/oil.yaml": OIL.replace("  film: {is: open, source: handbook}\n", "")})
    (fault,) = faults_of(folder)
    assert (fault.where, fault.what) == ("oil.yaml, line 1", 'oil: the property "film" is missing')


def test_findings_that_depend_on_themselves_are_refused_with_the_loop(folder: Path) -> None:
    loop = "findings:\n  wet_below: {says: it is wet below}\n" + rule("{damp: holds}", "{finding: wet_below}")
    back = rule("{wet_below: holds}", "{finding: damp}").removeprefix("rules:\n").replace("new.rule", "new.back")
    write(folder, {"broken.yaml": loop + back})
    (fault,) = faults_of(folder)
    assert fault.where in ("broken.yaml, line 4", "broken.yaml, line 9")
    assert "depend on themselves" in fault.what
    assert {"damp", "wet_below"} <= set(re.findall(r"\w+", fault.what))


def _facts(number: int) -> str:
    ask = "ask: What is it, find_out: Look, why: Because"
    return "facts:\n" + "".join(f"  f{i}: {{type: yes/no, {ask}}}\n" for i in range(number))


@pytest.mark.parametrize("number", [MOST_PATTERNS, MOST_PATTERNS + 1])
def test_more_conditions_than_the_engine_joins_are_refused(folder: Path, number: int) -> None:
    when = ", ".join(f"f{i}: yes" for i in range(number))
    write(folder, {"broken.yaml": _facts(number) + rule(f"{{{when}}}")})
    if number <= MOST_PATTERNS:
        assert "new.rule" in read_rulebase(folder).rules
        return
    (fault,) = faults_of(folder)
    assert fault.where == f"broken.yaml, line {number + 3}"
    assert f"{number} conditions" in fault.what
    assert "never fire" in fault.allowed


def test_more_values_of_one_fact_than_the_engine_stands_are_refused(folder: Path) -> None:
    number = MOST_CONDITIONS_ON_A_FACT + 1
    values = ", ".join(f"v{i}" for i in range(number + 1))
    fact = f"facts:\n  x: {{type: choice, values: [{values}], ask: Which one, find_out: Look, why: Yes}}\n"
    write(folder, {"broken.yaml": fact + rule("{x: not v0} #!")})
    (fault,) = faults_of(folder)
    assert fault.where == "broken.yaml, line 5"
    assert f"allows {number} values of x" in fault.what


@pytest.mark.parametrize("beyond", [False, True])
def test_more_conditions_on_one_fact_than_a_topic_holds_are_refused(folder: Path, beyond: bool) -> None:
    number = MOST_CONDITIONS_ON_A_FACT * MOST_NETWORKS_OF_A_TOPIC + beyond
    limits = "".join(f"  l{i}: {{is: {10 + i / 10} percent, means: a limit, source: law}}\n" for i in range(number))
    rules = "".join(
        rule(f"{{wetness: above limit.l{i}}}").removeprefix("rules:\n").replace("new.rule", f"many.r{i}")
        for i in range(number)
    )
    write(folder, {"broken.yaml": f"limits:\n{limits}rules:\n{rules}"})
    if not beyond:
        assert "many.r0" in read_rulebase(folder).rules
        return
    (fault,) = faults_of(folder)
    assert fault.where == f"broken.yaml, line {number + 3}"
    assert f"{number} different conditions on wetness in the topic many" in fault.what


def test_all_faults_are_found_in_one_reading(folder: Path) -> None:
    """Of form and of meaning, in several files: what does not read as YAML hides nothing in the others."""
    groups = {"m": MEANING, "w": WHOLE_RULE}
    cases = {f"{name}{i}.yaml": case[0] for name, group in groups.items() for i, case in enumerate(group.values())}
    texts = {name: text.replace("new.rule", f"new.{name.removesuffix('.yaml')}") for name, text in cases.items()}
    texts["alias.yaml"], texts["section.yaml"] = FORM["an alias"][0], FORM["unknown section"][0]
    texts["source.yaml"] = FORM["no source"][0]
    write(folder, texts)
    faults = faults_of(folder)
    assert {fault.where.split(",")[0] for fault in faults} == set(texts)
    assert len(faults) == len(texts)


def test_what_only_follows_from_a_malformed_entry_is_not_reported_too(folder: Path) -> None:
    limit = "wet: {is: 75 percent, means: where wet begins, source: handbook}"
    write(folder, {"base.yaml": BASE.replace(limit, "wet: {is: 75 percent}")})
    assert {fault.what for fault in faults_of(folder)} == {'"means" is missing', '"source" is missing'}


@pytest.mark.parametrize("folder_name", ["nothing", "empty"])
def test_a_folder_without_rules_is_refused(tmp_path: Path, folder_name: str) -> None:
    (tmp_path / "empty").mkdir()
    (fault,) = faults_of(tmp_path / folder_name)
    assert fault.where == folder_name


RULE = 'rules:\n  - {id: a.b, when: {room: kitchen}, then: {hold: x}, because: "Because it is so.", source: law}\n'
FINISH = "finish: {id: x, name: a finish, family: film, what: A finish for a test.}\n"
FACTS = """\
facts:
  room: {type: choice, values: [kitchen, hall], ask: Which room is it, find_out: Look, why: Use}
  dew_point_margin: {type: number, unit: delta_degC, range: -30 to 30 delta_degC, of: finish, means: Kept dry, why: Wet,
                     computed: {by: dew_point_margin, from: [room], method: by hand, source: handbook}}
"""


@pytest.mark.parametrize(
    ("files", "lacking"),
    [
        ({"notes.yaml": "colour: {grey: 1}\nwidth: 4\n"}, "vocabulary"),
        ({"rules.yaml": RULE, "finish.yaml": FINISH}, "vocabulary"),
        ({"facts.yaml": FACTS, "rules.yaml": RULE}, "finish"),
        ({"facts.yaml": FACTS, "finish.yaml": FINISH}, "rule"),
    ],
)
def test_a_folder_of_other_things_is_no_rule_base(tmp_path: Path, files: dict[str, str], lacking: str) -> None:
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    (fault,) = faults_of(tmp_path)
    assert fault.where == str(tmp_path)
    assert fault.what == f"there is no {lacking} in it, so it is no rule base"
    assert "--rules DIR" in fault.remedy


def test_a_fact_about_finishes_is_checked_without_any_that_is_well_formed(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(f"{FACTS}finish: {{id: x}}\n{RULE}")
    faults = faults_of(tmp_path)
    assert any('"name" is missing' in fault.what for fault in faults)


def test_a_message_tells_of_so_many_faults_and_how_many_more() -> None:
    error = BadRuleBase(Fault(f"line {line}", "it is wrong") for line in range(MOST_TOLD + 7))
    assert len(error.faults) == MOST_TOLD + 7
    assert str(error).endswith("\n... and 7 more like these")
    assert str(error).count("it is wrong") == MOST_TOLD
    assert "more" not in str(BadRuleBase([Fault("line 1", "it is wrong")] * MOST_TOLD))
