"""The sentences are data: each key that code asks for is there, and each that is there is asked for."""

from __future__ import annotations

import ast
import re
from datetime import date, datetime
from pathlib import Path

import pytest
from icu4py.messageformat import MessageFormat

from explanations import wording as words
from explanations.wording import FOLDER, group_of_texts, label, listed, speaking, wording

ROOT = FOLDER.parent.parent
GROUPS = sorted(path.stem for path in (FOLDER / "en").glob("*.yaml"))
KEYS = {f"{group}.{name}" for group in GROUPS for name in group_of_texts("en", group)}
NESTS = {".".join(parts[:n]) for parts in (key.split(".") for key in KEYS) for n in range(2, len(parts))}


def asked_for() -> tuple[set[str], set[str]]:
    """The keys that code names, and the beginnings of those that it puts together, as `verdict.` of f"verdict.{x}"."""
    whole, begun = set(), set()
    for path in [*(ROOT / "advisor").rglob("*.py"), *(ROOT / "explanations").rglob("*.py")]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                whole.add(node.value)
            elif isinstance(node, ast.JoinedStr) and isinstance(first := node.values[0], ast.Constant):
                begun.add(str(first.value))
    for path in (ROOT / "advisor").rglob("*.html"):  # templates of the page
        named = re.findall(r'"([a-z_]+\.[a-z_.0-9]*)"', path.read_text(encoding="utf-8"))
        whole |= {each for each in named if not each.endswith(".")}
        begun |= {each for each in named if each.endswith(".")}
    return whole, {each for each in begun if re.match(r"[a-z_]+\.", each)}


WHOLE, BEGUN = asked_for()
BEGUN |= {f"{nest}." for nest in NESTS & WHOLE}  # what names a nest of texts asks for all in it
FORMULAS = {f"{each}_by" for each in WHOLE}  # of the steps of worksheets


def test_each_text_is_used() -> None:
    assert [key for key in sorted(KEYS) if not _is_used(key)] == []


def _is_used(key: str) -> bool:
    key = re.sub(r"^web\.said\.", "", key)  # the same, said otherwise in a browser
    return key.startswith("labels.") or key in WHOLE | FORMULAS or any(key.startswith(each) for each in BEGUN)


def test_each_text_that_code_names_is_there() -> None:
    keyed = re.compile(rf"({'|'.join(map(re.escape, GROUPS))})(\.[a-z_0-9]+)+")
    named = {each for each in WHOLE - BEGUN if keyed.fullmatch(each) and not each.endswith((".yaml", ".py"))}
    assert {each for each in named if each.split(".")[0] != "labels"} <= KEYS | NESTS | EXCUSED


EXCUSED = {"survey.json", "page.typ", "letter.pdf"}  # names that only look like keys


@pytest.mark.parametrize("group", GROUPS)
def test_each_text_is_a_message(group: str) -> None:
    for key, text in group_of_texts("en", group).items():
        try:
            MessageFormat(text, "en")
        except ValueError as error:
            pytest.fail(f"{group}.{key}: {error}")


def test_what_counts_counts_and_what_is_a_number_otherwise_stays_as_it_is(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "en").mkdir()
    text = 'rules: "{n, plural, one {# rule} other {# rules}} of {year}"\n'
    (tmp_path / "en" / "trial.yaml").write_text(text, encoding="utf-8")
    monkeypatch.setattr(words, "FOLDER", tmp_path)
    assert wording("trial.rules", n=1, year=1968) == "1 rule of 1968"
    assert wording("trial.rules", n=1200, year=1968) == "1,200 rules of 1968"
    with pytest.raises(KeyError, match="year"):
        wording("trial.rules", n=1)
    with pytest.raises(KeyError, match=r"trial\.none"):
        wording("trial.none")


def test_a_date_is_written_as_the_text_says(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "dates.yaml").write_text('day: "{day, date,EEE d MMM}, {iso}"\n', encoding="utf-8")
    monkeypatch.setattr(words, "FOLDER", tmp_path)
    for day in (date(2026, 12, 1), datetime(2026, 12, 1, 23, 59)):
        assert wording("dates.day", day=day, iso=date(2026, 12, 1)) == "Tue 1 Dec, 2026-12-01"


def test_another_language_is_spoken_only_where_it_is_chosen(tmp_path: Path, monkeypatch) -> None:
    for language, text in (("en", "two"), ("xx", "zwei")):
        (tmp_path / language).mkdir()
        (tmp_path / language / "numbers.yaml").write_text(f'two: "{text}"\n', encoding="utf-8")
    (tmp_path / "en" / "numbers.yaml").write_text('two: "two"\nthree: "three"\n', encoding="utf-8")
    monkeypatch.setattr(words, "FOLDER", tmp_path)
    with speaking("xx"):
        assert (wording("numbers.two"), wording("numbers.three")) == ("zwei", "three")
    assert wording("numbers.two") == "two"


def test_halves_of_characters_are_told_as_question_marks() -> None:
    """A lone surrogate can be typed, as what no encoding knows; ICU fails over it."""
    assert wording("grammar.two", first="\ud800", last="Öl") == "? and Öl"


def test_lists_and_labels() -> None:
    assert (listed(["oil"]), listed(["oil", "wax"]), listed(["a", "b", "c"], "or")) == (
        "oil",
        "oil and wax",
        "a, b or c",
    )
    assert label("fact", "a_shop_s_own") == "a shop s own"
