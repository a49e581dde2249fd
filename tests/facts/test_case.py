"""Case files: what is read, and that bad input gets a message naming fact, value and what is allowed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from advisor.errors import AdvisorError, BadCase
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.statements import Statement
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase

BASE = load_rulebase()


def case_of(tmp_path: Path, text: str, name: str = "floor.yaml") -> Case:
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_case(path, BASE)


def refusal(tmp_path: Path, text: str, name: str = "floor.yaml") -> str:
    with pytest.raises(AdvisorError) as caught:
        case_of(tmp_path, text, name)
    return str(caught.value)


def test_the_three_formats_say_the_same(tmp_path: Path) -> None:
    as_yaml = case_of(tmp_path, "floor: F\nfacts:\n  slab_thickness: 4 in\n  freezes: yes\n  slab_humidity:\n")
    as_json = case_of(
        tmp_path,
        '{"floor": "F", "facts": {"slab_thickness": "4 in", "freezes": true, "slab_humidity": null}}',
        "f.json",
    )
    as_toml = case_of(
        tmp_path, 'floor = "F"\n[facts]\nslab_thickness = "4 in"\nfreezes = true\nslab_humidity = "unknown"\n', "f.toml"
    )
    assert as_yaml == as_json == as_toml
    assert as_yaml.facts["slab_thickness"].interval == Interval(101.6, 101.6)
    assert as_yaml.facts["freezes"].choice == "yes"
    assert not as_yaml.facts["slab_humidity"].known


def test_left_out_and_unknown_are_the_same_to_the_reasoning(tmp_path: Path) -> None:
    from advisor.facts.memory import working_memory

    said = case_of(tmp_path, "facts: {slab_humidity: unknown, freezes: Unknown, area: 20 m2}")
    left_out = case_of(tmp_path, "facts: {area: 20 m2}", "other.yaml")
    assert working_memory(BASE, said.facts) == working_memory(BASE, left_out.facts)


def test_ranges_and_wordings(tmp_path: Path) -> None:
    case = case_of(
        tmp_path, "facts:\n  slab_humidity: 80 to 85 %\n  slab_age: over 10 years\n  wanted_look: Solid colour\n"
    )
    assert case.facts["slab_humidity"].interval == Interval(80.0, 85.0)
    assert case.facts["slab_age"].interval == Interval(3652.5, 60000.0)
    assert case.facts["wanted_look"].choice == "solid_colour"


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("USA", "united_states"),
        ("U.S.A.", "united_states"),
        ("us", "united_states"),
        ("United States of America", "united_states"),
        ("UK", "united_kingdom"),
        ("Northern Ireland", "united_kingdom"),
        ("EU", "european_union"),
    ],
)
def test_a_value_may_be_called_what_people_call_it(tmp_path: Path, said: str, value: str) -> None:
    assert case_of(tmp_path, f"facts: {{country: {said}}}").facts["country"].choice == value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("facts:\n  slab_humidty: 80 %", ["line 2", '"slab_humidty"', 'Did you mean "slab_humidity"?']),
        ("facts:\n  slab_humidity: 80", ["slab_humidity", '"80"', "no unit", "1 to 100 %", "How to find out"]),
        ("facts:\n  slab_thickness: 4 kg", ["slab_thickness", '"4 kg"', "measures a weight", "mm", "in"]),
        ("facts:\n  slab_humidity: 120 %", ["slab_humidity", "120 %", "outside what is possible", "1 to 100 %"]),
        ("facts:\n  slab_humidity: .nan", ["slab_humidity", ".nan", "no number"]),
        ("facts:\n  slab_thickness: -4 in", ["slab_thickness", "-4 in", "outside"]),
        ("facts:\n  on_floor: tiles", ["on_floor", '"tiles"', "ceramic_tile", "unknown"]),
        ("facts:\n  freezes: maybe", ["freezes", '"maybe"', "yes, no, or unknown"]),
        ("facts:\n  slab_humidity: [80, 85]", ["slab_humidity", "a list", "one text"]),
        ("facts:\n  dew_point_margin: 10 C", ["dew_point_margin", "worked out", "air_temperature"]),
        (
            "facts:\n  slab_age: 2 weeks\n  time_in_use: 10 years",
            ["longer than the slab exists", "2 weeks", "10 years"],
        ),
        ("facts:\n  area: 3 m2\n  area: 4 m2", ["line 3", '"area"', "second time"]),
        ("slab_humidity: 80 %", ["facts"]),
        ("facts: 3", ["line 1", '`facts` is given as "3"', "`name: value` lines", "slab_thickness: 4 in"]),
        ("facts: [area, 3 m2]", ["`facts` is a list", "`name: value` lines"]),
        ("facts:", ["`facts` is empty", "`name: value` lines", "`facts: {}`"]),
        ("floor: [a]\nfacts: {}", ['"floor" is a list', "at most 200 characters"]),
        ("note: " + "x" * 2001 + "\nfacts: {}", ['"note" is too long', "at most 2000 characters"]),
        ("facts:\n  air_temperature: 68", ['air_temperature is given as "68"', "`68 C` or `68 F`"]),
        ("facts:\n  slab_humidity: 75,5 %", ['"75,5 %"', "decimal point"]),
        ("facts:\n  slab_age: 2026-10-01", ['"2026-10-01"', "the time since then", "`8 weeks`"]),
        ("facts:\n  building_year: 1998.5", ['"1998.5"', "a fraction; only whole numbers", "1850 to 2100"]),
        ("facts:\n  humidity_holes: 3 to 4.5", ['"3 to 4.5"', "a fraction"]),
        ("facts:\n  country: canda", ["united_states", "elsewhere"]),
        ("fact:\n  area: 3 m2", ['"fact"', 'Did you mean "facts"?']),
        ("format: slab-finish-case/9\nfacts: {}", ['"slab-finish-case/9"', "line 1", "`format: slab-finish-case/1`"]),
        ("format: [a]\nfacts: {}", ['"list"', "`format: slab-finish-case/1`"]),
        ("facts:\n  area: " + "x" * 300, ["area", "too long"]),
        ("", ["empty", "advisor new"]),
        ("# only a comment\n", ["empty"]),
        ("just a text", ["not a list of names"]),
        ("- a\n- b", ["not a list of names"]),
        ("facts: {area: 3 m2", ["not YAML"]),
        ("facts:\n\tarea: 3 m2", ["not YAML", "line 2"]),
        ("a: &x [1]\nfacts: {area: *x}", ["anchors and aliases"]),
        ("facts: {area: 3 m2}\n---\nfacts: {}", ["second document"]),
        ("facts: " + "[" * 50 + "]" * 50, ["nested deeper"]),
        ("facts: !!python/object/apply:os.system ['true']", ["facts"]),
    ],
)
def test_bad_input_names_fact_value_and_what_is_allowed(tmp_path: Path, text: str, said: list[str]) -> None:
    message = refusal(tmp_path, text)
    assert all(part in message for part in said), message
    assert "Traceback" not in message


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("f.json", '{"facts": {"area": NaN}}', "area"),
        ("f.json", '{"facts": {"area": "3 m2", "area": "4 m2"}}', "second time"),
        ("f.json", '{"facts": ', "not JSON"),
        ("f.json", "[" * 100_000, "nested"),
        ("f.toml", "facts = ", "not TOML"),
        ("f.toml", "[facts]\narea = nan", "area"),
        ("f.txt", "facts", "ending"),
        ("f.yaml", "\x00", "not YAML"),
    ],
)
def test_other_formats_refuse_clearly_too(tmp_path: Path, name: str, content: str, said: str) -> None:
    assert said in refusal(tmp_path, content, name)


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    path = tmp_path / "floor.yaml"
    path.write_bytes(b"\x80\x81\x82")
    with pytest.raises(AdvisorError, match="UTF-8"):
        read_case(path, BASE)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "floor.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(AdvisorError, match="too large"):
        read_case(path, BASE)


def test_an_expansion_bomb_is_refused(tmp_path: Path) -> None:
    lines = ["a0: &a0 [x, x]"] + [f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]" for i in range(1, 40)]
    assert "aliases" in refusal(tmp_path, "\n".join(lines))


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(AdvisorError, match="cannot be read"):
        read_case(tmp_path / "none.yaml", BASE)


def test_all_faults_at_once(tmp_path: Path) -> None:
    message = refusal(tmp_path, "facts:\n  slab_humidity: 120 %\n  on_floor: tiles\n  wet: yes\n")
    assert message.count("floor.yaml, line") == 3


def test_facts_that_are_not_indented_are_told_once(tmp_path: Path) -> None:
    said = refusal(tmp_path, "floor: F\nslab_age: 3 years\narea: 3 m2\nfreezes: no\nstairs_or_ramp: no\ncolour: red\n")
    assert said.count("facts:") <= 3
    assert "slab_age, area, freezes and 1 more stand beside `facts:`" in said
    assert 'the entry "colour"' in said


def test_the_short_case_reads_back_as_nothing_known_and_has_the_facts_of_the_conversation(tmp_path: Path) -> None:
    from advisor.reference.glossary import blank_case, short_case

    short = short_case(BASE)
    case = case_of(tmp_path, short)
    assert not any(value.known for value in case.facts.values())
    settled = {name for opening in BASE.conversation.values() for name in opening.settles}
    assert set(case.stated) == {name for name in settled if not BASE.facts[name].unknown_means}
    assert len(short.splitlines()) < len(blank_case(BASE).splitlines()) / 4


def test_the_blank_case_reads_back_as_nothing_known(tmp_path: Path) -> None:
    from advisor.reference.glossary import blank_case

    case = case_of(tmp_path, blank_case(BASE))
    asked = {name for name, kind in BASE.facts.items() if kind.ask}
    assert set(case.facts) == asked
    assert len(asked) >= 60
    assert not any(value.known for value in case.facts.values())


@pytest.mark.parametrize("name", [name for name, kind in BASE.facts.items() if kind.ask])
def test_every_fact_explains_itself(name: str) -> None:
    kind = BASE.facts[name]
    assert kind.ask
    assert kind.find_out
    assert kind.why
    assert kind.type != "number" or kind.plausible.low < kind.plausible.high


def test_what_is_allowed_is_told_in_the_money_and_units_of_the_floors_country() -> None:
    for country, money, length in (
        ("united_kingdom", "GBP", "mm"),
        ("united_states", "USD", "in"),
        ("germany", "EUR", "mm"),
    ):
        said = {"budget": "minus", "slab_thickness": "thin", "country": country}
        with pytest.raises(BadCase) as raised:
            make_case(BASE, {name: Statement(text) for name, text in said.items()}, date(2026, 11, 28))
        told = {each.where: each.allowed for each in raised.value.faults}
        assert f" {money} (units: {money}, " in told["budget"]
        assert f" {length} (units: " in told["slab_thickness"]
