"""Nothing that people read is left behind in Python: all of it, said in a language of look-alikes, holds no plain word.

Every letter of the texts and of the rule base's own sentences becomes an accented one. What then still reads as a
plain word is a name (a unit, an id, a file), or a sentence that stands in Python.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from typer.testing import CliRunner

from advisor.cli import advice, explaining, floor_options, interview, many, plan, rules, vocabulary, worksheets
from advisor.cli.verbs import app
from advisor.demo import demo_cases
from advisor.model.entry import UNKNOWN, Entry
from advisor.model.knowledge import Currency, RuleBase
from advisor.model.procedures import Upkeep
from advisor.model.quantities import UNITS
from advisor.validation.loading import load_rulebase, read_rulebase
from explanations import wording as words
from explanations.wording import FOLDER, group_of_texts, speaking
from tests.sentences import sentences

ROOT = Path(__file__).parents[2]
PLAIN = "abcdefghijklmnopqrstuvwxyz"
ALIKE = "áƀçðéƒğħíĵķłɱñóþɋŕšŧúʋŵẋýž"
LETTERS = str.maketrans(PLAIN + PLAIN.upper(), ALIKE + ALIKE.upper())
WORD = re.compile(r"(?<![^\W\d_])[A-Za-z]{3,}(?![^\W\d_])")
NAME = re.compile(
    r"\b[0-9a-f]{16}\b|\[[^\]]*\]|`[^`]*`|\S*[\w]+[._/@=][\w]+\S*|--\w+|advisor [a-z]+"
)  # marks, ids, files, what is typed

# Fields of the rule base that hold sentences and names for people.
SAID = {
    "because",
    "says",
    "ask",
    "find_out",
    "means",
    "why",
    "note",
    "method",
    "name",
    "what",
    "who",
    "tell",
    "title",
    "brief",
}
SAID |= {"brief", "edition", "test", "explanations", "practise", "hard", "mistake", "tools"}

# Text of several words that nobody reads: markup, patterns, ids, the first line by which a file is known again.
NOT_READ = {
    "advisor/__init__.py": r" has no attribute ",
    "advisor/asking/certainty.py": r"but for one",
    "advisor/facts/case_file.py": r"# Written by advisor;.*",
    "advisor/model/advice.py": r"but for one",
    "advisor/model/conditions.py": r"\\b\(absent.*",
    "advisor/model/units.py": r"per_hour\|.*",
    "advisor/pages/html.py": r"\nbody \{ font.*",
    "advisor/pages/pdf.py": r", date: none\).*|, footer: context text.*|grid\(columns.*",
    "advisor/physics/validity.py": r"A float, or an array.*",
    "advisor/validation/audit/one_floor.py": r"finish or test first",
    "advisor/validation/cache.py": r" is no part of a rule base",
    "explanations/pictures.py": r"#set page\(width: auto, height: auto, margin: 5mm\)",
}


def alike(text: str) -> str:
    """The text in look-alikes, what stands in braces as it is."""
    return re.sub(r"\{[^{}]*\}|[A-Za-z]+", lambda m: m[0] if m[0][0] == "{" else m[0].translate(LETTERS), text)


def message(text: str) -> str:
    """A pattern of ICU in look-alikes: arguments, selectors and what is quoted as they are."""
    made, at = [], 0
    while at < len(text):
        if text[at] == "'" and text[at + 1 : at + 2] in ("{", "}", "#", "'"):
            end = text.index("'", at + 1) + 1
            made.append(text[at:end])
        elif text[at] == "{":
            end = _closed(text, at)
            made.append(f"{{{_argument(text[at + 1 : end - 1])}}}")
        else:
            end = at + 1
            made.append(text[at].translate(LETTERS))
        at = end
    return "".join(made)


def _closed(text: str, at: int) -> int:
    """Where the brace opened at a place is closed, and one on."""
    depth = 0
    for place in range(at, len(text)):
        depth += {"{": 1, "}": -1}.get(text[place], 0)
        if not depth:
            return place + 1
    raise ValueError(f"a brace is never closed: {text}")


def _argument(text: str) -> str:
    head = re.match(r"\s*\w+\s*,\s*(?:plural|select)\s*,", text)
    if head is None:
        return text
    made, at = [head[0]], head.end()
    while (opened := text.find("{", at)) >= 0:
        end = _closed(text, opened)
        made.append(f"{text[at:opened]}{{{message(text[opened + 1 : end - 1])}}}")
        at = end
    return "".join(made)


def said_alike(value: Any, name: str = "", within: Entry | None = None) -> Any:
    """A part of the rule base with its sentences in look-alikes; ids, units and figures as they are."""
    if isinstance(value, Entry):
        return value.model_copy(update={each: said_alike(inner, each, value) for each, inner in value.__dict__.items()})
    if isinstance(value, dict):
        return {key: said_alike(inner) for key, inner in value.items()}
    if name == "source" and isinstance(value, tuple):
        return tuple(
            ",".join([cited.split(",")[0], *(alike(each) for each in cited.split(",")[1:])]) for cited in value
        )
    if isinstance(value, tuple):
        return tuple(said_alike(inner, name, within) for inner in value)
    translated = name in SAID or (name, type(within)) in {("do", Upkeep), ("of", Currency)}
    return alike(value) if translated and isinstance(value, str) else value


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return said_alike(read_rulebase(ROOT / "rules"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("texts")
    for language, put in (("en", str), ("xx", message)):
        (made / language).mkdir()
        for path in (FOLDER / "en").glob("*.yaml"):
            group = path.stem
            nested: dict[str, Any] = {}
            for key, text in group_of_texts("en", group).items():
                *over, last = key.split(".")
                inner = nested
                for each in over:
                    inner = inner.setdefault(each, {})
                inner[last] = put(text)
            (made / language / path.name).write_text(yaml.safe_dump(nested, allow_unicode=True), encoding="utf-8")
    return made


@pytest.fixture
def cases(tmp_path: Path) -> dict[str, str]:
    """The files that the verbs read: floors named in look-alikes, one of them wrong, and a table of floors."""
    found = {}
    for name, path in demo_cases().items():
        given = yaml.safe_load(path.read_text(encoding="utf-8"))
        text = path.read_text(encoding="utf-8").replace(str(given["floor"]), alike(str(given["floor"])))
        text = re.sub(r"(?m)^note:.*?(?=^facts:)", "", text, flags=re.S)
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
        found[name] = str(tmp_path / f"{name}.yaml")
    bad = (
        "facts:\n  slab_humidity: wet\n  slab_tickness: 4 in\n  active_leak: perhaps\n  surface_ph: 30\n  area: 4 kg\n"
    )
    (tmp_path / "bad.yaml").write_text(bad, encoding="utf-8")
    (tmp_path / "floors.csv").write_text("area,room\n40 m2,garage\n30 m2,kitchen\nx,garage\n", encoding="utf-8")
    return found | {"bad": str(tmp_path / "bad.yaml"), "floors": str(tmp_path / "floors.csv")}


def _excused() -> frozenset[str]:
    """Names of units, money and days (ICU has none here), and what the shipped price book says of itself."""
    found = [*calendar.month_name, *calendar.day_name]
    found += [text for unit in UNITS.values() for text in (unit.shown, *unit.spellings)]
    found += [each.names[0] for each in load_rulebase().currencies.values()]
    found.append((ROOT / "advisor" / "demo" / "prices.csv").read_text(encoding="utf-8"))
    return frozenset(word.lower() for text in found for word in WORD.findall(text))


EXCUSED = _excused()

VERBS = {
    "advise": ("advise", "{untested_garage}"),
    "advise, a stop": ("advise", "{old_tile_kitchen}"),
    "why": ("why", "{untested_garage}"),
    "why, a finish": ("why", "{untested_garage}", "floor_paint"),
    "why, in full": ("why", "{untested_garage}", "--level", "full"),
    "why, a rule": ("why", "{untested_garage}", "--rule", "use.too_weak_for_cars"),
    "next": ("next", "{untested_garage}"),
    "turn": ("turn", "{untested_garage}"),
    "revise": ("revise", "{untested_garage}", "slab_humidity=70 %"),
    "letter": ("letter", "{untested_garage}"),
    "materials": ("materials", "{untested_garage}", "floor_paint"),
    "cost": ("cost", "{untested_garage}", "floor_paint"),
    "plan": ("plan", "{untested_garage}", "floor_paint", "--start", "2026-12-01"),
    "compare": ("compare", "{untested_garage}"),
    "rule": ("rule", "use.too_weak_for_cars"),
    "rules": ("rules", "--topic", "stop"),
    "sources": ("sources",),
    "sources of an answer": ("sources", "--case", "{untested_garage}"),
    "facts": ("facts",),
    "map": ("map",),
    "work": ("work", "dew-point", "air_temperature=20 C", "air_humidity=50 %"),
    "survey": ("survey", "{floors}"),
    "a bad case": ("advise", "{bad}"),
    "a bad request": ("rule", "vapour.film"),
    "no such file": ("advise", "no_such_floor"),
}
# Where ids are told as they are typed.
TYPED = {"facts", "map", "sources", "sources of an answer", "a bad case", "a bad request"}


@pytest.mark.parametrize("view", VERBS)
def test_no_plain_word_is_left(
    view: str, base: RuleBase, folder: Path, cases: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words, "FOLDER", folder)
    for verbs in (advice, explaining, floor_options, interview, many, plan, rules, vocabulary, worksheets):
        monkeypatch.setattr(verbs, "rule_base", lambda *_, **__: base)
    with speaking("xx"):
        result = CliRunner().invoke(app, [each.format(**cases) for each in VERBS[view]])
    told = f"{result.output}\n{result.exception or ''}"
    assert told.strip()
    left = {word for word in WORD.findall(NAME.sub(" ", told)) if word.lower() not in EXCUSED}
    if view in TYPED:
        told_as_they_are = {word for each in _ids(base) for word in WORD.findall(each.replace("_", " "))}
        left = {word for word in left if word.lower() not in told_as_they_are}
    left -= {word for path in cases.values() for word in WORD.findall(Path(path).read_text(encoding="utf-8"))}
    assert not left, f"{sorted(left)}: {told}"


def _ids(base: RuleBase) -> Iterator[str]:
    for section in base.__dict__.values():
        yield from section if isinstance(section, dict) else ()
    for each in (*base.facts.values(), *base.properties.values()):
        yield from (*each.choices, UNKNOWN)
    for rule in base.rules.values():
        yield rule.topic
    for each in group_of_texts("en", "labels"):
        yield each.partition(".")[2]


def test_no_sentence_stands_in_python() -> None:
    found = {
        str(path.relative_to(ROOT)): [text for _, text in sentences(path)]
        for package in ("advisor", "explanations")
        for path in (ROOT / package).rglob("*.py")
    }
    left = {
        path: [text for text in texts if not re.fullmatch(NOT_READ.get(path, ""), text, re.DOTALL)]
        for path, texts in found.items()
    }
    assert {path: texts for path, texts in left.items() if texts} == {}
    assert [path for path in NOT_READ if not found[path]] == []


def test_look_alikes_keep_what_icu_reads() -> None:
    assert message("{n, plural, one {# rule} other {# rules of {name}}} laid over") == (
        "{n, plural, one {# ŕúłé} other {# ŕúłéš óƒ {name}}} łáíð óʋéŕ"
    )
    assert message("it's '{'one'}' {a}") == "íŧ'š '{'óñé'}' {a}"
    assert alike("The {finish} holds.") == "Ŧħé {finish} ħółðš."
